//! SHA-256, and the unambiguous encoding that entries are hashed in.

use std::fmt;

use problem::Problem;
use sha2::{Digest as _, Sha256};

/// A SHA-256 hash.
///
/// # Source
/// NIST FIPS 180-4, Secure Hash Standard, 2015.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// What stands before the first entry.
    pub const NONE: Self = Self([0; 32]);

    /// The hash of bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The hash of all that went through a hasher.
    pub(crate) fn of_hasher(hasher: Sha256) -> Self {
        Self(hasher.finalize().into())
    }

    /// Reads 64 lower-case hexadecimal digits.
    ///
    /// # Errors
    /// The text is not that.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let wrong = || {
            Problem::error("ledger::hash", format!("`{}` is no SHA-256 hash", text.escape_debug()))
                .expected("64 hexadecimal digits, `0`-`9` and `a`-`f`")
        };
        if text.len() != 64 || !text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f')) {
            return Err(wrong());
        }
        let mut bytes = [0; 32];
        for (byte, digits) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
            let digits = std::str::from_utf8(digits).map_err(|_| wrong())?;
            *byte = u8::from_str_radix(digits, 16).map_err(|_| wrong())?;
        }
        Ok(Self(bytes))
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// Fields one after another, each behind its length, so that no two lists of fields read alike.
pub(crate) struct Canonical(Sha256);

impl Canonical {
    /// Begins with the name of the encoding.
    pub(crate) fn new(format: &str) -> Self {
        Self(Sha256::new()).text(format)
    }

    /// A text behind its length in bytes (8 bytes, highest first).
    pub(crate) fn text(mut self, text: &str) -> Self {
        self.0.update((text.len() as u64).to_be_bytes());
        self.0.update(text.as_bytes());
        self
    }

    /// A text that may be absent: a byte 1 and the text, or a byte 0.
    pub(crate) fn optional(mut self, text: Option<&str>) -> Self {
        self.0.update([u8::from(text.is_some())]);
        match text {
            Some(text) => self.text(text),
            None => self,
        }
    }

    /// A count in 8 bytes, highest first.
    pub(crate) fn count(mut self, count: u64) -> Self {
        self.0.update(count.to_be_bytes());
        self
    }

    /// The hash of all fields.
    pub(crate) fn digest(self) -> Digest {
        Digest::of_hasher(self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // FIPS 180-4 sample of the standard's authors: the message "abc".
    const OF_ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn the_hash_of_abc_is_the_published_one() {
        assert_eq!(Digest::of(b"abc").to_string(), OF_ABC);
        assert_eq!(Digest::parse(OF_ABC), Ok(Digest::of(b"abc")));
    }

    #[test]
    fn only_64_lower_case_digits_are_a_hash() {
        for wrong in ["", &OF_ABC[1..], &OF_ABC.to_uppercase(), &"+".repeat(64), &"é".repeat(32)] {
            assert_eq!(Digest::parse(wrong).unwrap_err().code, "ledger::hash");
        }
    }

    #[test]
    fn fields_do_not_run_into_each_other() {
        let together = Canonical::new("f").text("ab").text("c").digest();
        assert_ne!(together, Canonical::new("f").text("a").text("bc").digest());
        assert_ne!(Canonical::new("f").optional(None).digest(), Canonical::new("f").optional(Some("")).digest());
    }
}
