//! Who entered what, when, and from which paper.

use super::wait;
use crate::common::{PASSWORD, Visitor};
use crate::scene::Scene;

#[tokio::test]
async fn a_handoff_that_never_left_is_taken_back_and_can_be_made_again() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let path = scene.handoff(&scene.anna).await;
    let action = format!("{path}/take-back");
    let back = async |who: &Visitor, reason: &str, password: &str| {
        let fields = [
            ("post_key", "take-back-key-1"),
            ("reason", reason),
            ("password", password),
        ];
        who.post(&action, &fields).await
    };
    assert_eq!(scene.tom.get(&path).await.count("details form"), 0);
    scene
        .dora
        .get(&path)
        .await
        .sees("I state that the carrier brought these items back to our premises");
    back(&scene.dora, " ", PASSWORD)
        .await
        .is(422)
        .sees("Say why it is taken back.");
    back(&scene.dora, "no courier", "wrong").await.is(422);
    back(&scene.tom, "no courier", PASSWORD)
        .await
        .is(409)
        .sees("Only the side that handed it over takes it back.");
    let stranger = scene.world.person("lars");
    back(&stranger, "no courier", PASSWORD).await.is(404);
    back(&scene.dora, "no courier", PASSWORD).await.is(303);
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees("Taken back after its pick-up, it never arrived");
    scene
        .tom
        .get(&path)
        .await
        .sees("Taken back by dora")
        .sees("no courier");
    let received = [("post_key", "receive-key-001")];
    scene
        .tom
        .post(&path, &received)
        .await
        .is(409)
        .sees("has taken this back on");
    // The entry of the release stays, and its disinfection still holds.
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Handed over to the lab");
    let none = [
        ("agent", ""),
        ("dilution", ""),
        ("minutes", ""),
        ("rinsed", ""),
    ];
    scene.release(&scene.anna, &[&bite], &none).await.is(303);
    scene
        .receive(&scene.tom, &[(&bite, "sound")], &[])
        .await
        .is(303);
    back(&scene.dora, "too late", PASSWORD).await.is(409);
}

#[tokio::test]
async fn c05_c06_the_password_is_asked_again_ten_minutes_after_it_was_typed() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    // At the lab before the clock is set back, so that there is something to hand over then.
    scene.add(&scene.tom, "cast", "upper", "here").await;
    let asks =
        async |who: &Visitor, page: &str| who.get(page).await.count("input[name=password]") > 0;
    let page = scene.at("/release");
    scene.world.pass_minutes(9);
    assert!(!asks(&scene.anna, &page).await);
    scene.world.pass_minutes(1);
    assert!(asks(&scene.anna, &page).await);
    for wrong in ["", "wrong"] {
        let answer = scene
            .release(&scene.anna, &[&bite], &[("password", wrong)])
            .await;
        assert_eq!(
            answer.is(422).attribute("[aria-invalid]", "name"),
            "password"
        );
        assert_eq!(
            answer.attribute("input[name=carrier]", "value"),
            "a courier"
        );
    }
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    // It was typed just now, in this session; the other side has to type its own.
    assert!(!asks(&scene.anna, &page).await);
    let handoff = scene.handoff(&scene.tom).await;
    assert!(asks(&scene.tom, &handoff).await);
    let found = [(bite.as_str(), "sound")];
    scene
        .receive(&scene.tom, &found, &[("password", "")])
        .await
        .is(422);
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    // A clock that is set back proves nothing.
    assert!(!asks(&scene.tom, &page).await);
    scene.world.pass_minutes(-5);
    assert!(asks(&scene.tom, &page).await);
}

#[tokio::test]
async fn c19_an_entry_from_paper_keeps_both_times_and_is_marked_as_late() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    wait(&scene, 150).await;
    let how = ("how", "broken in two");
    let late = |day, time, name| {
        [
            how,
            ("late_day", day),
            ("late_time", time),
            ("late_name", name),
        ]
    };
    for (fields, status, wrong) in [
        (late("2026-03-02", "", "J. Field"), 422, "late_time"),
        (late("", "10:00", "J. Field"), 422, "late_day"),
        (late("2026-03-02", "10:00", ""), 422, "late_name"),
        (late("2026-02-30", "10:00", "J. Field"), 422, "late_day"),
        (late("2026-03-02", "25:00", "J. Field"), 422, "late_time"),
    ] {
        let answer = scene.record(&scene.anna, &bite, "destroy", &fields).await;
        assert_eq!(answer.is(status).attribute("[aria-invalid]", "name"), wrong);
        assert_eq!(
            answer.attribute("details[open] input[name=how]", "value"),
            how.1
        );
    }
    // Before the thing was registered, by the clock in Vienna, and after now.
    scene
        .record(
            &scene.anna,
            &bite,
            "destroy",
            &late("2026-03-02", "08:59", "J. Field"),
        )
        .await
        .is(409)
        .sees("The last entry about");
    scene
        .record(
            &scene.anna,
            &bite,
            "destroy",
            &late("2026-03-02", "12:00", "J. Field"),
        )
        .await
        .is(409)
        .sees("has not come yet");
    scene
        .record(
            &scene.anna,
            &bite,
            "destroy",
            &late("2026-03-02", "10:05", "J. Field"),
        )
        .await
        .is(303);
    let pages = [
        (scene.at("/history"), "Mon 2 Mar 2026 10:05 +01:00"),
        (format!("/items/{bite}"), "Mon 2 Mar 2026 10:05 +01:00"),
    ];
    for (page, when) in pages {
        scene
            .tom
            .get(&page)
            .await
            .sees(&format!("{when} late entry"))
            .sees("Late entry, written down on Mon 2 Mar 2026 11:30 +01:00.")
            .sees("the name on it: J. Field");
    }
}

#[tokio::test]
async fn c06_a_receipt_on_paper_is_entered_with_the_name_that_signed_it() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    wait(&scene, 60).await;
    let late = [
        ("late_day", "2026-03-02"),
        ("late_time", "09:20"),
        ("late_name", "P. Brand"),
    ];
    scene
        .receive(&scene.mara, &[(&bite, "sound")], &late)
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at("/history?day=2026-03-02&time=09:30"))
        .await
        .sees("Kiln Laboratory P. Brand, Kiln Laboratory");
}
