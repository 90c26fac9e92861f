//! Any bytes for the detector.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| hubplumb_protocol_fuzz::detect(data));
