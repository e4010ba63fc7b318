//! Recovery codes: what stands in for a lost phone, once each.

use super::one_time_code::no_random;
use super::session::hexadecimal;
use data_encoding::BASE32_NOPAD;
use problem::Problem;
use sha2::{Digest as _, Sha256};
use std::fmt;

/// Letters and digits of a code.
const LENGTH: usize = 26;

/// 128 random bits as 26 letters and digits. It is never shown but once, to its owner.
///
/// So many bits need no salt and no slow hash.
///
/// # Source
/// OWASP Application Security Verification Standard 4.0.3, 2.6.2 (112 bits).
#[derive(Clone, PartialEq, Eq)]
pub struct RecoveryCode(String);

impl fmt::Debug for RecoveryCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("RecoveryCode(…)")
    }
}

impl RecoveryCode {
    /// A code that nobody can guess.
    pub(super) fn fresh() -> Result<Self, Problem> {
        let mut bytes = [0; 16];
        getrandom::fill(&mut bytes).map_err(|error| no_random(&error))?;
        Ok(Self(BASE32_NOPAD.encode(&bytes)))
    }

    /// Reads a code as it was typed, in letters of any size, with spaces and hyphens or without.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let text: String = text.chars().filter(|letter| !matches!(letter, ' ' | '-')).collect();
        let text = text.to_ascii_uppercase();
        let digit = |byte: u8| byte.is_ascii_uppercase() || (b'2'..=b'7').contains(&byte);
        (text.len() == LENGTH && text.bytes().all(digit)).then_some(Self(text))
    }

    /// The code as it is written down: small letters, in groups that are easily copied.
    pub fn text(&self) -> String {
        let small = self.0.to_ascii_lowercase();
        let groups: Vec<&str> = [0..5, 5..10, 10..15, 15..20, 20..LENGTH].map(|part| &small[part]).to_vec();
        groups.join("-")
    }

    /// What the database keeps of it.
    pub(super) fn sha256(&self) -> String {
        hexadecimal(&Sha256::digest(self.0.as_bytes()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recovery_codes_are_long_differ_and_are_never_shown() {
        let code = RecoveryCode::fresh().unwrap();
        assert_ne!(code, RecoveryCode::fresh().unwrap());
        assert_eq!(code.text().len(), LENGTH + 4);
        assert_eq!(format!("{code:?}"), "RecoveryCode(…)");
        for typed in [code.text(), code.text().to_uppercase(), code.text().replace('-', " "), format!(" {} ", code.0)] {
            assert_eq!(RecoveryCode::parse(&typed), Some(code.clone()), "{typed}");
        }
        for typed in ["", "123456", "ääääääääääääää", &code.text()[1..], &format!("{}a", code.text())] {
            assert_eq!(RecoveryCode::parse(typed), None, "{typed}");
        }
        assert!(!code.sha256().contains(&code.0));
    }
}
