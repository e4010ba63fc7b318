//! The sprayers and spreaders that the books keep, one by one.

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
        let mut all: Vec<Sprayer> = Vec::new();
        for kept in self.things::<Equipment>().await? {
            all.extend(kept.document.pieces()?);
        }
        let alone = |piece: &Sprayer| all.iter().filter(|other| other.id() == piece.id()).count() == 1;
        Ok(all.iter().filter(|piece| alone(piece)).cloned().collect())
    }
}
