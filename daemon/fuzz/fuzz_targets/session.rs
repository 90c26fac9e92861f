//! Any text for a session file.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| hubplumb_fuzz::session(data));
