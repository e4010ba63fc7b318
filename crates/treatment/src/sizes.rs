//! The sizes that a use row bounds: band, wall, line along an entry point, spot.

use crate::request::Target;
use crate::resolve::{Product, Resolved};
use crate::verdict::{Figure, Origin, Status, Verdict, breach};
use crate::zones::TaskGround;
use label::{Clause, Method, Statement};
use quantity::{Area, AreaUnit, Length, LengthUnit};

/// Holds the sizes of a task against the use row of one of its products.
pub(crate) fn judge(task: &Resolved<'_>, product: &Product<'_>, ground: &TaskGround, verdicts: &mut Vec<Verdict>) {
    let mut lengths: Vec<(&'static str, &str, Length, &Statement<Length>)> = Vec::new();
    match &task.request.target {
        Target::Structures { band_width, wall_height, .. } => {
            lengths.push(("ground::band-width", "band width", *band_width, &product.row.band_width));
            if wall_height.is_positive() {
                lengths.push(("ground::wall-height", "wall height", *wall_height, &product.row.wall_height));
            }
        }
        Target::EntryPoints { width, .. } => {
            let limit = &product.row.entry_point_width;
            lengths.push(("ground::entry-point-width", "width along an entry point", *width, limit));
        }
        _ => {}
    }
    for (rule, what, planned, limit) in lengths {
        let Some((most, clause)) = stated(limit) else {
            verdicts.push(silent(task, rule, what));
            continue;
        };
        let over = planned.ratio(*most) > 1.0 + crate::dose::HAIR;
        let text = format!("{what} of {} against the label's {}", length(planned).show(), length(*most).show());
        let verdict = measured(task, rule, text, over, (length(planned), length(*most)), clause);
        verdicts.push(if over { verdict.mend(format!("at most {}", length(*most).show())) } else { verdict });
    }
    if task.request.method == Method::Spot {
        spot(task, product, ground, verdicts);
    }
}

/// Holds the largest spot of a task against the label: each outline is a spot of its own.
fn spot(task: &Resolved<'_>, product: &Product<'_>, ground: &TaskGround, verdicts: &mut Vec<Verdict>) {
    const RULE: &str = "ground::spot-area";
    let Some((most, clause)) = stated(&product.row.spot_area) else {
        verdicts.push(silent(task, RULE, "size of a spot"));
        return;
    };
    let spots: Vec<Area> = match &task.request.target {
        Target::Places { .. } => {
            let text = format!("the label allows spots of {}, and nothing shows the size of these", area(*most).show());
            verdicts.push(
                Verdict::new(RULE, Status::Caution, Origin::Assumed, text)
                    .by(clause)
                    .on(&task.request.id)
                    .mend("draw the spots, or measure each before it is treated"),
            );
            return;
        }
        Target::EntryPoints { width, .. } => ground.lines.iter().map(|line| line.length_or(*width) * *width).collect(),
        _ => ground.region.outlines().map(|outline| outline.area()).collect(),
    };
    let Some(largest) = spots.iter().copied().reduce(Area::max) else { return };
    let is_over = |spot: &Area| spot.ratio(*most) > 1.0 + crate::dose::HAIR;
    let over = spots.iter().filter(|spot| is_over(spot)).count();
    let which = match (spots.len(), over) {
        (1, _) => "a spot".to_owned(),
        (all, 0 | 1) => format!("the largest of {all} spots,"),
        (all, over) => format!("{over} of {all} spots are too large: the largest,"),
    };
    let text = format!("{which} of {} against the label's {}", area(largest).show(), area(*most).show());
    let verdict = measured(task, RULE, text, over > 0, (area(largest), area(*most)), clause);
    verdicts.push(if over > 0 {
        verdict.mend("treat a smaller spot, or the gap alone as crack-and-crevice")
    } else {
        verdict
    });
}

fn stated<T>(limit: &Statement<T>) -> Option<(&T, &Clause)> {
    limit.value().zip(limit.clause())
}

fn silent(task: &Resolved<'_>, rule: &'static str, what: &str) -> Verdict {
    let text = format!("the label states no {what}: silence is no permission for any");
    Verdict::new(rule, Status::Caution, Origin::Label, text)
        .on(&task.request.id)
        .mend("read the label in hand again, and ask the registrant or the state's office")
}

fn measured(
    task: &Resolved<'_>,
    rule: &'static str,
    text: String,
    over: bool,
    (planned, most): (Figure, Figure),
    clause: &Clause,
) -> Verdict {
    let status = if over { breach(clause.strength) } else { Status::Allowed };
    Verdict::new(rule, status, Origin::Label, text).comparing(planned, most).by(clause).on(&task.request.id)
}

fn length(length: Length) -> Figure {
    Figure::new(length.to(LengthUnit::Foot), LengthUnit::Foot.symbol(), LengthUnit::Foot.ucum())
}

fn area(area: Area) -> Figure {
    Figure::new(area.to(AreaUnit::SquareFoot), AreaUnit::SquareFoot.symbol(), AreaUnit::SquareFoot.ucum())
}
