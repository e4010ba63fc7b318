//! Use rows: where, against what, how, and at which rate.

use crate::clause::{Clause, Statement};
use crate::constraint::Constraints;
use crate::pest_name::closeness;
use quantity::{Area, Length, Rate};

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal;)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vdoc])* $variant,)+ }
        impl $name {
            /// Every one.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];
            /// The word used in files and on paper.
            pub const fn word(self) -> &'static str { match self { $(Self::$variant => $word,)+ } }
            /// Reads the word; `None` for any other.
            pub fn from_word(word: &str) -> Option<Self> { match word { $($word => Some(Self::$variant),)+ _ => None } }
        }
    };
}
pub(crate) use words;

words! {
    /// A kind of site that a label may list.
    Site {
        /// Turf.
        Turf = "turf";
        /// Non-food ornamental plants.
        Ornamental = "ornamental";
        /// Food plants.
        FoodCrop = "food-crop";
        /// The outside of a structure and the ground next to it.
        StructurePerimeter = "structure-perimeter";
        /// Cracks, and gaps round doors, windows and pipes.
        EntryPoint = "entry-point";
        /// Bare soil.
        BareSoil = "bare-soil";
        /// Paving.
        Impervious = "impervious";
        /// Trees.
        Tree = "tree";
    }
}

words! {
    /// A way to apply.
    Method {
        /// Liquid, evenly over an area.
        Broadcast = "broadcast";
        /// Liquid, on the ground next to a structure and the lowest part of its wall.
        Perimeter = "perimeter";
        /// Liquid, on leaves, by dilution.
        Foliar = "foliar";
        /// Liquid, on a small place.
        Spot = "spot";
        /// Liquid, in a narrow line along a gap.
        CrackAndCrevice = "crack-and-crevice";
        /// Liquid, poured on the soil over roots or nests.
        Drench = "drench";
        /// Granules, evenly over an area.
        GranularBroadcast = "granular-broadcast";
        /// Bait, scattered over an area.
        BaitBroadcast = "bait-broadcast";
        /// On single mounds.
        Mound = "mound";
        /// In bait stations.
        BaitStation = "bait-station";
        /// Into trunks.
        Injection = "injection";
    }
}

impl Method {
    /// Whether it goes out in water.
    pub const fn is_sprayed(self) -> bool {
        matches!(
            self,
            Self::Broadcast | Self::Perimeter | Self::Foliar | Self::Spot | Self::CrackAndCrevice | Self::Drench
        )
    }
}

words! {
    /// What a label claims against a pest.
    Claim {
        /// Control.
        Control = "control";
        /// Suppression.
        Suppression = "suppression";
        /// Prevention.
        Preventive = "preventive";
    }
}

words! {
    /// When a use may begin, as seen from the pest.
    PreventiveUse {
        /// Before the pest is there, against the pests that the row claims to prevent.
        Permitted = "permitted";
        /// Only where the pest is there.
        OnlyWhenPresent = "only-when-present";
    }
}

/// A pest on a use row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PestClaim {
    /// Common name, lower case, as in the pest's profile (`chinch bug`).
    pub pest: String,
    /// Life stages it is claimed for; empty when the label names none.
    pub stages: Vec<String>,
    /// What is claimed.
    pub claim: Claim,
}

/// The rates of a use row; both ends have the same basis.
#[derive(Debug, Clone, PartialEq)]
pub struct RateRange {
    /// Lowest rate; `None` when the label gives one rate only or says "up to".
    pub lowest: Option<Rate>,
    /// Highest rate.
    pub highest: Rate,
    /// When to take which, in the label's words.
    pub choice: Option<String>,
    /// Whether a rate below the lowest is prohibited. (Federal law allows less unless the label
    /// forbids it: FIFRA section 2(ee).)
    pub below_lowest_prohibited: bool,
}

/// One use: a site, the pests, a method, a rate, and what binds it beyond the restraints.
#[derive(Debug, Clone, PartialEq)]
pub struct UseRow {
    /// The word by which it is named in verdicts.
    pub id: String,
    /// The directions in the label's words.
    pub clause: Clause,
    /// Sites.
    pub sites: Vec<Site>,
    /// Plants or places of those sites that are excluded, in words.
    pub excluded: Vec<String>,
    /// Pests claimed.
    pub pests: Vec<PestClaim>,
    /// Pests that the label excludes by name.
    pub pests_excluded: Vec<String>,
    /// Whether the label forbids use against any other pest.
    pub only_these_pests: bool,
    /// Method.
    pub method: Method,
    /// Rate.
    pub rate: Statement<RateRange>,
    /// The most that one application may put on a place, per area, whatever the basis of the rate.
    pub maximum_single: Statement<Rate>,
    /// Widest band on the ground from a wall (perimeter).
    pub band_width: Statement<Length>,
    /// Greatest height on a wall above grade (perimeter).
    pub wall_height: Statement<Length>,
    /// Widest line along an entry point.
    pub entry_point_width: Statement<Length>,
    /// Largest area of one spot.
    pub spot_area: Statement<Area>,
    /// Whether it may be used before the pest is there.
    pub preventive: Statement<PreventiveUse>,
    /// What binds this use beyond the restraints.
    pub constraints: Constraints,
}

impl UseRow {
    /// The sentence by which the row may be used against a pest before it is there; `None` where the row does not claim to
    /// prevent this pest, or no sentence permits it.
    ///
    /// `pest` is the common name as in the pest's profile; case does not count, and a general word of the label names its kinds.
    pub fn permits_prevention(&self, pest: &str) -> Option<&Clause> {
        let is_claimed = self.claims_against(pest).iter().any(|claim| claim.claim == Claim::Preventive);
        match &self.preventive {
            Statement::Stated { value: PreventiveUse::Permitted, clause } if is_claimed => Some(clause),
            _ => None,
        }
    }

    /// The claims against a pest, by the word of the label that names it most closely: its own name before the general word of
    /// its kind. None where the label does not name it.
    pub fn claims_against(&self, pest: &str) -> Vec<&PestClaim> {
        let closest = self.pests.iter().filter_map(|claim| closeness(&claim.pest, pest)).max();
        let is_closest = |claim: &&PestClaim| closest.is_some() && closeness(&claim.pest, pest) == closest;
        self.pests.iter().filter(is_closest).collect()
    }
}
