//! The text of the file.

use hubplumb_protocol::WireFormat;
use serde::{Deserialize, Serialize};

use super::PlacedBoard;
use crate::axis::AxisName;
use crate::board::{Seat, Sits};
use crate::link::Target;
use crate::mount::Mount;

/// The format that is written. A change that older programs would misread gets another number.
pub(super) const FORMAT: u32 = 1;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    format: u32,
    #[serde(default)]
    board: Vec<Entry>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    id: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    name: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    port: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    mount: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    outboard: Option<AxisName>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    up: Option<AxisName>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    speaks: Option<WireFormat>,
}

/// Why a text is no set-up.
pub(super) enum Fault {
    /// Of another version.
    Format(u32),
    /// What is wrong in it.
    Content(String),
}

/// All that is read of a file before its version is known.
#[derive(Deserialize)]
struct Version {
    format: u32,
}

pub(super) fn write<'a>(boards: impl Iterator<Item = &'a PlacedBoard>) -> Result<String, String> {
    let entry = |board: &PlacedBoard| {
        let (outboard, up) = match board.seat.sits() {
            Some(Sits::Face { outboard, up }) => (Some(outboard), Some(up)),
            Some(Sits::Away(away)) => (Some(away), None),
            None => (None, None),
        };
        Entry {
            id: board.id.clone(),
            name: board.name.clone(),
            port: board.reached.as_ref().map(Target::to_string),
            mount: board.seat.mount().map(|mount| mount.name().to_owned()),
            outboard: outboard.map(AxisName::from),
            up: up.map(AxisName::from),
            speaks: board.format.clone(),
        }
    };
    let file = File {
        format: FORMAT,
        board: boards.map(entry).collect(),
    };
    let body = toml::to_string(&file).map_err(|error| error.to_string())?;
    Ok(format!(
        "# Where the boards are, as said on the page, written by hubplumb; docs/FIRST_RUN.md explains it.\n{body}"
    ))
}

pub(super) fn read(text: &str) -> Result<Vec<PlacedBoard>, Fault> {
    let content = |error: toml::de::Error| Fault::Content(error.message().replace('\n', " "));
    let version: Version = toml::from_str(text).map_err(content)?;
    if version.format != FORMAT {
        return Err(Fault::Format(version.format));
    }
    let file: File = toml::from_str(text).map_err(content)?;
    let mut boards: Vec<PlacedBoard> = Vec::new();
    for entry in file.board {
        let board = placed(entry).map_err(Fault::Content)?;
        let mount = board.seat.mount();
        for known in &boards {
            if known.id == board.id {
                return Err(Fault::Content(format!("`{}` is in it twice", board.id)));
            }
            if mount.is_some() && known.seat.mount() == mount {
                let (id, other) = (&board.id, &known.id);
                return Err(Fault::Content(format!(
                    "`{id}` and `{other}` are on one mount"
                )));
            }
        }
        boards.push(board);
    }
    Ok(boards)
}

fn placed(entry: Entry) -> Result<PlacedBoard, String> {
    let id = entry.id;
    let mount = entry
        .mount
        .map(|name| {
            Mount::named(&name).ok_or_else(|| format!("`{id}`: there is no mount `{name}`"))
        })
        .transpose()?;
    let reached = entry
        .port
        .map(|port| {
            port.parse::<Target>()
                .map_err(|error| format!("`{id}`: {error}"))
        })
        .transpose()?;
    if entry.up.is_some() && entry.outboard.is_none() {
        return Err(format!("`{id}`: `up` stands without `outboard`"));
    }
    let up = entry.up.map(Into::into);
    let sits = entry.outboard.map(|outboard| Sits::of(outboard.into(), up));
    let seat = Seat::new(mount, sits).map_err(|error| format!("`{id}`: {error}"))?;
    Ok(PlacedBoard {
        name: entry.name,
        reached,
        format: entry.speaks,
        seat,
        id,
    })
}
