//! Passwords: what may be one, and how it is kept.

use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};
use problem::Problem;
use std::fmt;
use zxcvbn::feedback::{Feedback, Suggestion, Warning};
use zxcvbn::{Score, zxcvbn};

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

/// Whoever guesses begins with the program's own name.
const PROGRAM: &str = "tussock";

/// A password that was accepted, or one that is to be tried. It is never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct Password(String);

impl fmt::Debug for Password {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Password(…)")
    }
}

impl Password {
    /// A password that a person chooses. Any characters are welcome, and none are demanded. `known` is what
    /// whoever guesses knows of the person: the name of the sign-in, the account.
    ///
    /// Takes a few thousandths of a second; the strength of the first hundred characters is judged.
    ///
    /// # Errors
    /// Fewer than 12 characters, spaces in a row counted once, or more than 128; one that can be guessed in
    /// fewer than a hundred million attempts: known passwords, words, names, dates, rows of keys, and what
    /// is made of them or of `known`.
    ///
    /// # Source
    /// Wheeler, 2016, "zxcvbn: Low-Budget Password Strength Estimation", USENIX Security: estimate of
    /// guesses; its authors advise to refuse a score below 3.
    pub fn choose(text: &str, known: &[&str]) -> Result<Self, Problem> {
        let length = counted(text);
        let refuse = |code, found: String, mend: String| {
            Problem::error(code, found).expected("12 to 128 characters that nobody guesses").mend(mend).at("password")
        };
        if length < FEWEST || text.chars().count() > MOST {
            let length = if length < FEWEST { length } else { text.chars().count() };
            return Err(refuse(
                "access::password-length",
                format!("the password has {length} characters"),
                "take several words that do not belong together".to_owned(),
            ));
        }
        // Names are guessed whole and word by word.
        let words = known.iter().flat_map(|name| name.split(|letter: char| !letter.is_alphanumeric()));
        let inputs: Vec<&str> =
            known.iter().copied().chain(words).chain([PROGRAM]).filter(|word| !word.is_empty()).collect();
        let strength = zxcvbn(text, &inputs);
        if inputs.iter().any(|name| is_dressed_up(text, name)) {
            return Err(refuse(
                "access::password-common",
                "the password is among the first that are tried: it is made of a name of yours".to_owned(),
                "add a word or two that do not belong there".to_owned(),
            ));
        }
        if strength.score() < Score::Three {
            let feedback = strength.feedback();
            let why = feedback.and_then(Feedback::warning).map_or("", why);
            let mends: Vec<&str> = feedback.map_or(&[][..], Feedback::suggestions).iter().copied().map(mend).collect();
            return Err(refuse(
                "access::password-common",
                format!("the password is among the first that are tried{why}"),
                mends.join("; "),
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

/// Whether a text is a name, once or repeated, with digits and marks round it: these count for more in an
/// estimate than they are worth beside one's own name.
fn is_dressed_up(text: &str, name: &str) -> bool {
    let letters = |text: &str| text.to_lowercase().chars().filter(|letter| letter.is_alphabetic()).collect::<String>();
    let (text, name) = (letters(text), letters(name));
    !name.is_empty() && !text.is_empty() && text.replace(&name, "").is_empty()
}

/// Characters, spaces in a row counted once.
///
/// # Source
/// OWASP Application Security Verification Standard 4.0.3, 2.1.1.
fn counted(text: &str) -> usize {
    let mut before = None;
    text.chars().filter(|letter| before.replace(*letter) != Some(' ') || *letter != ' ').count()
}

/// What makes a password easy to guess, behind the sentence that it is.
fn why(warning: Warning) -> &'static str {
    match warning {
        Warning::StraightRowsOfKeysAreEasyToGuess => ": it is a row of keys",
        Warning::ShortKeyboardPatternsAreEasyToGuess => ": it is a short pattern of keys",
        Warning::RepeatsLikeAaaAreEasyToGuess => ": it repeats a character",
        Warning::RepeatsLikeAbcAbcAreOnlySlightlyHarderToGuess => ": it repeats a part of itself",
        Warning::ThisIsATop10Password | Warning::ThisIsATop100Password | Warning::ThisIsACommonPassword => {
            ": many people have it"
        }
        Warning::ThisIsSimilarToACommonlyUsedPassword => ": it is close to one that many people have",
        Warning::SequencesLikeAbcAreEasyToGuess => ": it counts up or down",
        Warning::RecentYearsAreEasyToGuess => ": it is made of a year",
        Warning::AWordByItselfIsEasyToGuess => ": it is a single word",
        Warning::DatesAreOftenEasyToGuess => ": it is made of a date",
        Warning::NamesAndSurnamesByThemselvesAreEasyToGuess | Warning::CommonNamesAndSurnamesAreEasyToGuess => {
            ": it is made of a name"
        }
    }
}

/// What makes it harder.
fn mend(suggestion: Suggestion) -> &'static str {
    match suggestion {
        Suggestion::UseAFewWordsAvoidCommonPhrases => "take several words that do not belong together",
        Suggestion::NoNeedForSymbolsDigitsOrUppercaseLetters => "marks, digits and capitals are not needed",
        Suggestion::AddAnotherWordOrTwo => "add a word or two that do not belong there",
        Suggestion::CapitalizationDoesntHelpVeryMuch => "a capital at the beginning helps little",
        Suggestion::AllUppercaseIsAlmostAsEasyToGuessAsAllLowercase => "capitals throughout help little",
        Suggestion::ReversedWordsArentMuchHarderToGuess => "a word read backwards helps little",
        Suggestion::PredictableSubstitutionsDontHelpVeryMuch => "a mark or digit in place of a letter helps little",
        Suggestion::UseALongerKeyboardPatternWithMoreTurns => "leave rows of keys out",
        Suggestion::AvoidRepeatedWordsAndCharacters => "repeat nothing",
        Suggestion::AvoidSequences => "do not count up or down",
        Suggestion::AvoidRecentYears => "leave years out",
        Suggestion::AvoidYearsThatAreAssociatedWithYou | Suggestion::AvoidDatesAndYearsThatAreAssociatedWithYou => {
            "leave dates and years of your own out"
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const KNOWN: &[&str] = &["rosa", "Reed & Daughters"];

    #[test]
    fn what_is_short_or_common_is_refused() {
        for (text, code) in [
            ("elevenchars", "access::password-length"),
            ("four         w", "access::password-length"),
            (&"x1".repeat(65), "access::password-length"),
            ("password1234", "access::password-common"),
            ("PasswordPassword", "access::password-common"),
            ("aaaaaaaaaaaaaa", "access::password-common"),
            ("123456789012", "access::password-common"),
            ("1qaz2wsx3edc", "access::password-common"),
            ("p4$$w0rd!p4$$w0rd!", "access::password-common"),
            ("Rosa.Rosa.2026", "access::password-common"),
            ("Reed & Daughters", "access::password-common"),
            ("daughters1999", "access::password-common"),
            ("Tussock2Tussock", "access::password-common"),
        ] {
            let told = Password::choose(text, KNOWN).map_err(|problem| problem.code);
            assert_eq!(told, Err(code), "{text}");
        }
    }

    #[test]
    fn what_is_wrong_with_a_password_is_told_with_its_mend_and_without_itself() {
        for (text, found, mend) in [
            ("password1234", "many people have it", "add a word or two"),
            ("abcdefghijklmnop", "it counts up or down", "do not count"),
            ("abcabcabcabc", "it repeats a part of itself", "repeat nothing"),
            ("Rosa.Rosa.2026", "it is made of a name of yours", "add a word or two"),
        ] {
            let problem = Password::choose(text, KNOWN).unwrap_err();
            assert!(problem.found.contains(found), "{text}: {}", problem.found);
            assert!(problem.mend.as_ref().is_some_and(|told| told.contains(mend)), "{text}: {:?}", problem.mend);
            assert!(!format!("{problem:?}").contains(text));
        }
    }

    #[test]
    fn any_characters_are_welcome_and_none_demanded() {
        for text in ["four small words", "zwölf grüne Käfer im Beet", "🐝🐝🐛🐛🦗🦗🐞🐞🕷🕷🐜🐜"]
        {
            assert!(Password::choose(text, KNOWN).is_ok(), "{text}");
        }
    }

    #[test]
    fn the_hash_is_argon2id_with_the_cited_parameters_and_tells_right_from_wrong() {
        let password = Password::choose("four small words", KNOWN).unwrap();
        let hash = password.hash().unwrap();
        assert!(hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{hash}");
        assert!(password.fits(&hash));
        assert!(!Password::typed("four small wordz").fits(&hash));
        assert_ne!(hash, password.hash().unwrap(), "each hash has its own salt");
        assert!(!format!("{password:?}").contains("four"));
        // Nothing is cut off: the last of 128 characters counts.
        let long = "four small words beside the old gate, ".repeat(4)[..127].to_owned();
        let one = Password::choose(&format!("{long}1"), KNOWN).unwrap().hash().unwrap();
        assert!(Password::typed(&format!("{long}1")).fits(&one) && !Password::typed(&format!("{long}2")).fits(&one));
    }
}
