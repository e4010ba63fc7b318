//! A sprayer or spreader and what is known of it.

use problem::{Problem, Problems};
use quantity::{Amount, Duration, Flow, Graduation, Length, Mass, Speed, Volume};

use crate::calibration::Calibration;
use crate::pressure::Pressure;

/// What kind of machine it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EquipmentKind {
    /// Hand pump (compressed-air) sprayer.
    HandPump,
    /// Backpack sprayer.
    Backpack,
    /// Hand gun on a hose from a power sprayer.
    HandGun,
    /// Hose-end sprayer.
    HoseEnd,
    /// Rotary (broadcast) spreader for granules.
    RotarySpreader,
    /// Drop spreader for granules.
    DropSpreader,
    /// Hand-held spreader for bait.
    BaitSpreader,
}

impl EquipmentKind {
    /// Every kind.
    pub const ALL: &'static [Self] = &[
        Self::HandPump,
        Self::Backpack,
        Self::HandGun,
        Self::HoseEnd,
        Self::RotarySpreader,
        Self::DropSpreader,
        Self::BaitSpreader,
    ];

    /// The word used in files and on paper.
    pub const fn word(self) -> &'static str {
        match self {
            Self::HandPump => "hand-pump",
            Self::Backpack => "backpack",
            Self::HandGun => "hand-gun",
            Self::HoseEnd => "hose-end",
            Self::RotarySpreader => "rotary-spreader",
            Self::DropSpreader => "drop-spreader",
            Self::BaitSpreader => "bait-spreader",
        }
    }

    /// The kind of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.word() == word)
    }

    /// Whether it puts out dry product.
    pub const fn is_spreader(self) -> bool {
        matches!(self, Self::RotarySpreader | Self::DropSpreader | Self::BaitSpreader)
    }
}

/// What it holds when full.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Capacity {
    /// Spray.
    Tank(Volume),
    /// Dry product.
    Hopper(Mass),
}

/// How fast it is walked, and how wide a strip it treats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// Walking speed while treating.
    pub speed: Speed,
    /// Width treated in one pass, overlap taken off.
    pub swath: Length,
}

/// What is written down of a sprayer or spreader.
#[derive(Debug, Clone, PartialEq)]
pub struct SprayerDetails {
    /// Short name, by which tasks call it.
    pub id: String,
    /// Kind.
    pub kind: EquipmentKind,
    /// What it holds.
    pub capacity: Capacity,
    /// Flow while spraying, all nozzles together.
    pub flow: Option<Flow>,
    /// The nozzle it sprays with, or the setting of a spreader; `None` when nobody said.
    pub nozzle: Option<String>,
    /// The pressure at the nozzle that it sprays with; `None` when nobody said.
    pub pressure: Option<Pressure>,
    /// Pace, for methods timed by walking.
    pub pace: Option<Pace>,
    /// Time for one filling, mixing included.
    pub refill_time: Duration,
    /// Time for setting up and putting away, once a job.
    pub set_up_time: Duration,
    /// Smallest marks of the measures at hand: cups, syringes, scales.
    pub graduations: Vec<Graduation>,
    /// Whether its tank is agitated while spraying; `None` when nobody said.
    pub agitated: Option<bool>,
    /// Calibrations, each under its own name.
    pub calibrations: Vec<Calibration>,
}

/// A sprayer or spreader that was checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Sprayer {
    details: SprayerDetails,
}

impl Sprayer {
    /// A sprayer or spreader.
    ///
    /// # Errors
    /// All of these that are found:
    /// - no id;
    /// - capacity, flow or pace not above nothing; times below nothing;
    /// - a hopper on a sprayer, a tank on a spreader, a calibration of the other dimension;
    /// - two calibrations of one name.
    pub fn new(details: SprayerDetails) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        let id = details.id.clone();
        if id.trim().is_empty() {
            problems.push(Problem::error("sprayer::id", "equipment without an id").expected("a short name"));
        }
        check_numbers(&details, &mut problems);
        let spreads = details.kind.is_spreader();
        if spreads != matches!(details.capacity, Capacity::Hopper(_)) {
            let (has, wants) = if spreads { ("tank", "a hopper by mass") } else { ("hopper", "a tank by volume") };
            problems.push(
                Problem::error("sprayer::capacity-kind", format!("a {has} on a `{}`", details.kind.word()))
                    .expected(wants),
            );
        }
        for (index, calibration) in details.calibrations.iter().enumerate() {
            let name = calibration.name();
            if calibration.spray_output().is_some() == spreads {
                problems.push(
                    Problem::error(
                        "sprayer::calibration-kind",
                        format!("calibration `{name}` does not fit a `{}`", details.kind.word()),
                    )
                    .expected(if spreads { "mass per area" } else { "volume per area" }),
                );
            }
            if details.calibrations[..index].iter().any(|other| other.name() == name) {
                problems.push(
                    Problem::error("sprayer::calibration-twice", format!("two calibrations named `{name}`"))
                        .expected("one name each")
                        .mend("keep the newer one, or rename one"),
                );
            }
        }
        if problems.is_empty() {
            Ok(Self { details })
        } else {
            Err(problems.into_iter().map(|problem| problem.at(id.clone())).collect())
        }
    }

    /// Short name.
    pub fn id(&self) -> &str {
        &self.details.id
    }

    /// Kind.
    pub fn kind(&self) -> EquipmentKind {
        self.details.kind
    }

    /// Everything written down of it.
    pub fn details(&self) -> &SprayerDetails {
        &self.details
    }

    /// Tank volume; `None` for a spreader.
    pub fn tank(&self) -> Option<Volume> {
        match self.details.capacity {
            Capacity::Tank(volume) => Some(volume),
            Capacity::Hopper(_) => None,
        }
    }

    /// Hopper load; `None` for a sprayer.
    pub fn hopper(&self) -> Option<Mass> {
        match self.details.capacity {
            Capacity::Hopper(mass) => Some(mass),
            Capacity::Tank(_) => None,
        }
    }

    /// Flow while spraying, all nozzles together.
    pub fn flow(&self) -> Option<Flow> {
        self.details.flow
    }

    /// The nozzle it sprays with, or the setting of a spreader.
    pub fn nozzle(&self) -> Option<&str> {
        self.details.nozzle.as_deref()
    }

    /// The pressure at the nozzle that it sprays with.
    pub fn pressure(&self) -> Option<Pressure> {
        self.details.pressure
    }

    /// Time for one filling.
    pub fn refill_time(&self) -> Duration {
        self.details.refill_time
    }

    /// Time for setting up and putting away.
    pub fn set_up_time(&self) -> Duration {
        self.details.set_up_time
    }

    /// The finest of its measures for amounts of the same dimension; `None` when there is none.
    pub fn finest_graduation(&self, like: Amount) -> Option<Graduation> {
        let mark = |graduation: Graduation| Some((graduation, graduation.step().ratio(like)?.abs()));
        let marks = self.details.graduations.iter().copied().filter_map(mark);
        marks.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(graduation, _)| graduation)
    }

    /// Its calibrations.
    pub fn calibrations(&self) -> &[Calibration] {
        &self.details.calibrations
    }

    /// The calibration of a name, or the only one when no name is given.
    ///
    /// # Errors
    /// When there is none of that name, none at all, or no name is given and there are several.
    pub fn calibration(&self, name: Option<&str>) -> Result<&Calibration, Problems> {
        let all = &self.details.calibrations;
        let chosen = match (name, all.as_slice()) {
            (Some(name), _) => all.iter().find(|calibration| calibration.name() == name),
            (None, [only]) => Some(only),
            (None, _) => None,
        };
        chosen.ok_or_else(|| {
            let names: Vec<_> = all.iter().map(|calibration| format!("`{}`", calibration.name())).collect();
            let found = match name {
                Some(name) => format!("no calibration `{name}` of `{}`", self.id()),
                None if all.is_empty() => format!("no calibration of `{}`", self.id()),
                None => format!("several calibrations of `{}` and none named", self.id()),
            };
            let problem = Problem::error("sprayer::no-calibration", found);
            if names.is_empty() {
                problem.expected("runs by the person with this equipment").mend("calibrate on a test area").into()
            } else {
                problem.expected(format!("one of {}", names.join(", "))).into()
            }
        })
    }
}

fn check_numbers(details: &SprayerDetails, problems: &mut Problems) {
    let mut demand = |holds: bool, what: &str| {
        if !holds {
            problems.push(
                Problem::error("sprayer::not-positive", format!("{what} is not above nothing"))
                    .expected("an amount above zero")
                    .mend("leave out what is unknown"),
            );
        }
    };
    demand(
        match details.capacity {
            Capacity::Tank(volume) => volume.is_positive(),
            Capacity::Hopper(mass) => mass.is_positive(),
        },
        "capacity",
    );
    demand(details.flow.is_none_or(Flow::is_positive), "flow");
    demand(details.pace.is_none_or(|pace| pace.speed.is_positive() && pace.swath.is_positive()), "pace");
    for (what, time) in [("refill time", details.refill_time), ("set-up time", details.set_up_time)] {
        if time < Duration::ZERO {
            problems.push(
                Problem::error("sprayer::time", format!("{what} below nothing")).expected("a time of zero or more"),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::{CalibrationRecord, Runs};
    use quantity::{AmountUnit, Area, AreaUnit, DurationUnit, MassUnit, VolumeUnit};

    fn stated(name: &str, unit: AmountUnit) -> Calibration {
        let output = Amount::new(2.0, unit).per_area(Area::new(1_000.0, AreaUnit::SquareFoot));
        Calibration::new(CalibrationRecord {
            name: name.into(),
            runs: Runs::Stated { output, method: None },
            person: None,
            date: None,
            nozzle: None,
            pressure: None,
        })
        .unwrap()
    }

    fn hand_pump(names: &[&str]) -> SprayerDetails {
        let gallons = AmountUnit::Volume(VolumeUnit::UsGallon);
        SprayerDetails {
            id: "hand pump".into(),
            kind: EquipmentKind::HandPump,
            capacity: Capacity::Tank(Volume::new(2.0, VolumeUnit::UsGallon)),
            flow: None,
            nozzle: None,
            pressure: None,
            pace: None,
            refill_time: Duration::new(5.0, DurationUnit::Minute),
            set_up_time: Duration::ZERO,
            graduations: vec![
                Graduation::new(5.0, AmountUnit::Volume(VolumeUnit::Millilitre)).unwrap(),
                Graduation::new(0.1, AmountUnit::Volume(VolumeUnit::UsFluidOunce)).unwrap(),
                Graduation::new(0.5, AmountUnit::Mass(MassUnit::Gram)).unwrap(),
            ],
            agitated: None,
            calibrations: names.iter().map(|name| stated(name, gallons)).collect(),
        }
    }

    fn refused(details: SprayerDetails) -> Vec<&'static str> {
        Sprayer::new(details).unwrap_err().iter().map(|problem| problem.code).collect()
    }

    #[test]
    fn a_calibration_is_found_by_name_or_when_it_is_the_only_one() {
        let one = Sprayer::new(hand_pump(&["lawn"])).unwrap();
        assert_eq!(one.calibration(None).unwrap().name(), "lawn");
        assert_eq!(one.calibration(Some("lawn")).unwrap().name(), "lawn");
        assert!(one.calibration(Some("perimeter")).is_err());
        let two = Sprayer::new(hand_pump(&["lawn", "perimeter"])).unwrap();
        assert_eq!(two.calibration(Some("perimeter")).unwrap().name(), "perimeter");
        let several = two.calibration(None).unwrap_err();
        assert_eq!(several.iter().next().unwrap().expected.as_deref(), Some("one of `lawn`, `perimeter`"));
        assert!(Sprayer::new(hand_pump(&[])).unwrap().calibration(None).is_err());
    }

    #[test]
    fn the_finest_measure_of_a_dimension_is_used() {
        let sprayer = Sprayer::new(hand_pump(&[])).unwrap();
        // 0.1 fl oz is 2.96 mL, finer than 5 mL.
        let finest = |unit| sprayer.finest_graduation(Amount::new(1.0, unit)).map(|mark| mark.to_string());
        assert_eq!(finest(AmountUnit::Volume(VolumeUnit::UsGallon)).as_deref(), Some("0.1 fl oz"));
        assert_eq!(finest(AmountUnit::Mass(MassUnit::Pound)).as_deref(), Some("0.5 g"));
    }

    #[test]
    fn every_fault_is_reported() {
        let mut bad = hand_pump(&["lawn", "lawn"]);
        bad.id = " ".into();
        bad.capacity = Capacity::Hopper(Mass::ZERO);
        bad.flow = Some(Flow::ZERO);
        bad.refill_time = -Duration::new(1.0, DurationUnit::Minute);
        assert_eq!(
            refused(bad),
            [
                "sprayer::id",
                "sprayer::not-positive",
                "sprayer::not-positive",
                "sprayer::time",
                "sprayer::capacity-kind",
                "sprayer::calibration-twice"
            ]
        );
        let mut spreader = hand_pump(&["lawn"]);
        spreader.kind = EquipmentKind::RotarySpreader;
        assert_eq!(refused(spreader), ["sprayer::capacity-kind", "sprayer::calibration-kind"]);
    }

    #[test]
    fn words_lead_back_to_kinds() {
        for kind in EquipmentKind::ALL {
            assert_eq!(EquipmentKind::from_word(kind.word()), Some(*kind));
        }
    }
}
