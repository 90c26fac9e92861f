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
        ("GET", "/api/v1/cars/9/history", None, 404, "no_car"),
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

#[tokio::test]
async fn the_history_of_a_car_tells_before_and_after_of_each_visit() {
    let served = begun().await;
    let path = "/api/v1/cars/1/history";
    let (status, empty) = ask(&served, "GET", path, None).await;
    assert_eq!((status, &empty["car"]), (200, &object!("Wicket 1300")));
    assert_eq!(empty["visits"][0]["findings"], object!([]), "{empty}");
    // How far the left front wheel stands ahead, as measured twice before and once after.
    for (nth, (stage, left_mm)) in [("before", 12), ("before", 13), ("after", 9)]
        .into_iter()
        .enumerate()
    {
        let what = object!({ "entry": "stage", "stage": stage });
        let part = object!({ "ask": format!("stage {nth}"), "what": what });
        ask(&served, "POST", "/api/v1/visits/1/entries", Some(part)).await;
        let left = left_mm.to_string();
        let figures = object!({ "way": "setback", "front": true, "left": left, "right": "5" });
        let entered = object!({ "ask": format!("figures {nth}"), "figures": figures });
        let figures = "/api/v1/visits/1/figures";
        let (status, visit) = ask(&served, "POST", figures, Some(entered)).await;
        assert_eq!(status, 200, "{visit}");
    }
    let (_, history) = ask(&served, "GET", path, None).await;
    assert_eq!(history["older"], 0);
    let visit = &history["visits"][0];
    assert_eq!(
        (&visit["id"], &visit["stage"]),
        (&object!(1), &object!("after"))
    );
    let found = visit["findings"].as_array().unwrap();
    let setback = found
        .iter()
        .find(|finding| finding["quantity"] == "setback" && finding["unit"] == "mm")
        .unwrap_or_else(|| panic!("{history:#}"));
    let value = |when: &str| setback[when]["value"].as_f64().unwrap();
    // As the car came, and as it left: the last of each.
    assert!((value("before").abs() - 8.0).abs() < 1e-9, "{setback}");
    assert!((value("after").abs() - 4.0).abs() < 1e-9, "{setback}");
    assert!(
        setback["after"]["expanded"].as_f64().unwrap() > 0.0,
        "{setback}"
    );
}

/// Toe of the front wheels as the next swing takes it: value, ±, and was it measured?
async fn toes(served: &Served) -> [(f64, f64, bool); 2] {
    // Any wish of that task is answered by all that it knows.
    let (_, view) = ask(served, "POST", "/api/v1/floor/forget", None).await;
    [0, 1].map(|side| {
        let toe = &view["toes"][side];
        let number = |key: &str| toe[key].as_f64().unwrap();
        let entered = toe["entered"].as_bool().unwrap();
        (number("toe_deg"), number("expanded_deg"), entered)
    })
}

#[tokio::test]
async fn the_next_swing_takes_toe_as_the_visit_knows_it() {
    let served = begun().await;
    let entries = "/api/v1/visits/1/entries";
    let presumed = (0.0, 1.96 * 0.25, false);
    let lost = 1.96;
    let check = async |what: &str, expected: [(Option<f64>, f64, bool); 2]| {
        for (found, (value, expanded, entered)) in toes(&served).await.iter().zip(expected) {
            let near = value.is_none_or(|value| (found.0 - value).abs() < 1e-9);
            assert!(
                near && (found.1 - expanded).abs() < 1e-6 && found.2 == entered,
                "{what}: {found:?}"
            );
        }
    };
    let add = async |nth: &str, what: Value| {
        let wish = object!({ "ask": nth, "what": what });
        let (status, visit) = ask(&served, "POST", entries, Some(wish)).await;
        assert_eq!(status, 200, "{visit}");
        visit
    };
    let open = (Some(presumed.0), presumed.1, presumed.2);
    check("nothing is known", [open, open]).await;

    let wheel = |corner: &str| object!({ "corner": corner, "ahead": "101", "behind": "100" });
    let figures = object!({ "ask": "strings", "figures": {
        "way": "strings", "wheels": [wheel("front_left"), wheel("front_right")],
    } });
    let address = "/api/v1/visits/1/figures";
    let (status, visit) = ask(&served, "POST", address, Some(figures)).await;
    assert_eq!(status, 200, "{visit}");
    let measured = toes(&served).await.map(|(value, expanded, entered)| {
        assert!(entered && expanded < presumed.1, "{value} ± {expanded}");
        (Some(value), expanded, true)
    });

    let moved =
        object!({"entry": "moved", "adjuster": "tie rod", "corner": "front_left", "amount": [0.5]});
    let visit = add("move", moved).await;
    check("moved", [(measured[0].0, lost, false), measured[1]]).await;

    let number = visit["moves"][0]["number"].as_u64().unwrap();
    let back = |number: u64| object!({"entry": "taken_back", "number": number});
    add("no move", back(number)).await;
    check("not moved after all", measured).await;

    let run = visit["runs"][0]["number"].as_u64().unwrap();
    add("no strings", back(run)).await;
    check("not measured after all", [open, open]).await;
}

#[tokio::test]
async fn another_visit_does_not_go_by_the_toe_of_the_last() {
    let served = begun().await;
    let toe = object!({"mount": "front_left", "toe_deg": 0.4, "standard_deg": 0.02});
    let (status, view) = ask(&served, "POST", "/api/v1/toe", Some(toe)).await;
    assert_eq!((status, toes(&served).await[0].2), (200, true), "{view}");
    let start = object!({ "car": 1 });
    let (status, visit) = ask(&served, "POST", "/api/v1/visits", Some(start)).await;
    assert_eq!(status, 201, "{visit}");
    assert!(!toes(&served).await[0].2);
}
