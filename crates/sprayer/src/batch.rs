//! Tanks, and the product measured into each.

use crate::refusal::{ABOVE_HIGHEST_DOSE, BELOW_LOWEST_DOSE, FINER_MEASURE};
use problem::{Problem, Problems};
use quantity::{
    Amount, AmountPerArea, AmountUnit, Area, AreaUnit, Graduation, MeasureError, Rate, Volume, VolumePerArea,
    VolumeUnit, measured,
};

/// Product in finished spray.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Concentration {
    amount: Amount,
    spray: Volume,
}

impl Concentration {
    /// So much product in so much finished spray; `None` unless the spray is more than nothing and
    /// the product not less.
    pub fn new(amount: Amount, spray: Volume) -> Option<Self> {
        (spray.is_positive() && !below_nothing(amount)).then_some(Self { amount, spray })
    }

    /// What a rate per area needs at an output of spray per area; `None` unless the output is more
    /// than nothing.
    pub fn of_rate(rate: AmountPerArea, output: VolumePerArea) -> Option<Self> {
        let area = Area::new(1_000.0, AreaUnit::SquareFoot);
        Self::new(rate.over(area), output * area)
    }

    /// What a rate by dilution says; `None` for a rate on another basis.
    pub fn of_dilution(rate: &Rate) -> Option<Self> {
        let gallon = Volume::new(1.0, VolumeUnit::UsGallon);
        Self::new(rate.in_spray(gallon)?, gallon)
    }

    /// The product in a volume of spray.
    pub fn in_spray(self, spray: Volume) -> Amount {
        self.amount.scaled(spray.ratio(self.spray))
    }

    /// The rate per area that an output of spray per area puts down.
    pub fn rate_at(self, output: VolumePerArea) -> AmountPerArea {
        self.amount.per_area(self.spray / output)
    }
}

/// The product wanted in the spray, and the bounds that rounding must keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dose {
    /// Wanted.
    pub wanted: Concentration,
    /// The most that any tank may hold; `None` where nothing limits it.
    pub at_most: Option<Concentration>,
    /// The least that any tank must hold; `None` where nothing demands it.
    pub at_least: Option<Concentration>,
}

/// Spray to be mixed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MixOrder {
    /// All the spray.
    pub spray: Volume,
    /// The tank.
    pub tank: Volume,
    /// The product in it.
    pub dose: Dose,
    /// The measure in hand.
    pub graduation: Graduation,
}

/// One tank, or one load of a spreader.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Batch {
    /// Spray in it; `None` for a dry product.
    pub spray: Option<Volume>,
    /// Product, unrounded.
    pub product: Amount,
    /// Product to measure, on a mark.
    pub measured: Amount,
}

impl Batch {
    /// Measured over unrounded: what rounding makes of any rate.
    pub fn measured_share(&self) -> f64 {
        self.measured.ratio(self.product).unwrap_or(f64::NAN)
    }

    /// The area that it covers at an output of spray per area; `None` for a dry product.
    pub fn covers(&self, output: VolumePerArea) -> Option<Area> {
        self.spray.map(|spray| spray / output)
    }
}

/// Every tank of a job.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchPlan {
    /// Number of full tanks.
    pub full_tanks: u32,
    /// A full tank, even when none is filled; `None` only when none is filled and the measure is too
    /// coarse for it.
    pub full: Option<Batch>,
    /// The tanks filled in part, after the full ones: one with what is left, or several that share the
    /// spray evenly; none when the spray fills tanks exactly.
    pub part_filled: Vec<Batch>,
    /// The measure.
    pub graduation: Graduation,
}

impl BatchPlan {
    /// Every batch in the order of filling.
    pub fn batches(&self) -> impl Iterator<Item = Batch> + '_ {
        let full = self.full.into_iter().cycle().take(self.full_tanks as usize);
        full.chain(self.part_filled.iter().copied())
    }

    /// The last tank when it is filled in part: with what is left, or evenly with those before it;
    /// `None` when the spray fills tanks exactly.
    pub fn last(&self) -> Option<Batch> {
        self.part_filled.last().copied()
    }

    /// Number of batches.
    pub fn count(&self) -> u32 {
        self.full_tanks + self.part_filled.len() as u32
    }

    /// All the spray; `None` for a dry product.
    pub fn spray(&self) -> Option<Volume> {
        self.batches().map(|batch| batch.spray).sum_of_some()
    }

    /// All the product, unrounded.
    pub fn product(&self) -> Amount {
        self.total(|batch| batch.product)
    }

    /// All the product as measured.
    pub fn measured(&self) -> Amount {
        self.total(|batch| batch.measured)
    }

    fn total(&self, of: impl Fn(Batch) -> Amount) -> Amount {
        let nothing = self.graduation.step().scaled(0.0);
        self.batches().fold(nothing, |sum, batch| sum.checked_add(of(batch)).unwrap_or(sum))
    }
}

trait SumOfSome {
    fn sum_of_some(self) -> Option<Volume>;
}

impl<I: Iterator<Item = Option<Volume>>> SumOfSome for I {
    fn sum_of_some(mut self) -> Option<Volume> {
        self.try_fold(Volume::ZERO, |sum, spray| Some(sum + spray?))
    }
}

/// Most tanks in one job: more is a slip of the pen.
const MOST_TANKS: f64 = 10_000.0;

/// Below this share of a tank, what is left is the rounding of the arithmetic.
const NO_TANK: f64 = 1e-9;

/// Full tanks, then one last tank that is exact. Each holds the product to the nearest mark, or to
/// the mark below where the nearest would pass the most allowed.
///
/// Where the measure is too coarse for so little as is left for the last tank, the last two tanks
/// share their spray evenly; where that does not help, or the measure is too coarse for a full tank,
/// all tanks share the spray evenly. No tank holds more than a full one, and their number is the same.
///
/// # Errors
/// All of these that are found:
/// - spray or tank not above nothing, or more than 10,000 tanks;
/// - a dose of no product;
/// - product and measure of different dimensions: one a volume, the other a mass;
/// - the dose wanted above the most or below the least allowed;
/// - a measure too coarse for a full or the last tank, however shared; the message names a mark that
///   would do.
pub fn plan_batches(order: &MixOrder) -> Result<BatchPlan, Problems> {
    check(order)?;
    let tanks = order.spray.ratio(order.tank);
    let mut full_tanks = tanks.floor();
    if tanks - full_tanks > 1.0 - NO_TANK {
        full_tanks += 1.0;
    }
    let rest = order.spray - order.tank * full_tanks;
    let mut problems = Problems::new();
    let full = match batch(order, order.tank) {
        Ok(batch) => Some(batch),
        Err(problem) => {
            if full_tanks > 0.0 {
                problems.push(problem.at("full tank"));
            }
            None
        }
    };
    let last = (rest.ratio(order.tank) > NO_TANK).then(|| batch(order, rest)).transpose();
    let last = last.unwrap_or_else(|problem| {
        problems.push(problem.at("last tank"));
        None
    });
    let full_tanks = full_tanks as u32;
    let graduation = order.graduation;
    let plan = BatchPlan { full_tanks, full, part_filled: last.into_iter().collect(), graduation };
    if problems.has_errors() && rest.ratio(order.tank) > NO_TANK {
        let shares = shares(full_tanks, |full_tanks, tanks| {
            let spray = order.spray - order.tank * f64::from(full_tanks);
            batch(order, spray / f64::from(tanks)).ok()
        });
        if let Some((full_tanks, part_filled)) = shares.filter(|(full_tanks, _)| *full_tanks == 0 || full.is_some()) {
            return Ok(BatchPlan { full_tanks, part_filled, ..plan });
        }
    }
    problems.unless_errors(plan).map(|(plan, _)| plan)
}

/// The last two tanks, or else all of them, each with an even share of what the full ones before them
/// leave, made by `share` from the number of full tanks and of those that share; with the number of
/// full tanks. `None` where there is no second tank, or no share can be measured.
pub(crate) fn shares(full_tanks: u32, share: impl Fn(u32, u32) -> Option<Batch>) -> Option<(u32, Vec<Batch>)> {
    let all = full_tanks + 1;
    [2, all].into_iter().filter(|tanks| (2..=all).contains(tanks)).find_map(|tanks| {
        let before = all - tanks;
        Some((before, vec![share(before, tanks)?; tanks as usize]))
    })
}

fn check(order: &MixOrder) -> Result<(), Problems> {
    let mut problems = Problems::new();
    for (what, volume) in [("spray", order.spray), ("tank", order.tank)] {
        if !volume.is_positive() {
            let found = format!("{what} of `{} gal`", volume.to(VolumeUnit::UsGallon));
            problems.push(Problem::error("sprayer::no-volume", found).expected("more than nothing"));
        }
    }
    if order.tank.is_positive() && order.spray.ratio(order.tank) > MOST_TANKS {
        problems.push(
            Problem::error("sprayer::too-many-tanks", format!("`{:.0}` tanks", order.spray.ratio(order.tank)))
                .expected("10,000 tanks at most")
                .mend("check the units of spray and tank"),
        );
    }
    let dose = &order.dose;
    if !above_nothing(dose.wanted.amount) {
        problems.push(
            Problem::error("sprayer::no-dose", "no product in the spray")
                .expected("more than nothing")
                .mend("leave the product out of the mix, or correct its rate"),
        );
    }
    for (what, concentration) in
        [("dose", Some(dose.wanted)), ("highest dose", dose.at_most), ("lowest dose", dose.at_least)]
    {
        if concentration.is_some_and(|held| held.amount.ratio(order.graduation.step()).is_none()) {
            problems.push(dimension_differs(what, order.graduation));
        }
    }
    let over = |a: Concentration, b: Concentration| {
        let (a, b) = (a.in_spray(order.tank), b.in_spray(order.tank));
        let unit = order.graduation.unit();
        a.to(unit).zip(b.to(unit)).is_some_and(|(a, b)| a > b * (1.0 + 1e-9))
    };
    if dose.at_most.is_some_and(|at_most| over(dose.wanted, at_most)) {
        problems.push(
            Problem::error(ABOVE_HIGHEST_DOSE, "the dose wanted is above the highest")
                .expected("a dose up to the highest")
                .mend("lower the rate, or raise the spray per area within the label"),
        );
    }
    if dose.at_least.is_some_and(|at_least| over(at_least, dose.wanted)) {
        problems.push(
            Problem::error(BELOW_LOWEST_DOSE, "the dose wanted is below the lowest")
                .expected("a dose from the lowest up"),
        );
    }
    problems.unless_errors(()).map(|((), _)| ())
}

pub(crate) fn dimension_differs(what: &str, graduation: Graduation) -> Problem {
    let (is, measure) = match graduation.unit() {
        AmountUnit::Volume(_) => ("a mass", "volumes"),
        AmountUnit::Mass(_) => ("a volume", "masses"),
    };
    Problem::error(
        "sprayer::dimension",
        format!("the {what} is {is}, the measure of `{graduation}` measures {measure}"),
    )
    .expected("both by volume, or both by mass")
    .mend("weigh dry products on a scale and measure liquids in a cylinder")
}

fn batch(order: &MixOrder, spray: Volume) -> Result<Batch, Box<Problem>> {
    let product = order.dose.wanted.in_spray(spray);
    let at_most = order.dose.at_most.map(|at_most| at_most.in_spray(spray));
    let at_least = order.dose.at_least.map(|at_least| at_least.in_spray(spray));
    let measured = on_the_measure(product, order.graduation, at_most, at_least)?;
    Ok(Batch { spray: Some(spray), product, measured })
}

/// The amount to measure, with or without a limit.
pub(crate) fn on_the_measure(
    exact: Amount,
    graduation: Graduation,
    at_most: Option<Amount>,
    at_least: Option<Amount>,
) -> Result<Amount, Box<Problem>> {
    // Without a limit, the mark above the amount is as far as rounding goes.
    let at_most = at_most.or_else(|| graduation.up(exact)).unwrap_or(exact);
    let exact_fails = match measured(exact, graduation, at_most, at_least) {
        Ok(measured) => return Ok(measured.amount()),
        Err(error) => error,
    };
    // The mark above is lawful too where the nearest one falls below the least.
    let above = graduation.up(exact).and_then(|mark| measured(mark, graduation, at_most, at_least).ok());
    if let Some(above) = above.filter(|above| at_least.is_some() && !below_nothing(above.amount())) {
        return Ok(above.amount());
    }
    Err(Box::new(match exact_fails {
        MeasureError::NeedsFinerMeasure(needs) => needs.into_problem(FINER_MEASURE),
        MeasureError::DimensionDiffers => dimension_differs("dose", graduation),
    }))
}

fn above_nothing(amount: Amount) -> bool {
    match amount {
        Amount::Volume(volume) => volume.is_positive(),
        Amount::Mass(mass) => mass.is_positive(),
    }
}

fn below_nothing(amount: Amount) -> bool {
    match amount {
        Amount::Volume(volume) => volume < Volume::ZERO,
        Amount::Mass(mass) => mass < quantity::Mass::ZERO,
    }
}

#[cfg(test)]
mod tests;
