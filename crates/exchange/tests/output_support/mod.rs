//! The demo visit, planned, for the tests of the writers.

use exchange::visit_file::parse_visit;
use std::path::Path;
use treatment::{Visit, plan};

/// The demo visit as its request says.
pub(crate) fn demo() -> Visit {
    planned(str::to_owned)
}

/// The demo visit with a rate on the band that breaks the cap of the year.
// Not every file of tests has use for it.
#[allow(dead_code)]
pub(crate) fn refused() -> Visit {
    planned(|text| {
        let changed = text.replace("\"0.55 fl oz/1,000 sq ft\"", "\"0.8 fl oz/1,000 sq ft\"");
        assert_ne!(changed, text, "the rate of the band is written otherwise now");
        changed
    })
}

fn planned(change: impl Fn(&str) -> String) -> Visit {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/alder-bend");
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    let text = change(&read("visit.toml").expect("the demo is there"));
    let (request, _) =
        parse_visit("visit.toml", &text, &mut |name: &str| read(name)).unwrap_or_else(|problems| panic!("{problems}"));
    plan(&request).unwrap_or_else(|problems| panic!("{problems}"))
}
