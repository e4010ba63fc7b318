//! `tussock weather`: weather from public services.

use super::desk::BooksPlace;
use super::plan::wrapped;
use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::fetching::Asker;
use crate::outcome::{CommandResult, Failure, Outcome};
use crate::reading::read_text;
use crate::writing::write_file;
use clap::{Args, Subcommand, ValueEnum};
use exchange::geojson_map::parse_property;
use exchange::kept;
use exchange::weather_fetch_json::{AnswerOrigin, WeatherFetchJson};
use exchange::weather_service::{Service, rounded};
use jiff::civil::DateTime;
use problem::{Problem, Problems};
use reqwest::Url;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use weather::Site;

/// Get weather from public services
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!("tussock weather fetch demo/alder-bend/property.geojson"))]
pub(crate) struct WeatherArgs {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    Fetch(FetchArgs),
}

/// Fetch the hourly forecast of a property's place, and write the answer as it came
///
/// The file may then be named as the forecast of a visit. The place is told to the service in hundredths of a degree, about
/// a kilometre. An answer is kept for a while, and taken again as long as it is younger than `--max-age`; its age is told.
/// Where the service does not answer nothing older is taken unasked.
///
/// The data are those of the service, whose terms apply; the command says them. The National Weather Service covers the
/// United States, Open-Meteo the world.
///
/// Exit codes: 0 done, 1 no forecast, 2 wrong use of the command.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock weather fetch demo/alder-bend/property.geojson --contact \"office@example.com\"",
    "tussock weather fetch --at 38.84,-97.62 --service open-meteo --out forecast.json",
    "tussock weather fetch \"books:property/Alder Bend\" --books lawns.db",
))]
struct FetchArgs {
    /// A map (GeoJSON), or `books:property/` and the name of a kept property
    #[arg(required_unless_present = "at")]
    property: Option<String>,
    /// The place in degrees north and east, in place of a property
    #[arg(long, value_name = "LATITUDE,LONGITUDE", allow_hyphen_values = true, value_parser = place, conflicts_with = "property")]
    at: Option<Site>,
    /// Which service
    #[arg(long, value_enum, default_value_t = ServiceWord::Nws)]
    service: ServiceWord,
    /// The file to write the answer to [default: out/ and the name of the service]
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// An e-mail address or page by which the service may reach whoever asks
    #[arg(long, value_name = "WORDS")]
    contact: Option<String>,
    /// How old a kept answer may be to be taken again, in minutes; 0 asks in any case
    #[arg(long, value_name = "MINUTES", default_value_t = 60)]
    max_age: u64,
    /// How long the service may take, with all tries, in seconds
    #[arg(long, value_name = "SECONDS", default_value_t = 30, value_parser = clap::value_parser!(u64).range(1..=600))]
    time_limit: u64,
    /// Another address of the service, such as a server of one's own
    #[arg(long, value_name = "URL", value_parser = base)]
    from: Option<Url>,
    /// The folder in which answers are kept [default: tussock/ in the user's folder for caches]
    #[arg(long, value_name = "DIR")]
    cache: Option<PathBuf>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    books: BooksPlace,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum ServiceWord {
    /// National Weather Service of the United States
    Nws,
    /// Open-Meteo
    OpenMeteo,
}

impl ServiceWord {
    const fn service(self) -> Service {
        match self {
            Self::Nws => Service::Nws,
            Self::OpenMeteo => Service::OpenMeteo,
        }
    }
}

fn place(text: &str) -> Result<Site, String> {
    let number = |part: &str| part.trim().parse::<f64>().ok();
    let pair = text.split_once(',').and_then(|(north, east)| Some((number(north)?, number(east)?)));
    let (latitude, longitude) =
        pair.ok_or_else(|| "not a place; expected degrees north and east, such as `38.84,-97.62`".to_owned())?;
    Site::new(latitude, longitude).map_err(|problems| format!("{problems}\n"))
}

fn base(text: &str) -> Result<Url, String> {
    let url = Url::parse(text).ok().filter(|url| matches!(url.scheme(), "http" | "https") && url.host().is_some());
    url.ok_or_else(|| "not an address of a service; expected one such as `http://127.0.0.1:8080`".to_owned())
}

impl WeatherArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        let What::Fetch(args) = &self.what;
        args.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &WeatherArgs) -> CommandResult {
    let What::Fetch(args) = &args.what;
    fetch(args)
}

/// An answer, and how it was come by.
struct Answer {
    text: String,
    address: Url,
    is_fresh: bool,
    age: Duration,
}

fn fetch(args: &FetchArgs) -> CommandResult {
    let service = args.service.service();
    let site = site_of(args)?;
    let base = match &args.from {
        Some(base) => base.clone(),
        None => base(service.base()).map_err(|found| Problem::error("network::address", found))?,
    };
    let first = joined(&base, &service.first_path(site))?;
    let kept = args.cache.clone().or_else(cache_folder).map(|folder| folder.join(kept_name(service, &first)));
    let max_age = Duration::from_secs(args.max_age.saturating_mul(60));
    let young = kept.as_deref().and_then(|path| kept_answer(path, max_age)).filter(|_| args.max_age > 0);
    let answer = match young {
        Some((text, age)) => Answer { text, address: first, is_fresh: false, age },
        None => ask(args, service, &base, first).map_err(|problem| told_of_kept(problem, kept.as_deref()))?,
    };
    let out = args.out.clone().unwrap_or_else(|| PathBuf::from(format!("out/forecast-{}.json", service.word())));
    let file = out.display().to_string();
    // What is wrong is told of the address: nothing is written then.
    let (hours, warnings) = service.read(answer.address.as_str(), &answer.text)?;
    write_file(&out, answer.text.as_bytes())?;
    if let Some(path) = kept.as_deref().filter(|_| answer.is_fresh) {
        // An answer that cannot be kept is no worse for it.
        if let Err(problem) = write_file(path, answer.text.as_bytes()) {
            complain(&Problem { severity: problem::Severity::Warning, ..problem }.into());
        }
    }
    complain(&warnings);
    let origin = AnswerOrigin {
        service,
        site,
        address: answer.address.as_str(),
        is_fresh: answer.is_fresh,
        age: answer.age,
        file: &file,
    };
    let document = WeatherFetchJson::new(&origin, &hours, &warnings);
    if args.json {
        say(&document.text());
        return Ok(Outcome::Done);
    }
    let (latitude, longitude) = rounded(site);
    let at = |time: Option<DateTime>| time.map_or_else(String::new, |time| time.strftime("%Y-%m-%d %H:%M").to_string());
    let span = (at(hours.hours().first().map(|hour| hour.start)), at(hours.hours().last().map(|hour| hour.start)));
    let age = if answer.is_fresh {
        "asked just now".to_owned()
    } else {
        format!("an answer kept {} ago; --max-age 0 asks anew", age_words(answer.age))
    };
    let mut out = format!("Forecast for {latitude}, {longitude}: {} hours, {} to {}\n", document.hours, span.0, span.1);
    out.push_str(&wrapped("  ", &format!("from the {}, {age}", service.name())));
    out.push_str(&wrapped("  ", &format!("terms, as far as known: {}", service.terms())));
    let _ = writeln!(out, "Written:\n  {file} (the answer as it came; a visit request may name it as its forecast)");
    say(&out);
    Ok(Outcome::Done)
}

fn ask(args: &FetchArgs, service: Service, base: &Url, first: Url) -> Result<Answer, Problems> {
    let asker = Asker::new(base, args.contact.as_deref(), Duration::from_secs(args.time_limit))?;
    let text = asker.get(&first, service.accept())?;
    let fresh = |text: String, address: Url| Answer { text, address, is_fresh: true, age: Duration::ZERO };
    match service.second_path(&text).map_err(|found| found.in_file(first.as_str()))? {
        None => Ok(fresh(text, first)),
        Some(path) => {
            let second = joined(base, &path)?;
            Ok(fresh(asker.get(&second, service.accept())?, second))
        }
    }
}

/// The place of the property.
fn site_of(args: &FetchArgs) -> Result<Site, Failure> {
    if let Some(site) = args.at {
        return Ok(site);
    }
    let named = args.property.as_deref().unwrap_or_default();
    let property = match named.strip_prefix("books:property/") {
        None => {
            let text = read_text(Path::new(named), "a map (GeoJSON)")?;
            // Its place is enough: what else should be looked at is another command's to say.
            parse_property(named, &text)?.0
        }
        Some(name) => {
            let Some(desk) = args.books.open_if_named()? else {
                return Err(Problem::error("books::not-named", "nothing says which books")
                    .expected("`--books LOCATION`")
                    .into());
            };
            desk.ask(desk.book.meant::<kept::Property>(name))?.document.mapped()?
        }
    };
    let origin = property.plane().origin();
    Ok(Site::new(origin.latitude(), origin.longitude())?)
}

fn joined(base: &Url, path: &str) -> Result<Url, Problem> {
    let text = format!("{}{path}", base.as_str().trim_end_matches('/'));
    Url::parse(&text).map_err(|error| Problem::error("network::address", format!("`{text}` is no address: {error}")))
}

/// The folder of this user for what may be thrown away.
fn cache_folder() -> Option<PathBuf> {
    let variable = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let folder = variable("XDG_CACHE_HOME")
        .or_else(|| variable("LOCALAPPDATA"))
        .or_else(|| variable("HOME").map(|home| home.join(".cache")))?;
    Some(folder.join("tussock"))
}

/// The name of a kept answer: one for each service, server and place.
fn kept_name(service: Service, address: &Url) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() || ".-".contains(c) { c } else { '_' };
    let query = address.query().unwrap_or_default();
    // Of a query the place is enough: what is asked for is always the same.
    let place = query.split('&').take(2).collect::<Vec<_>>().join("_");
    let server = format!("{}_{}", address.host_str().unwrap_or_default(), address.port_or_known_default().unwrap_or(0));
    let name = format!("{}_{server}{}_{place}", service.word(), address.path());
    format!("{}.json", name.chars().map(plain).collect::<String>())
}

/// A kept answer that is young enough, and its age. One from the future is of a clock that was wrong, and is not taken.
fn kept_answer(path: &Path, max_age: Duration) -> Option<(String, Duration)> {
    let age = age_of(path)?;
    let text = std::fs::read_to_string(path).ok()?;
    (age <= max_age).then_some((text, age))
}

fn age_of(path: &Path) -> Option<Duration> {
    SystemTime::now().duration_since(std::fs::metadata(path).ok()?.modified().ok()?).ok()
}

/// The problems, with a word on an older answer that is kept.
fn told_of_kept(mut problems: Problems, kept: Option<&Path>) -> Problems {
    if let Some(age) = kept.and_then(age_of) {
        let minutes = age.as_secs() / 60 + 1;
        problems.push(
            Problem::warning("network::kept-answer", format!("an answer is kept that is {} old", age_words(age)))
                .mend(format!("if that is young enough for what it is for, take it with --max-age {minutes}")),
        );
    }
    problems
}

fn age_words(age: Duration) -> String {
    match age.as_secs() / 60 {
        0 => "less than a minute".to_owned(),
        1 => "1 minute".to_owned(),
        minutes @ 2..120 => format!("{minutes} minutes"),
        minutes @ 120..2880 => format!("{} hours", minutes / 60),
        minutes => format!("{} days", minutes / 1440),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_and_addresses_are_read() {
        assert_eq!(place("38.84, -97.62").unwrap().longitude(), -97.62);
        for wrong in ["38.84", "-97.62,380", "here,there", ""] {
            assert!(place(wrong).is_err(), "{wrong}");
        }
        assert!(
            base("http://127.0.0.1:8080").is_ok() && base("ftp://a.example").is_err() && base("a.example").is_err()
        );
        let url = joined(&base("http://127.0.0.1:8080/sub/").unwrap(), "/points/1.00,2.00").unwrap();
        assert_eq!(url.as_str(), "http://127.0.0.1:8080/sub/points/1.00,2.00");
        assert_eq!(kept_name(Service::Nws, &url), "nws_127.0.0.1_8080_sub_points_1.00_2.00_.json");
    }

    #[test]
    fn ages_are_told_in_the_words_of_a_person() {
        let of = |minutes: u64| age_words(Duration::from_secs(minutes * 60));
        assert_eq!((of(0), of(1), of(90)), ("less than a minute".into(), "1 minute".into(), "90 minutes".into()));
        assert_eq!((of(180), of(3000)), ("3 hours".into(), "2 days".into()));
    }
}
