//! Requests by client address: a burst is fine, a flood is not.
//!
//! The counters live in the process, so that each server of several holds the bound for itself: this one
//! guards the machine, not the books. Attempts to sign in are counted in the database instead.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// More addresses than this are not counted one by one: the oldest are forgotten.
const MOST_ADDRESSES: usize = 100_000;
const MINUTE: Duration = Duration::from_mins(1);

/// Counts requests by client address.
#[derive(Debug)]
pub struct Limiter {
    per_minute: u32,
    buckets: Mutex<HashMap<IpAddr, Bucket>>,
}

/// What is left, and when that was so.
#[derive(Debug, Clone, Copy)]
struct Bucket {
    left: f64,
    at: Instant,
}

impl Limiter {
    /// So many requests a minute, all at once or spread.
    pub fn new(per_minute: u32) -> Self {
        Self { per_minute, buckets: Mutex::new(HashMap::new()) }
    }

    /// Takes one request of an address, or says how many seconds to wait.
    pub fn take(&self, address: IpAddr, now: Instant) -> Option<i64> {
        let most = f64::from(self.per_minute);
        let per_second = most / MINUTE.as_secs_f64();
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        if buckets.len() >= MOST_ADDRESSES {
            buckets.retain(|_, bucket| now.saturating_duration_since(bucket.at) < MINUTE);
        }
        let bucket = buckets.entry(network(address)).or_insert(Bucket { left: most, at: now });
        let gained = now.saturating_duration_since(bucket.at).as_secs_f64() * per_second;
        *bucket = Bucket { left: (bucket.left + gained).min(most), at: now };
        if bucket.left >= 1.0 {
            bucket.left -= 1.0;
            return None;
        }
        Some(((1.0 - bucket.left) / per_second).ceil() as i64)
    }
}

/// A household has a whole network of 64 bits in IPv6: its addresses count as one.
pub(crate) fn network(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V4(_) => address,
        IpAddr::V6(address) => {
            let [a, b, c, d, ..] = address.segments();
            IpAddr::from([a, b, c, d, 0, 0, 0, 0])
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flood_waits_and_others_do_not() {
        let limiter = Limiter::new(60);
        let now = Instant::now();
        let flood = IpAddr::from([192, 0, 2, 1]);
        assert!((0..60).all(|_| limiter.take(flood, now).is_none()));
        assert_eq!(limiter.take(flood, now), Some(1));
        assert_eq!(limiter.take(IpAddr::from([192, 0, 2, 2]), now), None);
        let later = now + Duration::from_secs(2);
        assert_eq!([(); 3].map(|()| limiter.take(flood, later)), [None, None, Some(1)]);
    }

    #[test]
    fn a_network_of_ipv6_counts_as_one() {
        let limiter = Limiter::new(1);
        let now = Instant::now();
        assert_eq!(limiter.take("2001:db8::1".parse().unwrap(), now), None);
        assert!(limiter.take("2001:db8::2".parse().unwrap(), now).is_some());
        assert_eq!(limiter.take("2001:db8:0:1::1".parse().unwrap(), now), None);
    }
}
