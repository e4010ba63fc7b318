//! Where in a walk the tank is filled.

/// A pass of a walk as the tank sees it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Draught {
    /// Metres sprayed, at most what one tank sprays.
    pub(crate) length: f64,
    /// What a trip to the tap just before it costs more than going on, in metres.
    pub(crate) detour: f64,
}

/// The passes before which the tank is filled: as few as the order allows, and then with the least walking. The sum of
/// lengths between two fillings is never more than one tank.
pub(crate) fn fillings(passes: &[Draught], tank: f64) -> Vec<usize> {
    let count = passes.len();
    // The best of having walked the first so many passes with the last filling before one of them.
    let mut best: Vec<(usize, f64, usize)> = vec![(usize::MAX, f64::MAX, 0); count + 1];
    best[0] = (0, 0.0, 0);
    for done in 1..=count {
        let mut sum = 0.0;
        for first in (0..done).rev() {
            sum += passes[first].length;
            if sum > tank {
                break;
            }
            if best[first].0 == usize::MAX {
                continue;
            }
            let trip = if first == 0 { 0.0 } else { passes[first].detour };
            let offer = (best[first].0 + usize::from(first > 0), best[first].1 + trip);
            if (offer.0, offer.1) < (best[done].0, best[done].1) {
                best[done] = (offer.0, offer.1, first);
            }
        }
    }
    let mut fillings = Vec::new();
    let mut done = count;
    while done > 0 {
        done = best[done].2;
        if done > 0 {
            fillings.push(done);
        }
    }
    fillings.reverse();
    fillings
}

/// Where a pass must be stopped for a walk to do with the fewest fillings: which pass, and how far along it the tank is
/// empty.
pub(crate) fn first_overflow(lengths: &[f64], tank: f64) -> Vec<(usize, f64)> {
    let mut cuts = Vec::new();
    let mut left = tank;
    for (index, length) in lengths.iter().enumerate() {
        let mut from = 0.0;
        while length - from > left {
            from += left;
            cuts.push((index, from));
            left = tank;
        }
        left -= length - from;
    }
    cuts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tank_never_runs_dry_and_trips_are_short() {
        let passes: Vec<Draught> = [(10.0, 9.0), (10.0, 0.5), (10.0, 9.0), (10.0, 1.0)]
            .map(|(length, detour)| Draught { length, detour })
            .into();
        assert_eq!(fillings(&passes, 40.0), Vec::<usize>::new());
        assert_eq!(fillings(&passes, 30.0), [1]);
        assert_eq!(fillings(&passes, 20.0), [2], "two fillings would be shorter to walk, one is enough");
        assert_eq!(fillings(&passes, 10.0), [1, 2, 3]);
    }

    #[test]
    fn cuts_are_where_the_tank_is_empty() {
        assert_eq!(first_overflow(&[10.0, 10.0, 10.0], 15.0), [(1, 5.0), (2, 10.0)].map(|cut: (usize, f64)| cut)[..1]);
        assert_eq!(first_overflow(&[25.0], 10.0), [(0, 10.0), (0, 20.0)]);
    }
}
