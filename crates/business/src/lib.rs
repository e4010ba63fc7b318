//! Money, people and their papers: what a visit costs, what it is quoted at, which notices and signs
//! are demanded by when, and what the client is told.
//!
//! Money is exact: whole minor units of one currency, no binary fractions. What has no price is told,
//! never taken as nothing.
//!
//! This crate must not know: files, clocks, how a paper looks.

mod applied;
mod business;
mod client;
mod cost;
mod currency;
mod demands;
mod exact;
mod lawn_date;
mod money;
mod notice_items;
mod price;
mod product_cost;
mod quotation;
mod stocked_lot;
mod tariff;
mod telling;
mod ways;

pub use applied::{Applied, AppliedProduct, TreatedPlace};
pub use business::Business;
pub use client::{Client, Journey, Neighbour};
pub use cost::{Cost, CostInput, CostKind, CostLine, Occasion, Unpriced, cost};
pub use currency::Currency;
pub use demands::{ClientNoticeDeadline, Demands, Facts, NeighbourDeadline, demands, ground_of};
pub use exact::{Fraction, Share};
pub use lawn_date::{LawnDate, LawnWork};
pub use money::{Money, MoneyError};
pub use notice_items::lacking;
pub use price::{Price, PriceLine, TaxLine, price};
pub use quotation::{NoQuotation, Quotation, QuotationHead, WorkLine, quote};
pub use stocked_lot::StockedLot;
pub use tariff::{ContainerPrice, EquipmentCharge, Pricing, Tariff, Tax, TaxedPart, Travel, WayPrice};
pub use telling::{Advice, Treatment, When};
pub use ways::with_cost_of_ways;
