//! The invented demo property, kept in a book: a first plan without drawing or writing anything.

use super::{Held, Keeping, OfKind, PlannedVisit, ReadVisit, Shelf, VisitParties, checked_entry, merged, reference};
use crate::{Appended, Book, Expected, LedgerError, NewEntry, RequestKey, ThingId};
use exchange::business_file::parse_business;
use exchange::client_file::parse_client;
use exchange::demo;
use exchange::kept::{self, Day, FileText, JurisdictionText, Kept, Lot};
use jiff::Timestamp;
use jiff::civil::date;
use problem::Problems;
use std::collections::BTreeMap;
use uuid::Uuid;

/// What stands on everything of the demo that has room for it.
const INVENTED: &str = "Invented, for practice only.";
/// What the demo property is called, and its visit.
const TITLE: &str = "Alder Bend (invented)";

/// The demo's things, the same in every book: who keeps the demo twice is told, and gets no second one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
enum Part {
    Business = 1,
    Client,
    Person,
    Property,
    Equipment,
    Lot,
    Visit,
    FirstLabel,
}

fn thing(number: u8) -> ThingId {
    // Version 7, of the first second of 2026-07-06.
    ThingId::new(Uuid::from_u128(0x019f_3499_a800_7000_8000_0000_0000_0000 | u128::from(number)))
}

impl Part {
    fn thing(self) -> ThingId {
        thing(self as u8)
    }
}

/// The thing of a label, by its place among [`demo::LABELS`].
fn label_thing(index: u8) -> ThingId {
    thing(Part::FirstLabel as u8 + index)
}

/// The demo in a book.
#[derive(Debug, Clone)]
pub struct KeptDemo {
    /// The property.
    pub property: ThingId,
    /// The visit planned on it.
    pub visit: ThingId,
    /// Everything that was kept.
    pub kept: Vec<Appended>,
}

impl Book {
    /// Keeps the demo property with its client, business, person, labels, sprayer, a lot and a visit: all of it, or
    /// none. A person, a label or a lot that is kept already under its name is not kept a second time: who looks for it
    /// could not tell the two apart. Whatever can say so says that it is invented.
    ///
    /// # Errors
    /// As [`Book::append_all`]: a conflict where the book has the demo already.
    pub async fn keep_demo(&self, recorded_at: Timestamp, key: RequestKey) -> Result<KeptDemo, LedgerError> {
        let mut known = Known::default();
        for (index, (_, text)) in (0..).zip(demo::LABELS) {
            let (label, _) = exchange::label_file::parse_label("label", text)?;
            let kept = self.things_titled::<kept::Label>(&label.id).await?;
            known
                .labels
                .extend(kept.first().filter(|held| held.thing != label_thing(index)).map(|held| (index, held.thing)));
        }
        let person = kept::Person::read(demo::PERSON.1)?.name;
        let people = self.things_titled::<kept::Person>(&person).await?;
        known.person = people.iter().any(|held| held.thing != Part::Person.thing());
        let lot = Lot::read(demo::LOT.1)?;
        let is_kept = |held: &Held<Lot>| held.document.label == lot.label && held.document.number == lot.number;
        known.lot = self.things::<Lot>().await?.iter().any(|held| held.thing != Part::Lot.thing() && is_kept(held));
        let entries = entries(recorded_at, &known)?;
        let kept = self.append_all(entries, key).await?;
        Ok(KeptDemo { property: Part::Property.thing(), visit: Part::Visit.thing(), kept })
    }
}

/// What the books keep already of the demo's things, by hand.
#[derive(Debug, Default)]
struct Known {
    /// Labels, by their places among [`demo::LABELS`].
    labels: BTreeMap<u8, ThingId>,
    person: bool,
    lot: bool,
}

impl Known {
    /// The thing of a label: the one that is kept, or the demo's own.
    fn label(&self, index: u8) -> ThingId {
        self.labels.get(&index).copied().unwrap_or_else(|| label_thing(index))
    }
}

fn entries(recorded_at: Timestamp, known: &Known) -> Result<Vec<NewEntry>, Problems> {
    let note = || Some(INVENTED.to_owned());
    let entry = |thing: ThingId, kind, text: String| {
        let keeping = Keeping { thing, expected: Expected::New, reason: None, recorded_at };
        checked_entry(kind, text, keeping)
    };
    let (business, _) = parse_business(demo::BUSINESS.0, demo::BUSINESS.1)?;
    let (client, _) = parse_client(demo::CLIENT.0, demo::CLIENT.1)?;
    let property = kept::Property {
        name: TITLE.to_owned(),
        client: Some(reference(Part::Client.thing())?),
        address: Some(client.address.join("\n")).filter(|address| !address.is_empty()),
        jurisdiction: Some(JurisdictionText::parse("US-KS")?),
        // What was applied before stands in the history that the visit brings along.
        complete_since: Some(Day::new(date(2026, 4, 3))),
        map: FileText(demo::MAP.1.to_owned()),
        note: note(),
    };
    let equipment = kept::Equipment {
        name: "Hand pump (invented)".to_owned(),
        equipment: FileText(demo::EQUIPMENT.1.to_owned()),
        note: note(),
    };
    let mut entries = Vec::new();
    macro_rules! keep {
        ($thing:expr, $document:expr) => {
            entries.push(entry($thing, kind_of(&$document), $document.text())?)
        };
    }
    let prices = Some(FileText(demo::BUSINESS.1.to_owned()));
    let priced = kept::Business { prices, ..kept::Business::from(&business.business) };
    keep!(Part::Business.thing(), priced);
    keep!(Part::Client.thing(), kept::Client::from(&client));
    if !known.person {
        keep!(Part::Person.thing(), kept::Person::read(demo::PERSON.1)?);
    }
    keep!(Part::Property.thing(), property);
    for (index, (_, text)) in (0..).zip(demo::LABELS) {
        if known.labels.contains_key(&index) {
            continue;
        }
        let (label, _) = exchange::label_file::parse_label("label", text)?;
        let document = kept::Label {
            id: label.id,
            label: FileText(text.to_owned()),
            compared_on: None,
            compared_by: None,
            note: note(),
        };
        keep!(label_thing(index), document);
    }
    keep!(Part::Equipment.thing(), equipment);
    if !known.lot {
        keep!(Part::Lot.thing(), kept::Lot::read(demo::LOT.1)?);
    }
    keep!(Part::Visit.thing(), visit(known)?);
    Ok(entries)
}

fn kind_of<T: OfKind>(_: &T) -> crate::Kind {
    T::KIND
}

/// The demo's visit, with what it names standing in the book.
fn visit(known: &Known) -> Result<kept::Visit, Problems> {
    let mut names: BTreeMap<&str, String> = BTreeMap::from([
        (demo::MAP.0, format!("books:property/{TITLE}")),
        (demo::EQUIPMENT.0, format!("thing:{}", Part::Equipment.thing())),
    ]);
    names.extend((0..).zip(demo::LABELS).map(|(index, (name, _))| (name, format!("thing:{}", known.label(index)))));
    let mut request = demo::VISIT.1.replace("\"Alder Bend\"", &format!("\"{TITLE}\""));
    for (file, named) in &names {
        request = request.replace(&format!("\"{file}\""), &format!("\"{named}\""));
    }
    let files: BTreeMap<String, String> = demo::NAMED
        .iter()
        .map(|(name, text)| (names.get(name).cloned().unwrap_or_else(|| (*name).to_owned()), (*text).to_owned()))
        .collect();
    let fetch = |name: &str| files.get(name).cloned().ok_or_else(|| "it does not come with the demo".to_owned());
    let read = ReadVisit::read(demo::VISIT.0, request, &Shelf::of_property(TITLE, demo::MAP.1), fetch)?;
    let past = merged(read.request(), &[], None);
    let planned: PlannedVisit = read.plan(past)?;
    let document = planned.document(&VisitParties::default())?;
    let property = Some(reference(Part::Property.thing())?);
    Ok(kept::Visit { client: Some(reference(Part::Client.thing())?), property, ..document })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A name without its mark would be taken for a customer's.
    #[test]
    fn everything_says_that_it_is_invented() {
        let entries = entries(Timestamp::UNIX_EPOCH, &Known::default()).unwrap();
        assert_eq!(entries.len(), 10);
        for entry in entries {
            let body: serde_json::Value = serde_json::from_str(&entry.body).unwrap();
            let says = |field: &str| body[field].as_str().is_some_and(|text| text.to_lowercase().contains("invented"));
            assert!(says("name") || says("note"), "{}", entry.body);
        }
    }
}
