//! Alarms: raised, seen by all, and cleared by an administrator only.

use super::{
    ALARM, Browser, a_minute_of_use, checkpoint, clear, describe, everybody, faults, log_key,
    opened, rewrite, set_back,
};
use crate::common::PASSWORD;
use crate::scene::Scene;
use vestibule::record::checkpoint::Checkpoint;
use vestibule::record::key::Signer;

#[tokio::test]
async fn ordinary_work_raises_no_alarm_and_is_kept_as_it_grows() {
    let scene = Scene::opened().await;
    for _ in 0..5 {
        a_minute_of_use(&scene).await;
        scene.add(&scene.dora, "shade_tab", "", "here").await;
    }
    a_minute_of_use(&scene).await;
    let size = opened(&checkpoint(&scene.tom).await).size;
    scene
        .tom
        .get("/record")
        .await
        .sees_not(ALARM)
        .sees(&format!("Kiln Laboratory (you) : {size} entries"))
        .sees(&format!("Northgate Dental : {size} entries"));
    assert_eq!(faults(&scene).await, "");
}

#[tokio::test]
async fn a_record_set_back_is_seen_by_both_sides_on_every_page() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    let size = opened(&checkpoint(&scene.tom).await).size;
    set_back(&scene, 18).await;
    scene.tom.get("/").await.sees_not(ALARM);
    scene.world.pass_minutes(1);
    scene.tom.get("/").await;
    for page in everybody(&scene).await {
        page.sees(ALARM);
        assert_eq!(page.count(".alarm[role=alert]"), 1);
    }
    scene
        .tom
        .get("/record")
        .await
        .sees("Entries are missing: the record is shorter than what was seen")
        .sees(&format!("Kept {size}:"))
        .sees("There now 18:")
        .sees("found by this program, with what Kiln Laboratory has kept");
    // A house that shares no case with them sees the alarm, and no name.
    scene
        .world
        .person("sven")
        .get("/record")
        .await
        .sees("found by another party of this installation")
        .sees_not("Kiln");
    assert!(
        faults(&scene)
            .await
            .contains("entries are missing: the record is shorter"),
    );
}

#[tokio::test]
async fn signing_in_looks_as_well() {
    let scene = Scene::opened().await;
    scene.things().await;
    scene.world.visitor("tom").await;
    set_back(&scene, 17).await;
    let page = scene.world.visitor("tom").await.get("/").await;
    page.sees(ALARM);
}

#[tokio::test]
async fn a_rewritten_leaf_is_found_though_it_is_signed_again_with_the_right_key() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    let size = opened(&checkpoint(&scene.dora).await).size;
    let all = usize::try_from(size).unwrap();
    rewrite(&scene, all, &log_key(), |number, body| match number {
        1 => body.replacen("\"v\":1", "\"v\":2", 1),
        _ => body.to_owned(),
    })
    .await;
    // The record agrees with itself and its key.
    let seen = opened(&checkpoint(&scene.dora).await);
    assert_eq!(seen.size, size);
    a_minute_of_use(&scene).await;
    for page in everybody(&scene).await {
        page.sees(ALARM);
    }
    scene
        .dora
        .get("/record")
        .await
        .sees("Entries were changed: the record begins in another way");
    let faults = faults(&scene).await;
    assert!(faults.contains("entries were changed"), "{faults}");
    assert!(faults.contains("An alarm that is not cleared"), "{faults}");
}

#[tokio::test]
async fn a_leaf_rewritten_together_with_what_the_party_keeps_is_found_by_the_browsers_cosignature()
{
    let scene = Scene::opened().await;
    scene.things().await;
    let note = checkpoint(&scene.tom).await;
    let lab = Browser::of(&scene, "tom", 1).await;
    lab.cosign(&note).await.is(204);
    let all = usize::try_from(opened(&note).size).unwrap();
    rewrite(&scene, all, &log_key(), |number, body| match number {
        1 => body.replacen("\"v\":1", "\"v\":2", 1),
        _ => body.to_owned(),
    })
    .await;
    let mut conn = scene.world.past_the_store().await;
    sqlx::raw_sql("DELETE FROM witness")
        .execute(&mut conn)
        .await
        .unwrap();
    let faults = faults(&scene).await;
    assert!(
        faults.contains("the browser of tom with the key")
            && faults.contains("entries were changed"),
        "{faults}"
    );
    // And by what the browser itself keeps.
    describe(&scene.tom, &note).await.is(200);
    scene.dora.get("/").await.sees(ALARM);
    scene
        .dora
        .get("/record")
        .await
        .sees("found by the browser of tom, Kiln Laboratory");
}

#[tokio::test]
async fn a_cosignature_line_that_was_changed_is_named() {
    let scene = Scene::opened().await;
    let lab = Browser::of(&scene, "tom", 1).await;
    let early = checkpoint(&scene.tom).await;
    scene.things().await;
    lab.cosign(&checkpoint(&scene.tom).await).await.is(204);
    let mut conn = scene.world.past_the_store().await;
    sqlx::query("UPDATE witness_key SET line = $1")
        .bind(lab.line(&early))
        .execute(&mut conn)
        .await
        .unwrap();
    let faults = faults(&scene).await;
    assert!(
        faults.contains("The cosignature of the browser of tom"),
        "{faults}"
    );
}

#[tokio::test]
async fn a_newest_checkpoint_of_another_key_is_an_alarm() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    let forger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    rewrite(&scene, 5, &forger, |_, body| body.to_owned()).await;
    scene.world.pass_minutes(1);
    // No case is shown under it, and the alarm is raised and seen all the same.
    for who in [&scene.dora, &scene.tom] {
        let page = who.get("/").await;
        page.is(503).sees(UNSIGNED);
        who.get("/").await.is(503).sees(ALARM);
    }
    scene.dora.get("/record").await.is(200).sees(UNSIGNED);
    scene
        .dora
        .get(&scene.at("/record.tar"))
        .await
        .is(503)
        .sees(UNSIGNED);
}

/// What is said where another key has signed, or nobody.
const UNSIGNED: &str = "The newest checkpoint is not signed by the record's key";

/// Whoever has forged the head too has made no house see another's case, and keeps nobody from finding out what is wrong.
#[tokio::test]
async fn under_a_checkpoint_of_another_key_no_case_is_shown_until_the_right_one_is_back() {
    let (scene, things) = Scene::at_the_lab().await;
    let handoff = scene.handoff(&scene.dora).await;
    a_minute_of_use(&scene).await;
    let genuine = checkpoint(&scene.dora).await;
    let forger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    let forged = opened(&genuine).sign(&forger).unwrap();
    let (lars, root) = (scene.world.person("lars"), scene.world.person("root"));
    let nobody = scene.world.nobody();
    let put = async |note: &str, lab: &str| {
        let mut conn = scene.world.past_the_store().await;
        let sql = format!(
            "PRAGMA foreign_keys = OFF; UPDATE record_head SET checkpoint = '{note}'; \
             UPDATE case_file SET lab_id = (SELECT id FROM party WHERE name LIKE '{lab}%'); \
             UPDATE party SET changes = changes + 1"
        );
        let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
        done.await.unwrap();
    };
    let of_cases = [
        scene.at(""),
        scene.at("/history"),
        scene.at("/bench"),
        scene.at("/record.tar"),
        format!("/items/{}", things.bite),
        handoff.clone(),
        "/".to_owned(),
        "/bench".to_owned(),
        "/in-house".to_owned(),
        "/reports".to_owned(),
        "/passed".to_owned(),
        "/day-list.pdf".to_owned(),
        format!("/find?q={}", scene.number),
    ];
    let of_anybody = [
        format!("/c/{}/1", scene.number).to_uppercase(),
        handoff.replace("/handoffs/", "/H/"),
    ];
    put(&forged, "Anvil").await;
    for path in &of_cases {
        for who in [&lars, &scene.tom] {
            let page = who.get(path).await;
            assert_eq!(page.status, 503, "{path}");
            page.sees(UNSIGNED).sees_not("Northgate");
        }
    }
    for path in &of_anybody {
        nobody.get(path).await.is(503).sees(UNSIGNED);
    }
    for path in ["/patients", "/cases/new"] {
        scene.dora.get(path).await.is(503).sees(UNSIGNED);
    }
    // What is needed to find out, and to get out of it.
    for who in [&lars, &scene.tom, &scene.dora, &root] {
        who.get("/record").await.is(200).sees(UNSIGNED);
        who.get("/account").await.is(200);
    }
    root.get("/people").await.is(200);
    scene
        .world
        .visitor("tom")
        .await
        .get("/record")
        .await
        .is(200);
    // An emptied checkpoint is no other than that of another key.
    put("", "Anvil").await;
    lars.get(&scene.at("")).await.sees_not("Northgate");
    put(&genuine, "Kiln").await;
    for path in of_cases.iter().filter(|path| *path != &handoff) {
        scene.tom.get(path).await.sees_not(UNSIGNED);
    }
    scene.tom.get(&scene.at("")).await.is(200);
    lars.get(&scene.at("")).await.is(404);
    clear(&scene, "the right database is back", PASSWORD)
        .await
        .is(303);
    scene.tom.get("/").await.is(200).sees_not(ALARM);
}

#[tokio::test]
async fn hashes_that_are_gone_prove_nothing_and_that_is_an_alarm() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    let mut conn = scene.world.past_the_store().await;
    sqlx::raw_sql("UPDATE leaf SET hash = '' WHERE number = 2")
        .execute(&mut conn)
        .await
        .unwrap();
    a_minute_of_use(&scene).await;
    scene
        .dora
        .get("/record")
        .await
        .sees(ALARM)
        .sees("The stored hashes do not lead from what was seen to the record of now");
}

#[tokio::test]
async fn s1_what_a_browser_tells_is_compared_before_everybody_hears_of_it() {
    let scene = Scene::opened().await;
    scene.things().await;
    let note = checkpoint(&scene.tom).await;
    let fine = describe(&scene.tom, &note).await;
    let contained = r#"{"contained":true,"told":false,"cleared":null}"#;
    assert_eq!(fine.is(200).text(), contained);
    for wrong in [
        String::new(),
        "nothing".to_owned(),
        "x".repeat(3000),
        // Another record at this address is no alarm: the browser asks its person.
        opened(&note)
            .to_string()
            .replace("vestibule.test", "other.test"),
    ] {
        describe(&scene.tom, &wrong).await.is(422);
    }
    scene.dora.get("/").await.sees_not(ALARM);
    // Signed by somebody else under this record's name: the browser warns its own person, and nobody else is told.
    let forger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    let forged = opened(&note).sign(&forger).unwrap();
    let answer = describe(&scene.tom, &forged).await;
    let told_nobody = r#"{"contained":false,"told":false,"cleared":null}"#;
    assert_eq!(answer.is(200).text(), told_nobody);
    let of_size = |size| {
        let larger = Checkpoint {
            size,
            ..opened(&note)
        };
        larger.sign(&forger).unwrap()
    };
    for size in 1..10 {
        let answer = describe(&scene.tom, &of_size(size)).await;
        assert_eq!(answer.is(200).text(), told_nobody);
    }
    // Ten in an hour of one person: those that come after are not even counted, and nobody else waits for that.
    for size in 10..40 {
        let answer = describe(&scene.tom, &of_size(size)).await;
        assert_eq!(answer.is(429).headers["retry-after"], "3600");
        assert_eq!(answer.text(), told_nobody);
    }
    describe(&scene.dora, &of_size(40)).await.is(200);
    // What the key has signed is compared all the same.
    let fine = describe(&scene.tom, &note).await;
    assert_eq!(fine.is(200).text(), contained);
    scene.world.pass_minutes(20);
    let tom = scene.world.visitor("tom").await;
    describe(&tom, &forged).await.is(429);
    scene.world.pass_minutes(41);
    let tom = scene.world.visitor("tom").await;
    describe(&tom, &forged).await.is(200);
    let dora = scene.world.visitor("dora").await;
    for who in [&dora, &tom] {
        let page = who.get("/record").await;
        page.is(200).sees_not(ALARM);
        assert_eq!(page.count(".sheet.strong .card"), 0);
    }
    assert_eq!(faults(&scene).await, "", "the record has no fault");
}

/// Whoever keeps many checkpoints that the record does not contain raises a few alarms a day, and no more.
#[tokio::test]
async fn one_person_raises_five_alarms_a_day_and_everybody_else_is_heard_as_before() {
    let scene = Scene::opened().await;
    scene.things().await;
    let note = checkpoint(&scene.tom).await;
    let lost = |size| {
        let other = Checkpoint {
            size,
            ..opened(&note)
        };
        other.sign(&log_key()).unwrap()
    };
    let told = r#"{"contained":false,"told":true,"cleared":null}"#;
    for size in 1..6 {
        let answer = describe(&scene.tom, &lost(size)).await;
        assert_eq!(answer.is(200).text(), told, "{size}");
    }
    let told_nobody = r#"{"contained":false,"told":false,"cleared":null}"#;
    let answer = describe(&scene.tom, &lost(6)).await;
    assert_eq!(answer.is(429).text(), told_nobody);
    // One that stands open is told already.
    assert_eq!(describe(&scene.tom, &lost(3)).await.is(200).text(), told);
    assert_eq!(describe(&scene.dora, &lost(6)).await.is(200).text(), told);
}

#[tokio::test]
async fn nobody_but_an_administrator_clears_an_alarm_and_only_with_a_sentence_and_the_password() {
    let scene = Scene::opened().await;
    scene.things().await;
    a_minute_of_use(&scene).await;
    let lost = checkpoint(&scene.tom).await;
    set_back(&scene, 18).await;
    a_minute_of_use(&scene).await;
    let fields = [("post_key", "clear-0001"), ("reason", "all is well")];
    for who in [&scene.dora, &scene.anna, &scene.tom, &scene.mara] {
        who.post("/record/clear", &fields).await.is(403);
        assert_eq!(
            who.get("/record")
                .await
                .count("form[action=\"/record/clear\"]"),
            0
        );
    }
    clear(&scene, "", PASSWORD)
        .await
        .is(422)
        .sees("Say what has happened");
    let sentence = "restored the copy of last night after the disk failed";
    let wrong = clear(&scene, sentence, "not the password").await;
    wrong
        .is(422)
        .sees("This is not your password.")
        .sees(sentence);
    clear(&scene, sentence, "").await.is(422);
    clear(&scene, "asked Mrs. Brown about it", PASSWORD)
        .await
        .is(422)
        .sees("they name nobody");
    clear(&scene, &"x".repeat(501), PASSWORD).await.is(422);
    scene.tom.get("/").await.sees(ALARM);

    clear(&scene, sentence, PASSWORD).await.is(303);
    for page in everybody(&scene).await {
        page.sees_not(ALARM);
    }
    for who in [&scene.dora, &scene.tom] {
        who.get("/record")
            .await
            .sees("Cleared by root on")
            .sees(sentence);
    }
    // A browser that still keeps the lost branch is told, and its person decides.
    let said = describe(&scene.tom, &lost).await.is(200).text();
    assert!(said.contains("\"cleared\":\"Cleared by root on"), "{said}");
    scene.tom.get("/").await.sees_not(ALARM);

    // From here on the record of now is kept, and the next time is an alarm of its own.
    a_minute_of_use(&scene).await;
    let kept_now = scene.tom.get("/record").await;
    kept_now
        .sees_not(ALARM)
        .sees("Kiln Laboratory (you) : 19 entries");
    set_back(&scene, 17).await;
    a_minute_of_use(&scene).await;
    scene.tom.get("/").await.sees(ALARM);
}

#[tokio::test]
async fn an_alarm_that_came_after_the_page_was_opened_is_not_cleared_unseen() {
    let scene = Scene::opened().await;
    scene.things().await;
    let early = checkpoint(&scene.tom).await;
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    a_minute_of_use(&scene).await;
    set_back(&scene, 17).await;
    a_minute_of_use(&scene).await;
    let root = scene.world.person("root");
    let page = root.get("/record").await;
    let mut form = page.form("/record", "/record/clear", "");
    form.insert("reason".to_owned(), "looked into it".to_owned());
    form.insert("password".to_owned(), PASSWORD.to_owned());
    // Meanwhile a browser tells of another checkpoint that it keeps.
    describe(&scene.dora, &early).await.is(200);
    let fields: Vec<(&str, &str)> = form
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    root.post("/record/clear", &fields)
        .await
        .is(409)
        .sees("The open alarms are others than those on your page.");
    scene.tom.get("/").await.sees(ALARM);
    clear(&scene, "looked into both", PASSWORD).await.is(303);
    scene.tom.get("/").await.sees_not(ALARM);
}

#[tokio::test]
async fn clearing_lays_aside_everything_that_no_longer_fits() {
    let scene = Scene::opened().await;
    scene.things().await;
    let lab = Browser::of(&scene, "tom", 1).await;
    lab.cosign(&checkpoint(&scene.tom).await).await.is(204);
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    a_minute_of_use(&scene).await;
    set_back(&scene, 18).await;
    a_minute_of_use(&scene).await;
    // The administrator's page looks at everything that is kept, the cosignature too.
    let page = scene.world.person("root").get("/record").await;
    assert_eq!(page.count(".sheet.strong .card"), 2);
    clear(&scene, "restored a copy", PASSWORD).await.is(303);
    let faults = faults(&scene).await;
    assert!(!faults.contains("keeps"), "{faults}");
    scene
        .dora
        .get("/record")
        .await
        .sees("cosigned nothing since the last alarm was cleared");
    lab.cosign(&checkpoint(&scene.tom).await).await.is(204);
    scene.dora.get("/record").await.sees("cosigned 20 entries");
}

#[tokio::test]
async fn a_cosigned_checkpoint_of_a_lost_branch_is_an_alarm_too() {
    let scene = Scene::opened().await;
    scene.things().await;
    let lost = checkpoint(&scene.tom).await;
    set_back(&scene, 17).await;
    let lab = Browser::of(&scene, "tom", 1).await;
    lab.cosign(&lost).await.is(204);
    scene.dora.get("/").await.sees(ALARM);
    scene.dora.get("/record").await.sees_not("Browser key");
}
