//! The ribbon on the case's page, the same as a table and on paper, and where an item was at a moment. A
//! letter and a number before a name is the property of a chain of custody that the story stands for.

use crate::chain::wait;
use crate::common::{Answer, PASSWORD};
use crate::pdf_text::{READING, words_of};
use crate::scene::Scene;

/// The stretches of one item: as drawn, and as told in the table.
fn stretches(page: &Answer, tag: &str) -> (usize, usize) {
    let drawn = page.count(&format!(".ribbon a[href=\"/items/{tag}\"] path.line"));
    let said = page.count(&format!("details table a[href=\"/items/{tag}\"]"));
    (drawn, said)
}

#[tokio::test]
async fn c12_the_case_shows_each_item_as_a_line_and_the_same_as_a_table() {
    let (scene, things) = Scene::at_the_lab().await;
    for who in [&scene.dora, &scene.tom] {
        let page = who.get(&scene.at("")).await;
        page.is(200)
            .sees("Lab On the way Office Patient Worn, upper Worn, lower")
            .sees("Time runs left to right.")
            .sees("1 Provisional denture, upper");
        assert_eq!(page.count(".ribbon .lines > a"), 3);
        assert_eq!(page.count(".ribbon[tabindex=\"0\"][role=region]"), 1);
        // Patient, office, carrier, lab, and who answers in each.
        assert_eq!(stretches(&page, &things.provisional).0, 5);
        for tag in [&things.provisional, &things.duplicate, &things.bite] {
            let (drawn, said) = stretches(&page, tag);
            assert!(drawn > 0 && drawn == said, "{tag}: {drawn} and {said}");
        }
        page.sees("on the way to Kiln Laboratory a courier, handed over by anna")
            .sees("Kiln Laboratory tom, Kiln Laboratory")
            .sees("R registered D disinfected F fitted O taken out");
    }
}

#[tokio::test]
async fn a_case_without_items_has_no_ribbon() {
    let scene = Scene::opened().await;
    let page = scene.dora.get(&scene.at("")).await;
    assert_eq!(page.is(200).count(".ribbon"), 0);
}

#[tokio::test]
async fn c10_what_is_missing_or_on_hold_is_seen_on_the_line() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let cast = scene.add(&scene.dora, "cast", "lower", "here").await;
    scene
        .release(&scene.anna, &[&bite, &cast], &[])
        .await
        .is(303);
    let found = [(bite.as_str(), "missing"), (cast.as_str(), "damaged")];
    let (marked, note) = (format!("{bite}.marked"), format!("{cast}.note"));
    let more = [(marked.as_str(), ""), (note.as_str(), "cracked")];
    scene.receive(&scene.tom, &found, &more).await.is(303);
    let page = scene.dora.get(&scene.at("")).await;
    page.sees("? missing from the parcel ! found wrong on hold missing");
    // Who found it missing does not answer for it.
    page.sees_not("on the way to Kiln Laboratory tom, Kiln Laboratory");
    let on = |tag: &str, class: &str| {
        page.count(&format!(".ribbon a[href=\"/items/{tag}\"] path.{class}"))
    };
    assert_eq!(on(&bite, "missing"), 1);
    assert_eq!(on(&cast, "missing"), 0);
    // The stretch before is neither, though everything here has the same minute.
    assert_eq!((on(&bite, "held-line"), on(&cast, "held-line")), (0, 1));
    assert!(
        page.attribute(&format!(".ribbon a[href=\"/items/{cast}\"]"), "aria-label")
            .ends_with("Kiln Laboratory, on hold")
    );
}

#[tokio::test]
async fn c19_a_late_entry_is_marked_on_the_line() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let page = scene.dora.get(&scene.at("")).await;
    page.sees_not("written down later");
    wait(&scene, 60).await;
    let late = [
        ("how", "broken in two"),
        ("late_day", "2026-03-02"),
        ("late_time", "09:20"),
        ("late_name", "J. Field"),
    ];
    scene
        .record(&scene.anna, &bite, "destroy", &late)
        .await
        .is(303);
    let page = scene.dora.get(&scene.at("")).await;
    page.sees("* written down later than it happened")
        .sees("Mon 2 Mar 2026 09:20 +01:00")
        .sees("registered, destroyed");
    assert_eq!(page.count(".ribbon .late-entry"), 1);
}

#[tokio::test]
async fn c25_where_an_item_was_at_a_moment_and_who_answered_is_said_in_a_sentence() {
    let scene = Scene::signed().await;
    scene.world.pass_minutes(2);
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let sent = [things.provisional.as_str(), things.bite.as_str()];
    let again = [("password", PASSWORD)];
    wait(&scene, 20).await;
    scene.release(&scene.anna, &sent, &again).await.is(303);
    wait(&scene, 20).await;
    let found = sent.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &found, &again).await.is(303);
    let ask = async |day: &str, time: &str| {
        let path = format!("/items/{}?day={day}&time={time}", things.bite);
        scene.mara.get(&path).await
    };
    for (time, answer) in [
        ("09:01", "it was not registered yet."),
        (
            "09:05",
            "Northgate Dental. Who answered for it: anna, Northgate Dental.",
        ),
        (
            "09:30",
            "on the way to Kiln Laboratory. Who answered for it: a courier, handed over by anna, Northgate Dental.",
        ),
        (
            "09:42",
            "Kiln Laboratory. Who answered for it: tom, Kiln Laboratory.",
        ),
    ] {
        let page = ask("2026-03-02", time).await;
        page.is(200)
            .sees(&format!("Mon 2 Mar 2026 {time} +01:00: {answer}"));
        assert_eq!(page.attribute("#time", "value"), time);
    }
    for (day, time, message) in [
        ("2026-03-02", "09:43", "This moment has not come yet."),
        ("2026-02-30", "09:05", "There is no such day in that month."),
        ("2026-03-02", "25:00", "There is no such time of day."),
        ("", "09:05", "Write the date as year-month-day"),
    ] {
        let page = ask(day, time).await;
        page.is(422).sees(message).sees_not("Who answered for it");
        assert_eq!(page.attribute("#time", "value"), time);
        assert_eq!(page.attribute("#day", "value"), day);
    }
}

/// The upper final is made, sent, received and fitted.
async fn final_fitted() -> (Scene, String) {
    let (scene, things) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let back = [last.as_str(), things.provisional.as_str()];
    scene.release(&scene.tom, &back, &[]).await.is(303);
    let found = back.map(|tag| (tag, "sound"));
    scene.receive(&scene.anna, &found, &[]).await.is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    (scene, last)
}

#[tokio::test]
async fn what_the_patient_wears_stands_on_the_patients_page_and_checks_on_the_case() {
    let (scene, last) = final_fitted().await;
    let code = format!("{}-{}-{}", &last[..3], &last[3..6], &last[6..]);
    let patient = format!("/patients/{}", scene.patient);
    scene.dora.get(&patient).await.sees(&format!(
        "Upper: Final denture, upper {code} since Mon 2 Mar 2026 09:"
    ));
    scene.dora.get(&patient).await.sees("Lower: not known.");
    // 2026-03-02 is a Monday, and a month later a Thursday.
    scene.dora.get(&scene.at("")).await.sees(
        "Hint, checks of the upper final fitted on Mon 2 Mar 2026: \
         24 hours Tue 3 Mar 2026, one week Mon 9 Mar 2026, one month Thu 2 Apr 2026.",
    );
    scene.tom.get(&scene.at("")).await.sees_not("checks of the");
    let page = scene.tom.get(&scene.at("")).await;
    page.sees("upper before Mon 2 Mar 2026")
        .sees("lower before now not known");
    assert_eq!(page.count(".ribbon rect.unknown"), 2);
    assert_eq!(page.count(".ribbon rect.worn"), 1);
}

#[tokio::test]
async fn an_arch_that_is_empty_is_drawn_as_empty() {
    let scene = Scene::opened().await;
    scene.things().await;
    let out = [("reason", "it broke"), ("password", PASSWORD)];
    scene.fit(&scene.dora, "nothing", &out).await.is(303);
    let page = scene.dora.get(&scene.at("")).await;
    page.sees("now nothing");
    assert_eq!(page.count(".ribbon rect.nothing"), 1);
}

#[tokio::test]
async fn c18_c20_the_custody_sheet_draws_the_ribbon_and_tells_handoffs_and_ends() {
    let (scene, things) = Scene::at_the_lab().await;
    let into = [("into", "the mounting")];
    scene
        .record(&scene.tom, &things.bite, "use_up", &into)
        .await
        .is(303);
    let sheet = scene.dora.get(&scene.at("/history.pdf?ribbon=yes")).await;
    let words = words_of(&sheet.is(200).body, READING);
    for expected in [
        "Where each item has been",
        "Worn, upper",
        "On the way",
        "As recorded up to 2026-03-02",
        "To the lab: sound",
        "used up",
        "still open: in the mouth",
        "still open: at the lab",
        "0 (1 person)",
        "1 (2 people)",
        "1 (3 people)",
        "not known",
    ] {
        assert!(words.contains(expected), "{expected} is not in {words}");
    }
    assert!(
        sheet.body
            == scene
                .tom
                .get(&scene.at("/history.pdf?ribbon=yes"))
                .await
                .body
    );
}
