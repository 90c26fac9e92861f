//! Prints what of other people's work is in the program, with their licences, for the package.

use std::path::Path;
use std::process::ExitCode;

use hubplumb_tests::third_party::{ThirdPartyError, bundled, carried, document, linked, metadata};

fn main() -> ExitCode {
    match print() {
        Ok(text) => {
            print!("{text}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

fn print() -> Result<String, ThirdPartyError> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut parts = linked(&metadata(&top)?)?;
    parts.extend(carried(&parts));
    parts.extend(bundled(&top)?);
    document(&parts)
}
