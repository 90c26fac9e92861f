//! Plays the first inputs of the fuzz targets, with what has to hold of them. `daemon/fuzz` is a workspace
//! of its own, so without this nobody would notice that it does not compile any more.

#![expect(
    clippy::unwrap_used,
    reason = "a seed that cannot be read must fail its test"
)]

use std::fs;
use std::path::Path;

#[path = "../../fuzz/src/lib.rs"]
#[expect(
    clippy::expect_used,
    unreachable_pub,
    reason = "a breach is a panic; what is public here is so for the targets"
)]
mod targets;

fn play(target: &str, judge: fn(&[u8])) {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut played = 0;
    for entry in fs::read_dir(own.join("../fuzz/seeds").join(target)).unwrap() {
        let file = entry.unwrap().path();
        eprintln!("{}", file.display());
        judge(&fs::read(&file).unwrap());
        played += 1;
    }
    assert!(played > 0, "no seeds of {target}");
}

#[test]
fn configurations() {
    play("config", targets::config);
    let example = include_bytes!("../../../docs/hubplumb.example.toml");
    targets::config(example);
}

#[test]
fn sessions() {
    play("session", targets::session);
}

#[test]
fn recordings() {
    play("recording", targets::recording);
}

#[test]
fn cars() {
    play("car", targets::car);
    targets::car(include_bytes!("../../../docs/car.example.toml"));
}

#[test]
fn visits() {
    play("visits", targets::visits);
}

#[test]
fn requests() {
    play("requests", targets::requests);
}
