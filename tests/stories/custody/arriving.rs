//! On the way and received: item by item, marked or not, missing or damaged.

use crate::chain::resolve;
use crate::common::PASSWORD;
use crate::scene::{LEAST, Scene};
use vestibule::app::examine::examine;

/// The bite record and an impression are on the way to the lab.
pub async fn on_the_way() -> (Scene, String, String) {
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
        .sees("Nothing can be handed over now");
}

#[tokio::test]
async fn one_button_takes_neither_a_note_for_sound_nor_a_code_that_nobody_has_described() {
    let (scene, bite, _) = on_the_way().await;
    let note = format!("{bite}.note");
    let button = ("go", "all");
    scene
        .receive(&scene.tom, &[], &[button, (&note, "a crack at the flange")])
        .await
        .is(422)
        .sees("Say what you found");
    let own = scene.at("").rsplit('/').next().unwrap().to_owned();
    let other = [button, ("foreign", own.as_str())];
    scene
        .receive(&scene.tom, &[], &other)
        .await
        .is(422)
        .sees("describe what carries it, or empty the code");
    scene.receive(&scene.tom, &[], &[button]).await.is(303);
}

#[tokio::test]
async fn the_lab_receives_item_by_item_and_wrong_answers_stay_typed() {
    let (scene, bite, impression) = on_the_way().await;
    let note = format!("{bite}.note");
    for (first, second, words) in [
        ("", "sound", "Say what you found"),
        ("lost", "sound", "one of the list"),
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
            .sees("missing from the parcel")
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
    let path = scene.handoff(&scene.tom).await;
    let stale = scene.tom.get(&path).await.form(&path, &path, "go");
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
        .sees("looked for and not found");
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
            .sees("Received at Kiln Laboratory: 1 of 2 items, 1 written off as lost");
        who.get(&page).await.sees("the carrier has paid for it");
    }
    let handoff = scene.dora.get(&scene.handoff(&scene.dora).await).await;
    handoff.sees("missing, and written off as lost");
    // Who receives it from a page of before is told what became of it, and where to say what was found.
    let (outcome, note) = (
        format!("{impression}.outcome"),
        format!("{impression}.note"),
    );
    let typed = [
        (outcome.as_str(), "damaged"),
        (note.as_str(), "a torn border"),
    ];
    let kept = stale
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()));
    let kept = kept.filter(|(key, _)| typed.iter().all(|(one, _)| one != key));
    let sent: Vec<(&str, &str)> = kept.chain(typed).collect();
    let late = scene.tom.post(&path, &sent).await;
    late.is(409)
        .sees("Written off as lost meanwhile")
        .sees("a torn border")
        .sees("Add a finding to its receipt");
    is_clean(&scene).await;
}

/// Nothing is listed otherwise than the entries say.
async fn is_clean(scene: &Scene) {
    let examined = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(examined.faults, []);
}

#[tokio::test]
async fn what_was_never_packed_comes_back_by_the_senders_statement_and_goes_again() {
    let (scene, bite, impression) = on_the_way().await;
    let found = [(bite.as_str(), "sound"), (impression.as_str(), "missing")];
    let marked = format!("{impression}.marked");
    let receipt = scene.receive(&scene.tom, &found, &[(&marked, "")]).await;
    receipt.is(303);
    let first = scene.handoff(&scene.dora).await;
    let page = scene.at("/holds");
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
        // The count tells what came (c1).
        case.sees_not("Held:")
            .sees("Received at Kiln Laboratory: 1 of 2 items, 1 had not been packed");
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
        .sees("tom has received this on Mon 2 Mar 2026");
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
        format!("{bite}.here"),
        format!("{impression}.here"),
    ];
    let fields = [
        ("post_key", "receive-key-01"),
        (keys[4].as_str(), "yes"),
        (keys[5].as_str(), "yes"),
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

/// Common practice, no source: the bench goes by what the sender has signed of a damaged thing.
#[tokio::test]
async fn what_was_signed_of_a_damaged_thing_is_read_where_it_is_worked_with() {
    let (scene, bite, impression) = on_the_way().await;
    let note = format!("{bite}.note");
    let found = [(bite.as_str(), "damaged"), (impression.as_str(), "sound")];
    let chipped = [(note.as_str(), "a corner of it is off")];
    scene.receive(&scene.tom, &found, &chipped).await.is(303);
    let statement = [("done", "mount by the other side of the arch")];
    resolve(&scene, &scene.dora, &statement).await.is(303);
    scene.accept(1).await;
    for (who, rest) in [(&scene.tom, ""), (&scene.tom, "/bench"), (&scene.dora, "")] {
        let seen = who.get(&scene.at(rest)).await;
        seen.sees("arrived damaged, a corner of it is off")
            .sees("has signed: mount by the other side of the arch");
    }
}

/// Common practice, no source: a broken denture is counted when it comes, since a piece that stays in the bag is missed late.
#[tokio::test]
async fn pieces_that_the_list_names_are_asked_for_when_they_come() {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let listed = [
        ("enclosed.0.tag", things.provisional.as_str()),
        ("enclosed.0.pieces", "3"),
        ("enclosed.0.condition", "broken in two, 41 loose"),
    ];
    scene.sign(&[&LEAST[..], &listed].concat()).await.is(303);
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let sent = [things.provisional.as_str()];
    scene.release(&scene.anna, &sent, &[]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    scene
        .tom
        .get(&path)
        .await
        .sees("Listed: 3 pieces, broken in two, 41 loose.");
    let found = [(sent[0], "sound")];
    scene
        .receive(&scene.tom, &found, &[])
        .await
        .is(422)
        .sees("3 pieces listed: how many came?");
    let pieces = format!("{}.pieces", sent[0]);
    scene
        .receive(&scene.tom, &found, &[(&pieces, "2")])
        .await
        .is(422)
        .sees("3 pieces are listed, and 2 came");
    let all = scene.receive(&scene.tom, &found, &[(&pieces, "3")]).await;
    all.is(303);
    let history = scene.anna.get(&scene.at("/history")).await;
    history.sees("3 of 3 listed pieces came");
}
