//! Where a request comes from: the address of whoever is connected, or, where that is a proxy which the operator has
//! named, the one that the proxy says it asks for. Nobody else is believed about it.

use super::cookies::{cookie_value, device_names, known_names};
use crate::app::sign_in::secret_hash;
use crate::app::visit::Visit;
use axum::extract::{ConnectInfo, FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::{Extensions, HeaderMap, header};
use axum::middleware::Next;
use axum::response::Response;
use std::convert::Infallible;
use std::net::{IpAddr, SocketAddr};
use std::str::FromStr;

/// The header in which a proxy says for whom it asks, the newest last.
const FORWARDED_FOR: &str = "x-forwarded-for";

/// An address, or all addresses that begin with the same bits, such as `172.18.0.0/16`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Network {
    address: u128,
    bits: u32,
}

/// An address as the number that it is, IPv4 as it stands in IPv6.
fn number(address: IpAddr) -> u128 {
    match address {
        IpAddr::V4(address) => u128::from(address.to_ipv6_mapped()),
        IpAddr::V6(address) => u128::from(address),
    }
}

impl FromStr for Network {
    type Err = String;

    fn from_str(text: &str) -> Result<Network, String> {
        let wanted = || format!("{text:?} is no address, such as 192.0.2.1 or 172.18.0.0/16");
        let (address, bits) = match text.split_once('/') {
            Some((address, bits)) => (address, Some(bits)),
            None => (text, None),
        };
        let address: IpAddr = address.parse().map_err(|_| wanted())?;
        let most = if address.is_ipv4() { 32 } else { 128 };
        let bits = bits.map_or(Ok(most), str::parse).map_err(|_| wanted())?;
        if bits == 0 || bits > most {
            return Err(wanted());
        }
        Ok(Network {
            address: number(address),
            bits: 128 - most + bits,
        })
    }
}

impl Network {
    fn holds(self, address: IpAddr) -> bool {
        let shift = 128 - self.bits;
        number(address).checked_shr(shift) == self.address.checked_shr(shift)
    }
}

/// The proxies that are believed.
#[derive(Debug, Clone, Default)]
pub struct Proxies {
    pub named: Vec<Network>,
    /// Everybody comes through a proxy that is not named: nobody's address is known.
    pub is_hidden: bool,
}

impl Proxies {
    /// Whether this address is one of a proxy.
    pub fn holds(&self, address: IpAddr) -> bool {
        self.is_hidden || self.named.iter().any(|network| network.holds(address))
    }

    /// The address of whoever asks, or of the proxy where it says nothing that can be read; none where it is not known.
    fn whence(&self, peer: IpAddr, headers: &HeaderMap) -> Option<IpAddr> {
        if self.is_hidden {
            return None;
        }
        let peer = peer.to_canonical();
        if !self.holds(peer) {
            return Some(peer);
        }
        let lines = headers.get_all(FORWARDED_FOR).iter().rev();
        // From the end: what stands before was said by somebody whom no proxy of ours has seen, and may be of any bytes.
        let parts = lines.flat_map(|line| line.as_bytes().rsplit(|byte| *byte == b','));
        let mut said = parts
            .map(<[u8]>::trim_ascii)
            .filter(|part| !part.is_empty());
        let first = said.find_map(|part| match said_address(part) {
            Some(address) if self.holds(address) => None,
            read => Some(read),
        });
        // Who hides behind what cannot be read is counted as the proxy, and not as nobody.
        let address = first.flatten().unwrap_or(peer);
        Some(address.to_canonical())
    }
}

/// An address as proxies write it: by itself or in quotes, or with the port that the visitor came from.
fn said_address(part: &[u8]) -> Option<IpAddr> {
    let text = std::str::from_utf8(part).ok()?.trim_matches('"');
    let alone = text.trim_start_matches('[').trim_end_matches(']');
    let with_port = || text.parse::<SocketAddr>().ok().map(|both| both.ip());
    alone.parse().ok().or_else(with_port)
}

/// Where a request comes from; none where it is not known.
#[derive(Debug, Clone, Copy)]
pub struct Whence(pub Option<IpAddr>);

/// Notes it with the request. In a test nobody is connected: it comes from this machine.
pub async fn note_whence(
    State(proxies): State<Proxies>,
    mut request: Request,
    next: Next,
) -> Response {
    let peer = request.extensions().get::<ConnectInfo<SocketAddr>>();
    let peer = peer.map_or(IpAddr::from([127, 0, 0, 1]), |peer| peer.0.ip());
    let whence = Whence(proxies.whence(peer, request.headers()));
    request.extensions_mut().insert(whence);
    next.run(request).await
}

/// What is known of where a request comes from.
pub fn visit(headers: &HeaderMap, extensions: &Extensions) -> Visit {
    let address = extensions.get::<Whence>().and_then(|whence| whence.0);
    let browser = headers.get(header::USER_AGENT);
    let browser = browser.and_then(|text| text.to_str().ok());
    let mut secrets = known_names().into_iter();
    let known = secrets.find_map(|name| cookie_value(headers, name));
    let known_as = known.map(|secret| secret_hash(&secret));
    let mut secrets = device_names().into_iter();
    let device = secrets.find_map(|name| cookie_value(headers, name));
    Visit {
        device: device.map(|secret| secret_hash(&secret)),
        ..Visit::new(address, browser.unwrap_or_default(), known_as)
    }
}

/// Browsers by a word in what they call themselves. Nearly all of them name the one that they resemble too, so that the
/// rarer comes first. From memory.
const BROWSERS: [(&str, &str); 9] = [
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chromium/", "Chromium"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
];

/// Machines in the same way.
const MACHINES: [(&str, &str); 8] = [
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("Macintosh", "a Mac"),
    ("CrOS", "a Chromebook"),
    ("Linux", "Linux"),
    ("X11", "Unix"),
];

/// A browser as one would tell it from one's others: "Firefox on Windows". One that is not known stands as it calls
/// itself.
pub fn browser_words(calls_itself: &str) -> String {
    match known(&BROWSERS, calls_itself).zip(known(&MACHINES, calls_itself)) {
        Some((browser, machine)) => format!("{browser} on {machine}"),
        None => calls_itself.to_owned(),
    }
}

fn known(words: &[(&str, &'static str)], text: &str) -> Option<&'static str> {
    let found = words.iter().find(|(word, _)| text.contains(*word));
    found.map(|(_, shown)| *shown)
}

/// The same for a handler.
pub struct Visiting(pub Visit);

impl<S: Send + Sync> FromRequestParts<S> for Visiting {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Visiting, Infallible> {
        Ok(Visiting(visit(&parts.headers, &parts.extensions)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    /// What browsers send, from memory.
    #[test]
    fn a_browser_is_told_by_its_name_and_its_machine() {
        let mac = "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like Gecko)";
        let pc = "Mozilla/5.0 (Windows NT 10.0; Win64; x64)";
        let chrome = "AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0";
        let phone = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15";
        for (sent, shown) in [
            (
                format!("{mac} Version/18.0 Safari/605.1.15"),
                "Safari on a Mac",
            ),
            (format!("{pc} {chrome} Safari/537.36"), "Chrome on Windows"),
            (
                format!("{pc} {chrome} Safari/537.36 Edg/140.0.0.0"),
                "Edge on Windows",
            ),
            (
                format!("{phone} CriOS/140.0 Mobile/15E148 Safari/604.1"),
                "Chrome on an iPhone",
            ),
            (
                "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0".to_owned(),
                "Firefox on Linux",
            ),
            (
                format!("Mozilla/5.0 (Linux; Android 10; K) {chrome} Mobile Safari/537.36"),
                "Chrome on Android",
            ),
            ("Sample/1.0 (a desk)".to_owned(), "Sample/1.0 (a desk)"),
        ] {
            assert_eq!(browser_words(&sent), shown, "{sent}");
        }
    }

    fn proxies(named: &[&str]) -> Proxies {
        Proxies {
            named: named.iter().map(|text| text.parse().unwrap()).collect(),
            is_hidden: false,
        }
    }

    fn whence(proxies: &Proxies, peer: &str, said: &[&str]) -> Option<String> {
        let mut headers = HeaderMap::new();
        for text in said {
            // As one byte each, whatever they are.
            let bytes: Vec<u8> = text
                .chars()
                .map(|sign| u8::try_from(sign).unwrap())
                .collect();
            headers.append(FORWARDED_FOR, HeaderValue::from_bytes(&bytes).unwrap());
        }
        let found = proxies.whence(peer.parse().unwrap(), &headers);
        found.map(|address| address.to_string())
    }

    #[test]
    fn s2_only_a_proxy_that_is_named_is_believed_about_whose_request_it_is() {
        let none = proxies(&[]);
        let lying = ["203.0.113.9"];
        assert_eq!(whence(&none, "192.0.2.1", &lying).unwrap(), "192.0.2.1");
        let named = proxies(&["192.0.2.1", "172.18.0.0/16", "2001:db8::/32"]);
        for (peer, said, found) in [
            ("192.0.2.1", &["198.51.100.7"][..], Some("198.51.100.7")),
            ("::ffff:192.0.2.1", &["198.51.100.7"], Some("198.51.100.7")),
            ("172.18.9.9", &["198.51.100.7"], Some("198.51.100.7")),
            ("2001:db8::1", &["2001:db9::7"], Some("2001:db9::7")),
            ("192.0.2.1", &["198.51.100.7:5566"], Some("198.51.100.7")),
            ("192.0.2.1", &["[2001:db9::7]:443"], Some("2001:db9::7")),
            ("192.0.2.1", &["[2001:db9::7]"], Some("2001:db9::7")),
            // Another machine of the same kind is not the proxy.
            ("192.0.2.2", &["198.51.100.7"], Some("192.0.2.2")),
            ("172.19.0.1", &["198.51.100.7"], Some("172.19.0.1")),
            // What the visitor says himself stands before what the proxy has seen.
            (
                "192.0.2.1",
                &["203.0.113.9, 198.51.100.7"],
                Some("198.51.100.7"),
            ),
            (
                "192.0.2.1",
                &["203.0.113.9", "198.51.100.7, 172.18.0.3"],
                Some("198.51.100.7"),
            ),
            ("192.0.2.1", &["\u{ff}, 198.51.100.7"], Some("198.51.100.7")),
            (
                "192.0.2.1",
                &["\u{ff}", "198.51.100.7"],
                Some("198.51.100.7"),
            ),
            ("192.0.2.1", &["\"198.51.100.7\""], Some("198.51.100.7")),
            ("192.0.2.1", &["\"[2001:db9::7]:443\""], Some("2001:db9::7")),
            ("192.0.2.1", &["198.51.100.7,", " "], Some("198.51.100.7")),
            // What cannot be read is the proxy's, and nobody has as many tries as he likes by it.
            ("192.0.2.1", &["203.0.113.9, unknown"], Some("192.0.2.1")),
            ("192.0.2.1", &["203.0.113.9, \u{ff}"], Some("192.0.2.1")),
            ("192.0.2.1", &["172.18.0.3"], Some("192.0.2.1")),
            ("192.0.2.1", &[], Some("192.0.2.1")),
        ] {
            assert_eq!(
                whence(&named, peer, said).as_deref(),
                found,
                "{peer} {said:?}"
            );
        }
    }

    #[test]
    fn s2_a_network_is_an_address_or_the_bits_that_many_begin_with() {
        for wrong in [
            "",
            "proxy",
            "192.0.2.1/33",
            "192.0.2.1/0",
            "::/129",
            "1.2.3.4/x",
        ] {
            assert!(wrong.parse::<Network>().is_err(), "{wrong}");
        }
    }
}
