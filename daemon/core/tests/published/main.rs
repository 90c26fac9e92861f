//! Numbers that others have printed, met by the core.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod allan;
mod gum;
