//! The embedded page.

use axum::body::Body;
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};

use super::problem::Problem;

/// Only our own scripts run; styles may be set from them.
const CONTENT_POLICY: &str = "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; \
     object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Serves a file of the page; everything that is none is a problem.
pub(super) async fn page(method: Method, uri: Uri, headers: HeaderMap) -> Response {
    let path = uri.path();
    let file = match path.trim_start_matches('/') {
        "" => "index.html",
        file => file,
    };
    if path.starts_with("/api/") {
        return Problem::not_found(path).into_response();
    }
    let Some(asset) = hubplumb_web_ui::asset(file) else {
        return Problem::not_found(path).into_response();
    };
    if method != Method::GET && method != Method::HEAD {
        return Problem::method_not_allowed(method.as_str(), path).into_response();
    }
    let known = headers
        .get(header::IF_NONE_MATCH)
        .and_then(|tags| tags.to_str().ok())
        .is_some_and(|tags| {
            tags.split(',')
                .any(|tag| tag.trim().trim_start_matches("W/") == asset.etag)
        });
    let mut response = if known {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        let mut response = Response::new(Body::from(asset.bytes.into_owned()));
        set(
            response.headers_mut(),
            header::CONTENT_TYPE,
            asset.content_type,
        );
        response
    };
    let headers = response.headers_mut();
    // Files that carry their content's hash in their name never change; the others are asked for anew.
    let caching = if asset.immutable {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    set(headers, header::CACHE_CONTROL, caching);
    set(headers, header::ETAG, &asset.etag);
    headers.insert(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(CONTENT_POLICY),
    );
    response
}

fn set(headers: &mut HeaderMap, name: header::HeaderName, value: &str) {
    match HeaderValue::from_str(value) {
        Ok(value) => {
            headers.insert(name, value);
        }
        Err(error) => {
            tracing::error!(%name, value, %error, "an embedded file has an unusable header");
        }
    }
}
