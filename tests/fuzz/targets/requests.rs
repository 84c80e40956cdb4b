#![no_main]

// The bench is opened first: that takes longer than any request may.
libfuzzer_sys::fuzz_target!(init: fuzz::requests(b""), |bytes: &[u8]| fuzz::requests(bytes));
