//! Toxicity categories and the signal word that follows from them.

use crate::product::SignalWord;
use quantity::{Density, DensityUnit, Mass, MassUnit};

/// How severe the acute hazard by one route is.
///
/// # Source
/// 40 CFR 156.62.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ToxicityCategory {
    /// The most severe.
    I,
    /// Severe.
    II,
    /// Moderate.
    III,
    /// Slight.
    IV,
}

/// The way by which a product does harm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Route {
    /// By mouth.
    Oral,
    /// Through the skin.
    Dermal,
    /// By breath.
    Inhalation,
    /// Irritation of the eye.
    Eye,
    /// Irritation of the skin.
    Skin,
}

impl Route {
    /// Whether the word "Poison" is added at category I by this route.
    pub const fn poisons(self) -> bool {
        matches!(self, Self::Oral | Self::Dermal | Self::Inhalation)
    }
}

impl ToxicityCategory {
    /// By mouth, from the median lethal dose in mass of product per kilogram of body.
    /// The upper end of each class belongs to it: 50 mg/kg is I, above 50 is II.
    ///
    /// # Source
    /// 40 CFR 156.62: 50, 500 and 5,000 mg/kg.
    pub fn oral(per_kilogram: Mass) -> Self {
        Self::by_upper_ends(per_kilogram.to(MassUnit::Milligram), [50.0, 500.0, 5000.0])
    }

    /// Through the skin, likewise.
    ///
    /// # Source
    /// 40 CFR 156.62: 200, 2,000 and 20,000 mg/kg.
    pub fn dermal(per_kilogram: Mass) -> Self {
        Self::by_upper_ends(per_kilogram.to(MassUnit::Milligram), [200.0, 2000.0, 20_000.0])
    }

    /// By breath, from the median lethal concentration in mass of product per volume of air.
    ///
    /// # Source
    /// 40 CFR 156.62: 0.2, 2 and 20 mg/L.
    pub fn inhalation(in_air: Density) -> Self {
        // One milligram per litre is a thousandth of a gram per litre.
        Self::by_upper_ends(in_air.to(DensityUnit::GramPerLitre) * 1000.0, [0.2, 2.0, 20.0])
    }

    fn by_upper_ends(value: f64, ends: [f64; 3]) -> Self {
        // A conversion to SI and back may leave the last bit behind: the end still belongs to its class.
        let within = |end: f64| value <= end * (1.0 + 1e-12);
        if within(ends[0]) {
            Self::I
        } else if within(ends[1]) {
            Self::II
        } else if within(ends[2]) {
            Self::III
        } else {
            Self::IV
        }
    }
}

impl SignalWord {
    /// The signal word for the category of each route that was tested; `None` when none was.
    /// It goes by the product as sold, not as diluted.
    ///
    /// # Source
    /// 40 CFR 156.64: the worst route decides; "Poison" only for category I by mouth, skin or breath.
    pub fn from_categories(routes: &[(Route, ToxicityCategory)]) -> Option<Self> {
        let worst = routes.iter().map(|(_, category)| *category).min()?;
        let poisons = routes.iter().any(|(route, category)| *category == ToxicityCategory::I && route.poisons());
        Some(match worst {
            ToxicityCategory::I if poisons => Self::DangerPoison,
            ToxicityCategory::I => Self::Danger,
            ToxicityCategory::II => Self::Warning,
            ToxicityCategory::III => Self::Caution,
            ToxicityCategory::IV => Self::NoneRequired,
        })
    }
}
