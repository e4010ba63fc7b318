//! The log: one JSON object a line. It names requests, routes, addresses and sign-ins, and never a body,
//! a query, a cookie or any other header.

use tracing::Subscriber;
use tracing_subscriber::EnvFilter;
use tracing_subscriber::fmt::MakeWriter;
use tracing_subscriber::layer::SubscriberExt as _;

/// A log into a writer. `filter` says what is told, such as `info` or `server=debug,warn`; what is no
/// filter counts as `info`. The database's own statements are told from `warn` on only.
pub fn subscriber<W>(filter: &str, writer: W) -> impl Subscriber + Send + Sync + use<W>
where
    W: for<'w> MakeWriter<'w> + Send + Sync + 'static,
{
    let filter = EnvFilter::try_new(filter).unwrap_or_else(|_| EnvFilter::new("info"));
    let filter = match "sqlx=warn".parse() {
        Ok(directive) => filter.add_directive(directive),
        Err(_) => filter,
    };
    let lines =
        tracing_subscriber::fmt::layer().json().flatten_event(true).with_current_span(false).with_writer(writer);
    tracing_subscriber::registry().with(filter).with(lines)
}
