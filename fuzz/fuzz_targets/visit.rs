//! Any text as a visit request, together with the files that it names: parts of the input after a
//! null character, by their number (`"1"`, `"2"`, ...); any other name leads to the demonstration.
#![no_main]

use libfuzzer_sys::fuzz_target;

fn demonstration(name: &str) -> Result<String, String> {
    let text = match name {
        "property.geojson" => include_str!("../../demo/alder-bend/property.geojson"),
        "forecast.csv" => include_str!("../../demo/alder-bend/forecast.csv"),
        "equipment.toml" => include_str!("../../demo/alder-bend/equipment.toml"),
        "history.toml" => include_str!("../../demo/alder-bend/history.toml"),
        "../labels/brackwater-sc.toml" => include_str!("../../demo/labels/brackwater-sc.toml"),
        "../labels/gravelhome-gr.toml" => include_str!("../../demo/labels/gravelhome-gr.toml"),
        "../labels/anthollow-rb.toml" => include_str!("../../demo/labels/anthollow-rb.toml"),
        _ => return Err("no such file".to_owned()),
    };
    Ok(text.to_owned())
}

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data);
    let mut parts = text.split('\0');
    let visit = parts.next().unwrap_or("");
    let files: Vec<&str> = parts.collect();
    let mut fetch = |name: &str| {
        let part = name.parse::<usize>().ok().and_then(|number| files.get(number.checked_sub(1)?));
        part.map_or_else(|| demonstration(name), |text| Ok((*text).to_owned()))
    };
    if let Err(problems) = exchange::visit_file::parse_visit("visit.toml", visit, &mut fetch) {
        assert!(problems.has_errors(), "refused without an error");
        let _ = problems.to_string();
    }
});
