//! Names of accounts and things: 128-bit numbers in their usual hyphened form.

use std::fmt;

use problem::Problem;
use uuid::Uuid;

macro_rules! identity {
    ($(#[$doc:meta])* $name:ident, $code:literal, $what:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(Uuid);

        impl $name {
            /// A name that nothing had before, later than all that this process gave before.
            pub fn fresh() -> Self {
                Self(Uuid::now_v7())
            }

            /// The name that a number stands for.
            pub const fn new(number: Uuid) -> Self {
                Self(number)
            }

            /// The number.
            pub const fn number(self) -> Uuid {
                self.0
            }

            /// Reads the hyphened form.
            ///
            /// # Errors
            /// The text is no such name.
            pub fn parse(text: &str) -> Result<Self, Problem> {
                match Uuid::try_parse(text) {
                    Ok(number) if text.len() == uuid::fmt::Hyphenated::LENGTH => Ok(Self(number)),
                    _ => Err(Problem::error($code, format!(concat!("`{}` is no name of ", $what), text))
                        .expected("32 hexadecimal digits in five groups joined by hyphens")),
                }
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.hyphenated().fmt(f)
            }
        }
    };
}

identity!(
    /// The name of an account: one business with its books.
    AccountId,
    "ledger::account-name",
    "an account"
);
identity!(
    /// The name of a thing that a book keeps, the same through all its versions.
    ThingId,
    "ledger::thing-name",
    "a thing"
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_read_in_one_form_only() {
        let thing = ThingId::fresh();
        assert_eq!(ThingId::parse(&thing.to_string()), Ok(thing));
        let bare = thing.to_string().replace('-', "");
        assert_eq!(ThingId::parse(&bare).unwrap_err().code, "ledger::thing-name");
        assert_eq!(AccountId::parse("none").unwrap_err().code, "ledger::account-name");
    }

    #[test]
    fn names_are_given_in_order() {
        let names: Vec<_> = (0..100).map(|_| ThingId::fresh()).collect();
        assert!(names.is_sorted());
    }
}
