//! Where a rule holds.

use problem::Problem;
use std::fmt;

/// A country, or one state or province of it, by its codes of ISO 3166-1 and 3166-2: `US`, `US-OH`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Jurisdiction {
    country: String,
    division: Option<String>,
}

impl Jurisdiction {
    /// A whole country.
    ///
    /// # Errors
    /// `jurisdiction::code` when the code is not two letters.
    pub fn country(country: &str) -> Result<Self, Problem> {
        Ok(Self { country: code(country, 2..=2)?, division: None })
    }

    /// A state or province, by the usual abbreviation.
    ///
    /// # Errors
    /// `jurisdiction::code` when the country is not two letters, or the division not one to three letters
    /// or figures.
    pub fn division(country: &str, division: &str) -> Result<Self, Problem> {
        Ok(Self { country: code(country, 2..=2)?, division: Some(code(division, 1..=3)?) })
    }

    /// Reads `US` or `US-OH`.
    ///
    /// # Errors
    /// `jurisdiction::code`, as [`Self::country`] and [`Self::division`].
    pub fn parse(text: &str) -> Result<Self, Problem> {
        match text.trim().split_once('-') {
            Some((country, division)) => Self::division(country, division),
            None => Self::country(text),
        }
    }

    /// The two letters of the country.
    pub fn country_code(&self) -> &str {
        &self.country
    }

    /// The abbreviation of the state or province, when it is one.
    pub fn division_code(&self) -> Option<&str> {
        self.division.as_deref()
    }

    /// Whether what holds here holds at `place` too: a country's rules hold in its states, one state's
    /// rules in no other.
    pub fn covers(&self, place: &Self) -> bool {
        self.country == place.country && (self.division.is_none() || self.division == place.division)
    }
}

impl fmt::Display for Jurisdiction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.country)?;
        self.division.as_ref().map_or(Ok(()), |division| write!(f, "-{division}"))
    }
}

fn code(text: &str, length: std::ops::RangeInclusive<usize>) -> Result<String, Problem> {
    let trimmed = text.trim();
    // A country is letters only; provinces of some countries have figures.
    let fits = |c: char| c.is_ascii_alphabetic() || (c.is_ascii_digit() && *length.end() > 2);
    if length.contains(&trimmed.len()) && trimmed.chars().all(fits) {
        return Ok(trimmed.to_ascii_uppercase());
    }
    Err(Problem::error("jurisdiction::code", format!("`{trimmed}` is no code of a country, state or province"))
        .expected("a country such as `US`, or country and state such as `US-OH`")
        .mend("write the codes of ISO 3166: two letters, `-`, and the state's usual abbreviation"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_country_covers_its_states_and_no_state_covers_another() {
        let us = Jurisdiction::parse("us").unwrap();
        let ohio = Jurisdiction::division("US", "oh").unwrap();
        let texas = Jurisdiction::parse("US-TX").unwrap();
        assert_eq!(ohio.to_string(), "US-OH");
        assert!(us.covers(&ohio) && us.covers(&us) && ohio.covers(&ohio));
        assert!(!ohio.covers(&texas) && !ohio.covers(&us));
        assert!(!Jurisdiction::parse("CA").unwrap().covers(&Jurisdiction::parse("US-CA").unwrap()));
    }

    #[test]
    fn what_is_no_code_is_refused() {
        for text in ["", "USA", "U1", "US-", "US-OHIO", "Ohio", "US-O H", "US-OH-1"] {
            let problem = Jurisdiction::parse(text).unwrap_err();
            assert_eq!(problem.code, "jurisdiction::code", "{text}");
        }
    }
}
