//! What was applied, as far as its papers need it. A record can be turned into it.

use jiff::civil::DateTime;
use label::Method;
use quantity::{Amount, Area};
use treatment::Applicator;

/// What was applied on one visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Applied {
    /// What the visit is called.
    pub visit: String,
    /// Name of the property.
    pub property: String,
    /// Local time of the start.
    pub start: DateTime,
    /// Local time of the end.
    pub end: DateTime,
    /// What was treated, place by place.
    pub places: Vec<TreatedPlace>,
    /// What was put down in all, product by product.
    pub products: Vec<AppliedProduct>,
    /// Who applied it.
    pub by: Vec<Applicator>,
    /// Why, in words, such as the pest found and how many of it.
    pub why: Vec<String>,
    /// What was done against a label and concerns those who live there, and what they must do; sentences.
    pub misapplied: Vec<String>,
}

/// A place that was treated.
#[derive(Debug, Clone, PartialEq)]
pub struct TreatedPlace {
    /// Where: the names of zones or features of the map, or words.
    pub places: Vec<String>,
    /// How.
    pub method: Method,
    /// The names of the products.
    pub products: Vec<String>,
    /// Against which pests.
    pub pests: Vec<String>,
    /// Treated ground.
    pub ground: Area,
    /// Treated wall.
    pub wall: Area,
}

/// A product and how much of it was put down.
#[derive(Debug, Clone, PartialEq)]
pub struct AppliedProduct {
    /// Its name.
    pub name: String,
    /// Its registration number as printed.
    pub registration_number: Option<String>,
    /// The names of its active ingredients.
    pub active_ingredients: Vec<String>,
    /// How much in all; `None` when it is not known.
    pub amount: Option<Amount>,
}
