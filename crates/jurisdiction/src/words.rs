//! Demands as sentences for people.

use crate::{
    AdvanceNotice, Binding, CompleteBy, CountedFrom, CustomerNotice, Demand, Jurisdiction, Lacking, NoticePeriod,
    Period, Posting, PutUp, RecordField, RecordKeeping, Removal, Retention, Rule, RuleSet, Sign, SignEdge, SignSize,
    Source,
};
use jiff::civil::{DateTime, Time};
use quantity::{Length, LengthUnit, counted};
use std::collections::BTreeSet;
use std::fmt;

impl Rule {
    /// What the rule says in one or more plain sentences, then its source and how far that was read.
    pub fn words(&self) -> String {
        let condition = self.only_where.as_ref().map_or_else(String::new, |only| format!(" Only where {only}."));
        let ended = self.in_force.last().map_or_else(String::new, |last| format!(" The rule ended on {last}."));
        format!("{}{condition}{ended} [{}]", self.sentence, self.source)
    }
}

impl Binding<'_> {
    /// As [`Rule::words`], and what is to be confirmed.
    pub fn words(&self) -> String {
        let words = self.rule.words();
        if self.to_confirm.is_some() { format!("{words} Confirm whether this is so.") } else { words }
    }
}

impl Binding<'_> {
    /// What the rule says, for those whom it protects: with its place in the law, without how far it was read.
    pub fn told(&self) -> String {
        let condition = self.rule.only_where.as_ref().map_or_else(String::new, |only| format!(" Only where {only}."));
        format!("{}{condition} ({})", self.rule.sentence, short_source(self.rule))
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}; {}", self.publication, self.section, self.extent.phrase())?;
        if let Some(as_of) = self.as_of {
            write!(f, ", as of {as_of}")?;
        }
        Ok(())
    }
}

impl fmt::Display for Lacking<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the record lacks {}", alternatives(&self.any_of))?;
        let by: Vec<String> = self.demanded_by.iter().map(|binding| short_source(binding.rule)).collect();
        write!(f, ", which {} demands", by.join(" and "))?;
        match &self.by {
            Some((by, binding)) => write!(f, " by {} ({})", moment(*by), short_source(binding.rule)),
            None => f.write_str("; no rule known sets a time"),
        }
    }
}

/// A length as rules print it, without zeros behind the point: `4 in`, not `4.00 in`.
pub(crate) fn plain(length: Length, unit: LengthUnit) -> String {
    let number = format!("{:.4}", length.to(unit));
    format!("{} {}", number.trim_end_matches('0').trim_end_matches('.'), unit.symbol())
}

/// What is said in the stead of a demand where no rule is known; `subject` follows “on”: `signs`.
pub fn no_rule_known(subject: &str, place: &Jurisdiction) -> String {
    format!("No rule on {subject} is known here for {place}. That is not to say that there is none: confirm local law.")
}

impl RuleSet {
    /// What to say beside everything told for a place of which too little is known: that its state is not
    /// given, or that no rule of the state itself is in the set. `None` where the set has rules of the state,
    /// which are not all that there are either ([`crate::CONFIRM_LOCAL_LAW`]).
    pub fn not_known(&self, place: &Jurisdiction) -> Option<String> {
        if place.division_code().is_none() {
            return Some(format!("The state is not given: only rules of {place} as a whole are told."));
        }
        (!self.knows(place)).then(|| {
            format!(
                "No rule of {place} itself is known here. That is not to say that there is none: confirm local law."
            )
        })
    }
}

/// A moment for people: midnight is the end of the day before.
pub(crate) fn moment(moment: DateTime) -> String {
    let before = moment.date().yesterday().ok().filter(|_| moment.time() == Time::midnight());
    before.map_or_else(|| moment.strftime("%Y-%m-%d %H:%M").to_string(), |date| format!("the end of {date}"))
}

fn short_source(rule: &Rule) -> String {
    format!("{} {}", rule.source.publication, rule.source.section)
}

fn alternatives(any_of: &BTreeSet<RecordField>) -> String {
    any_of.iter().map(|field| field.phrase()).collect::<Vec<_>>().join(" or ")
}

impl fmt::Display for Demand {
    /// What the program holds of the rule, made from the figures that it calculates with.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Record(record) => record.fmt(f),
            Self::Retention(retention) => retention.fmt(f),
            Self::Posting(posting) => posting.fmt(f),
            Self::AdvanceNotice(notice) => notice.fmt(f),
            Self::CustomerNotice(notice) => notice.fmt(f),
            Self::Duty => f.write_str("do what the rule says; the program does not check it"),
        }
    }
}

impl fmt::Display for RecordKeeping {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let fields: Vec<String> = self.fields().iter().map(alternatives).collect();
        write!(f, "record {}", fields.join(", "))?;
        match self.complete_by {
            None => Ok(()),
            Some(CompleteBy::SameDay) => f.write_str("; on the day of the application"),
            Some(CompleteBy::Hours(hours)) => {
                write!(f, "; within {} of its end", counted(hours.get(), "hour", "hours"))
            }
            Some(CompleteBy::Days(days)) => {
                write!(f, "; within {} of the application", counted(days.get(), "day", "days"))
            }
        }
    }
}

impl fmt::Display for Period {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (number, unit) = match self {
            Self::Years(years) => (years, "year"),
            Self::Months(months) => (months, "month"),
            Self::Days(days) => (days, "day"),
        };
        write!(f, "{number} {unit}{}", if number.get() == 1 { "" } else { "s" })
    }
}

impl fmt::Display for Retention {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "keep {} for {}", self.paper.phrase(), self.period)?;
        f.write_str(match self.from {
            CountedFrom::Application => " from the day of the application",
            CountedFrom::EndOfYear => " from the end of its calendar year",
            CountedFrom::NotStated => "; from when is not known: counted from the end of its calendar year",
        })
    }
}

impl fmt::Display for NoticePeriod {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Hours(hours) => write!(f, "{hours} hour{}", if hours.get() == 1 { "" } else { "s" }),
            Self::BusinessDays(days) => write!(f, "{days} business day{}", if days.get() == 1 { "" } else { "s" }),
        }
    }
}

impl fmt::Display for AdvanceNotice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "tell {}", self.to.phrase())?;
        if let Some(within) = self.within {
            write!(f, " within {}", plain(within, LengthUnit::Foot))?;
        }
        write!(f, " at least {} before the application", self.before)?;
        write_items(f, &self.contains)
    }
}

impl fmt::Display for CustomerNotice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "give the client a written notice {}", self.when.phrase())?;
        write_items(f, &self.contains)
    }
}

fn write_items(f: &mut fmt::Formatter<'_>, items: &[crate::NoticeItem]) -> fmt::Result {
    if items.is_empty() {
        return Ok(());
    }
    let items: Vec<String> = items.iter().map(crate::NoticeItem::phrase).collect();
    write!(f, ", with {}", items.join(", "))
}

impl fmt::Display for Posting {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("put up a sign")?;
        if let Some(size) = self.least_size {
            write!(f, " of at least {size}")?;
        }
        match self.put_up {
            None => {}
            Some(PutUp::Before) => f.write_str(" before the application")?,
            Some(PutUp::At) => f.write_str(" when the application is made")?,
        }
        if let Some(place) = &self.place {
            write!(f, " {place}")?;
        }
        if let Some(height) = self.height {
            let edge = match height.edge() {
                SignEdge::Bottom => "its bottom edge",
                SignEdge::Top => "its top edge",
                SignEdge::NotStated => "the sign",
            };
            write!(f, ", {edge} {}", heights(height.lowest(), height.highest()))?;
        }
        if let Some(letters) = self.least_letters {
            write!(f, ", letters at least {} high", plain(letters, LengthUnit::Inch))?;
        }
        if let Some(look) = &self.look {
            write!(f, ", {look}")?;
        }
        for words in &self.wording {
            write!(f, ", with the words “{words}”")?;
        }
        match self.removal {
            None => Ok(()),
            Some(Removal::Hours(hours)) => {
                write!(f, "; leave it for at least {} after the application", counted(hours.get(), "hour", "hours"))
            }
            Some(Removal::NextDay) => f.write_str("; leave it until the day after the application"),
        }
    }
}

/// `8 in to 12 in above the ground`, either of which may be open.
fn heights(lowest: Option<Length>, highest: Option<Length>) -> String {
    let inch = |length| plain(length, LengthUnit::Inch);
    match (lowest, highest) {
        (Some(low), Some(high)) => format!("{} to {} above the ground", inch(low), inch(high)),
        (Some(low), None) => format!("at least {} above the ground", inch(low)),
        (None, Some(high)) => format!("at most {} above the ground", inch(high)),
        (None, None) => "above the ground".to_owned(),
    }
}

impl fmt::Display for SignSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} by {}", plain(self.short(), LengthUnit::Inch), plain(self.long(), LengthUnit::Inch))
    }
}

impl fmt::Display for Sign<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts = Vec::new();
        if let Some(size) = self.least_size {
            parts.push(format!("at least {size}"));
        }
        if self.bottom_at_least.is_some() || self.bottom_at_most.is_some() {
            parts.push(format!("bottom edge {}", heights(self.bottom_at_least, self.bottom_at_most)));
        }
        if let Some(letters) = self.least_letters {
            parts.push(format!("letters at least {} high", plain(letters, LengthUnit::Inch)));
        }
        parts.extend(self.look.iter().map(|look| (*look).to_owned()));
        parts.extend(self.wording.iter().map(|words| format!("with the words “{words}”")));
        parts.extend(self.places.iter().map(|place| (*place).to_owned()));
        match self.put_up {
            None => {}
            Some(PutUp::Before) => parts.push("put up before the application".to_owned()),
            Some(PutUp::At) => parts.push("put up when the application is made".to_owned()),
        }
        if let Some(from) = self.remove_from {
            parts.push(format!("left until {}", moment(from)));
        }
        if parts.is_empty() { f.write_str("a sign") } else { write!(f, "a sign: {}", parts.join("; ")) }
    }
}
