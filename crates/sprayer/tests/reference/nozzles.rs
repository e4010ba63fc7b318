//! Sizes of tips, and flow against pressure.
//!
//! `iso10625_nozzle_sizes.csv`: gallons per minute at 40 psi and colours from Univ. of Arizona
//! (McCloskey, Andrade-Sanchez, Brown 2012), Table 1; litres per minute at 2 bar, and litres per
//! hectare at 6 km/h and 50 cm, from a supplier's table; the litres per minute at 3 bar from memory,
//! so that they are only ever checked through the other two. The supplier prints 0.98 L/min for
//! size 025, a slip (its 164 L/ha is right): the cell is left empty.

use super::close;
use quantity::{Flow, FlowUnit, Length, LengthUnit, Speed, SpeedUnit, VolumePerAreaUnit};
use sprayer::{NozzleSize, NozzleWear, Pressure, PressureUnit, flow_at_pressure, output_of, tips_off_the_mean};

const TABLE: &str = include_str!("iso10625_nozzle_sizes.csv");

fn pressure(value: f64, unit: PressureUnit) -> Pressure {
    Pressure::new(value, unit).unwrap()
}

/// Printed digits: 0.005 gpm would be half a digit at 40 psi, but the sizes themselves are nominal and
/// differ by 2 % between the metric and the US series; 2-bar flows to 0.005 L/min; outputs to 0.5 L/ha.
#[test]
fn sizes_colours_and_flows() {
    let mut flows = 0;
    for line in TABLE.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let number = |index: usize| fields[index].parse::<f64>().ok();
        let size = NozzleSize::from_code(fields[0]).unwrap();
        assert_eq!(size.colour(), fields[1]);
        let at_40_psi = size.flow_at(pressure(40.0, PressureUnit::PoundPerSquareInch)).unwrap();
        let gallons = number(2).unwrap();
        close(at_40_psi.to(FlowUnit::UsGallonPerMinute), gallons, 0.03 * gallons);
        let at_2_bar = size.flow_at(pressure(2.0, PressureUnit::Bar)).unwrap();
        if let Some(printed) = number(4) {
            close(at_2_bar.to(FlowUnit::LitrePerMinute), printed, 0.005);
            flows += 1;
        }
        let speed = Speed::new(6.0, SpeedUnit::KilometrePerHour);
        let output = output_of(at_2_bar, speed, Length::new(50.0, LengthUnit::Centimetre)).unwrap();
        // The 164 L/ha of size 025 come from 0.82 L/min, rounded before; unrounded they are 163.3.
        let within = if size == NozzleSize::Size025 { 0.75 } else { 0.5 };
        close(output.to(VolumePerAreaUnit::LitrePerHectare), number(5).unwrap(), within);
    }
    assert_eq!(flows, 8);
}

/// The slip in the supplier's table: 0.98 L/min for size 025 at 2 bar.
#[test]
fn the_misprinted_size_025_gives_what_its_output_needs() {
    let flow = NozzleSize::Size025.flow_at(pressure(2.0, PressureUnit::Bar)).unwrap();
    // 164 L/ha at 6 km/h and 50 cm is 0.82 L/min.
    close(flow.to(FlowUnit::LitrePerMinute), 0.82, 0.005);
}

/// A nozzle engineering guide: twice the pressure gives 1.414 times the flow, four times gives twice.
#[test]
fn flow_grows_with_the_square_root_of_pressure() {
    let flow = Flow::new(1.0, FlowUnit::UsGallonPerMinute);
    let at = |psi| pressure(psi, PressureUnit::PoundPerSquareInch);
    close(flow_at_pressure(flow, at(20.0), at(40.0)).ratio(flow), 1.414, 0.0005);
    close(flow_at_pressure(flow, at(10.0), at(40.0)).ratio(flow), 2.0, 1e-12);
}

/// An applicator examination text replaces tips more than 10 % off, another more than 5 %: 0.43 for a
/// nominal 0.40 gpm is replaced by the second only.
#[test]
fn two_published_limits_of_wear() {
    let flow = |gallons| Flow::new(gallons, FlowUnit::UsGallonPerMinute);
    let wear = NozzleWear::new(flow(0.43), flow(0.40)).unwrap();
    close(wear.fraction(), 0.075, 1e-12);
    assert!(wear.replace(0.05) && !wear.replace(0.10));
    // Mean 0.40.
    let tips = [flow(0.40), flow(0.43), flow(0.37), flow(0.40)];
    assert_eq!(tips_off_the_mean(&tips, 0.05), [1, 2]);
    assert!(tips_off_the_mean(&tips, 0.10).is_empty());
}
