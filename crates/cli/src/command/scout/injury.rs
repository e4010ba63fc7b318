//! The threshold from what treating costs and saves.

use super::{ScoutArgs, area_of};
use business::{Currency, Money};
use problem::{Problem, Problems};
use quantity::Area;
use scouting::{Control, InjuryCost, LossPerPest, Threshold};

/// The injury level of the options; `None` where no money values are given.
pub(super) fn threshold(args: &ScoutArgs) -> Option<Result<Threshold, Problems>> {
    let (cost, worth, loss) = (args.cost.as_ref()?, args.worth.as_ref()?, args.loss.as_ref()?);
    let mut problems = Problems::new();
    let mut read = |text: &str, option: &'static str| {
        money_per_area(text).map_err(|problem| problems.push(problem.at(option))).ok()
    };
    let (cost, worth) = (read(cost, "--cost"), read(worth, "--worth"));
    if let (Some((cost, _)), Some((worth, _))) = (&cost, &worth)
        && cost.currency() != worth.currency()
    {
        problems.push(
            Problem::error(
                "scouting::two-currencies",
                format!("a cost in `{}` and a worth in `{}`", cost.currency().code(), worth.currency().code()),
            )
            .expected("both in one currency")
            .at("--worth"),
        );
    }
    let loss = loss_of(loss).map_err(|problem| problems.push(problem.at("--loss"))).ok();
    let prevented = Control::new(args.prevented).ok_or_else(|| {
        Problem::error("scouting::prevented", format!("`{}` of the loss prevented", args.prevented))
            .expected("above 0, up to 1")
            .at("--prevented")
    });
    let prevented = prevented.map_err(|problem| problems.push(problem)).ok();
    let injury = || {
        let ((cost, cost_on), (worth, worth_on)) = (cost?, worth?);
        // Minor units of one currency: their ratio has no unit.
        let cost_over_value = cost.minor() as f64 / worth.minor() as f64 * worth_on.ratio(cost_on);
        Some(InjuryCost { cost_over_value, loss: loss?, prevented: prevented? })
    };
    let per = args.loss.as_deref().and_then(|loss| loss.split_once(" per ")).map_or("", |(_, per)| per);
    let level = |injury| Threshold::of_injury(injury).map(|level| level.written_per(per));
    Some(problems.unless_errors(()).and_then(|_| injury().map_or_else(|| Err(Problems::new()), level)))
}

/// Money on an area, such as `9.60 USD per 1000 sq ft`.
fn money_per_area(text: &str) -> Result<(Money, Area), Problem> {
    let wrong = || {
        Problem::error("scouting::money", format!("`{text}` is no money on an area"))
            .expected("an amount, its currency, `per` and the area, such as `9.60 USD per 1000 sq ft`")
    };
    let (money, area) = text.split_once(" per ").ok_or_else(wrong)?;
    let (amount, currency) = money.trim().rsplit_once(' ').ok_or_else(wrong)?;
    let money = Money::parse(amount, Currency::parse(currency)?)?;
    Ok((money, area_of(area).ok_or_else(wrong)?))
}

/// The loss to one pest, such as `0.5 % per 1 sq ft`.
fn loss_of(text: &str) -> Result<LossPerPest, Problem> {
    let wrong = || {
        Problem::error("scouting::loss", format!("`{text}` is no loss to a pest"))
            .expected("a percentage, `per` and the area of one pest, such as `0.5 % per 1 sq ft`")
    };
    let (share, area) = text.split_once(" per ").ok_or_else(wrong)?;
    let percent: f64 = share.trim().strip_suffix('%').ok_or_else(wrong)?.trim().parse().map_err(|_| wrong())?;
    Ok(LossPerPest { share: percent / 100.0, on: area_of(area).ok_or_else(wrong)? })
}
