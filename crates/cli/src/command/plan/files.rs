//! The files of a planned visit.

use super::Look;
use crate::writing::OutFolder;
use exchange::calendar::write_calendar;
use exchange::visit_json::write_visit;
use exchange::zones_geojson::{ZoneLayers, write_zones};
use problem::Problems;
use sheet::{HoursOptions, MapOptions, WorkSheetOptions, hours_svg, svg_map, work_sheet_pdf};
use std::fmt::Write;
use std::path::Path;
use treatment::Visit;

/// Writes every file of a visit into a folder.
///
/// # Errors
/// A file that cannot be written, or a sheet that cannot be set.
pub(crate) fn write_files(visit: &Visit, folder: &Path, look: Look) -> Result<OutFolder, Problems> {
    let mut out = OutFolder::new(folder);
    let (colour, units) = (!look.black_and_white, look.units());
    if look.no_pdf {
        out.without("work-sheet.pdf")?;
    } else {
        let options =
            WorkSheetOptions { paper: look.paper(), units, black_and_white: look.black_and_white, fonts: Vec::new() };
        let pdf = work_sheet_pdf(visit, &options)?;
        out.write("work-sheet.pdf", "the work sheet, for the clipboard", &pdf)?;
    }
    let map = svg_map(visit, MapOptions { colour, units, ..MapOptions::default() });
    out.write("map.svg", "the map", map.as_bytes())?;
    let hours = hours_svg(visit, HoursOptions { colour, units, ..HoursOptions::default() });
    out.write("hours.svg", "the hours of the forecast, judged", hours.as_bytes())?;
    out.write("visit.json", "the visit as data", write_visit(visit).as_bytes())?;
    let zones = write_zones(visit, ZoneLayers::Zones);
    out.write("zones.geojson", "the zones, for any map program", zones.as_bytes())?;
    match write_calendar(visit) {
        Some(calendar) => out.write("calendar.ics", "the times, for any calendar", calendar.as_bytes())?,
        None => out.without("calendar.ics")?,
    }
    Ok(out)
}

/// The files that were written, one a line.
pub(crate) fn listed(out: &OutFolder) -> String {
    let mut text = String::from("\nWritten\n");
    let width = out.written().iter().map(|(path, _)| path.display().to_string().chars().count()).max().unwrap_or(0);
    for (path, what) in out.written() {
        let _ = writeln!(text, "  {:width$}  {what}", path.display().to_string());
    }
    text
}
