//! From a file to a judged configuration.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use hubplumb_core::calibration::Calibration;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::board::{board, from_numbers};
use super::error::{ConfigError, Fault};
use super::judge::{self, Faults};
use super::locate::{Step, key_at, key_name, line_of, line_of_path};
use super::raw::{RawCalibration, RawConfig};
use super::{BoardConfig, Config, MOST_BOARDS, publish};

/// Reads and judges a configuration file.
pub fn load(file: &Path) -> Result<Config, ConfigError> {
    parse(&read(file)?, file)
}

/// Reads and judges a configuration file, and gives the texts it was read from.
pub fn load_with_texts(file: &Path) -> Result<(Config, Texts), ConfigError> {
    let folder = file.parent().unwrap_or(Path::new(""));
    let files = RefCell::new(BTreeMap::new());
    let text = read(file)?;
    let config = judged(&text, file, &|name| {
        let numbers = read(&folder.join(name))?;
        let named = name.to_string_lossy().into_owned();
        files.borrow_mut().insert(named, numbers.clone());
        Ok(numbers)
    })?;
    let files = files.into_inner();
    Ok((config, Texts { text, files }))
}

/// A configuration as it is written.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Texts {
    /// The file.
    pub text: String,
    /// Calibration files, by the names it has for them.
    pub files: BTreeMap<String, String>,
}

/// Judges a configuration from its texts alone; `file` names it in errors.
pub fn parse_texts(texts: &Texts, file: &Path) -> Result<Config, ConfigError> {
    judged(&texts.text, file, &|name| {
        let named = name.to_string_lossy();
        let found = texts.files.get(named.as_ref()).cloned();
        found.ok_or_else(|| ConfigError::Unreadable {
            file: name.to_path_buf(),
            why: "it is not there".to_owned(),
            fix: "put the file's text beside the configuration's".to_owned(),
        })
    })
}

/// Judges the text of a configuration; `file` names it in errors, and
/// calibration files are looked for beside it.
pub fn parse(text: &str, file: &Path) -> Result<Config, ConfigError> {
    let folder = file.parent().unwrap_or(Path::new(""));
    judged(text, file, &|name| read(&folder.join(name)))
}

fn judged(
    text: &str,
    file: &Path,
    read_beside: &dyn Fn(&Path) -> Result<String, ConfigError>,
) -> Result<Config, ConfigError> {
    let raw: RawConfig = from_toml(text, file)?;
    let mut faults = Faults::default();
    let mut foreign = Vec::new();
    let beside = |name: &Path| -> Result<RawCalibration, ConfigError> {
        let calibration = file.parent().unwrap_or(Path::new("")).join(name);
        let numbers: RawCalibration = from_toml(&read_beside(name)?, &calibration)?;
        Ok(RawCalibration {
            file: None,
            ..numbers
        })
    };
    let boards: Vec<BoardConfig> = raw
        .board
        .iter()
        .enumerate()
        .map(|(index, raw)| board(index, raw, &beside, &mut faults, &mut foreign))
        .collect();
    judge_together(&boards, &mut faults);
    let config = Config {
        http: judge::http(&raw.http, &mut faults),
        log: judge::log(&raw.log, &mut faults),
        floor: judge::floor(&raw.floor, &mut faults),
        swing: judge::swing(&raw.swing, &mut faults),
        publish: publish::publish(&raw.publish, file, &mut faults),
        boards,
    };
    let mut located: Vec<Fault> = faults
        .found
        .into_iter()
        .map(|judged| Fault {
            file: file.to_path_buf(),
            line: line_of_path(text, &judged.path),
            key: key_name(&judged.path),
            what: judged.what,
            fix: judged.fix,
        })
        .collect();
    located.sort_by_key(|fault| fault.line);
    for error in foreign {
        match error {
            ConfigError::Wrong { faults } => located.extend(faults),
            // A calibration file that cannot be read at all is told alone: it hides whatever else it would say.
            unreadable @ ConfigError::Unreadable { .. } => return Err(unreadable),
        }
    }
    if located.is_empty() {
        Ok(config)
    } else {
        Err(ConfigError::Wrong { faults: located })
    }
}

/// Reads a calibration file by itself.
pub fn load_calibration(file: &Path) -> Result<Calibration, ConfigError> {
    let numbers: RawCalibration = from_toml(&read(file)?, file)?;
    from_numbers(&numbers).map_err(|(what, fix)| ConfigError::Wrong {
        faults: vec![Fault {
            file: file.to_path_buf(),
            line: 1,
            key: String::new(),
            what,
            fix: fix.to_owned(),
        }],
    })
}

fn judge_together(boards: &[BoardConfig], faults: &mut Faults) {
    let at = |index, key| [Step::Key("board"), Step::Index(index), Step::Key(key)];
    for (index, board) in boards.iter().enumerate() {
        let earlier = &boards[..index];
        if let Some(mount) = board.mount
            && earlier.iter().any(|earlier| earlier.mount == Some(mount))
        {
            faults.add(
                &at(index, "mount"),
                format!("two boards are said to be strapped to `{}`", mount.name()),
                "give each board a mount of its own",
            );
        }
        if !board.id.is_empty() && earlier.iter().any(|earlier| earlier.target == board.target) {
            let key = if matches!(board.target, crate::link::Target::Identity(_)) {
                "id"
            } else {
                "port"
            };
            faults.add(
                &at(index, key),
                format!("two boards are said to be `{}`", board.id),
                "take one of the two out: a port can be read once only",
            );
        }
    }
    if boards.len() > MOST_BOARDS {
        faults.add(
            &[Step::Key("board"), Step::Index(MOST_BOARDS)],
            format!(
                "{} boards are configured, and one daemon reads at most {MOST_BOARDS}",
                boards.len()
            ),
            "take boards out, or run a second daemon with a file and an address of its own",
        );
    }
}

fn read(file: &Path) -> Result<String, ConfigError> {
    fs::read_to_string(file).map_err(|error| {
        let fix = match error.kind() {
            io::ErrorKind::NotFound => {
                "check the path, or copy docs/hubplumb.example.toml there".to_owned()
            }
            io::ErrorKind::PermissionDenied => {
                "make the file readable for the user the daemon runs as".to_owned()
            }
            io::ErrorKind::InvalidData => "save the file as UTF-8 text".to_owned(),
            _ => "check the path".to_owned(),
        };
        ConfigError::Unreadable {
            file: PathBuf::from(file),
            why: error.to_string(),
            fix,
        }
    })
}

fn from_toml<T: DeserializeOwned>(text: &str, file: &Path) -> Result<T, ConfigError> {
    toml::from_str(text).map_err(|error| {
        let offset = error.span().map_or(0, |span| span.start);
        let what = error.message().replace('\n', " ");
        ConfigError::Wrong {
            faults: vec![Fault {
                file: file.to_path_buf(),
                line: line_of(text, offset),
                key: key_at(text, offset),
                fix: fix_for(&what),
                what,
            }],
        }
    })
}

/// What mends an error of the TOML reader, by what it says.
fn fix_for(what: &str) -> String {
    if what.contains("unknown field") {
        "correct the spelling of the key, or take it out".to_owned()
    } else if what.contains("missing field") {
        "add the key that is missing".to_owned()
    } else if what.contains("invalid type: string") {
        "write the value without quotes".to_owned()
    } else if what.contains("invalid type")
        || what.contains("invalid length")
        || what.contains("invalid value")
    {
        "write a value of the kind that is expected; docs/hubplumb.example.toml shows every key"
            .to_owned()
    } else if what.contains("duplicate key") {
        "keep one of the two entries".to_owned()
    } else {
        "correct the line; docs/hubplumb.example.toml shows how each key is written".to_owned()
    }
}
