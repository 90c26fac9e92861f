//! `hubplumb run`

use crate::text::Text;
use std::fmt::Write as _;
use std::io::{self, Write as _};
use std::path::Path;
use std::process::ExitCode;
use std::time::Duration;

use time::OffsetDateTime;
use time::macros::format_description;
use tokio::net::TcpListener;
use tokio::time::timeout;
use tokio_util::sync::CancellationToken;

use super::args::RunArgs;
use super::{CliError, stop};
use crate::calibration_store::CalibrationStore;
use crate::clock::DaemonClock;
use crate::config::{self, Config, Texts};
use crate::daemon::{Daemon, DaemonOptions};
use crate::http;
use crate::http::views::TroubleView;
use crate::journal::{Journal, JournalLimit, JournalWriter};
use crate::link::{FoundPort, Ways};
use crate::store::{Store, StoreFault};
use crate::visiting::VisitDesk;

/// How long the tasks may take to end.
const GRACE: Duration = Duration::from_millis(1500);

pub(super) async fn run(args: RunArgs) -> Result<ExitCode, CliError> {
    let (mut config, texts) = match &args.config {
        Some(file) => config::load_with_texts(file)?,
        None => (Config::default(), Texts::default()),
    };
    if let Some(listen) = args.listen {
        config.listen = listen;
    }
    if let Some(folder) = &args.record {
        can_record(folder)?;
    }
    let (journal, writer) = match &args.journal {
        Some(folder) => {
            let limit = JournalLimit::of_megabytes(args.journal_limit);
            let (journal, writer) = begin_journal(folder, texts, limit)?;
            (journal, Some(writer))
        }
        None => (Journal::off(), None),
    };
    let listener = http::bind(config.listen).await?;
    let ways = Ways::system();
    let next = config
        .boards
        .is_empty()
        .then(|| what_next(&ways.ports.ports()));
    let stop = CancellationToken::new();
    stop::on_signals(&stop)?;
    let store = args
        .store
        .map_or_else(CalibrationStore::usual, CalibrationStore::at);
    let daemon = Daemon::start(
        DaemonOptions {
            config,
            ways,
            scenario: None,
            clock: DaemonClock::at_speed(args.speed),
            record: args.record,
            visits: visits(&store),
            store,
            journal,
        },
        &stop,
    );
    tell_address(&listener)?;
    if let Some(next) = next {
        writeln!(io::stdout(), "{next}").map_err(CliError::Output)?;
    }
    serve(listener, &daemon, stop).await?;
    drop(daemon);
    if let Some(writer) = writer
        && let Err(error) = writer.finish(GRACE)
    {
        return Err(CliError::Input(journal_trouble(&error.to_string())));
    }
    Ok(ExitCode::SUCCESS)
}

/// The desk of cars and visits, whose file lies beside the calibrations. The daemon runs
/// without it too: the page then says why nothing can be kept.
pub(super) fn visits(store: &CalibrationStore) -> VisitDesk {
    let opened = store.folder().map_or(Err(StoreFault::NoFolder), |folder| {
        Store::open(&folder.join(Store::FILE))
    });
    if let Err(fault) = &opened {
        tracing::error!("{fault} {} {}", fault.meaning(), fault.remedy());
    }
    VisitDesk::new(opened)
}

/// Begins a journal in a folder of its own, named by the time.
fn begin_journal(
    folder: &Path,
    texts: Texts,
    limit: JournalLimit,
) -> Result<(Journal, JournalWriter), CliError> {
    let begun = OffsetDateTime::now_utc()
        .format(format_description!(
            "[year]-[month]-[day]T[hour][minute][second]Z"
        ))
        .map_err(|error| error.to_string())
        .and_then(|name| {
            JournalWriter::begin(folder, &name, texts, limit)
                .map_err(|error| format!("{}: {error}", folder.display()))
        });
    let (journal, writer, folder) =
        begun.map_err(|error| CliError::Input(journal_trouble(&error)))?;
    tracing::info!(folder = %folder.display(), "journal begun");
    Ok((journal, writer))
}

fn journal_trouble(what: &str) -> TroubleView {
    TroubleView {
        code: "journal_folder".to_owned(),
        what: Text::from(what),
        meaning: Text::from("what the boards say cannot be written down there"),
        remedy: Text::from(
            "name a folder that may be written, on a disk with room, or leave --journal out",
        ),
    }
}

/// Sees before anything is measured that swings can be recorded there.
pub(super) fn can_record(folder: &Path) -> Result<(), CliError> {
    let tried = std::fs::create_dir_all(folder)
        .and_then(|()| tempfile::tempfile_in(folder))
        .map(drop);
    tried.map_err(|error| {
        CliError::Input(TroubleView {
            code: "record_folder".to_owned(),
            what: Text::from(format!("{}: {error}", folder.display())),
            meaning: Text::from("swings cannot be recorded there, so nothing was started"),
            remedy: Text::from("name a folder that may be written, or leave --record out"),
        })
    })
}

/// Serves the page of a daemon until `stop`, and waits for the daemon's end.
pub(super) async fn serve(
    listener: TcpListener,
    daemon: &Daemon,
    stop: CancellationToken,
) -> Result<(), CliError> {
    let served = http::serve(listener, http::router(daemon.app()), stop.clone()).await;
    stop.cancel();
    if timeout(GRACE, daemon.ended()).await.is_err() {
        tracing::warn!("a task did not end in time and is left behind");
    }
    served.map_err(CliError::Serve)
}

pub(super) fn tell_address(listener: &TcpListener) -> Result<(), CliError> {
    let address = listener.local_addr().map_err(CliError::Serve)?;
    let mut out = io::stdout().lock();
    writeln!(out, "hubplumb is at http://{address}/").map_err(CliError::Output)?;
    out.flush().map_err(CliError::Output)
}

/// What to do when no configuration names a board.
fn what_next(ports: &[FoundPort]) -> String {
    if ports.is_empty() {
        return "No configuration was given, and there is no serial port yet: plug a board in, it is picked up by itself.\n\
                To try everything without hardware: hubplumb demo"
            .to_owned();
    }
    let mut text = "No configuration was given: every serial port is listened to, and no board is known to sit on a wheel.\n\
                    Next: save this as car.toml, say where each board is strapped and how it sits, and start\n\
                    `hubplumb run --config car.toml`. docs/hubplumb.example.toml explains every key.\n"
        .to_owned();
    for port in ports {
        let _ = write!(
            text,
            "\n[[board]]                   # now at {}\nid = \"{}\"\nmount = \"front_left\"        # or front_right, rear_left, rear_right, body\nmounting = {{ outboard = \"+z\", up = \"+y\" }}\n",
            port.node.display(),
            port.id
        );
    }
    text
}
