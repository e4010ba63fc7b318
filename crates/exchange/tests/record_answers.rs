//! Totals, complaints and leftovers of the demo, and their documents.

mod output_support;

use exchange::answer_schema::answer_schemas;
use exchange::books_json::{ThingJson, write_answer};
use exchange::complaint_json::write_complaint;
use exchange::leftover_json::write_leftover;
use exchange::record_list_json::{ListedRecordJson, RecordListJson};
use exchange::standing_json::write_standing;
use exchange::totals_json::{CountedRecord, CountedTotals, write_totals};
use geometry::{GeoPosition, Point};
use jiff::civil::date;
use label::{Method, Site};
use output_support::{demo_record, demo_request};
use quantity::{Amount, AmountUnit, AreaUnit, Bearing, Length, LengthUnit, Speed, SpeedUnit, Volume, VolumeUnit};
use record::{
    ApplicationRecord, Complaint, DOWNWIND_ANGLE_DEGREES, Downwind, Fact, LeftoverMix, Moment, NoticeGiven,
    circumstances, complaint, kept_until, late_notices, leftover_places, standing, totals,
};
use serde_json::Value;

fn follows(name: &str, text: &str) -> Value {
    let (_, schema) = answer_schemas().into_iter().find(|(found, _)| *found == name).expect("a schema");
    let schema: Value = serde_json::from_str(&schema).expect("JSON");
    let document: Value = serde_json::from_str(text).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    let errors: Vec<String> = validator.iter_errors(&document).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    document
}

#[test]
fn totals_follow_their_schema_and_name_every_place_once() {
    let record = demo_record();
    let days = (date(2026, 1, 1), date(2026, 7, 7));
    let found = totals([&record], &record.plane(), days);
    let told = CountedTotals {
        totals: &found,
        plane: &record.plane(),
        days,
        records: &[CountedRecord { thing: "the-record", record: &record, map: None }],
        complete_since: &[("Alder Bend".to_owned(), None)],
        of_one_client: false,
    };
    let document = follows("totals.schema.json", &write_totals(&told));
    assert_eq!(document["format"], "tussock.totals/2");
    assert_eq!(document["records"][0]["thing"], "the-record");
    assert_eq!(document["complete_since"][0], serde_json::json!({ "property": "Alder Bend", "complete_since": null }));
    // Of one client nothing is told as complete: others had the same ground before, and beside it.
    let of_client = follows("totals.schema.json", &write_totals(&CountedTotals { of_one_client: true, ..told }));
    assert_eq!(of_client["complete_since"], serde_json::json!([]));
    assert!(of_client["caution"].as_str().unwrap().contains("for this client"), "{}", of_client["caution"]);
    let places = document["places"].as_array().unwrap();
    let sum: f64 = places.iter().map(|place| place["area_m2"].as_f64().unwrap()).sum();
    let ground: f64 = record.tasks.iter().map(|task| task.ground.to(AreaUnit::SquareMetre)).sum();
    assert!((sum / ground - 1.0).abs() < 1e-6);
    // Every place has the names of the ground under it, and no other.
    let mut named: Vec<&str> = places
        .iter()
        .flat_map(|place| place["layers"][0]["places"].as_array().unwrap())
        .filter_map(Value::as_str)
        .collect();
    named.sort_unstable();
    named.dedup();
    assert_eq!(named, ["band along the building", "hedge", "lawn"]);
    for place in places {
        assert_eq!(place["layers"][0]["thing"], "the-record");
        // 1 lb a.i./gal is 0.1198 g/mL.
        let product = place["products"][0]["per_area"]["volume_ml_per_m2"].as_f64().unwrap();
        let ingredient = place["active_ingredients"][0]["g_per_m2"].as_f64().unwrap();
        assert!((ingredient / product / 0.119_826_4 - 1.0).abs() < 1e-6);
    }
    assert_eq!(document["off_ground"][0]["task"], "perimeter");
    assert!((document["off_ground"][0]["area_m2"].as_f64().unwrap() / 0.092_903_04 - 426.0).abs() < 0.5);
}

fn seen() -> ApplicationRecord {
    let mut record = demo_record();
    let at = |hour, minute| Moment { local: date(2026, 7, 7).at(hour, minute, 0, 0), offset: jiff::tz::offset(-5) };
    record.started = Fact::Recorded(at(7, 5));
    record.ended = Fact::Recorded(at(8, 50));
    // From the west, then from the south.
    record.weather_at_start.wind_from = Fact::Recorded(Bearing::from_degrees(270.0));
    record.weather_at_start.wind = Fact::Recorded(Speed::new(4.0, SpeedUnit::MilePerHour));
    record.weather_at_end.wind_from = Fact::Recorded(Bearing::from_degrees(180.0));
    record
}

fn feet(value: f64) -> Length {
    Length::new(value, LengthUnit::Foot)
}

/// A place so many feet east and north of the lot's south-west corner.
fn at(record: &ApplicationRecord, x: f64, y: f64) -> GeoPosition {
    record.plane().to_position(Point::new(feet(x), feet(y)))
}

fn asked(at: GeoPosition, within: f64, from: &str, until: &str) -> Complaint {
    Complaint {
        at,
        within: feet(within),
        from: from.parse().unwrap(),
        until: until.parse().unwrap(),
        angle_degrees: DOWNWIND_ANGLE_DEGREES,
    }
}

const MORNING: (&str, &str) = ("2026-07-07T12:00:00Z", "2026-07-07T15:00:00Z");

#[test]
fn a_neighbour_downwind_finds_who_sprayed_what() {
    let record = seen();
    // The lot is 110 ft wide: 30 ft east of it, downwind of a west wind, across a south wind.
    let question = asked(at(&record, 140.0, 60.0), 100.0, MORNING.0, MORNING.1);
    let near = complaint([&record], &question);
    let tasks: Vec<&str> = near.iter().map(|near| near.task.id.as_str()).collect();
    assert_eq!(tasks.len(), 3, "{tasks:?}");
    for pair in near.windows(2) {
        assert!(pair[0].distance <= pair[1].distance);
    }
    let lawn = near.iter().find(|near| near.task.id == "lawn").unwrap();
    assert!((lawn.distance.to(LengthUnit::Foot) - 30.0).abs() < 0.1, "{:?}", lawn.distance);
    assert!(lawn.toward.unwrap().angle_to(Bearing::from_degrees(270.0)) < 1.0);
    assert!(matches!(lawn.at_start, Downwind::Inside { nearest } if (nearest.to(LengthUnit::Foot) - 30.0).abs() < 0.1));
    // A south wind comes from the lawn's corner 30 ft west and 30 ft south, just on the edge of its sector.
    let corner = 30.0 * std::f64::consts::SQRT_2;
    assert!(
        matches!(lawn.at_end, Downwind::Inside { nearest } if (nearest.to(LengthUnit::Foot) - corner).abs() < 0.2),
        "{:?}",
        lawn.at_end
    );
    let document = follows("complaint.schema.json", &write_complaint(&question, &near, &["the-record".to_owned()]));
    assert_eq!(document["near"][0]["applicator"]["recorded"], "J. Example");
    assert_eq!(document["near"][0]["downwind_at_start"]["is"], "inside");
    assert_eq!(document["angle_deg"], 45.0);
    assert_eq!(document["near"][0]["thing"], "the-record");
    // The wind of a single tank is told by itself.
    let mut turned = record.clone();
    let lawn = turned.tasks.iter_mut().find(|task| task.id == "lawn").unwrap();
    lawn.tanks[1].weather.wind_from = Fact::Recorded(Bearing::from_degrees(90.0));
    let near = complaint([&turned], &question);
    let lawn = near.iter().find(|near| near.task.id == "lawn").unwrap();
    assert_eq!(lawn.at_tanks, [(2, Downwind::Outside)]);
    let document = follows("complaint.schema.json", &write_complaint(&question, &near, &[]));
    let told = document["near"].as_array().unwrap().iter().find(|near| near["task"] == "lawn").unwrap();
    assert_eq!(told["at_tanks"][0]["downwind"]["is"], "outside");
    assert!(told.get("thing").is_none());
}

#[test]
fn upwind_far_off_and_another_day_find_nothing_or_say_so() {
    let record = seen();
    // West of the lot, upwind of the start's wind.
    let west = complaint([&record], &asked(at(&record, -40.0, 60.0), 200.0, MORNING.0, MORNING.1));
    assert!(west.iter().all(|near| near.at_start == Downwind::Outside), "{:?}", west[0].at_start);
    assert!(complaint([&record], &asked(at(&record, 400.0, 60.0), 200.0, MORNING.0, MORNING.1)).is_empty());
    let later = ("2026-07-07T14:00:00Z", "2026-07-08T00:00:00Z");
    assert!(complaint([&record], &asked(at(&record, 140.0, 60.0), 100.0, later.0, later.1)).is_empty());
    let earlier = ("2026-07-07T00:00:00Z", "2026-07-07T12:04:59Z");
    assert!(complaint([&record], &asked(at(&record, 140.0, 60.0), 100.0, earlier.0, earlier.1)).is_empty());
    // On the lawn itself there is nothing to ask of the wind.
    let inside = record.task("lawn").unwrap().region().interior_point().unwrap();
    let on = complaint([&record], &asked(record.plane().to_position(inside), 5.0, MORNING.0, MORNING.1));
    let lawn = on.iter().find(|near| near.task.id == "lawn").expect("the lawn");
    assert_eq!((lawn.distance, lawn.toward, lawn.at_start), (Length::ZERO, None, Downwind::OnTreatedGround));
}

#[test]
fn what_a_record_does_not_say_is_shown_and_not_missed() {
    let mut record = demo_record();
    let found = |record: &ApplicationRecord, from: &str, until: &str| {
        let near = complaint([record], &asked(at(record, 140.0, 60.0), 100.0, from, until));
        near.first().map(|near| (near.times_known, near.at_start))
    };
    // Without times the whole day counts, on any clock.
    assert_eq!(found(&record, "2026-07-07T23:00:00Z", "2026-07-07T23:30:00Z"), Some((false, Downwind::Unknown)));
    assert_eq!(found(&record, "2026-07-09T00:00:00Z", "2026-07-09T01:00:00Z"), None);
    record.weather_at_start.wind_from = Fact::DoesNotArise;
    assert_eq!(found(&record, MORNING.0, MORNING.1), Some((false, Downwind::Calm)));
}

fn mix(spray: f64, product: f64) -> LeftoverMix {
    LeftoverMix {
        task: "lawn".to_owned(),
        spray: Volume::new(spray, VolumeUnit::UsGallon),
        products: vec![Amount::new(product, AmountUnit::Volume(VolumeUnit::UsFluidOunce))],
    }
}

/// All of the demo's lawn is treated: its leftover finds no place there, and the band is at its cap.
#[test]
fn a_leftover_never_goes_where_today_was_treated_already() {
    let (request, record) = (demo_request(), demo_record());
    let places = leftover_places(&request, &record, &mix(0.5, 0.5 * 0.4 / 1.6875));
    assert!(
        places.iter().all(|place| place.site != Site::Turf && place.site != Site::StructurePerimeter),
        "{places:#?}"
    );
}

/// Half of the lawn left out: the leftover may go there, at the rate at which it was mixed, if that is
/// within the label; a mix of double strength may not.
#[test]
fn untreated_lawn_takes_a_leftover_within_its_rate() {
    let (request, mut record) = (demo_request(), demo_record());
    let lawn = record.tasks.iter_mut().find(|task| task.id == "lawn").unwrap();
    let half =
        geometry::Region::rectangle(Point::new(feet(0.0), feet(0.0)), Point::new(feet(110.0), feet(40.0))).unwrap();
    for zone in &mut lawn.zones {
        zone.ground = zone.ground.difference(&half);
    }
    lawn.ground = lawn.region().area();
    let places = leftover_places(&request, &record, &mix(0.5, 0.5 * 0.4 / 1.6875));
    let turf = places.iter().find(|place| place.site == Site::Turf).expect("the rest of the lawn");
    assert_eq!((turf.method, turf.use_row.as_str(), turf.takes_all()), (Method::Broadcast, "turf", true));
    assert!((turf.needed.to(AreaUnit::SquareFoot) - 500.0 / 1.6875).abs() < 0.1, "{:?}", turf.needed);
    assert!((turf.rates[0].1.value() - 0.4).abs() < 1e-9, "{:?}", turf.rates);
    assert!(turf.allowed > turf.needed);
    let document = follows(
        "leftover.schema.json",
        &write_leftover(&mix(0.5, 0.5 * 0.4 / 1.6875), &places, &[record::rinsate_rule("Brackwater 1 SC")]),
    );
    assert!(document["otherwise"].as_str().unwrap().contains("Never pour it out:"));
    assert_eq!(document["places"].as_array().unwrap().len(), places.len());
    let strong = leftover_places(&request, &record, &mix(0.5, 0.5 * 0.8 / 1.6875));
    assert!(strong.iter().all(|place| place.site != Site::Turf), "{strong:#?}");
    // More than there is ground for: only a part may go.
    let much = leftover_places(&request, &record, &mix(20.0, 20.0 * 0.4 / 1.6875));
    let turf = much.iter().find(|place| place.site == Site::Turf).expect("the rest of the lawn");
    assert!(!turf.takes_all() && turf.spray < Volume::new(20.0, VolumeUnit::UsGallon));
    assert!((turf.spray.ratio(Volume::new(20.0, VolumeUnit::UsGallon)) - turf.allowed.ratio(turf.needed)).abs() < 1e-9);
}

#[test]
fn a_draft_says_what_it_lacks_by_when_and_who_asks_for_it() {
    let (rules, _) = exchange::rule_file::parse_rules(exchange::rule_file::shipped().iter().copied()).unwrap();
    let mut record = demo_record();
    let moment = |day, hour| Moment { local: date(2026, 7, day).at(hour, 0, 0, 0), offset: jiff::tz::offset(-5) };
    record.started = Fact::Recorded(moment(7, 7));
    let notice = NoticeGiven {
        to: "12 Invented Lane".to_owned(),
        how: "telephone".to_owned(),
        given: Fact::Recorded(moment(7, 6)),
    };
    record.notices = Fact::Recorded(vec![notice]);
    let ohio = jurisdiction::Jurisdiction::parse("US-OH").unwrap();
    let there = circumstances(&record, &ohio, jurisdiction::Work::ForHire, &std::collections::BTreeMap::new());
    let standing = standing(&record, &rules, &there);
    let late = late_notices(&record, &rules, &there);
    let found = (&standing, late.as_slice());
    let kept = kept_until(&rules, &there);
    let document =
        follows("standing.schema.json", &write_standing(found, &kept, jiff::tz::offset(-5), date(2026, 7, 7)));
    // On the day itself it may still be written; when the next begins, the time has passed.
    let overdue =
        follows("standing.schema.json", &write_standing(found, &kept, jiff::tz::offset(-5), date(2026, 7, 8)));
    for (told, is_overdue) in [(&document, false), (&overdue, true)] {
        assert_eq!((&told["overdue"], &told["lacking"][0]["overdue"]), (&is_overdue.into(), &is_overdue.into()));
    }
    assert_eq!((&document["standing"], &document["due"]), (&"draft".into(), &"2026-07-08T00:00:00-05:00".into()));
    let first = &document["lacking"][0];
    assert_eq!((&first["words"], &first["any_of"][0]), (&"the time at which it ended".into(), &"end-time".into()));
    assert_eq!(first["demanded_by"][0]["publication"], "Ohio Administrative Code");
    assert_eq!(document["kept_until"]["until"], "2029-07-07");
    assert!(document["confirm"].as_str().unwrap().contains("confirm local law"));

    // In a list the same stands beside what the record is listed by; one whose place nobody knows tells nothing.
    let thing = |title: &str| ThingJson {
        thing: "01997fb2-7a4e-7c11-8b52-6f0d6a3c9e01".to_owned(),
        kind: "record".to_owned(),
        version: 1,
        title: title.to_owned(),
        date: Some(record.date.to_string()),
        client: None,
        property: None,
    };
    let told = ListedRecordJson::new(thing("one"), &record, &ohio, found, &kept, date(2026, 7, 8));
    let list = RecordListJson::new(vec![told, ListedRecordJson::nowhere(thing("two"), &record)]);
    let listed = follows("records.schema.json", &write_answer(&list));
    let (one, two) = (&listed["records"][0], &listed["records"][1]);
    assert_eq!((&one["standing"], &one["due_local"]), (&"draft".into(), &"2026-07-08T00:00:00".into()));
    assert_eq!((&one["overdue"], &one["lacking"][0]["overdue"]), (&true.into(), &true.into()));
    assert_eq!(one["lacking"][0]["words"], document["lacking"][0]["words"]);
    assert_eq!(one["kept_until"], document["kept_until"]);
    // One business day before: from Tuesday at 7 back to Monday at 7.
    let late = &document["late"][0];
    assert_eq!(
        (&late["by_local"], &late["given_local"]),
        (&"2026-07-06T07:00:00".into(), &"2026-07-07T06:00:00".into())
    );
    assert_eq!(late["demanded_by"]["rule"], "oh-abutting-notice");
    assert_eq!(one["late"], document["late"]);
    assert_eq!((&two["title"], &two["standing"], &two["place"]), (&"two".into(), &Value::Null, &Value::Null));
}
