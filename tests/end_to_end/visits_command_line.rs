//! Cars, visits and the sheet as they are typed.

use std::fs;
use std::path::Path;
use std::time::Duration;

use hubplumb_tests::running::write_config;
use hubplumb_tests::{Daemon, Finished, run};
use serde_json::Value;

const SOON: Duration = Duration::from_secs(20);
const CAR: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/car.example.toml");
const VISITS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/visits/two_visits.json");

fn typed(store: &Path, arguments: &[&str]) -> Finished {
    let store = store.to_string_lossy();
    let all: Vec<&str> = arguments
        .iter()
        .copied()
        .chain(["--store", &store])
        .collect();
    run(&all, SOON)
}

/// Runs it, sees that all went well and gives what it printed.
#[track_caller]
fn well(store: &Path, arguments: &[&str]) -> String {
    let finished = typed(store, arguments);
    assert_eq!(finished.code, Some(0), "{arguments:?}: {finished:#?}");
    finished.stdout
}

/// Runs it and sees that it fails with this code, in three parts, naming this.
#[track_caller]
fn wrong(store: &Path, arguments: &[&str], code: i32, named: &str) {
    let finished = typed(store, arguments);
    assert_eq!(finished.code, Some(code), "{arguments:?}: {finished:#?}");
    for part in ["error: ", "what it means: ", "what to do: ", named] {
        assert!(
            finished.stderr.contains(part),
            "{arguments:?}, {part}: {finished:#?}"
        );
    }
    assert_eq!(finished.stdout, "", "{arguments:?}");
}

#[test]
fn cars_come_in_are_shown_go_out_and_are_forgotten() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().join("store");
    assert!(well(&store, &["cars", "list"]).contains("No car"));
    assert!(!store.exists(), "looking makes nothing");
    assert!(well(&store, &["cars", "import", CAR]).contains("car 1: Wicket 1300"));
    assert!(well(&store, &["cars", "list"]).contains("Wicket 1300"));
    let cars: Value =
        serde_json::from_str(&well(&store, &["cars", "list", "--json"])).expect("JSON");
    assert_eq!(cars[0]["record"]["wheelbase_mm"], 2250.0);
    let bare = folder.path().join("bare.json");
    fs::write(&bare, "{\"name\": \"Bare\"}").expect("a file");
    well(&store, &["cars", "import", &bare.to_string_lossy()]);
    assert!(well(&store, &["cars", "show", "2"]).contains("front camber target"));
    for (json, name) in [(false, "out.toml"), (true, "out.json")] {
        let out = folder.path().join(name);
        let mut asked = vec!["cars", "export", "1"];
        asked.extend(json.then_some("--json"));
        fs::write(&out, well(&store, &asked)).expect("a file");
        let again = folder.path().join(format!("store-{name}"));
        well(&again, &["cars", "import", &out.to_string_lossy()]);
        assert_eq!(well(&again, &asked), well(&store, &asked));
    }
    wrong(&store, &["cars", "delete", "1"], 2, "--yes");
    assert!(well(&store, &["cars", "list"]).contains("Wicket 1300"));
    well(&store, &["cars", "delete", "1", "--yes"]);
    assert!(!well(&store, &["cars", "list"]).contains("Wicket 1300"));
}

#[test]
fn visits_come_in_are_shown_go_out_and_are_deleted() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().join("store");
    let brought = well(&store, &["visits", "import", VISITS]);
    assert_eq!(brought.lines().count(), 2, "{brought}");
    assert!(well(&store, &["visits", "list", "--car", "1"]).contains("Wicket 1300"));
    assert!(well(&store, &["visits", "list", "--car", "2"]).contains("No visit"));
    let shown = well(&store, &["visits", "show", "2"]);
    for part in [
        "Camber",
        "-1.32 ± 0.06°",
        "top in",
        "upper arm shims",
        "front left tyre worn",
    ] {
        let there = shown.contains(part)
            || part == "front left tyre worn" && shown.contains("left front tyre worn");
        assert!(there, "{part}: {shown}");
    }
    let visit: Value =
        serde_json::from_str(&well(&store, &["visits", "show", "2", "--json"])).expect("JSON");
    assert_eq!(visit["car"]["name"], "Wicket 1300");

    // Out and into another store, where it comes out the same.
    let out = folder.path().join("out.json");
    let out = out.to_string_lossy();
    assert_eq!(
        well(&store, &["visits", "export", "1", "2", "--out", &out]),
        ""
    );
    let read = |file: &str| -> Value {
        serde_json::from_str(&fs::read_to_string(file).expect("a file")).expect("JSON")
    };
    let other = folder.path().join("other");
    well(&other, &["visits", "import", &out]);
    let again: Value =
        serde_json::from_str(&well(&other, &["visits", "export", "1", "2"])).expect("JSON");
    assert_eq!(again, read(&out));
    wrong(&other, &["visits", "import", &out], 2, "here already");

    let table = well(&store, &["visits", "export", "2", "--csv"]);
    let rows: Vec<&str> = table.lines().collect();
    assert!(rows[0].starts_with("visit,car,entry,at,stage,procedure,quantity,place,value,unit"));
    let of = |words: &str| rows.iter().filter(|row| row.contains(words)).count();
    assert_eq!(
        of("taken back"),
        2,
        "the two findings of the run that was taken back"
    );
    assert_eq!(of(",camber,"), 9, "{table}");

    let backup = folder.path().join("backup").join("visits.sqlite3");
    fs::create_dir(folder.path().join("backup")).expect("a folder");
    well(&store, &["visits", "backup", &backup.to_string_lossy()]);
    wrong(
        &store,
        &["visits", "backup", &backup.to_string_lossy()],
        2,
        "there already",
    );
    wrong(&store, &["visits", "delete", "2"], 2, "--yes");
    well(&store, &["visits", "delete", "2", "--yes"]);
    wrong(&store, &["visits", "show", "2"], 2, "There is no visit 2");
    let kept = well(backup.parent().expect("its folder"), &["visits", "list"]);
    assert_eq!(kept.lines().count(), 2, "the backup is a store: {kept}");
}

#[test]
fn the_sheet_is_written_to_a_file_or_printed() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().join("store");
    well(&store, &["visits", "import", VISITS]);
    let printed = well(&store, &["sheet", "2"]);
    for part in [
        "<!DOCTYPE html>",
        "Wicket 1300",
        "−1.32°",
        "not measured",
        "taken back",
        "size: A4",
        "2025-04-12",
    ] {
        assert!(printed.contains(part), "{part}");
    }
    let out = folder.path().join("sheet.html");
    let asked = [
        "sheet",
        "2",
        "--minutes",
        "--paper",
        "letter",
        "--out",
        &out.to_string_lossy(),
    ];
    assert_eq!(well(&store, &asked), "");
    let written = fs::read_to_string(&out).expect("the sheet");
    assert!(written.contains("−1° 19′") && written.contains("size: letter"));
    wrong(&store, &["sheet", "9"], 2, "There is no visit 9");
    let nowhere = folder.path().join("no").join("sheet.html");
    wrong(
        &store,
        &["sheet", "2", "--out", &nowhere.to_string_lossy()],
        1,
        "sheet.html",
    );
}

#[test]
fn what_cannot_be_read_is_told_in_three_parts() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().join("store");
    let file = folder.path().join("file");
    let path = file.to_string_lossy().into_owned();
    wrong(&store, &["cars", "show", "1"], 2, "There is no car 1");
    wrong(&store, &["cars", "import", &path], 2, "file");
    fs::write(&file, "name = \"A\"\nwheelbase = 3\n").expect("a file");
    wrong(&store, &["cars", "import", &path], 2, "line 2");
    wrong(
        &store,
        &["visits", "import", &path],
        2,
        "visits.schema.json",
    );
    fs::write(
        &file,
        "{\"hubplumb_visits\": 1, \"visits\": [{\"mark\": 3}]}",
    )
    .expect("a file");
    wrong(&store, &["visits", "import", &path], 2, "visits[0].mark");
    // A store that is none.
    fs::create_dir_all(&store).expect("a folder");
    fs::write(
        store.join("visits.sqlite3"),
        "no store at all, ".repeat(300),
    )
    .expect("a file");
    wrong(&store, &["visits", "list"], 1, "docs/RECOVERY.md");
}

#[test]
fn it_works_beside_a_running_daemon() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().join("store");
    let config = "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"/dev/no-such-port\"\n";
    let config = write_config(folder.path(), config);
    let daemon = Daemon::start(&[
        "run",
        "--config",
        &config.to_string_lossy(),
        "--store",
        &store.to_string_lossy(),
    ]);
    well(&store, &["visits", "import", VISITS]);
    let (status, kind, sheet) = daemon.get("/sheet/2?minutes");
    assert_eq!(status, 200);
    assert!(kind.starts_with("text/html") && sheet.contains("−1° 19′"));
    let (status, visit) = daemon.post("/api/v1/visits", &serde_json::json!({ "car": 1 }));
    assert_eq!((status, &visit["id"]), (201, &Value::from(3)));
    assert!(well(&store, &["visits", "list"]).contains("(at hand)"));
    well(&store, &["visits", "delete", "2", "--yes"]);
    assert_eq!(daemon.get("/api/v1/visits/2").0, 404);
}

#[test]
fn the_schemas_in_the_documents_are_those_that_are_printed() {
    for (command, name) in [("cars", "car"), ("visits", "visits")] {
        let printed = run(&[command, "schema"], SOON).stdout;
        let kept =
            Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../docs/{name}.schema.json"));
        let kept = fs::read_to_string(kept).expect("a schema");
        assert!(
            printed == kept,
            "docs/{name}.schema.json is not what `hubplumb {command} schema` prints"
        );
    }
}
