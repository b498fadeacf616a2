//! Pages that are open hear of what the other side does, over real connections.

use crate::common::{Visitor, World};
use crate::scene::Scene;
use axum_server::Handle;
use std::net::{SocketAddr, TcpListener};
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::timeout;
use vestibule::app::watching;
use vestibule::web::{self, Caps, Listening, Proxies};

/// Longer than anything here takes on a busy machine.
const PATIENCE: Duration = Duration::from_secs(20);

/// The installation behind a real port.
async fn served(world: &World) -> (SocketAddr, Handle<SocketAddr>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    listener.set_nonblocking(true).unwrap();
    let address = listener.local_addr().unwrap();
    let handle = Handle::new();
    let how = Listening {
        caps: Caps {
            all: 50,
            per_address: None,
        },
        proxies: Proxies::default(),
        outside: world.app.outside.clone(),
        tls: None,
    };
    tokio::spawn(web::serve(
        listener,
        world.router.clone(),
        how,
        handle.clone(),
    ));
    (address, handle)
}

/// One open page's line.
struct Line {
    stream: TcpStream,
    heard: String,
}

impl Line {
    async fn open(address: SocketAddr, who: &Visitor, path: &str) -> Line {
        let mut stream = TcpStream::connect(address).await.unwrap();
        let cookie = who.cookie.clone().unwrap_or_default();
        let head = format!(
            "GET {path} HTTP/1.1\r\nHost: vestibule.test\r\nAccept: text/event-stream\r\nCookie: {cookie}\r\n\r\n"
        );
        stream.write_all(head.as_bytes()).await.unwrap();
        Line {
            stream,
            heard: String::new(),
        }
    }

    /// Reads on until so many counters have been told, and answers with the last.
    async fn hears(&mut self, count: usize) -> i64 {
        let numbers = |heard: &str| -> Vec<i64> {
            let lines = heard.lines().filter_map(|line| line.strip_prefix("data: "));
            lines.filter_map(|mark| mark.trim().parse().ok()).collect()
        };
        while numbers(&self.heard).len() < count {
            assert!(self.read().await > 0, "the line has ended: {}", self.heard);
        }
        numbers(&self.heard)[count - 1]
    }

    async fn read(&mut self) -> usize {
        let mut some = [0; 4096];
        let read = self.stream.read(&mut some);
        let count = timeout(PATIENCE, read).await.unwrap().unwrap_or(0);
        self.heard += &String::from_utf8_lossy(&some[..count]);
        count
    }

    /// Reads until the other end has closed.
    async fn ends(&mut self) {
        while self.read().await > 0 {
            // A whole answer ends with an empty piece; the connection itself may be kept.
            if self.heard.ends_with("0\r\n\r\n") {
                return;
            }
        }
    }
}

#[tokio::test]
async fn an_open_page_hears_of_what_the_other_side_does_and_of_nothing_else() {
    let scene = Scene::signed().await;
    let (address, _handle) = served(&scene.world).await;
    let mut agenda = Line::open(address, &scene.tom, "/changes").await;
    let mut case = Line::open(
        address,
        &scene.tom,
        &format!("/changes?case={}", scene.number),
    )
    .await;
    let before = (agenda.hears(1).await, case.hears(1).await);
    assert!(agenda.heard.contains("200 OK") && agenda.heard.contains("text/event-stream"));
    assert!(
        agenda.heard.contains("content-security-policy"),
        "every answer has it"
    );
    // Something of the office's own, which the lab does not see.
    scene
        .dora
        .send("/patients/new", "/patients/new", &[])
        .await
        .is(303);
    scene.add(&scene.anna, "shade_tab", "", "here").await;
    let both = async { (agenda.hears(2).await, case.hears(2).await) };
    let after = timeout(Duration::from_secs(5), both).await.unwrap();
    assert!(
        after.0 > before.0 && after.1 > before.1,
        "{before:?} {after:?}"
    );
    // The page's own counter is the one that is told: what was missed meanwhile is noticed.
    let page = scene.tom.get("/").await;
    assert_eq!(
        page.attribute("[data-watch]", "data-mark"),
        after.0.to_string()
    );
    let page = scene.tom.get(&scene.at("")).await;
    assert_eq!(
        page.attribute("[data-watch]", "data-mark"),
        after.1.to_string()
    );
}

#[tokio::test]
async fn whoever_signs_out_hears_nothing_more_and_a_page_left_open_keeps_nobody_signed_in() {
    let scene = Scene::signed().await;
    let (address, _handle) = served(&scene.world).await;
    let mut toms = Line::open(address, &scene.tom, "/changes").await;
    let mut maras = Line::open(address, &scene.mara, "/changes").await;
    toms.hears(1).await;
    maras.hears(1).await;
    scene.tom.send("/", "/sign-out", &[]).await.is(303);
    toms.ends().await;
    let mut again = Line::open(address, &scene.tom, "/changes").await;
    again.read().await;
    assert!(!again.heard.contains("200 OK"), "{}", again.heard);
    // Mara's page asks again every few minutes, and she has gone home all the same.
    for _ in 0..4 {
        scene.world.pass_minutes(9);
        let mut line = Line::open(address, &scene.mara, "/changes").await;
        line.read().await;
    }
    maras.ends().await;
    let away = scene.mara.get("/").await.is(303).location();
    assert!(away.starts_with("/sign-in"), "{away}");
}

#[tokio::test]
async fn lines_hold_no_connection_to_the_database_are_bounded_and_end_with_the_program() {
    let scene = Scene::signed().await;
    let (address, handle) = served(&scene.world).await;
    let mut lines = Vec::new();
    for _ in 0..30 {
        let mut line = Line::open(address, &scene.tom, "/changes").await;
        line.hears(1).await;
        lines.push(line);
    }
    // The oldest of one session have given way.
    for line in &mut lines[..24] {
        line.ends().await;
    }
    // With six lines open every page is answered at once.
    for _ in 0..20 {
        scene.tom.get("/").await.is(200);
    }
    watching::end(&scene.world.app);
    handle.graceful_shutdown(Some(Duration::from_secs(10)));
    let all_end = async {
        for line in &mut lines[24..] {
            line.ends().await;
        }
    };
    timeout(Duration::from_secs(5), all_end).await.unwrap();
    assert_eq!(scene.tom.get("/changes").await.status.as_u16(), 503);
}

/// However often somebody signs in, others have their lines.
#[tokio::test]
async fn one_account_has_twenty_four_lines_over_all_its_sessions() {
    let scene = Scene::signed().await;
    let (address, _handle) = served(&scene.world).await;
    let mut doras = Line::open(address, &scene.dora, "/changes").await;
    doras.hears(1).await;
    let mut lines = Vec::new();
    for _ in 0..5 {
        let tom = scene.world.visitor("tom").await;
        for _ in 0..5 {
            let mut line = Line::open(address, &tom, "/changes").await;
            line.hears(1).await;
            lines.push(line);
        }
    }
    lines[0].ends().await;
    scene.add(&scene.anna, "shade_tab", "", "here").await;
    for line in &mut lines[1..] {
        line.hears(2).await;
    }
    doras.hears(2).await;
}

#[tokio::test]
async fn a_line_of_another_houses_case_is_not_there() {
    let scene = Scene::signed().await;
    let path = format!("/changes?case={}", scene.number);
    scene.world.person("sven").get(&path).await.is(404);
    scene.tom.get("/changes?case=nonsense").await.is(404);
    scene.world.person("root").get("/changes").await.is(403);
}
