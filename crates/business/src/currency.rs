//! Currencies by their code.

use problem::Problem;
use std::fmt;

/// A currency, by its code of ISO 4217: `USD`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency {
    code: [u8; 3],
    decimals: u8,
}

/// Currencies without a minor unit in use.
const WITHOUT_MINOR_UNIT: &str = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF";

/// Currencies with a thousandth as minor unit.
const THOUSANDTHS: &str = "BHD IQD JOD KWD LYD OMR TND";

/// Currencies with a hundredth as minor unit.
const HUNDREDTHS: &str = "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF \
    CHF CNY COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR \
    ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR \
    MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SOS SRD SSP STN \
    SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS WST XCD YER ZAR ZMW";

impl Currency {
    /// The currency of a code, in capitals or not.
    ///
    /// # Errors
    /// `money::currency` for a code that the list does not have.
    ///
    /// # Source
    /// ISO 4217:2015, list one, from memory: codes and number of decimals of the minor unit.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let upper = text.trim().to_ascii_uppercase();
        let decimals = [(WITHOUT_MINOR_UNIT, 0), (HUNDREDTHS, 2), (THOUSANDTHS, 3)]
            .into_iter()
            .find(|(codes, _)| codes.split_ascii_whitespace().any(|code| code == upper));
        if let (Some((_, decimals)), &[first, second, third]) = (decimals, upper.as_bytes()) {
            return Ok(Self { code: [first, second, third], decimals });
        }
        let shown: String = text.trim().chars().filter(|c| !c.is_control()).take(20).collect();
        Err(Problem::error("money::currency", format!("`{shown}` is no currency known here"))
            .expected("three letters of ISO 4217, such as `USD`, `CAD`, `EUR`")
            .mend("write the code of the currency in which you charge"))
    }

    /// The three letters.
    pub fn code(&self) -> &str {
        // The code holds letters of the lists above and nothing else.
        std::str::from_utf8(&self.code).unwrap_or("XXX")
    }

    /// Decimals of an amount: 2 for dollars and cents.
    pub const fn decimals(self) -> u8 {
        self.decimals
    }

    /// Minor units in one unit: 100 cents in a dollar.
    pub const fn minor_units(self) -> i64 {
        10_i64.pow(self.decimals as u32)
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_currency_has_the_decimals_of_its_minor_unit() {
        for (code, decimals) in [("usd", 2), (" EUR ", 2), ("JPY", 0), ("KWD", 3)] {
            let currency = Currency::parse(code).unwrap();
            assert_eq!((currency.decimals(), currency.to_string()), (decimals, code.trim().to_uppercase()));
        }
        for code in ["", "US", "DOLLAR", "ZZZ", "$", "USD EUR"] {
            assert_eq!(Currency::parse(code).unwrap_err().code, "money::currency", "{code}");
        }
    }

    #[test]
    fn every_code_stands_in_one_list() {
        let all: Vec<&str> =
            [WITHOUT_MINOR_UNIT, HUNDREDTHS, THOUSANDTHS].iter().flat_map(|codes| codes.split_whitespace()).collect();
        let mut once = all.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), all.len());
        assert!(all.iter().all(|code| code.len() == 3));
    }
}
