//! What every request is answered with: the ledger, the settings, the counters.

use crate::http::{Limiter, Metrics};
use crate::settings::{Settings, Transport};
use ledger::access::Access;
use ledger::{AccountId, Ledger};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use utoipa::openapi::OpenApi;

/// Files of the pages that an address may fetch for each request that it may make. They come from memory and cost next to
/// nothing, and a page without one of its files stays blank: whoever used up their requests still gets the page that says so.
const FILES_A_REQUEST: u32 = 10;

/// What every request is answered with. Clones are the same one.
#[derive(Debug, Clone)]
pub struct App(Arc<Parts>);

struct Parts {
    ledger: Ledger,
    account: AccountId,
    settings: Settings,
    limiter: Limiter,
    page_limiter: Limiter,
    metrics: Metrics,
    openapi: OpenApi,
    stopping: AtomicBool,
}

impl std::fmt::Debug for Parts {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("App").field("account", &self.account).field("settings", &self.settings).finish_non_exhaustive()
    }
}

impl App {
    /// An app over an open ledger; `account` is the one that is served without sign-in.
    pub fn new(ledger: Ledger, account: AccountId, settings: Settings, openapi: OpenApi) -> Self {
        let limiter = Limiter::new(settings.requests_per_minute);
        let page_limiter = Limiter::new(settings.requests_per_minute.saturating_mul(FILES_A_REQUEST));
        Self(Arc::new(Parts {
            ledger,
            account,
            settings,
            limiter,
            page_limiter,
            metrics: Metrics::default(),
            openapi,
            stopping: AtomicBool::new(false),
        }))
    }

    /// The ledger.
    pub fn ledger(&self) -> &Ledger {
        &self.0.ledger
    }

    /// The door of the ledger.
    pub fn access(&self) -> Access {
        self.0.ledger.access()
    }

    /// The account that is served without sign-in.
    pub fn local_account(&self) -> AccountId {
        self.0.account
    }

    /// How the server runs.
    pub fn settings(&self) -> &Settings {
        &self.0.settings
    }

    /// The counters of requests by client address, but for files of the pages.
    pub fn limiter(&self) -> &Limiter {
        &self.0.limiter
    }

    /// The counters of files of the pages by client address.
    pub fn page_limiter(&self) -> &Limiter {
        &self.0.page_limiter
    }

    /// What is counted and timed.
    pub fn metrics(&self) -> &Metrics {
        &self.0.metrics
    }

    /// The description of every route.
    pub fn openapi(&self) -> &OpenApi {
        &self.0.openapi
    }

    /// The moment, for what is kept.
    pub fn now(&self) -> jiff::Timestamp {
        jiff::Timestamp::now()
    }

    /// The day, in universal time.
    pub fn today(&self) -> jiff::civil::Date {
        jiff::tz::Offset::UTC.to_datetime(self.now()).date()
    }

    /// Says that no new work is taken.
    pub fn stop(&self) {
        self.0.stopping.store(true, Ordering::Relaxed);
    }

    /// Whether no new work is taken.
    pub fn is_stopping(&self) -> bool {
        self.0.stopping.load(Ordering::Relaxed)
    }

    /// The name of the cookie that carries the session. Browsers take a `__Host-` cookie only over TLS,
    /// from this host and for it alone.
    pub fn cookie_name(&self) -> &'static str {
        if self.settings().is_secure() { "__Host-tussock-session" } else { "tussock-session" }
    }

    /// The origin that the proxy in front is reached under, without a slash at its end.
    pub fn proxy_origin(&self) -> Option<&str> {
        match &self.settings().transport {
            Transport::Proxy(origin) => Some(origin.trim_end_matches('/')),
            _ => None,
        }
    }
}
