//! Where somebody comes from: what stands beside a session, and what wrong passwords are counted of.

use std::net::{IpAddr, Ipv6Addr};

/// Signs of a browser's name for itself that are kept.
const BROWSER_MOST: usize = 160;

/// Where a request comes from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Visit {
    /// None where everybody comes through a proxy that is not named.
    pub address: Option<IpAddr>,
    /// As the browser calls itself; nobody checks it.
    pub browser: String,
    /// Hash of the secret that says that somebody has signed in in this browser before.
    pub known_as: Option<String>,
    /// Hash of the secret of a device at the bench of a lab, allowed or not.
    pub device: Option<String>,
}

impl Visit {
    /// The same, with as much of the browser's name as is kept.
    pub fn new(address: Option<IpAddr>, browser: &str, known_as: Option<String>) -> Visit {
        let shown = browser.chars().filter(|sign| !sign.is_control());
        Visit {
            address,
            browser: shown.take(BROWSER_MOST).collect(),
            known_as,
            device: None,
        }
    }

    /// Who counts as one address.
    pub fn house(&self) -> Option<IpAddr> {
        self.address.map(house_of)
    }

    /// The address as it is written down; empty where it is not known.
    pub fn address_text(&self) -> String {
        self.address.map_or_else(String::new, |one| one.to_string())
    }
}

/// Who counts as one address: an IPv6 network of 64 bits is given to one house, or one machine.
pub fn house_of(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(address) => {
            let network = u128::from(address) & !u128::from(u64::MAX);
            IpAddr::V6(Ipv6Addr::from(network))
        }
        address => address,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s2_a_network_of_ipv6_is_one_house_and_an_ipv4_address_in_ipv6_is_itself() {
        let of = |text: &str| house_of(text.parse().unwrap());
        assert_eq!(of("2001:db8:1:2::7"), of("2001:db8:1:2:ffff::1"));
        assert_ne!(of("2001:db8:1:2::7"), of("2001:db8:1:3::7"));
        assert_eq!(of("::ffff:192.0.2.1"), of("192.0.2.1"));
        assert_ne!(of("192.0.2.1"), of("192.0.2.2"));
    }

    #[test]
    fn s15_of_a_browsers_name_no_more_is_kept_than_can_be_read() {
        let long = format!("\u{1b}[31m{}", "x".repeat(500));
        let visit = Visit::new(None, &long, None);
        assert_eq!(visit.browser.chars().count(), 160);
        assert!(visit.browser.starts_with("[31mx"));
    }
}
