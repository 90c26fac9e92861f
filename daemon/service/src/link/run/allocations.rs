//! What a read of a line allocates once its board has been heard for a while: nothing, from the bytes
//! to the calibrated and judged sample and to the counts that are shown.

use std::pin::Pin;
use std::task::{Context, Poll};

use hubplumb_speed::families;
use tokio::io::{AsyncRead, ReadBuf};

use super::*;
use crate::board::{Board, BoardKeeper, Inlets, Intake, Kept};
use crate::calibration_store::CalibrationStore;
use crate::clock::DaemonClock;
use crate::config;
use crate::journal::Journal;
use crate::link::{Target, Ways};

/// A line that is never read: the bytes are handed over by the test.
struct NoLine;

impl AsyncRead for NoLine {
    fn poll_read(
        self: Pin<&mut Self>,
        _: &mut Context<'_>,
        _: &mut ReadBuf<'_>,
    ) -> Poll<std::io::Result<()>> {
        Poll::Pending
    }
}

impl Line for NoLine {}

struct NoPort;

impl Transport for NoPort {
    type Line = NoLine;

    async fn open(&mut self, _: u32) -> Result<NoLine, OpenError> {
        Ok(NoLine)
    }

    fn port(&self) -> String {
        "/dev/null".to_owned()
    }
}

fn keeper(folder: &std::path::Path) -> BoardKeeper {
    let text = "[[board]]\nid = \"a\"\nmount = \"front_left\"\n\
                [board.mounting]\noutboard = \"+y\"\nup = \"+z\"\n";
    let config = config::parse(text, "car.toml".as_ref()).expect("sound");
    let board = Board::new(0, &config.boards[0], config.floor);
    let intake = Intake::new(board.into(), Inlets::default(), None);
    let kept = Kept {
        store: CalibrationStore::at(folder),
        target: Target::Path("/dev/null".into()),
        ways: Ways::system(),
    };
    BoardKeeper::new(intake, DaemonClock::at_speed(1.0), Journal::off(), kept)
}

/// Reads that fill windows and learn names, and those whose allocations are counted.
const FIRST: usize = 5000;
const COUNTED: usize = 1000;

/// Readings of a stream, and allocations of its last reads.
async fn allocations(family: &families::Family) -> (usize, u64) {
    let folder = tempfile::tempdir().expect("a folder");
    let speech = Speech {
        baud: None,
        baud_is_guess: false,
        format: family.format.clone(),
        format_is_guess: false,
        why: None,
    };
    let mut link = Link {
        status: LinkStatus::new("/dev/null".to_owned()),
        known: None,
        backoff: Backoff::new(Duration::ZERO, Duration::ZERO),
        transport: NoPort,
        settings: LinkSettings::default(),
        observer: keeper(folder.path()),
        readings: Vec::new(),
    };
    link.status.speech = Some(Arc::new(speech));
    link.status.state = LinkState::Live;
    let mut reader = FrameReader::new(&family.format);
    let mut bad = BTreeMap::new();
    let stream = family.stream(FIRST + COUNTED, 1000, 1);
    let (mut good, mut allocated) = (0, 0);
    for (number, bytes) in stream.reads.iter().enumerate() {
        tokio::time::advance(Duration::from_millis(1)).await;
        let found = allocation_counter::measure(|| {
            reader.push_piece(bytes, family.packing);
            good += link.take_frames(bytes, &mut reader, &mut bad, None, None);
        });
        if number >= FIRST {
            allocated += found.count_total;
        }
    }
    (good, allocated)
}

#[tokio::test(start_paused = true)]
async fn a_read_of_a_known_board_allocates_nothing() {
    for family in families::all() {
        let (good, allocated) = allocations(&family).await;
        // A reading of NMEA comes in two sentences, each of them usable.
        let whole = FIRST + COUNTED;
        assert!(
            (whole - 1..=2 * whole).contains(&good),
            "{}: {good}",
            family.name
        );
        assert_eq!(allocated, 0, "{}", family.name);
    }
}
