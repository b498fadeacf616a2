//! Papers and the bench are read while others write to the same case: nobody has changed anything past this program.

use crate::common::Visitor;
use crate::scene::Scene;
use std::time::{Duration, Instant};

/// Long enough for several of each to come between the others.
const LONG: Duration = Duration::from_secs(2);

/// Answers with how many were entered.
async fn moves(scene: &Scene, who: &Visitor, tag: &str, until: Instant) -> usize {
    let (mut tried, mut count) = (0, 0);
    while Instant::now() < until {
        tried += 1;
        let shelf = format!("shelf {tried}");
        let moved = [("moved_to", shelf.as_str())];
        let answer = scene.record(who, tag, "move", &moved).await;
        answer.sees_not("past this program");
        count += usize::from(answer.status == 303);
    }
    count
}

async fn reads(who: &Visitor, path: &str, until: Instant) -> usize {
    let mut count = 0;
    while Instant::now() < until {
        count += 1;
        who.get(path).await.is(200);
    }
    count
}

#[tokio::test]
async fn what_others_enter_meanwhile_is_not_said_to_be_changed_past_this_program() {
    let (scene, things) = Scene::at_the_lab().await;
    let world = scene.world.signed_beside().await;
    let [dora, anna, tom, mara] = ["dora", "anna", "tom", "mara"].map(|login| world.person(login));
    let scene = Scene {
        world,
        dora,
        anna,
        tom,
        mara,
        ..scene
    };
    let until = Instant::now() + LONG;
    let (bench, materials) = (scene.at("/bench"), scene.at("/materials.pdf"));
    let history = scene.at("/history.pdf");
    let (entered, _, at_bench, of_materials, of_history) = tokio::join!(
        moves(&scene, &scene.tom, &things.bite, until),
        moves(&scene, &scene.tom, &things.provisional, until),
        reads(&scene.tom, &bench, until),
        reads(&scene.dora, &materials, until),
        reads(&scene.tom, &history, until),
    );
    for count in [entered, at_bench, of_materials, of_history] {
        assert!(count > 0);
    }
    assert!(!scene.world.app.store.is_forked());
}
