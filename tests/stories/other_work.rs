//! Work that is no set of dentures after a pattern of its own, from the first line to the closed case: a broken denture,
//! with a spare in the mouth meanwhile and without one, and a single denture against natural teeth. Common practice, no
//! source.

use crate::common::{PASSWORD, Visitor, World};
use crate::pictures::a_cast_is_photographed;
use crate::scene::{SPARE, Scene};

/// A case of the upper arch for a patient of whom the card says this.
async fn opened(card: &[(&str, &str)]) -> Scene {
    Scene::opened_for(World::peopled().await, card, "upper").await
}

/// What the bench proposes, entered one step after the other.
async fn works_through(scene: &Scene) -> Vec<String> {
    let (bench, mut done) = (scene.at("/bench"), Vec::new());
    loop {
        let page = scene.tom.get(&bench).await;
        if page.is(200).count("#step input[name=bench_step]") == 0 {
            page.sees("Every step that is asked for is done");
            return done;
        }
        assert!(done.len() < 12, "the same steps again: {done:?}");
        let step = page.attribute("#step input[name=bench_step]", "value");
        if step == "flasked" {
            a_cast_is_photographed(scene, &scene.tom).await;
        }
        let lot = [("used.0.material", "of this step"), ("used.0.lot", "26-1")];
        scene.tom.send(&bench, &bench, &lot).await.is(303);
        scene.world.pass_minutes(1);
        done.push(step);
    }
}

/// The parcel with these things comes to the lab, which works to revision 1.
async fn to_the_lab(scene: &Scene, tags: &[&str], purpose: &str) {
    let purpose = [("purpose_code", purpose), ("purpose", "")];
    scene.release(&scene.anna, tags, &purpose).await.is(303);
    stands(&scene.tom, scene, "Your turn: check in the parcel.").await;
    let sound: Vec<(&str, &str)> = tags.iter().map(|tag| (*tag, "sound")).collect();
    scene.receive(&scene.tom, &sound, &[]).await.is(303);
    let read = "Your turn: read and acknowledge the prescription.";
    stands(&scene.tom, scene, read).await;
    scene.accept(1).await;
    let make = "Your turn: make the work and hand it back.";
    stands(&scene.tom, scene, make).await;
}

/// It comes back with these things.
async fn back(scene: &Scene, tags: &[&str]) {
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    scene.release(&scene.tom, tags, &finished).await.is(303);
    // Of a patient who waits without a denture, that stands behind it.
    stands(&scene.dora, scene, "Your turn: check in the parcel").await;
    let sound: Vec<(&str, &str)> = tags.iter().map(|tag| (*tag, "sound")).collect();
    scene.receive(&scene.anna, &sound, &[]).await.is(303);
    stands(&scene.dora, scene, "Your turn: fit what came back").await;
}

async fn stands(who: &Visitor, scene: &Scene, words: &str) {
    who.get(&scene.at("")).await.is(200).sees(words);
}

/// The day after it was fitted: the check, and the end of the case.
async fn checked_and_closed(scene: &Scene) {
    scene.world.pass_minutes(24 * 60);
    let dora = scene.world.visitor("dora").await;
    let (follow_up, close) = (scene.at("/follow-up"), scene.at("/close"));
    let check = [
        ("follow_up", "day"),
        ("follow_arches", "upper"),
        ("look.asked.seen", "yes"),
        ("look.occlusion.seen", "yes"),
        ("followed_by", "nothing"),
    ];
    dora.send(&follow_up, &follow_up, &check).await.is(303);
    dora.get(&close).await.sees("in the patient's mouth");
    let end = [("password", PASSWORD)];
    dora.send(&close, &close, &end).await.is(303);
    dora.get(&scene.at("")).await.sees("This case is closed.");
    // Nothing of it waits for anybody.
    let tom = scene.world.visitor("tom").await;
    for who in [&dora, &tom] {
        let page = who.get("/").await;
        assert_eq!(page.count(&format!("a[href=\"{}\"]", scene.at(""))), 0);
    }
}

/// Broken in the midline; all that is said of it.
const BROKEN: [(&str, &str); 6] = [
    ("repair.fit_together", "yes"),
    ("repair.cause", "dropped"),
    ("repair.broke_before", "no"),
    ("repairs.0.what", "base_broken"),
    ("repairs.0.place", "midline"),
    ("dates.wanted", "2026-03-06"),
];

#[tokio::test]
async fn a_broken_denture_is_mended_while_the_spare_is_worn() {
    let scene = opened(&[]).await;
    let broken = scene
        .add(&scene.dora, "final_denture", "upper", "worn")
        .await;
    let spare = scene.add(&scene.dora, "duplicate", "upper", "here").await;
    // The patient leaves with the spare; what broke is what goes to the lab.
    scene.fit(&scene.dora, &spare, &[]).await.is(303);
    let course = [("order.course", "repair")];
    scene.write(&scene.dora, &course).await.is(303);
    let unsaid = scene.dora.get(&scene.at("/write")).await;
    unsaid.sees("A repair is ordered, and what is to be repaired is not given.");
    scene.sign(&BROKEN).await.is(303);
    stands(&scene.dora, &scene, "upper repair").await;
    stands(&scene.dora, &scene, "Your turn: hand over to the lab.").await;
    scene.dora.get("/").await.sees("U, repair");
    let days = scene.dora.get(&scene.at("/dates")).await;
    days.sees("Repair").sees_not("Set up the teeth");
    let release = scene.anna.get(&scene.at("/release")).await;
    let listed = format!("input[name=\"{broken}.take\"][checked]");
    assert_eq!(release.count(&listed), 1, "what is listed is ticked");
    let worn = format!("input[name=\"{spare}.take\"]");
    assert_eq!(release.count(&worn), 0, "what is worn is not offered");
    to_the_lab(&scene, &[&broken], "repair").await;
    let done = works_through(&scene).await;
    assert_eq!(done, ["cast_poured", "repaired", "finished"]);
    back(&scene, &[&broken]).await;
    scene.fit(&scene.dora, &broken, &[]).await.is(303);
    // The spare is out, and goes back to being one.
    stands(&scene.dora, &scene, "With the patient.").await;
    stands(&scene.dora, &scene, "becomes the spare: mark it").await;
    let given = scene.record(&scene.anna, &spare, "give", &SPARE).await;
    given.is(303);
    stands(&scene.dora, &scene, "is the spare since Mon 2 Mar 2026").await;
    checked_and_closed(&scene).await;
}

#[tokio::test]
async fn a_patient_without_a_spare_goes_without_the_broken_denture_by_a_signed_reason_alone() {
    let scene = opened(&[]).await;
    let broken = scene
        .add(&scene.dora, "final_denture", "upper", "worn")
        .await;
    let (mouth, upper) = (scene.at("/mouth"), "value=\"upper\"");
    let out = [("fit", "nothing")];
    let unsigned = scene.dora.send_where(&mouth, &mouth, upper, &out).await;
    let without = "The patient would have no teeth in the upper arch.";
    unsigned.is(409).sees(without);
    let reason = [
        out[0],
        ("reason", "it is broken, and there is no other"),
        ("password", PASSWORD),
    ];
    let signed = scene.dora.send_where(&mouth, &mouth, upper, &reason).await;
    signed.is(303);
    let page = scene.dora.get(&scene.at("")).await;
    page.sees("In the mouth now").sees("nothing");
    let course = [("order.course", "repair")];
    scene.write(&scene.dora, &course).await.is(303);
    scene.sign(&BROKEN).await.is(303);
    to_the_lab(&scene, &[&broken], "repair").await;
    works_through(&scene).await;
    back(&scene, &[&broken]).await;
    scene.fit(&scene.dora, &broken, &[]).await.is(303);
    let page = scene.dora.get(&scene.at("")).await;
    page.sees("With the patient.").sees_not("becomes the spare");
    checked_and_closed(&scene).await;
}

#[tokio::test]
async fn a_single_denture_against_natural_teeth_goes_its_whole_way() {
    let scene = opened(&[
        ("patient.teeth_upper", "none"),
        ("patient.teeth_lower", "natural"),
    ])
    .await;
    let worn = scene.add(&scene.dora, "provisional", "upper", "worn").await;
    let copy = scene.add(&scene.dora, "duplicate", "upper", "here").await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    let opposing = scene.add(&scene.anna, "impression", "lower", "here").await;
    let sent = [worn.as_str(), bite.as_str(), opposing.as_str()];
    scene.fit(&scene.dora, &copy, &[]).await.is(303);
    let course = [("order.course", "single")];
    scene.write(&scene.dora, &course).await.is(303);
    // What breaks most often is asked about before it is signed.
    scene
        .dora
        .get(&scene.at("/write"))
        .await
        .sees("The denture bites against natural teeth, and no strengthening is ordered.");
    let said = [("shade.tab", "B-20"), ("dates.wanted", "2026-03-20")];
    scene.sign(&said).await.is(303);
    let release = scene.anna.get(&scene.at("/release")).await;
    for tag in sent {
        let listed = format!("input[name=\"{tag}.take\"][checked]");
        assert_eq!(release.count(&listed), 1, "{tag}");
    }
    to_the_lab(&scene, &sent, "make").await;
    // The plan and the bench name the same steps, the matrix of the pattern among them.
    let days = scene.tom.get(&scene.at("/dates")).await;
    days.sees("Matrix, mount");
    let done = works_through(&scene).await;
    let made = ["flasked", "cured", "remounted", "finished"];
    let before = ["cast_poured", "matrix", "mounted", "set_up"];
    assert_eq!(done, [before, made].concat());
    let last = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    back(&scene, &[&last, sent[0], sent[1], sent[2]]).await;
    let unchecked = "What came back is not checked against the prescription yet.";
    stands(&scene.dora, &scene, unchecked).await;
    let fit = scene.at("/fit");
    scene.dora.get(&fit).await.sees("Number of teeth, upper");
    let word = [("fit.shade.verdict", "as_asked")];
    scene.anna.send(&fit, &fit, &word).await.is(303);
    let agreed = [("approved_by", "patient"), ("agreement", "agrees")];
    scene.fit(&scene.dora, &last, &agreed).await.is(303);
    // The jaw with teeth of its own is asked for nothing.
    let page = scene.dora.get(&scene.at("")).await;
    page.sees("With the patient.").sees("becomes the spare");
    let given = scene.record(&scene.anna, &copy, "give", &SPARE).await;
    given.is(303);
    checked_and_closed(&scene).await;
}
