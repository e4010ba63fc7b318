//! Walls to treat from the ground up.

use crate::{Feature, FeatureKind, Opening};
use quantity::{Area, Length};

/// A strip of wall from the ground up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallArea {
    /// Perimeter times height.
    pub gross: Area,
    /// Doors, windows and vents, as far up as the strip goes.
    pub openings: Area,
}

impl WallArea {
    /// What is left to treat; never below nothing.
    pub fn net(self) -> Area {
        (self.gross - self.openings).max(Area::ZERO)
    }
}

/// The strip of wall round a perimeter, `height` from the ground; each opening counts only as far
/// up as the strip goes.
///
/// # Source
/// Perimeter times height less openings: common practice, no source.
pub fn wall_area(perimeter: Length, height: Length, openings: &[Opening]) -> WallArea {
    let height = height.max(Length::ZERO);
    let part = |opening: &Opening| {
        let top = (opening.sill() + opening.height()).min(height);
        opening.width() * (top - opening.sill()).max(Length::ZERO)
    };
    WallArea { gross: perimeter * height, openings: openings.iter().map(part).sum() }
}

/// The strip of wall of a building, never above its wall height when that is known; `None` for a
/// feature that is no building. Holes (courtyards) count: their walls are walls too.
pub fn structure_wall_area(feature: &Feature, height: Length) -> Option<WallArea> {
    let FeatureKind::Structure(walls) = feature.kind() else { return None };
    let height = walls.height.map_or(height, |top| top.min(height));
    Some(wall_area(feature.perimeter(), height, &walls.openings))
}
