//! Under which names the shop is reached. A request for another name is no tablet's: a page on the network that makes its own name
//! point here would read the answer as its own, and write links that lead to it.

use axum::http::HeaderMap;
use axum::http::header::HOST;
use std::net::{IpAddr, Ipv6Addr};

/// The host of a request that was checked, with its port: what links are written from.
#[derive(Clone, Debug)]
pub struct CheckedHost(pub String);

/// The names that the shop answers to besides addresses and this machine alone.
#[derive(Clone, Debug, Default)]
pub struct Names {
    /// In lower case; the first one is that of links, where it was given.
    all: Vec<String>,
    given: bool,
}

impl Names {
    /// Names that were given, and the machine's own.
    pub fn new(given: &[String], machine: Option<String>) -> Self {
        let mut all: Vec<String> = given.iter().map(|n| n.trim().trim_end_matches('.').to_lowercase()).collect();
        if let Some(name) = machine {
            all.extend([name.clone(), format!("{name}.local")]);
        }
        Self { all, given: !given.is_empty() }
    }

    /// All of them, those that were given first.
    pub fn all(&self) -> &[String] {
        &self.all
    }

    /// Whether a request's host is one of ours: an address, this machine, or a name of it.
    pub fn takes(&self, host: &str) -> bool {
        let name = host_name(host).trim_end_matches('.').to_lowercase();
        let literal = name.strip_prefix('[').and_then(|n| n.strip_suffix(']'));
        name == "localhost"
            || name.parse::<IpAddr>().is_ok_and(|ip| ip.is_ipv4())
            || literal.is_some_and(|n| n.parse::<Ipv6Addr>().is_ok())
            || self.all.contains(&name)
    }

    /// The host of links: the name that was given, with the port of the request; else the request's.
    pub fn of_links(&self, host: &str) -> String {
        match self.all.first().filter(|_| self.given) {
            Some(name) => format!("{name}{}", &host[host_name(host).len()..]),
            None => host.to_owned(),
        }
    }
}

/// A host without its port.
pub fn host_name(host: &str) -> &str {
    let end = host.rfind(':').filter(|at| host[*at + 1..].bytes().all(|b| b.is_ascii_digit()) && !host.ends_with(']'));
    end.map_or(host, |at| &host[..at])
}

/// The host that a request asks for; none where it names none, or several.
pub(crate) fn asked(headers: &HeaderMap) -> Result<Option<&str>, ()> {
    let mut all = headers.get_all(HOST).iter();
    match (all.next(), all.next()) {
        (None, _) => Ok(None),
        (Some(one), None) => one.to_str().map(Some).map_err(|_| ()),
        _ => Err(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_this_machine_and_its_names_are_ours_and_nothing_else() {
        let names = Names::new(&["Shop.example".to_owned()], Some("bench".to_owned()));
        for ours in [
            "192.168.7.2:8460",
            "127.0.0.1",
            "[::1]:8460",
            "[fe80::1]",
            "localhost:8460",
            "LOCALHOST",
            "bench",
            "bench.local:8460",
            "shop.example.",
        ] {
            assert!(names.takes(ours), "{ours}");
        }
        for other in [
            "",
            "evil.example",
            "evil.example:8460",
            "bench.evil.example",
            "192.168.7.2.evil.example",
            "localhost.evil",
            "::1",
            "[::1].evil",
            "x@bench",
            "bench/evil",
        ] {
            assert!(!names.takes(other), "{other}");
        }
        assert_eq!(names.of_links("192.168.7.2:8460"), "shop.example:8460");
        assert_eq!(Names::new(&[], Some("bench".to_owned())).of_links("bench:8460"), "bench:8460");
    }
}
