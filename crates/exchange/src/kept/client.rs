//! For whom is worked.

use super::{Checked, Index, fields};
use problem::Problems;

fields! {
    /// A client, and what the client said that a visit must know.
    pub struct Client {
        /// Name.
        pub name: String,
        /// Postal address.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub address: Option<String>,
        /// Telephone number.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub telephone: Option<String>,
        /// Address of mail.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub mail: Option<String>,
        /// What was disclosed: children, pets, fish ponds, hives, wells, allergies, earlier treatments.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        pub disclosures: Vec<String>,
        /// Neighbours who asked to be told before a treatment.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        pub neighbours: Vec<Neighbour>,
        /// Anything else.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

fields! {
    /// A neighbour who asked to be told.
    pub struct Neighbour {
        /// Name.
        pub name: String,
        /// How to reach them.
        pub reach: String,
        /// Whether their land abuts the property.
        pub abuts: bool,
    }
}

impl From<&business::Client> for Client {
    /// What a client file says, without what prices and rules ask of it.
    fn from(client: &business::Client) -> Self {
        let asked = client.neighbours.iter().filter(|neighbour| neighbour.asked_for_notice);
        Self {
            name: client.name.clone(),
            address: (!client.address.is_empty()).then(|| client.address.join("\n")),
            telephone: client.telephone.clone(),
            mail: None,
            disclosures: client.lives_there.clone(),
            neighbours: asked
                .map(|neighbour| Neighbour {
                    name: neighbour.name.clone(),
                    reach: neighbour.address.join("\n"),
                    abuts: neighbour.abuts,
                })
                .collect(),
            note: client.invented.then(|| "Invented, for practice only.".to_owned()),
        }
    }
}

impl Client {
    pub(super) fn found_by(&self) -> Index {
        Index { title: self.name.clone(), ..Index::default() }
    }
}

impl Checked for Client {
    fn check(&self, _: &mut Problems) {}
}
