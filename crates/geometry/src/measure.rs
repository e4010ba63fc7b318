//! Areas from figures on paper: tape, wheel or paces.
//!
//! Every length must be above 0 and under 5,000 ft: longer sides are no lot and most often a slip
//! of the unit (common practice, no source). All figures that break the rule are named at once.

use crate::{Point, Region, validity};
use problem::{Problem, Problems};
use quantity::{Area, Length, LengthUnit};
use std::f64::consts::PI;

const LONGEST_FT: f64 = 5_000.0;

/// Length times width.
///
/// # Errors
/// `geometry::measure-length` for a length out of bounds.
pub fn rectangle(length: Length, width: Length) -> Result<Area, Problems> {
    checked(&[("length", length), ("width", width)])?;
    Ok(length * width)
}

/// Half of base times height.
///
/// # Errors
/// `geometry::measure-length` for a length out of bounds.
pub fn triangle(base: Length, height: Length) -> Result<Area, Problems> {
    checked(&[("base", base), ("height", height)])?;
    Ok(base * height * 0.5)
}

/// A triangle of which only the sides could be measured.
///
/// # Errors
/// `geometry::measure-length` for a length out of bounds; `geometry::measure-triangle` when the
/// longest side is not shorter than the two others together.
///
/// # Source
/// Heron's formula in the order of terms that stays exact for needles: Kahan, "Miscalculating area
/// and angles of a needle-like triangle" (2014), section 2.
pub fn triangle_by_sides(a: Length, b: Length, c: Length) -> Result<Area, Problems> {
    checked(&[("first side", a), ("second side", b), ("third side", c)])?;
    let mut sides = [a.to(LengthUnit::Metre), b.to(LengthUnit::Metre), c.to(LengthUnit::Metre)];
    sides.sort_by(|x, y| y.total_cmp(x));
    let [a, b, c] = sides;
    if c - (a - b) <= 0.0 {
        let found = format!("sides `{}`, `{}` and `{}` close no triangle", feet(a), feet(b), feet(c));
        return Err(Problem::error("geometry::measure-triangle", found)
            .expected("a longest side shorter than the two others together")
            .mend("measure the sides again")
            .into());
    }
    let product = (a + (b + c)) * (c - (a - b)) * (c + (a - b)) * (a + (b - c));
    Ok(Area::new(product.sqrt() / 4.0, quantity::AreaUnit::SquareMetre))
}

/// Half the sum of the two parallel sides, times their distance.
///
/// # Errors
/// `geometry::measure-length` for a length out of bounds.
pub fn trapezoid(side: Length, parallel_side: Length, height: Length) -> Result<Area, Problems> {
    checked(&[("first parallel side", side), ("second parallel side", parallel_side), ("height", height)])?;
    Ok((side + parallel_side) * height * 0.5)
}

/// Pi times the square of the radius.
///
/// # Errors
/// `geometry::measure-length` for a length out of bounds.
pub fn circle(radius: Length) -> Result<Area, Problems> {
    checked(&[("radius", radius)])?;
    Ok(radius * radius * PI)
}

/// Pi times the two half axes.
///
/// # Errors
/// `geometry::measure-length` for a length out of bounds.
pub fn ellipse(long_diameter: Length, short_diameter: Length) -> Result<Area, Problems> {
    checked(&[("long diameter", long_diameter), ("short diameter", short_diameter)])?;
    Ok(long_diameter * short_diameter * (PI / 4.0))
}

/// The offset method: widths taken square to a base line at an even spacing; spacing times their sum.
/// Each width stands for the strip round it, so the first and the last lie half a spacing from the ends.
///
/// # Errors
/// `geometry::measure-length` for a length out of bounds; `geometry::measure-count` without a width.
///
/// # Source
/// LSU AgCenter, turfgrass measuring guide: area is the sum of the offsets times their spacing.
pub fn by_offsets(offsets: &[Length], spacing: Length) -> Result<Area, Problems> {
    let names: Vec<String> = (1..=offsets.len()).map(|number| format!("offset {number}")).collect();
    let mut figures: Vec<(&str, Length)> = names.iter().map(String::as_str).zip(offsets.iter().copied()).collect();
    figures.push(("spacing", spacing));
    let mut problems = counted("offsets", offsets.len(), 1);
    problems.extend(checked(&figures).err().unwrap_or_default());
    if problems.has_errors() {
        return Err(problems);
    }
    Ok(offsets.iter().copied().sum::<Length>() * spacing)
}

/// The radius method: distances from a middle to the edge at even angles; pi times the mean of their
/// squares. The square of the mean, which worksheets often use, understates every shape but the circle.
///
/// # Errors
/// `geometry::measure-length` for a length out of bounds; `geometry::measure-count` with fewer than 8
/// radii, which tell too little of a shape (common practice, no source).
pub fn by_radii(radii: &[Length]) -> Result<Area, Problems> {
    let names: Vec<String> = (1..=radii.len()).map(|number| format!("radius {number}")).collect();
    let figures: Vec<(&str, Length)> = names.iter().map(String::as_str).zip(radii.iter().copied()).collect();
    let mut problems = counted("radii", radii.len(), 8);
    problems.extend(checked(&figures).err().unwrap_or_default());
    if problems.has_errors() {
        return Err(problems);
    }
    let squares: Area = radii.iter().map(|radius| *radius * *radius).sum();
    Ok(squares * (PI / radii.len() as f64))
}

/// A polygon by the coordinates of its corners, in walking order; it closes itself.
///
/// # Errors
/// `geometry::measure-outline` for every fault of the outline, `geometry::measure-length` when it is
/// 5,000 ft long or more.
pub fn polygon(corners: &[Point]) -> Result<Area, Problems> {
    let faults = validity::polygon_faults(corners, &[]);
    let mut problems: Problems = faults
        .into_iter()
        .map(|fault| {
            let place = fault
                .place()
                .map_or_else(String::new, |at| format!(" at `{}` east, `{}` north", feet(at.x), feet(at.y)));
            Problem::error("geometry::measure-outline", format!("{fault}{place}"))
                .expected("corners in walking order round one piece of ground")
                .mend("check the order and the figures of the corners")
        })
        .collect();
    if let Some(bounds) = crate::Bounds::around(corners.iter().copied()) {
        let figures = [("length from west to east", bounds.width()), ("length from south to north", bounds.height())];
        let long = figures.into_iter().filter(|(_, length)| length.to(LengthUnit::Foot) >= LONGEST_FT);
        problems.extend(long.map(|(name, length)| refusal(name, length)));
    }
    if problems.has_errors() {
        return Err(problems);
    }
    Region::from_ring(corners)
        .map(|region| region.area())
        .map_err(|fault| Problem::error("geometry::measure-outline", fault.to_string()).into())
}

fn checked(figures: &[(&str, Length)]) -> Result<(), Problems> {
    let problems: Problems = figures
        .iter()
        .filter(|(_, length)| !length.is_positive() || length.to(LengthUnit::Foot) >= LONGEST_FT)
        .map(|(name, length)| refusal(name, *length))
        .collect();
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}

fn refusal(name: &str, length: Length) -> Problem {
    Problem::error(
        "geometry::measure-length",
        format!("{name} `{}` is out of bounds", feet(length.to(LengthUnit::Metre))),
    )
    .expected("above 0 ft and under 5,000 ft (1,524 m)")
    .mend("measure again, and check the unit")
}

fn counted(what: &str, found: usize, needed: usize) -> Problems {
    if found >= needed {
        return Problems::new();
    }
    Problem::error("geometry::measure-count", format!("`{found}` {what}"))
        .expected(format!("at least {needed}"))
        .mend("take more measurements")
        .into()
}

fn feet(metres: f64) -> String {
    let length = Length::new(metres, LengthUnit::Metre);
    format!("{:.2} ft ({metres:.2} m)", length.to(LengthUnit::Foot))
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::AreaUnit;

    fn ft(value: f64) -> Length {
        Length::new(value, LengthUnit::Foot)
    }

    #[test]
    fn every_figure_out_of_bounds_is_named() {
        let problems = trapezoid(ft(0.0), ft(-3.0), ft(5_000.0)).unwrap_err();
        let found: Vec<_> = problems.iter().map(|problem| problem.found.split(" `").next().unwrap()).collect();
        assert_eq!(found, ["first parallel side", "second parallel side", "height"]);
        assert!(rectangle(ft(4_999.9), ft(0.1)).is_ok());
        assert_eq!(by_offsets(&[], ft(0.0)).unwrap_err().len(), 2);
        assert_eq!(by_radii(&[ft(1.0); 7]).unwrap_err().len(), 1);
    }

    #[test]
    fn sides_must_close_a_triangle() {
        let area = triangle_by_sides(ft(3.0), ft(4.0), ft(5.0)).unwrap();
        assert!((area.to(AreaUnit::SquareFoot) - 6.0).abs() < 1e-12);
        assert_eq!(
            triangle_by_sides(ft(1.0), ft(2.0), ft(3.0)).unwrap_err().iter().next().unwrap().code,
            "geometry::measure-triangle"
        );
    }

    #[test]
    fn a_crossing_outline_is_refused_with_its_place() {
        let corners: Vec<Point> =
            [(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)].map(|(x, y)| Point::new(ft(x), ft(y))).into();
        let problems = polygon(&corners).unwrap_err();
        assert_eq!(problems.len(), 1);
        assert!(problems.iter().next().unwrap().found.contains("5.00 ft (1.52 m)"), "{problems}");
    }
}
