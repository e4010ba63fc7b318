//! What the trade asks of the books, the same on both databases.

use crate::support::{Database, key, moment, on_both};
use exchange::kept::{
    AmountText, Category, Certificate, Day, Direction, FileText, Kept, Label, Lot, Person, Property, StockAdjustment,
};
use exchange::visit_file::parse_visit;
use jiff::civil::date;
use jurisdiction::Jurisdiction;
use ledger::trade::{HeldRecord, Keeping, RecordLinks};
use ledger::{Book, Expected, Filter, Kind, LedgerError, RequestKey, ThingId};
use problem::Problems;
use quantity::{Amount, VolumeUnit};
use record::{ApplicationRecord, Fact, Parties, Provenance, from_visit};
use std::path::Path;
use treatment::{History, Status, Visit, VisitRequest};

on_both!(
    the_loop_closes_from_plan_to_record_to_the_next_plan,
    a_record_is_kept_once_and_amended_with_a_reason,
    an_amendment_that_nobody_could_read_is_refused,
    what_is_told_twice_counts_once,
    things_are_found_by_name_and_checked_before_they_are_kept,
    records_within_their_time_are_not_given_up,
    the_people_of_a_record_are_judged_by_what_the_books_keep,
    records_are_found_by_their_ground_and_count_there_alone,
    stock_of_a_record_reads_the_records_of_its_labels,
    the_kept_place_of_a_property_is_not_talked_away,
    the_same_record_of_a_visit_is_kept_once_whatever_its_key,
    an_amendment_is_judged_by_the_labels_that_are_kept,
    an_import_reads_every_document,
    of_two_records_of_a_visit_that_come_at_once_one_is_kept,
    the_demo_keeps_nothing_a_second_time,
    adjustments_that_cannot_be_are_refused,
);

fn demo(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name);
    std::fs::read_to_string(path).expect("the demo is there")
}

fn request() -> VisitRequest {
    let mut fetch = |name: &str| Ok(demo(&format!("alder-bend/{name}")));
    parse_visit("visit.toml", &demo("alder-bend/visit.toml"), &mut fetch).expect("the demo is sound").0
}

fn planned(request: &VisitRequest) -> Visit {
    treatment::plan(request).expect("a plan")
}

fn record_of(request: &VisitRequest) -> ApplicationRecord {
    from_visit(&planned(request), request, &Parties::default())
}

fn new_at(second: i64) -> Keeping {
    Keeping { thing: ThingId::fresh(), expected: Expected::New, reason: None, recorded_at: moment(second) }
}

fn lot() -> Lot {
    Lot {
        label: "brackwater-sc".to_owned(),
        number: "A-17".to_owned(),
        received_on: Day::new(date(2026, 3, 2)),
        received: AmountText::parse("1 qt").expect("an amount"),
        price: None,
        supplier: None,
        use_until: None,
        note: None,
    }
}

async fn left_ml(book: &Book) -> f64 {
    match book.stock().await.unwrap().left_of("brackwater-sc") {
        Some(Amount::Volume(left)) => left.to(VolumeUnit::Millilitre),
        other => panic!("{other:?}"),
    }
}

async fn kept(book: &Book, record: &ApplicationRecord) -> HeldRecord {
    let kept = book.keep_record(record, RecordLinks::default(), new_at(9), key()).await.unwrap();
    book.meant_record(&kept.appended.entry.thing.to_string()).await.unwrap()
}

async fn judge(book: &Book, record: ApplicationRecord, thing: ThingId) -> (ApplicationRecord, Problems) {
    let surroundings = book.surroundings_of(&record, RecordLinks::default()).await.unwrap();
    book.judged(record, Some(thing), &surroundings).await.unwrap()
}

fn codes(error: &LedgerError) -> Vec<&'static str> {
    error.problems().iter().map(|problem| problem.code).collect()
}

async fn the_loop_closes_from_plan_to_record_to_the_next_plan(database: &Database) {
    let book = database.book().await;
    book.keep_thing(&lot(), new_at(1), key()).await.unwrap();
    let mut request = request();
    request.history = book.history_of(&request, false).await.unwrap().history;
    let visit = planned(&request);
    assert_ne!(visit.verdict(), Status::Refused);
    let full = left_ml(&book).await;
    kept(&book, &record_of(&request)).await;
    let Amount::Volume(measured) = visit.products[0].measured else { panic!("a liquid") };
    assert!((full - left_ml(&book).await - measured.to(VolumeUnit::Millilitre)).abs() < 1e-6);

    request.history = book.history_of(&request, false).await.unwrap().history;
    assert_eq!(planned(&request).verdict(), Status::Refused);
    // The visit is not its own past when it is recorded.
    let mut request = self::request();
    request.history = book.history_of(&request, true).await.unwrap().history;
    assert_ne!(planned(&request).verdict(), Status::Refused);
}

async fn a_record_is_kept_once_and_amended_with_a_reason(database: &Database) {
    let book = database.book().await;
    let record = record_of(&request());
    let same = RequestKey::of_words("one visit").unwrap();
    let first = book.keep_record(&record, RecordLinks::default(), new_at(1), same.clone()).await.unwrap();
    let again = book.keep_record(&record, RecordLinks::default(), new_at(2), same).await.unwrap();
    assert!(!first.appended.replayed && again.appended.replayed);
    assert_eq!(first.appended.entry, again.appended.entry);
    assert_eq!(first.shortages.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["stock::no-lot"]);

    // Another record of the same visit is an amendment, not a second one.
    let mut other = record.clone();
    other.unexpected = Fact::Recorded("a hose burst".to_owned());
    let error = book.keep_record(&other, RecordLinks::default(), new_at(3), key()).await.unwrap_err();
    assert_eq!(codes(&error), ["trade::recorded-already"]);

    // Under another name, too.
    "Another name".clone_into(&mut other.name);
    let error = book.keep_record(&other, RecordLinks::default(), new_at(3), key()).await.unwrap_err();
    assert_eq!(codes(&error), ["trade::recorded-already"]);
    other.name.clone_from(&record.name);

    let thing = first.appended.entry.thing;
    let amend = |reason: Option<&str>| Keeping {
        thing,
        expected: Expected::Version(1),
        reason: reason.map(str::to_owned),
        recorded_at: moment(4),
    };
    let error = book.keep_record(&other, RecordLinks::default(), amend(None), key()).await.unwrap_err();
    assert_eq!(codes(&error), ["trade::no-reason"]);
    book.keep_record(&other, RecordLinks::default(), amend(Some("told later")), key()).await.unwrap();
    let error = book.keep_record(&other, RecordLinks::default(), amend(Some("unseen")), key()).await.unwrap_err();
    assert_eq!(codes(&error), ["ledger::conflict"]);
    assert_eq!(book.meant_record(&thing.to_string()).await.unwrap().record.unexpected, other.unexpected);
    assert_eq!(book.version(thing, 1).await.unwrap(), first.appended.entry);
    assert_eq!(book.records(&Filter::default()).await.unwrap().len(), 1);
}

/// What is kept cannot be taken back: an amendment is read as whoever looks it up will read it.
async fn an_amendment_that_nobody_could_read_is_refused(database: &Database) {
    let book = database.book().await;
    let record = record_of(&request());
    let thing = kept(&book, &record).await.thing;
    let mut below = record.clone();
    below.tasks[0].products[0].amount = record.tasks[0].products[0].amount.scaled(-1.0);
    let keeping =
        Keeping { thing, expected: Expected::Version(1), reason: Some("a slip".to_owned()), recorded_at: moment(10) };
    let error = book.keep_record(&below, RecordLinks::default(), keeping, key()).await.unwrap_err();
    assert!(!error.problems().is_empty(), "{error:?}");
    assert_eq!(book.newest(thing).await.unwrap().version, 1);
    assert_eq!(book.records(&Filter::default()).await.unwrap().len(), 1);
}

async fn of_two_records_of_a_visit_that_come_at_once_one_is_kept(database: &Database) {
    let book = database.book().await;
    let keep = |number: usize| {
        let book = book.clone();
        let mut record = record_of(&request());
        record.unexpected = Fact::Recorded(format!("told by hand {number}"));
        tokio::spawn(async move { book.keep_record(&record, RecordLinks::default(), new_at(1), key()).await })
    };
    let (mut kept, mut refused) = (0, 0);
    for hand in (0..8).map(keep).collect::<Vec<_>>() {
        match hand.await.unwrap() {
            Ok(_) => kept += 1,
            Err(error) => {
                assert_eq!(codes(&error), ["trade::recorded-already"]);
                refused += 1;
            }
        }
    }
    assert_eq!((kept, refused), (1, 7));
    assert_eq!(book.records(&Filter::default()).await.unwrap().len(), 1);
}

async fn the_demo_keeps_nothing_a_second_time(database: &Database) {
    let book = database.book().await;
    let lot = Lot::read(&demo("alder-bend/lot.json")).unwrap();
    book.keep_thing(&lot, new_at(1), key()).await.unwrap();
    let person = Person::read(&demo("alder-bend/person.json")).unwrap();
    book.keep_thing(&person, new_at(1), key()).await.unwrap();
    let label = Label {
        id: "brackwater-sc".to_owned(),
        label: FileText(demo("labels/brackwater-sc.toml")),
        compared_on: None,
        compared_by: None,
        note: None,
    };
    let by_hand = book.keep_thing(&label, new_at(1), key()).await.unwrap().appended.entry.thing;
    let kept = book.keep_demo(moment(2), key()).await.unwrap();
    assert!(kept.kept.iter().all(|one| !matches!(one.entry.kind, Kind::Lot | Kind::Person)));
    assert_eq!(book.things::<Lot>().await.unwrap().len(), 1);
    assert_eq!(book.things_titled::<Person>(&person.name).await.unwrap().len(), 1);
    assert_eq!(book.things_titled::<Label>("brackwater-sc").await.unwrap().len(), 1);
    assert_eq!(book.things::<Label>().await.unwrap().len(), 3);
    let visit = book.newest(kept.visit).await.unwrap().body;
    assert!(visit.contains(&format!("thing:{by_hand}")), "the visit names the label that is kept");
}

async fn adjustments_that_cannot_be_are_refused(database: &Database) {
    let book = database.book().await;
    let kept = book.keep_thing(&lot(), new_at(1), key()).await.unwrap().appended.entry.thing;
    let adjust = |amount: &str, day: i8, thing: ThingId| StockAdjustment {
        lot: ledger::trade::reference(thing).unwrap(),
        date: Day::new(date(2026, 5, day)),
        direction: Direction::Less,
        amount: AmountText::parse(amount).unwrap(),
        reason: "spilled".to_owned(),
    };
    let now = Keeping { recorded_at: "2026-05-03T12:00:00Z".parse().unwrap(), ..new_at(1) };
    let again = || Keeping { thing: ThingId::fresh(), ..now.clone() };
    for (document, code) in [
        (adjust("20 lb", 1, kept), "stock::other-kind"),
        (adjust("1 fl oz", 9, kept), "stock::not-yet"),
        (adjust("1 fl oz", 1, ThingId::fresh()), "stock::unknown-lot"),
    ] {
        assert_eq!(codes(&book.keep_thing(&document, again(), key()).await.unwrap_err()), [code]);
    }
    let below = book.keep_thing(&adjust("40 fl oz", 1, kept), again(), key()).await.unwrap();
    assert_eq!(below.warnings.iter().map(|one| one.code).collect::<Vec<_>>(), ["stock::below-nothing"]);
}

async fn what_is_told_twice_counts_once(database: &Database) {
    let book = database.book().await;
    let mut request = request();
    kept(&book, &record_of(&request)).await;
    let past = book.history_of(&request, false).await.unwrap();
    let History::Known { complete_since, applications } = past.history else { panic!("a known past") };
    let own = match &request.history {
        History::Known { applications, .. } => applications.len(),
        History::Unknown => 0,
    };
    assert_eq!((past.told_twice, applications.len()), (0, own + 3));
    assert_eq!(complete_since, Some(date(2025, 1, 1)), "as the visit's own history says");
    // The books and the history together reach as far back as the earlier of the two.
    let since = |day: Option<jiff::civil::Date>| {
        let kept = Property { complete_since: day.map(Day::new), ..kept_property("US-KS") };
        match ledger::trade::merged(&request, &[], Some(&kept)).history {
            History::Known { complete_since, .. } => complete_since,
            History::Unknown => None,
        }
    };
    assert_eq!(since(Some(date(2026, 4, 3))), Some(date(2025, 1, 1)));
    assert_eq!(since(Some(date(2024, 4, 3))), Some(date(2024, 4, 3)));
    assert_eq!(since(None), Some(date(2025, 1, 1)));

    // The history that a visit brings along tells the same applications, under the product's name.
    let told = applications.iter().filter(|application| application.date == request.date).map(|application| {
        let mut told = application.clone();
        "Brackwater 1 SC (invented)".clone_into(&mut told.product);
        told
    });
    request.history = History::Known { complete_since: None, applications: told.collect() };
    let past = book.history_of(&request, false).await.unwrap();
    let History::Known { applications, .. } = past.history else { panic!("a known past") };
    assert_eq!((past.told_twice, applications.len()), (3, 3));

    // Without any history the books prove nothing before their first record; the property may say more.
    request.history = History::Unknown;
    let since = |history| match history {
        History::Known { complete_since, .. } => complete_since,
        History::Unknown => None,
    };
    assert_eq!(since(book.history_of(&request, false).await.unwrap().history), Some(request.date));
    let property = Property {
        name: request.property.name().to_owned(),
        client: None,
        address: None,
        jurisdiction: None,
        complete_since: Some(Day::new(date(2024, 4, 1))),
        map: FileText(demo("alder-bend/property.geojson")),
        note: None,
    };
    book.keep_thing(&property, new_at(20), key()).await.unwrap();
    assert_eq!(since(book.history_of(&request, false).await.unwrap().history), Some(date(2024, 4, 1)));
}

async fn things_are_found_by_name_and_checked_before_they_are_kept(database: &Database) {
    let book = database.book().await;
    let mut label = Label {
        id: "brackwater-sc".to_owned(),
        label: FileText(demo("labels/brackwater-sc.toml")),
        compared_on: None,
        compared_by: None,
        note: None,
    };
    let entry = book.keep_thing(&label, new_at(1), key()).await.unwrap().appended.entry;
    assert_eq!((entry.kind, entry.indexed.title.as_str()), (Kind::Label, "brackwater-sc"));
    let found = book.meant::<Label>("BRACKWATER-SC").await.unwrap();
    assert_eq!((found.thing, found.version, &found.document), (entry.thing, 1, &label));
    assert_eq!(codes(&book.meant::<Label>("brackwater").await.unwrap_err()), ["trade::unknown-name"]);
    book.keep_thing(&label, new_at(2), key()).await.unwrap();
    assert_eq!(codes(&book.meant::<Label>("brackwater-sc").await.unwrap_err()), ["trade::several"]);
    "other".clone_into(&mut label.id);
    assert_eq!(codes(&book.keep_thing(&label, new_at(3), key()).await.unwrap_err()), ["kept::other-label"]);
    let shelf = book.shelf("labels = ['books:label/Brackwater-SC', 'books:label/none']").await.unwrap();
    assert_eq!(shelf.text("books:label/Brackwater-SC"), Some(Ok(demo("labels/brackwater-sc.toml"))));
    assert_eq!(shelf.text("books:label/none"), Some(Err("the books keep label/brackwater-sc".to_owned())));
    assert_eq!(shelf.text("labels/brackwater-sc.toml"), None);
}

async fn records_within_their_time_are_not_given_up(database: &Database) {
    let book = database.book().await;
    let held = kept(&book, &record_of(&request())).await;
    let rules = exchange::rule_file::parse_rules(exchange::rule_file::shipped().iter().copied()).unwrap().0;
    let discard = async |place: &str, day| {
        let place = Jurisdiction::parse(place).unwrap();
        book.discard_record(&held, &held.circumstances(&place), &rules, "no room", (day, moment(30))).await
    };
    let late = date(2040, 1, 1);
    assert_eq!(codes(&discard("US-TX", date(2026, 12, 1)).await.unwrap_err()), ["trade::retention"]);
    assert_eq!(codes(&discard("US-KS", late).await.unwrap_err()), ["trade::retention"], "no rule is known");
    // A day amended into the past does not let the record go sooner.
    let amended = ApplicationRecord { date: date(2014, 1, 15), ..held.record.clone() };
    let keeping =
        Keeping { thing: held.thing, expected: Expected::Version(1), reason: Some("?".to_owned()), ..new_at(12) };
    book.keep_record(&amended, RecordLinks::default(), keeping, key()).await.unwrap();
    let held = book.meant_record(&held.thing.to_string()).await.unwrap();
    let texas = Jurisdiction::parse("US-TX").unwrap();
    let early = (date(2026, 12, 1), moment(30));
    let told = book.discard_record(&held, &held.circumstances(&texas), &rules, "no room", early).await;
    assert_eq!(codes(&told.unwrap_err()), ["trade::retention"]);
    let discard = async |place: &str, day| {
        let place = Jurisdiction::parse(place).unwrap();
        book.discard_record(&held, &held.circumstances(&place), &rules, "no room", (day, moment(30))).await
    };
    assert!(discard("US-TX", late).await.unwrap().discards);
    assert_eq!(book.records(&Filter::default()).await.unwrap(), []);
    assert_eq!(book.versions(held.thing).await.unwrap().len(), 3, "what was kept stays");
}

async fn the_people_of_a_record_are_judged_by_what_the_books_keep(database: &Database) {
    let book = database.book().await;
    let record = record_of(&request());
    let kansas = Jurisdiction::parse("US-KS").unwrap();
    let judged = async || {
        let found = book.authority_of(&record, &kansas).await.unwrap();
        found.iter().map(|problem| problem.code).collect::<Vec<_>>()
    };
    assert_eq!(judged().await, ["authority::unknown-person"]);
    let mut person = Person {
        name: "J. Example".to_owned(),
        telephone: None,
        certificates: vec![Certificate {
            number: "KS-00000".to_owned(),
            jurisdiction: kansas.clone().into(),
            categories: vec![Category::OrnamentalAndTurf],
            valid_from: None,
            valid_until: Day::new(date(2026, 7, 6)),
        }],
        training: Vec::new(),
        note: None,
    };
    let first = book.keep_thing(&person, new_at(1), key()).await.unwrap().appended.entry;
    assert_eq!(judged().await, ["authority::not-certified"]);
    person.certificates[0].valid_until = Day::new(date(2026, 12, 31));
    let renewed = Keeping { thing: first.thing, expected: Expected::Version(1), reason: None, recorded_at: moment(2) };
    book.keep_thing(&person, renewed, key()).await.unwrap();
    assert_eq!(judged().await, [""; 0]);
    assert_eq!(Person::read(&person.text()), Ok(person));
}

/// Records of the lot, of the one beside it and of one far away: the past has what lies on the lot, and the
/// list by ground leaves out nothing that counts.
async fn records_are_found_by_their_ground_and_count_there_alone(database: &Database) {
    let book = database.book().await;
    let request = request();
    let here = record_of(&request);
    let lot = request.property.boundary().bounds().unwrap();
    let mut beside = ApplicationRecord { name: "beside".to_owned(), ..here.clone() };
    beside.property.origin = request.property.plane().to_position(lot.corners()[1]);
    let mut far = ApplicationRecord { name: "far".to_owned(), ..here.clone() };
    far.property.origin = geometry::GeoPosition::from_degrees(-80.0, 35.0).unwrap();
    for record in [&here, &beside, &far] {
        let record = ApplicationRecord { provenance: Provenance::default(), ..record.clone() };
        book.keep_record(&record, RecordLinks::default(), new_at(1), key()).await.unwrap();
    }
    let near = Filter { near: record::reach(&request.property), ..Filter::default() };
    let names = |records: Vec<HeldRecord>| records.into_iter().map(|held| held.record.name).collect::<Vec<_>>();
    let mut found = names(book.records(&near).await.unwrap());
    found.sort();
    assert_eq!(found, [here.name.as_str(), "beside"]);
    assert_eq!(names(book.records(&Filter::default()).await.unwrap()).len(), 3);

    let all: Vec<ApplicationRecord> =
        book.records(&Filter::default()).await.unwrap().into_iter().map(|held| held.record).collect();
    let asked = VisitRequest { history: History::Unknown, ..request.clone() };
    let past = book.history_of(&asked, false).await.unwrap();
    assert_eq!(past.history, ledger::trade::merged(&asked, &all, None).history);
}

async fn stock_of_a_record_reads_the_records_of_its_labels(database: &Database) {
    let book = database.book().await;
    book.keep_thing(&lot(), new_at(1), key()).await.unwrap();
    let other = Lot { label: "anthollow-rb".to_owned(), received: AmountText::parse("5 lb").unwrap(), ..lot() };
    book.keep_thing(&other, new_at(2), key()).await.unwrap();
    let request = request();
    let first = ApplicationRecord { provenance: Provenance::default(), ..record_of(&request) };
    book.keep_record(&first, RecordLinks::default(), new_at(3), key()).await.unwrap();
    let second = ApplicationRecord { name: "again".to_owned(), ..first };
    let kept = book.keep_record(&second, RecordLinks::default(), new_at(4), key()).await.unwrap();
    let labels: Vec<&str> = kept.stock.lots.iter().map(|lot| lot.label.as_str()).collect();
    assert_eq!(labels, ["brackwater-sc"]);
    assert_eq!(kept.stock.left_of("brackwater-sc"), book.stock().await.unwrap().left_of("brackwater-sc"));
}

fn kept_property(place: &str) -> Property {
    Property {
        name: "Alder Bend".to_owned(),
        client: None,
        address: None,
        jurisdiction: Some(exchange::kept::JurisdictionText::parse(place).unwrap()),
        complete_since: None,
        map: FileText(demo("alder-bend/property.geojson")),
        note: None,
    }
}

async fn the_kept_place_of_a_property_is_not_talked_away(database: &Database) {
    let book = database.book().await;
    book.keep_thing(&kept_property("US-OH"), new_at(1), key()).await.unwrap();
    let held = kept(&book, &record_of(&request())).await;
    let [ohio, indiana] = ["US-OH", "US-IN"].map(|place| Jurisdiction::parse(place).unwrap());
    assert_eq!(book.place_of(&held, None).await.unwrap(), Some(ohio.clone()));
    assert_eq!(book.place_of(&held, Some(&ohio)).await.unwrap(), Some(ohio));
    assert_eq!(codes(&book.place_of(&held, Some(&indiana)).await.unwrap_err()), ["trade::other-place"]);
    // Whose a visit is, is not guessed among properties of one name.
    book.keep_thing(&kept_property("US-OH"), new_at(2), key()).await.unwrap();
    assert_eq!(codes(&book.property_called("Alder Bend").await.unwrap_err()), ["trade::several"]);
}

async fn the_same_record_of_a_visit_is_kept_once_whatever_its_key(database: &Database) {
    let book = database.book().await;
    let record = record_of(&request());
    let first = book.keep_record(&record, RecordLinks::default(), new_at(1), key()).await.unwrap();
    let again = book.keep_record(&record, RecordLinks::default(), new_at(2), key()).await.unwrap();
    assert!(again.appended.replayed && !first.appended.replayed);
    assert_eq!(again.appended.entry, first.appended.entry);
    assert_eq!(book.records(&Filter::default()).await.unwrap().len(), 1);
}

async fn an_amendment_is_judged_by_the_labels_that_are_kept(database: &Database) {
    let book = database.book().await;
    let mut record = record_of(&request());
    let thing = ThingId::fresh();
    assert!(record.breaches.is_empty());
    for product in record.tasks.iter_mut().flat_map(|task| &mut task.products) {
        product.amount = product.amount.scaled(5.0);
    }
    let (unjudged, told) = judge(&book, record.clone(), thing).await;
    assert!(unjudged.breaches.is_empty() && told.iter().any(|problem| problem.code == "trade::not-judged"), "{told}");
    let label = Label {
        id: "brackwater-sc".to_owned(),
        label: FileText(demo("labels/brackwater-sc.toml")),
        compared_on: None,
        compared_by: None,
        note: None,
    };
    book.keep_thing(&label, new_at(1), key()).await.unwrap();
    book.keep_thing(&kept_property("US-OH"), new_at(2), key()).await.unwrap();
    let (judged, told) = judge(&book, record.clone(), thing).await;
    assert!(!judged.breaches.is_empty() && told.is_empty(), "{told}");
    // Put right again, nothing is left of them.
    let right = ApplicationRecord { tasks: record_of(&request()).tasks, ..judged };
    let (right, _) = judge(&book, right, thing).await;
    assert!(right.breaches.is_empty());
    // Ground beside the creek is judged by the map that is kept, and what was told of a distance stays without it.
    let mut near = right;
    let strip =
        geometry::Region::rectangle(geometry::Point::from_metres(-3.0, 10.0), geometry::Point::from_metres(-1.0, 20.0));
    near.tasks[2].zones[0].ground = strip.unwrap();
    let (near, _) = judge(&book, near, thing).await;
    let distances =
        |record: &ApplicationRecord| record.breaches.iter().filter(|breach| breach.rule == "breach::distance").count();
    assert!(distances(&near) > 0, "{:?}", near.breaches);
    let mut elsewhere = near.clone();
    "Nowhere".clone_into(&mut elsewhere.property.name);
    let (elsewhere, told) = judge(&book, elsewhere, thing).await;
    assert_eq!(distances(&elsewhere), distances(&near));
    assert!(told.iter().any(|problem| problem.code == "trade::not-judged"), "{told}");
}

/// Anybody can write a sound chain of entries that say nothing; books that hold one could not be read again.
async fn an_import_reads_every_document(database: &Database) {
    let book = database.book().await;
    let entry = ledger::NewEntry::first(Kind::Record, ThingId::fresh(), "nothing", "{}", moment(1));
    book.append(entry, key()).await.unwrap();
    let folder = database.folder.path().join("everything");
    book.export(&folder).await.unwrap();
    let other = tempfile::tempdir().unwrap();
    let location = ledger::Location::file(&other.path().join("other.db")).unwrap();
    let ledger = ledger::Ledger::open(&location).await.unwrap();
    let refused = ledger.import_books(&folder, None).await.unwrap_err();
    let problem = refused.problems().iter().next().unwrap().clone();
    assert!(problem.place.file.is_some() && problem.place.line == Some(1), "{problem:?}");
    assert_eq!(ledger.accounts().await.unwrap(), []);
}
