//! Any bytes for the decoder of the format that this target is named after.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    hubplumb_protocol_fuzz::decode(env!("CARGO_BIN_NAME"), data);
});
