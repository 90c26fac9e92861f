//! From the domain to the views of the wire. Degrees and words begin here;
//! no angle is computed here.

pub mod advice;
pub mod advice_trouble;
mod board;
mod calibration;
mod calibration_trouble;
mod carried;
pub mod causes;
mod check;
mod check_finding;
mod check_trouble;
mod check_wish;
mod core_words;
mod finding;
mod level;
mod level_wish;
mod link;
mod link_ble;
mod link_iio;
mod link_net;
mod notation;
mod placing;
mod practice;
mod publishing;
mod recording;
mod refusal;
mod run_out;
mod sense;
mod solution;
mod solution_table;
mod source;
mod spectrum;
mod swing;
mod trace;
mod visit;
mod watch;
mod wheel;
mod wish;

pub use board::{board_view, counters_only};
pub use calibration::{calibration_view, is_calibrated, kind_wish};
pub use calibration_trouble::desk_problem;
pub use check::{check_results, check_view};
pub use check_wish::check_problem;
use finding::finding_parts;
pub use finding::{curve_views, difference_views, finding_views};
pub use level::level_view;
pub use level_wish::{body_heading, level_problem, line_rest, pad_heights, run_out_mount, toe_of};
pub use link::{grabber_trouble, link_trouble, open_trouble};
pub use link_ble::radio_trouble;
pub use placing::{
    bluetooth_view, look_length, naming_view, place_problem, placed_view, said_seat, setup_trouble,
    sits_view, take_in,
};
pub use practice::{practice_problem, practice_view};
pub use publishing::{Provenance, live_readings, lost_trouble, published, publishing_view};
pub use recording::{input_trouble, notes, session_trouble};
pub use refusal::refusal_trouble;
pub use sense::{hub_pitch_words, sense_words};
pub use solution::{difference, no_solution, role_words, solution, wheel_solution, window_entry};
pub use solution_table::solution_table;
pub use spectrum::{spectrum_table, spectrum_trouble};
pub use swing::{idle_swing, phase_view, steer_source, swing_view};
pub use trace::{at_us, trace_gap, trace_mark};
pub use visit::{
    SWING_MOUNTS, SwingFindings, at_hand_view, car_file_problem, car_history, car_view, check_run,
    entered_run, judge_entry, past_visit, past_visits, store_problem, swing_findings, swing_run,
    visit_lines, visit_of,
};
pub use watch::{pulse_trouble, stopping_trouble, store_trouble};
pub use wheel::wheel_view;
pub use wish::{plate_reading, swing_problem};

use hubplumb_core::side::Side;

use crate::http::views::{MountView, TroubleView};
use crate::mount::Mount;
use crate::text;
use crate::text::Text;

/// The mount as the wire names it.
pub const fn mount_view(mount: Mount) -> MountView {
    match mount {
        Mount::FrontLeft => MountView::FrontLeft,
        Mount::FrontRight => MountView::FrontRight,
        Mount::RearLeft => MountView::RearLeft,
        Mount::RearRight => MountView::RearRight,
        Mount::Body => MountView::Body,
    }
}

/// The mount that the wire names.
pub const fn mount_of(view: MountView) -> Mount {
    match view {
        MountView::FrontLeft => Mount::FrontLeft,
        MountView::FrontRight => Mount::FrontRight,
        MountView::RearLeft => Mount::RearLeft,
        MountView::RearRight => Mount::RearRight,
        MountView::Body => Mount::Body,
    }
}

const fn side_words(side: Side) -> Text {
    match side {
        Side::Left => text!("left"),
        Side::Right => text!("right"),
    }
}

pub(crate) fn trouble(
    code: &str,
    what: impl Into<Text>,
    meaning: impl Into<Text>,
    remedy: impl Into<Text>,
) -> TroubleView {
    TroubleView {
        code: code.to_owned(),
        what: what.into(),
        meaning: meaning.into(),
        remedy: remedy.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mounts_go_over_the_wire_and_back() {
        for mount in Mount::ALL {
            assert_eq!(mount_of(mount_view(mount)), mount);
            let written = serde_json::to_value(mount_view(mount)).unwrap();
            assert_eq!(written, mount.name(), "configuration and wire use one name");
        }
    }
}
