//! The ways in as a client sees them.

use serde_json::{Value, json};

use super::*;

async fn got(listen: &str, https: bool, path: &str) -> (StatusCode, Response) {
    let router = served_at(reach::tests::desk(listen, https)).router;
    send(router, request("GET", path, None)).await
}

#[tokio::test]
async fn this_machine_alone_has_no_code_and_no_name() {
    let (_, response) = got("127.0.0.1:8710", false, "/api/v1/reach").await;
    assert_eq!(
        json(response).await,
        json!({
            "scope": "this_machine",
            "https": false,
            "addresses": [{ "url": "http://127.0.0.1:8710/", "code": [] }],
            "name": { "state": "off", "url": null },
            "certificate": null,
        })
    );
}

#[tokio::test]
async fn on_the_network_each_address_has_its_code() {
    let (_, response) = got("192.168.4.20:8710", false, "/api/v1/reach").await;
    let reach = json(response).await;
    assert_eq!(reach["scope"], "network");
    assert_eq!(reach["addresses"][0]["url"], "http://192.168.4.20:8710/");
    let rows = reach["addresses"][0]["code"].as_array().unwrap();
    assert_eq!(rows.len(), 25, "version 2 is enough for a numeric address");
    assert!(
        rows.iter()
            .all(|row| row.as_str().unwrap().len() == rows.len())
    );
    assert_eq!(
        reach["name"],
        json!({ "state": "asking", "url": "http://hubplumb.local:8710/" })
    );
}

/// The browser tests draw this very answer.
#[tokio::test]
async fn the_ways_in_are_what_the_golden_file_says() {
    let (_, response) = got("192.168.4.20:8710", true, "/api/v1/reach").await;
    let mut found = json(response).await;
    // These are other ones with every certificate.
    for part in ["name", "fingerprint_sha256", "page_fingerprint_sha256"] {
        let told = found["certificate"][part].take();
        assert!(told.as_str().is_some_and(|text| text.len() >= 8), "{part}");
    }
    let mut golden: Value = serde_json::from_str(include_str!("../golden/reach.json")).unwrap();
    for part in ["name", "fingerprint_sha256", "page_fingerprint_sha256"] {
        golden["certificate"][part].take();
    }
    assert_eq!(found, golden, "it is now:\n{found:#}");
}

#[tokio::test]
async fn with_https_the_certificate_is_there_in_both_forms() {
    let router = served_at(reach::tests::desk("192.168.4.20:8710", true)).router;
    let ask = |path: &str| send(router.clone(), request("GET", path, None));
    let reach = json(ask("/api/v1/reach").await.1).await;
    let told: &Value = &reach["certificate"];
    assert_eq!(reach["addresses"][0]["url"], "https://192.168.4.20:8710/");
    assert_eq!(told["path"], "/certificate.crt");
    let (status, response) = ask("/certificate.crt").await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(
        response.headers()[header::CONTENT_TYPE],
        "application/x-x509-ca-cert"
    );
    let der = response.into_body().collect().await.unwrap().to_bytes();
    let print: Vec<String> = <sha2::Sha256 as sha2::Digest>::digest(&der)
        .iter()
        .map(|byte| format!("{byte:02X}"))
        .collect();
    assert_eq!(told["fingerprint_sha256"], print.join(":"));
    let (_, response) = ask("/certificate.pem").await;
    let pem = response.into_body().collect().await.unwrap().to_bytes();
    assert!(pem.starts_with(b"-----BEGIN CERTIFICATE-----"));
}

#[tokio::test]
async fn without_https_there_is_no_certificate() {
    for path in ["/certificate.crt", "/certificate.pem"] {
        check(request("GET", path, None), 404, "no_certificate").await;
    }
}
