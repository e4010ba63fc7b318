//! `tussock demo`: the invented demo property, which the command carries along.

use super::plan::{Look, planned, summary, write_files};
use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use clap::Args;
use std::path::PathBuf;

/// Plan the invented demo property, and say where to look
///
/// Nothing is read: the map, the labels, the sprayer, the forecast and the history of the demo come
/// with the command.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!("tussock demo", "tussock demo --out /tmp/demo --no-pdf"))]
pub(crate) struct DemoArgs {
    /// The folder to write to
    #[arg(long, value_name = "DIR", default_value = "out/demo")]
    out: PathBuf,
    /// Print visit.json on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    look: Look,
}

/// The request, and the files that it names, under those names.
const REQUEST: (&str, &str) = ("demo/alder-bend/visit.toml", include_str!("../../../../demo/alder-bend/visit.toml"));
const NAMED: &[(&str, &str)] = &[
    ("property.geojson", include_str!("../../../../demo/alder-bend/property.geojson")),
    ("equipment.toml", include_str!("../../../../demo/alder-bend/equipment.toml")),
    ("forecast.csv", include_str!("../../../../demo/alder-bend/forecast.csv")),
    ("history.toml", include_str!("../../../../demo/alder-bend/history.toml")),
    ("../labels/brackwater-sc.toml", include_str!("../../../../demo/labels/brackwater-sc.toml")),
    ("../labels/gravelhome-gr.toml", include_str!("../../../../demo/labels/gravelhome-gr.toml")),
    ("../labels/anthollow-rb.toml", include_str!("../../../../demo/labels/anthollow-rb.toml")),
];

impl DemoArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &DemoArgs) -> CommandResult {
    let (file, text) = REQUEST;
    let (visit, warnings) = planned(file, text, &mut |name| {
        let found = NAMED.iter().find(|(known, _)| *known == name);
        found.map(|(_, text)| (*text).to_owned()).ok_or_else(|| "it does not come with the demo".to_owned())
    })?;
    complain(&warnings);
    let written = write_files(&visit, &args.out, args.look)?;
    if args.json {
        say(&exchange::visit_json::write_visit(&visit));
    } else {
        say(&summary(&visit, args.look));
        say(&super::plan::listed(&written));
        say(&look_at(&args.out, args.look));
    }
    Ok(Outcome::from(visit.verdict()))
}

fn look_at(out: &std::path::Path, look: Look) -> String {
    let first = if look.has_pdf() { "work-sheet.pdf" } else { "map.svg" };
    format!("\nLook at {} first. The property and its products are invented.\n", out.join(first).display())
}
