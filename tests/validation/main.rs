//! Comparison with truth that comes from elsewhere.

#![expect(
    clippy::expect_used,
    reason = "a case that cannot be solved must fail its test"
)]

mod check_values;
mod live_run_outs;
mod recorded_sessions;
mod reference_cases;
mod rotation_model;
