//! A letter of the business, block by block.

use crate::PaperOptions;
use crate::content::Content;
use crate::typesetting::Paper;
use business::{Business, Client};
use serde_json::{Value, json};

/// A letter being written.
pub(super) struct Letter {
    head: Value,
    blocks: Vec<Value>,
    pictures: Vec<(&'static str, String)>,
}

/// Who gets a letter: name and lines of the address.
pub(super) type To<'a> = (&'a str, &'a [String]);

/// Whose letter it is.
pub(super) struct Sender<'a> {
    /// Its name.
    pub(super) name: &'a str,
    /// Its address.
    pub(super) address: &'a [String],
    /// How it is reached, and its licence.
    pub(super) contact: &'a [String],
    /// Whether all of it is invented, for practice only.
    pub(super) invented: bool,
}

impl Letter {
    /// A letter of the business with its title; `facts` stand at the right of the address.
    pub(super) fn new(
        title: &str,
        business: &Business,
        client: &Client,
        to: To<'_>,
        facts: &[(&str, String)],
        options: &PaperOptions,
    ) -> Self {
        let mut contact = vec![business.telephone.clone()];
        contact.extend(business.email.clone());
        contact.extend(business.licence_number.as_ref().map(|number| format!("Licence {number}")));
        let invented = business.invented || client.invented;
        let sender = Sender { name: &business.name, address: &business.address, contact: &contact, invented };
        Self::from(title, &sender, to, facts, options)
    }

    /// A letter of any sender with its title; `facts` stand at the right of the address.
    pub(super) fn from(
        title: &str,
        sender: &Sender<'_>,
        to: To<'_>,
        facts: &[(&str, String)],
        options: &PaperOptions,
    ) -> Self {
        let facts: Vec<Value> = facts.iter().map(|(head, text)| json!([head, text])).collect();
        let head = json!({
            "paper": options.paper.word(),
            "colour": !options.black_and_white,
            "title": title,
            "business": sender.name,
            "address": sender.address,
            "contact": sender.contact,
            "to": to.0,
            "to_address": to.1,
            "facts": facts,
            "invented": sender.invented,
            "on_every_page": Value::Null,
        });
        Self { head, blocks: Vec::new(), pictures: Vec::new() }
    }

    /// What stands at the foot of every page, so that a loose one is found again.
    pub(super) fn on_every_page(&mut self, text: &str) {
        self.head["on_every_page"] = json!(text);
    }

    /// What must be seen first, in a frame.
    pub(super) fn frame(&mut self, heading: &str, lines: &[String]) {
        self.blocks.push(json!({ "is": "frame", "heading": heading, "lines": lines }));
    }

    /// A heading.
    pub(super) fn heading(&mut self, text: &str) {
        self.blocks.push(json!({ "is": "heading", "text": text }));
    }

    /// A paragraph.
    pub(super) fn text(&mut self, text: impl Into<String>) {
        self.blocks.push(json!({ "is": "text", "text": text.into() }));
    }

    /// Points, one a line; nothing where there is none.
    pub(super) fn points(&mut self, points: &[String]) {
        if !points.is_empty() {
            self.blocks.push(json!({ "is": "points", "points": points }));
        }
    }

    /// Headings with their words.
    pub(super) fn pairs(&mut self, pairs: &[(&str, String)]) {
        self.push_pairs(pairs, false);
    }

    /// Headings of several words with theirs.
    pub(super) fn long_pairs(&mut self, pairs: &[(&str, String)]) {
        self.push_pairs(pairs, true);
    }

    fn push_pairs(&mut self, pairs: &[(&str, String)], long: bool) {
        let pairs: Vec<Value> = pairs.iter().map(|(head, text)| json!([head, text])).collect();
        self.blocks.push(json!({ "is": "pairs", "pairs": pairs, "long": long }));
    }

    /// A table.
    pub(super) fn table(&mut self, head: &[&str], rows: &[Vec<String>]) {
        self.blocks.push(json!({ "is": "table", "head": head, "rows": rows, "last_right": false, "strong": [] }));
    }

    /// A table of sums whose rows with these numbers are totals.
    pub(super) fn sums(&mut self, head: &[&str], rows: &[Vec<String>], totals: &[usize]) {
        self.blocks.push(json!({ "is": "table", "head": head, "rows": rows, "last_right": true, "strong": totals }));
    }

    /// Lines to fill in by hand.
    pub(super) fn blanks(&mut self, labels: &[&str]) {
        self.blocks.push(json!({ "is": "blanks", "labels": labels }));
    }

    /// The map.
    pub(super) fn map(&mut self, svg: String) {
        self.blocks.push(json!({ "is": "map" }));
        self.pictures.push(("map.svg", svg));
    }

    /// The letter before it is set.
    pub(super) fn paper(mut self) -> Paper {
        self.head["blocks"] = Value::Array(self.blocks);
        Paper {
            template: ("letter.typ", include_str!("../../templates/letter.typ")),
            content: Content::new(self.head),
            pictures: self.pictures,
        }
    }
}
