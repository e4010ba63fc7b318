//! Who asks.

use super::Refusal;
use crate::settings::Settings;
use axum::extract::FromRequestParts;
use http::request::Parts;
use ledger::access::{Role, SignIn, Token};
use ledger::{AccountId, Actor, ThingId};
use uuid::Uuid;

/// Who asks: found before any handler runs, and taken by it as an argument.
#[derive(Debug, Clone)]
pub struct Caller {
    /// The account; everything that a handler reads or keeps is of this one.
    pub account: AccountId,
    /// What the caller is there.
    pub role: Role,
    /// The caller's name.
    pub name: String,
    /// The sign-in; none on loopback without one.
    pub sign_in: Option<Uuid>,
    /// The client that a client's sign-in stands for.
    pub client: Option<ThingId>,
    /// Whether the sign-in has a second factor.
    pub second_factor: bool,
    /// The session's token, where there is a session.
    pub(crate) token: Option<Token>,
}

impl Caller {
    /// Whoever sits at the machine, on loopback without sign-in: the owner.
    pub fn local(account: AccountId) -> Self {
        Self {
            account,
            role: Role::Owner,
            name: "owner".to_owned(),
            sign_in: None,
            client: None,
            second_factor: false,
            token: None,
        }
    }

    /// Somebody signed in.
    pub fn signed_in(sign_in: SignIn, token: Token) -> Self {
        Self {
            account: sign_in.account,
            role: sign_in.role,
            name: sign_in.name,
            sign_in: Some(sign_in.sign_in),
            client: sign_in.client,
            second_factor: sign_in.second_factor,
            token: Some(token),
        }
    }

    /// Whether this server asks a second factor of the caller that is not there.
    pub fn lacks_second_factor(&self, settings: &Settings) -> bool {
        settings.require_second_factor && self.role == Role::Owner && self.sign_in.is_some() && !self.second_factor
    }

    /// The caller, as an entry of the ledger names who keeps it.
    pub fn actor(&self) -> Actor {
        match self.sign_in {
            Some(sign_in) => Actor::signed_in(self.name.clone(), sign_in.to_string()),
            None => Actor::local(self.name.clone()),
        }
    }

    /// Lets a client see only what concerns that client; the others see every client of the account.
    ///
    /// # Errors
    /// The caller is a client, and another one or none is concerned: nothing there, as far as they may know.
    pub fn may_see_client(&self, concerned: Option<ThingId>) -> Result<(), Refusal> {
        if self.role != Role::Client || (self.client.is_some() && self.client == concerned) {
            return Ok(());
        }
        Err(Refusal::nothing("thing"))
    }

    /// The client that lists must be narrowed to; none for those who see every client.
    pub fn only_client(&self) -> Option<ThingId> {
        if self.role == Role::Client { self.client } else { None }
    }
}

impl<S: Sync> FromRequestParts<S> for Caller {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refusal> {
        parts.extensions.get::<Self>().cloned().ok_or_else(Refusal::signed_out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_client_sees_their_own_property_and_no_other() {
        let own = ThingId::fresh();
        let mut caller = Caller::local(AccountId::fresh());
        assert!(caller.may_see_client(Some(own)).is_ok() && caller.may_see_client(None).is_ok());
        caller.role = Role::Client;
        assert!(caller.may_see_client(Some(own)).is_err(), "a client without a link sees nothing");
        assert!(caller.may_see_client(None).is_err());
        caller.client = Some(own);
        assert!(caller.may_see_client(Some(own)).is_ok());
        assert!(caller.may_see_client(Some(ThingId::fresh())).is_err());
        assert!(caller.may_see_client(None).is_err());
        assert_eq!(caller.only_client(), Some(own));
    }
}
