//! A bench by its own door: the real binary, spoken to over HTTP.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use serde_json::Value;

use super::{scratch, small};

/// A bench that serves a folder until it is dropped.
pub struct Bench {
    pub child: Child,
    pub port: u16,
    pub cookie: String,
    /// The page's own word, in every request that changes something.
    pub word: String,
    temporary: tempfile::TempDir,
}

/// An answer: status, head, body.
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Bench {
    /// A bench whose link has been used.
    pub fn open(folder: &Path) -> Self {
        let (mut bench, link) = Self::begin(folder);
        let (_, key) = link.split_once("/?key=").unwrap();
        let answer = bench.raw("GET", &format!("/?key={key}"), &[], b"");
        assert_eq!(answer.status, 303, "{}", answer.head);
        let cookie =
            answer.head.lines().find_map(|line| line.strip_prefix("set-cookie: ")).unwrap();
        cookie.split(';').next().unwrap().clone_into(&mut bench.cookie);
        let place = answer.head.lines().find_map(|line| line.strip_prefix("location: /#word="));
        place.unwrap().clone_into(&mut bench.word);
        bench
    }

    /// A bench whose link has not been used, and the link.
    pub fn begin(folder: &Path) -> (Self, String) {
        let temporary = scratch();
        let mut child = Command::new(env!("CARGO_BIN_EXE_hillweave"))
            .args(["open", ".", "--quiet"])
            .current_dir(folder)
            .env("TMPDIR", temporary.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut link = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut link).unwrap();
        let (host, _) = link.split_once("/?key=").unwrap();
        let port = host.rsplit_once(':').unwrap().1.parse().unwrap();
        (
            Self { child, port, cookie: String::new(), word: String::new(), temporary },
            link.trim().to_owned(),
        )
    }

    /// The head of a request with just these headers beside its length; the host stands for itself unless it is among them.
    pub fn head(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        length: usize,
    ) -> String {
        let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "Host") {
            write!(head, "Host: 127.0.0.1:{}\r\n", self.port).unwrap();
        }
        for (name, value) in headers {
            write!(head, "{name}: {value}\r\n").unwrap();
        }
        write!(head, "Content-Length: {length}\r\n\r\n").unwrap();
        head
    }

    /// A connection on which a head of ours was sent, with a part of its body.
    pub fn begun(&self, method: &str, path: &str, length: usize, part: &[u8]) -> TcpStream {
        let [cookie, word] = self.ours();
        let head =
            self.head(method, path, &[cookie, word, ("Content-Type", "application/json")], length);
        let mut stream = self.connected(head.as_bytes());
        stream.write_all(part).unwrap();
        stream
    }

    /// A connection on which these bytes were sent.
    pub fn connected(&self, bytes: &[u8]) -> TcpStream {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.write_all(bytes).unwrap();
        stream
    }

    /// A request with just these headers, and its answer.
    pub fn raw(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
        let head = self.head(method, path, headers, body.len());
        let mut stream = self.connected(head.as_bytes());
        // The other end may have had enough before it has read all.
        let _ = stream.write_all(body);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let end = all.windows(4).position(|four| four == b"\r\n\r\n").unwrap_or(all.len());
        let head = String::from_utf8_lossy(&all[..end]).into_owned();
        let status = head.split(' ').nth(1).map_or(0, |status| status.parse().unwrap());
        Answer { status, head, body: all.get(end + 4..).unwrap_or_default().to_vec() }
    }

    /// Headers of the page of this sitting.
    pub fn ours(&self) -> [(&str, &str); 2] {
        [("Cookie", &*self.cookie), ("X-Hillweave-Word", &*self.word)]
    }

    /// Asks with the cookie, and JSON where there is a body.
    pub fn ask(&self, method: &str, path: &str, body: Option<&Value>) -> Answer {
        let body = body.map_or(Vec::new(), |body| body.to_string().into_bytes());
        let [cookie, word] = self.ours();
        self.raw(method, path, &[cookie, word, ("Content-Type", "application/json")], &body)
    }

    /// Asks with the cookie and a body of bytes.
    pub fn ask_with(&self, method: &str, path: &str, body: &[u8]) -> Answer {
        self.raw(method, path, &self.ours(), body)
    }

    /// Sends a head, and its body after a while; status and answer.
    pub fn slowly(&self, path: &str, body: &[u8], wait: std::time::Duration) -> (u16, String) {
        let mut stream = self.begun("POST", path, body.len(), b"");
        std::thread::sleep(wait);
        stream.write_all(body).unwrap();
        let mut all = Vec::new();
        stream.read_to_end(&mut all).unwrap();
        let told = String::from_utf8_lossy(&all).into_owned();
        (told.split(' ').nth(1).map_or(0, |status| status.parse().unwrap()), told)
    }

    /// Where this bench has its temporary files.
    pub fn temporary(&self) -> &Path {
        self.temporary.path()
    }

    /// Reads JSON.
    pub fn get(&self, path: &str) -> Value {
        let answer = self.ask("GET", path, None);
        assert_eq!(answer.status, 200, "{path}: {}", String::from_utf8_lossy(&answer.body));
        serde_json::from_slice(&answer.body).unwrap()
    }

    /// Sends JSON and reads what comes back.
    pub fn post(&self, path: &str, body: &Value) -> Value {
        let answer = self.ask("POST", path, Some(body));
        let told = String::from_utf8_lossy(&answer.body).into_owned();
        assert_eq!(answer.status, 200, "{path} {body}: {told}");
        serde_json::from_str(&told).unwrap()
    }

    /// Makes a change.
    pub fn change(&self, body: &Value) -> Value {
        self.post("/api/change", body)
    }

    /// Why a change is refused.
    pub fn refused(&self, body: &Value) -> String {
        let answer = self.ask("POST", "/api/change", Some(body));
        assert_eq!(answer.status, 422, "{body}");
        String::from_utf8(answer.body).unwrap()
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A small property with comments in its files.
pub fn property() -> tempfile::TempDir {
    let folder = scratch();
    small::write(folder.path());
    small::replace(
        folder.path(),
        "site.toml",
        "min_area_ha = 0.1\n",
        "min_area_ha = 0.1 # as small as the crew can find\n",
    );
    folder
}

/// Files of a folder by name.
pub fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries
        .filter(|path| path.is_file())
        .map(|path| {
            (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(&path).unwrap())
        })
        .collect()
}
