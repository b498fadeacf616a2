//! One copy from the first parcel to the final in the mouth, at the bench of its lab: each round asks its own steps.

use crate::scene::{LEAST, Scene};
use vestibule::app::examine::examine;
use vestibule::domain::values::ids::Tag;

/// The prescription of a stage, by what differs from the least.
fn stage(fields: &[(&'static str, &'static str)]) -> Vec<(&'static str, &'static str)> {
    let is_other = |key: &str| fields.iter().all(|(other, _)| *other != key);
    let least = LEAST.iter().copied().filter(|(key, _)| is_other(key));
    least.chain(fields.iter().copied()).collect()
}

impl Scene {
    /// Each of these steps is the next one, and is done.
    async fn does(&self, steps: &[(&str, &str)]) {
        for (step, title) in steps {
            self.world.pass_minutes(2);
            let page = self.tom.get(&self.bench()).await;
            page.is(200).sees(title);
            let next = page.attribute("input[name=bench_step]", "value");
            assert_eq!(next, *step);
            let more = [("no_photo", "the camera is broken")];
            let more = if *step == "flasked" { &more[..] } else { &[] };
            self.works(&self.tom, step, more).await.is(303);
        }
        let page = self.tom.get(&self.bench()).await;
        page.sees("Every step that is asked for is done");
    }

    /// Goes from the lab to the office, and is received there.
    async fn comes_back(&self, tag: &str, purpose: &str) {
        self.world.pass_minutes(2);
        // Pattern and record stay at the lab for now, though a finished copy wants them back with it.
        let purpose = [("purpose_code", purpose), ("wanted_back", "yes")];
        self.release(&self.tom, &[tag], &purpose).await.is(303);
        self.receive(&self.anna, &[(tag, "sound")], &[])
            .await
            .is(303);
        self.world.pass_minutes(2);
    }

    /// A revision is signed, the try-in goes to the lab with it, and the lab works to it.
    async fn goes_on(&self, revision: i64, tag: &str, fields: &[(&str, &str)]) {
        self.sign(fields).await.is(303);
        self.world.pass_minutes(2);
        let after = [("purpose_code", "after_trial")];
        self.release(&self.anna, &[tag], &after).await.is(303);
        self.receive(&self.tom, &[(tag, "sound")], &[])
            .await
            .is(303);
        self.accept(revision).await;
    }
}

#[tokio::test]
async fn a_copy_goes_from_parcel_to_final_with_two_resets_and_is_remade() {
    let scene = Scene::opened().await;
    let first = [
        ("pieces.0.stage", "try_in"),
        ("pieces.0.description", "wax try-in"),
    ];
    scene.sign(&stage(&first)).await.is(303);
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let tags = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &tags, &[]).await.is(303);
    let found = tags.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene.accept(1).await;
    let steps = [
        ("mounted", "0 of 3 steps done"),
        ("set_up", "1 of 3 steps done"),
        ("try_in_checked", "2 of 3 steps done"),
    ];
    scene.does(&steps).await;
    let trial = scene.add(&scene.tom, "try_in", "upper", "here").await;
    // Twice it is not right yet: each reset is a round of its own, on its page, on the list and for the agenda.
    for (revision, mm) in [(2, "1"), (3, "1.5")] {
        scene.comes_back(&trial, "trial").await;
        let reset = [
            ("pieces.0.stage", "reset"),
            ("pieces.0.description", "reset as listed"),
            ("changes.0.what", "midline"),
            ("changes.0.direction", "right"),
            ("changes.0.mm", mm),
        ];
        scene.goes_on(revision, &trial, &reset).await;
        let page = scene.tom.get(&scene.bench()).await;
        page.sees("0 of 2 steps done")
            .sees(&format!(
                "After try-in {}, revision {revision}, signed by dora",
                revision - 1
            ))
            .sees("Reset the teeth as listed");
        let changed = scene.at(&format!("/revisions/{revision}"));
        assert!(page.hrefs(&changed).contains(&changed));
        scene
            .tom
            .get("/bench")
            .await
            .sees("Reset the teeth as listed , 2 to do");
        let steps = [
            ("reset", "Reset the teeth as listed"),
            ("try_in_checked", "1 of 2 steps done"),
        ];
        scene.does(&steps).await;
    }
    scene.comes_back(&trial, "trial").await;
    // Another kind of work: what was of the reset alone goes, and is given again.
    let finish = [
        ("order.course", "copy"),
        ("pieces.0.stage", "process"),
        ("pieces.0.description", "complete denture"),
    ];
    scene.write(&scene.dora, &finish).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let wanted = page.attribute("[name=\"dates.wanted\"]", "value");
    let moved = page.count("[name=\"changes.0.mm\"][value=\"1.5\"]");
    assert_eq!((wanted.as_str(), moved), ("", 0));
    let again = [
        ("pieces.0.arch", "upper"),
        ("pieces.0.materials", "heat-cured resin, cross-linked teeth"),
        ("dates.wanted", "2026-03-20"),
    ];
    scene.goes_on(4, &trial, &again).await;
    // The teeth are set up already; the cast is not poured yet.
    let steps = [
        ("cast_poured", "2 of 8 steps done"),
        ("matrix", "Make the matrix of the pattern"),
        ("flasked", "4 of 8 steps done"),
        ("cured", "Pack and cure"),
        ("remounted", "Remount and grind in"),
        ("finished", "Finish and polish"),
    ];
    scene.does(&steps).await;
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    scene
        .tom
        .get(&scene.bench())
        .await
        .sees("Disinfected before it leaves");
    scene.comes_back(&made, "finished").await;
    scene.fit(&scene.dora, &made, &[]).await.is(303);
    scene
        .tom
        .get(&scene.bench())
        .await
        .sees("8 of 8 steps done");
    // A remake begins with the cast, and what was drawn of all this is what its entries say.
    let remake = [
        ("order.kind", "remake"),
        ("order.remake_reason", "the shade is two steps too dark"),
    ];
    scene.world.pass_minutes(2);
    scene.sign(&remake).await.is(303);
    scene.accept(5).await;
    let page = scene.tom.get(&scene.bench()).await;
    page.sees("0 of 8 steps done").sees("Pour and box the cast");
    let found = examine(&scene.world.app, None).await.unwrap();
    assert_eq!(found.faults, Vec::new());
}

#[tokio::test]
async fn a_refused_height_goes_back_to_the_bench_with_its_new_record() {
    let scene = Scene::opened().await;
    let first = [
        ("order.course", "set_up"),
        ("pieces.0.stage", "try_in"),
        ("pieces.0.description", "wax try-in"),
        ("vertical.occlusal_mm", "64"),
        ("vertical.rest_mm", "66.5"),
    ];
    scene.sign(&stage(&first)).await.is(303);
    let things = scene.things().await;
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let tags = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &tags, &[]).await.is(303);
    let found = tags.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene.accept(1).await;
    let steps = [
        ("mounted", "0 of 3 steps done"),
        ("set_up", "1 of 3 steps done"),
        ("try_in_checked", "2 of 3 steps done"),
    ];
    scene.does(&steps).await;
    let trial = scene.add(&scene.tom, "try_in", "upper", "here").await;
    scene.comes_back(&trial, "trial").await;
    // A height that is right is carried, and one that is refused is measured again.
    let record = scene.add(&scene.anna, "bite_record", "", "here").await;
    let value = async |key: &str| {
        let page = scene.dora.whole_form(&scene.at("/write")).await;
        page.attribute(&format!("[name=\"{key}\"]"), "value")
    };
    let right = [("order.course", "reset"), ("approval.height", "yes")];
    scene.write(&scene.dora, &right).await.is(303);
    assert_eq!(value("vertical.occlusal_mm").await, "64");
    // The page that refuses it shows the old numbers, and is told which of them go.
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    let base = page.attribute("[name=\"base\"]", "value");
    let refused = [("base", base.as_str()), ("approval.height", "no")];
    let autosave = scene.at("/write/autosave");
    let answer = scene.dora.post(&autosave, &refused).await;
    let answer: serde_json::Value = serde_json::from_slice(&answer.is(200).body).unwrap();
    for gone in ["vertical.occlusal_mm", "vertical.rest_mm"] {
        assert_eq!(answer["turned"][gone].as_str(), Some(""), "{gone}");
    }
    assert!(answer["turned"]["approval.height"].is_null());
    assert_eq!(value("vertical.occlusal_mm").await, "");
    let reset = [
        ("pieces.0.arch", "upper"),
        ("pieces.0.stage", "reset"),
        ("pieces.0.description", "mount to the new record and reset"),
        ("pieces.0.materials", "teeth as set, wax"),
        ("pieces.1.arch", ""),
        ("pieces.1.stage", ""),
        ("pieces.1.description", ""),
        ("pieces.1.materials", ""),
        ("approval.arrangement", "yes"),
        ("vertical.occlusal_mm", "61.5"),
        ("jaw.item", record.as_str()),
        ("jaw.taken_on", "2026-03-02"),
        ("dates.wanted", "2026-03-20"),
    ];
    scene.sign(&reset).await.is(303);
    scene.world.pass_minutes(2);
    let tags = [trial.as_str(), record.as_str()];
    let after = [("purpose_code", "after_trial")];
    scene.release(&scene.anna, &tags, &after).await.is(303);
    let found = tags.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    scene.accept(2).await;
    let page = scene.tom.get(&scene.bench()).await;
    page.sees("0 of 3 steps done")
        .sees("Mount the casts")
        .sees("height refused, mount to the new record")
        .sees("61.5 mm")
        .sees(&Tag::parse(&record).unwrap().to_string());
    // Teeth are not moved before they stand at the new height.
    scene.works_next(&scene.tom, "reset", &[]).await.is(422);
    // Nor is it mounted to a new height that nobody has measured.
    let unmeasured = scene.works_next(&scene.tom, "mounted", &[]).await;
    unmeasured.is(422).sees("is not measured");
    let measured = [("m.ovd.measured", "61.5")];
    let mounted = scene.works_next(&scene.tom, "mounted", &measured).await;
    mounted.is(303);
    let page = scene.tom.get(&scene.bench()).await;
    page.sees("Reset to the new height")
        .sees_not("Reset the teeth as listed");
    let list = scene.tom.get("/bench").await;
    list.sees("Reset to the new height , 2 to do")
        .sees_not("as listed");
    let steps = [
        ("reset", "1 of 3 steps done"),
        ("try_in_checked", "2 of 3 steps done"),
    ];
    scene.does(&steps).await;
    // Tried in once more it is another round: what was listed, answered and read for this one is asked again.
    scene.comes_back(&trial, "trial").await;
    let value = async |key: &str| {
        let page = scene.dora.whole_form(&scene.at("/write")).await;
        page.attribute(&format!("[name=\"{key}\"]"), "value")
    };
    assert_eq!(value("vertical.occlusal_mm").await, "61.5");
    assert_eq!(value("dates.wanted").await, "");
}
