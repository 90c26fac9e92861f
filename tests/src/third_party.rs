//! What of other people's work is in the program, and under which licence.
//!
//! The package has to bring their licences along. They are read from what was built: the crates that
//! the program links, the code in C that two of them carry, and the packages in the page's bundle.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;
use thiserror::Error;

/// The program.
const PROGRAM: &str = "hubplumb";

/// What the page's bundle holds of others.
const BUNDLED: [&str; 3] = ["preact", "@preact/signals", "@preact/signals-core"];

/// Code in another language that a crate carries, where it lies in it, and its licence.
const CARRIED: [(&str, &str, &str, &str); 2] = [
    (
        "libdbus-sys",
        "vendor/dbus",
        "libdbus",
        "AFL-2.1 OR GPL-2.0-or-later",
    ),
    ("libsqlite3-sys", "sqlite3", "SQLite", "public domain"),
];

/// Beginnings of the names of files that hold a licence.
const TEXTS: [&str; 5] = ["LICENSE", "LICENCE", "COPYING", "NOTICE", "UNLICENSE"];

/// Why the list cannot be made.
#[derive(Debug, Error)]
pub enum ThirdPartyError {
    /// Cargo does not tell what is linked.
    #[error("cargo metadata: {0}")]
    Metadata(String),
    /// A file cannot be read.
    #[error("{}: {source}", path.display())]
    File {
        /// File.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// A part does not say under which licence it is.
    #[error("{0} names no licence")]
    NoLicence(String),
}

/// A part of the program that others made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Name and version.
    pub name: String,
    /// Licence, as an SPDX expression where its maker wrote one.
    pub licence: String,
    /// Where it comes from.
    pub source: String,
    /// Where its licence texts are.
    folder: PathBuf,
}

/// What `cargo metadata` tells of a workspace, for the machine it runs on.
pub fn metadata(top: &Path) -> Result<Value, ThirdPartyError> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let version = Command::new(&cargo).arg("-vV").output();
    let version = version.map_err(|error| ThirdPartyError::Metadata(error.to_string()))?;
    let version = String::from_utf8_lossy(&version.stdout).into_owned();
    let host = version.lines().find_map(|line| line.strip_prefix("host: "));
    let output = Command::new(&cargo)
        .args([
            "metadata",
            "--format-version",
            "1",
            "--locked",
            "--filter-platform",
        ])
        .arg(host.unwrap_or("x86_64-unknown-linux-gnu"))
        .current_dir(top)
        .output()
        .map_err(|error| ThirdPartyError::Metadata(error.to_string()))?;
    if !output.status.success() {
        let why = String::from_utf8_lossy(&output.stderr).into_owned();
        return Err(ThirdPartyError::Metadata(why));
    }
    serde_json::from_slice(&output.stdout)
        .map_err(|error| ThirdPartyError::Metadata(error.to_string()))
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_default()
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

/// Crates that the program links, ours left out, in order of their names. What only builds or tests
/// it is in nobody's hands afterwards.
pub fn linked(metadata: &Value) -> Result<Vec<Part>, ThirdPartyError> {
    let packages: BTreeMap<&str, &Value> = list(&metadata["packages"])
        .map(|package| (text(package, "id"), package))
        .collect();
    let nodes: BTreeMap<&str, &Value> = list(&metadata["resolve"]["nodes"])
        .map(|node| (text(node, "id"), node))
        .collect();
    let program = packages
        .iter()
        .find(|(_, package)| text(package, "name") == PROGRAM);
    let mut open: Vec<&str> = program.map(|(id, _)| *id).into_iter().collect();
    let mut seen = open.clone();
    while let Some(id) = open.pop() {
        let Some(node) = nodes.get(id) else { continue };
        let links = list(&node["deps"]).filter(|dependency| {
            let mut kinds = list(&dependency["dep_kinds"]);
            kinds.any(|kind| kind["kind"].is_null())
        });
        for next in links.map(|dependency| text(dependency, "pkg")) {
            let makes_code = packages.get(next).is_some_and(|package| is_macro(package));
            if !makes_code && !seen.contains(&next) {
                seen.push(next);
                open.push(next);
            }
        }
    }
    let foreign = seen
        .iter()
        .filter_map(|id| packages.get(id))
        .filter(|package| !package["source"].is_null());
    let mut parts = foreign
        .map(|package| part(package))
        .collect::<Result<Vec<_>, _>>()?;
    parts.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(parts)
}

/// A macro runs while the program is built and is not in it.
fn is_macro(package: &Value) -> bool {
    list(&package["targets"]).any(|target| list(&target["kind"]).any(|kind| kind == "proc-macro"))
}

fn part(package: &Value) -> Result<Part, ThirdPartyError> {
    let name = format!("{} {}", text(package, "name"), text(package, "version"));
    let licence = package["license"].as_str();
    let licence = licence.ok_or_else(|| ThirdPartyError::NoLicence(name.clone()))?;
    let manifest = Path::new(text(package, "manifest_path"));
    Ok(Part {
        name,
        licence: licence.to_owned(),
        source: text(package, "repository").to_owned(),
        folder: manifest.parent().unwrap_or(Path::new("")).to_owned(),
    })
}

/// Code in C that linked crates carry.
pub fn carried(linked: &[Part]) -> Vec<Part> {
    let of = |(within, folder, name, licence): &(&str, &str, &str, &str)| {
        let by = linked
            .iter()
            .find(|part| part.name.starts_with(&format!("{within} ")))?;
        Some(Part {
            name: format!("{name}, in {}", by.name),
            licence: (*licence).to_owned(),
            source: by.source.clone(),
            folder: by.folder.join(folder),
        })
    };
    CARRIED.iter().filter_map(of).collect()
}

/// Packages in the page's bundle.
pub fn bundled(top: &Path) -> Result<Vec<Part>, ThirdPartyError> {
    let part = |name: &&str| {
        let folder = top.join("web-ui/node_modules").join(name);
        let path = folder.join("package.json");
        let written = fs::read_to_string(&path).map_err(|source| ThirdPartyError::File {
            path: path.clone(),
            source,
        })?;
        let told: Value = serde_json::from_str(&written)
            .map_err(|error| ThirdPartyError::Metadata(error.to_string()))?;
        let licence = told["license"].as_str();
        Ok(Part {
            name: format!("{name} {}", text(&told, "version")),
            licence: licence
                .ok_or_else(|| ThirdPartyError::NoLicence((*name).to_owned()))?
                .to_owned(),
            source: text(&told["repository"], "url").to_owned(),
            folder,
        })
    };
    BUNDLED.iter().map(part).collect()
}

/// The texts in a part's folder.
fn texts(part: &Part) -> Result<Vec<String>, ThirdPartyError> {
    let told = |path: &Path| {
        let path = path.to_owned();
        move |source| ThirdPartyError::File { path, source }
    };
    let mut files: Vec<PathBuf> = fs::read_dir(&part.folder)
        .map_err(told(&part.folder))?
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| {
            let name = path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .to_uppercase();
            path.is_file() && TEXTS.iter().any(|text| name.starts_with(text))
        })
        .collect();
    files.sort();
    files
        .iter()
        .map(|path| {
            let bytes = fs::read(path).map_err(told(path))?;
            Ok(String::from_utf8_lossy(&bytes).trim().to_owned())
        })
        .collect()
}

/// The whole list with every text once.
pub fn document(parts: &[Part]) -> Result<String, ThirdPartyError> {
    let mut out = String::from(
        "What others made of the program hubplumb, with the licences under which they gave it.\n\
         hubplumb itself is under MIT or Apache-2.0, at your choice.\n\n",
    );
    let mut users: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    for part in parts {
        // A string takes every text.
        let _ = writeln!(out, "{}: {} ({})", part.name, part.licence, part.source);
        for text in texts(part)? {
            users.entry(text).or_default().push(&part.name);
        }
    }
    for (text, of) in users {
        let _ = write!(out, "\n{}\n{}\n\n{text}\n", "-".repeat(72), of.join(", "));
    }
    Ok(out)
}
