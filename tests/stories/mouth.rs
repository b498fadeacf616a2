//! What comes back from the laboratory is disinfected again before it goes into the mouth (a lesson on infection
//! control in the dental laboratory, sccds.org): asked for once, and entered as it was where it was not done.

use crate::common::{Answer, PASSWORD};
use crate::scene::{Scene, Things};

const CLEANED: [(&str, &str); 4] = [
    ("agent", "sample agent"),
    ("dilution", "1:10"),
    ("minutes", "10"),
    ("rinsed", "yes"),
];

/// The upper final lies at the office, come from the lab with its mark.
async fn final_came() -> (Scene, Things, String) {
    let (scene, things) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.release(&scene.tom, &[&last], &[]).await.is(303);
    let found = [(last.as_str(), "sound")];
    scene.receive(&scene.anna, &found, &[]).await.is(303);
    (scene, things, last)
}

/// As the form itself would send it.
async fn fit(scene: &Scene, tag: &str, more: &[(&str, &str)]) -> Answer {
    let path = scene.at("/mouth");
    let fields: Vec<_> = [("fit", tag)].iter().chain(more).copied().collect();
    scene
        .dora
        .send_where(&path, &path, "value=\"upper\"", &fields)
        .await
}

#[tokio::test]
async fn what_came_from_the_lab_is_disinfected_before_it_is_fitted() {
    let (scene, _, last) = final_came().await;
    let answer = fit(&scene, &last, &[]).await;
    answer
        .is(422)
        .sees("Final denture, upper came from the lab, and no disinfection here is entered since")
        .sees("It went in without: enter it as it was");
    assert_eq!(
        answer.count(&format!("option[value=\"{last}\"][selected]")),
        1
    );
    // Half of an entry is none.
    let half = fit(&scene, &last, &CLEANED[..1]).await;
    half.is(422)
        .sees("Write the dilution")
        .sees("Whole minutes");
    fit(&scene, &last, &CLEANED).await.is(303);
    let history = scene.dora.get(&scene.at("/history")).await.words();
    let last = grouped(&last);
    let fitted = history.find(&format!("Final denture, upper {last} fitted"));
    let cleaned = history.find(&format!("Final denture, upper {last} disinfected"));
    assert!(
        fitted.unwrap() < cleaned.unwrap(),
        "the newest first: {history}"
    );
}

fn grouped(tag: &str) -> String {
    vestibule::domain::values::ids::Tag::parse(tag)
        .unwrap()
        .to_string()
}

#[tokio::test]
async fn what_went_in_without_is_entered_as_it_was() {
    let (scene, _, last) = final_came().await;
    fit(&scene, &last, &[("as_it_was", "yes")]).await.is(303);
    let history = scene.dora.get(&scene.at("/history")).await.words();
    let last = grouped(&last);
    assert!(history.contains(&format!("{last} fitted")));
    assert!(history.contains("went in without being disinfected again"));
    let cleaned = history.matches(&format!("{last} disinfected")).count();
    assert_eq!(cleaned, 1, "at the lab, before it left: {history}");
}

#[tokio::test]
async fn nobody_is_asked_twice_nor_about_what_never_left() {
    let (scene, things, last) = final_came().await;
    scene
        .record(&scene.anna, &last, "disinfect", &CLEANED)
        .await
        .is(303);
    let path = scene.at("/mouth");
    assert_eq!(scene.dora.get(&path).await.count("input[name=agent]"), 0);
    fit(&scene, &last, &[]).await.is(303);
    // The duplicate was worn in this mouth, and nowhere else.
    fit(&scene, &things.duplicate, &[]).await.is(303);
    // What is worn and taken out goes in again.
    fit(&scene, &last, &[]).await.is(303);
}

#[tokio::test]
async fn what_is_typed_for_it_comes_back_beside_its_own_arch() {
    let (scene, _, last) = final_came().await;
    let bad = [
        ("agent", "sample agent"),
        ("dilution", "1:10"),
        ("minutes", "many"),
    ];
    let answer = fit(&scene, &last, &bad).await;
    answer.is(422);
    assert_eq!(answer.count("input[name=agent][value=\"sample agent\"]"), 1);
    assert_eq!(answer.count("input[name=minutes][value=many]"), 1);
    assert_eq!(answer.count("input[name=as_it_was]"), 0);
}

/// The form was opened while the thing was on its way: it is asked again of the case as it stands then.
#[tokio::test]
async fn a_form_that_is_older_than_the_receipt_does_not_get_around_it() {
    let (scene, _) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.release(&scene.tom, &[&last], &[]).await.is(303);
    let found = [(last.as_str(), "sound")];
    // Both have looked at the case when the first of them gets its turn.
    let turn = scene.world.app.store.begin().await.unwrap();
    let mut receipt = Box::pin(scene.receive(&scene.anna, &found, &[]));
    let mut fitting = Box::pin(fit(&scene, &last, &[]));
    let moment = std::time::Duration::from_millis(300);
    assert!(tokio::time::timeout(moment, &mut receipt).await.is_err());
    assert!(tokio::time::timeout(moment, &mut fitting).await.is_err());
    drop(turn);
    let (receipt, fitting) = tokio::join!(receipt, fitting);
    receipt.is(303);
    fitting.is(422).sees("came from the lab");
}

/// What came without a mark is held until it is disinfected, so the way past is not offered.
#[tokio::test]
async fn what_is_held_is_not_offered_a_way_around() {
    let (scene, _) = Scene::at_the_lab().await;
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene.release(&scene.tom, &[&last], &[]).await.is(303);
    let marked = format!("{last}.marked");
    let found = [(last.as_str(), "sound")];
    let unmarked = [(marked.as_str(), "no")];
    scene.receive(&scene.anna, &found, &unmarked).await.is(303);
    let answer = fit(&scene, &last, &[]).await;
    answer.is(422).sees("came from the lab");
    assert_eq!(answer.count("input[name=as_it_was]"), 0);
    let bypass = fit(&scene, &last, &[("as_it_was", "yes")]).await;
    bypass.is(409).sees("disinfect it and record that first");
    fit(&scene, &last, &CLEANED).await.is(303);
}

#[tokio::test]
async fn what_contradicts_itself_is_asked_about() {
    let (scene, _, last) = final_came().await;
    let both = [CLEANED.as_slice(), &[("as_it_was", "yes")]].concat();
    let answer = fit(&scene, &last, &both).await;
    answer.is(422).sees("say one of the two");
    let answer = fit(&scene, "nothing", &CLEANED).await;
    answer.is(422).sees("Nothing goes in");
    fit(&scene, &last, &CLEANED).await.is(303);
}

#[tokio::test]
async fn the_mouth_page_offers_what_the_rules_would_let_in_and_the_case_page_follows_it() {
    let scene = Scene::signed().await;
    scene.add(&scene.dora, "provisional", "upper", "worn").await;
    let page = |path: &str| scene.at(path);
    // Nothing lies ready: the dentist alone could leave the arch empty.
    let assistant = scene.anna.get(&page("/mouth")).await;
    assert_eq!(assistant.count("select[name=fit]"), 0);
    assistant.sees("only the dentist lets an arch stay empty");
    let dentist = scene.dora.get(&page("/mouth")).await;
    assert_eq!(dentist.count("option[value=nothing]"), 1);
    // What only “nothing” asks for is folded away, and opens by itself once that was chosen.
    assert_eq!(dentist.count("details:not([open]) input[name=password]"), 1);
    assert_eq!(dentist.count("input[name=password]"), 1);
    let out = [("fit", "nothing")];
    let (path, within) = (page("/mouth"), "value=\"upper\"");
    let empty = scene.dora.send_where(&path, &path, within, &out).await;
    empty.is(409);
    assert_eq!(empty.count("details[open] input[name=password]"), 1);
    let change = format!("a.button[href=\"{}\"]", page("/mouth"));
    let buttons = |answer: &Answer| answer.count(&change);
    assert_eq!(buttons(&scene.anna.get(&page("")).await), 0);
    assert_eq!(buttons(&scene.dora.get(&page("")).await), 1);
    // What was worn over time can be read all the same.
    let reading = format!("a[href=\"{}\"]", page("/mouth"));
    assert_eq!(scene.anna.get(&page("")).await.count(&reading), 1);
    let copy = scene.add(&scene.anna, "duplicate", "upper", "here").await;
    let assistant = scene.anna.get(&page("/mouth")).await;
    assert_eq!(assistant.count(&format!("option[value=\"{copy}\"]")), 1);
    assert_eq!(assistant.count("option[value=nothing]"), 0);
    assert_eq!(buttons(&scene.anna.get(&page("")).await), 1);
}

/// Who looked in the mirror, and what was said, is of the step that put it in; a no says why.
#[tokio::test]
async fn what_the_patient_says_of_the_final_in_the_mirror_stands_with_its_fit() {
    let (scene, _, last) = final_came().await;
    let with = |more: &[(&'static str, &'static str)]| [&CLEANED, more].concat();
    let by = ("approved_by", "patient_and_companion");
    let half = fit(&scene, &last, &with(&[by])).await;
    half.is(422).sees("Choose whether it is wanted so.");
    let half = fit(&scene, &last, &with(&[("approval_said", "too dark")])).await;
    half.is(422).sees("Choose who looked.");
    assert_eq!(half.count("input[name=approval_said][value='too dark']"), 1);
    let but = with(&[by, ("agreement", "agrees_but")]);
    let unsaid = fit(&scene, &last, &but).await;
    unsaid
        .is(422)
        .sees("Write what was said: it is not agreed to as it is.");
    let at_its_field = ".field.wrong input[name=approval_said]";
    assert_eq!(unsaid.count(at_its_field), 1);
    assert_eq!(unsaid.count("main > section > .message"), 0);
    let said = [
        but,
        vec![("approval_said", "the midline a little to the left")],
    ]
    .concat();
    fit(&scene, &last, &said).await.is(303);
    for who in [&scene.anna, &scene.tom] {
        who.get(&scene.at("/history")).await.sees(
            "Looked at in the mirror: the patient, with a companion, agrees, but for what was said: the midline a little to the left",
        );
    }
}

/// What was worn is lost, and nothing else is there: that goes before all else, and the lab is told.
#[tokio::test]
async fn a_patient_left_without_teeth_is_everybodys_first_concern() {
    let (scene, things) = Scene::at_the_lab().await;
    let lost = [("how", "lost by the patient"), ("password", PASSWORD)];
    let answer = scene
        .record(&scene.dora, &things.duplicate, "write_off", &lost)
        .await;
    answer.is(303);
    let page = scene.dora.get(&scene.at("")).await;
    page.sees("nothing: it was lost")
        .sees("See that the patient has teeth")
        .sees("The patient has no denture in the upper arch since");
    // Nothing can go in yet, and the way there stays open all the same.
    let change = format!("a.button[href=\"{}\"]", scene.at("/mouth"));
    assert_eq!(page.count(&change), 1);
    scene
        .dora
        .get("/")
        .await
        .sees("A patient is without teeth")
        .sees("See that the patient has teeth");
    scene
        .tom
        .get("/")
        .await
        .sees("The patient waits without teeth");
    scene
        .tom
        .get(&scene.at("/bench"))
        .await
        .sees("The patient has no denture in the upper arch since");
    // With another denture in, nothing of it is left.
    let other = scene.add(&scene.dora, "provisional", "upper", "worn").await;
    scene
        .dora
        .get("/")
        .await
        .sees_not("A patient is without teeth");
    let page = scene.dora.get(&scene.at("")).await;
    page.sees(&grouped(&other));
}
