//! Two open cases of one patient: what they cannot both say stands on the first page of the office, and on their own.

use crate::common::PASSWORD;
use crate::scene::{LEAST, Scene, last_part, open_case};

const BOTH: &str = "Two open cases of one patient cannot both be right.";

/// A second case of the patient, for the upper arch.
async fn a_second_case(scene: &Scene) -> String {
    let page = scene.dora.get(&scene.at("")).await;
    let card = page.attribute("a[href^='/patients/P']", "href");
    let code = card.rsplit('/').next().unwrap().to_owned();
    open_case(&scene.dora, &code, "upper").await
}

/// A provisional of the upper that the patient wears.
const WORN: [(&str, &str); 3] = [
    ("item_kind", "provisional"),
    ("arch", "upper"),
    ("place", "worn"),
];

#[tokio::test]
async fn two_cases_that_say_something_else_is_worn_stand_on_the_first_page() {
    let (scene, _things) = Scene::at_the_lab().await;
    scene.world.pass_minutes(5);
    let other = a_second_case(&scene).await;
    scene.dora.get("/").await.sees_not(BOTH);
    let new = format!("/cases/{other}/items/new");
    let tag = last_part(&scene.dora.send(&new, &new, &WORN).await);
    for who in [&scene.dora, &scene.anna] {
        let page = who.get("/").await;
        page.sees(BOTH).sees("Worn in the upper arch: case C");
        for number in [&scene.number, &other] {
            let path = format!("/cases/{number}");
            assert!(page.hrefs(&path).contains(&path), "{number}");
        }
    }
    // The lab is told nothing of what the other case says.
    scene.tom.get("/").await.sees_not(BOTH);
    // A mistake is withdrawn, and nothing is left of it.
    let entry = scene.dora.get(&format!("/items/{tag}")).await;
    let entry = entry.option_value("event", "registered");
    let mistake = [
        ("event", entry.as_str()),
        ("mistake", "it stands in the other case"),
    ];
    let withdrawn = scene.record(&scene.dora, &tag, "withdraw", &mistake).await;
    withdrawn.is(303);
    scene.dora.get("/").await.sees_not(BOTH);
}

#[tokio::test]
async fn two_cases_that_make_a_denture_for_one_jaw_stand_on_the_first_page() {
    let scene = Scene::signed().await;
    let other = a_second_case(&scene).await;
    scene.dora.get("/").await.sees_not(BOTH);
    let second = Scene {
        number: other,
        ..scene
    };
    second.sign(&LEAST).await.is(303);
    let said = "both order a denture for the upper arch that is still to be made.";
    second.dora.get("/").await.sees(BOTH).sees(said);
    second.dora.get(&second.at("")).await.sees(said);
    second.tom.get(&second.at("")).await.sees_not(said);
    // Given up, it makes nothing any more.
    let (halt, within) = (second.at("/halt"), "value=\"cancel\"");
    let cancel = [("reason", "it was opened twice"), ("password", PASSWORD)];
    let done = second.dora.send_where(&halt, &halt, within, &cancel).await;
    done.is(303);
    second.dora.get("/").await.sees_not(BOTH);
}

/// Lost by one case, and a later one puts another denture in: the patient is without teeth in neither of them.
#[tokio::test]
async fn a_denture_of_another_case_fills_the_arch_that_stands_empty() {
    let (scene, things) = Scene::at_the_lab().await;
    let lost = [("how", "lost by the patient"), ("password", PASSWORD)];
    let tag = &things.duplicate;
    let answer = scene.record(&scene.dora, tag, "write_off", &lost).await;
    answer.is(303);
    let (office, lab) = (
        "A patient is without teeth",
        "The patient waits without teeth",
    );
    scene.dora.get("/").await.sees(office);
    scene.tom.get("/").await.sees(lab);
    scene.world.pass_minutes(5);
    let other = a_second_case(&scene).await;
    scene.dora.get("/").await.sees(office);
    let new = format!("/cases/{other}/items/new");
    let tag = last_part(&scene.dora.send(&new, &new, &WORN).await);
    scene.dora.get("/").await.sees_not(office);
    scene.tom.get("/").await.sees_not(lab);
    let empty = "The patient has no denture in the upper arch";
    for (who, page) in [(&scene.dora, ""), (&scene.tom, "/bench")] {
        who.get(&scene.at(page)).await.sees_not(empty);
    }
    // It was a mistake: the arch stands empty again, in the case that had told of no change itself.
    let entry = scene.dora.get(&format!("/items/{tag}")).await;
    let entry = entry.option_value("event", "registered");
    let mistake = [("event", entry.as_str()), ("mistake", "of another patient")];
    let withdrawn = scene.record(&scene.dora, &tag, "withdraw", &mistake).await;
    withdrawn.is(303);
    scene.dora.get("/").await.sees(office);
    scene.tom.get(&scene.at("/bench")).await.sees(empty);
}
