//! Invented seasons: small ones drawn by lot for the exhaustive search, and one of a real one's size.
#![allow(dead_code, unreachable_pub, missing_docs)]

use jiff::civil::{Date, date};
use label::{Method, Site, Strength, Window};
use quantity::{
    AmountPerArea, AmountUnit, Area, AreaUnit, Basis, BasisCount, MassPerArea, MassPerAreaUnit, Rate, VolumeUnit,
};
use season::programme::{
    Advisory, Control, CostPerArea, Demands, Generation, Ground, LabelLimit, LimitKind, MinorUnits, PestPressure,
    ProductUse, Said, SeasonRequest, Share, Weeks, Worth,
};

pub fn thousand() -> Area {
    Area::new(1000.0, AreaUnit::SquareFoot)
}

pub fn ground(id: &str, square_feet: f64, site: Site) -> Ground {
    Ground { id: id.to_owned(), name: id.replace('-', " "), area: Area::new(square_feet, AreaUnit::SquareFoot), site }
}

pub fn said(label: &str, text: &str) -> Said {
    Said { label: label.to_owned(), text: text.to_owned(), page: Some(1), strength: Strength::Mandatory }
}

pub fn rate(ounces: f64) -> Rate {
    let basis = Basis::Area(BasisCount::THOUSAND, AreaUnit::SquareFoot);
    Rate::product(ounces, AmountUnit::Volume(VolumeUnit::UsFluidOunce), basis)
}

pub fn ounces(value: f64) -> AmountPerArea {
    rate(value).per_area().expect("per area")
}

pub fn pounds(value: f64) -> MassPerArea {
    MassPerArea::new(value, MassPerAreaUnit::PoundPerAcre)
}

pub fn shares(figures: &[f64]) -> Vec<Share> {
    figures.iter().map(|figure| Share::new(*figure).expect("a share")).collect()
}

/// A use with the figures that a test is about.
pub struct Use<'a> {
    pub id: &'a str,
    pub label: &'a str,
    pub sites: &'a [Site],
    pub ounces: f64,
    pub ingredient: (&'a str, f64),
    pub group: &'a str,
    pub cents: i64,
    pub controls: Vec<(usize, &'a [f64])>,
}

impl Use<'_> {
    pub fn made(self) -> ProductUse {
        ProductUse {
            id: self.id.to_owned(),
            label: self.label.to_owned(),
            product: format!("{} (invented)", self.label),
            row: "row".to_owned(),
            sites: self.sites.to_vec(),
            method: Method::Broadcast,
            rate: rate(self.ounces),
            per_area: ounces(self.ounces),
            ingredients: vec![(self.ingredient.0.to_owned(), pounds(self.ingredient.1))],
            groups: vec![self.group.to_owned()],
            cost: CostPerArea { cost: MinorUnits(self.cents), per: thousand() },
            controls: self
                .controls
                .into_iter()
                .map(|(pest, figures)| Control { pest, by_age: shares(figures), preventive: false })
                .collect(),
            limits: Vec::new(),
            interval_days: Vec::new(),
            in_a_row: Vec::new(),
            cautions: Vec::new(),
        }
    }
}

pub fn number(of: &mut ProductUse, most: u32, window: Window) {
    let said = said(&of.label, &format!("Not more than {most} applications."));
    of.limits.push(LabelLimit { kind: LimitKind::Number(most), window, said });
}

pub fn cap(of: &mut ProductUse, most: f64, window: Window, counts_other_products: bool) {
    let name = of.ingredients[0].0.clone();
    let said = said(&of.label, &format!("Not more than {most} lb {name} per acre."));
    let kind = LimitKind::Ingredient { name, most: pounds(most), counts_other_products };
    of.limits.push(LabelLimit { kind, window, said });
}

pub fn product_cap(of: &mut ProductUse, most: f64, window: Window) {
    let said = said(&of.label, &format!("Not more than {most} fl oz per 1,000 sq ft."));
    of.limits.push(LabelLimit { kind: LimitKind::Product(ounces(most)), window, said });
}

pub fn interval(of: &mut ProductUse, days: u32) {
    let said = said(&of.label, &format!("Not again within {days} days."));
    of.interval_days.push((days, said));
}

pub fn in_a_row(of: &mut ProductUse, most: u32) {
    let said = said(&of.label, &format!("Not more than {most} in a row of one group."));
    of.in_a_row.push((most, said));
}

pub fn pest(name: &str, cents: f64, generations: Vec<(Date, Date, Vec<f64>)>, rotates: bool) -> PestPressure {
    PestPressure {
        name: name.to_owned(),
        unit: "insects/sq ft".to_owned(),
        worth: Worth { minor_units: cents, per: thousand() },
        threshold: Some(5.0),
        generations: generations
            .into_iter()
            .map(|(from, to, figures)| Generation::new(from, to, figures).expect("a generation"))
            .collect(),
        share_by_ground: Vec::new(),
        rotates,
    }
}

pub fn request(weeks: u16, grounds: Vec<Ground>, uses: Vec<ProductUse>, pests: Vec<PestPressure>) -> SeasonRequest {
    let first = date(2026, 3, 2);
    SeasonRequest {
        name: "an invented season".to_owned(),
        weeks: Weeks::new(first, weeks).expect("weeks"),
        from: first,
        grounds,
        uses,
        pests,
        travel: MinorUnits(0),
        budget: None,
        stock: Vec::new(),
        blackouts: Vec::new(),
        past_is_known: true,
        past: Vec::new(),
        demands: Demands::default(),
        counts: Vec::new(),
        advisory: Advisory::Kept,
    }
}

/// Forty weeks, four grounds, twelve uses of seven labels, three pests.
pub fn realistic() -> SeasonRequest {
    let sites = |own: &[Site]| own.to_vec();
    let (turf, wall, beds) = (Site::Turf, Site::StructurePerimeter, Site::Ornamental);
    let long: &[f64] = &[0.85, 0.9, 0.85, 0.75, 0.6, 0.4, 0.2];
    let short: &[f64] = &[0.8, 0.65, 0.35];
    let slow: &[f64] = &[0.3, 0.55, 0.7, 0.75, 0.75, 0.7, 0.65, 0.55, 0.45, 0.3];
    let middle: &[f64] = &[0.75, 0.75, 0.65, 0.5, 0.25];
    let weak: &[f64] = &[0.5, 0.45, 0.35, 0.2];
    let all = [
        (
            "brackwater-turf",
            "brackwater",
            sites(&[turf]),
            0.4,
            ("exampthrin", 0.136),
            "3A",
            310,
            vec![(0, long), (1, long), (2, weak)],
        ),
        (
            "brackwater-low",
            "brackwater",
            sites(&[turf]),
            0.2,
            ("exampthrin", 0.068),
            "3A",
            230,
            vec![(0, middle), (1, weak)],
        ),
        (
            "brackwater-band",
            "brackwater",
            sites(&[wall]),
            0.8,
            ("exampthrin", 0.272),
            "3A",
            480,
            vec![(2, long), (0, weak)],
        ),
        (
            "brackwater-beds",
            "brackwater",
            sites(&[beds]),
            0.4,
            ("exampthrin", 0.136),
            "3A",
            420,
            vec![(1, middle), (2, middle)],
        ),
        (
            "sallowick-turf",
            "sallowick",
            sites(&[turf]),
            0.5,
            ("exampthrin", 0.11),
            "3A",
            260,
            vec![(0, middle), (1, middle)],
        ),
        (
            "gravelhome-turf",
            "gravelhome",
            sites(&[turf]),
            3.0,
            ("examprole", 0.2),
            "28",
            780,
            vec![(1, slow), (0, weak)],
        ),
        ("fernhollow-turf", "fernhollow", sites(&[turf]), 0.6, ("exampicotin", 0.3), "4A", 560, vec![(0, slow)]),
        (
            "fernhollow-beds",
            "fernhollow",
            sites(&[beds]),
            0.6,
            ("exampicotin", 0.3),
            "4A",
            610,
            vec![(1, slow), (2, weak)],
        ),
        (
            "marlbank-turf",
            "marlbank",
            sites(&[turf, beds]),
            1.0,
            ("exampsad", 0.09),
            "5",
            520,
            vec![(1, short), (0, short)],
        ),
        ("marlbank-band", "marlbank", sites(&[wall]), 1.0, ("exampsad", 0.09), "5", 450, vec![(2, short)]),
        (
            "anthollow-bait",
            "anthollow",
            sites(&[turf, wall]),
            1.5,
            ("exampoxadine", 0.001),
            "22A",
            340,
            vec![(2, slow)],
        ),
        (
            "thistledown-turf",
            "thistledown",
            sites(&[turf, beds]),
            0.9,
            ("exampadir", 0.05),
            "UN",
            390,
            vec![(0, weak), (1, weak), (2, weak)],
        ),
    ];
    let mut uses: Vec<ProductUse> = all
        .into_iter()
        .map(|(id, label, sites, ounces, ingredient, group, cents, controls)| {
            Use { id, label, sites: &sites, ounces, ingredient, group, cents, controls }.made()
        })
        .collect();
    for of in &mut uses {
        match of.label.as_str() {
            "brackwater" => {
                number(of, 4, Window::CalendarYear);
                interval(of, 21);
                cap(of, 0.48, Window::CalendarYear, true);
                product_cap(of, 1.6, Window::CalendarYear);
                in_a_row(of, 2);
            }
            "sallowick" => {
                number(of, 5, Window::CalendarYear);
                interval(of, 14);
                cap(of, 0.4, Window::TwelveMonths, true);
                in_a_row(of, 2);
            }
            "gravelhome" => {
                number(of, 2, Window::CalendarYear);
                interval(of, 60);
                cap(of, 0.4, Window::CalendarYear, true);
            }
            "fernhollow" => {
                number(of, 1, Window::CalendarYear);
                cap(of, 0.4, Window::CalendarYear, true);
            }
            "marlbank" => {
                number(of, 6, Window::TwelveMonths);
                interval(of, 7);
                in_a_row(of, 3);
            }
            "anthollow" => {
                number(of, 4, Window::CalendarYear);
                interval(of, 84);
            }
            _ => {
                number(of, 8, Window::CalendarYear);
                interval(of, 10);
            }
        }
    }
    let grounds = vec![
        ground("front-lawn", 5_936.0, turf),
        ground("back-lawn", 8_400.0, turf),
        ground("band", 1_480.0, wall),
        ground("beds", 2_150.0, beds),
    ];
    let mut pests = vec![
        pest(
            "chinch bug",
            32.0,
            vec![
                (date(2026, 4, 13), date(2026, 6, 14), vec![1.0, 6.0, 14.0, 9.0, 3.0]),
                (date(2026, 6, 15), date(2026, 8, 9), vec![2.0, 12.0, 24.0, 15.0, 5.0]),
                (date(2026, 8, 10), date(2026, 10, 11), vec![3.0, 14.0, 18.0, 7.0, 1.0]),
            ],
            true,
        ),
        pest(
            "sod webworm",
            28.0,
            vec![
                (date(2026, 5, 11), date(2026, 6, 28), vec![1.0, 5.0, 9.0, 4.0]),
                (date(2026, 6, 29), date(2026, 8, 16), vec![2.0, 9.0, 14.0, 6.0]),
                (date(2026, 8, 17), date(2026, 10, 18), vec![3.0, 12.0, 16.0, 6.0, 1.0]),
            ],
            true,
        ),
        pest(
            "ant",
            22.0,
            vec![(date(2026, 3, 23), date(2026, 11, 1), vec![2.0, 8.0, 10.0, 12.0, 11.0, 9.0, 4.0])],
            false,
        ),
    ];
    pests[0].share_by_ground = vec![1.0, 0.8, 0.3, 0.1];
    pests[1].share_by_ground = vec![0.7, 1.0, 0.1, 0.6];
    pests[2].share_by_ground = vec![0.4, 0.3, 2.5, 0.8];
    let mut request = request(40, grounds, uses, pests);
    request.travel = MinorUnits(4_500);
    request.budget = Some(MinorUnits(90_000));
    request
}
