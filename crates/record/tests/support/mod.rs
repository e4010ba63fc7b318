//! Invented records that the tests of this crate reckon with.
#![allow(dead_code, unreachable_pub)]

use geometry::{GeoPosition, Point, Region};
use jiff::civil::{Date, date};
use label::{ActiveIngredient, Method, Site, UseClass};
use quantity::{
    Amount, AmountUnit, Area, AreaUnit, Content, Density, DensityUnit, Rate, Volume, VolumePerArea, VolumePerAreaUnit,
    VolumeUnit, parse_rate,
};
use record::{
    ApplicationRecord, CalibrationUsed, Fact, Fill, Moment, Observed, ProductRecord, PropertyReference, Provenance,
    Tank, TankTold, TaskRecord, TreatedZone,
};
use treatment::ZoneKind;

pub fn origin() -> GeoPosition {
    GeoPosition::from_degrees(-97.62, 38.84).unwrap()
}

pub fn square_metres(value: f64) -> Area {
    Area::new(value, AreaUnit::SquareMetre)
}

pub fn millilitres(value: f64) -> Amount {
    Amount::new(value, AmountUnit::Volume(VolumeUnit::Millilitre))
}

pub fn litres(value: f64) -> Volume {
    Volume::new(value, VolumeUnit::Litre)
}

pub fn rate(text: &str) -> Rate {
    parse_rate(text).unwrap_or_else(|error| panic!("{error}"))
}

pub fn ring(points: &[(f64, f64)]) -> Region {
    let points: Vec<Point> = points.iter().map(|(x, y)| Point::from_metres(*x, *y)).collect();
    Region::from_ring(&points).unwrap()
}

pub fn rectangle(x: f64, y: f64, width: f64, depth: f64) -> Region {
    ring(&[(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)])
}

pub fn at(hour: i8, minute: i8) -> Moment {
    Moment { local: date(2026, 7, 7).at(hour, minute, 0, 0), offset: jiff::tz::offset(-5) }
}

/// A product by volume with one active ingredient of so many grams per litre.
pub fn product(label: &str, ingredient: &str, grams_per_litre: f64, amount: Amount) -> ProductRecord {
    ProductRecord {
        label: label.to_owned(),
        name: format!("{label} (invented)"),
        registration_number: Fact::Recorded("00000-1 (invented)".to_owned()),
        label_version: Fact::Recorded("2026-01".to_owned()),
        lots: Fact::Absent,
        use_class: Fact::Recorded(UseClass::Unclassified),
        use_row: Fact::Recorded("turf".to_owned()),
        active_ingredients: Fact::Recorded(vec![ActiveIngredient {
            name: ingredient.to_owned(),
            content: Content::MassPerVolume(Density::new(grams_per_litre, DensityUnit::GramPerLitre)),
            mass_fraction: None,
            group: Some("3A".to_owned()),
        }]),
        density: None,
        rate: Fact::Recorded(rate("1 mL/100 m²")),
        amount,
    }
}

/// A broadcast over some ground with one tank.
pub fn task(id: &str, ground: Region, product: ProductRecord, spray: Volume) -> TaskRecord {
    let fill = Fill { spray: Some(spray), products: vec![product.amount], covered: Fact::Recorded(ground.area()) };
    TaskRecord {
        id: id.to_owned(),
        method: Method::Broadcast,
        equipment: Fact::Recorded("hand-pump".to_owned()),
        calibration: Fact::Recorded(CalibrationUsed {
            name: "lawn".to_owned(),
            date: Some(date(2026, 6, 15)),
            output: Some(VolumePerArea::new(
                spray.to(VolumeUnit::Litre) / ground.area().to(AreaUnit::Hectare),
                VolumePerAreaUnit::LitrePerHectare,
            )),
        }),
        sites: Fact::Recorded(vec![Site::Turf]),
        pest: Fact::Recorded("grasshopper".to_owned()),
        ground: ground.area(),
        wall: Area::ZERO,
        zones: vec![TreatedZone { id: "lawn-1".to_owned(), kind: ZoneKind::Turf, ground }],
        places: Fact::DoesNotArise,
        products: vec![product],
        carrier: Fact::Recorded(spray),
        tanks: vec![Tank {
            planned: Some(fill.clone()),
            filled: Some(fill),
            filled_at: Fact::Absent,
            emptied_at: Fact::Absent,
            weather: Observed::default(),
            carried_over: Fact::Absent,
            told: TankTold::Nothing,
        }],
    }
}

pub fn record(date: Date, tasks: Vec<TaskRecord>) -> ApplicationRecord {
    ApplicationRecord {
        name: "an invented visit".to_owned(),
        client: Fact::Absent,
        client_address: Fact::Absent,
        location: Fact::Absent,
        property: PropertyReference { name: "Invented Lot".to_owned(), origin: origin() },
        date,
        started: Fact::Absent,
        ended: Fact::Absent,
        tasks,
        weather_at_start: Observed::default(),
        weather_at_end: Observed::default(),
        applicator: Fact::Recorded("J. Example".to_owned()),
        certification_number: Fact::Absent,
        supervisor: Fact::Absent,
        noncertified_applicator: Fact::Absent,
        notices: Fact::Absent,
        re_entry: Fact::Absent,
        target_counts: Fact::Absent,
        unexpected: Fact::Absent,
        disposal: Fact::Absent,
        leftover: Fact::Absent,
        breaches: Vec::new(),
        not_judged: Vec::new(),
        provenance: Provenance::default(),
    }
}
