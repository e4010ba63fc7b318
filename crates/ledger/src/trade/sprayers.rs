//! The sprayers and spreaders that the books keep, one by one.

use super::Held;
use crate::{Book, LedgerError};
use exchange::kept::Equipment;
use sprayer::Sprayer;

impl Book {
    /// Every piece of equipment that is kept, by its own id. Where two are called alike, neither stands here: which
    /// one a record means is not guessed.
    ///
    /// # Errors
    /// The database fails; a kept file cannot be read.
    pub async fn sprayers(&self) -> Result<Vec<Sprayer>, LedgerError> {
        called_alone(&self.things::<Equipment>().await?)
    }
}

/// The pieces of kept files of which no other is called alike.
pub(super) fn called_alone(kept: &[Held<Equipment>]) -> Result<Vec<Sprayer>, LedgerError> {
    let mut all: Vec<Sprayer> = Vec::new();
    for held in kept {
        all.extend(held.document.pieces()?);
    }
    let alone = |piece: &Sprayer| all.iter().filter(|other| other.id() == piece.id()).count() == 1;
    Ok(all.iter().filter(|piece| alone(piece)).cloned().collect())
}
