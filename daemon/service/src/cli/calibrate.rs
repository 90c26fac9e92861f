//! `hubplumb calibrate`: one board, guided on the terminal.

use crate::text::Text;
use std::io::{self, Write as _};
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Duration;

use hubplumb_core::floor::FloorSlope;
use tokio::sync::watch;
use tokio::time::sleep;
use tokio_util::sync::CancellationToken;

use super::args::CalibrateArgs;
use super::wire::Wire;
use super::{CliError, stop};
use crate::board::{Board, BoardKeeper, Inlets, Intake, Kept};
use crate::calibrating::{CalibrationDesk, DeskError, KindWish};
use crate::calibration_store::CalibrationStore;
use crate::clock::DaemonClock;
use crate::config::{BoardConfig, Config};
use crate::http::calibration_views::{CalibrationPhase, CalibrationProcedureView, CalibrationView};
use crate::http::views::TroubleView;
use crate::journal::Journal;
use crate::link::{LinkState, Ways};
use crate::present;
use crate::swing::SwingSnapshot;

/// How often the board is looked at.
const LOOK: Duration = Duration::from_millis(50);

pub(super) async fn calibrate(args: CalibrateArgs) -> Result<ExitCode, CliError> {
    let stop = CancellationToken::new();
    stop::on_signals(&stop)?;
    let store = args
        .store
        .clone()
        .map_or_else(CalibrationStore::usual, CalibrationStore::at);
    let bench = Bench::open(&args, store, &stop)?;
    let Some(done) = stop
        .clone()
        .run_until_cancelled(bench.guide(args.poses))
        .await
    else {
        note("given up; the calibration before stays in force")?;
        return Ok(ExitCode::from(super::EXIT_FAILED));
    };
    stop.cancel();
    done.map(|()| ExitCode::SUCCESS)
}

/// The one board, and the desk that calibrates it.
struct Bench {
    board: Arc<Board>,
    desk: CalibrationDesk,
    clock: DaemonClock,
    // A desk looks at these for as long as it is there.
    _boards: watch::Sender<Vec<Arc<Board>>>,
    _swing: watch::Sender<SwingSnapshot>,
}

impl Bench {
    fn open(
        args: &CalibrateArgs,
        store: CalibrationStore,
        stop: &CancellationToken,
    ) -> Result<Self, CliError> {
        let settings = Wire {
            port: &args.port,
            baud: args.baud,
            format: args.format.as_ref(),
            config: args.config.as_deref(),
        }
        .settings()?;
        let name = args.port.to_string();
        let config = BoardConfig {
            baud: settings.baud,
            format: settings.format.clone(),
            chip: args.chip,
            ..BoardConfig::unknown(name.clone(), name, args.port.clone())
        };
        let Config { floor, .. } = Config::default();
        let floor: FloorSlope = floor;
        let board = Arc::new(Board::found(0, &config, floor));
        let clock = DaemonClock::at_speed(args.speed);
        let ways = Ways::system();
        let kept = Kept {
            store: store.clone(),
            target: args.port.clone(),
            ways: ways.clone(),
        };
        let intake = Intake::new(board.clone(), Inlets::default(), None);
        let keeper = BoardKeeper::new(intake, clock, Journal::off(), kept);
        tokio::spawn(ways.run(args.port.clone(), settings, keeper, stop.clone()));
        let (boards, shown) = watch::channel(vec![board.clone()]);
        let (swing, no_swing) = watch::channel(SwingSnapshot::default());
        Ok(Self {
            board,
            desk: CalibrationDesk::new(shown, no_swing, store, Journal::off()),
            clock,
            _boards: boards,
            _swing: swing,
        })
    }

    async fn guide(&self, poses: u64) -> Result<(), CliError> {
        self.live().await?;
        let facts = self.board.facts();
        let id = facts.id.as_str();
        self.desk.start(id, KindWish::Poses).map_err(refused)?;
        let mut told = String::new();
        loop {
            sleep(LOOK).await;
            let view = self.view();
            let Some(procedure) = view.procedure else {
                continue;
            };
            match procedure.phase {
                CalibrationPhase::Solved => {
                    let kept = self.desk.keep(id).await.map_err(refused)?;
                    return tell_result(&procedure, &kept);
                }
                CalibrationPhase::Ended => {
                    return Err(procedure
                        .trouble
                        .map_or_else(|| refused(DeskError::NoResult), CliError::Port));
                }
                CalibrationPhase::Lay | CalibrationPhase::Hold | CalibrationPhase::Taken => {}
            }
            let line = format!("[{} taken] {}", procedure.taken, procedure.say);
            if line != told {
                note(&line)?;
                told = line;
            }
            if let Some(pose) = procedure.worst_pose {
                // There is no button here, and only one thing to do.
                note(&format!("pose {} is taken back", pose + 1))?;
                self.desk.take_back(id, Some(pose)).map_err(refused)?;
            } else if procedure.can_solve && procedure.taken as u64 >= poses {
                // Poses that contradict each other are told by the next look.
                let _ = self.desk.solve(id);
            }
        }
    }

    /// Waits for readings; a port that cannot be opened ends it.
    async fn live(&self) -> Result<(), CliError> {
        let mut told = None;
        loop {
            sleep(LOOK).await;
            let status = self.board.look(self.clock.now()).status;
            let trouble = present::link_trouble(&status);
            match (&status.state, trouble) {
                (LinkState::Live, _) => return Ok(()),
                (LinkState::Absent { .. } | LinkState::Refused(_), Some(trouble)) => {
                    return Err(CliError::Port(trouble));
                }
                (_, Some(trouble)) if told.as_ref() != Some(&trouble.code) => {
                    note(&format!("{} {}", trouble.what, trouble.remedy))?;
                    told = Some(trouble.code);
                }
                _ => {}
            }
        }
    }

    fn view(&self) -> CalibrationView {
        present::calibration_view(&self.board.look(self.clock.now()).calibration)
    }
}

fn note(text: &str) -> Result<(), CliError> {
    writeln!(io::stderr(), "{text}").map_err(CliError::Output)
}

fn tell_result(procedure: &CalibrationProcedureView, board: &Arc<Board>) -> Result<(), CliError> {
    let mut out = io::stdout().lock();
    let mut say = |text: &str| writeln!(out, "{text}").map_err(CliError::Output);
    if let Some(result) = &procedure.result {
        say(&result.say.to_string())?;
        for note in &result.notes {
            say(&note.to_string())?;
        }
    }
    let name = board.calibration(|held, _| held.board().to_owned());
    say(&format!(
        "Kept as the calibration of {name}, from {} poses.",
        procedure.taken
    ))
}

#[expect(
    clippy::needless_pass_by_value,
    reason = "map_err hands the error over"
)]
fn refused(error: DeskError) -> CliError {
    let (meaning, remedy) = match &error {
        DeskError::Store(store) => (store.meaning().stored(), store.remedy().stored()),
        _ => (
            "there is no calibration from it; the one before stays in force".to_owned(),
            "start it again when the board gives readings".to_owned(),
        ),
    };
    CliError::Port(TroubleView {
        code: "calibration".to_owned(),
        what: Text::from(error.to_string()),
        meaning: Text::from(meaning),
        remedy: Text::from(remedy),
    })
}
