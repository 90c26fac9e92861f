//! Rules for the Cargo manifests.

use toml::{Table, Value};

use crate::tree::{Breach, SourceFile, assert_bites, assert_none, text_files};

const INHERITED: [&str; 4] = ["edition", "license", "rust-version", "version"];

fn manifests(files: &[SourceFile]) -> impl Iterator<Item = (&SourceFile, Table)> {
    files
        .iter()
        .filter(|file| file.file_name() == "Cargo.toml")
        .map(|file| (file, file.text.parse().expect("a Cargo manifest is TOML")))
}

fn from_workspace(value: Option<&Value>) -> bool {
    value
        .and_then(|value| value.get("workspace"))
        .and_then(Value::as_bool)
        == Some(true)
}

/// One edition, one licence, one set of lints, one version of each dependency.
fn not_inherited(files: &[SourceFile]) -> Vec<Breach> {
    let mut breaches = Vec::new();
    for (file, manifest) in manifests(files) {
        let Some(package) = manifest.get("package") else {
            continue;
        };
        // A workspace of its own has nothing to inherit from; the root has to exclude it.
        if manifest.contains_key("workspace") {
            continue;
        }
        for key in INHERITED {
            if !from_workspace(package.get(key)) {
                breaches.push(Breach::new(
                    &file.path,
                    0,
                    format!("package.{key} is not the workspace's"),
                ));
            }
        }
        if !from_workspace(manifest.get("lints")) {
            breaches.push(Breach::new(&file.path, 0, "lints are not the workspace's"));
        }
        for section in ["dependencies", "dev-dependencies", "build-dependencies"] {
            let named = manifest.get(section).and_then(Value::as_table);
            for (name, value) in named.into_iter().flatten() {
                if !from_workspace(Some(value)) {
                    let what = format!("{section}.{name} is not the workspace's");
                    breaches.push(Breach::new(&file.path, 0, what));
                }
            }
        }
    }
    breaches
}

/// A library below may panic in a task of its own: aborting would take a running measurement with it.
fn aborts(files: &[SourceFile]) -> Vec<Breach> {
    let settings = files.iter().filter(|file| file.has_extension(&["toml"]));
    settings
        .filter_map(|file| {
            let table: Table = file.text.parse().ok()?;
            let profiles = table.get("profile")?.as_table()?;
            let aborting = profiles.iter().find(|(_, profile)| {
                profile.get("panic").and_then(Value::as_str) == Some("abort")
            })?;
            Some(Breach::new(
                &file.path,
                0,
                format!("profile {} aborts on panic", aborting.0),
            ))
        })
        .collect()
}

/// Members of the workspace that have no manifest, and manifests that are no member.
fn strangers(files: &[SourceFile]) -> Vec<Breach> {
    let Some((root, table)) = manifests(files).find(|(file, _)| file.path == "Cargo.toml") else {
        return vec![Breach::new("Cargo.toml", 0, "missing")];
    };
    let listed = |key: &str| -> Vec<String> {
        let listed = table
            .get("workspace")
            .and_then(|workspace| workspace.get(key))
            .and_then(Value::as_array);
        let folders = listed.into_iter().flatten().filter_map(Value::as_str);
        folders
            .map(|folder| format!("{folder}/Cargo.toml"))
            .collect()
    };
    let (members, excluded) = (listed("members"), listed("exclude"));
    let found: Vec<&str> = manifests(files)
        .filter(|(file, manifest)| {
            let is_apart = manifest.contains_key("workspace") && excluded.contains(&file.path);
            file.path != root.path && !is_apart
        })
        .map(|(file, _)| file.path.as_str())
        .collect();
    let unlisted = found
        .iter()
        .filter(|path| !members.iter().any(|member| member == *path));
    let missing = members
        .iter()
        .filter(|member| !found.contains(&member.as_str()));
    unlisted
        .map(|path| Breach::new(path, 0, "not a member of the workspace"))
        .chain(missing.map(|path| Breach::new(path, 0, "listed as a member and missing")))
        .collect()
}

fn manifest(text: &str) -> [SourceFile; 1] {
    [SourceFile::invented("sim/Cargo.toml", text)]
}

const GOOD: &str = "[package]\nname = \"x\"\nversion.workspace = true\nedition.workspace = true\n\
    license.workspace = true\nrust-version.workspace = true\n[lints]\nworkspace = true\n\
    [dependencies]\nserde.workspace = true\n";

#[test]
fn every_crate_inherits_from_the_workspace() {
    assert_none(&not_inherited(&text_files()));
}

#[test]
fn a_crate_of_its_own_mind_is_found() {
    let good = not_inherited(&manifest(GOOD));
    for (from, to) in [
        ("edition.workspace = true", "edition = \"2021\""),
        ("license.workspace = true", ""),
        ("[lints]\nworkspace = true", ""),
        ("serde.workspace = true", "serde = \"1\""),
    ] {
        assert_bites(&not_inherited(&manifest(&GOOD.replace(from, to))), &good);
    }
}

#[test]
fn no_profile_aborts_on_panic() {
    assert_none(&aborts(&text_files()));
}

#[test]
fn a_profile_that_aborts_is_found() {
    let bad = aborts(&manifest("[profile.release]\npanic = \"abort\"\n"));
    assert_bites(
        &bad,
        &aborts(&manifest("[profile.release]\nstrip = true\n")),
    );
}

#[test]
fn the_workspace_lists_exactly_its_crates() {
    assert_none(&strangers(&text_files()));
}

#[test]
fn a_crate_outside_the_workspace_is_found() {
    let root = || SourceFile::invented("Cargo.toml", "[workspace]\nmembers = [\"sim\"]\n");
    let sim = || SourceFile::invented("sim/Cargo.toml", GOOD);
    let stray = SourceFile::invented("stray/Cargo.toml", GOOD);
    assert_bites(
        &strangers(&[root(), sim(), stray]),
        &strangers(&[root(), sim()]),
    );
    assert_bites(&strangers(&[root()]), &[]);
}

#[test]
fn a_workspace_of_its_own_has_to_be_excluded() {
    let root = |excluded: &str| {
        let text = format!("[workspace]\nmembers = []\nexclude = [{excluded}]\n");
        SourceFile::invented("Cargo.toml", &text)
    };
    let apart = |text: &str| SourceFile::invented("apart/Cargo.toml", text);
    let own = "[package]\nname = \"x\"\n[workspace]\n";
    let good = strangers(&[root("\"apart\""), apart(own)]);
    assert_bites(&strangers(&[root(""), apart(own)]), &good);
    assert_bites(&strangers(&[root("\"apart\""), apart(GOOD)]), &good);
    assert_none(&not_inherited(&[apart(own)]));
}
