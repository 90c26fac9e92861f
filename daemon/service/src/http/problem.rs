//! Refused requests, in the form of RFC 9457.

use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::extract::{FromRequest, FromRequestParts, Path, Query, Request};
use axum::http::request::Parts;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;

use super::views::ProblemView;

/// Why a request is refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    status: StatusCode,
    code: &'static str,
    title: &'static str,
    detail: String,
    remedy: String,
}

impl Problem {
    /// A problem of a kind, with what happened this time and what to do about it.
    pub fn new(
        status: StatusCode,
        code: &'static str,
        title: &'static str,
        detail: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            status,
            code,
            title,
            detail: detail.into(),
            remedy: remedy.into(),
        }
    }

    /// What happened this time.
    pub fn detail(&self) -> &str {
        &self.detail
    }

    /// Nothing lives at `path`.
    pub fn not_found(path: &str) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "not_found",
            "There is nothing here",
            format!("Nothing lives at {path}."),
            "Open / for the page; /api/v1/openapi.json lists every address of the interface.",
        )
    }

    /// `path` exists and does not take this method.
    pub fn method_not_allowed(method: &str, path: &str) -> Self {
        Self::new(
            StatusCode::METHOD_NOT_ALLOWED,
            "method_not_allowed",
            "This address does not take that method",
            format!("{path} does not take {method}."),
            "Use the method that /api/v1/openapi.json names for it.",
        )
    }

    /// A page of another origin asks for a change.
    pub fn foreign_page() -> Self {
        Self::new(
            StatusCode::FORBIDDEN,
            "foreign_page",
            "Asked for by the page of another site",
            "The browser says that the page of another site sent this request.",
            "Send it from the daemon's own page, or from a program.",
        )
    }

    /// The daemon is about to end and takes nothing on.
    pub fn stopping() -> Self {
        Self::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "stopping",
            "The daemon is stopping",
            "The part of the daemon that runs procedures has ended.",
            "Start the daemon again.",
        )
    }

    /// The body is longer than any that is wanted.
    pub(super) fn body_too_large(detail: impl Into<String>) -> Self {
        Self::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            "body_too_large",
            "The body is too large",
            detail,
            format!("Send at most {} bytes.", super::MOST_BODY_BYTES),
        )
    }

    fn body(rejection: &JsonRejection) -> Self {
        let detail = rejection.body_text();
        match rejection {
            JsonRejection::JsonDataError(_) => Self::new(
                StatusCode::UNPROCESSABLE_ENTITY,
                "body_not_understood",
                "The body is JSON of another shape",
                detail,
                "Send the fields that /api/v1/openapi.json names for this address, and no others.",
            ),
            JsonRejection::JsonSyntaxError(_) => Self::new(
                StatusCode::BAD_REQUEST,
                "bad_json",
                "The body is not JSON",
                detail,
                "Correct the body at the place named.",
            ),
            JsonRejection::MissingJsonContentType(_) => Self::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "not_json",
                "The body is not said to be JSON",
                detail,
                "Send the header `content-type: application/json`.",
            ),
            _ if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE => {
                Self::body_too_large(detail)
            }
            _ => Self::new(
                StatusCode::BAD_REQUEST,
                "body_unreadable",
                "The body could not be read",
                detail,
                "Send the request again.",
            ),
        }
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let view = ProblemView {
            kind: format!("/problems/{}", self.code),
            title: self.title.to_owned(),
            status: self.status.as_u16(),
            detail: self.detail,
            remedy: self.remedy,
            code: self.code.to_owned(),
        };
        let mut response = (self.status, Json(view)).into_response();
        response.headers_mut().insert(
            header::CONTENT_TYPE,
            HeaderValue::from_static("application/problem+json"),
        );
        response
    }
}

/// The query of an address; what is wrong with it is told as a [`Problem`].
#[derive(Debug)]
pub struct Asked<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for Asked<T> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        match Query::<T>::from_request_parts(parts, state).await {
            Ok(Query(asked)) => Ok(Self(asked)),
            Err(rejection) => Err(Problem::new(
                StatusCode::BAD_REQUEST,
                "query_not_understood",
                "The query of the address is not understood",
                rejection.body_text(),
                "Send the parameters that /api/v1/openapi.json names for this address, and no others.",
            )),
        }
    }
}

/// The number in an address, e.g. of a car.
#[derive(Debug, Clone, Copy)]
pub struct Numbered(pub i64);

impl<S: Send + Sync> FromRequestParts<S> for Numbered {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        match Path::<i64>::from_request_parts(parts, state).await {
            Ok(Path(number)) => Ok(Self(number)),
            Err(_) => Err(Problem::not_found(parts.uri.path())),
        }
    }
}

/// A JSON body; what is wrong with it is told as a [`Problem`].
#[derive(Debug)]
pub struct Body<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Body<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        match Json::<T>::from_request(request, state).await {
            Ok(Json(body)) => Ok(Self(body)),
            Err(rejection) => Err(Problem::body(&rejection)),
        }
    }
}
