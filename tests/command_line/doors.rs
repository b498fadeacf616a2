//! The doors of a running program: who may be connected, what it says and writes, and which certificate it shows.

use super::{Data, program};
use std::io::{BufRead, BufReader, ErrorKind, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::time::Instant;

/// A program that serves; it ends with the test.
pub struct Serving {
    pub child: Child,
    /// Host and port.
    pub at: String,
    log: Arc<Mutex<String>>,
}

impl Drop for Serving {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

impl Serving {
    fn start(data: &Data, words: &[&str], environment: &[(&str, &str)]) -> Serving {
        let folder = data.named("");
        let own = ["serve", "--listen", "127.0.0.1:0", "--data", &folder];
        let mut command = program(&[&own[..], words].concat());
        command.envs(environment.iter().copied());
        Serving::by(command)
    }

    /// The program that this command starts.
    pub fn by(mut command: Command) -> Serving {
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let (log, errors) = (Arc::new(Mutex::new(String::new())), child.stderr.take());
        let into = log.clone();
        std::thread::spawn(move || {
            for line in BufReader::new(errors.unwrap())
                .lines()
                .map_while(Result::ok)
            {
                into.lock().unwrap().push_str(&format!("{line}\n"));
            }
        });
        let mut said = String::new();
        let out = child.stdout.take().unwrap();
        BufReader::new(out).read_line(&mut said).unwrap();
        let at = said
            .trim()
            .rsplit('/')
            .next()
            .unwrap_or_default()
            .to_owned();
        assert!(
            said.contains("answers at"),
            "{said} {}",
            log.lock().unwrap()
        );
        Serving { child, at, log }
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.at).unwrap();
        let wait = Some(Duration::from_secs(10));
        stream.set_read_timeout(wait).unwrap();
        stream
    }

    /// Status and whole answer of a request on a connection of its own.
    pub fn ask(&self, request: &str) -> String {
        let mut stream = self.connect();
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        String::from_utf8_lossy(&answer).into_owned()
    }

    pub fn head(&self, method: &str, path: &str) -> String {
        let at = &self.at;
        format!(
            "{method} {path} HTTP/1.1\r\nHost: {at}\r\nOrigin: http://{at}\r\nConnection: close\r\n"
        )
    }

    pub fn post(&self, path: &str, body: &str) -> String {
        self.post_with("", path, body)
    }

    /// The same of whoever has this cookie.
    pub fn post_with(&self, cookie: &str, path: &str, body: &str) -> String {
        let kind = "Content-Type: application/x-www-form-urlencoded";
        let (head, length) = (self.head("POST", path), body.len());
        self.ask(&format!(
            "{head}{kind}\r\nCookie: {cookie}\r\nContent-Length: {length}\r\n\r\n{body}"
        ))
    }

    /// Waits until the log says this.
    #[track_caller]
    fn logs(&self, words: &str) -> String {
        let began = Instant::now();
        loop {
            let log = self.log.lock().unwrap().clone();
            if log.contains(words) {
                return log;
            }
            assert!(
                began.elapsed() < Duration::from_secs(10),
                "“{words}”: {log}"
            );
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

/// Name and password of somebody of the demo.
pub fn account(data: &Data, login: &str) -> String {
    let lines = data.demo_output.lines().map(str::split_whitespace);
    let mut found =
        lines.filter_map(|mut words| (words.next() == Some(login)).then(|| words.next()));
    found.next().flatten().unwrap().to_owned()
}

#[test]
fn a_way_back_is_made_at_the_machine_by_name_and_with_a_reason() {
    let data = Data::filled();
    let login = data.administrator().0;
    let words = [
        "way-back",
        "--login",
        &login,
        "--reason",
        "the note was lost",
    ];
    let before = data.sqlite();
    data.run(&words).well("say --yes");
    assert_eq!(data.sqlite(), before, "nobody has written to it");
    let stranger = ["way-back", "--login", "nobody", "--reason", "lost", "--yes"];
    for words in [&stranger[..5], &stranger[..]] {
        data.run(words).badly("No administrator who may sign in");
    }
    data.run(&[&words[..], &["--yes"]].concat())
        .well("http://127.0.0.1:8080/join/");
    data.run(&["check"]).well("Everything fits");
}

#[test]
fn s2_a_thousand_who_ask_for_nothing_keep_nobody_outside() {
    let data = Data::filled();
    let words = ["--connections", "60", "--connections-per-address", "50"];
    let serving = Serving::start(&data, &words, &[]);
    let entered = serving.post(
        "/sign-in",
        &format!("login=ilse&password={}", account(&data, "ilse")),
    );
    assert!(entered.starts_with("HTTP/1.1 303"), "{entered}");
    let cookie = entered.split("set-cookie: ").nth(1).unwrap();
    let cookie = cookie.split(';').next().unwrap().to_owned();
    // Somebody at work, on a connection that stays.
    let mut at_work = serving.connect();
    let asks = format!(
        "GET /account HTTP/1.1\r\nHost: {}\r\nCookie: {cookie}\r\n\r\n",
        serving.at
    );
    let read = |stream: &mut TcpStream| {
        let mut some = [0; 16];
        stream.write_all(asks.as_bytes()).unwrap();
        stream.read_exact(&mut some).unwrap();
        assert!(some.starts_with(b"HTTP/1.1 200"), "{some:?}");
        // The rest of the page.
        std::thread::sleep(Duration::from_millis(30));
        stream.set_nonblocking(true).unwrap();
        let mut rest = Vec::new();
        stream.read_to_end(&mut rest).ok();
        stream.set_nonblocking(false).unwrap();
    };
    read(&mut at_work);
    let slow: Vec<TcpStream> = (0..400)
        .map(|_| {
            let mut stream = serving.connect();
            stream.write_all(b"GET / HTTP/1.1\r\nX-Slow: ").unwrap();
            stream
        })
        .collect();
    // Those whose place was given away are gone.
    let files = format!("/proc/{}/fd", serving.child.id());
    let open = || std::fs::read_dir(&files).unwrap().count();
    let began = Instant::now();
    while open() > 60 + 60 {
        assert!(
            began.elapsed() < Duration::from_secs(5),
            "{} open files",
            open()
        );
        std::thread::sleep(Duration::from_millis(20));
    }
    read(&mut at_work);
    // And somebody who is new.
    read(&mut serving.connect());
    drop(slow);
}

#[test]
fn s2_what_the_system_allows_is_said_where_it_is_too_little() {
    let data = Data::filled();
    let folder = data.named("");
    let script = "ulimit -n 300; exec \"$0\" serve --listen 127.0.0.1:0 --data \"$1\"";
    let mut child = Command::new("sh")
        .args(["-c", script, env!("CARGO_BIN_EXE_vestibule"), &folder])
        .env_remove("VESTIBULE_DATABASE")
        .env_remove("VESTIBULE_KEY")
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stderr.take().unwrap()).lines();
    let said = lines
        .map_while(Result::ok)
        .find(|line| line.contains("At most 140 connections at once, and not 2000"));
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(said.is_some_and(|line| line.contains("ulimit -n")));
}

#[test]
fn r27_a_row_that_names_nothing_keeps_no_program_from_starting() {
    let data = Data::filled();
    data.change(
        "PRAGMA foreign_keys = OFF; INSERT INTO picture_going VALUES ('nonsense', 'x'); \
         INSERT INTO picture_coming VALUES ('nonsense', 'x')",
    );
    let serving = Serving::start(&data, &[], &[]);
    serving.logs("of a picture or scan cannot be told");
    let answer = serving.ask(&(serving.head("GET", "/sign-in") + "\r\n"));
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
}

#[test]
fn s7_nothing_secret_gets_into_the_image() {
    let ignored = std::fs::read_to_string(".dockerignore").unwrap();
    let ignored: Vec<&str> = ignored.lines().collect();
    let compose = std::fs::read_to_string("docker-compose.yml").unwrap();
    let named = compose
        .split_whitespace()
        .filter(|word| word.starts_with(".secrets"));
    assert!(named.count() > 3);
    for secret in [
        ".secrets",
        ".env",
        ".git",
        "data",
        "**/*.key",
        "**/record.ended",
        "**/*.pem",
        "**/*.sqlite*",
    ] {
        assert!(ignored.contains(&secret), "{secret}");
    }
}

#[test]
fn s9_who_came_in_and_who_was_turned_away_is_written_whatever_the_filter() {
    let data = Data::filled();
    for filter in ["off", "error", ""] {
        let serving = Serving::start(&data, &[], &[("RUST_LOG", filter)]);
        let password = account(&data, "ilse");
        serving.post("/sign-in", "login=my-own-password&password=x");
        serving.post("/sign-in", "login=ilse&password=wrong");
        let entered = serving.post("/sign-in", &format!("login=ilse&password={password}"));
        let cookie = entered.split("set-cookie: ").nth(1).unwrap();
        let cookie = cookie.split(';').next().unwrap();
        let get = |path: &str| {
            let head = serving.head("GET", path);
            serving.ask(&format!("{head}Cookie: {cookie}\r\n\r\n"))
        };
        get("/people");
        get("/cases/C00000000");
        let foreign = format!(
            "POST /sign-in HTTP/1.1\r\nHost: {}\r\nOrigin: http://evil.example\r\nConnection: close\r\nContent-Length: 0\r\n\r\n",
            serving.at
        );
        serving.ask(&foreign);
        serving.ask("GET / HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n");
        let head = serving.head("POST", "/sign-out");
        serving.ask(&format!(
            "{head}Cookie: {cookie}\r\nContent-Length: 0\r\n\r\n"
        ));
        let log = serving.logs("signed out");
        for words in [
            "wrong password",
            "signed in",
            "asked for what is not for the role",
            "asked for what is not there, or not theirs",
            "sent from another site",
            "asked under another name",
        ] {
            let line = log.lines().find(|line| line.contains(words));
            let line = line.unwrap_or_else(|| panic!("{filter}: {words}: {log}"));
            assert!(line.contains("vestibule::security"), "{line}");
            assert!(line.contains("127.0.0.1"), "{line}");
        }
        assert!(log.contains("login=\"ilse\""), "{log}");
        assert!(
            !log.contains("my-own-password") && !log.contains(&password),
            "{log}"
        );
    }
}

#[test]
fn s11_far_too_much_is_answered_by_the_page_that_says_so() {
    let data = Data::filled();
    let serving = Serving::start(&data, &[], &[]);
    for megabytes in [3, 12, 40] {
        let body = format!("login={}", "x".repeat(megabytes * 1024 * 1024));
        let answer = serving.post("/sign-in", &body);
        assert!(answer.starts_with("HTTP/1.1 413"), "{megabytes}: {answer}");
        assert!(answer.contains("more than a form can hold"), "{answer}");
    }
    // The same where nobody looks at the body at all.
    let answer = serving.post("/nowhere", &"x".repeat(12 * 1024 * 1024));
    assert!(answer.starts_with("HTTP/1.1 404"), "{answer}");
}

/// A certificate for 127.0.0.1 that says this name, in two files.
fn certificate(folder: &Path, name: &str) {
    let file = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let done = Command::new("openssl")
        .args([
            "req",
            "-x509",
            "-newkey",
            "ec",
            "-pkeyopt",
            "ec_paramgen_curve:prime256v1",
        ])
        .args(["-nodes", "-days", "2", "-subj", &format!("/CN={name}")])
        .args(["-keyout", &file("new.key"), "-out", &file("new.pem")])
        .output()
        .unwrap();
    assert!(done.status.success(), "{done:?}");
    std::fs::rename(folder.join("new.key"), folder.join("tls.key")).unwrap();
    std::fs::rename(folder.join("new.pem"), folder.join("tls.pem")).unwrap();
}

/// Whom the certificate names that is shown at this address.
fn shown(at: &str) -> String {
    let done = Command::new("openssl")
        .args(["s_client", "-connect", at])
        .stdin(Stdio::null())
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&done.stdout).into_owned();
    let line = text.lines().find(|line| line.starts_with("subject="));
    line.unwrap_or_default().to_owned()
}

#[test]
fn s12_a_changed_certificate_is_shown_and_a_broken_one_is_not() {
    let data = Data::filled();
    let folder = data.folder.path();
    certificate(folder, "first");
    let (cert, key) = (data.named("tls.pem"), data.named("tls.key"));
    let serving = Serving::start(&data, &["--tls-cert", &cert, "--tls-key", &key], &[]);
    assert!(
        shown(&serving.at).contains("first"),
        "{}",
        shown(&serving.at)
    );
    std::fs::write(&cert, "rubbish").unwrap();
    serving.logs("the changed TLS certificate or key cannot be used");
    assert!(shown(&serving.at).contains("first"));
    certificate(folder, "second");
    serving.logs("the TLS certificate has changed and is in use");
    assert!(shown(&serving.at).contains("second"));
}

#[test]
fn s14_what_an_operator_may_not_know_is_said_at_the_start() {
    let data = Data::filled();
    let serving = Serving::start(&data, &["--behind-tls-proxy"], &[]);
    let log = serving.logs("No proxy is named");
    // As root it is said, as anybody else it is not.
    let id = Command::new("id").arg("-u").output().unwrap().stdout;
    assert_eq!(log.contains("This runs as root"), id.starts_with(b"0\n"));
    let serving = Serving::start(
        &data,
        &["--behind-tls-proxy", "--proxy", "127.0.0.0/8"],
        &[],
    );
    serving.ask("GET / HTTP/1.1\r\nHost: evil.example\r\nX-Forwarded-For: 203.0.113.9\r\nConnection: close\r\n\r\n");
    let log = serving.logs("203.0.113.9");
    assert!(!log.contains("No proxy is named"));
}

#[test]
fn s14_the_compose_file_names_everything_that_it_needs_and_no_page_of_ours_shows_a_password() {
    let compose = std::fs::read_to_string("docker-compose.yml").unwrap();
    let (head, services) = compose.split_once("services:").unwrap();
    for wanted in services.split("${").skip(1) {
        let name = wanted.split([':', '}']).next().unwrap();
        assert!(head.contains(name), "{name} is not explained");
    }
    let readme = std::fs::read_to_string("README.md").unwrap();
    let on_a_line =
        |word: &str| vestibule::cli::names_a_password(word.trim_matches(['`', '(', ')']));
    let given = readme.split("--database").skip(1);
    for rest in given {
        let word = rest.split_whitespace().next().unwrap_or_default();
        assert!(!on_a_line(word), "{word}");
    }
}

/// A frame of HTTP/2: RFC 9113, section 4.1.
fn frame(kind: u8, flags: u8, stream: u32, body: &[u8]) -> Vec<u8> {
    let length = u32::try_from(body.len()).unwrap().to_be_bytes();
    let head = [&length[1..], &[kind, flags], &stream.to_be_bytes()[..]].concat();
    [&head[..], body].concat()
}

/// The head of a request for the style sheet: RFC 7541, appendix A and section 6.2.2.
fn asks_for_style(at: &str) -> Vec<u8> {
    let text = |text: &str| {
        let mut all = vec![u8::try_from(text.len()).unwrap()];
        all.extend(text.bytes());
        all
    };
    let (get, http) = (vec![0x82], vec![0x86]);
    let path = [vec![0x04], text("/static/vestibule.css")].concat();
    let authority = [vec![0x01], text(at)].concat();
    let takes = [vec![0x00], text("accept-encoding"), text("gzip")].concat();
    [get, http, path, authority, takes].concat()
}

/// A connection of HTTP/2 that opens no window, with so many requests open.
fn without_window(serving: &Serving, requests: u32) -> TcpStream {
    let mut stream = serving.connect();
    let mut bytes = b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n".to_vec();
    // SETTINGS_INITIAL_WINDOW_SIZE, 0.
    bytes.extend(frame(4, 0, 0, &[0, 4, 0, 0, 0, 0]));
    let head = asks_for_style(&serving.at);
    for place in 0..requests {
        // END_STREAM and END_HEADERS.
        bytes.extend(frame(1, 5, 1 + 2 * place, &head));
    }
    stream.write_all(&bytes).unwrap();
    stream
}

/// The frames that come until nothing comes for this long, and whether the connection has ended: kind, stream, body.
fn frames(stream: &mut TcpStream, wait: Duration) -> (Vec<(u8, u32, Vec<u8>)>, bool) {
    stream.set_read_timeout(Some(wait)).unwrap();
    let mut found = Vec::new();
    let mut head = [0; 9];
    loop {
        if let Err(why) = stream.read_exact(&mut head) {
            let waits = [ErrorKind::WouldBlock, ErrorKind::TimedOut];
            return (found, !waits.contains(&why.kind()));
        }
        let length = u32::from_be_bytes([0, head[0], head[1], head[2]]);
        let mut body = vec![0; length as usize];
        stream.read_exact(&mut body).unwrap();
        let number = u32::from_be_bytes([head[5], head[6], head[7], head[8]]);
        found.push((head[3], number, body));
    }
}

fn resident_kb(serving: &Serving) -> u64 {
    let status = format!("/proc/{}/status", serving.child.id());
    let status = std::fs::read_to_string(status).unwrap();
    let line = status.lines().find(|line| line.starts_with("VmRSS:"));
    let words = line.unwrap().split_whitespace().nth(1);
    words.unwrap().parse().unwrap()
}

#[test]
fn s2_answers_that_nobody_reads_hold_little_and_not_for_long_whatever_pings_say() {
    let data = Data::filled();
    let serving = Serving::start(&data, &[], &[]);
    frames(&mut without_window(&serving, 1), Duration::from_secs(1));
    let (before, began) = (resident_kb(&serving), Instant::now());
    let mut many: Vec<TcpStream> = (0..5).map(|_| without_window(&serving, 100)).collect();
    let (first, _) = frames(&mut many[0], Duration::from_secs(1));
    // SETTINGS_MAX_CONCURRENT_STREAMS; the others get RST_STREAM with REFUSED_STREAM.
    let settings = first.iter().find(|(kind, ..)| *kind == 4).unwrap();
    let said = settings.2.chunks(6).find(|one| one[..2] == [0, 3]).unwrap();
    assert_eq!(said[2..], [0, 0, 0, 32]);
    let refused = |(kind, _, body): &&(u8, u32, Vec<u8>)| *kind == 3 && body[..] == [0, 0, 0, 7];
    assert_eq!(first.iter().filter(refused).count(), 100 - 32);
    let grown = resident_kb(&serving).saturating_sub(before);
    assert!(grown < 30_000, "{grown} KB for 160 answers");
    let ping = frame(6, 0, 0, b"8 bytes.");
    while !many.is_empty() && began.elapsed() < Duration::from_secs(40) {
        many.retain_mut(|stream| {
            stream.write_all(&ping).is_ok() && !frames(stream, Duration::from_millis(100)).1
        });
    }
    assert!(many.is_empty(), "{} are still connected", many.len());
    assert!(began.elapsed() > Duration::from_secs(15));
    let answer = serving.ask(&(serving.head("GET", "/sign-in") + "\r\n"));
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
}

#[test]
fn s2_what_goes_packed_goes_whole() {
    let data = Data::filled();
    let serving = Serving::start(&data, &[], &[]);
    for path in ["/static/vestibule.css", "/sign-in"] {
        let ask = |takes: &str| serving.ask(&(serving.head("GET", path) + takes + "\r\n"));
        let length = |answer: &str| {
            let (head, _) = answer.split_once("\r\n\r\n").unwrap();
            let said = head.split("content-length: ").nth(1);
            let said = said.unwrap_or_else(|| panic!("no length is said: {head}"));
            said.lines().next().unwrap().parse::<usize>().unwrap()
        };
        let (plain, packed) = (ask(""), ask("Accept-Encoding: gzip\r\n"));
        assert!(packed.contains("content-encoding: gzip"), "{packed}");
        assert!(!plain.contains("content-encoding"), "{plain}");
        for answer in [&plain, &packed] {
            assert!(answer.contains("vary: accept-encoding"), "{answer}");
        }
        assert!(length(&packed) < length(&plain));
    }
}
