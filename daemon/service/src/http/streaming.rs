//! So many streams at once: each costs the daemon work for as long as it is open.

use std::net::{IpAddr, Ipv4Addr};
use std::time::Duration;

use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use http_body_util::BodyExt as _;

use super::door::Peer;
use super::gate::Gate;
use super::problem::Problem;
use crate::text;

/// Most streams in all; a garage has a few tablets with one or two each.
pub(super) const MOST_STREAMS: usize = 128;
/// Most streams to one machine: eight open pages with their traces.
pub(super) const MOST_OF_ONE: usize = 16;
/// When it is worth asking again.
const AGAIN: Duration = Duration::from_secs(5);

/// Addresses that never stop answering.
const STREAMS: [&str; 2] = ["/api/v1/stream", "/api/v1/traces"];

/// The layer.
pub(super) async fn streaming(State(gate): State<Gate>, request: Request, next: Next) -> Response {
    let path = request.uri().path();
    if !STREAMS.iter().any(|stream| path.ends_with(stream)) {
        return next.run(request).await;
    }
    let peer = request.extensions().get::<Peer>();
    let who = peer.map_or(IpAddr::V4(Ipv4Addr::UNSPECIFIED), |peer| peer.address);
    let Some(place) = gate.enter(who) else {
        return too_many().into_response();
    };
    // The place is kept as long as the body is.
    next.run(request).await.map(|body| {
        Body::new(body.map_frame(move |frame| {
            let _ = &place;
            frame
        }))
    })
}

fn too_many() -> Problem {
    Problem::new(
        StatusCode::SERVICE_UNAVAILABLE,
        "too_many_streams",
        text!("Too many open pages"),
        text!("The daemon sends to {most} pages at once, to {of_one} on one machine. This one was not opened.", most = MOST_STREAMS, of_one = MOST_OF_ONE),
        text!("Close a page that is not needed; this one goes on by itself."),
    )
    .again_after(AGAIN)
}
