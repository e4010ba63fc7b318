//! Who keeps an entry.

/// Who keeps an entry, as the entry will say it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Actor {
    /// The person's name.
    pub name: String,
    /// The sign-in the person used, where there was one.
    pub sign_in: Option<String>,
}

impl Actor {
    /// Someone at the machine itself, without a sign-in.
    pub fn local(name: impl Into<String>) -> Self {
        Self { name: name.into(), sign_in: None }
    }

    /// Someone signed in.
    pub fn signed_in(name: impl Into<String>, sign_in: impl Into<String>) -> Self {
        Self { name: name.into(), sign_in: Some(sign_in.into()) }
    }
}
