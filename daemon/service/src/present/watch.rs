//! What is wrong with the daemon itself.

use std::time::Duration;

use super::trouble;
use crate::http::views::TroubleView;
use crate::store::StoreFault;
use crate::text;
use crate::text::number;

/// It is about to end.
pub fn stopping_trouble() -> TroubleView {
    trouble(
        "stopping",
        text!("The daemon is stopping."),
        text!("It takes nothing on any more."),
        text!("Start the daemon again."),
    )
}

/// Nothing has been looked at for so long.
pub fn pulse_trouble(age: Duration) -> TroubleView {
    trouble(
        "no_pulse",
        text!(
            "Nothing has been looked at for {seconds} s.",
            seconds = number(age.as_secs_f64(), 1)
        ),
        text!(
            "What the page shows is old: the machine is overloaded, or a part of the daemon hangs."
        ),
        text!(
            "See what else the machine does; if that is nothing, start the daemon again and report it with its log."
        ),
    )
}

/// Nothing can be kept.
pub fn store_trouble(fault: &StoreFault) -> TroubleView {
    trouble("store", fault.what(), fault.meaning(), fault.remedy())
}
