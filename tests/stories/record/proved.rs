//! Whoever can write the file changes a row and the leaf beside it: the leaf is no longer one of the signed record, and so
//! nothing is shown, entered, signed or printed by it.

use super::faults;
use crate::common::{Answer, PASSWORD};
use crate::scene::{Scene, open_case};
use serde_json::{Value, json};
use sqlx::{AnyConnection, Row};
use vestibule::app::{App, counted};
use vestibule::domain::prescription::revision::document_hash;
use vestibule::record::hash::leaf_hash;
use vestibule::record::leaf::{commitment, salts_from_json};

async fn run(conn: &mut AnyConnection, sql: &str) {
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned())).execute(conn);
    done.await.unwrap();
}

async fn change(scene: &Scene, sql: &str) {
    let mut conn = scene.world.past_the_store().await;
    for lock in ["revision_no_UPDATE", "acknowledgement_no_UPDATE"] {
        run(&mut conn, &format!("DROP TRIGGER IF EXISTS {lock}")).await;
    }
    run(&mut conn, sql).await;
    // As whoever does it would have it: pages read it again.
    run(&mut conn, "UPDATE case_file SET version = version + 1").await;
    run(&mut conn, "UPDATE party SET changes = changes + 1").await;
}

async fn one(conn: &mut AnyConnection, sql: &str) -> String {
    let row = sqlx::query(sqlx::AssertSqlSafe(sql.to_owned()));
    row.fetch_one(conn).await.unwrap().get(0)
}

/// Makes the newest leaf about a row stand for another text at a place, with all that can be made without the key.
async fn change_leaf(scene: &Scene, of: &str, place: &str, text: &str) {
    let mut conn = scene.world.past_the_store().await;
    let which = format!("FROM leaf WHERE {of} ORDER BY number DESC LIMIT 1");
    let number = one(&mut conn, &format!("SELECT CAST(number AS TEXT) {which}")).await;
    let body = one(&mut conn, &format!("SELECT body {which}")).await;
    let salts = format!("SELECT salts FROM leaf_salt WHERE leaf = {number}");
    let salts: Value = serde_json::from_str(&one(&mut conn, &salts).await).unwrap();
    let salts = salts_from_json(&salts).unwrap();
    let mut body: Value = serde_json::from_str(&body).unwrap();
    let committed = commitment(&salts[place], text);
    *body.pointer_mut(place).unwrap() = json!({ "committed": committed });
    let body = serde_json_canonicalizer::to_string(&body).unwrap();
    let hash = leaf_hash(body.as_bytes());
    let sql = format!("UPDATE leaf SET body = '{body}', hash = '{hash}' WHERE number = {number}");
    run(&mut conn, &sql).await;
}

/// What a check finds, but that the locks were taken away.
async fn faults_but_of_locks(scene: &Scene) -> Vec<String> {
    let found = faults(scene).await;
    let others = found
        .lines()
        .filter(|line| !line.starts_with("In the tables"));
    others.map(str::to_owned).collect()
}

async fn sign_in(scene: &Scene, login: &str, password: &str) -> Answer {
    let fields = [("login", login), ("password", password)];
    let nobody = scene.world.nobody();
    nobody.send("/sign-in", "/sign-in", &fields).await
}

#[tokio::test]
async fn r0b_on_a_record_that_was_not_signed_nothing_is_entered_and_every_page_says_so() {
    let scene = Scene::opened().await;
    const WORDS: &str = "Somebody has changed the record of this installation past Vestibule";
    scene.dora.get("/").await.is(200).sees_not(WORDS);
    let mut conn = scene.world.past_the_store().await;
    let was = one(&mut conn, "SELECT peaks FROM record_head").await;
    let other = if was.starts_with('0') { "1" } else { "0" };
    let put = |peaks: &str| format!("UPDATE record_head SET peaks = '{peaks}'");
    run(&mut conn, &put(&format!("{other}{}", &was[1..]))).await;
    let page = scene.at("/items/new");
    let fields = [("item_kind", "bite_record"), ("place", "here")];
    scene
        .dora
        .send(&page, &page, &fields)
        .await
        .is(503)
        .sees("The record is not the one that was signed")
        .sees("What you just sent was not stored");
    // Nor is a draft begun that would go with it.
    let draft = [("shade.tab", "B-20")];
    scene.write(&scene.dora, &draft).await.is(503);
    for who in [&scene.dora, &scene.tom, &scene.world.person("root")] {
        who.get("/account").await.is(200).sees(WORDS);
    }
    let health = scene.world.nobody().get("/healthz").await;
    health.is(503);
    let words = health.text();
    assert!(
        words.contains("is not the one that its key has signed"),
        "{words}"
    );
    run(&mut conn, &put(&was)).await;
    scene.world.pass_minutes(1);
    scene.world.nobody().get("/healthz").await.is(200);
    scene.dora.get("/").await.is(200).sees_not(WORDS);
    scene.dora.send(&page, &page, &fields).await.is(303);
}

#[tokio::test]
async fn r0c_an_account_that_was_changed_with_its_leaf_lets_nobody_in() {
    let scene = Scene::opened().await;
    sign_in(&scene, "anna", PASSWORD).await.is(303);
    let mut conn = scene.world.past_the_store().await;
    let of_anna = "FROM account WHERE login = 'anna'";
    let id = one(&mut conn, &format!("SELECT id {of_anna}")).await;
    let was = one(&mut conn, &format!("SELECT password {of_anna}")).await;
    // The password of somebody whose password is known.
    const OTHER: &str = "a boat upon the quiet river";
    let fields = [
        ("password", PASSWORD),
        ("new_password", OTHER),
        ("password_again", OTHER),
    ];
    let changed = scene.tom.send("/account", "/account/password", &fields);
    assert!(changed.await.status.as_u16() < 400);
    let of_tom = "SELECT password FROM account WHERE login = 'tom'";
    let known = one(&mut conn, of_tom).await;
    let put = |hash: &str| format!("UPDATE account SET password = '{hash}' WHERE login = 'anna'");
    let leaf = format!("kind = 'account' AND about = '{id}/1'");
    change(&scene, &put(&known)).await;
    change_leaf(&scene, &leaf, "/account/password", &known).await;
    sign_in(&scene, "anna", OTHER)
        .await
        .is(409)
        .sees("The account of")
        .sees("vestibule check");
    // What was begun by the password that was there has ended with it.
    scene.anna.get("/account").await.is(303);
    change(&scene, &put(&was)).await;
    change_leaf(&scene, &leaf, "/account/password", &was).await;
    sign_in(&scene, "anna", PASSWORD).await.is(303);
    // What was looked at meanwhile has raised an alarm, as it should.
    let left = faults_but_of_locks(&scene).await;
    let is_alarm = |line: &String| line.starts_with("An alarm that is not cleared");
    assert!(left.iter().all(is_alarm), "{left:?}");
}

#[tokio::test]
async fn r0c_a_signed_text_that_was_changed_with_its_leaf_is_neither_shown_nor_printed() {
    let scene = Scene::signed().await;
    let paths = ["", "/revisions/1", "/revisions/1/slip.pdf", "/history"];
    for path in paths {
        scene.dora.get(&scene.at(path)).await.is(200);
    }
    let mut conn = scene.world.past_the_store().await;
    let text = one(&mut conn, "SELECT document FROM revision").await;
    let changed = text.replace("B-20", "B-40");
    assert_ne!(changed, text);
    let quoted = |text: &str| text.replace('\'', "''");
    let put = |text: &str| {
        let hash = document_hash(text);
        format!(
            "UPDATE revision SET document = '{}', hash = '{hash}'",
            quoted(text)
        )
    };
    change(&scene, &put(&changed)).await;
    change_leaf(&scene, "kind = 'revision'", "/revision/document", &changed).await;
    for path in paths {
        let answer = scene.dora.get(&scene.at(path)).await;
        assert_eq!(answer.status, 409, "{path}");
        answer.sees("is not as it was signed").sees_not("B-40");
    }
    // A report looks for the leaves of all its cases together, and counts nothing of this one.
    const LEFT_OUT: &str = "Left out because they cannot be read: 1 of the cases.";
    let report = scene.dora.get("/reports").await;
    report.is(200).sees(LEFT_OUT);
    let accept = scene.at("/revisions/1/acknowledge");
    let key = [("post_key", "acknowledge-01")];
    scene.tom.post(&accept, &key).await.is(409);
    change(&scene, &put(&text)).await;
    change_leaf(&scene, "kind = 'revision'", "/revision/document", &text).await;
    for path in paths {
        scene.dora.get(&scene.at(path)).await.is(200);
    }
    let report = scene.dora.get("/reports").await;
    report.is(200).sees_not(LEFT_OUT);
    assert_eq!(faults_but_of_locks(&scene).await, [""; 0]);
}

/// What the lab does with a case: the bench, the acknowledgement, a question, and the papers.
async fn refused(scene: &Scene, words: &str) {
    for path in ["/history.pdf", "/revisions/1/slip.pdf"] {
        scene.tom.get(&scene.at(path)).await.is(409).sees(words);
    }
    let page = scene.at("/items/new");
    let fields = [("item_kind", "bite_record"), ("place", "here")];
    scene
        .tom
        .send(&page, &page, &fields)
        .await
        .is(409)
        .sees(words);
}

#[tokio::test]
async fn a_case_of_which_an_entry_was_changed_is_worked_on_by_nobody() {
    let (scene, things) = Scene::at_the_lab().await;
    let accept = scene.at("/revisions/1/acknowledge");
    for (changed, words) in [
        (
            "UPDATE event SET body = replace(body, '\"outcome\":\"sound\"', '\"outcome\":\"damaged\"') \
             WHERE kind = 'received'",
            "somebody has changed an entry past this program",
        ),
        (
            "UPDATE item SET body = replace(body, '\"kind\":\"bite_record\"', '\"kind\":\"shade_tab\"')",
            "somebody has changed what is registered of its things past this program",
        ),
        (
            "UPDATE case_file SET opened_ms = opened_ms - 1",
            "somebody has changed whose it is past this program",
        ),
        (
            // Two entries in the other order.
            "UPDATE event SET position = position + 5000; UPDATE event SET position = 0 WHERE position = 5001; \
             UPDATE event SET position = 1 WHERE position = 5000; \
             UPDATE event SET position = position - 5000 WHERE position > 5000",
            "somebody has changed an entry past this program",
        ),
    ] {
        let table = changed.split_whitespace().nth(1).unwrap();
        let mut conn = scene.world.past_the_store().await;
        run(&mut conn, "PRAGMA foreign_keys = OFF").await;
        run(
            &mut conn,
            &format!("DROP TABLE IF EXISTS kept; CREATE TABLE kept AS SELECT * FROM {table}"),
        )
        .await;
        change(&scene, changed).await;
        refused(&scene, words).await;
        let key = [("post_key", "acknowledge-01")];
        let answer = scene.tom.post(&accept, &key).await;
        answer.is(409).sees(words);
        // Back as it was, it goes on.
        let columns = match table {
            "event" => {
                "(body, position) = (SELECT body, position FROM kept WHERE kept.id = event.id)"
            }
            "item" => "body = (SELECT body FROM kept WHERE kept.tag = item.tag)",
            _ => "opened_ms = (SELECT opened_ms FROM kept WHERE kept.number = case_file.number)",
        };
        if table == "event" {
            run(&mut conn, "UPDATE event SET position = position + 5000").await;
        }
        change(&scene, &format!("UPDATE {table} SET {columns}")).await;
        run(&mut conn, "DROP TABLE kept").await;
        scene.tom.get(&scene.at("/history.pdf")).await.is(200);
    }
    let moved = [("moved_to", "shelf 4")];
    scene
        .record(&scene.tom, &things.bite, "move", &moved)
        .await
        .is(303);
}

/// Each page of the case that is read as this person, and whether it says so.
async fn said(scene: &Scene, words: &str) -> Vec<(String, bool)> {
    let item = scene.tom.get(&scene.at("")).await;
    let item = item.attribute("a[href^='/items/']", "href");
    let pages = [
        (&scene.tom, scene.at("")),
        (&scene.dora, scene.at("")),
        (&scene.tom, scene.at("/history")),
        (&scene.tom, scene.at("/questions")),
        (&scene.tom, item),
        (&scene.dora, scene.at("/write")),
        (&scene.dora, scene.at("/sign")),
    ];
    let mut found = Vec::new();
    for (who, path) in pages {
        let answer = who.get(&path).await;
        answer.is(200);
        let is_said = answer.text().contains(words);
        found.push((path, is_said));
    }
    found
}

#[tokio::test]
async fn every_page_of_a_case_that_was_changed_says_so_and_offers_nothing() {
    let (scene, _) = Scene::at_the_lab().await;
    scene.begin_draft().await;
    const LINE: &str = "Not as the record says";
    let mut conn = scene.world.past_the_store().await;
    let quoted = |text: &str| text.replace('\'', "''");
    let entry = one(&mut conn, "SELECT body FROM event WHERE kind = 'received'").await;
    let put_entry = |text: &str| {
        format!(
            "UPDATE event SET body = '{}' WHERE kind = 'received'",
            quoted(text)
        )
    };
    let other = entry.replace("\"outcome\":\"sound\"", "\"outcome\":\"damaged\"");
    assert_ne!(other, entry);
    let card = one(&mut conn, "SELECT facts FROM patient").await;
    let put_card = |text: &str| format!("UPDATE patient SET facts = '{}'", quoted(text));
    let female = r#"{"patient.sex":"female"}"#;
    for (changed, back, words) in [
        (
            put_entry(&other),
            put_entry(&entry),
            "somebody has changed an entry past this program",
        ),
        (put_card(female), put_card(&card), "The card of patient"),
    ] {
        let (case, sign) = (scene.at(""), scene.at("/sign"));
        let accept = "form[action$='/acknowledge']";
        for is_changed in [false, true, false] {
            match is_changed {
                true => change(&scene, &changed).await,
                false => change(&scene, &back).await,
            }
            for (path, is_said) in said(&scene, words).await {
                assert_eq!(is_said, is_changed, "{path}: {words}");
            }
            let page = scene.tom.get(&case).await;
            let offered = page.count("div.further a");
            assert_eq!(offered == 1, is_changed, "{offered} actions");
            page.sees("History");
            // One rule of the style sheet hides whatever else could be sent.
            for path in [
                &case,
                &sign,
                &scene.at("/questions"),
                &scene.at("/halt"),
                &scene.at("/pictures"),
            ] {
                let hidden = scene.dora.get(path).await.count("main.doubted");
                assert_eq!(hidden, usize::from(is_changed), "{path}");
            }
            assert_eq!(page.count(accept), usize::from(!is_changed));
            let signature = scene.dora.get(&sign).await.count("input[name=password]");
            assert!(!is_changed || signature == 0);
            for who in [&scene.tom, &scene.dora] {
                let first = who.get("/").await;
                assert_eq!(first.is(200).text().contains(LINE), is_changed);
            }
            // As a paper says it.
            let draft = scene.dora.get(&scene.at("/draft.pdf")).await;
            draft.is(if is_changed { 409 } else { 200 });
            assert_eq!(draft.text().contains(words), is_changed);
        }
    }
}

/// Whoever changes all cases makes no page wait for all of them.
#[tokio::test]
async fn cases_that_were_changed_together_are_found_a_few_with_each_first_page_and_none_is_lost() {
    let scene = Scene::opened().await;
    for _ in 0..12 {
        open_case(&scene.dora, &scene.patient, "both").await;
    }
    let said = async || {
        let page = scene.dora.get("/").await;
        page.is(200)
            .text()
            .matches("Not as the record says")
            .count()
    };
    assert_eq!(said().await, 0);
    change(&scene, "UPDATE case_file SET opened_ms = opened_ms + 1").await;
    let (first, second, third) = (said().await, said().await, said().await);
    assert_ne!(first, 0);
    assert_eq!((first * 13, third), (second * 10, second));
    change(&scene, "UPDATE case_file SET opened_ms = opened_ms - 1").await;
    assert_eq!((said().await, said().await), (0, 0));
}

/// One finding has one status, wherever it is met.
#[tokio::test]
async fn a_record_that_is_another_one_is_answered_alike_by_papers_and_entries() {
    const TITLE: &str = "The record is not the one that was signed";
    let scene = Scene::opened().await;
    // Whose the case is was proved while that could be done.
    scene.dora.get(&scene.at("")).await.is(200);
    let mut conn = scene.world.past_the_store().await;
    let was = one(&mut conn, "SELECT peaks FROM record_head").await;
    let other = if was.starts_with('0') { "1" } else { "0" };
    let put = format!("UPDATE record_head SET peaks = '{other}{}'", &was[1..]);
    run(&mut conn, &put).await;
    let papers = [
        scene.at("/history.pdf"),
        "/patients/key-sheet.pdf".to_owned(),
    ];
    for path in &papers {
        scene.dora.get(path).await.is(503).sees(TITLE);
    }
    let page = scene.at("/items/new");
    let fields = [("item_kind", "bite_record"), ("place", "here")];
    let entered = scene.dora.send(&page, &page, &fields).await;
    entered.is(503).sees(TITLE);
}

#[tokio::test]
async fn the_revision_in_force_is_the_newest_that_was_signed_whatever_the_case_says() {
    let scene = Scene::signed().await;
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    let pages = [
        "",
        "/bench",
        "/history",
        "/revisions/1/slip.pdf",
        "/revisions/2",
    ];
    for path in pages {
        scene.tom.get(&scene.at(path)).await.is(200);
    }
    for column in ["revision = 1", "acknowledged = 1"] {
        change(&scene, &format!("UPDATE case_file SET {column}")).await;
        for path in pages {
            let answer = scene.tom.get(&scene.at(path)).await;
            assert_eq!(answer.status, 409, "{column}: {path}");
            answer
                .sees("which revision is in force")
                .sees("vestibule check");
        }
        let read = format!("/c/{}/1", scene.number).to_uppercase();
        let read = scene.world.nobody().get(&read).await;
        assert!(read.status.as_u16() >= 400, "{}", read.status);
        change(
            &scene,
            "UPDATE case_file SET revision = 2, acknowledged = 0",
        )
        .await;
        scene.tom.get(&scene.at("")).await.is(200);
    }
}

#[tokio::test]
async fn a_house_that_was_changed_is_printed_on_no_paper() {
    let (scene, _) = Scene::at_the_lab().await;
    scene.tom.get(&scene.at("/history.pdf")).await.is(200);
    let name = "UPDATE party SET name = name || ' and Sons' WHERE kind = 'office'";
    change(&scene, name).await;
    let answer = scene.tom.get(&scene.at("/history.pdf")).await;
    answer.is(409).sees("is not as the record says");
}

#[tokio::test]
async fn one_damaged_hash_keeps_no_other_leaf_from_being_proved() {
    let (scene, _) = Scene::at_the_lab().await;
    let damage = "UPDATE leaf SET hash = (SELECT hash FROM leaf WHERE number = 1) WHERE number = 0";
    change(&scene, damage).await;
    let (paper, before) = (scene.at("/history.pdf"), &scene.world);
    // By a program that has proved nothing yet.
    let app = App::new(
        before.app.store.clone(),
        before.outside.clone(),
        before.app.settings.clone(),
    );
    let world = scene.world.served(app);
    world.person("tom").get(&paper).await.is(200);
}

/// Whoever changes an entry past the program leaves the versions as they are: a page that was kept goes on with the genuine
/// entry, and a check, and the first page after a start, name the other one.
#[tokio::test]
async fn an_entry_changed_under_a_page_that_was_kept_is_not_shown_and_is_named() {
    let (scene, _) = Scene::at_the_lab().await;
    let (page, words) = (scene.at("/history"), "somebody has changed an entry");
    let told = |page: &Answer| page.text().matches("damaged").count();
    let kept = scene.tom.get(&page).await;
    kept.is(200).sees_not(words);
    let mut conn = scene.world.past_the_store().await;
    let other = "UPDATE event SET body = replace(body, '\"outcome\":\"sound\"', '\"outcome\":\"damaged\"') \
                 WHERE kind = 'received'";
    run(&mut conn, other).await;
    let shown = scene.tom.get(&page).await;
    shown.is(200).sees_not(words);
    assert_eq!(told(&shown), told(&kept));
    assert_ne!(faults(&scene).await, "");
    let before = &scene.world;
    let app = App::new(
        before.app.store.clone(),
        before.outside.clone(),
        before.app.settings.clone(),
    );
    let again = scene.world.served(app);
    again.person("tom").get(&page).await.is(200).sees(words);
}

/// Makes a leaf say something else in the open, with all that can be made without the key.
async fn rewrite_leaf(scene: &Scene, of: &str, (said, other): (&str, &str)) {
    let mut conn = scene.world.past_the_store().await;
    let body = one(&mut conn, &format!("SELECT body FROM leaf WHERE {of}")).await;
    let changed = body.replace(said, other);
    assert_ne!(changed, body);
    let hash = leaf_hash(changed.as_bytes());
    let sql = format!("UPDATE leaf SET body = '{changed}', hash = '{hash}' WHERE {of}");
    run(&mut conn, &sql).await;
}

async fn id_of_house(scene: &Scene, name: &str) -> String {
    let mut conn = scene.world.past_the_store().await;
    let id = format!("SELECT id FROM party WHERE name LIKE '{name}%'");
    one(&mut conn, &id).await
}

#[tokio::test]
async fn a_case_given_to_another_lab_with_its_leaf_is_told_there_by_no_list() {
    let (scene, _) = Scene::at_the_lab().await;
    let (kiln, anvil) = (
        id_of_house(&scene, "Kiln").await,
        id_of_house(&scene, "Anvil").await,
    );
    let leaf = "kind = 'case'";
    let give = |lab: &str| format!("UPDATE case_file SET lab_id = '{lab}'");
    const WORDS: &str = "1 case listed for you and not shown";
    let lars = scene.world.person("lars");
    for is_given in [false, true, false] {
        let (to, from) = match is_given {
            true => (&anvil, &kiln),
            false => (&kiln, &anvil),
        };
        let mut conn = scene.world.past_the_store().await;
        run(&mut conn, "PRAGMA foreign_keys = OFF").await;
        run(&mut conn, &give(to)).await;
        run(&mut conn, "UPDATE party SET changes = changes + 1").await;
        let body = one(&mut conn, &format!("SELECT body FROM leaf WHERE {leaf}")).await;
        if body.contains(from.as_str()) {
            rewrite_leaf(&scene, leaf, (from, to)).await;
        }
        // What was met before is met again, where it is still so.
        counted::look(&scene.world.app).await.unwrap();
        for path in ["/", "/bench"] {
            let page = lars.get(path).await;
            assert!(page.is(200).hrefs(&scene.at("")).is_empty(), "{path}");
            assert_eq!(page.text().contains(WORDS), is_given, "{path}");
        }
        let house = lars.get("/in-house").await;
        assert!(house.is(200).hrefs(&scene.at("")).is_empty());
        let own = scene.at("");
        lars.get(&own).await.is(if is_given { 409 } else { 404 });
        scene
            .tom
            .get(&own)
            .await
            .is(if is_given { 404 } else { 200 });
    }
}

#[tokio::test]
async fn a_card_given_to_another_office_with_its_leaf_is_shown_there_to_nobody() {
    let scene = Scene::opened().await;
    let (north, south) = (
        id_of_house(&scene, "Northgate").await,
        id_of_house(&scene, "Southgate").await,
    );
    let (card, sven) = (
        format!("/patients/{}", scene.patient),
        scene.world.person("sven"),
    );
    sven.get(&card).await.is(404);
    scene.dora.get(&card).await.is(200);
    let mut conn = scene.world.past_the_store().await;
    run(&mut conn, "PRAGMA foreign_keys = OFF").await;
    let give = format!("UPDATE patient SET office_id = '{south}'");
    run(&mut conn, &give).await;
    rewrite_leaf(&scene, "kind = 'patient'", (&north, &south)).await;
    let page = sven.get(&card).await;
    page.is(409)
        .sees("The card of patient")
        .sees("past this program");
    let listed = sven.get("/patients").await;
    assert!(listed.is(200).hrefs(&card).is_empty());
    let found = sven.get(&format!("/find?q={}", scene.patient)).await;
    found.is(409).sees_not("Northgate");
    scene.dora.get(&card).await.is(404);
}

#[tokio::test]
async fn a_house_whose_name_was_changed_is_shown_under_it_on_no_page_of_a_case_without_a_word() {
    let (scene, _) = Scene::at_the_lab().await;
    const WORDS: &str = "What is stored of Kiln Laboratory and Sons is not as the record says";
    let page = scene.at("");
    for (name, is_said) in [
        ("Kiln Laboratory and Sons", true),
        ("Kiln Laboratory", false),
    ] {
        let set = format!("UPDATE party SET name = '{name}' WHERE name LIKE 'Kiln%'");
        change(&scene, &set).await;
        let shown = scene.dora.get(&page).await;
        assert_eq!(shown.is(200).text().contains(WORDS), is_said, "{name}");
    }
}

#[tokio::test]
async fn a_house_whose_name_was_changed_is_called_by_it_in_no_list_and_given_no_case() {
    let (scene, _) = Scene::at_the_lab().await;
    const WORDS: &str = "House not as the record says";
    for (who, path, name) in [
        (&scene.dora, "/", "Kiln"),
        (&scene.tom, "/", "Northgate"),
        (&scene.tom, "/bench", "Northgate"),
    ] {
        let set = |new: &str| format!("UPDATE party SET name = {new} WHERE name LIKE '{name}%'");
        for (new, is_said) in [
            ("name || ' and Sons'", true),
            ("replace(name, ' and Sons', '')", false),
        ] {
            change(&scene, &set(new)).await;
            let page = who.get(path).await;
            assert_eq!(page.is(200).text().contains(WORDS), is_said, "{path}");
            page.sees_not("and Sons");
        }
    }
    let page = "/cases/new";
    let lab = scene.dora.get(page).await.option_value("lab", "Kiln");
    change(
        &scene,
        "UPDATE party SET name = 'Anvil' WHERE name LIKE 'Kiln%'",
    )
    .await;
    let fields = [
        ("patient", scene.patient.as_str()),
        ("arches", "both"),
        ("lab", lab.as_str()),
    ];
    let refused = scene.dora.send(page, page, &fields).await;
    refused
        .is(409)
        .sees("What is stored of Anvil is not as the record says");
}

/// What is invoiced, and how the work went, is read from entries that are held.
#[tokio::test]
async fn a_report_and_what_was_done_count_nothing_by_a_changed_entry() {
    let (scene, _) = Scene::at_the_lab().await;
    const LEFT_OUT: &str = "Left out because they cannot be read: 1 of the cases.";
    let report = async || scene.dora.get("/reports").await.is(200).text();
    // Whoever makes out invoices by it gets all steps, or none.
    let done = async || scene.tom.get("/reports.csv?table=done").await;
    assert!(!report().await.contains(LEFT_OUT));
    done().await.is(200);
    let replaced = |from: &str, to: &str| {
        format!(
            "UPDATE event SET body = replace(body, '\"outcome\":\"{from}\"', '\"outcome\":\"{to}\"') \
             WHERE kind = 'received'"
        )
    };
    change(&scene, &replaced("sound", "damaged")).await;
    assert!(report().await.contains(LEFT_OUT));
    done().await.is(409).sees("would be missing in the file");
    change(&scene, &replaced("damaged", "sound")).await;
    assert!(!report().await.contains(LEFT_OUT));
    done().await.is(200);
}

#[tokio::test]
async fn of_a_case_that_cannot_be_read_nothing_is_proved_and_it_is_said_in_words() {
    for changed in [
        "UPDATE event SET body = 'no JSON' WHERE kind = 'received'",
        "UPDATE event SET at_ms = at_ms + 1 WHERE kind = 'received'",
        "UPDATE item SET body = 'no JSON'",
        "UPDATE item SET body = replace(body, '\"kind\":\"bite_record\"', '\"kind\":\"shade_tab\"')",
        "UPDATE revision SET document = '{}'",
        "UPDATE revision SET document = replace(document, 'a', 'b')",
    ] {
        let (scene, _) = Scene::at_the_lab().await;
        let path = scene.at("/record.tar");
        scene.tom.get(&path).await.is(200);
        change(&scene, changed).await;
        for who in [&scene.tom, &scene.dora] {
            let page = who.get(&path).await;
            assert_eq!(page.status, 409, "{changed}: {}", page.words());
            page.sees("not as the record says").sees("vestibule check");
        }
    }
}
