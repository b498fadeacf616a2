//! Packed, and picked up by the carrier: who answers until then, and what each side sees of it.

use crate::common::PASSWORD;
use crate::scene::{LEAST, Scene};
use vestibule::app::examine::examine;

/// The bite record and an impression are packed at the office and wait for the courier.
async fn packed() -> (Scene, String, String) {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let impression = scene.add(&scene.dora, "impression", "lower", "here").await;
    let both = [bite.as_str(), &impression];
    let answer = scene.pack(&scene.anna, &both, &[]).await;
    assert!(answer.is(303).location().ends_with("?done=packed"));
    (scene, bite, impression)
}

#[tokio::test]
async fn c13_what_is_packed_waits_at_its_senders_until_the_pick_up_is_entered() {
    let (scene, bite, impression) = packed().await;
    let path = scene.handoff(&scene.anna).await;
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at(""))
            .await
            .sees("hand the parcels to the carrier.")
            .sees("Packed for Kiln Laboratory, waits for the carrier: 2 items")
            .sees("Packed by anna on")
            .sees_not("On the way to");
        who.get(&format!("/items/{bite}"))
            .await
            .sees("Northgate Dental")
            .sees("packed, waits for the carrier")
            .sees_not("on the way to Kiln Laboratory");
        who.get(&scene.at("/history"))
            .await
            .sees("Packed for the lab, waits for the carrier")
            .sees_not("a courier, handed over by");
    }
    scene
        .dora
        .get("/")
        .await
        .sees("Hand the parcels to the carrier");
    // The form of the pick-up is the sender's.
    let form = format!("form[action=\"{path}/picked-up\"]");
    let of_sender = scene.dora.get(&path).await;
    assert_eq!(of_sender.is(200).count(&form), 1);
    of_sender.sees("Packed, waits for the carrier.");
    assert_eq!(scene.tom.get(&path).await.is(200).count(&form), 0);

    scene.world.pass_minutes(10);
    let answer = scene.pick_up(&scene.dora, &[]).await;
    assert!(answer.is(303).location().ends_with("?done=picked_up"));
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at(""))
            .await
            .sees(": check in the parcel.")
            .sees("On the way to Kiln Laboratory: 2 items")
            .sees("Picked up by R. K. on Mon 2 Mar 2026")
            .sees("handed out by dora, Northgate Dental");
        who.get(&format!("/items/{bite}"))
            .await
            .sees("on the way to Kiln Laboratory");
        who.get(&scene.at("/history"))
            .await
            .sees("Picked up by the carrier")
            .sees("Taken by R. K., 1 parcel")
            .sees("a courier, handed over by dora");
    }
    assert_eq!(scene.dora.get(&path).await.count(&form), 0);
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees_not("No pick-up by the carrier was entered.");
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

#[tokio::test]
async fn nothing_is_done_with_what_is_packed_and_it_is_not_offered() {
    let (scene, bite, _) = packed().await;
    let sentence = "is packed in a parcel that waits for the carrier: take the parcel back first.";
    let shelf = [("moved_to", "shelf 4")];
    scene
        .record(&scene.anna, &bite, "move", &shelf)
        .await
        .is(409)
        .sees(sentence);
    let page = scene.anna.get(&scene.at("/release")).await;
    page.sees("Nothing can be handed over now.");
    let take = format!("{bite}.take");
    let fields = [
        ("post_key", "release-key-01"),
        (take.as_str(), "yes"),
        ("carrier", "another"),
        ("purpose_code", "make"),
    ];
    scene
        .anna
        .post(&scene.at("/release"), &fields)
        .await
        .is(409)
        .sees(sentence);
}

#[tokio::test]
async fn a_packed_parcel_is_taken_back_and_packed_again() {
    let (scene, bite, impression) = packed().await;
    let path = scene.handoff(&scene.anna).await;
    let back = [
        ("reason", "the impression was left on the bench"),
        ("password", PASSWORD),
    ];
    let action = format!("{path}/take-back");
    scene.anna.send(&path, &action, &back).await.is(303);
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees("Taken back, it never left")
        .sees("Northgate Dental: hand over to the lab.");
    let both = [bite.as_str(), &impression];
    scene.pack(&scene.anna, &both, &[]).await.is(303);
    // What was taken back is picked up no more; what was typed stands there to be copied.
    let fields = [
        ("post_key", "picked-up-key-01"),
        ("picked_by", "Quentin"),
        ("parcels", "1"),
    ];
    scene
        .anna
        .post(&format!("{path}/picked-up"), &fields)
        .await
        .is(409)
        .sees("This handoff is taken back")
        .sees("Quentin");
}

#[tokio::test]
async fn what_comes_without_an_entered_pick_up_is_received_and_the_history_says_so() {
    let (scene, bite, impression) = packed().await;
    let path = scene.handoff(&scene.tom).await;
    scene
        .tom
        .get(&path)
        .await
        .sees("No pick-up by the carrier is entered yet.");
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "missing")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at("/history"))
            .await
            .sees("No pick-up by the carrier was entered.");
        who.get(&scene.at("")).await.sees("No pick-up was entered.");
        who.get(&format!("/items/{impression}"))
            .await
            .sees("on the way to Kiln Laboratory");
    }
    let fields = [
        ("post_key", "picked-up-key-01"),
        ("picked_by", "R. K."),
        ("parcels", "1"),
    ];
    scene
        .anna
        .post(&format!("{path}/picked-up"), &fields)
        .await
        .is(409)
        .sees("The other side has received it: a pick-up is entered no more.");
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

#[tokio::test]
async fn a_wrong_count_and_an_empty_name_are_said_beside_the_field_and_all_stays_typed() {
    let (scene, _, _) = packed().await;
    for (fields, wrong, words) in [
        (
            [("picked_by", "R. K."), ("parcels", "2")],
            "parcels",
            "This handoff has 1 parcel",
        ),
        (
            [("picked_by", "R. K."), ("parcels", "")],
            "parcels",
            "Count the parcels that were handed out.",
        ),
        (
            [("picked_by", ""), ("parcels", "1")],
            "picked_by",
            "Write the name or the initials of who took it.",
        ),
    ] {
        let more = [fields[0], fields[1], ("handed_out_by", "the front desk")];
        let answer = scene.pick_up(&scene.anna, &more).await;
        assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), wrong);
        answer.sees(words);
        assert_eq!(
            answer.attribute("input[name=handed_out_by]", "value"),
            "the front desk"
        );
        assert_eq!(
            answer.attribute("input[name=picked_by]", "value"),
            fields[0].1
        );
    }
    let other = [("handed_out_by", "the front desk")];
    scene.pick_up(&scene.anna, &other).await.is(303);
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Handed out by the front desk")
        .sees("a courier, handed over by the front desk, Northgate Dental");
}

#[tokio::test]
async fn a_pick_up_is_entered_later_from_the_note() {
    let (scene, _, _) = packed().await;
    scene.world.pass_minutes(20);
    // 2026-03-02 08:00 UTC is 09:00 in Vienna.
    let late = [
        ("late_day", "2026-03-02"),
        ("late_time", "09:10"),
        ("late_name", "J. Field"),
    ];
    let early = [late[0], ("late_time", "08:59"), late[2]];
    scene
        .pick_up(&scene.anna, &early)
        .await
        .is(409)
        .sees("check the day and the time");
    scene.pick_up(&scene.anna, &late).await.is(303);
    scene
        .tom
        .get(&scene.at("/history"))
        .await
        .sees("Copied from paper; the name on it: J. Field.")
        .sees("a courier, handed over by J. Field, Northgate Dental");
}

#[tokio::test]
async fn of_two_at_once_one_enters_the_pick_up_and_the_other_is_told() {
    let (scene, _, _) = packed().await;
    let action = format!("{}/picked-up", scene.handoff(&scene.anna).await);
    let fields = |by| [("picked_by", by), ("parcels", "1")];
    let post = async |who: &crate::common::Visitor, key, by| {
        let fields = [&[("post_key", key)][..], &fields(by)].concat();
        who.post(&action, &fields).await
    };
    let (one, other) = tokio::join!(
        post(&scene.anna, "picked-up-key-01", "Ada"),
        post(&scene.dora, "picked-up-key-02", "Ben")
    );
    let mut answers = [one, other];
    answers.sort_by_key(|answer| answer.status.as_u16());
    answers[0].is(303);
    answers[1].is(409).sees("The pick-up is entered already:");
    // The same form twice is one entry.
    let scene_again = packed().await.0;
    let action = format!("{}/picked-up", scene_again.handoff(&scene_again.anna).await);
    let fields = [&[("post_key", "picked-up-key-01")][..], &fields("Ada")].concat();
    let (one, other) = tokio::join!(
        scene_again.anna.post(&action, &fields),
        scene_again.anna.post(&action, &fields)
    );
    one.is(303);
    other.is(303);
    let history = scene_again.tom.get(&scene_again.at("/history")).await;
    assert_eq!(history.text().matches("Taken by Ada").count(), 1);
}

#[tokio::test]
async fn the_receiver_and_strangers_enter_no_pick_up() {
    let (scene, _, _) = packed().await;
    let action = format!("{}/picked-up", scene.handoff(&scene.anna).await);
    let fields = [
        ("post_key", "picked-up-key-01"),
        ("picked_by", "R. K."),
        ("parcels", "1"),
    ];
    for stranger in ["sven", "lars"] {
        let who = scene.world.person(stranger);
        who.post(&action, &fields).await.is(404);
    }
    scene
        .tom
        .post(&action, &fields)
        .await
        .is(409)
        .sees("Only the side that packed it enters the carrier's pick-up.");
    let waits = scene.dora.get(&scene.at("")).await;
    waits.sees("hand the parcels to the carrier.");
}

#[tokio::test]
async fn whoever_takes_it_along_at_once_is_named_with_the_release() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    // A name without its tick, or a tick without its name, says nothing for certain.
    for (tick, name, wrong) in [("yes", "", "taken_by"), ("", "R. K.", "taken_now")] {
        let half = [("taken_now", tick), ("taken_by", name)];
        let answer = scene.release(&scene.anna, &[&bite], &half).await;
        assert_eq!(answer.is(422).count(".field.wrong"), 1);
        assert_eq!(
            answer.count(&format!(".field.wrong [name={wrong}]")),
            1,
            "{wrong}"
        );
        assert_eq!(answer.attribute("input[name=taken_by]", "value"), name);
    }
    let answer = scene.release(&scene.anna, &[&bite], &[]).await;
    assert!(answer.is(303).location().ends_with("?done=released"));
    for who in [&scene.dora, &scene.tom] {
        who.get(&scene.at("/history"))
            .await
            .sees("Picked up in the same step by R. K.");
        who.get(&scene.at("")).await.sees("Picked up by R. K. on");
    }
}

#[tokio::test]
async fn while_the_office_packs_the_lab_goes_on_with_what_it_has() {
    let (scene, things) = Scene::at_the_lab().await;
    let tab = scene.add(&scene.dora, "shade_tab", "", "here").await;
    let acknowledge = scene.at("/revisions/1/acknowledge");
    scene
        .tom
        .post(&acknowledge, &[("post_key", "acknowledge-key-1")])
        .await
        .is(303);
    scene.pack(&scene.anna, &[&tab], &[]).await.is(303);
    scene
        .tom
        .get(&scene.at(""))
        .await
        .sees("Your turn: make the work and hand it back. Northgate Dental: hand the parcels to the carrier.");
    scene.pick_up(&scene.anna, &[]).await.is(303);
    // The lab packs what it has made; what it holds is then in its hands no more.
    let found = [(tab.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene.pack(&scene.tom, &[&things.bite], &[]).await.is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("Kiln Laboratory: hand the parcels to the carrier; make the work and hand it back.");
}

#[tokio::test]
async fn what_was_packed_before_a_newer_revision_is_asked_about_at_the_door_and_named_until_it_is_worn()
 {
    let (scene, _) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let finished = [("purpose_code", "finished")];
    scene.pack(&scene.tom, &[&last], &finished).await.is(303);
    scene.world.pass_minutes(1);
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    scene
        .tom
        .get(&path)
        .await
        .sees("Revision 2 was signed after this was packed");
    scene
        .pick_up(&scene.tom, &[])
        .await
        .is(422)
        .sees("Revision 2 is in force, and nobody here has acknowledged it")
        .sees("Send the work anyway");
    let anyway = [("unread", "yes")];
    scene.pick_up(&scene.tom, &anyway).await.is(303);
    scene
        .anna
        .get(&scene.at("/history"))
        .await
        .sees("Revision 2 was not acknowledged when this left");
    // On the way it is overtaken by another one.
    scene.world.pass_minutes(1);
    scene.sign(&[("shade.tab", "B-20")]).await.is(303);
    let words = "Left the lab before revision 3 was signed";
    scene.anna.get(&path).await.sees(words);
    let found = [(last.as_str(), "sound")];
    scene.receive(&scene.anna, &found, &[]).await.is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("send back what came, or use it as it is")
        .sees("read and acknowledge the prescription");
    scene.dora.get(&scene.at("/mouth")).await.sees(words);
    // What the next revision sends to be worked on is not asked to be as that asks.
    scene.world.pass_minutes(1);
    scene.sign(&[("enclosed.0.tag", &last)]).await.is(303);
    let page = scene.anna.get(&path).await;
    page.sees_not("Left the lab before");
}

/// Common practice, no source: what was put right while a parcel stood packed is told before it leaves.
#[tokio::test]
async fn what_is_corrected_while_a_parcel_waits_is_asked_about_before_the_carrier_takes_it() {
    let (scene, bite, _) = packed().await;
    let path = scene.handoff(&scene.anna).await;
    const NOTE: &str = "An entry was corrected on";
    scene.anna.get(&path).await.sees_not(NOTE);
    scene.world.pass_minutes(1);
    let entry = scene.dora.get(&format!("/items/{bite}")).await;
    let entry = entry.option_value("event", "registered");
    let correction = [
        ("event", entry.as_str()),
        ("correction", "it is of the second visit"),
    ];
    let noted = scene
        .record(&scene.dora, &bite, "correct", &correction)
        .await;
    noted.is(303);
    // Before anybody types anything the page says so; the lab has nothing to do with it yet.
    scene
        .anna
        .get(&path)
        .await
        .sees(NOTE)
        .sees("it is of the second visit.");
    scene.tom.get(&path).await.sees_not(NOTE);
    let asked = scene.pick_up(&scene.anna, &[]).await;
    asked
        .is(422)
        .sees("Does it go as it is?")
        .sees("what was corrected since is known");
    let known = [("corrected", "yes")];
    scene.pick_up(&scene.anna, &known).await.is(303);
    scene.anna.get(&path).await.sees_not(NOTE);
}

/// The same of what is done in the mouth, and of a revision that follows.
#[tokio::test]
async fn what_is_changed_at_the_chair_while_a_parcel_waits_is_asked_about_at_both_doors() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let pattern = ("pattern.upper_item", things.provisional.as_str());
    let fields: Vec<(&str, &str)> = LEAST.iter().copied().chain([pattern]).collect();
    scene.sign(&fields).await.is(303);
    let make = [("purpose_code", "make"), ("purpose", "")];
    let packed = scene.pack(&scene.anna, &[&things.bite], &make).await;
    packed.is(303);
    scene.world.pass_minutes(1);
    let raised = [("done", "bite_raised"), ("mm", "2")];
    scene
        .record(&scene.dora, &things.provisional, "adjust", &raised)
        .await
        .is(303);
    const CHANGED: &str = "Changed at the chair after revision 1 was signed";
    let path = scene.handoff(&scene.anna).await;
    scene.anna.get(&path).await.sees(CHANGED);
    scene
        .pick_up(&scene.anna, &[])
        .await
        .is(422)
        .sees(CHANGED)
        .sees("bite raised, 2 mm (Mon 2 Mar 2026)");
    let known = [("corrected", "yes")];
    scene.pick_up(&scene.anna, &known).await.is(303);
    let found = [(things.bite.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene.accept(1).await;
    // The lab is told at the bench, and asked once more before its work leaves.
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let finished = [("purpose_code", "finished"), ("unfinished", "yes")];
    scene
        .release(&scene.tom, &[&last], &finished)
        .await
        .is(422)
        .sees(CHANGED)
        .sees("Does it go as it is?");
    let known = [&finished[..], &known].concat();
    scene.release(&scene.tom, &[&last], &known).await.is(303);
}

#[tokio::test]
async fn a_revision_that_is_signed_while_the_office_has_packed_is_told_at_its_door() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let make = [("purpose_code", "make"), ("purpose", "")];
    let make = [&make[..], &[("not_asked", "yes")]].concat();
    scene.pack(&scene.anna, &[&bite], &make).await.is(303);
    scene.world.pass_minutes(1);
    scene.sign(&[("shade.tab", "B-30")]).await.is(303);
    const NEWER: &str = "Revision 2 was signed on Mon 2 Mar 2026";
    let path = scene.handoff(&scene.anna).await;
    scene.anna.get(&path).await.sees(NEWER);
    scene.pick_up(&scene.anna, &[]).await.is(422).sees(NEWER);
    let known = [("corrected", "yes")];
    scene.pick_up(&scene.anna, &known).await.is(303);
}
