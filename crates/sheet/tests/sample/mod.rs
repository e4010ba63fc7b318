//! The invented visit that the tests of this crate draw and set: the acceptance example with the
//! sentences that a full label has, and some that try to be more than text.
#![allow(dead_code, unreachable_pub)]

#[path = "../../../business/tests/support/mod.rs"]
mod firm;

use business::{Business, Client};
use firm::visits::{self, Drawing, Drawn, KANSAS, alder_bend, concentrate, property, request, stated};
use jurisdiction::{
    AdvanceNotice, Applies, CustomerNotice, CustomerNoticeTime, Demand, Extent, InForce, Jurisdiction, NoticeItem,
    NoticePeriod, Pesticides, Posting, PutUp, Recipient, Removal, Rule, RuleId, RuleSet, SignEdge, SignHeight,
    SignSize, Source,
};
use label::{Clause, Label, PpeItem, PpeTask, Scope, Strength};
use quantity::{Length, LengthUnit};
use std::num::NonZeroU16;
use treatment::{Origin, Status, Verdict, Visit, VisitRequest, plan};

/// The invented business of the papers.
pub fn business() -> Business {
    firm::business("US-KS")
}

/// Its invented client.
pub fn client() -> Client {
    firm::client()
}

/// Invented rules: a sign, a notice to neighbours, one to the client.
pub fn rules() -> RuleSet {
    let one = NonZeroU16::MIN;
    let neighbours = AdvanceNotice {
        to: Recipient::AbuttingOnRequest,
        within: None,
        before: NoticePeriod::BusinessDays(one),
        contains: vec![NoticeItem::Product],
    };
    let client = CustomerNotice {
        when: CustomerNoticeTime::BeforeOrAt,
        contains: vec![NoticeItem::LicenceNumber, NoticeItem::Words("Leave the sign for a day.".to_owned())],
    };
    RuleSet::new(vec![
        rule("sign", Demand::Posting(sign(12.0, Some(18.0)))),
        rule("neighbours", Demand::AdvanceNotice(neighbours)),
        rule("client", Demand::CustomerNotice(client)),
    ])
    .unwrap()
}

/// Two invented rules whose signs no one height meets.
pub fn contradicting_rules() -> RuleSet {
    let signs = [("low", sign(8.0, Some(12.0))), ("high", sign(14.0, None))];
    RuleSet::new(signs.map(|(id, sign)| rule(id, Demand::Posting(sign))).into()).unwrap()
}

fn sign(low: f64, high: Option<f64>) -> Posting {
    let inches = |value| Length::new(value, LengthUnit::Inch);
    Posting {
        height: Some(SignHeight::new(SignEdge::Bottom, Some(inches(low)), high.map(inches)).unwrap()),
        least_size: SignSize::new(inches(4.0), inches(5.0)),
        least_letters: Some(inches(0.375)),
        wording: vec!["LAWN TREATED".to_owned()],
        look: None,
        place: Some("at each access".to_owned()),
        put_up: Some(PutUp::At),
        removal: Some(Removal::NextDay),
    }
}

fn rule(id: &str, demand: Demand) -> Rule {
    Rule {
        id: RuleId::new(id).unwrap(),
        jurisdiction: Jurisdiction::parse("US-KS").unwrap(),
        in_force: InForce::new(None, None).unwrap(),
        applies: vec![Applies {
            pesticides: Pesticides::All,
            work: jurisdiction::Scope::Anyone,
            ground: std::collections::BTreeSet::new(),
        }],
        only_where: None,
        sentence: "An invented rule.".to_owned(),
        demand,
        source: Source {
            publication: "Invented Code".to_owned(),
            section: id.to_owned(),
            extent: Extent::Read,
            as_of: None,
            note: None,
        },
    }
}

/// The acceptance example, planned.
pub fn visit() -> Visit {
    planned(&wanted(&alder_bend()))
}

/// The same with everything on the map that has a symbol.
pub fn crowded() -> Visit {
    let mut drawn = alder_bend();
    let point = |id: &'static str, kind: &'static str, x: f64, y: f64| Drawn {
        id,
        kind,
        shape: Drawing::Point,
        points: vec![(x, y)],
    };
    drawn.extend([
        point("well", "well", 12.0, 60.0),
        point("storm drain", "drain", 95.0, -4.0),
        point("maple", "tree", 20.0, 40.0),
        point("dryer vent", "entry-point", 80.0, 80.0),
        point("neighbour's hives", "hive", 400.0, 300.0),
    ]);
    drawn.push(visits::rectangle("swings", "play-area", 84.0, 60.0, 14.0, 10.0));
    planned(&wanted(&drawn))
}

/// Refused: the band at a rate that breaks the year's cap.
pub fn refused() -> Visit {
    let mut wanted = wanted(&alder_bend());
    wanted.tasks[1].rate = treatment::RateWish::Stated(visits::rate("0.8 fl oz/1,000 sq ft"));
    planned(&wanted)
}

/// Text that would be markup, code or a broken page if it were not taken as text.
pub const HOSTILE: &str =
    "#import \"x\": * ] [#panic()] $1/0$ <script>alert('&amp;')</script> *b* _i_ `r` \\ // -- \"quoted\" Ångström—żółć";

/// The acceptance example with hostile text in every place that a user fills.
pub fn hostile() -> Visit {
    let mut visit = visit();
    let long = "x".repeat(300);
    HOSTILE.clone_into(&mut visit.name);
    for zone in &mut visit.zones {
        zone.id = format!("{HOSTILE} {}", zone.id);
    }
    for task in &mut visit.tasks {
        task.product.name = format!("{HOSTILE} {long}");
        task.equipment.clone_from(&long);
    }
    for hour in &mut visit.hours {
        for reason in &mut hour.reasons {
            reason.text = format!("{HOSTILE} {}", reason.text);
        }
    }
    visit
        .verdicts
        .push(Verdict::new("test::hostile", Status::Caution, Origin::Assumed, HOSTILE).on(long.clone()).mend(long));
    visit
}

fn planned(request: &VisitRequest) -> Visit {
    plan(request).unwrap_or_else(|problems| panic!("{problems}"))
}

fn wanted(drawn: &[Drawn]) -> VisitRequest {
    let mut wanted = request(property(drawn, KANSAS), 0.0);
    wanted.labels = vec![full_label()];
    wanted
}

fn full_label() -> Label {
    let own = |text: &str, page: u32| Clause {
        text: text.to_owned(),
        page: Some(page),
        strength: Strength::Mandatory,
        scope: Scope::Product,
    };
    let mut label = concentrate();
    label.product.registration_number = Some("00000-0 (invented)".to_owned());
    label.precautions = vec![
        own(
            "Causes moderate eye irritation. Avoid contact with skin, eyes or clothing. Wash thoroughly with soap and water after handling and before eating, drinking or using tobacco.",
            1,
        ),
        own(
            "This product is toxic to fish and aquatic invertebrates. Do not apply directly to water, or to areas where surface water is present.",
            1,
        ),
        own(
            "This product is highly toxic to bees exposed to direct treatment on blooming plants. Do not apply while bees are foraging.",
            1,
        ),
    ];
    label.first_aid = vec![
        own(
            "If in eyes: hold eye open and rinse slowly and gently with water for 15 to 20 minutes. Call a poison control centre or doctor for advice.",
            1,
        ),
        own(
            "If on skin: take off contaminated clothing and rinse skin at once with plenty of water for 15 to 20 minutes.",
            1,
        ),
    ];
    label.storage_and_disposal = vec![own(
        "Store in the original container in a locked, cool, dry place. Triple rinse the empty container and add the rinsate to the spray tank.",
        6,
    )];
    let piece = |item: &str, tasks: &[PpeTask]| {
        stated(PpeItem { item: item.to_owned(), tasks: tasks.to_vec() }, &format!("Persons must wear {item}."))
    };
    let all = [PpeTask::Mixing, PpeTask::Applying, PpeTask::CleanUp];
    label.restraints.ppe = vec![
        piece("long-sleeved shirt and long pants", &all),
        piece("shoes plus socks", &all),
        piece("chemical-resistant gloves", &all),
        piece("protective eyewear", &[PpeTask::Mixing, PpeTask::CleanUp]),
    ];
    label.restraints.posting =
        stated("Pesticide application: keep off until dry.".to_owned(), "Post at each entry to the treated area.");
    label
}
