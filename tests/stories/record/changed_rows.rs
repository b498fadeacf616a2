//! Rows that somebody has changed past the program, for a moment or for good: what is entered keeps nothing of them, nobody
//! sees another house's texts by them, and one bad row takes no page away from those who have nothing to do with it.

use super::whose::{change, party, put_in_pan};
use super::words_on;
use crate::common::{PASSWORD, Visitor, World};
use crate::lists::{MOULDS, load_guide, load_moulds};
use crate::scene::{Scene, last_part, open_case};
use vestibule::app::examine::examine;
use vestibule::app::recorded::reference::{hold_house, hold_person};
use vestibule::app::{Person, clock_doubt, counted};
use vestibule::store::{parties, people};

const BY_RECORD: &str = "not as the record says";
const PAST_US: &str = "past this program";

/// Asks the other house something of the case.
async fn ask(scene: &Scene, who: &Visitor, question: &str) -> crate::common::Answer {
    let (page, action) = (scene.at("/questions"), scene.at("/ask"));
    let fields = [("matter", "other"), ("question", question)];
    who.send(&page, &action, &fields).await
}

/// What a page of questions would send, as it was opened before anything was changed.
async fn opened_question(scene: &Scene, question: &str) -> Vec<(String, String)> {
    let (page, action) = (scene.at("/questions"), scene.at("/ask"));
    let mut form = scene.dora.get(&page).await.form(&page, &action, "");
    form.insert("matter".to_owned(), "other".to_owned());
    form.insert("question".to_owned(), question.to_owned());
    form.into_iter().collect()
}

/// A tag or a number as it is printed: three groups of three.
fn printed(code: &str) -> String {
    format!("{}-{}-{}", &code[..3], &code[3..6], &code[6..])
}

#[tokio::test]
async fn what_was_changed_of_a_house_for_a_moment_is_entered_nowhere() {
    let (scene, _) = Scene::at_the_lab().await;
    for set in [
        "name = 'Elsewhere Dental'",
        "zone = 'Asia/Tokyo'",
        "numbering = 'universal'",
    ] {
        let mut conn = scene.world.past_the_store().await;
        let column = set.split(" =").next().unwrap();
        let sql = format!("SELECT {column} FROM party WHERE name LIKE 'Northgate%'");
        let row = sqlx::query_scalar(sqlx::AssertSqlSafe(sql));
        let before: String = row.fetch_one(&mut conn).await.unwrap();
        let id: String = sqlx::query_scalar("SELECT id FROM party WHERE name LIKE 'Northgate%'")
            .fetch_one(&mut conn)
            .await
            .unwrap();
        drop(conn);
        let put = |set: &str| format!("UPDATE party SET {set} WHERE id = '{id}'");
        let form = opened_question(&scene, "Which shade?").await;
        let form: Vec<(&str, &str)> = (form.iter())
            .map(|(key, text)| (key.as_str(), text.as_str()))
            .collect();
        change(&scene, &put(set)).await;
        let refused = scene.dora.post(&scene.at("/ask"), &form).await;
        refused.is(409).sees("What is stored of").sees(BY_RECORD);
        // As one that was read so, and entered after the row was put right again.
        let mut read = scene.world.app.store.read_at_once().await.unwrap();
        let house = parties::find(&mut read, &id.as_str().into()).await.unwrap();
        let account = people::account_by_login(&mut read, "dora").await.unwrap();
        drop(read);
        change(&scene, &put(&format!("{column} = '{before}'"))).await;
        let (app, house) = (&scene.world.app, house.unwrap());
        let mut read = app.store.read_at_once().await.unwrap();
        assert!(hold_house(app, &mut read, &house).await.is_err(), "{set}");
        let person = Person::without_session(account.unwrap(), Some(house));
        assert!(hold_person(app, &mut read, &person).await.is_err(), "{set}");
        drop(read);
        ask(&scene, &scene.dora, "Which shade, please?")
            .await
            .is(303);
    }
    let history = scene.tom.get(&scene.at("/history")).await;
    history
        .is(200)
        .sees_not("Elsewhere")
        .sees("Which shade, please?");
    let found = examine(&scene.world.app, None).await.unwrap();
    // What the story took away to change the row is all that is found.
    let is_of_story = |sentence: &str| sentence.starts_with("In the tables, the trigger");
    let mut faults = found.faults.iter();
    assert!(
        faults.all(|one| is_of_story(&one.sentence)),
        "{:?}",
        found.faults
    );
}

/// A case of another office with the same laboratory.
async fn of_southgate(scene: &Scene) -> (Visitor, String) {
    let sven = scene.world.person("sven");
    let card = last_part(&sven.send("/patients/new", "/patients/new", &[]).await);
    let number = open_case(&sven, &card, "both").await;
    (sven, number)
}

#[tokio::test]
async fn rows_that_lie_under_a_case_of_others_by_its_number_are_shown_there_to_nobody() {
    let (scene, things) = Scene::at_the_lab().await;
    let (sven, other) = of_southgate(&scene).await;
    const TEXT: &str = "Borders are to be kept as they are";
    ask(&scene, &scene.dora, TEXT).await.is(303);
    scene.dora.get(&scene.at("/questions")).await.sees(TEXT);
    let own = format!("'{}'", scene.number);
    let place = |table: &str| {
        format!(
            "(SELECT COALESCE(MAX(position), -1) + 1 FROM {table} WHERE case_number = '{other}')"
        )
    };
    let tag = &things.bite;
    for (set, of, back, text) in [
        (
            format!(
                "event SET case_number = '{other}', position = {}",
                place("event")
            ),
            "kind = 'asked'".to_owned(),
            format!(
                "event SET case_number = {own}, position = (SELECT MAX(position) + 1 FROM event WHERE case_number = {own})"
            ),
            TEXT.to_owned(),
        ),
        (
            format!(
                "item SET case_number = '{other}', position = {}",
                place("item")
            ),
            format!("tag = '{tag}'"),
            format!(
                "item SET case_number = {own}, position = (SELECT MAX(position) + 1 FROM item WHERE case_number = {own})"
            ),
            printed(tag),
        ),
        (
            format!("case_file SET patient_code = '{}'", scene.patient),
            format!("number = '{other}'"),
            String::new(),
            printed(&scene.patient),
        ),
    ] {
        change(&scene, "DROP TRIGGER IF EXISTS item_no_UPDATE").await;
        change(&scene, &format!("UPDATE {set} WHERE {of}")).await;
        let pages = [
            "",
            "/history",
            "/questions",
            "/labels",
            "/pictures",
            "/mouth",
        ];
        for who in [&sven, &scene.tom] {
            for path in pages {
                let page = who.get(&format!("/cases/{other}{path}")).await;
                assert_ne!(page.status, 500, "{path}: {set}");
                page.sees_not(&text);
            }
            let page = who.get(&format!("/cases/{other}")).await;
            page.is(200).sees(BY_RECORD);
        }
        if !back.is_empty() {
            change(&scene, &format!("UPDATE {back} WHERE {of}")).await;
        }
    }
}

#[tokio::test]
async fn a_draft_that_lies_under_a_case_of_another_office_is_shown_there_to_nobody() {
    let scene = Scene::opened().await;
    let (sven, other) = of_southgate(&scene).await;
    const TEXT: &str = "keep the borders thick on the left";
    let typed = [("pieces.0.arch", "upper"), ("pieces.0.description", TEXT)];
    scene.write(&scene.dora, &typed).await.is(303);
    scene.dora.get(&scene.at("/write")).await.is(200);
    let at = |path: &str| format!("/cases/{other}{path}");
    sven.get(&at("/write")).await.is(200);
    let give = |table: &str, number: &str| format!("UPDATE {table} SET case_number = '{number}'");
    // Alone, and with the rows of those who have written it.
    for tables in [["draft", "draft"], ["draft", "draft_edit"]] {
        for table in tables {
            change(&scene, &give(table, &other)).await;
        }
        for path in ["/write", "/draft.pdf", "/sign"] {
            let page = sven.get(&at(path)).await;
            page.is(409)
                .sees("was not written by the case")
                .sees_not(TEXT);
        }
        let sent = sven
            .post(&at("/write"), &[("pieces.0.arch", "lower")])
            .await;
        assert!(sent.status.as_u16() >= 400, "{}", sent.status);
        let found = examine(&scene.world.app, None).await.unwrap();
        let named = |fault: &str| fault.contains("was not written by the office of that case");
        assert!(found.faults.iter().any(|fault| named(&fault.sentence)));
        for table in tables {
            change(&scene, &give(table, &scene.number)).await;
        }
        sven.get(&at("/write")).await.is(200);
        let page = scene.dora.whole_form(&scene.at("/write")).await;
        assert!(page.is(200).text().contains(TEXT));
    }
}

#[tokio::test]
async fn a_day_written_into_one_row_does_not_stop_everybody_and_the_clock_is_not_blamed() {
    let (scene, _) = Scene::at_the_lab().await;
    let app = &scene.world.app;
    let ahead = async || {
        let mut conn = app.store.read_at_once().await.unwrap();
        clock_doubt::ahead(app, &mut conn).await.unwrap()
    };
    assert_eq!(ahead().await, None);
    change(
        &scene,
        "UPDATE event SET at_ms = at_ms + 86400000 WHERE id = (SELECT id FROM event ORDER BY at_ms DESC LIMIT 1)",
    )
    .await;
    assert_eq!(ahead().await, None);
    let watched = scene.world.nobody().get("/healthz").await;
    let said = watched.is(200).text();
    assert!(!said.contains("ahead of the clock"), "{said}");
    // The row is named by its case.
    assert!(said.contains("not what the record says"), "{said}");
    ask(&scene, &scene.dora, "Which shade?").await.is(303);
}

#[tokio::test]
async fn one_bad_row_does_not_take_the_bench_away() {
    let (scene, _) = Scene::at_the_lab().await;
    put_in_pan(&scene, "27").await;
    let bench = async || scene.tom.get("/bench").await;
    bench().await.is(200).sees_not("cannot be read");
    change(
        &scene,
        "INSERT INTO bench_timer (id, case_number, lab_id, step, kind, arches, seconds, began_ms, by_name, stopped_ms) \
         SELECT 't', number, lab_id, 'of no kind', 'cure', 'upper', 60, 1, 'Tom', 0 FROM case_file",
    )
    .await;
    bench().await.is(200).sees("1 running timer cannot be read");
    scene.tom.get(&scene.at("/bench")).await.is(200);
    change(&scene, "DELETE FROM bench_timer").await;
    bench().await.is(200).sees_not("cannot be read");
    change(&scene, "UPDATE case_file SET lab_day = '2026-03-zz'").await;
    bench().await.is(200).sees("1 case cannot be read");
}

#[tokio::test]
async fn a_house_of_which_a_value_cannot_be_read_is_told_so_in_words() {
    let (scene, _) = Scene::at_the_lab().await;
    let sven = scene.world.person("sven");
    change(
        &scene,
        "UPDATE party SET paper = 'zz' WHERE name LIKE 'Northgate%'; UPDATE case_file SET version = version + 1",
    )
    .await;
    for path in ["/", "/patients", "/account"] {
        let page = scene.dora.get(path).await;
        page.is(409)
            .sees("What is stored of your account or of your house cannot be read");
    }
    let page = scene.tom.get(&scene.at("")).await;
    page.is(409).sees("what is stored of its houses");
    for (who, path) in [(&scene.tom, "/"), (&scene.tom, "/bench"), (&sven, "/")] {
        who.get(path).await.is(200);
    }
    change(
        &scene,
        "UPDATE party SET paper = 'a4' WHERE name LIKE 'Northgate%'",
    )
    .await;
    scene.dora.get("/").await.is(200);
}

#[tokio::test]
async fn what_was_typed_stands_in_the_answer_where_nobody_can_say_who_asks() {
    let (scene, _) = Scene::at_the_lab().await;
    change(
        &scene,
        "UPDATE account SET name = 'dora the other' WHERE login = 'dora'",
    )
    .await;
    let fields = [("matter", "other"), ("question", "Borders as they are?")];
    let answer = scene.dora.post(&scene.at("/ask"), &fields).await;
    answer
        .is(409)
        .sees(PAST_US)
        .sees("It stands below too")
        .sees("Borders as they are?");
}

#[tokio::test]
async fn days_of_a_case_in_doubt_go_into_no_calendar() {
    let (scene, _) = Scene::at_the_lab().await;
    let days = scene.at("/dates.ics");
    scene.tom.get(&days).await.is(200);
    change(
        &scene,
        "DELETE FROM event WHERE position = (SELECT MAX(position) FROM event); UPDATE case_file SET version = version + 1",
    )
    .await;
    scene.tom.get(&days).await.is(409).sees(BY_RECORD);
}

#[tokio::test]
async fn what_is_in_the_house_names_the_cases_that_it_lacks() {
    let (scene, _) = Scene::at_the_lab().await;
    put_in_pan(&scene, "27").await;
    let app = &scene.world.app;
    counted::look(app).await.unwrap();
    scene.tom.get("/in-house.csv").await.is(200);
    const MOVED: &str = "1 case of yours listed for another house";
    let (kiln, anvil) = (party("Kiln"), party("Anvil"));
    for (set, back, words) in [
        (
            "closed = 1".to_owned(),
            "closed = 0".to_owned(),
            "Not as the record says",
        ),
        (
            format!("lab_id = {anvil}"),
            format!("lab_id = {kiln}"),
            MOVED,
        ),
    ] {
        scene.tom.get("/in-house").await.is(200).sees_not(words);
        change(&scene, &format!("UPDATE case_file SET {set}")).await;
        counted::look(app).await.unwrap();
        for path in ["/in-house", "/"] {
            scene.tom.get(path).await.is(200).sees(words);
        }
        let file = scene.tom.get("/in-house.csv").await;
        file.is(409).sees(words);
        if words == MOVED {
            scene.dora.get("/").await.is(200).sees(MOVED);
            let lars = scene.world.visitor("lars").await;
            lars.get("/").await.is(200).sees_not(MOVED);
        }
        change(&scene, &format!("UPDATE case_file SET {back}")).await;
        counted::look(app).await.unwrap();
        scene.tom.get("/in-house").await.is(200).sees_not(words);
    }
}

#[tokio::test]
async fn what_is_changed_of_a_leaf_or_an_acknowledgement_alone_is_seen_by_the_next_list() {
    for changed in [
        "DROP TRIGGER IF EXISTS acknowledgement_no_UPDATE; UPDATE acknowledgement SET name = name || '.'",
        "UPDATE leaf_salt SET salts = '{}' WHERE leaf = (SELECT MAX(number) FROM leaf WHERE kind = 'event')",
        "DROP TRIGGER IF EXISTS leaf_no_UPDATE; UPDATE leaf SET body = body || ' ' \
         WHERE number = (SELECT MAX(number) FROM leaf WHERE kind = 'item')",
    ] {
        let (scene, _) = Scene::at_the_lab().await;
        let accept = scene.at("/revisions/1/acknowledge");
        scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
        const UNREAD: &str = "1 of the cases cannot be read";
        scene.tom.get("/in-house").await.is(200).sees_not(UNREAD);
        change(&scene, changed).await;
        scene.tom.get("/in-house").await.is(200).sees(UNREAD);
        scene.tom.get("/in-house.csv").await.is(409);
    }
}

/// A scene whose program knows how far its key has signed, and so what the record has of each house.
async fn signed_beside() -> Scene {
    let scene = Scene::opened_in(World::peopled().await.signed_beside().await).await;
    scene.world.app.store.looked_at().await;
    // What was looked at holds for a second.
    scene.world.pass_minutes(1);
    scene
}

#[tokio::test]
async fn a_case_that_is_taken_away_is_missed_by_the_first_list_that_its_house_reads() {
    for path in ["/", "/bench", "/in-house", "/reports"] {
        let scene = signed_beside().await;
        let lars = scene.world.visitor("lars").await;
        const WORDS: &str = "1 case of yours taken away past this program";
        scene.tom.get(path).await.is(200).sees_not(WORDS);
        scene.world.pass_minutes(1);
        let take = "CREATE TABLE kept AS SELECT * FROM case_file; DROP TRIGGER IF EXISTS case_file_no_DELETE; DELETE FROM case_file";
        change(&scene, take).await;
        let page = scene.tom.get(path).await;
        page.is(200).sees(WORDS);
        scene.dora.get("/").await.is(200).sees(WORDS);
        lars.get(path).await.is(200).sees_not(WORDS);
        // And no longer than it is so.
        change(
            &scene,
            "INSERT INTO case_file SELECT * FROM kept; DROP TABLE kept",
        )
        .await;
        scene.world.pass_minutes(1);
        scene.tom.get(path).await.is(200).sees_not(WORDS);
    }
}

#[tokio::test]
async fn a_card_that_is_taken_away_is_missed_in_the_list_of_patients() {
    let scene = signed_beside().await;
    let sven = scene.world.visitor("sven").await;
    const WORDS: &str = "1 card of yours taken away past this program";
    scene.dora.get("/patients").await.is(200).sees_not(WORDS);
    scene.world.pass_minutes(1);
    let take = "DROP TRIGGER IF EXISTS patient_no_DELETE; DELETE FROM patient";
    change(&scene, take).await;
    let page = scene.dora.get("/patients").await;
    page.is(200)
        .sees(WORDS)
        .sees("Tell your administrator")
        .sees_not("None yet");
    sven.get("/patients").await.is(200).sees_not(WORDS);
}

#[tokio::test]
async fn a_file_of_a_month_is_none_where_a_case_of_the_house_was_taken_away() {
    let scene = signed_beside().await;
    let lars = scene.world.visitor("lars").await;
    const WORDS: &str = "1 case of yours taken away past this program";
    let files = ["/reports.csv?table=returns", "/reports.csv?table=done"];
    for path in files {
        scene.tom.get(path).await.is(200);
    }
    scene.world.pass_minutes(1);
    let take = "DROP TRIGGER IF EXISTS case_file_no_DELETE; DELETE FROM case_file";
    change(&scene, take).await;
    for path in files {
        let file = scene.tom.get(path).await;
        file.is(409)
            .sees(WORDS)
            .sees("would be missing in the file");
        lars.get(path).await.is(200);
    }
    scene.dora.get(files[0]).await.is(409).sees(WORDS);
}

#[tokio::test]
async fn a_card_that_is_given_to_another_office_is_missed_in_the_list_and_on_the_key_sheet() {
    let scene = signed_beside().await;
    let sven = scene.world.visitor("sven").await;
    const WORDS: &str = "1 card of yours taken away past this program.";
    const SHEET: &str = "Not all codes of this office stand below";
    let sheet = async |who: &Visitor| words_on(who.get("/patients/key-sheet.pdf").await.is(200));
    scene.dora.get("/patients").await.is(200).sees_not(WORDS);
    assert!(!sheet(&scene.dora).await.contains(SHEET));
    scene.world.pass_minutes(1);
    let give = |name: &str| format!("UPDATE patient SET office_id = {}", party(name));
    change(&scene, &give("Southgate")).await;
    scene.dora.get("/patients").await.is(200).sees(WORDS);
    assert!(sheet(&scene.dora).await.contains(SHEET));
    sven.get("/patients").await.is(200).sees_not(WORDS);
    assert!(!sheet(&sven).await.contains(SHEET));
    // What the hourly count finds right is not told as it was before.
    change(&scene, &give("Northgate")).await;
    counted::look(&scene.world.app).await.unwrap();
    scene.dora.get("/patients").await.is(200).sees_not(WORDS);
    assert!(!sheet(&scene.dora).await.contains(SHEET));
}

#[tokio::test]
async fn a_card_says_that_a_case_of_its_patient_is_not_shown() {
    let scene = signed_beside().await;
    let sent = scene.dora.send("/patients/new", "/patients/new", &[]).await;
    let other = last_part(&sent);
    scene.world.app.store.looked_at().await;
    const WORDS: &str = "what is stored of 1 case is not what the record says";
    let card = format!("/patients/{}", scene.patient);
    change(&scene, "CREATE TABLE kept AS SELECT * FROM case_file").await;
    const AWAY: &str = "DROP TRIGGER IF EXISTS case_file_no_DELETE; DELETE FROM case_file";
    let given = format!("UPDATE case_file SET patient_code = '{other}'");
    for changed in [
        "UPDATE case_file SET arches = CASE arches WHEN 'upper' THEN 'lower' ELSE 'upper' END",
        "UPDATE case_file SET opened_ms = opened_ms + 1",
        given.as_str(),
        AWAY,
    ] {
        let page = scene.dora.get(&card).await;
        page.is(200).sees_not(WORDS).sees_not("None yet");
        change(&scene, changed).await;
        let page = scene.dora.get(&card).await;
        page.is(200).sees(WORDS).sees_not("None yet");
        let back = format!("{AWAY}; INSERT INTO case_file SELECT * FROM kept");
        change(&scene, &back).await;
    }
    scene.dora.get(&card).await.is(200).sees_not(WORDS);
    let none = scene.dora.get(&format!("/patients/{other}")).await;
    none.is(200).sees("None yet").sees_not(WORDS);
}

#[tokio::test]
async fn a_list_that_is_taken_away_is_missed_on_its_page_by_whoever_works_by_it() {
    let scene = signed_beside().await;
    load_moulds(&scene.mara, MOULDS).await.is(303);
    let tabs = "tab,L,a,b\nfern 1,74,0.5,15\n";
    load_guide(&scene.anna, "Fernwood", tabs).await;
    scene.world.app.store.looked_at().await;
    const WORDS: &str = "somebody has taken it away past this program";
    let of_case = scene.at("/moulds");
    let pages = [
        (&scene.tom, "/moulds"),
        (&scene.dora, of_case.as_str()),
        (&scene.dora, "/guides"),
    ];
    for (who, path) in pages {
        who.get(path).await.is(200).sees_not(WORDS);
    }
    let take = "DROP TRIGGER IF EXISTS party_list_no_DELETE; DELETE FROM party_list";
    change(&scene, take).await;
    for (who, path) in pages {
        let page = who.get(path).await;
        page.is(200).sees(WORDS).sees("Tell your administrator");
    }
    // It has never loaded any.
    scene.dora.get("/closed-days").await.is(200).sees_not(WORDS);
}

/// Days and hours by the clock of somewhere else are in no file, and pages that have them say so.
#[tokio::test]
async fn another_clock_of_the_house_is_told_on_pages_and_refuses_files() {
    let (scene, _) = Scene::at_the_lab().await;
    let pages = [
        (&scene.tom, "/in-house"),
        (&scene.tom, "/reports"),
        (&scene.dora, "/patients"),
        (&scene.dora, "/in-house"),
    ];
    let files = [
        "/in-house.csv",
        "/reports.csv?table=returns",
        "/reports.csv?table=done",
    ];
    const WORDS: &str = "Days and hours here may be others than yours";
    for (who, path) in pages {
        who.get(path).await.is(200).sees_not(WORDS);
    }
    for path in files {
        scene.tom.get(path).await.is(200);
    }
    change(&scene, "UPDATE party SET zone = 'Pacific/Kiritimati'").await;
    for (who, path) in pages {
        who.get(path).await.is(200).sees(WORDS);
    }
    for path in files {
        scene.tom.get(path).await.is(409).sees(BY_RECORD);
    }
}

#[tokio::test]
async fn a_list_that_was_emptied_is_refused_on_its_page_and_by_the_plan_that_goes_by_it() {
    let (scene, _) = Scene::at_the_lab().await;
    let days = "day,what\nsaturday,\nsunday,\n2026-03-20,spring holiday\n";
    let path = "/closed-days";
    scene.dora.send(path, path, &[("text", days)]).await.is(303);
    let dates = scene.at("/dates");
    for path in [path, dates.as_str()] {
        scene.dora.get(path).await.is(200);
    }
    change(&scene, "UPDATE party_list SET entries = 0").await;
    for path in [path, dates.as_str()] {
        scene.dora.get(path).await.is(409).sees(BY_RECORD);
    }
}

#[tokio::test]
async fn a_set_of_usual_values_that_is_taken_away_is_missed_by_both_houses() {
    let scene = signed_beside().await;
    let fields = [("base.process", "injection")];
    crate::usual::make(&scene.mara, &fields).await;
    scene.world.app.store.looked_at().await;
    let of_case = scene.at("/usual");
    let pages = [(&scene.mara, "/usual"), (&scene.dora, of_case.as_str())];
    const WORDS: &str = "A set of usual values that the record has is not stored here any more";
    for (who, path) in pages {
        who.get(path).await.is(200).sees_not(WORDS);
    }
    let take = "DROP TRIGGER IF EXISTS usual_set_no_DELETE; DELETE FROM usual_set";
    change(&scene, take).await;
    for (who, path) in pages {
        let page = who.get(path).await;
        page.is(200).sees(WORDS).sees("Tell your administrator");
    }
    scene.dora.get("/usual").await.is(200).sees_not(WORDS);
}

#[tokio::test]
async fn where_one_of_several_sets_is_taken_away_the_others_are_still_listed() {
    let scene = signed_beside().await;
    for name in ["Milled", "Pressed"] {
        let fields = [("set_name", name), ("base.palate_mm", "2")];
        crate::usual::make(&scene.dora, &fields).await;
    }
    scene.world.app.store.looked_at().await;
    let take = "DROP TRIGGER IF EXISTS usual_set_no_DELETE; DELETE FROM usual_set WHERE text LIKE '%Milled%'";
    change(&scene, take).await;
    let page = scene.dora.get("/usual").await;
    page.is(200)
        .sees("somebody has taken it away past this program")
        .sees("Pressed")
        .sees_not("Milled");
}

#[tokio::test]
async fn a_denture_of_a_case_that_was_changed_fills_no_arch_of_another() {
    let (scene, things) = Scene::at_the_lab().await;
    let lost = [("how", "lost by the patient"), ("password", PASSWORD)];
    let lost = scene.record(&scene.dora, &things.duplicate, "write_off", &lost);
    lost.await.is(303);
    scene.world.pass_minutes(5);
    let other = open_case(&scene.dora, &scene.patient, "upper").await;
    let new = format!("/cases/{other}/items/new");
    let worn = [
        ("item_kind", "provisional"),
        ("arch", "upper"),
        ("place", "worn"),
    ];
    scene.dora.send(&new, &new, &worn).await.is(303);
    const EMPTY: &str = "The patient has no denture in the upper arch";
    scene.dora.get(&scene.at("")).await.is(200).sees_not(EMPTY);
    let newest = "UPDATE leaf_salt SET salts = '{}' WHERE leaf = (SELECT MAX(number) FROM leaf WHERE kind = 'event')";
    change(&scene, newest).await;
    // Nobody of the lab has looked at it since, so that nothing is kept for them.
    scene.tom.get(&scene.at("/bench")).await.sees(EMPTY);
}
