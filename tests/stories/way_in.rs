//! The way in and out: one-time links, signing in, sessions, and where a post comes from.

use crate::common::{MONDAY_MS, PASSWORD, World, encode};
use crate::scene::{LEAST, Scene};
use axum::body::Body;
use axum::http::{Request, header};
use vestibule::app::{examine, let_in, manage};

const HOUR_MIN: i64 = 60;

fn joining<'a>(login: &'a str, password: &'a str) -> [(&'a str, &'a str); 4] {
    [
        ("name", "Somebody"),
        ("login", login),
        ("password", password),
        ("password_again", password),
    ]
}

#[tokio::test]
async fn the_setup_link_works_once() {
    let world = World::empty().await;
    let link = manage::first_link(&world.app).await.unwrap();
    world
        .join(&link, "root", None)
        .await
        .get("/parties")
        .await
        .is(200);
    world.nobody().get(&link).await.is(404);
    world
        .nobody()
        .post(&link, &joining("second", PASSWORD))
        .await
        .is(404);
}

#[tokio::test]
async fn the_setup_link_expires_after_two_days() {
    let world = World::empty().await;
    let link = manage::first_link(&world.app).await.unwrap();
    world.pass_minutes(48 * HOUR_MIN - 1);
    world.nobody().get(&link).await.is(200);
    world.pass_minutes(1);
    world.nobody().get(&link).await.is(404);
    world
        .nobody()
        .post(&link, &joining("late", PASSWORD))
        .await
        .is(404);
}

#[tokio::test]
async fn there_is_no_second_setup_link_beside_an_administrator() {
    let world = World::peopled().await;
    let refusal = manage::first_link(&world.app).await.unwrap_err();
    assert!(
        refusal
            .to_string()
            .contains("There is an administrator already")
    );
}

#[tokio::test]
async fn a_link_that_never_was_leads_nowhere() {
    let world = World::peopled().await;
    world
        .nobody()
        .get("/join/x")
        .await
        .is(404)
        .sees("This link is not open")
        .sees("sign in with the name");
    world
        .nobody()
        .post("/join/x", &joining("nobody", PASSWORD))
        .await
        .is(404);
}

#[tokio::test]
async fn each_role_is_invited_to_the_right_house_only() {
    let world = World::peopled().await;
    let root = world.person("root");
    let page = root.get("/people").await;
    let [office, lab] = ["Northgate", "Kiln"].map(|name| page.option_value("party", name));
    let refused = [
        ("technician", office.as_str()),
        ("lab_manager", &office),
        ("dentist", &lab),
        ("assistant", &lab),
        ("administrator", &office),
        ("dentist", ""),
        ("technician", "no-such-party"),
        ("owner", &office),
        ("", ""),
    ];
    for (role, party) in refused {
        let fields = [
            ("name", "Somebody"),
            ("role", role),
            ("party", party),
            ("password", PASSWORD),
        ];
        let answer = root.send("/people", "/people/invite", &fields).await;
        assert_eq!(
            (
                answer.is(422).count("input.link"),
                answer.count("[aria-invalid]")
            ),
            (0, 1),
            "{role} at {party}"
        );
    }
    let fields = [
        ("name", ""),
        ("role", "technician"),
        ("party", lab.as_str()),
        ("password", PASSWORD),
    ];
    root.send("/people", "/people/invite", &fields)
        .await
        .is(422);
    let fields = [
        ("name", "Second Root"),
        ("role", "administrator"),
        ("party", ""),
        ("password", PASSWORD),
    ];
    root.send("/people", "/people/invite", &fields)
        .await
        .is(200)
        .sees("works once, within two days");
}

#[tokio::test]
async fn an_administrator_who_is_alone_and_forgot_the_password_comes_back_by_a_link_made_at_the_machine()
 {
    let world = World::peopled().await;
    let link = |login, reason| let_in::way_back_at_the_machine(&world.app, login, reason);
    // For an administrator only, and with a reason.
    for (login, reason) in [("dora", "lost"), ("nobody", "lost"), ("root", " ")] {
        assert!(link(login, reason).await.is_err(), "{login}: {reason}");
    }
    let first = link("root", "the note was lost").await.unwrap();
    let second = link("root", "the note was lost, and the link")
        .await
        .unwrap();
    world.nobody().get(&first).await.is(404);
    const NEW: &str = "a boat upon the quiet river";
    let fields = [("password", NEW), ("password_again", NEW)];
    world.nobody().send(&second, &second, &fields).await.is(303);
    world.nobody().get(&second).await.is(404);
    let signed_in = |password| {
        let (world, fields) = (&world, [("login", "root"), ("password", password)]);
        async move { world.nobody().send("/sign-in", "/sign-in", &fields).await }
    };
    signed_in(PASSWORD).await.is(422);
    let answer = signed_in(NEW).await;
    answer.is(303);
    let root = world.nobody().with_cookies_of(&answer);
    root.get("/let-in")
        .await
        .sees("at the machine that runs the program")
        .sees("the note was lost, and the link");
    let examined = examine::examine(&world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

#[tokio::test]
async fn an_invitation_posted_twice_shows_a_fresh_link_and_the_first_is_void() {
    let world = World::peopled().await;
    let root = world.person("root");
    let fields = [
        ("post_key", "invite-key-0001-0001"),
        ("name", "Root Two"),
        ("role", "administrator"),
        ("party", ""),
        ("password", PASSWORD),
    ];
    let mut links = Vec::new();
    for _ in 0..3 {
        let answer = root.post("/people/invite", &fields).await;
        let link = answer.is(200).attribute("input.link", "value");
        links.push(link.trim_start_matches("http://vestibule.test").to_owned());
    }
    for void in &links[..2] {
        world.nobody().get(void).await.is(404);
    }
    world.join(&links[2], "root.two", None).await;
    // Once somebody has come in by it, the post is done for good.
    root.post("/people/invite", &fields)
        .await
        .is(409)
        .sees("has been used already");
}

#[tokio::test]
async fn the_joining_form_keeps_what_was_typed_but_never_a_password() {
    let world = World::empty().await;
    let link = manage::first_link(&world.app).await.unwrap();
    let answer = world
        .nobody()
        .send(&link, &link, &joining("rosa", "short"))
        .await;
    answer.is(422).sees("A password has at least 12 characters");
    assert_eq!(answer.attribute("input[name=login]", "value"), "rosa");
    assert_eq!(answer.attribute("input[name=name]", "value"), "Somebody");
    assert_eq!(answer.attribute("input[name=password]", "value"), "");
    assert_eq!(answer.attribute("input[aria-invalid]", "name"), "password");
    for (login, password, again, wrong) in [
        ("rosa", PASSWORD, "another password", "password_again"),
        ("r", PASSWORD, PASSWORD, "login"),
        ("has space", PASSWORD, PASSWORD, "login"),
        ("rosa", "aaaaaaaaaaaaaaa", "aaaaaaaaaaaaaaa", "password"),
    ] {
        let fields = [
            ("name", "Rosa"),
            ("login", login),
            ("password", password),
            ("password_again", again),
        ];
        let answer = world.nobody().send(&link, &link, &fields).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
    }
}

#[tokio::test]
async fn a_sign_in_name_belongs_to_one_person() {
    let world = World::peopled().await;
    let link = invited(&world, "technician", "Kiln").await;
    world
        .nobody()
        .send(&link, &link, &joining("tom", PASSWORD))
        .await
        .is(422)
        .sees("taken; choose another");
    world
        .nobody()
        .send(&link, &link, &joining("TOM ", PASSWORD))
        .await
        .is(422);
    world
        .nobody()
        .send(&link, &link, &joining("tomas", PASSWORD))
        .await
        .is(303);
}

#[tokio::test]
async fn a_dentist_cannot_join_without_a_licence() {
    let world = World::peopled().await;
    let link = invited(&world, "dentist", "Northgate").await;
    let answer = world
        .nobody()
        .send(&link, &link, &joining("dirk", PASSWORD))
        .await;
    assert_eq!(
        answer.is(422).attribute("[aria-invalid]", "name"),
        "licence"
    );
}

#[tokio::test]
async fn nobody_comes_in_under_the_name_or_the_licence_of_somebody_who_is_here() {
    let world = World::peopled().await;
    let link = invited(&world, "dentist", "Northgate").await;
    let as_whom = |name, licence| {
        [
            ("name", name),
            ("licence", licence),
            ("login", "nora"),
            ("password", PASSWORD),
            ("password_again", PASSWORD),
        ]
    };
    for (name, licence, wrong) in [
        (" DORA ", "L-9", "name"),
        ("Nora", "d-7001", "licence"),
        ("Nora", "D-7002", "licence"),
    ] {
        let sent = as_whom(name, licence);
        let answer = world.nobody().send(&link, &link, &sent).await;
        let marked = answer.is(422).attribute("[aria-invalid]", "name");
        assert_eq!(marked, wrong);
    }
    // Somebody who works there as well.
    let sent = as_whom("sven", "D-7002");
    world.nobody().send(&link, &link, &sent).await.is(303);
    // Whoever comes again has the old account shut out before.
    let again = invited(&world, "dentist", "Northgate").await;
    let sent = [
        ("name", "dora"),
        ("licence", "D-7001"),
        ("login", "dora.again"),
        ("password", PASSWORD),
        ("password_again", PASSWORD),
    ];
    world.nobody().send(&again, &again, &sent).await.is(422);
    let root = world.person("root");
    let page = root.get("/people").await;
    let action = shut_out_action(&page, "dora");
    root.send("/people", &action, &[]).await.is(303);
    world.nobody().send(&again, &again, &sent).await.is(303);
}

async fn invited(world: &World, role: &str, party: &str) -> String {
    let root = world.person("root");
    let party = root.get("/people").await.option_value("party", party);
    let fields = [
        ("name", "Somebody"),
        ("role", role),
        ("party", party.as_str()),
        ("password", PASSWORD),
    ];
    let link = root
        .send("/people", "/people/invite", &fields)
        .await
        .attribute("input.link", "value");
    link.trim_start_matches("http://vestibule.test").to_owned()
}

#[tokio::test]
async fn a_wrong_password_and_an_unknown_name_are_told_the_same() {
    let world = World::peopled().await;
    for (login, password) in [
        ("dora", "wrong"),
        ("nobody.here", PASSWORD),
        ("", ""),
        ("dora", ""),
        ("{}", "x"),
    ] {
        let answer = world
            .nobody()
            .send(
                "/sign-in",
                "/sign-in",
                &[("login", login), ("password", password)],
            )
            .await;
        answer.is(422).sees("Sign-in name and password do not fit.");
        assert_eq!(
            (
                answer.attribute("input[name=login]", "value").as_str(),
                answer.cookie()
            ),
            (login, None)
        );
    }
}

#[tokio::test]
async fn five_wrong_passwords_close_the_name_for_a_minute_and_a_sixth_for_two() {
    let world = World::peopled().await;
    let nobody = world.nobody();
    for _ in 0..5 {
        nobody
            .post("/sign-in", &[("login", "dora"), ("password", "wrong")])
            .await
            .is(422);
    }
    let right = [("login", "dora"), ("password", PASSWORD)];
    nobody
        .post("/sign-in", &right)
        .await
        .is(429)
        .sees("try again in 1 minute.");
    world.pass_minutes(1);
    nobody
        .post("/sign-in", &[("login", "dora"), ("password", "wrong")])
        .await
        .is(422);
    nobody
        .post("/sign-in", &right)
        .await
        .is(429)
        .sees("try again in 2 minutes.");
    nobody
        .post("/sign-in", &[("login", "anna"), ("password", PASSWORD)])
        .await
        .is(303);
    world.pass_minutes(2);
    nobody.post("/sign-in", &right).await.is(303);
    nobody
        .post("/sign-in", &[("login", "dora"), ("password", "wrong")])
        .await
        .is(422);
    nobody.post("/sign-in", &right).await.is(303);
}

#[tokio::test(flavor = "multi_thread")]
async fn guesses_at_once_are_no_more_than_guesses_in_a_row() {
    let world = World::peopled().await;
    let tries = (0..40).map(|_| {
        let nobody = world.nobody();
        tokio::spawn(async move {
            let fields = [("login", "dora"), ("password", "wrong")];
            nobody.post("/sign-in", &fields).await.status.as_u16()
        })
    });
    let mut checked = 0;
    for one in tries.collect::<Vec<_>>() {
        checked += usize::from(one.await.unwrap() == 422);
    }
    assert_eq!(checked, 5, "the others find the name closed");
}

#[tokio::test]
async fn a_stranger_at_the_door_keeps_no_dentist_from_signing() {
    let scene = Scene::opened().await;
    let wrong = [("login", "dora"), ("password", "wrong")];
    for _ in 0..5 {
        scene.world.nobody().post("/sign-in", &wrong).await.is(422);
    }
    scene.world.nobody().post("/sign-in", &wrong).await.is(429);
    let new = "another fine sentence";
    let fields = [
        ("password", "wrong"),
        ("new_password", new),
        ("password_again", new),
    ];
    scene
        .dora
        .send("/account", "/account/password", &fields)
        .await
        .is(422)
        .sees("This is not your password.");
    scene.sign(&LEAST).await.is(303);
    // Signing with the right password opens no door either.
    scene.world.nobody().post("/sign-in", &wrong).await.is(429);
}

#[tokio::test]
async fn signing_in_leads_to_where_one_wanted_to_go_and_nowhere_else() {
    let world = World::peopled().await;
    let nobody = world.nobody();
    let to = nobody.get("/patients?page=2").await.is(303).location();
    assert_eq!(to, "/sign-in?next=%2Fpatients%3Fpage%3D2");
    let fields = [("login", "dora"), ("password", PASSWORD)];
    let page = nobody.get(&to).await;
    assert_eq!(
        page.attribute("input[name=next]", "value"),
        "/patients?page=2"
    );
    assert_eq!(
        nobody
            .send(&to, "/sign-in", &fields)
            .await
            .is(303)
            .location(),
        "/patients?page=2"
    );
    for evil in [
        "//evil.example",
        "https://evil.example",
        "/\\evil.example",
        "/\t/evil.example",
    ] {
        let fields = [fields[0], fields[1], ("next", evil)];
        assert_eq!(
            nobody.post("/sign-in", &fields).await.is(303).location(),
            "/"
        );
    }
}

#[tokio::test]
async fn signing_out_ends_this_browser_and_no_other() {
    let world = World::peopled().await;
    let (here, there) = (world.person("dora"), world.visitor("dora").await);
    let answer = here.send("/account", "/sign-out", &[]).await;
    assert!(
        answer
            .is(303)
            .headers
            .get(header::SET_COOKIE)
            .unwrap()
            .to_str()
            .unwrap()
            .contains("Max-Age=0")
    );
    here.get("/account").await.is(303);
    here.post("/sign-out", &[])
        .await
        .is(401)
        .sees("You are signed out");
    there.get("/account").await.is(200);
}

#[tokio::test]
async fn what_is_sent_after_the_session_has_ended_is_shown_to_be_copied() {
    let scene = Scene::opened().await;
    scene.world.pass_minutes(31);
    let fields = [
        ("base", "17"),
        ("shade.tab", "B-20"),
        ("note", "tissue <b>side</b> & borders\nas they are"),
        ("empty", " "),
        ("post_key", "sign-key-0001"),
        ("password", PASSWORD),
        ("new_password", "another fine sentence"),
    ];
    let answer = scene.dora.post(&scene.at("/write"), &fields).await;
    answer
        .is(401)
        .sees("What you sent, to copy")
        .sees("B-20")
        .sees("tissue <b>side</b> & borders as they are");
    assert_eq!(answer.count("dd"), 2);
    for hidden in [PASSWORD, "another fine sentence", "sign-key-0001"] {
        assert!(!answer.text().contains(hidden));
    }
    assert_eq!(answer.attribute("p.actions a", "href"), "/sign-in");
    // Nothing can be copied out of what cannot be read.
    let broken = scene.dora.post_body(&scene.at("/write"), "a=%FF").await;
    broken.is(401).sees_not("What you sent, to copy");
}

#[tokio::test]
async fn an_error_leads_back_to_where_one_was() {
    let world = World::peopled().await;
    let ask = async |who: &crate::common::Visitor, referer: &str| {
        let request = Request::get("/cases/C000000000")
            .header(header::HOST, "vestibule.test")
            .header(header::REFERER, referer)
            .body(Body::empty())
            .unwrap();
        who.ask(request).await
    };
    let dora = world.person("dora");
    let answer = ask(&dora, "http://vestibule.test/patients?page=2").await;
    answer.is(404).sees("There is no such page");
    assert_eq!(answer.attribute("p.actions a", "href"), "/patients?page=2");
    assert_eq!(answer.count("main a[href^=\"/sign-in\"]"), 0);
    let answer = ask(&dora, "http://evil.example/patients").await;
    assert_eq!(answer.is(404).attribute("p.actions a", "href"), "/");
    // Whoever is signed out comes back there by signing in.
    let request = Request::post("/account/password")
        .header(header::HOST, "vestibule.test")
        .header(header::ORIGIN, "http://vestibule.test")
        .header(header::REFERER, "http://vestibule.test/account")
        .body(Body::empty())
        .unwrap();
    let answer = world.nobody().ask(request).await;
    let links = answer.is(401).attribute("p.actions a", "href");
    assert_eq!(links, "/sign-in?next=%2Faccount");
}

#[tokio::test]
async fn signing_out_everywhere_ends_every_browser_of_that_person() {
    let world = World::peopled().await;
    let (here, there) = (world.person("dora"), world.visitor("dora").await);
    here.send("/account", "/sign-out-everywhere", &[])
        .await
        .is(303);
    here.get("/account").await.is(303);
    there.get("/account").await.is(303);
    world.person("anna").get("/account").await.is(200);
}

#[tokio::test]
async fn half_an_hour_without_a_request_ends_a_session() {
    let world = World::peopled().await;
    let dora = world.visitor("dora").await;
    world.pass_minutes(29);
    dora.get("/account").await.is(200);
    world.pass_minutes(29);
    dora.get("/account").await.is(200);
    world.pass_minutes(30);
    dora.get("/account").await.is(303);
}

#[tokio::test]
async fn an_office_day_ends_a_session_however_busy_it_is() {
    let world = World::peopled().await;
    let dora = world.visitor("dora").await;
    for _ in 0..29 {
        world.pass_minutes(20);
        dora.get("/account").await.is(200);
    }
    world.pass_minutes(20);
    dora.get("/account").await.is(303);
}

#[tokio::test]
async fn a_disabled_account_loses_its_session_at_once_and_may_come_back() {
    let world = World::peopled().await;
    let (root, tom) = (world.person("root"), world.person("tom"));
    let action = shut_out_action(&root.get("/people").await, "tom");
    root.send("/people", &action, &[]).await.is(303);
    tom.get("/").await.is(303);
    let fields = [("login", "tom"), ("password", PASSWORD)];
    world
        .nobody()
        .post("/sign-in", &fields)
        .await
        .is(422)
        .sees("do not fit");
    let again = action.replace("/disabled", "/let-in-again");
    let password = [("password", PASSWORD)];
    root.send(&again, &again, &password).await.is(303);
    tom.get("/").await.is(303);
    world.nobody().post("/sign-in", &fields).await.is(303);
}

#[tokio::test]
async fn two_people_can_be_shut_out_from_one_and_the_same_page() {
    let world = World::peopled().await;
    let root = world.person("root");
    let page = root.get("/people").await;
    for login in ["tom", "mara"] {
        let action = shut_out_action(&page, login);
        let form = page.form("/people", &action, "");
        root.post_body(
            &action,
            encode(form.iter().map(|(k, v)| (k.as_str(), v.as_str()))),
        )
        .await
        .is(303);
    }
    world.person("tom").get("/").await.is(303);
    world.person("mara").get("/").await.is(303);
}

/// Where the form goes that shuts this person out.
fn shut_out_action(page: &crate::common::Answer, login: &str) -> String {
    let html = scraper::Html::parse_document(&page.text());
    let rows = scraper::Selector::parse("tr").unwrap();
    let forms = scraper::Selector::parse("form").unwrap();
    let row = html
        .select(&rows)
        .find(|row| row.text().any(|text| text == login))
        .unwrap();
    row.select(&forms)
        .next()
        .unwrap()
        .attr("action")
        .unwrap()
        .to_owned()
}

#[tokio::test]
async fn an_administrator_cannot_shut_out_the_last_one_who_could_let_in() {
    let world = World::peopled().await;
    let root = world.person("root");
    let page = root.get("/people").await;
    assert!(!page.text().contains("<span class=\"unseen\"> root</span>"));
}

#[tokio::test]
async fn changing_the_password_ends_the_other_sessions() {
    let world = World::peopled().await;
    let (here, there) = (world.person("dora"), world.visitor("dora").await);
    let with = |old, new, again| {
        [
            ("password", old),
            ("new_password", new),
            ("password_again", again),
        ]
    };
    for (fields, wrong) in [
        (
            with("wrong", "a brand new sentence", "a brand new sentence"),
            "password",
        ),
        (
            with("", "a brand new sentence", "a brand new sentence"),
            "password",
        ),
        (with(PASSWORD, "short", "short"), "new_password"),
        (
            with(PASSWORD, "a brand new sentence", "another"),
            "password_again",
        ),
    ] {
        let answer = here.send("/account", "/account/password", &fields).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
    }
    there.get("/account").await.is(200);
    let new = with(PASSWORD, "a brand new sentence", "a brand new sentence");
    let answer = here.send("/account", "/account/password", &new).await;
    answer.is(303);
    assert!(
        answer
            .cookie()
            .is_some_and(|cookie| Some(cookie) != here.cookie)
    );
    there.get("/account").await.is(303);
    here.get("/account").await.is(303);
    world
        .nobody()
        .post("/sign-in", &[("login", "dora"), ("password", PASSWORD)])
        .await
        .is(422);
}

#[tokio::test]
async fn the_session_cookie_is_kept_from_scripts_and_other_sites() {
    let world = World::peopled().await;
    let fields = [("login", "dora"), ("password", PASSWORD)];
    let plain = world.nobody().post("/sign-in", &fields).await;
    let plain = plain
        .headers
        .get(header::SET_COOKIE)
        .unwrap()
        .to_str()
        .unwrap()
        .to_owned();
    for part in [
        "vestibule=",
        "; Path=/",
        "; HttpOnly",
        "; SameSite=Lax",
        "; Max-Age=36000",
    ] {
        assert!(plain.contains(part), "{part} in {plain}");
    }
    let over_tls = world.nobody_over_tls().post("/sign-in", &fields).await;
    let cookie = over_tls
        .headers
        .get(header::SET_COOKIE)
        .unwrap()
        .to_str()
        .unwrap();
    assert!(cookie.starts_with("__Host-vestibule=") && cookie.contains("; Secure"));
    assert!(over_tls.headers.contains_key("strict-transport-security"));
}

#[tokio::test]
async fn a_forged_or_foreign_cookie_is_nobody() {
    let world = World::peopled().await;
    for cookie in [
        "vestibule=",
        "vestibule=x",
        "vestibule='; DROP TABLE session",
        "other=1",
        "vestibule",
    ] {
        let mut visitor = world.nobody();
        visitor.cookie = Some(cookie.to_owned());
        visitor.get("/").await.is(303);
    }
}

#[tokio::test]
async fn a_post_from_another_site_changes_nothing() {
    let world = World::peopled().await;
    let dora = world.person("dora");
    let from = |pairs: &[(&'static str, &'static str)]| {
        let mut request = Request::post("/sign-out")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        for (name, value) in pairs {
            request = request.header(*name, *value);
        }
        request.body(Body::empty()).unwrap()
    };
    for pairs in [
        &[("host", "vestibule.test")][..],
        &[
            ("host", "vestibule.test"),
            ("origin", "http://evil.example"),
        ],
        &[("host", "vestibule.test"), ("origin", "null")],
        &[
            ("host", "vestibule.test"),
            ("origin", "http://vestibule.test:81"),
        ],
        &[("origin", "http://vestibule.test")],
        &[
            ("host", "vestibule.test"),
            ("origin", "http://vestibule.test"),
            ("sec-fetch-site", "cross-site"),
        ],
        &[
            ("host", "vestibule.test"),
            ("origin", "http://vestibule.test"),
            ("sec-fetch-site", "same-site"),
        ],
        &[("host", "vestibule.test"), ("sec-fetch-site", "none")],
    ] {
        dora.ask(from(pairs))
            .await
            .is(403)
            .sees("Nothing was changed");
    }
    dora.get("/account").await.is(200);
    dora.ask(from(&[("sec-fetch-site", "same-origin")]))
        .await
        .is(303);
    dora.get("/account").await.is(303);
}

#[tokio::test]
async fn the_sign_in_form_too_is_taken_from_our_own_pages_only() {
    let world = World::peopled().await;
    let body = format!("login=dora&password={}", PASSWORD.replace(' ', "+"));
    let request = Request::post("/sign-in")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .header("host", "vestibule.test")
        .header("origin", "http://evil.example");
    let answer = world
        .nobody()
        .ask(request.body(Body::from(body)).unwrap())
        .await;
    assert_eq!(answer.is(403).cookie(), None);
}

#[tokio::test]
async fn a_clock_set_back_keeps_nobody_signed_in_for_longer() {
    let world = World::peopled().await;
    let dora = world.visitor("dora").await;
    assert_eq!(world.outside.now_ms(), MONDAY_MS);
    world.pass_minutes(-120);
    dora.get("/account").await.is(200);
    world.pass_minutes(120 + 10 * HOUR_MIN);
    dora.get("/account").await.is(303);
}
