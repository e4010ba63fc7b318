//! `tussock stock`: product received, counted anew, and what is left.

use super::desk::{BooksArgs, tell_kept};
use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use clap::{Args, Subcommand, ValueEnum};
use exchange::books_json::{LotStockJson, StockJson, problems_json, write_answer};
use exchange::kept::{AmountText, Day, Direction, Lot, Price, StockAdjustment};
use jiff::Timestamp;
use jiff::civil::Date;
use ledger::trade::{Keeping, LotStock, Stock, reference};
use ledger::{Expected, Kind, RequestKey, ThingId};
use problem::Problem;
use quantity::{Amount, AmountUnit, MassUnit, VolumeUnit};
use std::fmt::Write as _;

/// Receive product, adjust its stock, list what is left by lot
///
/// Stock falls by itself with every record of an application.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock stock receive brackwater-sc --lot A-17 --amount \"1 qt\" --on 2026-03-02 --books lawns.db",
    "tussock stock list --books lawns.db",
))]
pub(crate) struct StockArgs {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Receive product of one lot
    #[command(after_long_help = examples_and_care!(
        "tussock stock receive brackwater-sc --lot A-17 --amount \"1 qt\" --on 2026-03-02 --books lawns.db",
    ))]
    Receive {
        /// The id of the label on the container
        label: String,
        /// The lot number as printed on the container
        #[arg(long)]
        lot: String,
        /// How much, with its unit
        #[arg(long, value_parser = amount)]
        amount: AmountText,
        /// The day
        #[arg(long, value_name = "DATE")]
        on: Date,
        /// What it cost in all, such as `45.99 USD`
        #[arg(long, value_parser = price)]
        price: Option<Price>,
        /// From whom
        #[arg(long)]
        supplier: Option<String>,
        /// The last day on which it may be used, when one is printed
        #[arg(long, value_name = "DATE")]
        use_until: Option<Date>,
        #[command(flatten)]
        books: BooksArgs,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
    /// Say that there is more or less of a lot than the books tell, and why
    #[command(after_long_help = examples_and_care!(
        "tussock stock adjust \"brackwater-sc lot A-17\" less \"2 fl oz\" --on 2026-05-01 --reason \"spilled on the bench\" --books lawns.db",
    ))]
    Adjust {
        /// The lot: its title in the books, or its identifier
        lot: String,
        /// Whether there is more or less
        direction: DirectionWord,
        /// By how much, with its unit
        #[arg(value_parser = amount)]
        amount: AmountText,
        /// The day
        #[arg(long, value_name = "DATE")]
        on: Date,
        /// Why
        #[arg(long)]
        reason: String,
        #[command(flatten)]
        books: BooksArgs,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
    /// List what was received, used, adjusted and is left, lot by lot
    #[command(after_long_help = examples_and_care!("tussock stock list --books lawns.db"))]
    List {
        #[command(flatten)]
        books: BooksArgs,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum DirectionWord {
    /// There is more
    More,
    /// There is less
    Less,
}

fn amount(text: &str) -> Result<AmountText, String> {
    AmountText::parse(text).map_err(|problem| problem.found)
}

fn price(text: &str) -> Result<Price, String> {
    match text.split_once(' ') {
        Some((amount, currency)) => Ok(Price { amount: amount.to_owned(), currency: currency.trim().to_owned() }),
        None => Err("not a price; expected an amount and a currency, such as `45.99 USD`".to_owned()),
    }
}

impl StockArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        match &self.what {
            What::Receive { json, .. } | What::Adjust { json, .. } | What::List { json, .. } => *json,
        }
    }
}

/// Carries the command out.
pub(crate) fn run(args: &StockArgs) -> CommandResult {
    match &args.what {
        What::Receive { label, lot, amount, on, price, supplier, use_until, books, json } => {
            let document = Lot {
                label: label.clone(),
                number: lot.clone(),
                received_on: Day::new(*on),
                received: amount.clone(),
                price: price.clone(),
                supplier: supplier.clone(),
                use_until: use_until.map(Day::new),
                note: None,
            };
            let desk = books.open()?;
            let title = format!("{label} lot {lot}");
            for earlier in desk.ask(desk.book.things_titled::<Lot>(&title))? {
                if earlier.document != document {
                    return Err(second_delivery(&earlier.document, &title).into());
                }
            }
            desk.keep_called(&title, &document, None, *json)
        }
        What::Adjust { lot, direction, amount, on, reason, books, json } => {
            let desk = books.open_existing()?;
            let lot = desk.ask(desk.book.meant_entry(Kind::Lot, lot))?;
            let document = StockAdjustment {
                lot: reference(lot.thing)?,
                date: Day::new(*on),
                direction: match direction {
                    DirectionWord::More => Direction::More,
                    DirectionWord::Less => Direction::Less,
                },
                amount: amount.clone(),
                reason: reason.clone(),
            };
            let keeping = Keeping {
                thing: ThingId::fresh(),
                expected: Expected::New,
                reason: None,
                recorded_at: Timestamp::now(),
            };
            let kept = desk.ask(desk.book.keep_thing(&document, keeping, RequestKey::fresh()))?;
            tell_kept(&kept.appended, &kept.warnings, *json);
            Ok(Outcome::Done)
        }
        What::List { books, json } => {
            let desk = books.open_existing()?;
            let stock = desk.ask(desk.book.stock())?;
            complain(&stock.problems());
            say(&if *json { write_answer(&stock_json(&stock)) } else { words(&stock) });
            Ok(Outcome::Done)
        }
    }
}

/// A lot that is kept already is not overwritten by a second delivery of it.
fn second_delivery(kept: &Lot, title: &str) -> Problem {
    let received = amount_words(kept.received.value());
    Problem::error(
        "stock::received-already",
        format!("`{title}` is kept: {received} received on {}", kept.received_on.date()),
    )
    .expected("a lot that is not kept yet, or the same again")
    .mend(format!(
        "for more of it: `tussock stock adjust \"{title}\" more AMOUNT --reason \"second delivery\"`; for a slip \
             likewise, with `more` or `less`"
    ))
}

fn stock_json(stock: &Stock) -> StockJson {
    let lot = |lot: &LotStock| LotStockJson {
        lot: lot.lot.to_string(),
        label: lot.label.clone(),
        number: lot.number.clone(),
        received: lot.received.into(),
        used: lot.used.into(),
        adjusted: lot.adjusted.into(),
        left: lot.left.into(),
    };
    StockJson {
        format: StockJson::FORMAT,
        lots: stock.lots.iter().map(lot).collect(),
        problems: problems_json(&stock.problems()),
    }
}

/// The stock in words.
pub(super) fn words(stock: &Stock) -> String {
    let mut out = String::new();
    for lot in &stock.lots {
        let _ = writeln!(
            out,
            "{} lot {}: {} left of {} received; {} used, {} adjusted",
            lot.label,
            lot.number,
            amount_words(lot.left),
            amount_words(lot.received),
            amount_words(lot.used),
            amount_words(lot.adjusted),
        );
    }
    if stock.lots.is_empty() {
        out.push_str("the books keep no lot\n");
    }
    out
}

pub(super) fn amount_words(amount: Amount) -> String {
    let (trade, metric) = match amount {
        Amount::Volume(_) => (AmountUnit::Volume(VolumeUnit::UsFluidOunce), AmountUnit::Volume(VolumeUnit::Millilitre)),
        Amount::Mass(_) => (AmountUnit::Mass(MassUnit::Ounce), AmountUnit::Mass(MassUnit::Gram)),
    };
    let shown = |unit| amount.show(unit).unwrap_or_default();
    format!("{} ({})", shown(trade), shown(metric))
}
