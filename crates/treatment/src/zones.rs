//! The zones: a partition of the property, each part with its task or the reason it gets none.
//!
//! The ground is handed out in the order in which the work is done: what stands there (buildings,
//! paving, beds), then band, beds, single places, and the turf that remains. Each piece of ground
//! goes to the first that claims it, so nothing is treated twice and nothing is left out.

mod kept;
mod lines;
mod seams;

pub(crate) use kept::{KeptDistance, feet_words, guarded_words};
pub(crate) use lines::TreatedLine;

use crate::hot_spots::Likely;
use crate::request::{Overlap, Target};
use crate::verdict::Origin;
use crate::visit::{DrawnSetback, Zone, ZoneKind, ZoneUse};
use geometry::offset::{ArcFineness, band};
use geometry::{Region, Shape};
use kept::{Kept, kept_distances, wants};
use label::{BufferedFeature, Method};
use lines::Lines;
use property::{Feature, Kind, Property};
use quantity::Area;
use scouting::HotSpots;

/// What the zones must know of a task.
#[derive(Debug, Clone)]
pub(crate) struct Claim<'a> {
    /// Task id.
    pub task: &'a str,
    /// Where it is wanted.
    pub target: &'a Target,
    /// Distances that it keeps.
    pub kept: Vec<KeptDistance>,
    /// Whether ground of an earlier task is claimed as well.
    pub overlap: Overlap,
    /// Whether single places may lie on paving.
    pub on_paving: bool,
    /// Where the pest is likely, for tasks by hot spots.
    pub likely: Option<&'a Likely>,
}

/// The ground that a task treats.
#[derive(Debug, Clone, Default)]
pub struct TaskGround {
    /// The ground.
    pub region: Region,
    /// Ground that an earlier task treats too; empty unless the overlap is left unresolved.
    pub doubled: Vec<(String, Region)>,
    /// The ring round structures before anything was cut from it.
    pub ring: Option<Region>,
    /// The walls or entry points that it treats.
    pub lines: Vec<TreatedLine>,
    /// Walls and entry points that an earlier task treats too; empty unless the overlap is left unresolved.
    pub doubled_lines: Vec<String>,
    /// For a task by hot spots: these, and the area of all the lawn that they were looked for on.
    pub hot_spots: Option<(HotSpots, Area)>,
}

impl TaskGround {
    /// Whether the task treats nothing, neither ground nor wall nor entry point.
    pub fn is_empty(&self) -> bool {
        self.region.is_empty() && self.lines.is_empty()
    }

    /// The ground, with a strip of no size to speak of along the walls and entry points: where
    /// something is sprayed.
    pub(crate) fn reach(&self, arcs: ArcFineness) -> Region {
        let strips: Vec<Region> = self.lines.iter().flat_map(|line| line.strips(arcs)).collect();
        Region::union_all(std::iter::once(&self.region).chain(&strips))
    }
}

/// The zones of a visit.
#[derive(Debug, Clone)]
pub struct Zoning {
    /// The partition.
    pub zones: Vec<Zone>,
    /// Setbacks as drawn.
    pub setbacks: Vec<DrawnSetback>,
    /// The ground of each claim, in the order of the claims.
    pub grounds: Vec<TaskGround>,
    /// All turf, drawn or left over, before anything was claimed.
    pub turf: Area,
    /// Turf lost to each kind of setback.
    pub lost: Vec<(BufferedFeature, Area)>,
}

/// What is smaller than this share of the property is the seam between two drawings, not a zone.
const SEAM: f64 = 1e-8;

/// A piece of ground still to be handed out.
struct Part {
    kind: ZoneKind,
    /// Feature that it was drawn as; `None` for the rest of the lot.
    feature: Option<String>,
    /// Whether a band may run over it.
    may_be_banded: bool,
    /// What is still to be handed out, in disjoint pieces.
    pieces: Vec<Piece>,
}

/// A piece of a part, and the setback that kept a task from it (its place in the list of setbacks).
struct Piece {
    kept_out_by: Option<usize>,
    region: Region,
}

/// Hands out the ground. `claims` come in the order in which the work is done.
pub(crate) fn zone(property: &Property, claims: &[Claim<'_>], arcs: ArcFineness) -> Zoning {
    let kept_free = kept_free(property);
    let mut parts = parts(property, claims, &kept_free);
    let mut lines = Lines::of(property, &kept_free, arcs);
    let turf = parts
        .iter()
        .filter(|part| part.kind == ZoneKind::Turf)
        .flat_map(|part| &part.pieces)
        .map(|piece| piece.region.area())
        .sum();
    let kept = kept_distances(property, claims, arcs);
    let mut zones = Vec::new();
    let mut grounds: Vec<TaskGround> = Vec::new();
    for claim in claims {
        let mut ground = TaskGround::default();
        let excluded: Vec<usize> =
            (0..kept.len()).filter(|index| claim.kept.iter().any(|want| wants(want, &kept[*index]))).collect();
        let reach = match claim.likely.filter(|_| is_by_spots(claim)) {
            Some(likely) => Some(hot_reach(likely, &treatable(&parts, claim, &excluded, &kept), &mut ground)),
            None => reach_of(property, claim.target, arcs, &mut ground),
        };
        let mut claimed = Vec::new();
        for part in parts.iter_mut().filter(|part| is_wanted(part, claim)) {
            let mut taken = Vec::new();
            for piece in std::mem::take(&mut part.pieces) {
                take(piece, reach.as_ref(), &excluded, &kept, &mut part.pieces, &mut taken);
            }
            if !taken.is_empty() {
                claimed.push((part.kind, part.feature.clone(), Region::union_all(&taken)));
            }
        }
        let excluded: Vec<&Region> = excluded.iter().map(|index| &kept[*index].region).collect();
        let again = claim.overlap == Overlap::Unresolved;
        if again {
            double(&grounds, claims, reach.as_ref(), &excluded, &mut ground);
        }
        let taken = lines.take(property, claim.target, &excluded, again);
        ground.lines = taken.lines;
        ground.doubled_lines = taken.doubled;
        ground.region = Region::union_all(claimed.iter().map(|(_, _, region)| region));
        grounds.push(ground);
        push_claimed(&mut zones, claim, claimed);
    }
    let seam = property.boundary().area() * SEAM;
    let mut lost = Vec::new();
    for part in parts {
        hand_out_rest(part, property, claims, &kept, &mut zones, &mut lost);
    }
    zones.retain(|zone| zone.area > seam);
    name_apart(&mut zones);
    let setbacks = kept
        .into_iter()
        .map(|kept| DrawnSetback { feature: kept.words, distance: kept.distance, region: kept.region })
        .collect();
    Zoning { zones, setbacks, grounds, turf, lost }
}

fn is_by_spots(claim: &Claim<'_>) -> bool {
    matches!(claim.target, Target::HotSpots { .. })
}

/// What a claim may still have of the ground that it wants, outside its setbacks.
fn treatable(parts: &[Part], claim: &Claim<'_>, excluded: &[usize], kept: &[Kept]) -> Region {
    let pieces = parts.iter().filter(|part| is_wanted(part, claim)).flat_map(|part| &part.pieces);
    let free = pieces.filter(|piece| piece.kept_out_by.is_none_or(|index| !excluded.contains(&index)));
    let outside = |piece: &Piece| {
        let cut = |rest: Region, index: &usize| rest.difference(&kept[*index].region);
        excluded.iter().fold(piece.region.clone(), cut)
    };
    let outside: Vec<Region> = free.map(outside).collect();
    Region::union_all(&outside)
}

/// The hot spots of treatable ground.
fn hot_reach(likely: &Likely, treatable: &Region, ground: &mut TaskGround) -> Region {
    let Some(spots) = likely.on(treatable) else { return Region::empty() };
    let reach = spots.ground.clone();
    ground.hot_spots = Some((spots, treatable.area()));
    reach
}

/// Takes from a piece what lies within the reach and outside the setbacks; the rest goes back.
fn take(
    piece: Piece,
    reach: Option<&Region>,
    excluded: &[usize],
    kept: &[Kept],
    back: &mut Vec<Piece>,
    taken: &mut Vec<Region>,
) {
    if piece.kept_out_by.is_some_and(|index| excluded.contains(&index)) {
        back.push(piece);
        return;
    }
    let mut mine = match reach {
        Some(reach) => {
            let (within, beyond) = piece.region.cut(reach);
            if !beyond.is_empty() {
                back.push(Piece { kept_out_by: piece.kept_out_by, region: beyond });
            }
            within
        }
        None => piece.region,
    };
    for index in excluded {
        let (within, beyond) = mine.cut(&kept[*index].region);
        mine = beyond;
        if !within.is_empty() {
            back.push(Piece { kept_out_by: Some(*index), region: within });
        }
    }
    if !mine.is_empty() {
        taken.push(mine);
    }
}

/// Ground on which nothing is ever applied, whatever lies there: play areas, pet areas, no-go areas.
pub(crate) fn kept_free(property: &Property) -> Region {
    let free =
        property.features().iter().filter(|feature| zone_kind(feature.kind().kind()) == Some(ZoneKind::KeptFree));
    Region::union_all(free.filter_map(|feature| feature.region())).intersection(property.boundary())
}

/// The ground as drawn, and the rest of the lot as turf.
///
/// Areas that class no ground lie over others: play areas, pet areas and no-go areas are taken out of
/// whatever lies there first, then the trees and mounds that a task names.
fn parts(property: &Property, claims: &[Claim<'_>], kept_free: &Region) -> Vec<Part> {
    let is_named = |feature: &Feature| {
        claims.iter().any(|claim| match claim.target {
            Target::Features(ids) => ids.iter().any(|id| id == feature.id()),
            _ => false,
        })
    };
    let lot = property.boundary();
    let (mut over, mut under) = (Vec::new(), Vec::new());
    let mut taken = kept_free.clone();
    let mut free_so_far = Region::empty();
    for feature in property.features() {
        let Shape::Region(region) = feature.shape() else { continue };
        let feature_kind = feature.kind().kind();
        let named = is_named(feature);
        let Some(kind) = zone_kind(feature_kind).or_else(|| standing_kind(feature_kind).filter(|_| named)) else {
            continue;
        };
        let inside = region.intersection(lot);
        let (inside, may_be_banded) = match kind {
            ZoneKind::KeptFree => {
                let mine = inside.difference(&free_so_far);
                free_so_far = free_so_far.union(&mine);
                (mine, false)
            }
            ZoneKind::Turf | ZoneKind::BareSoil | ZoneKind::Mulch => (inside.difference(kept_free), true),
            ZoneKind::Ornamental => (inside.difference(kept_free), !named && is_known_out_of_bloom(feature)),
            _ => (inside.difference(kept_free), false),
        };
        let part = Part { kind, feature: Some(feature.id().to_owned()), may_be_banded, pieces: vec![whole(inside)] };
        if feature.kind().is_ground() { under.push(part) } else { over.push(part) }
    }
    // Trees and mounds stand on open ground: a roof, paving or water under a crown stays what it is.
    let hard = under.iter().filter(|part| !is_open(part.kind)).flat_map(|part| &part.pieces).map(|piece| &piece.region);
    let hard = Region::union_all(hard);
    for piece in over.iter_mut().filter(|part| part.kind != ZoneKind::KeptFree).flat_map(|part| &mut part.pieces) {
        piece.region = piece.region.difference(&taken).difference(&hard);
        taken = taken.union(&piece.region);
    }
    for piece in under.iter_mut().filter(|part| is_open(part.kind)).flat_map(|part| &mut part.pieces) {
        piece.region = piece.region.difference(&taken);
    }
    // Without drawn turf the property's own lawn is what nothing else covers.
    let rest = if property.lawn_is_drawn() {
        let drawn = under.iter().flat_map(|part| &part.pieces).map(|piece| &piece.region);
        lot.difference(&Region::union_all(drawn)).difference(&taken)
    } else {
        property.lawn().difference(&taken)
    };
    let mut parts = under;
    parts.append(&mut over);
    let rest = seams::joined(&rest, &mut parts);
    if !rest.is_empty() {
        parts.push(Part { kind: ZoneKind::Turf, feature: None, may_be_banded: true, pieces: vec![whole(rest)] });
    }
    parts
}

/// Whether trees and mounds may stand on ground of a kind.
fn is_open(kind: ZoneKind) -> bool {
    matches!(kind, ZoneKind::Turf | ZoneKind::BareSoil | ZoneKind::Mulch | ZoneKind::Ornamental)
}

/// The zone of what stands on the ground, where a task names it.
fn standing_kind(kind: Kind) -> Option<ZoneKind> {
    match kind {
        Kind::Tree => Some(ZoneKind::Ornamental),
        Kind::Mound => Some(ZoneKind::Turf),
        _ => None,
    }
}

/// Whether plants were looked at and were not in bloom.
pub(crate) fn is_known_out_of_bloom(feature: &Feature) -> bool {
    bloom_of(feature).is_some_and(|bloom| !bloom.in_bloom())
}

/// Whether a method may be used on paving that lies within ground drawn for the visit.
pub fn is_put_on_paving(method: Method) -> bool {
    matches!(method, Method::Spot | Method::CrackAndCrevice)
}

fn whole(region: Region) -> Piece {
    Piece { kept_out_by: None, region }
}

/// What was seen of a feature's bloom.
pub(crate) fn bloom_of(feature: &Feature) -> Option<property::Bloom> {
    feature.kind().bloom()
}

fn zone_kind(kind: Kind) -> Option<ZoneKind> {
    Some(match kind {
        Kind::Structure => ZoneKind::Structure,
        Kind::Paved => ZoneKind::Paved,
        Kind::Edible => ZoneKind::Edible,
        Kind::Ornamental => ZoneKind::Ornamental,
        Kind::Water => ZoneKind::Water,
        Kind::BareSoil => ZoneKind::BareSoil,
        Kind::Mulch => ZoneKind::Mulch,
        Kind::Turf => ZoneKind::Turf,
        Kind::PlayArea | Kind::PetArea | Kind::NoGo => ZoneKind::KeptFree,
        _ => return None,
    })
}

/// The ground that a target reaches over; `None` when it is bounded by its parts alone.
fn reach_of(property: &Property, target: &Target, arcs: ArcFineness, ground: &mut TaskGround) -> Option<Region> {
    match target {
        Target::Turf | Target::Features(_) => None,
        Target::Ground(region) => Some(region.clone()),
        Target::HotSpots { .. } | Target::Places { .. } | Target::EntryPoints { .. } => Some(Region::empty()),
        Target::Structures { features, band_width, .. } => {
            let structures: Vec<&Feature> = property
                .features()
                .iter()
                .filter(|feature| feature.is(Kind::Structure))
                .filter(|feature| features.is_empty() || features.iter().any(|id| id == feature.id()))
                .collect();
            let walls = Region::union_all(structures.iter().filter_map(|feature| feature.region()));
            let ring = band(&walls, *band_width, arcs);
            ground.ring = Some(ring.clone());
            Some(ring)
        }
    }
}

fn is_wanted(part: &Part, claim: &Claim<'_>) -> bool {
    match claim.target {
        Target::Turf | Target::HotSpots { .. } => part.kind == ZoneKind::Turf,
        Target::Structures { .. } => part.may_be_banded,
        Target::Features(ids) => part.feature.as_ref().is_some_and(|feature| ids.contains(feature)),
        Target::Ground(_) => match part.kind {
            ZoneKind::Turf | ZoneKind::BareSoil | ZoneKind::Mulch => true,
            ZoneKind::Ornamental => part.may_be_banded,
            ZoneKind::Paved => claim.on_paving,
            _ => false,
        },
        Target::Places { .. } | Target::EntryPoints { .. } => false,
    }
}

/// Finds the ground of earlier tasks that this one would treat again.
fn double(
    earlier: &[TaskGround],
    claims: &[Claim<'_>],
    reach: Option<&Region>,
    excluded: &[&Region],
    ground: &mut TaskGround,
) {
    for (other, claim) in earlier.iter().zip(claims) {
        let mut common = match reach {
            Some(reach) => other.region.intersection(reach),
            None => other.region.clone(),
        };
        for kept in excluded {
            common = common.difference(kept);
        }
        if !common.is_empty() {
            ground.doubled.push((claim.task.to_owned(), common));
        }
    }
}

fn push_claimed(zones: &mut Vec<Zone>, claim: &Claim<'_>, claimed: Vec<(ZoneKind, Option<String>, Region)>) {
    for (kind, feature, region) in claimed {
        let (banded, by_spots) = (matches!(claim.target, Target::Structures { .. }), is_by_spots(claim));
        let id = match &feature {
            Some(feature) if banded || by_spots => format!("{feature}-{}", claim.task),
            Some(feature) => feature.clone(),
            None => claim.task.to_owned(),
        };
        // Each spot is a zone of its own, so that map and sheet tell each with its size.
        let regions: Vec<Region> =
            if by_spots { region.outlines().map(|outline| outline.to_region()).collect() } else { vec![region] };
        zones.extend(regions.into_iter().map(|region| Zone {
            id: id.clone(),
            kind: if banded { ZoneKind::Band } else { kind },
            area: region.area(),
            region,
            use_of: ZoneUse::Treated(claim.task.to_owned()),
        }));
    }
}

/// Gives what no task took its reason: turf within setbacks, then everything else.
fn hand_out_rest(
    part: Part,
    property: &Property,
    claims: &[Claim<'_>],
    kept: &[Kept],
    zones: &mut Vec<Zone>,
    lost: &mut Vec<(BufferedFeature, Area)>,
) {
    let tasks: Vec<&Claim<'_>> = claims
        .iter()
        .filter(|claim| match claim.target {
            Target::Turf | Target::HotSpots { .. } => part.kind == ZoneKind::Turf,
            Target::Features(ids) => part.feature.as_ref().is_some_and(|feature| ids.contains(feature)),
            _ => false,
        })
        .collect();
    let base = part.feature.clone().unwrap_or_else(|| "turf".to_owned());
    // What each setback holds of this part, and what none holds.
    let mut held: Vec<Vec<Region>> = kept.iter().map(|_| Vec::new()).collect();
    let mut free = Vec::new();
    let is_kept = |kept: &Kept| tasks.iter().flat_map(|claim| &claim.kept).find(|want| wants(want, kept));
    for piece in part.pieces {
        if let Some(index) = piece.kept_out_by.filter(|index| is_kept(&kept[*index]).is_some()) {
            held[index].push(piece.region);
            continue;
        }
        let mut rest = piece.region;
        for (kept, held) in kept.iter().zip(&mut held).filter(|(kept, _)| is_kept(kept).is_some()) {
            let (within, beyond) = rest.cut(&kept.region);
            rest = beyond;
            if !within.is_empty() {
                held.push(within);
            }
        }
        free.push(rest);
    }
    for (kept, held) in kept.iter().zip(held) {
        let within = Region::union_all(&held);
        let Some(want) = is_kept(kept).filter(|_| !within.is_empty()) else { continue };
        if part.kind == ZoneKind::Turf {
            match lost.iter_mut().find(|(feature, _)| *feature == kept.feature) {
                Some((_, area)) => *area += within.area(),
                None => lost.push((kept.feature, within.area())),
            }
        }
        let whose = match want.origin {
            Origin::Label => "the label",
            Origin::Rule => "the rule",
            _ => "the business",
        };
        let feet = feet_words(kept.distance);
        zones.push(Zone {
            id: format!("{base}-near-{}", kept.feature.word()),
            kind: ZoneKind::Setback,
            area: within.area(),
            region: within,
            use_of: ZoneUse::NotTreated(format!("within {feet} ft of {}: kept by {whose}", kept.words)),
        });
    }
    let rest = Region::union_all(&free);
    if rest.is_empty() {
        return;
    }
    let reason = match part.kind {
        ZoneKind::Structure => "building".to_owned(),
        ZoneKind::Paved => "paving: never treated as an area".to_owned(),
        ZoneKind::Edible => "food plants: never treated".to_owned(),
        ZoneKind::Ornamental if is_blooming(property, part.feature.as_deref()) => {
            "in bloom: never treated while bees may visit".to_owned()
        }
        ZoneKind::Water => "water".to_owned(),
        ZoneKind::KeptFree => "kept free of treatment".to_owned(),
        ZoneKind::Turf if tasks.iter().any(|claim| is_by_spots(claim)) => {
            "no hot spot: by the counts, not likely enough to be infested".to_owned()
        }
        _ => "no task is planned here".to_owned(),
    };
    zones.push(Zone {
        id: base,
        kind: part.kind,
        area: rest.area(),
        region: rest,
        use_of: ZoneUse::NotTreated(reason),
    });
}

fn is_blooming(property: &Property, feature: Option<&str>) -> bool {
    feature.and_then(|id| property.feature(id)).is_some_and(|feature| feature.kind().is_in_bloom())
}

/// Numbers the second and later zones of one name.
fn name_apart(zones: &mut [Zone]) {
    let mut seen: std::collections::BTreeMap<String, usize> = std::collections::BTreeMap::new();
    for zone in zones {
        let count = seen.entry(zone.id.clone()).or_insert(0);
        *count += 1;
        if *count > 1 {
            zone.id = format!("{}-{count}", zone.id);
        }
    }
}
