//! What the log says for good of who came in, who was turned away, and who changed who may come in: each word of it.

use crate::bench_code::{allowed, at_a_tablet, comes_in, types_code};
use crate::common::{PASSWORD, Visitor, World};
use crate::feed::makes;
use crate::record::{checkpoint, describe, opened};
use crate::scene::Scene;
use axum::body::Body;
use axum::http::Request;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Debug;
use std::sync::{Arc, Mutex};
use tracing::field::{Field, Visit};
use tracing::subscriber::DefaultGuard;
use tracing::{Event, Subscriber};
use tracing_subscriber::Layer;
use tracing_subscriber::layer::{Context, SubscriberExt};
use vestibule::app::let_in;
use vestibule::app::security::{Happened, SECURITY};
use vestibule::record::key::Signer;

/// A line of the log, value by name; its words are named `message`.
#[derive(Default)]
struct Line(BTreeMap<&'static str, String>);

impl Visit for Line {
    fn record_str(&mut self, field: &Field, value: &str) {
        self.0.insert(field.name(), value.to_owned());
    }

    fn record_debug(&mut self, field: &Field, value: &dyn Debug) {
        self.0.insert(field.name(), format!("{value:?}"));
    }
}

struct Ear(Arc<Mutex<Vec<Line>>>);

impl<S: Subscriber> Layer<S> for Ear {
    fn on_event(&self, event: &Event<'_>, _: Context<'_, S>) {
        if event.metadata().target() == SECURITY {
            let mut line = Line::default();
            event.record(&mut line);
            self.0.lock().unwrap().push(line);
        }
    }
}

/// Hears what is written to the log on this thread, which is the only one of a story.
pub struct Heard {
    lines: Arc<Mutex<Vec<Line>>>,
    _until_dropped: DefaultGuard,
}

impl Heard {
    pub fn from_now() -> Heard {
        let lines = Arc::new(Mutex::new(Vec::new()));
        let ear = tracing_subscriber::registry().with(Ear(lines.clone()));
        Heard {
            lines,
            _until_dropped: tracing::subscriber::set_default(ear),
        }
    }

    /// Since it was asked last: what happened, by whom, from where.
    pub fn since(&self) -> Vec<(String, String, String)> {
        let lines = std::mem::take(&mut *self.lines.lock().unwrap());
        let value = |line: &Line, name: &str| line.0.get(name).cloned().unwrap_or_default();
        let read = |line: Line| {
            (
                value(&line, "message"),
                value(&line, "login"),
                value(&line, "address"),
            )
        };
        lines.into_iter().map(read).collect()
    }

    /// Asserts that exactly this was said since, in this order, with the address that all of a story ask from.
    #[track_caller]
    fn said(&self, lines: &[(Happened, &str)]) {
        let wanted = |(what, login): &(Happened, &str)| {
            let address = "127.0.0.1".to_owned();
            (what.shown().to_owned(), (*login).to_owned(), address)
        };
        let wanted: Vec<_> = lines.iter().map(wanted).collect();
        assert_eq!(self.since(), wanted);
    }
}

async fn signs_in(world: &World, login: &str, password: &str) -> u16 {
    let fields = [("login", login), ("password", password)];
    let answer = world.nobody().post("/sign-in", &fields).await;
    answer.status.as_u16()
}

/// The words that the stories below hear; that none is left out, the first of them holds.
const AT_THE_DOOR: [Happened; 10] = [
    Happened::SignedIn,
    Happened::WrongPassword,
    Happened::ShutName,
    Happened::SignedOut,
    Happened::SignedOutEverywhere,
    Happened::SessionEnded,
    Happened::RefusedByRole,
    Happened::RefusedObject,
    Happened::RefusedOrigin,
    Happened::RefusedHost,
];
const LET_IN: [Happened; 7] = [
    Happened::Invited,
    Happened::LinkRevoked,
    Happened::NewPasswordLink,
    Happened::Joined,
    Happened::PasswordChanged,
    Happened::ShutOut,
    Happened::LetInAgain,
];
const AT_THE_BENCH: [Happened; 7] = [
    Happened::CodeSet,
    Happened::CodeDropped,
    Happened::DeviceAllowed,
    Happened::DeviceTakenBack,
    Happened::CameByCode,
    Happened::WrongCode,
    Happened::RefusedByCode,
];
const BY_ADDRESS_AND_NOTE: [Happened; 4] = [
    Happened::FeedMade,
    Happened::FeedEnded,
    Happened::WrongFeed,
    Happened::ForeignNote,
];

#[test]
fn s9_no_word_of_the_log_is_heard_in_no_story() {
    let heard = [
        &AT_THE_DOOR[..],
        &LET_IN,
        &AT_THE_BENCH,
        &BY_ADDRESS_AND_NOTE,
    ]
    .concat();
    let words = |all: &[Happened]| all.iter().map(|one| one.shown()).collect::<BTreeSet<_>>();
    assert_eq!(words(&heard), words(Happened::ALL));
}

#[tokio::test]
async fn s9_who_comes_in_and_goes_is_heard() {
    let [signed_in, wrong, shut, out, everywhere, ended, ..] = AT_THE_DOOR;
    let world = World::peopled().await;
    let heard = Heard::from_now();
    for _ in 0..5 {
        assert_eq!(signs_in(&world, "sven", "wrong").await, 422);
        heard.said(&[(wrong, "sven")]);
    }
    assert_eq!(signs_in(&world, "sven", PASSWORD).await, 429);
    heard.said(&[(shut, "sven")]);
    // What nobody is called is written nowhere.
    assert_eq!(signs_in(&world, "my-own-password", "wrong").await, 422);
    heard.said(&[(wrong, "")]);
    let here = world.visitor("dora").await;
    heard.said(&[(signed_in, "dora")]);
    // The one in which she has joined.
    let end = "/account/sessions/end";
    here.send_where("/account", end, "", &[]).await.is(303);
    heard.said(&[(ended, "dora")]);
    // The same door again, by whoever is in.
    let fields = |password| [("password", password), ("new_bench_code", "4071")];
    let tom = world.person("tom");
    for _ in 0..5 {
        let answer = tom.post("/account/code", &fields("wrong")).await;
        answer.is(422);
        heard.said(&[(wrong, "tom")]);
    }
    let answer = tom.post("/account/code", &fields(PASSWORD)).await;
    answer.is(429);
    heard.said(&[(shut, "tom")]);
    tom.post("/sign-out", &[]).await.is(303);
    heard.said(&[(out, "tom")]);
    here.post("/sign-out-everywhere", &[]).await.is(303);
    heard.said(&[(everywhere, "dora")]);
}

#[tokio::test]
async fn s9_who_is_turned_away_is_heard() {
    let [.., role, object, origin, host] = AT_THE_DOOR;
    let scene = Scene::opened().await;
    let heard = Heard::from_now();
    scene.tom.get("/people").await.is(403);
    heard.said(&[(role, "tom")]);
    scene.tom.post("/people/invite", &[]).await.is(403);
    heard.said(&[(role, "tom")]);
    // A case that is not there, and one that is another house's.
    let lars = scene.world.person("lars");
    for (who, path, login) in [
        (&scene.dora, "/cases/C00000000", "dora"),
        (&lars, &scene.at(""), "lars"),
    ] {
        who.get(path).await.is(404);
        heard.said(&[(object, login)]);
    }
    let foreign = Request::post("/sign-out")
        .header("host", "vestibule.test")
        .header("origin", "http://evil.example");
    let foreign = foreign.body(Body::empty()).unwrap();
    scene.dora.ask(foreign).await.is(403);
    heard.said(&[(origin, "")]);
    let elsewhere = Request::get("/account").header("host", "evil.example");
    let elsewhere = elsewhere.body(Body::empty()).unwrap();
    scene.dora.ask(elsewhere).await.is(421);
    heard.said(&[(host, "")]);
}

/// The path of the link that the answer of `action` shows.
async fn link(root: &Visitor, page: &str, action: &str, fields: &[(&str, &str)]) -> String {
    let answer = root.send(page, action, fields).await;
    let link = answer.is(200).attribute("input.link", "value");
    link.trim_start_matches("http://vestibule.test").to_owned()
}

/// The page under `/people` that does this with the account of this name.
async fn of_account(world: &World, login: &str, end: &str) -> String {
    let mut conn = world.past_the_store().await;
    let (id,): (String,) = sqlx::query_as("SELECT id FROM account WHERE login = $1")
        .bind(login)
        .fetch_one(&mut conn)
        .await
        .unwrap();
    format!("/people/{id}/{end}")
}

#[tokio::test]
async fn s9_who_changes_who_may_come_in_is_heard() {
    let [
        invited,
        revoked,
        new_password,
        joined,
        changed,
        shut_out,
        let_in_again,
    ] = LET_IN;
    let world = World::peopled().await;
    let root = world.person("root");
    let party = root.get("/people").await.option_value("party", "Kiln");
    let invites = [
        ("name", "Rudolf Root"),
        ("role", "technician"),
        ("party", party.as_str()),
        ("password", PASSWORD),
    ];
    let heard = Heard::from_now();
    link(&root, "/people", "/people/invite", &invites).await;
    heard.said(&[(invited, "root")]);
    let revoke = "/people/links/revoke";
    root.send("/people", revoke, &[]).await.is(303);
    heard.said(&[(revoked, "root")]);
    let path = link(&root, "/people", "/people/invite", &invites).await;
    world.join(&path, "rudolf", None).await;
    heard.said(&[(invited, "root"), (joined, "rudolf")]);
    let disabled = of_account(&world, "rudolf", "disabled").await;
    root.send("/people", &disabled, &[]).await.is(303);
    heard.said(&[(shut_out, "root")]);
    let password = [("password", PASSWORD)];
    let again = of_account(&world, "rudolf", "let-in-again").await;
    root.send(&again, &again, &password).await.is(303);
    heard.said(&[(let_in_again, "root")]);

    let forgotten = of_account(&world, "rudolf", "new-password").await;
    let path = link(&root, &forgotten, &forgotten, &password).await;
    heard.said(&[(new_password, "root")]);
    let new = "a boat upon the quiet river";
    let fields = [("password", new), ("password_again", new)];
    world.nobody().send(&path, &path, &fields).await.is(303);
    heard.said(&[(changed, "rudolf")]);
    let anna = world.person("anna");
    let fields = [
        ("password", PASSWORD),
        ("new_password", new),
        ("password_again", new),
    ];
    let answer = anna.send("/account", "/account/password", &fields).await;
    answer.is(303);
    heard.said(&[(changed, "anna")]);
    // Whoever stands at the machine has neither a name nor an address.
    let made = let_in::way_back_at_the_machine(&world.app, "root", "the note was lost").await;
    made.unwrap();
    let at_the_machine = (
        new_password.shown().to_owned(),
        String::new(),
        String::new(),
    );
    assert_eq!(heard.since(), [at_the_machine]);
}

#[tokio::test]
async fn s9_codes_and_devices_of_the_bench_are_heard() {
    let [set, dropped, device, taken_back, by_code, wrong, refused] = AT_THE_BENCH;
    let heard = Heard::from_now();
    let (scene, tablet) = at_a_tablet().await;
    heard.since();
    let code = [("password", PASSWORD), ("new_bench_code", "8315")];
    let answer = scene.tom.send("/account", "/account/code", &code).await;
    answer.is(303);
    heard.said(&[(set, "tom")]);
    types_code(&tablet, "tom", "1357").await.is(422);
    heard.said(&[(wrong, "tom")]);
    let tom = comes_in(&tablet, "tom", "8315").await;
    heard.said(&[(by_code, "tom")]);
    let fields = [("new_bench_code", "4071"), ("password", PASSWORD)];
    tom.post("/account/code", &fields).await.is(403);
    heard.said(&[(refused, "tom")]);
    let asked = tom.get(&scene.at("/release")).await.is(303).location();
    let password = [("password", PASSWORD)];
    let answer = tom.send(&asked, "/bench/password", &password).await;
    answer.is(303);
    heard.said(&[(Happened::SignedIn, "tom")]);
    allowed(&scene, "Tablet, bench 3").await;
    heard.said(&[(device, "mara")]);
    let devices = scene.mara.get("/bench/devices").await;
    let id = devices.attribute("input[name=device]", "value");
    let back = [("device", id.as_str())];
    scene.mara.post("/bench/devices/back", &back).await.is(303);
    heard.said(&[(taken_back, "mara")]);
    let none = "/account/code/none";
    scene.tom.post(none, &password).await.is(303);
    heard.said(&[(dropped, "tom")]);
}

#[tokio::test]
async fn s9_addresses_of_calendars_and_notes_of_another_key_are_heard() {
    let [made, ended, wrong, foreign] = BY_ADDRESS_AND_NOTE;
    let scene = Scene::opened().await;
    let note = checkpoint(&scene.tom).await;
    let heard = Heard::from_now();
    makes(&scene.dora).await;
    heard.said(&[(made, "dora")]);
    scene.dora.post("/account/feed/end", &[]).await.is(303);
    heard.said(&[(ended, "dora")]);
    let nobody = scene.world.nobody();
    nobody.get("/feed/guess.ics").await.is(404);
    heard.said(&[(wrong, "")]);
    let forger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    let forged = opened(&note).sign(&forger).unwrap();
    describe(&scene.tom, &forged).await.is(200);
    heard.said(&[(foreign, "tom")]);
    // The same hour again is not written down again, and the next one is; each person has an hour of their own.
    for _ in 0..3 {
        describe(&scene.tom, &forged).await.is(200);
        heard.said(&[]);
    }
    describe(&scene.dora, &forged).await.is(200);
    heard.said(&[(foreign, "dora")]);
    scene.world.pass_minutes(61);
    let tom = scene.world.visitor("tom").await;
    heard.said(&[(Happened::SignedIn, "tom")]);
    describe(&tom, &forged).await.is(200);
    heard.said(&[(foreign, "tom")]);
}
