#![no_main]

#[path = "../doors/fhir_id.rs"]
mod door;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| door::comes_in(bytes));
