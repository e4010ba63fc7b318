//! What becomes of rinse water.

use quantity::{Volume, VolumeUnit};

/// The share of the next mix of the same product that rinsate may be.
///
/// # Source
/// Pesticide Environmental Stewardship, rinsate pages: up to 5 % of the next mix of that chemical.
pub const RINSATE_SHARE: f64 = 0.05;

/// How often a container is rinsed, and the share of its volume that each rinse takes.
///
/// # Source
/// The triple-rinse definition of the federal rules of 1974, as a compliance page gives it: three times,
/// each with ten per cent of the container's volume.
pub const TRIPLE_RINSES: (u32, f64) = (3, 0.10);

/// Rinsing a container.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rinse {
    /// How often.
    pub times: u32,
    /// Water for each.
    pub each: Volume,
    /// Water in all: rinsate, which goes into the spray tank.
    pub total: Volume,
}

/// The water for rinsing a container of a volume.
pub fn triple_rinse(container: Volume) -> Rinse {
    let (times, share) = TRIPLE_RINSES;
    let each = container * share;
    Rinse { times, each, total: each * f64::from(times) }
}

/// The most rinsate that the next mix of the same product may hold.
pub fn most_rinsate(next_mix: Volume) -> Volume {
    next_mix * RINSATE_SHARE
}

/// What becomes of rinsate that does not go into a mix.
const REST: &str = "spray the rest over ground that its label lists and that has not had its full rate; keep it \
                    labelled until then, and never pour it out";

/// What may become of rinsate of a product, however much there is.
pub fn rinsate_rule(product: &str) -> String {
    format!("rinsate of {product} may be up to 5 % of the next mix of it; {REST}")
}

/// What to do with so much rinsate of a product when the next mix of it is known, or none is planned.
pub fn rinsate_advice(product: &str, rinsate: Volume, next_mix: Option<Volume>) -> String {
    match next_mix {
        Some(next) if rinsate <= most_rinsate(next) => format!(
            "add the {} of rinsate to the next mix of {product}, {}, of which it may be up to 5 %",
            both(rinsate),
            both(next)
        ),
        Some(next) => format!(
            "add up to {} of the {} of rinsate to the next mix of {product}, {}: 5 % of it; {REST}",
            both(most_rinsate(next)),
            both(rinsate),
            both(next)
        ),
        None => format!("no next mix of {product} is planned for the {} of rinsate: {REST}", both(rinsate)),
    }
}

fn both(volume: Volume) -> String {
    format!("{} ({})", volume.show(VolumeUnit::UsGallon), volume.show(VolumeUnit::Litre))
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::VolumeUnit::{Litre, UsGallon};

    #[test]
    fn a_gallon_container_takes_three_rinses_of_a_tenth() {
        let rinse = triple_rinse(Volume::new(1.0, UsGallon));
        assert_eq!(rinse.times, 3);
        assert!((rinse.each.to(UsGallon) - 0.1).abs() < 1e-12 && (rinse.total.to(UsGallon) - 0.3).abs() < 1e-12);
    }

    #[test]
    fn rinsate_is_at_most_a_twentieth_of_the_next_mix_and_is_never_poured_out() {
        let litres = |value| Volume::new(value, Litre);
        assert_eq!(
            rinsate_advice("Brackwater", litres(0.3), Some(litres(7.0))),
            "add the 0.0793 gal (0.300 L) of rinsate to the next mix of Brackwater, 1.85 gal (7.00 L), of which it may \
             be up to 5 %"
        );
        let over = rinsate_advice("Brackwater", litres(0.5), Some(litres(7.0)));
        assert!(over.starts_with("add up to 0.0925 gal (0.350 L) of the 0.132 gal (0.500 L) of rinsate"), "{over}");
        for advice in [over, rinsate_advice("Brackwater", litres(0.5), None), rinsate_rule("Brackwater")] {
            assert!(advice.ends_with("never pour it out"), "{advice}");
        }
    }
}
