//! In which order things go into the tank.
//!
//! # Source
//! Order: South Dakota State Univ. Extension, mixing order: carrier and agitation; dry
//! formulations, fully dispersed; more carrier; flowables; emulsifiable concentrates;
//! microencapsulated after them; surfactants and oils last; the label overrides; jar test. Place of
//! water conditioners, solutions and drift agents: common practice, no source.

use label::Formulation;

/// What goes into the tank besides products.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Adjuvant {
    /// Buffer, acidifier or other water conditioner.
    WaterConditioner,
    /// Compatibility agent.
    CompatibilityAgent,
    /// Drift control agent.
    DriftAgent,
    /// Surfactant or sticker.
    Surfactant,
    /// Crop oil or horticultural oil.
    Oil,
    /// Marker dye.
    MarkerDye,
}

/// Whatever goes into the tank.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mixable {
    /// A product.
    Product(Formulation),
    /// An adjuvant.
    Adjuvant(Adjuvant),
}

/// Groups in the order in which they go into the tank.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MixGroup {
    /// Water conditioners and compatibility agents, before anything else.
    Conditioners,
    /// Dry formulations: wettable powders, dispersible granules, soluble powders and granules.
    Dry,
    /// Flowables (suspension concentrates).
    Flowables,
    /// Emulsifiable concentrates and emulsions.
    Emulsions,
    /// Microencapsulated products.
    Capsules,
    /// Soluble liquids.
    Solutions,
    /// Surfactants, drift agents and dyes.
    Surfactants,
    /// Oils.
    Oils,
}

impl Mixable {
    /// Its group; `None` when it does not belong in a tank (granules, baits and dusts as sold).
    pub const fn group(self) -> Option<MixGroup> {
        match self {
            Self::Product(formulation) => match formulation {
                Formulation::WettablePowder
                | Formulation::WaterDispersibleGranule
                | Formulation::WaterSolubleGranule
                | Formulation::WaterSolublePowder => Some(MixGroup::Dry),
                Formulation::SuspensionConcentrate => Some(MixGroup::Flowables),
                Formulation::EmulsifiableConcentrate | Formulation::EmulsionOilInWater | Formulation::MicroEmulsion => {
                    Some(MixGroup::Emulsions)
                }
                Formulation::CapsuleSuspension => Some(MixGroup::Capsules),
                Formulation::SolubleConcentrate | Formulation::AnyOtherLiquid => Some(MixGroup::Solutions),
                Formulation::Granule | Formulation::Bait | Formulation::DustablePowder => None,
            },
            Self::Adjuvant(adjuvant) => Some(match adjuvant {
                Adjuvant::WaterConditioner | Adjuvant::CompatibilityAgent => MixGroup::Conditioners,
                Adjuvant::DriftAgent | Adjuvant::Surfactant | Adjuvant::MarkerDye => MixGroup::Surfactants,
                Adjuvant::Oil => MixGroup::Oils,
            }),
        }
    }
}

/// One thing that goes into the tank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MixPartner {
    /// Its name as on the label.
    pub name: String,
    /// What it is.
    pub is: Mixable,
    /// The label's own words on mixing, verbatim; they stand before the usual order.
    pub label_words: Option<String>,
    /// The place that the label gives it, where that differs from its group's.
    pub label_place: Option<MixGroup>,
}

/// Who says that a step comes here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MixOrigin {
    /// The usual order by formulation.
    Usual,
    /// A label.
    Label,
}

/// What is done in one step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MixAction {
    /// Read and keep to these words of the label.
    FollowLabel(String),
    /// Try the mix in a jar first.
    JarTest,
    /// Fill the tank half with clean water.
    FillHalf,
    /// Start agitating (stir or shake a hand sprayer), and go on with it.
    Agitate,
    /// Add the measured amount.
    Add,
    /// Wait until it is fully dispersed.
    Disperse,
    /// Add more water, to about three quarters.
    AddWater,
    /// Rinse the measure into the tank.
    RinseMeasure,
    /// Fill up to the volume of the batch.
    TopUp,
}

impl MixAction {
    /// What to do, in words, without the name of the partner.
    pub fn words(&self) -> &str {
        match self {
            Self::FollowLabel(words) => words,
            Self::JarTest => "try the mix in a jar first",
            Self::FillHalf => "fill half with clean water",
            Self::Agitate => "start agitation and keep it going",
            Self::Add => "add the measured amount",
            Self::Disperse => "wait until fully dispersed",
            Self::AddWater => "add water to about three quarters",
            Self::RinseMeasure => "rinse the measure into the tank",
            Self::TopUp => "top up to the batch volume",
        }
    }
}

/// One step of mixing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MixStep {
    /// What is done.
    pub action: MixAction,
    /// With what; `None` for water and tank.
    pub partner: Option<String>,
    /// Who says that it comes here.
    pub origin: MixOrigin,
}

/// The steps for one tank. Partners of one group keep the order in which they are given.
///
/// # Errors
/// When there is no partner, or one is applied dry and does not belong in a tank; all are reported.
pub fn mixing_steps(partners: &[MixPartner]) -> Result<Vec<MixStep>, problem::Problems> {
    let placed = placed(partners)?;
    let mut steps = Vec::new();
    let tank = |action| MixStep { action, partner: None, origin: MixOrigin::Usual };
    let of = |partner: &MixPartner, action, origin| MixStep { action, partner: Some(partner.name.clone()), origin };
    for (_, partner) in &placed {
        if let Some(words) = &partner.label_words {
            steps.push(of(partner, MixAction::FollowLabel(words.clone()), MixOrigin::Label));
        }
    }
    if partners.len() > 1 {
        steps.push(tank(MixAction::JarTest));
    }
    steps.push(tank(MixAction::FillHalf));
    steps.push(tank(MixAction::Agitate));
    for (index, (group, partner)) in placed.iter().enumerate() {
        let origin = if partner.label_place.is_some() { MixOrigin::Label } else { MixOrigin::Usual };
        steps.push(of(partner, MixAction::Add, origin));
        if matches!(partner.is.group(), Some(MixGroup::Dry)) {
            steps.push(of(partner, MixAction::Disperse, MixOrigin::Usual));
        }
        // Liquids need thinner company than the powders before them.
        let last_dry = *group <= MixGroup::Dry && placed.get(index + 1).is_some_and(|(next, _)| *next > MixGroup::Dry);
        if last_dry {
            steps.push(tank(MixAction::AddWater));
        }
    }
    steps.push(tank(MixAction::RinseMeasure));
    steps.push(tank(MixAction::TopUp));
    Ok(steps)
}

/// Partners with their groups, in order.
fn placed(partners: &[MixPartner]) -> Result<Vec<(MixGroup, &MixPartner)>, problem::Problems> {
    let mut problems = problem::Problems::new();
    let mut placed = Vec::new();
    for partner in partners {
        match partner.is.group() {
            Some(group) => placed.push((partner.label_place.unwrap_or(group), partner)),
            None => problems.push(
                problem::Problem::error("sprayer::dry-in-tank", format!("`{}` is applied dry", partner.name))
                    .expected("a product that is mixed with water")
                    .mend("use a spreader"),
            ),
        }
    }
    if partners.is_empty() {
        problems.push(problem::Problem::error("sprayer::empty-mix", "no product in the mix").expected("a product"));
    }
    placed.sort_by_key(|(group, _)| *group);
    problems.unless_errors(placed).map(|(placed, _)| placed)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn partner(name: &str, is: Mixable) -> MixPartner {
        MixPartner { name: name.into(), is, label_words: None, label_place: None }
    }

    fn product(name: &str, formulation: Formulation) -> MixPartner {
        partner(name, Mixable::Product(formulation))
    }

    fn added(partners: &[MixPartner]) -> Vec<String> {
        mixing_steps(partners)
            .unwrap()
            .into_iter()
            .filter(|step| step.action == MixAction::Add)
            .filter_map(|step| step.partner)
            .collect()
    }

    #[test]
    fn formulations_go_in_by_their_group() {
        let partners = [
            partner("oil", Mixable::Adjuvant(Adjuvant::Oil)),
            partner("surfactant", Mixable::Adjuvant(Adjuvant::Surfactant)),
            product("capsules", Formulation::CapsuleSuspension),
            product("solution", Formulation::SolubleConcentrate),
            product("emulsifiable", Formulation::EmulsifiableConcentrate),
            product("flowable", Formulation::SuspensionConcentrate),
            product("granules", Formulation::WaterDispersibleGranule),
            product("powder", Formulation::WettablePowder),
            partner("buffer", Mixable::Adjuvant(Adjuvant::WaterConditioner)),
        ];
        assert_eq!(
            added(&partners),
            ["buffer", "granules", "powder", "flowable", "emulsifiable", "capsules", "solution", "surfactant", "oil"]
        );
    }

    #[test]
    fn one_product_goes_between_two_halves_of_the_water() {
        let mut only = product("flowable", Formulation::SuspensionConcentrate);
        only.label_words = Some("Shake well.".into());
        let actions: Vec<_> = mixing_steps(&[only]).unwrap().into_iter().map(|step| step.action).collect();
        assert_eq!(
            actions,
            [
                MixAction::FollowLabel("Shake well.".into()),
                MixAction::FillHalf,
                MixAction::Agitate,
                MixAction::Add,
                MixAction::RinseMeasure,
                MixAction::TopUp
            ]
        );
    }

    #[test]
    fn powders_disperse_before_more_water_and_liquids() {
        let partners =
            [product("liquid", Formulation::SuspensionConcentrate), product("powder", Formulation::WettablePowder)];
        let actions: Vec<_> = mixing_steps(&partners).unwrap().into_iter().map(|step| step.action).collect();
        assert_eq!(
            actions[3..7],
            [MixAction::Add, MixAction::Disperse, MixAction::AddWater, MixAction::Add],
            "{actions:?}"
        );
        assert_eq!(actions[0], MixAction::JarTest);
    }

    #[test]
    fn a_label_may_move_its_product() {
        let mut moved = product("capsules", Formulation::CapsuleSuspension);
        moved.label_place = Some(MixGroup::Conditioners);
        let flowable = product("flowable", Formulation::SuspensionConcentrate);
        let steps = mixing_steps(&[flowable, moved]).unwrap();
        let first = steps.iter().find(|step| step.action == MixAction::Add).unwrap();
        assert_eq!((first.partner.as_deref(), first.origin), (Some("capsules"), MixOrigin::Label));
    }

    #[test]
    fn dry_products_stay_out_of_the_tank() {
        let partners = [product("bait", Formulation::Bait), product("granules", Formulation::Granule)];
        assert_eq!(mixing_steps(&partners).unwrap_err().len(), 2);
        assert_eq!(mixing_steps(&[]).unwrap_err().iter().next().unwrap().code, "sprayer::empty-mix");
    }
}
