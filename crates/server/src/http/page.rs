//! Lists page by page, by a cursor that the last page gave.

use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

/// Entries of a page when nothing is said.
const USUAL: u16 = 50;
/// Most entries of a page.
const MOST: u16 = 200;

/// Which page of a list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct PageQuery {
    /// The `next` of the page before; none for the first.
    pub after: Option<String>,
    /// Entries of the page, 1 to 200; 50 when nothing is said.
    #[param(minimum = 1, maximum = 200)]
    pub limit: Option<u16>,
}

impl PageQuery {
    /// Entries of the page, within bounds.
    pub fn limit(&self) -> u16 {
        self.limit.unwrap_or(USUAL).clamp(1, MOST)
    }
}

/// One page of a list.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Page<T> {
    /// The entries.
    pub entries: Vec<T>,
    /// What to ask the next page with; none on the last.
    pub next: Option<String>,
}
