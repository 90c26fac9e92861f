//! The program `hubplumb`.

use std::process::ExitCode;

fn main() -> ExitCode {
    hubplumb::cli::main()
}
