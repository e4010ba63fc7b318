//! What was counted, where.

use super::{AreaText, Checked, Day, Index, Position, Reference, fields, words};
use crate::how_counted::{HowCounted, one_count};
use problem::{Problem, Problems};
use quantity::counted;
use scouting::{CountBasis, Threshold};

fields! {
    /// Counts of a pest on a property on one day.
    pub struct Survey {
        /// The property.
        pub property: Reference,
        /// The day.
        pub date: Day,
        /// The pest, by common name.
        pub pest: String,
        /// The id of the profile by which it was judged; absent where none was chosen, and in documents kept before it was told.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub profile: Option<String>,
        /// Its life stage.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub stage: Option<String>,
        /// How it was sampled: `float can`, `soap flush`, `sod cut`; `mounds` where live mounds of ants were counted.
        pub method: String,
        /// The area that one count covers; that of the lawn where its mounds were counted. This, or `count_per`, or both.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub count_area: Option<AreaText>,
        /// What else one count was made on: `flush`, `trap`, `3 trap nights`, `100 ft of drag` or `plant`.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub count_per: Option<String>,
        /// What the counts were held against; absent where nobody chose a threshold.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub threshold: Option<SurveyThreshold>,
        /// The treatment that the count follows; absent on a count before one, or without.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub treated: Option<SurveyTreatment>,
        /// The stations.
        pub stations: Vec<Station>,
        /// Who counted.
        pub by: String,
        /// Anything else.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

fields! {
    /// A threshold as it was chosen.
    pub struct SurveyThreshold {
        /// So many of the pest.
        pub count: f64,
        /// What it counts; absent in documents kept before it was told: there it is what the method counts.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub of: Option<SurveyThresholdOf>,
        /// On what: an area such as `1 sq yd`, `flush`, `trap`, `trap night`, `100 ft of drag` or `plant`; mounds on an area.
        pub per: String,
        /// The life stage that it holds for; absent where it holds for all of them.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub stage: Option<String>,
        /// Where and on which plants it holds.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub place: Option<String>,
        /// Where it was published.
        pub source: String,
    }
}

words! {
    /// What a threshold counts.
    pub enum SurveyThresholdOf {
        /// Animals.
        Animals = "animals",
        /// Live mounds of ants.
        Mounds = "mounds",
    }
}

impl SurveyThresholdOf {
    /// What a method counts.
    pub fn counted(how: HowCounted<'_>) -> Self {
        if how.counts_mounds() { Self::Mounds } else { Self::Animals }
    }
}

impl SurveyThreshold {
    /// The threshold, its place before its source, for counts that were made so.
    ///
    /// # Errors
    /// All that is wrong with it, each with its field: also a threshold of mounds beside counts of animals, and the other way
    /// round.
    pub fn threshold(&self, how: HowCounted<'_>) -> Result<Threshold, Problems> {
        let source = match &self.place {
            Some(place) => format!("{place}; {}", self.source),
            None => self.source.clone(),
        };
        let field_of = |problem: Problem| {
            let field = if problem.code == "scouting::threshold-source" { "source" } else { "count" };
            problem.at(field)
        };
        let basis = CountBasis::parse(&self.per).map_err(|problem| problem.at("per"));
        // What else is wrong with it is told together with an unreadable basis.
        let threshold = Threshold::new(self.count, *basis.as_ref().unwrap_or(&CountBasis::Plant), source);
        let mut problems = Problems::new();
        let of = self.of.unwrap_or_else(|| SurveyThresholdOf::counted(how));
        problems.extend(self.wrong_of(how));
        problems.extend(basis.err());
        let threshold = threshold.map_err(|found| problems.extend(found.into_iter().map(field_of))).ok();
        let Some(threshold) = threshold.filter(|_| !problems.has_errors()) else { return Err(problems) };
        let threshold = threshold.written_per(&self.per).for_stage(self.stage.clone());
        Ok(if of == SurveyThresholdOf::Mounds { threshold.of_mounds() } else { threshold })
    }

    /// What it counts, held against what the method counts and against what it is told on.
    fn wrong_of(&self, how: HowCounted<'_>) -> Option<Problem> {
        let (told, counted) = (self.of?, SurveyThresholdOf::counted(how));
        let wrong = |found: String| Problem::error("survey::threshold-of", found).at("of");
        if told != counted {
            let found = format!(
                "the threshold counts {}, and the method `{}` counts {}",
                told.word(),
                how.method.escape_debug(),
                counted.word()
            );
            let told = wrong(found).expected("a threshold of what was counted");
            return Some(told.mend("choose one of those; or correct `of`, or the method, where one of them is a slip"));
        }
        let is_on_ground = self.is_on_ground().unwrap_or(true);
        (told == SurveyThresholdOf::Mounds && !is_on_ground).then(|| {
            wrong(format!("the threshold counts mounds, and is told per `{}`", self.per.escape_debug()))
                .expected("so many mounds on an area, such as `0.25 acre`")
        })
    }

    fn is_on_ground(&self) -> Option<bool> {
        CountBasis::parse(&self.per).ok().map(|basis| matches!(basis, CountBasis::Area(_)))
    }

    /// A warning where it does not say what it counts, and could count the one as well as the other.
    pub fn of_untold(&self, how: HowCounted<'_>) -> Option<Problem> {
        let is_open = self.of.is_none() && self.is_on_ground() == Some(true);
        is_open.then(|| {
            let counted = SurveyThresholdOf::counted(how).word();
            let found = format!(
                "the threshold does not say what it counts: it is taken for one of {counted}, as they were counted"
            );
            Problem::warning("survey::threshold-of-untold", found)
                .expected("`of`, `animals` or `mounds`")
                .mend(format!("write `of` as `{counted}`, or take the threshold away where it counts something else"))
                .at("of")
        })
    }
}

fields! {
    /// The treatment that a count follows.
    pub struct SurveyTreatment {
        /// Its day.
        pub on: Day,
        /// The group of the mode of action, such as `3A`.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub group: Option<String>,
    }
}

fields! {
    /// One station.
    pub struct Station {
        /// How many were counted.
        pub count: u64,
        /// How many dead ones were counted there; absent where nobody counted them.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub dead: Option<u64>,
        /// Whether it is an untreated check.
        pub is_check: bool,
        /// Where.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub position: Option<Position>,
    }
}

impl Survey {
    /// How its counts were made.
    pub fn how_counted(&self) -> HowCounted<'_> {
        let area = self.count_area.as_ref().map(AreaText::value);
        HowCounted { method: &self.method, area, per: self.count_per.as_deref() }
    }

    /// What one count was made on, as it was written.
    pub fn one_count(&self) -> String {
        one_count(self.count_area.as_ref().map(AreaText::as_str), self.count_per.as_deref())
    }

    pub(super) fn found_by(&self) -> Index {
        Index {
            title: format!("{} at {}", self.pest, counted(self.stations.len(), "station", "stations")),
            property: Some(self.property.clone()),
            date: Some(self.date.date()),
            ..Index::default()
        }
    }
}

impl Checked for Survey {
    fn check(&self, problems: &mut Problems) {
        if let Err(mut problem) = self.how_counted().ways() {
            let field = problem.place.path.take().unwrap_or_default();
            problems.push(problem.at(format!("/{field}")));
        }
        if self.stations.is_empty() {
            problems.push(
                Problem::error("kept::no-station", "nothing was counted")
                    .expected("one station or more")
                    .at("/stations"),
            );
        }
        let threshold = self.threshold.as_ref().and_then(|threshold| threshold.threshold(self.how_counted()).err());
        for mut problem in threshold.into_iter().flatten() {
            let field = problem.place.path.take().unwrap_or_default();
            problems.push(problem.at(format!("/threshold/{field}")));
        }
        if let Some(treated) = self.treated.as_ref().filter(|treated| treated.on.date() > self.date.date()) {
            problems.push(counted_before(treated.on, self.date).at("/treated/on"));
        }
        for (index, station) in self.stations.iter().enumerate() {
            if let Some(position) = &station.position {
                position.check(&format!("/stations/{index}/position"), problems);
            }
        }
    }
}

/// A count that is told to follow a treatment of a later day.
pub(crate) fn counted_before(treated: Day, counted: Day) -> Problem {
    Problem::error(
        "survey::treated-later",
        format!("counted on `{}`, after a treatment on `{}`", counted.date(), treated.date()),
    )
    .expected("a treatment on the day of the count or before")
    .mend("correct the day, or leave the treatment out of a count that was made before it")
}

impl Survey {
    /// What a survey must not say that is kept anew. Those that were kept before it was asked for stay readable.
    ///
    /// # Errors
    /// Stations of which two are at one place.
    pub fn check_anew(&self) -> Result<(), Problems> {
        let places = self.stations.iter().map(|station| station.position.as_ref());
        let problems: Problems =
            stations_twice(places.map(|place| place.map(|at| (at.longitude, at.latitude)))).collect();
        problems.unless_errors(()).map(|((), _)| ())
    }
}

/// Stations at the place of an earlier one, each with its place in the document.
pub(crate) fn stations_twice(places: impl Iterator<Item = Option<(f64, f64)>>) -> impl Iterator<Item = Problem> {
    let mut seen: Vec<Option<(f64, f64)>> = Vec::new();
    places.enumerate().filter_map(move |(index, place)| {
        let first = seen.iter().position(|other| place.is_some() && *other == place);
        seen.push(place);
        first.map(|first| station_twice(first + 1, index + 1).at(format!("/stations/{index}/position")))
    })
}

/// Two stations at one place, by their numbers.
pub(crate) fn station_twice(first: usize, second: usize) -> Problem {
    Problem::error("survey::station-twice", format!("stations `{first}` and `{second}` are at one place"))
        .expected("one station at a place")
        .mend("leave the one out that was written twice, or correct its position")
}
