//! A clock that is wrong, before and after it has dated something.

use crate::common::{PASSWORD, Visitor, World};
use crate::scene::{Scene, last_part};
use vestibule::app::clock_doubt;
use vestibule::app::examine::examine;
use vestibule::app::health::is_behind;
use vestibule::app::resume::{Restore, go_on_by_the_clock};

const YEAR: i64 = 365 * 24 * 60;

fn asked(password: &str) -> Restore {
    Restore {
        login: "root".to_owned(),
        password: password.to_owned(),
        reason: "The clock was a year ahead on Monday.".to_owned(),
    }
}

#[tokio::test]
async fn r6_a_clock_that_leaps_far_ahead_is_asked_about_before_anything_is_entered() {
    let scene = Scene::opened().await;
    scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.world.pass_minutes(59 * 24 * 60);
    let dora = scene.world.visitor("dora").await;
    scene.add(&dora, "facebow_record", "", "here").await;
    scene.world.pass_minutes(YEAR);
    // Everybody has to sign in again after so long.
    let dora = scene.world.visitor("dora").await;
    let tom = scene.world.visitor("tom").await;
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "cast"),
        ("arch", "upper"),
        ("place", "here"),
        ("note", "second pour"),
    ];
    let answer = dora.send(&page, &page, &fields).await;
    answer
        .is(409)
        .sees("The clock of this computer says 2027-")
        .sees("Nothing was entered.")
        .sees("send this again");
    // What was typed stands there.
    assert!(answer.text().contains("second pour"));
    tom.get("/record").await.is(200).sees("Is the clock right?");
    // Whoever says so has a password, and the word is an entry of the record (rows r20).
    let wrong = [("password", "not the password")];
    tom.send("/record", "/record/clock", &wrong)
        .await
        .is(422)
        .sees("This is not your password.")
        .sees("Is the clock right?");
    let right = [("password", PASSWORD)];
    tom.send("/record", "/record/clock", &right).await.is(303);
    tom.get("/record?done=clock")
        .await
        .sees("Noted: the clock is right.")
        .sees_not("Is the clock right?");
    dora.send(&page, &page, &fields).await.is(303);
    dora.get("/record")
        .await
        .sees_not("Is the clock right?")
        .sees("Gone on with by a clock that is far ahead of the newest entry");
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

#[tokio::test]
async fn r6_entries_of_the_future_stay_and_the_work_goes_on_by_an_administrators_word() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let app = &scene.world.app;
    assert!(
        go_on_by_the_clock(app, &asked(PASSWORD)).await.is_err(),
        "nothing lies ahead"
    );
    // A year ahead, and somebody says that it is right; then it is set right.
    scene.world.pass_minutes(YEAR);
    let anna = scene.world.visitor("anna").await;
    let right = [("password", PASSWORD)];
    anna.send("/record", "/record/clock", &right).await.is(303);
    let ahead = scene.add(&anna, "facebow_record", "", "here").await;
    let count = std::cell::Cell::new(0);
    let disinfect = async |who: &Visitor, tag: &str| {
        count.set(count.get() + 1);
        let key = format!("a-key-of-post-{:06}", count.get());
        // As from a page that was open before.
        let fields = [
            ("post_key", key.as_str()),
            ("action", "disinfect"),
            ("agent", "sample agent"),
            ("dilution", "1:10"),
            ("minutes", "10"),
            ("rinsed", "yes"),
        ];
        who.post(&format!("/items/{tag}/record"), &fields).await
    };
    disinfect(&anna, &things.bite).await.is(303);
    scene.world.pass_minutes(-YEAR);
    let root = scene.world.visitor("root").await;
    let dora = scene.world.visitor("dora").await;
    for tag in [&things.bite, &ahead] {
        let refused = disinfect(&dora, tag).await;
        refused
            .is(409)
            .sees("has not come yet")
            .sees("vestibule clock");
    }
    root.get("/record")
        .await
        .sees("an administrator lets the work go on");
    // Whoever can do something about it is told before anybody needs it: on every page, and who watches.
    let words = "The newest entry is dated 2027-";
    root.get("/people").await.is(200).sees(words);
    dora.get("/account").await.is(200).sees_not(words);
    let watched = scene.world.nobody().get("/healthz").await;
    assert!(watched.is(503).text().contains("ahead of the clock"));
    let wrong = go_on_by_the_clock(app, &asked("another password")).await;
    assert!(wrong.is_err());
    go_on_by_the_clock(app, &asked(PASSWORD)).await.unwrap();
    assert!(
        go_on_by_the_clock(app, &asked(PASSWORD)).await.is_err(),
        "it was said"
    );
    root.get("/people").await.is(200).sees_not(words);
    scene.world.nobody().get("/healthz").await.is(200);
    for tag in [&things.bite, &ahead] {
        disinfect(&dora, tag).await.is(303);
    }
    scene.world.pass_minutes(5);
    disinfect(&dora, &things.bite).await.is(303);
    let page = dora.get("/record").await;
    page.sees("Gone on with although entries are dated ahead of the clock")
        .sees("had dated entries up to Tue 2 Mar 2027 09:00 +01:00.")
        .sees("The clock was a year ahead on Monday.")
        .sees("signed by root")
        .sees_not("an administrator lets the work go on");
    // It is in the record, and a check of everything finds every entry allowed where it stands.
    let examined = examine(app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

#[tokio::test]
async fn r20_a_clock_that_is_set_back_is_warned_of_before_anybody_enters_anything() {
    let scene = Scene::opened().await;
    let days = 57 * 24 * 60;
    scene.world.pass_minutes(days);
    let dora = scene.world.visitor("dora").await;
    scene.add(&dora, "facebow_record", "", "here").await;
    scene.world.pass_minutes(-days);
    let watched = scene.world.nobody().get("/healthz").await;
    assert!(watched.is(503).text().contains("ahead of the clock"));
    let root = scene.world.visitor("root").await;
    root.get("/people").await.sees("vestibule clock");
    scene.world.pass_minutes(days);
    let root = scene.world.visitor("root").await;
    root.get("/people").await.sees_not("vestibule clock");
    scene.world.nobody().get("/healthz").await.is(200);
}

#[tokio::test]
async fn r20_while_a_clock_is_behind_no_request_reads_again_what_was_read() {
    let scene = Scene::opened().await;
    let app = &scene.world.app;
    let days = 57 * 24 * 60;
    scene.world.pass_minutes(days);
    let dora = scene.world.visitor("dora").await;
    scene.add(&dora, "facebow_record", "", "here").await;
    scene.world.pass_minutes(-days);
    assert!(is_behind(app).await.unwrap());
    let mut conn = scene.world.past_the_store().await;
    let mut rename = async |from: &str, to: &str| {
        let sql = format!("ALTER TABLE {from} RENAME TO {to}");
        let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
        done.await.unwrap();
    };
    rename("leaf", "leaf_aside").await;
    assert!(is_behind(app).await.unwrap());
    rename("leaf_aside", "leaf").await;
    // What was entered since is read.
    scene.world.pass_minutes(days + 1);
    scene.add(&dora, "bite_record", "", "here").await;
    scene.world.pass_minutes(-days - 1);
    rename("leaf", "leaf_aside").await;
    assert!(is_behind(app).await.is_err());
    rename("leaf_aside", "leaf").await;
    assert!(is_behind(app).await.unwrap());
}

#[tokio::test]
async fn r20_a_card_that_a_clock_ahead_has_dated_is_warned_of_too() {
    let scene = Scene::opened().await;
    let app = &scene.world.app;
    scene.world.pass_minutes(YEAR);
    let dora = scene.world.visitor("dora").await;
    let right = [("password", PASSWORD)];
    dora.send("/record", "/record/clock", &right).await.is(303);
    let page = "/patients/new";
    dora.send(page, page, &[]).await.is(303);
    scene.world.pass_minutes(-YEAR);
    let ahead = async || {
        let mut conn = app.store.read().await.unwrap();
        clock_doubt::ahead(app, &mut conn).await.unwrap()
    };
    assert!(ahead().await.is_some());
    let dora = scene.world.visitor("dora").await;
    dora.send(page, page, &[]).await.is(409);
    go_on_by_the_clock(app, &asked(PASSWORD)).await.unwrap();
    assert!(ahead().await.is_none());
    dora.send(page, page, &[]).await.is(303);
    assert_eq!(examine(app, None).await.unwrap().faults, []);
}

#[tokio::test]
async fn r10_an_administrator_is_warned_before_the_disk_is_full_and_nobody_else() {
    let world = World::peopled().await;
    let words = "The disk is almost full";
    world.person("root").get("/people").await.sees_not(words);
    let app = world.app.clone().with_free_warning(u64::MAX);
    let world = world.served(app);
    for (login, sees) in [("root", true), ("dora", false), ("mara", false)] {
        let page = world.person(login).get("/record").await;
        assert_eq!(page.words().contains(words), sees, "{login}");
    }
    let healthy = world.nobody().get("/healthz").await;
    assert_eq!(healthy.is(200).text(), "ok\n");
}

#[tokio::test]
async fn r20_a_database_that_is_replaced_under_the_program_takes_nothing_more() {
    let scene = Scene::opened().await;
    let page = scene.at("/items/new");
    let fields = [("item_kind", "bite_record"), ("place", "here")];
    let form = scene.dora.get(&page).await.form(&page, &page, "");
    let mut fields: Vec<(&str, &str)> = fields.to_vec();
    fields.extend(
        form.iter()
            .map(|(key, text)| (key.as_str(), text.as_str()))
            .filter(|(key, _)| *key == "post_key"),
    );
    let (file, moved_file) = (
        scene.world.database_file(),
        scene.world.database_file().with_extension("aside"),
    );
    std::fs::rename(&file, &moved_file).unwrap();
    for is_there in [false, true] {
        if is_there {
            // As after a backup that was put back under the running program.
            std::fs::copy(&moved_file, &file).unwrap();
        }
        scene.world.pass_minutes(1);
        let refused = scene.dora.post(&page, &fields).await;
        refused.is(503).sees("deleted or replaced the file");
        let asked = scene.world.nobody().get("/healthz").await;
        assert_eq!(
            asked.is(503).text(),
            "the database file was deleted or replaced while the program uses it\n"
        );
    }
    std::fs::rename(&moved_file, &file).unwrap();
    scene.world.pass_minutes(1);
    scene.dora.post(&page, &fields).await.is(303);
    assert_eq!(
        scene.world.nobody().get("/healthz").await.is(200).text(),
        "ok\n"
    );
}

#[tokio::test]
async fn r10_a_database_that_is_gone_is_named_and_takes_the_same_post_once_when_it_is_back() {
    let scene = Scene::opened().await;
    let page = scene.at("/items/new");
    let mut form = scene.dora.get(&page).await.form(&page, &page, "");
    for (key, text) in [("item_kind", "bite_record"), ("place", "here")] {
        form.insert(key.to_owned(), text.to_owned());
    }
    let fields: Vec<(&str, &str)> = form
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    let first = scene.dora.post(&page, &fields).await;
    first.is(303);
    let again = scene.dora.post(&page, &fields).await;
    assert_eq!(last_part(&again), last_part(&first), "it is taken once");
    scene.world.app.store.close().await;
    let gone = scene.dora.post(&page, &fields).await;
    gone.is(503)
        .sees("The database does not answer")
        .sees("send the same again");
    assert_eq!(gone.headers["retry-after"], "60");
}

/// Pages that both sides and strangers look at, with what the scene has.
fn pages_seen(scene: &Scene, tag: &str, handoff: &str) -> Vec<String> {
    let own = [
        "",
        "/history",
        "/history?day=2026-03-02",
        "/dates",
        "/dates.ics",
        "/questions",
        "/halt",
        "/release",
        "/holds",
        "/close",
        "/mouth",
        "/labels",
        "/items/new",
        "/write",
        "/sign",
        "/revisions/1",
        "/bench",
        "/revisions/1/slip.pdf",
        "/revisions/1/text.pdf",
        "/revisions/1/front.svg",
        "/history.pdf",
        "/record.tar",
        "/reported",
        "/usual",
        "/moulds",
    ];
    let of_all = [
        "/",
        "/account",
        "/law",
        "/record",
        "/usual",
        "/closed-days",
        "/bench",
        "/day-list.pdf",
        "/healthz",
    ];
    let of_case = own.map(|rest| scene.at(rest));
    let things = [
        format!("/items/{tag}"),
        handoff.to_owned(),
        format!("{handoff}/note.pdf"),
        format!("/C/{}/1", scene.number),
        "/find?q=bite".to_owned(),
    ];
    let of_all = of_all.map(str::to_owned).into_iter();
    of_case.into_iter().chain(things).chain(of_all).collect()
}

#[tokio::test]
async fn r18_pages_answer_in_words_whatever_the_clock_says_while_serving() {
    let (scene, things) = Scene::at_the_lab().await;
    let handoff = scene.handoff(&scene.anna).await;
    let paths = pages_seen(&scene, &things.bite, &handoff);
    let dated = scene.dora.get("/").await.headers.contains_key("date");
    assert!(dated, "an answer says when it was made");
    // The year 10000 and far beyond it, 1969, and an hour before the newest entry.
    let now = scene.world.app.outside.now_ms();
    let clocks = [
        253_402_300_800_000,
        253_402_300_800_000 * 30,
        -14_182_940_000,
        now - 60 * 60_000,
    ];
    for clock in clocks {
        let before = scene.world.app.outside.now_ms();
        scene.world.app.outside.pass(clock - before);
        let nobody = scene.world.nobody();
        let mut people = vec![nobody.clone(), scene.dora.clone(), scene.tom.clone()];
        // Who can sign in by this clock does, and looks at the same; whoever cannot is told why.
        for login in ["dora", "tom", "root"] {
            let fields = [("login", login), ("password", PASSWORD)];
            let answer = nobody.send("/sign-in", "/sign-in", &fields).await;
            let status = answer.status.as_u16();
            assert!(
                matches!(status, 303 | 409),
                "{clock}: {status} {}",
                answer.words()
            );
            if status == 303 {
                people.push(nobody.clone().with_cookies_of(&answer));
            }
        }
        for (number, who) in people.iter().enumerate() {
            for path in &paths {
                let answer = who.get(path).await;
                let status = answer.status.as_u16();
                // That the clock is behind what is entered is said to whoever watches over the program.
                assert!(
                    status < 500 || *path == "/healthz",
                    "{clock}: {number} {path}: {status} {}",
                    answer.words()
                );
            }
        }
        // What is sent is refused with what the clock says, and stands there still.
        let page = format!("/items/{}", things.bite);
        for who in people.iter().skip(1) {
            let moved = [
                ("action", "move"),
                ("moved_to", "shelf 4"),
                ("post_key", "clock-key-0001"),
            ];
            let answer = who.post(&format!("{page}/record"), &moved).await;
            let status = answer.status.as_u16();
            assert!(
                matches!(status, 401 | 403 | 409),
                "{clock}: {status} {}",
                answer.words()
            );
            if status == 409 {
                answer.sees("clock");
            }
        }
    }
    scene
        .world
        .app
        .outside
        .pass(now - scene.world.app.outside.now_ms());
    let dora = scene.world.visitor("dora").await;
    dora.get(&scene.at("")).await.is(200);
    assert_eq!(examine(&scene.world.app, None).await.unwrap().faults, []);
}
