//! Which use rows of a label permit a treatment, and which sentence rejects each of the others.

use crate::clause::{Clause, Statement, Strength};
use crate::pest_name::closeness;
use crate::product::Label;
use crate::use_row::{Claim, Method, Site, UseRow};

/// How a use row answers a treatment.
#[derive(Debug, Clone, PartialEq)]
pub enum Fit {
    /// The row lists site, pest and method.
    Listed {
        /// What it claims against the pest.
        claim: Claim,
        /// The life stages it claims; empty when it names none.
        stages: Vec<String>,
    },
    /// The row lists site and method but not the pest.
    ///
    /// # Source
    /// FIFRA section 2(ee): a pest that the label does not name may be treated on a site that it
    /// names, unless the label forbids it. A state may narrow this.
    UnlistedPest,
    /// The row does not permit it.
    Rejected(Rejection),
}

/// Why a use row does not permit a treatment.
#[derive(Debug, Clone, PartialEq)]
pub struct Rejection {
    /// What kind of reason.
    pub reason: Reason,
    /// The reason in a sentence.
    pub why: String,
    /// The label's sentence that decides.
    pub clause: Clause,
}

/// Kinds of reasons.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// A restraint or the row forbids the site.
    SiteProhibited,
    /// The row does not list the site.
    SiteNotListed,
    /// The site is food plants, and the row is for others.
    FoodPlants,
    /// A restraint or the row forbids the method.
    MethodProhibited,
    /// The row is for another method.
    MethodNotListed,
    /// The row excludes the pest by name.
    PestExcluded,
    /// The row is for its own pests only, and this is none of them.
    OnlyListedPests,
}

/// A use row and how it answers.
#[derive(Debug, Clone, PartialEq)]
pub struct RowMatch<'l> {
    /// The row.
    pub row: &'l UseRow,
    /// Its answer.
    pub fit: Fit,
}

impl RowMatch<'_> {
    /// Whether the row permits the treatment, with or without a caution.
    pub fn is_permitted(&self) -> bool {
        !matches!(self.fit, Fit::Rejected(_))
    }

    /// What the person has to know of a row that permits with a caution.
    pub fn caution(&self) -> Option<&'static str> {
        match self.fit {
            Fit::UnlistedPest => Some(
                "the label does not name this pest; federal law (FIFRA section 2(ee)) permits treating it on a site that the label names, but the state may narrow this: check the state, and expect no claim of control",
            ),
            _ => None,
        }
    }
}

/// How every use row of the label answers a treatment of a site against a pest by a method; the
/// rows that list all three first, then those that permit with a caution, then the rejected, each
/// in the label's order. When no row is permitted the treatment is refused.
///
/// `pest` is the common name as in the pest's profile; case does not count, and a general word of the label names its kinds.
pub fn rows_for<'l>(label: &'l Label, site: Site, pest: &str, method: Method) -> Vec<RowMatch<'l>> {
    let mut rows: Vec<RowMatch<'l>> =
        label.uses.iter().map(|row| RowMatch { row, fit: fit(label, row, site, pest, method) }).collect();
    rows.sort_by_key(|row| match row.fit {
        Fit::Listed { .. } => 0,
        Fit::UnlistedPest => 1,
        Fit::Rejected(_) => 2,
    });
    rows
}

fn fit(label: &Label, row: &UseRow, site: Site, pest: &str, method: Method) -> Fit {
    let reject =
        |reason, why: String, clause: &Clause| Fit::Rejected(Rejection { reason, why, clause: clause.clone() });
    if let Some(clause) =
        forbids(&label.restraints.prohibited_sites, &site).or_else(|| forbids(&row.constraints.prohibited_sites, &site))
    {
        return reject(Reason::SiteProhibited, format!("the label forbids use on {}", site.word()), clause);
    }
    if !row.sites.contains(&site) {
        let sites: Vec<&str> = row.sites.iter().map(|site| site.word()).collect();
        let (reason, what) = if site == Site::FoodCrop {
            (Reason::FoodPlants, "food plants are not among its sites")
        } else {
            (Reason::SiteNotListed, "the site is not listed")
        };
        let why = format!("{what}: use `{}` is for {} only", row.id, sites.join(", "));
        return reject(reason, why, &row.clause);
    }
    if let Some(clause) = forbids(&label.restraints.prohibited_methods, &method)
        .or_else(|| forbids(&row.constraints.prohibited_methods, &method))
    {
        return reject(Reason::MethodProhibited, format!("the label forbids the method {}", method.word()), clause);
    }
    if row.method != method {
        let why = format!("the method is not listed: use `{}` is for {} only", row.id, row.method.word());
        return reject(Reason::MethodNotListed, why, &row.clause);
    }
    let claims = row.claims_against(pest);
    // Where a label claims ants and excludes fire ants, the closer word decides.
    let claimed = claims.first().and_then(|claim| closeness(&claim.pest, pest));
    let excluded = row.pests_excluded.iter().filter_map(|name| Some((closeness(name, pest)?, name))).max();
    if let Some((_, name)) = excluded.filter(|(close, _)| Some(*close) >= claimed) {
        let kind = if name.trim().eq_ignore_ascii_case(pest.trim()) { String::new() } else { format!(", by `{name}`") };
        return reject(Reason::PestExcluded, format!("use `{}` excludes {pest} by name{kind}", row.id), &row.clause);
    }
    if let Some(claim) = claims.first() {
        return Fit::Listed { claim: claim.claim, stages: claim.stages.clone() };
    }
    if row.only_these_pests {
        let why = format!("use `{}` is for the pests it names only, and {pest} is none of them", row.id);
        return reject(Reason::OnlyListedPests, why, &row.clause);
    }
    Fit::UnlistedPest
}

/// The sentence that forbids; an advisory one does not. One made for some state does: without
/// knowing the state the strictest reading holds (see [`crate::for_state`]).
fn forbids<'a, T: PartialEq>(statements: &'a [Statement<T>], what: &T) -> Option<&'a Clause> {
    statements.iter().find_map(|statement| match statement {
        Statement::Stated { value, clause } if value == what && clause.strength == Strength::Mandatory => Some(clause),
        _ => None,
    })
}
