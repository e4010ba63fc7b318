//! Passwords: what may be one, and how it is kept.

use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};
use problem::Problem;
use std::fmt;

/// Fewest characters.
///
/// # Source
/// OWASP Application Security Verification Standard 4.0.3, 2.1.1.
const FEWEST: usize = 12;
/// Most characters: enough for a sentence, few enough that hashing cannot be made a burden.
///
/// # Source
/// OWASP Application Security Verification Standard 4.0.3, 2.1.2.
const MOST: usize = 128;

/// Memory in KiB, passes and lanes of Argon2id.
///
/// # Source
/// OWASP Cheat Sheet Series, "Password Storage": Argon2id with 19 MiB, 2 passes, 1 lane.
const MEMORY_KIB: u32 = 19_456;
const PASSES: u32 = 2;
const LANES: u32 = 1;

/// Passwords that anybody tries first, in small letters. A list of our own, far from complete; each is
/// also refused when it is repeated or has digits and marks round it.
const COMMON: &[&str] = &[
    "password",
    "passphrase",
    "letmein",
    "welcome",
    "administrator",
    "admin",
    "qwerty",
    "qwertyuiop",
    "qwertzuiop",
    "asdfghjkl",
    "iloveyou",
    "changeme",
    "default",
    "secret",
    "trustno",
    "football",
    "baseball",
    "sunshine",
    "princess",
    "monkey",
    "dragon",
    "tussock",
    "gardening",
    "lawncare",
    "grasshopper",
    "abcdefghijkl",
    "onetwothreefour",
    "correcthorsebatterystaple",
];

/// A password that was accepted, or one that is to be tried. It is never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct Password(String);

impl fmt::Debug for Password {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Password(…)")
    }
}

impl Password {
    /// A password that a person chooses. Any characters are welcome, and none are demanded.
    ///
    /// # Errors
    /// Fewer than 12 or more than 128 characters; one that anybody tries first; one made of the name.
    pub fn choose(text: &str, name: &str) -> Result<Self, Problem> {
        let length = text.chars().count();
        let refuse = |code, found: String| {
            Problem::error(code, found)
                .expected("12 to 128 characters that nobody guesses")
                .mend("take several words that do not belong together")
                .at("password")
        };
        if !(FEWEST..=MOST).contains(&length) {
            return Err(refuse("access::password-length", format!("the password has {length} characters")));
        }
        let folded = text.to_lowercase();
        let letters: String = folded.chars().filter(|letter| letter.is_alphabetic()).collect();
        let name = name.to_lowercase();
        let few = folded.chars().collect::<std::collections::BTreeSet<_>>().len() < 5;
        let row = is_row(&folded);
        if few || row || COMMON.iter().any(|common| is_made_of(&letters, common)) || is_made_of(&letters, &name) {
            return Err(refuse(
                "access::password-common",
                "the password is one of the first that are tried".to_owned(),
            ));
        }
        Ok(Self(text.to_owned()))
    }

    /// A password as it was typed, to be tried.
    pub fn typed(text: &str) -> Self {
        Self(text.to_owned())
    }

    /// The hash under which it is kept, with a salt of its own. Takes a good part of a tenth of a second.
    pub(crate) fn hash(&self) -> Result<String, Problem> {
        let hash = hasher()?.hash_password(self.0.as_bytes()).map_err(|error| failed(&error))?;
        Ok(hash.to_string())
    }

    /// Whether it is the one that a hash was made of.
    pub(crate) fn fits(&self, hash: &str) -> bool {
        // A text beyond the longest password is not even hashed.
        self.0.chars().count() <= MOST
            && PasswordHash::new(hash)
                .is_ok_and(|parsed| Argon2::default().verify_password(self.0.as_bytes(), &parsed).is_ok())
    }
}

fn hasher() -> Result<Argon2<'static>, Problem> {
    let params = Params::new(MEMORY_KIB, PASSES, LANES, None).map_err(|error| failed(&error))?;
    Ok(Argon2::new(Algorithm::Argon2id, Version::V0x13, params))
}

fn failed(error: &impl fmt::Display) -> Problem {
    Problem::error("access::hashing", format!("the password cannot be hashed: {error}"))
}

/// Whether a text is another one, once or repeated.
fn is_made_of(text: &str, word: &str) -> bool {
    !word.is_empty() && !text.is_empty() && text.replace(word, "").is_empty()
}

/// Whether each character follows the one before it, as in `123456789012`.
fn is_row(text: &str) -> bool {
    let numbers: Vec<i64> = text.chars().map(|letter| i64::from(u32::from(letter))).collect();
    let follows = |pair: &[i64]| matches!(pair[1] - pair[0], 1 | -1 | 9 | -9);
    numbers.len() > 1 && numbers.windows(2).all(follows)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_short_or_common_is_refused() {
        for (text, code) in [
            ("elevenchars", "access::password-length"),
            (&"x1".repeat(65), "access::password-length"),
            ("password1234", "access::password-common"),
            ("PasswordPassword", "access::password-common"),
            ("aaaaaaaaaaaaaa", "access::password-common"),
            ("123456789012", "access::password-common"),
            ("Rosa.Rosa.2026", "access::password-common"),
        ] {
            assert_eq!(Password::choose(text, "rosa").unwrap_err().code, code, "{text}");
        }
    }

    #[test]
    fn any_characters_are_welcome_and_none_demanded() {
        for text in ["four small words", "zwölf grüne Käfer im Beet", "🐝🐝🐛🐛🦗🦗🐞🐞🕷🕷🐜🐜"]
        {
            assert!(Password::choose(text, "rosa").is_ok(), "{text}");
        }
    }

    #[test]
    fn the_hash_is_argon2id_with_the_cited_parameters_and_tells_right_from_wrong() {
        let password = Password::choose("four small words", "rosa").unwrap();
        let hash = password.hash().unwrap();
        assert!(hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{hash}");
        assert!(password.fits(&hash));
        assert!(!Password::typed("four small wordz").fits(&hash));
        assert_ne!(hash, password.hash().unwrap(), "each hash has its own salt");
        assert!(!format!("{password:?}").contains("four"));
    }
}
