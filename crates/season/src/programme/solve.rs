//! Solving with a proven bound.
//!
//! First a good programme by search; then the linear relaxation, made tight by cuts, for a bound; then the integer
//! programme with both. The relaxation only ever leaves rules out, so that its bound holds for every lawful programme;
//! what is handed out is reckoned anew from the request, and held against every rule by code that shares nothing with
//! the rows.

use super::answer::{Programme, Proof};
use super::check;
use super::conflict::{Conflict, conflict};
use super::model::Model;
use super::relaxation::{Aim, Cut, Relaxation};
use super::request::SeasonRequest;
use super::search::{improved, meeting};
use super::selection::{Index, Selection};
use super::shared::bounded;
use problem::{Problem, Problems};

/// How long to try. There is no clock here: the same request gives the same answer on every machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Parts of the search over weeks at the most.
    pub parts: u64,
    /// Candidates up to which what is still open goes to the integer programme over all grounds.
    pub candidates: usize,
    /// Nodes of its tree at the most, in each round of cuts.
    pub nodes: u64,
    /// Rounds of cuts at the most.
    pub rounds: u32,
    /// The gap, as a share of the gain, at which the proof is good enough.
    pub gap: f64,
}

impl Default for Effort {
    fn default() -> Self {
        Self { parts: 40, candidates: 250, nodes: 400, rounds: 12, gap: 0.005 }
    }
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// A lawful programme, with its proof.
    Programme(Box<Programme>),
    /// There is none: these rules stand against each other.
    Conflict(Conflict),
}

/// A bound and what reaches it.
#[derive(Debug, Clone)]
pub(crate) struct Solved<'m> {
    pub(crate) selection: Selection<'m>,
    /// No lawful programme gains more, minor units.
    pub(crate) bound: f64,
}

/// Why there is no solution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Unsolved {
    /// No choice keeps all rules.
    Infeasible,
    /// It was not found out within the effort.
    Undecided,
    /// The solver failed.
    Solver(String),
}

/// The best programme of a season, or the rules that leave none.
///
/// # Errors
/// All that is wrong with the request ([`SeasonRequest::check`]); `season::undecided` where the effort did not suffice to
/// find a programme or to show that there is none; `season::solver` where the solver failed; `season::unsound` where
/// what it found breaks a rule, which no answer may.
pub fn solve(request: &SeasonRequest, effort: Effort) -> Result<Answer, Problems> {
    request.check()?;
    let model = Model::build(request, &|_| true);
    let index = Index::of(&model);
    match best(&model, &index, effort, Selection::empty(&model)) {
        Ok(solved) => told(request, &model, &solved).map(|programme| Answer::Programme(Box::new(programme))),
        Err(Unsolved::Infeasible) => Ok(Answer::Conflict(conflict(request, effort))),
        Err(Unsolved::Undecided) => {
            Err(Problem::error("season::undecided", "no programme was found, nor shown that there is none")
                .mend("pin and require less, or ask for fewer weeks")
                .into())
        }
        Err(Unsolved::Solver(words)) => {
            Err(Problem::error("season::solver", format!("the solver failed: {words}")).into())
        }
    }
}

/// The answer in words and figures, held against every rule.
pub(crate) fn told(request: &SeasonRequest, model: &Model, solved: &Solved<'_>) -> Result<Programme, Problems> {
    let planned = solved.selection.planned();
    let violations = check::violations(request, &planned);
    if !violations.is_empty() {
        let list = violations.iter().map(|violation| violation.words.as_str()).collect::<Vec<_>>().join("; ");
        return Err(Problem::error("season::unsound", format!("what the solver found breaks a rule: {list}")).into());
    }
    let gain = check::gain(request, &planned);
    Ok(Programme::new(request, model, &solved.selection, planned, Proof::new(gain, solved.bound)))
}

/// Rounds of cuts on the linear relaxation alone.
const LINEAR_ROUNDS: u32 = 30;

/// The best choice of a model, beginning with one.
pub(crate) fn best<'m>(
    model: &'m Model,
    index: &Index,
    effort: Effort,
    begin: Selection<'m>,
) -> Result<Solved<'m>, Unsolved> {
    let mut held = improved(model, index, begin);
    let mut bound = f64::INFINITY;
    if let Some(found) = bounded(model, index, held.clone(), effort.parts, effort.gap) {
        if found.selection.beats(&held) {
            held = found.selection;
        }
        if held.unmet() == 0 {
            bound = found.bound;
        }
    }
    let is_proven = |held: &Selection<'_>, bound: f64| {
        held.unmet() == 0 && bound - held.gain() <= (effort.gap * held.gain().abs()).max(NO_DIFFERENCE)
    };
    if held.unmet() == 0 && (is_proven(&held, bound) || model.candidates.len() > effort.candidates) {
        return Ok(Solved { bound: bound.max(held.gain()), selection: held });
    }
    let mut cuts: Vec<Cut> = Vec::new();
    bound = bound.min(linear_bound(model, &mut cuts)?);
    for _ in 0..effort.rounds {
        if is_proven(&held, bound) {
            break;
        }
        let relaxation = Relaxation::new(model, &cuts, Aim::Gain, true);
        let mut options = microlp::SolveOptions::default();
        options.node_limit = Some(effort.nodes);
        options.mip_gap = effort.gap / 2.0;
        if held.unmet() == 0 {
            let hint = relaxation.chosen.iter().enumerate();
            options.warm_start = Some(hint.map(|(at, one)| (*one, f64::from(u8::from(held.has(at))))).collect());
        }
        let solution = relaxation.problem.solve_with(options).map_err(failed)?;
        if let Some(most) = solution.stats().best_bound {
            bound = bound.min(most / relaxation.scale);
        }
        if solution.status() == microlp::Status::Interrupted {
            break;
        }
        let whole: Vec<usize> =
            (0..model.candidates.len()).filter(|at| solution.var_value_raw(relaxation.chosen[*at]) > 0.5).collect();
        let found = sound(model, index, &whole).map(|found| improved(model, index, found));
        if let Some(found) = found.filter(|found| found.beats(&held)) {
            held = found;
        }
        let broken = relaxation.broken(model, &solution);
        if broken.is_empty() {
            break;
        }
        cuts.extend(broken);
    }
    if held.unmet() > 0 {
        return Err(Unsolved::Undecided);
    }
    Ok(Solved { bound: bound.max(held.gain()), selection: held })
}

/// Minor units of money below which nothing differs.
pub(crate) const NO_DIFFERENCE: f64 = 0.01;

fn failed(error: microlp::Error) -> Unsolved {
    match error {
        microlp::Error::Infeasible => Unsolved::Infeasible,
        other => Unsolved::Solver(other.to_string()),
    }
}

/// The bound of the linear relaxation, with the cuts that it needed.
fn linear_bound(model: &Model, cuts: &mut Vec<Cut>) -> Result<f64, Unsolved> {
    let mut bound = f64::INFINITY;
    for _ in 0..LINEAR_ROUNDS {
        let relaxation = Relaxation::new(model, cuts, Aim::Gain, false);
        let solution = relaxation.problem.solve().map_err(failed)?;
        let value = solution.objective() / relaxation.scale;
        let gained = bound - value;
        bound = bound.min(value);
        let broken = relaxation.broken(model, &solution);
        if broken.is_empty() || gained < bound.abs() * 1e-5 {
            break;
        }
        cuts.extend(broken);
    }
    Ok(bound)
}

/// A choice of the solver as far as it keeps the rules that the relaxation leaves out.
fn sound<'m>(model: &'m Model, index: &Index, whole: &[usize]) -> Option<Selection<'m>> {
    let mut selection = Selection::empty(model);
    for candidate in whole {
        if selection.allows(index, *candidate) {
            selection.add(index, *candidate);
        }
    }
    (0..model.of_ground.len()).all(|ground| selection.runs_are_sound(ground)).then_some(selection)
}

/// Whether any choice keeps the rules of a model; `None` where it was not found out.
pub(crate) fn is_feasible(model: &Model, effort: Effort) -> Option<bool> {
    let index = Index::of(model);
    let searched = meeting(model, &index);
    if searched.unmet() == 0 {
        return Some(true);
    }
    let mut cuts = Vec::new();
    for _ in 0..effort.rounds.max(20) {
        let relaxation = Relaxation::new(model, &cuts, Aim::Feasible, true);
        let mut options = microlp::SolveOptions::default();
        options.node_limit = Some(effort.nodes.max(2_000));
        match relaxation.problem.solve_with(options) {
            Err(microlp::Error::Infeasible) => return Some(false),
            Err(_) => return None,
            Ok(solution) if solution.status() == microlp::Status::Interrupted => return None,
            Ok(solution) => {
                let broken = relaxation.broken(model, &solution);
                if broken.is_empty() {
                    return Some(true);
                }
                cuts.extend(broken);
            }
        }
    }
    None
}
