//! All that the books hold of a record, for an inspector: the record itself, who did it, its standing, its versions.

use super::HeldRecord;
use crate::{Book, Entry, LedgerError};
use exchange::kept::{Business, Property};
use exchange::record_json::parse_record;
use jiff::civil::{Date, DateTime};
use jiff::{RoundMode, Timestamp, TimestampRound, Unit};
use jurisdiction::{Jurisdiction, Known, RuleSet};
use record::{Part, RecordPaper, Section, Standing, kept_until, late_notices, place_name, standing};

/// What the rules known say of a record on a day.
pub struct StandingTold {
    /// Whether it is complete, without a full stop.
    pub words: String,
    /// What it lacks, by when, and by whose rule.
    pub lacking: Vec<String>,
    /// Notices that came too late. The record is none the less complete.
    pub late: Vec<String>,
    /// Until when it is kept.
    pub kept: Option<String>,
}

/// Whether a record is complete, what it lacks and by when, what of it is overdue on a day, and until when it is
/// kept.
pub fn standing_told(held: &HeldRecord, place: Option<&Jurisdiction>, rules: &RuleSet, today: Date) -> StandingTold {
    let Some(place) = place else {
        let words = "not told, since nothing says where the property lies; keep the property with its place";
        return StandingTold { words: words.to_owned(), lacking: Vec::new(), late: Vec::new(), kept: None };
    };
    let circumstances = held.circumstances(place);
    let found = standing(&held.record, rules, &circumstances);
    let words = match &found {
        Standing::NoRuleKnown => format!("no rule on records of {place} is known here; there may be one"),
        Standing::Complete => format!("complete by the rules of {place} known here"),
        Standing::Draft(_) => format!("a draft by the rules of {place} known here"),
    };
    let lacking = found.lacking().iter().map(|lack| {
        let fields: Vec<&str> = lack.any_of.iter().map(|field| field.phrase()).collect();
        let overdue = if lack.is_overdue(today) { ", OVERDUE" } else { "" };
        let by = lack.by.map(|(moment, _)| format!(", by {}{overdue}", minute(moment)));
        let rules: Vec<String> = lack.demanded_by.iter().map(|binding| binding.rule.id.to_string()).collect();
        format!("{}{} ({})", fields.join(" or "), by.unwrap_or_default(), rules.join(", "))
    });
    let kept = match kept_until(rules, &circumstances) {
        Known::Demanded(kept) => Some(format!("kept until {} at least ({})", kept.until, kept.by.rule.id)),
        Known::NoRuleKnown => None,
    };
    let late = late_notices(&held.record, rules, &circumstances);
    StandingTold { words, lacking: lacking.collect(), late: late.iter().map(ToString::to_string).collect(), kept }
}

fn minute(moment: DateTime) -> String {
    moment.strftime("%Y-%m-%d %H:%M").to_string()
}

impl Book {
    /// A version of a record as a paper says it. Where it lies is said by its kept property, or else by `said`; what is
    /// overdue is asked on a day.
    ///
    /// # Errors
    /// As [`Book::place_of`]; the database fails; the entry is no record.
    pub async fn record_paper(
        &self,
        entry: &Entry,
        said: Option<&Jurisdiction>,
        rules: &RuleSet,
        on: Date,
    ) -> Result<RecordPaper, LedgerError> {
        let record = parse_record("record", &entry.body)?;
        let held = HeldRecord { thing: entry.thing, version: entry.version, indexed: entry.indexed.clone(), record };
        let sections = self.sections(&held, said, rules, on).await?;
        let business = self.things::<Business>().await?.into_iter().next().map(|held| held.document);
        let mut lines = Vec::new();
        if let Some(business) = &business {
            lines.extend(business.address.as_ref().map(|address| address.lines().collect::<Vec<_>>().join(", ")));
            lines.extend(business.licence_number.as_ref().map(|number| format!("Licence {number}")));
            lines.extend(business.contacts.first().map(|contact| contact.reach.clone()));
        }
        let record = &held.record;
        let told = |fact: &record::Fact<String>| fact.value().cloned().unwrap_or_else(|| "not recorded".to_owned());
        Ok(RecordPaper {
            kept_by: business.map(|business| business.name),
            kept_by_lines: lines,
            name: record.name.clone(),
            client: record.client.value().cloned().unwrap_or_else(|| "Client not recorded".to_owned()),
            client_address: record.client_address.value().into_iter().cloned().collect(),
            facts: vec![
                ("Day", record.date.to_string()),
                ("Property", record.property.name.clone()),
                ("Applied by", told(&record.applicator)),
                ("Certificate", told(&record.certification_number)),
                ("Version", entry.version.to_string()),
            ],
            found_by: format!("Record {}, version {}, {}", entry.thing, entry.version, found_by(entry)),
            sections,
        })
    }

    /// All that the record holds, then what the books and the rules say of it.
    async fn sections(
        &self,
        held: &HeldRecord,
        said: Option<&Jurisdiction>,
        rules: &RuleSet,
        on: Date,
    ) -> Result<Vec<Section>, LedgerError> {
        let map = self.map_of(held).await?;
        let mut all = record::told(&held.record, &|zone| place_name(map.as_ref(), zone));
        let place = self.place_of(held, said).await?;
        if let Some(place) = &place {
            let people = self.authority_of(&held.record, place).await?;
            let mut lines: Vec<String> = people.iter().map(|problem| format!("{}.", problem.found)).collect();
            if lines.is_empty() {
                lines.push("The books hold nothing against those who did it.".to_owned());
            }
            all.push(Section::points("People, as the books know them", lines));
        }
        let standing = standing_told(held, place.as_ref(), rules, on);
        let mut lines = vec![format!("{}.", capital(&standing.words))];
        lines.extend(standing.lacking.iter().map(|lack| format!("It lacks {lack}.")));
        lines.extend(standing.late.iter().map(|late| format!("Too late: {late}.")));
        lines.extend(standing.kept.map(|kept| format!("It is {kept}.")));
        all.push(Section::points("Standing", lines));
        let versions = self.versions(held.thing).await?;
        let of_versions = versions.iter().map(|entry| {
            let reason = entry.reason.as_ref().map(|reason| format!("; reason: {reason}")).unwrap_or_default();
            let shown = if entry.version == held.version { ", shown here" } else { "" };
            let kept = format!("kept {} by {}{reason}{shown}", second(entry.recorded_at), entry.actor.name);
            (format!("Version {}", entry.version), format!("{kept}; {}", found_by(entry)))
        });
        all.push(Section {
            heading: "Versions in the books".to_owned(),
            parts: vec![Part::Facts(of_versions.collect())],
        });
        Ok(all)
    }

    /// The kept map that a record lies on, where there is one that can be read.
    ///
    /// # Errors
    /// The database fails.
    pub async fn map_of(&self, held: &HeldRecord) -> Result<Option<property::Property>, LedgerError> {
        Ok(self.kept_property_of(held).await?.and_then(|property| property.mapped().ok()))
    }

    /// The kept property that a record lies on: the one to which it belongs, or the one that is called so.
    pub(super) async fn kept_property_of(&self, held: &HeldRecord) -> Result<Option<Property>, LedgerError> {
        let kept = match held.indexed.property {
            Some(thing) => self.things::<Property>().await?.into_iter().find(|property| property.thing == thing),
            None => self.things_titled::<Property>(&held.record.property.name).await?.into_iter().next(),
        };
        Ok(kept.map(|held| held.document))
    }
}

/// By what an entry is found again.
fn found_by(entry: &Entry) -> String {
    format!("entry {}, hash {}", entry.sequence, entry.hash)
}

/// With a capital first letter.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn second(time: Timestamp) -> Timestamp {
    let down = TimestampRound::new().smallest(Unit::Second).mode(RoundMode::Trunc);
    time.round(down).unwrap_or(time)
}
