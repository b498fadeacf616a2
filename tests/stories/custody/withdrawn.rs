//! An entry that was made by mistake is withdrawn on the item's page, by a password and with the mistake in words.

use crate::common::{PASSWORD, Visitor};
use crate::scene::Scene;
use vestibule::app::examine::examine;

const ACTION: &str = "Withdraw an entry made by mistake";

/// The entry of a thing that has these words, as the form chooses it.
async fn entry(who: &Visitor, tag: &str, words: &str) -> String {
    let page = who.get(&format!("/items/{tag}")).await;
    page.option_value("event", words)
}

#[tokio::test]
async fn c2_a_wrong_shelf_is_withdrawn_and_which_and_why_stand_in_the_history() {
    let (scene, things) = Scene::at_the_lab().await;
    let page = format!("/items/{}", things.bite);
    let spot = [("moved_to", "oven two")];
    scene
        .record(&scene.tom, &things.bite, "move", &spot)
        .await
        .is(303);
    let shown = scene.tom.get(&page).await;
    shown.sees(ACTION).sees("Kiln Laboratory, oven two");
    let moved = entry(&scene.tom, &things.bite, "oven two").await;
    // Which, why, and the password; what was typed stays.
    for (fields, said) in [
        (vec![("mistake", "the shelf")], "Choose the entry."),
        (vec![("event", moved.as_str())], "Say what the mistake was."),
        (
            vec![
                ("event", moved.as_str()),
                ("mistake", "the shelf"),
                ("password", "no such one"),
            ],
            "password",
        ),
    ] {
        let answer = scene
            .record(&scene.tom, &things.bite, "withdraw", &fields)
            .await;
        answer.is(422).sees(said);
        if fields.iter().any(|(key, _)| *key == "mistake") {
            assert!(answer.text().contains("the shelf"));
        }
    }
    // Sent twice by a hurried hand it is one entry; and somebody whose page is stale hears that it is done.
    let action = format!("{page}/record");
    let stale = scene
        .mara
        .get(&page)
        .await
        .form(&page, &action, "value=\"withdraw\"");
    let mut form = scene
        .tom
        .get(&page)
        .await
        .form(&page, &action, "value=\"withdraw\"");
    let filled = [
        ("event", moved.as_str()),
        ("mistake", "it is on the shelf"),
        ("password", PASSWORD),
    ];
    form.extend(filled.map(|(key, text)| (key.to_owned(), text.to_owned())));
    let fields: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    let before = scene.leaves().await.len();
    scene.tom.post(&action, &fields).await.is(303);
    scene.tom.post(&action, &fields).await.is(303);
    assert_eq!(scene.leaves().await.len(), before + 1);
    let mut late = stale;
    late.extend(filled.map(|(key, text)| (key.to_owned(), text.to_owned())));
    let fields: Vec<(&str, &str)> = late.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    scene
        .mara
        .post(&action, &fields)
        .await
        .is(409)
        .sees("This entry was withdrawn on");
    scene
        .tom
        .get(&page)
        .await
        .sees_not("Kiln Laboratory, oven two")
        .sees("the entry “put at its place” of")
        .sees("The mistake: it is on the shelf")
        .sees("Withdrawn as a mistake on");
    scene
        .anna
        .get(&scene.at("/history"))
        .await
        .sees("the entry “put at its place” of")
        .sees("put: oven two");
}

#[tokio::test]
async fn c2_a_receipt_by_mistake_is_withdrawn_unless_something_rests_on_it() {
    let (scene, things) = Scene::at_the_lab().await;
    let receipt = entry(&scene.tom, &things.bite, "Received at the lab").await;
    // The other house did not make it, and nobody offers it there.
    let mine = [("event", receipt.as_str()), ("mistake", "not here")];
    scene
        .record(&scene.anna, &things.bite, "withdraw", &mine)
        .await
        .is(409);
    let used = [("into", "the lower cast")];
    scene
        .record(&scene.tom, &things.bite, "use_up", &used)
        .await
        .is(303);
    scene
        .record(&scene.tom, &things.provisional, "withdraw", &mine)
        .await
        .is(409)
        .sees("Later entries rest on it")
        .sees("used up");
    let used = entry(&scene.tom, &things.bite, "used up").await;
    let mistake = [("event", used.as_str()), ("mistake", "another cast")];
    scene
        .record(&scene.tom, &things.bite, "withdraw", &mistake)
        .await
        .is(303);
    scene
        .record(&scene.tom, &things.provisional, "withdraw", &mine)
        .await
        .is(303);
    scene
        .anna
        .get(&format!("/items/{}", things.bite))
        .await
        .sees("on the way");
    // It comes after all.
    let handoff = scene.handoff(&scene.tom).await;
    scene.tom.get(&handoff).await.is(200);
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

#[tokio::test]
async fn c2_what_was_registered_by_mistake_is_nowhere_offered_and_goes_with_the_case() {
    let scene = Scene::signed().await;
    let twice = scene.add(&scene.dora, "bite_record", "", "here").await;
    let registered = entry(&scene.dora, &twice, "registered").await;
    let mistake = [
        ("event", registered.as_str()),
        ("mistake", "registered twice"),
    ];
    scene
        .record(&scene.dora, &twice, "withdraw", &mistake)
        .await
        .is(303);
    let page = scene.dora.get(&format!("/items/{twice}")).await;
    page.sees("registered by mistake")
        .sees("Nothing can happen to it any more.")
        .sees_not("Print its label");
    scene
        .dora
        .get(&scene.at("/release"))
        .await
        .sees("Nothing can be handed over now");
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
    for path in ["", "/history", "/labels", "/close", "/write"] {
        scene.dora.get(&scene.at(path)).await.is(200);
    }
}
