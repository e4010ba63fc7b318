//! Counts against a threshold.

use problem::{Problem, Problems};
use quantity::{Area, AreaUnit, parse_area, parse_length};

use crate::count::{CountBasis, Counts, Interval};
use crate::efficacy::Control;
use pest::StageFit;

/// A published number of pests from which treating may be worth it. Thresholds are local: each keeps
/// its source.
#[derive(Debug, Clone, PartialEq)]
pub struct Threshold {
    count: f64,
    basis: CountBasis,
    /// On what, as it was written.
    per: Option<String>,
    source: String,
    stage: Option<String>,
}

impl Threshold {
    /// So many on a basis, from a source.
    ///
    /// # Errors
    /// All of these that are found: a number not above nothing, no ground, no source.
    pub fn new(count: f64, basis: CountBasis, source: impl Into<String>) -> Result<Self, Problems> {
        let source = source.into();
        let mut problems = Problems::new();
        if !(count.is_finite() && count > 0.0 && basis.is_something()) {
            problems.push(
                Problem::error("scouting::threshold", format!("threshold of `{count}` {}", basis.words()))
                    .expected("more than nothing, on more than nothing"),
            );
        }
        if source.trim().is_empty() {
            problems.push(
                Problem::error("scouting::threshold-source", "threshold without a source")
                    .expected("publication and place, since thresholds differ by both"),
            );
        }
        problems.unless_errors(Self { count, basis, per: None, source, stage: None }).map(|(threshold, _)| threshold)
    }

    /// The same with the words in which its basis was written, such as `1 sq yd`: they are told again, and no others.
    #[must_use]
    pub fn written_per(self, words: &str) -> Self {
        let words = words.trim();
        Self { per: (!words.is_empty()).then(|| words.to_owned()), ..self }
    }

    /// The same for a life stage; for every stage where none is told.
    #[must_use]
    pub fn for_stage(self, stage: Option<String>) -> Self {
        Self { stage: stage.filter(|stage| !stage.trim().is_empty()), ..self }
    }

    /// The same of mounds on that ground, and not of animals; any other basis stays.
    #[must_use]
    pub fn of_mounds(self) -> Self {
        match self.basis {
            CountBasis::Area(area) => Self { basis: CountBasis::Mounds(area), ..self },
            _ => self,
        }
    }

    /// Of a threshold of which nobody says what it counts, for counts made in one of several ways at once: of mounds, where
    /// mounds were counted and it is told on ground alone. One for a life stage is one of animals.
    #[must_use]
    pub fn for_counts_on(self, ways: &[CountBasis]) -> Self {
        let counts_mounds = ways.iter().any(|way| matches!(way, CountBasis::Mounds(_)));
        if counts_mounds && self.stage.is_none() { self.of_mounds() } else { self }
    }

    /// The life stage that it holds for; `None` where it holds for all of them.
    pub fn stage(&self) -> Option<&str> {
        self.stage.as_deref()
    }

    /// What its stage says of counts of another one, or of one that nobody told; `None` where they agree.
    ///
    /// # Errors
    /// Counts of a stage that it does not hold for at all.
    pub fn held_against_stage(&self, counted: Option<&str>) -> Result<Option<Problem>, Problem> {
        let Some(wanted) = &self.stage else { return Ok(None) };
        let told = counted.map(str::trim).filter(|told| !told.is_empty());
        let Some(counted) = told else {
            let found = format!("the threshold holds for `{wanted}`, and the counts do not tell their stage");
            return Ok(Some(
                Problem::warning("scouting::stage-untold", found)
                    .expected("counts of the stage that the threshold is for")
                    .mend("write the stage that was counted as `stage`"),
            ));
        };
        let found = format!("the threshold holds for `{wanted}`, and `{}` was counted", counted.escape_debug());
        Ok(match pest::stage_fit(counted, wanted) {
            StageFit::Same => None,
            StageFit::Other => {
                return Err(Problem::error("scouting::other-stage", found)
                    .expected("a threshold for the stage that was counted")
                    .mend("state one that holds for it, or correct the stage"));
            }
            StageFit::Part => Some(
                Problem::warning("scouting::stage-part", found)
                    .expected("all that it counts: there are more of them than were counted")
                    .mend("count the other stages as well"),
            ),
            StageFit::More => Some(
                Problem::warning("scouting::stage-more", found)
                    .expected("counts of that stage alone: there are fewer of it than were counted")
                    .mend("count that stage by itself"),
            ),
            StageFit::Unknown => Some(
                Problem::warning("scouting::stage-unlike", found)
                    .expected("the same stage; whether these two are one is a person's to say")
                    .mend("write the stage as the threshold does, where it is the same"),
            ),
        })
    }

    /// The number.
    pub fn count(&self) -> f64 {
        self.count
    }

    /// On what.
    pub fn basis(&self) -> CountBasis {
        self.basis
    }

    /// On what, in the words in which it was written where they are known, such as `per 1 sq yd`.
    pub fn per_words(&self) -> String {
        match (&self.per, self.basis) {
            (None, basis) => basis.words(),
            (Some(per), CountBasis::Mounds(_)) => format!("mounds per {per}"),
            (Some(per), _) => format!("per {per}"),
        }
    }

    /// The mean of counts and its interval at a confidence such as 0.95, both on what this is told on; the interval `None` as for
    /// [`Counts::interval`], all of it where the two cannot be turned into each other.
    pub fn mean_of(&self, counts: &Counts, confidence: f64) -> Option<(f64, Option<Interval>)> {
        let ratio = self.basis.ratio(counts.basis())?;
        let interval = counts.interval(confidence);
        let turned = |Interval { low, high }| Interval { low: low * ratio, high: high * ratio };
        Some((counts.mean() * ratio, interval.map(turned)))
    }

    /// Publication and place.
    pub fn source(&self) -> &str {
        &self.source
    }
}

/// What treating costs and saves on the same ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InjuryCost {
    /// What treating costs (C) over what the ground is worth (V), both on one area and in one currency.
    pub cost_over_value: f64,
    /// The share of that worth which each pest takes (I · D).
    pub loss: LossPerPest,
    /// The share of the loss that treating prevents (K).
    pub prevented: Control,
}

/// The share of the worth of ground that each pest on so much of it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossPerPest {
    /// The share, above nothing and up to 1.
    pub share: f64,
    /// For one pest on this area.
    pub on: Area,
}

impl Threshold {
    /// The injury level: the density at which what pests take and treating prevents is what treating costs, C / (V I D K).
    ///
    /// # Errors
    /// All of these: a cost, a loss or a share prevented that is not above nothing, a loss above 1, no ground; and treating
    /// that costs more than it can ever save.
    ///
    /// # Source
    /// Stern, Smith, van den Bosch and Hagen 1959, Hilgardia 29: 81-101, in the form of Pedigo, Hutchins and Higley 1986,
    /// Annu. Rev. Entomol. 31: 341-368 (both from memory).
    pub fn of_injury(injury: InjuryCost) -> Result<Self, Problems> {
        let InjuryCost { cost_over_value, loss, prevented } = injury;
        let mut problems = Problems::new();
        let mut wants = |is_sound: bool, found: String, expected: &str| {
            if !is_sound {
                problems.push(Problem::error("scouting::injury-level", found).expected(expected));
            }
        };
        let is_positive = |value: f64| value.is_finite() && value > 0.0;
        wants(
            is_positive(cost_over_value),
            format!("treating costs `{cost_over_value}` times what the ground is worth"),
            "a cost and a worth above nothing",
        );
        wants(
            is_positive(loss.share) && loss.share <= 1.0 && loss.on.is_positive(),
            format!("each pest takes the share `{}`", loss.share),
            "above nothing and up to 1, on more than nothing",
        );
        wants(
            is_positive(prevented.share()),
            format!("treating prevents the share `{}`", prevented.share()),
            "above 0, up to 1",
        );
        if !problems.has_errors() && cost_over_value > prevented.share() {
            problems.push(
                Problem::error(
                    "scouting::never-pays",
                    format!(
                        "treating costs {:.0} % of what the ground is worth and prevents {:.0} % of the loss at most",
                        cost_over_value * 100.0,
                        prevented.percent()
                    ),
                )
                .expected("a cost below what treating can save")
                .mend("look for a slip in cost or worth; by money alone it never pays to treat"),
            );
        }
        problems.unless_errors(()).and_then(|_| {
            let count = cost_over_value / (loss.share * prevented.share());
            Self::new(count, CountBasis::Area(loss.on), "injury level of what treating costs and saves, C / (V I D K)")
        })
    }
}

impl CountBasis {
    /// Reads on what something was counted: an area such as `1 sq yd` or `sq yd`, `100 ft of drag`, `flush`, `trap`,
    /// `trap night` or `3 trap nights`, `plant`.
    ///
    /// # Errors
    /// Another word, or on nothing.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let text = text.trim();
        // A phone begins what is typed with a capital.
        let lower = text.to_lowercase();
        match lower.as_str() {
            "flush" => return Ok(Self::Flush),
            "trap" => return Ok(Self::Trap),
            "plant" => return Ok(Self::Plant),
            _ => {}
        }
        let is_bare = !lower.starts_with(|first: char| first.is_ascii_digit());
        let numbered = if is_bare { format!("1 {lower}") } else { lower };
        let read = if let Some(nights) = numbered.strip_suffix("trap nights").or(numbered.strip_suffix("trap night")) {
            nights.trim().parse().ok().map(Self::TrapNights)
        } else if let Some(length) = numbered.strip_suffix("of drag") {
            parse_length(length.trim()).ok().map(|(length, _)| Self::Drag(length))
        } else {
            parse_area(&numbered).ok().map(|(area, _)| Self::Area(area))
        };
        read.filter(|basis| basis.is_something()).ok_or_else(|| {
            Problem::error("scouting::count-basis", format!("`{}` is nothing to count on", text.escape_debug()))
                .expected("an area such as `1 sq yd`, `100 ft of drag`, `flush`, `trap`, `3 trap nights` or `plant`")
        })
    }
}

/// Of the ways in which counts were made at once the one that a threshold is told in; the first where it is told in none of
/// them.
pub fn way_for(ways: &[CountBasis], threshold: CountBasis) -> Option<CountBasis> {
    ways.iter().copied().find(|way| way.ratio(threshold).is_some()).or_else(|| ways.first().copied())
}

/// What counts say of a threshold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Decision {
    /// The whole interval is below it.
    Below,
    /// The interval holds it, or there is no interval: more counts would tell.
    Undecided,
    /// The whole interval is at it or above.
    Above,
}

/// Counts held against a threshold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThresholdComparison {
    /// What the interval says.
    pub decision: Decision,
    /// Whether the mean reaches the threshold.
    pub mean_reaches: bool,
    /// Mean over threshold.
    pub share: f64,
}

/// Holds counts against a threshold at a confidence such as 0.95.
///
/// # Errors
/// When they are on different bases, such as counts per flush and a threshold per area.
pub fn compare(counts: &Counts, threshold: &Threshold, confidence: f64) -> Result<ThresholdComparison, Problems> {
    let level = level_of(counts.basis(), threshold)?;
    // 1 sq ft of a square yard is a ninth but for the last bit.
    let reaches = |count: f64| count >= level * (1.0 - 1e-12);
    let decision = match counts.interval(confidence) {
        Some(interval) if reaches(interval.low) => Decision::Above,
        Some(interval) if !reaches(interval.high) => Decision::Below,
        _ => Decision::Undecided,
    };
    Ok(ThresholdComparison { decision, mean_reaches: reaches(counts.mean()), share: counts.mean() / level })
}

/// A threshold as a mean of one station on a basis.
///
/// # Errors
/// When they are on different bases.
pub fn level_of(basis: CountBasis, threshold: &Threshold) -> Result<f64, Problems> {
    let ratio = basis.ratio(threshold.basis).ok_or_else(|| bases_differ(basis, threshold))?;
    Ok(threshold.count * ratio)
}

fn bases_differ(counted: CountBasis, threshold: &Threshold) -> Problems {
    use CountBasis::{Area, Drag, Flush, Mounds, Trap, TrapNights};
    let wanted = threshold.basis;
    let mend = match (counted, wanted) {
        (Flush, Area(_)) => "give the area that one flush covers",
        (Drag(_), Area(_)) => "give the ground that one drag covered, its length times the width of the cloth",
        (Area(_), Flush) => "say that they were counted in flushes, where they were; else use a threshold on ground",
        (Trap, TrapNights(_)) => "say for how many nights a count was trapped, such as `3 trap nights`",
        (Area(_), Mounds(_)) => "count live mounds on the lawn or a measured part of it, with `mounds` as the method",
        (Mounds(_), Area(_)) => "use a threshold of mounds; of animals a count of mounds says nothing",
        _ => "use a threshold for this way of counting",
    };
    Problem::error(
        "scouting::basis",
        format!("counts are `{}` and the threshold is `{}`", counted.words(), threshold.per_words()),
    )
    .expected(format!("counts {}", area_words(wanted)))
    .mend(mend)
    .into()
}

fn area_words(basis: CountBasis) -> String {
    match basis {
        CountBasis::Area(area) if (area.to(AreaUnit::SquareFoot) - 1.0).abs() > 1e-9 => "on a known area".into(),
        _ => basis.words(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::{Length, LengthUnit};

    const YARD: AreaUnit = AreaUnit::SquareYard;

    fn on(value: f64, unit: AreaUnit) -> CountBasis {
        CountBasis::Area(Area::new(value, unit))
    }

    fn counts(values: &[u32], basis: CountBasis) -> Counts {
        Counts::new(values.to_vec(), basis).unwrap().0
    }

    #[test]
    fn units_of_area_are_turned_into_each_other() {
        let threshold = Threshold::new(9.0, on(1.0, YARD), "invented").unwrap();
        let found = compare(&counts(&[1, 1, 1], on(1.0, AreaUnit::SquareFoot)), &threshold, 0.95).unwrap();
        assert_eq!((found.decision, found.mean_reaches), (Decision::Undecided, true));
        assert!((found.share - 1.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_counted_on_is_read_with_or_without_a_number() {
        let yard = on(1.0, YARD);
        assert_eq!([CountBasis::parse("1 sq yd"), CountBasis::parse(" sq yd ")], [Ok(yard), Ok(yard)]);
        assert_eq!(CountBasis::parse("flush"), Ok(CountBasis::Flush));
        assert_eq!(
            [CountBasis::parse("Flush"), CountBasis::parse("Trap night")],
            [Ok(CountBasis::Flush), Ok(CountBasis::TrapNights(1))]
        );
        assert_eq!(CountBasis::parse("Sq yd"), CountBasis::parse("1 sq yd"));
        assert_eq!(CountBasis::parse("trap night"), Ok(CountBasis::TrapNights(1)));
        assert_eq!(CountBasis::parse("14 trap nights"), Ok(CountBasis::TrapNights(14)));
        let drag = CountBasis::Drag(Length::new(100.0, LengthUnit::Metre));
        assert_eq!(CountBasis::parse("100 m of drag"), Ok(drag));
        for wrong in ["", "0 sq ft", "-1 sq ft", "yard", "inf sq ft", "0 trap nights", "1.5 trap nights", "0 m of drag"]
        {
            assert_eq!(CountBasis::parse(wrong).unwrap_err().code, "scouting::count-basis", "{wrong}");
        }
    }

    #[test]
    fn a_threshold_and_the_mean_are_told_in_the_words_that_were_written() {
        let yard = Threshold::new(8.0, on(1.0, YARD), "invented").unwrap();
        assert_eq!(yard.per_words(), "per 9 sq ft", "where nobody knows them");
        let yard = yard.written_per(" 1 sq yd ");
        assert_eq!(yard.per_words(), "per 1 sq yd");
        let found = counts(&[2, 1, 3, 0], on(1.0, AreaUnit::SquareFoot));
        let (mean, interval) = yard.mean_of(&found, 0.95).unwrap();
        let of_one = found.interval(0.95).unwrap();
        assert!((mean - 13.5).abs() < 1e-12 && (interval.unwrap().high - 9.0 * of_one.high).abs() < 1e-9);
        assert_eq!(yard.mean_of(&counts(&[2, 1, 3], CountBasis::Flush), 0.95), None);
        let quarter = on(0.25, AreaUnit::Acre);
        let mounds = Threshold::new(5.0, quarter, "invented").unwrap().written_per("0.25 acre").of_mounds();
        assert_eq!(mounds.per_words(), "mounds per 0.25 acre");
    }

    #[test]
    fn a_wide_interval_leaves_it_undecided() {
        let threshold = |count| Threshold::new(count, on(1.0, AreaUnit::SquareFoot), "invented").unwrap();
        let found = counts(&[0, 4, 1, 3], on(1.0, AreaUnit::SquareFoot));
        let decision = |count| compare(&found, &threshold(count), 0.95).unwrap().decision;
        let interval = found.interval(0.95).unwrap();
        assert_eq!(
            [interval.low * 0.99, interval.low * 1.01, 2.0, interval.high * 0.99, interval.high * 1.01].map(decision),
            [Decision::Above, Decision::Undecided, Decision::Undecided, Decision::Undecided, Decision::Below]
        );
        assert!(!compare(&found, &threshold(4.8), 0.95).unwrap().mean_reaches);
        let one = counts(&[50], on(1.0, AreaUnit::SquareFoot));
        assert_eq!(compare(&one, &threshold(5.0), 0.95).unwrap().decision, Decision::Undecided);
    }

    #[test]
    fn equal_counts_on_the_threshold_are_undecided() {
        let plants = |values: &[u32], level: f64| {
            let threshold = Threshold::new(level, CountBasis::Plant, "invented").unwrap();
            compare(&counts(values, CountBasis::Plant), &threshold, 0.95).unwrap()
        };
        let on = plants(&[5, 5, 5, 5, 5], 5.0);
        assert_eq!((on.decision, on.mean_reaches), (Decision::Undecided, true));
        // Twenty-five Poisson counts on five plants go from 3.24 to 7.38 (Garwood); these may be clumped.
        assert_eq!(plants(&[5, 5, 5, 5, 5], 3.2).decision, Decision::Undecided);
        assert_eq!(plants(&[5, 5, 5, 5, 5], 7.4).decision, Decision::Undecided);
        assert_eq!(plants(&[5, 5, 5, 5, 5], 1.0).decision, Decision::Above);
        // Nothing on five plants: up to 0.738 where it is not clumped.
        assert_eq!(plants(&[0, 0, 0, 0, 0], 0.8).decision, Decision::Undecided);
        assert_eq!(plants(&[0, 0, 0, 0, 0], 4.0).decision, Decision::Below);
    }

    /// By hand: treating at 12 where the ground is worth 600, each pest on a square foot takes 0.5 %, 80 % is prevented:
    /// 12 / (600 · 0.005 · 0.8) = 5.
    #[test]
    fn an_injury_level_is_where_treating_pays() {
        let level = |cost_over_value, share, prevented| {
            let loss = LossPerPest { share, on: Area::new(1.0, AreaUnit::SquareFoot) };
            Threshold::of_injury(InjuryCost { cost_over_value, loss, prevented: Control::new(prevented).unwrap() })
        };
        let found = level(12.0 / 600.0, 0.005, 0.8).unwrap();
        assert!((found.count() - 5.0).abs() < 1e-12 && found.source().contains("injury level"));
        assert_eq!(level(f64::NAN, 1.5, 0.0).unwrap_err().len(), 3);
        let never = level(0.9, 0.005, 0.8).unwrap_err();
        assert_eq!(never.iter().map(|one| one.code).collect::<Vec<_>>(), ["scouting::never-pays"]);
    }

    #[test]
    fn flushes_are_not_held_against_an_area() {
        let threshold = Threshold::new(5.0, on(1.0, YARD), "invented").unwrap();
        let problems = compare(&counts(&[1, 2, 3], CountBasis::Flush), &threshold, 0.95).unwrap_err();
        assert_eq!(
            problems.to_string(),
            "error[scouting::basis]: counts are `per flush` and the threshold is `per 9 sq ft`\n  \
             expected: counts on a known area\n  mend: give the area that one flush covers"
        );
        let traps = Threshold::new(5.0, CountBasis::Trap, "invented").unwrap();
        assert!(compare(&counts(&[1, 2, 3], CountBasis::Plant), &traps, 0.95).is_err());
        assert!(compare(&counts(&[1, 2, 3], CountBasis::Trap), &traps, 0.95).is_ok());
    }

    #[test]
    fn drags_and_trap_nights_are_turned_into_each_other() {
        let drag = |metres| CountBasis::Drag(Length::new(metres, LengthUnit::Metre));
        // Five ticks on 100 m are 1.25 on 25 m.
        let ticks = Threshold::new(5.0, drag(100.0), "invented").unwrap();
        assert!((level_of(drag(25.0), &ticks).unwrap() - 1.25).abs() < 1e-12);
        // Two traps for three nights have six times what one has in a night.
        let weevils = Threshold::new(0.5, CountBasis::TrapNights(1), "invented").unwrap();
        assert!((level_of(CountBasis::TrapNights(6), &weevils).unwrap() - 3.0).abs() < 1e-12);
        for (counted, threshold, mend) in [
            (CountBasis::Trap, &weevils, "for how many nights"),
            (on(1.0, YARD), &ticks, "use a threshold for this way"),
            (drag(25.0), &Threshold::new(5.0, on(1.0, YARD), "invented").unwrap(), "width of the cloth"),
        ] {
            let told = level_of(counted, threshold).unwrap_err().to_string();
            assert!(told.contains("scouting::basis") && told.contains(mend), "{told}");
        }
    }

    #[test]
    fn mounds_are_not_held_against_animals() {
        let quarter = Area::new(0.25, AreaUnit::Acre);
        let mounds = Threshold::new(5.0, CountBasis::Area(quarter), "invented").unwrap();
        let lawn = CountBasis::Mounds(Area::new(0.5, AreaUnit::Acre));
        assert!(level_of(lawn, &mounds).is_err());
        let mounds = mounds.for_counts_on(&[lawn]);
        assert!((level_of(lawn, &mounds).unwrap() - 10.0).abs() < 1e-12);
        let told = level_of(on(1.0, YARD), &mounds).unwrap_err().to_string();
        assert!(told.contains("`mounds per 0.25 acre`") && told.contains("count live mounds"), "{told}");
    }

    #[test]
    fn a_flush_on_known_ground_is_held_against_both() {
        let ways = [on(4.0, AreaUnit::SquareFoot), CountBasis::Flush];
        assert_eq!(way_for(&ways, CountBasis::Flush), Some(CountBasis::Flush));
        assert_eq!(way_for(&ways, on(1.0, YARD)), Some(ways[0]));
        assert_eq!((way_for(&ways, CountBasis::Trap), way_for(&[], CountBasis::Trap)), (Some(ways[0]), None));
    }

    #[test]
    fn the_stage_of_a_threshold_is_held_against_that_of_the_counts() {
        let nymphs = Threshold::new(15.0, on(1.0, YARD), "invented").unwrap().for_stage(Some("nymph".to_owned()));
        let code = |counted: Option<&str>| match nymphs.held_against_stage(counted) {
            Ok(None) => "",
            Ok(Some(problem)) | Err(problem) => problem.code,
        };
        assert_eq!(
            [Some("Nymphs"), None, Some("adult"), Some("nymphs and adults"), Some("crawler")].map(code),
            ["", "scouting::stage-untold", "scouting::other-stage", "scouting::stage-more", "scouting::stage-unlike"]
        );
        assert!(nymphs.held_against_stage(Some("adult")).is_err());
        let all = Threshold::new(15.0, on(1.0, YARD), "invented").unwrap();
        assert_eq!(all.held_against_stage(Some("adult")), Ok(None));
    }

    #[test]
    fn a_threshold_needs_number_and_source() {
        assert_eq!(Threshold::new(0.0, CountBasis::Trap, " ").unwrap_err().len(), 2);
        assert!(Threshold::new(f64::NAN, CountBasis::Trap, "invented").is_err());
        assert!(Threshold::new(5.0, on(0.0, YARD), "invented").is_err());
    }
}
