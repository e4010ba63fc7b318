//! Regions, offsets and partitions against Shapely/GEOS: see `lots/PROVENANCE.md`.

use geometry::{ArcFineness, Line, Partition, Point, Region, Shape, offset};
use quantity::{AreaUnit, Length, LengthUnit};
use std::collections::BTreeMap;

struct Lot {
    outline: Vec<Point>,
    holes: Vec<Vec<Point>>,
    house: Vec<Point>,
}

fn lots() -> BTreeMap<&'static str, Lot> {
    let mut lots = BTreeMap::new();
    for line in include_str!("lots/outlines.txt").lines() {
        let [name, role, numbers] = line.split(';').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let numbers: Vec<f64> = numbers.split(' ').map(|number| number.parse().unwrap()).collect();
        let ring: Vec<Point> = numbers.chunks(2).map(|pair| Point::from_metres(pair[0], pair[1])).collect();
        let lot = lots.entry(name).or_insert_with(|| Lot { outline: vec![], holes: vec![], house: vec![] });
        match role {
            "outline" => lot.outline = ring,
            "hole" => lot.holes.push(ring),
            "house" => lot.house = ring,
            other => panic!("{other}"),
        }
    }
    lots
}

fn expected() -> BTreeMap<&'static str, BTreeMap<&'static str, f64>> {
    let mut rows: BTreeMap<_, BTreeMap<_, _>> = BTreeMap::new();
    for row in include_str!("lots/areas.csv").lines().skip(1) {
        let [lot, figure, area] = row.split(',').collect::<Vec<_>>()[..] else { panic!("{row}") };
        rows.entry(lot).or_default().insert(figure, area.parse().unwrap());
    }
    rows
}

fn square_metres(region: &Region) -> f64 {
    region.area().to(AreaUnit::SquareMetre)
}

fn metres(length: f64) -> Length {
    Length::new(length, LengthUnit::Metre)
}

/// Every figure of a lot, by the names of `generate.py`.
fn figures(lot: &Lot) -> BTreeMap<&'static str, f64> {
    let arcs = ArcFineness::per_quarter(40);
    let ground = Region::polygon(&lot.outline, &lot.holes).unwrap();
    let whole = Region::from_ring(&lot.outline).unwrap();
    let house = Region::from_ring(&lot.house).unwrap();
    let edge = Shape::Line(Line::new(lot.outline[..3].to_vec()).unwrap());
    let edge = offset::setback(&edge, metres(3.0), arcs);
    let hive = offset::setback(&Shape::Point(lot.outline[0]), metres(6.0), arcs);
    let house_setback = offset::setback(&Shape::Region(house.clone()), metres(1.5), arcs);
    let house_band = offset::band(&house, metres(0.9144), arcs);
    let lot_band = offset::band(&ground, metres(0.9144), arcs);
    let mut found = BTreeMap::from([
        ("lot", square_metres(&ground)),
        ("whole", square_metres(&whole)),
        ("house-setback", square_metres(&house_setback)),
        ("house-band", square_metres(&house_band)),
        ("house-band-on-lot", square_metres(&house_band.intersection(&ground))),
        ("line-setback", square_metres(&edge)),
        ("point-setback", square_metres(&hive)),
        ("lot-setback", square_metres(&offset::setback(&Shape::Region(ground.clone()), metres(2.0), arcs))),
        ("lot-band", square_metres(&lot_band)),
        ("house-setback-geos-buffer", square_metres(&house_setback)),
        ("lot-band-geos-buffer", square_metres(&lot_band)),
    ]);
    let mut partition = Partition::of(whole);
    partition.claim("part-house", &house);
    partition.claim("part-hive", &hive);
    partition.claim("part-edge", &edge);
    partition.claim("part-band", &house_band);
    partition.claim("part-setback", &house_setback);
    partition.claim("part-lot", &ground);
    for (name, part) in partition.rest("part-rest") {
        found.insert(name, square_metres(&part));
    }
    found
}

#[test]
fn areas_agree_with_geos_within_a_millionth_where_arcs_are_drawn_alike() {
    let lots = lots();
    let mut checked = 0;
    for (name, rows) in expected() {
        let lot = &lots[name];
        let found = figures(lot);
        for (figure, expected) in &rows {
            // A part that takes nothing is not listed.
            let found = found.get(figure).copied().unwrap_or(0.0);
            let base = if figure.starts_with("part-") { rows["whole"] } else { *expected };
            let allowed = if figure.ends_with("geos-buffer") {
                let reach = if figure.starts_with("house") { 1.5 } else { 0.9144 };
                let rings: Vec<&[Point]> = if figure.starts_with("house") {
                    vec![&lot.house]
                } else {
                    std::iter::once(&lot.outline).chain(&lot.holes).map(Vec::as_slice).collect()
                };
                let turn: f64 = rings.iter().map(|ring| turning(ring)).sum();
                5.2e-4 * turn / 2.0 * reach * reach + 1e-6 * base
            } else {
                1e-6 * base
            };
            assert!((found - expected).abs() <= allowed, "{name} {figure}: {found} against {expected}");
            checked += 1;
        }
    }
    assert!(checked >= 18 * 60, "only {checked} figures were checked");
}

/// All the turning of a ring, either way, in radians: at least that of the corners that get an arc.
fn turning(ring: &[Point]) -> f64 {
    let count = ring.len();
    let heading = |index: usize| {
        let (ax, ay) = ring[index % count].metres();
        let (bx, by) = ring[(index + 1) % count].metres();
        (by - ay).atan2(bx - ax)
    };
    (0..count)
        .map(|index| {
            let turn = (heading(index + 1) - heading(index)).rem_euclid(std::f64::consts::TAU);
            turn.min(std::f64::consts::TAU - turn)
        })
        .sum()
}
