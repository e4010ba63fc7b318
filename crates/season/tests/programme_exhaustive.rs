//! The programme against every possible programme, on small seasons drawn by lot: the same optimum, always; the same
//! word on whether there is any; and every rule kept.

mod support;

use jiff::civil::date;
use label::{Site, Window};
use proptest::prelude::*;
use quantity::{Amount, AmountUnit, VolumeUnit};
use season::programme::{
    Answer, Blackout, Count, Effort, Forbidden, MinorUnits, PastApplication, Pin, Planned, Required, RuleKind,
    SeasonRequest, Stock, Week, WhyClosed, gain, solve, violations,
};
use support::{Use, cap, ground, in_a_row, interval, number, ounces, pest, pounds, product_cap, request};

/// Figures drawn one after the other.
struct Lot(Vec<u16>, usize);

impl Lot {
    fn below(&mut self, end: u16) -> u16 {
        let figure = self.0[self.1 % self.0.len()];
        self.1 += 1;
        figure % end
    }

    fn one_in(&mut self, of: u16) -> bool {
        self.below(of) == 0
    }

    fn tenths(&mut self, from: u16, to: u16) -> f64 {
        f64::from(from + self.below(to - from + 1)) / 10.0
    }
}

const LABELS: [&str; 2] = ["brackwater", "sallowick"];
const GROUPS: [&str; 2] = ["3A", "28"];

fn season(lot: &mut Lot) -> SeasonRequest {
    // At most some ten thousand programmes.
    let (weeks, grounds, uses) = [(7, 1, 3), (8, 1, 2), (5, 2, 2), (6, 1, 3), (9, 1, 2)][usize::from(lot.below(5))];
    let grounds: Vec<_> = (0..grounds)
        .map(|at| ground(["front", "back"][at], f64::from(1_000 + 500 * lot.below(4)), Site::Turf))
        .collect();
    let pests = 1 + usize::from(lot.below(2));
    let windows = [Window::CalendarYear, Window::TwelveMonths];
    let mut made = Vec::new();
    for at in 0..uses {
        let of_label = usize::from(lot.below(2));
        let curves: Vec<Vec<f64>> =
            (0..pests).map(|_| (0..=lot.below(4)).map(|_| lot.tenths(0, 10)).collect()).collect();
        let controls = curves.iter().enumerate().filter(|(pest, _)| *pest == 0 || curves.len() > 1);
        let mut of = Use {
            id: ["one", "two", "three"][at],
            label: LABELS[of_label],
            sites: &[Site::Turf],
            ounces: lot.tenths(1, 8),
            ingredient: ("exampthrin", lot.tenths(1, 4)),
            group: GROUPS[of_label],
            cents: i64::from(50 + lot.below(400)),
            controls: controls.map(|(pest, curve)| (pest, curve.as_slice())).collect(),
        }
        .made();
        if lot.one_in(2) {
            number(&mut of, 1 + u32::from(lot.below(3)), windows[usize::from(lot.below(2))]);
        }
        if lot.one_in(2) {
            cap(&mut of, lot.tenths(2, 9), windows[usize::from(lot.below(2))], lot.one_in(2));
        }
        if lot.one_in(3) {
            product_cap(&mut of, lot.tenths(5, 20), Window::CalendarYear);
        }
        if lot.one_in(2) {
            interval(&mut of, [7, 8, 14, 15, 21, 25][usize::from(lot.below(6))]);
        }
        if lot.one_in(3) {
            in_a_row(&mut of, 1 + u32::from(lot.below(2)));
        }
        made.push(of);
    }
    let generations = || {
        vec![
            (date(2026, 3, 2), date(2026, 3, 22), vec![1.0, 9.0, 4.0]),
            (date(2026, 3, 23), date(2026, 5, 3), vec![8.0, 2.0, 6.0]),
        ]
    };
    let pests = (0..pests)
        .map(|at| pest(["chinch bug", "ant"][at], f64::from(10 + lot.below(60)), generations(), lot.one_in(2)))
        .collect();
    let mut season = request(weeks, grounds, made, pests);
    if lot.one_in(2) {
        season.travel = MinorUnits(i64::from(lot.below(300)));
    }
    if lot.one_in(2) {
        season.budget = Some(MinorUnits(i64::from(300 + 200 * lot.below(10))));
    }
    if lot.one_in(4) {
        let amount = Amount::new(f64::from(1 + lot.below(4)), AmountUnit::Volume(VolumeUnit::UsFluidOunce));
        season.stock.push(Stock { label: LABELS[usize::from(lot.below(2))].to_owned(), amount });
    }
    if lot.one_in(4) {
        season.blackouts.push(Blackout {
            why: WhyClosed::ALL[usize::from(lot.below(3))],
            ground: lot.one_in(2).then_some(0),
            product_use: lot.one_in(2).then_some(0),
            from: date(2026, 3, 9),
            to: date(2026, 3, 20),
        });
    }
    if lot.one_in(3) {
        let used = usize::from(lot.below(2));
        season.past.push(PastApplication {
            date: [date(2025, 6, 1), date(2026, 1, 5), date(2026, 2, 20)][usize::from(lot.below(3))],
            ground: 0,
            product_use: lot.one_in(2).then_some(used),
            label: season.uses[used].label.clone(),
            per_area: ounces(0.4),
            ingredients: vec![("exampthrin".to_owned(), pounds(0.1))],
            groups: if lot.one_in(3) { Vec::new() } else { season.uses[used].groups.clone() },
        });
    }
    if lot.one_in(4) {
        let found = f64::from(lot.below(12));
        season.counts.push(Count { ground: 0, pest: 0, date: date(2026, 3, 17), found });
    }
    if lot.one_in(4) {
        season.demands.forbidden.push(Forbidden {
            ground: None,
            product_use: lot.one_in(2).then_some(0),
            weeks: Some((Week(lot.below(3)), Week(4))),
            reason: None,
        });
    }
    if lot.one_in(3) {
        let week = Week(lot.below(weeks));
        season.demands.pins.push(Pin { ground: 0, product_use: lot.one_in(2).then_some(1), week });
    }
    if lot.one_in(4) {
        season.demands.required.push(Required {
            ground: 0,
            pest: 0,
            share: lot.tenths(1, 7),
            from: date(2026, 3, 9),
            to: date(2026, 3, 24),
        });
    }
    season
}

/// Every programme, week by week; what breaks a rule already is not followed, since more applications mend nothing
/// but a demand.
fn best_of_all(season: &SeasonRequest) -> Option<f64> {
    let mut steps = Vec::new();
    for week in season.weeks.iter() {
        steps.extend((0..season.grounds.len()).map(|ground| (week, ground)));
    }
    let mut best = None;
    follow(season, &steps, &mut Vec::new(), &mut best);
    best
}

fn follow(season: &SeasonRequest, steps: &[(Week, usize)], planned: &mut Vec<Planned>, best: &mut Option<f64>) {
    let Some(((week, ground), rest)) = steps.split_first() else {
        if violations(season, planned).is_empty() {
            let gained = gain(season, planned);
            *best = Some(best.map_or(gained, |held| held.max(gained)));
        }
        return;
    };
    follow(season, rest, planned, best);
    for product_use in 0..season.uses.len() {
        planned.push(Planned { week: *week, ground: *ground, product_use });
        let broken = violations(season, planned);
        if broken.iter().all(|broken| matches!(broken.kind, RuleKind::Pinned | RuleKind::Required)) {
            follow(season, rest, planned, best);
        }
        planned.pop();
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 160, ..ProptestConfig::default() })]

    #[test]
    fn no_programme_is_better(lot in prop::collection::vec(any::<u16>(), 160)) {
        let season = season(&mut Lot(lot, 0));
        let best = best_of_all(&season);
        match (solve(&season, Effort { nodes: 100_000, rounds: 60, gap: 0.0, ..Effort::default() }), best) {
            (Ok(Answer::Programme(programme)), Some(best)) => {
                prop_assert!(violations(&season, &programme.planned).is_empty());
                prop_assert!((programme.proof.gain - gain(&season, &programme.planned)).abs() < 1e-9);
                prop_assert!((programme.proof.gain - best).abs() < 0.02, "{} is not {best}", programme.proof.gain);
                prop_assert!(programme.proof.is_optimal(), "{:?}", programme.proof);
            }
            (Ok(Answer::Conflict(conflict)), None) => {
                prop_assert!(!conflict.rules.is_empty());
                prop_assert!(conflict.is_irreducible);
            }
            (answer, best) => prop_assert!(false, "{answer:?} where the best of all is {best:?}"),
        }
    }
}
