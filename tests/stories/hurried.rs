//! What hurried people do with gloves on: click twice, mistype a password, come second, leave a page open.
//! Nothing that they typed is lost, and they are told what stands against it.

use crate::common::{PASSWORD, Visitor};
use crate::scene::Scene;

/// The bite record and an impression are on the way to the lab.
async fn on_the_way() -> (Scene, String, String) {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let impression = scene.add(&scene.dora, "impression", "lower", "here").await;
    let both = [bite.as_str(), &impression];
    scene.release(&scene.anna, &both, &[]).await.is(303);
    (scene, bite, impression)
}

/// The form of a page as this person has it open, with fields filled in.
async fn left_open(
    who: &Visitor,
    page: &str,
    (action, within): (&str, &str),
    fields: &[(&str, &str)],
) -> Vec<(String, String)> {
    let mut form = who.get(page).await.form(page, action, within);
    for (key, text) in fields {
        form.insert((*key).to_owned(), (*text).to_owned());
    }
    form.into_iter().collect()
}

fn pairs(form: &[(String, String)]) -> Vec<(&str, &str)> {
    form.iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect()
}

#[tokio::test]
async fn after_too_many_wrong_passwords_the_form_stays_filled_in() {
    let (scene, bite, impression) = on_the_way().await;
    let found = [(bite.as_str(), "damaged"), (impression.as_str(), "sound")];
    let note = format!("{bite}.note");
    let more = [(note.as_str(), "one key is off"), ("password", "wrong")];
    for status in [422, 422, 422, 422, 422, 429] {
        let answer = scene.receive(&scene.tom, &found, &more).await;
        let wrong = answer.is(status).attribute("[aria-invalid]", "name");
        assert_eq!(wrong, "password");
        let kept = answer.attribute(&format!("input[name=\"{note}\"]"), "value");
        assert_eq!(kept, "one key is off");
    }
    let right = [more[0], ("password", PASSWORD)];
    scene
        .receive(&scene.tom, &found, &right)
        .await
        .is(429)
        .sees("try again in 1 minute.");
    scene.world.pass_minutes(2);
    scene.receive(&scene.tom, &found, &right).await.is(303);
}

#[tokio::test]
async fn the_second_of_two_receivers_keeps_what_was_typed() {
    let (scene, bite, impression) = on_the_way().await;
    let path = scene.handoff(&scene.mara).await;
    let keys = [
        format!("{bite}.outcome"),
        format!("{bite}.note"),
        format!("{impression}.outcome"),
    ];
    let fields = [
        (keys[0].as_str(), "damaged"),
        (keys[1].as_str(), "one key is off"),
        (keys[2].as_str(), "sound"),
        ("unannounced", "a second tray"),
    ];
    let form = left_open(&scene.mara, &path, (&path, ""), &fields).await;
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene
        .mara
        .post(&path, &pairs(&form))
        .await
        .is(409)
        .sees("tom has received this on")
        .sees("What you typed, to copy")
        .sees("damaged")
        .sees("one key is off")
        .sees("a second tray");
    scene
        .mara
        .get(&path)
        .await
        .sees_not("What you typed, to copy");
}

#[tokio::test]
async fn who_receives_what_was_taken_back_meanwhile_is_told_what_to_do() {
    let (scene, bite, _) = on_the_way().await;
    let path = scene.handoff(&scene.tom).await;
    let (outcome, note) = (format!("{bite}.outcome"), format!("{bite}.note"));
    let fields = [(outcome.as_str(), "sound"), (note.as_str(), "came by hand")];
    let form = left_open(&scene.tom, &path, (&path, ""), &fields).await;
    let back = [
        ("post_key", "take-back-key-1"),
        ("reason", "no courier came"),
        ("password", PASSWORD),
    ];
    let action = format!("{path}/take-back");
    scene.anna.post(&action, &back).await.is(303);
    scene
        .tom
        .post(&path, &pairs(&form))
        .await
        .is(409)
        .sees("anna has taken this back on")
        .sees("ask them to hand it over again")
        .sees("came by hand");
}

#[tokio::test]
async fn a_change_on_what_has_ended_meanwhile_is_refused_with_its_reason_and_kept() {
    let scene = Scene::signed().await;
    let cast = scene.add(&scene.tom, "cast", "lower", "here").await;
    let (page, action) = (format!("/items/{cast}"), format!("/items/{cast}/record"));
    let fields = [("moved_to", "shelf 4 by the window")];
    let form = left_open(&scene.mara, &page, (&action, "value=\"move\""), &fields).await;
    let how = [("how", "dropped on the floor")];
    scene
        .record(&scene.tom, &cast, "destroy", &how)
        .await
        .is(303);
    scene
        .mara
        .post(&action, &pairs(&form))
        .await
        .is(409)
        .sees("nothing can happen to it any more")
        .sees("dropped on the floor")
        .sees("shelf 4 by the window");
}

#[tokio::test]
async fn of_two_who_resolve_the_second_keeps_the_statement() {
    let (scene, bite, impression) = on_the_way().await;
    let found = [(bite.as_str(), "missing"), (impression.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    let page = scene.at("/holds");
    let fields = [
        ("reason", "left on the bench"),
        ("done", "it follows today"),
        ("password", PASSWORD),
    ];
    let form = left_open(&scene.anna, &page, (&page, ""), &fields).await;
    let other = [("reason", "x"), ("done", "y"), ("password", PASSWORD)];
    scene.dora.send(&page, &page, &other).await.is(303);
    scene
        .anna
        .post(&page, &pairs(&form))
        .await
        .is(409)
        .sees("This has been resolved already.")
        .sees("left on the bench")
        .sees("it follows today");
}

#[tokio::test]
async fn many_holds_of_one_side_take_no_form_from_the_other() {
    let scene = Scene::signed().await;
    let mut casts = Vec::new();
    for _ in 0..9 {
        casts.push(scene.add(&scene.dora, "cast", "lower", "here").await);
    }
    let tags: Vec<&str> = casts.iter().map(String::as_str).collect();
    scene.release(&scene.anna, &tags, &[]).await.is(303);
    let notes: Vec<String> = casts.iter().map(|tag| format!("{tag}.note")).collect();
    let more: Vec<(&str, &str)> = notes.iter().map(|key| (key.as_str(), "chipped")).collect();
    let found: Vec<(&str, &str)> = tags.iter().map(|tag| (*tag, "damaged")).collect();
    scene.receive(&scene.tom, &found, &more).await.is(303);
    let leaves = format!("{}.condition", tags[0]);
    let chipped = [(leaves.as_str(), "chipped")];
    scene
        .release(&scene.tom, &tags[..1], &chipped)
        .await
        .is(303);
    scene
        .receive(&scene.dora, &found[..1], &more[..1])
        .await
        .is(303);
    let page = scene.at("/holds");
    // Nine of the office, of which eight fit on the page, and one of the lab.
    let office = scene.dora.get(&page).await;
    assert_eq!(office.count("input[name=hold]"), 8);
    office.sees("can be signed when those above are resolved");
    let lab = scene.tom.get(&page).await;
    assert_eq!(lab.count("input[name=hold]"), 1);
    lab.sees_not("can be signed when those above are resolved");
    let fields = [
        ("reason", "it fell"),
        ("done", "a new one is poured"),
        ("password", PASSWORD),
    ];
    scene.tom.send(&page, &page, &fields).await.is(303);
}

#[tokio::test]
async fn a_late_entry_with_a_wrong_year_is_not_taken() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let page = scene.at("/items/new");
    let late = |day| {
        [
            ("item_kind", "cast"),
            ("arch", "lower"),
            ("place", "here"),
            ("note", "stone"),
            ("late_day", day),
            ("late_time", "08:00"),
            ("late_name", "J. Field"),
        ]
    };
    // A year too few is a slip of the pen that no later entry could take back.
    let answer = scene.anna.send(&page, &page, &late("2025-02-27")).await;
    answer
        .is(409)
        .sees("Thu 27 Feb 2025 08:00 +01:00 is more than a year before this entry");
    assert_eq!(answer.attribute("input[name=note]", "value"), "stone");
    scene
        .anna
        .send(&page, &page, &late("2026-02-27"))
        .await
        .is(303);
    let shelf = [("moved_to", "drawer"), ("late_day", "2026-03-02")];
    let early = [
        shelf.as_slice(),
        &[("late_time", "08:30"), ("late_name", "J. Field")],
    ]
    .concat();
    scene
        .record(&scene.anna, &bite, "move", &early)
        .await
        .is(409)
        .sees("check the day and the time");
}

#[tokio::test]
async fn whoever_clicks_twice_is_told_of_it_only_when_it_is_kept() {
    let scene = Scene::signed().await;
    let page = scene.at("/release");
    for round in 0..4 {
        let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
        let take = format!("{bite}.take");
        let fields = [
            (take.as_str(), "yes"),
            ("agent", "sample agent"),
            ("dilution", "1:10"),
            ("minutes", "10"),
            ("carrier", "a courier"),
            ("purpose_code", "make"),
        ];
        let form = left_open(&scene.anna, &page, (&page, ""), &fields).await;
        let form = pairs(&form);
        // Each looks at once, in the database and past every cache.
        let click = async || {
            scene.anna.post(&page, &form).await.is(303);
            let page = scene.tom.get(&scene.at("")).await;
            page.count(".of-case a[href^=\"/handoffs/\"]")
        };
        let seen = tokio::join!(click(), click(), click());
        assert_eq!(seen, (round + 1, round + 1, round + 1));
    }
}
