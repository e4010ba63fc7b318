//! Sprayers and spreaders with their calibrations, as a TOML file.
//!
//! Each piece stands under `[[equipment]]`, each of its calibrations under
//! `[[equipment.calibration]]`. The fields are told in `docs/visit-request.md`.

use crate::quantity_field as quantity_of;
use crate::toml_source::{Field, Source, Table};
use problem::{Problem, Problems};
use quantity::{Duration, DurationUnit};
use sprayer::{
    Calibration, CalibrationRecord, Capacity, EquipmentKind, Pace, Pressure, PressureUnit, Runs, Sprayer,
    SprayerDetails, TimedRun,
};

/// The first line of the file.
pub const FORMAT: &str = "tussock.equipment/1";

/// Reads a file of equipment. `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// Everything wrong with the file, each with its line, column and field.
pub fn parse_equipment(file: &str, text: &str) -> Result<(Vec<Sprayer>, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return Err(source.into_problems());
    }
    let equipment = match root.required_as("equipment", "a list of sprayers and spreaders") {
        Some(list) => read_equipment(&list),
        None => Vec::new(),
    };
    root.finish();
    source.into_problems().unless_errors(equipment)
}

/// Reads one calibration that stands alone: the fields of `[[equipment.calibration]]` at the top of a text.
///
/// # Errors
/// Everything wrong with it, each with its line, column and field.
pub fn parse_calibration(file: &str, text: &str) -> Result<(Calibration, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let calibration = read_calibration(source.root());
    let problems = source.into_problems();
    match calibration {
        Some(calibration) => problems.unless_errors(calibration),
        None => Err(problems),
    }
}

/// The word of an equipment file for how a calibration was made.
pub(crate) fn method_word(runs: &Runs) -> &'static str {
    match runs {
        Runs::TestArea { .. } => Manner::TestArea,
        Runs::TimedCatch { .. } => Manner::TimedCatch,
        Runs::OneTwentyEighthAcre { .. } => Manner::OneTwentyEighthAcre,
        Runs::SpreaderCatch { .. } => Manner::SpreaderCatch,
        Runs::Stated { .. } => Manner::Stated,
    }
    .word()
}

/// Reads the entries of a list of equipment. Those that are wrong are reported and left out.
pub(crate) fn read_equipment(list: &Field<'_>) -> Vec<Sprayer> {
    let tables = list.tables();
    if tables.is_empty() && list.is_list() && list.items().is_empty() {
        list.report(Problem::error("equipment::none", "the list is empty").expected("one sprayer or spreader or more"));
    }
    let mut equipment: Vec<Sprayer> = Vec::new();
    for table in tables {
        let place = table.path_of("id");
        let Some(sprayer) = read_sprayer(table) else { continue };
        if equipment.iter().any(|before| before.id() == sprayer.id()) {
            list.report(
                Problem::error("equipment::id-twice", format!("`{}` names two pieces of equipment", sprayer.id()))
                    .expected("an `id` that no other has")
                    .mend("rename one of them")
                    .at(place),
            );
        }
        equipment.push(sprayer);
    }
    equipment
}

fn read_sprayer(table: Table<'_>) -> Option<Sprayer> {
    let id = table.required_as("id", "the short name by which tasks call it").and_then(|field| field.text());
    let kind =
        table.required("kind").and_then(|field| field.word(EquipmentKind::ALL, |kind: EquipmentKind| kind.word()));
    let capacity = read_capacity(&table, kind);
    let flow = table.optional("flow").map(|field| quantity_of::flow(&field));
    let nozzle = table.optional("nozzle").map(|field| field.text().map(str::to_owned));
    let pressure = table.optional("pressure").map(|field| field.parsed(parse_pressure));
    let pace = read_pace(&table);
    let time = |key| match table.optional(key) {
        Some(field) => quantity_of::duration(&field),
        None => Some(Duration::new(0.0, DurationUnit::Minute)),
    };
    let refill_time = time("refill_time");
    let set_up_time = time("set_up_time");
    let graduations: Option<Vec<_>> = match table.optional("graduations") {
        Some(field) => field.each(quantity_of::graduation),
        None => Some(Vec::new()),
    };
    let agitated = table.optional("agitated").map(|field| field.flag());
    let tables = table.tables("calibration");
    let stated = tables.len();
    let calibrations: Vec<Calibration> = tables.into_iter().filter_map(read_calibration).collect();
    let details = (|| {
        Some(SprayerDetails {
            id: id?.to_owned(),
            kind: kind?,
            capacity: capacity?,
            flow: flow.map_or(Some(None), |flow| flow.map(Some))?,
            nozzle: nozzle.map_or(Some(None), |nozzle| nozzle.map(Some))?,
            pressure: pressure.map_or(Some(None), |pressure| pressure.map(Some))?,
            pace: pace.ok()?,
            refill_time: refill_time?,
            set_up_time: set_up_time?,
            graduations: graduations?,
            agitated: agitated.flatten(),
            calibrations,
        })
    })();
    let complete = details.as_ref().is_some_and(|details| details.calibrations.len() == stated);
    let sprayer = details.and_then(|details| {
        Sprayer::new(details).map_err(|problems| report_all(&table, problems)).ok().filter(|_| complete)
    });
    table.finish();
    sprayer
}

/// Writes down what the sprayer room found, with the place of the table in the stead of its id.
fn report_all(table: &Table<'_>, problems: Problems) {
    for problem in problems {
        table.report(Problem { place: problem::Place::default(), ..problem });
    }
}

fn read_capacity(table: &Table<'_>, kind: Option<EquipmentKind>) -> Option<Capacity> {
    let tank = table.optional("tank");
    let hopper = table.optional("hopper");
    match (tank, hopper) {
        (Some(tank), None) if kind.is_some_and(EquipmentKind::is_spreader) => {
            tank.report(
                Problem::error("sprayer::capacity-kind", "a spreader has no tank")
                    .expected("a hopper by weight, such as `hopper = \"20 lb\"`"),
            );
            None
        }
        (None, Some(hopper)) if kind.is_some_and(|kind| !kind.is_spreader()) => {
            hopper.report(
                Problem::error("sprayer::capacity-kind", "a sprayer has no hopper")
                    .expected("a tank by volume, such as `tank = \"2 gal\"`"),
            );
            None
        }
        (Some(tank), None) => quantity_of::volume(&tank).map(Capacity::Tank),
        (None, Some(hopper)) => quantity_of::mass(&hopper).map(Capacity::Hopper),
        (Some(_), Some(hopper)) => {
            hopper.report(
                Problem::error("equipment::two-capacities", "both `tank` and `hopper` are given")
                    .expected("`tank` for a sprayer, `hopper` for a spreader")
                    .mend("delete one of the two"),
            );
            None
        }
        (None, None) => {
            let (word, example) = match kind {
                Some(kind) if kind.is_spreader() => ("hopper", "20 lb"),
                _ => ("tank", "2 gal"),
            };
            table.report(
                Problem::error("equipment::no-capacity", format!("`{word}` is missing"))
                    .expected(format!("what it holds when full, such as `{word} = \"{example}\"`")),
            );
            None
        }
    }
}

/// What was given cannot be used, and was reported.
struct Unread;

/// Speed and swath, which belong together.
fn read_pace(table: &Table<'_>) -> Result<Option<Pace>, Unread> {
    let speed = table.optional("walking_speed");
    let swath = table.optional("swath");
    match (speed, swath) {
        (None, None) => Ok(None),
        (Some(speed), Some(swath)) => {
            let speed = quantity_of::speed(&speed);
            let swath = quantity_of::length(&swath);
            match (speed, swath) {
                (Some(speed), Some(swath)) => Ok(Some(Pace { speed, swath })),
                _ => Err(Unread),
            }
        }
        (Some(one), None) | (None, Some(one)) => {
            let other = if one.path().ends_with("swath") { "walking_speed" } else { "swath" };
            one.report(
                Problem::error("equipment::half-pace", format!("`{other}` is missing beside it"))
                    .expected("`walking_speed` and `swath`, both or neither")
                    .mend(format!("add a line `{other} = …`")),
            );
            Err(Unread)
        }
    }
}

/// How a calibration was made, by the word in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Manner {
    TestArea,
    TimedCatch,
    OneTwentyEighthAcre,
    SpreaderCatch,
    Stated,
}

impl Manner {
    const ALL: &'static [Self] =
        &[Self::TestArea, Self::TimedCatch, Self::OneTwentyEighthAcre, Self::SpreaderCatch, Self::Stated];

    const fn word(self) -> &'static str {
        match self {
            Self::TestArea => "test-area",
            Self::TimedCatch => "timed-catch",
            Self::OneTwentyEighthAcre => "1/128-acre",
            Self::SpreaderCatch => "spreader-catch",
            Self::Stated => "stated",
        }
    }
}

fn read_calibration(table: Table<'_>) -> Option<Calibration> {
    let name = table.required_as("name", "what it is for, such as `lawn`").and_then(|field| field.text());
    let manner = table.required("method").and_then(|field| field.word(Manner::ALL, |manner: Manner| manner.word()));
    let text = |key| table.optional(key).map(|field| field.text().map(str::to_owned));
    let (person, nozzle) = (text("person"), text("nozzle"));
    let date = table.optional("date").map(|field| field.date());
    let pressure = table.optional("pressure").map(|field| field.parsed(parse_pressure));
    let runs = manner.and_then(|manner| read_runs(&table, manner));
    if manner.is_none() {
        // Which of these belong is not known, so that none of them may count as unknown.
        for key in ["area", "refills", "course", "runs", "caught", "output", "found_by"] {
            table.know(key);
        }
    }
    let whole = person != Some(None) && nozzle != Some(None) && date != Some(None) && pressure != Some(None);
    let record = name.zip(runs).filter(|_| whole).map(|(name, runs)| CalibrationRecord {
        name: name.to_owned(),
        runs,
        person: person.flatten(),
        date: date.flatten(),
        nozzle: nozzle.flatten(),
        pressure: pressure.flatten(),
    });
    let calibration =
        record.and_then(|record| Calibration::new(record).map_err(|problems| report_all(&table, problems)).ok());
    table.finish();
    calibration
}

fn read_runs(table: &Table<'_>, manner: Manner) -> Option<Runs> {
    match manner {
        Manner::TestArea => {
            let area = table.required_as("area", "the ground sprayed in each run").and_then(|f| quantity_of::area(&f));
            let refills = table
                .required_as("refills", "what refilled the tank after each run, such as `[\"53 fl oz\", \"55 fl oz\"]`")
                .and_then(|list| list.each(quantity_of::volume));
            Some(Runs::TestArea { area: area?, refills: refills? })
        }
        Manner::TimedCatch => {
            let course =
                table.required_as("course", "the ground that the walk covers").and_then(|f| quantity_of::area(&f));
            let runs = table.required_as("runs", "a list of `{ caught = …, caught_in = …, walked_in = … }`").and_then(
                |list| list.tables().into_iter().map(read_timed_run).collect::<Vec<_>>().into_iter().collect(),
            );
            Some(Runs::TimedCatch { course: course?, runs: runs? })
        }
        Manner::OneTwentyEighthAcre => {
            let course = table.optional("course").map(|field| quantity_of::area(&field));
            let caught = table
                .required_as("caught", "what was caught in the time of each walk")
                .and_then(|list| list.each(quantity_of::volume));
            let course = course.map_or(Some(None), |course| course.map(Some))?;
            Some(Runs::OneTwentyEighthAcre { course, caught: caught? })
        }
        Manner::SpreaderCatch => {
            let area = table.required_as("area", "the ground of each catch").and_then(|f| quantity_of::area(&f));
            let caught = table
                .required_as("caught", "what was caught in each run, by weight")
                .and_then(|list| list.each(quantity_of::mass));
            Some(Runs::SpreaderCatch { area: area?, caught: caught? })
        }
        Manner::Stated => {
            let output = table
                .required_as("output", "what goes out per area, such as `2.0 gal/1,000 sq ft`")
                .and_then(|field| quantity_of::amount_per_area(&field));
            let method = table.optional("found_by").and_then(|field| field.text()).map(str::to_owned);
            Some(Runs::Stated { output: output?, method })
        }
    }
}

fn read_timed_run(table: Table<'_>) -> Option<TimedRun> {
    let caught = table.required("caught").and_then(|field| quantity_of::volume(&field));
    let caught_in = table.required("caught_in").and_then(|field| quantity_of::duration(&field));
    let walked_in = table.required("walked_in").and_then(|field| quantity_of::duration(&field));
    table.finish();
    Some(TimedRun { caught: caught?, caught_in: caught_in?, walked_in: walked_in? })
}

fn parse_pressure(text: &str) -> Result<Pressure, Problem> {
    const UNITS: &[PressureUnit] = &[PressureUnit::PoundPerSquareInch, PressureUnit::Bar, PressureUnit::Kilopascal];
    let split = text.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(text.len());
    let number = text[..split].trim().parse::<f64>().ok();
    let unit = UNITS.iter().copied().find(|unit| unit.symbol().eq_ignore_ascii_case(text[split..].trim()));
    number.zip(unit).and_then(|(number, unit)| Pressure::new(number, unit)).ok_or_else(|| {
        Problem::error("equipment::pressure", format!("`{}` is no pressure", crate::toml_source::shown(text)))
            .expected("a number above zero with `psi`, `bar` or `kPa`, such as `25 psi`")
    })
}
