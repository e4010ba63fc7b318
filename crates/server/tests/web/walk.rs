//! A walk over the description: no route escapes its permission.

use crate::naming::references;
use crate::support::{Client, House, refusal};
use ledger::access::Role;
use serde_json::{Value, json};
use std::collections::BTreeSet;

pub(crate) struct Route {
    pub(crate) method: String,
    pub(crate) path: String,
    pub(crate) permission: String,
    /// Each parameter by its place and name: `path`, `query` or `header`.
    pub(crate) parameters: Vec<(String, String)>,
    /// The schema of the body by its name, or its media type where it is no document.
    pub(crate) body: Option<String>,
    /// The fields of the body that hold the name of a thing, by their form.
    pub(crate) references: BTreeSet<String>,
}

pub(crate) fn routes() -> Vec<Route> {
    let description: Value = serde_json::from_str(&server::routes::openapi_text()).expect("JSON");
    let paths = description["paths"].as_object().expect("paths");
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    let of_path = |(path, item): (&String, &Value)| {
        let operations = item.as_object().expect("operations").iter();
        let of_operation = operations.map(|(method, operation)| {
            let parameters = operation["parameters"].as_array().into_iter().flatten();
            let content = operation["requestBody"]["content"].as_object();
            let (kind, content) = content.and_then(|content| content.iter().next()).unzip();
            let schema = content.map(|content| &content["schema"]);
            let document = schema.and_then(|schema| schema["$ref"].as_str()).and_then(|text| text.rsplit('/').next());
            Route {
                method: method.clone(),
                path: path.clone(),
                permission: text(&operation["x-permission"]),
                parameters: parameters.map(|one| (text(&one["in"]), text(&one["name"]))).collect(),
                body: document.or(kind.map(String::as_str)).map(str::to_owned),
                references: schema.map(|schema| references(&description, schema)).unwrap_or_default(),
            }
        });
        of_operation.collect::<Vec<_>>()
    };
    paths.iter().flat_map(of_path).collect()
}

async fn ask(client: &Client, route: &Route, name: &str) -> reqwest::Response {
    let mut path = route.path.clone();
    while let (Some(from), Some(to)) = (path.find('{'), path.find('}')) {
        path.replace_range(from..=to, name);
    }
    client.ask(&route.method, &path, route.body.is_some().then(|| json!({}))).await
}

/// Which roles hold a permission, said here once more so that a slip there does not hide itself.
fn holds(permission: &str, role: Role) -> bool {
    match permission {
        "anyone" | "own-sign-in" | "signed-in" => true,
        "see-work" | "keep-records" => role != Role::Client,
        "plan" => matches!(role, Role::Owner | Role::Planner),
        "manage" => role == Role::Owner,
        _ => panic!("`{permission}` is not known to this walk"),
    }
}

const NOBODY: &str = "01890000-0000-7000-8000-000000000000";

#[tokio::test(flavor = "multi_thread")]
async fn every_route_refuses_who_is_not_signed_in() {
    let house = House::of_a_company(|_| ()).await;
    let mut refused = 0;
    for route in routes().iter().filter(|route| route.permission != "anyone") {
        let told = refusal(ask(&house.client(), route, NOBODY).await).await;
        assert_eq!(told, (401, "server::signed-out".to_owned()), "{} {}", route.method, route.path);
        refused += 1;
    }
    assert!(refused >= 8, "{refused}");
}

#[tokio::test(flavor = "multi_thread")]
async fn every_route_refuses_the_wrong_role_and_no_other() {
    let house = House::of_a_company(|_| ()).await;
    let mut refused = 0;
    for route in routes() {
        for role in Role::ALL {
            let client = house.signed_in(&format!("reed-{}", role.word())).await;
            let response = ask(&client, &route, NOBODY).await;
            let what = format!("{} {} as {}", route.method, route.path, role.word());
            assert!(response.status().as_u16() < 500, "{what}: {}", response.status());
            if holds(&route.permission, role) {
                let status = response.status().as_u16();
                assert!(status != 403 && (status != 401 || route.permission == "anyone"), "{what}: {status}");
            } else {
                assert_eq!(refusal(response).await, (403, "server::role".to_owned()), "{what}");
                refused += 1;
            }
        }
    }
    assert!(refused >= 20, "{refused}");
}

#[tokio::test(flavor = "multi_thread")]
async fn every_change_without_the_form_token_is_refused() {
    let house = House::of_a_company(|_| ()).await;
    let mut client = house.signed_in("reed-owner").await;
    client.session.as_mut().expect("a session").1 = "0".repeat(64);
    let mut refused = 0;
    for route in routes().iter().filter(|route| route.method != "get" && route.permission != "anyone") {
        let told = refusal(ask(&client, route, NOBODY).await).await;
        assert_eq!(told, (403, "server::form-token".to_owned()), "{} {}", route.method, route.path);
        refused += 1;
    }
    assert!(refused >= 5, "{refused}");
}

/// A sign-in is never reached from another account, whatever the role there; kept things are tried in `isolation`.
#[tokio::test(flavor = "multi_thread")]
async fn every_route_of_a_sign_in_refuses_the_other_account() {
    let house = House::of_a_company(|_| ()).await;
    let theirs = house.everybody().await;
    let theirs = theirs.iter().find(|sign_in| sign_in.name == "reed-technician").expect("a sign-in");
    let intruder = house.signed_in("other-owner").await;
    let mut refused = 0;
    for route in routes().iter().filter(|route| route.path.contains("{sign_in}")) {
        let body = match route.body.as_deref() {
            None => None,
            Some("SignInChange") => Some(json!({ "disabled": true })),
            Some("NewPassword") => Some(json!({ "password": "other small words" })),
            Some("NewRole") => Some(json!({ "role": "planner" })),
            Some(body) => panic!("{} {}: what to send as `{body}` is not known here", route.method, route.path),
        };
        let path = route.path.replace("{sign_in}", &theirs.sign_in.to_string());
        let told = refusal(intruder.ask(&route.method, &path, body).await).await;
        assert_eq!(told, (404, "server::nothing-there".to_owned()), "{} {path}", route.method);
        refused += 1;
    }
    assert!(refused >= 6, "{refused}");
    let listed: Value = intruder.ask("get", "/api/sign-ins", None).await.json().await.expect("JSON");
    assert_eq!(listed.as_array().map(Vec::len), Some(1), "{listed}");
}
