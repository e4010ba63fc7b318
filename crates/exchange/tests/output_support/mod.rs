//! The demo visit, planned, for the tests of the writers.

use exchange::visit_file::parse_visit;
use std::path::Path;
use treatment::{Visit, plan};

/// The demo visit as its request says.
#[allow(dead_code)]
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
    plan(&requested(change)).unwrap_or_else(|problems| panic!("{problems}"))
}

fn requested(change: impl Fn(&str) -> String) -> treatment::VisitRequest {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/alder-bend");
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    let text = change(&read("visit.toml").expect("the demo is there"));
    let (request, _) =
        parse_visit("visit.toml", &text, &mut |name: &str| read(name)).unwrap_or_else(|problems| panic!("{problems}"));
    request
}

/// The request of the demo visit.
#[allow(dead_code)]
pub(crate) fn demo_request() -> treatment::VisitRequest {
    requested(str::to_owned)
}

/// The demo visit recorded as carried out exactly as planned.
#[allow(dead_code)]
pub(crate) fn demo_record() -> record::ApplicationRecord {
    demo_record_with(|_| {})
}

/// The record of the demo visit after a change to its request.
#[allow(dead_code)]
pub(crate) fn demo_record_with(change: impl FnOnce(&mut treatment::VisitRequest)) -> record::ApplicationRecord {
    let mut request = demo_request();
    change(&mut request);
    let visit = plan(&request).unwrap_or_else(|problems| panic!("{problems}"));
    let parties = record::Parties {
        client: record::Fact::Recorded("R. Example (invented)".to_owned()),
        client_address: record::Fact::Recorded("1 Alder Bend (invented)".to_owned()),
        ..record::Parties::default()
    };
    record::from_visit(&visit, &request, &parties)
}
