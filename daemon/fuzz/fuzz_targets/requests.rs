//! Any requests, one after the other, for a daemon that has just been started.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| hubplumb_fuzz::requests(data));
