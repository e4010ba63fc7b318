//! Sprinklers: what each waters, how long it runs for a depth, and in which order the controller runs them.

use crate::watering::{CatchCans, PrecipitationRate};
use jiff::civil::DateTime;
use problem::{Problem, Problems};
use quantity::{Area, Duration, DurationUnit, Flow, Length, LengthUnit, Volume};

/// How fast a sprinkler zone waters, as it was measured.
#[derive(Debug, Clone, PartialEq)]
pub enum Delivery {
    /// By catch cans.
    Cans(CatchCans),
    /// By the water meter: how evenly it falls is not known.
    Flow {
        /// Water through the zone.
        flow: Flow,
        /// Ground that it waters.
        area: Area,
    },
}

/// One zone of a controller.
#[derive(Debug, Clone, PartialEq)]
pub struct SprinklerZone {
    name: String,
    delivery: Delivery,
    rate: PrecipitationRate,
    until_runoff: Duration,
    area: Option<Area>,
}

/// The slowest and the fastest rate that is taken for one of sprinklers (common practice, no source).
const RATES: [f64; 2] = [0.02, 10.0];

impl SprinklerZone {
    /// A zone, the time after which its water begins to run off, and the ground that it waters.
    ///
    /// # Errors
    /// All of these that are found: a rate below 0.02 or above 10 in an hour; less than a minute until runoff; ground that is
    /// not above nothing.
    pub fn new(
        name: impl Into<String>,
        delivery: Delivery,
        until_runoff: Duration,
        area: Option<Area>,
    ) -> Result<Self, Problems> {
        let name = name.into();
        let mut problems = Problems::new();
        let (rate, area) = match &delivery {
            Delivery::Cans(cans) => (cans.precipitation_rate(), area),
            Delivery::Flow { flow, area: watered } => (PrecipitationRate::of_flow(*flow, *watered), Some(*watered)),
        };
        let inches = rate.map_or(0.0, |rate| rate.per_hour().to(LengthUnit::Inch));
        if !(RATES[0]..=RATES[1]).contains(&inches) {
            let found = quantity::significant(inches, 3);
            problems.push(
                Problem::error("season::sprinkler-rate", format!("zone `{name}` gives `{found} in` of water an hour"))
                    .expected(format!("{} to {} in an hour", RATES[0], RATES[1]))
                    .mend("check the units of depths, time, flow and area"),
            );
        }
        if until_runoff.to(DurationUnit::Minute) < 1.0 {
            problems.push(
                Problem::error("season::runoff", format!("zone `{name}` has less than a minute until runoff"))
                    .expected("the minutes after which water begins to run off")
                    .mend("run the sprinkler and watch"),
            );
        }
        if area.is_some_and(|area| !area.is_positive()) {
            problems.push(
                Problem::error("season::zone-area", format!("zone `{name}` waters no ground"))
                    .expected("an area above nothing"),
            );
        }
        let Some(rate) = rate else { return Err(problems) };
        problems.unless_errors(Self { name, delivery, rate, until_runoff, area }).map(|(zone, _)| zone)
    }

    /// What it is called.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// How fast it waters.
    pub fn rate(&self) -> PrecipitationRate {
        self.rate
    }

    /// The catch cans, where it was measured with them.
    pub fn cans(&self) -> Option<&CatchCans> {
        match &self.delivery {
            Delivery::Cans(cans) => Some(cans),
            Delivery::Flow { .. } => None,
        }
    }

    /// The ground that it waters, where that is known.
    pub fn area(&self) -> Option<Area> {
        self.area
    }

    /// The time after which its water begins to run off.
    pub fn until_runoff(&self) -> Duration {
        self.until_runoff
    }

    /// How many times as long as evenly falling water it runs, so that the lowest quarter gets nearly enough; 1 where nobody knows
    /// how evenly it falls.
    ///
    /// # Source
    /// Run time multiplier of the Irrigation Association's audits, 1 / (0.4 + 0.6 x lowest-quarter uniformity) (from memory).
    pub fn multiplier(&self) -> f64 {
        self.cans().map_or(1.0, |cans| 1.0 / (0.4 + 0.6 * cans.lowest_quarter_uniformity()))
    }

    /// How long it runs, in whole minutes, and in how many runs, so that a depth reaches the roots and none runs off.
    pub fn runs_for(&self, depth: Length) -> ZoneRuns {
        if !depth.is_positive() {
            return ZoneRuns { cycles: 0, minutes: 0 };
        }
        let exact = self.rate.time_for(depth * self.multiplier()).to(DurationUnit::Minute);
        let most = self.until_runoff.to(DurationUnit::Minute).floor().max(1.0);
        // Three cycles and a rounding error are three.
        let cycles = (exact / most - 1e-9).ceil().max(1.0);
        let minutes = (exact / cycles - 1e-9).ceil().clamp(1.0, most);
        ZoneRuns { cycles: cycles as u32, minutes: minutes as u32 }
    }

    /// Water through the zone for a depth that reaches the roots; `None` where its ground is not known.
    pub fn water_for(&self, runs: ZoneRuns) -> Option<Volume> {
        let depth = self.rate.depth_in(Duration::new(f64::from(runs.in_all()), DurationUnit::Minute));
        Some(self.area? * depth)
    }
}

/// The runs of one zone on one day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ZoneRuns {
    /// How many.
    pub cycles: u32,
    /// How long each of them is, minutes.
    pub minutes: u32,
}

impl ZoneRuns {
    /// Minutes of all runs.
    pub fn in_all(self) -> u32 {
        self.cycles.saturating_mul(self.minutes)
    }
}

/// What the controller runs one after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Controller {
    zones: Vec<SprinklerZone>,
    soak: Duration,
}

impl Controller {
    /// Zones that run one at a time, and the pause in which water soaks in between two runs of one zone.
    ///
    /// # Errors
    /// All of these that are found: a pause below nothing or above 12 h; two zones of one name.
    pub fn new(zones: Vec<SprinklerZone>, soak: Duration) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        let minutes = soak.to(DurationUnit::Minute);
        if !(0.0..=720.0).contains(&minutes) {
            problems.push(
                Problem::error("season::soak", format!("a pause of `{minutes:.0} min` to soak in"))
                    .expected("0 to 12 h; 30 min is usual"),
            );
        }
        for (index, zone) in zones.iter().enumerate() {
            if zones[..index].iter().any(|other| other.name == zone.name) {
                problems.push(
                    Problem::error("season::zone-twice", format!("two zones are called `{}`", zone.name))
                        .expected("a name of its own for each zone"),
                );
            }
        }
        problems.unless_errors(Self { zones, soak }).map(|(controller, _)| controller)
    }

    /// The zones, in the order in which they run.
    pub fn zones(&self) -> &[SprinklerZone] {
        &self.zones
    }

    /// The pause in which water soaks in.
    pub fn soak(&self) -> Duration {
        self.soak
    }

    /// The runs that give a depth to every zone. The zone that may run first runs next; of several the one that stands first.
    pub fn program(&self, depth: Length, start: DateTime) -> Program {
        let soak = self.soak.to(DurationUnit::Minute).ceil() as i64;
        let mut left: Vec<(u32, i64)> = self.zones.iter().map(|zone| (zone.runs_for(depth).cycles, 0)).collect();
        let mut now = 0_i64;
        let mut runs = Vec::new();
        loop {
            let next =
                left.iter().enumerate().filter(|(_, (cycles, _))| *cycles > 0).min_by_key(|(_, (_, ready))| *ready);
            let Some((zone, (_, ready))) = next else { break };
            let from = now.max(*ready);
            let minutes = self.zones[zone].runs_for(depth).minutes;
            now = from + i64::from(minutes);
            runs.push(ControllerRun { zone, start: after(start, from), minutes });
            left[zone] = (left[zone].0 - 1, now + soak);
        }
        Program { depth, start, end: after(start, now), runs }
    }

    /// The deepest watering up to `wanted` whose program ends within so many minutes.
    pub fn fits(&self, wanted: Length, minutes: i64) -> Length {
        let ends = |depth: Length| {
            let start = DateTime::default();
            start.duration_until(self.program(depth, start).end).as_secs() <= minutes * 60
        };
        if minutes <= 0 || !wanted.is_positive() {
            return Length::ZERO;
        }
        // A depth that takes weeks needs no program to be known as too long.
        let longest = self.zones.iter().map(|zone| u64::from(zone.runs_for(wanted).in_all())).sum::<u64>();
        if longest <= minutes.unsigned_abs() && ends(wanted) {
            return wanted;
        }
        let (mut low, mut high) = (Length::ZERO, wanted);
        for _ in 0..24 {
            let middle = (low + high) / 2.0;
            let longest = self.zones.iter().map(|zone| u64::from(zone.runs_for(middle).in_all())).sum::<u64>();
            if longest <= minutes.unsigned_abs() && ends(middle) { low = middle } else { high = middle }
        }
        low
    }
}

fn after(start: DateTime, minutes: i64) -> DateTime {
    start.saturating_add(jiff::SignedDuration::from_mins(minutes))
}

/// One watering of all zones.
#[derive(Debug, Clone, PartialEq)]
pub struct Program {
    /// Depth that reaches the roots.
    pub depth: Length,
    /// When it begins.
    pub start: DateTime,
    /// When the last zone stops.
    pub end: DateTime,
    /// The runs in order of time; empty where no sprinkler is known.
    pub runs: Vec<ControllerRun>,
}

/// A run of one zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ControllerRun {
    /// Which zone, in the order of the controller.
    pub zone: usize,
    /// When it begins.
    pub start: DateTime,
    /// How long it runs.
    pub minutes: u32,
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use proptest::prelude::*;
    use quantity::{AreaUnit, FlowUnit};

    fn inches(value: f64) -> Length {
        Length::new(value, LengthUnit::Inch)
    }

    fn minutes(value: f64) -> Duration {
        Duration::new(value, DurationUnit::Minute)
    }

    fn with_cans(name: &str, depths: &[f64], until_runoff: f64) -> SprinklerZone {
        let cans = CatchCans::new(depths.iter().copied().map(inches).collect(), minutes(15.0)).unwrap();
        SprinklerZone::new(name, Delivery::Cans(cans), minutes(until_runoff), None).unwrap()
    }

    /// The cans of the acceptance example: 0.96 in/h, uniformity 0.8333, so that the multiplier is 1 / 0.9; 0.45 in take 28.125
    /// minutes, 31.25 with it, in four cycles of 8 minutes where 10 run off.
    #[test]
    fn uneven_water_runs_longer_and_in_cycles() {
        let zone = with_cans("lawn", &[0.21, 0.26, 0.29, 0.24, 0.19, 0.25, 0.23, 0.25], 10.0);
        assert!((zone.multiplier() - 1.0 / 0.9).abs() < 1e-12);
        assert_eq!(zone.runs_for(inches(0.45)), ZoneRuns { cycles: 4, minutes: 8 });
        assert_eq!(zone.runs_for(Length::ZERO), ZoneRuns { cycles: 0, minutes: 0 });
        // 16.98 gpm on 6,400 sq ft, 0.2554 in/h: an inch takes 234.96 minutes; nobody knows how evenly.
        let area = Area::new(6_400.0, AreaUnit::SquareFoot);
        let flow = Delivery::Flow { flow: Flow::new(16.98, FlowUnit::UsGallonPerMinute), area };
        let slow = SprinklerZone::new("back", flow, minutes(300.0), None).unwrap();
        assert_eq!((slow.multiplier(), slow.runs_for(inches(1.0))), (1.0, ZoneRuns { cycles: 1, minutes: 235 }));
        let gallons = slow.water_for(slow.runs_for(inches(1.0))).unwrap().to(quantity::VolumeUnit::UsGallon);
        assert!((gallons - 16.98 * 235.0).abs() < 1e-6);
    }

    #[test]
    fn one_zone_soaks_while_another_runs() {
        let even = [0.25; 4];
        let controller =
            Controller::new(vec![with_cans("front", &even, 10.0), with_cans("back", &even, 15.0)], minutes(20.0))
                .unwrap();
        // An inch an hour: half an inch is 30 minutes, three of ten and two of fifteen.
        let program = controller.program(inches(0.5), date(2026, 7, 8).at(5, 0, 0, 0));
        let told: Vec<(usize, String, u32)> =
            program.runs.iter().map(|run| (run.zone, run.start.strftime("%H:%M").to_string(), run.minutes)).collect();
        let run = |zone, clock: &str, minutes| (zone, clock.to_owned(), minutes);
        assert_eq!(
            told,
            [run(0, "05:00", 10), run(1, "05:10", 15), run(0, "05:30", 10), run(1, "05:45", 15), run(0, "06:00", 10)]
        );
        assert_eq!(program.end, date(2026, 7, 8).at(6, 10, 0, 0));
        assert_eq!(controller.fits(inches(0.5), 70), inches(0.5));
        let less = controller.fits(inches(0.5), 60);
        assert!(less < inches(0.5) && less > inches(0.3), "{less:?}");
        assert_eq!(controller.fits(inches(0.5), 0), Length::ZERO);
    }

    #[test]
    fn faults_are_told_together() {
        let none = Delivery::Flow { flow: Flow::ZERO, area: Area::ZERO };
        let problems = SprinklerZone::new("x", none, minutes(0.5), None).unwrap_err();
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, ["season::sprinkler-rate", "season::runoff", "season::zone-area"]);
        let zone = with_cans("front", &[0.25; 4], 10.0);
        let problems = Controller::new(vec![zone.clone(), zone], minutes(-1.0)).unwrap_err();
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, ["season::soak", "season::zone-twice"]);
    }

    proptest! {
        #[test]
        fn a_program_gives_the_depth_one_zone_at_a_time_and_never_to_runoff(
            drawn in prop::collection::vec((prop::collection::vec(0.02..0.6_f64, 4..9), 1.0..40.0_f64), 1..6),
            soak in 0.0..60.0_f64, depth in 0.01..2.0_f64, most in 1_i64..600,
        ) {
            let zones: Vec<SprinklerZone> =
                drawn.iter().enumerate().map(|(index, (cans, runoff))| with_cans(&index.to_string(), cans, *runoff)).collect();
            let controller = Controller::new(zones, minutes(soak)).unwrap();
            let program = controller.program(inches(depth), date(2026, 7, 8).at(4, 0, 0, 0));
            let end = |run: &ControllerRun| after(run.start, i64::from(run.minutes));
            prop_assert!(program.runs.windows(2).all(|pair| end(&pair[0]) <= pair[1].start));
            prop_assert!(program.runs.iter().all(|run| end(run) <= program.end && run.start >= program.start));
            for (index, zone) in controller.zones().iter().enumerate() {
                let own: Vec<&ControllerRun> = program.runs.iter().filter(|run| run.zone == index).collect();
                prop_assert!(own.iter().all(|run| f64::from(run.minutes) <= zone.until_runoff().to(DurationUnit::Minute)));
                let soaks = |pair: &[&ControllerRun]| end(pair[0]).duration_until(pair[1].start).as_secs() as f64 >= soak * 60.0;
                prop_assert!(own.windows(2).all(soaks));
                let given = zone.rate().depth_in(minutes(own.iter().map(|run| f64::from(run.minutes)).sum()));
                prop_assert!(given.to(LengthUnit::Inch) >= depth * zone.multiplier() - 1e-9);
            }
            let fitting = controller.fits(inches(depth), most);
            let start = date(2026, 7, 8).at(4, 0, 0, 0);
            prop_assert!(fitting <= inches(depth));
            prop_assert!(start.duration_until(controller.program(fitting, start).end).as_secs() <= most * 60);
        }
    }
}
