//! The key of a request, by which a repeated request is known.

use std::fmt;

use crate::digest::{Canonical, Digest};
use problem::Problem;

/// The caller's name for one request. Sent again with the same content, the first answer comes back
/// and nothing is kept twice.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct RequestKey {
    text: String,
    asked: Option<Digest>,
}

impl RequestKey {
    /// The longest key, in characters.
    pub const LONGEST: usize = 200;

    /// A key that no request had before.
    pub fn fresh() -> Self {
        Self { text: uuid::Uuid::now_v7().to_string(), asked: None }
    }

    /// Reads a caller's key.
    ///
    /// # Errors
    /// It is empty, too long, or holds other than visible ASCII characters.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        if (1..=Self::LONGEST).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_graphic()) {
            Ok(Self { text: text.to_owned(), asked: None })
        } else {
            Err(Problem::error("ledger::request-key", format!("`{}` is no key of a request", text.escape_debug()))
                .expected(format!("1 to {} visible ASCII characters", Self::LONGEST)))
        }
    }

    /// The key together with what its request asks for, word for word. A request sent again is then known by these
    /// words alone; by what it keeps it is known otherwise, which may come out differently at another time.
    #[must_use]
    pub fn asking<'a>(self, words: impl IntoIterator<Item = &'a str>) -> Self {
        let asked = words.into_iter().fold(Canonical::new("tussock.asking/1"), Canonical::text).digest();
        Self { asked: Some(asked), ..self }
    }

    /// The key as it is kept with entries.
    pub(crate) fn bare(&self) -> Self {
        Self { text: self.text.clone(), asked: None }
    }

    pub(crate) fn asked(&self) -> Option<Digest> {
        self.asked
    }

    /// The key's text.
    pub fn as_str(&self) -> &str {
        &self.text
    }
}

impl fmt::Display for RequestKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_short_and_visible() {
        assert_eq!(RequestKey::parse("visit-7").unwrap().as_str(), "visit-7");
        for wrong in ["", "two words", "größe", "tab\t", &"k".repeat(201)] {
            assert_eq!(RequestKey::parse(wrong).unwrap_err().code, "ledger::request-key");
        }
    }
}
