//! `season.json`: the programme of a season, its proof, what it leaves and what binds; or the rules that leave none.

use crate::json_text::pretty;
use crate::problems_json::ProblemJson;
use crate::season_file::SeasonFile;
use problem::Problems;
use quantity::{Amount, AmountPerArea, MassPerAreaUnit, MassUnit, VolumeUnit};
use schemars::JsonSchema;
use season::programme::{
    Answer, Change, Conflict, MinorUnits, Planned, Programme, Proof, RoomLeft, Rule, Said, SeasonRequest, UsedOf,
    WhatIf,
};
use serde::Serialize;

/// The format of the document; it changes when a field changes its meaning or goes away.
pub const FORMAT: &str = "tussock.season-programme/1";

/// What must stand beside every programme.
pub const REMINDER: &str =
    "a planned date is a date to scout: counts decide on the day, and the label and the law govern";

/// The answer to a season file.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "Programme of a season")]
pub struct SeasonJson {
    /// `tussock.season-programme/1`.
    pub format: &'static str,
    /// What the season is called.
    pub name: String,
    /// ISO 4217 code; amounts of money are in its whole units.
    pub currency: String,
    /// The first day planned, ISO 8601.
    pub first: String,
    /// How many weeks.
    pub weeks: usize,
    /// The programme; `null` where the rules leave none.
    pub programme: Option<ProgrammeJson>,
    /// The rules that stand against each other; `null` where there is a programme.
    pub conflict: Option<ConflictJson>,
    /// What one change would bring, each solved again.
    pub what_if: Vec<WhatIfJson>,
    /// What must stand beside every programme.
    pub reminder: &'static str,
    /// What was noticed on the way.
    pub problems: Vec<ProblemJson>,
}

/// A programme.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProgrammeJson {
    /// How well it is proven.
    pub proof: ProofJson,
    /// What applications cost.
    pub applications_cost: f64,
    /// What the way costs.
    pub travel_cost: f64,
    /// The share of what pests would cost that is prevented, 0 to 1.
    pub share_prevented: Option<f64>,
    /// The visits in order.
    pub visits: Vec<VisitDateJson>,
    /// What is protected, by ground and pest.
    pub protection: Vec<ProtectionJson>,
    /// Active ingredients put down, by ground.
    pub active_ingredients: Vec<IngredientJson>,
    /// What is left of each limit, by ground.
    pub remaining: Vec<RemainingJson>,
    /// Rules that stand in the way of something that would gain, the dearest first.
    pub binding: Vec<BindingJson>,
    /// What the labels say and a programme cannot hold, and what is not known.
    pub cautions: Vec<String>,
}

/// How well a programme is proven.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProofJson {
    /// `optimal`, or `within` a gap.
    pub status: &'static str,
    /// What it gains over doing nothing more: damage prevented less money spent.
    pub gain: f64,
    /// No lawful programme gains more.
    pub bound: f64,
    /// What a better one could gain at the most, as a share of the gain; `null` where nothing is gained.
    pub gap: Option<f64>,
}

/// One day to scout.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct VisitDateJson {
    /// ISO 8601.
    pub date: String,
    /// What is planned where counts call for it.
    pub applications: Vec<PlannedJson>,
}

/// One application planned.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlannedJson {
    /// The ground, by its word in the file.
    pub ground: String,
    /// The use, by its word in the file.
    #[serde(rename = "use")]
    pub product_use: String,
    /// The product.
    pub product: String,
    /// The id of its label.
    pub label: String,
    /// The rate in words.
    pub rate: String,
    /// Product by volume, millilitres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_ml: Option<f64>,
    /// Product by weight, grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_g: Option<f64>,
    /// What it costs.
    pub cost: f64,
    /// The pests to count first.
    pub pests: Vec<String>,
}

/// What one pest would cost on one ground, and how much of that is prevented.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProtectionJson {
    /// The ground.
    pub ground: String,
    /// The pest.
    pub pest: String,
    /// What it would cost if nothing controlled it.
    pub damage: f64,
    /// How much of that is prevented.
    pub prevented: f64,
}

/// An active ingredient on a ground.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct IngredientJson {
    /// The ground.
    pub ground: String,
    /// Its common name.
    pub name: String,
    /// What the programme puts down, kilograms per hectare.
    pub kg_per_ha: f64,
}

/// What a limit leaves.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RemainingJson {
    /// The ground.
    pub ground: String,
    /// The product of the label that says so.
    pub product: String,
    /// What is counted: `applications`, `product`, or the name of an active ingredient.
    pub counts: String,
    /// The first date of the window, ISO 8601.
    pub window_first: String,
    /// Its last date.
    pub window_last: String,
    /// Used, in words.
    pub used: String,
    /// Allowed, in words.
    pub most: String,
    /// The share of it that is left, 0 to 1.
    pub share_left: f64,
    /// The label's sentence.
    pub clause: String,
    /// Its page.
    pub page: Option<u32>,
}

/// A rule.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RuleJson {
    /// What kind it is.
    pub kind: &'static str,
    /// What it says.
    pub words: String,
    /// The label that made it.
    pub label: Option<String>,
    /// The label's sentence.
    pub clause: Option<String>,
    /// Its page.
    pub page: Option<u32>,
}

/// A rule that binds.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BindingJson {
    /// The rule.
    #[serde(flatten)]
    pub rule: RuleJson,
    /// What the best application that it alone forbids would gain by itself.
    pub gain: f64,
    /// That application's date.
    pub date: String,
    /// Its ground.
    pub ground: String,
    /// Its use.
    #[serde(rename = "use")]
    pub product_use: String,
}

/// Rules that no programme keeps all together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ConflictJson {
    /// Whether without any one of them the others can be kept.
    pub is_irreducible: bool,
    /// The rules.
    pub rules: Vec<ConflictRuleJson>,
}

/// One of them.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ConflictRuleJson {
    /// The rule.
    #[serde(flatten)]
    pub rule: RuleJson,
    /// Whether it was asked for and may be taken back.
    pub is_asked: bool,
}

/// What one change would bring.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WhatIfJson {
    /// `more-budget` or `without-label`.
    pub change: &'static str,
    /// The money more, or the label's id.
    pub by: String,
    /// The proof then; `null` where no programme is lawful then.
    pub proof: Option<ProofJson>,
    /// How much more is gained then (less where below nothing).
    pub difference: Option<f64>,
    /// What it costs then.
    pub cost: Option<f64>,
    /// How many applications are planned then.
    pub applications: usize,
}

/// Writes money of a season in whole units of its currency.
struct Scale(f64);

impl Scale {
    fn money(&self, minor: MinorUnits) -> f64 {
        minor.0 as f64 / self.0
    }

    /// Figures that are no whole minor units are told to a hundredth of one.
    fn value(&self, minor: f64) -> f64 {
        (minor * 100.0).round() / 100.0 / self.0
    }

    fn proof(&self, proof: Proof) -> ProofJson {
        ProofJson {
            status: if proof.is_optimal() { "optimal" } else { "within" },
            gain: self.value(proof.gain),
            bound: self.value(proof.bound),
            gap: proof.gap(),
        }
    }
}

impl SeasonJson {
    /// The document.
    pub fn new(file: &SeasonFile, answer: &Answer, what_if: &[WhatIf], problems: &Problems) -> Self {
        let request = &file.request;
        let scale = Scale(file.currency.minor_units() as f64);
        let (programme, conflict) = match answer {
            Answer::Programme(programme) => (Some(programme.as_ref()), None),
            Answer::Conflict(conflict) => (None, Some(conflict)),
        };
        Self {
            format: FORMAT,
            name: request.name.clone(),
            currency: file.currency.to_string(),
            first: request.weeks.first().to_string(),
            weeks: request.weeks.count(),
            what_if: what_if.iter().map(|what| what_if_json(&scale, what, programme)).collect(),
            programme: programme.map(|programme| programme_json(request, &scale, programme)),
            conflict: conflict.map(conflict_json),
            reminder: REMINDER,
            problems: problems.iter().map(ProblemJson::from).collect(),
        }
    }
}

/// The document as text.
pub fn write_season(file: &SeasonFile, answer: &Answer, what_if: &[WhatIf], problems: &Problems) -> String {
    pretty(&SeasonJson::new(file, answer, what_if, problems))
}

fn programme_json(request: &SeasonRequest, scale: &Scale, programme: &Programme) -> ProgrammeJson {
    let visits = programme.visits().into_iter().map(|week| VisitDateJson {
        date: request.weeks.date(week).to_string(),
        applications: programme
            .planned
            .iter()
            .filter(|one| one.week == week)
            .map(|one| planned_json(request, scale, *one))
            .collect(),
    });
    let ground = |at: usize| request.grounds[at].id.clone();
    ProgrammeJson {
        proof: scale.proof(programme.proof),
        applications_cost: scale.money(programme.applications_cost),
        travel_cost: scale.money(programme.travel_cost),
        share_prevented: programme.share_prevented(),
        visits: visits.collect(),
        protection: programme
            .protection
            .iter()
            .map(|part| ProtectionJson {
                ground: ground(part.ground),
                pest: request.pests[part.pest].name.clone(),
                damage: scale.value(part.damage),
                prevented: scale.value(part.prevented),
            })
            .collect(),
        active_ingredients: programme
            .ingredients
            .iter()
            .map(|(at, name, mass)| IngredientJson {
                ground: ground(*at),
                name: name.clone(),
                kg_per_ha: mass.to(MassPerAreaUnit::KilogramPerHectare),
            })
            .collect(),
        remaining: programme.room.iter().map(|room| remaining_json(request, room)).collect(),
        binding: programme
            .bindings
            .iter()
            .map(|binding| BindingJson {
                rule: rule_json(&binding.rule),
                gain: scale.value(binding.gain),
                date: request.weeks.date(binding.example.week).to_string(),
                ground: ground(binding.example.ground),
                product_use: request.uses[binding.example.product_use].id.clone(),
            })
            .collect(),
        cautions: programme.cautions.clone(),
    }
}

fn planned_json(request: &SeasonRequest, scale: &Scale, one: Planned) -> PlannedJson {
    let (of, ground) = (&request.uses[one.product_use], &request.grounds[one.ground]);
    let amount = of.per_area.over(ground.area);
    let (product_ml, product_g) = match amount {
        Amount::Volume(volume) => (Some(volume.to(VolumeUnit::Millilitre)), None),
        Amount::Mass(mass) => (None, Some(mass.to(MassUnit::Gram))),
    };
    PlannedJson {
        ground: ground.id.clone(),
        product_use: of.id.clone(),
        product: of.product.clone(),
        label: of.label.clone(),
        rate: of.rate.show(),
        product_ml,
        product_g,
        cost: scale.money(of.cost.on(ground.area)),
        pests: of.controls.iter().map(|control| request.pests[control.pest].name.clone()).collect(),
    }
}

/// Used and allowed in words, and the share left.
pub fn used_words(room: &RoomLeft, request: &SeasonRequest) -> (String, String, String, f64) {
    match &room.used {
        UsedOf::Number { used, most } => {
            let left = if *most == 0 { 0.0 } else { 1.0 - f64::from(*used) / f64::from(*most) };
            ("applications".to_owned(), used.to_string(), most.to_string(), left)
        }
        UsedOf::Product { used, most } => {
            let like = request.uses.iter().find(|of| of.product == room.product).map(|of| of.rate);
            let show = |amount: AmountPerArea| like.and_then(|like| amount.show_like(&like)).unwrap_or_default();
            ("product".to_owned(), show(*used), show(*most), 1.0 - used.ratio(*most).unwrap_or(1.0))
        }
        UsedOf::Ingredient { name, used, most } => {
            let unit = MassPerAreaUnit::PoundPerAcre;
            (name.clone(), used.show(unit), most.show(unit), 1.0 - used.ratio(*most))
        }
    }
}

fn remaining_json(request: &SeasonRequest, room: &RoomLeft) -> RemainingJson {
    let (counts, used, most, share_left) = used_words(room, request);
    RemainingJson {
        ground: request.grounds[room.ground].id.clone(),
        product: room.product.clone(),
        counts,
        window_first: room.window.0.to_string(),
        window_last: room.window.1.to_string(),
        used,
        most,
        share_left,
        clause: room.said.text.clone(),
        page: room.said.page,
    }
}

fn rule_json(rule: &Rule) -> RuleJson {
    let of = |said: &Option<Said>| said.clone().map(|said| (said.label, said.text, said.page));
    let (label, clause, page) =
        of(&rule.said).map_or((None, None, None), |(label, text, page)| (Some(label), Some(text), page));
    RuleJson { kind: rule.kind.word(), words: rule.words.clone(), label, clause, page }
}

fn conflict_json(conflict: &Conflict) -> ConflictJson {
    ConflictJson {
        is_irreducible: conflict.is_irreducible,
        rules: conflict
            .rules
            .iter()
            .map(|one| ConflictRuleJson { rule: rule_json(&one.rule), is_asked: one.is_asked })
            .collect(),
    }
}

fn what_if_json(scale: &Scale, what: &WhatIf, programme: Option<&Programme>) -> WhatIfJson {
    let (change, by) = match &what.change {
        Change::MoreBudget(more) => ("more-budget", scale.money(*more).to_string()),
        Change::WithoutLabel(label) => ("without-label", label.clone()),
    };
    WhatIfJson {
        change,
        by,
        proof: what.proof.map(|proof| scale.proof(proof)),
        difference: what.proof.zip(programme).map(|(proof, programme)| scale.value(proof.gain - programme.proof.gain)),
        cost: what.proof.map(|_| scale.money(what.cost)),
        applications: what.planned.len(),
    }
}
