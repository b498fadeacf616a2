//! Somebody writes to the database past the program, and ordinary work goes on: what was put there is signed by nobody,
//! and what was there for a moment only is told by the entries it left. Rows r20.

use super::faults;
use crate::common::PASSWORD;
use crate::scene::{LEAST, Scene, last_part};
use vestibule::app::sign_in::secret_hash;

const PAST: &str = "somebody has changed it past this program";

async fn change(scene: &Scene, sql: &str) {
    let mut conn = scene.world.past_the_store().await;
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned())).execute(&mut conn);
    done.await.unwrap();
}

/// Signs in; the answer, whatever it is.
async fn sign_in(scene: &Scene, login: &str) -> crate::common::Answer {
    let fields = [("login", login), ("password", PASSWORD)];
    let nobody = scene.world.nobody();
    nobody.send("/sign-in", "/sign-in", &fields).await
}

#[tokio::test]
async fn r20_what_was_put_into_an_account_is_signed_by_no_ordinary_save() {
    for sql in [
        "UPDATE account SET role = 'dentist', licence = 'D-9' WHERE login = 'anna'",
        "UPDATE account SET licence = 'D-9' WHERE login = 'anna'",
        "UPDATE account SET name = 'Another' WHERE login = 'anna'",
        "UPDATE account SET password = (SELECT password FROM account WHERE login = 'tom'), disabled = 0, \
         version = version + 1 WHERE login = 'anna'",
    ] {
        let scene = Scene::opened().await;
        change(&scene, sql).await;
        if sql.contains("password") {
            // What was begun by the password that was there has ended with it.
            scene.anna.get("/account").await.is(303);
            let answer = sign_in(&scene, "anna").await;
            answer.is(409).sees("vestibule check");
            assert!(!faults(&scene).await.is_empty(), "{sql}");
            continue;
        }
        // What is open in her name opens nothing any more.
        scene.anna.get("/account").await.is(409).sees(PAST);
        sign_in(&scene, "anna")
            .await
            .is(409)
            .sees("vestibule check");
        // Nothing is entered in her name, with the password or without.
        let page = scene.at("/items/new");
        let fields = [("item_kind", "bite_record"), ("place", "here")];
        let answer = scene.anna.post(&page, &fields).await;
        answer.is(409).sees(PAST);
        assert!(!faults(&scene).await.is_empty(), "{sql}");
        // Others work on.
        scene.add(&scene.dora, "bite_record", "", "here").await;
    }
}

#[tokio::test]
async fn r20_a_houses_row_and_a_card_are_held_before_they_are_written_over_and_signed() {
    let scene = Scene::opened().await;
    let card = format!("/patients/{}", scene.patient);
    let with = [("patient.sex", "male")];
    scene.dora.send(&card, &card, &with).await.is(303);
    scene.write(&scene.dora, &LEAST).await.is(303);
    scene.reason().await;
    let shown = scene.signature().await;
    // Opened before, since the page of a card that was changed is not shown.
    let mut form = scene.dora.get(&card).await.form(&card, &card, "");
    change(
        &scene,
        "UPDATE patient SET facts = '{}'; UPDATE party SET licence = 'X-1' WHERE kind = 'lab'",
    )
    .await;
    form.insert("patient.sex".to_owned(), "female".to_owned());
    let fields: Vec<(&str, &str)> = form
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    let answer = scene.dora.post(&card, &fields).await;
    answer.is(409).sees("The card of patient").sees(PAST);
    let page = scene.dora.get(&card).await;
    page.is(409).sees("The card of patient").sees(PAST);
    let listed = scene.dora.get("/patients").await;
    listed.is(200).sees("are missing here: 1.");
    let root = scene.world.person("root");
    let page = root.get("/parties").await;
    let lab = page.hrefs("/parties/");
    let mut refused = 0;
    for party in lab.iter().filter(|path| !path.ends_with("new")) {
        let answer = root.send(party, party, &[("address", "9 New Lane")]).await;
        refused += usize::from(answer.status == 409);
    }
    assert!(refused > 0, "{lab:?}");
    // Nor does it get onto a signed prescription.
    let answer = scene.sign_as_shown(&shown).await;
    answer.is(409).sees(PAST);
    assert!(faults(&scene).await.contains("differ"));
}

#[tokio::test]
async fn r20_what_somebody_was_for_the_time_of_one_entry_is_told_by_the_entry() {
    let scene = Scene::opened().await;
    scene.things().await;
    scene.sign(&LEAST).await.is(303);
    assert_eq!(faults(&scene).await, "");
    // As the record has them: an assistant, and a dentist with a licence.
    let was = "UPDATE event SET body = replace(body, '\"assistant\"', '\"dentist\"')";
    change(&scene, was).await;
    let said = faults(&scene).await;
    assert!(
        said.contains("as dentist, and the record says assistant of that account"),
        "{said}"
    );
}

#[tokio::test]
async fn r20_a_link_that_nobody_has_made_lets_nobody_in() {
    let scene = Scene::opened().await;
    let secret = "a-secret-of-ones-own";
    let link = |role: &str, party: &str, admission: &str| {
        format!(
            "INSERT INTO invite (secret_hash, party_id, role, name, made_ms, ends_ms, admission_id) \
             VALUES ('{}', {party}, '{role}', '', 1, 9000000000000, {admission})",
            secret_hash(secret)
        )
    };
    let office = "(SELECT party_id FROM account WHERE login = 'dora')";
    let spent = "(SELECT id FROM admission WHERE role = 'dentist' ORDER BY id LIMIT 1)";
    for (role, party, admission) in [
        ("dentist", office, "NULL"),
        ("administrator", "NULL", "NULL"),
        // On the word by which somebody else came in.
        ("dentist", office, spent),
        ("lab_manager", office, spent),
    ] {
        change(&scene, &link(role, party, admission)).await;
        let path = format!("/join/{secret}");
        scene.world.nobody().get(&path).await.is(404);
        change(&scene, "DELETE FROM invite WHERE made_ms = 1").await;
    }
    // An admission that the record does not have is none.
    let word = "INSERT INTO admission SELECT 'forged', what, party_id, role, name, account_id, link_id, by_account, by_name, \
                at_ms FROM admission WHERE role = 'dentist' LIMIT 1";
    change(&scene, word).await;
    change(&scene, &link("dentist", office, "'forged'")).await;
    let path = format!("/join/{secret}");
    scene.world.nobody().get(&path).await.is(404);
}

#[tokio::test]
async fn r20_a_counter_at_its_end_refuses_in_words_and_is_named() {
    const END: &str = "9223372036854775807";
    let scene = Scene::opened().await;
    let page = scene.at("/items/new");
    let fields = [("item_kind", "bite_record"), ("place", "here")];
    for (set, back) in [
        (
            format!("UPDATE case_file SET version = {END}"),
            "UPDATE case_file SET version = 7",
        ),
        (
            format!("UPDATE party SET changes = {END}"),
            "UPDATE party SET changes = 7",
        ),
    ] {
        change(&scene, &set).await;
        let answer = scene.dora.send(&page, &page, &fields).await;
        answer
            .is(409)
            .sees("at its end")
            .sees("Nothing was entered.");
        scene.dora.get(&page).await.is(200);
        scene.dora.get("/").await.is(200);
        assert!(faults(&scene).await.contains("at its end"), "{set}");
        change(&scene, back).await;
    }
    scene.write(&scene.dora, &LEAST).await.is(303);
    change(&scene, &format!("UPDATE draft SET version = {END}")).await;
    assert!(faults(&scene).await.contains("The counter of the draft"));
}

#[tokio::test]
async fn r20_a_clock_that_is_set_back_enters_nothing_until_somebody_answers_for_it() {
    let scene = Scene::signed().await;
    scene.world.pass_minutes(-90 * 24 * 60);
    let tom = scene.world.visitor("tom").await;
    let dora = scene.world.visitor("dora").await;
    let path = scene.at("/revisions/1/acknowledge");
    let fields = [("post_key", "acknowledge-0001")];
    let answer = tom.post(&path, &fields).await;
    assert_eq!(answer.status, 409, "{}", answer.text());
    let answer = dora.send("/patients/new", "/patients/new", &[]).await;
    answer
        .is(409)
        .sees("vestibule clock")
        .sees("Nothing was entered.");
    scene.world.pass_minutes(90 * 24 * 60);
    let dora = scene.world.visitor("dora").await;
    let card = dora.send("/patients/new", "/patients/new", &[]).await;
    card.is(303);
    assert!(!last_part(&card).is_empty());
    assert_eq!(faults(&scene).await, "");
}
