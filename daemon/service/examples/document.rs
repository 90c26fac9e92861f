//! Draws a document of `docs` from the types anew: `cargo run -p hubplumb --example document openapi.json > docs/openapi.json`.

use std::io::{self, Write as _};
use std::process::ExitCode;
use std::{env, error};

use hubplumb::documents::Document;

fn main() -> Result<ExitCode, Box<dyn error::Error>> {
    let named = env::args().nth(1).unwrap_or_default();
    let Some(document) = Document::ALL.into_iter().find(|one| one.file() == named) else {
        let files = Document::ALL.map(Document::file).join(", ");
        writeln!(io::stderr(), "name one of {files}")?;
        return Ok(ExitCode::from(2));
    };
    io::stdout().write_all(document.drawn()?.as_bytes())?;
    Ok(ExitCode::SUCCESS)
}
