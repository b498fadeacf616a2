//! Rows that somebody has put in past the program, and what is worked on top of them: each is refused where it is used.

use super::{a_minute_of_use, clear, faults, set_back};
use crate::common::{PASSWORD, Visitor};
use crate::scene::{LEAST, Scene, last_part, open_case};
use vestibule::app::clock_doubt;
use vestibule::app::resume::{Restore, go_on_by_the_clock};
use vestibule::app::sign_in::secret_hash;
use vestibule::domain::prescription::revision::document_hash;

const DAY: i64 = 24 * 60;
const YEAR: i64 = 365 * DAY;

async fn change(scene: &Scene, sql: &str) {
    let mut conn = scene.world.past_the_store().await;
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned())).execute(&mut conn);
    done.await.unwrap();
}

/// A link for a second dentist of Northgate.
async fn invited(scene: &Scene, name: &str) -> String {
    let root = scene.world.person("root");
    let party = root.get("/people").await.option_value("party", "Northgate");
    let fields = [
        ("name", name),
        ("role", "dentist"),
        ("party", party.as_str()),
        ("password", PASSWORD),
    ];
    let made = root.send("/people", "/people/invite", &fields).await;
    let link = made.is(200).attribute("input.link", "value");
    link.trim_start_matches("http://vestibule.test").to_owned()
}

async fn answers(scene: &Scene, link: &str) -> u16 {
    scene.world.nobody().get(link).await.status.as_u16()
}

#[tokio::test]
async fn r22_each_of_two_links_for_one_role_and_house_lets_one_person_in_in_either_order() {
    for older_first in [true, false] {
        let scene = Scene::opened().await;
        let older = invited(&scene, "Rudolf").await;
        let newer = invited(&scene, "Rosa").await;
        let (first, second) = match older_first {
            true => (&older, &newer),
            false => (&newer, &older),
        };
        scene.world.join(first, "rudolf", Some("D-1")).await;
        assert_eq!(answers(&scene, first).await, 404);
        assert_eq!(answers(&scene, second).await, 200, "{older_first}");
        // Its row put back as it was opens nothing, and takes nobody else's place.
        change(&scene, "UPDATE invite SET used_ms = NULL").await;
        assert_eq!(answers(&scene, first).await, 404);
        scene.world.join(second, "rosa", Some("D-2")).await;
        change(&scene, "UPDATE invite SET used_ms = NULL").await;
        for link in [&older, &newer] {
            assert_eq!(answers(&scene, link).await, 404);
        }
        // The locks that this test has taken away are missing, and nothing else is wrong.
        let said = faults(&scene).await;
        let mut others = said.lines().filter(|line| !line.contains("the trigger "));
        assert_eq!(others.next(), None);
    }
}

#[tokio::test]
async fn r22_a_link_that_was_made_void_stays_so_whatever_its_row_says() {
    let scene = Scene::opened().await;
    let link = invited(&scene, "Rudolf").await;
    let root = scene.world.person("root");
    let void = root.send("/people", "/people/links/revoke", &[]).await;
    void.is(303);
    change(&scene, "UPDATE invite SET used_ms = NULL").await;
    assert_eq!(answers(&scene, &link).await, 404);
    // Of two links for one new password, the first is void.
    let page = root.get("/people").await;
    let is_doras = |path: &String| {
        let words = "\">Forgotten password<span\n  class=\"unseen\"> of dora";
        page.text().contains(&format!("{path}{words}"))
    };
    let way = page.hrefs("/people/").into_iter().find(is_doras).unwrap();
    let mut links = Vec::new();
    for _ in 0..2 {
        scene.world.pass_minutes(1);
        let made = root.send(&way, &way, &[("password", PASSWORD)]).await;
        let link = made.is(200).attribute("input.link", "value");
        links.push(link.trim_start_matches("http://vestibule.test").to_owned());
    }
    change(&scene, "UPDATE invite SET used_ms = NULL").await;
    assert_eq!(answers(&scene, &links[0]).await, 404);
    assert_eq!(answers(&scene, &links[1]).await, 200);
}

fn with_secret(scene: &Scene, secret: &str) -> Visitor {
    let mut who = scene.world.nobody();
    who.cookie = Some(format!("vestibule={secret}"));
    who
}

#[tokio::test]
async fn r22_a_session_that_nobody_has_begun_here_opens_nothing() {
    let scene = Scene::opened().await;
    let secret = "a-secret-of-ones-own";
    let hash = secret_hash(secret);
    // One of one's own, and one copied from a session of hers, binding and all.
    for sql in [
        format!(
            "INSERT INTO session (secret_hash, account_id, began_ms, seen_ms, ends_ms, proved_ms) \
             SELECT '{hash}', account_id, began_ms, seen_ms, 9000000000000, began_ms FROM session \
             WHERE account_id = (SELECT id FROM account WHERE login = 'dora') LIMIT 1"
        ),
        format!(
            "INSERT INTO session (secret_hash, account_id, began_ms, seen_ms, ends_ms, proved_ms, address, browser, binding) \
             SELECT '{hash}', account_id, began_ms, seen_ms, ends_ms, proved_ms, address, browser, binding FROM session WHERE account_id = (SELECT id FROM account WHERE login = 'dora') AND binding <> '' LIMIT 1"
        ),
    ] {
        change(&scene, &sql).await;
        let forged = with_secret(&scene, secret);
        forged.get("/account").await.is(303);
        forged.post("/sign-out", &[]).await;
        change(
            &scene,
            &format!("DELETE FROM session WHERE secret_hash = '{hash}'"),
        )
        .await;
    }
    // Her own session works, and ends where somebody makes another's of it, or makes it last, or says that the password
    // was typed, when she was here, or where.
    for set in [
        "account_id = (SELECT id FROM account WHERE login = 'root')",
        "ends_ms = ends_ms + 1",
        "proved_ms = proved_ms + 1",
        "seen_ms = seen_ms + 1",
        "address = '203.0.113.7'",
        "browser = 'another one'",
    ] {
        let anna = scene.world.visitor("anna").await;
        anna.get("/account").await.is(200);
        change(&scene, &format!("UPDATE session SET {set}")).await;
        anna.get("/account").await.is(303);
        change(&scene, "DELETE FROM session").await;
    }
    // Typing the password again keeps it.
    let dora = scene.world.visitor("dora").await;
    dora.send(
        "/account",
        "/account/password",
        &[
            ("password", PASSWORD),
            ("new_password", "a boat upon the quiet river"),
            ("password_again", "a boat upon the quiet river"),
        ],
    )
    .await
    .is(303);
}

#[tokio::test]
async fn r22_a_browser_that_somebody_has_put_in_is_known_to_nobody() {
    let scene = Scene::opened().await;
    let secret = "a-browser-of-ones-own";
    change(
        &scene,
        &format!(
            "INSERT INTO known_browser (secret_hash, account_id, ends_ms) \
             SELECT '{}', id, 9000000000000 FROM account WHERE login = 'dora'",
            secret_hash(secret)
        ),
    )
    .await;
    let mut guesser = scene.world.nobody().at([203, 0, 113, 9]);
    guesser.cookie = Some(format!("vestibule-known={secret}"));
    let tries = async |password: &str| {
        let fields = [("login", "dora"), ("password", password)];
        guesser.post("/sign-in", &fields).await
    };
    let fields = [("login", "dora"), ("password", "wrong")];
    let stranger = scene.world.nobody().at([203, 0, 113, 9]);
    for _ in 0..5 {
        stranger.post("/sign-in", &fields).await.is(422);
    }
    // A browser that is known would have a door of its own here.
    tries(PASSWORD).await.is(429);
}

#[tokio::test]
async fn r22_a_clock_far_ahead_is_asked_about_for_an_entry_and_for_a_signature() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    scene.world.pass_minutes(YEAR);
    let dora = scene.world.visitor("dora").await;
    scene.write(&dora, &LEAST).await.is(303);
    scene
        .write(&dora, &[("dates.wanted", "2027-03-20")])
        .await
        .is(303);
    let page = dora.whole_form(&scene.at("/write")).await;
    let boxes = page.names("reason.");
    let reasons: Vec<(&str, &str)> = boxes
        .iter()
        .map(|name| (name.as_str(), "as agreed"))
        .collect();
    scene.write(&dora, &reasons).await.is(303);
    let tom = scene.world.visitor("tom").await;
    let leaves = scene.leaves().await;
    let moved = [("action", "move"), ("moved_to", "shelf 4")];
    let item = format!("/items/{}", things.bite);
    let fields = [&moved[..], &[("post_key", "clock-key-0001")]].concat();
    let answer = dora.post(&format!("{item}/record"), &fields).await;
    answer
        .is(409)
        .sees("The clock of this computer says 2027-")
        .sees("Nothing was entered.");
    let page = scene.at("/sign");
    let answer = dora.send(&page, &page, &[("password", PASSWORD)]).await;
    answer.is(409).sees("The clock of this computer says 2027-");
    assert_eq!(scene.leaves().await, leaves);
    let right = [("password", PASSWORD)];
    tom.send("/record", "/record/clock", &right).await.is(303);
    dora.post(&format!("{item}/record"), &fields).await.is(303);
    dora.send(&page, &page, &[("password", PASSWORD)])
        .await
        .is(303);
    assert_eq!(scene.leaves().await.len(), leaves.len() + 2);
}

#[tokio::test]
async fn r22_after_a_word_about_the_clock_one_that_is_set_back_is_noticed_again() {
    let scene = Scene::opened().await;
    let app = &scene.world.app;
    let card = "/patients/new";
    scene.world.pass_minutes(YEAR);
    let dora = scene.world.visitor("dora").await;
    let right = [("password", PASSWORD)];
    dora.send("/record", "/record/clock", &right).await.is(303);
    scene.add(&dora, "facebow_record", "", "here").await;
    scene.world.pass_minutes(-YEAR);
    let word = |reason: &str| Restore {
        login: "root".to_owned(),
        password: PASSWORD.to_owned(),
        reason: reason.to_owned(),
    };
    go_on_by_the_clock(app, &word("It was a year ahead."))
        .await
        .unwrap();
    let ahead = async || {
        let mut conn = app.store.read().await.unwrap();
        clock_doubt::ahead(app, &mut conn).await.unwrap()
    };
    assert_eq!(ahead().await, None);
    scene.world.pass_minutes(DAY);
    let dora = scene.world.visitor("dora").await;
    dora.send(card, card, &[]).await.is(303);
    // Back before what was entered by the right clock.
    scene.world.pass_minutes(-90 * DAY);
    assert!(ahead().await.is_some());
    let dora = scene.world.visitor("dora").await;
    let refused = dora.send(card, card, &[]).await;
    refused.is(409).sees("vestibule clock");
    go_on_by_the_clock(app, &word("It was a quarter ahead."))
        .await
        .unwrap();
    assert_eq!(ahead().await, None);
    let card = dora.send(card, card, &[]).await;
    card.is(303);
    assert_eq!(faults(&scene).await, "");
}

#[tokio::test]
async fn r22_a_signed_text_that_was_changed_is_neither_shown_nor_printed_nor_proved() {
    let scene = Scene::signed().await;
    let paths = [
        "",
        "/revisions/1",
        "/revisions/1/slip.pdf",
        "/revisions/1/text.pdf",
        "/revisions/1/front.svg",
        "/history",
        "/record.tar",
        "/write",
    ];
    for path in paths {
        scene.dora.get(&scene.at(path)).await.is(200);
    }
    let mut conn = scene.world.past_the_store().await;
    for lock in ["revision_no_UPDATE", "revision_no_DELETE"] {
        let sql = format!("DROP TRIGGER IF EXISTS {lock}");
        let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
        done.await.unwrap();
    }
    let (text,): (String,) = sqlx::query_as("SELECT document FROM revision")
        .fetch_one(&mut conn)
        .await
        .unwrap();
    let changed = text.replace("B-20", "B-40");
    assert_ne!(changed, text);
    sqlx::query("UPDATE revision SET document = $1, hash = $2")
        .bind(&changed)
        .bind(document_hash(&changed))
        .execute(&mut conn)
        .await
        .unwrap();
    // As at another start, in which nothing is kept of before.
    change(&scene, "UPDATE case_file SET version = version + 1").await;
    for path in paths {
        let answer = scene.dora.get(&scene.at(path)).await;
        assert_eq!(answer.status, 409, "{path}");
        answer.sees("vestibule check").sees_not("B-40");
    }
    let tom = scene.tom.get(&scene.at("/revisions/1")).await;
    tom.is(409)
        .sees("is not as it was signed")
        .sees("neither shown nor printed");
    assert!(faults(&scene).await.contains("revision"));
}

#[tokio::test]
async fn r22_nothing_is_entered_or_signed_on_top_of_an_entry_that_was_taken_out() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let shown = scene.signature().await;
    let last = "(SELECT MAX(position) FROM event)";
    change(
        &scene,
        &format!(
            "DELETE FROM event WHERE position = {last}; UPDATE case_file SET version = version + 1"
        ),
    )
    .await;
    let moved = [("moved_to", "shelf 4")];
    let answer = scene
        .record(&scene.dora, &things.duplicate, "move", &moved)
        .await;
    answer
        .is(409)
        .sees("past this program")
        .sees("vestibule check");
    let page = scene.dora.get(&scene.at("/sign")).await;
    page.is(200).sees("vestibule check");
    let answer = scene.sign_as_shown(&shown).await;
    answer.is(409).sees("vestibule check");
}

#[tokio::test]
async fn r22_whose_a_cleared_alarm_was_is_held_against_the_record() {
    for set in [
        "UPDATE alarm SET party_id = (SELECT party_id FROM account WHERE login = 'sven')",
        "UPDATE alarm SET party_id = NULL",
        "UPDATE alarm SET account_id = (SELECT id FROM account WHERE login = 'sven')",
        "UPDATE settlement SET account_id = (SELECT id FROM account WHERE login = 'sven')",
        "UPDATE settlement SET name = 'sven'",
    ] {
        let scene = Scene::opened().await;
        scene.things().await;
        a_minute_of_use(&scene).await;
        set_back(&scene, 18).await;
        a_minute_of_use(&scene).await;
        clear(&scene, "The disk was replaced.", PASSWORD)
            .await
            .is(303);
        let before = faults(&scene).await;
        change(&scene, set).await;
        let after = faults(&scene).await;
        assert_ne!(before, after, "{set}");
    }
}

#[tokio::test]
async fn r22_a_pan_that_was_moved_to_another_case_leads_to_none_and_is_named() {
    let (scene, _things) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    let (bench, assign) = (scene.at("/bench"), scene.at("/assign"));
    scene
        .tom
        .send(&bench, &assign, &[("pan", "B-3")])
        .await
        .is(303);
    scene.tom.get("/find?q=b3").await.is(303);
    change(&scene, "UPDATE case_file SET pan_key = 'b4'").await;
    for typed in ["b3", "b4"] {
        scene.tom.get(&format!("/find?q={typed}")).await.is(404);
    }
    let said = faults(&scene).await;
    assert!(said.contains("looked for as “b4”"), "{said}");
}

#[tokio::test]
async fn nothing_is_asked_in_another_case_that_is_not_as_the_record_says() {
    let (scene, things) = Scene::at_the_lab().await;
    let own = scene.number.clone();
    let patient = last_part(&scene.dora.send("/patients/new", "/patients/new", &[]).await);
    let number = open_case(&scene.dora, &patient, "upper").await;
    let other = Scene { number, ..scene };
    other.sign(&LEAST).await.is(303);
    let bite = other.add(&other.anna, "bite_record", "", "here").await;
    other.release(&other.anna, &[&bite], &[]).await.is(303);
    let opened = |sign: &str| {
        format!("UPDATE case_file SET opened_ms = opened_ms {sign} 1 WHERE number = '{own}'")
    };
    change(&other, &opened("-")).await;
    let came_along = [
        ("foreign", things.provisional.as_str()),
        ("unannounced", "a pink denture, upper"),
    ];
    let sound = [(bite.as_str(), "sound")];
    let received = other.receive(&other.tom, &sound, &came_along).await;
    received.is(303);
    change(&other, &opened("+")).await;
    let item = format!("/items/{}", things.provisional);
    let page = other.tom.get(&item).await;
    page.is(200).sees_not("It came in a parcel of case");
}

#[tokio::test]
async fn r23_a_copy_of_an_open_link_under_another_secret_opens_nothing() {
    let scene = Scene::opened().await;
    let link = invited(&scene, "Rudolf").await;
    let secret = "a-secret-of-ones-own";
    let copied = format!(
        "INSERT INTO invite (secret_hash, party_id, role, name, made_ms, ends_ms, admission_id, account_id, binding) \
         SELECT '{}', party_id, role, name, made_ms, ends_ms, admission_id, account_id, binding FROM invite \
         WHERE used_ms IS NULL",
        secret_hash(secret)
    );
    change(&scene, &copied).await;
    assert_eq!(answers(&scene, &format!("/join/{secret}")).await, 404);
    assert_eq!(answers(&scene, &link).await, 200);
    // Nor does one that somebody has made last longer.
    change(&scene, "UPDATE invite SET ends_ms = ends_ms + 1").await;
    assert_eq!(answers(&scene, &link).await, 404);
}

#[tokio::test]
async fn r23_a_session_that_a_new_password_has_ended_stays_so_when_its_row_comes_back() {
    let scene = Scene::opened().await;
    let there = scene.world.visitor("dora").await;
    there.get("/account").await.is(200);
    change(&scene, "CREATE TABLE kept AS SELECT * FROM session").await;
    let new = [
        ("password", PASSWORD),
        ("new_password", "a boat upon the quiet river"),
        ("password_again", "a boat upon the quiet river"),
    ];
    let here = &scene.dora;
    here.send("/account", "/account/password", &new)
        .await
        .is(303);
    let back = "INSERT INTO session SELECT * FROM kept WHERE secret_hash NOT IN (SELECT secret_hash FROM session); \
                DROP TABLE kept";
    change(&scene, back).await;
    there.get("/account").await.is(303);
}
