//! Whether pests come to stand a group of action, over many treatments.

use jiff::civil::Date;
use problem::Problem;

use crate::count::t_value;
use crate::efficacy::{Control, EfficacyEstimate};

/// With fewer treatments, or fewer days of treatment, nothing is said of resistance. Common practice, no source.
pub const TREATMENTS_FOR_RESISTANCE: usize = 4;

/// Of fewer treatments the intervals of the line hold in 97 to 100 of a hundred cases, by simulation (`docs/scouting.md`).
const TREATMENTS_FOR_INTERVAL: usize = 12;

/// A treatment with the control that it reached.
#[derive(Debug, Clone, PartialEq)]
pub struct TreatmentResult {
    /// The day of the treatment.
    pub day: Date,
    /// The property.
    pub property: String,
    /// The group of the mode of action, such as `3A`.
    pub group: String,
    /// The control that was reached.
    pub estimate: EfficacyEstimate,
}

/// What the treatments with one group say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ResistanceSign {
    /// Fewer than [`TREATMENTS_FOR_RESISTANCE`] treatments or days.
    TooFew,
    /// Control does not fall for certain.
    NotFalling,
    /// It falls for certain, and the latest may still be what is expected.
    Falling,
    /// It falls for certain, and the latest lies below what is expected for certain.
    Signal,
}

/// The line of the logarithm of the survival over the treatments.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ResistanceTrend {
    /// By how many times survival grows from one day of treatment to the next.
    pub growth: f64,
    /// Ends of its 95 % interval.
    pub growth_interval: (f64, f64),
    /// Control at the first treatment, by the line.
    pub first: Control,
    /// Control at the last, by the line.
    pub last: Control,
    /// Ends of its 95 % interval, the lower first.
    pub last_interval: (Control, Control),
    /// How far visits scatter about the line beyond what their counts explain: the standard deviation of the logarithm of the
    /// survival.
    pub between_visits: f64,
}

/// What is known of one group.
#[derive(Debug, Clone, PartialEq)]
pub struct Resistance {
    /// The group.
    pub group: String,
    /// Treatments with it.
    pub treatments: usize,
    /// Days of treatment.
    pub days: usize,
    /// Properties.
    pub properties: usize,
    /// The line; `None` with too few.
    pub trend: Option<ResistanceTrend>,
    /// What they say.
    pub sign: ResistanceSign,
}

impl Resistance {
    /// What is to be known of the 95 % intervals of the line; `None` where they hold as often as stated, and without a line.
    pub fn interval_doubt(&self) -> Option<Problem> {
        let Self { group, treatments, trend, .. } = self;
        trend.filter(|_| *treatments < TREATMENTS_FOR_INTERVAL).map(|_| {
            Problem::warning(
                "scouting::resistance-interval-wide",
                format!(
                    "`{treatments}` treatments with group `{group}` are few, so that the 95 % intervals of the growth of the \
                     survival and of the latest control are wider than need be"
                ),
            )
            .expected(format!("{TREATMENTS_FOR_INTERVAL} treatments or more; of fewer a rise is found seldom"))
            .mend("count after further treatments")
        })
    }
}

/// What treatments say of resistance, group by group.
///
/// The logarithm of the survival over the days of treatment, counted from the first: a line by weighted least squares, each
/// treatment weighted by the variance of its estimate and by that between visits; intervals by Student's t. It is a sign
/// only where survival grows for certain and the control of the latest day lies below what is expected for certain. What
/// changed besides (stage, rate, weather) is not known here: it is to be ruled out first.
///
/// # Source
/// Variance between visits: Paule and Mandel 1982, J. Res. Natl. Bur. Stand. 87: 377-385; variance of the line: Knapp and
/// Hartung 2003, Stat. Med. 22: 2693-2710 (both from memory). The least number and what makes a sign: common practice, no
/// source.
pub fn resistance(results: &[TreatmentResult], expected: Control) -> Vec<Resistance> {
    let mut groups: Vec<&str> = results.iter().map(|one| one.group.as_str()).collect();
    groups.sort_unstable();
    groups.dedup();
    groups.into_iter().map(|group| of_group(group, results, expected)).collect()
}

fn of_group(group: &str, results: &[TreatmentResult], expected: Control) -> Resistance {
    let of_group: Vec<&TreatmentResult> = results.iter().filter(|one| one.group == group).collect();
    let mut days: Vec<Date> = of_group.iter().map(|one| one.day).collect();
    days.sort_unstable();
    days.dedup();
    let mut properties: Vec<&str> = of_group.iter().map(|one| one.property.as_str()).collect();
    properties.sort_unstable();
    properties.dedup();
    let is_enough = of_group.len() >= TREATMENTS_FOR_RESISTANCE && days.len() >= TREATMENTS_FOR_RESISTANCE;
    let trend = is_enough.then(|| line(&of_group, &days)).flatten();
    let sign = match &trend {
        None => ResistanceSign::TooFew,
        Some(trend) if trend.growth_interval.0 <= 1.0 => ResistanceSign::NotFalling,
        Some(trend) if trend.last_interval.1 >= expected => ResistanceSign::Falling,
        Some(_) => ResistanceSign::Signal,
    };
    Resistance {
        group: group.to_owned(),
        treatments: of_group.len(),
        days: days.len(),
        properties: properties.len(),
        trend,
        sign,
    }
}

/// A point of the line: day of treatment, logarithm of the survival, its variance.
type Told = (f64, f64, f64);

fn line(results: &[&TreatmentResult], days: &[Date]) -> Option<ResistanceTrend> {
    let points: Vec<Told> = results
        .iter()
        .map(|one| {
            let (log, spread) = one.estimate.log_survival;
            (days.partition_point(|day| *day < one.day) as f64, log, spread * spread)
        })
        .collect();
    let freedom = points.len() - 2;
    let t = t_value(0.95, freedom)?;
    let between = between_visits(&points, freedom as f64);
    let fit = Fit::of(&points, between)?;
    // Visits that scatter less than their counts say do so by chance.
    let scale = (fit.square / freedom as f64).max(1.0);
    let last = days.len() as f64 - 1.0;
    let at = |day: f64| fit.middle.1 + fit.slope * (day - fit.middle.0);
    let spread_at = |day: f64| (scale * (1.0 / fit.weight + (day - fit.middle.0).powi(2) / fit.along)).sqrt();
    let reach = t * (scale / fit.along).sqrt();
    let control = |log: f64| Control::known(1.0 - log.exp());
    Some(ResistanceTrend {
        growth: fit.slope.exp(),
        growth_interval: ((fit.slope - reach).exp(), (fit.slope + reach).exp()),
        first: control(at(0.0)),
        last: control(at(last)),
        last_interval: (control(at(last) + t * spread_at(last)), control(at(last) - t * spread_at(last))),
        between_visits: between.sqrt(),
    })
}

/// A weighted line.
struct Fit {
    weight: f64,
    middle: (f64, f64),
    along: f64,
    slope: f64,
    /// Weighted sum of the squares about the line.
    square: f64,
}

impl Fit {
    fn of(points: &[Told], between: f64) -> Option<Self> {
        let weight_of = |point: &Told| 1.0 / (point.2 + between).max(1e-12);
        let sum = |of: &dyn Fn(&Told) -> f64| -> f64 { points.iter().map(|point| weight_of(point) * of(point)).sum() };
        let weight = sum(&|_| 1.0);
        let middle = (sum(&|point| point.0) / weight, sum(&|point| point.1) / weight);
        let along = sum(&|point| (point.0 - middle.0).powi(2));
        let slope = sum(&|point| (point.0 - middle.0) * (point.1 - middle.1)) / along;
        let square = sum(&|point| (point.1 - middle.1 - slope * (point.0 - middle.0)).powi(2));
        (along > 0.0 && slope.is_finite()).then_some(Self { weight, middle, along, slope, square })
    }
}

/// The variance between visits at which they scatter about the line as much as is expected; nothing where the counts
/// explain all.
fn between_visits(points: &[Told], freedom: f64) -> f64 {
    let excess = |between: f64| Fit::of(points, between).map_or(0.0, |fit| fit.square - freedom);
    if excess(0.0) <= 0.0 {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, 1.0);
    while excess(high) > 0.0 && high < 1e6 {
        high *= 2.0;
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if excess(middle) > 0.0 { low = middle } else { high = middle }
    }
    high
}

#[cfg(test)]
mod tests;
