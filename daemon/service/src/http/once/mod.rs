//! Commands that are neither lost nor doubled.
//!
//! A changing request may carry an `Idempotency-Key`, the header of the draft
//! *The Idempotency-Key HTTP Header Field* of the IETF working group httpapi
//! (draft-ietf-httpapi-idempotency-key-header). The first request with a key is
//! done; whoever asks again under it gets the same answer. Where the draft has a second
//! request refused (409) while the first runs, ours waits for the first one's answer: a page
//! that lost its connection in the middle of a press wants to know what came of it.
//!
//! Every changing request is done in a task of its own, with a key or without: a connection
//! that breaks takes the answer with it, never the command.
//!
//! This layer stands behind the one that knows who commands: it hands kept answers out to whoever
//! knows a key. Each device has keys of its own, so that none is given what another was answered.

mod key;
mod ledger;
#[cfg(test)]
mod tests;

use std::sync::{Arc, Mutex, PoisonError};

use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use http_body_util::BodyExt as _;
use sha2::{Digest as _, Sha256};
use tokio::sync::watch;
use tokio::time::Instant;
use utoipa::openapi::path::{HttpMethod, ParameterBuilder, ParameterIn};
use utoipa::openapi::schema::{ObjectBuilder, Type};
use utoipa::openapi::{OpenApi, RefOr, Required};

use super::MOST_BODY_BYTES;
use super::admitted::Commander;
use super::interface::changing;
use super::problem::Problem;
use super::whole::unread;
use crate::text;
use crate::text::Language;
use ledger::{Answered, Entry, Fate, Ledger, Print};

/// Header that names the run of the daemon a command is meant for. Keys are kept in memory: a
/// command that is sent again after the daemon was started anew could be done twice without it.
const RUN: &str = "hubplumb-run";

/// Writes the headers into the description of every changing request.
pub(super) fn describe(mut api: OpenApi) -> OpenApi {
    let header = |name: &str, about: &str| {
        ParameterBuilder::new()
            .name(name)
            .parameter_in(ParameterIn::Header)
            .required(Required::False)
            .description(Some(about))
            .schema(Some(ObjectBuilder::new().schema_type(Type::String)))
            .build()
    };
    for item in api.paths.paths.values_mut() {
        for operation in [&mut item.post, &mut item.put, &mut item.delete]
            .into_iter()
            .flatten()
        {
            let parameters = operation.parameters.get_or_insert_default();
            parameters.push(RefOr::T(header(
                "Idempotency-Key",
                "A string of a structured field (RFC 9651), made anew for each command: asked again under it within ten minutes, the command is not done again and the same answer is given. 400 where it is no such string, 422 where it belongs to another request.",
            )));
            parameters.push(RefOr::T(header(
                "Hubplumb-Run",
                "The `run` of the state that the command was given on: after a new start of the daemon it is refused with 409, because keys end with a run.",
            )));
        }
    }
    api
}

/// The keys of all clients.
#[derive(Clone)]
pub(super) struct Once {
    ledger: Arc<Mutex<Ledger>>,
    run: Arc<str>,
    /// The methods that each path of the interface takes.
    taken: Arc<[(String, Vec<Method>)]>,
}

impl Once {
    /// No command was taken on yet in this run of the daemon, which takes these operations.
    pub(super) fn in_run(run: &str, operations: &[(String, HttpMethod)]) -> Self {
        Self {
            ledger: Arc::default(),
            run: run.into(),
            taken: changing(operations).into(),
        }
    }

    /// A method that its path never takes is told so further in, whatever key it bears.
    fn is_never_taken(&self, request: &Request) -> bool {
        let path = request.uri().path();
        self.taken
            .iter()
            .filter(|(declared, _)| is_of(path, declared))
            // As the router does: a place's own name goes before any.
            .min_by_key(|(declared, _)| declared.matches('{').count())
            .is_some_and(|(_, methods)| !methods.contains(request.method()))
    }

    fn is_meant(&self, headers: &HeaderMap) -> bool {
        headers
            .get(RUN)
            .is_none_or(|run| run.as_bytes() == self.run.as_bytes())
    }

    fn enter(&self, key: &str, print: Print) -> Entry {
        // A ledger whose holder panicked is whole: every change of it is one insertion or removal.
        let mut ledger = self.ledger.lock().unwrap_or_else(PoisonError::into_inner);
        ledger.enter(key, print, Instant::now())
    }

    fn slim(&self) {
        let mut ledger = self.ledger.lock().unwrap_or_else(PoisonError::into_inner);
        ledger.slim();
    }
}

/// Is it such a path, with anything for what stands in braces?
fn is_of(path: &str, declared: &str) -> bool {
    let (mut path, mut declared) = (path.split('/'), declared.split('/'));
    loop {
        match (path.next(), declared.next()) {
            (None, None) => return true,
            (Some(_), Some(place)) if place.starts_with('{') => {}
            (Some(part), Some(place)) if part == place => {}
            _ => return false,
        }
    }
}

/// The layer.
pub(super) async fn once(State(once): State<Once>, request: Request, next: Next) -> Response {
    // Whatever changes something has one of these; other methods are refused further in.
    if !matches!(
        *request.method(),
        Method::POST | Method::PUT | Method::DELETE
    ) || once.is_never_taken(&request)
    {
        return next.run(request).await;
    }
    let key = match key::of(request.headers()) {
        Ok(key) => key,
        Err(problem) => return problem.into_response(),
    };
    if !once.is_meant(request.headers()) {
        return started_anew().into_response();
    }
    // Read whole here: what the client did not send to its end is no command.
    let (parts, body) = request.into_parts();
    let body = match to_bytes(body, MOST_BODY_BYTES).await {
        Ok(body) => body,
        Err(error) => return unread(&error).into_response(),
    };
    // A task of its own does not know whose request it answers.
    let language = Language::at_hand();
    let Some(key) = key else {
        let request = Request::from_parts(parts, Body::from(body));
        return match tokio::spawn(language.scope(next.run(request))).await {
            Ok(response) => response,
            Err(_) => broken().into_response(),
        };
    };
    let key = whose(parts.extensions.get(), &key);
    let print = print(&parts.method, parts.uri.path_and_query(), &body);
    let fate = match once.enter(&key, print) {
        Entry::New(tell) => {
            let fate = tell.subscribe();
            let request = Request::from_parts(parts, Body::from(body));
            tokio::spawn(language.scope(carry_out(once, request, next, tell)));
            fate
        }
        Entry::Known(fate) => fate,
        Entry::Other => return reused().into_response(),
        Entry::Full => return full().into_response(),
    };
    answer(fate).await
}

/// Does a command and keeps its answer, whether somebody still waits for it or not.
async fn carry_out(once: Once, request: Request, next: Next, tell: watch::Sender<Fate>) {
    let done = tokio::spawn(Language::at_hand().scope(async move {
        let (parts, body) = next.run(request).await.into_parts();
        let body = body
            .collect()
            .await
            .map(http_body_util::Collected::to_bytes);
        (parts, body)
    }));
    let answered = match done.await {
        Ok((parts, Ok(body))) => Answered {
            status: parts.status,
            headers: parts.headers,
            body,
        },
        // Half done or not at all: what is certain is that it must not be done again.
        Ok((_, Err(_))) | Err(_) => broken().into_answered().await,
    };
    tell.send_replace(Fate::Done(answered));
    once.slim();
}

/// Waits until a command has been done, and answers as it was answered.
async fn answer(mut fate: watch::Receiver<Fate>) -> Response {
    let fate = match fate.wait_for(|fate| *fate != Fate::Running).await {
        Ok(fate) => fate.clone(),
        // The task that was to tell has ended without a word: the daemon is ending.
        Err(_) => return Problem::stopping().into_response(),
    };
    match fate {
        Fate::Done(answered) => answered.into_response(),
        Fate::Running | Fate::Forgotten => forgotten().into_response(),
    }
}

impl IntoResponse for Answered {
    fn into_response(self) -> Response {
        let mut response = Response::new(Body::from(self.body));
        *response.status_mut() = self.status;
        *response.headers_mut() = self.headers;
        response
    }
}

impl Problem {
    async fn into_answered(self) -> Answered {
        let (parts, body) = self.into_response().into_parts();
        Answered {
            status: parts.status,
            headers: parts.headers,
            body: body
                .collect()
                .await
                .map_or_else(|_| Bytes::new(), http_body_util::Collected::to_bytes),
        }
    }
}

/// The key as it is kept: a device's own.
fn whose(commander: Option<&Commander>, key: &str) -> String {
    match commander {
        // No key begins with a line break.
        Some(Commander::Device(id)) => format!("\n{id}\n{key}"),
        Some(Commander::Anybody) | None => key.to_owned(),
    }
}

fn print(method: &Method, path: Option<&axum::http::uri::PathAndQuery>, body: &[u8]) -> Print {
    let mut hash = Sha256::new();
    // Neither a method nor an address holds a zero byte, so no two requests run together alike.
    hash.update(method.as_str());
    hash.update([0]);
    hash.update(path.map_or("", |path| path.as_str()));
    hash.update([0]);
    hash.update(body);
    hash.finalize().into()
}

fn reused() -> Problem {
    Problem::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "idempotency_key_reused",
        text!("The key belongs to another request"),
        text!(
            "Another request was sent under this Idempotency-Key, with another method, address or body. This one was not done."
        ),
        text!(
            "Make a new key for each command, and keep it only to send the very same command again."
        ),
    )
}

fn started_anew() -> Problem {
    Problem::new(
        StatusCode::CONFLICT,
        "started_anew",
        text!("The daemon was started anew"),
        text!(
            "The command was meant for a run of the daemon that has ended. It was not done now; whether it was done before is not known."
        ),
        text!("Look at the state for what came of it, and ask again if it was not done."),
    )
}

fn full() -> Problem {
    Problem::new(
        StatusCode::SERVICE_UNAVAILABLE,
        "too_many_commands",
        text!("Too many commands in a short time"),
        text!(
            "{most} commands came within a minute; their answers are kept in case they are asked for again. This one was not done.",
            most = ledger::MOST_KEYS
        ),
        text!("Wait a minute and send it again; look for a program that sends without pause."),
    )
}

fn forgotten() -> Problem {
    Problem::new(
        StatusCode::CONFLICT,
        "answer_not_kept",
        text!("Done before; the answer is no longer kept"),
        text!("This command was done when it came for the first time. It was not done again."),
        text!("Look at the state for what came of it."),
    )
}

fn broken() -> Problem {
    Problem::new(
        StatusCode::INTERNAL_SERVER_ERROR,
        "command_broke",
        text!("The command broke off"),
        text!(
            "A fault in the daemon ended the command before it could answer. It may have been done."
        ),
        text!(
            "Look at the state for what came of it, and at the output of hubplumb for the fault."
        ),
    )
}
