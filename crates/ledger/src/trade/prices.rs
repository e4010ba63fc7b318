//! What the business charges, as the books keep it.

use super::{Held, PlannedVisit};
use crate::{Book, LedgerError};
use business::{Tariff, with_cost_of_ways};
use exchange::business_file::parse_business;
use exchange::kept::Business;
use problem::{Problem, Problems};

impl Book {
    /// The tariff of the kept business; `None` where it is kept without its prices.
    ///
    /// # Errors
    /// The database fails; the kept text is no business file.
    pub async fn tariff(&self) -> Result<Option<Tariff>, LedgerError> {
        let kept: Vec<Held<Business>> = self.things::<Business>().await?;
        let mut priced = kept.iter().filter_map(|held| held.document.prices.as_ref());
        // Of several businesses none is guessed.
        let (Some(prices), None) = (priced.next(), priced.next()) else { return Ok(None) };
        let (read, _) = parse_business("prices", &prices.0)?;
        Ok(Some(read.business.tariff))
    }

    /// A planned visit with what broadcast and spots cost by the kept tariff, where both stand side by side. Money that
    /// cannot be reckoned is a warning, and no reason to have no plan.
    ///
    /// # Errors
    /// As [`Book::tariff`].
    pub async fn with_costs(&self, planned: PlannedVisit) -> Result<PlannedVisit, LedgerError> {
        if planned.visit.side_by_side.is_empty() {
            return Ok(planned);
        }
        let Some(tariff) = self.tariff().await? else { return Ok(planned) };
        let PlannedVisit { visit, mut warnings, .. } = planned;
        let visit = match with_cost_of_ways(visit.clone(), &tariff) {
            Ok(priced) => priced,
            Err(found) => {
                let told = |problem: Problem| Problem { severity: problem::Severity::Warning, ..problem };
                warnings.extend(found.into_iter().map(told).collect::<Problems>());
                visit
            }
        };
        Ok(PlannedVisit { visit, warnings, ..planned })
    }
}
