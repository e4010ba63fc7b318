//! How a paper is made.

use crate::Units;

/// Size of a paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PaperSize {
    /// 8.5 by 11 inches.
    #[default]
    Letter,
    /// 210 by 297 millimetres.
    A4,
}

impl PaperSize {
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Letter => "us-letter",
            Self::A4 => "a4",
        }
    }
}

/// How a paper is made.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PaperOptions {
    /// Paper.
    pub paper: PaperSize,
    /// The units in which it speaks; amounts of product stand in both systems.
    pub units: Units,
    /// Black and white only; every hatch and word is the same as in colour.
    pub black_and_white: bool,
    /// Font files for scripts beyond Latin, Greek and Cyrillic, which come along. A letter that no
    /// font has is told on the paper.
    pub fonts: Vec<Vec<u8>>,
}
