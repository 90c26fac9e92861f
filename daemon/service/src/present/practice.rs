//! Practising, for the page.

use axum::http::StatusCode;

use crate::http::problem::Problem;
use crate::http::setup_views::PracticeView;
use crate::practice::{PracticeFault, PracticeState};
use crate::text;
use crate::text::Text;

/// Does somebody practise?
pub const fn practice_view(state: PracticeState) -> PracticeView {
    match state {
        PracticeState::Off => PracticeView::Off,
        PracticeState::Running => PracticeView::Running,
        PracticeState::Inside => PracticeView::Inside,
    }
}

/// Why there is no practice, or no end of one.
pub fn practice_problem(fault: &PracticeFault) -> Problem {
    let (status, code, title) = match fault {
        PracticeFault::Runs | PracticeFault::Inside => (
            StatusCode::CONFLICT,
            "practice_running",
            text!("A practice is running"),
        ),
        PracticeFault::NotRunning => (
            StatusCode::CONFLICT,
            "no_practice",
            text!("No practice is running"),
        ),
        _ => (
            StatusCode::INTERNAL_SERVER_ERROR,
            "practice_failed",
            text!("The simulated car does not start"),
        ),
    };
    let detail = match fault {
        PracticeFault::Runs | PracticeFault::Inside | PracticeFault::NotRunning => {
            text!("{reason}.", reason = &title)
        }
        _ => Text::verbatim(format!("{fault}.")),
    };
    Problem::new(status, code, title, detail, fault.remedy())
}
