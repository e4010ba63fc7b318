//! Areas from figures written on paper.

use geometry::measure;
use problem::{Problem, Problems};
use quantity::{Area, Length, parse_length};

/// What a figure is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Figure {
    Rectangle,
    Triangle,
    TriangleBySides,
    Trapezoid,
    Circle,
    Ellipse,
    Offsets,
    Radii,
}

impl Figure {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Rectangle => "rectangle",
            Self::Triangle => "triangle",
            Self::TriangleBySides => "triangle by its sides",
            Self::Trapezoid => "trapezoid",
            Self::Circle => "circle",
            Self::Ellipse => "ellipse",
            Self::Offsets => "offsets",
            Self::Radii => "radii",
        }
    }

    const fn formula(self) -> &'static str {
        match self {
            Self::Rectangle => "length x width",
            Self::Triangle => "base x height / 2",
            Self::TriangleBySides => "Heron's formula",
            Self::Trapezoid => "(side + parallel side) / 2 x height",
            Self::Circle => "pi x radius^2",
            Self::Ellipse => "pi / 4 x long diameter x short diameter",
            Self::Offsets => "spacing x sum of offsets",
            Self::Radii => "pi x mean of radius^2",
        }
    }

    const fn form(self) -> &'static str {
        match self {
            Self::Rectangle => "length x width, such as `60 ft x 25 ft`",
            Self::Triangle => "base x height, such as `30 ft x 20 ft`",
            Self::TriangleBySides => "three sides, such as `30 ft x 40 ft x 50 ft`",
            Self::Trapezoid => "two parallel sides and their distance, such as `20 ft x 30 ft x 10 ft`",
            Self::Circle => "a radius, such as `12 ft`",
            Self::Ellipse => "long x short diameter, such as `40 ft x 25 ft`",
            Self::Offsets => "widths at an even spacing, such as `20, 24, 30, 26, 18 ft at 10 ft`",
            Self::Radii => {
                "eight distances or more from a middle to the edge, such as `20, 22, 25, 24, 21, 19, 18, 19 ft`"
            }
        }
    }
}

/// The area of a figure, with its name and formula.
///
/// # Errors
/// A text that is not the figure, or lengths out of bounds.
pub(super) fn area_of(figure: Figure, text: &str) -> Result<(String, String, Area), Problems> {
    let at = |problems: Problems| -> Problems {
        let named = format!("--{} \"{text}\"", option(figure));
        problems.into_iter().map(|problem| problem.at(named.clone())).collect()
    };
    let wrong = || {
        Problems::from(
            Problem::error("measure::figure", format!("`{text}` is no {}", figure.word())).expected(figure.form()),
        )
    };
    let area = match figure {
        Figure::Offsets => {
            let Some((offsets, spacing)) = text.split_once(" at ") else { return Err(at(wrong())) };
            let spacing = lengths(&[spacing]).map_err(at)?;
            let offsets = lengths(&listed(offsets).map_err(|problem| at(problem.into()))?).map_err(at)?;
            measure::by_offsets(&offsets, spacing[0])
        }
        Figure::Radii => {
            let radii = listed(text).map_err(|problem| at(problem.into()))?;
            measure::by_radii(&lengths(&radii).map_err(at)?)
        }
        _ => {
            let sides = by_times(text);
            let sides = lengths(&sides).map_err(at)?;
            match (figure, sides.as_slice()) {
                (Figure::Rectangle, &[length, width]) => measure::rectangle(length, width),
                (Figure::Triangle, &[base, height]) => measure::triangle(base, height),
                (Figure::TriangleBySides, &[a, b, c]) => measure::triangle_by_sides(a, b, c),
                (Figure::Trapezoid, &[a, b, height]) => measure::trapezoid(a, b, height),
                (Figure::Circle, &[radius]) => measure::circle(radius),
                (Figure::Ellipse, &[long, short]) => measure::ellipse(long, short),
                _ => return Err(at(wrong())),
            }
        }
    };
    area.map(|area| (figure.word().to_owned(), figure.formula().to_owned(), area)).map_err(at)
}

const fn option(figure: Figure) -> &'static str {
    match figure {
        Figure::Rectangle => "rectangle",
        Figure::Triangle => "triangle",
        Figure::TriangleBySides => "sides",
        Figure::Trapezoid => "trapezoid",
        Figure::Circle => "circle",
        Figure::Ellipse => "ellipse",
        Figure::Offsets => "offsets",
        Figure::Radii => "radii",
    }
}

/// The parts of a list: between semicolons, or else between commas. A comma with a digit on either
/// side is refused in a list without semicolons: `1,200` may be one length or two, and so may `20,5`.
fn listed(text: &str) -> Result<Vec<&str>, Problem> {
    if text.contains(';') {
        return Ok(text.split(';').collect());
    }
    let between_digits = |at: usize| {
        let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
        digit(text[..at].chars().next_back()) && digit(text[at + 1..].chars().next())
    };
    if !text.match_indices(',').any(|(at, _)| between_digits(at)) {
        return Ok(text.split(',').collect());
    }
    Err(Problem::error(
        "measure::list",
        format!("a comma between figures in `{text}` may part two lengths or belong to one"),
    )
    .expected("a list such as `20, 24, 30 ft` or `20,5; 24; 30,2 m`")
    .mend("put a blank after a comma that parts, write 1200 ft for 1,200 ft, or part the list with `;`"))
}

/// The parts between signs of multiplication, `x` or `×`.
fn by_times(text: &str) -> Vec<&str> {
    text.split(['x', 'X', '\u{d7}']).collect()
}

/// Lengths that are written with their unit, or take it from the last of the list.
fn lengths(parts: &[&str]) -> Result<Vec<Length>, Problems> {
    let unit = parts.last().map_or("", |last| last.trim_start_matches(|c: char| !c.is_alphabetic())).trim();
    let mut problems = Problems::new();
    let mut lengths = Vec::new();
    for part in parts {
        let part = part.trim();
        let has_unit = part.contains(|c: char| c.is_alphabetic() || c == '\'' || c == '"');
        let whole = if has_unit || part.is_empty() { part.to_owned() } else { format!("{part} {unit}") };
        match parse_length(&whole) {
            Ok((length, _)) => lengths.push(length),
            Err(error) => problems.push(error.into_problem("measure::length")),
        }
    }
    if problems.is_empty() { Ok(lengths) } else { Err(problems) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::AreaUnit;

    fn square_feet(figure: Figure, text: &str) -> f64 {
        area_of(figure, text).unwrap_or_else(|problems| panic!("{problems}")).2.to(AreaUnit::SquareFoot)
    }

    #[track_caller]
    fn close(found: f64, expected: f64) {
        assert!((found / expected - 1.0).abs() < 1e-12, "found {found}, expected {expected}");
    }

    #[test]
    fn figures_are_read_as_people_write_them() {
        close(square_feet(Figure::Rectangle, "60 ft x 25 ft"), 1500.0);
        close(square_feet(Figure::Rectangle, "60x25 ft"), 1500.0);
        close(square_feet(Figure::Rectangle, "60 ft \u{d7} 25 ft"), 1500.0);
        close(square_feet(Figure::Triangle, "30 ft x 20 ft"), 300.0);
        close(square_feet(Figure::TriangleBySides, "30 x 40 x 50 ft"), 600.0);
        close(square_feet(Figure::Trapezoid, "20 ft x 30 ft x 10 ft"), 250.0);
        close(square_feet(Figure::Circle, "12 ft"), std::f64::consts::PI * 144.0);
        // Each part keeps the unit that it states.
        close(square_feet(Figure::Rectangle, "10 yd x 10 ft"), 300.0);
    }

    /// The worked case of the trade: offsets 20, 24, 30, 26, 18 ft at 10 ft make 1,180 sq ft
    /// (10 x 118, by hand).
    #[test]
    fn offsets_at_an_even_spacing() {
        close(square_feet(Figure::Offsets, "20, 24, 30, 26, 18 ft at 10 ft"), 1180.0);
        close(square_feet(Figure::Offsets, "20; 24;30; 26; 18 ft at 10 ft"), 1180.0);
        close(square_feet(Figure::Offsets, "20 ft,24 ft,30 ft,26 ft,18 ft at 10 ft"), 1180.0);
        close(square_feet(Figure::Offsets, "1200 ft, 800 ft at 10 ft"), 20_000.0);
        close(square_feet(Figure::Offsets, "1,200 ft; 800 ft at 10 ft"), 20_000.0);
        let metric = area_of(Figure::Offsets, "20,5 m; 24 m at 10 m").unwrap().2;
        close(metric.to(AreaUnit::SquareMetre), 445.0);
    }

    #[test]
    fn a_comma_that_may_mean_two_things_is_refused() {
        for (figure, text) in [
            (Figure::Offsets, "1,200 ft, 800 ft at 10 ft"),
            (Figure::Offsets, "20,5 m, 24 m at 10 m"),
            (Figure::Offsets, "1,200 ft at 10 ft"),
            (Figure::Offsets, "20,5,24,5 m at 10 m"),
            (Figure::Radii, "20,22,25,24,21,19,18,19 ft"),
            (Figure::Radii, "1,200, 1,210, 1,190, 1,200, 1,205, 1,200, 1,195, 1,200 ft"),
        ] {
            let problems = area_of(figure, text).expect_err(text);
            assert_eq!(problems.iter().next().map(|problem| problem.code), Some("measure::list"), "{text}");
        }
    }

    #[test]
    fn what_is_no_figure_is_told() {
        for (figure, text, code) in [
            (Figure::Rectangle, "60 ft", "measure::figure"),
            (Figure::Rectangle, "60 x 25", "measure::length"),
            (Figure::Rectangle, "60 ft x 25 gal", "measure::length"),
            (Figure::Offsets, "20, 24 ft", "measure::figure"),
            (Figure::Circle, "0 ft", "geometry::measure-length"),
            (Figure::TriangleBySides, "1 x 2 x 30 ft", "geometry::measure-triangle"),
        ] {
            let problems = area_of(figure, text).expect_err(text);
            assert_eq!(problems.iter().next().map(|problem| problem.code), Some(code), "{text}: {problems}");
        }
    }
}
