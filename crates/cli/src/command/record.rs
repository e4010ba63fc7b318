//! `tussock record`: what was done, kept in the books, and what the books tell of it.

mod amend;
mod keep;
mod leftover;
mod look;
mod place;
mod sheet;
mod show;
mod whole;

use super::desk::{BooksArgs, BooksPlace};
use super::plan::{Look, PaperWord};
use crate::care::examples_and_care;
use crate::outcome::CommandResult;
use clap::{Args, Subcommand};
use exchange::kept::JurisdictionText;
use geometry::GeoPosition;
use jiff::Timestamp;
use jiff::civil::Date;
use problem::Problem;
use quantity::{Length, Volume};
use std::path::PathBuf;

/// Keep the record of a visit, and ask the books what was done
///
/// With a visit request: plans it with what the books know, takes in what differed (--actual), tells the
/// checks of the tanks, what was against a label, the stock, who may do such work, and whether the record
/// is complete, and keeps it. A record of what was done is kept also when something of it was wrong. The
/// same visit recorded again keeps nothing twice; what changes later is an amendment.
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    arg_required_else_help = true,
    after_long_help = examples_and_care!(
        "tussock record demo/alder-bend/visit.toml --books lawns.db --by \"J. Example\"",
        "tussock record demo/alder-bend/visit.toml --actual as-applied.toml --books lawns.db",
        "tussock record \"books:visit/Alder Bend\" --actual as-applied.toml --books lawns.db",
        "tussock record list --books lawns.db",
    )
)]
pub(crate) struct RecordArgs {
    #[command(subcommand)]
    what: Option<What>,
    /// The visit request (TOML) that was carried out, or `books:visit/` and the name of a kept visit
    #[arg(required = true)]
    visit: Option<PathBuf>,
    /// What differed from the plan (TOML)
    #[arg(long, value_name = "FILE")]
    actual: Option<PathBuf>,
    #[command(flatten)]
    common: Common,
}

/// What stands beside every command on records.
#[derive(Debug, Clone, Args)]
pub(crate) struct Common {
    #[command(flatten)]
    pub(crate) books: BooksArgs,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, Subcommand)]
enum What {
    /// List records, and whether each is complete
    #[command(after_long_help = examples_and_care!("tussock record list --books lawns.db"))]
    List {
        /// The day on which it is asked what is overdue [default: today, by universal time]
        #[arg(long, value_name = "DATE")]
        on: Option<Date>,
        #[command(flatten)]
        common: Common,
    },
    /// Print all that one record holds, and its standing; with --json the document that is kept
    ///
    /// Products with their numbers, lots and label versions, places, areas, amounts tank by tank, people and
    /// certificates, weather, notices, leftovers, what was against a label, what is lacking, every version with its
    /// reason. --pdf writes the same as a paper for an inspector, with the hash of the entry on every page.
    #[command(after_long_help = examples_and_care!(
        "tussock record show \"Alder Bend\" --books lawns.db",
        "tussock record show \"Alder Bend\" --pdf record.pdf --books lawns.db",
    ))]
    Show {
        /// Its name, or its identifier
        record: String,
        /// A version of it, from 1 [default: the newest]
        #[arg(long)]
        version: Option<u64>,
        /// Where it lies, such as US-KS [default: as the kept property says]
        #[arg(long, value_parser = jurisdiction)]
        place: Option<JurisdictionText>,
        /// The day on which it is asked what is overdue [default: today, by universal time]
        #[arg(long, value_name = "DATE")]
        on: Option<Date>,
        /// Write the record as a PDF
        #[arg(long, value_name = "FILE")]
        pdf: Option<PathBuf>,
        /// The size of the paper
        #[arg(long, value_enum, default_value_t = PaperWord::Letter)]
        paper: PaperWord,
        #[command(flatten)]
        common: Common,
    },
    /// Keep a new version of a record, with the reason; the earlier ones stay
    #[command(after_long_help = examples_and_care!(
        "tussock record amend \"Alder Bend\" --actual as-applied.toml --reason \"wind written down\" --books lawns.db",
    ))]
    Amend {
        /// Its name, or its identifier
        record: String,
        /// What differed (TOML), applied to the newest version
        #[arg(long, value_name = "FILE")]
        #[arg(required_unless_present_any = ["document", "judge_anew"], conflicts_with = "document")]
        actual: Option<PathBuf>,
        /// The whole record as it is to be (JSON), as `show --json` prints it
        #[arg(long, value_name = "FILE")]
        document: Option<PathBuf>,
        /// Change nothing that was done: judge it by the labels and records that the books keep now
        #[arg(long, conflicts_with_all = ["actual", "document"])]
        judge_anew: bool,
        /// Why it is amended
        #[arg(long)]
        reason: String,
        /// The clock of times without an offset, such as -05:00 [default: the record's]
        #[arg(long, value_name = "OFFSET", allow_hyphen_values = true)]
        clock: Option<String>,
        #[command(flatten)]
        common: Common,
    },
    /// Go over every entry: find any change, gap or reordering
    #[command(after_long_help = examples_and_care!("tussock record verify --books lawns.db"))]
    Verify {
        /// A head that an earlier verification printed, as SEQUENCE:HASH
        #[arg(long, value_name = "SEQUENCE:HASH")]
        noted: Option<String>,
        #[command(flatten)]
        common: Common,
    },
    /// Tell what lies on each place, or at one point, across products and years
    #[command(after_long_help = examples_and_care!(
        "tussock record totals --from 2026-01-01 --until 2026-12-31 --out totals.geojson --books lawns.db",
        "tussock record totals --at=-97.6195,38.8405 --books lawns.db",
    ))]
    Totals {
        /// One point: longitude,latitude
        #[arg(long, value_name = "LON,LAT", value_parser = position, allow_hyphen_values = true)]
        at: Option<GeoPosition>,
        /// The first day counted
        #[arg(long, value_name = "DATE", default_value = "0001-01-01")]
        from: Date,
        /// The last day counted
        #[arg(long, value_name = "DATE", default_value = "9999-12-31")]
        until: Date,
        /// Write the places as GeoJSON
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        #[command(flatten)]
        common: Common,
    },
    /// Who applied what near a place at that time, and with what wind: for a complaint
    #[command(after_long_help = examples_and_care!(
        "tussock record near --at=-97.6195,38.8405 --within \"300 ft\" --from 2026-07-07T06:00-05:00 \
         --until 2026-07-07T20:00-05:00 --books lawns.db",
    ))]
    Near {
        /// The place: longitude,latitude
        #[arg(long, value_name = "LON,LAT", value_parser = position, allow_hyphen_values = true)]
        at: GeoPosition,
        /// How far round it
        #[arg(long, value_parser = crate::argument::length)]
        within: Length,
        /// From when, with the offset of the clock
        #[arg(long, value_name = "TIME")]
        from: Timestamp,
        /// Until when, with the offset of the clock
        #[arg(long, value_name = "TIME")]
        until: Timestamp,
        #[command(flatten)]
        common: Common,
    },
    /// Tell which places of a visit may take what is left in the tank, before anything is kept
    ///
    /// Places of a site that the labels list, not treated today, where no rate, cap, number or interval is passed.
    /// The hours are not judged: who holds the sprayer sees wind and rain. Nothing is kept; where books are named,
    /// their past counts. The exit code is 3 when no place may take any of it.
    #[command(after_long_help = examples_and_care!(
        "tussock record leftover demo/alder-bend/visit.toml --left \"0.8 gal\"",
        "tussock record leftover demo/alder-bend/visit.toml --left \"0.3 gal\" --task hedge --rinsate \"0.1 gal\" \
         --next-mix \"2 gal\"",
    ))]
    Leftover {
        /// The visit request (TOML) that is carried out
        visit: PathBuf,
        /// The spray left in the tank
        #[arg(long, value_name = "VOLUME", value_parser = crate::argument::volume)]
        left: Volume,
        /// The task for which it was mixed [default: the last that is sprayed]
        #[arg(long, value_name = "ID")]
        task: Option<String>,
        /// What differed from the plan so far (TOML)
        #[arg(long, value_name = "FILE")]
        actual: Option<PathBuf>,
        /// The rinse water of the sprayer
        #[arg(long, value_name = "VOLUME", value_parser = crate::argument::volume)]
        rinsate: Option<Volume>,
        /// The next mix of the same product
        #[arg(long, value_name = "VOLUME", value_parser = crate::argument::volume, requires = "rinsate")]
        next_mix: Option<Volume>,
        #[command(flatten)]
        books: BooksPlace,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
    /// Make the sheet of what was applied, for those who live there
    ///
    /// Tells what was applied where, by whom and why, and until when people, pets and water are kept off, counted
    /// from the end of the work. Writes applied-sheet.pdf and applied.json.
    #[command(after_long_help = examples_and_care!(
        "tussock record sheet \"Alder Bend\" --business demo/business.toml --client demo/alder-bend/client.toml \
         --books lawns.db",
    ))]
    Sheet {
        /// Its name, or its identifier
        record: String,
        /// The business file (TOML)
        #[arg(long, value_name = "FILE")]
        business: PathBuf,
        /// The client file (TOML)
        #[arg(long, value_name = "FILE")]
        client: PathBuf,
        /// The folder to write to [default: out/ and the day and name of the record; with --json nothing is written]
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        #[command(flatten)]
        look: Look,
        #[command(flatten)]
        common: Common,
    },
    /// Give a record up; refused within its retention time
    #[command(after_long_help = examples_and_care!(
        "tussock record discard \"Alder Bend\" --reason \"past its time\" --books lawns.db",
    ))]
    Discard {
        /// Its name, or its identifier
        record: String,
        /// Why
        #[arg(long)]
        reason: String,
        /// Where it lies, such as US-KS [default: as the kept property says]
        #[arg(long, value_parser = jurisdiction)]
        place: Option<JurisdictionText>,
        #[command(flatten)]
        common: Common,
    },
    /// Write all that an account keeps into a new folder of open formats
    ///
    /// Sign-ins, the audit trail and what earlier requests asked for are not of the account's books: a backup holds them.
    #[command(after_long_help = examples_and_care!("tussock record export everything/ --books lawns.db"))]
    Export {
        /// The new folder
        folder: PathBuf,
        #[command(flatten)]
        common: Common,
    },
    /// Take in a folder that an export wrote: whole, or not at all
    ///
    /// It becomes an account of the books, called as it was where it came from. Where an account is called so already,
    /// --as gives it another name.
    #[command(after_long_help = examples_and_care!(
        "tussock record import everything/ --books other.db",
        "tussock record import everything/ --as \"north yard\" --books lawns.db",
    ))]
    Import {
        /// The folder
        folder: PathBuf,
        /// What the account is called in these books [default: as it was called]
        #[arg(long = "as", value_name = "NAME")]
        named: Option<String>,
        #[command(flatten)]
        common: Common,
    },
    /// Copy the books into one new file while they are in use
    #[command(after_long_help = examples_and_care!("tussock record backup lawns-2026-07-07.db --books lawns.db"))]
    Backup {
        /// The new file
        file: PathBuf,
        #[command(flatten)]
        common: Common,
    },
    /// Make books out of a backup; --books names where
    #[command(after_long_help = examples_and_care!("tussock record restore lawns-2026-07-07.db --books again.db"))]
    Restore {
        /// The backup
        file: PathBuf,
        #[command(flatten)]
        common: Common,
    },
}

fn jurisdiction(text: &str) -> Result<JurisdictionText, String> {
    JurisdictionText::parse(text).map_err(|problem| problem.found)
}

fn position(text: &str) -> Result<GeoPosition, String> {
    let expected = || "expected longitude,latitude in degrees, such as -97.6195,38.8405".to_owned();
    let (longitude, latitude) = text.split_once(',').ok_or_else(expected)?;
    let number = |text: &str| text.trim().parse::<f64>().map_err(|_| expected());
    GeoPosition::from_degrees(number(longitude)?, number(latitude)?).map_err(|fault| fault.to_string())
}

impl RecordArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        match &self.what {
            None => self.common.json,
            Some(What::Leftover { json, .. }) => *json,
            Some(
                What::List { common, .. }
                | What::Show { common, .. }
                | What::Amend { common, .. }
                | What::Verify { common, .. }
                | What::Totals { common, .. }
                | What::Near { common, .. }
                | What::Sheet { common, .. }
                | What::Discard { common, .. }
                | What::Export { common, .. }
                | What::Import { common, .. }
                | What::Backup { common, .. }
                | What::Restore { common, .. },
            ) => common.json,
        }
    }
}

/// Carries the command out.
pub(crate) fn run(args: &RecordArgs) -> CommandResult {
    match (&args.what, &args.visit) {
        (None, Some(visit)) => keep::run(visit, args.actual.as_deref(), &args.common),
        (None, None) => Err(Problem::error("record::no-visit", "there is nothing to record")
            .expected("a visit request, or one of the commands that `tussock record --help` lists")
            .into()),
        (Some(what), _) => match what {
            What::List { on, common } => look::list(*on, common),
            What::Show { record, version, place, on, pdf, paper, common } => {
                let (place, pdf, paper) = (place.as_ref(), pdf.as_deref(), *paper);
                show::run(record, &show::Asked { version: *version, place, on: *on, pdf, paper }, common)
            }
            What::Amend { record, actual, document, judge_anew: _, reason, clock, common } => {
                amend::run(record, actual.as_deref(), document.as_deref(), reason, clock.as_deref(), common)
            }
            What::Verify { noted, common } => whole::verify(noted.as_deref(), common),
            What::Totals { at, from, until, out, common } => look::totals(*at, (*from, *until), out.as_deref(), common),
            What::Near { at, within, from, until, common } => look::near(*at, *within, (*from, *until), common),
            What::Leftover { visit, left, task, actual, rinsate, next_mix, books, json } => {
                let asked =
                    leftover::Asked { left: *left, task: task.as_deref(), rinsate: *rinsate, next_mix: *next_mix };
                leftover::run(visit, actual.as_deref(), &asked, books, *json)
            }
            What::Sheet { record, business, client, out, look, common } => {
                sheet::run(record, (business, client), out.as_deref(), *look, common)
            }
            What::Discard { record, reason, place, common } => whole::discard(record, reason, place.as_ref(), common),
            What::Export { folder, common } => whole::export(folder, common),
            What::Import { folder, named, common } => whole::import(folder, named.as_deref(), common),
            What::Backup { file, common } => whole::backup(file, common),
            What::Restore { file, common } => whole::restore(file, common),
        },
    }
}
