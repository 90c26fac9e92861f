//! The ways in, for whoever has one already and brings in another tablet.

use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};

use super::problem::Problem;
use super::reach_views::ReachView;
use super::views::ProblemView;
use crate::reach::ReachDesk;
use crate::text;

/// Where the certificate is, in binary: what tablets take most readily.
pub(super) const CERTIFICATE_CRT: &str = "/certificate.crt";
/// Where it is as text.
pub(super) const CERTIFICATE_PEM: &str = "/certificate.pem";

/// The kind that systems offer to trust when they are given it.
const AUTHORITY: &str = "application/x-x509-ca-cert";

/// Addresses, codes for a camera, the announced name and the certificate.
#[utoipa::path(get, path = "/api/v1/reach", tag = "daemon", responses((status = 200, body = ReachView)))]
pub(super) async fn reach(Extension(reach): Extension<ReachDesk>) -> Json<ReachView> {
    Json(ReachView::of(&reach.ways()))
}

/// The certificate that a tablet may trust, in binary (DER).
#[utoipa::path(get, path = "/certificate.crt", tag = "daemon", responses(
    (status = 200, content_type = "application/x-x509-ca-cert", body = Vec<u8>),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "HTTPS is off")))]
pub(super) async fn certificate_crt(
    Extension(reach): Extension<ReachDesk>,
) -> Result<Response, Problem> {
    let facts = reach.ways().certificate.ok_or_else(none)?;
    Ok(([(header::CONTENT_TYPE, AUTHORITY)], facts.der.to_vec()).into_response())
}

/// The same as text (PEM).
#[utoipa::path(get, path = "/certificate.pem", tag = "daemon", responses(
    (status = 200, content_type = "application/x-pem-file", body = String),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "HTTPS is off")))]
pub(super) async fn certificate_pem(
    Extension(reach): Extension<ReachDesk>,
) -> Result<Response, Problem> {
    let facts = reach.ways().certificate.ok_or_else(none)?;
    let kind = [(header::CONTENT_TYPE, "application/x-pem-file")];
    Ok((kind, facts.pem.to_string()).into_response())
}

fn none() -> Problem {
    Problem::new(
        axum::http::StatusCode::NOT_FOUND,
        "no_certificate",
        text!("There is no certificate"),
        text!("The page is served over plain HTTP."),
        text!(
            "Start hubplumb with --https, or write https = true under [http] in the configuration."
        ),
    )
}
