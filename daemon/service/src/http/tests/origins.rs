//! By what name, from whose page, and what every answer says to the browser.

use super::*;

async fn answered(line: &str, headers: &[(&str, &str)]) -> Response {
    let (method, path) = line.split_once(' ').unwrap();
    let mut request = request(method, path, (method != "GET").then_some("{}"));
    for (name, value) in headers {
        let name: header::HeaderName = name.parse().unwrap();
        request.headers_mut().insert(name, value.parse().unwrap());
    }
    send(served().router, request).await.1
}

async fn code(response: Response) -> (u16, String) {
    let status = response.status().as_u16();
    let code = json(response).await["code"].as_str().map(str::to_owned);
    (status, code.unwrap_or_default())
}

#[tokio::test]
async fn a_name_that_is_not_ours_is_told_nothing() {
    for line in [
        "GET /",
        "GET /api/v1/state",
        "POST /api/v1/swing/cancel",
        "GET /practice/",
    ] {
        for host in [
            "evil.example",
            "evil.example:8710",
            "127.0.0.1.evil.example",
            "localhost:x",
            "",
        ] {
            let found = code(answered(line, &[("host", host)]).await).await;
            assert_eq!(found, (421, "unknown_host".to_owned()), "{line} {host}");
        }
        for host in [
            "localhost",
            "[::1]:8710",
            "192.168.4.20:8710",
            "hubplumb.local:8710",
        ] {
            let found = answered(line, &[("host", host)]).await.status();
            assert_ne!(found, StatusCode::MISDIRECTED_REQUEST, "{line} {host}");
        }
    }
}

#[tokio::test]
async fn a_page_of_another_site_neither_commands_nor_opens_a_stream() {
    for line in [
        "POST /api/v1/swing/cancel",
        "GET /api/v1/stream",
        "GET /api/v1/traces",
        "GET /api/v1/state",
        "GET /practice/api/v1/stream",
        "POST /api/v1/pairing",
    ] {
        for mark in [
            ("sec-fetch-site", "cross-site"),
            ("sec-fetch-site", "same-site"),
            ("origin", "http://evil.example"),
            ("origin", "http://127.0.0.1:3000"),
            ("origin", "null"),
        ] {
            let found = code(answered(line, &[mark]).await).await;
            assert_eq!(found, (403, "foreign_page".to_owned()), "{line} {mark:?}");
        }
        let own = answered(line, &[("origin", "http://127.0.0.1:8710")]).await;
        assert_ne!(own.status(), StatusCode::FORBIDDEN, "{line}");
    }
    // A link may stand anywhere.
    let link = [
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-mode", "navigate"),
    ];
    assert_eq!(answered("GET /", &link).await.status(), StatusCode::OK);
    assert_eq!(
        answered("GET /api/v1/health", &link).await.status(),
        StatusCode::OK
    );
}

#[tokio::test]
async fn every_answer_tells_the_browser_what_it_may_do_with_it() {
    for (line, mark) in [
        ("GET /", None),
        ("GET /api/v1/state", None),
        ("GET /nothing", None),
        ("POST /api/v1/swing/cancel", None),
        ("POST /api/v1/swing/cancel", Some(("origin", "null"))),
        ("GET /api/v1/state", Some(("host", "evil.example"))),
    ] {
        let response = answered(line, mark.as_slice()).await;
        let said = |name: &str| {
            let value = response.headers().get(name);
            value
                .and_then(|value| value.to_str().ok())
                .unwrap_or_default()
                .to_owned()
        };
        for (name, holds) in [
            ("x-content-type-options", "nosniff"),
            ("referrer-policy", "no-referrer"),
            ("cross-origin-resource-policy", "same-origin"),
            ("permissions-policy", "camera=()"),
            ("content-security-policy", "frame-ancestors 'none'"),
            ("content-security-policy", "default-src"),
        ] {
            assert!(
                said(name).contains(holds),
                "{line} {mark:?}: {name} is {:?}",
                said(name)
            );
        }
        assert!(!said("content-security-policy").contains("unsafe-eval"));
        assert_eq!(said("strict-transport-security"), "", "not over plain HTTP");
        assert_eq!(
            said("access-control-allow-origin"),
            "",
            "nobody else reads it"
        );
        let fresh = if line == "GET /" {
            "no-cache"
        } else {
            "no-store"
        };
        assert_eq!(said("cache-control"), fresh, "{line}");
    }
    let here = answered("GET /", &[]).await;
    assert_eq!(here.headers()["cross-origin-opener-policy"], "same-origin");
    let afar = answered("GET /", &[("host", "192.168.4.20:8710")]).await;
    assert!(!afar.headers().contains_key("cross-origin-opener-policy"));
}

/// One machine may keep sixteen streams open; one that is closed makes room.
#[tokio::test]
async fn streams_are_bounded_and_a_closed_one_makes_room() {
    let served = served();
    let mut open = Vec::new();
    for _ in 0..16 {
        open.push(stream(&served).await);
    }
    let ask = || {
        send(
            served.router.clone(),
            request("GET", "/api/v1/traces", None),
        )
    };
    let (status, response) = ask().await;
    assert_eq!(status, StatusCode::SERVICE_UNAVAILABLE);
    assert_eq!(response.headers()[header::RETRY_AFTER], "5");
    assert_eq!(json(response).await["code"], "too_many_streams");
    open.pop();
    assert_eq!(ask().await.0, StatusCode::OK);
}
