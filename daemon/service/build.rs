//! Packs the documents that describe what the program takes and gives, for it to hand out.
//!
//! They are drawn from the types of the sources (`examples/document.rs`) and kept in `docs`, where a test compares them. The
//! program has them as they are kept: what draws them is a tenth of it, and is not linked.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::{env, error};

use flate2::Compression;
use flate2::write::GzEncoder;

const DOCUMENTS: [&str; 6] = [
    "openapi.json",
    "car.schema.json",
    "published.schema.json",
    "session.schema.json",
    "solution.schema.json",
    "visits.schema.json",
];

fn main() -> Result<(), Box<dyn error::Error>> {
    let docs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs");
    let out = PathBuf::from(env::var("OUT_DIR")?);
    println!("cargo:rerun-if-changed=build.rs");
    for document in DOCUMENTS {
        let kept = docs.join(document);
        println!("cargo:rerun-if-changed={}", kept.display());
        let text = fs::read(&kept).map_err(|error| {
            io::Error::new(error.kind(), format!("{}: {error}", kept.display()))
        })?;
        let mut packed = GzEncoder::new(
            File::create(out.join(format!("{document}.gz")))?,
            Compression::best(),
        );
        packed.write_all(&text)?;
        packed.finish()?;
    }
    Ok(())
}
