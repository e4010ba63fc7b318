//! Flow, speed, width and output.

use super::{close, exact};
use quantity::{
    Area, AreaUnit, Flow, FlowUnit, Length, LengthUnit, Speed, SpeedUnit, VolumePerArea, VolumePerAreaUnit,
};
use sprayer::{course_length, effective_width, flow_needed, output_of, speed_needed};

fn mph(value: f64) -> Speed {
    Speed::new(value, SpeedUnit::MilePerHour)
}

fn gpm(value: f64) -> Flow {
    Flow::new(value, FlowUnit::UsGallonPerMinute)
}

fn inches(value: f64) -> Length {
    Length::new(value, LengthUnit::Inch)
}

fn feet(value: f64) -> Length {
    Length::new(value, LengthUnit::Foot)
}

fn gallons_per_acre(output: Option<VolumePerArea>) -> f64 {
    output.unwrap().to(VolumePerAreaUnit::UsGallonPerAcre)
}

/// Univ. of Missouri Extension, worksheet G1270a: GPM = GPA x MPH x inches / 5940, exact. Cornell
/// Univ. boom-calibration sheet: 20 gal/acre, 4 mph, 20 in.
#[test]
fn gallons_per_minute() {
    let flow = flow_needed(VolumePerArea::new(20.0, VolumePerAreaUnit::UsGallonPerAcre), mph(4.0), inches(20.0));
    exact(flow.to(FlowUnit::UsGallonPerMinute), 20.0 * 4.0 * 20.0 / 5940.0);
    close(flow.to(FlowUnit::UsGallonPerMinute), 0.2694, 0.000_05);
    let speed = speed_needed(flow, VolumePerArea::new(20.0, VolumePerAreaUnit::UsGallonPerAcre), inches(20.0));
    exact(speed.unwrap().to(SpeedUnit::MilePerHour), 4.0);
}

/// The same worksheet's constants in other units: 46.4 (printed; 5940/128) for fluid ounces per
/// minute, 495 for feet of width, 136 (printed; 5940/43.56) for gallons per 1,000 sq ft; and
/// L/ha = 600 x L/min / (m x km/h), exact.
#[test]
fn constants_in_other_units() {
    let one_inch = output_of(Flow::new(1.0, FlowUnit::UsFluidOuncePerMinute), mph(1.0), inches(1.0));
    close(gallons_per_acre(one_inch), 46.4, 0.05);
    exact(gallons_per_acre(output_of(gpm(1.0), mph(1.0), feet(1.0))), 495.0);
    let per_1000 = output_of(gpm(1.0), mph(1.0), inches(1.0)).unwrap();
    close(per_1000.to(VolumePerAreaUnit::UsGallonPer1000SquareFeet), 136.36, 0.005);
    let metric = output_of(
        Flow::new(1.0, FlowUnit::LitrePerMinute),
        Speed::new(1.0, SpeedUnit::KilometrePerHour),
        Length::new(1.0, LengthUnit::Metre),
    );
    exact(metric.unwrap().to(VolumePerAreaUnit::LitrePerHectare), 600.0);
}

/// Albany County (Wyoming) Weed and Pest District: 480 fl oz/min, 5 mph, swath 222 in: 20 gal/acre by
/// either form. Mesa County (Colorado) pest office: GPA = 495 GPM / (mph x ft).
#[test]
fn gallons_per_acre_from_a_swath() {
    let flow = Flow::new(480.0, FlowUnit::UsFluidOuncePerMinute);
    exact(flow.to(FlowUnit::UsGallonPerMinute), 3.75);
    close(gallons_per_acre(output_of(flow, mph(5.0), inches(222.0))), 20.0, 0.1);
    exact(gallons_per_acre(output_of(flow, mph(5.0), inches(222.0))), 495.0 * 3.75 / (5.0 * 18.5));
}

/// A state examination page works 0.15 gpm, 5 mph, 48 in out as 327 gal/acre, forgetting that 1 mph is
/// 88 ft/min; it is 3.71.
#[test]
fn the_exam_page_slip_is_not_repeated() {
    close(gallons_per_acre(output_of(gpm(0.15), mph(5.0), inches(48.0))), 3.71, 0.005);
}

/// Univ. of Kentucky, ENTFACT-805: width is 80 % of the whole swath; course = 5,445 ft² / width for
/// 1/8 acre. An orchard trade article: 436 ft (435.6) at 10 ft is 1/10 acre, 4 gal on it 40 gal/acre.
#[test]
fn courses_for_a_share_of_an_acre() {
    let eighth = Area::new(1.0 / 8.0, AreaUnit::Acre);
    let width = effective_width(feet(37.5));
    exact(width.to(LengthUnit::Foot), 30.0);
    exact(course_length(eighth, width).unwrap().to(LengthUnit::Foot), 5_445.0 / 30.0);
    let tenth = Area::new(1.0 / 10.0, AreaUnit::Acre);
    close(course_length(tenth, feet(10.0)).unwrap().to(LengthUnit::Foot), 436.0, 0.5);
    let four = quantity::Volume::new(4.0, quantity::VolumeUnit::UsGallon);
    exact((four / tenth).to(VolumePerAreaUnit::UsGallonPerAcre), 40.0);
}
