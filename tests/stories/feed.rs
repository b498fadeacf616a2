//! The days of a house under an address that a calendar program reads: who has it, what stands there, and what ends it.

use crate::common::{Answer, PASSWORD, Visitor, World};
use crate::databases::Database;
use crate::scene::{LEAST, Scene, open_case};
use vestibule::app::sign_in::secret_hash;

const DAYS: [(&str, &str); 2] = [
    ("dates.insertion", "2026-03-24"),
    ("dates.first_check", "2026-03-25"),
];

/// A case with three days is signed.
async fn signed() -> Scene {
    let scene = Scene::opened().await;
    let fields: Vec<_> = LEAST.into_iter().chain(DAYS).collect();
    scene.sign(&fields).await.is(303);
    scene
}

/// Makes an address, and answers with its path.
pub async fn makes(who: &Visitor) -> String {
    let page = who
        .send("/account", "/account/feed", &[("password", PASSWORD)])
        .await;
    page.is(200).sees("It is shown only now");
    let address = page.attribute("input.link", "value");
    address
        .strip_prefix("http://vestibule.test")
        .unwrap()
        .to_owned()
}

fn lines<'a>(text: &'a str, name: &str) -> Vec<&'a str> {
    text.split("\r\n")
        .filter(|line| line.starts_with(name))
        .collect()
}

/// What whoever asks by a wrong address gets: nothing else is told, and nothing is set.
fn is_nothing(answer: &Answer) {
    answer.is(404).sees("Page not found");
    assert!(answer.cookies().is_empty());
    assert!(!answer.text().contains("VCALENDAR"));
}

#[tokio::test]
async fn a_calendar_program_reads_the_days_of_its_house_and_nothing_of_anybody() {
    let scene = signed().await;
    let nobody = scene.world.nobody();
    let path = makes(&scene.dora).await;
    // 256 bits in base64url without padding are 43 signs (RFC 4648, section 5).
    let secret = path.strip_prefix("/feed/").unwrap();
    let secret = secret.strip_suffix(".ics").unwrap();
    assert_eq!(secret.len(), 43);
    let answer = nobody.get(&path).await;
    answer.is(200);
    for (name, value) in [
        ("content-type", "text/calendar; charset=utf-8"),
        ("cache-control", "private, no-cache"),
        ("referrer-policy", "no-referrer"),
    ] {
        assert_eq!(answer.headers[name], value);
    }
    let text = answer.text();
    let file = scene.dora.get(&scene.at("/dates.ics")).await.text();
    // The same events as in the file of the case: a calendar that has both has each once (RFC 5545, section 3.8.4.7).
    for name in ["UID:", "SEQUENCE:", "DTSTAMP:", "DTSTART"] {
        assert_eq!(lines(&text, name), lines(&file, name));
    }
    assert_eq!(lines(&text, "UID:").len(), 3);
    assert!(text.contains("SUMMARY:Work due back: case "));
    for word in [
        "Kiln",
        "Northgate",
        "dora",
        scene.patient.as_str(),
        "complete denture",
        "B-20",
    ] {
        assert!(!text.contains(word), "{word} in {text}");
    }
    // It is not on the page again, and in the file of the database only by its hash.
    let page = scene.dora.get("/account").await;
    page.is(200).sees("You have one since");
    assert_eq!(page.count("input.link"), 0);
    let bytes = scene.world.bytes_of_the_database();
    assert!(!bytes.contains(secret));
    assert!(bytes.contains(&secret_hash(secret)));
    // The lab has its own, in its own words.
    let labs = nobody.get(&makes(&scene.tom).await).await.text();
    assert!(labs.contains("SUMMARY:Insertion at the office: case "));
    // A further revision moves the day: the same event, a higher number.
    scene.sign(&[("dates.wanted", "2026-03-19")]).await.is(303);
    let later = nobody.get(&path).await.text();
    assert_eq!(lines(&later, "UID:"), lines(&text, "UID:"));
    assert!(later.contains("VALUE=DATE:20260319") && later.contains("SEQUENCE:4"));
    // A closed case is in it no more.
    let close = scene.at("/close");
    let said = [("password", PASSWORD), ("nothing_made", "yes")];
    scene.dora.send(&close, &close, &said).await.is(303);
    let closed = nobody.get(&path).await;
    assert!(!closed.is(200).text().contains("VEVENT"));
}

#[tokio::test]
async fn each_house_reads_its_own_cases_alone_and_who_reads_no_cases_has_no_address() {
    let scene = signed().await;
    let nobody = scene.world.nobody();
    for (login, is_there) in [
        ("dora", true),
        ("anna", true),
        ("tom", true),
        ("mara", true),
        ("sven", false),
        ("lars", false),
    ] {
        let path = makes(&scene.world.person(login)).await;
        let text = nobody.get(&path).await.is(200).text();
        assert!(text.starts_with("BEGIN:VCALENDAR\r\n"), "{login}");
        assert_eq!(text.contains(&scene.number), is_there, "{login}");
    }
    let root = scene.world.person("root");
    root.get("/account")
        .await
        .is(200)
        .sees_not("Address for a calendar");
    root.post("/account/feed", &[("password", PASSWORD)])
        .await
        .is(403);
    nobody.post("/account/feed", &[]).await.is(401);
}

#[tokio::test]
async fn a_wrong_password_makes_no_address() {
    let scene = Scene::opened().await;
    for (password, words) in [
        ("", "Type your password again."),
        ("no", "not your password"),
    ] {
        let answer = scene
            .dora
            .send("/account", "/account/feed", &[("password", password)])
            .await;
        answer.is(422).sees(words);
        assert_eq!(answer.count("input.link"), 0);
    }
    scene
        .dora
        .get("/account")
        .await
        .sees_not("You have one since");
}

#[tokio::test]
async fn an_address_ends_when_it_is_renewed_or_ended_and_with_the_password_and_the_account() {
    let scene = signed().await;
    let nobody = scene.world.nobody();
    let first = makes(&scene.dora).await;
    let second = makes(&scene.dora).await;
    assert_ne!(first, second);
    is_nothing(&nobody.get(&first).await);
    nobody.get(&second).await.is(200);
    // The colleague's own is none of hers.
    let annas = makes(&scene.anna).await;
    let ended = scene.dora.post("/account/feed/end", &[]).await;
    assert_eq!(ended.is(303).location(), "/account?done=feed_ended");
    is_nothing(&nobody.get(&second).await);
    nobody.get(&annas).await.is(200);
    let third = makes(&scene.dora).await;
    let new = "a boat upon the quiet river";
    let fields = [
        ("password", PASSWORD),
        ("new_password", new),
        ("password_again", new),
    ];
    let changed = scene.dora.send("/account", "/account/password", &fields);
    changed.await.is(303);
    is_nothing(&nobody.get(&third).await);
    // Shut out, and let in again: the address of before stays void, also where its row is put back.
    let mut conn = scene.world.past_the_store().await;
    for sql in [
        "CREATE TABLE kept_aside AS SELECT * FROM calendar_feed",
        "",
        "INSERT INTO calendar_feed SELECT * FROM kept_aside",
    ] {
        if sql.is_empty() {
            for _ in ["shut out", "let in"] {
                shut_out_or_let_in(&scene, "anna").await;
                is_nothing(&nobody.get(&annas).await);
            }
            continue;
        }
        let done = sqlx::raw_sql(sql).execute(&mut conn).await;
        assert!(done.unwrap().rows_affected() <= 1);
    }
    is_nothing(&nobody.get(&annas).await);
    scene
        .world
        .visitor("anna")
        .await
        .get("/account")
        .await
        .is(200)
        .sees_not("You have one since");
}

async fn shut_out_or_let_in(scene: &Scene, login: &str) {
    let root = scene.world.person("root");
    let mut conn = scene.world.past_the_store().await;
    let (id,): (String,) = sqlx::query_as("SELECT id FROM account WHERE login = $1")
        .bind(login)
        .fetch_one(&mut conn)
        .await
        .unwrap();
    let again = format!("/people/{id}/let-in-again");
    let done = match root.get(&again).await.status.as_u16() {
        200 => root.send(&again, &again, &[("password", PASSWORD)]).await,
        _ => {
            let action = format!("/people/{id}/disabled");
            root.send("/people", &action, &[]).await
        }
    };
    done.is(303);
}

#[tokio::test]
async fn a_case_that_cannot_be_read_is_named_where_its_days_are_missing() {
    let scene = signed().await;
    let path = makes(&scene.dora).await;
    let mut conn = scene.world.past_the_store().await;
    let changed =
        "DROP TRIGGER revision_no_UPDATE; UPDATE revision SET signer_name = signer_name || '.'";
    sqlx::raw_sql(changed).execute(&mut conn).await.unwrap();
    let days = scene.world.nobody().get(&path).await;
    let text = days.is(200).text();
    says_missing(&text, "1 case cannot be read");
}

/// That a file says what is missing, of itself and as the only day of it, which is today.
fn says_missing(text: &str, words: &str) {
    // A long line goes on behind a blank (RFC 5545, section 3.1).
    let whole = text.replace("\r\n ", "");
    for name in ["DESCRIPTION:", "SUMMARY:Days of cases are missing"] {
        let said = lines(&whole, name);
        assert!(said.len() == 1 && said[0].contains(words), "{said:?}");
    }
    assert_eq!(lines(&whole, "DTSTART"), ["DTSTART;VALUE=DATE:20260302"]);
}

/// Whoever can write the database takes a case out of what a calendar asks for.
#[tokio::test]
async fn a_case_that_is_taken_out_of_a_calendar_past_the_program_is_told_in_it() {
    const COUNTED: &str = "UPDATE party SET changes = changes + 1";
    let away = "PRAGMA foreign_keys = OFF; DROP TRIGGER IF EXISTS case_file_no_DELETE; DELETE FROM case_file";
    for (sql, words) in [
        (away, "1 case of yours taken away past this program"),
        (
            "UPDATE case_file SET revision = 0, version = version + 1",
            "1 case cannot be read",
        ),
    ] {
        let world = World::peopled().await.signed_beside().await;
        let scene = Scene::opened_in(world).await;
        let fields: Vec<_> = LEAST.into_iter().chain(DAYS).collect();
        scene.sign(&fields).await.is(303);
        scene.world.app.store.looked_at().await;
        scene.world.pass_minutes(1);
        let path = makes(&scene.tom).await;
        let nobody = scene.world.nobody();
        let before = nobody.get(&path).await.text();
        assert_eq!(lines(&before, "UID:").len(), 3);
        scene.world.pass_minutes(1);
        let mut conn = scene.world.past_the_store().await;
        for sql in [sql, COUNTED] {
            let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned()));
            done.execute(&mut conn).await.unwrap();
        }
        drop(conn);
        let days = nobody.get(&path).await;
        says_missing(&days.is(200).text(), words);
    }
    let (scene, _) = Scene::at_the_lab().await;
    let path = makes(&scene.tom).await;
    let nobody = scene.world.nobody();
    assert!(nobody.get(&path).await.text().contains("VEVENT"));
    let mut conn = scene.world.past_the_store().await;
    for sql in ["UPDATE case_file SET closed = 1", COUNTED] {
        sqlx::raw_sql(sql).execute(&mut conn).await.unwrap();
    }
    drop(conn);
    let days = nobody.get(&path).await;
    says_missing(&days.is(200).text(), "Not as the record says");
}

#[tokio::test]
async fn r22_an_address_that_somebody_has_put_in_opens_nothing() {
    let scene = signed().await;
    let nobody = scene.world.nobody();
    let own = makes(&scene.dora).await;
    let secret = "an-address-of-ones-own";
    let hash = secret_hash(secret);
    let forged = format!("/feed/{secret}.ics");
    let mut conn = scene.world.past_the_store().await;
    for sql in [
        // One that somebody has made for a colleague, without a binding and with hers.
        format!(
            "INSERT INTO calendar_feed SELECT id, '{hash}', 1, '' FROM account WHERE login = 'anna'"
        ),
        format!(
            "UPDATE calendar_feed SET binding = (SELECT binding FROM calendar_feed f JOIN account a ON a.id = f.account_id \
             WHERE a.login = 'dora') WHERE secret_hash = '{hash}'"
        ),
        // Hers, with a secret that somebody knows.
        "DELETE FROM calendar_feed WHERE binding <> '' AND secret_hash = 'none'".to_owned(),
        format!("DELETE FROM calendar_feed WHERE secret_hash = '{hash}'"),
        format!("UPDATE calendar_feed SET secret_hash = '{hash}'"),
    ] {
        let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
        done.await.unwrap();
        is_nothing(&nobody.get(&forged).await);
    }
    is_nothing(&nobody.get(&own).await);
    // Another's made of hers.
    let own = makes(&scene.dora).await;
    nobody.get(&own).await.is(200);
    let sql = "UPDATE calendar_feed SET account_id = (SELECT id FROM account WHERE login = 'sven')";
    sqlx::raw_sql(sql).execute(&mut conn).await.unwrap();
    is_nothing(&nobody.get(&own).await);
}

#[tokio::test]
async fn who_asks_for_thirty_addresses_that_open_nothing_waits_and_keeps_nobody_waiting() {
    let scene = signed().await;
    let own = makes(&scene.dora).await;
    let guesser = scene.world.nobody().at([203, 0, 113, 9]);
    let odd = [
        "/feed/days.ics".to_owned(),
        "/feed/.ics".to_owned(),
        format!("/feed/{}.ics", "x".repeat(2_000)),
        own.replace("/feed/", "/feed/x"),
    ];
    for path in &odd {
        is_nothing(&guesser.get(path).await);
    }
    // Without its end it is no address of ours, and is not counted.
    is_nothing(&guesser.get("/feed/days").await);
    for guess in 4..30 {
        is_nothing(&guesser.get(&format!("/feed/guess-{guess}.ics")).await);
    }
    let shut = guesser.get("/feed/guess-30.ics").await;
    assert_eq!(shut.is(429).headers["retry-after"], "900");
    shut.sees("open nothing: try again in 15 minutes.");
    shut.sees_not("wrong passwords");
    // A right one is answered there too, and a stranger elsewhere is told that it is not there.
    guesser.get(&own).await.is(200);
    is_nothing(
        &scene
            .world
            .nobody()
            .at([198, 51, 100, 7])
            .get("/feed/a.ics")
            .await,
    );
    scene.world.pass_minutes(16);
    is_nothing(&guesser.get("/feed/guess-31.ics").await);
}

#[tokio::test]
async fn two_hundred_cases_are_one_file() {
    let mut scene = signed().await;
    for _ in 1..200 {
        scene.number = open_case(&scene.dora, &scene.patient, "both").await;
        scene.sign(&LEAST).await.is(303);
    }
    // One that is not signed yet has no day.
    scene.number = open_case(&scene.dora, &scene.patient, "both").await;
    let path = makes(&scene.tom).await;
    let answer = scene.world.nobody().get(&path).await;
    let text = answer.is(200).text();
    assert_eq!(lines(&text, "UID:").len(), 202);
    assert!(!text.contains(&scene.number));
    assert!(text.len() < 100_000, "{}", text.len());
    // Kept until something changes, and the same bytes.
    let again = scene.world.nobody().get(&path).await;
    assert_eq!(again.text(), text);
}

/// On a server, whoever may write its tables can also put a meaning of `=` before its own.
#[tokio::test]
async fn an_equals_sign_of_another_schema_opens_no_address_and_no_device_on_postgres() {
    const ANY_TEXT_IS_EQUAL: &str = "CREATE SCHEMA evil; \
         CREATE FUNCTION evil.eq(text, text) RETURNS bool LANGUAGE sql IMMUTABLE AS 'SELECT true'; \
         CREATE OPERATOR evil.= (LEFTARG = text, RIGHTARG = text, FUNCTION = evil.eq); \
         DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET search_path = evil, pg_catalog, public', current_database()); END $$";
    let Some(database) = Database::postgres().await else {
        return;
    };
    let before = database.open().await;
    let world = World::peopled_on(before.clone()).await;
    let path = makes(&world.person("tom")).await;
    let fields = [("device_name", "Tablet, bench 2"), ("password", PASSWORD)];
    let mara = world.person("mara");
    let allowed = mara.send("/bench/devices", "/bench/devices", &fields);
    let own = allowed.await.is(303).cookies()[0].clone();
    let mut conn = database.raw().await;
    let done = sqlx::raw_sql(ANY_TEXT_IS_EQUAL).execute(&mut conn);
    done.await.unwrap();
    before.close().await;
    let store = database.open().await;
    let mut app = world.app.clone();
    app.store = store.clone();
    let world = world.served(app);
    let nobody = world.nobody();
    nobody.get(&path).await.is(200);
    is_nothing(&nobody.get("/feed/guess.ics").await);
    let said = "Codes are not taken on this device";
    for (cookie, is_taken) in [(own.as_str(), true), ("vestibule-device=guess", false)] {
        let device = world.nobody().with_cookie(cookie.to_owned());
        let page = device.get("/bench/who").await;
        assert_eq!(page.is(200).text().contains(said), !is_taken, "{cookie}");
    }
    // The tables lie where they lay.
    let unlike = store.tables_differ(&mut store.read().await.unwrap()).await;
    assert_eq!(unlike.unwrap(), Vec::<String>::new());
    store.close().await;
    database.remove().await;
}
