//! The house's own network: its addresses, and codes that a phone reads.

use problem::Problem;
use qrcode::QrCode;
use qrcode::render::unicode;
use std::net::{IpAddr, Ipv4Addr};

/// The port of the pages, and the one where the authority's certificate is fetched.
pub(super) const PORTS: (u16, u16) = (7878, 7879);

/// The addresses of this machine in private networks (RFC 1918), by which a phone in the house reaches it.
///
/// # Errors
/// There is none.
pub(super) fn addresses() -> Result<Vec<Ipv4Addr>, Problem> {
    let all = if_addrs::get_if_addrs().map_err(|error| {
        Problem::error("serve::network", format!("the system does not tell its addresses: {error}"))
            .mend("name one with `--address`")
    })?;
    let mut found: Vec<Ipv4Addr> = all
        .iter()
        .filter_map(|interface| match interface.ip() {
            IpAddr::V4(address) if address.is_private() => Some(address),
            _ => None,
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    if found.is_empty() {
        return Err(Problem::error("serve::no-network", "this machine has no address in a private network")
            .expected("one that begins with 10., 172.16. to 172.31., or 192.168.")
            .mend("join the network of the house; or leave `--lan` out to serve this machine alone"));
    }
    Ok(found)
}

/// A code that a phone's camera reads, in half blocks of a terminal: dark on light.
pub(super) fn code(text: &str) -> Option<String> {
    let code = QrCode::new(text).ok()?;
    // A terminal is light on dark more often than not: the light modules are drawn.
    let mut drawn = code.render::<unicode::Dense1x2>();
    Some(drawn.dark_color(unicode::Dense1x2::Light).light_color(unicode::Dense1x2::Dark).build())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_a_square_with_its_quiet_zone() {
        let drawn = code("https://192.168.1.20:7878/").expect("short enough");
        let lines: Vec<&str> = drawn.lines().collect();
        let width = lines[0].chars().count();
        assert!(lines.iter().all(|line| line.chars().count() == width));
        // Two rows of modules stand in one line of text.
        assert_eq!(lines.len(), width.div_ceil(2));
        assert!(lines[0].chars().all(|block| block == '█'), "the quiet zone is light: {}", lines[0]);
    }
}
