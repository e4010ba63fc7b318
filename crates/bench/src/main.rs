//! The benchmarks: times the zones, the plan and the sheet of the demo property, and folders of
//! generated properties through the command itself. Prints one JSON object;
//! `peers/compare.py` puts it beside the peer's times and prints the table.

use geometry::ArcFineness;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// The peer draws its arcs with as many chords a quarter.
const CHORDS: u16 = 16;

fn main() {
    let folder = Path::new("demo/alder-bend");
    let text = read(&folder.join("visit.toml"));
    let parse = || {
        let mut fetch = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
        exchange::visit_file::parse_visit("visit.toml", &text, &mut fetch).expect("the demo reads").0
    };
    let request = parse();
    let arcs = ArcFineness::per_quarter(CHORDS);
    let visit = treatment::plan_with(&request, arcs).expect("the demo plans");
    let areas: serde_json::Map<String, serde_json::Value> = visit
        .zones
        .iter()
        .map(|zone| (zone.id.clone(), zone.area.to(quantity::AreaUnit::SquareMetre).into()))
        .collect();
    let zones = median(|| treatment::zones_with(&request, arcs).expect("the demo plans").zones.len());
    let plan = median(|| treatment::plan_with(&request, arcs).expect("the demo plans").zones.len());
    let reading = median(|| parse().tasks.len());
    let map = median(|| sheet::svg_map(&visit, sheet::MapOptions::default()).len());
    let json = median(|| exchange::visit_json::write_visit(&visit).len());
    let whole = median(|| {
        let visit = treatment::plan(&parse()).expect("the demo plans");
        exchange::visit_json::write_visit(&visit).len()
            + exchange::calendar::write_calendar(&visit).map_or(0, |text| text.len())
            + sheet::svg_map(&visit, sheet::MapOptions::default()).len()
    });
    let pdf = median(|| sheet::work_sheet_pdf(&visit, &sheet::PaperOptions::default()).expect("the sheet sets").len());
    let count = std::env::args().nth(1).and_then(|count| count.parse().ok()).unwrap_or(10_000);
    let folders = if count == 0 { Vec::new() } else { vec![folder_run(count / 10), folder_run(count)] };
    println!(
        "{}",
        serde_json::json!({
            "areas_m2": areas,
            "zones_s": zones,
            "plan_s": plan,
            "reading_s": reading,
            "map_s": map,
            "json_s": json,
            "whole_s": whole,
            "pdf_s": pdf,
            "folders": folders,
        })
    );
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Median time of a piece of work over two seconds, in seconds.
fn median(mut work: impl FnMut() -> usize) -> f64 {
    let mut times = Vec::new();
    let begin = Instant::now();
    while begin.elapsed() < Duration::from_secs(2) || times.len() < 5 {
        let start = Instant::now();
        std::hint::black_box(work());
        times.push(start.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// Writes a folder of generated properties, plans it with the command, and measures time and memory.
fn folder_run(count: usize) -> serde_json::Value {
    let top = std::env::temp_dir().join(format!("tussock-bench-{}-{count}", std::process::id()));
    generate(&top, count);
    let one = {
        // One property alone on one core: the command on a folder of a twentieth, on one thread.
        let small = top.with_extension("one");
        let size = (count / 20).max(20);
        generate(&small, size);
        let (seconds, _) = run(&small, size, Some(1));
        remove(&small);
        seconds / size as f64
    };
    let (seconds, peak) = run(&top, count, None);
    remove(&top);
    serde_json::json!({ "properties": count, "seconds": seconds, "one_s": one, "peak_mb": peak })
}

fn remove(folder: &Path) {
    let _ = std::fs::remove_dir_all(folder);
    let _ = std::fs::remove_dir_all(folder.with_extension("out"));
}

/// Time of `tussock plan FOLDER` on so many requests, and the greatest memory it held, in megabytes.
fn run(folder: &Path, count: usize, threads: Option<usize>) -> (f64, f64) {
    let out = folder.with_extension("out");
    let mut command = std::process::Command::new("target/release/tussock");
    command.arg("plan").arg(folder).arg("--no-pdf").arg("--out").arg(&out);
    if let Some(threads) = threads {
        command.env("RAYON_NUM_THREADS", threads.to_string());
    }
    command.stdout(std::process::Stdio::null()).stderr(std::process::Stdio::null());
    let start = Instant::now();
    let mut child = command.spawn().expect("target/release/tussock runs: `make bench` builds it");
    let status = PathBuf::from(format!("/proc/{}/status", child.id()));
    let mut peak = 0.0_f64;
    let ended = loop {
        if let Some(ended) = child.try_wait().expect("the command can be waited for") {
            break ended;
        }
        let line = std::fs::read_to_string(&status).unwrap_or_default();
        let held = line
            .lines()
            .find_map(|line| line.strip_prefix("VmHWM:")?.trim().strip_suffix("kB")?.trim().parse::<f64>().ok());
        peak = peak.max(held.unwrap_or(0.0) / 1024.0);
        std::thread::sleep(Duration::from_millis(20));
    };
    let seconds = start.elapsed().as_secs_f64();
    // A folder that could not be planned, or only in part, would be fast.
    assert!(ended.success(), "`tussock plan` ended with {ended}");
    let answers = std::fs::read_dir(&out).expect("the answers can be listed");
    let answers = answers.flatten().filter(|answer| answer.path().join("visit.json").is_file()).count();
    assert_eq!(answers, count, "visits planned");
    (seconds, peak)
}

/// Properties like the demo, each moved a little, with the same labels and equipment.
fn generate(top: &Path, count: usize) {
    let demo = Path::new("demo/alder-bend");
    let visit = read(&demo.join("visit.toml"));
    let map: serde_json::Value =
        serde_json::from_str(&read(&demo.join("property.geojson"))).expect("the demo's map is JSON");
    std::fs::create_dir_all(top).expect("the folder can be made");
    let shared = std::fs::canonicalize("demo").expect("the demo is there");
    let visit = visit
        .replace("\"../labels/", &format!("\"{}/labels/", shared.display()))
        .replace("\"equipment.toml\"", &format!("\"{}/alder-bend/equipment.toml\"", shared.display()))
        .replace("\"forecast.csv\"", &format!("\"{}/alder-bend/forecast.csv\"", shared.display()))
        .replace("\"history.toml\"", &format!("\"{}/alder-bend/history.toml\"", shared.display()));
    for number in 0..count {
        let shift = number as f64 * 1e-4;
        let mut own = map.clone();
        shift_east(&mut own["features"], shift % 20.0);
        std::fs::write(top.join(format!("property-{number:05}.geojson")), own.to_string())
            .expect("the map can be written");
        let text = visit.replace("\"property.geojson\"", &format!("\"property-{number:05}.geojson\""));
        std::fs::write(top.join(format!("visit-{number:05}.toml")), text).expect("the request can be written");
    }
}

/// Moves every position of a GeoJSON tree by so many degrees of longitude.
fn shift_east(tree: &mut serde_json::Value, degrees: f64) {
    match tree {
        serde_json::Value::Array(items) => {
            let position = items.len() == 2 && items.iter().all(serde_json::Value::is_number);
            if position {
                let longitude = items[0].as_f64().unwrap_or(0.0) + degrees;
                items[0] = longitude.into();
            } else {
                for item in items.iter_mut() {
                    shift_east(item, degrees);
                }
            }
        }
        serde_json::Value::Object(fields) => {
            for field in fields.values_mut() {
                shift_east(field, degrees);
            }
        }
        _ => {}
    }
}
