//! Handlers for cars.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::Deserialize;

use super::App;
use super::problem::{Asked, Body, Numbered, Problem};
use super::views::ProblemView;
use super::visit_views::{CarText, CarView};
use crate::car::{self, CarRecord};
use crate::present;
use crate::store::Store;
use crate::text;
use crate::visiting::now;

/// A deletion asks: what is to be deleted has to be named.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Confirm {
    /// Name of the car, as it is shown; of a visit: the name of its car.
    pub(super) confirm: String,
}

/// All cars, in the order they were added.
#[utoipa::path(get, path = "/api/v1/cars", tag = "cars", responses(
    (status = 200, body = Vec<CarView>),
    (status = 503, body = ProblemView, content_type = "application/problem+json", description = "The store cannot be used")))]
pub(super) async fn cars(State(app): State<App>) -> Result<Json<Vec<CarView>>, Problem> {
    let cars = app
        .visits
        .run(Store::cars)
        .await
        .map_err(present::store_problem)?;
    Ok(Json(cars.into_iter().map(present::car_view).collect()))
}

/// One car.
#[utoipa::path(get, path = "/api/v1/cars/{id}", tag = "cars", params(("id" = i64, Path)), responses(
    (status = 200, body = CarView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such car")))]
pub(super) async fn car(
    State(app): State<App>,
    Numbered(id): Numbered,
) -> Result<Json<CarView>, Problem> {
    shown(&app, id).await
}

/// Keeps a new car.
#[utoipa::path(post, path = "/api/v1/cars", operation_id = "add_car", tag = "cars", request_body = CarRecord, responses(
    (status = 201, body = CarView),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "A figure cannot be")))]
pub(super) async fn add(
    State(app): State<App>,
    Body(record): Body<CarRecord>,
) -> Result<(StatusCode, Json<CarView>), Problem> {
    keep(&app, record).await
}

/// Keeps a new car from the text of a file, TOML or JSON.
#[utoipa::path(post, path = "/api/v1/cars/import", tag = "cars", request_body = CarText, responses(
    (status = 201, body = CarView),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "The text is no car")))]
pub(super) async fn import(
    State(app): State<App>,
    Body(file): Body<CarText>,
) -> Result<(StatusCode, Json<CarView>), Problem> {
    let record = car::read(&file.text).map_err(|why| present::car_file_problem(&why))?;
    keep(&app, record).await
}

/// Puts another record in the place of a car's. Visits keep the one they began with.
#[utoipa::path(put, path = "/api/v1/cars/{id}", tag = "cars", params(("id" = i64, Path)), request_body = CarRecord, responses(
    (status = 200, body = CarView),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such car"),
    (status = 422, body = ProblemView, content_type = "application/problem+json", description = "A figure cannot be")))]
pub(super) async fn change(
    State(app): State<App>,
    Numbered(id): Numbered,
    Body(record): Body<CarRecord>,
) -> Result<Json<CarView>, Problem> {
    judged(&record)?;
    app.visits
        .run(move |store| store.change_car(id, &record, &now()))
        .await
        .map_err(present::store_problem)?;
    shown(&app, id).await
}

/// Forgets a car; its visits stay. The name has to be given.
#[utoipa::path(delete, path = "/api/v1/cars/{id}", operation_id = "remove_car", tag = "cars", params(("id" = i64, Path), ("confirm" = String, Query, description = "Name of the car, so that nothing goes by a slip")), responses(
    (status = 204),
    (status = 404, body = ProblemView, content_type = "application/problem+json", description = "No such car"),
    (status = 409, body = ProblemView, content_type = "application/problem+json", description = "Another name than the car's")))]
pub(super) async fn remove(
    State(app): State<App>,
    Numbered(id): Numbered,
    Asked(asked): Asked<Confirm>,
) -> Result<StatusCode, Problem> {
    let name = app
        .visits
        .run(move |store| store.car(id))
        .await
        .map_err(present::store_problem)?
        .record
        .name;
    confirmed(&name, &asked)?;
    app.visits
        .run(move |store| store.remove_car(id))
        .await
        .map_err(present::store_problem)?;
    Ok(StatusCode::NO_CONTENT)
}

pub(super) fn confirmed(name: &str, asked: &Confirm) -> Result<(), Problem> {
    if asked.confirm == name {
        return Ok(());
    }
    Err(Problem::new(
        StatusCode::CONFLICT,
        "not_confirmed",
        text!("A deletion has to name what is deleted"),
        text!(
            "`confirm` is {confirm}; the name is {name}.",
            confirm = format!("{:?}", asked.confirm),
            name = format!("{:?}", name)
        ),
        text!("Send the name as `confirm`, if it is to go."),
    ))
}

fn judged(record: &CarRecord) -> Result<(), Problem> {
    let bad = car::judge(record);
    if bad.is_empty() {
        Ok(())
    } else {
        Err(present::car_file_problem(&car::CarFileError::Wrong(bad)))
    }
}

async fn keep(app: &App, record: CarRecord) -> Result<(StatusCode, Json<CarView>), Problem> {
    judged(&record)?;
    let id = app
        .visits
        .run(move |store| store.add_car(&record, &now()))
        .await
        .map_err(present::store_problem)?;
    Ok((StatusCode::CREATED, shown(app, id).await?))
}

async fn shown(app: &App, id: i64) -> Result<Json<CarView>, Problem> {
    let car = app
        .visits
        .run(move |store| store.car(id))
        .await
        .map_err(present::store_problem)?;
    Ok(Json(present::car_view(car)))
}
