//! Rules for the text of source files.

use regex_lite::Regex;

use crate::tree::{Breach, SourceFile, assert_bites, assert_none, text_files};

/// Longer than this, a file holds more than one matter.
const LINES_AT_MOST: usize = 500;

/// Files that may be longer, each with its reason.
const LONGER_FOR_A_REASON: [(&str, &str); 1] = [(
    "web-ui/src/contract/openapi.ts",
    "generated from docs/openapi.json, read by nobody",
)];

const SOURCE: [&str; 10] = [
    "rs", "ts", "tsx", "css", "js", "mjs", "html", "sh", "py", "ino",
];

fn too_long(files: &[SourceFile]) -> Vec<Breach> {
    files
        .iter()
        .filter(|file| file.has_extension(&SOURCE))
        .filter(|file| {
            !LONGER_FOR_A_REASON
                .iter()
                .any(|(path, _)| *path == file.path)
        })
        .filter_map(|file| {
            let lines = file.text.lines().count();
            (lines > LINES_AT_MOST).then(|| {
                Breach::new(
                    &file.path,
                    0,
                    format!("{lines} lines, {LINES_AT_MOST} at most"),
                )
            })
        })
        .collect()
}

/// Names that say nothing about what is inside.
fn named_for_nothing(files: &[SourceFile]) -> Vec<Breach> {
    const EMPTY_NAMES: [&str; 9] = [
        "util", "utils", "helper", "helpers", "manager", "managers", "misc", "common", "shared",
    ];
    let inline = Regex::new(r"\bmod\s+(\w+)").expect("sound pattern");
    let mut breaches = Vec::new();
    for file in files.iter().filter(|file| file.has_extension(&SOURCE)) {
        for part in file.path.split('/') {
            let stem = part.split('.').next().unwrap_or_default();
            if EMPTY_NAMES.contains(&stem) {
                breaches.push(Breach::new(
                    &file.path,
                    0,
                    format!("`{stem}` says nothing of what is inside"),
                ));
            }
        }
        for (number, line) in file.code_lines().filter(|_| file.is_rust()) {
            let name = inline.captures(line).and_then(|found| found.get(1));
            if let Some(name) = name.filter(|name| EMPTY_NAMES.contains(&name.as_str())) {
                breaches.push(Breach::new(
                    &file.path,
                    number,
                    format!("`mod {}`", name.as_str()),
                ));
            }
        }
    }
    breaches
}

fn lines_with(
    files: &[SourceFile],
    pattern: &str,
    wanted: impl Fn(&SourceFile) -> bool,
    what: &str,
) -> Vec<Breach> {
    let pattern = Regex::new(pattern).expect("sound pattern");
    files
        .iter()
        .filter(|file| wanted(file))
        .flat_map(|file| {
            let found = file
                .text
                .lines()
                .enumerate()
                .filter(|(_, line)| pattern.is_match(line));
            found
                .map(|(index, line)| {
                    Breach::new(&file.path, index + 1, format!("{what}: {}", line.trim()))
                })
                .collect::<Vec<_>>()
        })
        .collect()
}

/// Work put off lives in the tracker, not in the sources.
fn put_off(files: &[SourceFile]) -> Vec<Breach> {
    // Written in halves, or this file would be found.
    let marks = [
        concat!("TO", "DO"),
        concat!("FIX", "ME"),
        concat!("XX", "X"),
    ]
    .join("|");
    let mut breaches = lines_with(
        files,
        &format!(r"\b({marks})\b"),
        |file| file.has_extension(&SOURCE),
        "put off",
    );
    let ignored = [r"^\s*#\[ig", r"nore\b"].concat();
    breaches.extend(lines_with(
        files,
        &ignored,
        SourceFile::is_rust,
        "a test that never runs",
    ));
    let skipped = [r"\b(test|it|describe)\.(sk", r"ip|only|fixme)\("].concat();
    let scripts = |file: &SourceFile| file.has_extension(&["ts", "tsx"]);
    breaches.extend(lines_with(
        files,
        &skipped,
        scripts,
        "a test that never runs",
    ));
    breaches
}

/// `allow` and `expect` attributes, each up to its closing bracket.
fn silenced_without_reason(files: &[SourceFile]) -> Vec<Breach> {
    let start =
        Regex::new(r"(?m)^\s*#!?\[(cfg_attr\([^\]]*?\b)?(allow|expect)\(").expect("sound pattern");
    let mut breaches = Vec::new();
    for file in files.iter().filter(|file| file.is_rust()) {
        for found in start.find_iter(&file.text) {
            let from = &file.text[found.start()..];
            let attribute = &from[..from.find(")]").unwrap_or(from.len())];
            let reason = attribute
                .split_once("reason = \"")
                .map(|(_, reason)| reason.trim_end_matches(['"', ',', '\n', ' ']));
            if reason.is_none_or(|reason| reason.len() < 10) {
                let line = file.text[..found.end()].lines().count();
                breaches.push(Breach::new(&file.path, line, "silenced without a reason"));
            }
        }
    }
    let scripts = |file: &SourceFile| file.has_extension(&["ts", "tsx"]);
    breaches.extend(lines_with(
        files,
        r"@ts-(ignore|nocheck)",
        scripts,
        "silenced",
    ));
    breaches
}

fn unsafe_code(files: &[SourceFile]) -> Vec<Breach> {
    let block = Regex::new(r"\bunsafe\s*(\{|fn\b|impl\b|extern\b|trait\b)").expect("sound pattern");
    let mut breaches = Vec::new();
    for file in files.iter().filter(|file| file.is_rust()) {
        for (number, line) in file.code_lines().filter(|(_, line)| block.is_match(line)) {
            breaches.push(Breach::new(&file.path, number, line.trim()));
        }
    }
    breaches
}

fn rust(text: &str) -> [SourceFile; 1] {
    [SourceFile::invented("core/src/a.rs", text)]
}

#[test]
fn no_file_is_too_long() {
    assert_none(&too_long(&text_files()));
}

#[test]
fn a_long_file_is_found() {
    assert_bites(
        &too_long(&rust(&"x\n".repeat(501))),
        &too_long(&rust(&"x\n".repeat(500))),
    );
}

#[test]
fn files_that_may_be_long_exist_and_say_why() {
    let files = text_files();
    for (path, reason) in LONGER_FOR_A_REASON {
        assert!(reason.len() > 20, "{path}: the reason says too little");
        let file = files.iter().find(|file| file.path == path);
        let lines = file.map_or(0, |file| file.text.lines().count());
        assert!(
            lines > LINES_AT_MOST,
            "{path} has {lines} lines and needs no exception"
        );
    }
}

#[test]
fn every_module_is_named_for_what_it_holds() {
    assert_none(&named_for_nothing(&text_files()));
}

#[test]
fn an_empty_name_is_found() {
    let good = named_for_nothing(&rust("mod utility_poles;"));
    for path in [
        "sim/src/utils.rs",
        "sim/src/helpers/mod.rs",
        "web-ui/src/common.test.ts",
    ] {
        assert_bites(&named_for_nothing(&[SourceFile::invented(path, "")]), &good);
    }
    assert_bites(
        &named_for_nothing(&rust(concat!("pub(crate) mod hel", "per {"))),
        &good,
    );
}

#[test]
fn nothing_is_put_off() {
    assert_none(&put_off(&text_files()));
}

#[test]
fn work_put_off_is_found() {
    let good = put_off(&rust(
        "// dev_XX_00 is an address; todo lists are elsewhere",
    ));
    for mark in [
        concat!("// TO", "DO: later"),
        concat!("// FIX", "ME"),
        concat!("#[ig", "nore]"),
    ] {
        assert_bites(&put_off(&rust(mark)), &good);
    }
    let script = [SourceFile::invented(
        "tests/browser/a.spec.ts",
        concat!("test.sk", "ip('x')"),
    )];
    assert_bites(&put_off(&script), &good);
}

#[test]
fn every_silenced_lint_says_why() {
    assert_none(&silenced_without_reason(&text_files()));
}

#[test]
fn a_lint_silenced_without_reason_is_found() {
    let good = silenced_without_reason(&rust(
        "#[expect(\n    clippy::x,\n    reason = \"the bound holds, see above\"\n)]\nfn a() {}",
    ));
    for attribute in [
        "#[allow(dead_code)]",
        "#![expect(clippy::x)]",
        "#[allow(a,\n b)]",
        "#[expect(a, reason = \"\")]",
    ] {
        assert_bites(&silenced_without_reason(&rust(attribute)), &good);
    }
}

#[test]
fn no_code_is_unsafe() {
    assert_none(&unsafe_code(&text_files()));
}

#[test]
fn unsafe_code_is_found() {
    let bad = concat!("let x = uns", "afe { *p };");
    assert_bites(
        &unsafe_code(&rust(bad)),
        &unsafe_code(&rust(concat!("// uns", "afe { } is forbidden"))),
    );
}
