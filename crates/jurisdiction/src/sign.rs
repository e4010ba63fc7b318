//! The sign of one application, by all rules that bind it.

use crate::words::plain;
use crate::{Binding, Circumstances, Demand, Known, Posting, PutUp, Rule, RuleSet, SignEdge, SignSize};
use jiff::civil::DateTime;
use quantity::{Length, LengthUnit};
use std::fmt;

/// The postings that rules known demand of this application. Only rules of the property's own state and
/// country count; those of others can contradict them.
pub fn posting<'r>(rules: &'r RuleSet, circumstances: &Circumstances) -> Known<Vec<(Binding<'r>, &'r Posting)>> {
    let found = rules.binding_on(circumstances).into_iter().filter_map(|binding| match &binding.rule.demand {
        Demand::Posting(posting) => Some((binding, posting)),
        _ => None,
    });
    Known::of(found.collect())
}

/// Two rules that no height of a sign's bottom edge meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightContradiction<'r> {
    /// The rule that wants it higher, and the lowest it allows.
    pub higher: (&'r Rule, Length),
    /// The rule that wants it lower, and the highest it allows.
    pub lower: (&'r Rule, Length),
}

impl fmt::Display for HeightContradiction<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (higher, lower) = (self.higher, self.lower);
        write!(
            f,
            "`{}` wants the sign at least {} above the ground, `{}` at most {}: no one height meets both",
            higher.0.id,
            plain(higher.1, LengthUnit::Inch),
            lower.0.id,
            plain(lower.1, LengthUnit::Inch),
        )
    }
}

/// The heights of the bottom edge of a sign that meet every rule: the lowest and the highest, each open
/// where no rule bounds it. A top edge at least so high is met by a bottom edge at that height less the
/// shorter side of the sign, which `least_size` gives; without a size the bottom edge is held instead.
///
/// # Errors
/// The two rules that contradict each other.
pub fn common_height<'r>(
    postings: impl IntoIterator<Item = (&'r Rule, &'r Posting)>,
    least_size: Option<SignSize>,
) -> Result<(Option<Length>, Option<Length>), HeightContradiction<'r>> {
    let mut lowest: Option<(&'r Rule, Length)> = None;
    let mut highest: Option<(&'r Rule, Length)> = None;
    for (rule, posting) in postings {
        let Some(height) = posting.height else { continue };
        let below_top = match (height.edge(), least_size) {
            (SignEdge::Top, Some(size)) => size.short(),
            _ => Length::ZERO,
        };
        if let Some(low) = height.lowest().map(|low| (low - below_top).max(Length::ZERO))
            && lowest.is_none_or(|(_, before)| low > before)
        {
            lowest = Some((rule, low));
        }
        if let Some(high) = height.highest()
            && highest.is_none_or(|(_, before)| high < before)
        {
            highest = Some((rule, high));
        }
    }
    match (lowest, highest) {
        (Some(higher), Some(lower)) if higher.1 > lower.1 => Err(HeightContradiction { higher, lower }),
        _ => Ok((lowest.map(|(_, low)| low), highest.map(|(_, high)| high))),
    }
}

/// One sign that meets every rule that binds an application.
#[derive(Debug, Clone, PartialEq)]
pub struct Sign<'r> {
    /// The rules that it meets.
    pub demanded_by: Vec<Binding<'r>>,
    /// The lowest height of its bottom edge above the ground; `None` when no rule bounds it.
    pub bottom_at_least: Option<Length>,
    /// The highest height of its bottom edge; `None` when no rule bounds it.
    pub bottom_at_most: Option<Length>,
    /// How large it is at least.
    pub least_size: Option<SignSize>,
    /// How high its letters are at least.
    pub least_letters: Option<Length>,
    /// The words that it must carry.
    pub wording: Vec<&'r str>,
    /// Colours, symbol and material.
    pub look: Vec<&'r str>,
    /// Where it is put up.
    pub places: Vec<&'r str>,
    /// When it is put up.
    pub put_up: Option<PutUp>,
    /// The first moment at which it may be taken away; `None` when no rule known says so.
    pub remove_from: Option<DateTime>,
}

/// The sign that meets every rule known for an application that ends at `ended`.
///
/// # Errors
/// The two rules that contradict each other.
pub fn sign<'r>(
    rules: &'r RuleSet,
    circumstances: &Circumstances,
    ended: DateTime,
) -> Result<Known<Sign<'r>>, HeightContradiction<'r>> {
    let Known::Demanded(postings) = posting(rules, circumstances) else { return Ok(Known::NoRuleKnown) };
    let all = || postings.iter().map(|(_, posting)| *posting);
    let least_size = all().filter_map(|posting| posting.least_size).reduce(SignSize::larger);
    let pairs = postings.iter().map(|(binding, posting)| (binding.rule, *posting));
    let (bottom_at_least, bottom_at_most) = common_height(pairs, least_size)?;
    Ok(Known::Demanded(Sign {
        bottom_at_least,
        bottom_at_most,
        least_size,
        least_letters: all().filter_map(|posting| posting.least_letters).reduce(Length::max),
        wording: once_each(all().flat_map(|posting| posting.wording.iter().map(String::as_str))),
        look: once_each(all().filter_map(|posting| posting.look.as_deref())),
        places: once_each(all().filter_map(|posting| posting.place.as_deref())),
        put_up: all().filter_map(|posting| posting.put_up).min(),
        remove_from: all().filter_map(|posting| Some(posting.removal?.earliest(ended))).max(),
        demanded_by: postings.iter().map(|(binding, _)| *binding).collect(),
    }))
}

fn once_each<'r>(texts: impl Iterator<Item = &'r str>) -> Vec<&'r str> {
    let mut once: Vec<&'r str> = Vec::new();
    for text in texts {
        if !once.contains(&text) {
            once.push(text);
        }
    }
    once
}
