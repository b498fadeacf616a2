//! Papers and the bench are read while others write to the same case: nobody has changed anything past this program.

use crate::common::{Visitor, World};
use crate::databases::{self, Database};
use crate::lists::{MOULDS, load_moulds};
use crate::scene::{Scene, Things};
use vestibule::store::{LastSigned, Store};

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

/// Each page is read, and says nothing of a change; a paper is printed.
async fn reads(who: &Visitor, path: &str) {
    for _ in 0..MANY {
        let answer = who.get(path).await;
        answer.is(200);
        if !path.ends_with(".pdf") {
            answer.sees_not("past this program");
        }
    }
}

/// A list is written over again and again: it and its newest version are two rows, with a leaf.
async fn loads(who: &Visitor) {
    for stock in 0..MANY / 4 {
        let text = format!("{MOULDS}Finch 6,upper,front,51,curve,10.5,ovoid,,{stock}\n");
        let answer = load_moulds(who, &text).await;
        answer.is(303);
    }
}

/// With a memory of the record, as a program that serves has it.
async fn is_read_while_others_write((scene, things): (Scene, Things)) {
    let case = scene.at("");
    let (bench, materials) = (scene.at("/bench"), scene.at("/materials.pdf"));
    let (history, moulds) = (scene.at("/history.pdf"), scene.at("/moulds"));
    let (entered, ..) = tokio::join!(
        moves(&scene, &scene.tom, &things.bite),
        moves(&scene, &scene.tom, &things.provisional),
        loads(&scene.mara),
        reads(&scene.tom, &bench),
        reads(&scene.dora, &materials),
        reads(&scene.tom, &history),
        reads(&scene.dora, &moulds),
        reads(&scene.anna, &case),
        reads(&scene.dora, "/"),
    );
    assert!(entered > 0);
    assert!(!scene.world.app.store.is_forked());
}

#[tokio::test]
async fn what_others_enter_meanwhile_is_not_said_to_be_changed_past_this_program_on_sqlite() {
    let world = World::peopled().await.signed_beside().await;
    is_read_while_others_write(Scene::at_the_lab_in(world).await).await;
}

#[tokio::test]
async fn what_others_enter_meanwhile_is_not_said_to_be_changed_past_this_program_on_postgres() {
    let Some(database) = Database::postgres().await else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let last = LastSigned::beside(&folder.path().join("record.key"));
    last.begin(&databases::key()).unwrap();
    database.open().await.close().await;
    let store = Store::open_signed(&database.address, databases::key(), last).await;
    let store = store.unwrap();
    let world = World::peopled_on(store.clone()).await;
    is_read_while_others_write(Scene::at_the_lab_in(world).await).await;
    store.close().await;
    database.remove().await;
}
