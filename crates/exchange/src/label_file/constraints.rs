//! What binds a use, subject by subject. The same keys serve the restraints and a use row.

use super::clause::{OF_SENTENCE, statement, statements};
use crate::toml_source::{Field, Table};
use label::{
    ApplicationCount, BloomRule, Buffer, BufferedFeature, Cap, CapAmount, Constraints, Irrigation, KeepOff, Method,
    PpeItem, PpeTask, Range, Scope, Site, WindLimit, Window,
};
use problem::Problem;
use quantity::{
    Duration, Length, ParseError, Substance, parse_duration, parse_length, parse_rate, parse_speed, parse_temperature,
    parse_volume_per_area,
};

pub(super) fn read(table: &Table<'_>, scope: &Scope) -> Constraints {
    let flag = |key| statement(table, key, scope, |t| t.required("value").and_then(|field| field.flag()));
    let whole = |key| statement(table, key, scope, |t| t.required("value").and_then(|field| field.whole()));
    let words =
        |key| statement(table, key, scope, |t| t.required("value").and_then(|field| field.text()).map(str::to_owned));
    let time = |key| statement(table, key, scope, |t| t.required("value").and_then(|field| duration(&field)));
    Constraints {
        carrier: statement(table, "carrier", scope, |t| range(t, |field| unitless(field, parse_volume_per_area))),
        caps: statements(table, "cap", scope, cap),
        maximum_applications: statement(table, "maximum_applications", scope, count),
        minimum_interval_days: whole("minimum_interval_days"),
        consecutive_same_group: whole("consecutive_same_group"),
        keep_off: statement(table, "keep_off", scope, keep_off),
        restricted_entry: time("restricted_entry"),
        harvest_interval_days: whole("harvest_interval_days"),
        reseeding_interval_days: whole("reseeding_interval_days"),
        clippings: words("clippings"),
        rain_free: time("rain_free"),
        irrigation: statement(table, "irrigation", scope, irrigation),
        not_during_rain: flag("not_during_rain"),
        not_on_saturated_soil: flag("not_on_saturated_soil"),
        not_on_frozen_soil: flag("not_on_frozen_soil"),
        not_to_runoff: flag("not_to_runoff"),
        temperature: statement(table, "temperature", scope, |t| range(t, |field| unitless(field, parse_temperature))),
        wind: statement(table, "wind", scope, wind),
        not_during_inversion: flag("not_during_inversion"),
        relative_humidity: statement(table, "relative_humidity", scope, |t| range(t, percent)),
        buffers: statements(table, "buffer", scope, buffer),
        impervious_spot_only: flag("impervious_spot_only"),
        slope: statement(table, "slope", scope, |t| t.required("value").and_then(|field| percent(&field))),
        bloom: statement(table, "bloom", scope, |t| {
            t.required("value").and_then(|field| field.word(BloomRule::ALL, BloomRule::word))
        }),
        ppe: statements(table, "ppe", scope, ppe),
        prohibited_methods: statements(table, "prohibited_method", scope, |t| {
            t.required("value").and_then(|field| field.word(Method::ALL, Method::word))
        }),
        prohibited_sites: statements(table, "prohibited_site", scope, |t| {
            t.required("value").and_then(|field| field.word(Site::ALL, Site::word))
        }),
        prohibited_partners: statements(table, "prohibited_partner", scope, |t| {
            t.required("value").and_then(|field| field.text()).map(str::to_owned)
        }),
        others: statements(table, "other", scope, |t| {
            t.required_as("value", "the subject in words, such as `time of day`")
                .and_then(|field| field.text())
                .map(str::to_owned)
        }),
        adjuvant: words("adjuvant"),
        mixing_order: words("mixing_order"),
        water_ph: statement(table, "water_ph", scope, |t| range(t, |field| field.number_between(0.0, 14.0))),
        use_within: time("use_within"),
        agitation: words("agitation"),
        droplet_class: words("droplet_class"),
        certified_only: flag("certified_only"),
        posting: words("posting"),
        endangered_species_bulletin: flag("endangered_species_bulletin"),
    }
}

/// The quantity without the unit that it was written in.
pub(super) fn unitless<T, U>(field: &Field<'_>, parse: impl FnOnce(&str) -> Result<(T, U), ParseError>) -> Option<T> {
    field.quantity(parse).map(|(value, _)| value)
}

fn duration(field: &Field<'_>) -> Option<Duration> {
    let time = unitless(field, parse_duration)?;
    not_negative(field, time >= Duration::ZERO).then_some(time)
}

/// A length above nothing.
pub(super) fn length(field: &Field<'_>) -> Option<Length> {
    let length = unitless(field, parse_length)?;
    not_negative(field, length >= Length::ZERO).then_some(length)
}

/// Reports what may not be below nothing.
fn not_negative(field: &Field<'_>, is: bool) -> bool {
    if !is {
        field.report(
            Problem::error("label::below-nothing", "the value is below nothing")
                .expected("nothing or more")
                .mend("take the minus off"),
        );
    }
    is
}

/// A share written in per cent, such as `40 %`, as 0 to 1.
fn percent(field: &Field<'_>) -> Option<f64> {
    let text = field.text()?;
    let share = text
        .strip_suffix('%')
        .and_then(|number| number.trim().parse::<f64>().ok())
        .filter(|percent| (0.0..=100.0).contains(percent));
    if share.is_none() {
        field.report(
            Problem::error("label::percent", format!("`{text}` is no share"))
                .expected("per cent from 0 to 100, such as `\"40 %\"`")
                .mend("write the number and `%`"),
        );
    }
    share.map(|percent| percent / 100.0)
}

fn range<T>(table: &Table<'_>, read: impl Fn(&Field<'_>) -> Option<T>) -> Option<Range<T>> {
    let (least, most) = (table.optional("at_least"), table.optional("at_most"));
    if least.is_none() && most.is_none() {
        missing_end(table);
        return None;
    }
    // An end that is there and cannot be read must not pass for an open end.
    let at_least = least.map(|field| read(&field).ok_or(()));
    let at_most = most.map(|field| read(&field).ok_or(()));
    Some(Range { at_least: at_least.transpose().ok()?, at_most: at_most.transpose().ok()? })
}

fn missing_end(table: &Table<'_>) {
    // A misspelt end is reported as an unknown field already.
    if table.keys().any(|key| !OF_SENTENCE.contains(&key) && key != "gusts_count") {
        return;
    }
    table.report(
        Problem::error("label::no-limit", "neither `at_least` nor `at_most` is given")
            .expected("one of them, or both")
            .mend("add the limit, or delete the table where the label is silent"),
    );
}

fn wind(table: &Table<'_>) -> Option<WindLimit> {
    let limits = range(table, |field| {
        let speed = unitless(field, parse_speed)?;
        not_negative(field, speed >= quantity::Speed::ZERO).then_some(speed)
    });
    let gusts_count =
        table.required_as("gusts_count", "whether gusts count against the upper limit").and_then(|field| field.flag());
    let limits = limits?;
    Some(WindLimit { at_least: limits.at_least, at_most: limits.at_most, gusts_count: gusts_count? })
}

fn cap(table: &Table<'_>) -> Option<Cap> {
    let amount = cap_amount(table);
    let active_ingredient = table.optional("of").map(|field| field.text().map(str::to_owned).ok_or(()));
    let window = window(table);
    let counts_other_products = table
        .required_as("counts_other_products", "whether other products with the same active ingredient count too")
        .and_then(|field| field.flag());
    Some(Cap {
        amount: amount?,
        active_ingredient: active_ingredient.transpose().ok()?,
        window: window?,
        counts_other_products: counts_other_products?,
    })
}

fn cap_amount(table: &Table<'_>) -> Option<CapAmount> {
    let product = table.optional("product");
    let ingredient = table.optional("active_ingredient");
    match (product, ingredient) {
        (Some(field), None) => {
            let rate = field.quantity(parse_rate)?;
            if rate.substance() == Substance::ActiveIngredient {
                field.report(
                    Problem::error("label::cap-substance", format!("`{rate}` counts active ingredient"))
                        .expected("an amount of product per area")
                        .mend("write the key `active_ingredient` instead of `product`"),
                );
                return None;
            }
            let per_area = rate.per_area();
            if per_area.is_none() {
                not_per_area(&field, &rate);
            }
            per_area.map(CapAmount::Product)
        }
        (None, Some(field)) => {
            let rate = field.quantity(parse_rate)?;
            let mass = rate.per_area().and_then(quantity::AmountPerArea::mass);
            if mass.is_none() {
                not_per_area(&field, &rate);
            }
            mass.map(CapAmount::ActiveIngredient)
        }
        (None, None) => {
            table.report(
                Problem::error("toml::missing-field", "the cap counts nothing")
                    .expected("a field `product` or `active_ingredient` with the most per area")
                    .mend("add a line such as `product = \"1.6 fl oz/1,000 sq ft\"`"),
            );
            None
        }
        (Some(_), Some(field)) => {
            field.report(
                Problem::error("label::cap-twice", "the cap counts both product and active ingredient")
                    .expected("one of the two in each cap")
                    .mend("write a second `[[…cap]]` for the other"),
            );
            None
        }
    }
}

fn not_per_area(field: &Field<'_>, rate: &quantity::Rate) {
    field.report(
        Problem::error("label::cap-basis", format!("`{rate}` cannot cap what an area gets"))
            .expected("an amount of product, or a weight of active ingredient, per area")
            .mend("write it as the printed label does, such as `0.48 lb/acre`"),
    );
}

fn window(table: &Table<'_>) -> Option<Window> {
    table
        .required_as("window", "the time over which it is counted")
        .and_then(|field| field.word(Window::ALL, Window::word))
}

fn count(table: &Table<'_>) -> Option<ApplicationCount> {
    let value = table.required("value").and_then(|field| field.whole());
    let window = window(table);
    Some(ApplicationCount { count: value?, window: window? })
}

fn keep_off(table: &Table<'_>) -> Option<KeepOff> {
    let at_least = table.optional("at_least").map(|field| duration(&field).ok_or(()));
    let until_dry = table.optional("until_dry").map(|field| field.flag().ok_or(()));
    let until_watered_in = table.optional("until_watered_in").map(|field| field.flag().ok_or(()));
    if at_least.is_none() && until_dry.is_none() && until_watered_in.is_none() {
        table.report(
            Problem::error("label::no-limit", "none of `at_least`, `until_dry`, `until_watered_in` is given")
                .expected("at least one of them")
                .mend("add what the label says, or delete the table where it is silent"),
        );
        return None;
    }
    Some(KeepOff {
        at_least: at_least.transpose().ok()?,
        until_dry: until_dry.transpose().ok()?.unwrap_or(false),
        until_watered_in: until_watered_in.transpose().ok()?.unwrap_or(false),
    })
}

fn irrigation(table: &Table<'_>) -> Option<Irrigation> {
    let prohibited = table.optional("prohibited_for");
    let depth = table.optional("water_in_depth");
    let within = table.optional("water_in_within");
    match (prohibited, depth, within) {
        (Some(field), None, None) => duration(&field).map(Irrigation::ProhibitedFor),
        (None, Some(depth), Some(within)) => {
            let (depth, within) = (length(&depth), duration(&within));
            Some(Irrigation::WaterIn { depth: depth?, within: within? })
        }
        _ => {
            table.report(
                Problem::error("label::irrigation", "it is not clear what the label says of water")
                    .expected("either `prohibited_for`, or both `water_in_depth` and `water_in_within`")
                    .mend("keep the one that the sentence says"),
            );
            None
        }
    }
}

fn buffer(table: &Table<'_>) -> Option<Buffer> {
    let feature = table
        .required_as("feature", "what the distance is kept from")
        .and_then(|field| field.word(BufferedFeature::ALL, BufferedFeature::word));
    let distance = table.required_as("distance", "how far, such as `\"25 ft\"`").and_then(|field| length(&field));
    Some(Buffer { feature: feature?, distance: distance? })
}

fn ppe(table: &Table<'_>) -> Option<PpeItem> {
    let item = table.required_as("item", "one piece of equipment in the label's words").and_then(|field| field.text());
    let field = table.required_as("tasks", "the tasks for which it is worn")?;
    let items = field.items();
    let tasks: Vec<PpeTask> = items.iter().filter_map(|item| item.word(PpeTask::ALL, PpeTask::word)).collect();
    if items.is_empty() && field.is_list() {
        field.report(
            Problem::error("label::no-task", "the list of tasks is empty")
                .expected("at least one of `mixing`, `applying`, `clean-up`, `early-entry`"),
        );
    }
    if tasks.len() < items.len() || tasks.is_empty() {
        return None;
    }
    Some(PpeItem { item: item?.to_owned(), tasks })
}
