//! Months, sound and unsound.

use super::*;
use jiff::civil::date;
use proptest::prelude::*;

/// A line of the values given, with their flags of quality; the rest of its days are missing.
fn line(month: &str, element: &str, days: &[(i32, char)]) -> String {
    let cell = |(value, quality): (i32, char)| format!("{value:>5} {quality}7");
    let mut line = format!("USC00147160{month}{element}");
    for day in 0..31 {
        line += &cell(days.get(day).copied().unwrap_or((MISSING, ' ')));
    }
    line
}

fn read(lines: &[String]) -> Result<(StationRecord, Problems), Problems> {
    parse_record("x.dly", &lines.join("\n"), None)
}

#[track_caller]
fn found(lines: &[String]) -> Vec<(&'static str, Option<usize>, Option<usize>)> {
    let problems = match read(lines) {
        Ok((_, problems)) | Err(problems) => problems,
    };
    problems.iter().map(|problem| (problem.code, problem.place.line, problem.place.column)).collect()
}

#[test]
fn a_month_of_each_element() {
    let lines = [
        line("202605", "TMAX", &[(217, ' '), (228, ' '), (MISSING, ' '), (200, ' ')]),
        line("202605", "TMIN", &[(94, ' '), (-5, ' '), (MISSING, ' '), (100, ' ')]),
        line("202605", "PRCP", &[(0, ' '), (254, ' ')]),
        line("202605", "AWND", &[(31, ' ')]),
        line("202605", "SNOW", &[(0, ' ')]),
    ];
    let (record, problems) = read(&lines).unwrap();
    assert_eq!(record.station, "USC00147160");
    let first = record.days.at(date(2026, 5, 1)).unwrap();
    let celsius = |degrees| Some(Temperature::new(degrees, TemperatureUnit::Celsius));
    assert_eq!((first.highest, first.lowest), (celsius(21.7), celsius(9.4)));
    assert_eq!(first.wind_speed, Some(Speed::new(3.1, SpeedUnit::MetrePerSecond)));
    let second = record.days.at(date(2026, 5, 2)).unwrap();
    assert_eq!(second.lowest, celsius(-0.5));
    assert_eq!(second.rain, Some(Length::new(25.4, LengthUnit::Millimetre)));
    assert_eq!(record.days.days().len(), 3);
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["weather::day-gap"]);
    // Ends of lines without blanks are the same.
    let trimmed: Vec<String> = lines.iter().map(|line| line.trim_end().to_owned()).collect();
    assert_eq!(read(&trimmed).unwrap().0, record);
}

#[test]
fn what_did_not_pass_is_missing_and_counted() {
    let lines = [
        line("202605", "TMAX", &[(217, ' '), (999, 'X'), (210, 'I'), (211, ' ')]),
        line("202605", "TMIN", &[(94, ' '), (90, ' '), (90, ' '), (93, ' ')]),
    ];
    let (record, _) = read(&lines).unwrap();
    assert_eq!(record.days.at(date(2026, 5, 2)).unwrap().highest, None);
    assert_eq!(found(&lines), [("ghcn::quality", Some(1), Some(30)), ("weather::day-gap", Some(2), Some(38))]);
}

#[test]
fn every_fault_is_told_with_its_place() {
    let damaged = line("202605", "TMIN", &[(94, ' ')]).replace("   94", "   9x");
    let lines = [
        "short".to_owned(),
        line("202605", "TMAX", &[(217, ' '), (910, ' ')]),
        line("202605", "TMAX", &[(217, ' ')]),
        line("202613", "TMAX", &[(217, ' ')]),
        damaged,
        line("202602", "TMAX", &[(10, ' '); 29]),
        line("202606", "PRCP", &[(0, ' ')]).replace("USC00147160", "USC00147161"),
    ];
    let expected = [
        ("ghcn::line", Some(1), Some(1)),
        ("ghcn::month-twice", Some(3), Some(18)),
        ("ghcn::month", Some(4), Some(12)),
        ("ghcn::value", Some(5), Some(22)),
        ("ghcn::no-such-day", Some(6), Some(246)),
        ("ghcn::stations", Some(7), Some(1)),
        ("weather::temperature", Some(2), Some(30)),
    ];
    assert_eq!(found(&lines), expected);
    assert_eq!(found(&[]), [("ghcn::empty", Some(1), Some(1))]);
    assert_eq!(found(&[line("202605", "SNOW", &[(0, ' ')])]), [("ghcn::no-days", Some(1), Some(1))]);
    assert_eq!(found(&["é".repeat(150)]), [("ghcn::line", Some(1), Some(1)), ("ghcn::empty", Some(1), Some(1))]);
}

#[test]
fn exchanged_extremes_are_told_at_the_lowest() {
    let lines = [line("202605", "TMAX", &[(94, ' ')]), line("202605", "TMIN", &[(217, ' ')])];
    assert_eq!(found(&lines), [("weather::extremes", Some(2), Some(22))]);
}

#[test]
fn earlier_days_are_passed_over() {
    let lines = [line("202605", "TMAX", &[(217, ' '), (218, ' ')]), line("202605", "TMIN", &[(94, ' '), (95, ' ')])];
    let text = lines.join("\n");
    let (record, _) = parse_record("x", &text, Some(date(2026, 5, 2))).unwrap();
    assert_eq!(record.days.span(), Some((date(2026, 5, 2), date(2026, 5, 2))));
    let problems = parse_record("x", &text, Some(date(2026, 6, 1))).unwrap_err();
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["ghcn::no-days"]);
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in "(?s).{0,300}", cut in 0..270_usize, put in "[ -~é]{0,12}") {
        let _ = parse_record("x", &text, None);
        let sound = line("202605", "TMAX", &[(217, ' '); 31]);
        let cut = cut.min(sound.len());
        let damaged = format!("{}{put}{}", &sound[..cut], &sound[cut..]);
        let result = parse_record("x", &damaged, None);
        prop_assert_eq!(result.is_err(), result.as_ref().err().is_some_and(Problems::has_errors));
    }
}
