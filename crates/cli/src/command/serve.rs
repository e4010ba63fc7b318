//! `tussock serve`: the books over HTTP, to the people allowed to see them.

mod lan;
mod owner;

use super::desk::account_in;
use crate::argument;
use crate::care::examples_and_care;
use crate::console::remark;
use crate::outcome::{CommandResult, Failure, Outcome};
use clap::{Args, Subcommand};
use jiff::SignedDuration;
use ledger::access::Lifetime;
use ledger::{Ledger, Location};
use problem::{Problem, Problems};
use quantity::DurationUnit;
use server::{Settings, ToldToEnd, Transport};
use std::io;
use std::net::SocketAddr;
use std::path::PathBuf;

/// Serve the books over HTTP
///
/// On this machine alone (the default address) no sign-in is needed. On any other address the server
/// starts only with TLS and an owner's sign-in: make that first with `tussock serve owner`. With
/// --tls authority a phone trusts the server once it has the certificate of the local authority.
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_long_help = examples_and_care!(
        "tussock serve --books books.db",
        "tussock serve owner --name mara --books books.db",
        "tussock serve --lan --books books.db",
        "tussock serve --books books.db --address 192.168.1.20:7878 --name shed.local --tls authority --certificate-port 7879",
        "tussock serve --books postgres://tussock@db/books --behind-proxy https://books.example --rest '30 min' --require-second-factor",
    )
)]
pub(crate) struct ServeArgs {
    #[command(subcommand)]
    command: Option<ServeCommand>,
    #[command(flatten)]
    books: Books,
    /// Where to listen
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:7878")]
    address: SocketAddr,
    /// To phones in the house's network: every address of this machine, TLS of a local authority, its certificate at
    /// port 7879, and codes that a phone reads
    #[arg(long, conflicts_with_all = ["address", "tls", "certificate", "key", "certificate_port", "behind_proxy"])]
    lan: bool,
    /// A name under which the server is reached; may be given more than once
    #[arg(long, value_name = "NAME")]
    name: Vec<String>,
    /// TLS with certificates of a local authority, made by this command
    #[arg(long, value_name = "KIND", value_parser = ["authority"], conflicts_with_all = ["certificate", "key"])]
    tls: Option<String>,
    /// The folder of the local authority
    #[arg(long, value_name = "DIR", default_value = "tussock-authority")]
    authority: PathBuf,
    /// A PEM file with the certificate chain, for TLS with files of your own
    #[arg(long, value_name = "FILE", requires = "key")]
    certificate: Option<PathBuf>,
    /// A PEM file with the certificate's private key
    #[arg(long, value_name = "FILE", requires = "certificate")]
    key: Option<PathBuf>,
    /// A port where the local authority's certificate can be fetched over plain HTTP
    #[arg(long, value_name = "PORT")]
    certificate_port: Option<u16>,
    /// The address of a proxy on this machine that speaks TLS for this server; sign-in is then needed
    #[arg(long, value_name = "URL", value_parser = proxy, conflicts_with_all = ["tls", "certificate", "key"])]
    behind_proxy: Option<String>,
    /// How many requests one client address may make in a minute
    #[arg(long, value_name = "N", default_value_t = 1_200, value_parser = clap::value_parser!(u32).range(1..))]
    requests_per_minute: u32,
    /// How long a session lasts without use, such as `30 min`; half an hour, and an hour for technicians, unless
    /// it is set: then for everybody
    #[arg(long, value_name = "TIME", value_parser = rest)]
    rest: Option<SignedDuration>,
    /// Owners need a second factor: who has none may begin one after signing in, and nothing else
    #[arg(long)]
    require_second_factor: bool,
    /// What the log tells on standard error, such as `info`, `warn` or `server=debug`
    #[arg(long, value_name = "FILTER", default_value = "info")]
    log: String,
}

/// Which books.
#[derive(Debug, Args)]
struct Books {
    /// The books: a file, or the address of a PostgreSQL database [default: the variable TUSSOCK_BOOKS, or books.db]
    #[arg(long, visible_alias = "data", value_name = "FILE|URL")]
    books: Option<String>,
    /// The account in them, where there are several
    #[arg(long, value_name = "NAME")]
    account: Option<String>,
}

#[derive(Debug, Subcommand)]
enum ServeCommand {
    Owner(owner::OwnerArgs),
}

fn proxy(text: &str) -> Result<String, String> {
    match text.strip_prefix("https://").map(|host| host.trim_end_matches('/')) {
        Some(host) if !host.is_empty() && !host.contains(['/', '?', '#', '@', ' ']) => Ok(format!("https://{host}")),
        _ => Err("not the address of a proxy; expected one such as `https://books.example`".to_owned()),
    }
}

/// A rest after which one must sign in again: the database hears of a session's use every minute, and no session
/// is longer than twelve hours.
fn rest(text: &str) -> Result<SignedDuration, String> {
    let rest = argument::duration(text)?.to(DurationUnit::Second);
    if (5.0 * 60.0..=12.0 * 3600.0).contains(&rest) {
        Ok(SignedDuration::from_secs(rest as i64))
    } else {
        Err("not a rest of a session; expected 5 min to 12 h, such as `30 min`".to_owned())
    }
}

/// Carries the command out.
pub(crate) fn run(args: &ServeArgs) -> CommandResult {
    let runtime = tokio::runtime::Runtime::new()
        .map_err(|error| Problem::error("serve::runtime", format!("the system gives no threads: {error}")))?;
    match &args.command {
        Some(ServeCommand::Owner(owner)) => runtime.block_on(owner::make(owner)),
        None => runtime.block_on(serve(args)),
    }
}

async fn serve(args: &ServeArgs) -> CommandResult {
    if !server::log::install(&args.log, io::stderr) {
        return Err(Problem::error("serve::log", "a log is kept already").into());
    }
    let transport = match (&args.behind_proxy, &args.certificate, &args.key) {
        (Some(origin), ..) => Transport::Proxy(origin.clone()),
        (_, Some(certificate), Some(key)) => Transport::Files { certificate: certificate.clone(), key: key.clone() },
        _ if args.lan || args.tls.is_some() => Transport::Authority(args.authority.clone()),
        _ => Transport::Plain,
    };
    let near = if args.lan { lan::addresses()? } else { Vec::new() };
    let location = location(&args.books)?;
    let ledger = Ledger::open(&location).await.map_err(|error| Failure(error.problems()))?;
    let account = account_in(&ledger, args.books.account.as_deref()).await;
    ledger.close().await;
    let settings = Settings {
        account: account.map_err(|error| Failure(error.problems()))?,
        address: if args.lan { SocketAddr::from(([0, 0, 0, 0], lan::PORTS.0)) } else { args.address },
        names: args.name.iter().cloned().chain(near.iter().map(ToString::to_string)).collect(),
        transport,
        certificate_port: if args.lan { Some(lan::PORTS.1) } else { args.certificate_port },
        lifetime: args.rest.map_or_else(Lifetime::default, Lifetime::resting),
        require_second_factor: args.require_second_factor,
        requests_per_minute: args.requests_per_minute,
        ..Settings::local(location)
    };
    let told = ToldToEnd::listen()
        .map_err(|error| Problem::error("serve::signals", format!("the system lets nobody end it: {error}")))?;
    let scheme = if matches!(settings.transport, Transport::Plain | Transport::Proxy(_)) { "http" } else { "https" };
    let running = server::serve(settings).await.map_err(Failure)?;
    remark(&format!("serving at {scheme}://{}", running.address()));
    if let Some(first) = near.first() {
        tell_phones(*first, &near);
    }
    if let (Some(address), Some(fingerprint)) = (running.certificate_address(), running.fingerprint()) {
        if !args.lan {
            remark(&format!("the local authority's certificate is at http://{address}/"));
        }
        remark(&format!("compare before you trust it: SHA-256 {fingerprint}"));
    }
    running.until(told).await;
    Ok(Outcome::Done)
}

/// What a phone in the house does, with a code for each step.
fn tell_phones(first: std::net::Ipv4Addr, all: &[std::net::Ipv4Addr]) {
    let (pages, certificate) = lan::PORTS;
    for (step, address) in [
        (
            "1. On the phone, fetch the certificate of the local authority and install it as trusted:",
            format!("http://{first}:{certificate}/"),
        ),
        ("2. Then open the pages, and sign in:", format!("https://{first}:{pages}/")),
    ] {
        remark(&format!("\n{step}\n{address}"));
        if let Some(code) = lan::code(&address) {
            remark(&code);
        }
    }
    if let [_, others @ ..] = all
        && !others.is_empty()
    {
        let others: Vec<String> = others.iter().map(ToString::to_string).collect();
        remark(&format!("this machine is also reached at {}", others.join(", ")));
    }
}

fn location(books: &Books) -> Result<Location, Problems> {
    let named = super::desk::named_books(books.books.as_deref());
    Ok(Location::parse(named.as_deref().unwrap_or("books.db")).map_err(|problem| problem.at("--books"))?)
}
