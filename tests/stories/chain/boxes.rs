//! Boxes, seals and pieces: what comes later, what is broken, what is too much.

use super::resolve;
use crate::common::PASSWORD;
use crate::scene::{Scene, last_part};

/// Bite record and impression leave in two sealed boxes.
async fn two_boxes() -> (Scene, String, String) {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let impression = scene.add(&scene.dora, "impression", "lower", "here").await;
    let in_second = format!("{impression}.parcel");
    let more = [
        ("parcel.1.seal", "A-17"),
        ("parcel.1.hard", "yes"),
        ("parcel.2.seal", "A-18"),
        ("parcel.2.moist", "yes"),
        (in_second.as_str(), "2"),
    ];
    scene
        .release(&scene.anna, &[&bite, &impression], &more)
        .await
        .is(303);
    (scene, bite, impression)
}

/// One box of two, with the seal as it is read.
fn box_found<'a>(number: u32, seal: &'a str, read: &'a str) -> [(String, &'a str); 2] {
    [
        (format!("parcel.{number}.seal"), seal),
        (format!("parcel.{number}.number"), read),
    ]
}

fn pairs<'a>(fields: &'a [(String, &'a str)]) -> Vec<(&'a str, &'a str)> {
    fields
        .iter()
        .map(|(key, text)| (key.as_str(), *text))
        .collect()
}

#[tokio::test]
async fn c14_some_boxes_come_later_and_what_is_in_them_stays_on_the_way() {
    let (scene, bite, impression) = two_boxes().await;
    let page = scene.tom.get(&scene.handoff(&scene.tom).await).await;
    page.sees("Parcel 1 of 2")
        .sees("Parcel 2 of 2")
        .sees_not("A-17");
    let boxes = [box_found(1, "intact", "a 17"), box_found(2, "not_here", "")].concat();
    let found = [(bite.as_str(), "sound")];
    scene
        .receive(&scene.tom, &found, &pairs(&boxes))
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("1 parcel not here yet")
        .sees_not("Held:");
    scene
        .tom
        .get(&format!("/items/{impression}"))
        .await
        .sees("on the way to Kiln Laboratory");
    scene.tom.get("/").await.sees("Check in the parcel");
    // The second receipt takes the rest.
    let rest = box_found(2, "intact", "A-18");
    scene
        .receive(&scene.mara, &[(&impression, "sound")], &pairs(&rest))
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("Received at Kiln Laboratory: 2 items");
}

#[tokio::test]
async fn c03_what_is_said_of_boxes_must_fit_and_stays_typed() {
    let (scene, bite, impression) = two_boxes().await;
    let both = [(bite.as_str(), "sound"), (impression.as_str(), "sound")];
    for (first, second, wrong) in [
        (("", ""), ("intact", "A-18"), "parcel.1.seal"),
        (("intact", ""), ("intact", "A-18"), "parcel.1.number"),
        (("melted", "A-17"), ("intact", "A-18"), "parcel.1.seal"),
    ] {
        let boxes = [
            box_found(1, first.0, first.1),
            box_found(2, second.0, second.1),
        ]
        .concat();
        let answer = scene.receive(&scene.tom, &both, &pairs(&boxes)).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
        assert_eq!(
            answer.attribute("input[name=\"parcel.2.number\"]", "value"),
            "A-18"
        );
    }
    let none = [box_found(1, "not_here", ""), box_found(2, "not_here", "")].concat();
    scene
        .receive(&scene.tom, &both, &pairs(&none))
        .await
        .is(409)
        .sees("there is nothing to receive");
    // A release with a box that nothing lies in, and an item in a box that is not there.
    let cast = scene.add(&scene.tom, "cast", "lower", "here").await;
    let in_fifth = format!("{cast}.parcel");
    for (more, wrong) in [
        (("parcel.2.seal", "B-2"), "parcel.2.seal"),
        ((in_fifth.as_str(), "5"), in_fifth.as_str()),
    ] {
        let answer = scene.release(&scene.tom, &[&cast], &[more]).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
    }
}

#[tokio::test]
async fn c11_c15_a_broken_seal_holds_the_work_until_the_sender_has_signed_a_statement() {
    let (scene, bite, impression) = two_boxes().await;
    let boxes = [
        box_found(1, "broken", "A-17"),
        box_found(2, "intact", "A-18"),
    ]
    .concat();
    let both = [(bite.as_str(), "sound"), (impression.as_str(), "sound")];
    scene
        .receive(&scene.tom, &both, &pairs(&boxes))
        .await
        .is(303);
    for (who, to_do) in [
        (&scene.dora, "Answer the problem on arrival"),
        (&scene.tom, "Office: answer the problem on arrival"),
    ] {
        who.get("/")
            .await
            .sees("Held: The seal of parcel 1 was broken")
            .sees(to_do);
        who.get(&scene.at(""))
            .await
            .sees("Northgate Dental: sign a statement on it");
    }
    // What came in that box waits, the other box does not.
    let into = [("into", "the mounting")];
    scene
        .record(&scene.tom, &bite, "use_up", &into)
        .await
        .is(409)
        .sees("is on hold: The seal of parcel 1 was broken");
    scene
        .record(&scene.tom, &impression, "use_up", &into)
        .await
        .is(303);
    // The lab reads it and has nothing to sign; a forged statement of the lab is refused.
    let page = scene.tom.get(&scene.at("/holds")).await;
    assert_eq!(page.count("input[name=hold]"), 0);
    let hold = scene
        .dora
        .get(&scene.at("/holds"))
        .await
        .sees("I state for my house how this came about")
        .attribute("input[name=hold]", "value");
    let forged = [
        ("post_key", "resolve-key-001"),
        ("hold", hold.as_str()),
        ("reason", "never mind"),
        ("done", "nothing"),
        ("password", PASSWORD),
    ];
    scene
        .tom
        .post(&scene.at("/holds"), &forged)
        .await
        .is(409)
        .sees("The dental office packed it, so its people resolve this.");
    for (wrong, text) in [
        ("reason", " "),
        ("done", ""),
        ("password", "wrong"),
        ("password", ""),
    ] {
        let answer = resolve(&scene, &scene.dora, &[(wrong, text)]).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
    }
    resolve(&scene, &scene.dora, &[]).await.is(303);
    scene.tom.get("/").await.sees_not("Held:");
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Resolved: the seal was broken")
        .sees("What is done: the contents were whole, go on")
        .sees("Signed by dora, license D-7001");
    scene
        .record(&scene.tom, &bite, "use_up", &into)
        .await
        .is(303);
    // Nothing is resolved twice.
    scene
        .dora
        .post(&scene.at("/holds"), &forged)
        .await
        .is(409)
        .sees("This has been resolved already.");
}

#[tokio::test]
async fn c10_a_surplus_thing_is_told_with_its_code_and_the_sender_answers() {
    let (scene, bite, impression) = two_boxes().await;
    let mut boxes = [
        box_found(1, "intact", "A-17"),
        box_found(2, "intact", "A-18"),
    ]
    .concat();
    boxes.extend([
        ("unannounced".to_owned(), "a tray with an impression"),
        ("foreign".to_owned(), "T12-345-671"),
    ]);
    let both = [(bite.as_str(), "sound"), (impression.as_str(), "sound")];
    scene
        .receive(&scene.tom, &both, &pairs(&boxes))
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at("/holds"))
        .await
        .sees("An unlisted item was in the parcel")
        .sees("T12-345-671: a tray with an impression");
    resolve(&scene, &scene.anna, &[]).await.is(303);
    scene.dora.get(&scene.at("")).await.sees_not("Held:");
}

#[tokio::test]
async fn c03_pieces_are_counted_out_and_in_and_another_number_is_resolved() {
    let scene = Scene::signed().await;
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "implant_parts"),
        ("place", "here"),
        ("pieces", "4"),
    ];
    let parts = last_part(&scene.anna.send(&page, &page, &fields).await);
    let counted = format!("{parts}.pieces");
    let answer = scene.release(&scene.anna, &[&parts], &[]).await;
    assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), counted);
    scene
        .release(&scene.anna, &[&parts], &[(&counted, "4")])
        .await
        .is(303);
    let found = [(parts.as_str(), "sound")];
    let answer = scene.receive(&scene.tom, &found, &[]).await;
    assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), counted);
    scene
        .receive(&scene.tom, &found, &[(&counted, "3")])
        .await
        .is(303);
    scene
        .dora
        .get("/")
        .await
        .sees("Held: Implant parts: 4 pieces sent, 3 found");
    resolve(&scene, &scene.dora, &[]).await.is(303);
    // They come back and are given back, counted each time.
    scene
        .release(&scene.tom, &[&parts], &[(&counted, "3")])
        .await
        .is(303);
    scene
        .receive(&scene.anna, &found, &[(&counted, "3")])
        .await
        .is(303);
    for (pieces, status) in [("", 422), ("4", 409), ("3", 303)] {
        scene
            .record(&scene.anna, &parts, "give_back", &[("pieces", pieces)])
            .await
            .is(status);
    }
    scene
        .tom
        .get(&format!("/items/{parts}"))
        .await
        .sees("given back to the patient");
}

#[tokio::test]
async fn c14_the_note_for_the_box_is_the_same_file_for_both_sides_and_twice() {
    let (scene, _, _) = two_boxes().await;
    let note = format!("{}/note.pdf", scene.handoff(&scene.tom).await);
    let first = scene.dora.get(&note).await;
    assert_eq!(first.headers["content-type"], "application/pdf");
    assert_eq!(first.body, scene.dora.get(&note).await.body);
    assert_eq!(first.body, scene.tom.get(&note).await.body);
    scene.world.person("lars").get(&note).await.is(404);
    // What happens to the items afterwards changes nothing on it.
    let boxes = [box_found(1, "broken", "A-17"), box_found(2, "not_here", "")].concat();
    let page = scene.tom.get(&scene.handoff(&scene.tom).await).await;
    let keys = page.names("T");
    let bite = keys[0].split('.').next().unwrap_or_default();
    scene
        .receive(&scene.tom, &[(bite, "sound")], &pairs(&boxes))
        .await;
    assert_eq!(first.body, scene.tom.get(&note).await.body);
}
