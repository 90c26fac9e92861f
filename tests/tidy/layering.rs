//! Who must not know whom. The rules and their reasons are in DEVELOPERS.md.

use std::collections::{BTreeMap, BTreeSet};

use regex_lite::Regex;
use toml::Table;

use crate::tree::{Breach, SourceFile, assert_bites, assert_none, text_files};

/// What one crate must not reach.
struct Layer {
    name: &'static str,
    folder: &'static str,
    /// Crates it must not depend on, neither itself nor through another.
    out_of_reach: &'static [&'static str],
    /// Patterns its sources must not hold.
    unsaid: &'static [&'static str],
}

const RUNTIMES_AND_PORTS: &[&str] = &[
    "hubplumb",
    "hubplumb-core",
    "hubplumb-sim",
    "hubplumb-web-ui",
    "hubplumb-tests",
    "tokio",
    "axum",
    "hyper",
    "tower-http",
    "mio",
    "socket2",
    "serialport",
    "tokio-serial",
];

/// A clock, a file, a port, a thread or a process makes the same input give another output.
const OUTSIDE_WORLD: &[&str] = &[
    r"\bstd::(fs|net|process|thread|env)\b",
    r"\bstd::\{[^}]*\b(fs|net|process|thread|env)\b",
    r"\b(Instant|SystemTime)\b",
    r"\bprint(ln)?!",
];

const LAYERS: [Layer; 6] = [
    Layer {
        name: "hubplumb-protocol",
        folder: "protocol/src/",
        out_of_reach: RUNTIMES_AND_PORTS,
        unsaid: OUTSIDE_WORLD,
    },
    Layer {
        name: "hubplumb-core",
        folder: "daemon/core/src/",
        out_of_reach: &[
            "hubplumb",
            "hubplumb-sim",
            "hubplumb-web-ui",
            "hubplumb-tests",
            "tokio",
            "axum",
            "hyper",
            "tower-http",
            "mio",
            "socket2",
            "serialport",
            "tokio-serial",
            "toml",
            "utoipa",
        ],
        unsaid: OUTSIDE_WORLD,
    },
    Layer {
        // Truth and estimate must share no code, or they can be wrong together.
        name: "hubplumb-sim",
        folder: "sim/src/",
        out_of_reach: &[
            "hubplumb",
            "hubplumb-core",
            "hubplumb-web-ui",
            "hubplumb-tests",
        ],
        unsaid: &[r"\bhubplumb_core\b"],
    },
    Layer {
        // All geometry is in the core, where it is tested without a port.
        name: "hubplumb",
        folder: "daemon/service/src/",
        out_of_reach: &["hubplumb-tests"],
        unsaid: &[
            r"\bnalgebra\b",
            r"\.(sin|cos|tan|sin_cos|asin|acos|atan|atan2|hypot)\(",
        ],
    },
    Layer {
        // It takes the running program, or the work without it.
        name: "hubplumb-speed",
        folder: "tests/speed/src/",
        out_of_reach: &[
            "hubplumb",
            "hubplumb-sim",
            "hubplumb-web-ui",
            "hubplumb-tests",
        ],
        unsaid: &[r"\bhubplumb_(tests|sim)\b"],
    },
    Layer {
        // The page knows the HTTP contract and nothing else.
        name: "hubplumb-web-ui",
        folder: "web-ui/",
        out_of_reach: &[
            "hubplumb",
            "hubplumb-core",
            "hubplumb-sim",
            "hubplumb-protocol",
            "hubplumb-tests",
        ],
        unsaid: &[r"\bhubplumb_(core|protocol|sim)\b"],
    },
];

/// Crates that a crate's own manifest must not name, though they may come in
/// below a crate that does its own work with them.
const UNNAMED: [(&str, &[&str]); 2] = [
    ("hubplumb-core", &["serde_json", "serde"]),
    ("hubplumb", &["nalgebra", "sguaba"]),
];

/// Name of a crate to the names it depends on.
type Graph = BTreeMap<String, BTreeSet<String>>;

/// What users of the crate get: development dependencies are left out.
fn shipped_dependencies(manifest: &Table) -> BTreeSet<String> {
    let sections = ["dependencies", "build-dependencies"];
    let everywhere = sections
        .iter()
        .filter_map(|section| manifest.get(*section)?.as_table());
    let targets = manifest.get("target").and_then(toml::Value::as_table);
    let per_target = targets.into_iter().flat_map(|targets| {
        targets.values().flat_map(|target| {
            sections
                .iter()
                .filter_map(|section| target.get(*section)?.as_table())
        })
    });
    everywhere
        .chain(per_target)
        .flat_map(|table| table.iter())
        .map(|(name, value)| {
            let renamed = value.get("package").and_then(toml::Value::as_str);
            renamed.unwrap_or(name).to_owned()
        })
        .collect()
}

/// All crates of the lock file, ours replaced by what their manifests ship.
fn graph(lock: &Table, manifests: &[(String, Table)]) -> Graph {
    let mut graph = Graph::new();
    let packages = lock.get("package").and_then(toml::Value::as_array);
    for package in packages.into_iter().flatten() {
        let Some(name) = package.get("name").and_then(toml::Value::as_str) else {
            continue;
        };
        let named = package.get("dependencies").and_then(toml::Value::as_array);
        let below = named
            .into_iter()
            .flatten()
            .filter_map(toml::Value::as_str)
            // A lock entry may read `name version`.
            .filter_map(|entry| entry.split(' ').next())
            .map(str::to_owned);
        graph.entry(name.to_owned()).or_default().extend(below);
    }
    for (name, manifest) in manifests {
        graph.insert(name.clone(), shipped_dependencies(manifest));
    }
    graph
}

/// The chain by which `from` reaches `to`, if it does.
fn chain(graph: &Graph, from: &str, to: &str) -> Option<Vec<String>> {
    let mut seen = BTreeSet::from([from.to_owned()]);
    let mut open = vec![vec![from.to_owned()]];
    while let Some(way) = open.pop() {
        let Some(below) = way.last().and_then(|last| graph.get(last)) else {
            continue;
        };
        for next in below {
            let mut longer = way.clone();
            longer.push(next.clone());
            if next == to {
                return Some(longer);
            }
            if seen.insert(next.clone()) {
                open.push(longer);
            }
        }
    }
    None
}

fn reached(graph: &Graph) -> Vec<Breach> {
    let mut breaches = Vec::new();
    for layer in &LAYERS {
        assert!(graph.contains_key(layer.name), "no crate {}", layer.name);
        for other in layer.out_of_reach {
            if let Some(way) = chain(graph, layer.name, other) {
                let what = format!("must not reach {other}: {}", way.join(" -> "));
                breaches.push(Breach::new(layer.name, 0, what));
            }
        }
    }
    for (name, others) in UNNAMED {
        for other in others {
            if graph.get(name).is_some_and(|named| named.contains(*other)) {
                breaches.push(Breach::new(
                    name,
                    0,
                    format!("its manifest must not name {other}"),
                ));
            }
        }
    }
    breaches
}

fn said(files: &[SourceFile]) -> Vec<Breach> {
    let mut breaches = Vec::new();
    for layer in &LAYERS {
        for pattern in layer.unsaid {
            let pattern = Regex::new(pattern).expect("the patterns above are sound");
            let own = files
                .iter()
                .filter(|file| file.is_rust() && file.path.starts_with(layer.folder));
            for file in own {
                for (number, line) in file.code_lines().filter(|(_, line)| pattern.is_match(line)) {
                    let what = format!("{} must not say `{}`", layer.name, line.trim());
                    breaches.push(Breach::new(&file.path, number, what));
                }
            }
        }
    }
    breaches
}

fn parse(text: &str) -> Table {
    text.parse().expect("TOML")
}

fn own_graph() -> Graph {
    let files = text_files();
    let lock = files
        .iter()
        .find(|file| file.path == "Cargo.lock")
        .expect("Cargo.lock");
    let manifests: Vec<(String, Table)> = files
        .iter()
        .filter(|file| file.file_name() == "Cargo.toml")
        .filter_map(|file| {
            let manifest = parse(&file.text);
            let name = manifest.get("package")?.get("name")?.as_str()?.to_owned();
            Some((name, manifest))
        })
        .collect();
    graph(&parse(&lock.text), &manifests)
}

fn invented_graph(core: &str, sim: &str) -> Graph {
    let lock = parse(
        "[[package]]\nname = \"between\"\ndependencies = [\"tokio 1.0.0\"]\n\
         [[package]]\nname = \"tokio\"\n[[package]]\nname = \"nalgebra\"\n",
    );
    let manifests = [
        ("hubplumb-protocol", ""),
        ("hubplumb-core", core),
        ("hubplumb-sim", sim),
        (
            "hubplumb",
            "[dependencies]\nhubplumb-core.workspace = true\ntokio = \"1\"\n",
        ),
        ("hubplumb-speed", ""),
        ("hubplumb-web-ui", ""),
    ]
    .map(|(name, text)| (name.to_owned(), parse(text)));
    graph(&lock, &manifests)
}

#[test]
fn no_crate_reaches_what_it_must_not_know() {
    assert_none(&reached(&own_graph()));
}

#[test]
fn a_dependency_that_must_not_be_is_found_however_it_comes_in() {
    let good = reached(&invented_graph("[dependencies]\nnalgebra = \"1\"", ""));
    let bad = [
        ("[dependencies]\ntokio = \"1\"", ""),
        ("[dependencies]\nbetween = \"1\"", ""),
        (
            "[dependencies]\nclock = { package = \"tokio\", version = \"1\" }",
            "",
        ),
        ("[target.'cfg(unix)'.dependencies]\ntokio = \"1\"", ""),
        ("[dependencies]\nserde_json = \"1\"", ""),
        ("", "[dependencies]\nhubplumb-core.workspace = true"),
        ("", "[dependencies]\nhubplumb.workspace = true"),
    ];
    for (core, sim) in bad {
        assert_bites(&reached(&invented_graph(core, sim)), &good);
    }
}

#[test]
fn a_development_dependency_reaches_no_user() {
    assert_none(&reached(&invented_graph(
        "[dev-dependencies]\ntokio = \"1\"",
        "",
    )));
}

#[test]
fn no_crate_says_what_it_must_not_know() {
    assert_none(&said(&text_files()));
}

#[test]
fn a_word_that_must_not_be_said_is_found() {
    let good = said(&[
        SourceFile::invented(
            "daemon/core/src/a.rs",
            "// an Instant would be wrong\nlet x = y.sin();\n",
        ),
        SourceFile::invented("daemon/service/src/a.rs", "use std::time::Instant;\n"),
    ]);
    let bad = [
        ("daemon/core/src/a.rs", "use std::fs;"),
        ("daemon/core/src/a.rs", "use std::{fmt, net};"),
        (
            "daemon/core/src/a.rs",
            "use std::time::{Duration, Instant};",
        ),
        ("protocol/src/a.rs", "let t = SystemTime::now();"),
        ("sim/src/a.rs", "use hubplumb_core::swing;"),
        ("daemon/service/src/a.rs", "let y = roll_rad.sin();"),
        ("daemon/service/src/a.rs", "use nalgebra::Vector3;"),
        ("web-ui/build.rs", "use hubplumb_protocol::Reading;"),
    ];
    for (path, text) in bad {
        assert_bites(&said(&[SourceFile::invented(path, text)]), &good);
    }
}
