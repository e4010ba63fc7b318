//! No sentence of a label is passed over: each is held by a verdict, or printed for a person.

mod support;

use label::{Clause, Scope, Statement, Strength};
use support::{stated, whole};
use treatment::{Status, plan};

#[test]
fn what_no_figure_proves_is_printed_with_its_page() {
    let mut request = whole();
    let restraints = &mut request.labels[0].restraints;
    restraints.slope = stated(0.15, "Not on slopes over 15 %.");
    restraints.droplet_class = stated("medium".to_owned(), "Medium or coarser droplets.");
    restraints.use_within = stated(quantity::Duration::new(24.0, quantity::DurationUnit::Hour), "Use within 24 hours.");
    restraints.others = vec![stated("time of day".to_owned(), "Apply late in the day.")];
    request.labels[0].uses[0].excluded = vec!["newly seeded lawns".to_owned()];
    let visit = plan(&request).unwrap();
    for text in
        ["Not on slopes over 15 %.", "Medium or coarser droplets.", "Use within 24 hours.", "Apply late in the day."]
    {
        let found = visit.directions.iter().find(|direction| direction.sentence.text == text);
        assert_eq!(found.map(|direction| direction.sentence.page), Some(Some(2)), "{text}");
    }
    assert!(visit.directions.iter().any(|direction| direction.sentence.text.contains("newly seeded lawns")));
    let asked = visit.verdicts.iter().find(|verdict| verdict.rule == "label::directions").unwrap();
    assert_eq!(asked.status, Status::Caution);
}

/// A sentence that only informs sets no limit, so it is printed, whatever its subject.
#[test]
fn what_only_informs_is_printed() {
    let mut request = whole();
    request.labels[0].restraints.rain_free = Statement::Stated {
        value: quantity::Duration::new(1.0, quantity::DurationUnit::Hour),
        clause: Clause {
            text: "Rain after an hour does not wash it off.".to_owned(),
            page: Some(4),
            strength: Strength::Descriptive,
            scope: Scope::Product,
        },
    };
    let visit = plan(&request).unwrap();
    assert!(visit.directions.iter().any(|direction| direction.sentence.text.starts_with("Rain after an hour")));
}

#[test]
fn certified_only_refuses_who_is_not() {
    for (certified, wanted) in [(true, Status::Allowed), (false, Status::Refused)] {
        let mut request = whole();
        request.labels[0].restraints.certified_only = stated(true, "For certified applicators only.");
        request.applicator.as_mut().unwrap().certified = certified;
        let visit = plan(&request).unwrap();
        let found = visit.verdicts.iter().find(|verdict| verdict.rule == "use::certified-only").unwrap();
        assert_eq!((found.status, found.clause.as_deref()), (wanted, Some("For certified applicators only.")));
    }
}

/// An advisory sentence beside a binding one, in either place, loosens nothing.
#[test]
fn an_advisory_on_bloom_is_no_permission() {
    let advisory = || Statement::Stated {
        value: label::BloomRule::NotWhileBeesForage,
        clause: Clause {
            text: "Best not while bees forage.".to_owned(),
            page: Some(1),
            strength: Strength::Advisory,
            scope: Scope::Product,
        },
    };
    let mut request = whole();
    request.labels[0].restraints.bloom = advisory();
    for row in &mut request.labels[0].uses {
        row.constraints.bloom = Statement::Silent;
    }
    let hedge = request.tasks.iter_mut().find(|task| task.id == "hedge").unwrap();
    hedge.target = treatment::Target::Features(vec!["perennials".to_owned()]);
    let visit = plan(&request).unwrap();
    let found = visit.all_verdicts().find(|verdict| verdict.rule == "ground::in-bloom").unwrap();
    assert_eq!(found.status, Status::Refused);
}

#[test]
fn an_inversion_is_looked_for_where_low_wind_only_cautions() {
    let mut request = whole();
    let label = &mut request.labels[0];
    label.restraints.wind = Statement::Silent;
    label.restraints.not_during_inversion = stated(true, "Not during an inversion.");
    for row in &mut label.uses {
        row.constraints.wind = Statement::Silent;
    }
    let visit = plan(&request).unwrap();
    let dawn = visit.hours.iter().find(|hour| hour.start.hour() == 6).unwrap();
    assert_eq!(dawn.status, Status::Refused, "{:?}", dawn.reasons);
    assert!(dawn.reasons.iter().any(|reason| reason.rule == "hour::inversion"));
}

#[test]
fn a_missing_gust_is_no_calm() {
    let mut request = whole();
    let series = request.forecast.take().unwrap();
    let hours = series.hours().iter().copied().map(|mut hour| {
        hour.wind_gust = None;
        hour
    });
    request.forecast = Some(weather::HourlySeries::new(series.offset(), hours.collect()).unwrap().0);
    let visit = plan(&request).unwrap();
    assert!(visit.start_window.is_none());
    assert!(visit.hours.iter().all(|hour| hour.reasons.iter().any(|reason| reason.text == "no gust in the forecast")));
}

#[test]
fn an_unknown_past_proves_nothing() {
    let mut request = whole();
    request.history = treatment::History::Unknown;
    let visit = plan(&request).unwrap();
    for product in visit.tasks.iter().map(|task| &task.product) {
        assert!(product.remaining.is_empty() && product.next_lawful.is_none());
        assert!(product.measures.iter().all(|measure| measure.name != "highest-lawful-rate-today"));
    }
    assert!(visit.all_verdicts().any(|verdict| verdict.rule == "limit::history-unknown"));
}

/// The band has no room left this year: the interval's end is no date to come back.
#[test]
fn the_next_lawful_date_counts_what_is_left() {
    let visit = plan(&whole()).unwrap();
    let of = |id: &str| visit.tasks.iter().find(|task| task.id == id).unwrap();
    assert_eq!(of("perimeter").next_lawful().unwrap().to_string(), "2027-01-01");
    assert_eq!(of("lawn").next_lawful().unwrap().to_string(), "2026-07-28");
}

/// People stay off for the latest start that the sheet allows, not for the earliest.
#[test]
fn the_latest_finish_decides_when_people_come_back() {
    let visit = plan(&whole()).unwrap();
    let latest = visit.start_windows.last().unwrap().finish_if_last;
    assert!(visit.keep_off.not_before.unwrap() >= latest);
    assert!(visit.irrigation.first_permitted.unwrap() > latest);
}
