//! The chain from hand to hand: boxes and seals, what is found wrong and who resolves it, entries from paper,
//! what is made from what, and the end of a case. A letter and a number before a name is the property of a
//! chain of custody that the story stands for.

mod boxes;
mod entries;
mod lines;

use crate::common::{Answer, PASSWORD, Visitor};
use crate::scene::Scene;

/// Time goes by, and everybody looks at a page now and then.
pub async fn wait(scene: &Scene, minutes: i64) {
    for _ in 0..minutes / 10 {
        scene.world.pass_minutes(10);
        for who in [&scene.dora, &scene.anna, &scene.tom, &scene.mara] {
            who.get("/").await.is(200);
        }
    }
}

/// Signs the first statement that this person has to make.
pub async fn resolve(scene: &Scene, who: &Visitor, fields: &[(&str, &str)]) -> Answer {
    let page = scene.at("/holds");
    let mut all = vec![
        ("reason", "the strip tore while packing"),
        ("done", "the contents were whole, go on"),
        ("password", PASSWORD),
    ];
    all.extend(fields);
    who.send(&page, &page, &all).await
}
