//! Numbers that others have printed, met by the core.

mod allan;
mod gum;
