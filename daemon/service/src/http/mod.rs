//! The page and the interface behind it.

mod about_views;
mod admitted;
mod api;
mod calibration_api;
pub mod calibration_views;
mod car_api;
mod carried_views;
mod check_api;
mod check_views;
pub mod curve_views;
mod declared;
mod door;
mod entered_views;
mod gate;
mod guard;
pub mod history_views;
mod interface;
mod knock;
mod level_api;
mod level_views;
mod once;
mod origin;
mod page;
mod pairing_api;
pub mod pairing_views;
mod patient;
mod plain;
pub mod problem;
pub mod publish_views;
mod reach_api;
pub mod reach_views;
mod server;
mod setup_api;
pub mod setup_views;
mod sheet_api;
mod stream;
mod streaming;
mod told;
mod trace_stream;
pub mod trace_views;
pub mod views;
mod visit_api;
pub mod visit_views;
mod watch_api;
pub mod watch_views;
mod whole;

#[cfg(test)]
mod calibration_sample;
#[cfg(test)]
mod tests;

use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, Request};
use axum::http::{HeaderValue, Method, Uri, header};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{Redirect, Response};
use axum::routing::get;
use axum::{Extension, Router};
use tokio::sync::watch;
use tokio_util::sync::CancellationToken;

pub use knock::{Answer, from_here, knock};
pub use server::{BindError, bind, serve};
pub use told::Told;

use admitted::admitted;
use gate::Gate;
use guard::guard;
use plain::plain;
use problem::Problem;
use streaming::streaming;
use views::StateView;
use whole::whole;

use crate::calibrating::CalibrationDesk;
use crate::checking::CheckHandle;
use crate::clock::DaemonClock;
use crate::levelling::LevelHandle;
use crate::metrics::Instruments;
use crate::pairing::PairingDesk;
use crate::placing::{FinderHandle, NamingHandle, Placer};
use crate::practice::{self, PracticeDesk};
use crate::reach::ReachDesk;
use crate::swing::SwingHandle;
use crate::text::Language;
use crate::traces::Traces;
use crate::visiting::VisitDesk;
use crate::visiting::standing::StandingDesk;

/// Largest body of a request: a car with all its notes at their longest stays below.
pub const MOST_BODY_BYTES: usize = 65_536;

/// The page of a practice: with the slash, or relative addresses would miss it.
const PRACTICE_PAGE: &str = "/practice/";

/// What the handlers see of the daemon.
#[derive(Debug, Clone)]
pub struct App {
    /// Latest snapshot.
    pub state: watch::Receiver<Arc<StateView>>,
    /// Way to the swing's task.
    pub swing: SwingHandle,
    /// Way to the calibrations.
    pub calibration: CalibrationDesk,
    /// Way to floor, toe and run-outs.
    pub level: LevelHandle,
    /// Way to what is kept of floor and seats.
    pub standing: StandingDesk,
    /// Way to cars and visits.
    pub visits: VisitDesk,
    /// Way to the checks.
    pub check: CheckHandle,
    /// Every angle of every board.
    pub traces: Arc<Traces>,
    /// What clients are told, encoded once for all of them.
    pub told: Told,
    /// The daemon's time.
    pub clock: DaemonClock,
    /// Says where boards are.
    pub placer: Placer,
    /// Way to what finds boards.
    pub finder: FinderHandle,
    /// Way to the naming of mounts.
    pub naming: NamingHandle,
    /// Where a practice is started and ended.
    pub practice: PracticeDesk,
    /// What can be measured of the daemon itself.
    pub instruments: Instruments,
    /// Ends the live streams.
    pub stop: CancellationToken,
}

/// The OpenAPI document of the interface.
pub fn openapi() -> utoipa::openapi::OpenApi {
    let mut api = once::describe(interface::described());
    // Its answers are never kept, so it takes no key.
    api.merge(interface::pairing_described());
    declared::describe(api)
}

/// Page and interface, found in these ways and commanded by these devices.
pub fn router(app: App, reach: ReachDesk, pairing: PairingDesk) -> Router {
    let streams = Gate::new(streaming::MOST_STREAMS, streaming::MOST_OF_ONE);
    let is_secured = reach.tls().is_some();
    let own = interface::pairing_routed()
        .0
        .method_not_allowed_fallback(wrong_method);
    let mut router = inside(app)
        .merge(own.clone())
        .nest(practice::PATH, own)
        .layer(from_fn(whole))
        .layer(from_fn_with_state(pairing.clone(), admitted))
        .layer(Extension(pairing))
        .layer(Extension(reach.clone()))
        .layer(from_fn_with_state(streams, streaming));
    if is_secured {
        router = router.layer(from_fn_with_state(reach.clone(), plain));
    }
    router
        .layer(from_fn_with_state(reach, guard))
        .layer(from_fn(in_its_language))
}

/// The same for who is reached through another router, which gives the ways in with its requests.
pub(crate) fn inside(app: App) -> Router {
    let (router, operations) = interface::routed();
    let once = once::Once::in_run(&app.state.borrow().run, &operations);
    let practice = Router::new()
        .fallback(practice::forward)
        .with_state(app.practice.clone());
    router
        .method_not_allowed_fallback(wrong_method)
        .fallback(page::page)
        .layer(DefaultBodyLimit::max(MOST_BODY_BYTES))
        .layer(from_fn_with_state(once, once::once))
        // The practice keeps its own answers: its run is another one.
        .route(
            practice::PATH,
            get(|| async { Redirect::temporary("practice/") }),
        )
        .nest_service(PRACTICE_PAGE, practice)
        .with_state(app)
}

async fn wrong_method(method: Method, uri: Uri) -> Problem {
    Problem::method_not_allowed(method.as_str(), uri.path())
}

/// Answers every request in the language it asks for.
async fn in_its_language(request: Request, next: Next) -> Response {
    let (parts, body) = request.into_parts();
    let language = Language::asked_by(&parts);
    let mut response = language
        .scope(next.run(Request::from_parts(parts, body)))
        .await;
    let headers = response.headers_mut();
    headers.append(header::VARY, HeaderValue::from_static("accept-language"));
    headers.insert(
        header::CONTENT_LANGUAGE,
        HeaderValue::from_static(language.tag()),
    );
    response
}
