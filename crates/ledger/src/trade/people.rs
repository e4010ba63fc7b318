//! What stands against the people of a planned visit, among its verdicts: every paper and file of it tells.

use super::{PlannedVisit, VisitParties};
use crate::{Book, LedgerError};
use problem::{Problem, Problems, Severity};
use treatment::{Origin, Status, Verdict};

impl Book {
    /// The visit with what stands against its people among its verdicts, so that it is refused where they may not
    /// carry it out; beside it the same as problems.
    ///
    /// # Errors
    /// As [`Book::authority_over`].
    pub async fn with_people(
        &self,
        mut planned: PlannedVisit,
        parties: &VisitParties,
    ) -> Result<(PlannedVisit, Problems), LedgerError> {
        let found = self.authority_over(&planned, parties).await?;
        planned.visit.verdicts.extend(found.iter().map(verdict));
        Ok((planned, found))
    }
}

/// What stands against somebody, as a verdict on the visit.
fn verdict(problem: &Problem) -> Verdict {
    let status = match problem.severity {
        Severity::Error => Status::Refused,
        Severity::Warning => Status::Caution,
    };
    let verdict = Verdict::new(problem.code, status, Origin::Rule, problem.found.clone());
    match (&problem.mend, &problem.expected) {
        (Some(mend), _) => verdict.mend(mend.clone()),
        (None, Some(expected)) => verdict.mend(format!("there must be {expected}")),
        (None, None) => verdict,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_refuses_a_person_refuses_the_visit_and_a_doubt_is_a_caution() {
        let refused =
            verdict(&Problem::error("authority::supervisor", "the supervisor is not certified").expected("one"));
        assert_eq!((refused.status, refused.mend.as_deref()), (Status::Refused, Some("there must be one")));
        let doubt = verdict(&Problem::warning("authority::not-certified", "no certificate").mend("ask the state"));
        assert_eq!((doubt.status, doubt.mend.as_deref()), (Status::Caution, Some("ask the state")));
        assert_eq!((doubt.rule, doubt.origin), ("authority::not-certified", Origin::Rule));
    }
}
