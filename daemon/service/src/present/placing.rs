//! Finding boards and saying where they are, for the page.

use crate::text;
use crate::text::Text;
use std::sync::Arc;
use std::time::Duration;

use axum::http::StatusCode;
use hubplumb_core::mounting::BoardAxis;

use super::{mount_of, mount_view, radio_trouble, trouble};
use crate::axis::AxisName;
use crate::board::{Board, BoardFacts, Sits};
use crate::http::problem::Problem;
use crate::http::setup_views::{
    BluetoothLook, BluetoothView, BoardIn, BoardSeat, JoltResult, JoltView, NamedView, NamingView,
    PlacedView, SeenView, SitsView,
};
use crate::http::views::TroubleView;
use crate::link::Target;
use crate::link::ble::{BleAddress, BleBoard, Seen, known_service};
use crate::mount::Mount;
use crate::placing::{HeardTap, Look, NamingSnapshot, PlaceError, SaidToSit, TakeIn};
use crate::setup_store::SetupError;

/// Nobody waits longer for Bluetooth, s.
const LONGEST_LOOK_S: f64 = 30.0;

/// How a board was said to sit.
pub fn sits_view(sits: Sits) -> SitsView {
    let (outboard, up) = match sits {
        Sits::Face { outboard, up } => (outboard, Some(up)),
        Sits::Away(away) => (away, None),
    };
    SitsView {
        outboard: outboard.into(),
        up: up.map(AxisName::from),
    }
}

/// Where a board is.
pub fn placed_view(facts: &BoardFacts) -> PlacedView {
    PlacedView {
        board: facts.id.clone(),
        name: facts.name.clone(),
        mount: facts.mount.map(mount_view),
        sits: facts.sits.map(sits_view),
    }
}

/// Where a board is said to be, if it is said in a way that can be.
pub fn said_seat(said: &BoardSeat) -> Result<(Option<Mount>, Option<SaidToSit>), Problem> {
    if said.outboard.is_none() && said.up.is_some() {
        return Err(Problem::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "outboard_missing",
            text!("Which arrow points outboard is missing"),
            text!("It was said which arrow points up, and not which points away from the car."),
            text!(
                "Say which arrow points away from the car; which one is up gravity says by itself."
            ),
        ));
    }
    let sits = said.outboard.map(|outboard| SaidToSit {
        outboard: outboard.into(),
        up: said.up.map(BoardAxis::from),
    });
    Ok((said.mount.map(mount_of), sits))
}

/// How long Bluetooth is to be looked at.
pub fn look_length(look: &BluetoothLook) -> Result<Duration, Problem> {
    // Written so that a number that is none is outside.
    if look.seconds >= 1.0 && look.seconds <= LONGEST_LOOK_S {
        return Ok(Duration::from_secs_f64(look.seconds));
    }
    Err(Problem::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "time_impossible",
        text!("That is no time to look"),
        text!("{seconds} s was given.", seconds = look.seconds.to_string()),
        text!(
            "Look for 1 to {most} seconds.",
            most = LONGEST_LOOK_S.to_string()
        ),
    ))
}

/// A board to take in, if a way to one is written there.
pub fn take_in(board: &BoardIn) -> Result<TakeIn, Problem> {
    let target: Target = board
        .port
        .trim()
        .parse()
        .map_err(|error| place_problem(PlaceError::Target(error)))?;
    let format = board
        .format
        .as_deref()
        .map(|name| hubplumb_protocol::WireFormat::from_name(name, None))
        .transpose()
        .map_err(|error| place_problem(PlaceError::Format(error.to_string())))?;
    let name = board.name.as_deref().map(str::trim);
    Ok(TakeIn {
        target,
        name: name.filter(|name| !name.is_empty()).map(str::to_owned),
        format,
    })
}

/// Who is on Bluetooth.
pub fn bluetooth_view(look: &Look, boards: &[Arc<Board>]) -> BluetoothView {
    let mut seen: Vec<SeenView> = look
        .seen
        .iter()
        .map(|seen| seen_view(seen, boards))
        .collect();
    // What is most likely a board first, and of those the nearest.
    seen.sort_by_key(|seen| (!seen.likely, std::cmp::Reverse(seen.signal_dbm)));
    BluetoothView {
        looking: look.looking,
        seen,
        trouble: look.trouble.as_ref().map(radio_trouble),
    }
}

/// Written by its address: boards of one kind often share one name.
fn seen_view(seen: &Seen, boards: &[Arc<Board>]) -> SeenView {
    let port = Target::Bluetooth(BleAddress {
        board: BleBoard::Address(seen.address),
        characteristic: None,
    })
    .to_string();
    let by_name = seen.name.as_ref().map(|name| format!("ble:{name}"));
    let is_here = |board: &Arc<Board>| {
        let id = &board.facts().id;
        *id == port || Some(id) == by_name.as_ref()
    };
    SeenView {
        // Out of the air: anything may be in it.
        name: seen
            .name
            .as_ref()
            .map(|name| name.chars().filter(|c| !c.is_control()).collect()),
        signal_dbm: seen.signal_dbm,
        likely: known_service(&seen.services).is_some(),
        here: boards.iter().any(is_here),
        port,
    }
}

/// The naming as it stands.
pub fn naming_view(now: &NamingSnapshot, boards: &[Arc<Board>]) -> NamingView {
    let id = |number: usize| {
        let board = boards.iter().find(|board| board.number() == number);
        board.map_or_else(|| number.to_string(), |board| board.facts().id.clone())
    };
    NamingView {
        run: now.run,
        mount: now.at_hand().map(mount_view),
        say: now.at_hand().map_or(Text::empty(), say),
        to_come: now.wanted.iter().skip(1).map(|m| mount_view(*m)).collect(),
        named: now
            .named
            .iter()
            .map(|(mount, board)| NamedView {
                mount: mount_view(*mount),
                board: id(*board),
            })
            .collect(),
        skipped: now.skipped.iter().map(|m| mount_view(*m)).collect(),
        heard: now.heard.as_ref().map(|(number, heard)| JoltView {
            number: *number,
            result: result(heard),
            text: heard_words(heard, boards),
        }),
    }
}

fn say(mount: Mount) -> Text {
    match mount {
        Mount::Body => text!("Tap the board on the body now."),
        hub => text!("Tap the board on the {hub} hub now.", hub = hub.words()),
    }
}

const fn result(heard: &HeardTap) -> JoltResult {
    match heard {
        HeardTap::Named { .. } => JoltResult::Named,
        HeardTap::Alike { .. } => JoltResult::Alike,
        HeardTap::Carried { .. } => JoltResult::Carried,
        HeardTap::Again { .. } => JoltResult::Again,
        HeardTap::Refused { .. } => JoltResult::Refused,
    }
}

fn heard_words(heard: &HeardTap, boards: &[Arc<Board>]) -> Text {
    let name = |number: &usize| {
        let board = boards.iter().find(|board| board.number() == *number);
        board.map_or_else(|| number.to_string(), |board| board.facts().name.clone())
    };
    match heard {
        HeardTap::Named { board, mount } => text!(
            "{mount}: {board}.",
            mount = mount.words(),
            board = name(board)
        ),
        HeardTap::Alike { .. } => {
            text!(
                "Several boards moved alike, so nobody was named. Let the car come to rest and tap one board again, with a finger."
            )
        }
        HeardTap::Carried { board } => text!(
            "{board} was moved, not tapped. Strap it on firmly and tap it with a finger.",
            board = name(board)
        ),
        HeardTap::Again { board, mount } => text!(
            "{board} is on the {mount} already. Tap the other board, or say that there is none.",
            board = name(board),
            mount = mount.words()
        ),
        HeardTap::Refused { board, why } => {
            let (_, why, remedy) = problem_parts(why);
            text!(
                "{board} was tapped and stays where it was: {why}. {remedy}",
                board = name(board),
                why,
                remedy
            )
        }
    }
}

/// Why what was said is not kept, or not known.
pub fn setup_trouble(error: &SetupError) -> TroubleView {
    let (code, meaning, remedy) = setup_parts(error);
    trouble(code, error.what(), meaning, remedy)
}

/// Code, meaning and remedy of that.
const fn setup_parts(error: &SetupError) -> (&'static str, Text, Text) {
    match error {
        SetupError::Unreadable { .. } => (
            "setup_unreadable",
            text!("Where the boards are is not known; the file was left as it is."),
            text!(
                "Make the file readable for the user the daemon runs as, and start the daemon again; or place the boards anew."
            ),
        ),
        SetupError::NotUnderstood { .. } | SetupError::OtherFormat { .. } => (
            "setup_not_understood",
            text!("Where the boards are is not known; the file was left as it is."),
            text!(
                "Place the boards anew: the file is then set aside, not overwritten. Or put a good copy in its place and start the daemon again."
            ),
        ),
        SetupError::Unwritable { .. } => (
            "setup_unwritable",
            text!("It holds until the daemon ends and is not known after that."),
            text!(
                "Make room, or let the daemon's user write there; `--store FOLDER` names another folder."
            ),
        ),
        SetupError::NoFolder => (
            "setup_no_folder",
            text!("It holds until the daemon ends and is not known after that."),
            text!("Start the daemon with `--store FOLDER`."),
        ),
    }
}

/// Why a wish is not granted, for the client.
pub fn place_problem(error: PlaceError) -> Problem {
    if let PlaceError::Level(error) = error {
        return super::level_problem(error);
    }
    if error == PlaceError::Stopping {
        return Problem::stopping();
    }
    if let PlaceError::NotKept(error) = &error {
        let (code, meaning, remedy) = setup_parts(error);
        return Problem::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            code,
            text!("It could not be kept"),
            Text::sentences([error.what(), meaning]),
            remedy,
        );
    }
    let status = match &error {
        PlaceError::NotStill(_)
        | PlaceError::Here(_)
        | PlaceError::TooMany { .. }
        | PlaceError::NotTakenIn(_)
        | PlaceError::Looking
        | PlaceError::NoneLive
        | PlaceError::NotNaming => StatusCode::CONFLICT,
        _ => StatusCode::UNPROCESSABLE_ENTITY,
    };
    let (code, title, remedy) = problem_parts(&error);
    let detail = text!("{reason}.", reason = &title);
    Problem::new(status, code, title, detail, remedy)
}

fn problem_parts(error: &PlaceError) -> (&'static str, Text, Text) {
    let parts = |code, title, remedy| (code, title, remedy);
    match error {
        // Told by the part of the daemon that they come from.
        PlaceError::Level(error) => parts(
            "not_there",
            text!("It cannot be put there"),
            if let crate::levelling::LevelError::Configured(_) = error {
                text!("Change the configuration and start the daemon with it.")
            } else {
                text!("Finish what is running, or give it up; then tap again.")
            },
        ),
        PlaceError::Stopping => parts(
            "stopping",
            text!("The daemon is stopping"),
            text!("Start it again."),
        ),
        PlaceError::NotKept(error) => {
            let (code, _, remedy) = setup_parts(error);
            (code, text!("It could not be kept"), remedy)
        }
        PlaceError::Seat(_) => parts(
            "seat_impossible",
            text!("It cannot sit so"),
            text!(
                "Choose an arrow that points away from the car and another, across it, that points up."
            ),
        ),
        PlaceError::NotStill(_) => parts(
            "not_still",
            text!("The board does not rest"),
            text!("Keep hands off the wheel and choose the arrow again after a second."),
        ),
        PlaceError::Upended(..) => parts(
            "upended",
            text!("That arrow points up or down"),
            text!(
                "Choose the arrow that points away from the car; if the board lies flat now, strap it on first."
            ),
        ),
        PlaceError::Name { .. } => parts(
            "name_impossible",
            text!("That is no name"),
            text!("Write a short name, e.g. `blue`."),
        ),
        PlaceError::Target(error) => (
            "no_way",
            text!("That is no way to a board"),
            Text::from(error.fix()),
        ),
        PlaceError::NotByHand(_) => parts(
            "not_by_hand",
            text!("That board is not taken in by writing it down"),
            text!(
                "Plug it in: serial boards show by themselves. By hand: `udp:9000`, `tcp:HOST:PORT`, `tcp-listen:3333`, `ble:NAME`, `iio:NAME`."
            ),
        ),
        PlaceError::Here(_) => parts(
            "here",
            text!("It is read already"),
            text!("Look for it among the boards."),
        ),
        PlaceError::TooMany { .. } => parts(
            "too_many",
            text!("One daemon reads no more boards"),
            text!("Unplug boards you do not need, or let some go."),
        ),
        PlaceError::Format(_) => (
            "no_format",
            text!("It cannot be read in that format"),
            text!(
                "Leave the format out to have it found by listening, or name one of {formats}.",
                formats = hubplumb_protocol::WireFormat::NAMES.join(", ")
            ),
        ),
        PlaceError::NotTakenIn(_) => parts(
            "not_taken_in",
            text!("It was not taken in by hand"),
            text!("Unplug it if it is not to be read."),
        ),
        PlaceError::Looking => parts(
            "looking",
            text!("Bluetooth is being looked at"),
            text!("Wait until that has ended."),
        ),
        PlaceError::NoneLive => parts(
            "no_boards",
            text!("No board gives readings"),
            text!("Plug a board in, or take one in, and see to what its line says."),
        ),
        PlaceError::NotNaming => parts(
            "not_naming",
            text!("No mount is being named"),
            text!("Start with /api/v1/setup/naming."),
        ),
    }
}
