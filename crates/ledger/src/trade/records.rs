//! Application records in the books.

use super::{
    Authority, BooksPast, Crew, Keeping, Stock, Use, authority, merged, reference, stock, stocked, things::record_entry,
};
use crate::book::BookTurn;
use crate::{Appended, Book, Entry, Expected, Filter, Indexed, Kind, LedgerError, NewEntry, RequestKey, ThingId};
use business::StockedLot;
use exchange::kept::{Lot, Person, Property, Reference, StockAdjustment};
use exchange::record_json::{parse_record, write_record_to_keep};
use jiff::Timestamp;
use jiff::civil::Date;
use jurisdiction::{Circumstances, Jurisdiction, RuleSet, Work};
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit};
use record::{ApplicationRecord, Discarding, PlannedVisit, circumstances, discarding};
use std::collections::{BTreeMap, BTreeSet};
use treatment::VisitRequest;

/// Two records of one property lie within this of its origin.
fn one_property() -> Length {
    Length::new(2.0, LengthUnit::Kilometre)
}

/// A record in its newest version.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldRecord {
    /// The thing.
    pub thing: ThingId,
    /// Its newest version.
    pub version: u64,
    /// What it is listed by.
    pub indexed: Indexed,
    /// The record.
    pub record: ApplicationRecord,
}

/// The kept things that a record belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct RecordLinks {
    /// The client.
    pub client: Option<ThingId>,
    /// The property.
    pub property: Option<ThingId>,
}

/// What keeping a record came to.
#[derive(Debug, Clone)]
pub struct KeptRecord {
    /// The entry, and whether the same request had kept it before.
    pub appended: Appended,
    /// The stock of its products with this record counted; no lot where none of them is kept.
    pub stock: Stock,
    /// What this record took out of stock.
    pub uses: Vec<Use>,
    /// What of the stock does not add up for what this record took.
    pub shortages: Problems,
    /// Records of later days that were judged without it.
    pub later: Problems,
}

impl KeptRecord {
    /// Everything that should be looked at.
    pub fn warnings(&self) -> Problems {
        self.shortages.iter().chain(self.later.iter()).cloned().collect()
    }
}

impl Book {
    /// Keeps a record, or a new version of one. The stock follows from the records, so that it falls with
    /// this one entry: what is wrong with it is told, and the record of what was done is kept all the same.
    ///
    /// # Errors
    /// As [`checked_entry`] and [`Book::append`]; `record::not-yet` for what is yet to come; `trade::recorded-already` when another record of the
    /// same visit and day is kept.
    pub async fn keep_record(
        &self,
        record: &ApplicationRecord,
        links: RecordLinks,
        keeping: Keeping,
        key: RequestKey,
    ) -> Result<KeptRecord, LedgerError> {
        let ahead = record::not_yet(record, keeping.recorded_at);
        if ahead.has_errors() {
            return Err(ahead.into());
        }
        let mut entry = record_entry(record, write_record_to_keep(record), keeping)?;
        entry.indexed.client = links.client;
        entry.indexed.property = links.property;
        // Whether the visit is recorded already is looked up in the turn in which the record is kept: of two that
        // come at once, one is second.
        let mut turn = self.turn().await?;
        let earlier = match entry.expected {
            Expected::New => self.earlier_of_visit(&mut turn, record, &entry).await,
            Expected::Version(_) => Ok(None),
        };
        let earlier = match earlier {
            Ok(earlier) => earlier,
            Err(why) => return Err(turn.refuse(why).await),
        };
        let appended = match earlier {
            Some(entry) => {
                turn.end().await?;
                Appended { entry, replayed: true }
            }
            None => self.append_in(turn, entry, &key).await?,
        };
        let earlier_day = self.day_before_amendment(&appended.entry).await?;
        self.as_kept(appended, record, earlier_day).await
    }

    /// The day that the version before told, where it is another.
    async fn day_before_amendment(&self, entry: &Entry) -> Result<Option<Date>, LedgerError> {
        if entry.version < 2 {
            return Ok(None);
        }
        Ok(self.version(entry.thing, entry.version - 1).await?.indexed.date)
    }

    /// What keeping a record came to that a request sent again has kept before ([`Book::answered`]).
    ///
    /// # Errors
    /// The database fails; the entry is no record.
    pub async fn kept_before(&self, entry: Entry) -> Result<(KeptRecord, ApplicationRecord), LedgerError> {
        let record = held(&entry)?.record;
        let earlier_day = self.day_before_amendment(&entry).await?;
        Ok((self.as_kept(Appended { entry, replayed: true }, &record, earlier_day).await?, record))
    }

    async fn as_kept(
        &self,
        appended: Appended,
        record: &ApplicationRecord,
        earlier_day: Option<Date>,
    ) -> Result<KeptRecord, LedgerError> {
        let uses = Use::of_record(&reference(appended.entry.thing)?, record);
        let stock = self.stock_of(uses.clone()).await?;
        let shortages = stock.problems_of(&uses);
        let later = self.later_records(&appended.entry, earlier_day).await?;
        Ok(KeptRecord { appended, stock, uses, shortages, later })
    }

    /// A visit is recorded once: what differs later is an amendment. The very same record again, whatever its key,
    /// is no second one: the first entry of it is the answer.
    async fn earlier_of_visit(
        &self,
        turn: &mut BookTurn,
        record: &ApplicationRecord,
        entry: &NewEntry,
    ) -> Result<Option<Entry>, LedgerError> {
        let Some(visit) = &record.provenance.visit else { return Ok(None) };
        let day = Filter {
            from: Some(record.date),
            until: Some(record.date),
            // Whatever it is called by now.
            near: Filter::around(record.property.origin, one_property()),
            ..Filter::of(Kind::Record)
        };
        // Those of which the document names the visit are read.
        let name = serde_json::Value::from(visit.name.as_str()).to_string();
        for found in self.all_holding(turn.connection()?, &day, &name).await? {
            let earlier = held(&found)?;
            let same_visit = earlier.record.provenance.visit.as_ref().is_some_and(|known| {
                let is_one_thing = known.reference.is_some() && known.reference == visit.reference;
                is_same(known, visit) && (is_one_thing || earlier.record.property.name == record.property.name)
            });
            if !same_visit || found.thing == entry.thing {
                continue;
            }
            let first =
                if found.version == 1 { found } else { self.version_in(turn.connection()?, found.thing, 1).await? };
            if first.body == entry.body {
                return Ok(Some(first));
            }
            return Err(Problem::error(
                "trade::recorded-already",
                format!("the visit `{}` of {} is recorded already", visit.name, visit.date),
            )
            .expected("one record of a visit")
            .mend(format!("amend the record {}", first.thing))
            .into());
        }
        Ok(None)
    }

    /// Every record that is not discarded, in its newest version, by day.
    ///
    /// # Errors
    /// The database fails; a body is no record.
    pub async fn records(&self, filter: &Filter) -> Result<Vec<HeldRecord>, LedgerError> {
        let filter = Filter { kind: Some(Kind::Record), ..filter.clone() };
        let mut records: Vec<HeldRecord> = self.all(&filter).await?.iter().map(held).collect::<Result<_, _>>()?;
        records.sort_by_key(|held| (held.record.date, held.thing));
        Ok(records)
    }

    /// The record that a person means by its name, or by its title when only one is called that.
    ///
    /// # Errors
    /// As [`Book::meant`].
    pub async fn meant_record(&self, name: &str) -> Result<HeldRecord, LedgerError> {
        held(&self.meant_entry(Kind::Record, name).await?)
    }

    /// The stock of the products of some uses; where no lot of them is kept, the records need not be read.
    async fn stock_of(&self, own: Vec<Use>) -> Result<Stock, LedgerError> {
        let labels: BTreeSet<&str> = own.iter().map(|taken| taken.label.as_str()).collect();
        let lots = self.lots().await?;
        if !lots.iter().any(|(_, lot)| labels.contains(lot.label.as_str())) {
            return Ok(stock(&[], &[], own));
        }
        let lots: Vec<_> = lots.into_iter().filter(|(_, lot)| labels.contains(lot.label.as_str())).collect();
        let mut adjustments = self.adjustments().await?;
        adjustments.retain(|(_, adjustment)| lots.iter().any(|(lot, _)| *lot == adjustment.lot));
        let filter =
            Filter { labels: Some(labels.iter().map(|&label| label.to_owned()).collect()), ..Filter::default() };
        let mut uses = self.uses(&filter).await?;
        uses.retain(|taken| labels.contains(taken.label.as_str()));
        Ok(stock(&lots, &adjustments, uses))
    }

    /// Stock by lot, from lots, adjustments and records.
    ///
    /// # Errors
    /// The database fails.
    pub async fn stock(&self) -> Result<Stock, LedgerError> {
        Ok(stock(&self.lots().await?, &self.adjustments().await?, self.uses(&Filter::default()).await?))
    }

    /// The lots with what is left of each, for whoever reckons a price; and the prices that cannot be read.
    ///
    /// # Errors
    /// The database fails.
    pub async fn stocked_lots(&self) -> Result<(Vec<StockedLot>, Problems), LedgerError> {
        let lots = self.lots().await?;
        if lots.is_empty() {
            return Ok((Vec::new(), Problems::new()));
        }
        let stock = stock(&lots, &self.adjustments().await?, self.uses(&Filter::default()).await?);
        Ok(stocked(&lots, &stock))
    }

    async fn lots(&self) -> Result<Vec<(Reference, Lot)>, LedgerError> {
        let lots = self.things::<Lot>().await?.into_iter();
        lots.map(|lot| Ok((reference(lot.thing)?, lot.document))).collect()
    }

    async fn adjustments(&self) -> Result<Vec<(Reference, StockAdjustment)>, LedgerError> {
        let adjustments = self.things::<StockAdjustment>().await?.into_iter();
        adjustments.map(|adjustment| Ok((reference(adjustment.thing)?, adjustment.document))).collect()
    }

    async fn uses(&self, filter: &Filter) -> Result<Vec<Use>, LedgerError> {
        let mut uses = Vec::new();
        for held in self.records(filter).await? {
            uses.extend(Use::of_record(&reference(held.thing)?, &held.record));
        }
        Ok(uses)
    }

    /// The past of a visit's ground, from the books and from its own history; see [`merged`]. Where the
    /// visit itself is to be recorded, what the books hold of it already is not among it, but beside it
    /// ([`BooksPast::of_itself`]): a visit is not its own past, and a second application under it is.
    ///
    /// # Errors
    /// The database fails.
    pub async fn history_of(&self, request: &VisitRequest, is_recorded: bool) -> Result<BooksPast, LedgerError> {
        let is_itself = |record: &ApplicationRecord| {
            let visit = record.provenance.visit.as_ref();
            is_recorded
                && record.property.name == request.property.name()
                && visit.is_some_and(|visit| visit.name == request.name && visit.date == request.date)
        };
        let kept = self.property_called(request.property.name()).await?;
        let kept = kept.as_ref().map(|property| &property.document);
        self.past_of(request, kept, |held| is_itself(&held.record)).await
    }

    pub(super) async fn past_of(
        &self,
        request: &VisitRequest,
        kept: Option<&Property>,
        is_left_out: impl Fn(&HeldRecord) -> bool,
    ) -> Result<BooksPast, LedgerError> {
        let near = Filter { near: record::reach(&request.property), ..Filter::default() };
        let (left_out, counted): (Vec<HeldRecord>, Vec<HeldRecord>) =
            self.records(&near).await?.into_iter().partition(is_left_out);
        let plain = |records: Vec<HeldRecord>| -> Vec<ApplicationRecord> {
            records.into_iter().map(|held| held.record).collect()
        };
        Ok(BooksPast { of_itself: plain(left_out), ..merged(request, &plain(counted), kept) })
    }

    /// Where a record was carried out: where the kept property lies to which it belongs; where that is not kept, as
    /// `said`.
    ///
    /// # Errors
    /// `trade::other-place` when another place is said than the one that is kept: rules, and how long they keep
    /// the record, are not chosen. The database fails.
    pub async fn place_of(
        &self,
        held: &HeldRecord,
        said: Option<&Jurisdiction>,
    ) -> Result<Option<Jurisdiction>, LedgerError> {
        let property = match held.indexed.property {
            Some(property) => self.things::<Property>().await?.into_iter().find(|kept| kept.thing == property),
            None => self.property_called(&held.record.property.name).await?,
        };
        let kept = property.and_then(|kept| kept.document.jurisdiction).map(|text| text.place().clone());
        match (kept, said) {
            (Some(kept), Some(said)) if kept != *said => Err(Problem::error(
                "trade::other-place",
                format!("the property is kept as lying in {kept}, not {said}"),
            )
            .expected("the place of the property")
            .mend("leave the place out; where the kept one is wrong, keep the property with the right one")
            .at("place")
            .into()),
            (Some(kept), _) => Ok(Some(kept)),
            (None, said) => Ok(said.cloned()),
        }
    }

    /// What stands against the people of a record doing it: certificates, supervision, training.
    ///
    /// # Errors
    /// The database fails.
    pub async fn authority_of(
        &self,
        record: &ApplicationRecord,
        place: &Jurisdiction,
    ) -> Result<Problems, LedgerError> {
        let people = self.things::<Person>().await?;
        let known = |name: Option<&String>| {
            name.and_then(|name| people.iter().find(|held| held.document.name == *name)).map(|held| &held.document)
        };
        let crew = Crew {
            applicator: known(record.noncertified_applicator.value().or(record.applicator.value())),
            supervisor: known(record.supervisor.value()),
        };
        Ok(authority(&Authority::of_record(record, place), crew))
    }

    /// Gives a record up, when no rule known keeps it any longer.
    ///
    /// # Errors
    /// `trade::retention` while a rule keeps the record, and also where no rule on keeping is known;
    /// otherwise as [`Book::discard`].
    pub async fn discard_record(
        &self,
        held: &HeldRecord,
        circumstances: &Circumstances,
        rules: &RuleSet,
        reason: &str,
        (today, now): (Date, Timestamp),
    ) -> Result<Entry, LedgerError> {
        let refuse = |found: String, expected: String| -> Result<Entry, LedgerError> {
            Err(Problem::error("trade::retention", found).expected(expected).into())
        };
        if let Some((date, kept)) = self.kept_by_a_version(held, circumstances, rules, today).await? {
            return refuse(
                format!("the record of {date} is within its retention time"),
                format!("a day after {}, by rule `{}`", kept.until, kept.by.rule.id),
            );
        }
        match discarding(rules, circumstances, today) {
            Discarding::Forbidden(kept) => refuse(
                format!("the record of {} is within its retention time", held.record.date),
                format!("a day after {}, by rule `{}`", kept.until, kept.by.rule.id),
            ),
            Discarding::NoRuleKnown => refuse(
                format!("how long a record of {} is kept is not known here", circumstances.place),
                "a rule on keeping records of this place; nothing is discarded without one".to_owned(),
            ),
            Discarding::Allowed(_) => {
                let key = RequestKey::fresh();
                let appended = self.discard(held.thing, held.version, reason, now, key).await?;
                Ok(appended.entry)
            }
        }
    }
}

/// Whether two records name one visit: one that was kept since has a name in the books, and had none before.
fn is_same(one: &PlannedVisit, other: &PlannedVisit) -> bool {
    let differ = one.reference.as_ref().zip(other.reference.as_ref()).is_some_and(|(one, other)| one != other);
    (&one.name, one.date) == (&other.name, other.date) && !differ
}

/// What rules ask of a record of work for hire, without answers to conditions that only a person can judge.
pub(super) fn for_hire(record: &ApplicationRecord, place: &Jurisdiction) -> Circumstances {
    circumstances(record, place, Work::ForHire, &BTreeMap::new())
}

impl HeldRecord {
    /// What rules ask of the application, done for hire.
    pub fn circumstances(&self, place: &Jurisdiction) -> Circumstances {
        for_hire(&self.record, place)
    }
}

pub(super) fn held(entry: &Entry) -> Result<HeldRecord, LedgerError> {
    let record = parse_record("", &entry.body)?;
    Ok(HeldRecord { thing: entry.thing, version: entry.version, indexed: entry.indexed.clone(), record })
}
