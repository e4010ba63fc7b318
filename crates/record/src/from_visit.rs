//! The record of a planned visit, as if it had been carried out exactly as planned.

use crate::application::{
    ApplicationRecord, Observed, PlannedVisit, PropertyReference, Provenance, ReEntry, TargetCounts,
};
use crate::fact::Fact;
use crate::settle::settle;
use crate::task::{CalibrationUsed, Fill, ProductRecord, Tank, TankTold, TaskRecord, TreatedZone};
use geometry::Region;
use label::{Label, Site, UseRow};
use quantity::{Area, AreaUnit, Length, LengthUnit};
use treatment::{FindingRequest, Target, Task, TaskProduct, TaskRequest, Visit, VisitRequest, ZoneKind, ZoneUse};

/// What a visit does not know of its record.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Parties {
    /// For whom it is applied.
    pub client: Fact<String>,
    /// The client's address.
    pub client_address: Fact<String>,
    /// The place of the application in words.
    pub location: Fact<String>,
    /// By what the visit is found where visits are kept.
    pub visit_reference: Option<String>,
}

/// The record of a visit carried out exactly as planned, except for what only the day can tell: times,
/// weather seen, lots, notices, what happened unexpectedly. Those are absent until somebody says them
/// ([`crate::apply`]).
///
/// `request` is what the visit was planned from. A certified applicator has no supervisor and no
/// noncertified applicator; where the request says that the applicator is not certified, it is the
/// noncertified applicator, and the supervisor is absent.
pub fn from_visit(visit: &Visit, request: &VisitRequest, parties: &Parties) -> ApplicationRecord {
    let (mut applicator, mut certification, mut supervisor, mut noncertified) =
        (Fact::Absent, Fact::Absent, Fact::Absent, Fact::Absent);
    if let Some(person) = &visit.applicator {
        applicator = Fact::Recorded(person.name.clone());
        if person.certified {
            certification = Fact::given(person.certification.clone());
            supervisor = Fact::DoesNotArise;
            noncertified = Fact::DoesNotArise;
        } else {
            noncertified = Fact::Recorded(person.name.clone());
        }
    }
    let mut record = ApplicationRecord {
        name: visit.name.clone(),
        client: parties.client.clone(),
        client_address: parties.client_address.clone(),
        location: parties.location.clone(),
        property: PropertyReference { name: visit.property.name().to_owned(), origin: visit.property.plane().origin() },
        date: visit.date,
        started: Fact::Absent,
        ended: Fact::Absent,
        tasks: visit.tasks.iter().map(|task| of_task(task, visit, request)).collect(),
        weather_at_start: Observed::default(),
        weather_at_end: Observed::default(),
        applicator,
        certification_number: certification,
        supervisor,
        noncertified_applicator: noncertified,
        notices: Fact::Absent,
        re_entry: Fact::Recorded(ReEntry {
            not_before: None,
            at_least: visit.keep_off.at_least,
            conditions: visit.keep_off.conditions.clone(),
        }),
        target_counts: Fact::given(request.findings.iter().find_map(counts)),
        unexpected: Fact::Absent,
        disposal: Fact::Absent,
        leftover: Fact::Absent,
        breaches: Vec::new(),
        not_judged: Vec::new(),
        provenance: Provenance {
            visit: Some(PlannedVisit {
                name: visit.name.clone(),
                date: visit.date,
                reference: parties.visit_reference.clone(),
            }),
            differences: Vec::new(),
        },
    };
    settle(&mut record);
    record
}

fn counts(finding: &FindingRequest) -> Option<TargetCounts> {
    (!finding.counts.is_empty()).then(|| TargetCounts {
        pest: finding.counted(),
        counts: finding.counts.clone(),
        count_area: finding.count_area(),
    })
}

fn of_task(task: &Task, visit: &Visit, request: &VisitRequest) -> TaskRecord {
    let asked = request.tasks.iter().find(|asked| asked.id == task.id);
    let zones: Vec<TreatedZone> = visit
        .zones
        .iter()
        .filter(|zone| zone.use_of == ZoneUse::Treated(task.id.clone()))
        .map(|zone| TreatedZone { id: zone.id.clone(), kind: zone.kind, ground: without_seams(&zone.region) })
        .collect();
    let places = asked.and_then(|asked| match asked.target {
        Target::Places { count, .. } => Some(count),
        _ => None,
    });
    let label = labelled(request, &task.product);
    let row = label.and_then(|label| label.uses.iter().find(|row| row.id == task.product.use_row));
    TaskRecord {
        id: task.id.clone(),
        method: task.method,
        equipment: Fact::Recorded(task.equipment.clone()),
        calibration: calibration(task, asked, request),
        sites: Fact::given(sites(asked.map(|asked| &asked.target), &zones, row)),
        pest: Fact::Recorded(task.product.pest.clone()),
        zones,
        ground: task.ground,
        wall: task.wall,
        places: places.map_or(Fact::DoesNotArise, Fact::Recorded),
        products: task.products().map(|product| of_product(product, request)).collect(),
        carrier: task.spray.map_or(Fact::DoesNotArise, Fact::Recorded),
        tanks: (0..task.loads()).map(|number| tank(task, number, places.is_some())).collect(),
    }
}

/// What is treated: one site by the target's kind, or those of the use row that the zones are.
fn sites(target: Option<&Target>, zones: &[TreatedZone], row: Option<&UseRow>) -> Option<Vec<Site>> {
    Some(match target? {
        Target::Turf | Target::HotSpots { .. } => vec![Site::Turf],
        Target::Structures { .. } => vec![Site::StructurePerimeter],
        Target::EntryPoints { .. } => vec![Site::EntryPoint],
        Target::Places { site, .. } => vec![*site],
        Target::Features(_) | Target::Ground(_) => {
            let listed = row?.sites.clone();
            let is_there = |site: &Site| zones.iter().any(|zone| is_of(zone.kind, *site));
            let found: Vec<Site> = listed.iter().copied().filter(is_there).collect();
            if found.is_empty() { listed } else { found }
        }
    })
}

const fn is_of(kind: ZoneKind, site: Site) -> bool {
    match site {
        Site::Turf => matches!(kind, ZoneKind::Turf),
        Site::Ornamental | Site::Tree => matches!(kind, ZoneKind::Ornamental),
        Site::FoodCrop => matches!(kind, ZoneKind::Edible),
        Site::StructurePerimeter => matches!(kind, ZoneKind::Band),
        Site::EntryPoint => false,
        Site::BareSoil => matches!(kind, ZoneKind::BareSoil | ZoneKind::Mulch),
        Site::Impervious => matches!(kind, ZoneKind::Paved),
    }
}

/// Ground without what an overlay leaves where two drawings meet: pieces under a square millimetre, or
/// thinner than a hundredth of a millimetre.
pub(crate) fn without_seams(ground: &Region) -> Region {
    ground.without_slivers(Area::new(1e-6, AreaUnit::SquareMetre), Length::new(1e-5, LengthUnit::Metre))
}

/// The tank of a number, planned and done alike.
fn tank(task: &Task, number: usize, is_counted: bool) -> Tank {
    let batches = task.products().filter_map(|product| product.batches.get(number));
    let first = task.product.batches.get(number);
    let fill = Fill {
        spray: first.and_then(|batch| batch.spray),
        products: batches.map(|batch| batch.measured).collect(),
        covered: match first {
            Some(batch) if !is_counted => Fact::Recorded(batch.covers),
            _ => Fact::DoesNotArise,
        },
    };
    Tank {
        planned: Some(fill.clone()),
        filled: Some(fill),
        filled_at: Fact::Absent,
        emptied_at: Fact::Absent,
        weather: Observed::default(),
        carried_over: Fact::Absent,
        told: TankTold::Nothing,
    }
}

fn calibration(task: &Task, asked: Option<&TaskRequest>, request: &VisitRequest) -> Fact<CalibrationUsed> {
    let equipment = request.equipment.iter().find(|equipment| equipment.id() == task.equipment);
    let used = equipment
        .zip(asked)
        .and_then(|(equipment, asked)| equipment.calibration(asked.calibration.as_deref()).ok())
        .map(|calibration| CalibrationUsed {
            name: calibration.name().to_owned(),
            date: calibration.record().date,
            output: calibration.spray_output(),
        });
    match used {
        Some(used) => Fact::Recorded(used),
        None if asked.is_some_and(|asked| asked.spray.is_some()) => Fact::DoesNotArise,
        None => Fact::Absent,
    }
}

fn labelled<'a>(request: &'a VisitRequest, product: &TaskProduct) -> Option<&'a Label> {
    request.labels.iter().find(|label| label.id == product.label)
}

fn of_product(product: &TaskProduct, request: &VisitRequest) -> ProductRecord {
    let label = labelled(request, product);
    ProductRecord {
        label: product.label.clone(),
        name: product.name.clone(),
        registration_number: Fact::given(product.registration_number.clone()),
        label_version: Fact::given(label.map(|label| label.product.label_version.clone())),
        lots: Fact::Absent,
        use_class: Fact::given(label.map(|label| label.product.use_class)),
        use_row: Fact::Recorded(product.use_row.clone()),
        active_ingredients: Fact::Recorded(product.active_ingredients.clone()),
        density: label.and_then(|label| label.product.density),
        rate: Fact::Recorded(product.rate),
        amount: product.measured,
    }
}
