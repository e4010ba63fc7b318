# What to do with tussock. `make demo` and `make test` set up all they need.
.DEFAULT_GOAL := help
CARGO ?= cargo
PYTHON ?= python3
TUSSOCK := target/release/tussock
PEERS := target/peers
CHROMIUM ?= $(shell command -v chromium || command -v chromium-browser)

.PHONY: help demo test rounds crash load page-figures pictures pest-figures route-figures season-figures fuzz-api bench check web test-web need-rust need-node

help: ## show this list
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 14

need-rust:
	@command -v $(CARGO) >/dev/null 2>&1 || { \
	  echo "missing: Rust 1.92 or newer (cargo was not found)."; \
	  echo "  mend: install the Rust toolchain, open a new shell, and call make again."; exit 1; }
	@command -v cc >/dev/null 2>&1 || { \
	  echo "missing: a C linker (cc was not found)."; \
	  echo "  mend: apt-get install build-essential, and call make again."; exit 1; }

need-node:
	@node -e 'const [a, b] = process.versions.node.split(".").map(Number); process.exit(a > 20 || (a === 20 && b >= 19) ? 0 : 1)' \
	  2>/dev/null || { \
	  echo "missing: Node 20.19 or newer (found: $$(node --version 2>/dev/null || echo none)); the pages are built with it."; \
	  echo "  mend: install Node 20.19 or newer with npm, and call make again."; exit 1; }
	@command -v npm >/dev/null 2>&1 || { \
	  echo "missing: npm (it comes with Node)."; echo "  mend: install it, and call make again."; exit 1; }

PAGES := $(shell find web/src web/worker web/public web/tools -type f 2>/dev/null) web/index.html web/vite.config.ts web/svelte.config.js

web: web/dist/index.html ## build the pages, which the program takes in when it is built

web/node_modules/.package-lock.json: web/package.json web/package-lock.json | need-node
	cd web && npm ci --no-progress

web/dist/index.html: web/node_modules/.package-lock.json $(PAGES) | need-node
	cd web && npm run --silent build

# Naming an example takes the dependencies of tests into the choice of features: demo, bench and test
# then share one build of the type-setter.
BUILD := $(CARGO) build --release --locked --workspace --bin tussock --example visit_schema

demo: need-rust web ## build, plan the invented demo property into out/demo/, say where to look
	@echo "building tussock (the first build takes about twelve minutes on two cores: it includes a type-setter)"
	$(BUILD)
	$(TUSSOCK) demo --out out/demo

test: need-rust web ## build, and pass every test (those of PostgreSQL and of the browser where they are installed)
	@if tools/postgres --present; then \
	  tools/postgres $(CARGO) test --workspace --release --locked; \
	else \
	  echo "PostgreSQL is not on this machine: its tests do nothing in this run, those of SQLite run."; \
	  echo "  mend: apt-get install postgresql, and call make test again."; \
	  $(CARGO) test --workspace --release --locked; \
	fi
	$(MAKE) --no-print-directory test-web

test-web: web ## the tests of the pages alone, against the program that is built
	cd web && npm run --silent check && npm run --silent unit
	@cd web && npx openapi-typescript ../schema/openapi.json --output ../target/api.d.ts >/dev/null && \
	  cmp -s ../target/api.d.ts src/service/api.d.ts || { \
	  echo "web/src/service/api.d.ts is not what schema/openapi.json says."; \
	  echo "  mend: cd web && npm run types, and keep the file with the change."; exit 1; }
	@if [ -n "$(CHROMIUM)" ]; then cd web && npm run --silent browser; else \
	  echo "Chromium is not on this machine: the tests in the browser do nothing in this run."; \
	  echo "  mend: apt-get install chromium, and call make again."; \
	fi

rounds: web ## counts, photos and records of the yard through 60 rounds of random breaks, delivered exactly once (needs Chromium)
	cd web && YARD_ROUNDS=60 npx vitest run --config vitest.browser.config.ts tests/rounds.test.ts

crash: need-rust ## kill writers 1000 times, crash PostgreSQL 50 times, fail a disk at every call
	tools/postgres $(CARGO) test --release --locked --package ledger --test crash -- \
	  --kills 1000 --stride 1 --restarts 50

load: need-rust ## what the routes of plan and record carry, and fifty clients at once (needs wrk)
	$(CARGO) build --release --locked --workspace --example load_figures
	target/release/examples/load_figures

page-figures: need-rust web ## how fast zones follow a dragged corner, and the first page opens (needs Chromium)
	@[ -n "$(CHROMIUM)" ] || { \
	  echo "missing: Chromium; the figures are those of a page in a browser."; \
	  echo "  mend: apt-get install chromium, and call make again."; exit 1; }
	$(BUILD)
	cd web && TUSSOCK=$(CURDIR)/$(TUSSOCK) CHROMIUM=$(CHROMIUM) node figures/run.mjs

pictures: web ## a picture of every page in three looks at both sizes, into docs/pictures/pages (needs Chromium; ONLY=name,name for some)
	@[ -n "$(CHROMIUM)" ] || { \
	  echo "missing: Chromium; the pictures are those of a page in a browser."; \
	  echo "  mend: apt-get install chromium, and call make again."; exit 1; }
	cd web && CHROMIUM=$(CHROMIUM) ONLY=$(ONLY) npm run --silent pictures

pest-figures: need-rust ## how well the key tells pests apart, how often intervals hold, what stop lines and hot spots err and save
	$(CARGO) run --release --locked --quiet --package exchange --example key_figures
	@for example in stop_line_figures interval_figures hot_spot_figures; do \
	  echo; $(CARGO) run --release --locked --quiet --package scouting --example $$example || exit 1; done

route-figures: need-rust ## what walks over the 118 invented lots cover, waste and step on, beside their goals
	$(CARGO) run --release --locked --quiet --package route --example route_figures

season-figures: need-rust ## a season of a real one's size, proven, beside calendars: protection, money, active ingredient, time, gap
	$(CARGO) run --release --locked --quiet --package season --example season_figures

fuzz-api: need-rust $(PEERS)/bin/schemathesis ## send the server what its description allows and what it forbids
	$(BUILD)
	tools/fuzz_api $(TUSSOCK) $(PEERS)/bin/schemathesis

check: need-rust web ## formatting and lints
	$(CARGO) fmt --all --check
	$(CARGO) clippy --workspace --all-targets --release --locked -- -D warnings

bench: need-rust $(PEERS)/bin/python ## the benchmarks, side by side with their peers
	$(BUILD) --bin bench --example count_speed --example weather_speed
	$(PEERS)/bin/python crates/bench/peers/compare.py
	$(PEERS)/bin/python crates/bench/peers/counts.py
	$(PEERS)/bin/python crates/bench/peers/weather.py

$(PEERS)/bin/schemathesis: $(PEERS)/bin/python
	$(PEERS)/bin/pip install --quiet schemathesis==4.32.5

$(PEERS)/bin/python:
	$(PYTHON) -m venv $(PEERS)
	$(PEERS)/bin/pip install --quiet shapely==2.1.2 numpy scipy scikit-learn
