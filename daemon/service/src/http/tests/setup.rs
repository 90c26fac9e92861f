//! Finding boards, saying where they are, and practising, as clients see it.

use axum::http::header;

use super::served::served;
use super::{check, json, request, send};

#[tokio::test]
async fn every_wish_about_a_place_that_is_not_granted_is_a_problem() {
    let asked = |what: &str, body: &str| request("POST", &format!("/api/v1/{what}"), Some(body));
    for (what, body, status, code) in [
        ("setup/seat", r#"{"board":"there"}"#, 422, "no_such_board"),
        (
            "setup/seat",
            r#"{"board":"there","mount":"roof"}"#,
            422,
            "body_not_understood",
        ),
        (
            "setup/seat",
            r#"{"board":"there","mount":"front_left","up":"+z"}"#,
            422,
            "outboard_missing",
        ),
        (
            "setup/name",
            r#"{"board":"there","name":"blue"}"#,
            422,
            "no_such_board",
        ),
        (
            "setup/bluetooth",
            r#"{"seconds":0}"#,
            422,
            "time_impossible",
        ),
        (
            "setup/bluetooth",
            r#"{"seconds":600}"#,
            422,
            "time_impossible",
        ),
        ("setup/take-in", r#"{"port":""}"#, 422, "no_way"),
        (
            "setup/take-in",
            r#"{"port":"udp:somewhere"}"#,
            422,
            "no_way",
        ),
        (
            "setup/take-in",
            r#"{"port":"/etc/passwd"}"#,
            422,
            "not_by_hand",
        ),
        (
            "setup/take-in",
            r#"{"port":"replay:journals/a#0"}"#,
            422,
            "not_by_hand",
        ),
        (
            "setup/take-in",
            r#"{"port":"udp:9","format":"magic"}"#,
            422,
            "no_format",
        ),
        (
            "setup/take-in",
            r#"{"port":"udp:127.0.0.1:9","format":"modbus"}"#,
            422,
            "no_format",
        ),
        ("setup/let-go", r#"{"board":"there"}"#, 422, "no_such_board"),
        ("setup/naming", "{}", 409, "no_boards"),
        ("setup/naming/skip", "{}", 409, "not_naming"),
        ("setup/naming/end", "{}", 409, "not_naming"),
        ("practice/end", "{}", 409, "no_practice"),
    ] {
        check(asked(what, body), status, code).await;
    }
}

#[tokio::test]
async fn without_a_practice_its_page_leads_back_and_its_interface_says_so() {
    let served = served();
    let (status, response) = send(served.router.clone(), request("GET", "/practice", None)).await;
    assert_eq!(status, 307);
    assert_eq!(response.headers()[header::LOCATION], "practice/");
    let (status, response) = send(served.router, request("GET", "/practice/", None)).await;
    assert_eq!(status, 303);
    assert_eq!(response.headers()[header::LOCATION], "../");
    check(
        request("GET", "/practice/api/v1/state", None),
        409,
        "no_practice",
    )
    .await;
}

#[tokio::test]
async fn a_board_on_the_network_is_taken_in_placed_and_let_go() {
    let served = served();
    let post = |what: &str, body: &str| {
        let asked = request("POST", &format!("/api/v1/setup/{what}"), Some(body));
        send(served.router.clone(), asked)
    };
    let board = r#"{"port":"udp:127.0.0.1:0/127.0.0.9","name":" blue "}"#;
    let (status, _) = post("take-in", board).await;
    assert_eq!(status, 422, "port 0 is no port");
    let board = r#"{"port":"tcp:127.0.0.1:9","name":" blue "}"#;
    let (status, response) = post("take-in", board).await;
    let placed = json(response).await;
    assert_eq!(
        (status.as_u16(), placed["name"].as_str()),
        (201, Some("blue")),
        "{placed}"
    );
    let (status, response) = post("take-in", board).await;
    assert_eq!(
        (status.as_u16(), json(response).await["code"].as_str()),
        (409, Some("here"))
    );
    let seat = r#"{"board":"tcp:127.0.0.1:9","mount":"rear_left","outboard":"+z","up":"-y"}"#;
    let (status, response) = post("seat", seat).await;
    let placed = json(response).await;
    assert_eq!(status, 200, "{placed}");
    assert_eq!(placed["sits"]["up"], "-y", "{placed}");
    // Which arrow is up is not known of a board that says nothing.
    let unsaid = r#"{"board":"tcp:127.0.0.1:9","mount":"rear_left","outboard":"+z"}"#;
    let (status, response) = post("seat", unsaid).await;
    assert_eq!(
        (status.as_u16(), json(response).await["code"].as_str()),
        (409, Some("not_still"))
    );
    let line = r#"{"board":"tcp:127.0.0.1:9","mount":"rear_left","outboard":"+z","up":"-z"}"#;
    let (status, response) = post("seat", line).await;
    assert_eq!(
        (status.as_u16(), json(response).await["code"].as_str()),
        (422, Some("seat_impossible"))
    );
    let (status, response) = post("let-go", r#"{"board":"tcp:127.0.0.1:9"}"#).await;
    assert_eq!(status, 204, "{response:?}");
    let (status, _) = post("let-go", r#"{"board":"tcp:127.0.0.1:9"}"#).await;
    assert_eq!(status, 422);
}

#[tokio::test]
async fn a_set_up_that_cannot_be_saved_is_answered_so() {
    let served = served();
    // A file where its folder would be keeps out whoever may do anything, too.
    let in_the_way = served.home.path().join("set-up");
    std::fs::write(&in_the_way, "").unwrap();
    for (what, body) in [
        ("take-in", r#"{"port":"tcp:127.0.0.1:9"}"#),
        ("seat", r#"{"board":"tcp:127.0.0.1:9","mount":"rear_left"}"#),
        ("name", r#"{"board":"tcp:127.0.0.1:9","name":"blue"}"#),
        ("let-go", r#"{"board":"tcp:127.0.0.1:9"}"#),
    ] {
        let asked = request("POST", &format!("/api/v1/setup/{what}"), Some(body));
        let (status, response) = send(served.router.clone(), asked).await;
        let problem = json(response).await;
        assert_eq!(
            (status.as_u16(), problem["code"].as_str()),
            (500, Some("setup_unwritable")),
            "{what}: {problem}"
        );
        let detail = problem["detail"].as_str().unwrap();
        assert!(detail.contains("until the daemon ends"), "{detail}");
    }
}
