//! Kept things that a visit request names by their own names, where titles could be mistaken or change.

use super::OfKind;
use crate::{Book, Entry, Kind, LedgerError, ThingId};
use exchange::kept::{Equipment, Kept, Label, Property};
use std::collections::BTreeMap;

/// How a visit request names a kept property, label, equipment or survey by its own name: `thing:` and the name.
pub const THING: &str = "thing:";

impl Book {
    /// The text of everything that a request names as `thing:…`, by that name, or in words why there is none.
    ///
    /// # Errors
    /// The database fails; a body is no document of its kind.
    pub async fn things_named_in(
        &self,
        request: &str,
    ) -> Result<BTreeMap<String, Result<String, String>>, LedgerError> {
        let mut texts = BTreeMap::new();
        for name in request.split(THING).skip(1) {
            let name = name.split(['"', '\'', '\n', '\r']).next().unwrap_or_default();
            let text = match ThingId::parse(name) {
                Err(_) => Err("it is no name of a thing".to_owned()),
                Ok(thing) => match self.newest(thing).await {
                    Err(LedgerError::UnknownThing { .. }) => Err("the books keep no such thing".to_owned()),
                    Err(error) => return Err(error),
                    Ok(entry) if entry.discards => Err("it was given up".to_owned()),
                    Ok(entry) if entry.kind == Kind::Survey => Ok(self.survey_text(&entry).await?),
                    Ok(entry) => text_of(&entry)?,
                },
            };
            texts.insert(format!("{THING}{name}"), text);
        }
        Ok(texts)
    }
}

fn text_of(entry: &Entry) -> Result<Result<String, String>, LedgerError> {
    let body = &entry.body;
    Ok(match entry.kind {
        Property::KIND => Ok(Property::read(body)?.map.0),
        Label::KIND => Ok(Label::read(body)?.label.0),
        Equipment::KIND => Ok(Equipment::read(body)?.equipment.0),
        other => Err(told(other)),
    })
}

fn told(kind: Kind) -> String {
    format!("it is a {kind}, and neither property nor label nor equipment nor survey")
}
