//! Listening on the local network.

use crate::app::App;
use crate::connections::{Caps, Doorman, HEADERS_WITHIN};
use crate::{routes, when};
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use axum_server::{Handle, Server};
use hyper_util::rt::TokioTimer;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::{Duration, Instant};
use store::By;

/// How often the record's log of changes is carried into the database.
const TIDY: Duration = Duration::from_secs(2);

/// Where to listen, and with which certificate.
#[derive(Clone, Debug)]
pub struct Listen {
    /// Address and port.
    pub at: SocketAddr,
    /// Certificate chain and key, PEM files; none: plain HTTP.
    pub tls: Option<(PathBuf, PathBuf)>,
    /// How many connections may be open.
    pub caps: Caps,
}

/// Serves the pages until the program is told to stop (Ctrl-C, SIGTERM). `ready` is called with the address once
/// connections are taken.
///
/// # Errors
/// Where the address is taken or the certificate cannot be read.
pub async fn serve(app: App, listen: Listen, ready: impl FnOnce(SocketAddr) + Send + 'static) -> std::io::Result<()> {
    let handle = Handle::new();
    let service = routes::router(app.clone()).into_make_service_with_connect_info::<SocketAddr>();
    tokio::spawn({
        let handle = handle.clone();
        async move {
            if let Some(at) = handle.listening().await {
                ready(at);
            }
        }
    });
    tokio::spawn({
        let handle = handle.clone();
        async move {
            told_to_stop().await;
            handle.graceful_shutdown(Some(Duration::from_secs(5)));
        }
    });
    tokio::spawn({
        let app = app.clone();
        async move {
            let mut clock = (Instant::now(), when::now());
            loop {
                tokio::time::sleep(TIDY).await;
                let before = std::mem::replace(&mut clock, (Instant::now(), when::now()));
                if let Some(by_s) = when::jump_s(before.1, clock.1, clock.0.duration_since(before.0).as_secs()) {
                    let set = app.blocking(move |app| Ok(app.store().clock_jumped(By { who: "clock", at: when::now() }, by_s)?)).await;
                    tracing::warn!("the clock jumped by {by_s} s; timers that ran with it: {set:?}");
                }
                if let Err(problem) = app.blocking(|app| Ok(app.store().tidy()?)).await {
                    tracing::error!("tidying: {problem}");
                }
            }
        }
    });
    tokio::spawn(async move {
        loop {
            tokio::time::sleep(Duration::from_secs(600)).await;
            app.limits().sweep();
        }
    });
    let doorman = Doorman::new(listen.caps);
    match listen.tls {
        Some((certificate, key)) => {
            let config = RustlsConfig::from_pem_file(certificate, key).await?;
            let acceptor = RustlsAcceptor::new(config).handshake_timeout(HEADERS_WITHIN).acceptor(doorman);
            patient(axum_server::bind(listen.at).acceptor(acceptor)).handle(handle).serve(service).await
        }
        None => patient(axum_server::bind(listen.at).acceptor(doorman)).handle(handle).serve(service).await,
    }
}

/// A server that waits for headers no longer than it must.
fn patient<A>(server: Server<SocketAddr, A>) -> Server<SocketAddr, A> {
    let mut server = server.http1_only();
    server.http_builder().http1().timer(TokioTimer::new()).header_read_timeout(HEADERS_WITHIN);
    server
}

async fn told_to_stop() {
    use tokio::signal::unix::{SignalKind, signal};
    match signal(SignalKind::terminate()) {
        Ok(mut term) => {
            tokio::select! {
                _ = term.recv() => {}
                _ = tokio::signal::ctrl_c() => {}
            }
        }
        Err(_) => {
            let _ = tokio::signal::ctrl_c().await;
        }
    }
}
