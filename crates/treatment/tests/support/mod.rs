//! The invented property, label and equipment that the tests of this crate plan with.
#![allow(dead_code, unreachable_pub, clippy::unreadable_literal)]

use geometry::{GeoPosition, LocalPlane, Point};
use jiff::civil::{Date, date};
use label::{
    ActiveIngredient, ApplicationCount, Buffer, BufferedFeature, Cap, CapAmount, Clause, Constraints, Formulation,
    Irrigation, KeepOff, Label, Method, PestClaim, Product, RateRange, Scope, SignalWord, Site, Statement, Strength,
    UseClass, UseRow, WindLimit, Window,
};
use property::{Property, RawFeature, RawOpening, RawPosition, RawShape};
use quantity::{
    AmountPerArea, AmountUnit, Area, AreaUnit, Content, Density, DensityUnit, Duration, DurationUnit, Flow, FlowUnit,
    Graduation, Length, LengthUnit, Rate, Speed, SpeedUnit, Temperature, TemperatureUnit, Volume, VolumePerArea,
    VolumePerAreaUnit, VolumeUnit, parse_rate,
};
use sprayer::{Calibration, CalibrationRecord, Capacity, EquipmentKind, Runs, Sprayer, SprayerDetails};
use treatment::{
    Application, Applicator, FindingRequest, History, Overlap, Place, Practice, RateWish, Setback, Status, Target,
    TaskRequest, Threshold, Verdict, Visit, VisitRequest, plan,
};
use weather::{HourlyReading, HourlySeries};

pub fn feet(value: f64) -> Length {
    Length::new(value, LengthUnit::Foot)
}

pub fn rate(text: &str) -> Rate {
    parse_rate(text).unwrap_or_else(|error| panic!("{error}"))
}

pub fn clause(text: &str) -> Clause {
    Clause { text: text.to_owned(), page: Some(2), strength: Strength::Mandatory, scope: Scope::Product }
}

pub fn stated<T>(value: T, text: &str) -> Statement<T> {
    Statement::Stated { value, clause: clause(text) }
}

/// Where and how a property lies: its origin, and by how many degrees it is turned.
#[derive(Debug, Clone, Copy)]
pub struct Lie {
    pub longitude: f64,
    pub latitude: f64,
    pub turned: f64,
}

pub const KANSAS: Lie = Lie { longitude: -97.62, latitude: 38.84, turned: 0.0 };

impl Lie {
    fn position(self, plane: &LocalPlane, (x, y): (f64, f64)) -> RawPosition {
        let (sin, cos) = self.turned.to_radians().sin_cos();
        let position = plane.to_position(Point::new(feet(x * cos - y * sin), feet(x * sin + y * cos)));
        RawPosition::new(position.longitude(), position.latitude())
    }

    /// A map of features drawn in feet.
    pub fn map(self, drawn: &[Drawn]) -> Vec<RawFeature> {
        let plane = LocalPlane::around(GeoPosition::from_degrees(self.longitude, self.latitude).unwrap());
        drawn
            .iter()
            .map(|drawn| {
                let ring: Vec<RawPosition> = drawn.points.iter().map(|point| self.position(&plane, *point)).collect();
                let shape = match drawn.shape {
                    Drawing::Area => {
                        let closed = ring.iter().copied().chain(ring.first().copied()).collect();
                        RawShape::Polygon(vec![closed])
                    }
                    Drawing::Line => RawShape::Line(ring),
                    Drawing::Point => RawShape::Point(ring[0]),
                };
                let mut feature = RawFeature::new(shape);
                feature.id = Some(drawn.id.to_owned());
                feature.kind = Some(drawn.kind.to_owned());
                if drawn.kind == "ornamental" {
                    feature.in_bloom = Some(false);
                    feature.bloom_seen_on = Some(date(2026, 7, 7));
                }
                if drawn.kind == "structure" {
                    let opening = |what: &str, width: f64| RawOpening {
                        what: what.to_owned(),
                        width: feet(width),
                        height: feet(7.0),
                        sill: None,
                    };
                    feature.openings =
                        vec![opening("front door", 3.0), opening("garage door", 9.0), opening("patio door", 6.0)];
                }
                feature
            })
            .collect()
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drawing {
    Area,
    Line,
    Point,
}

#[derive(Debug, Clone)]
pub struct Drawn {
    pub id: &'static str,
    pub kind: &'static str,
    pub shape: Drawing,
    pub points: Vec<(f64, f64)>,
}

pub fn area(id: &'static str, kind: &'static str, points: &[(f64, f64)]) -> Drawn {
    Drawn { id, kind, shape: Drawing::Area, points: points.to_vec() }
}

pub fn rectangle(id: &'static str, kind: &'static str, x: f64, y: f64, width: f64, depth: f64) -> Drawn {
    area(id, kind, &[(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)])
}

/// The invented lot of the acceptance example.
pub fn alder_bend() -> Vec<Drawn> {
    vec![
        rectangle("lot", "boundary", 0.0, 0.0, 110.0, 130.0),
        area(
            "house",
            "structure",
            &[(30.0, 65.0), (80.0, 65.0), (80.0, 95.0), (55.0, 95.0), (55.0, 85.0), (30.0, 85.0)],
        ),
        rectangle("driveway", "paved", 60.0, 0.0, 20.0, 65.0),
        rectangle("walk", "paved", 38.0, 0.0, 4.0, 65.0),
        rectangle("patio", "paved", 58.0, 95.0, 18.0, 12.0),
        rectangle("vegetables", "edible", 86.0, 108.0, 17.0, 12.0),
        rectangle("perennials", "ornamental-in-bloom", 20.0, 108.0, 12.0, 12.0),
        rectangle("hedge", "ornamental", 88.0, 25.0, 22.0, 4.0),
        Drawn { id: "creek", kind: "water", shape: Drawing::Line, points: vec![(-12.0, -40.0), (-12.0, 170.0)] },
        Drawn { id: "hives", kind: "hive", shape: Drawing::Point, points: vec![(150.0, 70.0)] },
    ]
}

pub fn property(drawn: &[Drawn], lie: Lie) -> Property {
    match Property::new("Alder Bend (invented)", &lie.map(drawn)) {
        Ok((property, _)) => property,
        Err(problems) => panic!("{problems}"),
    }
}

fn fl_oz_per_1000(value: f64) -> AmountPerArea {
    AmountPerArea::Volume(VolumePerArea::new(value, VolumePerAreaUnit::UsFluidOuncePer1000SquareFeet))
}

fn use_row(id: &str, site: Site, method: Method, lowest: &str, highest: &str, most: &str) -> UseRow {
    UseRow {
        id: id.to_owned(),
        clause: clause("Directions for this use (invented)."),
        sites: vec![site],
        excluded: Vec::new(),
        pests: vec![PestClaim { pest: "grasshopper".to_owned(), stages: Vec::new(), claim: label::Claim::Control }],
        pests_excluded: Vec::new(),
        only_these_pests: false,
        method,
        rate: stated(
            RateRange {
                lowest: Some(rate(lowest)),
                highest: rate(highest),
                choice: None,
                below_lowest_prohibited: false,
            },
            "Apply at these rates.",
        ),
        maximum_single: stated(rate(most), "Do not exceed this amount in one application."),
        band_width: stated(feet(10.0), "Treat a band up to 10 ft wide."),
        wall_height: stated(feet(3.0), "Treat walls up to 3 ft above grade."),
        entry_point_width: Statement::Silent,
        spot_area: Statement::Silent,
        preventive: Statement::Silent,
        constraints: Constraints::default(),
    }
}

/// The invented label of the acceptance example.
pub fn concentrate() -> Label {
    let restraints = Constraints {
        caps: vec![
            stated(
                Cap {
                    amount: CapAmount::Product(fl_oz_per_1000(1.6)),
                    active_ingredient: None,
                    window: Window::CalendarYear,
                    counts_other_products: false,
                },
                "Do not apply more than 1.6 fl oz per 1,000 sq ft per calendar year.",
            ),
            stated(
                Cap {
                    amount: CapAmount::ActiveIngredient(quantity::MassPerArea::new(
                        0.48,
                        quantity::MassPerAreaUnit::PoundPerAcre,
                    )),
                    active_ingredient: None,
                    window: Window::CalendarYear,
                    counts_other_products: true,
                },
                "Do not apply more than 0.48 lb a.i. per acre per calendar year, all products together.",
            ),
        ],
        maximum_applications: stated(
            ApplicationCount { count: 4, window: Window::CalendarYear },
            "No more than 4 applications per calendar year.",
        ),
        minimum_interval_days: stated(21, "Do not apply again within 21 days."),
        keep_off: stated(
            KeepOff {
                at_least: Some(Duration::new(2.0, DurationUnit::Hour)),
                until_dry: true,
                until_watered_in: false,
            },
            "Keep people and pets off until dry.",
        ),
        rain_free: stated(Duration::new(4.0, DurationUnit::Hour), "Do not apply when rain is expected within 4 hours."),
        irrigation: stated(
            Irrigation::ProhibitedFor(Duration::new(24.0, DurationUnit::Hour)),
            "Do not irrigate for 24 hours.",
        ),
        not_during_rain: stated(true, "Do not apply during rain."),
        not_on_saturated_soil: stated(true, "Do not apply to saturated soil."),
        temperature: stated(
            label::Range { at_least: None, at_most: Some(Temperature::new(88.0, TemperatureUnit::Fahrenheit)) },
            "Do not apply above 88 °F.",
        ),
        wind: stated(
            WindLimit {
                at_least: Some(Speed::new(3.0, SpeedUnit::MilePerHour)),
                at_most: Some(Speed::new(10.0, SpeedUnit::MilePerHour)),
                gusts_count: true,
            },
            "Apply only in wind of 3 to 10 mph, gusts included.",
        ),
        buffers: vec![stated(
            Buffer { feature: BufferedFeature::Water, distance: feet(25.0) },
            "Keep 25 ft from water.",
        )],
        ..Constraints::default()
    };
    Label {
        id: "concentrate".to_owned(),
        product: Product {
            name: "Invented Concentrate".to_owned(),
            registration_number: None,
            establishment_number: None,
            registrant: None,
            label_version: "1".to_owned(),
            label_date: None,
            net_contents: None,
            registered_in: vec!["KS".to_owned()],
            use_class: UseClass::Unclassified,
            formulation: Formulation::SuspensionConcentrate,
            density: None,
            signal_word: SignalWord::Caution,
            active_ingredients: vec![ActiveIngredient {
                name: "inventrin".to_owned(),
                content: Content::MassPerVolume(Density::new(1.0, DensityUnit::PoundPerUsGallon)),
                mass_fraction: None,
                group: Some("3A".to_owned()),
            }],
            invented: true,
        },
        precautions: Vec::new(),
        first_aid: Vec::new(),
        storage_and_disposal: Vec::new(),
        restraints,
        uses: vec![
            use_row(
                "turf",
                Site::Turf,
                Method::Broadcast,
                "0.2 fl oz/1,000 sq ft",
                "0.4 fl oz/1,000 sq ft",
                "0.4 fl oz/1,000 sq ft",
            ),
            use_row(
                "perimeter",
                Site::StructurePerimeter,
                Method::Perimeter,
                "0.3 fl oz/1,000 sq ft",
                "0.8 fl oz/1,000 sq ft",
                "0.8 fl oz/1,000 sq ft",
            ),
            use_row(
                "ornamental",
                Site::Ornamental,
                Method::Foliar,
                "0.04 fl oz/gal",
                "0.08 fl oz/gal",
                "0.8 fl oz/1,000 sq ft",
            ),
        ],
    }
}

pub fn hand_sprayer() -> Sprayer {
    let ounces = |value: f64| Volume::new(value, VolumeUnit::UsFluidOunce);
    let record = |name: &str, runs: Runs| {
        Calibration::new(CalibrationRecord {
            name: name.to_owned(),
            runs,
            person: Some("A. Tester".to_owned()),
            date: Some(date(2026, 6, 20)),
            nozzle: None,
            pressure: None,
        })
        .unwrap()
    };
    let lawn = record(
        "lawn",
        Runs::TestArea {
            area: Area::new(250.0, AreaUnit::SquareFoot),
            refills: vec![ounces(53.0), ounces(55.0), ounces(54.0)],
        },
    );
    let output = VolumePerArea::new(2.0, VolumePerAreaUnit::UsGallonPer1000SquareFeet);
    let perimeter = record("perimeter", Runs::Stated { output: AmountPerArea::Volume(output), method: None });
    Sprayer::new(SprayerDetails {
        id: "hand".to_owned(),
        kind: EquipmentKind::HandPump,
        capacity: Capacity::Tank(Volume::new(2.0, VolumeUnit::UsGallon)),
        flow: Some(Flow::new(0.3, FlowUnit::UsGallonPerMinute)),
        nozzle: None,
        pressure: None,
        pace: None,
        refill_time: Duration::new(5.0, DurationUnit::Minute),
        set_up_time: Duration::ZERO,
        graduations: vec![Graduation::new(0.2, AmountUnit::Volume(VolumeUnit::Millilitre)).unwrap()],
        agitated: None,
        calibrations: vec![lawn, perimeter],
    })
    .unwrap()
}

/// The hours of the acceptance example: hour, °F, mph, gust, from, inches of rain.
const HOURS: [(i8, f64, f64, f64, Option<f64>, f64); 16] = [
    (5, 64.0, 1.0, 2.0, None, 0.0),
    (6, 66.0, 2.0, 4.0, Some(190.0), 0.0),
    (7, 69.0, 4.0, 6.0, Some(185.0), 0.0),
    (8, 73.0, 4.0, 7.0, Some(180.0), 0.0),
    (9, 78.0, 6.0, 9.0, Some(175.0), 0.0),
    (10, 83.0, 7.0, 10.0, Some(170.0), 0.0),
    (11, 86.0, 9.0, 13.0, Some(165.0), 0.0),
    (12, 89.0, 10.0, 15.0, Some(180.0), 0.0),
    (13, 91.0, 12.0, 18.0, Some(200.0), 0.0),
    (14, 90.0, 11.0, 17.0, Some(235.0), 0.0),
    (15, 84.0, 9.0, 14.0, Some(245.0), 0.15),
    (16, 79.0, 13.0, 20.0, Some(260.0), 0.4),
    (17, 76.0, 6.0, 9.0, Some(250.0), 0.0),
    (18, 75.0, 5.0, 8.0, Some(200.0), 0.0),
    (19, 73.0, 3.0, 5.0, Some(205.0), 0.0),
    (20, 71.0, 2.0, 3.0, Some(200.0), 0.0),
];

pub fn forecast(turned: f64) -> HourlySeries {
    let hours = HOURS
        .iter()
        .map(|&(hour, heat, wind, gust, from, rain)| {
            let mut reading = HourlyReading::unknown(date(2026, 7, 7).at(hour, 0, 0, 0));
            reading.temperature = Some(Temperature::new(heat, TemperatureUnit::Fahrenheit));
            reading.wind_speed = Some(Speed::new(wind, SpeedUnit::MilePerHour));
            reading.wind_gust = Some(Speed::new(gust, SpeedUnit::MilePerHour));
            // A lot turned anticlockwise meets the same wind from so much less.
            reading.wind_from = from.map(|from| quantity::Bearing::from_degrees(from - turned));
            reading.rain = Some(Length::new(rain, LengthUnit::Inch));
            reading
        })
        .collect();
    HourlySeries::new(jiff::tz::offset(-5), hours).unwrap().0
}

pub fn task(id: &str, method: Method, rate_text: &str, calibration: Option<&str>, target: Target) -> TaskRequest {
    TaskRequest {
        id: id.to_owned(),
        method,
        finding: None,
        pest: None,
        label: "concentrate".to_owned(),
        rate: RateWish::Stated(rate(rate_text)),
        partners: Vec::new(),
        equipment: "hand".to_owned(),
        calibration: calibration.map(str::to_owned),
        spray: None,
        target,
        overlap: Overlap::Resolved,
    }
}

pub fn structures() -> Target {
    Target::Structures { features: Vec::new(), band_width: feet(3.0), wall_height: feet(3.0) }
}

fn past(per_area: f64, place: Place) -> Application {
    Application {
        date: date(2026, 4, 2),
        product: "concentrate".to_owned(),
        per_area: fl_oz_per_1000(per_area),
        active_ingredients: Vec::new(),
        group: None,
        place,
    }
}

pub const TODAY: Date = date(2026, 7, 7);

/// The acceptance example as a request.
pub fn request(property: Property, turned: f64) -> VisitRequest {
    let mut hedge = task("hedge", Method::Foliar, "0.05 fl oz/gal", None, Target::Features(vec!["hedge".to_owned()]));
    hedge.spray = Some(Volume::new(1.2, VolumeUnit::UsGallon));
    let yard = Area::new(1.0, AreaUnit::SquareYard);
    VisitRequest {
        name: "Alder Bend".to_owned(),
        date: TODAY,
        state: Some("KS".to_owned()),
        property,
        labels: vec![concentrate()],
        equipment: vec![hand_sprayer()],
        applicator: Some(Applicator { name: "A. Tester".to_owned(), certification: None, certified: true }),
        forecast: Some(forecast(turned)),
        history: History::Known {
            complete_since: None,
            applications: vec![past(0.4, Place::Turf), past(0.8, Place::Band(Some(feet(3.0))))],
        },
        findings: vec![FindingRequest {
            id: "grasshopper".to_owned(),
            pest: "grasshopper".to_owned(),
            profile: None,
            stage: Some("nymph".to_owned()),
            basis: "caught and looked at".to_owned(),
            identified_by: None,
            counts: vec![2, 1, 3, 0, 2, 4, 1, 2, 3, 5, 2, 1, 0, 3, 4, 2, 1, 2],
            counted_on: vec![treatment::CountBasis::Area(Area::new(1.0, AreaUnit::SquareFoot))],
            survey: None,
            threshold: Some(Threshold {
                count: 8.0,
                basis: treatment::CountBasis::Area(yard),
                stage: None,
                place: None,
                source: "invented for the test".to_owned(),
            }),
            unheld: None,
            preventive: false,
        }],
        tasks: vec![
            task("lawn", Method::Broadcast, "0.4 fl oz/1,000 sq ft", Some("lawn"), Target::Turf),
            task("perimeter", Method::Perimeter, "0.55 fl oz/1,000 sq ft", Some("perimeter"), structures()),
            hedge,
        ],
        setbacks: vec![
            Setback { feature: BufferedFeature::FoodPlants, distance: feet(6.0) },
            Setback { feature: BufferedFeature::BloomingPlants, distance: feet(5.0) },
        ],
        practice: Practice::default(),
    }
}

/// The acceptance example on its own ground.
pub fn whole() -> VisitRequest {
    request(property(&alder_bend(), KANSAS), 0.0)
}

pub fn planned(request: &VisitRequest) -> Visit {
    plan(request).unwrap_or_else(|problems| panic!("{problems}"))
}

pub fn found<'a>(visit: &'a Visit, rule: &str, status: Status) -> &'a Verdict {
    visit
        .all_verdicts()
        .find(|verdict| verdict.rule == rule && verdict.status == status)
        .unwrap_or_else(|| panic!("no {status:?} verdict {rule} in {:#?}", visit.all_verdicts().collect::<Vec<_>>()))
}
