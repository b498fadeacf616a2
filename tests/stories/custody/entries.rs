//! Entries once made stay, and the history tells the same to both sides.

use super::arriving::on_the_way;
use crate::scene::Scene;

#[tokio::test]
async fn nothing_happens_to_what_is_destroyed() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene
        .record(&scene.dora, &bite, "destroy", &[("how", "")])
        .await
        .is(422)
        .sees("Say how and why.");
    scene
        .record(&scene.dora, &bite, "destroy", &[("how", "broken in two")])
        .await
        .is(303);
    for (action, field) in [
        ("use_up", "into"),
        ("destroy", "how"),
        ("give", "x"),
        ("bring_back", "x"),
        ("dance", "x"),
    ] {
        let fields = [
            ("post_key", "record-key-001"),
            ("action", action),
            (field, "words"),
        ];
        scene
            .dora
            .post(&format!("/items/{bite}/record"), &fields)
            .await
            .is(409);
    }
    scene
        .dora
        .get(&scene.at("/release"))
        .await
        .sees("Nothing can be handed over now");
}

#[tokio::test]
async fn what_is_worn_is_named_where_nothing_can_be_handed_over_with_the_way_to_take_it_out() {
    let scene = Scene::signed().await;
    let path = scene.at("/release");
    scene.dora.get(&path).await.sees_not("The patient wears:");
    scene
        .add(&scene.dora, "final_denture", "upper", "worn")
        .await;
    let page = scene.dora.get(&path).await;
    page.sees("Nothing can be handed over now.")
        .sees("The patient wears: Final denture, upper");
    let way = format!(".sheet a[href=\"{}\"]", scene.at("/mouth"));
    assert_eq!(page.count(&way), 1);
    // Where something can go along, it is not said.
    scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.dora.get(&path).await.sees_not("The patient wears:");
}

#[tokio::test]
async fn a_correction_stands_below_the_entry_that_stays() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let entry = scene
        .anna
        .get(&format!("/items/{bite}"))
        .await
        .option_value("event", "registered");
    scene
        .record(
            &scene.anna,
            &bite,
            "correct",
            &[("event", &entry), ("correction", "")],
        )
        .await
        .is(422);
    scene
        .record(
            &scene.anna,
            &bite,
            "correct",
            &[("event", ""), ("correction", "words")],
        )
        .await
        .is(422);
    let never = [("event", "never-was"), ("correction", "words")];
    scene
        .record(&scene.anna, &bite, "correct", &never)
        .await
        .is(409)
        .sees("There is no such entry to correct.");
    // The page offers what is about the thing; another thing's entry is not taken either.
    let facebow = scene.add(&scene.dora, "facebow_record", "", "here").await;
    scene
        .record(
            &scene.anna,
            &facebow,
            "correct",
            &[("event", &entry), ("correction", "words")],
        )
        .await
        .is(422)
        .sees("This entry is about something else");
    let words = "silicone, not wax";
    scene
        .record(
            &scene.anna,
            &bite,
            "correct",
            &[("event", &entry), ("correction", words)],
        )
        .await
        .is(303);
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Correction of an earlier entry")
        .sees(words)
        .sees("registered, at the office");
    let page = scene.tom.get(&format!("/items/{bite}")).await;
    page.sees(words).sees("registered, at the office");
}

#[tokio::test]
async fn the_history_says_the_same_words_to_both_sides() {
    let (scene, _) = Scene::at_the_lab().await;
    let office = scene.dora.get(&scene.at("/history")).await;
    let lab = scene.tom.get(&scene.at("/history")).await;
    // The lab alone makes out an invoice from what it has done.
    let own = " What was done (PDF)";
    let lab = lab.is(200).words();
    assert!(lab.contains(own));
    assert_eq!(office.is(200).words(), lab.replace(own, ""));
    let (office, lab) = (
        scene.dora.get(&scene.at("/history.pdf")).await,
        scene.tom.get(&scene.at("/history.pdf")).await,
    );
    assert!(office.is(200).body.starts_with(b"%PDF") && office.body == lab.is(200).body);
}

#[tokio::test]
async fn the_history_shows_the_newest_entries_and_folds_the_older_ones() {
    let (scene, things) = Scene::at_the_lab().await;
    let moved = [("moved_to", "shelf 3")];
    let moved = scene.record(&scene.tom, &things.bite, "move", &moved);
    moved.await.is(303);
    let page = scene.dora.get(&scene.at("/history")).await;
    let (all, folded) = (page.count("td.due"), page.count("details td.due"));
    assert_eq!(all - folded, 4, "{}", page.text());
    assert!(folded > 1);
    page.sees(&format!(
        "{folded} earlier entries, back to Mon 2 Mar 2026 09:"
    ));
    // The newest stands outside the fold, and the first of all within.
    let text = page.text();
    let fold = text.find("earlier entries").expect("a fold");
    assert!(text.find("shelf 3").expect("the move") < fold);
    assert!(text.rfind("registered, at the office").expect("the first") > fold);
    // A case with few entries has them all in sight.
    let few = Scene::signed().await;
    let page = few.dora.get(&few.at("/history")).await;
    assert_eq!(page.count("details td.due"), 0);
    assert!(page.count("td.due") > 0);
}

#[tokio::test]
async fn the_history_tells_where_an_item_was_at_a_moment() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.world.pass_minutes(10);
    scene.release(&scene.dora, &[&bite], &[]).await.is(303);
    scene.world.pass_minutes(15);
    scene
        .receive(&scene.tom, &[(&bite, "sound")], &[])
        .await
        .is(303);
    // The world began on 2 March 2026 at 8 UTC: 9 o'clock in Vienna.
    let at = |time: &str| scene.at(&format!("/history?day=2026-03-02&time={time}"));
    scene
        .tom
        .get(&at("08:59"))
        .await
        .is(200)
        .sees("No item was registered by then.");
    scene
        .tom
        .get(&at("09:05"))
        .await
        .sees("Bite record Northgate Dental")
        .sees_not("Handed over to");
    scene
        .tom
        .get(&at("09:10"))
        .await
        .sees("Bite record on the way to Kiln Laboratory")
        .sees_not("Received");
    scene
        .tom
        .get(&at("09:25"))
        .await
        .sees("Bite record Kiln Laboratory");
    scene
        .tom
        .get(&scene.at("/history?day=2026-03-02"))
        .await
        .sees("Bite record Kiln Laboratory");
    scene
        .tom
        .get(&scene.at("/history?day=2026-03-01"))
        .await
        .sees("No item was registered by then.");
}

#[tokio::test]
async fn a_moment_that_cannot_be_read_is_told_beside_the_boxes() {
    let scene = Scene::signed().await;
    for (day, time) in [
        ("yesterday", ""),
        ("2026-02-30", ""),
        ("2026-03-02", "25:00"),
        ("2026-03-02", "noon"),
        ("2026-03-02", "9:"),
        ("99999-01-01", ""),
    ] {
        let page = scene
            .tom
            .get(&scene.at(&format!("/history?day={day}&time={time}")))
            .await;
        page.is(422);
        assert_eq!(
            (
                page.attribute("#day", "value").as_str(),
                page.count("main .message")
            ),
            (day, 1)
        );
    }
}

#[tokio::test]
async fn a_clock_that_goes_back_enters_nothing_out_of_order() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.world.pass_minutes(-5);
    scene
        .record(&scene.dora, &bite, "destroy", &[("how", "broken")])
        .await
        .is(409)
        .sees("check the day and the time, or the clock of this computer");
}

#[tokio::test]
async fn an_entry_posted_twice_is_one_entry() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let path = format!("/items/{bite}/record");
    let fields = [
        ("post_key", "record-key-001"),
        ("action", "disinfect"),
        ("agent", "sample agent"),
        ("dilution", "1:10"),
        ("minutes", "10"),
    ];
    let (one, other) = tokio::join!(
        scene.dora.post(&path, &fields),
        scene.dora.post(&path, &fields)
    );
    one.is(303);
    other.is(303);
    let words = scene.tom.get(&format!("/items/{bite}")).await.words();
    assert_eq!(
        words.matches(" disinfected sample agent").count(),
        1,
        "{words}"
    );
}

#[tokio::test]
async fn of_two_who_receive_at_the_same_moment_one_does() {
    let (scene, bite, impression) = on_the_way().await;
    let path = scene.handoff(&scene.mara).await;
    let mut form = scene.mara.get(&path).await.form(&path, &path, "");
    for tag in [&bite, &impression] {
        form.insert(format!("{tag}.outcome"), "sound".to_owned());
        form.insert(format!("{tag}.marked"), "yes".to_owned());
        form.insert(format!("{tag}.here"), "yes".to_owned());
    }
    let fields: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    let (one, other) = tokio::join!(
        scene.tom.post(&path, &fields),
        scene.mara.post(&path, &fields)
    );
    let mut statuses = [one.status.as_u16(), other.status.as_u16()];
    statuses.sort_unstable();
    assert_eq!(statuses, [303, 409]);
    let words = scene.dora.get(&scene.at("/history")).await.words();
    assert_eq!(words.matches("Received at the lab").count(), 1, "{words}");
    let mine = if one.status == 303 {
        &scene.tom
    } else {
        &scene.mara
    };
    mine.post(&path, &fields).await.is(303);
}

#[tokio::test]
async fn a_note_that_looks_personal_is_taken_only_after_a_second_look() {
    let scene = Scene::opened().await;
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "bite_record"),
        ("place", "here"),
        ("note", "for Mrs. Brown"),
    ];
    let back = scene.anna.send(&page, &page, &fields).await;
    back.is(422)
        .sees("name patients by code only")
        .sees("they name nobody");
    assert_eq!(
        back.attribute("input[name=\"note\"]", "value"),
        "for Mrs. Brown"
    );
    let ticked: Vec<_> = fields
        .into_iter()
        .chain([("names_nobody", "yes")])
        .collect();
    scene.anna.send(&page, &page, &ticked).await.is(303);
}
