//! A server from its start to its end.

use crate::app::App;
use crate::http::{Gate, gate, panicked};
use crate::routes;
use crate::settings::{Settings, Transport};
use crate::tls::{Fingerprint, Tls};
use axum::Router;
use axum::extract::{ConnectInfo, DefaultBodyLimit};
use axum::middleware::from_fn_with_state;
use axum::response::IntoResponse as _;
use http::{StatusCode, header};
use hyper_util::rt::{TokioExecutor, TokioIo, TokioTimer};
use hyper_util::server::conn::auto::Builder;
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use ledger::Ledger;
use problem::{Problem, Problems};
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};
use tokio::task::JoinHandle;
use tokio_rustls::TlsAcceptor;
use tower::ServiceExt as _;
use tower_http::catch_panic::CatchPanicLayer;

/// The largest body that a route reads, unless it says otherwise.
const BODY_BYTES: usize = 1024 * 1024;
/// Connections at one time; more wait to be taken.
const CONNECTIONS: usize = 1024;
/// How long a client may take over its greeting.
const GREETING: Duration = Duration::from_secs(10);
/// How long a connection may rest between requests, and a head of a request may take. Longer than clients like to
/// keep one, so that they seldom send into one that is being closed.
const REST: Duration = Duration::from_mins(2);
/// How often the certificate is made or read anew.
const RENEWAL: Duration = Duration::from_hours(24);

/// A server that answers.
#[derive(Debug)]
pub struct Running {
    app: App,
    address: SocketAddr,
    certificate_address: Option<SocketAddr>,
    fingerprint: Option<Fingerprint>,
    stop: watch::Sender<bool>,
    tasks: Vec<JoinHandle<()>>,
}

/// Opens the ledger and begins to answer.
///
/// # Errors
/// The ledger does not open; the address is not loopback and there is no TLS, or no owner's sign-in; the
/// certificate cannot be used; the address is taken.
pub async fn serve(settings: Settings) -> Result<Running, Problems> {
    let mut problems = Problems::new();
    let loopback = settings.address.ip().is_loopback();
    if !loopback && matches!(settings.transport, Transport::Plain | Transport::Proxy(_)) {
        problems.push(
            Problem::error(
                "server::no-tls",
                format!("`{}` is reached from other machines, without TLS", settings.address),
            )
            .expected("TLS, or an address of this machine alone such as `127.0.0.1:7878`")
            .mend("add `--tls authority`, or `--certificate` and `--key`"),
        );
    }
    if settings.certificate_port.is_some() && !matches!(settings.transport, Transport::Authority(_)) {
        problems.push(
            Problem::error(
                "server::certificate-port",
                "there is no local authority whose certificate could be fetched",
            )
            .mend("leave `--certificate-port` out, or add `--tls authority`"),
        );
    }
    if settings.require_second_factor && !settings.needs_sign_in() {
        problems.push(
            Problem::error(
                "server::second-factor-without-sign-in",
                "on loopback nobody signs in, with a code or without",
            )
            .mend("leave `--require-second-factor` out, or add `--tls` or `--behind-proxy`"),
        );
    }
    let ledger = Ledger::open(&settings.location).await.map_err(|error| error.problems())?;
    let account = ledger.open_account(&settings.account).await.map_err(|error| error.problems())?;
    if settings.needs_sign_in() && !ledger.access().has_owner().await.map_err(|error| error.problems())? {
        problems.push(
            Problem::error("server::no-owner", "nobody could sign in: there is no owner")
                .expected("the sign-in of an owner, since the server is not on loopback alone")
                .mend("make one first: `tussock serve owner --name NAME` with the same books"),
        );
    }
    let today = today();
    let tls = match Tls::new(&settings, today) {
        Ok(tls) => tls,
        Err(found) => {
            problems.extend(found);
            None
        }
    };
    if problems.has_errors() {
        ledger.close().await;
        return Err(problems);
    }
    let listener = listen(settings.address).await?;
    let address = listener.local_addr().unwrap_or(settings.address);
    let (router, openapi) = routes::all().split();
    let openapi = routes::described(openapi);
    let app = App::new(ledger, account, settings.clone(), openapi);
    let router = router_of(router, &app);
    let (stop, stopped) = watch::channel(false);
    let mut tasks = Vec::new();
    let mut certificate_address = None;
    if let (Some(port), Some(tls)) = (settings.certificate_port, &tls) {
        let listener = listen(SocketAddr::new(settings.address.ip(), port)).await?;
        certificate_address = listener.local_addr().ok();
        tasks.push(tokio::spawn(accept(listener, certificate_router(tls), None, stopped.clone(), settings.drain)));
    }
    if let Some(tls) = tls.clone() {
        tasks.push(tokio::spawn(renew(tls, settings.clone(), stopped.clone())));
    }
    let acceptor = tls.as_ref().map(|tls| TlsAcceptor::from(tls.config.clone()));
    tasks.push(tokio::spawn(accept(listener, router, acceptor, stopped, settings.drain)));
    let fingerprint = tls.and_then(|tls| Some(tls.authority?.fingerprint()));
    tracing::info!(%address, sign_in = settings.needs_sign_in(), tls = settings.is_secure(), "answering");
    Ok(Running { app, address, certificate_address, fingerprint, stop, tasks })
}

impl Running {
    /// Where it listens.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Where the local authority's certificate is fetched.
    pub fn certificate_address(&self) -> Option<SocketAddr> {
        self.certificate_address
    }

    /// The fingerprint of the local authority's certificate.
    pub fn fingerprint(&self) -> Option<&Fingerprint> {
        self.fingerprint.as_ref()
    }

    /// What requests are answered with.
    pub fn app(&self) -> &App {
        &self.app
    }

    /// Takes no new work, ends what is under way as long as the settings allow, and closes the ledger.
    pub async fn stop(self) {
        self.app.stop();
        self.stop.send_replace(true);
        for task in self.tasks {
            let _ = task.await;
        }
        self.app.ledger().close().await;
        tracing::info!("ended");
    }

    /// Answers until the system asks to end, then stops.
    pub async fn until(self, told: ToldToEnd) {
        told.come().await;
        tracing::info!("told to end");
        self.stop().await;
    }
}

/// The date in UTC: certificates begin a day early and end a day late.
fn today() -> jiff::civil::Date {
    jiff::tz::Offset::UTC.to_datetime(jiff::Timestamp::now()).date()
}

/// Hears the system ask to end: Ctrl-C, or SIGTERM. It hears from when it is made, so that who starts a server makes
/// it first: told at any later moment, the server ends in good order.
#[derive(Debug)]
pub struct ToldToEnd {
    #[cfg(unix)]
    signals: [tokio::signal::unix::Signal; 2],
}

impl ToldToEnd {
    /// Begins to listen, in a runtime.
    ///
    /// # Errors
    /// The system does not let it.
    pub fn listen() -> std::io::Result<Self> {
        Ok(Self {
            #[cfg(unix)]
            signals: {
                use tokio::signal::unix::{SignalKind, signal};
                [signal(SignalKind::interrupt())?, signal(SignalKind::terminate())?]
            },
        })
    }

    #[cfg(unix)]
    async fn come(self) {
        let [mut interrupt, mut terminate] = self.signals;
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
    }

    #[cfg(not(unix))]
    async fn come(self) {
        drop(tokio::signal::ctrl_c().await);
    }
}

/// The routes with everything that stands before and after them.
pub(crate) fn router_of(router: Router<App>, app: &App) -> Router {
    let method = || async {
        crate::http::Refusal::new(
            StatusCode::METHOD_NOT_ALLOWED,
            Problem::error("server::method", "this address does not take this method")
                .expected("a method that `/api/openapi.json` lists"),
        )
    };
    router
        .fallback(crate::pages::page)
        .method_not_allowed_fallback(method)
        .layer(CatchPanicLayer::custom(panicked))
        .layer(DefaultBodyLimit::max(BODY_BYTES))
        .layer(from_fn_with_state(Gate::new(app.clone()), gate))
        .with_state(app.clone())
}

/// The certificate of the local authority and nothing else: a phone fetches it before it can trust us.
fn certificate_router(tls: &Tls) -> Router {
    let der = tls.authority.as_ref().map(|authority| authority.certificate().to_vec()).unwrap_or_default();
    let answer = move || {
        let der = der.clone();
        async move {
            let headers = [
                (header::CONTENT_TYPE, "application/x-x509-ca-cert"),
                (header::CONTENT_DISPOSITION, "attachment; filename=\"tussock-authority.crt\""),
                (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
            ];
            (headers, der).into_response()
        }
    };
    Router::new().route("/", axum::routing::get(answer))
}

async fn listen(address: SocketAddr) -> Result<TcpListener, Problem> {
    TcpListener::bind(address).await.map_err(|error| {
        Problem::error("server::address", format!("`{address}` cannot be listened on: {error}"))
            .mend("end the program that listens there, or name another address with `--address`")
    })
}

async fn renew(tls: Tls, settings: Settings, mut stopped: watch::Receiver<bool>) {
    loop {
        tokio::select! {
            _ = stopped.wait_for(|stopped| *stopped) => return,
            () = tokio::time::sleep(RENEWAL) => {}
        }
        if let Err(problems) = tls.renew(&settings, today()) {
            tracing::error!(%problems, "the certificate could not be renewed");
        }
    }
}

/// Takes connections until told to stop, then waits for those under way.
async fn accept(
    listener: TcpListener,
    router: Router,
    acceptor: Option<TlsAcceptor>,
    mut stopped: watch::Receiver<bool>,
    drain: Duration,
) {
    let places = Arc::new(Semaphore::new(CONNECTIONS));
    let graceful = Arc::new(GracefulShutdown::new());
    loop {
        let next = async {
            let place = places.clone().acquire_owned().await;
            (place, listener.accept().await)
        };
        let (place, taken) = tokio::select! {
            _ = stopped.wait_for(|stopped| *stopped) => break,
            next = next => next,
        };
        let (stream, client) = match taken {
            Ok(taken) => taken,
            Err(error) => {
                // Out of file descriptors, mostly: others end soon.
                tracing::warn!(%error, "a connection was not taken");
                tokio::time::sleep(Duration::from_millis(100)).await;
                continue;
            }
        };
        let (router, acceptor, watcher) = (router.clone(), acceptor.clone(), graceful.watcher());
        tokio::spawn(async move {
            let _place = place;
            let _ = stream.set_nodelay(true);
            match acceptor {
                None => converse(stream, client, router, watcher).await,
                Some(acceptor) => {
                    if let Some(stream) = greeted(acceptor, stream).await {
                        converse(stream, client, router, watcher).await;
                    }
                }
            }
        });
    }
    drop(listener);
    let Ok(graceful) = Arc::try_unwrap(graceful) else { return };
    if tokio::time::timeout(drain, graceful.shutdown()).await.is_err() {
        tracing::warn!("some requests were broken off at the end");
    }
}

async fn greeted(acceptor: TlsAcceptor, stream: TcpStream) -> Option<tokio_rustls::server::TlsStream<TcpStream>> {
    tokio::time::timeout(GREETING, acceptor.accept(stream)).await.ok()?.ok()
}

async fn converse<S>(stream: S, client: SocketAddr, router: Router, watcher: hyper_util::server::graceful::Watcher)
where
    S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
{
    let service = router.map_request(move |mut request: http::Request<hyper::body::Incoming>| {
        request.extensions_mut().insert(ConnectInfo(client));
        request.map(axum::body::Body::new)
    });
    let mut builder = Builder::new(TokioExecutor::new());
    builder.http1().timer(TokioTimer::new()).header_read_timeout(REST);
    builder.http2().timer(TokioTimer::new()).keep_alive_interval(Duration::from_secs(30)).max_concurrent_streams(100);
    let connection = builder.serve_connection(TokioIo::new(stream), TowerToHyperService::new(service)).into_owned();
    // A connection that breaks is its client's matter.
    let _ = watcher.watch(connection).await;
}
