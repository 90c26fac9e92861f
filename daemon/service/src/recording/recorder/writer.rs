//! What is kept, and what is written when.

use std::collections::VecDeque;
use std::io;
use std::path::PathBuf;

use hubplumb_core::reading::RawSample;

use super::folder::SwingFolder;
use super::session::session_file;
use super::{Recorded, Stage, SwingRecord};
use crate::recording::session_file::RoleEntry;

/// Kept from before the first rest is noticed, µs.
const KEPT_US: i64 = 5_000_000;
/// Bound on what is kept of one board: that time at 1 kHz.
const KEPT_LEN: usize = 5_000;
/// A body board with fewer readings says nothing.
const LEAST_READINGS: usize = 100;

#[derive(Debug)]
pub(super) struct Writer {
    parent: PathBuf,
    kept: Vec<(RoleEntry, VecDeque<RawSample>)>,
    open: Option<Open>,
    /// The last run that is written, or given up.
    done: u64,
    closed: Option<Recorded>,
}

/// A swing that is being written.
#[derive(Debug)]
struct Open {
    folder: SwingFolder,
    dropped_before: u64,
    /// What the session file tells.
    told: Stage,
}

impl Writer {
    pub(super) fn new(parent: PathBuf) -> Self {
        Self {
            parent,
            kept: Vec::new(),
            open: None,
            done: 0,
            closed: None,
        }
    }

    /// The recording that was closed since this was asked last.
    pub(super) fn take_closed(&mut self) -> Option<Recorded> {
        self.closed.take()
    }

    /// Takes the swing as it stands and the readings that came; `dropped` were lost so far.
    pub(super) fn take(
        &mut self,
        swing: Option<&SwingRecord>,
        readings: VecDeque<(RoleEntry, RawSample)>,
        dropped: u64,
    ) {
        let swing = swing.filter(|swing| swing.stage.run > self.done);
        if let Err(error) = self.write(swing, &readings, dropped) {
            let folder = self.open.take().map(|open| open.folder.path);
            let folder = folder.as_ref().unwrap_or(&self.parent);
            tracing::error!(
                folder = %folder.display(),
                %error,
                "the swing is not recorded; it goes on all the same. Make room and see that the folder may be written"
            );
            self.done = swing.map_or(self.done, |swing| swing.stage.run);
        }
        for (role, reading) in readings {
            self.keep(role, reading);
        }
    }

    fn write(
        &mut self,
        swing: Option<&SwingRecord>,
        readings: &VecDeque<(RoleEntry, RawSample)>,
        dropped: u64,
    ) -> io::Result<()> {
        let Some(swing) = swing else { return Ok(()) };
        if let Some(before) = self.open.take_if(|open| open.told.run != swing.stage.run) {
            before.folder.close()?;
        }
        if self.open.is_none() {
            if !swing.stage.begun {
                // Given up before anything rested: there is nothing to solve.
                if swing.stage.over {
                    self.done = swing.stage.run;
                }
                return Ok(());
            }
            self.begin(swing, dropped)?;
        }
        let Some(open) = &mut self.open else {
            return Ok(());
        };
        for (role, reading) in readings {
            open.folder.add(*role, reading)?;
        }
        open.folder.flush()?;
        if open.told != swing.stage {
            open.told = swing.stage;
            open.tell(swing, dropped)?;
        }
        if swing.stage.over {
            self.done = swing.stage.run;
            if let Some(open) = self.open.take() {
                let lost = dropped - open.dropped_before;
                let folder = open.folder.path.clone();
                open.folder.close()?;
                if lost > 0 {
                    tracing::warn!(folder = %folder.display(), lost, "readings were lost while the swing was recorded: the disk is too slow");
                }
                tracing::info!(folder = %folder.display(), "swing recorded");
                self.closed = Some(Recorded {
                    run: swing.stage.run,
                    folder,
                });
            }
        }
        Ok(())
    }

    fn begin(&mut self, swing: &SwingRecord, dropped: u64) -> io::Result<()> {
        let roles = swing.boards.iter().map(|board| board.role);
        let mut folder = SwingFolder::create(&self.parent, swing.stage.run, roles)?;
        for (role, kept) in &self.kept {
            for reading in kept {
                folder.add(*role, reading)?;
            }
        }
        let open = Open {
            folder,
            dropped_before: dropped,
            told: swing.stage,
        };
        open.tell(swing, dropped)?;
        self.open = Some(open);
        Ok(())
    }

    fn keep(&mut self, role: RoleEntry, reading: RawSample) {
        let at = self.kept.iter().position(|(kept, _)| *kept == role);
        let at = at.unwrap_or_else(|| {
            self.kept.push((role, VecDeque::new()));
            self.kept.len() - 1
        });
        let Some((_, kept)) = self.kept.get_mut(at) else {
            return;
        };
        kept.push_back(reading);
        while kept.len() > KEPT_LEN
            || kept
                .front()
                .is_some_and(|first| reading.at.since_us(first.at) > KEPT_US)
        {
            kept.pop_front();
        }
    }
}

impl Open {
    fn tell(&self, swing: &SwingRecord, dropped: u64) -> io::Result<()> {
        let watches_body = self.folder.readings(RoleEntry::Body) >= LEAST_READINGS;
        self.folder.write_session(&session_file(
            swing,
            self.folder.began,
            watches_body,
            dropped - self.dropped_before,
        ))
    }
}

#[cfg(test)]
mod tests;
