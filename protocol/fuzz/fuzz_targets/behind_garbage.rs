//! Good frames behind any bytes.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| hubplumb_protocol_fuzz::behind_garbage(data));
