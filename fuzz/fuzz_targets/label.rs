//! Any text as a label.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data);
    let (_, problems) = exchange::label_file::check_label("label.toml", &text);
    let _ = problems.to_string();
    if let Err(problems) = exchange::label_file::parse_label("label.toml", &text) {
        assert!(problems.has_errors(), "refused without an error");
    }
});
