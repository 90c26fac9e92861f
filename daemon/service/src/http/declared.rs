//! What every address of the interface may answer because of what stands before it: written
//! into the description here, once, instead of at each handler.

use utoipa::openapi::path::Operation;
use utoipa::openapi::security::{
    ApiKey, ApiKeyValue, HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme,
};
use utoipa::openapi::{ContentBuilder, OpenApi, Ref, RefOr, ResponseBuilder};

const BEARER: &str = "bearer";
const COOKIE: &str = "cookie";

/// Refusals of whatever is asked.
const ALWAYS: [(&str, &str); 2] = [
    (
        "403",
        "Asked for by the page of another site, or over plain HTTP where HTTPS is on",
    ),
    ("421", "Asked for by a name that is not the daemon's"),
];

/// Refusals of whatever changes something.
const CHANGING: [(&str, &str); 6] = [
    ("400", "The body or the Idempotency-Key is not understood"),
    ("408", "The body came too slowly"),
    (
        "409",
        "Meant for another run of the daemon, or done before with an answer that is no longer kept",
    ),
    ("413", "The body is too large"),
    (
        "422",
        "The Idempotency-Key belongs to another request, or the body has another shape",
    ),
    (
        "503",
        "The daemon is stopping, or too many commands came in a short time",
    ),
];

/// Writes them into the description, and how a device shows that it is paired.
pub(super) fn describe(mut api: OpenApi) -> OpenApi {
    let components = api.components.get_or_insert_default();
    components.add_security_scheme(
        BEARER,
        SecurityScheme::Http(
            HttpBuilder::new()
                .scheme(HttpAuthScheme::Bearer)
                .description(Some("The token of a paired device (docs/SECURITY.md)"))
                .build(),
        ),
    );
    components.add_security_scheme(
        COOKIE,
        SecurityScheme::ApiKey(ApiKey::Cookie(ApiKeyValue::with_description(
            "hubplumb-8710",
            "The same in a browser; the number is the port of the page's address",
        ))),
    );
    for (path, item) in &mut api.paths.paths {
        let has_number = path.contains('{');
        for operation in [&mut item.get, &mut item.head].into_iter().flatten() {
            refusals(operation, &ALWAYS);
            if path.ends_with("/stream") || path.ends_with("/traces") {
                refusals(operation, &[("503", "Too many streams are open")]);
            }
        }
        let pairs = path.ends_with("/pairing");
        let is_pairing = item.post.as_mut().filter(|_| pairs);
        if let Some(pair) = is_pairing {
            refusals(
                pair,
                &[
                    ("400", "The body is not understood"),
                    ("408", "The body came too slowly"),
                    ("413", "The body is too large"),
                    ("415", "The body is not said to be JSON"),
                    ("500", "Paired devices cannot be looked up"),
                    ("503", "The daemon is stopping"),
                ],
            );
            refusals(pair, &ALWAYS);
        }
        for operation in [
            item.post.as_mut().filter(|_| !pairs),
            item.put.as_mut(),
            item.delete.as_mut(),
        ]
        .into_iter()
        .flatten()
        {
            operation.security = Some(vec![
                SecurityRequirement::new(BEARER, [] as [&str; 0]),
                SecurityRequirement::new(COOKIE, [] as [&str; 0]),
            ]);
            refusals(operation, &ALWAYS);
            refusals(operation, &CHANGING);
            refusals(
                operation,
                &[
                    ("401", "The device is not paired"),
                    ("500", "A fault of the daemon or its disk"),
                ],
            );
            if operation.request_body.is_some() {
                refusals(operation, &[("415", "The body is not said to be JSON")]);
            }
            if has_number {
                refusals(operation, &[("404", "No such number")]);
            }
        }
    }
    api
}

/// Adds refusals that the operation does not tell of itself.
fn refusals(operation: &mut Operation, refusals: &[(&str, &str)]) {
    for (status, about) in refusals {
        operation
            .responses
            .responses
            .entry((*status).to_owned())
            .or_insert_with(|| {
                let problem = ContentBuilder::new()
                    .schema(Some(Ref::from_schema_name("ProblemView")))
                    .build();
                RefOr::T(
                    ResponseBuilder::new()
                        .description(*about)
                        .content("application/problem+json", problem)
                        .build(),
                )
            });
    }
}
