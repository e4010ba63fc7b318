//! The water of a lawn as a picture: well formed, complete, the same every time.

use jiff::civil::{Date, date};
use quantity::{Duration, DurationUnit, Length, LengthUnit, Temperature, TemperatureUnit};
use roxmltree::Document;
use season::grass::Grass;
use season::lawn_day::{LawnDay, ReferenceOrigin};
use season::prohibition::Prohibition;
use season::root_zone::RootZone;
use season::soil::Soil;
use season::sprinkler::Controller;
use season::water_plan::{WaterPlan, WaterRequest, WateringHours, plan_water};
use sheet::{Units, WaterBalanceOptions, water_balance_svg};
use std::collections::BTreeSet;

fn plan() -> WaterPlan {
    let first = date(2026, 6, 28);
    let day = |index: i64| LawnDay {
        date: first.checked_add(jiff::Span::new().days(index)).expect("a day"),
        reference: Length::new(6.0, LengthUnit::Millimetre),
        origin: ReferenceOrigin::Neighbours,
        mean: Temperature::new(24.0, TemperatureUnit::Celsius),
        rain: Some(Length::new(if index == 4 { 14.0 } else { 0.0 }, LengthUnit::Millimetre)),
    };
    let at = |day: Date| day.at(0, 0, 0, 0);
    plan_water(WaterRequest {
        root_zone: RootZone::new(Length::new(6.0, LengthUnit::Inch), Soil::Loam.into(), 0.5).expect("a root zone"),
        grass: Grass::CoolSeason,
        latitude: 38.8,
        gone: Length::ZERO,
        days: (0..14).map(day).collect(),
        plan_from: date(2026, 7, 1),
        given: vec![(date(2026, 6, 30), Length::new(8.0, LengthUnit::Millimetre))],
        controller: Controller::new(Vec::new(), Duration::new(30.0, DurationUnit::Minute)).expect("a controller"),
        hours: WateringHours::early(),
        no_watering: vec![Prohibition {
            from: at(date(2026, 7, 5)),
            until: at(date(2026, 7, 7)),
            why: "treated <today> & tomorrow".to_owned(),
            sentences: Vec::new(),
        }],
        water_in: Vec::new(),
    })
    .expect("a plan")
}

#[test]
fn bars_lines_and_hatches_say_what_the_plan_says() {
    let plan = plan();
    let svg = water_balance_svg("the lawn", &plan, WaterBalanceOptions::default());
    assert_eq!(svg, water_balance_svg("the lawn", &plan, WaterBalanceOptions::default()));
    let document = Document::parse(&svg).expect("XML");
    let patterns: BTreeSet<String> = document
        .descendants()
        .filter(|node| node.tag_name().name() == "pattern")
        .filter_map(|node| node.attribute("id").map(|id| format!("url(#{id})")))
        .collect();
    let filled = |fill: &str| document.descendants().filter(|node| node.attribute("fill") == Some(fill)).count();
    assert_eq!(patterns.len(), 3);
    // One more of each stands in the key.
    assert_eq!(filled("url(#water-rain)"), 2);
    assert_eq!(filled("url(#water-none)"), 3);
    let watered = plan.days.iter().filter(|day| day.balance.given.is_positive()).count();
    assert!(watered > 1);
    assert_eq!(filled("url(#water-given)"), watered + 1);
    let description = document.descendants().find(|node| node.tag_name().name() == "desc").expect("a description");
    let words = description.text().expect("words");
    for part in ["treated <today> & tomorrow", "The root zone holds 0.93 in", "July 2, 2026: rain 0.55 in"] {
        assert!(words.contains(part), "{part} is not in {words}");
    }
    let dashes: BTreeSet<&str> = document.descendants().filter_map(|node| node.attribute("stroke-dasharray")).collect();
    assert_eq!(dashes.len(), 3, "each line has a stroke of its own: {dashes:?}");
}

#[test]
fn in_black_and_white_nothing_has_a_tint_and_metres_are_told() {
    let options = WaterBalanceOptions { colour: false, units: Units::Metric, width: 400 };
    let svg = water_balance_svg("the lawn", &plan(), options);
    Document::parse(&svg).expect("XML");
    for tint in ["#d6e6f5", "#bfe3d0", "#f4e6e3"] {
        assert!(!svg.contains(tint), "{tint}");
    }
    assert!(svg.contains("23.6 mm") && svg.contains("may go 12 mm"), "{svg}");
}
