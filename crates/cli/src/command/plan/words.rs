//! Quantities and paragraphs as a terminal shows them.

use quantity::{
    Amount, AmountUnit, Area, AreaUnit, Duration, DurationUnit, Length, LengthUnit, Mass, MassUnit, Volume, VolumeUnit,
    significant,
};
use sheet::Units;

/// Longest line of a paragraph, in characters.
const WIDTH: usize = 100;

/// A paragraph in lines of at most 100 characters; the first begins with `first`, the others with as
/// many blanks.
pub(crate) fn wrapped(first: &str, text: &str) -> String {
    let indent = first.chars().count();
    let mut out = first.to_owned();
    let mut column = indent;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if column > indent && column + 1 + length > WIDTH {
            out.truncate(out.trim_end().len());
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if column > indent {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out.truncate(out.trim_end().len());
    out.push('\n');
    out
}

/// A depth of water or a height of grass, in both systems, the chosen one first.
pub(crate) fn both_depths(depth: Length, units: Units) -> String {
    let millimetres = depth.to(LengthUnit::Millimetre);
    ordered(units, &format!("{:.2} in", depth.to(LengthUnit::Inch)), &format!("{millimetres:.1} mm"))
}

/// In both systems, the chosen one first.
pub(super) fn area(area: Area, units: Units) -> String {
    let (us, metric) = (area.show(AreaUnit::SquareFoot), area.show(AreaUnit::SquareMetre));
    ordered(units, &us, &metric)
}

/// In both systems, the chosen one first.
pub(super) fn spray(volume: Volume, units: Units) -> String {
    ordered(units, &volume.show(VolumeUnit::UsGallon), &volume.show(VolumeUnit::Litre))
}

/// In both systems, the chosen one first.
pub(super) fn amount(amount: Amount, units: Units) -> String {
    let (us, metric) = match amount {
        Amount::Volume(_) => (AmountUnit::Volume(VolumeUnit::UsFluidOunce), AmountUnit::Volume(VolumeUnit::Millilitre)),
        Amount::Mass(_) => (AmountUnit::Mass(MassUnit::Ounce), AmountUnit::Mass(MassUnit::Gram)),
    };
    ordered(units, &amount.show(us).unwrap_or_default(), &amount.show(metric).unwrap_or_default())
}

/// An active ingredient, in both systems, the chosen one first.
pub(super) fn active(mass: Mass, units: Units) -> String {
    ordered(units, &mass.show(MassUnit::Pound), &mass.show(MassUnit::Gram))
}

/// As it stands on the measure: millilitres or grams with the decimals of the graduation.
pub(super) fn on_the_measure(measured: Amount, graduation: Amount) -> String {
    let unit = metric(measured);
    let step = graduation.to(unit).unwrap_or(1.0);
    let decimals = (0..6).find(|&places| {
        let scaled = step * 10f64.powi(places);
        (scaled - scaled.round()).abs() < 1e-6
    });
    let decimals = usize::try_from(decimals.unwrap_or(2)).unwrap_or(2);
    format!("{:.decimals$} {}", measured.to(unit).unwrap_or_default(), unit.symbol())
}

/// Unrounded, as far as anyone reads: four digits in millilitres or grams.
pub(super) fn unrounded(exact: Amount) -> String {
    exact.show_digits(metric(exact), 4).unwrap_or_default()
}

fn metric(amount: Amount) -> AmountUnit {
    match amount {
        Amount::Volume(_) => AmountUnit::Volume(VolumeUnit::Millilitre),
        Amount::Mass(_) => AmountUnit::Mass(MassUnit::Gram),
    }
}

/// Whole minutes, to the nearest, as the clock of the start window counts them.
pub(super) fn minutes(duration: Duration) -> String {
    let minutes = duration.to(DurationUnit::Minute).round().max(0.0);
    if minutes < 180.0 {
        format!("{minutes:.0} minutes")
    } else {
        format!("{:.0} h {:.0} min", (minutes / 60.0).floor(), minutes % 60.0)
    }
}

/// A share as percent.
pub(super) fn percent(share: f64) -> String {
    format!("{} %", significant(share * 100.0, 2))
}

fn ordered(units: Units, us: &str, metric: &str) -> String {
    match units {
        Units::UsCustomary => format!("{us} ({metric})"),
        Units::Metric => format!("{metric} ({us})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paragraph_hangs_under_its_first_word() {
        let text = "word ".repeat(40);
        let out = wrapped("  - ", &text);
        assert!(out.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(out.lines().skip(1).all(|line| line.starts_with("    word")));
        assert_eq!(out.split_whitespace().filter(|word| *word == "word").count(), 40);
    }

    #[test]
    fn a_measured_amount_has_the_decimals_of_its_measure() {
        let millilitres = |value| Amount::new(value, AmountUnit::Volume(VolumeUnit::Millilitre));
        assert_eq!(on_the_measure(millilitres(14.0), millilitres(0.2)), "14.0 mL");
        assert_eq!(on_the_measure(millilitres(14.0), millilitres(1.0)), "14 mL");
        assert_eq!(on_the_measure(millilitres(2.25), millilitres(0.05)), "2.25 mL");
    }

    #[test]
    fn a_job_is_told_in_minutes_up_to_three_hours() {
        assert_eq!(minutes(Duration::new(99.3, DurationUnit::Minute)), "99 minutes");
        assert_eq!(minutes(Duration::new(99.6, DurationUnit::Minute)), "100 minutes");
        assert_eq!(minutes(Duration::new(250.0, DurationUnit::Minute)), "4 h 10 min");
    }
}
