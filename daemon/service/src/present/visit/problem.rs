//! Refusals of cars and visits.

use axum::http::StatusCode;

use crate::car::CarFileError;
use crate::http::problem::Problem;
use crate::store::StoreFault;
use crate::text;
use crate::text::Text;

/// A store that cannot do what was asked.
#[expect(
    clippy::needless_pass_by_value,
    reason = "it stands in `map_err`, which gives the fault away"
)]
pub fn store_problem(fault: StoreFault) -> Problem {
    let (status, code, title) = match &fault {
        StoreFault::NoCar { .. } => (
            StatusCode::NOT_FOUND,
            "no_car",
            text!("There is no such car"),
        ),
        StoreFault::NoVisit { .. } => (
            StatusCode::NOT_FOUND,
            "no_visit",
            text!("There is no such visit"),
        ),
        StoreFault::NoEntry { .. } => (
            StatusCode::NOT_FOUND,
            "no_entry",
            text!("There is no such entry"),
        ),
        StoreFault::Closed { .. } => (
            StatusCode::CONFLICT,
            "visit_closed",
            text!("The visit is closed"),
        ),
        StoreFault::Known { .. } => (
            StatusCode::CONFLICT,
            "visit_known",
            text!("The visit is here already"),
        ),
        StoreFault::Exists { .. } => (
            StatusCode::CONFLICT,
            "file_exists",
            text!("The file exists"),
        ),
        StoreFault::Full { .. } => (
            StatusCode::INSUFFICIENT_STORAGE,
            "disk_full",
            text!("The disk is full"),
        ),
        StoreFault::Stopping => (
            StatusCode::SERVICE_UNAVAILABLE,
            "stopping",
            text!("The daemon is stopping"),
        ),
        StoreFault::Folder { .. }
        | StoreFault::NoFolder
        | StoreFault::Newer { .. }
        | StoreFault::Busy { .. }
        | StoreFault::ReadOnly { .. }
        | StoreFault::Damaged { .. }
        | StoreFault::Database { .. }
        | StoreFault::NotUnderstood { .. } => (
            StatusCode::SERVICE_UNAVAILABLE,
            "store_unusable",
            text!("Cars and visits cannot be read or kept"),
        ),
    };
    Problem::new(
        status,
        code,
        title,
        Text::sentences([fault.what(), fault.meaning()]),
        fault.remedy(),
    )
}

/// A text or a record that is no car.
pub fn car_file_problem(why: &CarFileError) -> Problem {
    Problem::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "no_such_car_record",
        text!("That cannot be a car"),
        why.told(),
        text!(
            "Correct what is named, or leave it out: what is not known may be missing. docs/car.example.toml shows every key."
        ),
    )
}
