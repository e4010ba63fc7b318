//! The client, who lives there, and the neighbours.

use jurisdiction::{Jurisdiction, Recipient, RuleId};
use quantity::{Duration, Length};
use std::collections::BTreeMap;

/// Who ordered the work.
#[derive(Debug, Clone, PartialEq)]
pub struct Client {
    /// Name.
    pub name: String,
    /// Address of the property, one line an entry.
    pub address: Vec<String>,
    /// Telephone number.
    pub telephone: Option<String>,
    /// Who lives on the property and must be thought of: `two children`, `a dog`, `hives by the fence`.
    pub lives_there: Vec<String>,
    /// Travel to the property and back.
    pub journey: Journey,
    /// The neighbours that are known.
    pub neighbours: Vec<Neighbour>,
    /// Where the property lies; where the business works when it is `None`.
    pub place: Option<Jurisdiction>,
    /// What a person found out of conditions of rules that only a person can judge, by rule.
    pub conditions: BTreeMap<RuleId, bool>,
    /// Whether all of it is invented, for practice only.
    pub invented: bool,
}

impl Client {
    /// Who lives on the property, in one phrase: `two children, a dog and a vegetable bed`; `None` where nobody said.
    pub fn who_lives_there(&self) -> Option<String> {
        let (last, others) = self.lives_there.split_last()?;
        Some(if others.is_empty() { last.clone() } else { format!("{} and {last}", others.join(", ")) })
    }
}

/// The way to a property and back.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Journey {
    /// How far, there and back.
    pub distance: Option<Length>,
    /// How long, there and back.
    pub time: Option<Duration>,
}

/// A neighbour.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Neighbour {
    /// Name.
    pub name: String,
    /// Address, one line an entry.
    pub address: Vec<String>,
    /// Whether the property abuts the client's.
    pub abuts: bool,
    /// Whether the neighbour asked to be told beforehand.
    pub asked_for_notice: bool,
    /// Whether the neighbour stands on a list kept by an authority.
    pub registered: bool,
}

impl Neighbour {
    /// Whether a rule that tells `recipient` means this neighbour.
    pub fn is_meant_by(&self, recipient: Recipient) -> bool {
        match recipient {
            Recipient::AbuttingOnRequest => self.abuts && self.asked_for_notice,
            Recipient::Abutting => self.abuts,
            Recipient::Registered => self.registered,
            Recipient::Client => false,
        }
    }
}
