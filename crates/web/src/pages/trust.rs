//! How a tablet learns to trust this shop's certificate. Public: it is read before anybody can sign in.

use crate::app::App;
use crate::problem::{Outcome, Problem};
use crate::{certificate, layout};
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

/// The page.
///
/// # Errors
/// Where the certificate's file cannot be read.
pub async fn page(State(app): State<App>) -> Outcome<Markup> {
    app.blocking(|app| {
        let Some(served) = app.certificate() else {
            return Ok(layout::bare(
                "Trust",
                html! {
                    h1 { "This connection is not encrypted" }
                    p { "The pages are served for this machine alone, or somebody started the program with --insecure. There is no certificate to trust." }
                },
            ));
        };
        let prints = certificate::fingerprints(&served.chain).map_err(|e| Problem::Broken(format!("the certificate: {e}")))?;
        Ok(layout::bare(
            "Trust",
            html! {
                h1 { "Trust this shop's machine" }
                p { "Everything between this tablet and the shop's machine is encrypted. The tablet does not know the machine yet, so it warns. Do this once on each tablet." }
                ol {
                    li { "Go to the shop's machine. Its window shows a fingerprint: letters and numbers in pairs." }
                    li { "On the tablet, open the warning's details and look for the certificate's SHA-256 fingerprint. Compare it with the one at the machine, not with the one on this page." }
                    li { strong { "The same: " } "go on. " strong { "Another: " } "stop. Somebody stands between this tablet and the machine. Tell the owner, and do not type a password." }
                    @if served.own { li { "To end the warning for good: " a href="/trust/certificate.pem" { "download the shop's authority" } ", then install it in the tablet's settings, under security, as a CA certificate. Some tablets also ask you to switch it on in the list of trusted certificates. Compare the authority's fingerprint too." } }
                }
                @for (i, print) in prints.iter().enumerate() {
                    h2 { @if i == 0 { "Fingerprint (SHA-256) of the certificate" } @else { "of the authority that signed it" } }
                    p.num style="overflow-wrap:anywhere" { (print) }
                }
                @if served.own { p.soft.small { "The authority signed this one certificate and its key was thrown away: it can vouch for no other machine. The certificate holds for 800 days; shortly before that a new one is made when the program starts, and tablets have to learn it again." } }
                p { a href="/sign-in" { "To sign in" } }
            },
        ))
    })
    .await
}

/// The authority, to be installed.
///
/// # Errors
/// Where the program made none.
pub async fn authority(State(app): State<App>) -> Outcome<Response> {
    app.blocking(|app| {
        let none = || Problem::Missing("there is no certificate of the program's own here".to_owned());
        let served = app.certificate().filter(|c| c.own).ok_or_else(none)?;
        let pem = certificate::authority(&served.chain).map_err(|e| Problem::Broken(format!("the certificate: {e}")))?.ok_or_else(none)?;
        let headers = [(CONTENT_TYPE, "application/x-x509-ca-cert"), (CONTENT_DISPOSITION, "attachment; filename=\"shop-authority.pem\"")];
        Ok((headers, pem).into_response())
    })
    .await
}
