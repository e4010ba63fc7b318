//! How the figures of a task were reached, input by input.

use crate::dose::{Extent, figure};
use crate::product_amounts::Reckoned;
use crate::resolve::Resolved;
use crate::verdict::{Figure, Origin, Working};
use quantity::{
    Amount, AmountUnit, Area, AreaUnit, Basis, MassUnit, Rate, System, Volume, VolumePerArea, VolumePerAreaUnit,
    VolumeUnit,
};
use sprayer::Calibration;

/// Whether a rate was written in metric units: its working is shown in the same.
pub(crate) fn is_metric(rate: &Rate) -> bool {
    match rate.unit() {
        AmountUnit::Volume(unit) => unit.system() == System::Metric,
        AmountUnit::Mass(unit) => unit.system() == System::Metric,
    }
}

pub(crate) fn area(area: Area, metric: bool) -> Figure {
    let unit = if metric { AreaUnit::SquareMetre } else { AreaUnit::SquareFoot };
    Figure::new(area.to(unit), unit.symbol(), unit.ucum())
}

pub(crate) fn spray(volume: Volume, metric: bool) -> Figure {
    let unit = if metric { VolumeUnit::Litre } else { VolumeUnit::UsGallon };
    Figure::new(volume.to(unit), unit.symbol(), unit.ucum())
}

fn output_figure(output: VolumePerArea, metric: bool) -> Figure {
    let unit = if metric { VolumePerAreaUnit::LitrePerHectare } else { VolumePerAreaUnit::UsGallonPer1000SquareFeet };
    Figure::new(output.to(unit), unit.symbol(), unit.ucum())
}

/// Product in the unit of a measuring cup or scale.
pub(crate) fn product_figure(amount: Amount) -> Figure {
    match amount {
        Amount::Volume(volume) => {
            let unit = VolumeUnit::Millilitre;
            Figure::new(volume.to(unit), unit.symbol(), unit.ucum())
        }
        Amount::Mass(mass) => Figure::new(mass.to(MassUnit::Gram), MassUnit::Gram.symbol(), MassUnit::Gram.ucum()),
    }
}

/// Product in the unit in which the rate was written.
pub(crate) fn product_as_written(amount: Amount, rate: &Rate) -> Figure {
    let unit = rate.unit();
    amount.to(unit).map_or_else(|| product_figure(amount), |value| Figure::new(value, unit.symbol(), unit.ucum()))
}

/// The working of one task.
pub(crate) fn of_task(
    task: &Resolved<'_>,
    extent: &Extent,
    reckoned: &[Reckoned],
    output: Option<VolumePerArea>,
    calibration: Option<&Calibration>,
) -> Vec<Working> {
    let metric = reckoned.first().is_some_and(|plan| is_metric(&plan.product.rate));
    let mut working = Vec::new();
    let mut add = |figure: &str,
                   formula: &str,
                   inputs: Vec<(String, Figure, Origin)>,
                   result: Figure,
                   rounding: Option<String>| {
        working.push(Working { figure: figure.to_owned(), formula: formula.to_owned(), inputs, result, rounding });
    };
    let surface = ("treated ground and wall".to_owned(), area(extent.surface, metric), Origin::Measured);
    if extent.surface > extent.ground {
        add(
            "treated ground and wall",
            "ground + wall",
            vec![
                ("ground".to_owned(), area(extent.ground, metric), Origin::Measured),
                ("wall".to_owned(), area(extent.surface - extent.ground, metric), Origin::Measured),
            ],
            area(extent.surface, metric),
            None,
        );
    }
    if let (Some(calibration), Some(output)) = (calibration, output) {
        let runs = calibration.outputs().iter().enumerate().filter_map(|(index, run)| {
            let run = run.volume()?;
            Some((format!("run {}", index + 1), output_figure(run, metric), Origin::Measured))
        });
        let origin = if calibration.is_stated() { "as stated by the business" } else { "mean of the runs" };
        add("output", origin, runs.collect(), output_figure(output, metric), None);
    }
    if let Some(total) = extent.spray {
        match (task.request.spray, output) {
            (None, Some(output)) => add(
                "spray",
                "output × treated ground and wall",
                vec![("output".to_owned(), output_figure(output, metric), Origin::Measured), surface.clone()],
                spray(total, metric),
                None,
            ),
            _ => add("spray", "as asked for the plants", Vec::new(), spray(total, metric), None),
        }
    }
    for plan in reckoned {
        working.extend(of_product(task, extent, plan, metric));
    }
    working
}

/// The working of one product of a task.
fn of_product(task: &Resolved<'_>, extent: &Extent, plan: &Reckoned, metric: bool) -> Vec<Working> {
    let Reckoned { product, batches, .. } = plan;
    let rate = &product.rate;
    // With one product in the tank its name would only be noise.
    let what = if task.partners.is_empty() { "product".to_owned() } else { product.name.clone() };
    let surface = ("treated ground and wall".to_owned(), area(extent.surface, metric), Origin::Measured);
    let asked = ("rate".to_owned(), figure(rate), product.rate_origin);
    let (formula, inputs) = match rate.basis() {
        Basis::Area(..) => ("rate × treated ground and wall", vec![asked, surface]),
        Basis::SprayVolume(..) => {
            let spray = extent.spray.map(|total| ("spray".to_owned(), spray(total, metric), Origin::Measured));
            ("rate × spray", std::iter::once(asked).chain(spray).collect())
        }
        Basis::Length(..) => ("rate × length of wall", vec![asked]),
        _ => {
            let count = ("number".to_owned(), Figure::count(f64::from(extent.places)), Origin::Measured);
            ("rate × number", vec![asked, count])
        }
    };
    let mut working = vec![Working {
        figure: what.clone(),
        formula: formula.to_owned(),
        inputs,
        result: product_as_written(product.amount, rate),
        rounding: None,
    }];
    let Some(batches) = batches else { return working };
    let step = product_figure(batches.graduation.step()).show();
    for (name, batch) in [("full tank", batches.full), ("last tank", batches.last())] {
        let Some(batch) = batch else { continue };
        let mut inputs = vec![(format!("{what} in all"), product_figure(product.amount), Origin::Measured)];
        if let (Some(own), Some(all)) = (batch.spray, extent.spray) {
            inputs.push(("spray in it".to_owned(), spray(own, metric), Origin::Measured));
            inputs.push(("spray in all".to_owned(), spray(all, metric), Origin::Measured));
        }
        let measured = product_figure(batch.measured).show();
        working.push(Working {
            figure: format!("{what} in the {name}"),
            formula: format!("{what} × spray in it / spray in all"),
            inputs,
            result: product_figure(batch.product),
            rounding: Some(format!("{measured} on a measure marked every {step}: never over a limit")),
        });
    }
    working
}
