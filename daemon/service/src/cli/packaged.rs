//! What a package brings beside the program: completions for shells, and manual pages.

use std::io;
use std::process::ExitCode;

use clap::CommandFactory as _;

use super::CliError;
use super::args::Args;
use super::upkeep_args::{CompletionsArgs, ManArgs};
use crate::http::views::TroubleView;
use crate::text::Text;

pub(super) fn completions(args: &CompletionsArgs) -> Result<ExitCode, CliError> {
    // Written at once: the generator takes a pipe that is closed for a fault of its own.
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Args::command(), "hubplumb", &mut script);
    io::Write::write_all(&mut io::stdout(), &script).map_err(CliError::Output)?;
    Ok(ExitCode::SUCCESS)
}

pub(super) fn man(args: &ManArgs) -> Result<ExitCode, CliError> {
    clap_mangen::generate_to(Args::command(), &args.folder).map_err(|error| {
        CliError::Input(TroubleView {
            code: "man_folder".to_owned(),
            what: Text::from(format!("{}: {error}", args.folder.display())),
            meaning: Text::from("not all manual pages are there"),
            remedy: Text::from("name a folder that is there and may be written"),
        })
    })?;
    Ok(ExitCode::SUCCESS)
}
