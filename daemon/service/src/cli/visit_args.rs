//! What may be written behind `cars`, `visits` and `sheet`.

use std::path::PathBuf;

use clap::Subcommand;

use crate::sheet::Paper;
use crate::text::Language;

/// Where the store is.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct Place {
    /// Folder of cars and visits, instead of the user's: `$XDG_DATA_HOME/hubplumb`, else `~/.local/share/hubplumb`
    #[arg(long, global = true, value_name = "FOLDER")]
    pub(super) store: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb sheet 3 --out sheet.html
  hubplumb sheet 3 --minutes --paper letter --out sheet.html    degrees and minutes, US paper
  hubplumb sheet 3 --language de > blatt.html

Open the file in a browser and print it; it needs nothing but itself. A running daemon shows
the same at /sheet/3. `hubplumb visits list` names the visits.

Exit codes:
  0  written
  1  the store or the file cannot be used
  2  the command line is wrong, or there is no such visit")]
pub(super) struct SheetArgs {
    /// Number of the visit
    #[arg(value_name = "VISIT")]
    pub(super) visit: i64,
    /// File to write, instead of standard output
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Write angles in degrees and minutes
    #[arg(long)]
    pub(super) minutes: bool,
    /// Paper to lay it out for
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub(super) paper: Paper,
    /// Language to tell it in
    #[arg(long, value_enum, default_value_t = Language::English)]
    pub(super) language: Language,
    #[command(flatten)]
    pub(super) place: Place,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb cars list
  hubplumb cars import wicket.toml              docs/car.example.toml shows every key
  hubplumb cars export 1 > wicket.toml
  hubplumb cars delete 1                        asks first; its visits stay

May be used while a daemon runs on the same store.

Exit codes:
  0  done
  1  the store cannot be used
  2  the command line or a file that was named is wrong, or there is no such car")]
pub(super) struct CarsArgs {
    #[command(subcommand)]
    pub(super) what: CarsCommand,
    #[command(flatten)]
    pub(super) place: Place,
}

#[derive(Debug, Subcommand)]
pub(super) enum CarsCommand {
    /// List the cars
    List {
        /// Print everything as JSON
        #[arg(long)]
        json: bool,
    },
    /// Show a car, and what is not known of it
    Show {
        /// Number of the car
        #[arg(value_name = "CAR")]
        id: i64,
        /// Print everything as JSON
        #[arg(long)]
        json: bool,
    },
    /// Keep a new car from a file, TOML or JSON
    Import {
        /// The file
        #[arg(value_name = "FILE")]
        file: PathBuf,
    },
    /// Print a car as a file for `import`
    Export {
        /// Number of the car
        #[arg(value_name = "CAR")]
        id: i64,
        /// As JSON instead of TOML
        #[arg(long)]
        json: bool,
    },
    /// Forget a car; its visits stay
    Delete {
        /// Number of the car
        #[arg(value_name = "CAR")]
        id: i64,
        /// Do not ask
        #[arg(long)]
        yes: bool,
    },
    /// Print the JSON Schema of a car's file (docs/car.schema.json)
    Schema,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb visits list --car 1
  hubplumb visits show 3 --json
  hubplumb visits export 3 4 --out two.json     everything, recordings included
  hubplumb visits export 3 --csv                a row for each finding
  hubplumb visits recompute 3                   what this version finds by the same readings
  hubplumb visits backup visits-2026-05.sqlite3
  hubplumb visits restore visits-2026-05.sqlite3    only while no daemon runs on the store
  hubplumb visits delete 3 --yes

All but `restore` and `set-aside` may be used while a daemon runs on the same store.
docs/VISIT.md tells all, docs/RECOVERY.md what to do when something is broken.

Exit codes:
  0  done; of `recompute`: every finding is the same
  1  the store or a file cannot be used; of `recompute`: a finding is not the same
  2  the command line or a file that was named is wrong, or there is no such visit")]
pub(super) struct VisitsArgs {
    #[command(subcommand)]
    pub(super) what: VisitsCommand,
    #[command(flatten)]
    pub(super) place: Place,
}

#[derive(Debug, Subcommand)]
pub(super) enum VisitsCommand {
    /// List the visits, newest first
    List {
        /// Of this car alone
        #[arg(long, value_name = "CAR")]
        car: Option<i64>,
        /// Print everything as JSON
        #[arg(long)]
        json: bool,
    },
    /// Show a visit and its findings
    Show {
        /// Number of the visit
        #[arg(value_name = "VISIT")]
        id: i64,
        /// Print everything as JSON
        #[arg(long)]
        json: bool,
    },
    /// Compute the findings of a visit again from what was kept with them, and compare
    Recompute {
        /// Number of the visit
        #[arg(value_name = "VISIT")]
        id: i64,
        /// Print everything as JSON
        #[arg(long)]
        json: bool,
    },
    /// Write visits as one document for `import`, or their findings as a table
    Export {
        /// Numbers of the visits
        #[arg(value_name = "VISIT", required = true)]
        ids: Vec<i64>,
        /// The findings as a table (RFC 4180) instead
        #[arg(long)]
        csv: bool,
        /// File to write, instead of standard output
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Bring in visits that were exported
    Import {
        /// The document
        #[arg(value_name = "FILE")]
        file: PathBuf,
    },
    /// Delete a visit with its recordings
    Delete {
        /// Number of the visit
        #[arg(value_name = "VISIT")]
        id: i64,
        /// Do not ask
        #[arg(long)]
        yes: bool,
    },
    /// Copy cars, visits and recordings into one file that is not there yet
    Backup {
        /// The file
        #[arg(value_name = "FILE")]
        file: PathBuf,
    },
    /// Put a backup in the place of what is kept, which is set aside; no daemon may run on the store
    Restore {
        /// The backup
        #[arg(value_name = "FILE")]
        file: PathBuf,
    },
    /// Set what is kept aside, damaged or not, and begin anew; no daemon may run on the store
    SetAside,
    /// Print the JSON Schema of an export (docs/visits.schema.json)
    Schema,
}
