//! The rate of one task: what is asked, what the use row allows, and what it comes to per area.

use crate::verdict::{Figure, Origin, Status, Verdict};
use label::{Clause, UseRow};
use quantity::{Amount, AmountPerArea, Area, Basis, Length, Rate, Volume, VolumePerArea};

/// What a task's amounts are reckoned on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Extent {
    /// Treated ground and wall.
    pub surface: Area,
    /// Treated ground alone.
    pub ground: Area,
    /// Length of the treated walls.
    pub wall_length: Length,
    /// Places of one kind (mounds, stations, plants), when the task counts them.
    pub places: u32,
    /// Finished spray, for sprayed methods.
    pub spray: Option<Volume>,
}

impl Extent {
    /// Spray per area, when there is both.
    pub(crate) fn spray_per_area(&self) -> Option<VolumePerArea> {
        self.spray.filter(|_| self.surface.is_positive()).map(|spray| spray / self.surface)
    }

    /// Product that a rate comes to; `None` when the rate's basis has nothing to stand on here.
    pub(crate) fn product(&self, rate: &Rate) -> Option<Amount> {
        match rate.basis() {
            Basis::Area(..) => Some(rate.per_area()?.over(self.surface)),
            Basis::SprayVolume(..) => rate.in_spray(self.spray?),
            Basis::Length(count, unit) => {
                let times = self.wall_length.ratio(Length::new(count.get(), unit));
                Some(rate.amount().scaled(times))
            }
            Basis::Plant | Basis::Mound | Basis::Station => Some(rate.amount().scaled(f64::from(self.places))),
            Basis::TrunkDiameter(..) => None,
        }
    }

    /// What a rate comes to per area; `None` without an area.
    pub(crate) fn per_area(&self, rate: &Rate) -> Option<AmountPerArea> {
        if let Some(per_area) = rate.per_area() {
            return Some(per_area);
        }
        let product = self.product(rate)?;
        self.surface.is_positive().then(|| product.per_area(self.surface))
    }

    /// The rate with this rate's basis that comes to so much per area.
    pub(crate) fn rate_for(&self, like: &Rate, per_area: AmountPerArea) -> Option<Rate> {
        let one = self.per_area(&like.with_value(1.0))?;
        let value = per_area.ratio(one)?;
        (value.is_finite() && value >= 0.0).then(|| like.with_value(value))
    }

    /// A rate asked on one basis, on the basis of the label: per volume of spray against per area.
    /// `None` when the two cannot be brought together.
    pub(crate) fn on_basis_of(&self, asked: &Rate, label: &Rate) -> Option<Rate> {
        if same_basis(asked.basis(), label.basis()) {
            return self.rate_like(asked, label);
        }
        self.rate_for(label, self.per_area(asked)?)
    }

    fn rate_like(&self, asked: &Rate, label: &Rate) -> Option<Rate> {
        // The label's unit and size of basis: 1.2 fl oz/3,000 sq ft reads as 0.4 fl oz/1,000 sq ft.
        let times = asked.ratio(label)?;
        if label.value() > 0.0 {
            return Some(label.with_value(label.value() * times));
        }
        self.rate_for(label, self.per_area(asked)?)
    }
}

/// Whether two rates are meant per the same kind of thing, whatever its size or unit.
pub(crate) fn same_basis(a: Basis, b: Basis) -> bool {
    std::mem::discriminant(&a) == std::mem::discriminant(&b)
}

/// Figures of rates are compared with a hair's breadth, for conversions of units.
pub(crate) const HAIR: f64 = 1e-9;

/// The unit of a rate with its basis, as printed: `fl oz/1,000 sq ft`.
pub(crate) fn unit_words(rate: &Rate) -> String {
    let one = rate.with_value(1.0).to_string();
    one.strip_prefix("1 ").unwrap_or(&one).to_owned()
}

/// A rate as a figure.
pub(crate) fn figure(rate: &Rate) -> Figure {
    Figure::new(rate.value(), unit_words(rate), rate.ucum())
}

/// So much per area as a figure in the unit of a rate per area.
pub(crate) fn area_figure(per_area: AmountPerArea, like: &Rate) -> Figure {
    let like = area_unit(like, per_area);
    let one = like.with_value(1.0).per_area().and_then(|one| per_area.ratio(one));
    Figure::new(one.unwrap_or(f64::NAN), unit_words(&like), like.ucum())
}

/// The rate itself when it is per area and of the same dimension, else the trade's usual unit.
fn area_unit(like: &Rate, per_area: AmountPerArea) -> Rate {
    use quantity::{AmountUnit, AreaUnit, BasisCount, MassUnit, VolumeUnit};
    if like.per_area().is_some_and(|own| own.ratio(per_area).is_some()) {
        return *like;
    }
    let metric = match like.unit() {
        AmountUnit::Volume(unit) => unit.system() == quantity::System::Metric,
        AmountUnit::Mass(unit) => unit.system() == quantity::System::Metric,
    };
    let (volume, mass, basis) = if metric {
        (VolumeUnit::Litre, MassUnit::Kilogram, Basis::Area(BasisCount::ONE, AreaUnit::Hectare))
    } else {
        (VolumeUnit::UsFluidOunce, MassUnit::Pound, Basis::Area(BasisCount::THOUSAND, AreaUnit::SquareFoot))
    };
    match per_area {
        AmountPerArea::Volume(_) => Rate::product(1.0, AmountUnit::Volume(volume), basis),
        AmountPerArea::Mass(_) => Rate::product(1.0, AmountUnit::Mass(mass), basis),
    }
}

/// Holds a rate (on the label's basis) against the range of its use row.
pub(crate) fn judge_range(rate: &Rate, row: &UseRow, task: &str) -> Vec<Verdict> {
    let Some(range) = row.rate.value() else {
        let text = "the label states no rate for this use";
        return vec![
            Verdict::new("rate::silent", Status::Refused, Origin::Label, text)
                .on(task)
                .mend("read the label in hand again; without a rate on the label there is no lawful use"),
        ];
    };
    let clause = row.rate.clause().unwrap_or(&row.clause);
    let mut verdicts = Vec::new();
    match rate.ratio(&range.highest) {
        None => {
            let text = format!("{rate} and the label's {} differ in kind", range.highest);
            verdicts.push(
                Verdict::new("rate::basis", Status::Refused, Origin::Label, text)
                    .by(clause)
                    .on(task)
                    .mend("give the rate on the label's own basis and by the same measure, fluid or weight"),
            );
            return verdicts;
        }
        Some(times) if times > 1.0 + HAIR => {
            let text = format!("{rate} is over the highest rate on the label, {}", range.highest);
            verdicts.push(
                Verdict::new("rate::highest", Status::Refused, Origin::Label, text)
                    .comparing(figure(rate), figure(&range.highest))
                    .by(clause)
                    .on(task)
                    .mend(over_rate_mend(times, &range.highest)),
            );
        }
        Some(_) => {
            let text = format!("{rate} is within the label's highest rate, {}", range.highest);
            verdicts.push(
                Verdict::new("rate::highest", Status::Allowed, Origin::Label, text)
                    .comparing(figure(rate), figure(&range.highest))
                    .by(clause)
                    .on(task),
            );
        }
    }
    if let Some(lowest) = &range.lowest
        && rate.ratio(lowest).is_some_and(|times| times < 1.0 - HAIR)
    {
        let (status, why) = if range.below_lowest_prohibited {
            (Status::Refused, "the label forbids less")
        } else {
            (
                Status::Caution,
                "less than the label's lowest rate is permitted federally unless the label forbids it (FIFRA section \
                 2(ee)); check the state; it may not control the pest and breeds resistance",
            )
        };
        let text = format!("{rate} is under the lowest rate on the label, {lowest}: {why}");
        verdicts.push(
            Verdict::new("rate::lowest", status, Origin::Label, text)
                .comparing(figure(rate), figure(lowest))
                .by(clause)
                .on(task)
                .mend(format!("raise the rate to {lowest}")),
        );
    }
    verdicts
}

/// Common slips leave their own mark on a rate that is far too high.
fn over_rate_mend(times: f64, highest: &Rate) -> String {
    let close = |to: f64| (times / to - 1.0).abs() < 0.25;
    let hint = if close(43.56) {
        "; about 43.56 times too high looks like a rate per acre taken for one per 1,000 sq ft"
    } else if close(128.0) {
        "; about 128 times too high looks like gallons taken for fluid ounces"
    } else {
        ""
    };
    format!("at most {highest}{hint}")
}

/// Holds what a rate comes to per area against the most that one application may put on a place.
pub(crate) fn judge_single(
    rate: &Rate,
    per_area: Option<AmountPerArea>,
    row: &UseRow,
    ground_words: &str,
    task: &str,
) -> Option<Verdict> {
    let maximum = row.maximum_single.value()?;
    let clause = row.maximum_single.clause().unwrap_or(&row.clause);
    let (Some(limit), Some(per_area)) = (maximum.per_area(), per_area) else {
        return Some(judge_single_of_its_basis(rate, maximum).by(clause).on(task));
    };
    let measured = area_figure(per_area, maximum);
    let times = per_area.ratio(limit);
    let verdict = match times {
        None => Verdict::new(
            "rate::maximum-single",
            Status::Refused,
            Origin::Label,
            format!("the label's maximum of {maximum} is of another measure than the product as used"),
        )
        .mend("give the rate by the same measure, fluid or weight, as the maximum"),
        Some(times) if times > 1.0 + HAIR => Verdict::new(
            "rate::maximum-single",
            Status::Refused,
            Origin::Label,
            format!("{ground_words} would get {}, over the maximum of {maximum} for one application", measured.show()),
        )
        .comparing(measured, figure(maximum))
        .mend(format!("lower it to {maximum} or less on every place, or cut the overlap")),
        Some(_) => Verdict::new(
            "rate::maximum-single",
            Status::Allowed,
            Origin::Label,
            format!("{ground_words} gets {}, within the maximum of {maximum} for one application", measured.show()),
        )
        .comparing(measured, figure(maximum)),
    };
    Some(verdict.by(clause).on(task))
}

/// A maximum per mound, plant or volume of spray, or one per area without a mapped area.
fn judge_single_of_its_basis(rate: &Rate, maximum: &Rate) -> Verdict {
    match rate.ratio(maximum) {
        Some(times) if times > 1.0 + HAIR => Verdict::new(
            "rate::maximum-single",
            Status::Refused,
            Origin::Label,
            format!("{rate} is over the maximum of {maximum} for one application"),
        )
        .comparing(figure(rate), figure(maximum))
        .mend(format!("at most {maximum}")),
        Some(_) => Verdict::new(
            "rate::maximum-single",
            Status::Allowed,
            Origin::Label,
            format!("{rate} is within the maximum of {maximum} for one application"),
        )
        .comparing(figure(rate), figure(maximum)),
        None => Verdict::new(
            "rate::maximum-single",
            Status::Caution,
            Origin::Assumed,
            format!("the label's maximum of {maximum} for one application cannot be held against {rate} here"),
        )
        .mend("draw the places on the map, or give the rate on the basis of the maximum"),
    }
}

/// Holds the spray per area against the label's range of carrier.
pub(crate) fn judge_carrier(required: &label::Requirements, extent: &Extent, task: &str) -> Vec<Verdict> {
    use quantity::VolumePerAreaUnit::UsGallonPer1000SquareFeet as Gallons;
    let Some(spray) = extent.spray_per_area() else { return Vec::new() };
    let shown = |volume: VolumePerArea| Figure::new(volume.to(Gallons), Gallons.symbol(), Gallons.ucum());
    let mut verdicts = Vec::new();
    let mut judge = |limit: &label::Required<VolumePerArea>, breached: bool, word: &str, mend: &str| {
        let status = if breached { crate::verdict::breach(limit.clause.strength) } else { Status::Allowed };
        let within = if breached { "is" } else { "is not" };
        let text =
            format!("spray of {} {within} {word} the label's {}", shown(spray).show(), shown(limit.value).show());
        let verdict = Verdict::new("carrier::volume", status, Origin::Label, text)
            .comparing(shown(spray), shown(limit.value))
            .by(&limit.clause)
            .on(task);
        verdicts.push(if breached { verdict.mend(mend) } else { verdict });
    };
    for least in required.carrier.at_least.iter() {
        let breached = spray.ratio(least.value) < 1.0 - HAIR;
        judge(least, breached, "under", "walk slower, or take a larger nozzle, and calibrate again");
    }
    for most in required.carrier.at_most.iter() {
        let breached = spray.ratio(most.value) > 1.0 + HAIR;
        judge(most, breached, "over", "walk faster, or take a smaller nozzle, and calibrate again");
    }
    verdicts
}

/// The sentence that a verdict on a rate stands on.
pub(crate) fn rate_clause(row: &UseRow) -> &Clause {
    row.rate.clause().unwrap_or(&row.clause)
}
