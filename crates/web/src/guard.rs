//! Who may ask: this computer's browser that came by the link, and no other site's page.
//!
//! Host names other than the loopback address (or, for the club's network, an address in figures) are refused, which
//! keeps out pages that make their own name point here. An Origin, where one is sent, must be the page's own. What is
//! not the link itself needs the cookie that the link was exchanged for; the cookie is HttpOnly and SameSite=Strict.

use std::net::IpAddr;
use std::sync::Mutex;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use crate::App;
use crate::page;

/// Where it listens, which decides what it may be called.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reach {
    /// This computer alone.
    Loopback,
    /// The club's network.
    Network,
}

/// What is needed to be let in.
#[derive(Debug)]
pub(crate) struct Guard {
    reach: Reach,
    port: u16,
    /// In the link; on a network it lets one browser in and is then another.
    token: Mutex<String>,
    /// In the cookie.
    pass: String,
}

/// 32 random bytes in hexadecimal.
fn random() -> Result<String, getrandom::Error> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// Equal, in a time that does not say how far.
fn same(a: &str, b: &str) -> bool {
    a.len() == b.len() && a.bytes().zip(b.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
}

impl Guard {
    /// A new one, with its own secrets.
    ///
    /// # Errors
    /// Where the system gives no random bytes.
    pub(crate) fn new(reach: Reach, port: u16) -> Result<Self, getrandom::Error> {
        Ok(Guard { reach, port, token: Mutex::new(random()?), pass: random()? })
    }

    /// The token that a link needs now.
    pub(crate) fn token(&self) -> String {
        self.token.lock().expect("nobody panics while holding it").clone()
    }

    fn cookie_name(&self) -> String {
        // Cookies do not know ports; two servers of one computer must not take each other's.
        format!("silkfall-{}", self.port)
    }

    fn is_known_host(&self, host: &str) -> bool {
        let (name, port) = host.rsplit_once(':').unwrap_or((host, "80"));
        let name = name.trim_matches(['[', ']']);
        let is_ours = match (name.parse::<IpAddr>(), self.reach) {
            (Ok(address), Reach::Loopback) => address.is_loopback(),
            (Ok(_), Reach::Network) => true,
            (Err(_), _) => name == "localhost",
        };
        is_ours && port.parse() == Ok(self.port)
    }

    fn has_pass(&self, headers: &HeaderMap) -> bool {
        let name = self.cookie_name();
        headers
            .get_all(header::COOKIE)
            .iter()
            .filter_map(|value| value.to_str().ok())
            .flat_map(|value| value.split(';'))
            .filter_map(|pair| pair.trim().split_once('='))
            .any(|(key, value)| key == name && same(value, &self.pass))
    }

    /// The cookie, where the token is the one of the link.
    fn exchanged(&self, token: &str) -> Option<String> {
        let mut wanted = self.token.lock().expect("nobody panics while holding it");
        if !same(token, &wanted) {
            return None;
        }
        if self.reach == Reach::Network {
            // Read over a shoulder or from a proxy's list, it is worth nothing any more.
            *wanted = random().ok()?;
        }
        Some(format!("{}={}; HttpOnly; SameSite=Strict; Path=/", self.cookie_name(), self.pass))
    }
}

/// What every answer says to the browser: nothing from elsewhere, nothing kept, nothing framed.
const HEADERS: [(&str, &str); 7] = [
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; connect-src 'self'; \
         form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("cache-control", "no-store"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
];

/// Lets in who may, and dresses the answer.
pub(crate) async fn guard(State(app): State<App>, request: Request, next: Next) -> Response {
    let mut response = match refused(&app, &request) {
        Some(response) => response,
        None => next.run(request).await,
    };
    for (name, value) in HEADERS {
        response.headers_mut().entry(name).or_insert(HeaderValue::from_static(value));
    }
    response
}

/// The answer to who may not, or to who just came by the link.
fn refused(app: &App, request: &Request) -> Option<Response> {
    let guard = &app.guard;
    let headers = request.headers();
    let text = |name: header::HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    let no = |status: StatusCode, says: &str| Some((status, page::refusal(says)).into_response());
    let Some(host) = text(header::HOST).filter(|host| guard.is_known_host(host)) else {
        return no(StatusCode::MISDIRECTED_REQUEST, "This page is served under another address.");
    };
    if let Some(origin) = headers.get(header::ORIGIN)
        && origin.as_bytes() != format!("http://{host}").as_bytes()
    {
        return no(StatusCode::FORBIDDEN, "Another site's page may not ask here.");
    }
    let site = headers.get("sec-fetch-site").and_then(|value| value.to_str().ok());
    let is_reading = matches!(*request.method(), Method::GET | Method::HEAD);
    if let Some(site) = site
        && !matches!(site, "same-origin" | "none")
        && !(is_reading && headers.get("sec-fetch-mode").is_some_and(|mode| mode == "navigate"))
    {
        return no(StatusCode::FORBIDDEN, "Another site's page may not ask here.");
    }
    let is_link = is_reading && request.uri().path() == "/";
    if let Some(token) = is_link.then(|| request.uri().query()?.strip_prefix("token=")).flatten() {
        if let Some(cookie) = guard.exchanged(token) {
            app.announce_next_link();
            return Some(([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response());
        }
        if !guard.has_pass(headers) {
            return no(StatusCode::FORBIDDEN, "This link has been used or is not the one of this run.");
        }
        return Some(Redirect::to("/").into_response());
    }
    if !guard.has_pass(headers) {
        return no(StatusCode::FORBIDDEN, "Open the link that the terminal prints.");
    }
    if !is_reading && !app.may_write {
        return no(StatusCode::FORBIDDEN, "On the network this page is for reading only.");
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_loopback_address_is_a_known_host() {
        let guard = Guard::new(Reach::Loopback, 4000).unwrap();
        for host in ["127.0.0.1:4000", "localhost:4000", "[::1]:4000"] {
            assert!(guard.is_known_host(host), "{host}");
        }
        for host in
            ["127.0.0.1", "127.0.0.1:4001", "evil.example:4000", "192.168.0.4:4000", "localhost.evil:4000"]
        {
            assert!(!guard.is_known_host(host), "{host}");
        }
        let network = Guard::new(Reach::Network, 4000).unwrap();
        assert!(network.is_known_host("192.168.0.4:4000") && !network.is_known_host("evil.example:4000"));
    }

    #[test]
    fn on_a_network_a_token_lets_one_browser_in() {
        let guard = Guard::new(Reach::Network, 4000).unwrap();
        let token = guard.token();
        assert!(guard.exchanged(&token).is_some() && guard.exchanged(&token).is_none());
        let guard = Guard::new(Reach::Loopback, 4000).unwrap();
        let token = guard.token();
        assert!(guard.exchanged(&token).is_some() && guard.exchanged(&token).is_some());
        assert!(guard.exchanged(&token[1..]).is_none());
    }
}
