//! Back again: what the patient wears, keeps and brings back.

use crate::common::{PASSWORD, World};
use crate::scene::{LEAST, SPARE, Scene, last_part};

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
    let none = [
        ("agent", ""),
        ("dilution", ""),
        ("minutes", ""),
        ("rinsed", ""),
    ];
    scene
        .release(&scene.dora, &[&things.duplicate], &none)
        .await
        .is(409);
}

const TO_AVOID: &str = "contains or names it.";

#[tokio::test]
async fn a_denture_of_a_material_to_be_avoided_is_registered_and_fitted_with_a_reason_alone() {
    let card = [
        ("patient.exclusions", "listed"),
        ("patient.no_methacrylate", "yes"),
    ];
    let scene = Scene::opened_for(World::peopled().await, &card, "both").await;
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "duplicate"),
        ("arch", "upper"),
        ("place", "here"),
        ("made_how", "copied in a closed flask"),
        ("material", "cold-curing acrylic, MMA liquid"),
    ];
    // Nothing is signed yet: the card alone says it.
    let asked = scene.dora.send(&page, &page, &fields).await;
    asked.is(422).sees(TO_AVOID);
    assert_eq!(asked.names("made_why"), ["made_why"]);
    let why = ("made_why", "for one night, by the dentist");
    let fields: Vec<(&str, &str)> = fields.into_iter().chain([why]).collect();
    let tag = last_part(&scene.dora.send(&page, &page, &fields).await);
    let item = format!("/items/{tag}");
    scene
        .dora
        .get(&item)
        .await
        .sees("ook whether it may go into the mouth");
    scene.dora.get(&scene.at("/mouth")).await.sees(TO_AVOID);
    let asked = scene.fit(&scene.dora, &tag, &[]).await;
    asked.is(422).sees("or say here why this one goes in");
    let why = ("fit_why", "nothing else is there tonight");
    scene.fit(&scene.dora, &tag, &[why]).await.is(303);
    let history = scene.dora.get(&scene.at("/history")).await;
    history.sees(why.1);
    scene.dora.get(&item).await.sees_not("make another, fit it");
}

#[tokio::test]
async fn what_the_lab_makes_of_a_material_to_be_avoided_is_told_until_it_is_received() {
    let card = [
        ("patient.exclusions", "listed"),
        ("patient.no_nickel", "yes"),
    ];
    let scene = Scene::opened_for(World::peopled().await, &card, "both").await;
    scene.sign(&LEAST).await.is(303);
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let page = scene.at("/items/new");
    let lower = [
        ("item_kind", "duplicate"),
        ("arch", "lower"),
        ("place", "here"),
        ("made_how", "cured on a wire"),
        ("material", "NiCr wire"),
        ("made_why", "never worn, to be looked at"),
    ];
    let own = last_part(&scene.dora.send(&page, &page, &lower).await);
    let tags = [things.provisional.as_str(), things.bite.as_str(), &own];
    scene.release(&scene.anna, &tags, &[]).await.is(303);
    scene
        .receive(&scene.tom, &tags.map(|tag| (tag, "sound")), &[])
        .await
        .is(303);
    // What is the office's goes back as it came.
    let back = [("purpose_code", "going_back"), ("purpose", "")];
    scene.release(&scene.tom, &[&own], &back).await.is(303);
    let sound = [(own.as_str(), "sound")];
    scene.receive(&scene.anna, &sound, &[]).await.is(303);
    let fields = [
        ("item_kind", "final_denture"),
        ("arch", "upper"),
        ("place", "here"),
        ("made_how", "cured on a framework"),
        ("material", "NiCr wire"),
    ];
    let asked = scene.tom.send(&page, &page, &fields).await;
    asked.is(422).sees(TO_AVOID);
    let why = ("made_why", "agreed by telephone");
    let fields: Vec<(&str, &str)> = fields.into_iter().chain([why]).collect();
    let last = last_part(&scene.tom.send(&page, &page, &fields).await);
    let tags = [last.as_str(), &things.provisional, &things.bite];
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    let asked = scene.release(&scene.tom, &tags, &finished).await;
    asked.is(422).sees(TO_AVOID).sees("Send it anyway?");
    let sent = [finished[0], finished[1], ("avoided", "yes")];
    scene.release(&scene.tom, &tags, &sent).await.is(303);
    let parcel = scene.handoff(&scene.anna).await;
    scene.anna.get(&parcel).await.sees(TO_AVOID);
    scene
        .receive(&scene.anna, &tags.map(|tag| (tag, "sound")), &[])
        .await
        .is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(422);
    let why = ("fit_why", "the patient bears it: tested");
    scene.fit(&scene.dora, &last, &[why]).await.is(303);
    // Of the duplicate nobody has said what it is made of.
    let case = scene.dora.get(&scene.at("")).await;
    case.sees("What it is made of is not entered, and something is to be avoided");
}
