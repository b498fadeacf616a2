//! The page of the record, and what is in the record.

use super::{ALARM, a_minute_of_use, checkpoint, compare, faults, log_key, opened, paper};
use crate::common::{Answer, PASSWORD};
use crate::scene::Scene;
use vestibule::app::examine::examine;
use vestibule::app::recorded;
use vestibule::domain::values::ids::CaseNumber;
use vestibule::store::cases::find_case;
use vestibule::store::lists::of_party;
use vestibule::store::people::account_by_login;
use vestibule::store::record::leaves_owned_by;

#[tokio::test]
async fn the_page_says_how_far_the_record_has_come_and_by_which_key() {
    let (scene, _) = Scene::at_the_lab().await;
    let note = checkpoint(&scene.dora).await;
    let seen = opened(&note);
    for login in ["dora", "anna", "tom", "mara", "root", "sven"] {
        let page = scene.world.person(login).get("/record").await;
        page.is(200)
            .sees(&seen.size.to_string())
            .sees(&paper(&note))
            .sees(&log_key().verifier().to_string())
            .sees(&log_key().verifier().id().to_string())
            .sees_not(ALARM);
        assert_eq!(page.count("svg.qr"), 1);
        assert_eq!(page.count("nav a[href=\"/record\"]"), 1);
        assert_eq!(page.attribute("script", "data-checkpoint"), note);
    }
}

#[tokio::test]
async fn an_empty_record_says_so_and_has_no_checkpoint() {
    let world = crate::common::World::peopled().await;
    let dora = world.person("dora");
    // As it is before the rows of an earlier version are entered.
    let empty = "DELETE FROM leaf_salt; DELETE FROM leaf; UPDATE record_head SET size = 0, peaks = '', \
                 checkpoint = ''";
    let mut conn = world.past_the_store().await;
    sqlx::raw_sql(empty).execute(&mut conn).await.unwrap();
    dora.get("/record")
        .await
        .is(200)
        .sees("The record is empty");
    assert_eq!(checkpoint(&dora).await, "");
    world.pass_minutes(1);
    dora.get("/").await.is(200).sees_not(ALARM);
    dora.get("/record/growth?from=1").await.is(422);
}

#[tokio::test]
async fn each_side_is_shown_what_it_and_its_partners_keep_and_nobody_else() {
    let scene = Scene::opened().await;
    a_minute_of_use(&scene).await;
    let sees = |answer: &Answer, names: [bool; 4]| {
        let parties = [
            "Northgate Dental",
            "Kiln Laboratory",
            "Southgate Dental",
            "Anvil Laboratory",
        ];
        for (party, is_seen) in parties.iter().zip(names) {
            let words = answer.words();
            assert_eq!(words.contains(party), is_seen, "{party}: {words}");
        }
    };
    let page = scene.dora.get("/record").await;
    let size = opened(&checkpoint(&scene.dora).await).size;
    page.sees(&format!("Northgate Dental (you) : {size} entries"))
        .sees(&format!("Kiln Laboratory : {size} entries"));
    sees(&page, [true, true, false, false]);
    sees(&scene.tom.get("/record").await, [true, true, false, false]);
    let sven = scene.world.person("sven");
    sees(&sven.get("/record").await, [false, false, true, false]);
    let root = scene.world.person("root");
    sees(&root.get("/record").await, [true; 4]);
}

#[tokio::test]
async fn a_typed_paper_is_compared_in_words() {
    let scene = Scene::opened().await;
    let first = checkpoint(&scene.dora).await;
    scene.things().await;
    let newest = checkpoint(&scene.dora).await;
    for note in [&first, &newest] {
        let whole = paper(note);
        let page = compare(&scene.tom, &whole).await;
        page.is(200).sees("It fits.").sees("unchanged.");
        let spaced = whole.to_lowercase().replace(' ', "-\n ");
        compare(&scene.tom, &spaced).await.is(200).sees("It fits.");
        let begun: String = whole.chars().take(22).collect();
        compare(&scene.tom, &begun)
            .await
            .sees("It fits.")
            .sees("compared by the first");
    }
    let other = format!("1:{}", "0123456789abcdef".repeat(4));
    compare(&scene.tom, &other)
        .await
        .is(200)
        .sees("It does not fit.")
        .sees("the record was rewritten, or the paper is of another one");
    compare(&scene.tom, "99:0123456789abcdef")
        .await
        .is(200)
        .sees("It does not fit.")
        .sees("entries are missing");
    for (wrong, why) in [
        ("", "Type size and root as on the paper"),
        ("7f202118", "Type size and root as on the paper"),
        ("4:8C27", "at least 16 are wanted"),
        ("4:8C27F0A18C27F0AG", "“G” is no hexadecimal digit"),
        (":8C27F0A18C27F0A1", ""),
        ("1e3:8C27F0A18C27F0A1", ""),
        ("99999999999999999999999:8C27F0A18C27F0A1", ""),
    ] {
        let page = compare(&scene.tom, wrong).await;
        page.is(422).sees(why);
        assert_eq!(page.attribute("#f-paper", "value"), wrong, "it stays typed");
        assert_eq!(page.count("#f-paper-say .message"), 1, "{wrong}");
    }
}

#[tokio::test]
async fn every_version_of_what_stands_beside_the_cases_is_in_the_record() {
    let scene = Scene::signed().await;
    let root = scene.world.person("root");
    let sizes = async || opened(&checkpoint(&scene.dora).await).size;
    let before = sizes().await;
    let card = format!("/patients/{}", scene.patient);
    let fact = [("patient.sex", "male")];
    scene.dora.send(&card, &card, &fact).await.is(303);
    let mut lab = String::new();
    for path in root.get("/parties").await.hrefs("/parties/") {
        if path != "/parties/new" && root.get(&path).await.text().contains("Kiln") {
            lab = path;
        }
    }
    let moved = [("address", "1 New Street")];
    root.send(&lab, &lab, &moved).await.is(303);
    crate::lists::load_moulds(&scene.tom, crate::lists::MOULDS)
        .await
        .is(303);
    crate::lists::load_moulds(&scene.tom, crate::lists::MOULDS)
        .await
        .is(303);
    let mut conn = scene.world.app.store.read().await.unwrap();
    let sven = account_by_login(&mut conn, "sven").await.unwrap().unwrap();
    let action = format!("/people/{}/disabled", sven.id);
    root.send("/people", &action, &[]).await.is(303);
    let newer = "quite another password";
    let fields = [
        ("password", PASSWORD),
        ("new_password", newer),
        ("password_again", newer),
    ];
    let mara = scene.world.person("mara");
    mara.send("/account", "/account/password", &fields)
        .await
        .is(303);
    assert_eq!(sizes().await - before, 6);
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
    assert!(examined.beside > 10);
    // What opened the card that is written over is gone with it; that of a list is kept, as the list is.
    let salts = async |key: &str| {
        let mut conn = scene.world.app.store.read().await.unwrap();
        let leaves = leaves_owned_by(&mut conn, key).await.unwrap();
        let empty = leaves
            .iter()
            .map(|leaf| leaf.salts.as_deref() == Some("{}"));
        empty.collect::<Vec<_>>()
    };
    assert_eq!(salts(&scene.patient).await, [true, false]);
    assert_eq!(salts(&sven.id).await, [true, false]);
    let tom = account_by_login(&mut conn, "tom").await.unwrap().unwrap();
    for list in of_party(&mut conn, &tom.party.unwrap()).await.unwrap() {
        assert_eq!(salts(&list.id).await, [false, false]);
    }
    // The newest version only is stored of a card; it may not go back to the one before.
    let mut conn = scene.world.past_the_store().await;
    let back = format!(
        "UPDATE patient SET version = 1, facts = '{{}}' WHERE code = '{}'",
        scene.patient
    );
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(back)).execute(&mut conn);
    done.await.unwrap();
    let found = faults(&scene).await;
    assert!(
        found.contains(&format!("patient {}", scene.patient)),
        "{found}"
    );
}

#[tokio::test]
async fn what_an_earlier_version_had_beside_the_cases_is_backfilled_at_the_next_start() {
    let scene = Scene::opened().await;
    let app = &scene.world.app;
    // As an earlier version left it: the case is in the record, and nothing beside it.
    let mut conn = scene.world.past_the_store().await;
    let emptied = "DELETE FROM leaf_salt; DELETE FROM leaf; DELETE FROM witness; \
                   UPDATE record_head SET size = 0, peaks = '', checkpoint = ''";
    sqlx::raw_sql(emptied).execute(&mut conn).await.unwrap();
    // A start lays the locks again.
    scene.world.store_again().await.close().await;
    let number = CaseNumber::parse(&scene.number).unwrap();
    let mut tx = app.store.begin().await.unwrap();
    let case = find_case(tx.conn(), &number).await.unwrap().unwrap();
    recorded::case(app, &mut tx, &case).await.unwrap();
    tx.commit().await.unwrap();
    let before = examine(app, None).await.unwrap();
    assert_eq!(
        (before.faults.as_slice(), before.beside),
        ([].as_slice(), 0)
    );
    for _ in 0..2 {
        recorded::backfill(app).await.unwrap();
        let after = examine(app, None).await.unwrap();
        assert_eq!(after.faults, []);
        assert_eq!(after.leaves, 1 + after.beside, "each once");
        assert!(after.beside > 10, "{after:?}");
    }
    let changed = "UPDATE party SET licence = 'none'";
    sqlx::raw_sql(changed).execute(&mut conn).await.unwrap();
    assert!(faults(&scene).await.contains("its party"));
}
