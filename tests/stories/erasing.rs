//! A name got into a note. It is taken out for good, and everything around it still stands.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::{Scene, last_part, open_case};
use vestibule::app::{examine, prove};
use vestibule::record::bundle::verify;
use vestibule::record::words::PaperRoot;
use vestibule::store::record::{head, root_at};
use vestibule::store::{cases, custody};

/// In the note of a thing, with the tick that it names nobody. Long, so that what is written in its place
/// leaves most of it free.
const NOTE: &str = "keyed, for Mrs. Quartermain, who came with her sister; Mrs. Quartermain asks to be called, \
                    Mrs. Quartermain is away in May, Mrs. Quartermain likes the old midline better";
const SECRET: &str = "Quartermain";

async fn with_a_name(scene: &Scene, who: &Visitor) -> String {
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "bite_record"),
        ("place", "here"),
        ("note", NOTE),
        ("names_nobody", "yes"),
    ];
    let answer = who.send(&page, &page, &fields).await;
    answer.is(303);
    last_part(&answer)
}

/// The form as this person would send it, with every tick whose label has these words set.
async fn erase(scene: &Scene, who: &Visitor, words: &str, more: &[(&str, &str)]) -> Answer {
    let path = scene.at("/erase");
    let page = who.get(&path).await;
    page.is(200);
    let ticks: Vec<String> = page
        .names("text.")
        .into_iter()
        .filter(|name| label_of(&page, name).contains(words))
        .collect();
    assert!(!ticks.is_empty(), "no text with {words}: {}", page.words());
    let mut fields: Vec<(&str, &str)> = ticks.iter().map(|name| (name.as_str(), "yes")).collect();
    fields.extend([("why", "names_patient"), ("password", PASSWORD)]);
    fields.retain(|(key, _)| more.iter().all(|(other, _)| other != key));
    fields.extend(more);
    who.send(&path, &path, &fields).await
}

fn label_of(page: &Answer, name: &str) -> String {
    let document = scraper::Html::parse_document(&page.text());
    let labels = scraper::Selector::parse("label.tick").unwrap();
    let boxes = scraper::Selector::parse("input").unwrap();
    let is_its = |label: &scraper::ElementRef<'_>| {
        label
            .select(&boxes)
            .any(|one| one.attr("name") == Some(name))
    };
    let label = document.select(&labels).find(is_its).unwrap();
    label.text().collect()
}

async fn faults(scene: &Scene) -> Vec<String> {
    let examined = examine::examine(&scene.world.app, None).await.unwrap();
    let sentences = examined.faults.into_iter().map(|fault| fault.sentence);
    // Whoever changes rows here has taken the tables' locks away before.
    let is_of_rows = |sentence: &String| !sentence.starts_with("In the tables, ");
    sentences.filter(is_of_rows).collect()
}

#[tokio::test]
async fn a_name_in_a_note_goes_for_good_and_the_record_stays_whole() {
    let scene = Scene::signed().await;
    let tag = with_a_name(&scene, &scene.anna).await;
    let app = &scene.world.app;
    let mut conn = app.store.read().await.unwrap();
    let size = head(&mut conn).await.unwrap().frontier.size();
    let paper = PaperRoot::new(size, &root_at(&mut conn, size).await.unwrap());
    let places = [
        scene.at(""),
        scene.at("/history"),
        format!("/items/{tag}"),
        scene.at("/history.pdf"),
        scene.at("/record.tar"),
    ];
    scene.dora.get(&places[1]).await.sees(SECRET);
    let answer = erase(&scene, &scene.dora, SECRET, &[]).await;
    answer.is(303);
    let history = scene.dora.get(&answer.location()).await;
    history
        .is(200)
        .sees("Erased. That it was done")
        .sees("A text of an earlier entry erased")
        .sees("Because it names the patient")
        .sees("[erased]");
    for who in [&scene.dora, &scene.tom] {
        for path in &places {
            let answer = who.get(path).await;
            answer.is(200);
            let bytes = String::from_utf8_lossy(&answer.body).into_owned();
            assert!(!bytes.contains(SECRET), "{path}");
        }
    }
    // The thing itself, its tag and what was done with it stand as before.
    scene
        .dora
        .get(&places[2])
        .await
        .sees("Bite record")
        .sees("[erased]");
    let examined = examine::examine(app, Some(&paper)).await.unwrap();
    assert_eq!(examined.faults, []);
    // The entry and the thing: the text was committed in both.
    assert_eq!(examined.erased, 2);
    assert!(examined.paper.is_some(), "the paper from before still fits");
    let number = vestibule::domain::values::ids::CaseNumber::parse(&scene.number).unwrap();
    let case = cases::find_case(&mut conn, &number).await.unwrap().unwrap();
    let files = prove::bundle(app, &case, Some(&paper)).await.unwrap();
    let report = verify(&files, Some(app.store.key()), Some(&paper));
    assert!(report.holds(), "{:?}", report.first_fault());
    let said = |line: &vestibule::record::bundle::FileLine| {
        line.sentence.starts_with("One text has been erased")
    };
    assert_eq!(report.lines.iter().filter(|line| said(line)).count(), 2);
}

/// SQLite's `secure_delete` overwrites what is deleted with zeros, and a truncated log holds nothing: the
/// documentation of both pragmas at sqlite.org, from memory.
#[tokio::test]
async fn what_is_erased_is_in_no_byte_of_the_database() {
    let scene = Scene::signed().await;
    with_a_name(&scene, &scene.anna).await;
    assert!(scene.world.bytes_of_the_database().contains(SECRET));
    erase(&scene, &scene.dora, SECRET, &[]).await.is(303);
    assert!(!scene.world.bytes_of_the_database().contains(SECRET));
}

/// Somebody reads for long, as a backup does: the log is emptied when that has ended, and nobody waits for it.
#[tokio::test]
async fn what_is_erased_goes_from_the_log_as_soon_as_nobody_reads_it() {
    let scene = Scene::signed().await;
    with_a_name(&scene, &scene.anna).await;
    let reader = scene.world.app.store.snapshot().await.unwrap();
    erase(&scene, &scene.dora, SECRET, &[]).await.is(303);
    scene.add(&scene.anna, "photograph", "", "here").await;
    assert!(scene.world.bytes_of_the_database().contains(SECRET));
    drop(reader);
    // It is tried again each second; a slow machine has a minute.
    for _ in 0..600 {
        if !scene.world.bytes_of_the_database().contains(SECRET) {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    assert!(!scene.world.bytes_of_the_database().contains(SECRET));
}

#[tokio::test]
async fn what_a_killed_program_left_in_the_log_goes_at_the_next_start() {
    let scene = Scene::signed().await;
    with_a_name(&scene, &scene.anna).await;
    let reader = scene.world.app.store.snapshot().await.unwrap();
    erase(&scene, &scene.dora, SECRET, &[]).await.is(303);
    let folder = scene.world.copied_files();
    drop(reader);
    let left = |folder: &std::path::Path| {
        let files = std::fs::read_dir(folder).unwrap();
        let bytes = files.map(|file| std::fs::read(file.unwrap().path()).unwrap());
        String::from_utf8_lossy(&bytes.collect::<Vec<_>>().concat()).contains(SECRET)
    };
    assert!(left(folder.path()));
    let store = crate::common::open_in(folder.path()).await;
    assert!(!left(folder.path()));
    store.close().await;
}

#[tokio::test]
async fn the_other_sides_texts_and_other_peoples_cases_are_not_ones_own_to_erase() {
    let scene = Scene::signed().await;
    with_a_name(&scene, &scene.anna).await;
    let path = scene.at("/erase");
    // Whoever does not answer for the house is not even offered it.
    for who in [&scene.anna, &scene.tom] {
        who.get(&path).await.is(403);
        who.post(&path, &[("post_key", "k-1")]).await.is(403);
        assert_eq!(who.get(&scene.at("")).await.hrefs(&path), [""; 0]);
    }
    assert_eq!(scene.mara.get(&scene.at("")).await.hrefs(&path).len(), 1);
    scene
        .mara
        .get(&path)
        .await
        .is(200)
        .sees("no text in this case");
    let page = scene.dora.get(&path).await;
    let tick = page.names("text.").remove(0);
    let fields = [
        ("post_key", "key-of-mara-1"),
        (tick.as_str(), "yes"),
        ("why", "asked"),
        ("password", PASSWORD),
    ];
    scene
        .mara
        .post(&path, &fields)
        .await
        .is(409)
        .sees("its people erase it");
    // No case of one's own, and no case at all.
    let stranger = format!("/cases/{}/erase", "C54FB5V87");
    scene.dora.get(&stranger).await.is(404);
    let other = open_case(&scene.dora, &scene.patient, "both").await;
    let elsewhere = format!("/cases/{other}/erase");
    let fields = [
        ("post_key", "key-of-dora-1"),
        fields[1],
        fields[2],
        fields[3],
    ];
    scene
        .dora
        .post(&elsewhere, &fields)
        .await
        .is(409)
        .sees("no such text");
    scene.dora.get(&scene.at("/history")).await.sees(SECRET);
    assert_eq!(faults(&scene).await, [""; 0]);
}

#[tokio::test]
async fn a_hurried_form_comes_back_with_its_ticks_and_nothing_is_erased() {
    let scene = Scene::signed().await;
    with_a_name(&scene, &scene.anna).await;
    let answer = erase(&scene, &scene.dora, SECRET, &[("why", "")]).await;
    answer.is(422).sees("Choose the reason.");
    assert_eq!(answer.count("label.tick input[checked]"), 1);
    // Its entry stands open, and no other.
    assert_eq!(answer.count("details.erasable[open]"), 1);
    assert_eq!(answer.count("details.erasable[open] input[checked]"), 1);
    let answer = erase(&scene, &scene.dora, SECRET, &[("password", "wrong")]).await;
    answer.is(422).sees("This is not your password.");
    assert_eq!(answer.count("label.tick input[checked]"), 1);
    assert_eq!(answer.count("option[value=names_patient][selected]"), 1);
    let path = scene.at("/erase");
    let none = [("why", "asked"), ("password", PASSWORD)];
    let answer = scene.dora.send(&path, &path, &none).await;
    answer.is(409).sees("Tick at least one text");
    for place in [
        "text.",
        "text./what/note",
        "text.nobody/what/note",
        "text.x/../by/name",
    ] {
        let fields = [(place, "yes"), none[0], none[1]];
        scene.dora.send(&path, &path, &fields).await.is(409);
    }
    // More than one entry holds.
    let many: Vec<String> = (0..501).map(|n| format!("text.x/what/{n}")).collect();
    let mut fields: Vec<(&str, &str)> = many.iter().map(|key| (key.as_str(), "yes")).collect();
    fields.extend(none);
    let answer = scene.dora.send(&path, &path, &fields).await;
    answer.is(409).sees("Tick at most 500 texts at once");
    scene.dora.get(&scene.at("/history")).await.sees(SECRET);
    assert_eq!(faults(&scene).await, [""; 0]);
}

#[tokio::test]
async fn two_who_erase_at_once_and_a_double_click_erase_once() {
    let scene = Scene::signed().await;
    with_a_name(&scene, &scene.anna).await;
    let path = scene.at("/erase");
    let tick = scene.dora.get(&path).await.names("text.").remove(0);
    let fields = |key: &'static str| {
        [
            ("post_key", key),
            (tick.as_str(), "yes"),
            ("why", "asked"),
            ("password", PASSWORD),
        ]
    };
    let (one, again) = (fields("one-key-of-dora"), fields("one-key-of-dora"));
    let (first, second) =
        tokio::join!(scene.dora.post(&path, &one), scene.dora.post(&path, &again));
    first.is(303);
    second.is(303);
    let stale = scene.dora.post(&path, &fields("a-stale-page")).await;
    stale.is(409).sees("erased already");
    let history = scene.dora.get(&scene.at("/history")).await.text();
    assert_eq!(
        history.matches("A text of an earlier entry erased").count(),
        1
    );
    assert_eq!(faults(&scene).await, [""; 0]);
}

#[tokio::test]
async fn a_text_that_is_taken_out_or_put_back_past_the_program_is_named() {
    let scene = Scene::signed().await;
    let tag = with_a_name(&scene, &scene.anna).await;
    // Blanked with its salt thrown away, as an erasing does it, but no entry says so.
    let mut raw = scene.world.past_the_store().await;
    let run = async |raw: &mut sqlx::AnyConnection, sql: String| {
        sqlx::raw_sql(sqlx::AssertSqlSafe(sql))
            .execute(raw)
            .await
            .unwrap();
    };
    let blank =
        format!("UPDATE item SET body = replace(body, '{NOTE}', '[erased]') WHERE tag = '{tag}'");
    run(&mut raw, blank).await;
    let salts = format!(
        "UPDATE leaf_salt SET salts = '{{}}' WHERE leaf = (SELECT number FROM leaf WHERE kind = 'item' AND about = '{tag}')"
    );
    run(&mut raw, salts).await;
    let named = faults(&scene).await;
    assert_eq!(named.len(), 1, "{named:?}");
    assert!(
        named[0].contains("/item/note") && named[0].contains("no entry says so"),
        "{named:?}"
    );
    // Left open by a program that was killed in the middle, which cannot be: it is one transaction.
    run(
        &mut raw,
        "INSERT INTO erasing (event_id) VALUES ('x')".to_owned(),
    )
    .await;
    assert!(
        faults(&scene)
            .await
            .iter()
            .any(|one| one.contains("being erased"))
    );
}

#[tokio::test]
async fn a_closed_case_lets_a_text_go_and_stays_closed() {
    let scene = Scene::opened().await;
    let tag = with_a_name(&scene, &scene.anna).await;
    let how = [("how", "broken on the bench"), ("consent", "yes")];
    scene
        .record(&scene.anna, &tag, "destroy", &how)
        .await
        .is(303);
    let close = scene.at("/close");
    let end = [("password", PASSWORD)];
    scene.dora.send(&close, &close, &end).await.is(303);
    erase(&scene, &scene.dora, SECRET, &[]).await.is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("closed")
        .sees_not(SECRET);
    // What became of it is a text of the house too.
    erase(
        &scene,
        &scene.dora,
        "broken on the bench",
        &[("why", "unrelated")],
    )
    .await
    .is(303);
    scene
        .dora
        .get(&scene.at("/history"))
        .await
        .sees("2026")
        .sees_not("broken on the bench");
    assert_eq!(faults(&scene).await, [""; 0]);
}

#[tokio::test]
async fn an_erased_text_that_is_put_back_with_its_salt_is_named() {
    use sqlx::Row;
    let scene = Scene::signed().await;
    let tag = with_a_name(&scene, &scene.anna).await;
    let mut raw = scene.world.past_the_store().await;
    let row = sqlx::query(
        "SELECT body, (SELECT salts FROM leaf_salt JOIN leaf ON number = leaf WHERE kind = 'item' AND about = $1) AS salts \
         FROM item WHERE tag = $1",
    )
    .bind(&tag)
    .fetch_one(&mut raw)
    .await
    .unwrap();
    let (body, salts): (String, String) = (row.get("body"), row.get("salts"));
    erase(&scene, &scene.dora, SECRET, &[]).await.is(303);
    sqlx::query("UPDATE item SET body = $1 WHERE tag = $2")
        .bind(body)
        .bind(&tag)
        .execute(&mut raw)
        .await
        .unwrap();
    // The text alone is no more what the leaf stands for.
    let named = faults(&scene).await;
    assert!(named[0].contains("its salt is missing"), "{named:?}");
    sqlx::query("UPDATE leaf_salt SET salts = $1 WHERE leaf = (SELECT number FROM leaf WHERE kind = 'item' AND about = $2)")
        .bind(salts)
        .bind(&tag)
        .execute(&mut raw)
        .await
        .unwrap();
    let named = faults(&scene).await;
    assert_eq!(named.len(), 1, "{named:?}");
    assert!(
        named[0].contains("is said to be erased, and is there"),
        "{named:?}"
    );
}

#[tokio::test]
async fn a_database_from_before_there_was_erasing_is_checked_as_it_is() {
    let scene = Scene::signed().await;
    let mut raw = scene.world.past_the_store().await;
    let drop = sqlx::query("DROP TABLE erasing").execute(&mut raw);
    drop.await.unwrap();
    assert_eq!(faults(&scene).await, [""; 0]);
}

#[tokio::test]
async fn r15_what_stands_in_the_draft_is_named_and_goes_with_the_draft() {
    let scene = Scene::signed().await;
    let typed = [("remarks.remarks", "for Mrs. Quartermain")];
    scene.write(&scene.dora, &typed).await.is(303);
    let page = scene.dora.get(&scene.at("/erase")).await;
    page.is(200)
        .sees("In the draft of the prescription")
        .sees("for Mrs. Quartermain")
        .sees("giving the draft up");
    // What stands there is not ticked: it is no entry.
    assert_eq!(page.names("text.").len(), 0);
    // The draft is the office's own.
    scene
        .mara
        .get(&scene.at("/erase"))
        .await
        .sees_not("Quartermain");
    let (write, discard) = (scene.at("/write"), scene.at("/write/discard"));
    scene
        .dora
        .send(&write, &discard, &[("sure", "yes")])
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at("/erase"))
        .await
        .sees_not("In the draft of the prescription");
}

/// A store that is opened again finds what was erased, and starts.
#[tokio::test]
async fn the_program_starts_again_after_an_erasing() {
    let scene = Scene::signed().await;
    with_a_name(&scene, &scene.anna).await;
    erase(&scene, &scene.dora, SECRET, &[]).await.is(303);
    scene.world.app.store.close().await;
    let again = scene.world.store_again().await;
    let left = custody::count_erasing(&mut again.read().await.unwrap()).await;
    assert_eq!(left.unwrap(), 0);
    again.close().await;
}
