//! `tussock hours`: the demo, a forecast of a weather service, and a visit without a forecast.

mod support;

use support::Yard;

#[test]
fn the_demo_has_a_best_start_for_each_task_and_pictures() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["hours", "demo/alder-bend/visit.toml", "--out", "out/hours"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert_eq!(ran.stdout.matches("Best start: 2026-07-07").count(), 3, "{}", ran.stdout);
    assert!(ran.stdout.contains("at least 3.00 mph, at most 10.0 mph"), "{}", ran.stdout);
    for task in ["perimeter", "hedge", "lawn"] {
        let svg = yard.read(&format!("out/hours/hours-{task}.svg"));
        assert!(svg.contains("strong") && svg.contains("Best start July 7, 2026"), "{task}");
    }
    let json = yard.run(&["hours", "demo/alder-bend/visit.toml", "--json"]);
    assert_eq!(json.stdout, yard.read("out/hours/hours.json"));
    let read: serde_json::Value = serde_json::from_str(&json.stdout).unwrap();
    assert_eq!(read["format"], "tussock.hours/1");
    // Wind from the south carries toward the hives from the hedge, and not from the wall.
    let at = |task: usize, hour: &str| {
        let hours = read["tasks"][task]["hours"].as_array().unwrap();
        let found = hours.iter().find(|found| found["start"].as_str().unwrap().contains(hour)).unwrap();
        found["verdict"].as_str().unwrap().to_owned()
    };
    assert_eq!(
        (at(0, "T08:00"), at(1, "T08:00"), at(1, "T09:00")),
        ("caution".into(), "refused".into(), "caution".into())
    );
}

#[test]
fn the_answer_of_a_weather_service_is_a_forecast() {
    let yard = Yard::with_demo();
    let hours: Vec<u32> = (5..21).collect();
    let list = |of: &dyn Fn(u32) -> String| hours.iter().map(|hour| of(*hour)).collect::<Vec<_>>().join(",");
    let answer = format!(
        r#"{{"latitude": 38.84, "longitude": -97.62, "utc_offset_seconds": -18000,
        "hourly_units": {{"time": "iso8601", "temperature_2m": "°C", "wind_speed_10m": "km/h", "wind_gusts_10m": "km/h",
        "wind_direction_10m": "°", "precipitation": "mm", "relative_humidity_2m": "%", "cloud_cover": "%"}},
        "hourly": {{"time": [{}], "temperature_2m": [{}], "wind_speed_10m": [{}], "wind_gusts_10m": [{}],
        "wind_direction_10m": [{}], "precipitation": [{}], "relative_humidity_2m": [{}], "cloud_cover": [{}]}}}}"#,
        list(&|hour| format!("\"2026-07-07T{hour:02}:00\"")),
        list(&|_| "22.0".to_owned()),
        list(&|_| "8.0".to_owned()),
        list(&|_| "12.0".to_owned()),
        list(&|_| "350".to_owned()),
        list(&|_| "0.0".to_owned()),
        list(&|_| "55".to_owned()),
        list(&|_| "20".to_owned()),
    );
    yard.write("demo/alder-bend/service.json", &answer);
    let request = yard.read("demo/alder-bend/visit.toml");
    let request = request.replace("forecast.csv", "service.json");
    assert!(request.contains("service.json"));
    yard.write("demo/alder-bend/service.visit.toml", &request);
    let ran = yard.run(&["hours", "demo/alder-bend/service.visit.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let read: serde_json::Value = serde_json::from_str(&ran.stdout).unwrap();
    let noon = &read["tasks"][0]["hours"][7];
    assert_eq!(noon["start"], "2026-07-07T12:00:00-05:00");
    assert_ne!(noon["verdict"], "refused", "{noon:#}");
    assert!(noon["delta_t_cel"].as_f64().unwrap() > 2.0 && noon["stability"].is_string(), "{noon:#}");
}

#[test]
fn without_a_forecast_it_says_what_is_missing() {
    let yard = Yard::with_demo();
    let request = yard.read("demo/alder-bend/visit.toml");
    let request: String =
        request.lines().filter(|line| !line.starts_with("forecast")).flat_map(|line| [line, "\n"]).collect();
    yard.write("demo/alder-bend/blind.visit.toml", &request);
    let ran = yard.run(&["hours", "demo/alder-bend/blind.visit.toml"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("hours::no-forecast") || ran.stderr.contains("names no forecast"), "{}", ran.stderr);
}
