//! Life stages: whether the product reaches the one that was found, and the one that is usual on the day.
//!
//! No profile tells its stages by heat yet, so the day goes by the months of the profile.

use crate::resolve::Product;
use crate::verdict::{Origin, Status, Verdict};
use jiff::civil::Date;
use label::PestClaim;
use pest::{LifeStage, Profile, StageFit, stage_fit};

/// What speaks against the stage that a product of a task is to reach. A preventive use comes before any stage.
pub(crate) fn judge(date: Date, task: &str, product: &Product<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let Some(finding) = product.finding.filter(|finding| !finding.preventive) else { return verdicts };
    let reach = Reach { claims: claims(product), profile: finding.profile.as_deref() };
    let next = reach.next_words(date);
    let wait = |other: &str| match &next {
        Some(next) => format!("{next}; or {other}"),
        None => format!("wait for a stage that the product reaches, or {other}"),
    };
    if let Some(stage) = &finding.stage {
        let claimed = reach.claimed_stages();
        if !claimed.is_empty() && !reach.is_claimed(stage) {
            let text = format!("found as {stage}, but the label claims {} only", claimed.join(", "));
            verdicts.push(
                Verdict::new("use::stage", Status::Caution, Origin::Label, text)
                    .by(&product.row.clause)
                    .on(task)
                    .mend(wait("choose another product")),
            );
        } else if let Some(known) = reach.known(stage).filter(|known| !known.is_susceptible) {
            let text = format!(
                "found as {stage}: treatment seldom reaches that stage of the {} (profile, {})",
                reach.name(),
                known.place
            );
            verdicts.push(
                Verdict::new("stage::seldom-reached", Status::Caution, Origin::Default, text)
                    .on(task)
                    .mend(wait("leave it be")),
            );
        }
    }
    if let Some(verdict) = of_the_day(date, &reach, finding.stage.as_deref()) {
        let verdict = verdict.on(task);
        verdicts.push(match &next {
            Some(_) => verdict.mend(wait("look again at what is there")),
            None => verdict.mend("look again at what is there"),
        });
    }
    verdicts
}

/// What the profile says of the day: another stage than the one that was found, or none that the product reaches.
fn of_the_day(date: Date, reach: &Reach<'_>, found: Option<&str>) -> Option<Verdict> {
    let profile = reach.profile?;
    let usual: Vec<&LifeStage> = profile.stages_in(date.month()).collect();
    let first = usual.first()?;
    let names: Vec<&str> = usual.iter().map(|stage| stage.name.as_str()).collect();
    let day =
        format!("in {} the {} is usual as {} (profile, {})", month(date), reach.name(), names.join(", "), first.place);
    let caution = |text: String| Verdict::new("stage::of-the-day", Status::Caution, Origin::Default, text);
    match found {
        Some(found)
            if reach.known(found).is_some() && !names.iter().any(|name| stage_fit(found, name) == StageFit::Same) =>
        {
            Some(caution(format!("found as {found}, but {day}")))
        }
        None if !usual.iter().any(|stage| reach.reaches(stage)) => {
            Some(caution(format!("no stage was told, and {day}: none of them is reached")))
        }
        _ => None,
    }
}

/// What the label claims and the profile knows of stages.
struct Reach<'a> {
    claims: Vec<&'a PestClaim>,
    profile: Option<&'a Profile>,
}

fn claims<'a>(product: &Product<'a>) -> Vec<&'a PestClaim> {
    product.row.claims_against(product.pest)
}

impl<'a> Reach<'a> {
    fn name(&self) -> &'a str {
        self.profile.map_or("pest", |profile| profile.common_name.as_str())
    }

    /// The stages of all claims; none where one of them is for any stage, or the pest is not listed.
    fn claimed_stages(&self) -> Vec<&'a str> {
        if self.claims.iter().any(|claim| claim.stages.is_empty()) {
            return Vec::new();
        }
        self.claims.iter().flat_map(|claim| claim.stages.iter().map(String::as_str)).collect()
    }

    fn is_claimed(&self, stage: &str) -> bool {
        self.claimed_stages().iter().any(|claimed| matches!(stage_fit(stage, claimed), StageFit::Same | StageFit::Part))
    }

    fn known(&self, stage: &str) -> Option<&'a LifeStage> {
        let stages = &self.profile?.stages;
        stages.iter().map(|known| &known.what).find(|known| stage_fit(stage, &known.name) == StageFit::Same)
    }

    fn reaches(&self, stage: &LifeStage) -> bool {
        stage.is_susceptible && (self.claimed_stages().is_empty() || self.is_claimed(&stage.name))
    }

    /// When stages that the product reaches are usual: the days that are left of it now, and the next.
    fn next_words(&self, date: Date) -> Option<String> {
        let profile = self.profile?;
        let reached: Vec<&LifeStage> =
            profile.stages.iter().map(|known| &known.what).filter(|stage| self.reaches(stage)).collect();
        let place = &reached.first()?.place;
        let holds = |date: Date| reached.iter().any(|stage| stage.months.holds(date.month()));
        let mut names: Vec<&str> = reached.iter().map(|stage| stage.name.as_str()).collect();
        names.dedup();
        let now = holds(date).then(|| run_end(date, holds)).flatten();
        let after = now.unwrap_or(date);
        let next = (1..=12).filter_map(|months| first_of_month(after, months)).find(|first| holds(*first));
        let next = next.and_then(|first| Some(format!("from {first} to {}", run_end(first, holds)?)));
        let now = now.map(|end| format!("until {end}"));
        let days: Vec<String> = now.into_iter().chain(next).collect();
        (!days.is_empty()).then(|| format!("{} is usual {} ({place})", names.join(", "), days.join(" and ")))
    }
}

/// The last day of the months in a row for which something holds; `None` where it always does.
fn run_end(from: Date, holds: impl Fn(Date) -> bool) -> Option<Date> {
    let next = (1..=12).filter_map(|months| first_of_month(from, months)).find(|first| !holds(*first))?;
    next.yesterday().ok()
}

fn first_of_month(from: Date, months_on: i32) -> Option<Date> {
    from.first_of_month().checked_add(jiff::Span::new().months(months_on)).ok()
}

fn month(date: Date) -> String {
    date.strftime("%B").to_string()
}
