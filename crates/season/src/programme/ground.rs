//! Ground that is treated alike, and what lay on it before.

use jiff::civil::Date;
use label::Site;
use quantity::{AmountPerArea, Area, MassPerArea};

/// A group of zones that are treated together and alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    /// The word by which it is named.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Its size.
    pub area: Area,
    /// The site, as labels name it.
    pub site: Site,
}

/// What was applied on a ground before the programme begins, or in it so far.
#[derive(Debug, Clone, PartialEq)]
pub struct PastApplication {
    /// When.
    pub date: Date,
    /// Where: its place among the grounds.
    pub ground: usize,
    /// Which of the season's uses it was, where it was one: its residue still protects.
    pub product_use: Option<usize>,
    /// The product, by the id of its label or its name.
    pub label: String,
    /// Product per area.
    pub per_area: AmountPerArea,
    /// Active ingredients per area.
    pub ingredients: Vec<(String, MassPerArea)>,
    /// Mode-of-action groups; none when nobody knows them.
    pub groups: Vec<String>,
}
