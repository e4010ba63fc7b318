//! Numbers as people write them: decimal stop or comma, thousands groups, fractions.

use super::error::{ParseError, piece};
use super::token::is_space;
use crate::print::reads_in_two_ways;
use crate::unit::System;
use std::ops::Range;

/// The largest and the smallest number (other than nothing) that is read: beyond these a slip of
/// the pen is certain, and within them no later product or quotient leaves the numbers.
const LARGEST: f64 = 1e12;
const SMALLEST: f64 = 1e-12;

/// Where the number stands, which decides what a comma before three digits means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Position {
    /// The number of the quantity itself: a comma before three digits is a group, unless a metric unit
    /// follows, see [`refuse_two_ways`].
    Value,
    /// The number in a basis, such as `1,000` in `per 1,000 sq ft`: a comma is always a group.
    Basis,
}

/// Reads the number that begins at byte `start` (a digit, a stop before a digit, or a fraction
/// sign such as `½`): its value and its place.
pub(super) fn read(text: &str, start: usize, position: Position) -> Result<(f64, Range<usize>), ParseError> {
    let (whole, mut end) = if vulgar(rest(text, start)).is_some() {
        (None, start)
    } else {
        let end = start + run(rest(text, start));
        let (value, end) = spaced_groups(text, start, end, position)?;
        (Some(value), end)
    };
    let mut value = whole.unwrap_or(0.0);

    // A fraction sign, straight after the number or one space on: `1½`, `1 ½`.
    let gap = spaces(rest(text, end));
    if let Some((part, length)) = vulgar(rest(text, end + gap)) {
        if whole.is_some() && !plain_digits(&text[start..end]) {
            return Err(ParseError::new(text, start..end + gap + length, "a fraction after a decimal number"));
        }
        value += part;
        end += gap + length;
    } else if plain_digits(&text[start..end]) {
        if let Some((divisor, length)) = slash_digits(rest(text, end)) {
            // `1/2`
            end += length;
            value = divide(text, start..end, value, divisor)?;
        } else if let Some((part, over, length)) = mixed(rest(text, end)) {
            // `1 1/2`, `1-1/2`
            let place = start..end + length;
            if part >= over {
                return Err(ParseError::new(
                    text,
                    place.clone(),
                    format!("fraction {} is not below one", piece(&text[place])),
                )
                .expected("a number and a fraction below one, such as `1 1/2`"));
            }
            value += divide(text, place, part, over)?;
            end += length;
        }
    }
    let place = start..end;
    refuse_what_follows(text, &place)?;
    if !value.is_finite() || value > LARGEST || (value != 0.0 && value < SMALLEST) {
        return Err(ParseError::new(text, place.clone(), format!("number {} is out of reach", piece(&text[place])))
            .expected("nothing, or a number from 0.000000000001 to 1,000,000,000,000"));
    }
    Ok((value, place))
}

/// Refuses a number such as `1,250` before a metric unit: those who measure in litres write the decimal
/// comma as well, and it would be a thousand times as much. Before a US or imperial unit it is a group.
pub(super) fn refuse_two_ways(text: &str, place: &Range<usize>, system: System) -> Result<(), ParseError> {
    let written = &text[place.clone()];
    if system != System::Metric || !reads_in_two_ways(written) {
        return Ok(());
    }
    let mut error = ParseError::new(
        text,
        place.clone(),
        format!("number {} reads in two ways before a metric unit", piece(written)),
    )
    .expected("a number that is either a whole one or a decimal one");
    if let Ok(decimal) = written.replace(',', ".").parse::<f64>() {
        error = error.mend(format!("write `{}` or `{decimal}`", written.replace(',', "")));
    }
    Err(error)
}

fn rest(text: &str, start: usize) -> &str {
    text.get(start..).unwrap_or_default()
}

/// The length in bytes of digits with stops, commas and middle dots between digits.
fn run(text: &str) -> usize {
    let digit_follows = |at: usize| text.as_bytes().get(at).is_some_and(u8::is_ascii_digit);
    let mut end = 0;
    for (at, c) in text.char_indices() {
        let next = at + c.len_utf8();
        match c {
            '0'..='9' => {}
            '.' | ',' | '·' | '⋅' | '∙' if digit_follows(next) => {}
            // `5. fl oz`: the stop says nothing.
            '.' if at > 0 && end == at && !text[..at].contains(['.', ',']) => return next,
            _ => return at,
        }
        end = next;
    }
    end
}

fn plain_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())
}

fn spaces(text: &str) -> usize {
    text.chars().take_while(|&c| is_space(c)).map(char::len_utf8).sum()
}

/// `1 000`: groups of three digits parted by one space, unless the last is part of a fraction.
fn spaced_groups(text: &str, start: usize, end: usize, position: Position) -> Result<(f64, usize), ParseError> {
    let first = &text[start..end];
    if !(plain_digits(first) && first.len() <= 3 && !first.starts_with('0')) {
        return Ok((decimal(text, start..end, position)?, end));
    }
    let mut digits = first.to_owned();
    let mut till = end;
    while let Some(space) = rest(text, till).chars().next().filter(|&c| is_space(c)) {
        let group_at = till + space.len_utf8();
        let length = rest(text, group_at).bytes().take_while(u8::is_ascii_digit).count();
        let after = group_at + length;
        if length != 3 || slash_digits(rest(text, after)).is_some() {
            break;
        }
        digits.push_str(&text[group_at..after]);
        till = after;
    }
    let fraction = run(rest(text, till));
    if till > end && fraction > 1 && rest(text, till).starts_with('.') {
        digits.push_str(&text[till..till + fraction]);
        till += fraction;
    }
    Ok((decimal_parts(text, &(start..till), &digits)?, till))
}

/// Digits with at most one decimal sign and possibly groups.
fn decimal(text: &str, place: Range<usize>, position: Position) -> Result<f64, ParseError> {
    let written = &text[place.clone()];
    let plain = written.replace(['·', '⋅', '∙'], ".");
    let refused = || {
        ParseError::new(text, place.clone(), format!("number {} cannot be read in one way only", piece(written)))
            .expected("digits with one decimal stop or comma, and commas only between groups of three digits")
            .mend("write it as `1234.5`")
    };
    let (before_stop, after_stop) = plain.split_once('.').map_or((plain.as_str(), None), |(a, b)| (a, Some(b)));
    if after_stop.is_some_and(|after| after.contains(['.', ','])) {
        return Err(refused());
    }
    // `per 1.000 m²` is a thousand to half the world, and no basis is written with idle noughts.
    let stop_as_group = after_stop.is_some_and(|after| after.len() == 3 && after.ends_with('0'));
    if position == Position::Basis && stop_as_group {
        return Err(refused());
    }
    let groups: Vec<&str> = before_stop.split(',').collect();
    if groups.len() == 1 {
        return decimal_parts(text, &place, &plain);
    }
    let whole_part = groups[0] == "0" || !(groups[0].is_empty() || groups[0].starts_with('0'));
    let starts_as_group = (1..=3).contains(&groups[0].len()) && !groups[0].starts_with('0');
    if starts_as_group && groups[1..].iter().all(|group| group.len() == 3) {
        return decimal_parts(text, &place, &plain.replace(',', ""));
    }
    if groups.len() == 2 && after_stop.is_none() && position == Position::Value && whole_part {
        return decimal_parts(text, &place, &plain.replace(',', "."));
    }
    Err(refused())
}

fn decimal_parts(text: &str, place: &Range<usize>, digits: &str) -> Result<f64, ParseError> {
    digits.parse::<f64>().ok().filter(|value| value.is_finite()).ok_or_else(|| {
        ParseError::new(text, place.clone(), format!("number {} is out of reach", piece(&text[place.clone()])))
            .expected("a number up to 1,000,000,000,000")
    })
}

/// `/2` straight after a number: the divisor and the length.
fn slash_digits(text: &str) -> Option<(f64, usize)> {
    let slash = text.chars().next().filter(|c| matches!(c, '/' | '⁄' | '∕'))?;
    let digits = text[slash.len_utf8()..].bytes().take_while(u8::is_ascii_digit).count();
    let end = slash.len_utf8() + digits;
    let followed = text[end..].starts_with(['.', ',']) && text[end + 1..].starts_with(|c: char| c.is_ascii_digit());
    if digits == 0 || followed {
        return None;
    }
    Some((text[slash.len_utf8()..end].parse().ok()?, end))
}

/// ` 1/2` or `-1/2` after a whole number: upper and lower number and the length.
fn mixed(text: &str) -> Option<(f64, f64, usize)> {
    let gap = if text.starts_with('-') { 1 } else { spaces(text) };
    let digits = text.get(gap..)?.bytes().take_while(u8::is_ascii_digit).count();
    if gap == 0 || digits == 0 {
        return None;
    }
    let (over, length) = slash_digits(&text[gap + digits..])?;
    Some((text[gap..gap + digits].parse().ok()?, over, gap + digits + length))
}

fn divide(text: &str, place: Range<usize>, part: f64, over: f64) -> Result<f64, ParseError> {
    if over == 0.0 {
        let found = format!("fraction {} divides by nothing", piece(&text[place.clone()]));
        return Err(ParseError::new(text, place, found));
    }
    Ok(part / over)
}

/// A sign such as `½` at the start: its value and length.
fn vulgar(text: &str) -> Option<(f64, usize)> {
    let sign = text.chars().next()?;
    let (part, over) = match sign {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅐' => (1, 7),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅑' => (1, 9),
        '⅒' => (1, 10),
        _ => return None,
    };
    Some((f64::from(part) / f64::from(over), sign.len_utf8()))
}

/// Whether a number may begin here.
pub(super) fn begins(text: &str) -> bool {
    let mut chars = text.chars();
    match chars.next() {
        Some('.' | ',' | '·') => chars.next().is_some_and(|c| c.is_ascii_digit()),
        Some(c) => c.is_ascii_digit() || vulgar(text).is_some(),
        None => false,
    }
}

/// Refuses a range, a second number and an exponent straight after a number.
fn refuse_what_follows(text: &str, place: &Range<usize>) -> Result<(), ParseError> {
    let after = rest(text, place.end);
    let mut chars = after.chars();
    if chars.next().is_some_and(|c| matches!(c, 'e' | 'E'))
        && chars.clone().find(|c| !matches!(c, '+' | '-' | '−')).is_some_and(|c| c.is_ascii_digit())
    {
        let length = after.chars().take_while(|c| c.is_ascii_alphanumeric() || matches!(c, '+' | '-' | '−' | '.'));
        let span = place.start..place.end + length.map(char::len_utf8).sum::<usize>();
        let found = format!("number {} is written with a power of ten", piece(&text[span.clone()]));
        return Err(ParseError::new(text, span, found).mend("write the number out, as in `0.4` or `1,000`"));
    }
    let gap = spaces(after);
    let next = rest(after, gap);
    let joint = ["to ", "-", "–", "—", "‑", "‒", "…", ".."].into_iter().find(|joint| next.starts_with(joint));
    if let Some(joint) = joint {
        let beyond = gap + joint.len();
        let far = beyond + spaces(rest(after, beyond));
        if begins(rest(after, far)) {
            let length = run(rest(after, far)).max(rest(after, far).chars().next().map_or(0, char::len_utf8));
            let span = place.start..place.end + far + length;
            let found = format!("{} is a range", piece(&text[span.clone()]));
            return Err(ParseError::new(text, span, found)
                .expected("one number")
                .mend("give the lower and the upper end each in its own place"));
        }
    }
    if begins(next) {
        let span = place.start..place.end + gap + run(next).max(next.chars().next().map_or(0, char::len_utf8));
        let found = format!("{} is more than one number", piece(&text[span.clone()]));
        return Err(ParseError::new(text, span, found).expected("one number"));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Option<f64> {
        read(text, 0, Position::Value).ok().filter(|(_, place)| place.end == text.trim_end().len()).map(|(v, _)| v)
    }

    #[test]
    fn numbers_are_read_as_people_write_them() {
        let cases = [
            ("0.4", 0.4),
            (".5", 0.5),
            ("5.", 5.0),
            ("0,4", 0.4),
            ("12,34", 12.34),
            ("1,000", 1000.0),
            ("1,234", 1234.0),
            ("12,345.6", 12345.6),
            ("1,234,567", 1_234_567.0),
            ("0,125", 0.125),
            ("1234,567", 1234.567),
            ("1·6", 1.6),
            ("1 000", 1000.0),
            ("1\u{202f}000.5", 1000.5),
            ("1/2", 0.5),
            ("1 1/2", 1.5),
            ("1-1/2", 1.5),
            ("1⁄2", 0.5),
            ("½", 0.5),
            ("1½", 1.5),
            ("1 ½", 1.5),
            ("2 3/4", 2.75),
            ("100 1/4", 100.25),
            ("0", 0.0),
        ];
        for (text, expected) in cases {
            assert_eq!(value(text), Some(expected), "{text}");
        }
    }

    #[test]
    fn numbers_that_can_be_read_in_two_ways_are_refused() {
        for text in [
            "1,23,4",
            "1.234,5",
            "1.2.3",
            "1,2.3",
            "012,345",
            "1,0000,000",
            "1/0",
            "1 3/2",
            "1.5½",
            "1e400",
            "1e3",
            "1E-5",
            "1-2",
            "1 – 2",
            "0.25 to 0.5",
            "1 2",
            "10000000000000",
            "0.0000000000000001",
        ] {
            assert!(read(text, 0, Position::Value).is_err(), "{text}: {:?}", read(text, 0, Position::Value));
        }
        assert!(read(&"9".repeat(400), 0, Position::Value).is_err());
    }

    #[test]
    fn a_comma_in_a_basis_only_parts_groups() {
        assert_eq!(read("1,000 sq ft", 0, Position::Basis).unwrap().0, 1000.0);
        assert!(read("2,5 cm", 0, Position::Basis).is_err());
        assert!(read("0,100 ha", 0, Position::Basis).is_err());
        assert!(read("1.000 m²", 0, Position::Basis).is_err());
        assert_eq!(read("2.5 cm", 0, Position::Basis).unwrap().0, 2.5);
    }
}
