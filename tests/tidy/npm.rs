//! Rules for the npm projects: they must install on any machine, whatever registry it uses.

use crate::tree::{Breach, SourceFile, assert_bites, assert_none, text_files};

const OMIT_RESOLVED: &str = "omit-lockfile-registry-resolved=true";

fn folder(path: &str) -> &str {
    path.rsplit_once('/').map_or("", |(folder, _)| folder)
}

/// A lock file that says where its packages came from installs only there.
fn pinned_to_a_registry(files: &[SourceFile]) -> Vec<Breach> {
    let mut breaches = Vec::new();
    for file in files
        .iter()
        .filter(|file| file.file_name() == "package-lock.json")
    {
        for (index, line) in file.text.lines().enumerate() {
            if line.trim_start().starts_with("\"resolved\"") {
                breaches.push(Breach::new(&file.path, index + 1, line.trim()));
            }
        }
    }
    for file in files.iter().filter(|file| file.file_name() == ".npmrc") {
        for (index, line) in file.text.lines().enumerate() {
            let key = line.split('=').next().unwrap_or_default().trim();
            if key == "registry"
                || key.ends_with(":registry")
                || line.trim_start().starts_with("//")
            {
                breaches.push(Breach::new(&file.path, index + 1, "names a registry"));
            }
        }
    }
    breaches
}

/// `npm` reads the settings beside package.json only, so each project needs its own.
fn incomplete(files: &[SourceFile]) -> Vec<Breach> {
    let beside = |place: &str, name: &str| {
        files
            .iter()
            .find(|file| folder(&file.path) == place && file.file_name() == name)
    };
    let mut breaches = Vec::new();
    for project in files
        .iter()
        .filter(|file| file.file_name() == "package.json")
    {
        let place = folder(&project.path);
        if beside(place, "package-lock.json").is_none() {
            breaches.push(Breach::new(
                &project.path,
                0,
                "no package-lock.json beside it",
            ));
        }
        let settings = beside(place, ".npmrc");
        if settings.is_none_or(|settings| {
            !settings
                .text
                .lines()
                .any(|line| line.trim() == OMIT_RESOLVED)
        }) {
            breaches.push(Breach::new(
                &project.path,
                0,
                format!("no .npmrc with {OMIT_RESOLVED} beside it"),
            ));
        }
    }
    breaches
}

fn project(lock: &str, settings: &str) -> [SourceFile; 3] {
    [
        SourceFile::invented("page/package.json", "{}"),
        SourceFile::invented("page/package-lock.json", lock),
        SourceFile::invented("page/.npmrc", settings),
    ]
}

#[test]
fn no_lock_file_is_pinned_to_a_registry() {
    assert_none(&pinned_to_a_registry(&text_files()));
}

#[test]
fn a_pinned_lock_file_is_found() {
    let good = pinned_to_a_registry(&project("{}", OMIT_RESOLVED));
    let resolved = "{\n  \"resolved\": \"https://example.org/x.tgz\"\n}";
    assert_bites(&pinned_to_a_registry(&project(resolved, "")), &good);
    assert_bites(
        &pinned_to_a_registry(&project("{}", "registry=https://example.org")),
        &good,
    );
    assert_bites(
        &pinned_to_a_registry(&project("{}", "@x:registry=https://example.org")),
        &good,
    );
}

#[test]
fn every_npm_project_has_its_lock_and_settings() {
    let files = text_files();
    assert!(
        files
            .iter()
            .any(|file| file.path == "tests/browser/package.json")
    );
    assert_none(&incomplete(&files));
}

#[test]
fn an_incomplete_npm_project_is_found() {
    let whole = project("{}", OMIT_RESOLVED);
    let good = incomplete(&whole);
    assert_bites(&incomplete(&whole[..2]), &good);
    assert_bites(&incomplete(&whole[..1]), &good);
    assert_bites(&incomplete(&project("{}", "fund=false")), &good);
}
