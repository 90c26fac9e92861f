//! `hubplumb run`

use crate::text::Text;
use std::io::{self, Write as _};
use std::path::Path;
use std::process::ExitCode;
use std::time::Duration;

use time::OffsetDateTime;
use time::macros::format_description;
use tokio::time::{Instant, timeout_at};
use tokio_util::sync::CancellationToken;

use super::alone::Alone;
use super::args::RunArgs;

use super::way_in::WayIn;
use super::{CliError, stop};
use crate::calibration_store::CalibrationStore;
use crate::clock::DaemonClock;
use crate::config::{self, Config, Texts};
use crate::daemon::{Daemon, DaemonOptions};
use crate::http;
use crate::http::views::TroubleView;
use crate::journal::{Journal, JournalLimit, JournalWriter};
use crate::link::{FoundPort, PortTree, Ways};
use crate::supervised;
use crate::visiting::VisitDesk;

/// How long the tasks may take to end, from when they were asked to.
const GRACE: Duration = Duration::from_millis(1500);

pub(super) async fn run(args: RunArgs) -> Result<ExitCode, CliError> {
    let (mut config, texts) = match &args.config {
        Some(file) => config::load_with_texts(file)?,
        None => (Config::default(), Texts::default()),
    };
    if let Some(listen) = args.listen {
        config.http.listen = listen;
    }
    let http = args.reach.over(config.http.clone());
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
    let listener = http::bind(http.listen).await?;
    let mut ways = Ways::system();
    if let Some(folder) = &args.ports {
        ways.ports = PortTree::listing(folder);
    }
    let next = config
        .boards
        .is_empty()
        .then(|| what_next(&ways.ports.ports()));
    let stop = CancellationToken::new();
    stop::on_signals(&stop)?;
    let store = args
        .store
        .map_or_else(CalibrationStore::usual, CalibrationStore::at);
    let _alone = Alone::in_folder(store.folder())?;
    let way_in = WayIn::open(listener, http, store.folder())?;
    let daemon = Daemon::start(
        DaemonOptions {
            config,
            ways,
            scenario: None,
            clock: DaemonClock::at_speed(args.speed),
            record: args.record,
            visits: VisitDesk::beside(&store),
            practice: None,
            store,
            journal,
        },
        &stop,
    );
    way_in.tell()?;
    if let Some(next) = next {
        writeln!(io::stdout(), "{next}").map_err(CliError::Output)?;
    }
    let ways = supervised::reachable(way_in.listener.local_addr().map_err(CliError::Serve)?);
    let supervised = tokio::spawn(supervised::supervise(
        daemon.app().instruments.pulse,
        ways,
        stop.clone(),
    ));
    serve(way_in, &daemon, stop).await?;
    drop(daemon);
    supervised.abort();
    if let Some(writer) = writer
        && let Err(error) = writer.finish(GRACE)
    {
        return Err(CliError::Input(journal_trouble(&error.to_string())));
    }
    Ok(ExitCode::SUCCESS)
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
    way_in: WayIn,
    daemon: &Daemon,
    stop: CancellationToken,
) -> Result<(), CliError> {
    let WayIn {
        listener,
        desk,
        task,
        pairing,
        ..
    } = way_in;
    let kept = tokio::spawn(task.run(stop.clone()));
    let router = http::router(daemon.app(), desk.clone(), pairing);
    let asked = tokio::spawn({
        let stop = stop.clone();
        async move {
            stop.cancelled().await;
            Instant::now()
        }
    });
    let served = http::serve(listener, router, &desk, stop.clone()).await;
    stop.cancel();
    // The tasks began to end when the page did: the time is one for both, or two halves would be
    // more than was promised.
    let asked = asked.await.unwrap_or_else(|_| Instant::now());
    let ended = async {
        daemon.ended().await;
        kept.await
    };
    if timeout_at(asked + GRACE, ended).await.is_err() {
        tracing::warn!("a task did not end in time and is left behind");
    }
    served.map_err(CliError::Serve)
}

/// What to do when no configuration names a board.
fn what_next(ports: &[FoundPort]) -> &'static str {
    if ports.is_empty() {
        "There is no serial port yet: plug a board in, it is picked up by itself. Boards on Bluetooth and on the\n\
         network are looked for on the page, and the page has a simulated car to practise with."
    } else {
        "Every serial port is listened to. Open the page: it asks where each board is strapped and how it sits,\n\
         and no file has to be written. With a file instead: docs/hubplumb.example.toml explains every key."
    }
}
