//! Published values that this crate must reach, each with its source.

use quantity::{Area, AreaUnit, Duration, DurationUnit, Flow, FlowUnit, Length, LengthUnit, Volume, VolumeUnit};
use season::grass::Grass;
use season::mowing::{check_cut, mow_at};
use season::root_zone::{Giving, RootZone, WaterDay, follow};
use season::sealing::{Joint, cartridges, reach};
use season::soil::AvailableWater;
use season::watering::{CatchCans, PrecipitationRate, plan_watering, water_for};

#[track_caller]
fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected} within {within}");
}

fn inches(value: f64) -> Length {
    Length::new(value, LengthUnit::Inch)
}

fn minutes(value: f64) -> Duration {
    Duration::new(value, DurationUnit::Minute)
}

/// Extension irrigation sheets: one inch is 0.6234 gal on a square foot, 623 gal on 1,000, 27,154 gal on an
/// acre; from 231 cu in to the gallon.
#[test]
fn an_inch_of_water() {
    let gallons = |value, unit| water_for(inches(1.0), Area::new(value, unit)).to(VolumeUnit::UsGallon);
    close(gallons(1.0, AreaUnit::SquareFoot), 0.6234, 0.000_05);
    close(gallons(1_000.0, AreaUnit::SquareFoot), 623.0, 0.5);
    close(gallons(1.0, AreaUnit::Acre), 27_154.0, 0.5);
}

/// NC Cooperative Extension AG-553-1 (1997), after Merriam and Keller 1978, solid set: depths in sixteen
/// cans. 16.98 gpm on 80 x 80 ft for 2.25 h is 0.5746 in, against a mean catch of 0.575. Christiansen
/// 74.8913 %, lowest quarter 55.2174 %, lower half 75.6522 %, worked out by hand from the depths.
#[test]
fn solid_set_catch() {
    let depths = [0.57, 0.69, 0.83, 0.65, 0.61, 0.38, 0.27, 0.64, 0.51, 0.26, 0.36, 0.52, 0.79, 0.65, 0.61, 0.86];
    let cans = CatchCans::new(depths.map(inches).to_vec(), minutes(135.0)).unwrap();
    close(cans.mean().to(LengthUnit::Inch), 0.575, 1e-12);
    close(100.0 * cans.christiansen_uniformity(), 74.8913, 0.000_05);
    close(100.0 * cans.lowest_quarter_uniformity(), 55.2174, 0.000_05);
    close(100.0 * cans.lower_half_uniformity(), 75.6522, 0.000_05);
    let area = Area::new(6_400.0, AreaUnit::SquareFoot);
    let rate = PrecipitationRate::of_flow(Flow::new(16.98, FlowUnit::UsGallonPerMinute), area).unwrap();
    close(rate.per_hour().to(LengthUnit::Inch), 0.2554, 0.000_05);
    close(rate.depth_in(minutes(135.0)).to(LengthUnit::Inch), 0.575, 0.0005);
}

/// Keller and Bliesner, and the Irrigation Association, for the definition; fifteen catches in millilitres
/// from a published audit: mean 30.7333, lowest four (15/4 rounded) 15.25 in the mean, 49.6204 %; lower
/// half (eight cans) 71.5835 %, Christiansen 69.1396 %. Shares do not depend on the unit.
#[test]
fn fifteen_cans() {
    let catches = [47.0, 42.0, 45.0, 24.0, 13.0, 26.0, 33.0, 34.0, 27.0, 30.0, 40.0, 44.0, 32.0, 12.0, 12.0];
    let millimetres = catches.map(|catch| Length::new(catch, LengthUnit::Millimetre));
    let cans = CatchCans::new(millimetres.to_vec(), minutes(15.0)).unwrap();
    close(cans.mean().to(LengthUnit::Millimetre), 30.7333, 0.000_05);
    close(100.0 * cans.lowest_quarter_uniformity(), 49.6204, 0.000_05);
    close(100.0 * cans.lower_half_uniformity(), 71.5835, 0.000_05);
    close(100.0 * cans.christiansen_uniformity(), 69.1396, 0.000_05);
}

/// Extension catch-can sheets: the mean depth of 15 minutes times 4 is inches per hour; the factor 96.25
/// for gallons per minute over square feet is 60 x 231 / 144. At 0.41285 in/h an inch takes 145.3 min.
#[test]
fn rates_and_run_times() {
    let quarter_hour = PrecipitationRate::new(inches(0.13), minutes(15.0)).unwrap();
    close(quarter_hour.per_hour().to(LengthUnit::Inch), 0.52, 1e-12);
    let one =
        PrecipitationRate::of_flow(Flow::new(1.0, FlowUnit::UsGallonPerMinute), Area::new(1.0, AreaUnit::SquareFoot));
    close(one.unwrap().per_hour().to(LengthUnit::Inch), 96.25, 1e-9);
    let slow = PrecipitationRate::new(inches(0.41285), minutes(60.0)).unwrap();
    let plan = plan_watering(inches(1.0), Length::ZERO, slow, minutes(200.0)).unwrap();
    close(plan.run.to(DurationUnit::Minute), 145.3, 0.05);
    assert_eq!(plan.cycles, 1);
}

/// Univ. of Tennessee Extension mowing table: height kept and height at which to mow, inches; printed to
/// one or two decimals (0.56 for 0.5625, 1.125 in full).
#[test]
fn one_third_rule() {
    for (kept, mown_at) in [(1.0, 1.5), (3.0, 4.5), (0.5, 0.75), (0.375, 0.56), (2.0, 3.0), (4.0, 6.0), (0.75, 1.125)] {
        close(mow_at(inches(kept)).to(LengthUnit::Inch), mown_at, 0.005);
        assert!(check_cut(mow_at(inches(kept)), inches(kept)).is_ok());
    }
}

/// A cartridge of 10.1 fl oz holds 18.227 cu in; in a joint of 1/4 x 1/4 in it reaches 24.303 ft, 3/8 x 1/4
/// 16.202, 1/2 x 1/4 12.152. Published: 24 to 27 ft for 10 oz cartridges, 20 to 30 ft. One calculator page
/// prints 50 to 55 ft, double of what the volume allows.
#[test]
fn reach_of_a_cartridge() {
    let cartridge = Volume::new(10.1, VolumeUnit::UsFluidOunce);
    close(cartridge.to(VolumeUnit::CubicInch), 18.227, 0.0005);
    let feet = |width| reach(cartridge, inches(width), inches(0.25)).unwrap().to(LengthUnit::Foot);
    for (width, reached) in [(0.25, 24.303), (0.375, 16.202), (0.5, 12.152)] {
        close(feet(width), reached, 0.0005);
    }
    assert!((24.0..=27.0).contains(&feet(0.25)));
    assert!(feet(0.25) < 50.0 / 2.0);
}

/// Sealant sheets: tubes = ceil(volume / (fl oz x 1.80469) x 1.05). 100 ft of 1/4 x 1/4 in are 75 cu in: 4.32
/// tubes of 10.1 fl oz with 5 %, so 5.
#[test]
fn tubes_with_five_percent() {
    let joint = Joint::new(Length::new(100.0, LengthUnit::Foot), inches(0.25), inches(0.25)).unwrap();
    let need = cartridges(&[joint], Volume::new(10.1, VolumeUnit::UsFluidOunce), 0.05).unwrap();
    close(need.exact, 75.0 / (10.1 * 1.80469) * 1.05, 0.000_05);
    assert_eq!(need.cartridges, 5);
}

/// FAO-56, example 36: a crop that uses 6 mm a day on a soil that holds 160 mm, of which 64 may go, with 55 mm gone at the
/// beginning (inputs from memory). Coefficients of stress and what is gone each evening are worked out by hand with equations 84 and
/// 85: from the third morning on (160 - gone) / 96.
#[test]
fn stress_in_a_drying_soil() {
    let share = AvailableWater::of_share(0.20).unwrap();
    let zone = RootZone::new(Length::new(0.8, LengthUnit::Metre), share, 0.4).unwrap();
    let mm = |depth| Length::new(depth, LengthUnit::Millimetre);
    close(zone.capacity().to(LengthUnit::Millimetre), 160.0, 1e-9);
    close(zone.allowance().to(LengthUnit::Millimetre), 64.0, 1e-9);
    let days: Vec<WaterDay> = (1..=5)
        .map(|day| WaterDay {
            date: jiff::civil::date(2026, 7, day),
            reference: mm(5.0),
            need: mm(6.0),
            rain: Length::ZERO,
            giving: Giving::Fixed(Length::ZERO),
        })
        .collect();
    let balance = follow(zone, mm(55.0), &days, |_, _| Length::ZERO);
    let expected = [(1.0, 61.0), (1.0, 67.0), (0.96875, 72.8125), (0.908_203, 78.261_719), (0.851_440, 83.370_361)];
    for (day, (stress, gone)) in balance.iter().zip(expected) {
        close(day.used.to(LengthUnit::Millimetre) / 6.0, stress, 1e-6);
        close(day.gone.to(LengthUnit::Millimetre), gone, 1e-5);
    }
}

/// University of California, monthly coefficients of turf after Meyer et al. 1985: the means of the twelve are .7875 and .6508
/// (`.80` and `.60` are what is usually told).
#[test]
fn turf_coefficients() {
    for (grass, mean) in [(Grass::CoolSeason, 0.7875), (Grass::WarmSeason, 0.6508)] {
        let all: f64 = (1..=12).map(|month| grass.coefficient(month)).sum();
        close(all / 12.0, mean, 0.000_05);
    }
}
