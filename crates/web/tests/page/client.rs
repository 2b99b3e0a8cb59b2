//! A page that is served, and a client of a few lines: HTTP/1.1 over a socket, so that it can be as rude as it likes.

use std::io::{Read, Write};
use std::net::{IpAddr, Ipv4Addr, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::time::Duration;

use silkfall_web::{Options, Told, serve};

static COUNT: AtomicUsize = AtomicUsize::new(0);

/// A page, served until it is dropped; its folder goes with it.
pub struct Served {
    pub link: String,
    pub folder: PathBuf,
    stop: Option<tokio::sync::oneshot::Sender<()>>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Served {
    /// The demo in a folder of its own; nothing is refined behind.
    pub fn demo(name: &str) -> Self {
        Served::with(name, |_| {})
    }

    /// As on the club's network.
    pub fn on_network(name: &str) -> Self {
        Served::with(name, |options| options.listen = Some(IpAddr::V4(Ipv4Addr::UNSPECIFIED)))
    }

    /// The demo with another text in its project file.
    pub fn text(name: &str, text: &str) -> Self {
        Served::start(name, |folder, _| {
            std::fs::write(folder.join("silkfall.toml"), text).expect("the folder can be written");
        })
    }

    /// The demo, served as asked.
    pub fn with(name: &str, change: impl FnOnce(&mut Options)) -> Self {
        Served::start(name, |_, options| change(options))
    }

    fn start(name: &str, prepare: impl FnOnce(&Path, &mut Options)) -> Self {
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let folder = std::env::temp_dir().join(format!("silkfall-web-{name}-{}-{count}", std::process::id()));
        silkfall_folder::demo::write(&folder).expect("the demo can be written");
        let mut options =
            Options { folder: Some(folder.clone()), refine_after: None, ..Options::new("silkfall") };
        prepare(&folder, &mut options);
        let (tell, told) = mpsc::channel();
        let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
        let thread = std::thread::spawn(move || {
            let tell = move |said: Told| {
                if let Told::Link(link) = said {
                    drop(tell.send(link));
                }
            };
            let until = async { drop(stopped.await) };
            serve(options, tell, until).expect("it serves");
        });
        let link = told.recv_timeout(Duration::from_secs(60)).expect("it says its link");
        Served { link, folder, stop: Some(stop), thread: Some(thread) }
    }

    pub fn port(&self) -> u16 {
        let rest = self.link.strip_prefix("http://").expect("a link");
        rest.split('/')
            .next()
            .and_then(|host| host.rsplit(':').next())
            .expect("a port")
            .parse()
            .expect("a number")
    }

    /// A client that came by the link.
    pub fn client(&self) -> Client {
        let stranger = Client::stranger(self);
        let (_, query) = self.link.split_once("/?").expect("a link with a token");
        let answer = stranger.get(&format!("/?{query}"));
        assert_eq!(answer.status, 303, "{}", answer.body);
        let cookie = answer.header("set-cookie");
        assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
        let pair = cookie.split(';').next().unwrap_or_default().to_owned();
        Client { headers: vec![("Cookie".to_owned(), pair)], ..stranger }
    }

    pub fn read(&self, file: &str) -> String {
        std::fs::read_to_string(self.folder.join(file)).expect("the file is there")
    }

    pub fn write(&self, file: &str, text: &str) {
        std::fs::write(self.folder.join(file), text).expect("the folder can be written");
    }

    /// Long enough for a change of a file to be seen.
    pub fn settle(&self) {
        std::thread::sleep(Duration::from_millis(700));
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        drop(self.stop.take());
        if let Some(thread) = self.thread.take() {
            drop(thread.join());
        }
        drop(std::fs::remove_dir_all(&self.folder));
    }
}

/// An answer.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: String,
}

impl Answer {
    pub fn header(&self, name: &str) -> &str {
        self.headers.iter().find(|(key, _)| key.eq_ignore_ascii_case(name)).map_or("", |(_, value)| value)
    }
}

impl Answer {
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.body).expect("the answer is JSON")
    }
}

/// A client with headers of its own.
#[derive(Clone, Debug)]
pub struct Client {
    port: u16,
    pub headers: Vec<(String, String)>,
}

impl Client {
    /// Without the link.
    pub fn stranger(served: &Served) -> Self {
        Client { port: served.port(), headers: Vec::new() }
    }

    /// Of whatever else listens on this computer.
    pub fn local(port: u16) -> Self {
        Client { port, headers: Vec::new() }
    }

    /// The same with one more header, or another value of it.
    pub fn with(&self, name: &str, value: &str) -> Self {
        let mut other = self.clone();
        other.headers.retain(|(key, _)| key != name);
        other.headers.push((name.to_owned(), value.to_owned()));
        other
    }

    pub fn get(&self, path: &str) -> Answer {
        self.send(&self.head("GET", path, ""), &[]).expect("there is an answer")
    }

    pub fn post(&self, path: &str, kind: &str, body: &str) -> Answer {
        self.request("POST", path, kind, body)
    }

    pub fn request(&self, method: &str, path: &str, kind: &str, body: &str) -> Answer {
        let more = format!("Content-Type: {kind}\r\nContent-Length: {}\r\n", body.len());
        self.send(&self.head(method, path, &more), body.as_bytes()).expect("there is an answer")
    }

    /// Types a value for a key, as the page's script does.
    pub fn edit(&self, kind: &str, path: &str, key: &str, text: &str) -> Answer {
        let said = serde_json::json!({ "do": "set", "kind": kind, "path": path, "key": key, "text": text });
        self.edits("test", u64::MAX, &[said])
    }

    pub fn edits(&self, window: &str, base: u64, edits: &[serde_json::Value]) -> Answer {
        let body = serde_json::json!({ "window": window, "base": base, "shows": { "revision": 0 }, "gesture": null, "edits": edits });
        self.post("/edit", "application/json", &body.to_string())
    }

    /// A body in chunks that goes on until `bytes` are sent or nobody takes them.
    pub fn endless(&self, path: &str, bytes: usize) -> Option<Answer> {
        let more = "Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n";
        let head = self.head("POST", path, more);
        let mut chunks = Vec::new();
        for _ in 0..bytes / 4096 {
            chunks.extend_from_slice(b"1000\r\n");
            chunks.extend_from_slice(&[b'x'; 4096]);
            chunks.extend_from_slice(b"\r\n");
        }
        self.send(&head, &chunks)
    }

    /// Sends a beginning, and then a piece every so often until nobody takes it any more; how many pieces went.
    pub fn drips(&self, begin: &str, piece: &str, every: Duration, most: usize) -> usize {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port)).expect("it listens");
        stream.set_read_timeout(Some(every)).expect("a timeout can be set");
        stream.write_all(begin.as_bytes()).expect("a beginning can be sent");
        for sent in 0..most {
            let mut answer = [0; 1024];
            // Nothing comes within the time: it still waits. Anything else is an end of it.
            let waits = matches!(&stream.read(&mut answer), Err(error)
                if matches!(error.kind(), std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut));
            if !waits || stream.write_all(piece.as_bytes()).is_err() {
                return sent;
            }
        }
        most
    }

    fn head(&self, method: &str, path: &str, more: &str) -> String {
        let host = format!("127.0.0.1:{}", self.port);
        let has_host = self.headers.iter().any(|(name, _)| name == "Host");
        let own = if has_host { String::new() } else { format!("Host: {host}\r\n") };
        let headers: String =
            self.headers.iter().map(|(name, value)| format!("{name}: {value}\r\n")).collect();
        format!("{method} {path} HTTP/1.1\r\n{own}{headers}{more}Connection: close\r\n\r\n")
    }

    fn send(&self, head: &str, body: &[u8]) -> Option<Answer> {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port)).expect("it listens");
        stream.set_read_timeout(Some(Duration::from_secs(90))).expect("a timeout can be set");
        stream.write_all(head.as_bytes()).expect("a head can be sent");
        // Whoever refuses a body may hang up while it is sent.
        drop(stream.write_all(body));
        let (mut bytes, mut more) = (Vec::new(), [0; 1 << 16]);
        // Not everybody hangs up when asked to: an answer of a stated length is over when that has come.
        while !is_whole(&bytes) {
            match stream.read(&mut more) {
                Ok(count) if count > 0 => bytes.extend_from_slice(&more[..count]),
                _ => break,
            }
        }
        parse(&bytes)
    }
}

fn is_whole(bytes: &[u8]) -> bool {
    let Some(answer) = parse(bytes) else { return false };
    let Ok(length) = answer.header("content-length").parse::<usize>() else { return false };
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n").unwrap_or(bytes.len());
    bytes.len() >= end + 4 + length
}

fn parse(bytes: &[u8]) -> Option<Answer> {
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let mut lines = head.lines();
    let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
    let headers: Vec<(String, String)> = lines
        .filter_map(|line| line.split_once(':'))
        .map(|(name, value)| (name.to_owned(), value.trim().to_owned()))
        .collect();
    let chunked = headers
        .iter()
        .any(|(name, value)| name.eq_ignore_ascii_case("transfer-encoding") && value == "chunked");
    let body = if chunked { unchunked(&bytes[end + 4..]) } else { bytes[end + 4..].to_vec() };
    Some(Answer { status, headers, body: String::from_utf8_lossy(&body).into_owned() })
}

fn unchunked(mut bytes: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    while let Some(end) = bytes.windows(2).position(|two| two == b"\r\n") {
        let size =
            std::str::from_utf8(&bytes[..end]).ok().and_then(|hex| usize::from_str_radix(hex, 16).ok());
        match size {
            Some(size) if size > 0 && bytes.len() >= end + 2 + size => {
                body.extend_from_slice(&bytes[end + 2..end + 2 + size]);
                bytes = bytes.get(end + 4 + size..).unwrap_or_default();
            }
            _ => break,
        }
    }
    body
}
