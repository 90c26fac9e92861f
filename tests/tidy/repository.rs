//! Rules for the repository as a whole: what lies where, and that its documents are true.

use std::collections::BTreeSet;

use regex_lite::Regex;

use crate::tree::{Breach, SourceFile, assert_bites, assert_none, paths, text_files, top};

/// What may lie at the top; anything else belongs in one of these folders.
/// Dotfiles are settings of tools that look for them there.
const AT_THE_TOP: [&str; 14] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "README.md",
    "clippy.toml",
    "daemon",
    "docs",
    "protocol",
    "rustfmt.toml",
    "sim",
    "tests",
    "web-ui",
];

fn out_of_place(paths: &[String]) -> Vec<Breach> {
    let at_top: BTreeSet<&str> = paths
        .iter()
        .filter_map(|path| path.split('/').next())
        .collect();
    at_top
        .into_iter()
        .filter(|entry| !entry.starts_with('.') && !AT_THE_TOP.contains(entry))
        .map(|entry| Breach::new(entry, 0, "does not belong at the top of the repository"))
        .collect()
}

/// A path of one machine is wrong on every other.
fn of_one_machine(files: &[SourceFile]) -> Vec<Breach> {
    // Written in halves, or this file would be found.
    let pattern = [
        r"(^|[\s`'(=:]|\x22)(/ho",
        r"me/\w|/ro",
        r"ot\b|/wo",
        r"rk/|/Us",
        r"ers/|[A-Z]:\\Us",
        r"ers)|/tm",
        r"p/(hp|target-)",
    ]
    .concat();
    let registries = [
        r"crates\.io-in",
        r"dex|registry\.npm",
        r"js|/artifact",
        r"ory/",
    ]
    .concat();
    let machine = Regex::new(&pattern).expect("sound pattern");
    let registry = Regex::new(&registries).expect("sound pattern");
    let mut breaches = Vec::new();
    for file in files {
        for (index, line) in file.text.lines().enumerate() {
            if machine.is_match(line) {
                breaches.push(Breach::new(
                    &file.path,
                    index + 1,
                    format!("path of one machine: {}", line.trim()),
                ));
            }
            // Cargo writes the name of its registry into every lock file.
            if file.file_name() != "Cargo.lock" && registry.is_match(line) {
                breaches.push(Breach::new(
                    &file.path,
                    index + 1,
                    format!("registry host: {}", line.trim()),
                ));
            }
        }
    }
    breaches
}

/// Lines of a document that are not inside a fenced block.
fn prose(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let mut fenced = false;
    text.lines().enumerate().filter_map(move |(index, line)| {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
            return None;
        }
        (!fenced).then_some((index + 1, line))
    })
}

/// The anchor that a heading gets: small letters, digits, `-` and `_`.
fn anchor(heading: &str) -> String {
    let kept = heading.trim().to_lowercase();
    kept.chars()
        .filter_map(|letter| match letter {
            ' ' => Some('-'),
            '-' | '_' => Some(letter),
            _ => letter.is_alphanumeric().then_some(letter),
        })
        .collect()
}

fn join(folder: &str, target: &str) -> String {
    let mut parts: Vec<&str> = folder.split('/').filter(|part| !part.is_empty()).collect();
    for part in target.split('/') {
        match part {
            "" | "." => {}
            ".." => drop(parts.pop()),
            _ => parts.push(part),
        }
    }
    parts.join("/")
}

/// Relative links, and paths in backticks that begin at the top, lead somewhere.
fn dead_ends(files: &[SourceFile], exists: impl Fn(&str) -> bool) -> Vec<Breach> {
    let link = Regex::new(r"\]\(([^)\s]+)").expect("sound pattern");
    let quoted = Regex::new(r"`([A-Za-z0-9_./-]+/[A-Za-z0-9_./-]*)`").expect("sound pattern");
    let tops = ["daemon/", "docs/", "protocol/", "sim/", "tests/", "web-ui/"];
    let mut breaches = Vec::new();
    for file in files.iter().filter(|file| file.has_extension(&["md"])) {
        let folder = file.path.rsplit_once('/').map_or("", |(folder, _)| folder);
        for (number, line) in prose(&file.text) {
            for target in link.captures_iter(line).filter_map(|found| found.get(1)) {
                let target = target.as_str();
                if target.contains("://") || target.starts_with("mailto:") {
                    continue;
                }
                let (path, fragment) = target.split_once('#').unwrap_or((target, ""));
                let whole = if path.is_empty() {
                    file.path.clone()
                } else {
                    join(folder, path)
                };
                if !exists(&whole) {
                    breaches.push(Breach::new(
                        &file.path,
                        number,
                        format!("`{target}` leads nowhere"),
                    ));
                } else if let Some(other) = files
                    .iter()
                    .find(|other| other.path == whole && !fragment.is_empty())
                {
                    let headings =
                        prose(&other.text).filter_map(|(_, line)| line.strip_prefix('#'));
                    if !headings
                        .map(|line| anchor(line.trim_start_matches('#')))
                        .any(|found| found == fragment)
                    {
                        breaches.push(Breach::new(
                            &file.path,
                            number,
                            format!("no heading `#{fragment}` in {whole}"),
                        ));
                    }
                }
            }
            for path in quoted.captures_iter(line).filter_map(|found| found.get(1)) {
                let path = path.as_str();
                if tops.iter().any(|top| path.starts_with(top)) && !exists(&join("", path)) {
                    breaches.push(Breach::new(
                        &file.path,
                        number,
                        format!("there is no `{path}`"),
                    ));
                }
            }
        }
    }
    breaches
}

fn missing_documents(paths: &[String]) -> Vec<Breach> {
    let needed = [
        "README.md",
        "DEVELOPERS.md",
        "docs/ARCHITECTURE.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
    ];
    needed
        .iter()
        .filter(|needed| !paths.iter().any(|path| path == *needed))
        .map(|needed| Breach::new(needed, 0, "missing"))
        .collect()
}

fn document(text: &str) -> [SourceFile; 1] {
    [SourceFile::invented("docs/a.md", text)]
}

#[test]
fn the_top_holds_only_what_was_agreed() {
    assert_none(&out_of_place(&paths()));
}

#[test]
fn a_stray_entry_at_the_top_is_found() {
    let listed = |path: &str| out_of_place(&[path.to_owned()]);
    assert_bites(&listed("scripts/x.sh"), &listed(".gitignore"));
    assert_bites(&listed("notes.txt"), &listed("docs/notes.md"));
}

#[test]
fn no_file_holds_a_path_of_one_machine_or_a_registry() {
    assert_none(&of_one_machine(&text_files()));
}

#[test]
fn a_path_of_one_machine_is_found() {
    let good = of_one_machine(&document(
        "see `/usr/bin/env`, /dev/ttyUSB0, docs/home/page and the framework/x",
    ));
    for bad in [
        concat!("/ho", "me/me/x"),
        concat!("`/ro", "ot`"),
        concat!("in /wo", "rk/main"),
        concat!("https://registry.npm", "js.org"),
    ] {
        assert_bites(&of_one_machine(&document(bad)), &good);
    }
}

#[test]
fn every_link_and_path_in_the_documents_leads_somewhere() {
    assert_none(&dead_ends(&text_files(), |path| {
        path.is_empty() || top().join(path).exists()
    }));
}

#[test]
fn a_dead_link_is_found() {
    let exists = |path: &str| ["docs/a.md", "docs/b.md", "README.md", "sim/src"].contains(&path);
    let good = dead_ends(
        &document(
            "# One thing\n[b](b.md) [up](../README.md) [here](#one-thing) [out](https://example.org) `sim/src/`\n```\n[x](y)\n```",
        ),
        exists,
    );
    for bad in [
        "[c](c.md)",
        "[up](../b.md)",
        "`sim/source/lib.rs`",
        "[here](#nothing)",
        "[here](a.md#nothing)",
    ] {
        assert_bites(&dead_ends(&document(bad), exists), &good);
    }
}

#[test]
fn the_documents_a_reader_needs_are_there() {
    assert_none(&missing_documents(&paths()));
}

#[test]
fn a_missing_document_is_found() {
    let whole: Vec<String> = [
        "README.md",
        "DEVELOPERS.md",
        "docs/ARCHITECTURE.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
    ]
    .map(str::to_owned)
    .into();
    assert_bites(&missing_documents(&whole[1..]), &missing_documents(&whole));
}

/// Groups of devices by a name count only while their driver is loaded (systemd.resource-control(5)),
/// and those of most ports are loaded when the first board is plugged in.
fn named_too_early(unit: &str) -> Vec<Breach> {
    let groups = unit
        .lines()
        .enumerate()
        .filter_map(|(at, line)| Some((at, line.strip_prefix("DeviceAllow=char-")?)));
    groups
        .filter(|(_, group)| {
            let name = group.split(' ').next().unwrap_or_default();
            // Pseudo-terminals are part of every kernel; chips that it reads itself have no number of their own.
            !matches!(name, "pts" | "iio") && name.parse::<u16>().is_err()
        })
        .map(|(at, group)| Breach::new("hubplumb.service", at + 1, format!("char-{group}")))
        .collect()
}

#[test]
fn the_unit_lets_boards_in_that_are_plugged_in_after_its_start() {
    let path = top().join("daemon/packaging/debian/hubplumb.service");
    let unit = std::fs::read_to_string(path).expect("the unit");
    assert!(unit.contains("DeviceAllow=char-188 rw"), "no USB ports");
    assert_none(&named_too_early(&unit));
    assert_bites(
        &named_too_early("DeviceAllow=char-ttyUSB rw"),
        &named_too_early("DeviceAllow=char-188 rw"),
    );
}
