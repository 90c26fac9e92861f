//! The files of a journal: written by a thread of their own, begun anew when
//! full, the oldest given up when there are too many.

use std::collections::VecDeque;
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, Write as _};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, sync_channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use super::entry::{Entry, FORMAT};
use super::{Journal, WAITING};
use crate::config::Texts;

/// How often what came is handed to the disk: a daemon that is killed loses no more.
const WRITE_EVERY: Duration = Duration::from_millis(200);

/// How much a journal may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JournalLimit {
    /// Bytes after which a file is followed by another.
    pub file_bytes: u64,
    /// Files kept; the oldest goes when another begins.
    pub files: usize,
}

impl JournalLimit {
    /// So many megabytes in all, in files of a sixteenth of it.
    pub fn of_megabytes(megabytes: u64) -> Self {
        const FILES: u64 = 16;
        Self {
            file_bytes: (megabytes * 1_000_000 / FILES).max(1),
            files: 16,
        }
    }
}

/// The thread that writes.
#[derive(Debug)]
pub struct JournalWriter {
    thread: JoinHandle<io::Result<()>>,
}

impl JournalWriter {
    /// Begins a journal in a new folder below `folder`, named after `began`.
    pub fn begin(
        folder: &Path,
        began: &str,
        configuration: Texts,
        limit: JournalLimit,
    ) -> io::Result<(Journal, Self, PathBuf)> {
        let folder = folder.join(began);
        fs::create_dir_all(&folder)?;
        let (pen, notes) = sync_channel(WAITING);
        let mut pages = Pages {
            folder: folder.clone(),
            configuration,
            limit,
            file: 0,
            written: VecDeque::new(),
            page: None,
            bytes: 0,
        };
        // A folder that takes no file is told before anything is measured.
        pages.turn_over()?;
        let thread = std::thread::Builder::new()
            .name("journal".to_owned())
            .spawn(move || {
                let done = pages.write(&notes);
                if let Err(error) = &done {
                    tracing::error!(%error, folder = %pages.folder.display(), "the journal cannot be written any more and ends here");
                }
                done
            })?;
        Ok((Journal::to(pen), Self { thread }, folder))
    }

    /// Waits until all is written, which it is when every way to the journal is
    /// gone; `patience` is for those that are still held by a task that hangs.
    pub fn finish(self, patience: Duration) -> io::Result<()> {
        let began = Instant::now();
        while !self.thread.is_finished() {
            if began.elapsed() >= patience {
                // What has been written so far is on the disk within the writing interval.
                return Ok(());
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        match self.thread.join() {
            Ok(done) => done,
            Err(_) => Err(io::Error::other("the writing thread ended by itself")),
        }
    }
}

struct Pages {
    folder: PathBuf,
    configuration: Texts,
    limit: JournalLimit,
    file: u64,
    written: VecDeque<PathBuf>,
    page: Option<BufWriter<File>>,
    bytes: u64,
}

impl Pages {
    fn write(&mut self, notes: &Receiver<Entry>) -> io::Result<()> {
        loop {
            match notes.recv_timeout(WRITE_EVERY) {
                Ok(entry) => {
                    if self.bytes >= self.limit.file_bytes {
                        self.turn_over()?;
                    }
                    self.put(&entry)?;
                }
                Err(RecvTimeoutError::Timeout) => self.flush()?,
                Err(RecvTimeoutError::Disconnected) => return self.flush(),
            }
        }
    }

    fn put(&mut self, entry: &Entry) -> io::Result<()> {
        let Some(page) = &mut self.page else {
            return Ok(());
        };
        let mut line = serde_json::to_vec(entry).map_err(io::Error::other)?;
        line.push(b'\n');
        page.write_all(&line)?;
        self.bytes += line.len() as u64;
        Ok(())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.page.as_mut().map_or(Ok(()), io::Write::flush)
    }

    fn turn_over(&mut self) -> io::Result<()> {
        self.flush()?;
        self.file += 1;
        let path = self.folder.join(format!("{:06}.jsonl", self.file));
        let file = OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(&path)?;
        self.page = Some(BufWriter::new(file));
        self.bytes = 0;
        self.written.push_back(path);
        while self.written.len() > self.limit.files.max(1) {
            if let Some(oldest) = self.written.pop_front() {
                fs::remove_file(oldest)?;
            }
        }
        let begun = Entry::Begun {
            format: FORMAT,
            program: env!("CARGO_PKG_VERSION").to_owned(),
            file: self.file,
            configuration: self.configuration.clone(),
        };
        self.put(&begun)
    }
}
