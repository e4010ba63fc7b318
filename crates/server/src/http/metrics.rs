//! What is counted and timed, told in the text format that Prometheus reads.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// Upper bounds of the times told, in seconds.
const BOUNDS_S: [f64; 9] = [0.001, 0.005, 0.01, 0.05, 0.1, 0.5, 1.0, 5.0, 30.0];

/// Counts of requests by method, route and status, and times by route.
#[derive(Debug, Default)]
pub struct Metrics(Mutex<Counted>);

#[derive(Debug, Default)]
struct Counted {
    requests: BTreeMap<(String, String, u16), u64>,
    times: BTreeMap<String, Times>,
}

#[derive(Debug, Default, Clone)]
struct Times {
    within: [u64; BOUNDS_S.len()],
    sum_s: f64,
    count: u64,
}

impl Metrics {
    /// Counts one answer. Routes are told as they are registered, never as they were asked for.
    pub fn count(&self, method: &str, route: &str, status: u16, took: Duration) {
        // Any word may stand in a request as its method.
        let known =
            ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"].into_iter().find(|word| *word == method);
        let key = (known.unwrap_or("other").to_owned(), route.to_owned(), status);
        let mut counted = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        *counted.requests.entry(key).or_default() += 1;
        let times = counted.times.entry(route.to_owned()).or_default();
        let seconds = took.as_secs_f64();
        for (within, bound) in times.within.iter_mut().zip(BOUNDS_S) {
            *within += u64::from(seconds <= bound);
        }
        times.sum_s += seconds;
        times.count += 1;
    }

    /// Everything counted since the start.
    pub fn text(&self) -> String {
        let counted = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let mut text =
            String::from("# HELP tussock_requests_total Requests answered.\n# TYPE tussock_requests_total counter\n");
        for ((method, route, status), count) in &counted.requests {
            let _ = writeln!(
                text,
                "tussock_requests_total{{method=\"{method}\",route=\"{route}\",status=\"{status}\"}} {count}"
            );
        }
        text.push_str(
            "# HELP tussock_request_seconds Time until an answer began.\n# TYPE tussock_request_seconds histogram\n",
        );
        for (route, times) in &counted.times {
            for (within, bound) in times.within.iter().zip(BOUNDS_S) {
                let _ = writeln!(text, "tussock_request_seconds_bucket{{route=\"{route}\",le=\"{bound}\"}} {within}");
            }
            let (sum, count) = (times.sum_s, times.count);
            let _ = writeln!(text, "tussock_request_seconds_bucket{{route=\"{route}\",le=\"+Inf\"}} {count}");
            let _ = writeln!(text, "tussock_request_seconds_sum{{route=\"{route}\"}} {sum}");
            let _ = writeln!(text, "tussock_request_seconds_count{{route=\"{route}\"}} {count}");
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_counted_is_told() {
        let metrics = Metrics::default();
        metrics.count("GET", "/api/session", 200, Duration::from_millis(3));
        metrics.count("GET", "/api/session", 200, Duration::from_millis(30));
        metrics.count("EVIL\"}", "none", 404, Duration::ZERO);
        let text = metrics.text();
        assert!(text.contains("tussock_requests_total{method=\"GET\",route=\"/api/session\",status=\"200\"} 2\n"));
        assert!(text.contains("tussock_request_seconds_bucket{route=\"/api/session\",le=\"0.005\"} 1\n"));
        assert!(text.contains("tussock_request_seconds_count{route=\"/api/session\"} 2\n"));
        assert!(!text.contains("EVIL"));
    }
}
