//! Handlers for visits.

use axum::Json;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

use super::App;
use super::car_api::{Confirm, confirmed};
use super::problem::{Asked, Body, Numbered, Problem};
use super::views::ProblemView;
use super::visit_views::{
    EnteredWish, EntryWanted, EntryWish, VisitLineView, VisitStart, VisitView,
};
use crate::present;
use crate::store::{Store, StoreFault};
use crate::text;
use crate::visiting::now;
use crate::visiting::toe::{self, Telling};

/// Which visits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Which {
    /// Of this car alone.
    car: Option<i64>,
}

/// All visits, newest first.
#[utoipa::path(get, path = "/api/v1/visits", tag = "visits", params(("car" = Option<i64>, Query, description = "Of this car alone")), responses(
    (status = 200, body = Vec<VisitLineView>),
    (status = 400, body = ProblemView, content_type = "application/problem+json", description = "No such number"),
    (status = 503, body = ProblemView, content_type = "application/problem+json", description = "The store cannot be used")))]
pub(super) async fn visits(
    State(app): State<App>,
    Asked(which): Asked<Which>,
) -> Result<Json<Vec<VisitLineView>>, Problem> {
    let lines = app
        .visits
        .run(move |store| present::visit_lines(store, which.car))
        .await
        .map_err(present::store_problem)?;
    Ok(Json(lines))
}

/// Begins a visit of a car and takes it to hand: finished procedures go into it from now on.
#[utoipa::path(post, path = "/api/v1/visits", tag = "visits", request_body = VisitStart, responses(
    (status = 201, body = VisitView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such car")))]
pub(super) async fn begin(
    State(app): State<App>,
    Body(start): Body<VisitStart>,
) -> Result<(StatusCode, Json<VisitView>), Problem> {
    let id = app
        .visits
        .run(move |store| store.begin_visit(start.car, env!("CARGO_PKG_VERSION"), &now()))
        .await
        .map_err(present::store_problem)?;
    // What was told of another car's toe is nothing to this one.
    toe::tell(&app.visits, &app.level, Telling::Both).await;
    Ok((StatusCode::CREATED, shown(&app, id).await?))
}

/// One visit as it stands.
#[utoipa::path(get, path = "/api/v1/visits/{id}", tag = "visits", params(("id" = i64, Path)), responses(
    (status = 200, body = VisitView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such visit")))]
pub(super) async fn visit(
    State(app): State<App>,
    Numbered(id): Numbered,
) -> Result<Json<VisitView>, Problem> {
    shown(&app, id).await
}

/// Takes a visit to hand again.
#[utoipa::path(post, path = "/api/v1/visits/{id}/to-hand", tag = "visits", params(("id" = i64, Path)), responses(
    (status = 200, body = VisitView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such visit")))]
pub(super) async fn to_hand(
    State(app): State<App>,
    Numbered(id): Numbered,
) -> Result<Json<VisitView>, Problem> {
    app.visits
        .run(move |store| store.take_to_hand(Some(id)))
        .await
        .map_err(present::store_problem)?;
    toe::tell(&app.visits, &app.level, Telling::Both).await;
    shown(&app, id).await
}

/// Puts the visit at hand away: finished procedures go into no visit then.
#[utoipa::path(post, path = "/api/v1/visits/put-away", tag = "visits", responses((status = 204)))]
pub(super) async fn put_away(State(app): State<App>) -> Result<StatusCode, Problem> {
    app.visits
        .run(|store| store.take_to_hand(None))
        .await
        .map_err(present::store_problem)?;
    Ok(StatusCode::NO_CONTENT)
}

/// Adds an entry. When this is answered the entry is on the disk.
#[utoipa::path(post, path = "/api/v1/visits/{id}/entries", operation_id = "add_entry", tag = "visits", params(("id" = i64, Path)), request_body = EntryWish, responses(
    (status = 200, body = VisitView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such visit or entry"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "The visit is closed"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "A figure cannot be")))]
pub(super) async fn add(
    State(app): State<App>,
    Numbered(id): Numbered,
    Body(wish): Body<EntryWish>,
) -> Result<Json<VisitView>, Problem> {
    present::judge_entry(&wish.what)?;
    // A move takes toe along; a toe that is taken back was none.
    let telling = match wish.what {
        EntryWanted::Moved(_) => Some(Telling::Known),
        EntryWanted::TakenBack { .. } => Some(Telling::Both),
        _ => None,
    };
    app.visits
        .add(id, Some(wish.ask), wish.what.into(), Vec::new())
        .await
        .map_err(present::store_problem)?;
    if let Some(telling) = telling {
        toe::tell(&app.visits, &app.level, telling).await;
    }
    shown(&app, id).await
}

/// Works out toe, setback or offsets from figures that a person measured, and adds the findings.
#[utoipa::path(post, path = "/api/v1/visits/{id}/figures", tag = "visits", params(("id" = i64, Path)), request_body = EnteredWish, responses(
    (status = 200, body = VisitView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such visit"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "A figure is not understood or cannot be")))]
pub(super) async fn figures(
    State(app): State<App>,
    Numbered(id): Numbered,
    Body(wish): Body<EnteredWish>,
) -> Result<Json<VisitView>, Problem> {
    let view = shown(&app, id).await?;
    let run = present::entered_run(&wish.figures, &view.car, view.stage)?;
    app.visits
        .add(
            id,
            Some(wish.ask),
            crate::visit::Entry::Run(Box::new(run)),
            Vec::new(),
        )
        .await
        .map_err(present::store_problem)?;
    toe::tell(&app.visits, &app.level, Telling::Known).await;
    shown(&app, id).await
}

/// Deletes a visit with its recordings. The name of its car has to be given.
#[utoipa::path(delete, path = "/api/v1/visits/{id}", operation_id = "remove_visit", tag = "visits", params(("id" = i64, Path), ("confirm" = String, Query, description = "Name of the car, so that nothing goes by a slip")), responses(
    (status = 204),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such visit"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "Another name than the car's")))]
pub(super) async fn remove(
    State(app): State<App>,
    Numbered(id): Numbered,
    Asked(asked): Asked<Confirm>,
) -> Result<StatusCode, Problem> {
    let view = shown(&app, id).await?;
    confirmed(&view.car.name, &asked)?;
    app.visits
        .run(move |store| store.remove_visit(id))
        .await
        .map_err(present::store_problem)?;
    Ok(StatusCode::NO_CONTENT)
}

/// A visit as one JSON document, recordings included; `hubplumb visits import` takes it.
#[utoipa::path(get, path = "/api/v1/visits/{id}/export.json", tag = "visits", params(("id" = i64, Path)), responses(
    (status = 200, content_type = "application/json", description = "The document of docs/visits.schema.json"),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such visit")))]
pub(super) async fn export_json(
    State(app): State<App>,
    Numbered(id): Numbered,
) -> Result<Response, Problem> {
    let export = app
        .visits
        .run(move |store| store.export(&[id]))
        .await
        .map_err(present::store_problem)?;
    Ok(Json(export).into_response())
}

/// The findings of a visit as a table (RFC 4180).
#[utoipa::path(get, path = "/api/v1/visits/{id}/export.csv", tag = "visits", params(("id" = i64, Path)), responses(
    (status = 200, content_type = "text/csv", description = "A row for each finding"),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such visit")))]
pub(super) async fn export_csv(
    State(app): State<App>,
    Numbered(id): Numbered,
) -> Result<Response, Problem> {
    let export = app
        .visits
        .run(move |store| store.export(&[id]))
        .await
        .map_err(present::store_problem)?;
    let table = export.table().map_err(|why| {
        present::store_problem(StoreFault::NotUnderstood {
            what: text!("Visit {id}", id),
            why: why.to_string().into(),
        })
    })?;
    Ok(([(header::CONTENT_TYPE, "text/csv; charset=utf-8")], table).into_response())
}

async fn shown(app: &App, id: i64) -> Result<Json<VisitView>, Problem> {
    let view = app
        .visits
        .run(move |store: &Store| present::visit_of(store, id))
        .await
        .map_err(present::store_problem)?;
    Ok(Json(view))
}
