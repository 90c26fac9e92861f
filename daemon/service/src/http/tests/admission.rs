//! Who may command, as clients see it.

use std::time::Duration;

use super::*;
use crate::pairing::{BETWEEN_GUESSES, Commands, PairingDesk};

/// The page's own origin.
const OWN: (&str, &str) = ("origin", "http://127.0.0.1:8710");

struct Door {
    served: Served,
    pairing: PairingDesk,
}

fn door() -> Door {
    let pairing = PairingDesk::at(Commands::Paired, None);
    let served = served_to(reach::tests::desk("127.0.0.1:8710", false), pairing.clone());
    Door { served, pairing }
}

impl Door {
    async fn ask(&self, line: &str, headers: &[(&str, &str)], body: &str) -> (u16, Response) {
        let (method, path) = line.split_once(' ').unwrap();
        let mut request = request(method, path, Some(body));
        for (name, value) in headers {
            let name: header::HeaderName = name.parse().unwrap();
            request.headers_mut().insert(name, value.parse().unwrap());
        }
        let (status, response) = send(self.served.router.clone(), request).await;
        (status.as_u16(), response)
    }

    async fn command(&self, headers: &[(&str, &str)]) -> (u16, String) {
        let (status, response) = self
            .ask("POST /api/v1/cars", headers, r#"{"name":"Wicket"}"#)
            .await;
        let body = json(response).await;
        (status, body["code"].as_str().unwrap_or_default().to_owned())
    }

    async fn pair(&self, code: &str, more: &str) -> (u16, Response) {
        let body = format!(r#"{{"code":"{code}"{more}}}"#);
        self.ask("POST /api/v1/pairing", &[OWN], &body).await
    }

    /// A device's header.
    fn bearer(&self) -> String {
        format!(
            "Bearer {}",
            self.pairing.let_in("script").unwrap().token.told()
        )
    }
}

fn refused(code: &str) -> (u16, String) {
    let status = match code {
        "not_paired" => 401,
        _ => 403,
    };
    (status, code.to_owned())
}

#[tokio::test]
async fn whoever_is_let_in_looks_and_only_a_paired_device_commands() {
    let door = door();
    for path in [
        "/",
        "/api/v1/state",
        "/api/v1/cars",
        "/api/v1/reach",
        "/api/v1/stream",
    ] {
        let (status, _) = send(door.served.router.clone(), request("GET", path, None)).await;
        assert_eq!(status, StatusCode::OK, "{path}");
    }
    assert_eq!(door.command(&[]).await, refused("not_paired"));
    let (_, response) = door.ask("POST /api/v1/cars", &[], "{}").await;
    let scheme = response.headers()[header::WWW_AUTHENTICATE]
        .to_str()
        .unwrap();
    assert!(scheme.starts_with("Bearer"), "{scheme}");
    let bearer = door.bearer();
    assert_eq!(door.command(&[("authorization", &bearer)]).await.0, 201);
}

/// Every address that changes something, also those that do not exist.
#[tokio::test]
async fn nothing_that_changes_something_is_done_without_pairing() {
    let door = door();
    let api = serde_json::to_value(crate::http::openapi()).unwrap();
    let mut asked = 0;
    for (path, item) in api["paths"].as_object().unwrap() {
        for method in item.as_object().unwrap().keys() {
            let method = method.to_uppercase();
            if method == "GET" || (method == "POST" && path == "/api/v1/pairing") {
                continue;
            }
            let path = path.replace("{id}", "1").replace("{wheel}", "front_left");
            for prefix in ["", "/practice"] {
                let line = format!("{method} {prefix}{path}");
                let (status, response) = door.ask(&line, &[], "{}").await;
                assert_eq!(status, 401, "{line}");
                assert_eq!(json(response).await["code"], "not_paired", "{line}");
                asked += 1;
            }
        }
    }
    assert!(asked > 60, "{asked} addresses");
    for line in [
        "POST /",
        "PATCH /api/v1/cars/1",
        "TRACE /api/v1/state",
        "DELETE /nothing",
        "BREW /api/v1/swing",
    ] {
        assert_eq!(door.ask(line, &[], "").await.0, 401, "{line}");
    }
}

#[tokio::test]
async fn a_code_becomes_a_cookie_that_only_the_own_page_can_use() {
    let door = door();
    let code = door.pairing.offer().unwrap();
    let (status, response) = door.pair(&code.parted(), "").await;
    assert_eq!(status, 201);
    let cookie = response.headers()[header::SET_COOKIE]
        .to_str()
        .unwrap()
        .to_owned();
    for part in ["hubplumb-8710=", "HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(part), "{cookie}");
    }
    assert!(
        !cookie.contains("Secure"),
        "it would not come back over plain HTTP: {cookie}"
    );
    assert_eq!(
        json(response).await,
        serde_json::json!({"device": {"id": 1, "name": "device 1"}, "token": null})
    );
    let cookie = ("cookie", cookie.split(';').next().unwrap());
    assert_eq!(door.command(&[cookie, OWN]).await.0, 201);
    assert_eq!(
        door.command(&[cookie, ("sec-fetch-site", "same-origin")])
            .await
            .0,
        201
    );
    // Without a word of whose page it was, a cookie proves nothing.
    assert_eq!(door.command(&[cookie]).await, refused("foreign_page"));
    for foreign in ["http://evil.example", "http://127.0.0.1:3000", "null"] {
        let found = door.command(&[cookie, ("origin", foreign)]).await;
        assert_eq!(found, refused("foreign_page"), "{foreign}");
    }
    let other = format!("x=1; {}", cookie.1);
    assert_eq!(door.command(&[("cookie", &other), OWN]).await.0, 201);
    let told = door.ask("GET /api/v1/pairing", &[cookie], "").await.1;
    assert_eq!(
        json(told).await,
        serde_json::json!({"commands": "paired", "device": {"id": 1, "name": "device 1"}})
    );
}

#[tokio::test]
async fn a_program_gets_its_token_and_may_end_its_pairing() {
    let door = door();
    let code = door.pairing.offer().unwrap();
    let (status, response) = door
        .pair(code.bare(), r#","name":"night script","bearer":true"#)
        .await;
    assert_eq!(status, 201);
    assert!(!response.headers().contains_key(header::SET_COOKIE));
    let view = json(response).await;
    assert_eq!(view["device"]["name"], "night script");
    let bearer = format!("Bearer {}", view["token"].as_str().unwrap());
    let bearer = ("authorization", bearer.as_str());
    assert_eq!(door.command(&[bearer]).await.0, 201);
    assert_eq!(
        door.ask("DELETE /api/v1/pairing", &[bearer], "").await.0,
        204
    );
    assert_eq!(door.command(&[bearer]).await, refused("not_paired"));
}

#[tokio::test]
async fn what_is_no_token_of_ours_commands_nothing() {
    let door = door();
    let good = door.bearer();
    let wrong = format!(
        "{}{}",
        &good[..good.len() - 1],
        if good.ends_with('0') { '1' } else { '0' }
    );
    for value in [
        wrong.as_str(),
        "Bearer",
        "Bearer ",
        "Basic aHViOnBsdW1i",
        "Bearer x",
        "",
        &good[7..],
    ] {
        let found = door.command(&[("authorization", value), OWN]).await;
        assert_eq!(found, refused("not_paired"), "{value}");
    }
    let cookie = format!("hubplumb-9999={}", &good[7..]);
    let found = door.command(&[("cookie", &cookie), OWN]).await;
    assert_eq!(found, refused("not_paired"), "the cookie of another daemon");
}

#[tokio::test]
async fn a_revoked_device_is_refused_at_once() {
    let door = door();
    let bearer = door.bearer();
    assert_eq!(door.command(&[("authorization", &bearer)]).await.0, 201);
    assert!(door.pairing.revoke(1).unwrap());
    assert_eq!(
        door.command(&[("authorization", &bearer)]).await,
        refused("not_paired")
    );
}

/// The list is told to paired devices alone, and one of them takes the right of another.
#[tokio::test]
async fn a_paired_device_sees_the_others_and_revokes_one() {
    let door = door();
    let (first, second) = (door.bearer(), door.bearer());
    let (status, response) = door.ask("GET /api/v1/pairing/devices", &[], "").await;
    assert_eq!(
        (status, json(response).await["code"].as_str()),
        (401, Some("not_paired"))
    );
    let listed = async |by: &str| {
        let headers = [("authorization", by)];
        let (_, response) = door.ask("GET /api/v1/pairing/devices", &headers, "").await;
        json(response).await
    };
    let devices = listed(&first).await;
    let row = |at: usize, key: &str| devices[at][key].clone();
    assert_eq!((row(0, "id"), row(0, "own")), (1.into(), true.into()));
    assert_eq!((row(1, "id"), row(1, "own")), (2.into(), false.into()));
    assert!(
        !devices.to_string().contains(&first[7..]),
        "a token is told"
    );
    let revoke = async |by: &str, id: i64| {
        let line = format!("DELETE /api/v1/pairing/devices/{id}");
        door.ask(&line, &[("authorization", by)], "").await.0
    };
    assert_eq!(revoke("Bearer nonsense", 2).await, 401);
    assert_eq!(revoke(&first, 2).await, 204);
    assert_eq!(revoke(&first, 2).await, 404);
    assert_eq!(revoke(&first, -1).await, 404);
    assert_eq!(
        door.command(&[("authorization", &second)]).await,
        refused("not_paired")
    );
    assert_eq!(door.command(&[("authorization", &first)]).await.0, 201);
    assert_eq!(listed(&first).await.as_array().unwrap().len(), 1);
}

/// Whatever was answered to one device under a key, another is not told, nor somebody unpaired.
#[tokio::test]
async fn no_device_replays_what_another_was_answered() {
    let door = door();
    let (one, other) = (door.bearer(), door.bearer());
    let key = ("idempotency-key", "\"k\"");
    let add = async |who: &[(&str, &str)]| {
        let (status, response) = door
            .ask("POST /api/v1/cars", who, r#"{"name":"Wicket"}"#)
            .await;
        (status, json(response).await)
    };
    let first = add(&[key, ("authorization", &one)]).await;
    assert_eq!((first.0, &first.1["id"]), (201, &1.into()));
    assert_eq!(add(&[key, ("authorization", &one)]).await, first);
    let second = add(&[key, ("authorization", &other)]).await;
    assert_eq!(
        (second.0, &second.1["id"]),
        (201, &2.into()),
        "done anew, as its own"
    );
    assert_eq!(add(&[key]).await.0, 401);
    door.pairing.revoke(1).unwrap();
    assert_eq!(
        add(&[key, ("authorization", &one)]).await.0,
        401,
        "not even its own any more"
    );
}

/// An answer with a token in it is not kept, whatever key was sent along.
#[tokio::test(start_paused = true)]
async fn the_answer_to_a_code_is_never_given_again() {
    let door = door();
    let code = door.pairing.offer().unwrap();
    let body = format!(r#"{{"code":"{}"}}"#, code.bare());
    let key = ("idempotency-key", "\"k\"");
    assert_eq!(
        door.ask("POST /api/v1/pairing", &[key, OWN], &body).await.0,
        201
    );
    tokio::time::advance(BETWEEN_GUESSES).await;
    let (status, response) = door.ask("POST /api/v1/pairing", &[key, OWN], &body).await;
    assert_eq!(status, 403);
    assert!(!response.headers().contains_key(header::SET_COOKIE));
    assert_eq!(json(response).await["code"], "no_pairing_code");
}

#[tokio::test(start_paused = true)]
async fn guesses_are_few_and_slow() {
    let door = door();
    let code = door.pairing.offer().unwrap();
    let first = if code.bare().starts_with('0') {
        '1'
    } else {
        '0'
    };
    let wrong = format!("{first}{}", &code.bare()[1..]);
    let guess = async |code: &str| {
        let (status, response) = door.pair(code, "").await;
        (
            status,
            json(response).await["code"]
                .as_str()
                .unwrap_or_default()
                .to_owned(),
        )
    };
    for _ in 0..5 {
        assert_eq!(guess(&wrong).await, (403, "wrong_pairing_code".to_owned()));
        assert_eq!(
            guess(code.bare()).await,
            (429, "pairing_too_soon".to_owned())
        );
        tokio::time::advance(Duration::from_secs(1)).await;
    }
    assert_eq!(
        guess(code.bare()).await,
        (403, "no_pairing_code".to_owned())
    );
    for typed in ["", "1234567", "123456789", "abcdefgh"] {
        assert_eq!(
            guess(typed).await,
            (422, "no_code_typed".to_owned()),
            "{typed}"
        );
    }
}

#[tokio::test]
async fn where_commands_are_open_other_sites_still_command_nothing() {
    let served = served();
    let ask = async |mark: (&'static str, &str)| {
        let mut request = request("POST", "/api/v1/cars", Some(r#"{"name":"Wicket"}"#));
        request
            .headers_mut()
            .insert(mark.0, mark.1.parse().unwrap());
        send(served.router.clone(), request).await.0
    };
    assert_eq!(ask(OWN).await, 201);
    assert_eq!(ask(("origin", "http://evil.example")).await, 403);
    assert_eq!(ask(("host", "evil.example")).await, 421);
    assert_eq!(ask(("sec-fetch-site", "same-site")).await, 403);
}

/// A practice is part of the daemon: it is commanded by the same devices, which are paired in it too.
#[tokio::test]
async fn a_device_is_paired_from_within_a_practice_as_well() {
    let door = door();
    let code = door.pairing.offer().unwrap();
    let body = format!(r#"{{"code":"{}"}}"#, code.bare());
    let (status, response) = door
        .ask("POST /practice/api/v1/pairing", &[OWN], &body)
        .await;
    assert_eq!(status, 201);
    assert!(response.headers().contains_key(header::SET_COOKIE));
}
