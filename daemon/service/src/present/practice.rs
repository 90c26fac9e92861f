//! Practising, for the page.

use axum::http::StatusCode;

use crate::http::problem::Problem;
use crate::http::setup_views::PracticeView;
use crate::practice::{PracticeFault, PracticeState};

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
            "A practice is running",
        ),
        PracticeFault::NotRunning => (
            StatusCode::CONFLICT,
            "no_practice",
            "No practice is running",
        ),
        _ => (
            StatusCode::INTERNAL_SERVER_ERROR,
            "practice_failed",
            "The simulated car does not start",
        ),
    };
    let told = |text: &str| {
        let mut letters = text.chars();
        let first = letters
            .next()
            .map(|letter| letter.to_uppercase().to_string());
        format!(
            "{}{}.",
            first.unwrap_or_default(),
            letters.as_str().trim_end_matches('.')
        )
    };
    Problem::new(
        status,
        code,
        title,
        told(&fault.to_string()),
        told(fault.remedy()),
    )
}
