//! Invented labels to test with.
#![allow(dead_code, unreachable_pub)]

use label::{
    ActiveIngredient, Claim, Clause, Constraints, Formulation, Irrigation, Label, Method, PestClaim, PpeItem, PpeTask,
    Product, RateRange, Scope, SignalWord, Site, Statement, Strength, UseClass, UseRow, WindLimit,
};
use quantity::{Content, Density, DensityUnit, Duration, DurationUnit, Rate, Speed, SpeedUnit, parse_rate};

pub fn clause(text: &str) -> Clause {
    Clause { text: text.to_owned(), page: Some(2), strength: Strength::Mandatory, scope: Scope::Product }
}

pub fn stated<T>(value: T, text: &str) -> Statement<T> {
    Statement::Stated { value, clause: clause(text) }
}

pub fn advised<T>(value: T, text: &str) -> Statement<T> {
    Statement::Stated { value, clause: Clause { strength: Strength::Advisory, ..clause(text) } }
}

pub fn mph(value: f64) -> Speed {
    Speed::new(value, SpeedUnit::MilePerHour)
}

pub fn hours(value: f64) -> Duration {
    Duration::new(value, DurationUnit::Hour)
}

pub fn wind(at_least: Option<f64>, at_most: Option<f64>, gusts_count: bool) -> WindLimit {
    WindLimit { at_least: at_least.map(mph), at_most: at_most.map(mph), gusts_count }
}

pub fn rate(text: &str) -> Rate {
    parse_rate(text).unwrap_or_else(|error| panic!("{error}"))
}

pub fn ppe(item: &str, tasks: &[PpeTask]) -> Statement<PpeItem> {
    stated(PpeItem { item: item.to_owned(), tasks: tasks.to_vec() }, &format!("Wear {item}."))
}

/// Lawns against chinch bugs by broadcast spray, 0.2 to 0.4 fl oz/1,000 sq ft.
pub fn row() -> UseRow {
    UseRow {
        id: "turf".to_owned(),
        clause: clause("Lawns: apply 0.2 to 0.4 fl oz per 1,000 sq ft."),
        sites: vec![Site::Turf],
        excluded: Vec::new(),
        pests: vec![PestClaim {
            pest: "chinch bug".to_owned(),
            stages: vec!["nymph".to_owned()],
            claim: Claim::Control,
        }],
        pests_excluded: vec!["fire ant".to_owned()],
        only_these_pests: false,
        method: Method::Broadcast,
        rate: stated(
            RateRange {
                lowest: Some(rate("0.2 fl oz/1,000 sq ft")),
                highest: rate("0.4 fl oz/1,000 sq ft"),
                choice: None,
                below_lowest_prohibited: false,
            },
            "Apply 0.2 to 0.4 fl oz per 1,000 sq ft.",
        ),
        maximum_single: stated(rate("0.4 fl oz/1,000 sq ft"), "At most 0.4 fl oz per 1,000 sq ft at once."),
        band_width: Statement::Silent,
        wall_height: Statement::Silent,
        entry_point_width: Statement::Silent,
        spot_area: Statement::Silent,
        preventive: Statement::Silent,
        constraints: Constraints::default(),
    }
}

/// A label whose restraints are given and that has the one row.
pub fn label(id: &str, restraints: Constraints) -> Label {
    Label {
        id: id.to_owned(),
        product: Product {
            name: format!("Invented {id}"),
            registration_number: None,
            establishment_number: None,
            registrant: None,
            label_version: "1".to_owned(),
            label_date: None,
            net_contents: None,
            registered_in: Vec::new(),
            use_class: UseClass::Unclassified,
            formulation: Formulation::SuspensionConcentrate,
            density: None,
            signal_word: SignalWord::Caution,
            active_ingredients: vec![ActiveIngredient {
                name: format!("exampthrin {id}"),
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
        uses: vec![row()],
    }
}

/// Wind 3 to 10 mph, gloves, no irrigation for 24 h.
pub fn a() -> Label {
    label(
        "a",
        Constraints {
            wind: stated(wind(Some(3.0), Some(10.0), true), "Wind 3 to 10 mph, gusts included."),
            ppe: vec![ppe("gloves", &[PpeTask::Mixing, PpeTask::Applying])],
            irrigation: stated(Irrigation::ProhibitedFor(hours(24.0)), "No irrigation for 24 hours."),
            ..Constraints::default()
        },
    )
}

/// Wind to 8 mph, gloves and eyewear, no irrigation for 48 h.
pub fn c() -> Label {
    label(
        "c",
        Constraints {
            wind: stated(wind(None, Some(8.0), false), "Wind to 8 mph."),
            ppe: vec![ppe("Gloves", &[PpeTask::Mixing]), ppe("eyewear", &[PpeTask::Mixing])],
            irrigation: stated(Irrigation::ProhibitedFor(hours(48.0)), "No irrigation for 48 hours."),
            ..Constraints::default()
        },
    )
}
