//! Any text for visits that are brought in.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| hubplumb_fuzz::visits(data));
