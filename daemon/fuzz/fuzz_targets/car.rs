//! Any text for a car's file.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| hubplumb_fuzz::car(data));
