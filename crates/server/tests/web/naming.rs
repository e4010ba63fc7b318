//! What the routes let a caller name: in the address, in its query, and in the body. A route that names something in
//! a way that is not known here fails the tests, so that none escapes them.

use crate::lawn::lawn;
use crate::support::{Client, refusal};
use crate::trade::{PHOTO, order};
use crate::walk::Route;
use ledger::RequestKey;
use reqwest::RequestBuilder;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// One kept thing of every kind by the word of its routes, with a document that its owner could change it to.
pub(crate) type Things = BTreeMap<&'static str, (String, Value)>;

/// A request that names something of another, in one place; all else that it names is the caller's own.
pub(crate) struct Naming {
    pub(crate) method: String,
    pub(crate) path: String,
    body: Body,
    /// Where the name stands, such as `query property`.
    pub(crate) place: String,
}

enum Body {
    Nothing,
    Json(Value),
    Photo,
}

/// What a parameter names.
enum Named {
    /// Nothing of an account: a day, a page, words.
    Free,
    /// A sign-in: tried on its own.
    SignIn,
    /// A thing of this kind.
    Kind(String),
    /// A thing of any kind.
    Any,
}

fn named(route: &Route, place: &str, name: &str) -> Named {
    match (place, name) {
        ("path", "thing") if route.path == "/api/files/of/{thing}" => Named::Any,
        ("path", "thing") => Named::Kind(kind_of(&route.path).to_owned()),
        ("path", "sign_in") => Named::SignIn,
        ("query", "client") => Named::Kind("clients".to_owned()),
        ("query", "property") => Named::Kind("properties".to_owned()),
        ("query", "label") => Named::Kind("labels".to_owned()),
        ("query", "belongs_to") => Named::Any,
        ("header", "Idempotency-Key" | "If-Match")
        | ("path", "profile")
        | (
            "query",
            "after" | "black_and_white" | "date" | "expected" | "from" | "latitude" | "limit" | "longitude" | "name"
            | "paper" | "pest" | "place" | "reason" | "text" | "units" | "until" | "version" | "within_m",
        ) => Named::Free,
        _ => panic!(
            "{} {}: whether the {place} parameter `{name}` names something is not known here",
            route.method, route.path
        ),
    }
}

/// The kind of thing that a path names, as in `/api/lots/{thing}/versions`.
fn kind_of(path: &str) -> &str {
    let named = path.strip_prefix("/api/").and_then(|rest| rest.split_once("/{thing}"));
    let kind = named.map(|(kind, _)| kind).filter(|kind| !kind.contains('/'));
    kind.unwrap_or_else(|| panic!("{path}: of what kind its `thing` is, is not known here"))
}

/// The fields of a body that name something, each with the kind; a body that is not known here fails.
fn fields(body: &str) -> &'static [(&'static str, &'static str)] {
    match body {
        "KeptSurvey" => &[("property", "properties")],
        "KeptVisit" => &[("client", "clients"), ("property", "properties")],
        "KeptStockAdjustment" => &[("lot", "lots")],
        "ScoutingOrder" => &[("kept", "surveys"), ("survey.property", "properties")],
        "RecordOrder" => &[("kept", "visits"), ("visit", "equipment")],
        // A visit names things in its text, as `thing:…`.
        "PlanOrder" => &[("visit", "equipment")],
        // So do a lawn and the visits that hold for it.
        "LawnOrder" => &[("lawn", "properties"), ("files", "equipment")],
        "KeptProperty" | "SignInOrder" | "NewRole" => &[("client", "clients")],
        // The property of a survey in an `EfficacyOrder` only tells those of one from those of another: nothing is looked up.
        "AmendOrder"
        | "CalibrateOrder"
        | "Code"
        | "CompareOrder"
        | "Credentials"
        | "EfficacyOrder"
        | "EquipmentOrder"
        | "ForecastOrder"
        | "IdentificationOrder"
        | "KeptBusiness"
        | "KeptClient"
        | "KeptEquipment"
        | "KeptLabel"
        | "KeptLot"
        | "KeptPerson"
        | "LabelOrder"
        | "MeasureOrder"
        | "NewPassword"
        | "PasswordAgain"
        | "PasswordChange"
        | "RecordJson"
        | "SecondFactorEnd"
        | "SignInChange"
        | "VisitFormOrder"
        | "image/jpeg" => &[],
        _ => panic!("what the body `{body}` names is not known here"),
    }
}

/// Fields of a schema that hold the name of a thing, by its form.
pub(crate) fn references(description: &Value, schema: &Value) -> BTreeSet<String> {
    fn go(all: &Value, schema: &Value, path: &str, seen: &[&str], into: &mut BTreeSet<String>) {
        if let Some(name) = schema["$ref"].as_str().and_then(|text| text.rsplit('/').next()) {
            if let (false, Some((name, schema))) =
                (seen.contains(&name), all.as_object().and_then(|all| all.get_key_value(name)))
            {
                go(all, schema, path, &[seen, &[name.as_str()][..]].concat(), into);
            }
            return;
        }
        let pattern = schema["pattern"].as_str().unwrap_or_default();
        if schema["format"] == "uuid" || pattern.starts_with("^[0-9a-f]{8}-[0-9a-f]{4}-") {
            into.insert(path.to_owned());
        }
        for word in ["oneOf", "anyOf", "allOf"] {
            for one in schema[word].as_array().into_iter().flatten() {
                go(all, one, path, seen, into);
            }
        }
        for (name, field) in schema["properties"].as_object().into_iter().flatten() {
            let inner = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
            go(all, field, &inner, seen, into);
        }
        for of_each in [&schema["items"], &schema["additionalProperties"]].into_iter().filter(|one| one.is_object()) {
            go(all, of_each, &format!("{path}[]"), seen, into);
        }
    }
    let mut found = BTreeSet::new();
    go(&description["components"]["schemas"], schema, "", &[], &mut found);
    found
}

/// Every way in which a route lets a caller with `own` things name one of those of `theirs`.
pub(crate) fn namings(route: &Route, own: &Things, theirs: &Things) -> Vec<Naming> {
    let known: BTreeSet<&str> = route.body.iter().flat_map(|body| fields(body)).map(|(field, _)| *field).collect();
    for field in route.references.iter().filter(|field| field.as_str() != "surveys[].property") {
        assert!(known.contains(field.as_str()), "{} {}: `{field}` of the body", route.method, route.path);
    }
    let thing = |things: &Things, kind: &str| {
        let found = things.get(kind).unwrap_or_else(|| panic!("{} {}: no {kind} to try", route.method, route.path));
        found.0.clone()
    };
    let plain = |things: &Things| route.path.replace("{thing}", &thing(things, plain_kind(route)));
    let mut tries = Vec::new();
    let mut add = |path: String, body: Body, place: String| {
        let joint = if path.contains('?') { '&' } else { '?' };
        let path = match (route.path.starts_with("/api/records/{thing}"), route.method.as_str()) {
            (true, "put" | "delete") => format!("{path}{joint}reason=tried"),
            _ => path,
        };
        tries.push(Naming { method: route.method.clone(), path, body, place });
    };
    for (place, name) in &route.parameters {
        let kinds: Vec<String> = match named(route, place, name) {
            Named::Free | Named::SignIn => continue,
            Named::Kind(kind) => vec![kind],
            Named::Any => theirs.keys().map(|kind| (*kind).to_owned()).collect(),
        };
        for kind in kinds {
            let theirs = thing(theirs, &kind);
            let path = match place.as_str() {
                "path" => route.path.replace("{thing}", &theirs),
                _ if name == "belongs_to" => format!("{}?name=photo.jpg&belongs_to={theirs}", route.path),
                _ => format!("{}?{name}={theirs}", plain(own)),
            };
            add(path, body_of(route, own), format!("{place} {name}, {kind}"));
        }
    }
    for (field, kind) in route.body.iter().flat_map(|body| fields(body)) {
        // Stop lines need no map: the property that the counts name is not looked up.
        if (route.path.as_str(), *field) == ("/api/scouting/lines", "survey.property") {
            continue;
        }
        let Body::Json(mut body) = body_of(route, own) else { panic!("a body of fields") };
        name_in(&mut body, field, &thing(theirs, kind));
        add(plain(own), Body::Json(body), format!("body {field}"));
    }
    tries
}

/// The kind of the thing in the path, where there is one.
fn plain_kind(route: &Route) -> &str {
    if route.path.contains("{thing}") && route.path != "/api/files/of/{thing}" {
        kind_of(&route.path)
    } else {
        "clients"
    }
}

/// A body that the route would take from who has these things.
fn body_of(route: &Route, own: &Things) -> Body {
    let Some(body) = route.body.as_deref() else { return Body::Nothing };
    let kept = |kind: &str| Body::Json(own[kind].1.clone());
    match body {
        "image/jpeg" => Body::Photo,
        "KeptBusiness" => kept("businesses"),
        "KeptClient" => kept("clients"),
        "KeptEquipment" => kept("equipment"),
        "KeptLabel" => kept("labels"),
        "KeptLot" => kept("lots"),
        "KeptPerson" => kept("people"),
        "KeptProperty" => kept("properties"),
        "KeptStockAdjustment" => kept("stock-adjustments"),
        "KeptSurvey" => kept("surveys"),
        "KeptVisit" => kept("visits"),
        "RecordJson" => kept("records"),
        "AmendOrder" => Body::Json(
            json!({ "as_applied": { "format": "tussock.as-applied/1", "location": "behind" }, "clock": "-05:00" }),
        ),
        "PlanOrder" | "RecordOrder" => Body::Json(order()),
        "LawnOrder" => Body::Json(lawn()),
        "ScoutingOrder" => Body::Json(json!({ "pest": "grasshopper", "threshold": {
            "count": 4, "per": "1 sq yd", "source": "invented, for this test",
        } })),
        "SignInOrder" => Body::Json(json!({ "name": "newcomer", "role": "client", "password": "four small words" })),
        "NewRole" => Body::Json(json!({ "role": "client" })),
        // These name nothing, and their routes nothing either.
        _ => Body::Json(json!({})),
    }
}

/// Puts the name of a thing into a field of a body.
fn name_in(body: &mut Value, field: &str, thing: &str) {
    match field {
        "visit" => {
            let text = body["visit"].as_str().expect("a text");
            let named = text.replace("\"equipment.toml\"", &format!("\"thing:{thing}\""));
            assert_ne!(text, named);
            body["visit"] = named.into();
        }
        "lawn" => {
            let text = body["lawn"].as_str().expect("a text");
            let named = text.replace("\"property.geojson\"", &format!("\"thing:{thing}\""));
            assert_ne!(text, named);
            body["lawn"] = named.into();
        }
        "files" => {
            let text = body["files"]["visit.toml"].as_str().expect("a text");
            let named = text.replace("\"equipment.toml\"", &format!("\"thing:{thing}\""));
            assert_ne!(text, named);
            body["files"]["visit.toml"] = named.into();
        }
        "survey.property" => {
            body["ground"] = true.into();
            body["survey"] = json!({
                "format": "tussock.kept-survey/1", "property": thing, "date": "2026-07-06", "pest": "grasshopper",
                "method": "frame", "count_area": "1 sq ft", "by": "J. Example",
                "stations": [{ "count": 3, "is_check": false }],
            });
        }
        _ => body[field] = thing.into(),
    }
}

impl Naming {
    /// The request, of whoever asks.
    pub(crate) fn of(&self, client: &Client) -> RequestBuilder {
        let request = client.request(&self.method, &self.path).header("if-match", "\"1\"");
        let request = request.header("idempotency-key", RequestKey::fresh().as_str());
        match &self.body {
            Body::Nothing => request,
            Body::Json(body) => request.json(body),
            Body::Photo => request.header("content-type", "image/jpeg").body(PHOTO.to_vec()),
        }
    }

    /// Asks, and gives the refusal that says that what is named is not there for the caller; `None` for any other answer.
    pub(crate) async fn nothing_there(&self, client: &Client) -> Option<(u16, String)> {
        let response = self.of(client).send().await.expect("an answer");
        if !matches!(response.status().as_u16(), 404 | 422) {
            return None;
        }
        Some(refusal(response).await).filter(|told| {
            let code = told.1.as_str();
            told.0 == 404 && code == "server::nothing-there"
                || told.0 == 422
                    && matches!(
                        code,
                        "trade::unknown-link" | "server::unknown-client" | "stock::unknown-lot" | "visit::unread-file"
                    )
        })
    }
}
