//! The product, and the label as a whole.

use crate::clause::Clause;
use crate::constraint::Constraints;
use crate::use_row::UseRow;
use quantity::{AmountPerArea, Content, Density, MassFraction, MassPerArea};

/// The signal word.
///
/// # Source
/// 40 CFR 156.64: DANGER, WARNING, CAUTION by the most severe route; "Poison" is added to DANGER for
/// toxicity category I by mouth, skin or breath.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SignalWord {
    /// Toxicity category IV: none is required.
    NoneRequired,
    /// Toxicity category III.
    Caution,
    /// Toxicity category II.
    Warning,
    /// Toxicity category I by eye or skin irritation.
    Danger,
    /// Toxicity category I by mouth, skin or breath.
    DangerPoison,
}

impl SignalWord {
    /// Every one, the mildest first.
    pub const ALL: &'static [Self] =
        &[Self::NoneRequired, Self::Caution, Self::Warning, Self::Danger, Self::DangerPoison];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::NoneRequired => "none",
            Self::Caution => "caution",
            Self::Warning => "warning",
            Self::Danger => "danger",
            Self::DangerPoison => "danger-poison",
        }
    }

    /// The word as a label prints it; nothing when none is required.
    pub const fn printed(self) -> &'static str {
        match self {
            Self::NoneRequired => "",
            Self::Caution => "CAUTION",
            Self::Warning => "WARNING",
            Self::Danger => "DANGER",
            Self::DangerPoison => "DANGER — POISON",
        }
    }
}

/// Who may use it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum UseClass {
    /// Unclassified (general) use.
    Unclassified,
    /// Restricted use: certified applicators and those under their direct supervision.
    Restricted,
}

impl UseClass {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Unclassified, Self::Restricted];

    /// The word used in files and on paper.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Unclassified => "unclassified",
            Self::Restricted => "restricted",
        }
    }
}

/// The formulation by its international two-letter code.
///
/// # Source
/// CropLife International, Technical Monograph 2, 7th edition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Formulation {
    /// Suspension concentrate (flowable).
    SuspensionConcentrate,
    /// Emulsifiable concentrate.
    EmulsifiableConcentrate,
    /// Water-dispersible granules.
    WaterDispersibleGranule,
    /// Wettable powder.
    WettablePowder,
    /// Capsule suspension.
    CapsuleSuspension,
    /// Soluble concentrate.
    SolubleConcentrate,
    /// Emulsion, oil in water.
    EmulsionOilInWater,
    /// Micro-emulsion.
    MicroEmulsion,
    /// Water-soluble granules.
    WaterSolubleGranule,
    /// Water-soluble powder.
    WaterSolublePowder,
    /// Granules, applied dry.
    Granule,
    /// Ready-to-use bait.
    Bait,
    /// Dust, applied dry.
    DustablePowder,
    /// Any other liquid, applied as sold.
    AnyOtherLiquid,
}

impl Formulation {
    /// Every formulation.
    pub const ALL: &'static [Self] = &[
        Self::SuspensionConcentrate,
        Self::EmulsifiableConcentrate,
        Self::WaterDispersibleGranule,
        Self::WettablePowder,
        Self::CapsuleSuspension,
        Self::SolubleConcentrate,
        Self::EmulsionOilInWater,
        Self::MicroEmulsion,
        Self::WaterSolubleGranule,
        Self::WaterSolublePowder,
        Self::Granule,
        Self::Bait,
        Self::DustablePowder,
        Self::AnyOtherLiquid,
    ];

    /// The two-letter code.
    pub const fn code(self) -> &'static str {
        match self {
            Self::SuspensionConcentrate => "SC",
            Self::EmulsifiableConcentrate => "EC",
            Self::WaterDispersibleGranule => "WG",
            Self::WettablePowder => "WP",
            Self::CapsuleSuspension => "CS",
            Self::SolubleConcentrate => "SL",
            Self::EmulsionOilInWater => "EW",
            Self::MicroEmulsion => "ME",
            Self::WaterSolubleGranule => "SG",
            Self::WaterSolublePowder => "SP",
            Self::Granule => "GR",
            Self::Bait => "RB",
            Self::DustablePowder => "DP",
            Self::AnyOtherLiquid => "AL",
        }
    }

    /// Whether it goes out dry, without water.
    pub const fn is_applied_dry(self) -> bool {
        matches!(self, Self::Granule | Self::Bait | Self::DustablePowder)
    }
}

/// One active ingredient.
#[derive(Debug, Clone, PartialEq)]
pub struct ActiveIngredient {
    /// ISO 1750 common name, as the label prints it.
    pub name: String,
    /// How much of it the product holds, for arithmetic by the product's own measure.
    pub content: Content,
    /// The share of mass that the label prints beside it.
    pub mass_fraction: Option<MassFraction>,
    /// Mode-of-action group, such as `3A`.
    ///
    /// # Source
    /// Insecticide Resistance Action Committee, mode-of-action classification.
    pub group: Option<String>,
}

/// The product facts of a label.
#[derive(Debug, Clone, PartialEq)]
pub struct Product {
    /// Name as printed.
    pub name: String,
    /// Registration number as printed.
    pub registration_number: Option<String>,
    /// Establishment number as printed.
    pub establishment_number: Option<String>,
    /// Who holds the registration.
    pub registrant: Option<String>,
    /// Version of the label text, as printed.
    pub label_version: String,
    /// Date of the label text.
    pub label_date: Option<jiff::civil::Date>,
    /// Net contents as printed.
    pub net_contents: Option<String>,
    /// States or provinces in which it is registered, by abbreviation; empty when the file does not say.
    pub registered_in: Vec<String>,
    /// Who may use it.
    pub use_class: UseClass,
    /// Formulation.
    pub formulation: Formulation,
    /// Mass per volume of the product.
    pub density: Option<Density>,
    /// Signal word.
    pub signal_word: SignalWord,
    /// Active ingredients; at least one.
    pub active_ingredients: Vec<ActiveIngredient>,
    /// Whether the whole label is invented, for practice only.
    pub invented: bool,
}

/// A label: one version of one product's text.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// The word by which visits and records name it.
    pub id: String,
    /// Product facts.
    pub product: Product,
    /// Precautionary statements (hazards to people, environment, fire).
    pub precautions: Vec<Clause>,
    /// First-aid statements.
    pub first_aid: Vec<Clause>,
    /// Storage, disposal and container statements.
    pub storage_and_disposal: Vec<Clause>,
    /// What binds every use: restraints. A restraint beats any permission of a use row.
    pub restraints: Constraints,
    /// One row per site, pest and method.
    pub uses: Vec<UseRow>,
}

impl Label {
    /// The life stages of a pest that it claims, over all rows: none named where a claim is for any stage; `None` where
    /// no row claims the pest.
    pub fn stages_claimed(&self, pest: &str) -> Option<Vec<&str>> {
        let claims: Vec<_> = self.uses.iter().flat_map(|row| row.claims_against(pest)).collect();
        if claims.is_empty() {
            return None;
        }
        if claims.iter().any(|claim| claim.stages.is_empty()) {
            return Some(Vec::new());
        }
        let mut stages: Vec<&str> = Vec::new();
        for stage in claims.iter().flat_map(|claim| &claim.stages) {
            if !stages.contains(&stage.as_str()) {
                stages.push(stage);
            }
        }
        Some(stages)
    }
}

impl Product {
    /// How much of one of its active ingredients an amount of product per area puts there; `None`
    /// when that takes a density which the label does not give.
    pub fn ingredient_per_area(&self, ingredient: &ActiveIngredient, product: AmountPerArea) -> Option<MassPerArea> {
        match (ingredient.content, product) {
            (Content::MassPerVolume(content), AmountPerArea::Volume(volume)) => Some(content * volume),
            (Content::MassPerVolume(content), AmountPerArea::Mass(mass)) => Some(mass * content.ratio(self.density?)),
            (Content::MassFraction(share), AmountPerArea::Mass(mass)) => Some(mass * share.part()),
            (Content::MassFraction(share), AmountPerArea::Volume(volume)) => {
                Some(self.density? * volume * share.part())
            }
        }
    }

    /// How much product per area holds so much of one of its active ingredients, by volume or by
    /// weight as `like` is; `None` when that takes a density which the label does not give, or the
    /// product holds none of it.
    pub fn product_for_ingredient(
        &self,
        ingredient: &ActiveIngredient,
        most: MassPerArea,
        like: AmountPerArea,
    ) -> Option<AmountPerArea> {
        let times = most.ratio(self.ingredient_per_area(ingredient, like)?);
        times.is_finite().then(|| like.scaled(times))
    }
}
