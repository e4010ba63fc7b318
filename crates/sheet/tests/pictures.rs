//! The map and the hours as documents: well formed, complete, the same every time.

mod sample;

use roxmltree::Document;
use sheet::{HoursOptions, MapOptions, Units, hours_svg, svg_map};
use std::collections::BTreeSet;

fn text_of(document: &Document) -> String {
    document.descendants().filter(roxmltree::Node::is_text).filter_map(|node| node.text()).collect::<Vec<_>>().join(" ")
}

#[test]
fn every_piece_of_ground_is_drawn_with_a_hatch_that_exists() {
    for visit in [sample::visit(), sample::crowded()] {
        let svg = svg_map(&visit, MapOptions::default());
        let document = Document::parse(&svg).unwrap();
        let patterns: BTreeSet<String> = document
            .descendants()
            .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "pattern")))
            .filter_map(|node| node.attribute("id").map(|id| format!("url(#{id})")))
            .collect();
        let fills: Vec<&str> = document
            .descendants()
            .filter(|node| node.tag_name().name() == "path")
            .filter_map(|node| node.attribute("fill"))
            .filter(|fill| fill.starts_with("url("))
            .collect();
        assert_eq!(fills.len(), visit.zones.len());
        assert!(fills.iter().all(|fill| patterns.contains(*fill)), "{fills:?} {patterns:?}");
        // Treated by three methods, left as building, paving, food and bloom, and three setbacks that
        // differ from one another.
        let looks: BTreeSet<&str> = fills.into_iter().collect();
        assert!(looks.len() >= 10, "{looks:?}");
        assert_eq!(looks.iter().filter(|look| look.contains("map-left-setback")).count(), 3, "{looks:?}");
    }
}

#[test]
fn the_legend_tells_every_area_and_what_is_done_there() {
    let svg = svg_map(&sample::visit(), MapOptions::default());
    let text = text_of(&Document::parse(&svg).unwrap());
    // The figures were computed apart from this program, with a general geometry library.
    for words in ["7,988 sq ft", "380 sq ft", "426 sq ft", "1,690 sq ft", "1,250 sq ft", "broadcast", "not treated"] {
        assert!(text.contains(words), "{words} is not in {text}");
    }
    for side in ["110 ft", "130 ft", "50 ft", "30 ft", "creek", "hives", "N"] {
        assert!(text.contains(side), "{side} is not in {text}");
    }
    let metric = svg_map(&sample::visit(), MapOptions { units: Units::Metric, ..MapOptions::default() });
    let text = text_of(&Document::parse(&metric).unwrap());
    // 110 ft and 1,250 sq ft by the exact foot of 0.3048 m.
    for words in ["33.53 m", "116 m²"] {
        assert!(text.contains(words), "{words} is not in {text}");
    }
}

#[test]
fn every_distance_kept_is_told_on_its_line() {
    let svg = svg_map(&sample::visit(), MapOptions::default());
    let document = Document::parse(&svg).unwrap();
    let told: BTreeSet<&str> =
        document.descendants().filter(|node| node.tag_name().name() == "text").filter_map(|node| node.text()).collect();
    for distance in ["25 ft", "6 ft", "5 ft"] {
        assert!(told.contains(distance), "{distance} is not in {told:?}");
    }
}

#[test]
fn the_wind_of_the_first_hour_stands_on_the_map_unless_nothing_may_start() {
    let mut visit = sample::visit();
    assert!(svg_map(&visit, MapOptions::default()).contains("forecast for 7 am"));
    assert!(!svg_map(&sample::refused(), MapOptions::default()).contains("wind from"));
    visit.start_window = None;
    assert!(!svg_map(&visit, MapOptions::default()).contains("wind from"));
}

#[test]
fn a_picture_says_what_it_is_to_those_who_do_not_see_it() {
    let visit = sample::visit();
    for svg in [svg_map(&visit, MapOptions::default()), hours_svg(&visit, HoursOptions::default())] {
        let document = Document::parse(&svg).unwrap();
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        let named: Vec<&str> = root.attribute("aria-labelledby").unwrap().split(' ').collect();
        for id in named {
            let node = document.descendants().find(|node| node.attribute("id") == Some(id)).unwrap();
            assert!(!node.text().unwrap_or_default().is_empty());
        }
    }
}

#[test]
fn the_same_visit_is_the_same_picture() {
    for options in [MapOptions::default(), MapOptions { colour: false, ..MapOptions::default() }] {
        assert_eq!(svg_map(&sample::crowded(), options), svg_map(&sample::crowded(), options));
    }
    let options = HoursOptions::default();
    assert_eq!(hours_svg(&sample::visit(), options), hours_svg(&sample::visit(), options));
}

#[test]
fn without_colour_there_are_only_greys() {
    let visit = sample::crowded();
    let map = svg_map(&visit, MapOptions { colour: false, ..MapOptions::default() });
    let hours = hours_svg(&visit, HoursOptions { colour: false, ..HoursOptions::default() });
    for svg in [map, hours] {
        for (at, _) in svg.match_indices("=\"#") {
            let digits = &svg[at + 3..at + 9];
            assert!(digits[..2] == digits[2..4] && digits[..2] == digits[4..], "#{digits} is no grey");
        }
    }
}

#[test]
fn the_hours_tell_every_verdict_and_reason() {
    let visit = sample::visit();
    let svg = hours_svg(&visit, HoursOptions::default());
    let document = Document::parse(&svg).unwrap();
    let text = text_of(&document);
    for hour in &visit.hours {
        let (number, half) = match hour.start.hour() {
            0 => (12, "am"),
            morning @ 1..=11 => (morning, "am"),
            12 => (12, "pm"),
            evening => (evening - 12, "pm"),
        };
        assert!(text.contains(&format!("{number} {half}: {}", hour.status.word())));
        for reason in &hour.reasons {
            let first = reason.text.split(' ').next().unwrap();
            assert!(text.contains(first));
        }
    }
    assert!(text.contains("start 7:00 am–9:20 am"), "{text}");
    let metric = hours_svg(&visit, HoursOptions { units: Units::Metric, ..HoursOptions::default() });
    assert!(metric.contains("start 07:00–09:20"), "{metric}");
}

#[test]
fn hostile_text_is_text() {
    let visit = sample::hostile();
    for svg in [svg_map(&visit, MapOptions::default()), hours_svg(&visit, HoursOptions::default())] {
        let document = Document::parse(&svg).unwrap();
        assert!(document.descendants().all(|node| node.tag_name().name() != "script"));
        assert!(text_of(&document).contains(sample::HOSTILE));
    }
}

#[test]
fn a_visit_without_hours_or_zones_is_still_a_picture() {
    let mut visit = sample::visit();
    visit.hours.clear();
    visit.zones.clear();
    visit.setbacks.clear();
    assert!(Document::parse(&svg_map(&visit, MapOptions { width: 0, ..MapOptions::default() })).is_ok());
    assert!(hours_svg(&visit, HoursOptions::default()).contains("No forecast"));
}
