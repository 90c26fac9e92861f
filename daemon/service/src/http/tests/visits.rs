//! Cars, visits and the sheet as clients see them.

use axum::http::StatusCode;
use serde_json::{Value, json as object};

use super::*;

const CAR: &str = include_str!("../../../../../docs/car.example.toml");

async fn ask(served: &Served, method: &str, path: &str, body: Option<Value>) -> (u16, Value) {
    let body = body.map(|body| body.to_string());
    let (status, response) = send(
        served.router.clone(),
        request(method, path, body.as_deref()),
    )
    .await;
    let bytes = response.into_body().collect().await.unwrap().to_bytes();
    let value = if bytes.is_empty() {
        Value::Null
    } else {
        serde_json::from_slice(&bytes)
            .unwrap_or_else(|_| Value::String(String::from_utf8_lossy(&bytes).into_owned()))
    };
    (status.as_u16(), value)
}

/// A car and a visit of it.
async fn begun() -> Served {
    let served = served();
    let text = object!({ "text": CAR });
    let (status, car) = ask(&served, "POST", "/api/v1/cars/import", Some(text)).await;
    assert_eq!(status, 201, "{car}");
    assert_eq!(car["record"]["name"], "Wicket 1300");
    let start = object!({ "car": car["id"] });
    let (status, visit) = ask(&served, "POST", "/api/v1/visits", Some(start)).await;
    assert_eq!((status, &visit["id"]), (201, &object!(1)), "{visit}");
    assert_eq!(visit["at_hand"], true);
    served
}

fn note(ask: &str, text: &str) -> Value {
    object!({ "ask": ask, "what": { "entry": "note", "text": text } })
}

#[tokio::test]
async fn a_car_is_added_shown_changed_and_removed() {
    let served = served();
    let (status, car) = ask(
        &served,
        "POST",
        "/api/v1/cars",
        Some(object!({"name": "Bare"})),
    )
    .await;
    assert_eq!(status, 201, "{car}");
    assert!(!car["missing"].as_array().unwrap().is_empty());
    let changed = object!({"name": "Bare", "wheelbase_mm": 2300.0});
    let (status, car) = ask(&served, "PUT", "/api/v1/cars/1", Some(changed)).await;
    assert_eq!(
        (status, &car["record"]["wheelbase_mm"]),
        (200, &object!(2300.0))
    );
    let (status, cars) = ask(&served, "GET", "/api/v1/cars", None).await;
    assert_eq!((status, cars.as_array().unwrap().len()), (200, 1));
    let (status, _) = ask(&served, "DELETE", "/api/v1/cars/1?confirm=Bare", None).await;
    assert_eq!(status, 204);
    assert_eq!(ask(&served, "GET", "/api/v1/cars/1", None).await.0, 404);
}

#[tokio::test]
async fn the_same_wish_adds_one_entry() {
    let served = begun().await;
    for _ in 0..3 {
        let (status, visit) = ask(
            &served,
            "POST",
            "/api/v1/visits/1/entries",
            Some(note("a", "once")),
        )
        .await;
        assert_eq!(status, 200, "{visit}");
        assert_eq!(visit["entries"], 2);
        assert_eq!(visit["notes"][0]["text"], "once");
    }
    let back = object!({ "ask": "b", "what": { "entry": "taken_back", "number": 2 } });
    let (status, visit) = ask(&served, "POST", "/api/v1/visits/1/entries", Some(back)).await;
    assert_eq!((status, visit["notes"].as_array().unwrap().len()), (200, 0));
}

/// Checks that a visit that was begun refuses this, as a whole problem.
async fn check_refused(method: &str, path: &str, body: Option<Value>, status: u16, code: &str) {
    let served = begun().await;
    let (found, problem) = ask(&served, method, path, body).await;
    assert_eq!(
        (found, problem["code"].as_str()),
        (status, Some(code)),
        "{method} {path}: {problem}"
    );
    for part in ["title", "detail", "remedy"] {
        assert!(
            problem[part].as_str().is_some_and(|text| !text.is_empty()),
            "{path}: {part}"
        );
    }
}

#[tokio::test]
async fn what_cannot_be_is_refused_with_its_reason() {
    for (method, path, body, status, code) in [
        ("GET", "/api/v1/cars/9", None, 404, "no_car"),
        ("GET", "/api/v1/visits/9", None, 404, "no_visit"),
        ("GET", "/sheet/9", None, 404, "no_visit"),
        ("GET", "/sheet/one", None, 404, "not_found"),
        (
            "GET",
            "/sheet/1?paper=a3",
            None,
            400,
            "query_not_understood",
        ),
        (
            "GET",
            "/sheet/1?colour=red",
            None,
            400,
            "query_not_understood",
        ),
        ("GET", "/api/v1/visits/9/export.csv", None, 404, "no_visit"),
        (
            "POST",
            "/api/v1/visits",
            Some(object!({"car": 9})),
            404,
            "no_car",
        ),
        (
            "POST",
            "/api/v1/visits/9/entries",
            Some(note("a", "")),
            404,
            "no_visit",
        ),
        (
            "DELETE",
            "/api/v1/visits/1?confirm=Wicket",
            None,
            409,
            "not_confirmed",
        ),
        (
            "DELETE",
            "/api/v1/visits/1",
            None,
            400,
            "query_not_understood",
        ),
        (
            "DELETE",
            "/api/v1/cars/1?confirm=wicket%201300",
            None,
            409,
            "not_confirmed",
        ),
        (
            "POST",
            "/api/v1/cars/import",
            Some(object!({"text": "name ="})),
            422,
            "no_such_car_record",
        ),
        (
            "POST",
            "/api/v1/cars",
            Some(object!({"name": ""})),
            422,
            "no_such_car_record",
        ),
    ] {
        check_refused(method, path, body, status, code).await;
    }
}

#[tokio::test]
async fn entries_that_cannot_be_are_refused_with_their_reason() {
    let entry = |what: Value| Some(object!({ "ask": "a", "what": what }));
    let entries = "/api/v1/visits/1/entries";
    for (method, path, body, status, code) in [
        (
            "POST",
            entries,
            entry(object!({"entry": "taken_back", "number": 7})),
            404,
            "no_entry",
        ),
        (
            "POST",
            entries,
            entry(object!({"entry": "dreamt"})),
            422,
            "body_not_understood",
        ),
        (
            "POST",
            entries,
            entry(object!({"entry": "conditions", "place_c": 400.0})),
            422,
            "no_such_entry",
        ),
        (
            "POST",
            entries,
            entry(
                object!({"entry": "moved", "adjuster": "rod", "corner": "front_left", "amount": []}),
            ),
            422,
            "no_such_entry",
        ),
        (
            "POST",
            entries,
            entry(object!({"entry": "note", "text": "x".repeat(2001)})),
            422,
            "no_such_entry",
        ),
    ] {
        check_refused(method, path, body, status, code).await;
    }
}

#[tokio::test]
async fn a_closed_visit_refuses_and_a_deleted_one_is_gone() {
    let served = begun().await;
    let close = object!({ "ask": "c", "what": { "entry": "stage", "stage": "closed" } });
    let entries = "/api/v1/visits/1/entries";
    assert_eq!(ask(&served, "POST", entries, Some(close)).await.0, 200);
    let (status, problem) = ask(&served, "POST", entries, Some(note("late", "late"))).await;
    assert_eq!(
        (status, problem["code"].as_str()),
        (409, Some("visit_closed")),
        "{problem}"
    );
    let (status, _) = ask(
        &served,
        "DELETE",
        "/api/v1/visits/1?confirm=Wicket%201300",
        None,
    )
    .await;
    assert_eq!(status, 204);
    assert_eq!(ask(&served, "GET", "/api/v1/visits/1", None).await.0, 404);
    assert_eq!(
        ask(&served, "GET", "/api/v1/visits", None).await.1,
        object!([])
    );
}

#[tokio::test]
async fn a_visit_goes_out_as_document_and_as_table() {
    let served = begun().await;
    let (status, document) = ask(&served, "GET", "/api/v1/visits/1/export.json", None).await;
    assert_eq!((status, &document["hubplumb_visits"]), (200, &object!(1)));
    let (status, table) = ask(&served, "GET", "/api/v1/visits/1/export.csv", None).await;
    assert_eq!(status, 200);
    assert!(
        table
            .as_str()
            .unwrap()
            .starts_with("visit,car,entry,at,stage"),
        "{table}"
    );
}

#[tokio::test]
async fn the_sheet_is_one_page_that_runs_and_fetches_nothing() {
    let served = begun().await;
    for (query, wanted) in [
        ("", "size: A4"),
        ("?minutes", "size: A4"),
        ("?language=de&minutes", "size: A4"),
        ("?paper=letter&minutes=1", "size: letter"),
        ("?language=de", "<html lang=\"de\">"),
    ] {
        let path = format!("/sheet/1{query}");
        let (status, response) = send(served.router.clone(), request("GET", &path, None)).await;
        assert_eq!(status, StatusCode::OK, "{path}");
        assert_eq!(
            response.headers()[header::CONTENT_TYPE],
            "text/html; charset=utf-8"
        );
        let policy = response.headers()[header::CONTENT_SECURITY_POLICY]
            .to_str()
            .unwrap();
        assert!(policy.contains("default-src 'none'"), "{policy}");
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        let sheet = String::from_utf8(bytes.to_vec()).unwrap();
        assert!(
            sheet.contains(wanted) && sheet.contains("Wicket 1300"),
            "{path}"
        );
    }
}

#[tokio::test]
async fn what_is_stored_is_the_same_in_every_language() {
    let served = begun().await;
    let wheel = |corner: &str| object!({ "corner": corner, "ahead": "101", "behind": "100" });
    let figures = object!({
        "ask": "a",
        "figures": {
            "way": "strings",
            "wheels": [wheel("front_left"), wheel("front_right")],
        },
    });
    let address = "/api/v1/visits/1/figures?language=de";
    let (status, visit) = ask(&served, "POST", address, Some(figures)).await;
    assert_eq!(status, 200, "{visit}");
    let method = visit["runs"][0]["method"].as_str().unwrap();
    assert!(method.starts_with("Abstände von zwei Schnüren"), "{method}");
    assert_eq!(visit["preparation"][0]["title"], "Boden vermessen");
    let exported = |language: &'static str| {
        let served = &served;
        async move {
            let address = format!("/api/v1/visits/1/export.json?language={language}");
            ask(served, "GET", &address, None).await.1
        }
    };
    let german = exported("de").await;
    assert_eq!(german, exported("en").await);
    let entries = german.to_string();
    assert!(entries.contains("Distances from two strings"), "{entries}");
    assert!(!entries.contains("Schnür"), "{entries}");
}
