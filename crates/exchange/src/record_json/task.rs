//! One task: where, how, and in which tanks.

use super::amount::{AmountJson, number};
use super::fact::{FactJson, fact, fact_of};
use super::ground::GroundJson;
use super::moment;
use super::product::ProductRecordJson;
use super::reading::Reading;
use super::weather::ObservedJson;
use geometry::LocalPlane;
use label::{Method, Site};
use problem::Problem;
use quantity::{Area, AreaUnit, Volume, VolumePerArea, VolumePerAreaUnit, VolumeUnit};
use record::{CalibrationUsed, Fill, Observed, Tank, TankTold, TaskRecord, TreatedZone};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use treatment::ZoneKind;

/// One task as it was carried out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TaskRecordJson {
    /// Its name, unique in the record.
    pub id: String,
    /// How, such as `broadcast`.
    pub method: String,
    /// The sprayer or spreader.
    pub equipment: FactJson<String>,
    /// The calibration on which its amounts stand.
    pub calibration: FactJson<CalibrationUsedJson>,
    /// What was treated, such as `turf`.
    pub sites: FactJson<Vec<String>>,
    /// Target pest.
    pub pest: FactJson<String>,
    /// The ground treated, zone by zone.
    pub zones: Vec<TreatedZoneJson>,
    /// Area of ground treated, square metres.
    pub ground_m2: f64,
    /// Area of wall treated, square metres.
    pub wall_m2: f64,
    /// Number of places where they are counted and not drawn.
    pub places: FactJson<u32>,
    /// What was put down.
    pub products: Vec<ProductRecordJson>,
    /// Spray put out in all, litres.
    pub carrier_l: FactJson<f64>,
    /// The tanks or hopper loads, in order.
    pub tanks: Vec<TankJson>,
}

/// A calibration, as far as the record needs it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CalibrationUsedJson {
    /// Its name with the equipment.
    pub name: String,
    /// When it was done, ISO 8601.
    pub date: Option<String>,
    /// Spray per area that it gave, litres per hectare.
    pub output_l_per_ha: Option<f64>,
}

/// A piece of treated ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TreatedZoneJson {
    /// Its name on the map of the visit.
    pub id: String,
    /// What it is, such as `turf` or `band`.
    pub kind: String,
    /// The ground.
    pub ground: GroundJson,
}

/// One tank or hopper load.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TankJson {
    /// As planned; null for a load that the plan did not have.
    pub planned: Option<FillJson>,
    /// As filled; null when it was not filled at all.
    pub filled: Option<FillJson>,
    /// When it was filled, RFC 3339.
    pub filled_at: FactJson<String>,
    /// When it was sprayed out, RFC 3339; left out where nobody said it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub emptied_at: Option<FactJson<String>>,
    /// The weather seen while it was put out, where it had changed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weather: Option<ObservedJson>,
    /// The spray that stayed in it under the next mix and went out with the next tank, litres; left out where nobody
    /// said it. What was filled into the next tank does not hold it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carried_over_l: Option<FactJson<f64>>,
    /// What somebody said of it: `nothing`, so that it counts as filled as planned, its `filling`, or the area that it
    /// `covered` as well. Left out where it is what the figures say: whatever differs from the plan was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub told: Option<String>,
}

/// What is in a tank, and what it covers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FillJson {
    /// Spray, litres; null for dry products.
    pub spray_l: Option<f64>,
    /// Product, in the order of the task's products.
    pub products: Vec<AmountJson>,
    /// The area that it covered, or is to cover, square metres.
    pub covered_m2: FactJson<f64>,
}

impl TaskRecordJson {
    pub(super) fn new(task: &TaskRecord, plane: &LocalPlane) -> Self {
        Self {
            id: task.id.clone(),
            method: task.method.word().to_owned(),
            equipment: fact(&task.equipment),
            calibration: fact_of(&task.calibration, |used| CalibrationUsedJson {
                name: used.name.clone(),
                date: used.date.map(|date| date.to_string()),
                output_l_per_ha: used.output.map(|output| number(output.to(VolumePerAreaUnit::LitrePerHectare))),
            }),
            sites: fact_of(&task.sites, |sites| sites.iter().map(|site| site.word().to_owned()).collect()),
            pest: fact(&task.pest),
            zones: task
                .zones
                .iter()
                .map(|zone| TreatedZoneJson {
                    id: zone.id.clone(),
                    kind: zone.kind.word().to_owned(),
                    ground: GroundJson::new(&zone.ground, plane),
                })
                .collect(),
            ground_m2: number(task.ground.to(AreaUnit::SquareMetre)),
            wall_m2: number(task.wall.to(AreaUnit::SquareMetre)),
            places: fact(&task.places),
            products: task.products.iter().map(ProductRecordJson::from).collect(),
            carrier_l: fact_of(&task.carrier, |carrier| number(carrier.to(VolumeUnit::Litre))),
            tanks: task.tanks.iter().map(TankJson::from).collect(),
        }
    }

    pub(super) fn read(self, plane: &LocalPlane, index: usize, reading: &mut Reading) -> Option<TaskRecord> {
        let path = format!("tasks[{}]", index + 1);
        let method = reading.word(&format!("{path}.method"), &self.method, Method::ALL, Method::word);
        let calibration = self.calibration.read(|used| used.read(&format!("{path}.calibration.recorded"), reading));
        let sites = self.sites.read(|sites| {
            let read = |(index, word): (usize, String)| {
                reading.word(&format!("{path}.sites.recorded[{}]", index + 1), &word, Site::ALL, Site::word)
            };
            sites.into_iter().enumerate().map(read).collect()
        });
        let zones: Option<Vec<TreatedZone>> = self
            .zones
            .into_iter()
            .enumerate()
            .map(|(index, zone)| {
                let path = format!("{path}.zones[{}]", index + 1);
                let kind = reading.word(&format!("{path}.kind"), &zone.kind, ZoneKind::ALL, ZoneKind::word);
                let ground = zone.ground.read(plane, &format!("{path}.ground"), reading);
                Some(TreatedZone { id: zone.id, kind: kind?, ground: ground? })
            })
            .collect();
        let mut area = |value: f64, field: &str| {
            let value = reading.not_below_nothing(&format!("{path}.{field}"), value)?;
            Some(Area::new(value, AreaUnit::SquareMetre))
        };
        let ground = area(self.ground_m2, "ground_m2");
        let wall = area(self.wall_m2, "wall_m2");
        let count = self.products.len();
        let products: Option<Vec<_>> = self
            .products
            .into_iter()
            .enumerate()
            .map(|(index, product)| product.read(&format!("{path}.products[{}]", index + 1), reading))
            .collect();
        let carrier = self.carrier_l.read(|value| {
            let value = reading.not_below_nothing(&format!("{path}.carrier_l.recorded"), value)?;
            Some(Volume::new(value, VolumeUnit::Litre))
        });
        let tanks: Option<Vec<_>> = self
            .tanks
            .into_iter()
            .enumerate()
            .map(|(index, tank)| tank.read(count, &format!("{path}.tanks[{}]", index + 1), reading))
            .collect();
        Some(TaskRecord {
            id: self.id,
            method: method?,
            equipment: self.equipment.plain(),
            calibration: calibration?,
            sites: sites?,
            pest: self.pest.plain(),
            zones: zones?,
            ground: ground?,
            wall: wall?,
            places: self.places.plain(),
            products: products?,
            carrier: carrier?,
            tanks: tanks?,
        })
    }
}

impl CalibrationUsedJson {
    fn read(self, path: &str, reading: &mut Reading) -> Option<CalibrationUsed> {
        let date = match self.date {
            None => Some(None),
            Some(text) => reading.date(&format!("{path}.date"), &text).map(Some),
        };
        let output = match self.output_l_per_ha {
            None => Some(None),
            Some(value) => reading
                .not_below_nothing(&format!("{path}.output_l_per_ha"), value)
                .map(|value| Some(VolumePerArea::new(value, VolumePerAreaUnit::LitrePerHectare))),
        };
        Some(CalibrationUsed { name: self.name, date: date?, output: output? })
    }
}

impl From<&Tank> for TankJson {
    fn from(tank: &Tank) -> Self {
        let shown = TankTold::of_difference(tank.planned.as_ref(), tank.filled.as_ref(), &tank.filled_at);
        Self {
            planned: tank.planned.as_ref().map(FillJson::from),
            filled: tank.filled.as_ref().map(FillJson::from),
            filled_at: moment::moment_fact(&tank.filled_at),
            emptied_at: (!tank.emptied_at.is_absent()).then(|| moment::moment_fact(&tank.emptied_at)),
            weather: (tank.weather != Observed::default()).then(|| ObservedJson::from(&tank.weather)),
            carried_over_l: (!tank.carried_over.is_absent())
                .then(|| fact_of(&tank.carried_over, |spray| number(spray.to(VolumeUnit::Litre)))),
            told: (tank.told != shown).then(|| tank.told.word().to_owned()),
        }
    }
}

impl TankJson {
    fn read(self, products: usize, path: &str, reading: &mut Reading) -> Option<Tank> {
        let mut fill = |fill: Option<FillJson>, field: &str| match fill {
            None => Some(None),
            Some(fill) => fill.read(products, &format!("{path}.{field}"), reading).map(Some),
        };
        let planned = fill(self.planned, "planned");
        let filled = fill(self.filled, "filled");
        let filled_at = self.filled_at.read(|text| reading.moment(&format!("{path}.filled_at.recorded"), &text));
        let emptied_at = self
            .emptied_at
            .unwrap_or(FactJson::Absent)
            .read(|text| reading.moment(&format!("{path}.emptied_at.recorded"), &text));
        let weather = match self.weather {
            None => Some(Observed::default()),
            Some(seen) => seen.read(&format!("{path}.weather"), reading),
        };
        let carried_over = self.carried_over_l.unwrap_or(FactJson::Absent).read(|value| {
            let value = reading.not_below_nothing(&format!("{path}.carried_over_l.recorded"), value)?;
            Some(Volume::new(value, VolumeUnit::Litre))
        });
        let told = self.told.map(|word| reading.word(&format!("{path}.told"), &word, TankTold::ALL, TankTold::word));
        let (planned, filled, filled_at) = (planned?, filled?, filled_at?);
        let told = match told {
            Some(told) => told?,
            None => TankTold::of_difference(planned.as_ref(), filled.as_ref(), &filled_at),
        };
        Some(Tank {
            planned,
            filled,
            filled_at,
            emptied_at: emptied_at?,
            weather: weather?,
            carried_over: carried_over?,
            told,
        })
    }
}

impl From<&Fill> for FillJson {
    fn from(fill: &Fill) -> Self {
        Self {
            spray_l: fill.spray.map(|spray| number(spray.to(VolumeUnit::Litre))),
            products: fill.products.iter().map(|amount| (*amount).into()).collect(),
            covered_m2: fact_of(&fill.covered, |area| number(area.to(AreaUnit::SquareMetre))),
        }
    }
}

impl FillJson {
    fn read(self, products: usize, path: &str, reading: &mut Reading) -> Option<Fill> {
        if self.products.len() != products {
            let found = format!("the load holds `{}` amounts, and its task `{products}` products", self.products.len());
            reading.report(
                Problem::error("record::tank-products", found)
                    .expected("one amount for each product, in their order")
                    .at(format!("{path}.products")),
            );
            return None;
        }
        let spray = match self.spray_l {
            None => Some(None),
            Some(value) => reading
                .not_below_nothing(&format!("{path}.spray_l"), value)
                .map(|value| Some(Volume::new(value, VolumeUnit::Litre))),
        };
        let covered = self.covered_m2.read(|value| {
            let value = reading.not_below_nothing(&format!("{path}.covered_m2.recorded"), value)?;
            Some(Area::new(value, AreaUnit::SquareMetre))
        });
        Some(Fill {
            spray: spray?,
            products: AmountJson::read_all(self.products, &format!("{path}.products"), reading)?,
            covered: covered?,
        })
    }
}
