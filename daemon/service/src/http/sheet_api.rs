//! The sheet of a visit, to be shown and printed.

use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::{Html, IntoResponse, Response};
use serde::Deserialize;

use super::App;
use super::problem::{Asked, Numbered, Problem};
use super::views::ProblemView;
use crate::present;
use crate::sheet::{self, Angles, Paper, SheetOptions};
use crate::text::Language;
use crate::visiting::now;

/// The sheet brings its style along and nothing else runs or is fetched.
const CONTENT_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// How a sheet is wanted.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SheetWish {
    /// Degrees and minutes; the word alone is enough.
    minutes: Option<String>,
    /// Paper.
    #[serde(default)]
    paper: Paper,
    /// Language, which [`Language::at_hand`] has taken already.
    #[serde(rename = "language")]
    _language: Option<String>,
}

/// The sheet of a visit as one HTML file that needs nothing else.
#[utoipa::path(get, path = "/sheet/{id}", tag = "visits", params(
    ("id" = i64, Path),
    ("minutes" = Option<String>, Query, description = "Angles in degrees and minutes; any value, or none"),
    ("paper" = Option<String>, Query, description = "a4 or letter; a4 where nothing is said"),
    ("language" = Option<String>, Query, description = "en or de; else as Accept-Language says")), responses(
    (status = 200, content_type = "text/html", description = "The sheet"),
    (status = 400, body = ProblemView, content_type = "application/problem+json", description = "No such paper"),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such visit")))]
pub(super) async fn sheet(
    State(app): State<App>,
    Numbered(id): Numbered,
    Asked(wish): Asked<SheetWish>,
) -> Result<Response, Problem> {
    let options = SheetOptions {
        angles: Angles::minutes(wish.minutes.is_some()),
        paper: wish.paper,
        // The store is read elsewhere, where nobody asks.
        language: Language::at_hand(),
        made_at: now(),
    };
    let html = app
        .visits
        .run(move |store| sheet::of(store, id, &options))
        .await
        .map_err(present::store_problem)?;
    let mut response = Html(html).into_response();
    response.headers_mut().insert(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(CONTENT_POLICY),
    );
    Ok(response)
}
