//! Counts and the treatments between them, out of the books: whether what was applied worked.

use super::{Held, reference};
use crate::{Book, Filter, Kind, LedgerError, ThingId};
use exchange::efficacy_json::{CountTold, TreatmentTold};
use exchange::kept::{Property, Survey};
use exchange::pest_file::known_name;
use exchange::survey_counts::counted_day;
use geometry::GeoPosition;
use pest::is_same_pest;
use problem::{Problem, Problems};
use record::ApplicationRecord;
use scouting::{AFTER_WITHIN_DAYS, TreatmentDay, counted_twice, pest_key};
use std::collections::{BTreeMap, BTreeSet};

/// What was counted and what was treated.
#[derive(Debug, Clone, Default)]
pub struct CountsAndTreatments {
    /// The treatments, those of one pest, property and day as one.
    pub treatments: Vec<TreatmentTold>,
    /// The counts.
    pub counted: Vec<CountTold>,
    /// What should be looked at.
    pub problems: Problems,
}

/// A property as it is told.
#[derive(Debug, Clone)]
struct Lot {
    /// Its name in the books; of a survey that names nothing kept, what stands there.
    thing: String,
    title: String,
    is_kept: bool,
}

/// A treatment as a record or a survey tells it, before it is put together with others of its day.
struct Told {
    day: TreatmentDay,
    groups: BTreeSet<String>,
    /// Whether of something that was applied nobody tells the group.
    is_untold: bool,
    products: Vec<String>,
    record: Option<String>,
}

impl Book {
    /// What was counted of a pest and treated against it, on a property or on all of them; without a pest, of all that were
    /// counted. With a property, treatments there that nobody counted after are told as well, and the counts of other
    /// properties are those of the same pests: over all of them resistance is judged.
    ///
    /// # Errors
    /// The database fails; a body is no document of its kind.
    pub async fn counts_and_treatments(
        &self,
        property: Option<ThingId>,
        pest: Option<&str>,
    ) -> Result<CountsAndTreatments, LedgerError> {
        let is_wanted = |of: &str| pest.is_none_or(|pest| is_same_pest(pest, of));
        let mut surveys: Vec<Held<Survey>> = Vec::new();
        for entry in self.all(&Filter::of(Kind::Survey)).await? {
            surveys.push(super::things::held(&entry)?);
        }
        surveys.retain(|held| is_wanted(&held.document.pest));
        let of_property = |held: &Held<Survey>| property.is_none_or(|property| is_on(&held.document, property));
        let here = surveys.iter().filter(|held| of_property(held)).map(|held| held.document.pest.as_str());
        let mut pests = spellings(here);
        let records_here = match property {
            Some(property) => self.records_on(property).await?,
            None => Vec::new(),
        };
        for task in records_here.iter().flat_map(|(_, record)| &record.tasks).filter(|task| task.was_put_down()) {
            let Some(told) = task.pest.value().map(|pest| known_name(pest)).filter(|told| is_wanted(told)) else {
                continue;
            };
            if !pests.values().any(|known| is_same_pest(known, &told)) {
                pests.insert(pest_key(&told), told);
            }
        }
        surveys.retain(|held| pests.values().any(|known| is_same_pest(known, &known_name(&held.document.pest))));
        let mut found = CountsAndTreatments::default();
        let lots: BTreeSet<String> = surveys
            .iter()
            .map(|held| held.document.property.as_str().to_owned())
            .chain(property.map(|property| property.to_string()))
            .collect();
        for thing in lots {
            let lot = self.lot(thing).await?;
            let records = match ThingId::parse(&lot.thing) {
                Ok(thing) if Some(thing) == property => records_here.clone(),
                Ok(thing) if lot.is_kept => self.records_on(thing).await?,
                _ => Vec::new(),
            };
            let of_lot: Vec<&Held<Survey>> =
                surveys.iter().filter(|held| held.document.property.as_str() == lot.thing).collect();
            let is_asked = property.is_none_or(|property| property.to_string() == lot.thing);
            found.add(&lot, &of_lot, &records, &pests, is_asked);
        }
        found.tell_doubles();
        Ok(found)
    }

    async fn lot(&self, thing: String) -> Result<Lot, LedgerError> {
        let kept = match ThingId::parse(&thing) {
            Ok(id) => match self.newest(id).await {
                Ok(entry) if entry.kind == Kind::Property && !entry.discards => Some(entry),
                Ok(_) | Err(LedgerError::UnknownThing { .. }) => None,
                Err(error) => return Err(error),
            },
            Err(_) => None,
        };
        let title = match &kept {
            Some(entry) => super::things::held::<Property>(entry)?.document.name,
            None => thing.clone(),
        };
        Ok(Lot { thing, title, is_kept: kept.is_some() })
    }

    async fn records_on(&self, property: ThingId) -> Result<Vec<(ThingId, ApplicationRecord)>, LedgerError> {
        let filter = Filter { property: Some(property), ..Filter::of(Kind::Record) };
        let mut records = Vec::new();
        for entry in self.all(&filter).await? {
            records.push((entry.thing, exchange::record_json::parse_record("", &entry.body)?));
        }
        Ok(records)
    }
}

fn is_on(survey: &Survey, property: ThingId) -> bool {
    survey.property.as_str() == property.to_string()
}

impl CountsAndTreatments {
    /// Adds what was counted and treated on a property. Treatments that nobody counted before or after are added where the
    /// property is the one that was asked for.
    fn add(
        &mut self,
        lot: &Lot,
        surveys: &[&Held<Survey>],
        records: &[(ThingId, ApplicationRecord)],
        pests: &BTreeMap<String, String>,
        is_asked: bool,
    ) {
        for held in surveys {
            self.count(lot, &held.document, Some(held.thing.to_string()));
            self.tell_treated_checks(lot, &held.document, records);
        }
        let here = spellings(surveys.iter().map(|held| held.document.pest.as_str()));
        let mut told: Vec<Told> = Vec::new();
        for (thing, record) in records {
            let against: BTreeSet<String> = pests_treated(record).collect();
            for pest in against {
                let is_counted_here = here.values().any(|known| is_same_pest(known, &pest));
                let is_told = is_asked && pests.values().any(|known| is_same_pest(known, &pest));
                if is_counted_here || is_told {
                    told.extend(of_record(lot, (&pest, &called(&here, &pest)), *thing, record));
                }
            }
        }
        told.extend(surveys.iter().filter_map(|held| of_survey(lot, &held.document)));
        self.join(lot, told);
    }

    /// Checks of a survey that lie where a record says that the pest was treated, within the weeks in which counts tell of it.
    fn tell_treated_checks(&mut self, lot: &Lot, survey: &Survey, records: &[(ThingId, ApplicationRecord)]) {
        let pest = known_name(&survey.pest);
        let checks = (1..).zip(&survey.stations).filter(|(_, station)| station.is_check);
        for (number, place) in checks.filter_map(|(number, station)| Some((number, station.position.as_ref()?))) {
            let Ok(place) = GeoPosition::from_degrees(place.longitude, place.latitude) else { continue };
            for (_, record) in records {
                let days = (survey.date.date() - record.date).get_days().abs();
                if days > AFTER_WITHIN_DAYS {
                    continue;
                }
                let at = record.plane().to_plane(place);
                let treated = record.tasks.iter().filter(|task| task.was_put_down());
                let treated =
                    treated.filter(|task| task.pest.value().is_some_and(|of| is_same_pest(&known_name(of), &pest)));
                let zone = treated.flat_map(|task| &task.zones).find(|zone| zone.ground.contains(at));
                if let Some(zone) = zone {
                    self.problems.push(treated_check((lot, survey), number, (record, &zone.id)));
                }
            }
        }
    }

    /// Adds counts; those that nobody could have made are told.
    fn count(&mut self, lot: &Lot, survey: &Survey, thing: Option<String>) {
        let follows = survey.treated.as_ref().map(|treated| treated.on);
        let of = (lot.thing.as_str(), survey.pest.as_str());
        match counted_day(of, survey.date, survey.how_counted(), &survey.stations, follows) {
            Ok(counted) => self.counted.push(CountTold { counted, survey: thing }),
            Err(found) => self.problems.extend(found.into_iter().map(warning)),
        }
    }

    /// Adds treatments, those of one pest and day as one.
    fn join(&mut self, lot: &Lot, told: Vec<Told>) {
        let mut by_day: Vec<Told> = Vec::new();
        for one in told {
            let is_it =
                |known: &&mut Told| known.day.day == one.day.day && is_same_pest(&known.day.pest, &one.day.pest);
            match by_day.iter_mut().find(is_it) {
                None => by_day.push(one),
                Some(known) => {
                    // What a survey says of the group is for treatments that the record leaves open.
                    let is_same = known.groups == one.groups;
                    if one.record.is_none() && !known.groups.is_empty() {
                        if !is_same && !one.groups.is_empty() {
                            self.problems.push(groups_differ(lot, known, &one));
                        }
                    } else {
                        // A survey that tells the group tells it of all that a record leaves open.
                        let is_filled = one.record.is_none() && !one.groups.is_empty();
                        known.is_untold = !is_filled && (known.is_untold || one.is_untold);
                        known.groups.extend(one.groups);
                    }
                    for product in one.products {
                        if !known.products.contains(&product) {
                            known.products.push(product);
                        }
                    }
                    known.record = known.record.take().or(one.record);
                }
            }
        }
        by_day.sort_by_key(|one| (pest_key(&one.day.pest), one.day.day));
        self.treatments.extend(by_day.into_iter().map(|one| TreatmentTold {
            treatment: TreatmentDay { group: only(&one.groups).filter(|_| !one.is_untold), ..one.day },
            property: lot.title.clone(),
            property_thing: lot.is_kept.then(|| lot.thing.clone()),
            products: one.products,
            record: one.record,
        }));
    }

    fn tell_doubles(&mut self) {
        let days: Vec<_> = self.counted.iter().map(|one| one.counted.clone()).collect();
        for (_, second) in counted_twice(&days) {
            let of = &days[second];
            self.problems.push(
                Problem::warning("scouting::survey-twice", format!("two surveys of {} on {}", of.pest, of.day))
                    .expected("one survey of a pest on a property and day; each stands for itself here")
                    .mend("see which of them holds"),
            );
        }
    }
}

/// The names of pests by their keys, each as it is spelled first.
fn spellings<'p>(pests: impl Iterator<Item = &'p str>) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for pest in pests {
        let name = known_name(pest);
        found.entry(pest_key(&name)).or_insert(name);
    }
    found
}

/// What a pest that was treated is called among those that were counted: by the one name that means it, where one alone does.
fn called(counted: &BTreeMap<String, String>, treated: &str) -> String {
    let same: Vec<&String> = counted.values().filter(|name| is_same_pest(name, treated)).collect();
    match same.as_slice() {
        [one] => (*one).clone(),
        _ => treated.to_owned(),
    }
}

/// The pests against which something was put down.
fn pests_treated(record: &ApplicationRecord) -> impl Iterator<Item = String> {
    let tasks = record.tasks.iter().filter(|task| task.was_put_down());
    tasks.filter_map(|task| task.pest.value().map(|pest| known_name(pest)))
}

/// The group, where there is one alone: of several at once nobody can say which one the pests stand.
fn only(groups: &BTreeSet<String>) -> Option<String> {
    if groups.len() == 1 { groups.first().cloned() } else { None }
}

fn of_record(lot: &Lot, (pest, called): (&str, &str), thing: ThingId, record: &ApplicationRecord) -> Option<Told> {
    let is_against = |task: &&record::TaskRecord| {
        task.was_put_down() && task.pest.value().is_some_and(|told| known_name(told) == pest)
    };
    let tasks: Vec<&record::TaskRecord> = record.tasks.iter().filter(is_against).collect();
    let products = tasks.iter().flat_map(|task| &task.products);
    let mut names: Vec<String> = Vec::new();
    let mut groups = BTreeSet::new();
    let mut is_untold = false;
    for product in products {
        if !names.contains(&product.name) {
            names.push(product.name.clone());
        }
        let ingredients = product.active_ingredients.value();
        is_untold |= ingredients.is_none();
        for one in ingredients.into_iter().flatten() {
            match &one.group {
                Some(group) => drop(groups.insert(group.to_uppercase())),
                None => is_untold = true,
            }
        }
    }
    (!tasks.is_empty()).then(|| Told {
        day: day(lot, called, record.date),
        groups,
        is_untold,
        products: names,
        record: reference(thing).ok().map(|thing| thing.to_string()),
    })
}

fn of_survey(lot: &Lot, survey: &Survey) -> Option<Told> {
    let treated = survey.treated.as_ref()?;
    let groups = treated.group.iter().map(|group| group.to_uppercase()).collect();
    let day = day(lot, &known_name(&survey.pest), treated.on.date());
    Some(Told { day, groups, is_untold: false, products: Vec::new(), record: None })
}

fn day(lot: &Lot, pest: &str, day: jiff::civil::Date) -> TreatmentDay {
    TreatmentDay { property: lot.thing.clone(), pest: pest.to_owned(), day, group: None }
}

fn warning(problem: Problem) -> Problem {
    Problem { severity: problem::Severity::Warning, ..problem }
}

fn treated_check((lot, survey): (&Lot, &Survey), number: usize, (record, zone): (&ApplicationRecord, &str)) -> Problem {
    Problem::warning(
        "scouting::check-treated",
        format!(
            "station {number} of the survey of {} on {} ({}) is a check, and lies in `{zone}`, which was treated on {}",
            lot.title,
            survey.date.date(),
            survey.pest,
            record.date
        ),
    )
    .expected("checks on ground that is left untreated: the control comes out too low otherwise")
    .mend("leave the station out of the checks, or correct its position")
}

fn groups_differ(lot: &Lot, record: &Told, survey: &Told) -> Problem {
    let told = |groups: &BTreeSet<String>| groups.iter().map(String::as_str).collect::<Vec<_>>().join(" and ");
    Problem::warning(
        "scouting::groups-differ",
        format!(
            "the treatment of {} on {} is recorded with group {}, and a survey says {}",
            lot.title,
            record.day.day,
            told(&record.groups),
            told(&survey.groups)
        ),
    )
    .expected("one group; that of the record is taken")
    .mend("correct the survey, or amend the record")
}

/// A treatment that is told beside counts, and not by a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToldTreatment {
    /// The property, as the counts name theirs; on every one when nobody says.
    pub property: Option<String>,
    /// The day.
    pub on: jiff::civil::Date,
    /// The pest; every one that was counted when nobody says.
    pub pest: Option<String>,
    /// The mode-of-action group.
    pub group: Option<String>,
}

/// Counts that are not kept, with treatments that are told beside them.
pub fn counts_of(surveys: &[Survey], treated: &[ToldTreatment]) -> CountsAndTreatments {
    let mut found = CountsAndTreatments::default();
    let lots: BTreeSet<&str> = surveys.iter().map(|survey| survey.property.as_str()).collect();
    let pests = spellings(surveys.iter().map(|survey| survey.pest.as_str()));
    for lot in lots {
        let lot = Lot { thing: lot.to_owned(), title: lot.to_owned(), is_kept: false };
        let here: Vec<&Survey> = surveys.iter().filter(|survey| survey.property.as_str() == lot.thing).collect();
        for survey in &here {
            found.count(&lot, survey, None);
        }
        let of_lot = spellings(here.iter().map(|survey| survey.pest.as_str()));
        let of_one = |one: &ToldTreatment, pest: &str| Told {
            day: day(&lot, pest, one.on),
            groups: one.group.iter().map(|group| group.to_uppercase()).collect(),
            is_untold: false,
            products: Vec::new(),
            record: None,
        };
        let mut told: Vec<Told> = Vec::new();
        for one in treated.iter().filter(|one| one.property.as_ref().is_none_or(|property| *property == lot.thing)) {
            match one.pest.as_ref().map(|pest| known_name(pest)) {
                Some(pest) if pests.values().any(|known| is_same_pest(known, &pest)) => {
                    told.push(of_one(one, &called(&of_lot, &pest)));
                }
                Some(_) => {}
                None => told.extend(pests.values().map(|pest| of_one(one, pest))),
            }
        }
        told.extend(here.iter().filter_map(|survey| of_survey(&lot, survey)));
        found.join(&lot, told);
    }
    found.tell_doubles();
    found
}
