//! Who may speak to the bench: the browser that was given the link, on this machine.
//!
//! The link carries a word of 128 random bits that opens the door once: it is exchanged for a cookie that scripts
//! cannot read and that no other site makes a browser send. What comes under another host name (DNS rebinding), from
//! another origin, or without the cookie gets nothing. A browser gives a cookie to every port of this machine: what
//! changes anything must also name a second word, which the page keeps where pages of other ports cannot read it.
//!
//! Sources: RFC 6265bis, cookies (`HttpOnly`, `SameSite=Strict`); the Fetch standard, `Origin` and `Sec-Fetch-Site`
//! headers; from memory.

use std::sync::Mutex;

use axum::http::{HeaderMap, Method, header};

/// Header with the word of the page.
pub(crate) const WORD: &str = "x-hillweave-word";

/// Name of the cookie; the port keeps benches of one machine apart.
const COOKIE: &str = "hillweave_bench";

/// The words of one sitting.
pub(crate) struct Guard {
    port: u16,
    /// In the link, until it is used.
    link: Mutex<Option<String>>,
    /// In the cookie.
    cookie: String,
    /// In the header of what changes anything.
    word: String,
}

/// Why a request is turned away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Refusal {
    /// It names another host.
    Host,
    /// It comes from another site.
    Origin,
    /// It lacks the cookie.
    Cookie,
    /// It would change something, and lacks the word of the page.
    Word,
}

impl Guard {
    /// New words for a sitting.
    ///
    /// # Errors
    /// When the system gives no random bits.
    pub(crate) fn new(port: u16) -> Result<Self, getrandom::Error> {
        Ok(Self { port, link: Mutex::new(Some(word()?)), cookie: word()?, word: word()? })
    }

    /// The link to give to the browser; empty when it has been used.
    pub(crate) fn link(&self) -> String {
        let key = self.link.lock().ok().and_then(|link| link.clone()).unwrap_or_default();
        format!("http://127.0.0.1:{}/?key={key}", self.port)
    }

    /// The cookie for a link's word, once, and the place of the page with its own word: in the fragment, which browsers
    /// keep to themselves.
    pub(crate) fn exchange(&self, key: &str) -> Option<(String, String)> {
        let mut link = self.link.lock().ok()?;
        let is_right = link.as_deref().is_some_and(|right| same(right, key));
        is_right.then(|| {
            *link = None;
            let cookie = format!("{COOKIE}_{}={}", self.port, self.cookie);
            (
                format!("{cookie}; HttpOnly; SameSite=Strict; Path=/"),
                format!("/#word={}", self.word),
            )
        })
    }

    /// Whether a request is from this machine's own page.
    ///
    /// # Errors
    /// With what is amiss.
    pub(crate) fn admit(&self, method: &Method, headers: &HeaderMap) -> Result<(), Refusal> {
        self.admit_host(headers)?;
        let origin = text(headers, header::ORIGIN.as_str());
        let is_ours = origin.is_none_or(|origin| {
            self.hosts().iter().any(|host| origin == format!("http://{host}"))
        });
        let is_same_site = text(headers, "sec-fetch-site")
            .is_none_or(|site| site == "same-origin" || (site == "none" && method == Method::GET));
        if !(is_ours && is_same_site) {
            return Err(Refusal::Origin);
        }
        let name = format!("{COOKIE}_{}=", self.port);
        let cookies =
            headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
        let mut words =
            cookies.flat_map(|all| all.split("; ")).filter_map(|one| one.strip_prefix(&name));
        if !words.any(|word| same(word, &self.cookie)) {
            return Err(Refusal::Cookie);
        }
        let only_reads = method == Method::GET || method == Method::HEAD;
        let has_word = || text(headers, WORD).is_some_and(|word| same(word, &self.word));
        if only_reads || has_word() { Ok(()) } else { Err(Refusal::Word) }
    }

    /// Whether a request names this machine.
    ///
    /// # Errors
    /// When it names another.
    pub(crate) fn admit_host(&self, headers: &HeaderMap) -> Result<(), Refusal> {
        let host = text(headers, header::HOST.as_str());
        let is_ours = host.is_some_and(|host| self.hosts().iter().any(|ours| ours == host));
        if is_ours { Ok(()) } else { Err(Refusal::Host) }
    }

    fn hosts(&self) -> [String; 2] {
        [format!("127.0.0.1:{}", self.port), format!("localhost:{}", self.port)]
    }
}

fn text<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    headers.get(name).map(|value| value.to_str().unwrap_or("?"))
}

/// 128 random bits as hexadecimal digits.
fn word() -> Result<String, getrandom::Error> {
    let mut bits = [0_u8; 16];
    getrandom::fill(&mut bits)?;
    Ok(format!("{:032x}", u128::from_be_bytes(bits)))
}

/// Compares without telling by time how much is right.
fn same(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |all, (a, b)| all | (a ^ b)) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(told: &[(&'static str, &str)]) -> HeaderMap {
        told.iter().map(|(name, value)| (name.parse().unwrap(), value.parse().unwrap())).collect()
    }

    #[test]
    fn the_link_opens_once() {
        let guard = Guard::new(4000).unwrap();
        let key = guard.link().split_once("key=").unwrap().1.to_owned();
        assert_eq!(key.len(), 32);
        assert_eq!(guard.exchange("0123"), None);
        let (cookie, place) = guard.exchange(&key).unwrap();
        assert!(cookie.contains("HttpOnly; SameSite=Strict"));
        assert!(place.starts_with("/#word=") && !cookie.contains(&place[7..]));
        assert_eq!(guard.exchange(&key), None);
        assert_eq!(guard.exchange(""), None);
    }

    #[test]
    fn only_this_machines_own_page_is_admitted() {
        let guard = Guard::new(4000).unwrap();
        let key = guard.link().split_once("key=").unwrap().1.to_owned();
        let (cookie, place) = guard.exchange(&key).unwrap();
        let cookie = cookie.split(';').next().unwrap();
        let host = ("host", "127.0.0.1:4000");
        let word = (WORD, place.strip_prefix("/#word=").unwrap());
        let own = [host, ("cookie", cookie), ("origin", "http://127.0.0.1:4000"), word];
        assert_eq!(guard.admit(&Method::POST, &headers(&own)), Ok(()));
        let with = |extra: &[(&'static str, &str)]| {
            let mut all = headers(&own);
            all.extend(headers(extra));
            guard.admit(&Method::POST, &all)
        };
        assert_eq!(with(&[("host", "bench.example:4000")]), Err(Refusal::Host));
        assert_eq!(with(&[("host", "127.0.0.1:4001")]), Err(Refusal::Host));
        assert_eq!(with(&[("origin", "http://evil.example")]), Err(Refusal::Origin));
        assert_eq!(with(&[("origin", "null")]), Err(Refusal::Origin));
        assert_eq!(with(&[("sec-fetch-site", "cross-site")]), Err(Refusal::Origin));
        assert_eq!(with(&[("sec-fetch-site", "same-site")]), Err(Refusal::Origin));
        assert_eq!(with(&[("cookie", "hillweave_bench_4000=guess")]), Err(Refusal::Cookie));
        assert_eq!(guard.admit(&Method::GET, &headers(&[host])), Err(Refusal::Cookie));
        // A page of another port has the cookie: it may look, and change nothing.
        let other = headers(&[host, ("cookie", cookie)]);
        assert_eq!(guard.admit(&Method::GET, &other), Ok(()));
        assert_eq!(guard.admit(&Method::POST, &other), Err(Refusal::Word));
        assert_eq!(guard.admit(&Method::PUT, &other), Err(Refusal::Word));
        assert_eq!(with(&[(WORD, "guess")]), Err(Refusal::Word));
        assert_eq!(guard.admit(&Method::GET, &HeaderMap::new()), Err(Refusal::Host));
    }
}
