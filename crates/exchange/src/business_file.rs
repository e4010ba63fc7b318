//! The business and what it charges, as a TOML file. The fields are told in `docs/business-file.md`.

use crate::toml_source::{Field, Source, Table};
use business::{
    Business, ContainerPrice, Currency, EquipmentCharge, Money, Pricing, Share, Tariff, Tax, TaxedPart, Travel,
    WayPrice,
};
use jurisdiction::{BusinessDays, Jurisdiction};
use problem::{Problem, Problems};

/// The first line of the file.
pub const FORMAT: &str = "tussock.business/1";

/// A business file as it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct BusinessFile {
    /// The business.
    pub business: Business,
    /// Names of rule files, relative to this one; they stand beside those that come with the program.
    pub rules: Vec<String>,
}

/// Reads a business file. `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// Everything wrong with the file, each with its line, column and field.
pub fn parse_business(file: &str, text: &str) -> Result<(BusinessFile, Problems), Problems> {
    let source = Source::parse(file, text)?;
    match read(&source) {
        Some(business) => source.into_problems().unless_errors(business),
        None => Err(source.into_problems()),
    }
}

/// Every field that the reader asked for in this text, without the numbers of list entries. For comparing
/// with what is told about the file.
pub fn fields_asked(text: &str) -> Vec<String> {
    Source::parse("", text).map_or_else(
        |_| Vec::new(),
        |source| {
            read(&source);
            source.asked().into_iter().collect()
        },
    )
}

fn read(source: &Source<'_>) -> Option<BusinessFile> {
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return None;
    }
    let name = root.required_as("name", "what the business is called").and_then(|field| field.text());
    let address = address(&root);
    let telephone = root.required_as("telephone", "where it is called").and_then(|field| field.text());
    let email = text(&root, "email");
    let licence_number = text(&root, "licence_number");
    let contact = text(&root, "contact");
    let poison_centre = text(&root, "poison_centre");
    let place = root
        .required_as("jurisdiction", "where it works, such as `US-OH`")
        .and_then(|field| field.parsed(Jurisdiction::parse));
    let holidays = match root.optional("holidays") {
        Some(field) => field.each(Field::date),
        None => Some(Vec::new()),
    };
    let rules = root.optional("rules").map(|field| field.texts()).unwrap_or_default();
    let invented = invented(&root);
    let tariff = read_tariff(&root);
    root.finish();
    Some(BusinessFile {
        rules: rules.into_iter().map(str::to_owned).collect(),
        business: Business {
            name: name?.to_owned(),
            address: address?,
            telephone: telephone?.to_owned(),
            email: email.ok()?,
            licence_number: licence_number.ok()?,
            contact: contact.ok()?,
            poison_centre: poison_centre.ok()?,
            place: place?,
            holidays: BusinessDays::new(holidays?),
            tariff: tariff?,
            invented: invented?,
        },
    })
}

/// What was given cannot be used, and was reported.
pub(crate) struct Unread;

/// A text that may be left out.
pub(crate) fn text(table: &Table<'_>, key: &'static str) -> Result<Option<String>, Unread> {
    whole(table.optional(key), |field| field.text().map(str::to_owned))
}

/// A value that may be left out: what could not be read is not taken for left out.
pub(crate) fn whole<F, T>(given: Option<F>, read: impl FnOnce(F) -> Option<T>) -> Result<Option<T>, Unread> {
    given.map_or(Ok(None), |given| read(given).map(Some).ok_or(Unread))
}

/// The lines of an address.
pub(crate) fn address(table: &Table<'_>) -> Option<Vec<String>> {
    let field = table.required_as("address", "a list of lines, such as `[\"1 Example Street\", \"Example\"]`")?;
    let lines: Option<Vec<String>> = field.each(|line| line.text().map(str::to_owned));
    if lines.as_ref().is_some_and(Vec::is_empty) {
        field.report(Problem::error("business::no-address", "the address has no line").expected("one line or more"));
        return None;
    }
    lines
}

/// Whether the file says that all in it is invented.
pub(crate) fn invented(table: &Table<'_>) -> Option<bool> {
    table.optional("invented").map_or(Some(false), |field| field.flag())
}

fn read_tariff(root: &Table<'_>) -> Option<Tariff> {
    let currency = root
        .required_as("currency", "the code of the currency of all prices, such as `USD`")
        .and_then(|field| field.parsed(Currency::parse));
    // Where the currency is not known, amounts are read as if it had cents, so that what else is wrong is told.
    let read_as = currency.or_else(|| Currency::parse("USD").ok())?;
    let money = |table: &Table<'_>, key| whole(table.optional(key), |field| amount(&field, read_as));
    let hourly = money(root, "hourly");
    let minimum = money(root, "minimum");
    let pricing = read_pricing(root);
    let quotation_days = whole(root.optional("quotation_days"), |field| read_days(&field));
    let travel = whole(root.table("travel"), |table| read_travel(table, read_as));
    let taxes = all(root.tables("tax"), read_tax);
    let products = all(root.tables("product"), |table| read_product(table, read_as));
    let equipment = all(root.tables("equipment"), |table| read_equipment(table, read_as));
    let priced_twice = products.as_ref().and_then(|products| {
        let same = |one: &ContainerPrice, other: &ContainerPrice| one.label == other.label && one.lot == other.lot;
        (1..products.len()).find(|&at| products[..at].iter().any(|before| same(before, &products[at])))
    });
    if let (Some(at), Some(products)) = (priced_twice, &products) {
        root.report(
            Problem::error("business::priced-twice", format!("`{}` has two prices for one lot", products[at].label))
                .expected("one price for each lot of a label, and one at the most without a lot")
                .mend("name the lots, or delete one of the two")
                .at(format!("product[{}]", at + 1)),
        );
        return None;
    }
    Some(Tariff {
        currency: currency?,
        hourly: hourly.ok()?,
        travel: travel.ok()?,
        products: products?,
        equipment: equipment?,
        pricing: pricing.ok()?,
        minimum: minimum.ok()?,
        taxes: taxes?,
        quotation_days: quotation_days.ok()?,
    })
}

/// Every entry of a list, or nothing when one of them could not be read.
pub(crate) fn all<T>(tables: Vec<Table<'_>>, read: impl FnMut(Table<'_>) -> Option<T>) -> Option<Vec<T>> {
    let entries: Vec<Option<T>> = tables.into_iter().map(read).collect();
    entries.into_iter().collect()
}

fn amount(field: &Field<'_>, currency: Currency) -> Option<Money> {
    field.parsed(|text| Money::parse(text, currency))
}

fn read_days(field: &Field<'_>) -> Option<u16> {
    let days = field.whole()?;
    let within = u16::try_from(days).ok().filter(|days| (1..=366).contains(days));
    if within.is_none() {
        field.report(
            Problem::error("business::quotation-days", format!("a quotation that holds for `{days}` days"))
                .expected("a whole number of days from 1 to 366"),
        );
    }
    within
}

fn read_pricing(root: &Table<'_>) -> Result<Option<Pricing>, Unread> {
    let mark_up = root.optional("mark_up");
    let margin = root.optional("margin");
    if let (Some(_), Some(margin)) = (&mark_up, &margin) {
        margin.report(
            Problem::error("business::two-pricings", "both `mark_up` and `margin` are given")
                .expected("`mark_up`, a share of the cost, or `margin`, a share of the price")
                .mend("delete one of the two"),
        );
        return Err(Unread);
    }
    match (mark_up, margin) {
        (Some(field), _) => whole(Some(field), |field| field.parsed(Share::parse).map(Pricing::MarkUp)),
        (_, Some(field)) => {
            whole(Some(field), |field| field.parsed(|text| Share::parse(text).and_then(Pricing::margin)))
        }
        (None, None) => Ok(None),
    }
}

fn read_travel(table: Table<'_>, currency: Currency) -> Option<Travel> {
    let price = table.optional("price");
    let distance = table.optional("distance");
    let hourly = whole(table.optional("hourly"), |field| amount(&field, currency));
    let per_distance = match (price, distance) {
        (Some(price), Some(distance)) => {
            let price = amount(&price, currency);
            let way = distance.quantity(quantity::parse_length);
            let is_way = way.is_none_or(|(way, _)| way >= quantity::Length::new(1.0, quantity::LengthUnit::Metre));
            if !is_way {
                distance.report(
                    Problem::error("business::travel-distance", "the price is for less than a metre of way")
                        .expected("the distance that the price is for, such as `1 mi` or `1 km`"),
                );
            }
            let way = way.filter(|_| is_way);
            whole(Some((price, way)), |(price, way)| {
                price.zip(way).map(|(price, (distance, unit))| WayPrice { price, distance, unit })
            })
        }
        (None, None) => Ok(None),
        (Some(one), None) | (None, Some(one)) => {
            one.report(
                Problem::error("business::half-travel", "of `price` and `distance` one is missing")
                    .expected("`price` and the `distance` that it is for, both or neither")
                    .mend("add the other, such as `distance = \"1 mi\"`"),
            );
            Err(Unread)
        }
    };
    table.finish();
    Some(Travel { per_distance: per_distance.ok()?, hourly: hourly.ok()? })
}

fn read_tax(table: Table<'_>) -> Option<Tax> {
    let name = table.required_as("name", "what the tax is called").and_then(|field| field.text());
    let share = table.required_as("percent", "how much, such as `\"7.25 %\"`").and_then(|f| f.parsed(Share::parse));
    let on = table
        .required_as("on", "what it is reckoned on: `\"everything\"` or `\"products\"`")
        .and_then(|field| field.word(TaxedPart::ALL, TaxedPart::word));
    table.finish();
    Some(Tax { name: name?.to_owned(), share: share?, on: on? })
}

fn read_product(table: Table<'_>, currency: Currency) -> Option<ContainerPrice> {
    let label = table.required_as("label", "the id of the label file").and_then(|field| field.text());
    let lot = text(&table, "lot");
    let holds = table.required_as("holds", "what a container holds, such as `\"1 gal\"`").and_then(|field| {
        let holds = field.quantity(quantity::parse_amount)?;
        let is_something = holds.0.to(holds.1).is_some_and(|value| value > 0.0);
        if !is_something {
            field.report(
                Problem::error("business::empty-container", "the container holds nothing")
                    .expected("what is in a full container, such as `1 gal` or `20 lb`"),
            );
        }
        is_something.then_some(holds)
    });
    let price = table.required_as("price", "what the container cost").and_then(|field| amount(&field, currency));
    table.finish();
    let (holds, unit) = holds?;
    Some(ContainerPrice { label: label?.to_owned(), lot: lot.ok()?, holds, unit, price: price? })
}

fn read_equipment(table: Table<'_>, currency: Currency) -> Option<EquipmentCharge> {
    let id = table.required_as("id", "the `id` in the equipment file").and_then(|field| field.text());
    let per_visit =
        table.required_as("per_visit", "what is charged when it is used").and_then(|field| amount(&field, currency));
    table.finish();
    Some(EquipmentCharge { equipment: id?.to_owned(), per_visit: per_visit? })
}
