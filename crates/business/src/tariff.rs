//! What the business pays and charges, as it states it.

use crate::{Currency, Fraction, Money, Share};
use problem::Problem;
use quantity::{Amount, AmountUnit, Length, LengthUnit};

/// Prices and rates of a business, all in one currency. What is not stated is `None`, never nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Tariff {
    /// The currency of all of it.
    pub currency: Currency,
    /// What an hour of one person at work costs.
    pub hourly: Option<Money>,
    /// What the way to the property and back costs; `None` when it is not charged for.
    pub travel: Option<Travel>,
    /// What containers of product cost.
    pub products: Vec<ContainerPrice>,
    /// What equipment costs per visit, where it is charged for.
    pub equipment: Vec<EquipmentCharge>,
    /// How a price is made from a cost.
    pub pricing: Option<Pricing>,
    /// The least that a visit is charged at before tax.
    pub minimum: Option<Money>,
    /// Taxes on the price.
    pub taxes: Vec<Tax>,
    /// For how many days a quotation holds.
    pub quotation_days: Option<u16>,
}

/// What the way costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Travel {
    /// The price of so much way.
    pub per_distance: Option<WayPrice>,
    /// What an hour of one person on the way costs.
    pub hourly: Option<Money>,
}

/// The price of so much way, such as of one mile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WayPrice {
    /// The price.
    pub price: Money,
    /// Of how much way, above nothing.
    pub distance: Length,
    /// The unit in which that is told.
    pub unit: LengthUnit,
}

/// What a container of product cost.
#[derive(Debug, Clone, PartialEq)]
pub struct ContainerPrice {
    /// The label's id.
    pub label: String,
    /// The lot; `None` for a price that holds for any lot of the label.
    pub lot: Option<String>,
    /// What the container holds, above nothing.
    pub holds: Amount,
    /// The unit in which that is told.
    pub unit: AmountUnit,
    /// Its price.
    pub price: Money,
}

/// What a piece of equipment costs on one visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EquipmentCharge {
    /// Its id in the equipment file.
    pub equipment: String,
    /// Per visit on which it is used.
    pub per_visit: Money,
}

/// How a price is made from a cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pricing {
    /// The price is the cost and this share of the cost on top.
    MarkUp(Share),
    /// This share of the price is not cost. Below 100 %.
    Margin(Share),
}

impl Pricing {
    /// A margin.
    ///
    /// # Errors
    /// `money::margin` from 100 % on: no price would have room for a cost.
    pub fn margin(share: Share) -> Result<Self, Problem> {
        share.of_the_whole().map(|_| Self::Margin(share)).ok_or_else(|| {
            Problem::error("money::margin", format!("a margin of `{share}` leaves no room for the cost"))
                .expected("a share of the price below 100 %")
                .mend("state `mark_up` if you mean a share of the cost")
        })
    }

    /// What a cost is multiplied by.
    pub fn factor(self) -> Fraction {
        match self {
            Self::MarkUp(share) => share.on_top(),
            Self::Margin(share) => share.of_the_whole().unwrap_or(Fraction::ONE),
        }
    }

    /// In words: `30 % on the cost`.
    pub fn words(self) -> String {
        match self {
            Self::MarkUp(share) => format!("{share} on the cost"),
            Self::Margin(share) => format!("{share} of the price"),
        }
    }
}

/// A tax on a price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tax {
    /// What it is called.
    pub name: String,
    /// How much.
    pub share: Share,
    /// On what.
    pub on: TaxedPart,
}

/// What a tax is reckoned on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TaxedPart {
    /// The whole price before tax.
    Everything,
    /// What is charged for products only.
    Products,
}

impl TaxedPart {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Everything, Self::Products];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Everything => "everything",
            Self::Products => "products",
        }
    }
}
