//! The chain from hand to hand: boxes and seals, what is found wrong and who settles it, entries from paper,
//! what is made from what, and the end of a case. A letter and a number before a name is the property of a
//! chain of custody that the story stands for.

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::{SPARE, Scene, last_part};

/// Bite record and impression leave in two sealed boxes.
async fn two_boxes() -> (Scene, String, String) {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let impression = scene.add(&scene.dora, "impression", "lower", "here").await;
    let in_second = format!("{impression}.box");
    let more = [
        ("box.1.seal", "A-17"),
        ("box.1.hard", "yes"),
        ("box.2.seal", "A-18"),
        ("box.2.moist", "yes"),
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
        (format!("box.{number}.seal"), seal),
        (format!("box.{number}.number"), read),
    ]
}

fn pairs<'a>(fields: &'a [(String, &'a str)]) -> Vec<(&'a str, &'a str)> {
    fields
        .iter()
        .map(|(key, text)| (key.as_str(), *text))
        .collect()
}

/// Time goes by, and everybody looks at a page now and then.
pub async fn wait(scene: &Scene, minutes: i64) {
    for _ in 0..minutes / 10 {
        scene.world.pass_minutes(10);
        for who in [&scene.dora, &scene.anna, &scene.tom, &scene.mara] {
            who.get("/").await.is(200);
        }
    }
}

/// Signs the first statement that this person has to make.
async fn settle(scene: &Scene, who: &Visitor, fields: &[(&str, &str)]) -> Answer {
    let page = scene.at("/settle");
    let mut all = vec![
        ("reason", "the strip tore while packing"),
        ("done", "the contents were whole, go on"),
        ("password", PASSWORD),
    ];
    all.extend(fields);
    who.send(&page, &page, &all).await
}

#[tokio::test]
async fn c14_some_boxes_come_later_and_what_is_in_them_stays_on_the_way() {
    let (scene, bite, impression) = two_boxes().await;
    let page = scene.tom.get(&scene.handoff(&scene.tom).await).await;
    page.sees("Box 1 of 2").sees("Box 2 of 2").sees_not("A-17");
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
        .sees("1 box not here yet")
        .sees_not("Held:");
    scene
        .tom
        .get(&format!("/items/{impression}"))
        .await
        .sees("on the way to Kiln Laboratory");
    scene
        .tom
        .get("/")
        .await
        .sees("the lab: receive what is on the way");
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
        (("", ""), ("intact", "A-18"), "box.1.seal"),
        (("intact", ""), ("intact", "A-18"), "box.1.number"),
        (("melted", "A-17"), ("intact", "A-18"), "box.1.seal"),
    ] {
        let boxes = [
            box_found(1, first.0, first.1),
            box_found(2, second.0, second.1),
        ]
        .concat();
        let answer = scene.receive(&scene.tom, &both, &pairs(&boxes)).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
        assert_eq!(
            answer.attribute("input[name=\"box.2.number\"]", "value"),
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
    let in_fifth = format!("{cast}.box");
    for (more, wrong) in [
        (("box.2.seal", "B-2"), "box.2.seal"),
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
    for who in [&scene.dora, &scene.tom] {
        who.get("/")
            .await
            .sees("Held: The seal of box 1 was broken")
            .sees("the office: settle what was found wrong");
        who.get(&scene.at(""))
            .await
            .sees("Northgate Dental has to answer.");
    }
    // What came in that box waits, the other box does not.
    let into = [("into", "the mounting")];
    scene
        .record(&scene.tom, &bite, "use_up", &into)
        .await
        .is(409)
        .sees("is on hold: The seal of box 1 was broken");
    scene
        .record(&scene.tom, &impression, "use_up", &into)
        .await
        .is(303);
    // The lab reads it and has nothing to sign; a forged statement of the lab is refused.
    let page = scene.tom.get(&scene.at("/settle")).await;
    assert_eq!(page.count("input[name=hold]"), 0);
    let hold = scene
        .dora
        .get(&scene.at("/settle"))
        .await
        .sees("I state for my house how this came about")
        .attribute("input[name=hold]", "value");
    let forged = [
        ("post_key", "settle-key-001"),
        ("hold", hold.as_str()),
        ("reason", "never mind"),
        ("done", "nothing"),
        ("password", PASSWORD),
    ];
    scene
        .tom
        .post(&scene.at("/settle"), &forged)
        .await
        .is(409)
        .sees("The dental office packed it, so its people settle this.");
    for (wrong, text) in [
        ("reason", " "),
        ("done", ""),
        ("password", "wrong"),
        ("password", ""),
    ] {
        let answer = settle(&scene, &scene.dora, &[(wrong, text)]).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
    }
    settle(&scene, &scene.dora, &[]).await.is(303);
    scene.tom.get("/").await.sees_not("Held:");
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Settled: the seal was broken")
        .sees("What is done: the contents were whole, go on")
        .sees("Signed by dora, licence D-7001");
    scene
        .record(&scene.tom, &bite, "use_up", &into)
        .await
        .is(303);
    // Nothing is settled twice.
    scene
        .dora
        .post(&scene.at("/settle"), &forged)
        .await
        .is(409)
        .sees("This has been settled already.");
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
        ("foreign".to_owned(), "T12-345-67X"),
    ]);
    let both = [(bite.as_str(), "sound"), (impression.as_str(), "sound")];
    scene
        .receive(&scene.tom, &both, &pairs(&boxes))
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at("/settle"))
        .await
        .sees("Something came along that was not announced")
        .sees("T12-345-67X: a tray with an impression");
    settle(&scene, &scene.anna, &[]).await.is(303);
    scene.dora.get(&scene.at("")).await.sees_not("Held:");
}

#[tokio::test]
async fn c03_pieces_are_counted_out_and_in_and_another_number_is_settled() {
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
    settle(&scene, &scene.dora, &[]).await.is(303);
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
async fn a_handoff_that_never_left_is_taken_back_and_can_be_made_anew() {
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
        .sees("I state that these items never left our house.");
    back(&scene.dora, " ", PASSWORD)
        .await
        .is(422)
        .sees("Say why it never left.");
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
        .sees("Taken back, it never left");
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
    let none = [("agent", ""), ("dilution", ""), ("minutes", "")];
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
    for page in [scene.at("/history"), format!("/items/{bite}")] {
        scene
            .tom
            .get(&page)
            .await
            .sees("2026-03-02 10:05 +01:00 late entry")
            .sees("Late entry, written down on 2026-03-02 11:30 +01:00.")
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

#[tokio::test]
async fn c16_c17_what_is_made_keeps_its_line_and_its_place_in_the_house() {
    let (scene, things) = Scene::at_the_lab().await;
    let page = scene.at("/items/new");
    let from = format!("{}.from", things.provisional);
    let fields = [
        ("item_kind", "cast"),
        ("arch", "upper"),
        ("place", "here"),
        (from.as_str(), "yes"),
        ("made_how", "poured"),
        ("material", "type 3 gypsum"),
        ("lot", "G-118"),
        ("maker", "an apprentice"),
    ];
    let absurd: Vec<_> = fields
        .iter()
        .copied()
        .chain([("pot_minutes", "a while")])
        .collect();
    let answer = scene.tom.send(&page, &page, &absurd).await;
    assert_eq!(
        answer.is(422).attribute("[aria-invalid]", "name"),
        "pot_minutes"
    );
    let cast = last_part(&scene.tom.send(&page, &page, &fields).await);
    scene
        .dora
        .get(&format!("/items/{cast}"))
        .await
        .sees("What it was made from")
        .sees("Provisional denture, upper")
        .sees("Material: type 3 gypsum, lot G-118");
    scene
        .dora
        .get(&format!("/items/{}", things.provisional))
        .await
        .sees("What became of it")
        .sees("Master cast, upper");
    // The office cannot make anything from what lies at the lab.
    let cast_again = [
        ("item_kind", "duplicate"),
        ("arch", "upper"),
        ("place", "here"),
        (from.as_str(), "yes"),
    ];
    scene
        .dora
        .send(&page, &page, &cast_again)
        .await
        .is(409)
        .sees("is not in your hands");
    scene
        .record(&scene.tom, &cast, "move", &[("moved_to", " ")])
        .await
        .is(422);
    scene
        .record(&scene.tom, &cast, "move", &[("moved_to", "shelf 4")])
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("Kiln Laboratory, shelf 4");
    let used = [
        ("into", "broken out of the flask"),
        ("into_item", things.bite.as_str()),
    ];
    scene
        .record(&scene.tom, &cast, "use_up", &used)
        .await
        .is(303);
    scene
        .tom
        .get(&format!("/items/{cast}"))
        .await
        .sees("What became of it")
        .sees("Bite record");
}

#[tokio::test]
async fn c20_an_items_page_counts_the_hands_it_went_through() {
    let (scene, things) = Scene::at_the_lab().await;
    scene
        .dora
        .get(&format!("/items/{}", things.bite))
        .await
        .sees("1 handoff(s), 2 people: anna, Northgate Dental; tom, Kiln Laboratory.");
}

#[tokio::test]
async fn what_is_lent_is_called_back_when_its_day_has_come() {
    let scene = Scene::signed().await;
    let page = scene.at("/items/new");
    let lent = |borrowed, due| {
        [
            ("item_kind", "facebow_record"),
            ("place", "here"),
            ("borrowed", borrowed),
            ("due_back", due),
        ]
    };
    for fields in [lent("", "2026-03-03"), lent("yes", "soon")] {
        let answer = scene.dora.send(&page, &page, &fields).await;
        assert_eq!(
            answer.is(422).attribute("[aria-invalid]", "name"),
            "due_back"
        );
    }
    let jig = last_part(
        &scene
            .dora
            .send(&page, &page, &lent("yes", "2026-03-02"))
            .await,
    );
    scene.dora.get("/").await.sees_not("Lent, due back");
    scene.release(&scene.anna, &[&jig], &[]).await.is(303);
    scene
        .receive(&scene.tom, &[(&jig, "sound")], &[])
        .await
        .is(303);
    for who in [&scene.dora, &scene.tom] {
        who.get("/").await.sees("Lent, due back 2026-03-02 — late");
        who.get(&scene.at(""))
            .await
            .sees("was due back on 2026-03-02: Kiln Laboratory sends it back.");
    }
    scene.release(&scene.tom, &[&jig], &[]).await.is(303);
    scene
        .receive(&scene.anna, &[(&jig, "sound")], &[])
        .await
        .is(303);
    scene.dora.get("/").await.sees_not("Lent, due back");
}

/// The upper final is in the mouth; the duplicate and everything else of the office lie there.
async fn final_fitted() -> (Scene, crate::scene::Things, String) {
    let (scene, things) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let back = [last.as_str(), &things.provisional, &things.bite];
    scene.release(&scene.tom, &back, &[]).await.is(303);
    scene
        .receive(&scene.anna, &back.map(|tag| (tag, "sound")), &[])
        .await
        .is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    (scene, things, last)
}

#[tokio::test]
async fn the_mouth_has_its_line_its_spare_and_its_checks() {
    let (scene, things, _) = final_fitted().await;
    let page = scene.dora.get(&scene.at("/mouth")).await;
    page.sees("Worn over time, upper")
        .sees("not known")
        .sees("becomes the spare: mark it, put it in water")
        .sees("24 hours 2026-03-03, one week 2026-03-09, one month 2026-04-02");
    let missing: Vec<_> = SPARE[..2].to_vec();
    scene
        .record(&scene.dora, &things.duplicate, "give", &missing)
        .await
        .is(422);
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("marked “spare, 2026-03”, kept in water: a closed cup at home, by the patient");
    // The checks are the office's matter.
    scene.tom.get(&scene.at("")).await.sees_not("24 hours");
}

#[tokio::test]
async fn c18_a_case_is_closed_with_an_end_for_every_item_and_opened_again_with_a_reason() {
    let (scene, things, _) = final_fitted().await;
    let page = scene.at("/close");
    let close = async |password: &str| {
        let fields = [
            ("post_key", "close-key-00001"),
            ("note", ""),
            ("password", password),
        ];
        scene.dora.post(&page, &fields).await
    };
    let cast = scene.add(&scene.tom, "duplicate", "lower", "here").await;
    scene
        .dora
        .get(&page)
        .await
        .sees("It stays open until every item has its end")
        .sees("it belongs to the office or the patient");
    close(PASSWORD)
        .await
        .is(409)
        .sees("it belongs to the office or the patient");
    scene
        .record(&scene.tom, &cast, "destroy", &[("how", "not needed")])
        .await
        .is(303);
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(303);
    scene
        .dora
        .get(&page)
        .await
        .sees("in the patient's mouth")
        .sees("with the patient as the spare")
        .sees("I state that every item of this case is where this entry says it is");
    close("wrong").await.is(422);
    scene.tom.get(&page).await.is(403);
    close(PASSWORD).await.is(303);
    // Closed, it leaves the first page and refuses all but corrections.
    scene.dora.get("/").await.sees_not("final upper");
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Case closed")
        .sees("Final denture, upper");
    let note = [
        ("action", "move"),
        ("post_key", "record-key-001"),
        ("moved_to", "shelf"),
    ];
    scene
        .dora
        .post(&format!("/items/{}/record", things.bite), &note)
        .await
        .is(409)
        .sees("The case is closed");
    scene.dora.get(&scene.at("/write")).await;
    scene
        .dora
        .get(&scene.at("/sign"))
        .await
        .is(409)
        .sees("The case is closed");
    let reopen = async |reason: &str| {
        let fields = [("post_key", "reopen-key-0001"), ("reason", reason)];
        scene.dora.post(&scene.at("/reopen"), &fields).await
    };
    scene.dora.get(&page).await.sees("Open it again");
    reopen("").await.is(422);
    reopen("a sore spot").await.is(303);
    reopen("again").await.is(409);
    scene
        .record(&scene.dora, &things.bite, "move", &[("moved_to", "shelf")])
        .await
        .is(303);
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
