//! The files of the repository, as the other checks see them.

use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Folders that hold only what tools made; left out where there is no git to say so.
const MADE_BY_TOOLS: [&str; 6] = [
    ".git",
    "target",
    "node_modules",
    "dist",
    ".venv",
    "test-results",
];

/// One text file of the repository.
pub(crate) struct SourceFile {
    /// Relative to the top of the repository, with `/` between folders.
    pub(crate) path: String,
    pub(crate) text: String,
}

impl SourceFile {
    /// An invented file, to show that a check can fail.
    pub(crate) fn invented(path: &str, text: &str) -> Self {
        Self {
            path: path.to_owned(),
            text: text.to_owned(),
        }
    }

    pub(crate) fn has_extension(&self, extensions: &[&str]) -> bool {
        Path::new(&self.path)
            .extension()
            .and_then(|found| found.to_str())
            .is_some_and(|found| extensions.contains(&found))
    }

    pub(crate) fn is_rust(&self) -> bool {
        self.has_extension(&["rs"])
    }

    pub(crate) fn file_name(&self) -> &str {
        self.path.rsplit('/').next().unwrap_or_default()
    }

    /// Numbered lines (from 1) that hold code, not only a comment.
    pub(crate) fn code_lines(&self) -> impl Iterator<Item = (usize, &str)> {
        self.text
            .lines()
            .enumerate()
            .map(|(index, line)| (index + 1, line))
            .filter(|(_, line)| !line.trim_start().starts_with("//"))
    }
}

/// One place that breaks a rule.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Breach {
    pub(crate) path: String,
    /// From 1; 0 when the whole file is meant.
    pub(crate) line: usize,
    pub(crate) what: String,
}

impl Breach {
    pub(crate) fn new(path: &str, line: usize, what: impl Into<String>) -> Self {
        Self {
            path: path.to_owned(),
            line,
            what: what.into(),
        }
    }
}

impl fmt::Display for Breach {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.path, self.line, self.what)
    }
}

/// The one way a rule is upheld: no breach, or all of them listed.
#[track_caller]
pub(crate) fn assert_none(breaches: &[Breach]) {
    let listed: Vec<String> = breaches.iter().map(ToString::to_string).collect();
    assert!(
        breaches.is_empty(),
        "{} breaches:\n{}",
        listed.len(),
        listed.join("\n")
    );
}

/// The one way a rule is shown to bite: the bad example is found, the good one is not.
#[track_caller]
pub(crate) fn assert_bites(bad: &[Breach], good: &[Breach]) {
    assert!(!bad.is_empty(), "the bad example was not found");
    assert_none(good);
}

/// Top of the repository.
pub(crate) fn top() -> PathBuf {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    tests
        .parent()
        .expect("tests/ lies in the repository")
        .to_owned()
}

/// Paths of all files that are, or would be, in the repository.
pub(crate) fn paths() -> Vec<String> {
    let mut paths = git_paths().unwrap_or_else(|| {
        let mut found = Vec::new();
        walk(&top(), &mut found);
        found
    });
    paths.retain(|path| top().join(path).is_file());
    paths.sort();
    paths.dedup();
    assert!(
        paths.len() > 20,
        "only {} files found: the listing is broken",
        paths.len()
    );
    paths
}

/// Every file that is text.
pub(crate) fn text_files() -> Vec<SourceFile> {
    paths()
        .into_iter()
        .filter_map(|path| {
            let text = String::from_utf8(fs::read(top().join(&path)).ok()?).ok()?;
            Some(SourceFile { path, text })
        })
        .collect()
}

fn git_paths() -> Option<Vec<String>> {
    let output = Command::new("git")
        .args([
            "ls-files",
            "-z",
            "--cached",
            "--others",
            "--exclude-standard",
        ])
        .current_dir(top())
        .output()
        .ok()
        .filter(|output| output.status.success())?;
    let listed = String::from_utf8(output.stdout).ok()?;
    Some(
        listed
            .split('\0')
            .filter(|path| !path.is_empty())
            .map(str::to_owned)
            .collect(),
    )
}

fn walk(folder: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).expect("folder can be read").flatten() {
        let path = entry.path();
        let name = entry.file_name();
        if MADE_BY_TOOLS.iter().any(|made| name == *made) {
            continue;
        }
        if path.is_dir() {
            walk(&path, found);
        } else if let Ok(relative) = path.strip_prefix(top()) {
            found.push(relative.to_string_lossy().replace('\\', "/"));
        }
    }
}

#[test]
fn a_plain_copy_without_git_lists_this_file_too() {
    let mut found = Vec::new();
    walk(&top().join("tests"), &mut found);
    assert!(
        found.contains(&"tests/tidy/tree.rs".to_owned()),
        "{found:?}"
    );
}

#[test]
fn the_listing_finds_this_file() {
    assert!(paths().contains(&"tests/tidy/tree.rs".to_owned()));
}
