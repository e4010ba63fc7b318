//! How much the routes of plan and record carry, beside a bare handler of the same server and beside
//! the work itself, in one run: `make load`. Needs the load tool `wrk`.
//!
//! The demo is invented. The bare handler is the route that says that the server lives.

use exchange::record_json::write_record_to_keep;
use exchange::visit_json::write_visit;
use geometry::GeoPosition;
use jiff::Timestamp;
use ledger::trade::{Keeping, ReadVisit, Shelf, VisitParties, checked_entry};
use ledger::{Actor, Expected, Filter, Kind, Ledger, Location, NewEntry, RequestKey, ThingId};
use record::ApplicationRecord;
use server::{Running, Settings};
use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

type Failed = Box<dyn std::error::Error + Send + Sync>;

/// As the command has it.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Clients of the long run, and how long it lasts.
const CLIENTS: u64 = 50;
/// Requests of the load tool at a time.
const HANDS: u32 = 16;
const MINUTE: Duration = Duration::from_mins(1);

#[tokio::main]
async fn main() -> Result<(), Failed> {
    // The client of HTTP may ask over TLS where it is built with the command, and wants to be told by which cryptography.
    let _ = rustls::crypto::ring::default_provider().install_default();
    let folder = tempfile::tempdir()?;
    let running = server(folder.path(), "load.db").await?;
    let order = order()?;
    let base = format!("http://{}", running.address());
    let record = record(&order)?;
    // One at a time, and before the books hold records that each plan would read.
    let library = library(&order)?;
    let http = one_by_one(&base, &order).await?;
    println!("| what | requests/s | p50 | p99 | beside the bare handler |\n| --- | --- | --- | --- | --- |");
    let bare = load(folder.path(), &format!("{base}/api/health/live"), "")?;
    bare.print("bare handler", &bare);
    let plan = load(folder.path(), &format!("{base}/api/plan"), &posting(&serde_json::to_string(&order)?, ""))?;
    plan.print("plan of the demo property", &bare);
    let path = kept(&base, &record).await?;
    let read = load(folder.path(), &format!("{base}{path}"), "")?;
    read.print("reading a record", &bare);
    let template = write_record_to_keep(&record).replace("2026-07-07", "@DAY@").replace(&record.name, "Visit @NUMBER@");
    let write = load(folder.path(), &format!("{base}/api/records"), &posting(&template, KEY))?;
    write.print("keeping a record", &bare);

    println!(
        "\nplan: library call {library:.2?}, over HTTP {http:.2?} at the median, one at a time: {:.2} times (goal: at most 2)",
        http.as_secs_f64() / library.as_secs_f64()
    );
    let (records, among) = among_others(folder.path(), &order, &record).await?;
    println!(
        "plan with {records} records of other ground in the books: {among:.2?}, {:.2} times as long as without",
        among.as_secs_f64() / http.as_secs_f64()
    );
    let body = write_record_to_keep(&record);
    for hands in [1, HANDS] {
        let raw = raw_inserts(folder.path(), &body, hands).await?;
        println!(
            "records: {:.0}/s over HTTP by {HANDS} at a time, {raw:.0}/s as entries alone by {hands} at a time: {:.2} of them \
             (goal: at least 0.5)",
            write.per_second,
            write.per_second / raw
        );
    }
    running.stop().await;
    many_clients(folder.path(), &record).await
}

async fn server(folder: &Path, name: &str) -> Result<Running, Failed> {
    let location = Location::file(&folder.join(name))?;
    let address = SocketAddr::from(([127, 0, 0, 1], 0));
    let settings = Settings { address, requests_per_minute: u32::MAX, ..Settings::local(location) };
    Ok(server::serve(settings).await?)
}

fn order() -> Result<serde_json::Value, Failed> {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let mut files = BTreeMap::new();
    for name in ["property.geojson", "equipment.toml", "forecast.csv", "history.toml"] {
        files.insert(name.to_owned(), std::fs::read_to_string(demo.join("alder-bend").join(name))?);
    }
    for entry in std::fs::read_dir(demo.join("labels"))? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        files.insert(format!("../labels/{name}"), std::fs::read_to_string(&path)?);
    }
    let visit = std::fs::read_to_string(demo.join("alder-bend/visit.toml"))?;
    Ok(serde_json::json!({ "visit": visit, "files": files }))
}

fn read_visit(order: &serde_json::Value) -> Result<ReadVisit, Failed> {
    let text = order["visit"].as_str().unwrap_or_default().to_owned();
    let fetch = |name: &str| order["files"][name].as_str().map(str::to_owned).ok_or_else(|| "missing".to_owned());
    Ok(ReadVisit::read("visit", text, &Shelf::default(), fetch)?)
}

fn planned(order: &serde_json::Value) -> Result<ledger::trade::PlannedVisit, Failed> {
    let read = read_visit(order)?;
    let past = ledger::trade::merged(read.request(), &[], None);
    Ok(read.plan(past)?)
}

fn record(order: &serde_json::Value) -> Result<ApplicationRecord, Failed> {
    Ok(planned(order)?.record(&VisitParties::default(), None)?.0)
}

/// The median time of reading, planning and writing the visit without a server.
fn library(order: &serde_json::Value) -> Result<Duration, Failed> {
    let mut times = Vec::new();
    for _ in 0..200 {
        let began = Instant::now();
        let planned = planned(order)?;
        std::hint::black_box(write_visit(&planned.visit));
        times.push(began.elapsed());
    }
    times.sort();
    Ok(times[times.len() / 2])
}

async fn one_by_one(base: &str, order: &serde_json::Value) -> Result<Duration, Failed> {
    let client = reqwest::Client::new();
    let body = serde_json::to_vec(order)?;
    let mut times = Vec::new();
    for _ in 0..200 {
        let began = Instant::now();
        let request = client.post(format!("{base}/api/plan")).header("content-type", "application/json");
        let response = request.body(body.clone()).send().await?.error_for_status()?;
        std::hint::black_box(response.bytes().await?);
        times.push(began.elapsed());
    }
    times.sort();
    Ok(times[times.len() / 2])
}

/// The time of a plan in books that hold many records of lots elsewhere, and how many.
async fn among_others(
    folder: &Path,
    order: &serde_json::Value,
    record: &ApplicationRecord,
) -> Result<(usize, Duration), Failed> {
    const RECORDS: usize = 10_000;
    let running = server(folder, "elsewhere.db").await?;
    let app = running.app();
    let book = app.ledger().book(app.local_account(), Actor::local("load")).await?;
    let numbers: Vec<usize> = (0..RECORDS).collect();
    for numbers in numbers.chunks(500) {
        let entries = numbers.iter().map(|number| {
            let east = 0.001 * (1 + number % 300) as f64;
            let mut other = record.clone();
            let origin = record.property.origin;
            other.property.origin = GeoPosition::from_degrees(origin.longitude() + east, origin.latitude())?;
            other.name = format!("elsewhere {number}");
            let keeping = Keeping {
                thing: ThingId::fresh(),
                expected: Expected::New,
                reason: None,
                recorded_at: Timestamp::now(),
            };
            Ok(checked_entry(Kind::Record, write_record_to_keep(&other), keeping)?)
        });
        book.append_all(entries.collect::<Result<Vec<_>, Failed>>()?, RequestKey::fresh()).await?;
    }
    let time = one_by_one(&format!("http://{}", running.address()), order).await?;
    running.stop().await;
    Ok((RECORDS, time))
}

/// Entries per second that one book takes from so many hands, without HTTP and without the trade.
async fn raw_inserts(folder: &Path, body: &str, hands: u32) -> Result<f64, Failed> {
    let ledger = Ledger::open(&Location::file(&folder.join(format!("raw {hands}.db")))?).await?;
    let account = ledger.open_account("raw").await?;
    let book = ledger.book(account, Actor::local("load")).await?;
    let began = Instant::now();
    let hand = || {
        let (book, body) = (book.clone(), body.to_owned());
        tokio::spawn(async move {
            let mut entries = 0_u32;
            while began.elapsed() < Duration::from_secs(8) {
                let entry = NewEntry::first(Kind::Record, ThingId::fresh(), "raw", body.as_str(), Timestamp::now());
                book.append(entry, RequestKey::fresh()).await?;
                entries += 1;
            }
            Ok::<_, ledger::LedgerError>(entries)
        })
    };
    let hands: Vec<_> = (0..hands).map(|_| hand()).collect();
    let mut entries = 0;
    for hand in hands {
        entries += hand.await??;
    }
    Ok(f64::from(entries) / began.elapsed().as_secs_f64())
}

async fn kept(base: &str, record: &ApplicationRecord) -> Result<String, Failed> {
    let request = reqwest::Client::new().post(format!("{base}/api/records"));
    let response = request.header("idempotency-key", "first").body(write_record_to_keep(record)).send().await?;
    let answer: serde_json::Value = response.error_for_status()?.json().await?;
    Ok(format!("/api/records/{}", answer["kept"]["thing"].as_str().unwrap_or_default()))
}

/// What the load tool found.
struct Load {
    per_second: f64,
    p50: String,
    p99: String,
}

impl Load {
    fn print(&self, what: &str, bare: &Self) {
        let Self { per_second, p50, p99 } = self;
        println!("| {what} | {per_second:.0} | {p50} | {p99} | {:.4} |", per_second / bare.per_second);
    }
}

/// A key of its own for each request, and a day and a number of its own for each record.
const KEY: &str = r#"
  wrk.headers["Idempotency-Key"] = string.format("load-%s-%d", tostring(thread_name), number)
  body = body:gsub("@DAY@", os.date("!%Y-%m-%d", 1577836800 + (number % 2000) * 86400)):gsub("@NUMBER@", tostring(number))
"#;

fn posting(body: &str, each: &str) -> String {
    format!(
        r#"
local number = 0
local template = [==========[{body}]==========]
local names = 0
function setup(thread) names = names + 1; thread:set("thread_name", names) end
wrk.method = "POST"
wrk.headers["Content-Type"] = "application/json"
function request()
  number = number + 1
  local body = template
  {each}
  return wrk.format(nil, nil, nil, body)
end
"#
    )
}

fn load(folder: &Path, url: &str, script: &str) -> Result<Load, Failed> {
    let path = folder.join("load.lua");
    std::fs::write(&path, script)?;
    let output = Command::new("wrk")
        .args(["--latency", "-t1", "-d8s"])
        .arg(format!("-c{HANDS}"))
        .arg("-s")
        .arg(&path)
        .arg(url)
        .output()
        .map_err(|error| format!("the load tool `wrk` does not start ({error}); mend: apt-get install wrk"))?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    if let Some(failed) = text.lines().find(|line| line.contains("Non-2xx")) {
        return Err(format!("{url}: {}", failed.trim()).into());
    }
    let after = |word: &str| {
        let line = text.lines().find_map(|line| line.trim().strip_prefix(word).map(str::trim));
        line.map(str::to_owned).ok_or_else(|| format!("`wrk` told no {word} of {url}:\n{text}"))
    };
    Ok(Load { per_second: after("Requests/sec:")?.parse()?, p50: after("50%")?, p99: after("99%")? })
}

/// Fifty clients keep records and read totals for a minute, each on a day of its own. Each reading must hold
/// all that its client was told to be kept, to the last drop; at the end every acknowledged record must be
/// there.
async fn many_clients(folder: &Path, record: &ApplicationRecord) -> Result<(), Failed> {
    let running = server(folder, "many.db").await?;
    let base = format!("http://{}", running.address());
    let template = write_record_to_keep(record);
    let (written, read) = (AtomicU64::new(0), AtomicU64::new(0));
    let until = Instant::now() + MINUTE;
    let clients = (0..CLIENTS).map(|number| {
        let (base, template, written, read) = (&base, &template, &written, &read);
        async move {
            let client = reqwest::Client::new();
            let day = jiff::civil::date(2020, 1, 1).saturating_add(jiff::Span::new().days(i64::try_from(number)?));
            let template = template.replace("2026-07-07", &day.to_string());
            let totals = format!("{base}/api/totals?from={day}&until={day}");
            let mut one = None;
            let mut turn = 0_u32;
            while Instant::now() < until {
                turn += 1;
                let body = template.replace(&record.name, &format!("Visit {number}-{turn}"));
                let send = || {
                    let request = client.post(format!("{base}/api/records"));
                    request.header("idempotency-key", format!("{number}-{turn}")).body(body.clone()).send()
                };
                // A connection may be closed just as it is used: the same request is sent again with its key.
                let answer = match send().await {
                    Err(error) if error.is_request() => send().await?,
                    answer => answer?,
                };
                answer.error_for_status()?;
                written.fetch_add(1, Ordering::Relaxed);
                if turn % 10 == 1 {
                    let answer = client.get(&totals).send().await?.error_for_status()?.json().await?;
                    let told = drops(&answer);
                    let expected = *one.get_or_insert(told) * f64::from(turn);
                    if (told - expected).abs() > 1e-6 * expected {
                        return Err(format!("totals of {day}: {told} mL told, {expected} mL kept").into());
                    }
                    read.fetch_add(1, Ordering::Relaxed);
                }
            }
            Ok::<(), Failed>(())
        }
    });
    futures_util::future::try_join_all(clients).await?;
    let (written, read) = (written.into_inner(), read.into_inner());
    let app = running.app().clone();
    let book = app.ledger().book(app.local_account(), Actor::local("load")).await?;
    let kept = book.records(&Filter::default()).await?.len() as u64;
    let is_sound = book.verify(None, &mut |_| ()).await?.is_sound();
    println!(
        "\n{CLIENTS} clients for {MINUTE:?}: {written} records acknowledged, {kept} kept; {read} readings of totals, each right \
         to a millionth; chain {}",
        if is_sound { "sound" } else { "BROKEN" }
    );
    running.stop().await;
    if kept == written && is_sound { Ok(()) } else { Err("records were lost".into()) }
}

/// The liquid product that totals tell, in millilitres.
fn drops(totals: &serde_json::Value) -> f64 {
    let sum = |list: &serde_json::Value, of: &dyn Fn(&serde_json::Value) -> f64| -> f64 {
        list.as_array().map_or(0.0, |list| list.iter().map(of).sum())
    };
    let of_layer = |layer: &serde_json::Value| layer["per_area"]["volume_ml_per_m2"].as_f64().unwrap_or(0.0);
    sum(&totals["places"], &|place| place["area_m2"].as_f64().unwrap_or(0.0) * sum(&place["layers"], &of_layer))
}
