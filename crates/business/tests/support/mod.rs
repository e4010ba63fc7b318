//! An invented business, client and visit.
#![allow(dead_code, unreachable_pub)]

#[path = "../../../treatment/tests/support/mod.rs"]
pub mod visits;

use business::{
    Business, Client, ContainerPrice, Currency, EquipmentCharge, Journey, Money, Neighbour, Occasion, Pricing, Share,
    Tariff, Tax, TaxedPart, Travel, WayPrice,
};
use jurisdiction::{BusinessDays, Jurisdiction};
use quantity::{Amount, AmountUnit, Duration, DurationUnit, Length, LengthUnit, VolumeUnit};
use std::collections::BTreeMap;
use std::num::NonZeroU16;

pub fn usd() -> Currency {
    Currency::parse("USD").unwrap()
}

pub fn dollars(text: &str) -> Money {
    Money::parse(text, usd()).unwrap()
}

pub fn share(text: &str) -> Share {
    Share::parse(text).unwrap()
}

pub fn gallon(price: &str, lot: Option<&str>) -> ContainerPrice {
    let unit = AmountUnit::Volume(VolumeUnit::UsGallon);
    ContainerPrice {
        label: "concentrate".to_owned(),
        lot: lot.map(str::to_owned),
        holds: Amount::new(1.0, unit),
        unit,
        price: dollars(price),
    }
}

pub fn tariff() -> Tariff {
    let mile = Length::new(1.0, LengthUnit::Mile);
    Tariff {
        currency: usd(),
        hourly: Some(dollars("60")),
        travel: Some(Travel {
            per_distance: Some(WayPrice { price: dollars("0.70"), distance: mile, unit: LengthUnit::Mile }),
            hourly: Some(dollars("40")),
        }),
        products: vec![gallon("189.00", None)],
        equipment: vec![EquipmentCharge { equipment: "hand".to_owned(), per_visit: dollars("4") }],
        pricing: Some(Pricing::MarkUp(share("30"))),
        minimum: Some(dollars("85")),
        taxes: vec![Tax { name: "sales tax".to_owned(), share: share("7.25"), on: TaxedPart::Everything }],
        quotation_days: Some(30),
    }
}

pub fn business(place: &str) -> Business {
    Business {
        name: "Example Lawn Care".to_owned(),
        address: vec!["1 Example Street".to_owned()],
        telephone: "555-0100".to_owned(),
        email: None,
        licence_number: None,
        contact: None,
        poison_centre: None,
        place: Jurisdiction::parse(place).unwrap(),
        holidays: BusinessDays::default(),
        tariff: tariff(),
        invented: true,
    }
}

pub fn client() -> Client {
    let neighbour = |name: &str, abuts, asked_for_notice| Neighbour {
        name: name.to_owned(),
        address: Vec::new(),
        abuts,
        asked_for_notice,
        registered: false,
    };
    Client {
        name: "A. Example".to_owned(),
        address: vec!["2 Example Street".to_owned()],
        telephone: None,
        lives_there: vec!["two children".to_owned()],
        journey: Journey {
            distance: Some(Length::new(24.0, LengthUnit::Mile)),
            time: Some(Duration::new(40.0, DurationUnit::Minute)),
        },
        neighbours: vec![neighbour("west", true, true), neighbour("east", true, false), neighbour("far", false, true)],
        place: None,
        conditions: BTreeMap::new(),
        invented: true,
    }
}

pub fn occasion() -> Occasion {
    Occasion { people: NonZeroU16::MIN, journey: client().journey, lots: BTreeMap::new(), stock: Vec::new() }
}
