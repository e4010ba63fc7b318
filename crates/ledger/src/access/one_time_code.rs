//! One-time codes that a clock and a shared secret make.

use crate::error::LedgerError;
use data_encoding::{BASE32_NOPAD, HEXLOWER};
use jiff::Timestamp;
use problem::Problem;
use std::fmt;
use totp_rs::{Builder, Totp};

/// Seconds that a code stands for.
///
/// # Source
/// RFC 6238, 2011, "TOTP: Time-Based One-Time Password Algorithm", 5.2.
const STEP_S: u64 = 30;
/// Steps that the clock of the phone may be off, before and after.
///
/// # Source
/// RFC 6238, 5.2.
const DRIFT: u16 = 1;
/// Digits of a code.
const DIGITS: u8 = 6;

/// 160 random bits that a phone and the ledger share, as RFC 4226, 4 (R6) recommends. It is never shown but
/// once, to its owner.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret([u8; 20]);

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret(…)")
    }
}

impl Secret {
    /// A secret that nobody can guess.
    pub(super) fn fresh() -> Result<Self, Problem> {
        let mut bytes = [0; 20];
        getrandom::fill(&mut bytes).map_err(|error| no_random(&error))?;
        Ok(Self(bytes))
    }

    /// As the database keeps it.
    pub(super) fn kept(&self) -> String {
        HEXLOWER.encode(&self.0)
    }

    /// As the database kept it.
    pub(super) fn of_kept(text: &str) -> Result<Self, LedgerError> {
        let bytes = HEXLOWER.decode(text.as_bytes()).ok().and_then(|bytes| bytes.try_into().ok());
        let damaged = || Problem::error("access::damaged", "a second factor in the database has no secret");
        Ok(Self(bytes.ok_or_else(damaged)?))
    }

    /// What a person types into the program that makes the codes: 32 letters and digits (RFC 4648, base 32).
    pub fn text(&self) -> String {
        BASE32_NOPAD.encode(&self.0)
    }

    /// The address that such a program reads from a picture or a link; `name` is the sign-in's.
    pub fn address(&self, name: &str) -> String {
        format!(
            "otpauth://totp/tussock:{}?secret={}&issuer=tussock&algorithm=SHA1&digits={DIGITS}&period={STEP_S}",
            encoded(name),
            self.text()
        )
    }

    /// The code of a moment. The ledger only checks codes; programs and tests that stand for a phone make them.
    ///
    /// # Source
    /// RFC 6238 with HMAC-SHA-1, which every phone knows; six digits.
    pub fn code(&self, at: Timestamp) -> String {
        self.totp().generate(seconds(at)).to_string()
    }

    /// The step near a moment whose code this is.
    pub(super) fn step_of_code(&self, code: &str, at: Timestamp) -> Option<i64> {
        self.totp().check(code, seconds(at)).and_then(|step| i64::try_from(step).ok())
    }

    fn totp(&self) -> Totp {
        // Bounds are checked by the types here, so that nothing is left to refuse.
        Builder::new()
            .with_secret(self.0)
            .with_digits(DIGITS)
            .with_skew(DRIFT)
            .with_step_duration(STEP_S)
            .build_noncompliant()
    }
}

fn seconds(at: Timestamp) -> u64 {
    u64::try_from(at.as_second()).unwrap_or_default()
}

pub(super) fn no_random(error: &impl fmt::Display) -> Problem {
    Problem::error("access::no-random", format!("the system gives no random numbers: {error}"))
}

/// A text within an address: everything but unreserved characters as `%` and two digits (RFC 3986, 2.1).
fn encoded(text: &str) -> String {
    let letter = |byte: u8| match byte {
        b'0'..=b'9' | b'A'..=b'Z' | b'a'..=b'z' | b'-' | b'.' | b'_' | b'~' => char::from(byte).to_string(),
        _ => format!("%{byte:02X}"),
    };
    text.bytes().map(letter).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The secret of RFC 6238, Appendix B, for SHA-1.
    const PUBLISHED: Secret = Secret(*b"12345678901234567890");

    fn second(second: i64) -> Timestamp {
        Timestamp::from_second(second).unwrap()
    }

    /// RFC 6238, Appendix B, the rows of SHA-1: seconds since 1970 and the code of eight digits. A code of six
    /// digits is the remainder by a million of the same number (RFC 4226, 5.3), hence the last six.
    #[test]
    fn codes_are_those_of_rfc_6238_appendix_b() {
        for (at, published) in [
            (59, "94287082"),
            (1_111_111_109, "07081804"),
            (1_111_111_111, "14050471"),
            (1_234_567_890, "89005924"),
            (2_000_000_000, "69279037"),
            (20_000_000_000, "65353130"),
        ] {
            let eight = Builder::new().with_secret(PUBLISHED.0).with_digits(8).build().unwrap();
            assert_eq!(eight.generate(seconds(second(at))).to_string(), published);
            assert_eq!(PUBLISHED.code(second(at)), published[2..]);
            assert_eq!(PUBLISHED.step_of_code(&published[2..], second(at)), Some(at / 30));
        }
    }

    #[test]
    fn a_clock_may_be_one_step_off_and_no_more() {
        let code = PUBLISHED.code(second(1_000_000_020));
        let found = |at| PUBLISHED.step_of_code(&code, second(at));
        let step = Some(1_000_000_020 / 30);
        assert_eq!([-31, -30, 0, 59, 60].map(|off| found(1_000_000_020 + off)), [None, step, step, step, None]);
    }

    #[test]
    fn what_is_no_code_fits_nothing() {
        let at = second(1_000_000_020);
        let code = PUBLISHED.code(at);
        for text in ["", "12345", &format!("{code}0"), &format!("+{}", &code[1..]), "½½½", "١٢٣٤٥٦"] {
            assert_eq!(PUBLISHED.step_of_code(text, at), None, "{text}");
        }
    }

    #[test]
    fn secrets_differ_are_read_again_and_are_never_shown() {
        let secret = Secret::fresh().unwrap();
        assert_ne!(secret, Secret::fresh().unwrap());
        assert_eq!(Secret::of_kept(&secret.kept()).unwrap(), secret);
        assert!(Secret::of_kept("12").is_err() && Secret::of_kept("x").is_err());
        assert_eq!(format!("{secret:?}"), "Secret(…)");
        // RFC 4648, base 32, of the published secret.
        assert_eq!(PUBLISHED.text(), "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ");
        assert_eq!(
            PUBLISHED.address("mara & co"),
            "otpauth://totp/tussock:mara%20%26%20co?secret=GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ\
             &issuer=tussock&algorithm=SHA1&digits=6&period=30"
        );
    }
}
