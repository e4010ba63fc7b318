//! `tussock property`, `client`, `person`, `equipment`, `business`: what the books keep besides records.

use super::desk::BooksArgs;
use crate::care::examples_and_care;
use crate::console::complain;
use crate::outcome::CommandResult;
use crate::reading::read_text;
use clap::{Args, Subcommand};
use exchange::kept::{self, Day, FileText, JurisdictionText, Kept};
use jiff::civil::Date;
use ledger::Kind;
use ledger::trade::reference;
use std::path::PathBuf;

/// What stands beside every command on kept things.
#[derive(Debug, Clone, Args)]
pub(crate) struct Common {
    #[command(flatten)]
    pub(super) books: BooksArgs,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    pub(super) json: bool,
}

/// Keep, list and show properties
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock property keep demo/alder-bend/property.geojson --jurisdiction US-KS --books lawns.db",
    "tussock property list --books lawns.db",
))]
pub(crate) struct PropertyArgs {
    #[command(subcommand)]
    what: OnProperty,
}

#[derive(Debug, Subcommand)]
enum OnProperty {
    /// Keep a property with its map, or a newer map of it
    #[command(after_long_help = examples_and_care!(
        "tussock property keep demo/alder-bend/property.geojson --complete-since 2026-04-03 --books lawns.db",
    ))]
    Keep {
        /// The map (GeoJSON)
        map: PathBuf,
        /// What the property is called [default: the name on the map]
        #[arg(long)]
        name: Option<String>,
        /// The client, as kept in the books
        #[arg(long)]
        client: Option<String>,
        /// Its address
        #[arg(long)]
        address: Option<String>,
        /// The state or province in which it lies, such as US-KS
        #[arg(long, value_parser = jurisdiction)]
        jurisdiction: Option<JurisdictionText>,
        /// The day from which on the books hold every application on it
        #[arg(long, value_name = "DATE")]
        complete_since: Option<Date>,
        #[command(flatten)]
        common: Common,
    },
    #[command(flatten)]
    Look(Look),
}

/// Looking at kept things of one kind.
#[derive(Debug, Subcommand)]
pub(super) enum Look {
    /// List them
    #[command(after_long_help = examples_and_care!("tussock client list --books lawns.db"))]
    List {
        #[command(flatten)]
        common: Common,
    },
    /// Print one as the document that is kept
    #[command(after_long_help = examples_and_care!("tussock client show \"A. Client\" --books lawns.db"))]
    Show {
        /// Its name, or its identifier
        name: String,
        #[command(flatten)]
        common: Common,
    },
}

/// Keep, list and show clients
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!("tussock client keep client.json --books lawns.db"))]
pub(crate) struct ClientArgs {
    #[command(subcommand)]
    what: OnDocument,
}

/// Keep, list and show people with their certificates and training
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!("tussock person keep person.json --books lawns.db"))]
pub(crate) struct PersonArgs {
    #[command(subcommand)]
    what: OnDocument,
}

#[derive(Debug, Subcommand)]
enum OnDocument {
    /// Keep one from its document, or a newer version of it
    #[command(after_long_help = examples_and_care!("tussock person keep person.json --books lawns.db"))]
    Keep {
        /// The document (JSON); its schema stands in schema/kept
        document: PathBuf,
        #[command(flatten)]
        common: Common,
    },
    #[command(flatten)]
    Look(Look),
}

/// Keep, list and show sprayers and spreaders with their calibrations
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock equipment keep demo/alder-bend/equipment.toml --name \"hand pump\" --books lawns.db",
))]
pub(crate) struct EquipmentArgs {
    #[command(subcommand)]
    what: OnEquipment,
}

#[derive(Debug, Subcommand)]
enum OnEquipment {
    /// Keep an equipment file, or a newer version with a new calibration
    #[command(after_long_help = examples_and_care!(
        "tussock equipment keep demo/alder-bend/equipment.toml --name \"hand pump\" --books lawns.db",
    ))]
    Keep {
        /// The equipment file (TOML)
        file: PathBuf,
        /// What it is called
        #[arg(long)]
        name: String,
        #[command(flatten)]
        common: Common,
    },
    #[command(flatten)]
    Look(Look),
}

/// Keep, list and show the business
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!("tussock business keep demo/business.toml --books lawns.db"))]
pub(crate) struct BusinessArgs {
    #[command(subcommand)]
    what: OnBusiness,
}

#[derive(Debug, Subcommand)]
enum OnBusiness {
    /// Keep the business, or a newer version of it: who it is, its licence, whom to call; its prices where that is said
    #[command(after_long_help = examples_and_care!(
        "tussock business keep demo/business.toml --licence-until 2026-12-31 --books lawns.db",
    ))]
    Keep {
        /// The business file (TOML), or the document (JSON) whose schema stands in schema/kept
        file: PathBuf,
        /// Keep what is paid and charged as well, so that plans with the books tell money: whoever sees the work sees it
        #[arg(long)]
        prices: bool,
        /// The last day of its licence
        #[arg(long, value_name = "DATE")]
        licence_until: Option<Date>,
        /// The last day of its liability insurance
        #[arg(long, value_name = "DATE")]
        insured_until: Option<Date>,
        #[command(flatten)]
        common: Common,
    },
    #[command(flatten)]
    Look(Look),
}

fn jurisdiction(text: &str) -> Result<JurisdictionText, String> {
    JurisdictionText::parse(text).map_err(|problem| problem.found)
}

impl Look {
    pub(super) const fn json(&self) -> bool {
        match self {
            Self::List { common } | Self::Show { common, .. } => common.json,
        }
    }

    pub(super) fn run(&self, kind: Kind) -> CommandResult {
        match self {
            Self::List { common } => common.books.open_existing()?.list(kind, common.json),
            Self::Show { name, common } => common.books.open_existing()?.show(kind, name),
        }
    }
}

/// Whether one JSON document is asked for.
macro_rules! wants_json {
    ($($args:ident, $what:ident;)+) => {
        $(impl $args {
            /// Whether one JSON document is asked for.
            pub(crate) fn json(&self) -> bool {
                match &self.what {
                    $what::Keep { common, .. } => common.json,
                    $what::Look(look) => look.json(),
                }
            }
        })+
    };
}

wants_json! {
    PropertyArgs, OnProperty;
    ClientArgs, OnDocument;
    PersonArgs, OnDocument;
    EquipmentArgs, OnEquipment;
    BusinessArgs, OnBusiness;
}

/// Carries `tussock property` out.
pub(crate) fn property(args: &PropertyArgs) -> CommandResult {
    let (map, name, client, address, jurisdiction, complete_since, common) = match &args.what {
        OnProperty::Look(look) => return look.run(Kind::Property),
        OnProperty::Keep { map, name, client, address, jurisdiction, complete_since, common } => {
            (map, name, client, address, jurisdiction, complete_since, common)
        }
    };
    let text = read_text(map, "a map (GeoJSON)")?;
    let (mapped, _) = exchange::geojson_map::parse_property(&map.display().to_string(), &text)?;
    let desk = common.books.open()?;
    let client = match client {
        Some(name) => Some(reference(desk.ask(desk.book.meant_entry(Kind::Client, name))?.thing)?),
        None => None,
    };
    let document = kept::Property {
        name: name.clone().unwrap_or_else(|| mapped.name().to_owned()),
        client,
        address: address.clone(),
        jurisdiction: jurisdiction.clone(),
        complete_since: complete_since.map(Day::new),
        map: FileText(text),
        note: None,
    };
    desk.keep_called(&document.name.clone(), &document, None, common.json)
}

/// Carries `tussock client` out.
pub(crate) fn client(args: &ClientArgs) -> CommandResult {
    on_document::<kept::Client>(&args.what)
}

/// Carries `tussock person` out.
pub(crate) fn person(args: &PersonArgs) -> CommandResult {
    on_document::<kept::Person>(&args.what)
}

fn on_document<T: ledger::trade::OfKind>(what: &OnDocument) -> CommandResult {
    match what {
        OnDocument::Look(look) => look.run(T::KIND),
        OnDocument::Keep { document: file, common } => {
            let shown = file.display().to_string();
            let text = read_text(file, "a document of the books (JSON)")?;
            let document = T::read(&text).map_err(|problems| problems.in_file(&shown))?;
            common.books.open()?.keep_called(&document.index().title, &document, None, common.json)
        }
    }
}

/// Carries `tussock equipment` out.
pub(crate) fn equipment(args: &EquipmentArgs) -> CommandResult {
    match &args.what {
        OnEquipment::Look(look) => look.run(Kind::Equipment),
        OnEquipment::Keep { file, name, common } => {
            let text = read_text(file, "an equipment file (TOML)")?;
            exchange::equipment_file::parse_equipment(&file.display().to_string(), &text)?;
            let document = kept::Equipment { name: name.clone(), equipment: FileText(text), note: None };
            common.books.open()?.keep_called(name, &document, None, common.json)
        }
    }
}

/// Carries `tussock business` out.
pub(crate) fn business(args: &BusinessArgs) -> CommandResult {
    let (file, prices, licence_until, insured_until, common) = match &args.what {
        OnBusiness::Look(look) => return look.run(Kind::Business),
        OnBusiness::Keep { file, prices, licence_until, insured_until, common } => {
            (file, *prices, licence_until, insured_until, common)
        }
    };
    let shown = file.display().to_string();
    let text = read_text(file, "a business file (TOML), or its document (JSON)")?;
    let mut document = if is_json(&text) {
        kept::Business::read(&text).map_err(|problems| problems.in_file(&shown))?
    } else {
        let (read, warnings) = exchange::business_file::parse_business(&shown, &text)?;
        complain(&warnings);
        kept::Business { prices: prices.then_some(FileText(text)), ..kept::Business::from(&read.business) }
    };
    document.licence_until = licence_until.map(Day::new).or(document.licence_until);
    document.insured_until = insured_until.map(Day::new).or(document.insured_until);
    let desk = common.books.open()?;
    if document.prices.is_none()
        && let Some(earlier) = desk.called(Kind::Business, &document.name)?
    {
        // Prices that are kept stay until others are.
        document.prices = kept::Business::read(&earlier.body)?.prices;
    }
    desk.keep_called(&document.name.clone(), &document, None, common.json)
}

/// Whether a text that may be TOML or JSON is JSON: no TOML text begins with a brace.
pub(super) fn is_json(text: &str) -> bool {
    text.trim_start().starts_with('{')
}
