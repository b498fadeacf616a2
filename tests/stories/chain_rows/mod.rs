//! The properties of a chain of custody, row by row: each test is named after its row and says who asks for
//! it. The rows that are not here are told in `chain`. Standards that are not free to read are named as they
//! are paraphrased elsewhere; the text itself decides.

mod codes;
mod copies;
mod handing;
mod holders;
mod walk;

use crate::chain::wait;
use crate::common::{PASSWORD, Visitor, World};
use crate::pdf_text::{RAW, text_of};
use crate::scene::{SPARE, Scene, Things, last_part, open_case};
use tokio::sync::OnceCell;
use vestibule::app::case_work::CaseWork;
use vestibule::app::{App, demo};
use vestibule::domain::custody::PassedPlace;
use vestibule::domain::people::party::Side;
use vestibule::domain::values::ids::{HandoffId, Tag};
use vestibule::store::cases;

/// Every case of an installation with its items and events.
async fn all_work(app: &App) -> Vec<CaseWork> {
    let mut conn = app.store.read().await.unwrap();
    let mut all = Vec::new();
    for case in cases::all_cases(&mut conn, 500, 0).await.unwrap() {
        all.push(
            CaseWork::of(app, &mut conn, case, Side::Office)
                .await
                .unwrap(),
        );
    }
    all
}

static DEMO: OnceCell<Vec<CaseWork>> = OnceCell::const_new();

/// The cases of the demo, made once.
pub async fn of_the_demo() -> &'static [CaseWork] {
    let fill = || async {
        let world = World::empty().await;
        demo::fill(&world.app, 0).await.unwrap();
        all_work(&world.app).await
    };
    DEMO.get_or_init(fill).await
}

pub async fn work_of(scene: &Scene) -> CaseWork {
    let mut all = all_work(&scene.world.app).await;
    all.retain(|work| work.case.number.as_str() == scene.number);
    all.remove(0)
}

/// The tag as people read it.
pub fn grouped(tag: &str) -> String {
    Tag::parse(tag).unwrap().to_string()
}

/// A paper breaks its lines anywhere.
pub fn squeezed(text: &str) -> String {
    text.split_whitespace().collect()
}

pub async fn paper(who: &Visitor, path: &str) -> String {
    let answer = who.get(path).await;
    assert_eq!(answer.is(200).headers["content-type"], "application/pdf");
    text_of(&answer.body, RAW)
}

/// A case of the same office and lab beside the scene's own, with a cast in it.
pub async fn other_case(scene: Scene) -> (Scene, String, String) {
    let own = scene.number.clone();
    let other = open_case(&scene.dora, &scene.patient, "both").await;
    let elsewhere = Scene {
        number: other.clone(),
        ..scene
    };
    let foreign = elsewhere
        .add(&elsewhere.dora, "provisional", "upper", "here")
        .await;
    let scene = Scene {
        number: own,
        ..elsewhere
    };
    (scene, other, foreign)
}

/// A whole course with everything that can go wrong on the way: taken back, two boxes, one of them late,
/// something missing that turns up, an entry from paper, a cast that is made and destroyed, the end, and
/// the case opened again.
pub async fn eventful() -> (Scene, Things, String) {
    let scene = Scene::signed().await;
    let things = scene.things().await;
    wait(&scene, 10).await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    wait(&scene, 10).await;
    let sent = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &sent, &[]).await.is(303);
    wait(&scene, 10).await;
    let action = format!("{}/take-back", scene.handoff(&scene.anna).await);
    let back = [
        ("post_key", "take-back-key-1"),
        ("reason", "no courier came"),
        ("password", PASSWORD),
    ];
    scene.anna.post(&action, &back).await.is(303);
    wait(&scene, 10).await;
    let in_second = format!("{}.parcel", things.provisional);
    let boxes = [
        ("parcel.1.seal", "A-17"),
        ("parcel.2.seal", "A-18"),
        (in_second.as_str(), "2"),
    ];
    scene.release(&scene.anna, &sent, &boxes).await.is(303);
    wait(&scene, 20).await;
    let first = [
        ("parcel.1.seal", "intact"),
        ("parcel.1.number", "A-17"),
        ("parcel.2.seal", "not_here"),
    ];
    let found = [(things.bite.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &first).await.is(303);
    wait(&scene, 10).await;
    let second = [("parcel.2.seal", "intact"), ("parcel.2.number", "A-18")];
    let missing = [(things.provisional.as_str(), "missing")];
    scene.receive(&scene.mara, &missing, &second).await.is(303);
    wait(&scene, 10).await;
    let found = [(things.provisional.as_str(), "sound")];
    scene.receive(&scene.mara, &found, &[]).await.is(303);
    wait(&scene, 10).await;
    let cast = made_from(&scene, &things.provisional).await;
    let shelf = [("moved_to", "shelf 4")];
    scene
        .record(&scene.tom, &cast, "move", &shelf)
        .await
        .is(303);
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    wait(&scene, 10).await;
    let back = [last.as_str(), &things.provisional, &things.bite];
    scene.release(&scene.tom, &back, &[]).await.is(303);
    wait(&scene, 60).await;
    // 2026-03-02 08:00 UTC is 09:00 in Vienna, and 160 minutes have passed since.
    let late = [
        ("late_day", "2026-03-02"),
        ("late_time", "11:10"),
        ("late_name", "P. Brand"),
    ];
    let found = back.map(|tag| (tag, "sound"));
    scene.receive(&scene.dora, &found, &late).await.is(303);
    scene.fit(&scene.dora, &last, &[]).await.is(303);
    let how = [("how", "not needed any more")];
    scene
        .record(&scene.tom, &cast, "destroy", &how)
        .await
        .is(303);
    wait(&scene, 10).await;
    scene
        .record(&scene.dora, &things.duplicate, "give", &SPARE)
        .await
        .is(303);
    close_and_reopen(&scene).await;
    (scene, things, cast)
}

async fn made_from(scene: &Scene, parent: &str) -> String {
    let (page, from) = (scene.at("/items/new"), format!("{parent}.from"));
    let fields = [
        ("item_kind", "cast"),
        ("arch", "upper"),
        ("place", "here"),
        (from.as_str(), "yes"),
        ("made_how", "poured"),
    ];
    last_part(&scene.tom.send(&page, &page, &fields).await)
}

async fn close_and_reopen(scene: &Scene) {
    let close = [
        ("post_key", "close-key-00001"),
        ("note", ""),
        ("password", PASSWORD),
    ];
    scene.dora.post(&scene.at("/close"), &close).await.is(303);
    let reopen = [("post_key", "reopen-key-0001"), ("reason", "a sore spot")];
    scene.dora.post(&scene.at("/reopen"), &reopen).await.is(303);
}

/// Where a thing is, told again from the events alone and without the program's own state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Spot {
    House(Side),
    /// On this handoff, and still at this house.
    Packed(HandoffId, Side),
    /// On this handoff, with its carrier.
    Carrier(HandoffId),
    Patient,
    /// Passed on to a second laboratory.
    Passed(PassedPlace),
    /// Used up or destroyed there, or written off on the way.
    Ended(Box<Spot>),
}
