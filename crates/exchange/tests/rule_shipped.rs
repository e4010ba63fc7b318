//! The rules that come with the program, as far as they say what the sources say.
//!
//! Values beside the code are from the sources named in each file of `rules/`.

use exchange::rule_file::{parse_rules, shipped};
use jiff::civil::{Date, date};
use jurisdiction::{
    BusinessDays, Circumstances, CompleteBy, Demand, Extent, Ground, Jurisdiction, Known, Paper, Posting, Presence,
    RecordField, Removal, Rule, RuleId, RuleSet, Work, check_start, common_height, no_rule_known, notice_deadlines,
    posting, record_demands, retention, sign,
};
use quantity::{Length, LengthUnit};
use std::collections::{BTreeMap, BTreeSet};

fn set() -> RuleSet {
    let (set, problems) = parse_rules(shipped().iter().copied()).unwrap_or_else(|problems| panic!("{problems}"));
    assert!(problems.is_empty(), "{problems}");
    set
}

fn at(place: &str, date: Date) -> Circumstances {
    Circumstances {
        place: Jurisdiction::parse(place).unwrap(),
        date,
        restricted_use: false,
        work: Work::ForHire,
        ground: BTreeSet::from([Ground::Turf]),
        conditions: BTreeMap::new(),
    }
}

fn rule<'r>(set: &'r RuleSet, id: &str) -> &'r Rule {
    set.rule(&RuleId::new(id).unwrap()).unwrap_or_else(|| panic!("no rule {id}"))
}

fn sign_of(rule: &Rule) -> &Posting {
    match &rule.demand {
        Demand::Posting(posting) => posting,
        other => panic!("{other}"),
    }
}

#[test]
fn every_file_of_the_folder_is_shipped() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../rules");
    let mut files: Vec<(String, String)> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.file_name().unwrap().to_str().unwrap().to_owned(), std::fs::read_to_string(&path).unwrap()))
        .collect();
    files.sort();
    let shipped: Vec<(String, String)> =
        shipped().iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect();
    assert_eq!(files, shipped);
}

/// USDA rescinded 7 CFR 110 with effect from 11 July 2025; 40 CFR 171.303 remains.
#[test]
fn the_rescinded_record_of_7_cfr_110_counts_no_more() {
    let set = set();
    let of_federal = |day| {
        let there = Circumstances { restricted_use: true, ..at("US", day) };
        let ids: Vec<&str> = set.binding_on(&there).iter().map(|binding| binding.rule.id.as_str()).collect();
        ids
    };
    let both = ["us-restricted-use-record", "us-restricted-use-record-kept"];
    assert_eq!(of_federal(date(2025, 7, 11)), both);
    assert_eq!(of_federal(date(2025, 7, 10)), [both[0], both[1], "us-7-cfr-110-record", "us-7-cfr-110-record-kept"]);
    assert_eq!(rule(&set, "us-7-cfr-110-record").source.extent, Extent::Superseded);
    // Of no restricted use pesticide no federal record is known.
    assert_eq!(record_demands(&set, &at("US", date(2026, 7, 7))), Known::NoRuleKnown);
}

/// Georgia 8 to 12 in, Ohio at least 14 in, Indiana 6 to 18 in, New York at least 12 in.
#[test]
fn no_one_sign_meets_the_heights_of_four_states() {
    let set = set();
    let ids = ["ga-landscape-sign", "oh-lawn-sign", "in-lawn-marker", "ny-lawn-marker"];
    let inches = |value| Length::new(value, LengthUnit::Inch);
    let bounds = ids.map(|id| {
        let height = sign_of(rule(&set, id)).height.unwrap();
        (height.lowest().map(|low| low.to(LengthUnit::Inch)), height.highest().map(|high| high.to(LengthUnit::Inch)))
    });
    let round = |bound: Option<f64>| bound.map(f64::round);
    assert_eq!(
        bounds.map(|(low, high)| (round(low), round(high))),
        [(Some(8.0), Some(12.0)), (Some(14.0), None), (Some(6.0), Some(18.0)), (Some(12.0), None)]
    );
    let pairs = || ids.map(|id| (rule(&set, id), sign_of(rule(&set, id))));
    let contradiction = common_height(pairs(), None).unwrap_err();
    assert_eq!(contradiction.higher.0.id.as_str(), "oh-lawn-sign");
    assert_eq!(contradiction.lower.0.id.as_str(), "ga-landscape-sign");
    // Every single height fails one of them: each quarter of an inch up to 3 ft is tried.
    for quarters in 0..=144 {
        let bottom = inches(f64::from(quarters) / 4.0);
        let met = pairs().iter().all(|(_, posting)| posting.height.unwrap().is_met_by(bottom, bottom + inches(4.0)));
        assert!(!met, "{} in meets all four", bottom.to(LengthUnit::Inch));
    }
    // Without Georgia there is one: from 14 to 18 in.
    let three = pairs().into_iter().filter(|(rule, _)| rule.id.as_str() != "ga-landscape-sign");
    assert_eq!(common_height(three, None), Ok((Some(inches(14.0)), Some(inches(18.0)))));
}

#[test]
fn each_state_has_its_own_sign_only() {
    let set = set();
    for (place, ids) in [
        ("US-GA", &["ga-landscape-sign"][..]),
        ("US-IN", &["in-lawn-marker"]),
        ("US-NY", &["ny-lawn-marker", "ny-lawn-marker-regulation"]),
        ("US-OH", &["oh-lawn-sign"]),
    ] {
        let there = at(place, date(2026, 7, 7));
        let found = posting(&set, &there).demanded().unwrap();
        let found: Vec<&str> = found.iter().map(|(binding, _)| binding.rule.id.as_str()).collect();
        assert_eq!(found, ids, "{place}");
        assert!(matches!(sign(&set, &there, there.date.at(9, 20, 0, 0)), Ok(Known::Demanded(_))), "{place}");
    }
    // Of Texas nothing was read on signs, of Kansas nothing at all: neither is told to have no rule.
    for place in ["US-TX", "US-KS", "US", "CA-ON"] {
        assert_eq!(posting(&set, &at(place, date(2026, 7, 7))), Known::NoRuleKnown, "{place}");
    }
    assert!(set.knows(&Jurisdiction::parse("US-TX").unwrap()) && !set.knows(&Jurisdiction::parse("US-KS").unwrap()));
}

#[test]
fn signs_stay_as_long_as_their_state_says() {
    let set = set();
    let ended = date(2026, 7, 7).at(9, 20, 0, 0);
    for (place, from) in [
        ("US-GA", date(2026, 7, 8).at(0, 0, 0, 0)),
        ("US-IN", date(2026, 7, 8).at(0, 0, 0, 0)),
        ("US-NY", date(2026, 7, 8).at(9, 20, 0, 0)),
        ("US-OH", date(2026, 7, 8).at(9, 20, 0, 0)),
    ] {
        let sign = sign(&set, &at(place, date(2026, 7, 7)), ended).unwrap().demanded().unwrap();
        assert_eq!(sign.remove_from, Some(from), "{place}");
        assert_eq!(sign.least_size.map(|size| size.to_string()).as_deref(), Some("4 in by 5 in"));
    }
}

/// Texas keeps two years, Ohio and New York three, a restricted use record anywhere two.
#[test]
fn records_are_kept_as_long_as_their_state_says() {
    let set = set();
    let until = |place, restricted_use| {
        let there = Circumstances { restricted_use, ..at(place, date(2026, 7, 7)) };
        retention(&set, &there, Paper::Record).demanded().map(|kept| kept.until)
    };
    let unlicensed = |place: &str| {
        let mut there = at(place, date(2026, 7, 7));
        there.conditions.insert(RuleId::new("tx-structural-use-record-kept").unwrap(), false);
        retention(&set, &there, Paper::Record).demanded().map(|kept| kept.until)
    };
    assert_eq!(unlicensed("US-TX"), Some(date(2028, 7, 7)));
    assert_eq!(until("US-OH", false), Some(date(2029, 7, 7)));
    assert_eq!(until("US-IN", false), Some(date(2028, 7, 7)));
    // Where the source does not say from when, the end of the year is taken.
    assert_eq!(until("US-NY", false), Some(date(2029, 12, 31)));
    assert_eq!(until("US-GA", false), Some(date(2028, 12, 31)));
    assert_eq!(until("US-KS", true), Some(date(2028, 7, 7)));
    assert_eq!(until("US-KS", false), None);
    let notices = retention(&set, &at("US-OH", date(2026, 7, 7)), Paper::Notice).demanded().unwrap();
    assert_eq!(notices.until, date(2029, 12, 31));
}

/// EPA's list for restricted use pesticides, and what Texas adds: rate, spray volume, pest, wind and
/// temperature.
#[test]
fn texas_adds_to_the_federal_record() {
    use RecordField::{CarrierTotal, Pest, Rate, Temperature, WindDirection, WindSpeed};
    let set = set();
    let fields = |place| -> BTreeSet<BTreeSet<RecordField>> {
        let there = Circumstances { restricted_use: true, ..at(place, date(2026, 7, 7)) };
        let demands = record_demands(&set, &there).demanded().unwrap();
        demands.fields.into_iter().map(|field| field.any_of).collect()
    };
    let (federal, texas) = (fields("US-KS"), fields("US-TX"));
    assert!(federal.is_subset(&texas));
    for field in [Rate, CarrierTotal, Pest, WindDirection, WindSpeed, Temperature] {
        let alone = BTreeSet::from([field]);
        assert!(texas.contains(&alone) && !federal.contains(&alone), "{field:?}");
    }
}

#[test]
fn an_ohio_record_without_wind_is_due_on_the_same_day() {
    let set = set();
    let ohio = at("US-OH", date(2026, 7, 7));
    let demands = record_demands(&set, &ohio).demanded().unwrap();
    let has = |field| if field == RecordField::WindSpeed { Presence::Absent } else { Presence::Recorded };
    let lacking = demands.lacking(has, ohio.date.at(9, 20, 0, 0));
    let told: Vec<String> = lacking.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        ["the record lacks the wind speed, which Ohio Administrative Code 901:5-11-10(A)(2) demands by the end of \
          2026-07-07 (Ohio Administrative Code 901:5-11-10(A)(2))"]
    );
}

#[test]
fn ohio_neighbours_who_asked_are_told_a_business_day_before() {
    let set = set();
    // Independence Day 2026 falls on a Saturday and is kept on Friday, 3 July.
    let calendar = BusinessDays::new([date(2026, 7, 3)]);
    let ohio = at("US-OH", date(2026, 7, 6));
    let start = date(2026, 7, 6).at(9, 0, 0, 0);
    let deadlines = notice_deadlines(&set, &ohio, start, &calendar).demanded().unwrap();
    let [deadline] = deadlines[..] else { panic!("{deadlines:?}") };
    assert_eq!(deadline.by, date(2026, 7, 2).at(9, 0, 0, 0));
    assert!(deadline.binding.to_confirm.is_some());
    assert!(check_start(start, Some(deadline.by), &deadline, &calendar).is_ok());
    let late = check_start(start, Some(date(2026, 7, 2).at(16, 0, 0, 0)), &deadline, &calendar).unwrap_err();
    assert_eq!(
        late.to_string(),
        "error[rules::notice-period]: the notice to abutting neighbours who asked for it was given at 2026-07-02 \
         16:00, and the start at 2026-07-06 09:00 is before its period ends\n  expected: a start at 2026-07-06 16:00 \
         or later (Ohio Administrative Code 901:5-11-09(A)(1)(b), (B)(1))\n  mend: start later"
    );
    // New York: 48 hours, all abutting neighbours within 150 ft, where the county has adopted it.
    let new_york = at("US-NY", date(2026, 7, 6));
    let deadlines = notice_deadlines(&set, &new_york, start, &calendar).demanded().unwrap();
    assert_eq!(deadlines[0].by, date(2026, 7, 4).at(9, 0, 0, 0));
}

/// What people read is what the program calculates with: every figure of a demand stands in its sentence.
#[test]
fn the_sentence_of_a_rule_has_the_figures_of_its_demand() {
    let figures = |text: &str| -> BTreeSet<String> {
        let number = |c: char| c.is_ascii_digit() || c == '.';
        text.split(|c| !number(c))
            .filter_map(|word| word.trim_matches('.').parse::<f64>().ok())
            .map(|number| number.to_string())
            .collect()
    };
    let mut seen = 0;
    for rule in set().rules() {
        let held = figures(&rule.demand.to_string());
        let told = figures(&rule.sentence);
        seen += held.len();
        assert!(held.is_subset(&told), "{}: {held:?} in {told:?}: {}", rule.id, rule.demand);
        let days = [
            matches!(&rule.demand, Demand::Record(record) if record.complete_by == Some(CompleteBy::SameDay)),
            matches!(&rule.demand, Demand::Posting(posting) if posting.removal == Some(Removal::NextDay)),
        ];
        assert!(!days.contains(&true) || rule.sentence.contains("day"), "{}", rule.id);
        if let Demand::Posting(posting) = &rule.demand {
            for words in posting.wording.iter().filter(|_| rule.id.as_str() != "ga-landscape-sign") {
                assert!(rule.sentence.contains(words), "{}: {words}", rule.id);
            }
        }
    }
    assert!(seen > 30, "only {seen} figures were compared");
}

#[test]
fn every_rule_says_where_it_was_found_and_how_far_it_was_read() {
    let set = set();
    assert!(set.rules().len() >= 28, "only {}", set.rules().len());
    for rule in set.rules() {
        let words = rule.words();
        assert!(words.contains(&rule.source.section) && words.contains(rule.source.extent.phrase()), "{words}");
        assert!(rule.sentence.ends_with('.'), "{}", rule.id);
        // What was not read whole says what is doubtful about it.
        assert!(rule.source.extent == Extent::Read || rule.source.note.is_some(), "{}", rule.id);
    }
    assert_eq!(
        rule(&set, "oh-abutting-notice").words(),
        "At least 1 business day before an application to a residential lawn the business tries to tell every occupant \
         of an abutting residence who asked for it in writing; they get the particulars that the client gets if they \
         want them. Only where the lawn lies in a municipal corporation or in a subdivided area of a township. [Ohio \
         Administrative Code 901:5-11-09(A)(1)(b), (B)(1); as others report it]"
    );
    assert_eq!(
        rule(&set, "in-lawn-marker").demand.to_string(),
        "put up a sign of at least 4 in by 5 in when the application is made at a conspicuous point of access to the \
         lawn, its bottom edge 6 in to 18 in above the ground, letters at least 0.375 in high, sturdy and \
         weather-resistant, background and lettering in contrasting colours, on a sturdy nonmetallic support, with the \
         words “LAWN CARE APPLICATION KEEP OFF THE GRASS”; leave it until the day after the application"
    );
    assert_eq!(
        rule(&set, "us-7-cfr-110-record-kept").words(),
        "The records under 7 CFR 110 were kept for 2 years. The rule ended on 2025-07-10. [7 CFR 110.3; as others \
         report it]"
    );
    assert_eq!(
        no_rule_known("signs", &Jurisdiction::parse("US-TX").unwrap()),
        "No rule on signs is known here for US-TX. That is not to say that there is none: confirm local law."
    );
}
