//! The `tussock` command: reads files, asks the rooms below, writes files and words. It holds no
//! rule of the trade.

// A problem carries its found, expected and mend texts; bad input is rare, so its size is no matter.
#![allow(clippy::result_large_err)]

mod argument;
mod care;
mod command;
mod console;
mod fetching;
mod outcome;
mod reading;
mod writing;

use care::examples_and_care;
use clap::{Parser, Subcommand};
use command::{
    calibrate, choose, completions, cost, demo, hours, identify, label, man, measure, mix, mow, notice, pest, plan,
    quote, record, scout, season, serve, stages, stock, survey, thing, visit, water, weather,
};
use outcome::{Failure, Outcome};
use std::process::ExitCode;

/// Requests of a server, and overlays of a plan, ask several threads for many small pieces of memory at once.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Plan lawful, measurable visits that protect lawns, gardens and house surroundings from insects
///
/// From the mapped property, the label, the sprayer, the forecast and what was applied before comes
/// one visit: whether it is lawful, where, how much, when, and what to wear.
///
/// Exit codes: 0 done and lawful, 1 bad input, 2 wrong use of the command, 3 refused by a verdict.
#[derive(Debug, Parser)]
#[command(
    name = "tussock",
    version,
    max_term_width = 100,
    after_long_help = examples_and_care!(
        "tussock demo",
        "tussock plan demo/alder-bend/visit.toml",
        "tussock label check demo/labels/brackwater-sc.toml",
    )
)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Demo(demo::DemoArgs),
    Plan(plan::PlanArgs),
    Hours(hours::HoursArgs),
    Water(water::WaterArgs),
    Mow(mow::MowArgs),
    Cost(cost::CostArgs),
    Quote(quote::QuoteArgs),
    Notice(notice::NoticeArgs),
    Measure(measure::MeasureArgs),
    Calibrate(calibrate::CalibrateArgs),
    Mix(mix::MixArgs),
    Choose(choose::ChooseArgs),
    Identify(identify::IdentifyArgs),
    Pest(pest::PestArgs),
    Scout(scout::ScoutArgs),
    Stages(stages::StagesArgs),
    Weather(weather::WeatherArgs),
    Season(season::SeasonArgs),
    Label(label::LabelArgs),
    Record(record::RecordArgs),
    Stock(stock::StockArgs),
    Property(thing::PropertyArgs),
    Client(thing::ClientArgs),
    Person(thing::PersonArgs),
    Equipment(thing::EquipmentArgs),
    Business(thing::BusinessArgs),
    Survey(survey::SurveyArgs),
    Visit(visit::VisitArgs),
    Serve(serve::ServeArgs),
    Completions(completions::CompletionsArgs),
    Man(man::ManArgs),
}

impl Command {
    fn wants_json(&self) -> bool {
        match self {
            Self::Demo(args) => args.json(),
            Self::Plan(args) => args.json(),
            Self::Hours(args) => args.json(),
            Self::Water(args) => args.json(),
            Self::Mow(args) => args.json(),
            Self::Cost(args) => args.json(),
            Self::Quote(args) => args.json(),
            Self::Notice(args) => args.json(),
            Self::Measure(args) => args.json(),
            Self::Calibrate(args) => args.json(),
            Self::Mix(args) => args.json(),
            Self::Choose(args) => args.json(),
            Self::Identify(args) => args.json(),
            Self::Pest(args) => args.json(),
            Self::Scout(args) => args.json(),
            Self::Stages(args) => args.json(),
            Self::Weather(args) => args.json(),
            Self::Season(args) => args.json(),
            Self::Record(args) => args.json(),
            Self::Stock(args) => args.json(),
            Self::Property(args) => args.json(),
            Self::Client(args) => args.json(),
            Self::Person(args) => args.json(),
            Self::Equipment(args) => args.json(),
            Self::Business(args) => args.json(),
            Self::Survey(args) => args.json(),
            Self::Visit(args) => args.json(),
            Self::Label(args) => args.json(),
            Self::Serve(_) | Self::Completions(_) | Self::Man(_) => false,
        }
    }
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    let result = match &cli.command {
        Command::Demo(args) => demo::run(args),
        Command::Plan(args) => plan::run(args),
        Command::Hours(args) => hours::run(args),
        Command::Water(args) => water::run(args),
        Command::Mow(args) => mow::run(args),
        Command::Cost(args) => cost::run(args),
        Command::Quote(args) => quote::run(args),
        Command::Notice(args) => notice::run(args),
        Command::Measure(args) => measure::run(args),
        Command::Calibrate(args) => calibrate::run(args),
        Command::Mix(args) => mix::run(args),
        Command::Choose(args) => choose::run(args),
        Command::Identify(args) => identify::run(args),
        Command::Pest(args) => pest::run(args),
        Command::Scout(args) => scout::run(args),
        Command::Stages(args) => stages::run(args),
        Command::Weather(args) => weather::run(args),
        Command::Season(args) => season::run(args),
        Command::Label(args) => label::run(args),
        Command::Record(args) => record::run(args),
        Command::Stock(args) => stock::run(args),
        Command::Property(args) => thing::property(args),
        Command::Client(args) => thing::client(args),
        Command::Person(args) => thing::person(args),
        Command::Equipment(args) => thing::equipment(args),
        Command::Business(args) => thing::business(args),
        Command::Survey(args) => survey::run(args),
        Command::Visit(args) => visit::run(args),
        Command::Serve(args) => serve::run(args),
        Command::Completions(args) => Ok(completions::run::<Cli>(args)),
        Command::Man(args) => man::run::<Cli>(args),
    };
    let code = match result {
        Ok(outcome) => outcome.code(),
        Err(Failure(problems)) => {
            console::complain(&problems);
            if cli.command.wants_json() {
                console::say(&exchange::problems_json::write_problems(&problems));
            }
            Outcome::BadInput.code()
        }
    };
    if console::is_lost() { Outcome::BadInput.code() } else { code }
}
