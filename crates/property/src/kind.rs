//! What a feature of the map is, and the state that matters for the kind.

use geometry::Shape;
use jiff::civil::Date;
use problem::Problem;
use quantity::Length;

/// The word for what a feature is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The outline of the property.
    Boundary,
    /// Lawn; without any on the map, the rest of the lot is lawn.
    Turf,
    /// Shrubs, hedges, flowers that nobody eats.
    Ornamental,
    /// Vegetables, fruit, herbs.
    Edible,
    /// A building.
    Structure,
    /// Driveway, walk, patio, deck: an impervious or built surface.
    Paved,
    /// Soil without cover.
    BareSoil,
    /// A mulched bed without plants of another kind.
    Mulch,
    /// Pond, creek, ditch: an area or a line.
    Water,
    /// A storm drain or other inlet.
    Drain,
    /// A well.
    Well,
    /// Hives of bees.
    Hive,
    /// Where children play.
    PlayArea,
    /// Where pets rest or run.
    PetArea,
    /// A tree, as a trunk or a crown.
    Tree,
    /// Ground or a line to keep off, such as the path of a power line.
    NoGo,
    /// Where insects may get into a building.
    EntryPoint,
    /// A mound of a colony of ants.
    Mound,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 18] = [
        Self::Boundary,
        Self::Turf,
        Self::Ornamental,
        Self::Edible,
        Self::Structure,
        Self::Paved,
        Self::BareSoil,
        Self::Mulch,
        Self::Water,
        Self::Drain,
        Self::Well,
        Self::Hive,
        Self::PlayArea,
        Self::PetArea,
        Self::Tree,
        Self::NoGo,
        Self::EntryPoint,
        Self::Mound,
    ];

    /// The word as a map writes it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Boundary => "boundary",
            Self::Turf => "turf",
            Self::Ornamental => "ornamental",
            Self::Edible => "edible",
            Self::Structure => "structure",
            Self::Paved => "paved",
            Self::BareSoil => "bare-soil",
            Self::Mulch => "mulch",
            Self::Water => "water",
            Self::Drain => "drain",
            Self::Well => "well",
            Self::Hive => "hive",
            Self::PlayArea => "play-area",
            Self::PetArea => "pet-area",
            Self::Tree => "tree",
            Self::NoGo => "no-go",
            Self::EntryPoint => "entry-point",
            Self::Mound => "mound",
        }
    }

    /// Whether an area of this kind classes the ground: such areas may not overlap.
    pub const fn is_ground(self) -> bool {
        matches!(
            self,
            Self::Turf
                | Self::Ornamental
                | Self::Edible
                | Self::Structure
                | Self::Paved
                | Self::BareSoil
                | Self::Mulch
                | Self::Water
        )
    }

    /// Whether the feature may stand outside the boundary: it matters for distance or wind.
    pub const fn may_stand_outside(self) -> bool {
        !matches!(
            self,
            Self::Boundary
                | Self::Turf
                | Self::Ornamental
                | Self::Edible
                | Self::Structure
                | Self::Paved
                | Self::BareSoil
                | Self::Mulch
                | Self::EntryPoint
                | Self::Mound
        )
    }

    /// Whether the kind may be drawn as a point.
    pub const fn may_be_point(self) -> bool {
        matches!(
            self,
            Self::Drain
                | Self::Well
                | Self::Hive
                | Self::Tree
                | Self::NoGo
                | Self::EntryPoint
                | Self::Mound
                | Self::PlayArea
                | Self::PetArea
        )
    }

    /// Whether the kind may be drawn as a line.
    pub const fn may_be_line(self) -> bool {
        matches!(self, Self::Water | Self::Drain | Self::NoGo | Self::EntryPoint)
    }

    /// Whether plants of the kind may be in bloom, weeds and clover of a lawn included.
    pub const fn may_bloom(self) -> bool {
        matches!(self, Self::Turf | Self::Ornamental | Self::Edible | Self::Tree)
    }

    /// Whether the kind may be drawn as such a shape; every kind may be drawn as an area.
    pub const fn permits(self, shape: &Shape) -> bool {
        match shape {
            Shape::Point(_) => self.may_be_point(),
            Shape::Line(_) => self.may_be_line(),
            Shape::Region(_) => true,
        }
    }

    /// Reads the word, together with the state that some words carry: `ornamental-in-bloom` is an
    /// ornamental seen in bloom on no stated day.
    ///
    /// # Errors
    /// `property::unknown-kind` with the nearest word.
    pub fn parse_word(word: &str) -> Result<(Self, Option<Bloom>), Problem> {
        if word == IN_BLOOM {
            return Ok((Self::Ornamental, Some(Bloom { in_bloom: true, seen_on: None })));
        }
        if let Some(kind) = Self::ALL.into_iter().find(|kind| kind.word() == word) {
            return Ok((kind, None));
        }
        let words = || Self::ALL.into_iter().map(Self::word).chain([IN_BLOOM]);
        let nearest = words().min_by_key(|known| edits(&word.to_lowercase(), known)).unwrap_or("turf");
        let list: Vec<String> = words().map(|word| format!("`{word}`")).collect();
        Err(Problem::error("property::unknown-kind", format!("kind `{word}` is not known"))
            .expected(format!("one of {}", list.join(", ")))
            .mend(format!("write `{nearest}` if that is what is meant")))
    }
}

const IN_BLOOM: &str = "ornamental-in-bloom";

/// Letters to add, drop or change to make one word of another (Levenshtein, 1966).
fn edits(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (done, letter) in one.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = done + 1;
        for column in 0..other.len() {
            let change = diagonal + usize::from(other[column] != letter);
            diagonal = row[column + 1];
            row[column + 1] = change.min(diagonal + 1).min(row[column] + 1);
        }
    }
    row[other.len()]
}

/// Whether plants were seen in bloom, and when.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Bloom {
    in_bloom: bool,
    seen_on: Option<Date>,
}

impl Bloom {
    /// What was seen, and on which day when that is known.
    pub const fn new(in_bloom: bool, seen_on: Option<Date>) -> Self {
        Self { in_bloom, seen_on }
    }

    /// Whether they were in bloom.
    pub const fn in_bloom(self) -> bool {
        self.in_bloom
    }

    /// The day of the observation, when stated.
    pub const fn seen_on(self) -> Option<Date> {
        self.seen_on
    }

    /// How many days lie between the observation and a day: nought on the day itself, below nought for
    /// an observation dated after it; `None` without a date. How old it may be is the business's rule.
    pub fn age_days(self, on: Date) -> Option<i32> {
        Some(self.seen_on?.until(on).ok()?.get_days())
    }
}

/// A door, window or vent in a wall, which is not treated with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Opening {
    what: String,
    width: Length,
    height: Length,
    sill: Length,
}

impl Opening {
    /// An opening that starts at the ground.
    ///
    /// # Errors
    /// `property::opening-size`: width or height not above nothing.
    pub fn new(what: impl Into<String>, width: Length, height: Length) -> Result<Self, Problem> {
        Self::above(what, width, height, Length::ZERO)
    }

    /// An opening whose lower edge is so far above the ground.
    ///
    /// # Errors
    /// `property::opening-size`: width or height not above nothing, or a sill below the ground.
    pub fn above(what: impl Into<String>, width: Length, height: Length, sill: Length) -> Result<Self, Problem> {
        let what = what.into();
        if !width.is_positive() || !height.is_positive() || sill < Length::ZERO {
            return Err(Problem::error("property::opening-size", format!("opening `{what}` has no size"))
                .expected("a width and a height above 0, and a sill not below the ground")
                .mend("measure the opening again, or leave it out"));
        }
        Ok(Self { what, width, height, sill })
    }

    /// What it is, such as `front door`.
    pub fn what(&self) -> &str {
        &self.what
    }

    /// From side to side.
    pub const fn width(&self) -> Length {
        self.width
    }

    /// From its lower to its upper edge.
    pub const fn height(&self) -> Length {
        self.height
    }

    /// From the ground to its lower edge.
    pub const fn sill(&self) -> Length {
        self.sill
    }
}

/// What is known of a building's walls.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Walls {
    /// From the ground to the eaves, when known.
    pub height: Option<Length>,
    /// How far the eaves stand out, when known.
    pub eaves: Option<Length>,
    /// Doors, windows, vents.
    pub openings: Vec<Opening>,
}

/// What a feature is, with the state of it.
#[derive(Debug, Clone, PartialEq)]
pub enum FeatureKind {
    /// Lawn; `None` when nobody said whether clover or weeds in it bloom.
    Turf(Option<Bloom>),
    /// Shrubs, hedges, flowers; `None` when nobody said whether they bloom.
    Ornamental(Option<Bloom>),
    /// Vegetables, fruit, herbs; `None` when nobody said whether they bloom.
    Edible(Option<Bloom>),
    /// A building.
    Structure(Walls),
    /// Driveway, walk, patio, deck.
    Paved,
    /// Soil without cover.
    BareSoil,
    /// A mulched bed.
    Mulch,
    /// Pond, creek, ditch.
    Water {
        /// Dry for part of the year.
        intermittent: bool,
    },
    /// A storm drain or other inlet.
    Drain,
    /// A well.
    Well,
    /// Hives of bees.
    Hive,
    /// Where children play.
    PlayArea,
    /// Where pets rest or run.
    PetArea,
    /// A tree; `None` when nobody said whether it blooms.
    Tree(Option<Bloom>),
    /// Ground or a line to keep off.
    NoGo,
    /// Where insects may get into a building.
    EntryPoint,
    /// A mound of a colony of ants.
    Mound,
}

impl FeatureKind {
    /// The kind without its state.
    pub const fn kind(&self) -> Kind {
        match self {
            Self::Turf(_) => Kind::Turf,
            Self::Ornamental(_) => Kind::Ornamental,
            Self::Edible(_) => Kind::Edible,
            Self::Structure(_) => Kind::Structure,
            Self::Paved => Kind::Paved,
            Self::BareSoil => Kind::BareSoil,
            Self::Mulch => Kind::Mulch,
            Self::Water { .. } => Kind::Water,
            Self::Drain => Kind::Drain,
            Self::Well => Kind::Well,
            Self::Hive => Kind::Hive,
            Self::PlayArea => Kind::PlayArea,
            Self::PetArea => Kind::PetArea,
            Self::Tree(_) => Kind::Tree,
            Self::NoGo => Kind::NoGo,
            Self::EntryPoint => Kind::EntryPoint,
            Self::Mound => Kind::Mound,
        }
    }

    /// The word as a map writes it.
    pub const fn word(&self) -> &'static str {
        self.kind().word()
    }

    /// Whether an area of it classes the ground.
    pub const fn is_ground(&self) -> bool {
        self.kind().is_ground()
    }

    /// What was seen of its bloom; `None` when nobody said, and for what bears no flowers.
    pub const fn bloom(&self) -> Option<Bloom> {
        match self {
            Self::Turf(bloom) | Self::Ornamental(bloom) | Self::Edible(bloom) | Self::Tree(bloom) => *bloom,
            _ => None,
        }
    }

    /// Whether it was seen in bloom; the observation may have lapsed since.
    pub const fn is_in_bloom(&self) -> bool {
        matches!(self.bloom(), Some(bloom) if bloom.in_bloom())
    }

    /// Whether drift onto it does harm: water, drain, well, hive, food, bloom, children, pets.
    pub fn is_sensitive(&self) -> bool {
        self.is_in_bloom()
            || matches!(
                self,
                Self::Water { .. }
                    | Self::Drain
                    | Self::Well
                    | Self::Hive
                    | Self::Edible(_)
                    | Self::PlayArea
                    | Self::PetArea
            )
    }
}
