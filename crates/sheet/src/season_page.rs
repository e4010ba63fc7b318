//! The programme of a season on paper: the picture, the dates to scout, what labels leave, what binds.

use crate::PaperOptions;
use crate::content::Content;
use crate::season_picture::{SeasonPicture, season_svg};
use crate::typesetting::{self, Paper};
use problem::Problems;
use quantity::{AmountPerArea, MassPerAreaUnit};
use season::programme::{MinorUnits, Planned, Programme, RoomLeft, SeasonRequest, UsedOf};
use serde_json::{Value, json};

const REMINDER: &str = "A planned date is a date to scout: counts decide on the day. The label on the container and local law \
    govern; this page replaces neither.";

/// The page as PDF bytes; the same input gives the same bytes. `money` tells an amount in the season's currency.
///
/// # Errors
/// `sheet::typesetting` when the page cannot be set, `sheet::font` for a font file that cannot be read.
pub fn season_pdf(
    picture: &SeasonPicture<'_>,
    programme: &Programme,
    money: &dyn Fn(MinorUnits) -> String,
    is_invented: bool,
    options: &PaperOptions,
) -> Result<Vec<u8>, Problems> {
    typesetting::set(paper(picture, programme, money, is_invented, options), &options.fonts)
}

pub(crate) fn paper(
    picture: &SeasonPicture<'_>,
    programme: &Programme,
    money: &dyn Fn(MinorUnits) -> String,
    is_invented: bool,
    options: &PaperOptions,
) -> Paper {
    let request = picture.request;
    let tables = vec![
        dates(request, programme, money, options),
        left(request, programme),
        ingredients(request, programme),
        binding(request, programme, money, options),
    ];
    let content = json!({
        "paper": options.paper.word(),
        "colour": !options.black_and_white,
        "title": request.name,
        "invented": is_invented,
        "reminder": REMINDER,
        "alt": "Weeks across, ground down: each application with its residue, and what pests still cost.",
        "lines": lines(programme, money),
        "tables": tables,
        "cautions": programme.cautions,
    });
    Paper {
        template: ("season.typ", include_str!("../templates/season.typ")),
        content: Content::new(content),
        pictures: vec![("season.svg", season_svg(picture))],
    }
}

fn whole(minor: f64) -> MinorUnits {
    MinorUnits(minor.round() as i64)
}

fn lines(programme: &Programme, money: &dyn Fn(MinorUnits) -> String) -> Vec<String> {
    let proof = programme.proof;
    let prevented = programme.share_prevented().map_or(String::new(), |share| {
        format!(" {:.0} % of what the pests expected would cost is prevented.", share * 100.0)
    });
    let proven = match proof.gap() {
        Some(_) if proof.is_optimal() => "Proven: no lawful programme gains more.".to_owned(),
        Some(gap) => format!("Proven to within {:.2} % of the best lawful programme.", gap * 100.0),
        None => "Not proven best.".to_owned(),
    };
    vec![
        format!(
            "{} to scout, {} where counts call for them: {} with the way.{prevented}",
            quantity::counted(programme.visits().len() as u32, "date", "dates"),
            quantity::counted(programme.planned.len() as u32, "application", "applications"),
            money(programme.cost()),
        ),
        format!(
            "At the worth stated for the pests it gains {} over doing nothing more. {proven}",
            money(whole(proof.gain))
        ),
    ]
}

fn table(heading: &str, head: &[&str], widths: &[u8], rows: &[Vec<String>], empty: &str) -> Value {
    json!({ "heading": heading, "head": head, "widths": widths, "rows": rows, "empty": empty })
}

fn dates(
    request: &SeasonRequest,
    programme: &Programme,
    money: &dyn Fn(MinorUnits) -> String,
    options: &PaperOptions,
) -> Value {
    let row = |one: &Planned| {
        let (of, ground) = (&request.uses[one.product_use], &request.grounds[one.ground]);
        let pests: Vec<&str> = of.controls.iter().map(|control| request.pests[control.pest].name.as_str()).collect();
        vec![
            options.units.date(request.weeks.date(one.week)),
            ground.name.clone(),
            pests.join(", "),
            format!("{} ({})", of.product, of.id),
            of.rate.show(),
            money(of.cost.on(ground.area)),
        ]
    };
    table(
        "Dates to scout, and what to apply where counts call for it",
        &["Date", "Where", "Count first", "Product and use", "Rate", "Cost"],
        &[0, 2, 3, 4, 3, 0],
        &programme.planned.iter().map(row).collect::<Vec<_>>(),
        "Nothing is planned: no lawful application prevents more than it costs. Scout all the same.",
    )
}

fn left(request: &SeasonRequest, programme: &Programme) -> Value {
    let row = |room: &RoomLeft| {
        let (counts, used, most) = match &room.used {
            UsedOf::Number { used, most } => ("applications".to_owned(), used.to_string(), most.to_string()),
            UsedOf::Product { used, most } => {
                let like = request.uses.iter().find(|of| of.product == room.product).map(|of| of.rate);
                let show = |amount: AmountPerArea| like.and_then(|like| amount.show_like(&like)).unwrap_or_default();
                ("product".to_owned(), show(*used), show(*most))
            }
            UsedOf::Ingredient { name, used, most } => {
                let unit = MassPerAreaUnit::PoundPerAcre;
                (name.clone(), used.show(unit), most.show(unit))
            }
        };
        let page = room.said.page.map(|page| format!(", page {page}")).unwrap_or_default();
        vec![
            request.grounds[room.ground].name.clone(),
            room.product.clone(),
            counts,
            used,
            most,
            format!("“{}” (label{page})", room.said.text),
        ]
    };
    table(
        "What the labels leave on each ground after it",
        &["Where", "Product", "Counted", "Used", "Allowed", "Sentence"],
        &[2, 3, 2, 2, 2, 6],
        &programme.room.iter().map(row).collect::<Vec<_>>(),
        "The labels state no limit over a window.",
    )
}

fn ingredients(request: &SeasonRequest, programme: &Programme) -> Value {
    let rows = programme.ingredients.iter().map(|(ground, name, mass)| {
        vec![request.grounds[*ground].name.clone(), name.clone(), mass.show(MassPerAreaUnit::PoundPerAcre)]
    });
    table(
        "Active ingredients put down by the programme",
        &["Where", "Active ingredient", "Amount"],
        &[2, 3, 2],
        &rows.collect::<Vec<_>>(),
        "None.",
    )
}

fn binding(
    request: &SeasonRequest,
    programme: &Programme,
    money: &dyn Fn(MinorUnits) -> String,
    options: &PaperOptions,
) -> Value {
    let rows = programme.bindings.iter().take(12).map(|binding| {
        let one = binding.example;
        vec![
            binding.rule.words.clone(),
            format!(
                "{} on {}, {}",
                request.uses[one.product_use].id,
                request.grounds[one.ground].name,
                options.units.date(request.weeks.date(one.week))
            ),
            money(whole(binding.gain)),
        ]
    });
    table(
        "What binds",
        &["Rule", "Without it this would be applied too", "And gain"],
        &[5, 4, 0],
        &rows.collect::<Vec<_>>(),
        "No rule stands in the way of anything that would gain.",
    )
}
