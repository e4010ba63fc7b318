//! Why a treatment may have done little.

use super::Control;

/// The control that is expected where nobody says another. Common practice, no source.
pub const EXPECTED_CONTROL: Control = Control::known(0.8);

/// What to check after a poor result. The order is that of how often it is the cause and how easily it is checked: common
/// practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PoorCause {
    /// The pests were of a stage that the product does not reach.
    Stage,
    /// The product did not get where the pests are.
    Coverage,
    /// The water of the mix was too alkaline.
    WaterPh,
    /// Rain or sprinklers took it away, or did not water it in.
    Rain,
    /// Less was put down than was planned.
    Rate,
    /// The pests stand the group of action.
    Resistance,
}

impl PoorCause {
    /// Every cause, in the order in which to check.
    pub const IN_ORDER: [Self; 6] =
        [Self::Stage, Self::Coverage, Self::WaterPh, Self::Rain, Self::Rate, Self::Resistance];

    /// What to check, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Stage => "stage: were eggs, large larvae or winged adults there, which the product does not reach?",
            Self::Coverage => {
                "coverage: did the spray reach the thatch or the leaf where they live, with water enough?"
            }
            Self::WaterPh => "pH of the water: above 7 some products break down in the tank within hours; measure it",
            Self::Rain => {
                "rain and sprinklers: did it stay dry as long as the label asks, or was it watered in if it must be?"
            }
            Self::Rate => "rate: what was put down on the ground that was treated, by the record, against the label?",
            Self::Resistance => "resistance: last, over several uses of one group; one visit never shows it",
        }
    }
}
