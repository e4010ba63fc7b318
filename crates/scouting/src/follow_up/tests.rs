use super::*;
use crate::efficacy::{EXPECTED_CONTROL, EfficacyFinding, EfficacyFormula};
use jiff::civil::date;
use quantity::{Area, AreaUnit};

fn stations(treated: &[u32], check: &[u32]) -> Vec<StationCount> {
    let station = |is_check: bool| move |&living: &u32| StationCount { living, dead: None, is_check };
    treated.iter().map(station(false)).chain(check.iter().map(station(true))).collect()
}

fn counted(day: Date, stations: Vec<StationCount>) -> CountedDay {
    let basis = CountBasis::Area(Area::new(1.0, AreaUnit::SquareFoot));
    CountedDay { property: "lot".into(), pest: "grub".into(), day, basis, stations, follows: None }
}

fn treated(day: Date) -> TreatmentDay {
    TreatmentDay { property: "lot".into(), pest: "grub".into(), day, group: Some("3A".into()) }
}

const MANY: [u32; 8] = [8, 10, 6, 9, 7, 8, 9, 8];
const FEW: [u32; 8] = [0, 1, 0, 1, 0, 0, 1, 0];

fn july(day: i8) -> Date {
    date(2026, 7, day)
}

/// Which counts stand before and after each treatment.
fn pairs(told: &[FollowUp]) -> Vec<Vec<(Option<usize>, usize)>> {
    told.iter().map(|one| one.counts.iter().map(|count| (count.before, count.after)).collect()).collect()
}

#[test]
fn counts_before_and_after_are_those_nearest_to_the_treatment() {
    let all = [
        counted(date(2026, 5, 1), stations(&MANY, &MANY)),
        counted(july(1), stations(&MANY, &MANY)),
        counted(july(5), stations(&MANY, &MANY)),
        counted(july(12), stations(&FEW, &MANY)),
        counted(july(19), stations(&FEW, &MANY)),
        counted(date(2026, 9, 1), stations(&MANY, &MANY)),
    ];
    let told = follow_up(&[treated(july(5))], &all);
    // On the day of the treatment means before it; five weeks later is of another time.
    assert_eq!(pairs(&told), [[(Some(2), 3), (Some(2), 4)]]);
    assert_eq!(told[0].counts.iter().map(|one| one.days_after).collect::<Vec<_>>(), [7, 14]);
    let estimate = told[0].counts[0].control.as_ref().unwrap();
    assert_eq!(estimate.formula, EfficacyFormula::HendersonTilton);
    assert_eq!(told[0].count_next(EXPECTED_CONTROL), [CountNext::Enough]);
}

#[test]
fn what_lies_before_an_earlier_treatment_does_not_stand_before_a_later_one() {
    let all = [
        counted(july(1), stations(&MANY, &MANY)),
        counted(july(9), stations(&FEW, &MANY)),
        counted(july(22), stations(&FEW, &MANY)),
    ];
    let days = [treated(july(5)), treated(july(15))];
    assert_eq!(pairs(&follow_up(&days, &all)), [vec![(Some(0), 1)], vec![(Some(1), 2)]]);
    // Without the one between, nothing tells what the second treatment met.
    let without = [all[0].clone(), all[2].clone()];
    assert_eq!(pairs(&follow_up(&days, &without)), [vec![], vec![(None, 1)]]);
}

#[test]
fn a_count_tells_of_the_treatment_that_it_names_however_late() {
    let mut late = counted(date(2026, 9, 1), stations(&FEW, &MANY));
    late.follows = Some(july(5));
    let mut same_day = counted(july(5), stations(&FEW, &MANY));
    same_day.follows = Some(july(5));
    let all = [counted(july(5), stations(&MANY, &MANY)), same_day, late];
    assert_eq!(
        pairs(&follow_up(&[treated(july(5)), treated(july(20))], &all)),
        [vec![(Some(0), 1), (Some(0), 2)], vec![]]
    );
}

#[test]
fn other_pests_properties_and_frames_are_kept_apart() {
    let mut other_pest = counted(july(12), stations(&FEW, &MANY));
    other_pest.pest = "chinch bug".into();
    let mut elsewhere = counted(july(12), stations(&FEW, &MANY));
    elsewhere.property = "another".into();
    let mut other_frame = counted(july(4), stations(&MANY, &MANY));
    other_frame.basis = CountBasis::Area(Area::new(2.0, AreaUnit::SquareFoot));
    let all = [other_pest, elsewhere, other_frame, counted(july(12), stations(&FEW, &MANY))];
    let told = follow_up(&[treated(july(5))], &all);
    assert_eq!(pairs(&told), [[(None, 3)]]);
    assert_eq!(told[0].counts[0].control.as_ref().unwrap().formula, EfficacyFormula::Abbott);
    assert_eq!(told[0].count_next(EXPECTED_CONTROL), [CountNext::Before]);
}

#[test]
fn what_cannot_be_told_says_what_to_count_next_time() {
    let next = |all: &[CountedDay]| {
        let told = follow_up(&[treated(july(5))], all);
        (told[0].counts.last().is_some_and(|one| one.control.is_ok()), told[0].count_next(EXPECTED_CONTROL))
    };
    assert_eq!(next(&[]), (false, vec![CountNext::After, CountNext::Check, CountNext::Before]));
    let before = counted(july(4), stations(&MANY, &MANY));
    let without_check = [before.clone(), counted(july(12), stations(&FEW, &[]))];
    assert_eq!(next(&without_check), (false, vec![CountNext::Check]));
    let empty_check = [before.clone(), counted(july(12), stations(&FEW, &[0; 8]))];
    assert_eq!(next(&empty_check), (false, vec![CountNext::CheckWithPests]));
    // Four stations with some control: it stays open with so few, and a number is told.
    let few = [
        counted(july(4), stations(&[5, 4, 6, 5], &[5, 4, 6, 5])),
        counted(july(12), stations(&[2, 1, 0, 2], &[5, 4, 6, 4])),
    ];
    let (is_told, wanted) = next(&few);
    assert!(is_told && matches!(wanted.as_slice(), [CountNext::Stations(number)] if *number >= 8), "{wanted:?}");
}

#[test]
fn what_is_settled_asks_for_no_more_stations() {
    let next = |before: &[u32], after: &[u32], check: &[u32]| {
        let all = [counted(july(4), stations(before, before)), counted(july(12), stations(after, check))];
        let told = follow_up(&[treated(july(5))], &all);
        let estimate = *told[0].counts[0].control.as_ref().unwrap();
        ((estimate.finding, estimate.interval), told[0].count_next(EXPECTED_CONTROL))
    };
    // Pests as before, as many and more; at eight stations and at four.
    let many = [40, 44, 38, 41, 42, 39, 40, 43];
    let half = many.map(|count| count / 2);
    let more = many.map(|count| count * 2);
    for (after, finding) in
        [(&many, EfficacyFinding::NotShown), (&half, EfficacyFinding::Reduced), (&more, EfficacyFinding::Increased)]
    {
        for stations in [4, 8] {
            let ((found, interval), wanted) = next(&many[..stations], &after[..stations], &many[..stations]);
            assert_eq!(found, finding);
            assert!(interval.1 < EXPECTED_CONTROL, "{interval:?}");
            assert_eq!(wanted, [CountNext::SettledBelow], "{finding:?} at {stations} stations");
        }
    }
    assert!(CountNext::SettledBelow.words().contains("see the causes"));
    // Wholly above with few stations: no more of them are asked for either.
    let none = [0; 6];
    let ((found, interval), wanted) = next(&many[..6], &none, &many[..6]);
    assert!(found == EfficacyFinding::NoneLeft && interval.0 >= EXPECTED_CONTROL, "{interval:?}");
    assert_eq!(wanted, [CountNext::Enough]);
    // Not shown, and the interval holds what is expected: that is open.
    let ((found, interval), wanted) = next(&[2, 1, 1, 0], &[1, 0, 0, 1], &[2, 1, 0, 1]);
    assert!(found == EfficacyFinding::NotShown && interval.1 >= EXPECTED_CONTROL, "{interval:?}");
    assert!(matches!(wanted.as_slice(), [CountNext::Stations(number)] if *number >= 8), "{wanted:?}");
}

#[test]
fn resistance_goes_by_the_count_nearest_to_a_week() {
    let mut all = Vec::new();
    let mut days = Vec::new();
    for (month, left) in (3_i8..).zip([0, 1, 2, 4, 6]) {
        let left: Vec<u32> = (0..8).map(|station| left + station % 2).collect();
        all.push(counted(date(2026, month, 1), stations(&MANY, &MANY)));
        all.push(counted(date(2026, month, 9), stations(&left, &MANY)));
        // A late count when the pests are back is not what tells of resistance.
        all.push(counted(date(2026, month, 26), stations(&MANY, &MANY)));
        days.push(treated(date(2026, month, 2)));
    }
    let told = follow_up(&days, &all);
    let signs = resistance_of(&days, &told, EXPECTED_CONTROL);
    let [(pest, sign)] = signs.as_slice() else { panic!("{signs:?}") };
    assert_eq!((pest.as_str(), sign.group.as_str(), sign.treatments, sign.properties), ("grub", "3A", 5, 1));
    assert!(sign.trend.is_some_and(|trend| trend.first.share() > 0.8), "{sign:?}");
    for day in &mut days {
        day.group = None;
    }
    assert!(resistance_of(&days, &told, EXPECTED_CONTROL).is_empty());
}

#[test]
fn names_of_a_pest_are_one_in_capitals_or_not() {
    let mut all = [counted(july(4), stations(&MANY, &MANY)), counted(july(12), stations(&FEW, &MANY))];
    all[0].pest = "Grub".into();
    all[1].pest = " GRUB ".into();
    let mut days = [treated(july(5)), treated(date(2026, 6, 1))];
    days[1].pest = "gruB".into();
    let told = follow_up(&days, &all);
    assert_eq!(pairs(&told), [vec![(Some(0), 1)], vec![]]);
    let mut again = all[0].clone();
    again.pest = "grub".into();
    assert_eq!(counted_twice(&[all[0].clone(), again]), [(0, 1)]);
    // Over all spellings there is one answer of resistance.
    let series: Vec<(TreatmentDay, [CountedDay; 2])> = (3_i8..)
        .zip(["grub", "Grub", "grub", "GRUB", "Grub"])
        .map(|(month, pest)| {
            let of = |day, stations| CountedDay { pest: pest.into(), ..counted(date(2026, month, day), stations) };
            let day = TreatmentDay { pest: pest.into(), ..treated(date(2026, month, 2)) };
            (day, [of(1, stations(&MANY, &MANY)), of(9, stations(&FEW, &MANY))])
        })
        .collect();
    let (days, counts): (Vec<_>, Vec<_>) = series.into_iter().unzip();
    let counts = counts.concat();
    let signs = resistance_of(&days, &follow_up(&days, &counts), EXPECTED_CONTROL);
    let [(pest, sign)] = signs.as_slice() else { panic!("{signs:?}") };
    assert_eq!((pest.as_str(), sign.treatments), ("grub", 5));
}

#[test]
fn two_counts_of_one_day_are_told() {
    let one = counted(july(1), stations(&MANY, &MANY));
    let mut other = one.clone();
    assert_eq!(counted_twice(&[one.clone(), other.clone()]), [(0, 1)]);
    other.follows = Some(july(1));
    assert!(counted_twice(&[one, other]).is_empty());
}

#[test]
fn a_general_word_and_that_of_a_kind_stand_beside_each_other() {
    let named = |pest: &str, one: CountedDay| CountedDay { pest: pest.into(), ..one };
    let against = |pest: &str| TreatmentDay { pest: pest.into(), ..treated(july(5)) };
    let codes = |told: &[FollowUp]| -> Vec<&str> { told[0].counts[0].names.iter().map(|one| one.code).collect() };
    let (before, after) = (counted(july(1), stations(&MANY, &MANY)), counted(july(12), stations(&FEW, &MANY)));
    let kind = "two-striped grasshopper";
    let pair = [named("grasshopper", before.clone()), named(kind, after.clone())];
    let told = follow_up(&[against("Grasshopper")], &pair);
    assert_eq!((pairs(&told), codes(&told)), (vec![vec![(Some(0), 1)]], vec!["scouting::names-differ"]));
    // The count of that kind goes before a later one of the general word.
    let three = [
        named(kind, before.clone()),
        named("grasshopper", counted(july(3), stations(&MANY, &MANY))),
        named(kind, after.clone()),
    ];
    let told = follow_up(&[against("grasshopper")], &three);
    assert_eq!((pairs(&told), codes(&told)), (vec![vec![(Some(0), 2)]], vec![]));
    // Of two kinds before a count of the general word none is taken.
    let which =
        [named(kind, before.clone()), named("migratory grasshopper", before), named("grasshopper", after.clone())];
    let told = follow_up(&[against("grasshopper")], &which);
    assert_eq!((pairs(&told), codes(&told)), (vec![vec![(None, 2)]], vec!["scouting::which-pest"]));
    // One kind is not counted for another.
    let other = [named("migratory grasshopper", after)];
    assert_eq!(pairs(&follow_up(&[against(kind)], &other)), [vec![]; 1]);
}
