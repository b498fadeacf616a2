//! A disk that runs full under a program that serves: row r10.

use super::Data;
use super::doors::{Serving, account};
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Duration;
use tokio::time::Instant;

/// Lays a small disk at the second of its words, puts the data of the third there, and serves them.
const SERVE_ON_A_SMALL_DISK: &str = "mount -t tmpfs -o size=32m tmpfs \"$1\" && cp -a \"$2\"/. \"$1\" && \
     exec \"$0\" serve --listen 127.0.0.1:0 --data \"$1\"";

/// In what such a disk can be laid: it is gone with the program that is started there. None where the system gives nobody
/// one, as within some containers.
fn room_of_its_own() -> Option<Command> {
    let open = |words: &str| {
        let mut command = Command::new("unshare");
        command.arg(words);
        command
    };
    let may_mount = |words: &&str| {
        let tried = open(words)
            .args(["sh", "-c", "mount -t tmpfs tmpfs /tmp"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status();
        tried.is_ok_and(|ended| ended.success())
    };
    ["-m", "-rm"].into_iter().find(may_mount).map(open)
}

#[test]
fn r10_on_a_full_disk_whoever_watches_is_told_and_who_enters_something_is_and_it_goes_on() {
    let Some(mut command) = room_of_its_own() else {
        eprintln!("not run: nobody may lay a small disk here");
        return;
    };
    let (data, place) = (Data::filled(), tempfile::tempdir().unwrap());
    let place = place.path().to_str().unwrap();
    command.args(["sh", "-c", SERVE_ON_A_SMALL_DISK]);
    command.args([env!("CARGO_BIN_EXE_vestibule"), place, &data.named("")]);
    command
        .env_remove("VESTIBULE_DATABASE")
        .env_remove("VESTIBULE_KEY");
    let serving = Serving::by(command);
    let password = account(&data, "ilse");
    let entered = serving.post("/sign-in", &format!("login=ilse&password={password}"));
    let cookie = entered.split("set-cookie: ").nth(1).unwrap();
    let cookie = cookie.split(';').next().unwrap();
    let watch = || serving.ask(&(serving.head("GET", "/healthz") + "\r\n"));
    assert!(watch().starts_with("HTTP/1.1 200"), "{}", watch());
    // As it is seen from here.
    let filler = format!("/proc/{}/root{place}/filler", serving.child.id());
    let filler = PathBuf::from(filler);
    let mut file = std::fs::File::create(&filler).unwrap();
    while file.write_all(&[1; 4096]).is_ok() {}
    let adds = |number: u32| {
        let body = format!("patient.age_band=70_79&post_key=a-key-of-a-post-{number}");
        serving.post_with(cookie, "/patients/new", &body)
    };
    let answer = adds(0);
    assert!(answer.starts_with("HTTP/1.1 507"), "{answer}");
    for words in ["The disk is full", "was not stored"] {
        assert!(answer.contains(words), "{words}: {answer}");
    }
    // An answer to whoever watches holds for a second.
    let until = |status: &str| {
        let began = Instant::now();
        loop {
            let answer = watch();
            if answer.starts_with(status) {
                return answer;
            }
            assert!(began.elapsed() < Duration::from_secs(20), "{answer}");
            std::thread::sleep(Duration::from_millis(200));
        }
    };
    let answer = until("HTTP/1.1 503");
    assert!(answer.contains("the disk is full"), "{answer}");
    drop(file);
    std::fs::remove_file(&filler).unwrap();
    until("HTTP/1.1 200");
    // Sent again, it is taken.
    let answer = adds(0);
    assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
}
