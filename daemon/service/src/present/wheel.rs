//! Live angles of a wheel.

use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::live::LiveWheel;
use hubplumb_core::reading::{Live, Missing, Motion};
use hubplumb_core::swing::AngleKind;

use super::{hub_pitch_words, mount_view, sense_words};
use crate::http::views::{MotionView, QuantityView, WheelView};
use crate::mount::Mount;
use crate::text;
use crate::text::Text;

/// Live angles of the wheel at `mount`.
pub fn wheel_view(mount: Mount, live: &LiveWheel) -> WheelView {
    WheelView {
        mount: mount_view(mount),
        camber: quantity(&live.camber, |angle| sense_words(AngleKind::Camber, angle)),
        hub_pitch: quantity(&live.hub_pitch, hub_pitch_words),
        motion: match live.motion {
            Motion::Still => MotionView::Still,
            Motion::Moving => MotionView::Moving,
            Motion::Unknown => MotionView::Unknown,
        },
    }
}

fn quantity(live: &Live<Estimate>, sense: fn(Angle) -> Text) -> QuantityView {
    match live {
        Live::Known { value, at } => QuantityView::Known {
            value_deg: value.value.deg(),
            expanded_deg: value.expanded().deg(),
            sense: sense(value.value),
            at_us: at.us(),
        },
        Live::Missing(reason) => QuantityView::Missing {
            reason: reason.code().to_owned(),
            text: missing_words(*reason),
        },
    }
}

const fn missing_words(reason: Missing) -> Text {
    match reason {
        Missing::Absent => text!("The board is not there."),
        Missing::Stale => text!("No reading for more than a second."),
        Missing::Saturated => text!("The board is at the end of its range."),
        Missing::Stuck => text!("The board's chip hangs: it says the same again and again."),
        Missing::Torn => {
            text!("Two boards talk on one line, or its bytes arrive wrong.")
        }
        Missing::Garbled => text!("Numbers change on the board's line: look at its cable."),
        Missing::AtOdds => text!(
            "Gyro and accelerometer of the board tell of different turns: let the wheel rest."
        ),
        Missing::Moving => text!("The hub moves too much."),
        Missing::Settling => text!("A moment: too few readings yet."),
        Missing::Unmounted => {
            text!("The configuration does not say how the board sits on its hub.")
        }
    }
}
