//! What was found, for a person.

use std::fmt::Write as _;

use super::found::{BoardFoundView, FoundView, SpeechView};
use super::known::Known;
use crate::http::views::TroubleView;

/// What opening does to some boards, and what can be done about it.
const RESTARTS: &str = "Opening a port restarts boards that are wired like an Arduino, once after plugging in; \
they begin to talk a second or two later. docs/boards/CONNECTING.md tells how to avoid it.";

pub(super) fn report(view: &FoundView) -> String {
    let mut text = String::new();
    if view.boards.is_empty() {
        text.push_str(
            "No board was found: no serial port and no chip of the kernel is there that may be one.\n\
             What to do: plug one in with a cable that carries data (some only charge), and look again.\n",
        );
    }
    for board in &view.boards {
        one(board, &mut text);
    }
    for wrong in &view.troubles {
        text.push('\n');
        trouble("wrong", wrong, &mut text);
    }
    for note in &view.notes {
        text.push('\n');
        trouble("note", note, &mut text);
    }
    if view.boards.iter().any(|board| board.way == "serial") {
        let _ = write!(text, "\n{RESTARTS}\n");
    }
    text
}

// Writing to a string cannot fail.
fn one(board: &BoardFoundView, text: &mut String) {
    let _ = write!(text, "{}", board.id);
    if let Some(name) = &board.configured_as {
        let _ = write!(text, ", configured as \"{name}\"");
    }
    text.push('\n');
    let _ = write!(text, "  {}: {}", board.way, board.place);
    if let Some(product) = &board.product {
        let _ = write!(text, ", {product}");
    }
    text.push('\n');
    for line in known_words(board) {
        let _ = writeln!(text, "  {line}");
    }
    if let Some(remembered) = &board.remembered {
        let _ = writeln!(
            text,
            "  remembered from {}: {}",
            remembered.found_on(),
            speech(&remembered.speech)
        );
    }
    if let Some(heard) = &board.heard {
        match &heard.speech {
            Some(said) => {
                let _ = writeln!(
                    text,
                    "  heard: {}; {} readings, {} bad frames",
                    speech(said),
                    heard.readings,
                    heard.bad_frames
                );
                if let Some(why) = &said.why {
                    let _ = writeln!(text, "    because {why}");
                }
            }
            None => text.push_str("  heard: nothing that could be understood\n"),
        }
    }
    if board.troubles.is_empty() && may_be_opened(board) {
        let free = if board.heard.is_some() {
            "nothing is wrong"
        } else {
            "free, and may be opened"
        };
        let _ = writeln!(text, "  {free}");
    }
    for wrong in &board.troubles {
        trouble("wrong", wrong, text);
    }
}

fn known_words(board: &BoardFoundView) -> Vec<String> {
    let is_configured = board.configured_as.is_some();
    let known = board.known.as_ref();
    known.map_or_else(Vec::new, |known| known.words(is_configured))
}

fn may_be_opened(board: &BoardFoundView) -> bool {
    board.known.as_ref().is_none_or(Known::may_be_opened)
}

fn speech(speech: &SpeechView) -> String {
    let guess = |is| if is { " (a guess)" } else { "" };
    let baud = speech
        .baud
        .map(|baud| format!("{baud} baud{}", guess(speech.baud_is_guess)));
    let format = speech.format.map(|name| {
        let columns = speech
            .columns
            .as_ref()
            .map_or_else(String::new, |columns| format!(" with {columns}"));
        format!("format {name}{columns}{}", guess(speech.format_is_guess))
    });
    let parts: Vec<String> = baud.into_iter().chain(format).collect();
    parts.join(", ")
}

fn trouble(word: &str, trouble: &TroubleView, text: &mut String) {
    let _ = writeln!(
        text,
        "  {word}: {} {}\n    what to do: {}",
        trouble.what, trouble.meaning, trouble.remedy
    );
}
