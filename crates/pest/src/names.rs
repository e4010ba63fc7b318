//! Names of pests: whether two of them mean one, and which profile is meant.

use crate::profile::Profile;

/// A name as names are held against each other: in small letters, words apart by one space, whatever stands around them.
pub fn name_key(name: &str) -> String {
    let lower = name.to_lowercase().replace(['-', '_'], " ");
    lower.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a name is that of a kind of what another one names, as `two-striped grasshopper` is of `grasshopper`: it ends with
/// that word.
pub fn is_kind_of(special: &str, general: &str) -> bool {
    let (special, general) = (name_key(special), name_key(general));
    !general.is_empty() && special.strip_suffix(general.as_str()).is_some_and(|rest| rest.ends_with(' '))
}

/// Whether two names mean one pest: they are the same, or one is the general word of the other.
pub fn is_same_pest(one: &str, other: &str) -> bool {
    name_key(one) == name_key(other) || is_kind_of(one, other) || is_kind_of(other, one)
}

/// Whether a name means the pest that is known by another name and, where there is one, by a profile: two kinds of a general
/// word are two pests, and a profile tells which of them it is.
pub fn is_known_as(name: &str, known_as: &str, profile: Option<&Profile>) -> bool {
    name_key(name) == name_key(known_as)
        || match profile {
            Some(profile) => profile.is_called(name) || is_same_pest(&profile.common_name, name),
            None => is_same_pest(name, known_as),
        }
}

/// Which profiles a name means.
#[derive(Debug, Clone, PartialEq)]
pub enum Meant<'p> {
    /// The profile of that id, common or scientific name.
    One(&'p Profile),
    /// Those of the kinds of a general word, one or several.
    Kinds(Vec<&'p Profile>),
    /// None.
    Unknown,
}

impl<'p> Meant<'p> {
    /// The profiles: one, those of all kinds, or none.
    pub fn profiles(&self) -> Vec<&'p Profile> {
        match self {
            Self::One(profile) => vec![profile],
            Self::Kinds(profiles) => profiles.clone(),
            Self::Unknown => Vec::new(),
        }
    }

    /// The profile that is meant alone: the one of that name, or the only kind of a general word.
    pub fn only(&self) -> Option<&'p Profile> {
        match self {
            Self::One(profile) => Some(profile),
            Self::Kinds(profiles) if profiles.len() == 1 => profiles.first().copied(),
            Self::Kinds(_) | Self::Unknown => None,
        }
    }
}

/// The profiles that a name means.
pub fn meant<'p>(profiles: impl IntoIterator<Item = &'p Profile>, name: &str) -> Meant<'p> {
    let mut kinds = Vec::new();
    for profile in profiles {
        if profile.is_called(name) {
            return Meant::One(profile);
        }
        if is_kind_of(&profile.common_name, name) {
            kinds.push(profile);
        }
    }
    if kinds.is_empty() { Meant::Unknown } else { Meant::Kinds(kinds) }
}

/// The profiles that the pest of counts means: the one of this id, by which they were judged, where it is known and is of that
/// pest, else those of its name.
pub fn meant_by<'p>(
    profiles: impl IntoIterator<Item = &'p Profile> + Clone,
    name: &str,
    judged_by: Option<&str>,
) -> Meant<'p> {
    let chosen = judged_by.map(|id| meant(profiles.clone(), id));
    match chosen {
        Some(Meant::One(profile)) if is_known_as(name, &profile.common_name, Some(profile)) => Meant::One(profile),
        _ => meant(profiles, name),
    }
}

impl Profile {
    /// Whether it has this id, common or scientific name; case and hyphens do not count.
    pub fn is_called(&self, name: &str) -> bool {
        let key = name_key(name);
        let own = [Some(&self.id), Some(&self.common_name), self.scientific_name.as_ref()];
        own.into_iter().flatten().any(|own| name_key(own) == key)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_general_name_covers_its_kinds() {
        for (one, other) in
            [("grasshopper", "Two-striped Grasshopper"), ("fire ant", "red-imported-fire-ant"), ("ant", " Ant ")]
        {
            assert!(is_same_pest(one, other) && is_same_pest(other, one), "{one}, {other}");
        }
        for (one, other) in
            [("ant", "plant"), ("chinch bug", "grasshopper"), ("", "ant"), ("grasshopper", "grasshopper egg")]
        {
            assert!(!is_same_pest(one, other) && !is_same_pest(other, one), "{one}, {other}");
        }
        assert!(is_kind_of("fire ant", "ant") && !is_kind_of("ant", "fire ant") && !is_kind_of("ant", "ant"));
    }
}
