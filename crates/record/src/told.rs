//! All that a record holds, in words and in the order in which an inspector asks for it.

use crate::application::{ApplicationRecord, Became, Breach, Leftover, NoticeGiven, Observed, TargetCounts};
use crate::difference::{amount_words, area_words, volume_words};
use crate::fact::Fact;
use crate::tank_check::{TankAdvice, check_tanks};
use crate::task::{CalibrationUsed, ProductRecord, Tank, TankTold, TaskRecord, TreatedZone};
use label::{ActiveIngredient, UseClass};
use problem::Problem;
use quantity::{
    AreaUnit, Content, DensityUnit, MassPerAreaUnit, Speed, SpeedUnit, Temperature, TemperatureUnit, VolumePerArea,
    VolumePerAreaUnit, counted, significant,
};

/// A part of what a record says, under one heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// The heading.
    pub heading: String,
    /// What stands under it, in order.
    pub parts: Vec<Part>,
}

/// What stands under a heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// What is asked, and what the record says of it.
    Facts(Vec<(String, String)>),
    /// Rows under their heads.
    Table {
        /// The heads of the columns.
        head: Vec<String>,
        /// The rows, each with a text for every column.
        rows: Vec<Vec<String>>,
    },
    /// Sentences, one a line.
    Points(Vec<String>),
}

/// What stands on the paper of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordPaper {
    /// Whose record it is: the business that keeps the books, where they know it.
    pub kept_by: Option<String>,
    /// Its address, telephone and licence, a line each.
    pub kept_by_lines: Vec<String>,
    /// What the record is called.
    pub name: String,
    /// For whom it was applied.
    pub client: String,
    /// The client's address.
    pub client_address: Vec<String>,
    /// What is asked first, such as the day and who applied.
    pub facts: Vec<(&'static str, String)>,
    /// By what the record is found again in the books: it stands on every page.
    pub found_by: String,
    /// All that the record holds.
    pub sections: Vec<Section>,
}

impl Section {
    /// A section of facts.
    pub fn facts(heading: impl Into<String>, facts: Vec<(&str, String)>) -> Self {
        let facts = facts.into_iter().map(|(asked, said)| (asked.to_owned(), said)).collect();
        Self { heading: heading.into(), parts: vec![Part::Facts(facts)] }
    }

    /// A section of sentences.
    pub fn points(heading: impl Into<String>, points: Vec<String>) -> Self {
        Self { heading: heading.into(), parts: vec![Part::Points(points)] }
    }
}

/// What a record does not say.
const NOT_RECORDED: &str = "not recorded";

/// All that a record holds. `name_of` tells what people call a treated piece of ground.
///
/// What is missing is told as missing. Whether a rule asks for it, [`crate::standing`] knows.
pub fn told(record: &ApplicationRecord, name_of: &dyn Fn(&TreatedZone) -> String) -> Vec<Section> {
    let mut all = vec![application(record), people(record), weather(record)];
    let leftovers = record.leftover.value().map_or(&[][..], Vec::as_slice);
    all.extend(record.tasks.iter().map(|task| work(task, leftovers, name_of)));
    all.push(afterwards(record));
    all.push(Section::points("Against the labels", breaches(record)));
    if !record.provenance.differences.is_empty() {
        let differs = record.provenance.differences.iter();
        let words = |one: &crate::Difference| format!("{}: planned {}, done {}", one.subject, one.planned, one.done);
        all.push(Section::points("Done otherwise than planned", differs.map(words).collect()));
    }
    all
}

fn application(record: &ApplicationRecord) -> Section {
    let position = record.property.origin;
    let planned = record.provenance.visit.as_ref().map_or_else(
        || "without a plan".to_owned(),
        |visit| {
            let kept = visit.reference.as_ref().map_or_else(String::new, |kept| format!(", kept as {kept}"));
            format!("{}, planned for {}{kept}", visit.name, visit.date)
        },
    );
    Section::facts(
        "Application",
        vec![
            ("Client", text(&record.client)),
            ("Address", text(&record.client_address)),
            ("Place", text(&record.location)),
            ("Property", record.property.name.clone()),
            (
                "On the map at",
                format!("latitude {:.5}, longitude {:.5} (WGS 84)", position.latitude(), position.longitude()),
            ),
            ("Day", record.date.to_string()),
            ("Began", said(&record.started, |moment| format!("{moment} (UTC{})", moment.offset))),
            ("Ended", said(&record.ended, |moment| format!("{moment} (UTC{})", moment.offset))),
            ("Visit", planned),
        ],
    )
}

fn people(record: &ApplicationRecord) -> Section {
    Section::facts(
        "People",
        vec![
            ("Applied by", text(&record.applicator)),
            ("Certificate", text(&record.certification_number)),
            ("Supervised by", text(&record.supervisor)),
            ("Applied under supervision by", text(&record.noncertified_applicator)),
        ],
    )
}

fn weather(record: &ApplicationRecord) -> Section {
    let head = ["", "Wind", "From", "Gusts", "Air", "Remarks"].map(str::to_owned).to_vec();
    let row = |when: &str, seen: &Observed| {
        vec![
            when.to_owned(),
            said(&seen.wind, |wind| speed(*wind)),
            match &seen.wind_from {
                Fact::DoesNotArise => "calm".to_owned(),
                from => said(from, |from| format!("{:.0}° from north", from.degrees())),
            },
            said(&seen.gust, |gust| speed(*gust)),
            said(&seen.temperature, |air| temperature(*air)),
            text(&seen.remarks),
        ]
    };
    let mut rows = vec![row("At the start", &record.weather_at_start)];
    for task in &record.tasks {
        let seen = task.tanks.iter().enumerate().filter(|(_, tank)| tank.weather != Observed::default());
        rows.extend(seen.map(|(index, tank)| row(&format!("{}, tank {}", task.id, index + 1), &tank.weather)));
    }
    rows.push(row("At the end", &record.weather_at_end));
    Section { heading: "Weather seen on the spot".to_owned(), parts: vec![Part::Table { head, rows }] }
}

fn work(task: &TaskRecord, leftovers: &[Leftover], name_of: &dyn Fn(&TreatedZone) -> String) -> Section {
    let mut places: Vec<String> = Vec::new();
    for zone in &task.zones {
        let name = name_of(zone);
        if !places.contains(&name) {
            places.push(name);
        }
    }
    let mut facts = vec![
        ("Places", if places.is_empty() { "not drawn".to_owned() } else { places.join(", ") }),
        (
            "What was treated",
            said(&task.sites, |sites| {
                sites.iter().map(|site| site.word().replace('-', " ")).collect::<Vec<_>>().join(", ")
            }),
        ),
        ("Target pest", text(&task.pest)),
        ("Method", task.method.word().replace('-', " ")),
    ];
    if task.ground.is_positive() || !matches!(task.places, Fact::Recorded(_)) {
        facts.push(("Ground", area_words(task.ground)));
    }
    if task.wall.is_positive() {
        facts.push(("Wall", area_words(task.wall)));
    }
    if let Fact::Recorded(places) = task.places {
        facts.push(("Single places", places.to_string()));
    }
    facts.push(("Equipment", text(&task.equipment)));
    facts.push((
        "Calibration",
        match &task.calibration {
            Fact::DoesNotArise => "none: the volume of spray itself was set".to_owned(),
            used => said(used, calibration),
        },
    ));
    if let Fact::Recorded(carrier) = task.carrier {
        facts.push(("Spray in all", volume_words(carrier)));
    }
    let owned = |facts: Vec<(&str, String)>| Part::Facts(facts.into_iter().map(|(a, s)| (a.to_owned(), s)).collect());
    let mut parts = vec![owned(facts)];
    if task.products.len() > 1 {
        parts.push(Part::Points(vec![format!(
            "Tank mixture of {}.",
            task.products.iter().map(|product| product.name.as_str()).collect::<Vec<_>>().join(" and ")
        )]));
    }
    parts.extend(task.products.iter().map(|product| owned(product_facts(task, product))));
    if !task.tanks.is_empty() {
        parts.push(tanks(task));
        parts.extend(tank_words(task, leftovers));
    }
    Section { heading: format!("Task {}", task.id), parts }
}

fn calibration(used: &CalibrationUsed) -> String {
    let date = used.date.map_or_else(|| ", day not recorded".to_owned(), |date| format!(" of {date}"));
    let output = used.output.map_or_else(String::new, |output| format!(", {}", output_words(output)));
    format!("{}{date}{output}", used.name)
}

fn output_words(output: VolumePerArea) -> String {
    format!(
        "{} ({})",
        output.show(VolumePerAreaUnit::UsGallonPer1000SquareFeet),
        output.show(VolumePerAreaUnit::LitrePerHectare)
    )
}

fn product_facts(task: &TaskRecord, product: &ProductRecord) -> Vec<(&'static str, String)> {
    let use_class = said(&product.use_class, |class| {
        match class {
            UseClass::Restricted => "restricted use",
            UseClass::Unclassified => "general use",
        }
        .to_owned()
    });
    let on_the_ground = task.per_area(product).and_then(|rate| product.ingredients_per_area(rate)).map(|all| {
        let each = all.into_iter().map(|(name, mass)| match mass {
            Some(mass) => format!(
                "{name} {} ({})",
                mass.show(MassPerAreaUnit::PoundPerAcre),
                mass.show(MassPerAreaUnit::KilogramPerHectare)
            ),
            None => format!("{name} not known"),
        });
        each.collect::<Vec<_>>().join("; ")
    });
    vec![
        ("Product", product.name.clone()),
        ("Registration number", text(&product.registration_number)),
        ("Label version", text(&product.label_version)),
        ("Lot", said(&product.lots, |lots| lots.join(", "))),
        ("Class", use_class),
        (
            "Active ingredients",
            said(&product.active_ingredients, |all| all.iter().map(ingredient).collect::<Vec<_>>().join("; ")),
        ),
        ("Use row of the label", text(&product.use_row)),
        ("Rate as applied", said(&product.rate, quantity::Rate::show)),
        ("Active ingredient per area", on_the_ground.unwrap_or_else(|| "no area is recorded".to_owned())),
        ("Amount put down", amount_words(product.amount)),
    ]
}

fn ingredient(one: &ActiveIngredient) -> String {
    let percent = |share: quantity::MassFraction| format!("{} %", significant(share.percent(), 3));
    let content = match (one.content, one.mass_fraction) {
        (Content::MassFraction(share), _) => percent(share),
        (Content::MassPerVolume(mass), None) => mass.show(DensityUnit::PoundPerUsGallon),
        (Content::MassPerVolume(mass), Some(share)) => {
            format!("{}, {}", percent(share), mass.show(DensityUnit::PoundPerUsGallon))
        }
    };
    let group = one.group.as_ref().map_or_else(String::new, |group| format!(", group {group}"));
    format!("{} ({content}{group})", one.name)
}

fn tanks(task: &TaskRecord) -> Part {
    let sprayed = task.carrier.value().is_some();
    let mut head = vec![if sprayed { "Tank" } else { "Load" }.to_owned()];
    head.extend(sprayed.then(|| "Spray".to_owned()));
    head.extend(task.products.iter().map(|product| product.name.clone()));
    head.extend(["Covered".to_owned(), "Filled at".to_owned()]);
    // Most records say only when a tank was filled.
    let [emptied, stayed] = [
        task.tanks.iter().any(|tank| !tank.emptied_at.is_absent()),
        task.tanks.iter().any(|tank| !tank.carried_over.is_absent()),
    ];
    head.extend(emptied.then(|| "Emptied at".to_owned()));
    head.extend(stayed.then(|| "Stayed under the next mix".to_owned()));
    let rows = task.tanks.iter().enumerate().map(|(index, tank)| {
        let mut row = tank_row(task, index, tank, sprayed);
        row.extend(emptied.then(|| said(&tank.emptied_at, ToString::to_string)));
        row.extend(stayed.then(|| said(&tank.carried_over, |spray| volume_words(*spray))));
        row
    });
    Part::Table { rows: rows.collect(), head }
}

/// The tanks held against what was expected of them; those of which nothing was said are told in one sentence.
fn tank_words(task: &TaskRecord, leftovers: &[Leftover]) -> Option<Part> {
    let checks = check_tanks(task, leftovers);
    let called = if task.carrier.value().is_some() { "Tank" } else { "Load" };
    let (untold, told): (Vec<_>, Vec<_>) = checks.iter().partition(|check| check.advice == TankAdvice::NotTold);
    let mut words: Vec<String> = told.iter().map(|check| format!("{called} {}: {check}.", check.number)).collect();
    if !untold.is_empty() {
        let numbers: Vec<String> = untold.iter().map(|check| check.number.to_string()).collect();
        words.push(format!(
            "{called}{} {}: nothing was said of {}; the figures are those planned.",
            if untold.len() == 1 { "" } else { "s" },
            numbers.join(", "),
            if untold.len() == 1 { "it" } else { "them" }
        ));
    }
    (!words.is_empty()).then_some(Part::Points(words))
}

fn tank_row(task: &TaskRecord, index: usize, tank: &Tank, sprayed: bool) -> Vec<String> {
    let filled = tank.filled.as_ref();
    let number = match (filled, &tank.planned) {
        (None, _) => format!("{}, not filled", index + 1),
        (Some(_), None) => format!("{}, not planned", index + 1),
        (Some(_), Some(_)) if tank.told == TankTold::Nothing => format!("{}, nothing said", index + 1),
        _ => (index + 1).to_string(),
    };
    let mut row = vec![number];
    if sprayed {
        row.push(filled.and_then(|fill| fill.spray).map_or_else(|| "none".to_owned(), volume_words));
    }
    for product in 0..task.products.len() {
        let amount = filled.and_then(|fill| fill.products.get(product));
        row.push(amount.map_or_else(|| "none".to_owned(), |amount| amount_words(*amount)));
    }
    row.push(match filled.map(|fill| &fill.covered) {
        None => "none".to_owned(),
        Some(Fact::DoesNotArise) => "counted places".to_owned(),
        Some(covered) if tank.told == TankTold::Covered => said(covered, |area| area_words(*area)),
        Some(covered) => said(covered, |area| format!("not said; planned {}", area_words(*area))),
    });
    row.push(said(&tank.filled_at, ToString::to_string));
    row
}

fn afterwards(record: &ApplicationRecord) -> Section {
    let re_entry = said(&record.re_entry, |told| {
        // The hours of a label stand among the conditions.
        let mut until: Vec<String> = told.conditions.clone();
        until.extend(told.not_before.map(|moment| format!("not before {moment}")));
        if until.is_empty() { "no label states a time or a condition".to_owned() } else { until.join("; ") }
    });
    let notices = match &record.notices {
        Fact::Recorded(given) => given.iter().map(notice).collect(),
        other => vec![said(other, |_| String::new())],
    };
    let leftover = match &record.leftover {
        Fact::Recorded(left) => left.iter().map(|left| leftover_words(record, left)).collect(),
        Fact::DoesNotArise => vec!["nothing was left over".to_owned()],
        Fact::Absent => vec![NOT_RECORDED.to_owned()],
    };
    let each = |asked: &str, list: Vec<String>| -> Vec<(String, String)> {
        list.into_iter().map(|said| (asked.to_owned(), said)).collect()
    };
    let mut facts = each("People and pets kept off until", vec![re_entry]);
    facts.extend(each("Notice or sign", notices));
    facts.extend(each("Counts of the pest", vec![said(&record.target_counts, counts)]));
    facts.extend(each("Left over", leftover));
    facts.extend(each("Disposal", vec![text(&record.disposal)]));
    facts.extend(each("Unexpected", vec![text(&record.unexpected)]));
    let poured = crate::poured_out::in_record(record);
    let caution = |problem: &Problem| {
        format!("{}. Lawful is: {}", problem.found.replace('`', "\""), problem.expected.as_deref().unwrap_or_default())
    };
    facts.extend(each("CAUTION", poured.iter().map(caution).collect()));
    Section { heading: "Around the work".to_owned(), parts: vec![Part::Facts(facts)] }
}

fn notice(given: &NoticeGiven) -> String {
    format!("{}, {}, {}", given.to, given.how, said(&given.given, ToString::to_string))
}

/// Counts of a pest: `grasshopper: 3, 5, 2 at 3 stations of 9.00 sq ft each`.
fn counts(counted_pest: &TargetCounts) -> String {
    let numbers: Vec<String> = counted_pest.counts.iter().map(u32::to_string).collect();
    let area = counted_pest.count_area.map(|area| format!(" of {} each", area.show(AreaUnit::SquareFoot)));
    let stations = counted(counted_pest.counts.len(), "station", "stations");
    format!("{}: {} at {stations}{}", counted_pest.pest, numbers.join(", "), area.unwrap_or_default())
}

fn leftover_words(record: &ApplicationRecord, left: &Leftover) -> String {
    let spray = left.spray.map(|spray| format!("{} of spray with ", volume_words(spray))).unwrap_or_default();
    let products = record.task(&left.task).map_or(&[][..], |task| &task.products);
    let amounts: Vec<String> = left
        .products
        .iter()
        .enumerate()
        .map(|(index, amount)| {
            let name = products.get(index).map_or(String::new(), |product| format!(" of {}", product.name));
            format!("{}{name}", amount_words(*amount))
        })
        .collect();
    let became = match &left.became {
        Fact::Recorded(Became::Applied(task)) => format!("put down as task {task}"),
        Fact::Recorded(Became::Kept(words)) => format!("kept for the next use: {words}"),
        Fact::Recorded(Became::HandedIn(words)) => format!("taken to a disposal programme: {words}"),
        Fact::Recorded(Became::Other(words)) => words.clone(),
        Fact::DoesNotArise => "nothing to tell of it".to_owned(),
        Fact::Absent => "what became of it is not recorded".to_owned(),
    };
    let tank = left.tank.map_or_else(String::new, |number| format!(", tank {number}"));
    format!("of {}{tank}: {spray}{}; {became}", left.task, amounts.join(" and "))
}

fn breaches(record: &ApplicationRecord) -> Vec<String> {
    // The same sentence passed by several tasks is told once.
    let mut all: Vec<(&Breach, Vec<&str>)> = Vec::new();
    for breach in &record.breaches {
        let is_same = |held: &Breach| Breach { task: breach.task.clone(), ..held.clone() } == *breach;
        match all.iter_mut().find(|(held, _)| is_same(held)) {
            Some((_, tasks)) => tasks.push(&breach.task),
            None => all.push((breach, vec![&breach.task])),
        }
    }
    let words = |(breach, tasks): &(&Breach, Vec<&str>)| {
        let page = breach.page.map_or_else(String::new, |page| format!(" (page {page})"));
        let said = breach.text.trim_end_matches('.');
        // What a rule forbids, such as registration, has no sentence of the label.
        let clause = if breach.clause.is_empty() {
            format!("Label {}", breach.label)
        } else {
            format!("The label {}: “{}”", breach.label, breach.clause)
        };
        format!("{}: {said}. {clause}{page}", tasks.join(", "))
    };
    let mut told: Vec<String> = all.iter().map(words).collect();
    if told.is_empty() {
        told.push("Nothing that could be judged was against a label.".to_owned());
    }
    told.extend(record.not_judged.iter().map(|what| format!("NOT JUDGED: {what}.")));
    told
}

fn text(fact: &Fact<String>) -> String {
    said(fact, Clone::clone)
}

/// What a record says of a thing; `none` where it says that there is none.
fn said<T>(fact: &Fact<T>, words: impl Fn(&T) -> String) -> String {
    match fact {
        Fact::Recorded(value) => words(value),
        Fact::DoesNotArise => "none".to_owned(),
        Fact::Absent => NOT_RECORDED.to_owned(),
    }
}

fn speed(speed: Speed) -> String {
    format!("{} ({})", speed.show(SpeedUnit::MilePerHour), speed.show(SpeedUnit::MetrePerSecond))
}

fn temperature(temperature: Temperature) -> String {
    format!("{} ({})", temperature.show(TemperatureUnit::Fahrenheit), temperature.show(TemperatureUnit::Celsius))
}
