//! Any text as a forecast.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data);
    if let Err(problems) = exchange::forecast_csv::parse_forecast("forecast.csv", &text) {
        assert!(problems.has_errors(), "refused without an error");
        let _ = problems.to_string();
    }
});
