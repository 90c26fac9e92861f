//! A board's bytes out of a journal, as a line.

use std::collections::VecDeque;
use std::fmt;
use std::future::Future as _;
use std::io;
use std::path::PathBuf;
use std::pin::Pin;
use std::str::FromStr;
use std::task::{Context, Poll, ready};
use std::time::Duration;

use hubplumb_protocol::Packing;
use thiserror::Error;
use tokio::io::{AsyncRead, ReadBuf};
use tokio::time::{Instant, Sleep, sleep_until};

use super::entry::Entry;
use super::read::read;
use crate::link::{Line, OpenError, Transport};

/// How fast a recording is played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tempo {
    /// So many thousandths of life's.
    Thousandths(u32),
    /// As fast as it is taken.
    Full,
}

const LIFE: Tempo = Tempo::Thousandths(1000);

/// A board in a journal, written `FOLDER#BOARD`, `FOLDER#BOARD@SPEED` or `FOLDER#BOARD@full`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Played {
    /// Folder of the journal.
    pub journal: PathBuf,
    /// Number of the board, from 0.
    pub board: usize,
    /// How fast.
    pub tempo: Tempo,
}

/// What names no board of a journal.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BadPlayed {
    /// The number of the board is missing or is none.
    #[error("`{0}` does not end in `#` and the number of a board")]
    Board(String),
    /// The speed is none.
    #[error("`{0}` is no speed")]
    Speed(String),
}

impl FromStr for Played {
    type Err = BadPlayed;

    fn from_str(written: &str) -> Result<Self, BadPlayed> {
        let no_board = || BadPlayed::Board(written.to_owned());
        let (journal, board) = written.rsplit_once('#').ok_or_else(no_board)?;
        let (board, tempo) = match board.split_once('@') {
            None => (board, LIFE),
            Some((board, "full")) => (board, Tempo::Full),
            Some((board, speed)) => {
                let times: f64 = speed
                    .parse()
                    .map_err(|_| BadPlayed::Speed(speed.to_owned()))?;
                if !(0.01..=1000.0).contains(&times) {
                    return Err(BadPlayed::Speed(speed.to_owned()));
                }
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "between 10 and a million"
                )]
                let thousandths = (times * 1000.0).round() as u32;
                (board, Tempo::Thousandths(thousandths))
            }
        };
        Ok(Self {
            journal: PathBuf::from(journal),
            board: board.parse().map_err(|_| no_board())?,
            tempo,
        })
    }
}

impl fmt::Display for Played {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}#{}", self.journal.display(), self.board)?;
        match self.tempo {
            LIFE => Ok(()),
            Tempo::Thousandths(thousandths) => write!(f, "@{}", f64::from(thousandths) / 1000.0),
            Tempo::Full => write!(f, "@full"),
        }
    }
}

/// Plays one board's bytes once.
#[derive(Debug)]
pub struct PlayedTransport {
    played: Played,
    is_over: bool,
}

impl PlayedTransport {
    /// Plays this; nothing is read yet.
    pub fn new(played: Played) -> Self {
        Self {
            played,
            is_over: false,
        }
    }
}

impl Transport for PlayedTransport {
    type Line = PlayedLine;

    async fn open(&mut self, _: u32) -> Result<PlayedLine, OpenError> {
        let port = self.port();
        if self.is_over {
            return Err(OpenError::Absent {
                wanted: format!("{port} (it was played to its end)"),
            });
        }
        let played = self.played.clone();
        let read = tokio::task::spawn_blocking(move || pieces(&played)).await;
        let failed = |why: String| OpenError::Failed {
            port: port.clone(),
            why,
        };
        let line = read
            .map_err(|error| failed(error.to_string()))?
            .map_err(failed)?;
        self.is_over = true;
        Ok(line)
    }

    fn port(&self) -> String {
        self.played.to_string()
    }

    fn has_speed(&self) -> bool {
        false
    }
}

fn pieces(played: &Played) -> Result<PlayedLine, String> {
    let recorded = read(&played.journal).map_err(|error| error.to_string())?;
    let mut pieces = VecDeque::new();
    let mut packing = Packing::Stream;
    let mut began_us = None;
    for entry in &recorded.entries {
        match entry {
            Entry::Heard {
                board,
                at_us,
                bytes,
                ..
            } if *board == played.board => {
                let bytes = unhex(bytes).ok_or("a note holds no bytes in hexadecimal")?;
                let began_us = *began_us.get_or_insert(*at_us);
                let after_us = u64::try_from(at_us - began_us).unwrap_or_default();
                pieces.push_back((Duration::from_micros(after_us), bytes));
            }
            Entry::Speaks {
                board, packing: by, ..
            } if *board == played.board => packing = (*by).into(),
            _ => {}
        }
    }
    if pieces.is_empty() {
        return Err(format!("board {} says nothing in it", played.board));
    }
    Ok(PlayedLine {
        pieces,
        packing,
        tempo: played.tempo,
        began: None,
        due: None,
    })
}

fn unhex(text: &str) -> Option<Vec<u8>> {
    text.as_bytes()
        .chunks(2)
        .map(|pair| u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok())
        .collect()
}

/// The bytes of one board, each piece at its time.
#[derive(Debug)]
pub struct PlayedLine {
    pieces: VecDeque<(Duration, Vec<u8>)>,
    packing: Packing,
    tempo: Tempo,
    began: Option<Instant>,
    due: Option<Pin<Box<Sleep>>>,
}

impl AsyncRead for PlayedLine {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let began = *self.began.get_or_insert_with(Instant::now);
        let tempo = self.tempo;
        let Some((after, _)) = self.pieces.front() else {
            return Poll::Ready(Ok(()));
        };
        if let Tempo::Thousandths(thousandths) = tempo {
            let at = began + after.div_f64(f64::from(thousandths) / 1000.0);
            let due = self.due.get_or_insert_with(|| Box::pin(sleep_until(at)));
            ready!(due.as_mut().poll(cx));
        }
        if let Some((after, bytes)) = self.pieces.pop_front() {
            let fits = bytes.len().min(buf.remaining());
            let (now, later) = bytes.split_at(fits);
            buf.put_slice(now);
            if later.is_empty() {
                self.due = None;
            } else {
                self.pieces.push_front((after, later.to_vec()));
            }
        }
        Poll::Ready(Ok(()))
    }
}

impl Line for PlayedLine {
    fn packing(&self) -> Packing {
        self.packing
    }
}

#[cfg(test)]
mod tests {
    use tokio::io::AsyncReadExt as _;

    use super::super::{JournalLimit, JournalWriter, Presence};
    use super::*;
    use crate::config::Texts;
    use crate::journal::entry::PackingNote;

    #[test]
    fn what_is_written_is_read_and_nonsense_is_refused() {
        for written in ["journals/a#0", "a#3@4", "a b#12@full", "a#b#1@0.5"] {
            let played: Played = written.parse().unwrap();
            assert_eq!(played.to_string(), written);
        }
        for written in ["journals/a", "a#", "a#x", "a#1@", "a#1@-1", "a#1@fast"] {
            assert!(written.parse::<Played>().is_err(), "{written}");
        }
    }

    fn journal(folder: &std::path::Path) {
        let limit = JournalLimit::of_megabytes(1);
        let (journal, writer, _) =
            JournalWriter::begin(folder, "a", Texts::default(), limit).unwrap();
        let mut turn = journal.turn();
        turn.note(|| Entry::Speaks {
            board: 1,
            format: "csv".to_owned(),
            number_bits: None,
            packing: PackingNote::Messages,
            summed: true,
        });
        for (board, at_us, bytes) in [
            (1, 5_000_000, "313233"),
            (0, 5_100_000, "ff"),
            (1, 7_000_000, "0a"),
        ] {
            turn.note(|| Entry::Heard {
                board,
                at_us,
                bytes: bytes.to_owned(),
                readings: Vec::new(),
                bad: 0,
            });
        }
        turn.note(|| Entry::Presence {
            board: 1,
            is: Presence::Gone,
        });
        drop(turn);
        drop(journal);
        writer.finish(Duration::from_secs(10)).unwrap();
    }

    #[tokio::test(start_paused = true)]
    async fn a_board_is_played_once_in_its_own_time_and_pieces() {
        let folder = tempfile::tempdir().unwrap();
        journal(folder.path());
        for (tempo, took_ms) in [("", 2000), ("@4", 500), ("@full", 0)] {
            let written = format!("{}#1{tempo}", folder.path().join("a").display());
            let mut transport = PlayedTransport::new(written.parse().unwrap());
            let mut line = transport.open(0).await.unwrap();
            assert_eq!(line.packing(), Packing::Messages);
            let began = Instant::now();
            let mut heard = Vec::new();
            let mut buffer = [0; 64];
            loop {
                let count = line.read(&mut buffer).await.unwrap();
                if count == 0 {
                    break;
                }
                heard.push(buffer[..count].to_vec());
            }
            assert_eq!(heard, [b"123".to_vec(), b"\n".to_vec()]);
            assert_eq!(began.elapsed(), Duration::from_millis(took_ms));
            assert!(matches!(
                transport.open(0).await,
                Err(OpenError::Absent { .. })
            ));
        }
    }

    #[tokio::test]
    async fn a_board_that_is_not_in_it_cannot_be_played() {
        let folder = tempfile::tempdir().unwrap();
        journal(folder.path());
        for written in ["a#7", "nowhere#0"] {
            let written = folder.path().join(written).display().to_string();
            let mut transport = PlayedTransport::new(written.parse().unwrap());
            assert!(matches!(
                transport.open(0).await,
                Err(OpenError::Failed { .. })
            ));
        }
    }
}
