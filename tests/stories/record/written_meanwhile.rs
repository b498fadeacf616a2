//! Papers and the bench are read while others write to the same case: nobody has changed anything past this program.

use crate::common::Visitor;
use crate::scene::Scene;

/// Enough for several of each to come between the others.
const MANY: usize = 40;

/// Answers with how many were entered.
async fn moves(scene: &Scene, who: &Visitor, tag: &str) -> usize {
    let mut count = 0;
    for tried in 0..MANY {
        let shelf = format!("shelf {tried}");
        let moved = [("moved_to", shelf.as_str())];
        let answer = scene.record(who, tag, "move", &moved).await;
        answer.sees_not("past this program");
        count += usize::from(answer.status == 303);
    }
    count
}

async fn reads(who: &Visitor, path: &str) {
    for _ in 0..MANY {
        who.get(path).await.is(200);
    }
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
    let (bench, materials) = (scene.at("/bench"), scene.at("/materials.pdf"));
    let history = scene.at("/history.pdf");
    let (entered, ..) = tokio::join!(
        moves(&scene, &scene.tom, &things.bite),
        moves(&scene, &scene.tom, &things.provisional),
        reads(&scene.tom, &bench),
        reads(&scene.dora, &materials),
        reads(&scene.tom, &history),
    );
    assert!(entered > 0);
    assert!(!scene.world.app.store.is_forked());
}
