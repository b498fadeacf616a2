//! What keeps the owners of an installation safe: who was shut out lets nobody in, what stands in a row without the key
//! opens nothing, and what was set back or damaged is said where it is seen.

use super::{faults, set_back, words_on};
use crate::common::{Answer, PASSWORD, Visitor, World};
use crate::lists::{MOULDS, load_moulds};
use crate::scene::{LEAST, Scene};
use sqlx::Row;
use vestibule::app::manage::shut_out as shut_out_by;
use vestibule::app::sign_in::{confirm_password, person, secret_hash};
use vestibule::app::{App, Person, PostKey};
use vestibule::domain::values::ids::AccountId;

async fn change(scene: &Scene, sql: &str) {
    let mut conn = scene.world.past_the_store().await;
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned())).execute(&mut conn);
    done.await.unwrap();
}

async fn one(scene: &Scene, sql: &str) -> String {
    let mut conn = scene.world.past_the_store().await;
    let row = sqlx::query(sqlx::AssertSqlSafe(sql.to_owned()));
    row.fetch_one(&mut conn).await.unwrap().get(0)
}

/// A one-time link that somebody makes, of this role at a house.
async fn invited(who: &Visitor, (name, role): (&str, &str), house: &str) -> String {
    let page = who.get("/people").await;
    let party = match house {
        "" => String::new(),
        house => page.option_value("party", house),
    };
    let fields = [
        ("name", name),
        ("role", role),
        ("party", party.as_str()),
        ("password", PASSWORD),
    ];
    let made = who.send("/people", "/people/invite", &fields).await;
    let link = made.is(200).attribute("input.link", "value");
    link.trim_start_matches("http://vestibule.test").to_owned()
}

async fn answers(scene: &Scene, link: &str) -> u16 {
    scene.world.nobody().get(link).await.status.as_u16()
}

async fn id_of(scene: &Scene, login: &str) -> String {
    one(
        scene,
        &format!("SELECT id FROM account WHERE login = '{login}'"),
    )
    .await
}

async fn shut_out(scene: &Scene, login: &str) -> Answer {
    let action = format!("/people/{}/disabled", id_of(scene, login).await);
    let root = scene.world.person("root");
    root.send("/people", &action, &[]).await
}

#[tokio::test]
async fn an_administrator_who_is_shut_out_lets_nobody_in_by_links_of_before() {
    let scene = Scene::opened().await;
    let root = scene.world.person("root");
    let link = invited(&root, ("Rita Root", "administrator"), "").await;
    let rita = scene.world.join(&link, "rita", None).await;
    let first = invited(&rita, ("Rudolf", "dentist"), "Northgate").await;
    let second = invited(&rita, ("Rosa", "administrator"), "").await;
    let of_root = invited(&root, ("Ruben", "dentist"), "Northgate").await;
    for link in [&first, &second, &of_root] {
        assert_eq!(answers(&scene, link).await, 200);
    }
    scene.world.pass_minutes(1);
    let done = shut_out(&scene, "rita").await;
    let page = root.get(&done.is(303).location()).await;
    page.sees("Blocked. 2 one-time links");
    // Whatever their rows say, also when she is let in again.
    change(&scene, "UPDATE invite SET used_ms = NULL").await;
    for (link, status) in [(&first, 404), (&second, 404), (&of_root, 200)] {
        assert_eq!(answers(&scene, link).await, status, "{link}");
    }
    let again = format!("/people/{}/let-in-again", id_of(&scene, "rita").await);
    let password = [("password", PASSWORD)];
    root.send(&again, &again, &password).await.is(303);
    for (link, status) in [(&first, 404), (&second, 404), (&of_root, 200)] {
        assert_eq!(answers(&scene, link).await, status, "{link}");
    }
    let rita = scene.world.visitor("rita").await;
    scene.world.pass_minutes(1);
    let third = invited(&rita, ("Rudolf", "dentist"), "Northgate").await;
    assert_eq!(answers(&scene, &third).await, 200);
}

#[tokio::test]
async fn letting_in_again_takes_the_password_and_the_house_is_told() {
    let scene = Scene::opened().await;
    let (root, tom) = (scene.world.person("root"), id_of(&scene, "tom").await);
    let page = format!("/people/{tom}/let-in-again");
    root.get(&page).await.is(409).sees("tom may sign in");
    let before = scene.world.visitor("tom").await;
    change(&scene, "CREATE TABLE kept AS SELECT * FROM session").await;
    shut_out(&scene, "tom").await.is(303);
    // Not by the way of shutting out.
    let action = format!("/people/{tom}/disabled");
    let key = ("post_key", "let-in-again-01");
    root.post(&action, &[key, ("disabled", "0")]).await.is(303);
    let fields = [("login", "tom"), ("password", PASSWORD)];
    let nobody = scene.world.nobody();
    nobody.post("/sign-in", &fields).await.is(422);
    for password in ["", "wrong"] {
        let answer = root.send(&page, &page, &[("password", password)]).await;
        let field = answer.is(422).attribute("[aria-invalid]", "name");
        assert_eq!(field, "password");
    }
    nobody.post("/sign-in", &fields).await.is(422);
    scene.world.pass_minutes(1);
    let done = root.send(&page, &page, &[("password", PASSWORD)]).await;
    done.is(303);
    let tom = scene.world.visitor("tom").await;
    assert_eq!(tom.get("/account").await.count("p.let-in"), 1);
    let shown_page = scene.world.person("mara").get("/let-in").await;
    shown_page.sees("let in again");
    // What was begun before stays ended, also when its row comes back.
    let back = "INSERT INTO session SELECT * FROM kept WHERE secret_hash NOT IN (SELECT secret_hash FROM session); \
                DROP TABLE kept";
    change(&scene, back).await;
    before.get("/account").await.is(303);
    let said = faults(&scene).await;
    let mut others = said.lines().filter(|line| !line.contains("the trigger "));
    assert_eq!(others.next(), None);
}

/// Sets a code, and allows a device: a browser on it that nobody is signed in in.
async fn at_a_tablet(scene: &Scene) -> Visitor {
    let fields = [("password", PASSWORD), ("new_bench_code", "4071")];
    let done = scene.tom.send("/account", "/account/code", &fields).await;
    done.is(303);
    let fields = [("device_name", "Tablet"), ("password", PASSWORD)];
    let done = scene.mara.send("/bench/devices", "/bench/devices", &fields);
    let device = done.await.is(303).cookies();
    scene.world.nobody().with_cookie(device[0].clone())
}

async fn types_code(scene: &Scene, device: &Visitor, login: &str, code: &str) -> Answer {
    let id = id_of(scene, login).await;
    let fields = [("bench_code", code), ("bench_person", id.as_str())];
    device.post("/bench/who", &fields).await
}

#[tokio::test]
async fn a_device_and_a_code_that_somebody_has_put_in_open_nothing_and_are_named() {
    let scene = Scene::opened().await;
    let tablet = at_a_tablet(&scene).await;
    types_code(&scene, &tablet, "tom", "4071").await.is(303);
    // Somebody's own code under the name of another, with the binding of his own and without.
    for binding in ["binding", "''", "'made up'"] {
        change(
            &scene,
            &format!(
                "INSERT OR REPLACE INTO bench_code SELECT (SELECT id FROM account WHERE login = 'mara'), hash, set_ms, {binding} \
                 FROM bench_code WHERE account_id = (SELECT id FROM account WHERE login = 'tom')"
            ),
        )
        .await;
        let page = tablet.get("/bench/who").await;
        page.sees("tom").sees_not("mara");
        types_code(&scene, &tablet, "mara", "4071").await.is(422);
    }
    let said = faults(&scene).await;
    assert!(said.contains("mara has not set the code"), "{said}");
    change(
        &scene,
        "DELETE FROM bench_code WHERE binding = 'made up'; DELETE FROM bench_code_wrong",
    )
    .await;
    // A device of one's own, as a copy of the one that is allowed.
    let secret = "a-device-of-ones-own";
    let hash = secret_hash(secret);
    change(
        &scene,
        &format!(
            "INSERT INTO bench_device SELECT 'another', '{hash}', party_id, 'Another', by_name, allowed_ms, 0, 0, binding \
             FROM bench_device"
        ),
    )
    .await;
    let own = format!("vestibule-device={secret}");
    let own = scene.world.nobody().with_cookie(own);
    let not_allowed = "Codes are not taken on this device";
    own.get("/bench/who").await.sees(not_allowed);
    types_code(&scene, &own, "tom", "4071").await.is(409);
    let said = faults(&scene).await;
    assert!(said.contains("the device “Another”"), "{said}");
    let listed = scene.mara.get("/bench/devices").await;
    listed.sees("codes are not taken on it: allow it again there");
    // One that was taken back stays so, whatever its row says; so does what was begun on it.
    let came = types_code(&scene, &tablet, "tom", "4071").await;
    let cookies = [tablet.cookie.clone().unwrap(), came.cookies().join("; ")];
    let tom = tablet.clone().with_cookie(cookies.join("; "));
    tom.get("/bench").await.is(200);
    change(&scene, "CREATE TABLE kept AS SELECT * FROM session").await;
    let id = one(&scene, "SELECT id FROM bench_device WHERE name = 'Tablet'").await;
    let back = [("device", id.as_str())];
    scene.mara.post("/bench/devices/back", &back).await.is(303);
    change(
        &scene,
        "UPDATE bench_device SET taken_back_ms = 0 WHERE name = 'Tablet'; INSERT INTO session SELECT * FROM kept \
         WHERE secret_hash NOT IN (SELECT secret_hash FROM session); DROP TABLE kept",
    )
    .await;
    tablet.get("/bench/who").await.sees(not_allowed);
    tom.get("/bench").await.is(303);
    // A new password ends the code, and says nothing against the record.
    let new = [
        ("password", PASSWORD),
        ("new_password", "a boat upon the quiet river"),
        ("password_again", "a boat upon the quiet river"),
    ];
    let here = &scene.tom;
    let done = here.send("/account", "/account/password", &new).await;
    let signed_in_again = here.clone().with_cookies_of(done.is(303));
    signed_in_again.get("/account").await.is(200);
    assert_eq!(
        one(&scene, "SELECT CAST(COUNT(*) AS TEXT) FROM bench_code").await,
        "0"
    );
}

#[tokio::test]
async fn the_name_of_somebody_of_another_lab_is_told_at_no_device() {
    let scene = Scene::opened().await;
    let tablet = at_a_tablet(&scene).await;
    let lars = scene.world.person("lars");
    let fields = [("password", PASSWORD), ("new_bench_code", "5182")];
    let done = lars.send("/account", "/account/code", &fields).await;
    done.is(303);
    let give = |name: &str| {
        format!(
            "UPDATE account SET party_id = (SELECT id FROM party WHERE name LIKE '{name}%') WHERE login = 'lars'"
        )
    };
    change(&scene, &give("Kiln")).await;
    let page = tablet.get("/bench/who").await;
    page.is(200).sees("tom").sees_not("lars");
    types_code(&scene, &tablet, "lars", "5182").await.is(409);
    change(&scene, &give("Anvil")).await;
    lars.get("/").await.is(200);
}

#[tokio::test]
async fn of_a_case_whose_patients_card_was_changed_nothing_is_entered_or_printed() {
    let (scene, _) = Scene::at_the_lab().await;
    let kept = one(&scene, "SELECT facts FROM patient").await;
    let other = r#"UPDATE patient SET facts = '{"patient.sex":"female"}'"#;
    change(&scene, other).await;
    change(&scene, "UPDATE case_file SET version = version + 1").await;
    let words = "The card of patient";
    for path in ["/history.pdf", "/revisions/1/slip.pdf"] {
        scene.tom.get(&scene.at(path)).await.is(409).sees(words);
    }
    let page = scene.at("/items/new");
    let fields = [("item_kind", "bite_record"), ("place", "here")];
    let entered = scene.tom.send(&page, &page, &fields).await;
    entered.is(409).sees(words);
    let back = format!("UPDATE patient SET facts = '{}'", kept.replace('\'', "''"));
    change(&scene, &back).await;
    change(&scene, "UPDATE case_file SET version = version + 1").await;
    scene.tom.get(&scene.at("/history.pdf")).await.is(200);
}

#[tokio::test]
async fn a_card_changed_past_the_program_was_worked_by_at_the_bench() {
    let (scene, _) = Scene::at_the_lab().await;
    let pages = [scene.at("/bench"), scene.at("/revisions/1")];
    for page in &pages {
        scene.tom.get(page).await.is(200);
    }
    let other = r#"UPDATE patient SET facts = '{"patient.sex":"female"}'"#;
    change(&scene, other).await;
    change(&scene, "UPDATE case_file SET version = version + 1").await;
    for page in &pages {
        let answer = scene.tom.get(page).await;
        answer.is(409).sees("The card of patient");
    }
}

/// A page is kept by the versions of what it shows, and whoever changes a card past the program leaves them as they are.
#[tokio::test]
async fn a_card_changed_under_its_old_version_is_said_by_a_page_that_was_kept() {
    let (scene, _) = Scene::at_the_lab().await;
    let (page, words) = (scene.at(""), "The card of patient");
    scene.tom.get(&page).await.is(200).sees_not(words);
    let other = r#"UPDATE patient SET facts = '{"patient.sex":"female"}'"#;
    change(&scene, other).await;
    scene.tom.get(&page).await.is(200).sees(words);
    scene.tom.get(&scene.at("/bench")).await.is(409).sees(words);
}

#[tokio::test]
async fn a_paper_was_printed_until_the_next_write_had_noticed() {
    let (scene, _) = Scene::at_the_lab().await;
    let papers = [scene.at("/history.pdf"), scene.at("/record.tar")];
    for path in &papers {
        scene.tom.get(path).await.is(200);
    }
    // A leaf that has nothing to do with the case.
    let of = "(SELECT MAX(number) FROM leaf WHERE kind = 'account')";
    let sql = format!("UPDATE leaf SET about = about || '0' WHERE number = {of}");
    change(&scene, &sql).await;
    for path in &papers {
        scene.tom.get(path).await.is(503).sees("past Vestibule");
    }
}

#[tokio::test]
async fn a_record_that_was_set_back_while_it_serves_is_printed_and_proved_no_more() {
    let scene = Scene::opened_in(World::peopled().await.signed_beside().await).await;
    scene.sign(&LEAST).await.is(303);
    let leaf = scene.leaves().await[0];
    let taken_away = [
        scene.at("/history.pdf"),
        scene.at("/revisions/1/slip.pdf"),
        scene.at("/record.tar"),
        scene.at(&format!("/leaves/{leaf}/entry")),
        scene.at(&format!("/leaves/{leaf}/proof")),
        "/day-list.pdf".to_owned(),
        "/patients/key-sheet.pdf".to_owned(),
    ];
    // What is lost has nothing to do with the case.
    scene
        .dora
        .send("/patients/new", "/patients/new", &[])
        .await
        .is(303);
    for path in &taken_away {
        scene.dora.get(path).await.is(200);
    }
    let size = one(&scene, "SELECT CAST(COUNT(*) AS TEXT) FROM leaf").await;
    set_back(&scene, size.parse::<usize>().unwrap() - 1).await;
    let words = "or has set its database back";
    for path in &taken_away {
        scene.dora.get(path).await.is(503).sees(words);
    }
    // Pages are read, and say so.
    scene.tom.get(&scene.at("")).await.is(200).sees(words);
}

#[tokio::test]
async fn a_leaf_that_is_found_under_another_kind_or_key_stops_all_entries_until_it_is_put_back() {
    let scene = Scene::opened().await;
    let page = scene.at("/items/new");
    let fields = [("item_kind", "bite_record"), ("place", "here")];
    for (set, back) in [
        ("kind = 'item'", "kind = 'party'"),
        (
            "about = about || '0'",
            "about = substr(about, 1, length(about) - 1)",
        ),
        (
            "case_number = 'x'",
            "case_number = substr(about, 1, instr(about, '/') - 1)",
        ),
    ] {
        // A house that has nothing to do with the case.
        let of = "(SELECT MAX(number) FROM leaf WHERE body LIKE '{\"kind\":\"party\"%')";
        change(
            &scene,
            &format!("UPDATE leaf SET {set} WHERE number = {of}"),
        )
        .await;
        let refused = scene.anna.send(&page, &page, &fields).await;
        refused.is(503).sees("past Vestibule");
        scene.tom.get("/").await.sees("past Vestibule");
        // So does a further start.
        let again = scene.world.store_again().await;
        assert!(again.is_forked(), "{set}");
        again.close().await;
        change(
            &scene,
            &format!("UPDATE leaf SET {back} WHERE number = {of}"),
        )
        .await;
        scene.anna.send(&page, &page, &fields).await.is(303);
        scene.tom.get("/").await.sees_not("past Vestibule");
    }
}

#[tokio::test]
async fn one_damaged_case_keeps_nobody_from_the_others() {
    let scene = Scene::signed().await;
    let patient = scene.dora.send("/patients/new", "/patients/new", &[]).await;
    let patient = patient.location();
    let patient = patient.rsplit('/').next().unwrap();
    let other = crate::scene::open_case(&scene.dora, patient, "both").await;
    let damage = format!(
        "UPDATE case_file SET things = 'x' WHERE number = '{other}'; UPDATE party SET changes = changes + 1"
    );
    change(&scene, &damage).await;
    let said = format!("1 case cannot be read: {other}.");
    for who in [&scene.dora, &scene.tom] {
        let page = who.get("/").await;
        page.is(200).sees(&said);
        assert!(!page.hrefs(&scene.at("")).is_empty());
    }
    let page = scene.dora.get(&format!("/cases/{other}")).await;
    page.is(500)
        .sees("A value in the database is of another kind");
    scene.dora.get(&scene.at("")).await.is(200);
}

#[tokio::test]
async fn a_case_that_cannot_be_read_is_named_at_the_bench_on_the_day_list_and_in_a_search() {
    let (scene, _) = Scene::at_the_lab().await;
    let said = format!("1 case cannot be read: {}.", scene.number);
    let places = ["/bench", "/find?q=Northgate"];
    for path in places {
        scene.tom.get(path).await.is(200).sees_not(&said);
    }
    // Due today, so that it belongs to every list of its lab.
    let damage = "UPDATE case_file SET things = 'x', lab_day = '2026-03-02'; UPDATE party SET changes = changes + 1";
    change(&scene, damage).await;
    for path in places {
        scene.tom.get(path).await.is(200).sees(&said);
    }
    let paper = scene.tom.get("/day-list.pdf?for=week").await;
    assert!(words_on(paper.is(200)).contains(&said));
    scene.dora.get("/find?q=Kiln").await.is(200).sees(&said);
    // Who has nothing to do with the case hears nothing of it.
    let stranger = scene.world.visitor("sven").await;
    stranger
        .get("/find?q=Kiln")
        .await
        .sees_not("cannot be read");
}

#[tokio::test]
async fn whoever_signs_out_is_out_also_where_the_database_cannot_keep_it() {
    let scene = Scene::opened().await;
    let dora = scene.world.visitor("dora").await;
    change(
        &scene,
        "CREATE TRIGGER stays BEFORE DELETE ON session BEGIN SELECT RAISE(ABORT, 'no room'); END",
    )
    .await;
    for path in ["/sign-out", "/sign-out-everywhere"] {
        let who = scene.world.visitor("anna").await;
        let answer = who.post(path, &[]).await;
        answer
            .is(500)
            .sees("You are signed out in this browser")
            .sees("ends by itself");
        let cookies = answer.cookies();
        assert!(cookies.iter().any(|one| one == "vestibule="), "{cookies:?}");
        // With the old cookie too.
        who.get("/account").await.is(303);
    }
    change(
        &scene,
        "DROP TRIGGER stays; CREATE TABLE kept AS SELECT * FROM session",
    )
    .await;
    let there = scene.world.visitor("dora").await;
    change(
        &scene,
        "DROP TABLE kept; CREATE TABLE kept AS SELECT * FROM session",
    )
    .await;
    dora.post("/sign-out", &[]).await.is(303);
    there.post("/sign-out-everywhere", &[]).await.is(303);
    let back = "INSERT INTO session SELECT * FROM kept WHERE secret_hash NOT IN (SELECT secret_hash FROM session)";
    change(&scene, back).await;
    for who in [&dora, &there] {
        who.get("/account").await.is(303);
    }
}

/// The same installation once more, as a second program or after a restart.
fn once_more(world: World) -> World {
    let old = &world.app;
    let app = App::new(old.store.clone(), old.outside.clone(), old.settings.clone());
    world.served(app)
}

#[tokio::test]
async fn r25_an_ended_session_stays_so_after_a_restart_and_in_a_second_program() {
    let mut scene = Scene::opened_in(World::peopled().await.signed_beside().await).await;
    let last = scene.world.visitor("dora").await;
    let other = scene.world.visitor("dora").await;
    let gone = scene.world.visitor("anna").await;
    change(&scene, "CREATE TABLE kept AS SELECT * FROM session").await;
    let page = last.get("/account").await;
    let action = "/account/sessions/end";
    let ends = page.attribute(
        &format!("form[action='{action}'] input[name=session]"),
        "value",
    );
    last.post(action, &[("session", ends.as_str())])
        .await
        .is(303);
    last.post("/sign-out", &[]).await.is(303);
    gone.post("/sign-out-everywhere", &[]).await.is(303);
    let back = "INSERT INTO session SELECT * FROM kept WHERE secret_hash NOT IN (SELECT secret_hash FROM session)";
    change(&scene, back).await;
    for _ in 0..2 {
        for who in [&last, &gone] {
            let mut there = scene.world.nobody();
            there.cookie.clone_from(&who.cookie);
            there.get("/account").await.is(303);
        }
        scene.world = once_more(scene.world);
    }
    // Who has ended nothing goes on, unless the file of what was ended is taken away.
    let mut stays = scene.world.nobody();
    stays.cookie.clone_from(&scene.world.person("tom").cookie);
    stays.get("/account").await.is(200);
    scene.world.pass_minutes(1);
    let beside = scene.world.database_file().with_file_name("record.ended");
    std::fs::remove_file(&beside).unwrap();
    stays.get("/account").await.is(303);
    drop(other);
    // Who comes in afterwards is in, also where the file is still missing then.
    for login in ["dora", "anna"] {
        let comes = scene.world.visitor(login).await;
        scene.world.pass_minutes(1);
        comes.get("/account").await.is(200);
        std::fs::remove_file(&beside).unwrap();
    }
}

#[tokio::test]
async fn r25_whoever_signs_out_everywhere_ends_also_what_a_row_calls_over_or_says_illegibly() {
    let scene = Scene::opened_in(World::peopled().await.signed_beside().await).await;
    for damage in [
        "ends_ms = began_ms + 1",
        "ends_ms = 'never'",
        "browser = x'ff'",
    ] {
        let there = scene.world.visitor("dora").await;
        there.get("/account").await.is(200);
        change(
            &scene,
            &format!(
                "CREATE TABLE kept AS SELECT * FROM session; UPDATE session SET {damage} \
                 WHERE account_id = (SELECT id FROM account WHERE login = 'dora')"
            ),
        )
        .await;
        scene.world.pass_minutes(1);
        let here = scene.world.visitor("dora").await;
        here.get("/account").await.is(200);
        here.post("/sign-out-everywhere", &[]).await.is(303);
        let back = "INSERT INTO session SELECT * FROM kept WHERE secret_hash NOT IN (SELECT secret_hash FROM session); \
                    DROP TABLE kept";
        change(&scene, back).await;
        // Another program reads what was ended, and this one has read it again by then.
        let anna = scene.world.visitor("anna").await;
        anna.post("/sign-out", &[]).await.is(303);
        there.get("/account").await.is(303);
    }
}

/// The row of an account that was changed once, and the sessions that were kept, as they were before.
const DORA_AS_BEFORE: &str = "UPDATE account SET disabled = 0, version = version - 1 WHERE login = 'dora'; \
    INSERT INTO session SELECT * FROM kept WHERE secret_hash NOT IN (SELECT secret_hash FROM session)";

#[tokio::test]
async fn r25_who_was_shut_out_stays_out_when_account_and_session_are_put_back() {
    // Also where somebody has hidden the sessions, so that none of them could be ended.
    for (hidden, status) in [
        ("SELECT 1", 303),
        (
            "DELETE FROM session WHERE account_id = (SELECT id FROM account WHERE login = 'dora')",
            409,
        ),
    ] {
        let scene = Scene::opened_in(World::peopled().await.signed_beside().await).await;
        let dora = scene.world.visitor("dora").await;
        let write = scene.at("/write");
        dora.get(&write).await.is(200);
        let kept = "CREATE TABLE kept AS SELECT * FROM session";
        change(&scene, &format!("{kept}; {hidden}")).await;
        shut_out(&scene, "dora").await.is(303);
        change(&scene, DORA_AS_BEFORE).await;
        for path in ["/", write.as_str()] {
            dora.get(path).await.is(status);
        }
    }
}

#[tokio::test]
async fn r25_an_account_that_another_program_has_shut_out_is_held_within_a_minute() {
    let scene = Scene::opened().await;
    let dora = scene.world.visitor("dora").await;
    dora.get("/").await.is(200);
    change(
        &scene,
        "CREATE TABLE kept AS SELECT * FROM session; \
         DELETE FROM session WHERE account_id = (SELECT id FROM account WHERE login = 'dora')",
    )
    .await;
    let here = &scene.world.app;
    let there = App::new(
        here.store.clone(),
        here.outside.clone(),
        here.settings.clone(),
    );
    let root = under_way(&scene, &scene.world.person("root")).await;
    let key = PostKey::parse("in-another-program").unwrap();
    let id = AccountId::new(id_of(&scene, "dora").await);
    let done = shut_out_by(&there, &root, &id, &key).await;
    assert!(done.is_ok());
    change(&scene, DORA_AS_BEFORE).await;
    scene.world.pass_minutes(1);
    dora.get("/").await.is(409);
}

#[tokio::test]
async fn r25_a_device_a_code_and_what_was_begun_by_it_stay_ended_when_their_rows_come_back() {
    let scene = Scene::opened_in(World::peopled().await.signed_beside().await).await;
    let not_allowed = "Codes are not taken on this device";
    let tablet = at_a_tablet(&scene).await;
    let came = types_code(&scene, &tablet, "tom", "4071").await;
    let cookies = [tablet.cookie.clone().unwrap(), came.cookies().join("; ")];
    let tom = tablet.clone().with_cookie(cookies.join("; "));
    tom.get("/bench").await.is(200);
    change(
        &scene,
        "CREATE TABLE kept AS SELECT * FROM session; CREATE TABLE kept_code AS SELECT * FROM bench_code; \
         CREATE TABLE kept_device AS SELECT * FROM bench_device",
    )
    .await;
    let new = [("password", PASSWORD), ("new_bench_code", "8264")];
    let set = scene.tom.send("/account", "/account/code", &new).await;
    set.is(303);
    change(
        &scene,
        "INSERT INTO session SELECT * FROM kept WHERE secret_hash NOT IN (SELECT secret_hash FROM session); \
         DELETE FROM bench_code; INSERT INTO bench_code SELECT * FROM kept_code",
    )
    .await;
    tom.get("/bench").await.is(303);
    let typed = types_code(&scene, &tablet, "tom", "4071").await;
    assert_ne!(typed.status.as_u16(), 303);
    let id = one(&scene, "SELECT id FROM bench_device WHERE name = 'Tablet'").await;
    let back = [("device", id.as_str())];
    scene.mara.post("/bench/devices/back", &back).await.is(303);
    tablet.get("/bench/who").await.sees(not_allowed);
    change(
        &scene,
        "UPDATE bench_device SET taken_back_ms = 0, binding = (SELECT binding FROM kept_device WHERE kept_device.id = bench_device.id)",
    )
    .await;
    tablet.get("/bench/who").await.sees(not_allowed);
    let again = once_more(scene.world);
    let mut tablet_again = again.nobody();
    tablet_again.cookie.clone_from(&tablet.cookie);
    tablet_again.get("/bench/who").await.sees(not_allowed);
}

/// Makes the address of a calendar, and answers with its path; none where it could not be made.
async fn makes_address(who: &Visitor) -> Option<String> {
    let fields = [("password", PASSWORD)];
    let page = who.send("/account", "/account/feed", &fields).await;
    (page.status.as_u16() == 200).then(|| {
        let address = page.attribute("input.link", "value");
        address.replace("http://vestibule.test", "")
    })
}

#[tokio::test]
async fn a_code_and_an_address_are_taken_until_the_next_is_stored() {
    let scene = Scene::opened_in(World::peopled().await.signed_beside().await).await;
    let nobody = scene.world.nobody();
    let tablet = at_a_tablet(&scene).await;
    let before = makes_address(&scene.tom).await.unwrap();
    change(
        &scene,
        "CREATE TRIGGER full_code BEFORE UPDATE ON bench_code BEGIN SELECT RAISE(ABORT, 'no'); END; \
         CREATE TRIGGER full_feed BEFORE UPDATE ON calendar_feed BEGIN SELECT RAISE(ABORT, 'no'); END",
    )
    .await;
    let new = [("password", PASSWORD), ("new_bench_code", "8264")];
    let set = scene.tom.send("/account", "/account/code", &new).await;
    set.is(500);
    assert_eq!(makes_address(&scene.tom).await, None);
    types_code(&scene, &tablet, "tom", "4071").await.is(303);
    nobody.get(&before).await.is(200);
    change(&scene, "DROP TRIGGER full_code; DROP TRIGGER full_feed").await;
    let set = scene.tom.send("/account", "/account/code", &new).await;
    set.is(303);
    let after = makes_address(&scene.tom).await.unwrap();
    let typed = types_code(&scene, &tablet, "tom", "4071").await;
    assert_ne!(typed.status.as_u16(), 303);
    types_code(&scene, &tablet, "tom", "8264").await.is(303);
    nobody.get(&before).await.is(404);
    nobody.get(&after).await.is(200);
}

#[tokio::test]
async fn another_program_that_has_the_file_of_what_was_ended_in_hand_keeps_nobody_waiting_but_who_leaves()
 {
    let scene = Scene::opened_in(World::peopled().await.signed_beside().await).await;
    let leaves = scene.world.visitor("dora").await;
    let beside = scene.world.database_file().with_file_name("record.ended");
    let held = std::fs::File::open(&beside).unwrap();
    held.lock().unwrap();
    let (free, is_free) = std::sync::mpsc::channel::<()>();
    // Also where nobody says so: a program that waits with all it has would never end.
    let frees = std::thread::spawn(move || {
        let said = is_free.recv_timeout(std::time::Duration::from_secs(10));
        drop(held);
        said.is_ok()
    });
    let others = async {
        tokio::time::sleep(std::time::Duration::from_millis(200)).await;
        scene.tom.get("/").await.is(200);
        free.send(()).ok();
    };
    let (left, ()) = tokio::join!(leaves.post("/sign-out", &[]), others);
    left.is(303);
    assert!(frees.join().unwrap(), "it was set free too late");
}

#[tokio::test]
async fn r25_who_signs_in_where_another_has_not_signed_out_ends_that_session() {
    let scene = Scene::opened().await;
    let dora = scene.world.visitor("dora").await;
    let fields = [("login", "anna"), ("password", PASSWORD)];
    dora.send("/sign-in", "/sign-in", &fields).await.is(303);
    dora.get("/account").await.is(303);
}

#[tokio::test]
async fn r25_a_session_of_a_code_ends_with_the_password_for_good() {
    let scene = Scene::opened().await;
    let tablet = at_a_tablet(&scene).await;
    let came = types_code(&scene, &tablet, "tom", "4071").await;
    let cookies = [tablet.cookie.clone().unwrap(), came.cookies().join("; ")];
    let tom = tablet.with_cookie(cookies.join("; "));
    tom.get("/bench").await.is(200);
    change(&scene, "CREATE TABLE kept AS SELECT * FROM session").await;
    let page = "/bench/password?next=/";
    let fields = [("password", PASSWORD)];
    tom.send(page, "/bench/password", &fields).await.is(303);
    let back = "INSERT INTO session SELECT * FROM kept WHERE secret_hash NOT IN (SELECT secret_hash FROM session)";
    change(&scene, back).await;
    tom.get("/bench").await.is(303);
}

#[tokio::test]
async fn r25_a_session_of_a_clock_that_was_ahead_ends_when_it_is_set_back() {
    let scene = Scene::opened().await;
    let tom = scene.world.visitor("tom").await;
    for minutes in [4 * 60, 30 * 24 * 60] {
        scene.world.pass_minutes(minutes);
        let ahead = scene.world.visitor("tom").await;
        let dora = scene.world.visitor("dora").await;
        ahead.get("/account").await.is(200);
        scene.world.pass_minutes(-minutes);
        for who in [&ahead, &dora] {
            who.get("/account").await.is(303);
        }
        let after = scene.world.visitor("tom").await;
        after.get("/account").await.is(200);
        // Who came before stays, unless his session was over for so long by that clock that it was forgotten.
        let stays = if minutes == 4 * 60 { 200 } else { 303 };
        tom.get("/account").await.is(stays);
    }
    // Set back by less, nobody works in it for half an hour all the same.
    let less = 2 * 60 + 50;
    scene.world.pass_minutes(less);
    let slow = scene.world.visitor("tom").await;
    scene.world.pass_minutes(-less);
    slow.get("/account").await.is(200);
    scene.world.pass_minutes(31);
    slow.get("/account").await.is(303);
}

#[tokio::test]
async fn r27_one_damaged_row_hides_nothing_else_of_a_list() {
    let (scene, _) = Scene::at_the_lab().await;
    let card = scene.dora.send("/patients/new", "/patients/new", &[]).await;
    let card = card.is(303).location();
    let code = card
        .trim_start_matches("/patients/")
        .split('?')
        .next()
        .unwrap();
    let here = scene.tom.get("/in-house").await.count("details.of-case");
    assert!(here > 0);
    change(
        &scene,
        &format!("UPDATE patient SET facts = 'nonsense' WHERE code = '{code}'"),
    )
    .await;
    let patients = scene.dora.get("/patients").await;
    patients.is(200).sees("are missing here: 1.");
    // So where a column is of another kind.
    let blob = format!("UPDATE patient SET facts = X'FF00' WHERE code = '{code}'");
    change(&scene, &blob).await;
    let patients = scene.dora.get("/patients").await;
    patients.is(200).sees("are missing here: 1.");
    change(&scene, "UPDATE case_file SET stage = 'nonsense'").await;
    let page = scene.tom.get("/in-house").await;
    page.is(200).sees("1 of the cases cannot be read");
    scene
        .dora
        .get("/in-house.csv")
        .await
        .is(409)
        .sees("its items would be missing");
    let lars = scene.world.person("lars");
    change(
        &scene,
        "INSERT INTO passed_work (event_id, case_number, party_id, is_open) \
         SELECT id, case_number, (SELECT id FROM party WHERE name LIKE 'Anvil%'), 1 FROM event LIMIT 1",
    )
    .await;
    // What is left out of a list is counted there.
    let passed = lars.get("/passed").await;
    passed.is(200).sees("1 of the cases cannot be read");
    passed.sees_not("Nothing is passed on to you");
    let house = lars.get("/in-house").await;
    house.is(200).sees("1 of the cases cannot be read");
    change(
        &scene,
        "UPDATE account SET role = 'nonsense' WHERE login = 'anna'",
    )
    .await;
    let root = scene.world.person("root");
    root.get("/people").await.is(200).sees("tom");
    scene.dora.get("/let-in").await.is(200);
}

#[tokio::test]
async fn an_entry_whose_column_is_of_another_kind_hides_no_other_case() {
    let (scene, _) = Scene::at_the_lab().await;
    let damage = "UPDATE event SET body = X'FF00' WHERE position = 1; UPDATE case_file SET version = version + 1; \
                  UPDATE party SET changes = changes + 1";
    change(&scene, damage).await;
    let page = scene.tom.get("/in-house").await;
    page.is(200).sees("1 of the cases cannot be read");
}

#[tokio::test]
async fn what_is_in_the_house_is_told_behind_any_number_of_cases_that_cannot_be_read() {
    let (scene, _) = Scene::at_the_lab().await;
    let copy = "UPDATE copies SET stage = 'nonsense', number =";
    let copies = (0..25).map(|number| {
        format!("{copy} '0{number:03}'; INSERT INTO case_file SELECT * FROM copies;")
    });
    let copies: String = copies.collect();
    change(
        &scene,
        &format!("CREATE TABLE copies AS SELECT * FROM case_file; {copies} DROP TABLE copies"),
    )
    .await;
    let page = scene.tom.get("/in-house").await;
    page.is(200).sees("25 of the cases cannot be read");
    let next = page.hrefs("/in-house?after=");
    let next = scene.tom.get(&next[0]).await;
    next.is(200).sees_not("cannot be read");
    assert!(next.count("details.of-case") > 0);
}

#[tokio::test]
async fn r27_a_damaged_party_admission_or_witness_hides_no_other() {
    let scene = Scene::opened().await;
    let root = scene.world.person("root");
    // By signing in, a house keeps what it has seen of the record.
    scene.world.visitor("dora").await;
    let lost = "cannot be read";
    scene.dora.get("/let-in").await.is(200).sees_not(lost);
    scene.dora.get("/record").await.is(200);
    change(
        &scene,
        "DROP TRIGGER IF EXISTS admission_no_UPDATE; \
         UPDATE party SET paper = 'nonsense' WHERE name LIKE 'Anvil%'; \
         UPDATE admission SET what = 'nonsense' WHERE role = 'assistant'; UPDATE witness SET size = -1",
    )
    .await;
    scene.dora.get("/record").await.is(200);
    root.get("/record").await.is(200);
    let house = scene.dora.get("/let-in").await;
    house.is(200).sees("missing here: 1").sees("dora");
    // One that was taken away, of whoever it was, and one that was put in.
    change(
        &scene,
        "DROP TRIGGER IF EXISTS admission_no_DELETE; DELETE FROM admission WHERE role = 'assistant'; \
         INSERT INTO admission (id, what, party_id, role, name, by_account, by_name, at_ms) \
         SELECT 'put in', 'invited', (SELECT party_id FROM account WHERE login = 'dora'), role, 'Doctor Nobody', \
         by_account, by_name, at_ms FROM admission WHERE role = 'dentist' LIMIT 1",
    )
    .await;
    let house = scene.dora.get("/let-in").await;
    house
        .is(200)
        .sees("missing here: 1")
        .sees("dora")
        .sees_not("Doctor Nobody");
    // Who works in a house that cannot be read can be shut out all the same.
    let people = root.get("/people").await;
    people.is(200).sees("Northgate").sees("lars").sees(lost);
    root.get("/parties")
        .await
        .is(200)
        .sees("Northgate")
        .sees_not("Anvil");
    scene.dora.get("/cases/new").await.is(200);
    let said = faults(&scene).await;
    for words in ["admission", "is listed with 0 entries"] {
        assert!(said.contains(words), "{words}: {said}");
    }
}

/// Who has come in by this browser, as a request that is under way knows it.
async fn under_way(scene: &Scene, browser: &Visitor) -> Person {
    let cookie = browser.cookie.clone().unwrap();
    let mut cookies = cookie.split("; ");
    let secret = cookies.find_map(|one| one.strip_prefix("vestibule="));
    let found = person(&scene.world.app, secret.unwrap()).await;
    found.unwrap().unwrap()
}

#[tokio::test]
async fn r26_of_two_administrators_who_shut_each_other_out_at_once_one_stays() {
    let scene = Scene::opened().await;
    let root = scene.world.person("root");
    let link = invited(&root, ("Rita Root", "administrator"), "").await;
    let rita = scene.world.join(&link, "rita", None).await;
    let both = [
        under_way(&scene, &root).await,
        under_way(&scene, &rita).await,
    ];
    let key = PostKey::parse("at-the-same-time").unwrap();
    let app = &scene.world.app;
    let first = shut_out_by(app, &both[0], &both[1].account.id, &key).await;
    assert!(first.is_ok());
    let second = shut_out_by(app, &both[1], &both[0].account.id, &key).await;
    let said = format!("{:?}", second.unwrap_err());
    assert!(said.contains("has just shut you out"), "{said}");
    root.get("/people").await.is(200);
    rita.get("/people").await.is(303);
}

#[tokio::test]
async fn r26_what_is_under_way_when_somebody_is_shut_out_is_not_entered() {
    let scene = Scene::opened().await;
    let dora = under_way(&scene, &scene.dora).await;
    shut_out(&scene, "dora").await.is(303);
    let typed = confirm_password(&scene.world.app, &dora, PASSWORD).await;
    let said = format!("{:?}", typed.unwrap_err());
    assert!(said.contains("has just shut you out"), "{said}");
}

#[tokio::test]
async fn r26_a_link_of_a_clock_that_was_ahead_is_open_no_longer_than_any_other() {
    let scene = Scene::opened().await;
    scene.world.pass_minutes(50 * 24 * 60);
    let ahead = scene.world.visitor("root").await;
    let link = invited(&ahead, ("Rudolf", "dentist"), "Northgate").await;
    assert_eq!(answers(&scene, &link).await, 200);
    scene.world.pass_minutes(-50 * 24 * 60);
    assert_eq!(answers(&scene, &link).await, 404);
    let root = scene.world.visitor("root").await;
    root.get("/account").await.is(200);
}

#[tokio::test]
async fn an_address_on_a_parcel_that_was_changed_is_told_to_nobody() {
    let (scene, _) = Scene::at_the_lab().await;
    let handoff = scene.handoff(&scene.dora).await;
    let parcel = handoff.replace("/handoffs/", "/H/");
    let nobody = scene.world.nobody();
    nobody.get(&parcel).await.is(200).sees("1 Sample Street");
    for (set, back) in [
        (
            "UPDATE party SET address = 'Nowhere' WHERE name LIKE 'Kiln%'",
            "UPDATE party SET address = '1 Sample Street' || char(10) || 'Sampletown' WHERE name LIKE 'Kiln%'",
        ),
        (
            "UPDATE handoff SET to_party = (SELECT id FROM party WHERE name LIKE 'Anvil%')",
            "UPDATE handoff SET to_party = (SELECT lab_id FROM case_file)",
        ),
        (
            "UPDATE handoff SET to_party = (SELECT id FROM party WHERE name LIKE 'Anvil%'); \
             UPDATE case_file SET lab_id = (SELECT id FROM party WHERE name LIKE 'Anvil%')",
            "UPDATE handoff SET to_party = (SELECT id FROM party WHERE name LIKE 'Kiln%'); \
             UPDATE case_file SET lab_id = (SELECT id FROM party WHERE name LIKE 'Kiln%')",
        ),
    ] {
        change(&scene, set).await;
        let answer = nobody.get(&parcel).await;
        assert!([404, 409].contains(&answer.status.as_u16()), "{set}");
        answer.sees_not("Nowhere").sees_not("Anvil");
        change(&scene, back).await;
        nobody.get(&parcel).await.is(200).sees("Kiln");
    }
}

#[tokio::test]
async fn a_list_and_usual_values_that_were_changed_fill_nothing_in() {
    let scene = Scene::opened().await;
    load_moulds(&scene.tom, MOULDS).await.is(303);
    let name = [("base.palate_mm", "2")];
    let set = crate::usual::make(&scene.mara, &name).await;
    let pages = [
        (&scene.tom, "/moulds".to_owned()),
        (&scene.tom, "/moulds/1/list.csv".to_owned()),
        (&scene.mara, set),
        (&scene.dora, scene.at("/write")),
    ];
    for (who, path) in &pages {
        who.get(path).await.is(200);
    }
    change(
        &scene,
        "DROP TRIGGER IF EXISTS usual_set_no_UPDATE; DROP TRIGGER IF EXISTS party_list_version_no_UPDATE; \
         UPDATE usual_set SET text = replace(text, '\"2\"', '\"9\"'); \
         UPDATE party_list_version SET text = text || char(10)",
    )
    .await;
    for (who, path) in &pages {
        who.get(path)
            .await
            .is(409)
            .sees("is not as the record says");
    }
}
