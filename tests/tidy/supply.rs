//! Where the crates come from, and under which licences.

use std::sync::OnceLock;

use hubplumb_tests::third_party;
use serde_json::Value;
use spdx::{Expression, LicenseReq};

use crate::tree::{Breach, assert_bites, assert_none, top};

/// Licences that the program may be given on with. Each lets anybody use, change and pass on the
/// program as long as its text goes along; MPL-2.0 asks besides for the sources of its own files,
/// which every registry has.
const ALLOWED: [&str; 10] = [
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "ISC",
    "MIT",
    "MPL-2.0",
    "Unicode-3.0",
    "Zlib",
];

/// The one registry; crates of our own come from no registry at all.
const REGISTRY: &str = concat!("registry+https://github.com/rust-lang/cra", "tes.io-index");

fn metadata() -> &'static Value {
    static METADATA: OnceLock<Value> = OnceLock::new();
    METADATA.get_or_init(|| third_party::metadata(&top()).expect("cargo tells what is needed"))
}

fn packages(metadata: &Value) -> impl Iterator<Item = &Value> {
    metadata["packages"].as_array().into_iter().flatten()
}

fn name(package: &Value) -> String {
    let part = |key: &str| package[key].as_str().unwrap_or_default();
    format!("{} {}", part("name"), part("version"))
}

fn is_allowed(wanted: &LicenseReq) -> bool {
    let id = wanted.license.id();
    id.is_some_and(|id| ALLOWED.contains(&id.name))
}

fn unlicensed(metadata: &Value) -> Vec<Breach> {
    let judged = packages(metadata).filter_map(|package| {
        let Some(written) = package["license"].as_str() else {
            return Some(Breach::new(&name(package), 0, "names no licence"));
        };
        // Some old crates write a slash for OR.
        let read = Expression::parse_mode(written, spdx::ParseMode::LAX);
        let allowed = read.is_ok_and(|expression| expression.evaluate(is_allowed));
        (!allowed).then(|| Breach::new(&name(package), 0, format!("is under {written}")))
    });
    judged.collect()
}

fn strangers(metadata: &Value) -> Vec<Breach> {
    packages(metadata)
        .filter(|package| {
            let source = package["source"].as_str();
            source.is_some_and(|source| source != REGISTRY)
        })
        .map(|package| {
            let what = format!("comes from {}", package["source"]);
            Breach::new(&name(package), 0, what)
        })
        .collect()
}

fn invented(license: &str, source: &str) -> Value {
    serde_json::json!({ "packages": [
        { "name": "a", "version": "1.0.0", "license": license, "source": source }
    ] })
}

#[test]
fn every_crate_is_under_a_licence_that_goes_with_ours() {
    assert_none(&unlicensed(metadata()));
}

#[test]
fn a_licence_that_does_not_go_with_ours_is_found() {
    let good = unlicensed(&invented("MIT/Apache-2.0", REGISTRY));
    assert_none(&unlicensed(&invented("GPL-3.0-only OR MIT", REGISTRY)));
    for bad in [
        "GPL-3.0-only",
        "MIT AND GPL-2.0-only",
        "a licence of my own",
    ] {
        assert_bites(&unlicensed(&invented(bad, REGISTRY)), &good);
    }
    let nothing = serde_json::json!({ "packages": [{ "name": "a", "version": "1.0.0" }] });
    assert_bites(&unlicensed(&nothing), &good);
}

#[test]
fn every_crate_comes_from_the_one_registry() {
    assert_none(&strangers(metadata()));
}

#[test]
fn a_crate_from_elsewhere_is_found() {
    let good = strangers(&invented("MIT", REGISTRY));
    let bad = invented("MIT", "git+https://example.org/a?rev=1#1");
    assert_bites(&strangers(&bad), &good);
}

#[test]
fn the_program_names_all_that_it_links() {
    let linked = third_party::linked(metadata()).expect("every crate names a licence");
    let is_there = |name: &str| {
        linked
            .iter()
            .any(|part| part.name.starts_with(&format!("{name} ")))
    };
    for (name, wanted) in [
        ("tokio", true),
        ("libsqlite3-sys", true),
        ("libdbus-sys", true),
        // What runs while it is built or tested is not in it.
        ("serde_derive", false),
        ("proptest", false),
        ("hubplumb-core", false),
    ] {
        assert_eq!(is_there(name), wanted, "{name}");
    }
    assert_eq!(third_party::carried(&linked).len(), 2);
    let text = third_party::document(&linked).expect("texts");
    assert!(text.contains("\ntokio ") && text.contains("Permission is hereby granted"));
}
