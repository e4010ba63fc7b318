//! `tussock weather fetch` against a server on this machine that plays invented answers in the shapes that the services
//! document. No test leaves the machine.

mod support;

use std::io::{BufRead, BufReader, Write};
use std::net::TcpListener;
use std::sync::{Arc, Mutex};
use std::time::{Duration, SystemTime};
use support::{Ran, Yard};

/// One answer: status line, further headers, body.
type Answer = (&'static str, String, String);

/// A server that gives its answers in order, the last one again and again, and remembers what it was asked.
struct Service {
    base: String,
    asked: Arc<Mutex<Vec<String>>>,
}

impl Service {
    fn playing(answers: Vec<Answer>) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let base = format!("http://{}", listener.local_addr().unwrap());
        let asked = Arc::new(Mutex::new(Vec::new()));
        let (heard, own) = (Arc::clone(&asked), base.clone());
        std::thread::spawn(move || {
            for (number, stream) in listener.incoming().enumerate() {
                let Ok(mut stream) = stream else { break };
                let mut lines = BufReader::new(stream.try_clone().unwrap()).lines();
                let mut request = String::new();
                for line in lines.by_ref().map_while(Result::ok).take_while(|line| !line.is_empty()) {
                    request.push_str(&line);
                    request.push('\n');
                }
                heard.lock().unwrap().push(request);
                let (status, headers, body) = &answers[number.min(answers.len() - 1)];
                let (headers, body) = (headers.replace("BASE", &own), body.replace("BASE", &own));
                let _ = write!(
                    stream,
                    "HTTP/1.1 {status}\r\ncontent-length: {}\r\nconnection: close\r\n{headers}\r\n{body}",
                    body.len()
                );
            }
        });
        Self { base, asked }
    }

    fn asked(&self) -> Vec<String> {
        self.asked.lock().unwrap().clone()
    }
}

fn ok(body: impl Into<String>) -> Answer {
    ("200 OK", "content-type: application/json\r\n".to_owned(), body.into())
}

/// The grid of a place, as `api.weather.gov` documents it.
fn points() -> Answer {
    ok(r#"{"type": "Feature", "geometry": {"type": "Point", "coordinates": [-97.62, 38.84]}, "properties": {
        "gridId": "ICT", "gridX": 71, "gridY": 67, "forecast": "BASE/gridpoints/ICT/71,67/forecast",
        "forecastHourly": "BASE/gridpoints/ICT/71,67/forecast/hourly", "timeZone": "America/Chicago"}}"#)
}

/// Sixteen invented hours of 7 July 2026.
fn nws_hours() -> Answer {
    let period = |hour: u32| {
        format!(
            r#"{{"number": {}, "startTime": "2026-07-07T{hour:02}:00:00-05:00", "endTime": "2026-07-07T{:02}:00:00-05:00",
            "isDaytime": true, "temperature": {}, "temperatureUnit": "F", "windSpeed": "5 mph", "windDirection": "N",
            "probabilityOfPrecipitation": {{"unitCode": "wmoUnit:percent", "value": 0}},
            "relativeHumidity": {{"unitCode": "wmoUnit:percent", "value": 55}}, "shortForecast": "Sunny"}}"#,
            hour - 4,
            hour + 1,
            60 + hour
        )
    };
    let periods: Vec<String> = (5..21).map(period).collect();
    ok(format!(r#"{{"type": "Feature", "properties": {{"units": "us", "periods": [{}]}}}}"#, periods.join(",")))
}

fn open_meteo_hours() -> Answer {
    let list = |of: &dyn Fn(u32) -> String| (5..21).map(of).collect::<Vec<_>>().join(",");
    ok(format!(
        r#"{{"latitude": 38.84, "longitude": -97.62, "utc_offset_seconds": -18000, "timezone": "America/Chicago",
        "hourly_units": {{"time": "iso8601", "temperature_2m": "°C", "wind_speed_10m": "km/h"}},
        "hourly": {{"time": [{}], "temperature_2m": [{}], "wind_speed_10m": [{}]}}}}"#,
        list(&|hour| format!("\"2026-07-07T{hour:02}:00\"")),
        list(&|_| "22.0".to_owned()),
        list(&|_| "8.0".to_owned()),
    ))
}

const AT: [&str; 6] = ["weather", "fetch", "--at", "38.843,-97.618", "--cache", "kept"];

fn fetch(yard: &Yard, base: &str, more: &[&str]) -> Ran {
    yard.run(&[&AT[..], &["--from", base], more].concat())
}

/// What is told, without what differs from run to run.
fn told(ran: &Ran, base: &str) -> String {
    ran.told().replace(base, "http://SERVER").replace(base.trim_start_matches("http://"), "SERVER")
}

#[test]
fn the_grid_is_asked_then_its_forecast_which_a_visit_can_name() {
    let service = Service::playing(vec![points(), nws_hours()]);
    let yard = Yard::with_demo();
    let map = "demo/alder-bend/property.geojson";
    let ran = yard.run(&[
        "weather",
        "fetch",
        map,
        "--from",
        &service.base,
        "--cache",
        "kept",
        "--contact",
        "office@example.com",
        "--out",
        "demo/alder-bend/service.json",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    insta::assert_snapshot!("fetched", told(&ran, &service.base));
    let asked = service.asked();
    assert_eq!(asked.len(), 2);
    assert!(asked[0].starts_with("GET /points/38.84,-97.62 "), "{}", asked[0]);
    assert!(asked[1].starts_with("GET /gridpoints/ICT/71,67/forecast/hourly "), "{}", asked[1]);
    assert!(asked[1].contains("tussock/") && asked[1].contains("(office@example.com)"), "{}", asked[1]);
    assert!(asked[1].contains("application/geo+json"), "{}", asked[1]);
    // As it came, to the byte.
    assert_eq!(yard.read("demo/alder-bend/service.json"), nws_hours().2);
    let request = yard.read("demo/alder-bend/visit.toml").replace("forecast.csv", "service.json");
    yard.write("demo/alder-bend/service.visit.toml", request);
    let ran = yard.run(&["hours", "demo/alder-bend/service.visit.toml", "--json"]);
    assert_eq!(ran.json()["days"][0]["date"], "2026-07-07", "{}", ran.told());
}

#[test]
fn another_service_is_asked_once_and_says_its_terms() {
    let service = Service::playing(vec![open_meteo_hours()]);
    let yard = Yard::empty();
    let ran = fetch(&yard, &service.base, &["--service", "open-meteo", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    let json = ran.json();
    assert_eq!((&json["service"], &json["hours"], &json["is_fresh"]), (&"open-meteo".into(), &16.into(), &true.into()));
    assert_eq!((&json["latitude_deg"], &json["first"]), (&"38.84".into(), &"2026-07-07T05:00".into()));
    assert!(json["terms"].as_str().unwrap().contains("CC BY 4.0"));
    assert!(service.asked()[0].starts_with("GET /v1/forecast?latitude=38.84&longitude=-97.62&hourly=temperature_2m,"));
    assert_eq!(yard.read("out/forecast-open-meteo.json"), open_meteo_hours().2);
}

#[test]
fn a_service_that_is_down_for_a_moment_is_asked_again() {
    let busy = || ("503 Service Unavailable", "retry-after: 0\r\n".to_owned(), String::new());
    let service = Service::playing(vec![busy(), busy(), open_meteo_hours()]);
    let ran = fetch(&Yard::empty(), &service.base, &["--service", "open-meteo"]);
    assert_eq!((ran.code, service.asked().len()), (0, 3), "{}", ran.told());
    // And no longer than it may take.
    let service = Service::playing(vec![busy()]);
    let began = SystemTime::now();
    let ran = fetch(&Yard::empty(), &service.base, &["--service", "open-meteo", "--time-limit", "1"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("network::no-answer") && ran.stderr.contains("answers 503"), "{}", ran.told());
    assert!(began.elapsed().unwrap() < Duration::from_secs(5));
}

#[test]
fn a_kept_answer_is_taken_while_it_is_young_and_its_age_is_told() {
    let service = Service::playing(vec![open_meteo_hours()]);
    let yard = Yard::empty();
    let again = |more: &[&str]| fetch(&yard, &service.base, &[&["--service", "open-meteo"], more].concat());
    assert_eq!(again(&[]).code, 0);
    let kept = std::fs::read_dir(yard.path("kept")).unwrap().next().unwrap().unwrap().path();
    let aged = |minutes: u64| {
        let file = std::fs::File::options().write(true).open(&kept).unwrap();
        file.set_modified(SystemTime::now() - Duration::from_secs(minutes * 60 + 30)).unwrap();
    };
    aged(40);
    let ran = again(&[]);
    assert!(ran.stdout.contains("an answer kept 40 minutes ago"), "{}", ran.told());
    assert_eq!(service.asked().len(), 1);
    let json = again(&["--json"]).json();
    assert_eq!((&json["is_fresh"], json["age_min"].as_f64().unwrap().floor()), (&false.into(), 40.0));
    aged(70);
    assert!(again(&[]).stdout.contains("asked just now"));
    assert_eq!(service.asked().len(), 2);
    assert!(again(&["--max-age", "0"]).stdout.contains("asked just now"));
    assert_eq!(service.asked().len(), 3);
    // One from the future is of a clock that was wrong.
    let file = std::fs::File::options().write(true).open(&kept).unwrap();
    file.set_modified(SystemTime::now() + Duration::from_hours(2)).unwrap();
    assert!(again(&[]).stdout.contains("asked just now"));
    assert_eq!(service.asked().len(), 4);
}

#[test]
fn without_a_network_it_says_so_and_takes_nothing_old_unasked() {
    // A port that nobody listens at.
    let base = format!("http://{}", TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap());
    let yard = Yard::empty();
    let ran = fetch(&yard, &base, &["--time-limit", "1"]);
    assert_eq!((ran.code, ran.stdout.as_str()), (1, ""));
    assert!(ran.stderr.contains("network::no-answer"), "{}", ran.told());
    assert!(ran.stderr.contains("look whether this machine has a network"), "{}", ran.told());
    assert!(!yard.path("out").exists() && !yard.path("kept").exists());
    let service = Service::playing(vec![points(), nws_hours(), ("500 No", String::new(), String::new())]);
    assert_eq!(fetch(&yard, &service.base, &[]).code, 0);
    let kept = std::fs::read_dir(yard.path("kept")).unwrap().next().unwrap().unwrap().path();
    let file = std::fs::File::options().write(true).open(kept).unwrap();
    file.set_modified(SystemTime::now() - Duration::from_hours(5)).unwrap();
    let ran = fetch(&yard, &service.base, &["--time-limit", "1", "--json"]);
    assert_eq!(ran.code, 1);
    let problems = ran.json();
    let codes: Vec<&str> =
        problems["problems"].as_array().unwrap().iter().map(|problem| problem["code"].as_str().unwrap()).collect();
    assert_eq!(codes, ["network::no-answer", "network::kept-answer"]);
    assert!(ran.stderr.contains("5 hours old") && ran.stderr.contains("--max-age 301"), "{}", ran.told());
}

#[test]
fn answers_that_are_no_forecast_are_neither_written_nor_kept() {
    let yard = Yard::empty();
    for (name, answers, code) in [
        ("sign-in", vec![ok("<html>Sign in to the network</html>")], "weather-json::"),
        ("no-grid", vec![ok("{}")], "weather-json::missing"),
        (
            "not-covered",
            vec![(
                "404 Not Found",
                String::new(),
                r#"{"title": "Data Unavailable For Requested Point", "detail": "Unable to provide data for requested point",
                "status": 404}"#
                    .to_owned(),
            )],
            "network::refused",
        ),
        ("elsewhere", vec![("302 Found", "location: http://127.0.0.2:9/x\r\n".to_owned(), String::new())], "network::"),
        ("half", vec![points(), ok(r#"{"properties": {"periods": [{"startTime": "soon"}]}}"#)], "weather-json::value"),
    ] {
        let service = Service::playing(answers);
        let ran = fetch(&yard, &service.base, &["--time-limit", "2"]);
        assert_eq!(ran.code, 1, "{name}: {}", ran.told());
        assert!(ran.stderr.contains(code), "{name}: {}", ran.told());
        assert!(!yard.path("out").exists() && !yard.path("kept").exists(), "{name}");
    }
}

#[test]
fn a_path_on_the_same_server_is_followed() {
    let moved = ("301 Moved", "location: BASE/points/38.84,-97.6\r\n".to_owned(), String::new());
    let service = Service::playing(vec![moved, points(), nws_hours()]);
    let ran = fetch(&Yard::empty(), &service.base, &[]);
    assert_eq!((ran.code, service.asked().len()), (0, 3), "{}", ran.told());
}

#[test]
fn wrong_use_is_told() {
    let yard = Yard::empty();
    for arguments in [
        &["weather"][..],
        &["weather", "fetch"],
        &["weather", "fetch", "--at", "here"],
        &["weather", "fetch", "--at", "98,10"],
        &["weather", "fetch", "--at", "38,-97", "--from", "weather.example"],
        &["weather", "fetch", "--at", "38,-97", "--time-limit", "0"],
    ] {
        assert_eq!(yard.run(arguments).code, 2, "{arguments:?}");
    }
    assert_eq!(yard.run(&["weather", "fetch", "no-map.geojson"]).code, 1);
}
