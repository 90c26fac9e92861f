//! Refused requests, in the form of RFC 9457.

use std::time::Duration;

use axum::Json;
use axum::extract::rejection::JsonRejection;
use axum::extract::{FromRequest, FromRequestParts, Path, Query, Request};
use axum::http::request::Parts;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;

use super::views::ProblemView;
use crate::text;
use crate::text::Text;

/// Why a request is refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    status: StatusCode,
    code: &'static str,
    title: Text,
    detail: Text,
    remedy: Text,
    again_after: Option<Duration>,
}

impl Problem {
    /// A problem of a kind, with what happened this time and what to do about it.
    pub fn new(
        status: StatusCode,
        code: &'static str,
        title: impl Into<Text>,
        detail: impl Into<Text>,
        remedy: impl Into<Text>,
    ) -> Self {
        Self {
            status,
            code,
            title: title.into(),
            detail: detail.into(),
            remedy: remedy.into(),
            again_after: None,
        }
    }

    /// The same, and when it is worth asking again.
    #[must_use]
    pub(super) fn again_after(mut self, pause: Duration) -> Self {
        self.again_after = Some(pause);
        self
    }

    /// What happened this time.
    pub fn detail(&self) -> &Text {
        &self.detail
    }

    /// Nothing lives at `path`.
    pub fn not_found(path: &str) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "not_found",
            text!("There is nothing here"),
            text!("Nothing lives at {path}.", path),
            text!(
                "Open / for the page; /api/v1/openapi.json lists every address of the interface."
            ),
        )
    }

    /// `path` exists and does not take this method.
    pub fn method_not_allowed(method: &str, path: &str) -> Self {
        Self::new(
            StatusCode::METHOD_NOT_ALLOWED,
            "method_not_allowed",
            text!("This address does not take that method"),
            text!("{path} does not take {method}.", path, method),
            text!("Use the method that /api/v1/openapi.json names for it."),
        )
    }

    /// A page of another origin asks for a change.
    pub fn foreign_page() -> Self {
        Self::new(
            StatusCode::FORBIDDEN,
            "foreign_page",
            text!("Asked for by the page of another site"),
            text!(
                "The browser says that the page of another site sent this request, or does not say that it was the daemon's own."
            ),
            text!("Send it from the daemon's own page, or from a program."),
        )
    }

    /// The daemon is about to end and takes nothing on.
    pub fn stopping() -> Self {
        Self::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "stopping",
            text!("The daemon is stopping"),
            text!("The part of the daemon that runs procedures has ended."),
            text!("Start the daemon again."),
        )
    }

    /// The body is longer than any that is wanted.
    pub(super) fn body_too_large(detail: impl Into<Text>) -> Self {
        Self::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            "body_too_large",
            text!("The body is too large"),
            detail,
            text!(
                "Send at most {most_body_bytes} bytes.",
                most_body_bytes = super::MOST_BODY_BYTES
            ),
        )
    }

    fn body(rejection: &JsonRejection) -> Self {
        let detail = rejection.body_text();
        match rejection {
            JsonRejection::JsonDataError(_) => Self::new(
                StatusCode::UNPROCESSABLE_ENTITY,
                "body_not_understood",
                text!("The body is JSON of another shape"),
                detail,
                text!(
                    "Send the fields that /api/v1/openapi.json names for this address, and no others."
                ),
            ),
            JsonRejection::JsonSyntaxError(_) => Self::new(
                StatusCode::BAD_REQUEST,
                "bad_json",
                text!("The body is not JSON"),
                detail,
                text!("Correct the body at the place named."),
            ),
            JsonRejection::MissingJsonContentType(_) => Self::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                "not_json",
                text!("The body is not said to be JSON"),
                detail,
                text!("Send the header `content-type: application/json`."),
            ),
            _ if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE => {
                Self::body_too_large(detail)
            }
            _ => Self::new(
                StatusCode::BAD_REQUEST,
                "body_unreadable",
                text!("The body could not be read"),
                detail,
                text!("Send the request again."),
            ),
        }
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let view = ProblemView {
            kind: format!("/problems/{}", self.code),
            title: self.title,
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
        if self.status == StatusCode::UNAUTHORIZED {
            // RFC 6750; a browser asks nobody for such a token.
            response.headers_mut().insert(
                header::WWW_AUTHENTICATE,
                HeaderValue::from_static("Bearer realm=\"hubplumb\""),
            );
        }
        if let Some(pause) = self.again_after {
            response.headers_mut().insert(
                header::RETRY_AFTER,
                HeaderValue::from(pause.as_secs().max(1)),
            );
        }
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
                text!("The query of the address is not understood"),
                rejection.body_text(),
                text!(
                    "Send the parameters that /api/v1/openapi.json names for this address, and no others."
                ),
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
