//! Reading a journal back.

use std::fs::{self, File};
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::entry::{Entry, FORMAT};
use crate::config::Texts;

/// A journal that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded {
    /// The configuration it was written under.
    pub configuration: Texts,
    /// Everything after the first line.
    pub entries: Vec<Entry>,
    /// Is its beginning there? Where it was given up, clocks and filters begin elsewhere.
    pub from_beginning: bool,
    /// Notes that the disk was too slow for.
    pub missing: u64,
    /// Does it end in the middle of a line, as it does when the daemon is killed?
    pub cut_off: bool,
}

/// Why a journal cannot be read.
#[derive(Debug, Error)]
pub enum JournalError {
    /// No file of a journal is there.
    #[error("{}: no journal is there", .folder.display())]
    Nothing {
        /// Where it was looked for.
        folder: PathBuf,
    },
    /// A file cannot be read.
    #[error("{}: {error}", .file.display())]
    Unreadable {
        /// The file.
        file: PathBuf,
        /// What the system says.
        error: std::io::Error,
    },
    /// A line is none of a journal.
    #[error("{} line {line}: {why}", .file.display())]
    NotUnderstood {
        /// The file.
        file: PathBuf,
        /// Its line, from 1.
        line: usize,
        /// What is wrong.
        why: String,
    },
    /// It is of another version.
    #[error("{}: it is of format {found}, and this program reads format {FORMAT}", .file.display())]
    OtherFormat {
        /// The file.
        file: PathBuf,
        /// Its version.
        found: u32,
    },
    /// A file between the others is not there.
    #[error("{}: the file before it is not there", .file.display())]
    Torn {
        /// The file after the hole.
        file: PathBuf,
    },
    /// Its configuration is not sound.
    #[error("its configuration: {0}")]
    Configuration(String),
}

/// Reads the journal in `folder`, in the order of its files.
pub fn read(folder: &Path) -> Result<Recorded, JournalError> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .map_err(|error| JournalError::Unreadable {
            file: folder.to_path_buf(),
            error,
        })?
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "jsonl")
        })
        .collect();
    files.sort();
    let mut recorded: Option<Recorded> = None;
    let mut number = 0;
    let last = files.len().saturating_sub(1);
    for (index, file) in files.into_iter().enumerate() {
        let mut page = lines(&file, index == last)?;
        let Some(Entry::Begun {
            format,
            file: of,
            configuration,
            ..
        }) = page.entries.first().cloned()
        else {
            return Err(JournalError::NotUnderstood {
                file,
                line: 1,
                why: "it does not begin as a journal does".to_owned(),
            });
        };
        if format != FORMAT {
            return Err(JournalError::OtherFormat {
                file,
                found: format,
            });
        }
        page.entries.remove(0);
        let all = recorded.get_or_insert_with(|| Recorded {
            configuration,
            entries: Vec::new(),
            from_beginning: of == 1,
            missing: 0,
            cut_off: false,
        });
        if index > 0 && of != number + 1 {
            return Err(JournalError::Torn { file });
        }
        number = of;
        all.cut_off = page.cut_off;
        all.entries.append(&mut page.entries);
    }
    let mut recorded = recorded.ok_or_else(|| JournalError::Nothing {
        folder: folder.to_path_buf(),
    })?;
    recorded.missing = recorded
        .entries
        .iter()
        .map(|entry| match entry {
            Entry::Missing { notes } => *notes,
            _ => 0,
        })
        .sum();
    Ok(recorded)
}

struct Page {
    entries: Vec<Entry>,
    cut_off: bool,
}

fn lines(file: &Path, is_last: bool) -> Result<Page, JournalError> {
    let unreadable = |error| JournalError::Unreadable {
        file: file.to_path_buf(),
        error,
    };
    let mut reader = BufReader::new(File::open(file).map_err(unreadable)?);
    let mut page = Page {
        entries: Vec::new(),
        cut_off: false,
    };
    let mut text = Vec::new();
    for line in 1.. {
        text.clear();
        if reader.read_until(b'\n', &mut text).map_err(unreadable)? == 0 {
            break;
        }
        match serde_json::from_slice(&text) {
            Ok(entry) => page.entries.push(entry),
            Err(_) if is_last && !text.ends_with(b"\n") => page.cut_off = true,
            Err(error) => {
                return Err(JournalError::NotUnderstood {
                    file: file.to_path_buf(),
                    line,
                    why: error.to_string(),
                });
            }
        }
    }
    Ok(page)
}
