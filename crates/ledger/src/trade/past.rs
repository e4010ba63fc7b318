//! The past of a property: from the records of the books, and from what its visit brings along.

use exchange::kept::Property;
use jiff::civil::Date;
use jurisdiction::Jurisdiction;
use record::{ApplicationRecord, HistoryGap, history};
use treatment::{Application, History, VisitRequest};

/// The past that a visit is planned with.
#[derive(Debug, Clone, PartialEq)]
pub struct BooksPast {
    /// What was applied, from the books and from the visit's own history.
    pub history: History,
    /// What the records cannot tell.
    pub gaps: Vec<HistoryGap>,
    /// How many applications of the visit's own history the books hold already.
    pub told_twice: usize,
    /// Where the kept property lies, where the books know it.
    pub place: Option<Jurisdiction>,
    /// What the books hold of the visit itself, where it is to be recorded: it is not planned with them, and what it did
    /// on another day is judged with them.
    pub of_itself: Vec<ApplicationRecord>,
}

/// The past of the ground of a visit: everything that records put down near it, wherever they say that
/// it was, and the visit's own history; nothing counted twice.
///
/// An application of the visit's history is the same as one of the records when day, product and amount
/// per area (within one part in a hundred) agree. One that differs in any of these counts as another.
///
/// What the books and the visit's own history tell together is complete from the earlier of the days that they name: the
/// kept property's for the books, the history's own for what it lists up to the visit. Where neither names one, a history
/// that lists something counts as complete, as its file says; without one, it is complete from the first record on the
/// ground, and before that nothing is proved.
pub fn merged(request: &VisitRequest, records: &[ApplicationRecord], kept: Option<&Property>) -> BooksPast {
    let past = history(records, &request.property, None);
    let of_books = match past.history {
        History::Known { applications, .. } => applications,
        History::Unknown => Vec::new(),
    };
    let (own_since, own, is_own) = match &request.history {
        History::Known { complete_since, applications } => (*complete_since, applications.clone(), true),
        History::Unknown => (None, Vec::new(), false),
    };
    let labels = &request.labels;
    // A history may name a product by its label or by its name.
    let product = |application: &Application| {
        let known = labels.iter().find(|label| label.product.name.eq_ignore_ascii_case(&application.product));
        known.map_or_else(|| application.product.clone(), |label| label.id.clone())
    };
    let is_same = |a: &Application, b: &Application| {
        a.date == b.date
            && product(a) == product(b)
            && a.per_area.ratio(b.per_area).is_some_and(|ratio| (ratio - 1.0).abs() <= 0.01)
    };
    let count = own.len();
    let mut applications: Vec<Application> =
        own.into_iter().filter(|own| !of_books.iter().any(|kept| is_same(own, kept))).collect();
    let told_twice = count - applications.len();
    let first_record: Option<Date> = of_books.iter().map(|application| application.date).min();
    let books_since = kept.and_then(|property| property.complete_since).map(exchange::kept::Day::date);
    // `books:history` is an empty history without a day.
    let lists = is_own && count > 0;
    let complete_since = match [books_since, own_since].into_iter().flatten().min() {
        None if !lists => Some(first_record.unwrap_or(request.date)),
        earlier => earlier,
    };
    applications.extend(of_books);
    applications.sort_by_key(|application| application.date);
    let place = kept.and_then(|property| property.jurisdiction.as_ref()).map(|text| text.place().clone());
    BooksPast {
        history: History::Known { complete_since, applications },
        gaps: past.gaps,
        told_twice,
        place,
        of_itself: Vec::new(),
    }
}

/// A past with more records in it; one that nobody knows stays unknown.
pub(super) fn with_records<'r>(
    past: &History,
    records: impl IntoIterator<Item = &'r ApplicationRecord>,
    property: &property::Property,
) -> History {
    let more = history(records, property, None).history;
    match (past, more) {
        (History::Known { complete_since, applications }, History::Known { applications: more, .. }) => {
            let mut applications: Vec<Application> = applications.iter().cloned().chain(more).collect();
            applications.sort_by_key(|application| application.date);
            History::Known { complete_since: *complete_since, applications }
        }
        _ => past.clone(),
    }
}
