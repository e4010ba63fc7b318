//! A task rests on what was found: below the threshold it is refused, and a name alone is no reason to treat.

mod support;

use jiff::civil::date;
use label::{Claim, PestClaim, PreventiveUse, Statement};
use pest::{Cited, Clumping, LifeStage, Months, PestKind, Profile};
use problem::Problem;
use quantity::{Area, AreaUnit};
use scouting::{CountBasis, Counts, Decided, Judging, Stop, Threshold, decide};
use std::sync::Arc;
use support::{TODAY, clause, found, planned, whole};
use treatment::{Call, FindingRequest, Status, SurveyTold, Visit, VisitRequest, plan};

fn with_counts(counts: &[u32]) -> VisitRequest {
    let mut asked = whole();
    asked.findings[0].counts = counts.to_vec();
    asked
}

fn has(visit: &Visit, rule: &str) -> bool {
    visit.all_verdicts().any(|verdict| verdict.rule == rule)
}

#[test]
fn at_the_threshold_the_numbers_say_so() {
    let visit = planned(&whole());
    let verdict = found(&visit, "finding::threshold", Status::Allowed);
    assert_eq!(
        verdict.text,
        "19.0 per sq yd from 18 counts reaches the threshold of 8.00 per sq yd (invented for the test)"
    );
    // 38 on 18 sq ft are 19 per sq yd; 8 are asked.
    assert!((verdict.margin.as_ref().unwrap().value - (8.0 - 19.0)).abs() < 1e-9);
    assert_eq!((visit.findings[0].call, visit.verdict()), (Call::Treat, Status::Caution));
    assert!(visit.tasks.iter().all(|task| task.finding.as_deref() == Some("grasshopper")));
}

#[test]
fn below_the_threshold_every_task_is_refused() {
    let counts: Vec<u32> = (0..24).map(|station| u32::from(station == 2 || station == 7)).collect();
    let visit = planned(&with_counts(&counts));
    let refused: Vec<_> = visit.all_verdicts().filter(|verdict| verdict.rule == "finding::threshold").collect();
    let on: Vec<_> = refused.iter().filter_map(|verdict| verdict.concerns.as_deref()).collect();
    assert_eq!(on, ["perimeter", "hedge", "lawn"]);
    assert!(refused.iter().all(|verdict| verdict.status == Status::Refused && verdict.mend.is_some()));
    assert!(
        refused[0].text.contains("0.750 per sq yd from 24 counts is under the threshold of 8.00"),
        "{}",
        refused[0].text
    );
    assert_eq!(visit.findings[0].call, Call::DoNotTreat);
}

#[test]
fn undecided_it_is_refused_and_says_how_many_more() {
    let visit = planned(&with_counts(&[1, 0, 2, 0, 1]));
    let Call::CountOn(more) = visit.findings[0].call else { panic!("{:?}", visit.findings[0].call) };
    let verdict = found(&visit, "finding::count-on", Status::Refused);
    assert!(
        more >= 1 && verdict.mend.as_ref().unwrap().starts_with(&format!("count at about {more} more station")),
        "{verdict:?}"
    );
    assert!(!has(&visit, "finding::threshold"));
}

/// Of these counts against 4 a station: the call of the visit, and what it says of them.
fn told_of(counts: &[u32]) -> (Call, String) {
    let mut asked = with_counts(counts);
    asked.findings[0].threshold.as_mut().unwrap().count = 4.0;
    asked.findings[0].threshold.as_mut().unwrap().basis = asked.findings[0].counted_on[0];
    let visit = planned(&asked);
    let told = visit.all_verdicts().find(|verdict| matches!(verdict.rule, "finding::threshold" | "finding::count-on"));
    (visit.findings[0].call, told.map(|verdict| verdict.text.clone()).unwrap_or_default())
}

/// What the stop lines say of them.
fn decided(counts: &[u32]) -> Decided {
    let basis = CountBasis::Plant;
    let threshold = Threshold::new(4.0, basis, "invented").unwrap();
    decide(&Counts::new(counts.to_vec(), basis).unwrap().0, &threshold, Judging::default()).unwrap()
}

#[test]
fn later_counts_that_say_otherwise_decide_with_the_earlier() {
    // The first five reach the upper line, and all together fall to the lower one: 2.0 a station, half of 4.
    let falling: Vec<u32> = [8, 7, 7, 7, 8].into_iter().chain([1, 0, 1, 2, 0].repeat(5)).collect();
    // The first eight fall to the lower line, and all together reach the upper one: 8.8 a station.
    let rising: Vec<u32> = [0; 8].into_iter().chain([12; 22]).collect();
    let first = [decided(&falling[..5]), decided(&rising[..8])];
    assert_eq!(first.map(|one| one.stop), [Stop::Treat, Stop::DoNotTreat]);
    let all = [decided(&falling), decided(&rising)];
    assert_eq!(all.map(|one| one.stop), [Stop::DoNotTreat, Stop::Treat]);
    for (counts, call, against) in [
        (falling, Call::DoNotTreat, "30 counts is under the threshold"),
        (rising, Call::Treat, "30 counts reaches the"),
    ] {
        let backwards: Vec<u32> = counts.iter().rev().copied().collect();
        let told = told_of(&counts);
        assert!(told.0 == call && told.1.contains(against), "{told:?}");
        assert_eq!(told_of(&backwards), told, "in whatever order they were made");
    }
    // At the most counts the mean decides, though the first five reach the upper line: 3.6 a station.
    let long: Vec<u32> = [12; 5].into_iter().chain([0, 2, 6].repeat(15)).collect();
    let stops = [decided(&long[..5]), decided(&long)].map(|one| (one.stop, one.at));
    assert_eq!(stops, [(Stop::Treat, 5), (Stop::MostReachedDoNotTreat, 50)]);
    assert_eq!(told_of(&long).0, Call::DoNotTreat);
}

/// Below the threshold treating is in vain: 3.4 a station, between 2.92 and 3.94 with 95 % confidence, are not treated at 4.
#[test]
fn a_mean_under_the_threshold_is_refused() {
    let (call, text) = told_of(&[3, 4, 3, 4, 3].repeat(10));
    assert_eq!(call, Call::DoNotTreat);
    assert!(text.contains("from 50 counts is under the threshold"), "{text}");
    // So are near-Poisson counts of 3.07, whose interval ends below 4.
    let counts: Vec<u32> = [3, 2, 5, 3, 1, 4, 3, 2, 6, 3].into_iter().chain([3; 20]).collect();
    assert_eq!(told_of(&counts).0, Call::DoNotTreat);
    // At the most counts a mean at the threshold is treated, and one below it by a single pest is not.
    let at: Vec<u32> = [2, 6, 1, 7, 4].repeat(10);
    let below = [&at[..49], &[3]].concat();
    assert_eq!([told_of(&at).0, told_of(&below).0], [Call::Treat, Call::DoNotTreat]);
}

/// The same with every use said to be preventive, and the lawn's label permitting it.
fn preventive(claim: Claim, sentence: Option<PreventiveUse>) -> VisitRequest {
    let mut asked = with_counts(&[0; 12]);
    asked.findings[0].preventive = true;
    asked.tasks.retain(|task| task.id == "lawn");
    let row = &mut asked.labels[0].uses[0];
    row.pests = vec![PestClaim { pest: "grasshopper".to_owned(), stages: Vec::new(), claim }];
    row.preventive = match sentence {
        Some(value) => Statement::Stated { value, clause: clause("Apply before the pest is there (invented).") },
        None => Statement::Silent,
    };
    asked
}

#[test]
fn prevention_needs_a_sentence_of_the_label() {
    let visit = planned(&preventive(Claim::Preventive, Some(PreventiveUse::Permitted)));
    let verdict = found(&visit, "finding::preventive", Status::Allowed);
    assert_eq!(verdict.clause.as_deref(), Some("Apply before the pest is there (invented)."));
    assert!(!visit.all_verdicts().any(|one| one.rule.starts_with("finding::") && one.status == Status::Refused));
    for (claim, sentence) in [
        (Claim::Preventive, None),
        (Claim::Control, Some(PreventiveUse::Permitted)),
        (Claim::Control, None),
        (Claim::Suppression, Some(PreventiveUse::OnlyWhenPresent)),
    ] {
        let verdict = planned(&preventive(claim, sentence));
        let verdict = found(&verdict, "finding::preventive", Status::Refused);
        assert!(verdict.clause.is_some() && verdict.mend.is_some(), "{claim:?} {sentence:?}");
    }
    // Without counts prevention is judged by the label alone.
    let mut nothing = preventive(Claim::Preventive, Some(PreventiveUse::Permitted));
    nothing.findings[0].counts.clear();
    nothing.findings[0].threshold = None;
    let visit = planned(&nothing);
    assert!(
        found(&visit, "finding::preventive", Status::Allowed).text.starts_with("nothing is held against a threshold")
    );
    assert!(!has(&visit, "finding::no-threshold"));
    // A permission that nobody asks for is none.
    let mut unsaid = preventive(Claim::Preventive, Some(PreventiveUse::Permitted));
    unsaid.findings[0].preventive = false;
    found(&planned(&unsaid), "finding::threshold", Status::Refused);
}

#[test]
fn nothing_found_is_a_caution_and_a_look_alike_no_pest() {
    let mut asked = whole();
    asked.findings.clear();
    for task in &mut asked.tasks {
        task.pest = Some("grasshopper".to_owned());
    }
    assert!(found(&planned(&asked), "finding::none", Status::Caution).concerns.is_none());
    let mut other = whole();
    other.tasks[0].pest = Some("cricket".to_owned());
    let visit = planned(&other);
    assert_eq!(found(&visit, "finding::none", Status::Caution).concerns.as_deref(), Some("lawn"));
    assert!(visit.tasks.iter().any(|task| task.id == "lawn" && task.finding.is_none()));
    let mut drought = whole();
    drought.findings[0].profile = Some(Arc::new(profile(PestKind::LookAlike, &[])));
    assert!(found(&planned(&drought), "finding::no-pest", Status::Refused).text.contains("is none"));
}

#[test]
fn each_task_rests_on_the_finding_of_its_pest() {
    let mut asked = whole();
    let ants = FindingRequest {
        id: "ants".to_owned(),
        pest: "ant".to_owned(),
        counts: vec![0; 12],
        ..asked.findings[0].clone()
    };
    asked.findings.push(ants);
    let which = plan(&asked).unwrap_err();
    assert!(which.iter().filter(|problem| problem.code == "visit::which-finding").count() == 3, "{which}");
    asked.tasks[0].finding = Some("grasshopper".to_owned());
    asked.tasks[1].pest = Some("carpenter ant".to_owned());
    asked.tasks[2].pest = Some("grasshopper".to_owned());
    let visit = planned(&asked);
    let refused: Vec<_> = visit
        .all_verdicts()
        .filter(|verdict| verdict.rule == "finding::threshold" && verdict.status == Status::Refused)
        .filter_map(|verdict| verdict.concerns.as_deref())
        .collect();
    assert_eq!(refused, ["perimeter"]);
    assert!(visit.measures.iter().any(|measure| measure.name == "density ants"));
    asked.tasks[0].finding = Some("ants".to_owned());
    asked.tasks[0].pest = Some("grasshopper".to_owned());
    asked.tasks[1].finding = Some("bees".to_owned());
    let wrong = plan(&asked).unwrap_err();
    let codes: Vec<_> = wrong.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["visit::other-pest", "visit::unknown-finding"]);
}

#[test]
fn old_counts_are_told() {
    let mut asked = whole();
    let survey = |date| SurveyTold {
        name: "survey.toml".to_owned(),
        date,
        method: "frame".to_owned(),
        by: "A. Tester".to_owned(),
        places: Vec::new(),
    };
    asked.findings[0].survey = Some(survey(date(2026, 6, 23)));
    assert!(!has(&planned(&asked), "finding::survey-old"));
    asked.findings[0].survey = Some(survey(date(2026, 6, 22)));
    let visit = planned(&asked);
    let old = found(&visit, "finding::survey-old", Status::Caution);
    assert!(old.text.contains("15 days before the visit") && old.text.contains("hold for 14 days"), "{}", old.text);
    asked.practice.survey_valid_days = 21;
    assert!(!has(&planned(&asked), "finding::survey-old"));
}

/// An invented profile whose stages are seen in these months.
fn profile(kind: PestKind, stages: &[(&str, &[i64], bool)]) -> Profile {
    let stage = |(name, months, is_susceptible): &(&str, &[i64], bool)| Cited {
        what: LifeStage {
            name: (*name).to_owned(),
            seen: String::new(),
            months: Months::new(months.iter().copied()).unwrap(),
            place: "an invented place".to_owned(),
            is_susceptible: *is_susceptible,
            note: None,
        },
        source: "invented".to_owned(),
    };
    Profile {
        id: "invented-hopper".to_owned(),
        kind,
        common_name: "invented grasshopper".to_owned(),
        scientific_name: None,
        eppo_code: None,
        group: "grasshoppers".to_owned(),
        summary: String::new(),
        sources: Vec::new(),
        characters: Vec::new(),
        stages: stages.iter().map(stage).collect(),
        signs: Vec::new(),
        samplings: Vec::new(),
        thresholds: Vec::new(),
        dispersion: None,
        development: None,
        enemies: Vec::new(),
        culture: Vec::new(),
        never: Vec::new(),
        look_alikes: Vec::new(),
    }
}

fn in_stage(stage: Option<&str>, day: jiff::civil::Date) -> VisitRequest {
    let mut asked = whole();
    asked.date = day;
    asked.findings[0].stage = stage.map(str::to_owned);
    let stages: [(&str, &[i64], bool); 3] =
        [("egg", &[9, 10, 11, 12, 1, 2, 3, 4], false), ("nymph", &[5, 6, 7], true), ("adult", &[7, 8, 9], false)];
    asked.findings[0].profile = Some(Arc::new(profile(PestKind::Insect, &stages)));
    asked
}

#[test]
fn the_wrong_stage_is_a_caution_with_the_next_dates() {
    let right = planned(&in_stage(Some("nymph"), TODAY));
    assert!(!has(&right, "stage::seldom-reached") && !has(&right, "stage::of-the-day") && !has(&right, "use::stage"));
    let adult = planned(&in_stage(Some("adult"), TODAY));
    let mend = found(&adult, "stage::seldom-reached", Status::Caution).mend.clone().unwrap();
    let days = "nymph is usual until 2026-07-31 and from 2027-05-01 to 2027-07-31 (an invented place)";
    assert!(mend.starts_with(days), "{mend}");
    // What the label claims goes before what the profile knows.
    let mut claimed = in_stage(Some("adult"), TODAY);
    claimed.labels[0].uses[0].pests[0].stages = vec!["nymph".to_owned()];
    let visit = planned(&claimed);
    let verdict = found(&visit, "use::stage", Status::Caution);
    assert!(verdict.mend.as_ref().unwrap().starts_with(days) && verdict.clause.is_some());
    // The day says another stage than the one that was found, or none that is reached.
    let autumn = planned(&in_stage(Some("nymph"), date(2026, 10, 7)));
    let verdict = found(&autumn, "stage::of-the-day", Status::Caution);
    assert!(
        verdict.text.contains("found as nymph, but in October the invented grasshopper is usual as egg"),
        "{}",
        verdict.text
    );
    assert!(verdict.mend.as_ref().unwrap().contains("from 2027-05-01 to 2027-07-31"));
    let untold = planned(&in_stage(None, date(2026, 10, 7)));
    assert!(found(&untold, "stage::of-the-day", Status::Caution).text.contains("none of them is reached"));
    assert!(!has(&planned(&in_stage(None, TODAY)), "stage::of-the-day"));
}

/// Two on a flush are told per flush; the same counts on the ground of a flush are not.
#[test]
fn a_threshold_per_flush_is_held_against_flushes() {
    let mut asked = with_counts(&[9, 12, 8, 14, 10, 9]);
    let finding = &mut asked.findings[0];
    finding.counted_on = vec![CountBasis::Area(Area::new(4.0, AreaUnit::SquareFoot)), CountBasis::Flush];
    let threshold = finding.threshold.as_mut().unwrap();
    (threshold.count, threshold.basis) = (2.0, CountBasis::Flush);
    let visit = planned(&asked);
    assert_eq!(visit.findings[0].call, Call::Treat);
    let verdict = found(&visit, "finding::threshold", Status::Allowed);
    assert!(
        verdict.text.starts_with("10.3 per flush from 6 counts reaches the threshold of 2.00 per flush"),
        "{}",
        verdict.text
    );
    asked.findings[0].counted_on.pop();
    let visit = planned(&asked);
    assert_eq!(visit.findings[0].call, Call::NotShown);
    found(&visit, "finding::counts", Status::Refused);
}

/// In whatever they were counted, and also where there are none of them.
#[test]
fn counts_on_another_basis_than_the_threshold_are_no_reason_to_treat() {
    let acre = Area::new(0.25, AreaUnit::Acre);
    let yard = CountBasis::Area(Area::new(1.0, AreaUnit::SquareYard));
    let told = |counts: &[u32], counted: CountBasis, wanted: CountBasis, preventive: bool| {
        let mut asked = with_counts(counts);
        let finding = &mut asked.findings[0];
        (finding.counted_on, finding.preventive) = (vec![counted], preventive);
        finding.threshold.as_mut().unwrap().basis = wanted;
        planned(&asked)
    };
    for (counted, wanted) in [
        (CountBasis::TrapNights(3), yard),
        (CountBasis::Trap, yard),
        (yard, CountBasis::Flush),
        (CountBasis::Mounds(acre), yard),
        (yard, CountBasis::Mounds(acre)),
    ] {
        for counts in [[9, 8, 12, 9, 11, 10], [0; 6]] {
            let visit = told(&counts, counted, wanted, false);
            assert_eq!(visit.findings[0].call, Call::NotShown);
            let verdict = found(&visit, "finding::counts", Status::Refused);
            assert!(verdict.text.contains(&format!("the threshold is `{}`", wanted.words())), "{}", verdict.text);
            assert!(verdict.mend.is_some());
            // A preventive use is judged by its label.
            found(&told(&counts, counted, wanted, true), "finding::counts", Status::Caution);
        }
    }
}

/// How often lines err is stated; where they do not keep it, or nobody knows whether they do, it is told.
#[test]
fn lines_that_err_more_than_stated_are_told() {
    // The threshold is 8 on a square yard, or 0.89 a count: fifty counts do not do for thresholds below 1 of clumped pests.
    let counted = planned(&with_counts(&[0, 0, 9, 1, 14, 2, 0, 0, 3, 7, 0, 1, 22, 0, 4]));
    let more = found(&counted, "finding::errs-more", Status::Caution);
    assert!(more.text.contains("the stop lines") && more.text.contains("10 % as stated, kept with"), "{}", more.text);
    let few = planned(&with_counts(&[9, 8, 12, 9, 11, 10]));
    let believed = found(&few, "finding::k-assumed", Status::Caution);
    assert!(believed.text.contains("`6` counts do not tell how clumped the pests are"), "{}", believed.text);
    // Of counts and means at which they keep it nothing is said.
    let mut kept = with_counts(&[8, 9, 7, 8, 10, 9].repeat(3));
    let threshold = kept.findings[0].threshold.as_mut().unwrap();
    (threshold.count, threshold.basis) = (4.0, CountBasis::Area(Area::new(1.0, AreaUnit::SquareFoot)));
    let kept = planned(&kept);
    assert!(!has(&kept, "finding::errs-more") && !has(&kept, "finding::k-assumed"));
}

/// A profile publishes thresholds, and none of them is told on what was counted.
#[test]
fn counts_that_no_threshold_of_the_profile_is_told_on_are_no_reason_to_treat() {
    let of = |counts: &[u32], preventive: bool| {
        let mut asked = with_counts(counts);
        asked.findings[0].threshold = None;
        asked.findings[0].preventive = preventive;
        let why = "the profile has no threshold for counts `per trap`, but 8 per 1 sq yd";
        asked.findings[0].unheld = Some(Problem::warning("visit::no-threshold", why).mend("write it"));
        planned(&asked)
    };
    let visit = of(&[9, 8, 12], false);
    assert_eq!(visit.findings[0].call, Call::NotShown);
    let verdict = found(&visit, "finding::counts", Status::Refused);
    assert!(verdict.text.starts_with("the profile has no threshold for counts `per trap`"), "{}", verdict.text);
    assert_eq!(verdict.mend.as_deref(), Some("write it"));
    assert!(!has(&visit, "finding::no-threshold"));
    // A preventive use is judged by its label, and none found is no reason whatever the threshold.
    found(&of(&[9, 8, 12], true), "finding::counts", Status::Caution);
    found(&of(&[0; 3], false), "finding::nothing-found", Status::Refused);
}

/// By whose k the stop lines go is said as `scout` says it, and where it is left out as well.
#[test]
fn stop_lines_that_go_by_the_k_of_a_profile_say_so() {
    let foot = Area::new(1.0, AreaUnit::SquareFoot);
    let of = |counts: &[u32], area: Area| {
        let mut asked = with_counts(counts);
        let clumping = Clumping {
            k: 1.5,
            unit_area: foot,
            unit_words: "1 sq ft".to_owned(),
            place: "nowhere".to_owned(),
            host: "invented ground".to_owned(),
            note: None,
        };
        let mut told = profile(PestKind::Insect, &[]);
        told.dispersion = Some(Cited { what: clumping, source: "invented".to_owned() });
        asked.findings[0].profile = Some(Arc::new(told));
        asked.findings[0].counted_on = vec![CountBasis::Area(area)];
        planned(&asked)
    };
    let few = [9, 8, 12, 9, 11, 10];
    let used = of(&few, foot);
    let verdict = found(&used, "finding::k-of-profile", Status::Caution);
    assert!(
        verdict.text.starts_with("the k of the profile, by which the stop lines go, `1.50`, is of counts on 1 sq ft"),
        "{}",
        verdict.text
    );
    assert!(verdict.text.contains("expected: a k of such ground as was counted here"), "{}", verdict.text);
    assert!(!has(&used, "finding::k-assumed") && !has(&used, "finding::k-of-other-area"));
    let left_out = of(&few, foot * 4.0);
    assert!(
        found(&left_out, "finding::k-of-other-area", Status::Caution).text.ends_with("or a k of counts like these")
    );
    assert!(has(&left_out, "finding::k-assumed") && !has(&left_out, "finding::k-of-profile"));
    // Enough counts go by themselves.
    let many = of(&few.repeat(3), foot);
    assert!(!has(&many, "finding::k-of-profile") && !has(&many, "finding::k-of-other-area"));
}

#[test]
fn counts_of_nothing_need_no_threshold_to_be_no_reason_to_treat() {
    let without_threshold = |counts: &[u32], preventive: bool| {
        let mut asked = with_counts(counts);
        asked.findings[0].threshold = None;
        asked.findings[0].preventive = preventive;
        planned(&asked)
    };
    let nothing = without_threshold(&[0; 12], false);
    let verdict = found(&nothing, "finding::nothing-found", Status::Refused);
    assert_eq!(verdict.text, "none was found in 12 counts");
    assert!(!has(&without_threshold(&[0; 12], true), "finding::nothing-found"));
    found(&without_threshold(&[0, 1, 0], false), "finding::no-threshold", Status::Caution);
}

#[test]
fn a_threshold_for_another_stage_shows_nothing() {
    let with_stage = |counted: Option<&str>, wanted: &str| {
        let mut asked = whole();
        asked.findings[0].stage = counted.map(str::to_owned);
        asked.findings[0].threshold.as_mut().unwrap().stage = Some(wanted.to_owned());
        planned(&asked)
    };
    let visit = with_stage(Some("adult"), "nymph");
    assert_eq!(visit.findings[0].call, Call::NotShown);
    let told = found(&visit, "finding::counts", Status::Refused);
    assert!(told.text.contains("holds for `nymph`, and `adult` was counted"), "{}", told.text);
    let mut none = with_counts(&[0; 12]);
    none.findings[0].stage = Some("adult".to_owned());
    none.findings[0].threshold.as_mut().unwrap().stage = Some("nymph".to_owned());
    found(&planned(&none), "finding::counts", Status::Refused);
    // A preventive use is judged by its label, and needs no count.
    let mut asked = whole();
    asked.findings[0].stage = Some("adult".to_owned());
    asked.findings[0].preventive = true;
    asked.findings[0].threshold.as_mut().unwrap().stage = Some("nymph".to_owned());
    found(&planned(&asked), "finding::counts", Status::Caution);
    assert_eq!(with_stage(Some("Nymphs"), "nymph").findings[0].call, Call::Treat);
    let untold = with_stage(None, "nymph");
    assert_eq!(untold.findings[0].call, Call::Treat);
    assert!(found(&untold, "finding::counts", Status::Caution).text.contains("do not tell their stage"));
}

/// By its profile a finding is of one kind; a task against another kind is against another pest.
#[test]
fn of_two_kinds_of_a_general_word_each_is_another_pest() {
    let mut asked = whole();
    asked.findings[0].profile = Some(Arc::new(profile(PestKind::Insect, &[])));
    let finding = &asked.findings[0];
    assert!(finding.is_of("Grasshopper") && finding.is_of("invented-grasshopper"));
    assert!(!finding.is_of("differential grasshopper"));
    asked.findings[0].profile = None;
    assert!(asked.findings[0].is_of("differential grasshopper"));
}
