//! `tussock measure`: areas, perimeters and distances of a map, or areas from paper.

mod paper;

use crate::care::examples_and_care;
use crate::console::{complain, remark, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use crate::writing::write_file;
use clap::Args;
use exchange::geojson_map::parse_property;
use exchange::map_repair::repaired_map;
use exchange::measure_json::{write_measures, write_paper_measures};
use paper::Figure;
use problem::{Problem, Problems};
use property::{FeatureDistance, Property};
use quantity::{Area, AreaUnit, Length, LengthUnit};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Measure a mapped property, or figures written on paper
///
/// Of a map (GeoJSON): areas, perimeters and distances, and everything wrong with it at once. Of
/// paper: lengths with their unit; the last unit counts for those without. Figures given together
/// are added up, so they must not overlap.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock measure demo/alder-bend/property.geojson",
    "tussock measure broken.geojson --repaired mended.geojson",
    "tussock measure --rectangle \"60 ft x 25 ft\" --triangle \"30 ft x 20 ft\"",
    "tussock measure --offsets \"20, 24, 30, 26, 18 ft at 10 ft\"",
))]
pub(crate) struct MeasureArgs {
    /// A map (GeoJSON)
    #[arg(required_unless_present = "figures")]
    property: Option<PathBuf>,
    /// Write a copy of the map with the faults mended that can be mended in one way only
    #[arg(long, value_name = "FILE", requires = "property")]
    repaired: Option<PathBuf>,
    /// Tell the distance of every pair of features, not only the shortest
    #[arg(long, requires = "property")]
    distances: bool,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    figures: Figures,
}

#[derive(Debug, Args)]
#[group(id = "figures", multiple = true, conflicts_with = "property")]
struct Figures {
    /// Length x width
    #[arg(long, value_name = "L x W", help_heading = "From paper")]
    rectangle: Vec<String>,
    /// Base x height
    #[arg(long, value_name = "B x H", help_heading = "From paper")]
    triangle: Vec<String>,
    /// Three sides of a triangle
    #[arg(long, value_name = "A x B x C", help_heading = "From paper")]
    sides: Vec<String>,
    /// Two parallel sides x their distance
    #[arg(long, value_name = "A x B x H", help_heading = "From paper")]
    trapezoid: Vec<String>,
    /// Radius
    #[arg(long, value_name = "R", help_heading = "From paper")]
    circle: Vec<String>,
    /// Long x short diameter
    #[arg(long, value_name = "D x D", help_heading = "From paper")]
    ellipse: Vec<String>,
    /// Widths square to a base line, at an even spacing
    #[arg(long, value_name = "W, W, ... at S", help_heading = "From paper")]
    offsets: Vec<String>,
    /// Eight or more distances from a middle to the edge, at even angles
    #[arg(long, value_name = "R, R, ...", help_heading = "From paper")]
    radii: Vec<String>,
}

impl Figures {
    fn all(&self) -> impl Iterator<Item = (Figure, &str)> {
        let lists = [
            (Figure::Rectangle, &self.rectangle),
            (Figure::Triangle, &self.triangle),
            (Figure::TriangleBySides, &self.sides),
            (Figure::Trapezoid, &self.trapezoid),
            (Figure::Circle, &self.circle),
            (Figure::Ellipse, &self.ellipse),
            (Figure::Offsets, &self.offsets),
            (Figure::Radii, &self.radii),
        ];
        lists.into_iter().flat_map(|(figure, texts)| texts.iter().map(move |text| (figure, text.as_str())))
    }
}

impl MeasureArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &MeasureArgs) -> CommandResult {
    match &args.property {
        Some(path) => map(path, args),
        None => from_paper(args),
    }
}

fn map(path: &Path, args: &MeasureArgs) -> CommandResult {
    let file = path.display().to_string();
    let text = read_text(path, "a map (GeoJSON)")?;
    if let Some(copy) = &args.repaired {
        let same = |a: &Path, b: &Path| matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b);
        if same(path, copy) {
            return Err(Problem::error("measure::same-file", format!("`{file}` would be written over"))
                .expected("another name for the mended copy")
                .mend("name another file with --repaired")
                .into());
        }
        let (mended, changes) = repaired_map(&file, &text)?;
        for change in &changes {
            remark(&format!("mended {}: {}", change.feature, change.what));
        }
        if changes.is_empty() {
            remark("nothing could be mended in one way only; no copy is written");
        } else {
            write_file(copy, mended.as_bytes())?;
            remark(&format!("written {}", copy.display()));
        }
    }
    let (property, warnings) = parse_property(&file, &text)?;
    complain(&warnings);
    say(&if args.json { write_measures(&property, &warnings) } else { words(&property, args.distances) });
    Ok(Outcome::Done)
}

fn from_paper(args: &MeasureArgs) -> CommandResult {
    let mut problems = Problems::new();
    let mut figures = Vec::new();
    for (figure, text) in args.figures.all() {
        match paper::area_of(figure, text) {
            Ok(area) => figures.push(area),
            Err(found) => problems.extend(found),
        }
    }
    if figures.is_empty() && problems.is_empty() {
        return Err(Problem::error("measure::nothing", "there is nothing to measure")
            .expected("a map or a figure")
            .into());
    }
    if problems.has_errors() {
        return Err(problems.into());
    }
    if args.json {
        say(&write_paper_measures(&figures));
        return Ok(Outcome::Done);
    }
    let mut out = String::new();
    for (name, formula, area) in &figures {
        let _ = writeln!(out, "{name:<22}  {}  ({formula})", areas(*area));
    }
    if figures.len() > 1 {
        let _ = writeln!(out, "{:<22}  {}", "in all", areas(figures.iter().map(|(_, _, area)| *area).sum()));
    }
    say(&out);
    Ok(Outcome::Done)
}

/// How many distances are told unasked.
const SHORTEST: usize = 12;

fn words(property: &Property, every_distance: bool) -> String {
    let mut out = String::new();
    let boundary = property.boundary();
    let _ = writeln!(out, "{}", property.name());
    let _ = writeln!(out, "  property    {}, boundary {}", areas(boundary.area()), lengths(boundary.perimeter()));
    let drawn = if property.lawn_is_drawn() { "as drawn" } else { "what is left of the property" };
    let _ = writeln!(out, "  lawn        {} ({drawn})", areas(property.lawn().area()));
    let width = property.features().iter().map(|feature| feature.id().chars().count()).max().unwrap_or(0);
    out.push_str("\nFeatures\n");
    for feature in property.features() {
        let size = if feature.area().is_positive() {
            format!("{}, edge {}", areas(feature.area()), lengths(feature.perimeter()))
        } else if feature.length().is_positive() {
            lengths(feature.length())
        } else {
            "a point".to_owned()
        };
        let _ = writeln!(out, "  {:width$}  {:<12}  {size}", feature.id(), feature.kind().word());
    }
    let mut distances = property.distances();
    distances.retain(|distance| every_distance || distance.distance > Length::new(1.0, LengthUnit::Millimetre));
    if !every_distance {
        let metres = |distance: &FeatureDistance| distance.distance.to(LengthUnit::Metre);
        distances.sort_by(|a, b| metres(a).total_cmp(&metres(b)));
        distances.truncate(SHORTEST);
    }
    if !distances.is_empty() {
        out.push_str(if every_distance { "\nDistances\n" } else { "\nShortest distances\n" });
        for FeatureDistance { from, to, distance, .. } in &distances {
            // A map in nine decimals of a degree is good to a tenth of a millimetre.
            let touch = *distance < Length::new(1.0, LengthUnit::Millimetre);
            let shown = if touch { "touching".to_owned() } else { lengths(*distance) };
            let _ = writeln!(out, "  {from} to {to}: {shown}");
        }
    }
    out
}

fn areas(area: Area) -> String {
    let acres = area.to(AreaUnit::Acre);
    let feet = area.show_digits(AreaUnit::SquareFoot, 4);
    let metres = area.show_digits(AreaUnit::SquareMetre, 4);
    if acres < 0.1 {
        format!("{feet} ({metres})")
    } else {
        format!("{feet} ({metres}, {})", area.show_digits(AreaUnit::Acre, 4))
    }
}

fn lengths(length: Length) -> String {
    format!("{} ({})", length.show_digits(LengthUnit::Foot, 4), length.show_digits(LengthUnit::Metre, 4))
}
