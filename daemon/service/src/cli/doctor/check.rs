//! One thing that was looked at, and how all of them are told.

use std::fmt::Write as _;

use serde::Serialize;

use crate::http::views::TroubleView;
use crate::present::trouble;

/// How a thing was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum State {
    /// As it should be.
    Well,
    /// As it may be, and worth knowing.
    Note,
    /// Something has to be done.
    Wrong,
    /// It was not looked at.
    LeftOut,
}

/// One thing that was looked at.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Check {
    /// Stable name of the thing: `configuration`, `port`, `store` …
    pub(super) name: &'static str,
    /// Which of them, where there are several.
    pub(super) of: Option<String>,
    /// How it was found.
    pub(super) state: State,
    /// What was seen, in one sentence.
    pub(super) said: String,
    /// Present whenever it is wrong, and with some notes: what it means and what to do.
    pub(super) trouble: Option<TroubleView>,
}

impl Check {
    fn new(name: &'static str, state: State, said: impl Into<String>) -> Self {
        Self {
            name,
            of: None,
            state,
            said: said.into(),
            trouble: None,
        }
    }

    pub(super) fn well(name: &'static str, said: impl Into<String>) -> Self {
        Self::new(name, State::Well, said)
    }

    pub(super) fn note(name: &'static str, said: impl Into<String>) -> Self {
        Self::new(name, State::Note, said)
    }

    pub(super) fn left_out(name: &'static str, said: impl Into<String>) -> Self {
        Self::new(name, State::LeftOut, said)
    }

    /// Something that is wrong, in its parts.
    pub(super) fn wrong(name: &'static str, trouble: TroubleView) -> Self {
        let said = trouble.what.to_string();
        Self {
            trouble: Some(trouble),
            ..Self::new(name, State::Wrong, said)
        }
    }

    /// The same, of which nothing needs to be done at once.
    pub(super) fn noted(name: &'static str, trouble: TroubleView) -> Self {
        Self {
            state: State::Note,
            ..Self::wrong(name, trouble)
        }
    }

    /// Which of several.
    pub(super) fn of(self, which: impl Into<String>) -> Self {
        Self {
            of: Some(which.into()),
            ..self
        }
    }
}

/// What is wrong, in its parts; the command line speaks English.
pub(super) fn told(
    code: &str,
    what: impl Into<String>,
    meaning: impl Into<String>,
    remedy: impl Into<String>,
) -> TroubleView {
    trouble(code, what.into(), meaning.into(), remedy.into())
}

/// Everything that was looked at.
#[derive(Debug, Serialize)]
pub(super) struct Report {
    /// How many things are wrong.
    pub(super) wrong: usize,
    /// Each of them.
    pub(super) checks: Vec<Check>,
}

impl Report {
    pub(super) fn of(checks: Vec<Check>) -> Self {
        let wrong = checks.iter().filter(|check| check.state == State::Wrong);
        Self {
            wrong: wrong.count(),
            checks,
        }
    }

    /// For a person.
    pub(super) fn words(&self) -> String {
        let mut text = String::new();
        for check in &self.checks {
            let state = match check.state {
                State::Well => "ok",
                State::Note => "note",
                State::Wrong => "WRONG",
                State::LeftOut => "left out",
            };
            let of = check.of.as_ref().map(|of| format!(" {of}"));
            // A string takes every text.
            let _ = writeln!(
                text,
                "{state:<9}{}{}: {}",
                check.name,
                of.unwrap_or_default(),
                check.said.trim_end()
            );
            if let Some(trouble) = &check.trouble {
                let _ = writeln!(text, "         what it means: {}", trouble.meaning);
                let _ = writeln!(text, "         what to do: {}", trouble.remedy);
            }
        }
        let _ = match self.wrong {
            0 => writeln!(text, "\nNothing is wrong."),
            1 => writeln!(text, "\nOne thing is wrong."),
            more => writeln!(text, "\n{more} things are wrong."),
        };
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_finding_is_told_in_its_parts() {
        let report = Report::of(vec![
            Check::well("disk", "There is room."),
            Check::wrong(
                "port",
                told("x", "It is gone.", "Nothing comes.", "Plug it in."),
            )
            .of("left hub"),
        ]);
        assert_eq!(
            report.words(),
            "ok       disk: There is room.\n\
             WRONG    port left hub: It is gone.\n\
             \x20        what it means: Nothing comes.\n\
             \x20        what to do: Plug it in.\n\
             \nOne thing is wrong.\n"
        );
    }
}
