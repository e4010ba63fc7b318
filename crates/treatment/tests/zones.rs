//! Where a task may put product: kept ground, walls, entry points, sites, spots, touching features.

mod support;

use label::{Method, Site};
use quantity::{Area, AreaUnit, Length, LengthUnit};
use support::{
    Drawing, Drawn, KANSAS, alder_bend, area, concentrate, feet, found, planned, property, rectangle, request, stated,
    structures, task,
};
use treatment::{Overlap, Status, Target, Task, Visit, VisitRequest, ZoneUse, plan};

fn on(drawn: &[Drawn]) -> VisitRequest {
    request(property(drawn, KANSAS), 0.0)
}

fn square_feet(area: Area) -> f64 {
    area.to(AreaUnit::SquareFoot)
}

fn named<'a>(visit: &'a Visit, id: &str) -> &'a Task {
    visit.tasks.iter().find(|task| task.id == id).unwrap()
}

fn line(id: &'static str, kind: &'static str, points: &[(f64, f64)]) -> Drawn {
    Drawn { id, kind, shape: Drawing::Line, points: points.to_vec() }
}

fn point(id: &'static str, kind: &'static str, at: (f64, f64)) -> Drawn {
    Drawn { id, kind, shape: Drawing::Point, points: vec![at] }
}

/// A lot of 100 ft by 100 ft with a house of 40 ft by 20 ft, without openings to speak of.
fn plain(more: Vec<Drawn>) -> Vec<Drawn> {
    let mut drawn = vec![
        rectangle("lot", "boundary", 0.0, 0.0, 100.0, 100.0),
        rectangle("house", "structure", 30.0, 40.0, 40.0, 20.0),
    ];
    drawn.extend(more);
    drawn
}

fn perimeter(id: &str) -> treatment::TaskRequest {
    task(id, Method::Perimeter, "0.55 fl oz/1,000 sq ft", Some("perimeter"), structures())
}

#[test]
fn a_sandbox_in_the_lawn_is_left_out_of_it() {
    let whole = planned(&on(&alder_bend()));
    let mut drawn = alder_bend();
    drawn.push(rectangle("sandbox", "play-area", 5.0, 20.0, 10.0, 10.0));
    drawn.push(rectangle("lawn-north", "no-go", 40.0, 112.0, 10.0, 5.0));
    let visit = planned(&on(&drawn));
    let lawn = |visit: &Visit| square_feet(named(visit, "lawn").ground);
    // The sandbox's first 8 ft lie within 25 ft of the creek anyway.
    let lost = lawn(&whole) - lawn(&visit);
    assert!((lost - (20.0 + 50.0)).abs() < 0.5, "{lost}");
    let sandbox = visit.zones.iter().find(|zone| zone.id == "sandbox").unwrap();
    assert!((square_feet(sandbox.area) - 100.0).abs() < 0.01);
    assert!(matches!(&sandbox.use_of, ZoneUse::NotTreated(_)));
}

#[test]
fn a_no_go_without_ground_is_reported() {
    for shape in [line("cable", "no-go", &[(0.0, 10.0), (100.0, 10.0)]), point("cable", "no-go", (20.0, 20.0))] {
        let problems = plan(&on(&plain(vec![shape]))).unwrap_err();
        let problem = problems.iter().find(|problem| problem.code == "visit::no-go-line").unwrap();
        assert!(problem.found.contains("`cable`") && problem.mend.is_some());
    }
    let swing = plain(vec![point("swing", "play-area", (20.0, 20.0))]);
    let mut asked = on(&swing);
    asked.tasks.truncate(1);
    assert!(plan(&asked).unwrap_err().iter().any(|problem| problem.code == "visit::play-area-point"));
    asked.setbacks.push(treatment::Setback { feature: label::BufferedFeature::PlayArea, distance: feet(10.0) });
    assert!(plan(&asked).is_ok());
}

#[test]
fn every_site_of_a_task_needs_the_label() {
    let mut drawn = alder_bend();
    drawn.push(rectangle("bare", "bare-soil", 5.0, 40.0, 10.0, 10.0));
    let mut asked = on(&drawn);
    let features = |ids: &[&str]| Target::Features(ids.iter().map(|id| (*id).to_owned()).collect());
    // The order of the names does not matter.
    for ids in [["hedge", "bare"], ["bare", "hedge"]] {
        asked.tasks[2].target = features(&ids);
        let visit = planned(&asked);
        let verdict = found(&visit, "use::site", Status::Refused);
        assert!(verdict.text.contains("`bare`") || verdict.text.contains("`hedge`"), "{}", verdict.text);
    }
    asked.labels[0].uses[2].sites.push(Site::BareSoil);
    let visit = planned(&asked);
    assert!(visit.tasks.iter().any(|task| task.id == "hedge"));
    // Permitted by another row, whose rate is another.
    let mut split = on(&drawn);
    split.tasks[2].target = features(&["hedge", "bare"]);
    let mut soil = split.labels[0].uses[2].clone();
    "soil".clone_into(&mut soil.id);
    soil.sites = vec![Site::BareSoil];
    split.labels[0].uses.push(soil);
    let visit = planned(&split);
    assert!(found(&visit, "use::site", Status::Refused).mend.as_ref().unwrap().contains("task of its own"));
}

#[test]
fn every_product_of_the_tank_needs_every_site() {
    let mut drawn = alder_bend();
    drawn.push(rectangle("bare", "bare-soil", 5.0, 40.0, 10.0, 10.0));
    let mut asked = on(&drawn);
    let mut partner = concentrate();
    "partner".clone_into(&mut partner.id);
    asked.labels[0].uses[2].sites.push(Site::BareSoil);
    asked.labels.push(partner);
    asked.tasks[2].target = Target::Features(vec!["hedge".to_owned(), "bare".to_owned()]);
    let rate = asked.tasks[2].rate;
    asked.tasks[2].partners = vec![treatment::PartnerRequest { label: "partner".to_owned(), rate, pest: None }];
    assert!(found(&planned(&asked), "use::site", Status::Refused).text.contains("`bare`"));
}

#[test]
fn drawn_ground_over_a_bed_needs_the_label_for_the_bed() {
    let mut drawn = alder_bend();
    drawn.push(rectangle("patch", "mound", 80.0, 20.0, 20.0, 7.0));
    let mut asked = on(&drawn);
    let ground = asked.property.feature("patch").unwrap().region().unwrap().clone();
    asked.tasks = vec![task("patch", Method::Broadcast, "0.4 fl oz/1,000 sq ft", Some("lawn"), Target::Ground(ground))];
    assert!(found(&planned(&asked), "use::site", Status::Refused).text.contains("`hedge`"));
}

#[test]
fn water_and_play_are_no_target() {
    let drawn = plain(vec![
        rectangle("pond", "water", 5.0, 5.0, 10.0, 10.0),
        rectangle("sandbox", "play-area", 80.0, 80.0, 10.0, 10.0),
    ]);
    let mut asked = on(&drawn);
    for id in ["pond", "sandbox", "house"] {
        asked.tasks[2].target = Target::Features(vec![id.to_owned()]);
        let problems = plan(&asked).unwrap_err();
        let problem = problems.iter().find(|problem| problem.code == "visit::not-treatable").unwrap();
        assert!(problem.found.contains(id));
    }
}

#[test]
fn a_tree_that_is_named_is_treated_under_its_own_site() {
    let mut drawn = plain(vec![rectangle("oak", "tree", 60.0, 55.0, 20.0, 20.0)]);
    drawn.push(rectangle("shrub", "ornamental", 5.0, 5.0, 4.0, 4.0));
    let mut asked = on(&drawn);
    asked.tasks.remove(1);
    asked.tasks[1].target = Target::Features(vec!["oak".to_owned()]);
    found(&planned(&asked), "use::site", Status::Refused);
    asked.labels[0].uses[2].sites.push(Site::Tree);
    let visit = planned(&asked);
    // The corner over the house, 10 ft by 5 ft, stays the house's.
    assert!((square_feet(named(&visit, "hedge").ground) - 350.0).abs() < 0.05);
    let sum: Area = visit.zones.iter().map(|zone| zone.area).sum();
    assert!((sum.ratio(visit.property.boundary().area()) - 1.0).abs() < 1e-6);
}

/// Water 15 ft east of the house: 25 ft kept from it reach 10 ft along its walls, and the whole east side.
#[test]
fn walls_keep_the_distance_from_water() {
    let mut asked = on(&plain(vec![line("creek", "water", &[(85.0, -50.0), (85.0, 150.0)])]));
    asked.tasks = vec![perimeter("perimeter")];
    let visit = planned(&asked);
    // 120 ft of wall, of which 20 + 10 + 10 are kept; 18 ft of openings, 3 ft high, in proportion.
    let expected = (120.0 * 3.0 - 18.0 * 3.0) * 80.0 / 120.0;
    let wall = square_feet(named(&visit, "perimeter").wall);
    assert!((wall / expected - 1.0).abs() < 1e-3, "{wall} for {expected}");
}

#[test]
fn a_wall_beside_a_place_of_play_is_kept_free() {
    let mut asked = on(&plain(vec![rectangle("sandbox", "play-area", 70.0, 40.0, 10.0, 20.0)]));
    asked.tasks = vec![perimeter("perimeter")];
    let expected = (120.0 * 3.0 - 18.0 * 3.0) * 100.0 / 120.0;
    let wall = square_feet(named(&planned(&asked), "perimeter").wall);
    assert!((wall / expected - 1.0).abs() < 1e-3, "{wall} for {expected}");
}

#[test]
fn two_tasks_never_treat_one_wall() {
    let mut asked = on(&plain(Vec::new()));
    asked.tasks = vec![perimeter("first"), perimeter("second")];
    let visit = planned(&asked);
    assert!(square_feet(named(&visit, "first").wall) > 300.0);
    assert_eq!(named(&visit, "second").wall, Area::ZERO);
    assert_eq!(found(&visit, "ground::nothing-left", Status::Refused).concerns.as_deref(), Some("second"));
    asked.tasks[1].overlap = Overlap::Unresolved;
    let visit = planned(&asked);
    assert!(square_feet(named(&visit, "second").wall) > 300.0);
    assert!(visit.all_verdicts().any(|verdict| {
        verdict.rule == "ground::treated-twice"
            && verdict.status == Status::Refused
            && verdict.text.contains("of `house`")
    }));
}

fn entry_request(method: Method, width: Length, widest: Option<f64>) -> VisitRequest {
    let mut asked = on(&plain(vec![
        line("sill", "entry-point", &[(35.0, 40.0), (45.0, 40.0)]),
        point("pipe", "entry-point", (30.0, 50.0)),
    ]));
    let mut row = asked.labels[0].uses[1].clone();
    "gaps".clone_into(&mut row.id);
    row.sites = vec![Site::EntryPoint];
    row.method = method;
    if let Some(inches) = widest {
        row.entry_point_width = stated(Length::new(inches, LengthUnit::Inch), "In a line up to this width.");
    }
    asked.labels[0].uses.push(row);
    let target = Target::EntryPoints { features: Vec::new(), width };
    asked.tasks = vec![task("gaps", method, "0.55 fl oz/1,000 sq ft", Some("perimeter"), target)];
    asked
}

#[test]
fn entry_points_are_their_length_times_the_width() {
    let inch = Length::new(1.0, LengthUnit::Inch);
    let visit = planned(&entry_request(Method::CrackAndCrevice, inch, Some(1.0)));
    // 10 ft by 1 in, and a square of 1 in.
    let expected = 10.0 / 12.0 + 1.0 / 144.0;
    let gaps = named(&visit, "gaps");
    assert!((square_feet(gaps.wall) / expected - 1.0).abs() < 1e-3 && gaps.ground == Area::ZERO);
    found(&visit, "ground::entry-point-width", Status::Allowed);
    assert!(visit.all_verdicts().all(|verdict| verdict.rule != "ground::nothing-left"));
    let over = planned(&entry_request(Method::CrackAndCrevice, inch * 2.0, Some(1.0)));
    found(&over, "ground::entry-point-width", Status::Refused);
    found(&planned(&entry_request(Method::CrackAndCrevice, inch, None)), "ground::entry-point-width", Status::Caution);
    found(&planned(&entry_request(Method::Spot, inch, Some(1.0))), "ground::spot-area", Status::Caution);
    let wrong = plan(&entry_request(Method::Perimeter, inch, Some(1.0))).unwrap_err();
    assert!(wrong.iter().any(|problem| problem.code == "visit::entry-point-method"));
}

#[test]
fn entry_points_within_a_kept_distance_are_left_out() {
    let mut asked = entry_request(Method::CrackAndCrevice, Length::new(1.0, LengthUnit::Inch), Some(1.0));
    asked.property = property(
        &plain(vec![
            line("sill", "entry-point", &[(35.0, 40.0), (45.0, 40.0)]),
            point("pipe", "entry-point", (30.0, 50.0)),
            line("creek", "water", &[(15.0, -50.0), (15.0, 150.0)]),
        ]),
        KANSAS,
    );
    let wall = square_feet(named(&planned(&asked), "gaps").wall);
    assert!((wall / (5.0 / 12.0) - 1.0).abs() < 1e-3, "{wall}");
}

/// The wind is judged where entry points are treated, though they are no ground.
#[test]
fn entry_points_count_against_the_wind() {
    let mut asked = entry_request(Method::CrackAndCrevice, Length::new(1.0, LengthUnit::Inch), Some(1.0));
    let mut drawn = plain(vec![line("sill", "entry-point", &[(35.0, 40.0), (45.0, 40.0)])]);
    // The wind of 07:00 comes from 185 degrees.
    drawn.push(point("hives", "hive", (40.0, 80.0)));
    asked.property = property(&drawn, KANSAS);
    let visit = planned(&asked);
    let seven = visit.hours.iter().find(|hour| hour.start.hour() == 7).unwrap();
    assert!(seven.reasons.iter().any(|reason| reason.rule == "hour::blows-toward"), "{:?}", seven.reasons);
}

#[test]
fn each_spot_is_judged_on_its_own() {
    let mut asked = on(&alder_bend());
    let mut row = asked.labels[0].uses[0].clone();
    "spot".clone_into(&mut row.id);
    row.method = Method::Spot;
    asked.labels[0].uses.push(row);
    let drawn = [
        area("one", "mound", &[(30.0, 20.0), (31.0, 20.0), (31.0, 21.5), (30.0, 21.5)]),
        area("two", "mound", &[(35.0, 30.0), (36.0, 30.0), (36.0, 31.8), (35.0, 31.8)]),
    ];
    let mut map = alder_bend();
    map.extend(drawn);
    let spots = property(&map, KANSAS);
    let ground = |id: &str| spots.feature(id).unwrap().region().unwrap().clone();
    let both = ground("one").union(&ground("two"));
    asked.tasks = vec![task("spot", Method::Spot, "0.4 fl oz/1,000 sq ft", Some("lawn"), Target::Ground(both))];
    found(&planned(&asked), "ground::spot-area", Status::Caution);
    let limit = |feet: f64| stated(Area::new(feet, AreaUnit::SquareFoot), "Spots only.");
    asked.labels[0].uses[3].spot_area = limit(2.0);
    let visit = planned(&asked);
    let measured = found(&visit, "ground::spot-area", Status::Allowed).measured.as_ref().unwrap().value;
    assert!((measured - 1.8).abs() < 1e-3, "{measured}");
    asked.labels[0].uses[3].spot_area = limit(1.6);
    assert!(found(&planned(&asked), "ground::spot-area", Status::Refused).text.contains("largest of 2"));
    asked.tasks[0].target = Target::Places { count: 3, site: Site::Turf };
    asked.tasks[0].spray = Some(quantity::Volume::new(0.1, quantity::VolumeUnit::UsGallon));
    let mut mound = support::rate("0.1 fl oz/gal");
    mound = mound.with_value(0.1);
    asked.tasks[0].rate = treatment::RateWish::Stated(mound);
    if let label::Statement::Stated { value, .. } = &mut asked.labels[0].uses[3].rate {
        value.lowest = None;
        value.highest = mound;
    }
    found(&planned(&asked), "ground::spot-area", Status::Caution);
}

#[test]
fn places_lie_on_the_site_that_is_said() {
    let mut asked = on(&alder_bend());
    asked.tasks.truncate(1);
    asked.tasks[0].target = Target::Places { count: 3, site: Site::StructurePerimeter };
    assert!(found(&planned(&asked), "use::site", Status::Refused).text.contains("structure-perimeter"));
}

/// A play area that touches the lawn on one side: wind over the lawn toward it, half a circle of it.
#[test]
fn wind_toward_a_feature_that_touches_is_refused() {
    let refused = |from: f64, drawn: Vec<Drawn>| {
        let mut asked = on(&plain(drawn));
        let mut hours: Vec<weather::HourlyReading> = asked.forecast.as_ref().unwrap().hours().to_vec();
        for hour in &mut hours {
            hour.wind_from = Some(quantity::Bearing::from_degrees(from));
        }
        asked.forecast = Some(weather::HourlySeries::new(jiff::tz::offset(-5), hours).unwrap().0);
        asked.tasks.truncate(1);
        planned(&asked).hours[2].reasons.iter().any(|reason| reason.rule == "hour::blows-toward")
    };
    // Across the whole north end of the lot: the lawn lies south of it.
    let north = || vec![rectangle("court", "play-area", 0.0, 80.0, 100.0, 20.0)];
    for (from, expected) in [(180.0, true), (100.0, true), (260.0, true), (0.0, false), (60.0, false)] {
        assert_eq!(refused(from, north()), expected, "wind from {from}");
    }
    // In the middle of the lawn every wind carries toward it.
    for from in [0.0, 90.0, 225.0] {
        assert!(refused(from, vec![rectangle("sandbox", "play-area", 10.0, 10.0, 8.0, 8.0)]), "wind from {from}");
    }
}

/// A lot whose lawn was drawn by hand: its corners were snapped to edges and are off them by what a map writes.
fn hand_drawn(off: f64) -> Vec<Drawn> {
    vec![
        rectangle("lot", "boundary", 0.0, 0.0, 100.0, 80.0),
        rectangle("house", "structure", 0.0, 0.0, 40.0, 24.0),
        area(
            "lawn",
            "turf",
            &[
                (40.0, 0.0),
                (100.0, 0.0),
                (100.0 - off, 50.0),
                (100.0, 80.0),
                (50.0, 80.0 - off),
                (0.0, 80.0),
                (0.0, 24.0),
                (40.0, 24.0),
            ],
        ),
    ]
}

#[test]
fn a_seam_between_snapped_outlines_is_no_zone_and_its_ground_is_not_left_out() {
    // A tenth of a millimetre, and a millimetre: no more than what is meant to touch.
    let of_lawn = |off: f64| {
        let mut asked = on(&hand_drawn(off));
        asked.tasks.truncate(1);
        planned(&asked)
    };
    for off in [0.1, 1.0] {
        let visit = of_lawn(off / 304.8);
        let ids: Vec<&str> = visit.zones.iter().map(|zone| zone.id.as_str()).collect();
        assert!(visit.zones.iter().all(|zone| square_feet(zone.area) > 1.0), "{off} mm: {ids:?}");
        let sum: Area = visit.zones.iter().map(|zone| zone.area).sum();
        assert!((square_feet(sum) - 8000.0).abs() < 1e-4, "{off} mm: {}", square_feet(sum));
        let lawn = visit.property.feature("lawn").unwrap().region().unwrap().area();
        let lost = square_feet(visit.property.boundary().area()) - square_feet(lawn) - 960.0;
        assert!(lost > 1e-3, "{off} mm: the drawing itself has no seam, {lost}");
    }
    // A strip that a person can see stays ground of its own.
    let visit = of_lawn(0.02);
    assert!(visit.zones.iter().any(|zone| square_feet(zone.area) < 20.0));
}
