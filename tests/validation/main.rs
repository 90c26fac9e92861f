//! Comparison with truth that comes from elsewhere.

#![expect(
    clippy::expect_used,
    reason = "a case that cannot be solved must fail its test"
)]

mod carried_reference;
mod check_values;
mod disturbed;
mod joint_reference;
mod live_run_outs;
mod random_cars;
mod recorded_sessions;
mod reference_cases;
mod rotation_model;
mod solved_recordings;
mod tilt_filters;
