//! Who comes in, who is kept out, and who hears of it.

use crate::common::{Answer, PASSWORD, Visitor, World};
use crate::databases::Database;
use crate::scene::{LEAST, Scene};
use std::time::Duration;
use tokio::time::Instant;
use vestibule::app::manage::PartyEntry;
use vestibule::app::{Person, PostKey, add_item, manage};
use vestibule::domain::custody::forms::Registration;
use vestibule::domain::form::Form;
use vestibule::domain::people::access::{Permission, may};
use vestibule::domain::people::party::Role;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::store::{parties, people};
use vestibule::web::ROUTES;

const NEW: &str = "another fine sentence";

async fn tries(who: &Visitor, login: &str, password: &str) -> Answer {
    let fields = [("login", login), ("password", password)];
    who.post("/sign-in", &fields).await
}

/// A browser in which this person has signed in, and out again.
async fn known_browser(world: &World, login: &str) -> Visitor {
    let answer = tries(&world.nobody(), login, PASSWORD).await;
    assert_eq!(answer.is(303).cookies().len(), 2);
    let browser = world.nobody().with_cookies_of(&answer);
    browser.post("/sign-out", &[]).await.is(303);
    let mut known = browser.clone();
    let cookies = browser.cookie.unwrap();
    let mut cookies = cookies.split("; ");
    known.cookie = cookies
        .find(|one| one.starts_with("vestibule-known="))
        .map(str::to_owned);
    known
}

#[tokio::test]
async fn s3_a_guesser_shuts_a_name_to_himself_and_to_nobody_else() {
    let world = World::peopled().await;
    let known = known_browser(&world, "dora").await;
    let guesser = world.nobody().at([203, 0, 113, 9]);
    for _ in 0..5 {
        tries(&guesser, "dora", "wrong").await.is(422);
    }
    let shut = tries(&guesser, "dora", PASSWORD).await;
    shut.is(429).sees("try again in 1 minute.");
    assert_eq!(shut.headers["retry-after"], "60");
    assert_eq!(shut.attribute("input[name=login]", "value"), "dora");
    // From anywhere else, and from the browser that is known even there.
    tries(&world.nobody().at([198, 51, 100, 7]), "dora", PASSWORD)
        .await
        .is(303);
    let there = known.at([203, 0, 113, 9]);
    tries(&there, "dora", PASSWORD).await.is(303);
    // Known is a browser for its own people.
    tries(&there, "anna", "wrong").await.is(422);
    // One who sits at the known browser and guesses is stopped there.
    for _ in 0..5 {
        tries(&there, "dora", "wrong").await.is(422);
    }
    tries(&there, "dora", PASSWORD).await.is(429);
}

#[tokio::test]
async fn s3_one_address_guesses_at_thirty_names_and_then_waits_and_a_known_browser_there_does_not()
{
    let world = World::peopled().await;
    let known = known_browser(&world, "dora").await;
    let guesser = world.nobody().at([203, 0, 113, 9]);
    let mut checked = 0;
    for number in 0..60 {
        let answer = tries(&guesser, &format!("name{number}"), "wrong").await;
        match answer.status.as_u16() {
            422 => checked += 1,
            _ => {
                answer.is(429).sees("try again in 15 minutes.");
            }
        }
    }
    assert_eq!(checked, 30);
    tries(&guesser, "anna", PASSWORD).await.is(429);
    tries(&known.at([203, 0, 113, 9]), "dora", PASSWORD)
        .await
        .is(303);
    tries(&world.nobody().at([203, 0, 113, 8]), "anna", PASSWORD)
        .await
        .is(303);
    world.pass_minutes(15);
    tries(&guesser, "anna", PASSWORD).await.is(303);
}

#[tokio::test]
async fn s3_guesses_from_many_addresses_shut_a_name_to_strangers_only_and_nothing_is_kept_for_ever()
{
    let world = World::peopled().await;
    let known = known_browser(&world, "dora").await;
    for house in 0..12 {
        for _ in 0..5 {
            let guesser = world.nobody().at([203, 0, house, 9]);
            tries(&guesser, "dora", "wrong").await.is(422);
        }
    }
    let stranger = world.nobody().at([198, 51, 100, 7]);
    tries(&stranger, "dora", PASSWORD).await.is(429);
    tries(&known, "dora", PASSWORD).await.is(303);
    tries(&stranger, "anna", PASSWORD).await.is(303);
    let rows = async || {
        let mut conn = world.past_the_store().await;
        let row = sqlx::query("SELECT COUNT(*) AS n FROM sign_in_failure")
            .fetch_one(&mut conn)
            .await;
        sqlx::Row::get::<i64, _>(&row.unwrap(), "n")
    };
    assert_eq!(rows().await, 25);
    world.pass_minutes(48 * 60);
    tries(&stranger, "dora", "wrong").await.is(422);
    assert_eq!(rows().await, 3, "the others are swept");
}

#[tokio::test(flavor = "multi_thread")]
async fn s3_however_many_strangers_push_at_the_door_the_dentist_signs() {
    let scene = Scene::opened().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let crowd = (0..100_u8).map(|number| {
        let stranger = scene.world.nobody().at([203, 0, 113, number]);
        tokio::spawn(async move {
            let login = format!("name{number}");
            tries(&stranger, &login, "wrong").await.status.as_u16()
        })
    });
    let crowd: Vec<_> = crowd.collect();
    let began = Instant::now();
    let at = scene.at("/sign");
    let signed = scene.dora.send(&at, &at, &[("password", PASSWORD)]).await;
    signed.is(303);
    assert!(
        began.elapsed() < Duration::from_secs(2),
        "{:?}",
        began.elapsed()
    );
    for one in crowd {
        assert!(matches!(one.await.unwrap(), 422 | 503));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn s10_twenty_right_passwords_at_once_all_pass() {
    let world = World::peopled().await;
    for _ in 0..4 {
        tries(&world.nobody(), "dora", "wrong").await.is(422);
    }
    let all = (0..20).map(|_| {
        let nobody = world.nobody();
        tokio::spawn(async move { tries(&nobody, "dora", PASSWORD).await.status.as_u16() })
    });
    for one in all.collect::<Vec<_>>() {
        assert_eq!(one.await.unwrap(), 303);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn s10_a_password_that_is_typed_again_counts_when_it_was_wrong() {
    let world = World::peopled().await;
    let root = world.person("root");
    let invite = |password: &'static str, number: u32| {
        let root = root.clone();
        tokio::spawn(async move {
            let key = format!("invite-key-{number:04}");
            let fields = [
                ("post_key", key.as_str()),
                ("name", "Second Root"),
                ("role", "administrator"),
                ("party", ""),
                ("password", password),
            ];
            root.post("/people/invite", &fields).await.status.as_u16()
        })
    };
    let right: Vec<_> = (0..10).map(|number| invite(PASSWORD, number)).collect();
    for one in right {
        assert_eq!(one.await.unwrap(), 200);
    }
    let wrong: Vec<_> = (10..30).map(|number| invite("wrong", number)).collect();
    let mut checked = 0;
    for one in wrong {
        checked += usize::from(one.await.unwrap() == 422);
    }
    assert_eq!(checked, 5);
}

async fn invited(root: &Visitor, password: &str) -> Answer {
    let party = root.get("/people").await.option_value("party", "Northgate");
    let fields = [
        ("name", "Rudolf Root"),
        ("role", "dentist"),
        ("party", party.as_str()),
        ("password", password),
    ];
    root.send("/people", "/people/invite", &fields).await
}

#[tokio::test]
async fn s4_letting_somebody_in_takes_the_password_and_the_house_is_told_at_once() {
    let world = World::peopled().await;
    let root = world.person("root");
    let leaves = async || world.app.store.read().await.unwrap();
    let before = vestibule::store::record::head(&mut *leaves().await)
        .await
        .unwrap();
    for password in ["", "wrong"] {
        let answer = invited(&root, password).await;
        assert_eq!(
            answer.is(422).attribute("[aria-invalid]", "name"),
            "password"
        );
        assert_eq!(answer.attribute("input[name=name]", "value"), "Rudolf Root");
        assert_eq!(answer.count("input.link"), 0);
    }
    let same = vestibule::store::record::head(&mut *leaves().await)
        .await
        .unwrap();
    assert_eq!(same.frontier.size(), before.frontier.size());
    world
        .person("dora")
        .get("/")
        .await
        .is(200)
        .sees_not("Somebody was let in here");

    world.pass_minutes(1);
    invited(&root, PASSWORD).await.is(200);
    let after = vestibule::store::record::head(&mut *leaves().await)
        .await
        .unwrap();
    assert_eq!(after.frontier.size(), before.frontier.size() + 1);
    for (login, shown_page) in [
        ("dora", 1),
        ("anna", 1),
        ("tom", 0),
        ("sven", 0),
        ("root", 0),
    ] {
        let page = world.person(login).get("/account").await;
        assert_eq!(page.is(200).count("p.let-in"), shown_page, "{login}");
    }
    let dora = world.person("dora");
    world.pass_minutes(1);
    let page = dora.get("/let-in").await;
    page.is(200)
        .sees("Rudolf Root dentist invited by a one-time link root")
        .sees("I have read this");
    dora.send("/let-in", "/let-in/read", &[]).await.is(303);
    let again = dora.get("/let-in").await;
    again
        .is(200)
        .sees("Rudolf Root")
        .sees_not("I have read this");
    assert_eq!(dora.get("/account").await.count("p.let-in"), 0);
    assert_eq!(
        world.person("anna").get("/account").await.count("p.let-in"),
        1
    );
    // Another house sees nothing of it.
    world.person("sven").get("/let-in").await.sees_not("Rudolf");
}

#[tokio::test]
async fn s4_a_link_that_is_made_twice_by_one_post_is_one_entry() {
    let world = World::peopled().await;
    let root = world.person("root");
    let fields = [
        ("post_key", "invite-key-0001-0001"),
        ("name", "Root Two"),
        ("role", "administrator"),
        ("party", ""),
        ("password", PASSWORD),
    ];
    for _ in 0..3 {
        root.post("/people/invite", &fields).await.is(200);
    }
    let page = root.get("/people").await;
    assert_eq!(page.count("form[action=\"/people/links/revoke\"]"), 1);
    let second = world.visitor("root").await.get("/let-in").await;
    assert_eq!(second.text().matches("Root Two").count(), 1);
}

#[tokio::test]
async fn s5_what_no_page_writes_into_an_address_is_not_there_on_sqlite() {
    odd_addresses(World::peopled().await).await;
}

#[tokio::test]
async fn s5_what_no_page_writes_into_an_address_is_not_there_on_postgres() {
    if let Some(database) = Database::postgres().await {
        let store = database.open().await;
        let world = World::peopled_on(store.clone()).await;
        odd_addresses(world).await;
        store.close().await;
        database.remove().await;
    }
}

/// Every address with a place in it, for somebody who may ask for it.
async fn odd_addresses(world: World) {
    let people = [
        ("dora", Role::Dentist),
        ("tom", Role::Technician),
        ("root", Role::Administrator),
    ];
    for route in ROUTES.iter().filter(|route| route.path.contains('{')) {
        let who = people.iter().find(|(_, role)| may(*role, route.permission));
        let who = world.person(who.unwrap().0);
        for odd in [
            "%00", "a%00", "%0A", "%0d%0a", "%7F", "%1b", "%C2%85", "%FF",
        ] {
            let path: Vec<String> = route
                .path
                .split('/')
                .map(|part| match part.split_once('{') {
                    Some((before, _)) => format!("{before}{odd}"),
                    None => part.to_owned(),
                })
                .collect();
            let path = path.join("/");
            let answer = match route.method {
                "get" => who.get(&path).await,
                _ => who.post(&path, &[("post_key", "odd-address-0001")]).await,
            };
            answer.is(404).sees("Page not found");
        }
    }
    assert!(
        ROUTES
            .iter()
            .any(|route| route.permission == Permission::Anybody)
    );
}

#[tokio::test]
async fn s6_looking_at_the_form_begins_no_draft_and_the_first_kept_field_does() {
    let scene = Scene::signed().await;
    let (page, quiet) = (scene.at("/write"), "Unchanged");
    for _ in 0..2 {
        let form = scene.dora.get(&page).await;
        form.is(200).sees(quiet).sees_not("Give this draft up");
        // What is in force stands in it.
        assert_eq!(form.attribute("input[name=\"shade.tab\"]", "value"), "B-20");
        scene
            .dora
            .get(&scene.at(""))
            .await
            .sees("Write a new revision");
    }
    // Saving what stands there begins none either.
    scene.write(&scene.dora, &[]).await.is(303);
    scene.dora.get(&page).await.sees(quiet);

    scene.tom.get(&scene.at("/sign")).await.is(403);
    scene.dora.get(&scene.at("/sign")).await.is(409);

    // Two who look before there is one write one together.
    let base = |form: &Answer| form.attribute("input[name=base]", "value");
    let (hers, his) = (scene.dora.get(&page).await, scene.anna.get(&page).await);
    let keep = async |who: &Visitor, form: &Answer, key: &str, text: &str| {
        let fields = [("base", base(form)), (key, text.to_owned())];
        let fields = [(fields[0].0, fields[0].1.as_str()), (key, text)];
        who.post(&scene.at("/write/autosave"), &fields).await
    };
    keep(&scene.dora, &hers, "shade.tab", "B-30").await.is(200);
    keep(&scene.anna, &his, "anterior.character", "bold")
        .await
        .is(200);
    let both = scene.dora.get(&page).await;
    both.is(200).sees("Give this draft up").sees_not(quiet);
    assert_eq!(both.attribute("input[name=\"shade.tab\"]", "value"), "B-30");
    assert!(both.text().contains("bold"));
    // Their texts for one field are two.
    let two = keep(&scene.anna, &his, "shade.tab", "B-40").await;
    assert!(two.is(200).text().contains("shade.tab"));
    scene
        .anna
        .get(&page)
        .await
        .sees("The same field was written twice at a time.");
}

#[tokio::test]
async fn s6_whoever_means_to_sign_again_what_is_in_force_begins_a_draft_by_saying_so() {
    let scene = Scene::signed().await;
    scene.begin_draft().await;
    scene
        .dora
        .get(&scene.at("/sign"))
        .await
        .is(200)
        .sees("revision 2");
    scene
        .dora
        .whole_form(&scene.at("/write"))
        .await
        .sees("Give this draft up");
}

#[tokio::test]
async fn s6_a_form_from_before_the_last_signature_begins_no_draft() {
    let scene = Scene::opened().await;
    let early = scene.anna.whole_form(&scene.at("/write")).await;
    let base = early.attribute("input[name=base]", "value");
    scene.sign(&LEAST).await.is(303);
    let fields = [("base", base.as_str()), ("shade.tab", "A-10")];
    let late = scene.anna.post(&scene.at("/write/autosave"), &fields).await;
    late.is(409).sees("signed or given up meanwhile");
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("Write a new revision");
}

#[tokio::test]
async fn s8_an_easy_password_is_refused_at_each_door_with_what_to_do() {
    let world = World::empty().await;
    let link = vestibule::app::manage::first_link(&world.app)
        .await
        .unwrap();
    let easy = "Password12345";
    let joining = [
        ("name", "Rosa"),
        ("login", "rosa"),
        ("password", easy),
        ("password_again", easy),
    ];
    let answer = world.nobody().send(&link, &link, &joining).await;
    answer
        .is(422)
        .sees("four or five words that have nothing to do with each other");
    assert_eq!(answer.attribute("[aria-invalid]", "name"), "password");
    let rosa = world.join(&link, "rosa", None).await;
    let changing = [
        ("password", PASSWORD),
        ("new_password", easy),
        ("password_again", easy),
    ];
    let answer = rosa.send("/account", "/account/password", &changing).await;
    answer
        .is(422)
        .sees("four or five words that have nothing to do with each other");
    assert_eq!(answer.attribute("[aria-invalid]", "name"), "new_password");
}

#[tokio::test]
async fn s13_signs_that_turn_or_hide_a_text_are_refused_beside_the_field() {
    let scene = Scene::opened().await;
    let root = scene.world.person("root");
    let party = root.get("/parties").await;
    let party = party.attribute("th a[href^=\"/parties/\"]", "href");
    for odd in [
        "\u{202e}",
        "\u{2066}",
        "\u{202a}",
        "\u{7}",
        "\u{85}",
        "\u{200b}",
        "\u{2028}",
        "\u{e0041}",
    ] {
        let text = format!("upper{odd}lower");
        let item = [("item_kind", "other"), ("place", "here"), ("note", &text)];
        let (at, people) = (scene.at("/items/new"), "/people");
        let item = scene.dora.send(&at, &at, &item).await;
        assert_eq!(
            item.is(422).attribute("[aria-invalid]", "name"),
            "note",
            "{odd:?}"
        );
        let name = [
            ("name", text.as_str()),
            ("role", "administrator"),
            ("party", ""),
            ("password", PASSWORD),
        ];
        let name = root.send(people, "/people/invite", &name).await;
        assert_eq!(
            name.is(422).attribute("[aria-invalid]", "name"),
            "name",
            "{odd:?}"
        );
        let house = root.send(&party, &party, &[("name", &text)]).await;
        assert_eq!(
            house.is(422).attribute("[aria-invalid]", "name"),
            "name",
            "{odd:?}"
        );
    }
    // Letters that are written from right to left are welcome, each name by itself.
    let name = [
        ("name", "שרה לוי"),
        ("role", "administrator"),
        ("party", ""),
        ("password", PASSWORD),
    ];
    let page = root.send("/people", "/people/invite", &name).await;
    page.is(200);
    assert!(
        page.text().contains("<bdi>שרה לוי, administrator</bdi>"),
        "{}",
        page.text()
    );
}

/// A name and a note of before such signs were refused: through the store, with their entries, past what forms ask.
async fn stored_before(scene: &Scene, turned: &str) -> String {
    let app = &scene.world.app;
    let person = async |login: &str| {
        let mut conn = app.store.read().await.unwrap();
        let account = people::account_by_login(&mut conn, login).await.unwrap();
        let account = account.unwrap();
        let party = match &account.party {
            Some(id) => parties::find(&mut conn, id).await.unwrap(),
            None => None,
        };
        Person::without_session(account, party)
    };
    let (root, dora, tom) = (
        person("root").await,
        person("dora").await,
        person("tom").await,
    );
    // The lab.
    let id = tom.account.party.unwrap();
    let path = format!("/parties/{}", id.as_str());
    let page = scene.world.person("root").get(&path).await;
    let mut entry = PartyEntry::read(&page.form(&path, &path, ""), &mut Vec::new()).unwrap();
    entry.form.name = turned.to_owned();
    let key = PostKey::parse("the-key-of-a-house").unwrap();
    manage::change_party(app, &root, &id, &entry, &key)
        .await
        .unwrap();
    // A thing of the case.
    let typed = [("item_kind", "other"), ("place", "here")];
    let typed = typed.map(|(key, text)| (key.to_owned(), text.to_owned()));
    let mut new = Registration::read(&typed.into_iter().collect(), &mut Vec::new()).unwrap();
    new.form.note = turned.to_owned();
    let number = CaseNumber::parse(&scene.number).unwrap();
    let key = PostKey::parse("the-key-of-a-thing").unwrap();
    let tag = add_item::add(app, &dora, &number, &new, &key)
        .await
        .unwrap();
    tag.as_str().to_owned()
}

#[tokio::test]
async fn s13_a_sign_that_was_stored_before_it_was_refused_turns_nothing_on_any_page() {
    const SIGN: char = '\u{202e}';
    const SHOWN: &str = "upper[U+202E]rewol";
    let scene = Scene::signed().await;
    let tag = stored_before(&scene, &format!("upper{SIGN}rewol")).await;
    let of_the_case = [
        "",
        "/history",
        "/release",
        "/labels",
        "/items/new",
        "/revisions/1",
    ];
    let mut paths: Vec<String> = of_the_case.map(|rest| scene.at(rest)).into();
    paths.extend(["/", "/in-house", "/let-in"].map(str::to_owned));
    paths.push(format!("/items/{tag}"));
    for login in ["dora", "tom"] {
        // Signed in anew, after the house was given its name.
        let who = scene.world.visitor(login).await;
        for path in &paths {
            let page = who.get(path).await;
            let (words, sent) = (page.is(200).words(), page.text());
            assert!(!words.contains(SIGN), "{login}: {path}: {words}");
            // Outside of what is typed in a box, which turns nothing but itself.
            let mut tags = sent.split('<').filter(|tag| !tag.starts_with("input"));
            assert!(!tags.any(|tag| tag.contains(SIGN)), "{login}: {path}");
        }
        who.get(&scene.at("")).await.sees(SHOWN);
        who.get(&format!("/items/{tag}")).await.sees(SHOWN);
    }
    let root = scene.world.visitor("root").await;
    for path in ["/people", "/parties"] {
        let page = root.get(path).await;
        assert!(!page.is(200).words().contains(SIGN), "{path}");
    }
    root.get("/parties").await.sees(SHOWN);
}

#[tokio::test]
async fn s14_under_another_name_nothing_is_answered() {
    use axum::body::Body;
    use axum::http::Request;
    let scene = Scene::opened().await;
    let ask = async |host: &'static str| {
        let request = Request::get("/account").header("host", host);
        scene.dora.ask(request.body(Body::empty()).unwrap()).await
    };
    for host in [
        "evil.example",
        "vestibule.test.evil.example",
        "evil.example:80",
    ] {
        ask(host).await.is(421).sees("Nothing was changed");
    }
    for host in [
        "vestibule.test",
        "VESTIBULE.test:8080",
        "192.0.2.7:8080",
        "localhost",
    ] {
        ask(host).await.is(200);
    }
}

#[tokio::test]
async fn s15_ones_own_sessions_are_listed_with_their_place_and_each_can_be_ended() {
    use axum::body::Body;
    use axum::http::Request;
    let world = World::peopled().await;
    let body = format!("login=dora&password={}", PASSWORD.replace(' ', "+"));
    let request = Request::post("/sign-in")
        .header("content-type", "application/x-www-form-urlencoded")
        .header("host", "vestibule.test")
        .header("origin", "http://vestibule.test")
        .header("user-agent", "Sample/1.0 (a desk) <b>");
    let there = world.nobody().at([192, 0, 2, 7]);
    let answer = there.ask(request.body(Body::from(body)).unwrap()).await;
    let there = there.with_cookies_of(answer.is(303));
    let here = world.visitor("dora").await;
    let page = here.get("/account").await;
    page.is(200)
        .sees("192.0.2.7")
        .sees("Sample/1.0 (a desk) <b>")
        .sees("this browser");
    let others = page.count("form[action=\"/account/sessions/end\"]");
    assert_eq!(others, 2, "the one she joined in, and the desk");
    here.send_where("/account", "/account/sessions/end", "", &[])
        .await
        .is(303);
    there.get("/account").await.is(303);
    here.get("/account").await.is(200);
    // Nobody ends another's session.
    let anna = world.person("anna");
    let secret = here.cookie.clone().unwrap();
    let hash = vestibule::app::sign_in::secret_hash(secret.trim_start_matches("vestibule="));
    let fields = [("session", hash.as_str())];
    anna.post("/account/sessions/end", &fields).await.is(404);
    here.get("/account").await.is(200);
}

#[tokio::test]
async fn s15_open_links_are_listed_and_a_revoked_one_lets_nobody_in() {
    let world = World::peopled().await;
    let root = world.person("root");
    let made = invited(&root, PASSWORD).await;
    let link = made.is(200).attribute("input.link", "value");
    let link = link.trim_start_matches("http://vestibule.test").to_owned();
    let page = root.get("/people").await;
    page.sees("Rudolf Root, dentist, Northgate Dental")
        .sees("Open one-time links");
    assert!(!page.text().contains(link.trim_start_matches("/join/")));
    world.nobody().get(&link).await.is(200);
    let revoked = root.send("/people", "/people/links/revoke", &[]).await;
    assert_eq!(revoked.is(303).location(), "/people?done=revoked");
    root.get("/people").await.sees_not("Open one-time links");
    world.nobody().get(&link).await.is(404);
    let shown_page = world.person("dora").get("/let-in").await;
    shown_page.sees("one-time link made void");
    // One that is gone is told so.
    let fields = [("post_key", "revoke-key-0001"), ("link", "nothing")];
    root.post("/people/links/revoke", &fields).await.is(409);
}

#[tokio::test]
async fn s15_whoever_has_forgotten_the_password_comes_back_by_a_link_and_is_told_of_it() {
    let world = World::peopled().await;
    let (root, dora) = (world.person("root"), world.person("dora"));
    let page = root.get("/people").await;
    let path = page.hrefs("/people/").into_iter().find(|path| {
        page.text().contains(&format!(
            "{path}\">Forgotten password<span\n  class=\"unseen\"> of dora"
        ))
    });
    let path = path.unwrap();
    root.get(&path).await.is(200).sees("Sign-in name: dora.");
    for password in ["", "wrong"] {
        let answer = root.send(&path, &path, &[("password", password)]).await;
        assert_eq!(
            answer.is(422).attribute("[aria-invalid]", "name"),
            "password"
        );
    }
    world.pass_minutes(1);
    let made = root.send(&path, &path, &[("password", PASSWORD)]).await;
    let link = made.is(200).attribute("input.link", "value");
    let link = link.trim_start_matches("http://vestibule.test").to_owned();
    // Until it is used all is as before, but that she and her house are told.
    assert_eq!(dora.get("/account").await.is(200).count("p.let-in"), 1);
    dora.get("/let-in")
        .await
        .sees("given a link for a new password");
    assert_eq!(
        world.person("anna").get("/account").await.count("p.let-in"),
        1
    );
    tries(&world.nobody(), "dora", PASSWORD).await.is(303);

    let nobody = world.nobody();
    nobody
        .get(&link)
        .await
        .is(200)
        .sees("the sign-in name is dora.");
    let short = [("password", "short"), ("password_again", "short")];
    nobody.send(&link, &link, &short).await.is(422);
    let new = [("password", NEW), ("password_again", NEW)];
    let back = nobody.send(&link, &link, &new).await;
    let back = nobody.clone().with_cookies_of(back.is(303));
    let shown_page = back.get("/account").await;
    assert_eq!(
        shown_page.is(200).count("p.let-in"),
        1,
        "told at this sign-in"
    );
    dora.get("/account").await.is(303);
    tries(&world.nobody(), "dora", PASSWORD).await.is(422);
    tries(&world.nobody(), "dora", NEW).await.is(303);
    world.nobody().get(&link).await.is(404);
    nobody.post(&link, &new).await.is(404);
    // No administrator makes one for himself.
    let own = page.attribute("form[action$=\"/disabled\"]", "action");
    assert!(own != path);
    let examined = vestibule::app::examine::examine(&world.app, None)
        .await
        .unwrap();
    assert!(examined.first().is_none(), "{:?}", examined.faults);
}
