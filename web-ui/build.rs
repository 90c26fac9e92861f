//! Builds the page and leaves it in `OUT_DIR/dist` for the crate to embed.
//!
//! The UI sources are copied to `OUT_DIR/page` and built there, so that the
//! source folder stays as it was checked out. Packages come from
//! `package-lock.json` without running any of their scripts. Where there is no
//! Node, `HUBPLUMB_WEB_DIST` names a folder that was built elsewhere.

use std::env;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

/// Everything the page is made of; nothing else makes it build anew.
const SOURCES: [&str; 8] = [
    ".npmrc",
    "index.html",
    "package.json",
    "package-lock.json",
    "public",
    "src",
    "tsconfig.json",
    "vite.config.ts",
];

const PREBUILT: &str = "HUBPLUMB_WEB_DIST";

/// Why the page could not be built.
enum Failure {
    File {
        path: PathBuf,
        source: io::Error,
    },
    NoIndex {
        folder: PathBuf,
    },
    NoTool {
        tool: &'static str,
        source: io::Error,
    },
    Tool {
        what: &'static str,
        output: String,
    },
}

impl Failure {
    fn lines(&self) -> Vec<String> {
        let way_out = format!(
            "or set {PREBUILT} to a folder with a page built elsewhere (npm ci --ignore-scripts && npm run build in web-ui, then its folder dist)"
        );
        match self {
            Self::File { path, source } => vec![format!(
                "the page cannot be built: {}: {source}",
                path.display()
            )],
            Self::NoIndex { folder } => vec![
                format!(
                    "{PREBUILT} names {}, which holds no index.html",
                    folder.display()
                ),
                "point it at the folder that `npm run build` in web-ui made, or unset it"
                    .to_owned(),
            ],
            Self::NoTool { tool, source } => vec![
                format!("the page is built with Node, and `{tool}` does not start: {source}"),
                format!("install Node 20.19 or newer with npm, {way_out}"),
            ],
            Self::Tool { what, output } => {
                let mut lines = vec![format!(
                    "{what} failed while building the page; its last words:"
                )];
                let all: Vec<&str> = output
                    .lines()
                    .filter(|line| !line.trim().is_empty())
                    .collect();
                lines.extend(
                    all.iter()
                        .skip(all.len().saturating_sub(12))
                        .map(|line| format!("  {line}")),
                );
                lines.push(format!("mend that, {way_out}"));
                lines
            }
        }
    }
}

fn main() -> ExitCode {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-env-changed={PREBUILT}");
    match page() {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            for line in failure.lines() {
                println!("cargo::error={line}");
            }
            ExitCode::FAILURE
        }
    }
}

fn folder_from_env(name: &str) -> PathBuf {
    // Cargo sets both folders for every build script.
    PathBuf::from(env::var_os(name).unwrap_or_default())
}

fn page() -> Result<(), Failure> {
    let sources = folder_from_env("CARGO_MANIFEST_DIR");
    let out = folder_from_env("OUT_DIR");
    let dist = out.join("dist");
    if let Some(prebuilt) = env::var_os(PREBUILT).filter(|value| !value.is_empty()) {
        let prebuilt = PathBuf::from(prebuilt);
        println!("cargo::rerun-if-changed={}", prebuilt.display());
        if !prebuilt.join("index.html").is_file() {
            return Err(Failure::NoIndex { folder: prebuilt });
        }
        return replace(&prebuilt, &dist);
    }
    let page = out.join("page");
    fs::create_dir_all(&page).map_err(|source| Failure::File {
        path: page.clone(),
        source,
    })?;
    for name in SOURCES {
        println!("cargo::rerun-if-changed={name}");
        replace(&sources.join(name), &page.join(name))?;
    }
    install(&page)?;
    // The folder is emptied by vite itself once the new page is ready to be written.
    run(
        "vite build",
        Command::new("node")
            .args([
                "node_modules/vite/bin/vite.js",
                "build",
                "--emptyOutDir",
                "--outDir",
            ])
            .arg(&dist)
            .current_dir(&page),
        "node",
    )
}

/// Installs the packages of the lock file unless exactly these are there already.
fn install(page: &Path) -> Result<(), Failure> {
    let lock = page.join("package-lock.json");
    let installed = page.join("installed-lock.json");
    let wanted = fs::read(&lock).map_err(|source| Failure::File { path: lock, source })?;
    if fs::read(&installed).is_ok_and(|there| there == wanted) {
        return Ok(());
    }
    let npm = if cfg!(windows) { "npm.cmd" } else { "npm" };
    run(
        "npm ci",
        Command::new(npm)
            .args([
                "ci",
                "--ignore-scripts",
                "--omit=dev",
                "--no-audit",
                "--no-fund",
                "--no-update-notifier",
            ])
            .current_dir(page),
        npm,
    )?;
    fs::write(&installed, wanted).map_err(|source| Failure::File {
        path: installed,
        source,
    })
}

fn run(what: &'static str, command: &mut Command, tool: &'static str) -> Result<(), Failure> {
    let done = command
        .output()
        .map_err(|source| Failure::NoTool { tool, source })?;
    if done.status.success() {
        return Ok(());
    }
    let mut output = String::from_utf8_lossy(&done.stdout).into_owned();
    output.push_str(&String::from_utf8_lossy(&done.stderr));
    Err(Failure::Tool { what, output })
}

/// Puts a copy of `from` at `to` and takes away what stood there before.
fn replace(from: &Path, to: &Path) -> Result<(), Failure> {
    let failed = |path: &Path| {
        let path = path.to_path_buf();
        move |source| Failure::File { path, source }
    };
    if to.is_dir() {
        fs::remove_dir_all(to).map_err(failed(to))?;
    }
    if !from.is_dir() {
        fs::copy(from, to).map_err(failed(from))?;
        return Ok(());
    }
    fs::create_dir_all(to).map_err(failed(to))?;
    for entry in fs::read_dir(from).map_err(failed(from))? {
        let entry = entry.map_err(failed(from))?;
        replace(&entry.path(), &to.join(entry.file_name()))?;
    }
    Ok(())
}
