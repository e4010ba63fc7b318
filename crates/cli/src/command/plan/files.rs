//! The files of a planned visit.

use super::Look;
use crate::writing::OutFolder;
use exchange::calendar::write_calendar;
use exchange::visit_json::write_visit;
use exchange::zones_geojson::{ZoneLayers, write_zones};
use problem::Problems;
use sheet::{HoursOptions, MapOptions, hours_svg, svg_map, work_sheet_pdf};
use std::fmt::Write;
use std::path::Path;
use treatment::Visit;

/// Writes every file of a visit into a folder. All are made before the first is written, and what an
/// earlier run left under the name of one that is not made now is taken away before.
///
/// # Errors
/// A file that cannot be written, or a sheet that cannot be set.
pub(crate) fn write_files(visit: &Visit, folder: &Path, look: Look) -> Result<OutFolder, Problems> {
    let (colour, units) = (!look.black_and_white, look.units());
    let sheet = || work_sheet_pdf(visit, &look.options());
    let pdf = look.has_pdf().then(sheet).transpose()?;
    let map = svg_map(visit, MapOptions { colour, units, ..MapOptions::default() });
    let hours = hours_svg(visit, HoursOptions { colour, units, ..HoursOptions::default() });
    let files = [
        ("work-sheet.pdf", "the work sheet, for the clipboard", pdf),
        ("map.svg", "the map", Some(map.into_bytes())),
        ("hours.svg", "the hours of the forecast, judged", Some(hours.into_bytes())),
        ("visit.json", "the visit as data", Some(write_visit(visit).into_bytes())),
        ("zones.geojson", "the zones, for any map program", Some(write_zones(visit, ZoneLayers::Zones).into_bytes())),
        ("calendar.ics", "the times, for any calendar", write_calendar(visit).map(String::into_bytes)),
    ];
    let mut out = OutFolder::new(folder);
    for (name, _, _) in files.iter().filter(|(_, _, bytes)| bytes.is_none()) {
        out.without(name)?;
    }
    for (name, what, bytes) in files {
        if let Some(bytes) = bytes {
            out.write(name, what, &bytes)?;
        }
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
