//! Who may apply what: certificates, supervision, training.

use exchange::kept::{Category, Person, TrainingKind};
use jiff::Span;
use jiff::civil::Date;
use jurisdiction::Jurisdiction;
use label::{Site, UseClass};
use problem::{Problem, Problems};
use record::{ApplicationRecord, Fact};

/// Who does a job, as far as the books know them.
#[derive(Debug, Clone, Copy, Default)]
pub struct Crew<'p> {
    /// Who applies.
    pub applicator: Option<&'p Person>,
    /// The certified applicator who supervises.
    pub supervisor: Option<&'p Person>,
}

/// What is asked of a crew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Authority {
    /// The day.
    pub date: Date,
    /// Where.
    pub place: Jurisdiction,
    /// The kinds of work, one of which a certificate must name for each entry.
    pub categories: Vec<&'static [Category]>,
    /// The restricted use products, by name.
    pub restricted: Vec<String>,
}

impl Authority {
    /// What the application of a record asks of its crew.
    ///
    /// Turf and ornamentals ask for that category. The surroundings of a structure are structural work in
    /// some states and part of turf and ornamentals in others: either counts (common practice, no source;
    /// the state decides).
    pub fn of_record(record: &ApplicationRecord, place: &Jurisdiction) -> Self {
        let mut categories: Vec<&'static [Category]> = Vec::new();
        let mut restricted: Vec<String> = Vec::new();
        for task in &record.tasks {
            let sites = task.sites.value().map_or(&[][..], Vec::as_slice);
            for site in sites {
                let asked: &'static [Category] = match site {
                    Site::Turf | Site::Ornamental | Site::Tree | Site::BareSoil => &[Category::OrnamentalAndTurf],
                    Site::StructurePerimeter | Site::EntryPoint | Site::Impervious => {
                        &[Category::Structural, Category::OrnamentalAndTurf]
                    }
                    Site::FoodCrop => &[Category::Agricultural, Category::OrnamentalAndTurf],
                };
                if !categories.contains(&asked) {
                    categories.push(asked);
                }
            }
            for product in &task.products {
                if product.use_class == Fact::Recorded(UseClass::Restricted) && !restricted.contains(&product.name) {
                    restricted.push(product.name.clone());
                }
            }
        }
        Self { date: record.date, place: place.clone(), categories, restricted }
    }
}

/// What stands against a crew doing a job; empty when nothing does as far as the books tell.
///
/// A person who holds no certificate for the work may apply restricted use products only under the
/// direct supervision of a certified applicator, after training within twelve months. Products for
/// general use are only warned of: there the state decides. Work outside the categories of a certificate
/// is refused.
///
/// # Source
/// 40 CFR 171.201(b) and (c): a supervisor certified for the kind of work and the place; the
/// noncertified applicator trained within the last twelve months ((d)), or trained as a handler (40 CFR
/// 170.501), or certified in another category. That work outside a category is refused for every
/// product is common practice, no source.
pub fn authority(asked: &Authority, crew: Crew<'_>) -> Problems {
    let mut problems = Problems::new();
    let is_restricted = !asked.restricted.is_empty();
    let Some(applicator) = crew.applicator else {
        problems.push(of_severity(
            is_restricted,
            "authority::unknown-person",
            format!("the books do not know who applies{}", with_products(asked)),
        ));
        return problems;
    };
    if missing(asked, applicator).is_none() {
        return problems;
    }
    if let Some(supervisor) = crew.supervisor {
        if let Some(lacks) = missing(asked, supervisor) {
            problems.push(
                of_severity(
                    is_restricted,
                    "authority::supervisor",
                    format!("the supervisor {} {lacks} on {}", supervisor.name, asked.date),
                )
                .expected("a certificate of the supervisor for this kind of work, at this place, on this day"),
            );
        }
        if !is_trained(applicator, asked) {
            problems.push(
                of_severity(
                    is_restricted,
                    "authority::training",
                    format!(
                        "no training of {} within the twelve months before {} is kept",
                        applicator.name, asked.date
                    ),
                )
                .expected("training of noncertified applicators (40 CFR 171.201(d)), or as a handler (40 CFR 170.501)")
                .mend("train the person and keep the training, or send somebody certified"),
            );
        }
        return problems;
    }
    let lacks = missing(asked, applicator).unwrap_or_default();
    // A certificate that holds today for other work: the assignment is outside its category.
    let is_outside = applicator.certificates.iter().any(|certificate| {
        certificate.categories.iter().any(|category| certificate.holds(*category, &asked.place, asked.date))
    });
    let code = if is_restricted {
        "authority::restricted-use"
    } else if is_outside {
        "authority::outside-category"
    } else {
        "authority::not-certified"
    };
    problems.push(
        of_severity(
            is_restricted || is_outside,
            code,
            format!("{} {lacks} on {}, and nobody supervises{}", applicator.name, asked.date, with_products(asked)),
        )
        .expected(
            "a certificate for this kind of work, at this place, on this day; or recorded supervision and training",
        )
        .mend("send somebody certified, or name the supervisor and keep the training"),
    );
    problems
}

fn of_severity(is_error: bool, code: &'static str, found: String) -> Problem {
    if is_error {
        Problem::error(code, found)
    } else {
        Problem::warning(code, found).mend("confirm with the state what it asks for this product")
    }
}

fn with_products(asked: &Authority) -> String {
    if asked.restricted.is_empty() {
        String::new()
    } else {
        format!("; restricted use: {}", asked.restricted.join(", "))
    }
}

/// What a person lacks for the job, in words; `None` when a certificate holds for every kind of work.
fn missing(asked: &Authority, person: &Person) -> Option<String> {
    if person.certificates.is_empty() {
        return Some("holds no certificate".to_owned());
    }
    let holds = |categories: &[Category]| {
        categories.iter().any(|category| {
            person.certificates.iter().any(|certificate| certificate.holds(*category, &asked.place, asked.date))
        })
    };
    let lacking = asked.categories.iter().find(|categories| !holds(categories))?;
    let once = person.certificates.iter().find(|certificate| {
        lacking.iter().any(|category| certificate.categories.contains(category))
            && certificate.jurisdiction.place().covers(&asked.place)
    });
    let Some(certificate) = once else {
        let words: Vec<&str> = lacking.iter().map(|category| category.word()).collect();
        return Some(format!("holds no certificate for {} in {}", words.join(" or "), asked.place));
    };
    Some(format!(
        "holds certificate {}, which is valid {}until {}, not",
        certificate.number,
        certificate.valid_from.map(|first| format!("from {} ", first.date())).unwrap_or_default(),
        certificate.valid_until.date()
    ))
}

/// Whether training within twelve months is kept, or a certificate for other work holds.
fn is_trained(person: &Person, asked: &Authority) -> bool {
    let first = asked.date.checked_sub(Span::new().months(12)).unwrap_or(Date::MIN);
    let is_recent = |date: Date| first <= date && date <= asked.date;
    person.training.iter().any(|training| {
        matches!(training.kind, TrainingKind::NoncertifiedApplicator | TrainingKind::Handler)
            && is_recent(training.date.date())
    }) || person.certificates.iter().any(|certificate| {
        certificate.valid_from.is_none_or(|from| from.date() <= asked.date)
            && asked.date <= certificate.valid_until.date()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use exchange::kept::{Certificate, Day, Training};
    use jiff::civil::date;

    fn kansas() -> Jurisdiction {
        Jurisdiction::parse("US-KS").expect("a place")
    }

    fn job(restricted: &[&str]) -> Authority {
        Authority {
            date: date(2026, 7, 7),
            place: kansas(),
            categories: vec![&[Category::OrnamentalAndTurf]],
            restricted: restricted.iter().map(|name| (*name).to_owned()).collect(),
        }
    }

    fn person(certified: Option<(Category, Date)>, trained: Option<Date>) -> Person {
        let certificate = |(category, until)| Certificate {
            number: "KS-00000".to_owned(),
            jurisdiction: kansas().into(),
            categories: vec![category],
            valid_from: None,
            valid_until: Day::new(until),
        };
        let training = |day| Training {
            kind: TrainingKind::NoncertifiedApplicator,
            date: Day::new(day),
            by: "K. Example".to_owned(),
            materials: None,
        };
        Person {
            name: "J. Example".to_owned(),
            telephone: None,
            certificates: certified.map(certificate).into_iter().collect(),
            training: trained.map(training).into_iter().collect(),
            note: None,
        }
    }

    fn told(asked: &Authority, applicator: Option<&Person>, supervisor: Option<&Person>) -> Vec<(&'static str, bool)> {
        let found = authority(asked, Crew { applicator, supervisor });
        found.iter().map(|problem| (problem.code, problem.severity == problem::Severity::Error)).collect()
    }

    #[test]
    fn a_valid_certificate_is_enough_until_its_last_day() {
        let last = date(2026, 7, 7);
        let certified = person(Some((Category::OrnamentalAndTurf, last)), None);
        assert_eq!(told(&job(&["Stonemere 2 EC"]), Some(&certified), None), []);
        let lapsed = person(Some((Category::OrnamentalAndTurf, date(2026, 7, 6))), None);
        assert_eq!(told(&job(&["Stonemere 2 EC"]), Some(&lapsed), None), [("authority::restricted-use", true)]);
        assert_eq!(told(&job(&[]), Some(&lapsed), None), [("authority::not-certified", false)]);
    }

    #[test]
    fn restricted_use_by_an_uncertified_person_needs_supervision_and_training() {
        let product = job(&["Stonemere 2 EC"]);
        let certified = person(Some((Category::OrnamentalAndTurf, date(2027, 1, 1))), None);
        let untrained = person(None, None);
        let trained = person(None, Some(date(2025, 7, 7)));
        let stale = person(None, Some(date(2025, 7, 6)));
        assert_eq!(told(&product, Some(&untrained), None), [("authority::restricted-use", true)]);
        assert_eq!(told(&product, Some(&trained), None), [("authority::restricted-use", true)]);
        assert_eq!(told(&product, Some(&untrained), Some(&certified)), [("authority::training", true)]);
        assert_eq!(told(&product, Some(&stale), Some(&certified)), [("authority::training", true)]);
        assert_eq!(told(&product, Some(&trained), Some(&certified)), []);
        assert_eq!(told(&product, Some(&trained), Some(&untrained)), [("authority::supervisor", true)]);
        assert_eq!(told(&product, None, Some(&certified)), [("authority::unknown-person", true)]);
    }

    #[test]
    fn work_outside_the_category_is_refused_for_any_product() {
        let structural = person(Some((Category::Structural, date(2027, 1, 1))), None);
        assert_eq!(told(&job(&[]), Some(&structural), None), [("authority::outside-category", true)]);
        let mut perimeter = job(&[]);
        perimeter.categories = vec![&[Category::Structural, Category::OrnamentalAndTurf]];
        assert_eq!(told(&perimeter, Some(&structural), None), []);
    }

    #[test]
    fn a_certificate_of_another_state_does_not_count() {
        let certified = person(Some((Category::OrnamentalAndTurf, date(2027, 1, 1))), None);
        let mut elsewhere = job(&["Stonemere 2 EC"]);
        elsewhere.place = Jurisdiction::parse("US-OH").expect("a place");
        assert_eq!(told(&elsewhere, Some(&certified), None), [("authority::restricted-use", true)]);
    }
}
