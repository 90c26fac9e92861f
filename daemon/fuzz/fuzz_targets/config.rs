//! Any text for the configuration.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| hubplumb_fuzz::config(data));
