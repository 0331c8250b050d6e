//! Listening on the local network.

use crate::app::App;
use crate::certificate::Certificate;
use crate::connections::{Caps, Doorman, HEADERS_WITHIN};
use crate::hosts::{self, Names};
use crate::problem::Problem;
use crate::{routes, when};
use axum::Router;
use axum::extract::Request;
use axum::response::{IntoResponse, Redirect, Response};
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use axum_server::{Handle, Server};
use hyper_util::rt::TokioTimer;
use std::future::ready;
use std::net::SocketAddr;
use std::time::{Duration, Instant};
use store::By;

/// How often the record's log of changes is carried into the database.
const TIDY: Duration = Duration::from_secs(2);

/// Where to listen; the certificate is the app's.
#[derive(Clone, Debug)]
pub struct Listen {
    /// Address and port.
    pub at: SocketAddr,
    /// Where plain HTTP is led to the encrypted pages; none: nowhere.
    pub redirect_from: Option<SocketAddr>,
    /// How many connections may be open.
    pub caps: Caps,
}

/// Serves the pages until the program is told to stop (Ctrl-C, SIGTERM). `opened` is called with the address once
/// connections are taken.
///
/// # Errors
/// Where the address is taken or the certificate cannot be read.
pub async fn serve(app: App, listen: Listen, opened: impl FnOnce(SocketAddr) + Send + 'static) -> std::io::Result<()> {
    crate::link::one_telephone(&app).map_err(|e| std::io::Error::other(e.to_string()))?;
    let handle = Handle::new();
    let (certificate, names) = (app.certificate().cloned(), app.names().clone());
    let service = routes::router(app.clone()).into_make_service_with_connect_info::<SocketAddr>();
    tokio::spawn({
        let handle = handle.clone();
        async move {
            if let Some(at) = handle.listening().await {
                opened(at);
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
    match certificate {
        Some(served) => {
            let config = RustlsConfig::from_pem_file(&served.chain, &served.key).await?;
            tokio::spawn(reloaded(config.clone(), served));
            if let Some(from) = listen.redirect_from {
                let (handle, doorman) = (handle.clone(), doorman.clone());
                tokio::spawn(async move {
                    let Some(to) = handle.listening().await else { return };
                    let answer = move |request: Request| ready(led(&names, &request, to.port()));
                    let service = Router::new().fallback(answer).into_make_service();
                    if let Err(e) = patient(axum_server::bind(from).acceptor(doorman)).serve(service).await {
                        tracing::error!("{from}: {e}; nothing leads from there to the encrypted pages");
                    }
                });
            }
            let acceptor = RustlsAcceptor::new(config).handshake_timeout(HEADERS_WITHIN).acceptor(doorman);
            patient(axum_server::bind(listen.at).acceptor(acceptor)).handle(handle).serve(service).await
        }
        None => patient(axum_server::bind(listen.at).acceptor(doorman)).handle(handle).serve(service).await,
    }
}

/// How often the certificate's files are looked at.
const LOOK: Duration = Duration::from_secs(2);

/// Takes the certificate's files up again when they are others: who renews a certificate need not stop the shop.
async fn reloaded(config: RustlsConfig, served: Certificate) {
    let stamp = |served: &Certificate| [&served.chain, &served.key].map(|f| std::fs::metadata(f).and_then(|m| m.modified()).ok());
    let mut known = stamp(&served);
    loop {
        tokio::time::sleep(LOOK).await;
        let now = stamp(&served);
        if now == known {
            continue;
        }
        match config.reload_from_pem_file(&served.chain, &served.key).await {
            Ok(()) => tracing::warn!("the certificate's files were read again"),
            // Half of it may be written yet: it is tried again when the files change, and what was read before goes on.
            Err(e) => tracing::error!("the certificate's new files cannot be read, the old ones go on: {e}"),
        }
        known = now;
    }
}

/// From a plain address to the same page, encrypted.
fn led(names: &Names, request: &Request, to: u16) -> Response {
    let path = request.uri().path_and_query().map_or("/", |p| p.as_str());
    match hosts::asked(request.headers()) {
        Ok(Some(host)) if names.takes(host) => {
            Redirect::permanent(&format!("https://{}:{to}{path}", hosts::host_name(host))).into_response()
        }
        _ => Problem::NotOurs.into_response(),
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
