//! What may leave, and under which conditions.

use crate::common::{Answer, PASSWORD, World};
use crate::scene::{LEAST, Scene};

/// The provisional is here, and the patient wears nothing: by the dentist's exception.
async fn provisional_in_hand() -> (Scene, String) {
    let scene = Scene::signed().await;
    let tag = scene.add(&scene.dora, "provisional", "upper", "here").await;
    (scene, tag)
}

#[tokio::test]
async fn a_provisional_does_not_leave_without_its_duplicate_in_the_mouth() {
    let (scene, provisional) = provisional_in_hand().await;
    let other = scene.add(&scene.dora, "bite_record", "", "here").await;
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
    // It is offered to whoever could sign for it, and to nobody else.
    for (who, count) in [(&scene.dora, 1), (&scene.anna, 0)] {
        let page = who.get(&scene.at("/release")).await;
        assert_eq!(
            page.count(&format!("input[name=\"{provisional}.take\"]")),
            count
        );
        assert_eq!(page.count(&format!("input[name=\"{other}.take\"]")), 1);
    }
    let fields = [("scan", provisional.as_str()), ("go", "scan")];
    let path = scene.at("/release");
    let scanned = scene.anna.send(&path, &path, &fields).await;
    scanned.is(422).sees("duplicate of the same arch");
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
    let words = "Exception signed by dora, license D-7001: patient in hospital for three days";
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
    page.sees("Your turn: check in the parcel.");
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
    page.sees("Your turn: fit what came back.");
    assert_eq!(first(&page), scene.at("/mouth"));
}

#[tokio::test]
async fn an_assistant_signs_no_exception() {
    let (scene, provisional) = provisional_in_hand().await;
    scene.add(&scene.anna, "bite_record", "", "here").await;
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
    let none = [
        ("agent", ""),
        ("dilution", ""),
        ("minutes", ""),
        ("rinsed", ""),
    ];
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
        .release(&scene.dora, &[&bite], &[("parcel.1.seal", &long)])
        .await
        .is(422)
        .sees("At most 500 characters; these are 501.");
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
            .count(".of-case a[href^=\"/handoffs/\"]"),
        1
    );
}

#[tokio::test]
async fn what_is_sent_to_be_repaired_leaves_broken_as_listed_and_nothing_is_held() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let broken = [
        ("pieces.0.stage", "repair"),
        ("repair.item", things.provisional.as_str()),
        ("repairs.0.what", "base_broken"),
        ("repairs.0.place", "midline"),
    ];
    let is_other = |key: &str| broken.iter().all(|(other, _)| *other != key);
    let least = LEAST.iter().copied().filter(|(key, _)| is_other(key));
    let fields: Vec<(&str, &str)> = least.chain(broken).collect();
    scene.sign(&fields).await.is(303);
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let form = scene.anna.get(&scene.at("/release")).await;
    let condition = format!("input[name=\"{}.condition\"]", things.provisional);
    let listed = "base broken, midline: as listed";
    assert_eq!(form.attribute(&condition, "value"), listed);
    // What lies beside it is not broken.
    let condition = format!("input[name=\"{}.condition\"]", things.bite);
    assert_eq!(form.attribute(&condition, "value"), "");
    assert_eq!(
        form.attribute("select[name=purpose_code] option[selected]", "value"),
        "repair"
    );
    scene
        .release(&scene.anna, &[&things.provisional], &[])
        .await
        .is(303);
    let path = scene.handoff(&scene.tom).await;
    let page = scene.tom.get(&path).await;
    page.sees(&format!("Sent: {listed}."))
        .sees_not("Sent: sound");
    let found = [(things.provisional.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene
        .tom
        .get(&path)
        .await
        .sees(&format!("as described: {listed}"));
    scene.dora.get("/").await.sees_not("Held:");
}

#[tokio::test]
async fn an_old_denture_that_no_list_names_is_asked_about_before_it_leaves() {
    let scene = Scene::opened().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    scene.sign(&LEAST).await.is(303);
    let old = scene.add(&scene.dora, "old_denture", "upper", "here").await;
    let (tags, make) = (
        [bite.as_str(), old.as_str()],
        [("purpose_code", "make"), ("purpose", "")],
    );
    scene
        .release(&scene.anna, &tags, &make)
        .await
        .is(422)
        .sees("Not listed in revision 1: Old denture, upper")
        .sees("Send it anyway, though the prescription does not ask for it");
    let anyway = [&make[..], &[("not_asked", "yes")]].concat();
    scene.release(&scene.anna, &tags, &anyway).await.is(303);
    let handoff = scene.handoff(&scene.tom).await;
    let page = scene.tom.get(&handoff).await;
    page.sees("Not listed in revision 1: Old denture, upper");
    // What came unannounced is asked above what was announced, and what no list names stands above what is expected.
    let place = |page: &Answer, words: &str| {
        let text = page.text();
        text.find(words)
            .unwrap_or_else(|| panic!("“{words}” is not on the page"))
    };
    let extra = place(&page, "An extra item was in the parcel");
    assert!(extra < place(&page, "Tag checked against the item in hand"));
    let sound = tags.map(|tag| (tag, "sound"));
    let along = [("unannounced", "a shade tab of nobody")];
    scene.receive(&scene.tom, &sound, &along).await.is(303);
    let case = scene.tom.get(&scene.at("")).await;
    let items = place(&case, "Items, and where each is now");
    let after = |words: &str| case.text()[items..].find(words).unwrap();
    assert!(after("<b>Old denture, upper") < after("<b>Bite record"));
    assert!(place(&case, "An unlisted item was in the parcel") < items);
    // And the handoff says it before anything else of it.
    let came = scene.tom.get(&handoff).await;
    let said = place(
        &came,
        "Also in it, and not announced: a shade tab of nobody.",
    );
    assert!(said < place(&came, "Not listed in revision 1"));
    // It does not stay: the lab's list and its page of the hand-over say so.
    case.sees("end back what is the office");
    let release = scene.tom.get(&scene.at("/release")).await;
    release.sees("the office’s, not listed: goes back");
}

/// Common practice, no source: a pattern that was changed in the mouth is no longer the one that the text was written for.
#[tokio::test]
async fn what_is_done_at_the_chair_after_the_signature_is_asked_about_told_and_written_next() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let listed = [
        ("enclosed.0.tag", things.provisional.as_str()),
        ("enclosed.1.tag", things.bite.as_str()),
        ("pattern.upper_item", things.provisional.as_str()),
    ];
    let fields = [&LEAST[..], &listed].concat();
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    scene.sign(&fields).await.is(303);
    const CHANGED: &str = "Changed at the chair after revision 1 was signed";
    scene.dora.get(&scene.at("")).await.sees_not(CHANGED);
    scene.world.pass_minutes(5);
    let raised = [("done", "bite_raised"), ("mm", "2")];
    scene
        .record(&scene.dora, &things.provisional, "adjust", &raised)
        .await
        .is(303);
    const RAISED: &str = "bite raised, 2 mm (Mon 2 Mar 2026)";
    let page = scene.dora.get(&scene.at("")).await;
    page.sees(CHANGED).sees(RAISED).sees("Sign a revision");
    // The next draft names the day of the correction.
    let draft = scene.dora.whole_form(&scene.at("/write")).await;
    let day = "[name=\"pattern.last_corrected\"]";
    assert_eq!(draft.attribute(day, "value"), "2026-03-02");
    // What goes along beside it is not what was changed.
    let tags = [things.provisional.as_str(), things.bite.as_str()];
    let make = [("purpose_code", "make"), ("purpose", "")];
    let asked = scene.release(&scene.anna, &tags, &make).await;
    asked
        .is(422)
        .sees(CHANGED)
        .sees("The lab works from it as it comes");
    let as_it_comes = [&make[..], &[("as_it_comes", "yes")]].concat();
    scene
        .release(&scene.anna, &tags, &as_it_comes)
        .await
        .is(303);
    let found = tags.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene.accept(1).await;
    for rest in ["", "/bench"] {
        let seen = scene.tom.get(&scene.at(rest)).await;
        seen.sees(CHANGED)
            .sees(RAISED)
            .sees("The office says: work from it as it comes.");
    }
    let history = scene.tom.get(&scene.at("/history")).await;
    history.sees("the lab works from it as it comes");
}

/// What comes back with the work is the office's answer in the text; that the lab asks itself before finished work leaves:
/// common practice, no source.
#[tokio::test]
async fn finished_work_that_leaves_without_what_is_wanted_back_with_it_is_asked_about() {
    let scene = Scene::opened().await;
    let back = [("back.pattern", "yes"), ("back.records", "yes")];
    scene.sign(&[&LEAST[..], &back].concat()).await.is(303);
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let sent = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &sent, &[]).await.is(303);
    let sound = sent.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &sound, &[]).await.is(303);
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    let asked = scene.release(&scene.tom, &[&last], &finished).await;
    asked
        .is(422)
        .sees("Wanted back with the work and not ticked: ")
        .sees("Provisional denture, upper");
    // One of both along, and the other is still asked about.
    let some = [last.as_str(), things.provisional.as_str()];
    let asked = scene.release(&scene.tom, &some, &finished).await;
    asked
        .is(422)
        .sees("Wanted back with the work and not ticked: Bite record");
    let later = [&finished[..], &[("wanted_back", "yes")]].concat();
    scene.release(&scene.tom, &some, &later).await.is(303);
    let history = scene.anna.get(&scene.at("/history")).await;
    history.sees("Wanted back with the work, and follows later: ");
}

/// Common practice, no source: the clear template shows at surgery where the denture would press, so that it is of use on the
/// day of the insertion alone.
#[tokio::test]
async fn a_clear_template_that_is_ordered_is_missed_where_its_denture_leaves_comes_and_goes_in() {
    let natural = [
        ("patient.teeth_upper", "natural"),
        ("patient.teeth_lower", "natural"),
    ];
    let scene = Scene::opened_for(World::peopled().await, &natural, "upper").await;
    let cast = scene.add(&scene.anna, "cast", "upper", "here").await;
    let course = [("order.course", "immediate")];
    scene.write(&scene.dora, &course).await.is(303);
    let said = [
        ("pieces.0.arch", "upper"),
        ("pieces.0.stage", "process"),
        ("pieces.0.materials", "heat-cured resin, cross-linked teeth"),
        ("extractions.0.tooth", "11"),
        ("extractions.0.when", "at_insertion"),
        ("cast_trim.by", "lab"),
        ("cast_trim.stent", "yes"),
        ("shade.tab", "B-20"),
        ("dates.wanted", "2026-03-20"),
    ];
    scene.sign(&said).await.is(303);
    let make = [("purpose_code", "make"), ("purpose", "")];
    scene.release(&scene.anna, &[&cast], &make).await.is(303);
    let sound = [(cast.as_str(), "sound")];
    scene.receive(&scene.tom, &sound, &[]).await.is(303);
    scene.accept(1).await;
    const TO_COME: &str =
        "Ordered with the denture, not handed over yet: clear surgical template, upper.";
    for page in ["", "/bench"] {
        scene.tom.get(&scene.at(page)).await.sees(TO_COME);
    }
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let finished = [
        ("purpose_code", "finished"),
        ("purpose", ""),
        ("unfinished", "yes"),
    ];
    let back = [last.as_str(), cast.as_str()];
    scene
        .release(&scene.tom, &back, &finished)
        .await
        .is(422)
        .sees("Ordered with the denture, and not in this parcel: clear surgical template, upper.");
    let later = [&finished[..], &[("template", "yes")]].concat();
    scene.release(&scene.tom, &back, &later).await.is(303);
    const MISSED: &str = "Ordered but not received: clear surgical template, upper.";
    let path = scene.handoff(&scene.anna).await;
    scene.anna.get(&path).await.sees(MISSED);
    let sound = back.map(|tag| (tag, "sound"));
    scene.receive(&scene.anna, &sound, &[]).await.is(303);
    for page in ["", "/fit", "/mouth"] {
        scene.dora.get(&scene.at(page)).await.sees(MISSED);
    }
    // It follows, and is missed no more.
    let template = scene
        .add(&scene.tom, "clear_template", "upper", "here")
        .await;
    scene.release(&scene.tom, &[&template], &[]).await.is(303);
    let sound = [(template.as_str(), "sound")];
    scene.receive(&scene.anna, &sound, &[]).await.is(303);
    for page in ["", "/fit", "/mouth"] {
        scene.dora.get(&scene.at(page)).await.sees_not(MISSED);
    }
}
