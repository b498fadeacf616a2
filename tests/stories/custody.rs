//! Items on their way: what leaves, who has it, what came back, and what the patient wears meanwhile.

use crate::common::PASSWORD;
use crate::scene::{LEAST, SPARE, Scene, last_part, open_case};
use vestibule::app::examine::examine;

#[tokio::test]
async fn a_whole_set_is_registered_and_each_item_has_its_tag_and_place() {
    let scene = Scene::opened().await;
    for (kind, arch, place, words) in [
        ("provisional", "upper", "worn", "in the patient's mouth"),
        ("provisional", "lower", "worn", "in the patient's mouth"),
        ("duplicate", "upper", "here", "Northgate Dental"),
        ("duplicate", "lower", "here", "Northgate Dental"),
        ("bite_record", "", "here", "Northgate Dental"),
    ] {
        let tag = scene.add(&scene.anna, kind, arch, place).await;
        scene
            .tom
            .get(&format!("/items/{tag}"))
            .await
            .is(200)
            .sees(words);
    }
    let page = scene.tom.get(&scene.at("")).await;
    page.sees("In the mouth now upper Provisional denture T");
    assert_eq!(listed(&page), 5);
}

/// How many items the case's list has; the ribbon's table tells of them again.
fn listed(page: &crate::common::Answer) -> usize {
    let rows = "th a[href^=\"/items/\"]";
    page.count(rows) - page.count(&format!("details {rows}"))
}

#[tokio::test]
async fn an_item_that_makes_no_sense_is_not_registered_and_stays_typed() {
    let scene = Scene::opened().await;
    let page = scene.at("/items/new");
    let long = "x".repeat(301);
    for (fields, wrong) in [
        (
            [
                ("item_kind", ""),
                ("arch", "upper"),
                ("pieces", "1"),
                ("note", "n"),
            ],
            "item_kind",
        ),
        (
            [
                ("item_kind", "duplicate"),
                ("arch", ""),
                ("pieces", "1"),
                ("note", "n"),
            ],
            "arch",
        ),
        (
            [
                ("item_kind", "cast"),
                ("arch", "middle"),
                ("pieces", "1"),
                ("note", "n"),
            ],
            "arch",
        ),
        (
            [
                ("item_kind", "bite_record"),
                ("arch", ""),
                ("pieces", "0"),
                ("note", "n"),
            ],
            "pieces",
        ),
        (
            [
                ("item_kind", "bite_record"),
                ("arch", ""),
                ("pieces", "100"),
                ("note", "n"),
            ],
            "pieces",
        ),
        (
            [
                ("item_kind", "bite_record"),
                ("arch", ""),
                ("pieces", "a few"),
                ("note", "n"),
            ],
            "pieces",
        ),
        (
            [
                ("item_kind", "bite_record"),
                ("arch", ""),
                ("pieces", "1"),
                ("note", &long),
            ],
            "note",
        ),
    ] {
        let answer = scene.dora.send(&page, &page, &fields).await;
        assert_eq!(
            answer.is(422).attribute("[aria-invalid]", "name"),
            wrong,
            "{}",
            answer.words()
        );
        assert_eq!(answer.attribute("input[name=note]", "value"), fields[3].1);
    }
    let worn = [("item_kind", "bite_record"), ("place", "worn")];
    scene
        .dora
        .send(&page, &page, &worn)
        .await
        .is(422)
        .sees("Only a denture can be in the patient's mouth.");
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("None is registered yet.");
}

#[tokio::test]
async fn a_mouth_holds_one_denture_in_each_arch() {
    let scene = Scene::opened().await;
    scene.things().await;
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "old_denture"),
        ("arch", "upper"),
        ("place", "worn"),
    ];
    scene
        .dora
        .send(&page, &page, &fields)
        .await
        .is(409)
        .sees("The patient already wears");
}

#[tokio::test]
async fn an_item_posted_twice_is_one_item() {
    let scene = Scene::opened().await;
    let fields = [
        ("post_key", "item-key-00001"),
        ("item_kind", "bite_record"),
        ("place", "here"),
    ];
    let first = scene.dora.post(&scene.at("/items/new"), &fields).await;
    let second = scene.dora.post(&scene.at("/items/new"), &fields).await;
    assert_eq!(last_part(&first), last_part(&second));
    assert_eq!(listed(&scene.dora.get(&scene.at("")).await), 1);
}

#[tokio::test]
async fn going_back_and_sending_another_content_or_to_another_case_is_a_new_post() {
    let scene = Scene::opened().await;
    let other = open_case(&scene.dora, &scene.patient, "both").await;
    let send = async |number: &str, kind: &str| {
        let fields = [
            ("post_key", "item-key-00001"),
            ("item_kind", kind),
            ("place", "here"),
        ];
        let path = format!("/cases/{number}/items/new");
        last_part(scene.dora.post(&path, &fields).await.is(303))
    };
    let first = send(&scene.number, "bite_record").await;
    let changed = send(&scene.number, "facebow_record").await;
    let elsewhere = send(&other, "bite_record").await;
    assert!(first != changed && changed != elsewhere && elsewhere != first);
    assert_eq!(send(&scene.number, "bite_record").await, first);
    assert_eq!(listed(&scene.dora.get(&scene.at("")).await), 2);
}

/// The provisional is here, and the patient wears nothing: by the dentist's exception.
async fn provisional_in_hand() -> (Scene, String) {
    let scene = Scene::signed().await;
    let tag = scene.add(&scene.dora, "provisional", "upper", "here").await;
    (scene, tag)
}

#[tokio::test]
async fn a_provisional_does_not_leave_without_its_duplicate_in_the_mouth() {
    let (scene, provisional) = provisional_in_hand().await;
    let answer = scene.release(&scene.dora, &[&provisional], &[]).await;
    answer
        .is(409)
        .sees("may leave only when a duplicate of the same arch is recorded as fitted");
    assert_eq!(
        answer.attribute("input[name=carrier]", "value"),
        "a courier"
    );
    assert_eq!(
        answer.count(&format!("input[name=\"{provisional}.take\"][checked]")),
        1
    );
    // A duplicate of the other arch is none.
    let lower = scene.add(&scene.dora, "duplicate", "lower", "worn").await;
    scene
        .release(&scene.anna, &[&provisional], &[])
        .await
        .is(409)
        .sees("duplicate of the same arch");
    assert_ne!(lower, provisional);
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees("Nothing has changed hands yet.");
}

#[tokio::test]
async fn the_dentist_may_sign_an_exception_with_reason_and_password() {
    let (scene, provisional) = provisional_in_hand().await;
    let reason = ("reason", "patient in hospital for three days");
    let wrong = scene
        .release(
            &scene.dora,
            &[&provisional],
            &[reason, ("password", "wrong")],
        )
        .await;
    assert_eq!(
        wrong.is(422).attribute("[aria-invalid]", "name"),
        "password"
    );
    assert_eq!(wrong.attribute("input[name=reason]", "value"), reason.1);
    scene
        .release(&scene.dora, &[&provisional], &[reason, ("password", "")])
        .await
        .is(422);
    scene
        .release(&scene.dora, &[&provisional], &[("password", PASSWORD)])
        .await
        .is(409);
    scene
        .release(
            &scene.dora,
            &[&provisional],
            &[reason, ("password", PASSWORD)],
        )
        .await
        .is(303);
    let words = "Exception signed by dora, licence D-7001: patient in hospital for three days";
    scene.tom.get(&scene.at("/history")).await.sees(words);
}

#[tokio::test]
async fn an_exception_is_offered_while_only_the_old_denture_is_worn() {
    let scene = Scene::signed().await;
    scene.add(&scene.dora, "old_denture", "upper", "worn").await;
    let tag = scene.add(&scene.dora, "provisional", "upper", "here").await;
    scene
        .release(&scene.dora, &[&tag], &[])
        .await
        .is(409)
        .sees("let the dentist sign an exception")
        .sees("Why it must leave all the same");
    let signed = [("reason", "the base is broken"), ("password", PASSWORD)];
    scene.release(&scene.dora, &[&tag], &signed).await.is(303);
}

#[tokio::test]
async fn the_old_denture_is_not_registered_back_into_the_mouth() {
    let (scene, _) = Scene::at_the_lab().await;
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "old_denture"),
        ("arch", "upper"),
        ("place", "worn"),
    ];
    let answer = scene.dora.send(&page, &page, &fields).await;
    answer.is(409).sees("the old denture does not go back");
}

#[tokio::test]
async fn no_denture_is_used_up_and_only_an_old_one_is_kept_back() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    for (tag, deed, field) in [
        (&things.duplicate, "use_up", "into"),
        (&things.duplicate, "keep_back", "kept"),
        (&things.bite, "keep_back", "kept"),
    ] {
        let fields = [
            ("post_key", "record-key-001"),
            ("action", deed),
            (field, "words"),
        ];
        let path = format!("/items/{tag}/record");
        scene.dora.post(&path, &fields).await.is(409);
    }
}

#[tokio::test]
async fn the_case_says_what_comes_next_and_offers_it_first() {
    let scene = Scene::opened().await;
    let first = |answer: &crate::common::Answer| answer.attribute("p.actions a", "href");
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let final_one = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    // What is in a box is received first, though nothing is signed yet.
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let page = scene.tom.get(&scene.at("")).await;
    page.sees("the lab: receive what is on the way");
    scene
        .receive(&scene.tom, &[(&bite, "sound")], &[])
        .await
        .is(303);
    scene.sign(&LEAST).await.is(303);
    scene.release(&scene.tom, &[&final_one], &[]).await.is(303);
    scene
        .receive(&scene.anna, &[(&final_one, "sound")], &[])
        .await
        .is(303);
    let page = scene.dora.get(&scene.at("")).await;
    page.sees("the office: fit what came back");
    assert_eq!(first(&page), scene.at("/mouth"));
}

#[tokio::test]
async fn an_assistant_signs_no_exception() {
    let (scene, provisional) = provisional_in_hand().await;
    let fields = [("reason", "in a hurry"), ("password", PASSWORD)];
    let answer = scene.release(&scene.anna, &[&provisional], &fields).await;
    answer.is(422).sees("Only the dentist signs an exception");
    let page = scene.anna.get(&scene.at("/release")).await;
    assert_eq!(page.count("input[name=reason]"), 0);
}

#[tokio::test]
async fn nothing_leaves_without_its_disinfection() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let none = [("agent", ""), ("dilution", ""), ("minutes", "")];
    scene
        .release(&scene.dora, &[&bite], &none)
        .await
        .is(409)
        .sees(&bite[..3]);
    for (fields, wrong) in [
        (
            [("agent", ""), ("dilution", "1:10"), ("minutes", "10")],
            "agent",
        ),
        (
            [
                ("agent", "sample agent"),
                ("dilution", ""),
                ("minutes", "10"),
            ],
            "dilution",
        ),
        (
            [
                ("agent", "sample agent"),
                ("dilution", "1:10"),
                ("minutes", ""),
            ],
            "minutes",
        ),
        (
            [
                ("agent", "sample agent"),
                ("dilution", "1:10"),
                ("minutes", "0"),
            ],
            "minutes",
        ),
        (
            [
                ("agent", "sample agent"),
                ("dilution", "1:10"),
                ("minutes", "1441"),
            ],
            "minutes",
        ),
        (
            [
                ("agent", "sample agent"),
                ("dilution", "1:10"),
                ("minutes", "ten"),
            ],
            "minutes",
        ),
    ] {
        let answer = scene.release(&scene.dora, &[&bite], &fields).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
    }
    scene
        .record(
            &scene.anna,
            &bite,
            "disinfect",
            &[
                ("agent", "sample agent"),
                ("dilution", "1:10"),
                ("minutes", "10"),
            ],
        )
        .await
        .is(303);
    scene.release(&scene.dora, &[&bite], &none).await.is(303);
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("sample agent, 1:10, 10 min, not rinsed");
}

#[tokio::test]
async fn a_disinfection_typed_at_the_release_is_entered_for_each_item() {
    let scene = Scene::signed().await;
    let things = [
        scene.add(&scene.dora, "bite_record", "", "here").await,
        scene.add(&scene.dora, "impression", "lower", "here").await,
    ];
    scene
        .release(&scene.anna, &[&things[0], &things[1]], &[])
        .await
        .is(303);
    for tag in &things {
        scene
            .tom
            .get(&format!("/items/{tag}"))
            .await
            .sees("sample agent, 1:10, 10 min, rinsed");
    }
}

#[tokio::test]
async fn an_empty_box_and_a_box_without_carrier_or_purpose_do_not_leave() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene
        .release(&scene.dora, &[], &[])
        .await
        .is(422)
        .sees("Tick at least one item to hand over.");
    for wrong in ["carrier", "purpose_code", "purpose"] {
        let answer = scene.release(&scene.dora, &[&bite], &[(wrong, " ")]).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
    }
    let long = "x".repeat(501);
    scene
        .release(&scene.dora, &[&bite], &[("box.1.seal", &long)])
        .await
        .is(422)
        .sees("At most 500 characters.");
}

#[tokio::test]
async fn whoever_hands_over_is_told_what_of_the_prescription_the_lab_does_not_have() {
    let scene = Scene::opened().await;
    let page = scene.at("/release");
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let link = format!("main .caution a[href=\"{}\"]", scene.at("/write"));
    let opened = scene.anna.get(&page).await;
    opened.sees("No prescription is written for this case yet.");
    assert_eq!(opened.count(&link), 1);
    scene.write(&scene.dora, &LEAST).await.is(303);
    let drafted = scene.anna.get(&page).await;
    drafted.sees("not signed yet, and the lab does not see it");
    scene.sign(&LEAST).await.is(303);
    let signed = scene.anna.get(&page).await;
    assert_eq!(signed.count(&link), 0);
    scene
        .write(&scene.dora, &[("shade.tab", "B-30")])
        .await
        .is(303);
    let changed = scene.anna.get(&page).await;
    changed.sees("What was changed since revision 1 is not signed yet");
    assert_eq!(changed.count(&link), 1);
    // It does not stand in the way, and is nothing to the lab.
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let of_lab = scene.tom.get(&page).await;
    of_lab.sees_not("is not signed yet");
}

#[tokio::test]
async fn what_is_not_in_ones_hands_cannot_be_handed_over() {
    let (scene, things) = Scene::at_the_lab().await;
    let key = format!("{}.take", things.provisional);
    let fields = [
        ("post_key", "release-key-01"),
        (key.as_str(), "yes"),
        ("carrier", "c"),
        ("purpose_code", "make"),
    ];
    scene
        .dora
        .post(&scene.at("/release"), &fields)
        .await
        .is(409)
        .sees("at the lab, so this cannot be done with it here");
    let worn = format!("{}.take", things.duplicate);
    let fields = [
        ("post_key", "release-key-02"),
        (worn.as_str(), "yes"),
        ("carrier", "c"),
        ("purpose_code", "make"),
    ];
    scene
        .dora
        .post(&scene.at("/release"), &fields)
        .await
        .is(409)
        .sees("with the patient");
}

#[tokio::test]
async fn a_release_posted_twice_is_one_handoff() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let (path, take) = (scene.at("/release"), format!("{bite}.take"));
    let fields = [
        ("post_key", "release-key-01"),
        (take.as_str(), "yes"),
        ("carrier", "a courier"),
        ("purpose_code", "make"),
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
    assert_eq!(
        scene
            .tom
            .get(&scene.at(""))
            .await
            .count("li.card a[href^=\"/handoffs/\"]"),
        1
    );
}

/// The bite record and an impression are on the way to the lab.
async fn on_the_way() -> (Scene, String, String) {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let impression = scene.add(&scene.dora, "impression", "lower", "here").await;
    scene
        .release(&scene.anna, &[&bite, &impression], &[])
        .await
        .is(303);
    (scene, bite, impression)
}

#[tokio::test]
async fn on_the_way_the_carrier_answers_and_nobody_can_act() {
    let (scene, bite, _) = on_the_way().await;
    for who in [&scene.dora, &scene.tom] {
        who.get(&format!("/items/{bite}"))
            .await
            .sees("on the way to Kiln Laboratory");
        who.get(&scene.at("/history"))
            .await
            .sees("a courier, handed over by anna");
        let fields = [
            ("post_key", "record-key-001"),
            ("action", "use_up"),
            ("into", "the upper cast"),
        ];
        who.post(&format!("/items/{bite}/record"), &fields)
            .await
            .is(409);
    }
    scene
        .tom
        .get(&scene.at("/release"))
        .await
        .sees("Nothing here is in your hands");
}

#[tokio::test]
async fn the_lab_receives_item_by_item_and_wrong_answers_stay_typed() {
    let (scene, bite, impression) = on_the_way().await;
    let note = format!("{bite}.note");
    for (first, second, words) in [
        ("", "sound", "Say what you found"),
        ("sound", "", "Say what you found"),
        ("lost", "sound", "Say what you found"),
        ("sound", "damaged", "Say what is damaged or different"),
        (
            "sound",
            "not_as_described",
            "Say what is damaged or different",
        ),
    ] {
        let found = [(bite.as_str(), first), (impression.as_str(), second)];
        let answer = scene
            .receive(
                &scene.tom,
                &found,
                &[(&note, "blue"), ("unannounced", "a spoon")],
            )
            .await;
        assert_eq!(answer.is(422).sees(words).count("[aria-invalid]"), 1);
        assert_eq!(
            answer.attribute(&format!("input[name=\"{note}\"]"), "value"),
            "blue"
        );
        assert_eq!(
            answer.attribute("input[name=unannounced]", "value"),
            "a spoon"
        );
    }
    let unmarked = format!("{bite}.marked");
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "sound")];
    scene
        .receive(&scene.tom, &found, &[(&unmarked, "")])
        .await
        .is(422)
        .sees("Say whether it came marked as disinfected.");
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene
        .dora
        .get(&format!("/items/{bite}"))
        .await
        .sees("Kiln Laboratory")
        .sees("Received at the lab");
}

#[tokio::test]
async fn an_item_without_its_mark_is_held_until_the_receiver_disinfects_it() {
    let (scene, bite, impression) = on_the_way().await;
    let unmarked = format!("{impression}.marked");
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "sound")];
    scene
        .receive(&scene.tom, &found, &[(&unmarked, "no")])
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("held: disinfect and record it");
    scene
        .record(
            &scene.tom,
            &impression,
            "use_up",
            &[("into", "the lower cast")],
        )
        .await
        .is(409);
    scene
        .record(
            &scene.tom,
            &impression,
            "disinfect",
            &[
                ("agent", "sample agent"),
                ("dilution", "1:10"),
                ("minutes", "10"),
            ],
        )
        .await
        .is(303);
    scene
        .record(
            &scene.tom,
            &impression,
            "use_up",
            &[("into", "the lower cast")],
        )
        .await
        .is(303);
    scene
        .dora
        .get(&format!("/items/{impression}"))
        .await
        .sees("used up");
}

#[tokio::test]
async fn a_missing_item_holds_the_case_until_it_turns_up() {
    let (scene, bite, impression) = on_the_way().await;
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "missing")];
    let marked = format!("{impression}.marked");
    scene
        .receive(&scene.tom, &found, &[(&marked, "")])
        .await
        .is(303);
    for who in [&scene.tom, &scene.dora] {
        who.get(&scene.at(""))
            .await
            .sees("Held:")
            .sees("missing from the box")
            .sees("1 item missing");
    }
    scene.dora.get("/").await.sees("Held:");
    scene
        .receive(&scene.mara, &[(&impression, "sound")], &[])
        .await
        .is(303);
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees_not("Held:")
        .sees_not("1 item missing");
}

#[tokio::test]
async fn what_is_lost_on_the_way_is_written_off_by_the_side_that_sent_it() {
    let (scene, bite, impression) = on_the_way().await;
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "missing")];
    let marked = format!("{impression}.marked");
    scene
        .receive(&scene.tom, &found, &[(&marked, "")])
        .await
        .is(303);
    let page = format!("/items/{impression}");
    let form = "input[name=action][value=write_off]";
    assert_eq!(scene.tom.get(&page).await.count(form), 0);
    assert_eq!(scene.dora.get(&page).await.count(form), 1);
    scene
        .record(&scene.anna, &impression, "write_off", &[("how", " ")])
        .await
        .is(422)
        .sees("why it is given up");
    let how = ("how", "the carrier has paid for it");
    // It is a statement: signed by the password each time, and its meaning is shown.
    scene
        .record(&scene.anna, &impression, "write_off", &[how])
        .await
        .is(422)
        .sees("Type your password again.")
        .sees("has looked for this item, has not found it");
    scene
        .record(
            &scene.anna,
            &impression,
            "write_off",
            &[how, ("password", PASSWORD)],
        )
        .await
        .is(303);
    for who in [&scene.tom, &scene.dora] {
        who.get(&scene.at(""))
            .await
            .sees_not("Held:")
            .sees("written off as lost")
            .sees("Received at Kiln Laboratory: 2 items");
        who.get(&page).await.sees("the carrier has paid for it");
    }
    let handoff = scene.dora.get(&scene.handoff(&scene.dora).await).await;
    handoff.sees("missing, and written off as lost");
    is_clean(&scene).await;
}

/// Nothing is listed otherwise than the entries say.
async fn is_clean(scene: &Scene) {
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

#[tokio::test]
async fn what_was_never_packed_comes_back_by_the_senders_statement_and_goes_anew() {
    let (scene, bite, impression) = on_the_way().await;
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "missing")];
    let marked = format!("{impression}.marked");
    let receipt = scene.receive(&scene.tom, &found, &[(&marked, "")]).await;
    receipt.is(303);
    let first = scene.handoff(&scene.dora).await;
    let page = scene.at("/settle");
    // The receiver has no such form.
    let of_lab = scene.tom.get(&page).await;
    assert_eq!(of_lab.count("input[name=not_packed]"), 0);
    let fields = [
        ("reason", "it lay on the tray behind the box"),
        ("done", "it goes with the next courier"),
        ("not_packed", "yes"),
    ];
    // Without the password nothing is signed, and the tick stays.
    let answer = scene.anna.send(&page, &page, &fields).await;
    answer.is(422).sees("Type your password again.");
    assert_eq!(answer.count("input[name=not_packed][checked]"), 1);
    let signed = [fields.as_slice(), &[("password", PASSWORD)]].concat();
    scene.anna.send(&page, &page, &signed).await.is(303);
    for who in [&scene.dora, &scene.tom] {
        let case = who.get(&scene.at("")).await;
        case.sees_not("Held:")
            .sees("Received at Kiln Laboratory: 2 items");
        who.get(&first)
            .await
            .sees("missing: it had not been packed");
        who.get(&scene.at("/history"))
            .await
            .sees("It was never packed, and is with those who sent it.");
        let item = who.get(&format!("/items/{impression}")).await;
        item.sees("anna, Northgate Dental");
    }
    is_clean(&scene).await;
    scene
        .release(&scene.anna, &[&impression], &[])
        .await
        .is(303);
    let found = [(impression.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    is_clean(&scene).await;
}

#[tokio::test]
async fn a_damaged_item_says_what_is_damaged_to_both_sides() {
    let (scene, bite, impression) = on_the_way().await;
    let note = format!("{impression}.note");
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "damaged")];
    scene
        .receive(
            &scene.tom,
            &found,
            &[(&note, "torn at the left tuberosity")],
        )
        .await
        .is(303);
    scene
        .dora
        .get(&scene.at("/history"))
        .await
        .sees("torn at the left tuberosity")
        .sees("damaged");
}

#[tokio::test]
async fn the_second_receiver_is_told_who_was_first() {
    let (scene, bite, impression) = on_the_way().await;
    let path = scene.handoff(&scene.mara).await;
    let mut form = scene.mara.get(&path).await.form(&path, &path, "");
    for tag in [&bite, &impression] {
        form.insert(format!("{tag}.outcome"), "sound".to_owned());
        form.insert(format!("{tag}.marked"), "yes".to_owned());
    }
    scene
        .receive(&scene.tom, &[(&bite, "sound"), (&impression, "sound")], &[])
        .await
        .is(303);
    let fields: Vec<(&str, &str)> = form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    scene
        .mara
        .post(&path, &fields)
        .await
        .is(409)
        .sees("tom has received this on 2026-03-02");
    scene.mara.get(&path).await.is(200).sees("Received by tom");
}

#[tokio::test]
async fn nobody_receives_for_the_other_side_or_a_handoff_of_strangers() {
    let (scene, bite, impression) = on_the_way().await;
    let path = scene.handoff(&scene.dora).await;
    let keys = [
        format!("{bite}.outcome"),
        format!("{bite}.marked"),
        format!("{impression}.outcome"),
        format!("{impression}.marked"),
    ];
    let fields = [
        ("post_key", "receive-key-01"),
        (keys[0].as_str(), "sound"),
        (keys[1].as_str(), "yes"),
        (keys[2].as_str(), "sound"),
        (keys[3].as_str(), "yes"),
    ];
    scene
        .anna
        .post(&path, &fields)
        .await
        .is(409)
        .sees("This handoff goes to the other side.")
        .sees("You handed this over yourself");
    scene
        .dora
        .post(&path, &fields)
        .await
        .is(409)
        .sees("This handoff goes to the other side.");
    scene
        .world
        .person("lars")
        .post(&path, &fields)
        .await
        .is(404);
    scene.tom.post("/handoffs/never-was", &fields).await.is(404);
    scene
        .dora
        .get(&path)
        .await
        .is(200)
        .sees("Waits for Kiln Laboratory to receive it.");
}

#[tokio::test]
async fn a_tag_that_is_not_in_the_box_cannot_be_received_with_it() {
    let (scene, bite, impression) = on_the_way().await;
    let other = Scene::opened().await;
    let foreign = other.add(&other.dora, "shade_tab", "", "here").await;
    let own = scene.add(&scene.dora, "shade_tab", "", "here").await;
    let more = [format!("{foreign}.outcome"), format!("{own}.outcome")];
    let more: Vec<(&str, &str)> = more.iter().map(|key| (key.as_str(), "sound")).collect();
    scene
        .receive(
            &scene.tom,
            &[(&bite, "sound"), (&impression, "sound")],
            &more,
        )
        .await
        .is(303);
    scene
        .tom
        .get(&format!("/items/{own}"))
        .await
        .sees("Northgate Dental")
        .sees_not("Received");
    scene.tom.get(&format!("/items/{foreign}")).await.is(404);
}

#[tokio::test]
async fn everything_comes_back_and_the_final_is_fitted_for_the_duplicate() {
    let (scene, things) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let tags = [last.as_str(), &things.provisional, &things.bite];
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    scene.release(&scene.tom, &tags, &finished).await.is(303);
    scene
        .receive(&scene.anna, &tags.map(|tag| (tag, "sound")), &[])
        .await
        .is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees(&format!("upper Final denture {}", &last[..3]));
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(303);
    scene
        .tom
        .get(&format!("/items/{}", things.duplicate))
        .await
        .sees("the spare")
        .sees("with the patient");
}

#[tokio::test]
async fn a_duplicate_is_no_spare_before_the_final_is_fitted() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(409);
}

#[tokio::test]
async fn an_old_denture_never_goes_back_into_the_mouth_or_to_the_patient() {
    let scene = Scene::signed().await;
    let old = scene.add(&scene.dora, "old_denture", "upper", "here").await;
    let path = scene.at("/mouth");
    assert!(
        !scene
            .dora
            .get(&path)
            .await
            .text()
            .contains(&format!("value=\"{old}\""))
    );
    let fields = [
        ("post_key", "mouth-key-0001"),
        ("arch", "upper"),
        ("fit", old.as_str()),
        ("worn", ""),
    ];
    scene
        .dora
        .post(&path, &fields)
        .await
        .is(409)
        .sees("Old denture, upper");
    let mut fields = vec![("post_key", "record-key-001"), ("action", "give")];
    fields.extend(SPARE);
    scene
        .dora
        .post(&format!("/items/{old}/record"), &fields)
        .await
        .is(409);
    scene
        .record(
            &scene.dora,
            &old,
            "keep_back",
            &[("consent", "yes"), ("kept", "")],
        )
        .await
        .is(422);
    scene
        .record(
            &scene.dora,
            &old,
            "keep_back",
            &[("consent", "yes"), ("kept", "drawer 4")],
        )
        .await
        .is(303);
    scene
        .tom
        .get(&format!("/items/{old}"))
        .await
        .sees("kept back, drawer 4");
}

#[tokio::test]
async fn a_mouth_is_emptied_only_by_the_dentists_signed_exception() {
    let scene = Scene::signed().await;
    scene.things().await;
    let reason = ("reason", "pressure sore, to be left out overnight");
    scene
        .fit(&scene.anna, "nothing", &[])
        .await
        .is(409)
        .sees("The patient would have no teeth in the upper arch.");
    scene
        .fit(&scene.anna, "nothing", &[reason, ("password", PASSWORD)])
        .await
        .is(422);
    scene.fit(&scene.dora, "nothing", &[]).await.is(409);
    let wrong = scene
        .fit(&scene.dora, "nothing", &[reason, ("password", "wrong")])
        .await;
    assert_eq!(
        wrong.is(422).attribute("[aria-invalid]", "name"),
        "password"
    );
    scene
        .fit(&scene.dora, "", &[])
        .await
        .is(422)
        .sees("Choose what the patient wears now.");
    scene
        .fit(&scene.dora, "nothing", &[reason, ("password", PASSWORD)])
        .await
        .is(303);
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("taken out, nothing put in")
        .sees(reason.1);
}

#[tokio::test]
async fn of_two_who_change_the_mouth_the_second_is_told_what_is_worn() {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let second = scene.add(&scene.dora, "duplicate", "upper", "here").await;
    let path = scene.at("/mouth");
    let form = scene
        .anna
        .get(&path)
        .await
        .form(&path, &path, "value=\"upper\"");
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let mut fields: Vec<(&str, &str)> = form
        .iter()
        .map(|(k, v)| (k.as_str(), v.as_str()))
        .filter(|(k, _)| *k != "fit")
        .collect();
    fields.push(("fit", &second));
    scene
        .anna
        .post(&path, &fields)
        .await
        .is(409)
        .sees("The patient wears")
        .sees("say that it comes out");
}

#[tokio::test]
async fn both_arches_can_be_recorded_from_one_and_the_same_page() {
    let scene = Scene::signed().await;
    let tags = [
        scene.add(&scene.dora, "provisional", "upper", "here").await,
        scene.add(&scene.dora, "provisional", "lower", "here").await,
    ];
    let path = scene.at("/mouth");
    let page = scene.dora.get(&path).await;
    for (arch, tag) in ["value=\"upper\"", "value=\"lower\""]
        .into_iter()
        .zip(&tags)
    {
        let mut form = page.form(&path, &path, arch);
        form.insert("fit".to_owned(), tag.clone());
        let fields: Vec<(&str, &str)> =
            form.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
        scene.dora.post(&path, &fields).await.is(303);
    }
    for tag in &tags {
        scene
            .dora
            .get(&format!("/items/{tag}"))
            .await
            .sees("in the patient's mouth");
    }
}

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
    for (deed, field) in [
        ("use_up", "into"),
        ("destroy", "how"),
        ("give", "x"),
        ("bring_back", "x"),
        ("dance", "x"),
    ] {
        let fields = [
            ("post_key", "record-key-001"),
            ("action", deed),
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
        .sees("Nothing here is in your hands");
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
    assert_eq!(office.is(200).words(), lab.is(200).words());
    let (office, lab) = (
        scene.dora.get(&scene.at("/history.pdf")).await,
        scene.tom.get(&scene.at("/history.pdf")).await,
    );
    assert!(office.is(200).body.starts_with(b"%PDF") && office.body == lab.is(200).body);
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
async fn what_the_patient_keeps_can_be_brought_back_and_is_then_undisinfected() {
    let (scene, things) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.release(&scene.tom, &[&last], &[]).await.is(303);
    scene
        .receive(&scene.anna, &[(&last, "sound")], &[])
        .await
        .is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(303);
    scene
        .record(&scene.anna, &things.duplicate, "bring_back", &[])
        .await
        .is(303);
    let none = [("agent", ""), ("dilution", ""), ("minutes", "")];
    scene
        .release(&scene.dora, &[&things.duplicate], &none)
        .await
        .is(409);
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
