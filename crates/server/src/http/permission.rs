//! What a route asks of its caller. No route is registered without saying it.

use super::guard::guard;
use crate::app::App;
use axum::extract::Request;
use axum::middleware::{Next, from_fn};
use ledger::access::Role;
use utoipa::openapi::extensions::Extensions;
use utoipa::openapi::path::{Operation, PathItem};
use utoipa::openapi::{OpenApi, RefOr};
use utoipa_axum::router::{OpenApiRouter, UtoipaMethodRouter};

/// What a route asks of its caller.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Permission {
    /// Nothing: whoever reaches the server.
    Anyone,
    /// Somebody signed in, whatever the role, also one who must begin a second factor before anything else:
    /// what a person does with their own way in.
    OwnSignIn,
    /// Somebody signed in, whatever the role. What a client sees is narrowed by
    /// [`Caller::may_see_client`](super::Caller::may_see_client).
    SignedIn,
    /// To see the work: owner, planner, technician.
    SeeWork,
    /// To keep what was done and counted: owner, planner, technician.
    KeepRecords,
    /// To plan, and to keep clients, properties, labels and stock: owner, planner.
    Plan,
    /// To answer for the business: owner.
    Manage,
}

impl Permission {
    /// The word for it in the description of the routes.
    pub fn word(self) -> &'static str {
        match self {
            Self::Anyone => "anyone",
            Self::OwnSignIn => "own-sign-in",
            Self::SignedIn => "signed-in",
            Self::SeeWork => "see-work",
            Self::KeepRecords => "keep-records",
            Self::Plan => "plan",
            Self::Manage => "manage",
        }
    }

    /// Whether a role has it.
    pub fn is_held_by(self, role: Role) -> bool {
        match self {
            Self::Anyone | Self::OwnSignIn | Self::SignedIn => true,
            Self::SeeWork | Self::KeepRecords => role != Role::Client,
            Self::Plan => matches!(role, Role::Owner | Role::Planner),
            Self::Manage => role == Role::Owner,
        }
    }
}

/// Routes, each with its permission and its description.
#[derive(Default)]
pub struct Routes(OpenApiRouter<App>);

impl Routes {
    /// No route yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds the handlers of one `routes!` under a permission.
    #[must_use]
    pub fn with(self, permission: Permission, (schemas, mut paths, router): UtoipaMethodRouter<App>) -> Self {
        for item in paths.paths.values_mut() {
            for operation in operations(item) {
                let said = Extensions::from_iter([("x-permission", permission.word())]);
                operation.extensions.get_or_insert_with(Extensions::default).merge(said);
                tell_refusals(operation);
            }
        }
        let guarded = router.route_layer(from_fn(move |request: Request, next: Next| async move {
            guard(permission, request, next).await
        }));
        Self(self.0.routes((schemas, paths, guarded)))
    }

    /// All of both.
    #[must_use]
    pub fn and(self, others: Self) -> Self {
        Self(self.0.merge(others.0))
    }

    /// The router, and the description of its routes.
    pub fn split(self) -> (axum::Router<App>, OpenApi) {
        self.0.split_for_parts()
    }
}

/// Refusals are problem details (RFC 9457); every route with a body may find that it cannot read it.
fn tell_refusals(operation: &mut Operation) {
    let responses = &mut operation.responses.responses;
    for (status, response) in responses.iter_mut() {
        let RefOr::T(response) = response else { continue };
        if status.starts_with(['4', '5'])
            && let Some(content) = response.content.shift_remove("application/json")
        {
            response.content.insert("application/problem+json".to_owned(), content);
        }
    }
    let refusal = responses.iter().find(|(status, _)| status.starts_with('4')).map(|(_, refusal)| refusal.clone());
    let (Some(RefOr::T(refusal)), true) = (refusal, operation.request_body.is_some()) else { return };
    for (status, words) in [
        ("400", "The body cannot be read"),
        ("413", "The body is too large"),
        ("415", "The body is of a kind that this route does not read"),
    ] {
        let mut told = refusal.clone();
        words.clone_into(&mut told.description);
        responses.entry(status.to_owned()).or_insert(RefOr::T(told));
    }
}

fn operations(item: &mut PathItem) -> impl Iterator<Item = &mut Operation> {
    [&mut item.get, &mut item.put, &mut item.post, &mut item.delete, &mut item.patch]
        .into_iter()
        .filter_map(Option::as_mut)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_role_holds_what_the_role_below_holds() {
        let all = [
            Permission::Anyone,
            Permission::OwnSignIn,
            Permission::SignedIn,
            Permission::SeeWork,
            Permission::KeepRecords,
            Permission::Plan,
            Permission::Manage,
        ];
        let held = Role::ALL.map(|role| all.iter().filter(|permission| permission.is_held_by(role)).count());
        assert_eq!(held, [7, 6, 5, 3]);
    }
}
