//! One case at its lab from the parcel to the fitted final: nothing is written down anywhere else, and the office sees at
//! each step where its things are and what is waited for.

use crate::common::Visitor;
use crate::pictures::a_cast_is_photographed;
use crate::scene::{LEAST, SPARE, Scene};

/// The step that the bench proposes; none when all that is asked for is done.
async fn next_step(scene: &Scene, who: &Visitor) -> Option<String> {
    let page = who.get(&scene.at("/bench")).await;
    page.is(200);
    match page.count("#step input[name=bench_step]") {
        0 => None,
        _ => Some(page.attribute("#step input[name=bench_step]", "value")),
    }
}

/// Enters what the bench proposes, one step after the other, with what each of them wants; the steps as they came.
async fn works_through(scene: &Scene, who: &Visitor) -> Vec<String> {
    let mut done = Vec::new();
    while let Some(step) = next_step(scene, who).await {
        assert!(done.len() < 20, "the same steps again: {done:?}");
        if step == "flasked" {
            a_cast_is_photographed(scene, who).await;
        }
        let lot = [
            ("used.0.material", "a material of this step"),
            ("used.0.lot", "26-0914"),
        ];
        let bench = scene.at("/bench");
        who.send(&bench, &bench, &lot).await.is(303);
        scene.world.pass_minutes(1);
        done.push(step);
    }
    done
}

#[tokio::test]
async fn a_technician_takes_a_case_from_the_parcel_to_the_fitted_final_and_the_office_sees_each_step()
 {
    let scene = Scene::opened().await;
    let things = scene.things().await;
    let height = [("vertical.occlusal_mm", "66"), ("vertical.rest_mm", "69")];
    scene.sign(&[&LEAST[..], &height].concat()).await.is(303);
    scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
    let sent = [things.provisional.as_str(), things.bite.as_str()];
    scene.release(&scene.anna, &sent, &[]).await.is(303);
    let first = |who: &Visitor| {
        let who = who.clone();
        async move { who.get("/").await.words() }
    };
    // The parcel comes, and the lab works to the revision in force.
    assert!(first(&scene.tom).await.contains("heck in the parcel"));
    let sound = sent.map(|tag| (tag, "sound"));
    scene.receive(&scene.tom, &sound, &[]).await.is(303);
    let accept = scene.at("/revisions/1/acknowledge");
    scene.world.pass_minutes(1);
    scene.tom.send(&scene.at(""), &accept, &[]).await.is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees("at Kiln Laboratory")
        .sees("Recent activity Revision 1 acknowledged: the lab works to it");
    // What is unclear is asked about its line and answered; the work goes on.
    let asked = [
        ("matter", "unclear"),
        ("section", "vertical"),
        ("waits", "yes"),
    ];
    let questions = scene.at("/questions");
    let ask = scene.at("/ask");
    scene.tom.send(&questions, &ask, &asked).await.is(303);
    assert!(
        first(&scene.dora)
            .await
            .contains("Held: the work stands still until you act")
    );
    let answer = [("answer", "66 mm, as signed")];
    let to = scene.at("/answer");
    scene.anna.send(&questions, &to, &answer).await.is(303);
    // The bench proposes each step, and nothing is left of them in the end.
    let done = works_through(&scene, &scene.tom).await;
    for step in ["flasked", "cured", "finished"] {
        assert!(done.iter().any(|one| one == step), "{step}: {done:?}");
    }
    let bench = scene.tom.get(&scene.at("/bench")).await;
    bench
        .sees("Every step that is asked for is done")
        .sees("Register what is ordered")
        .sees_not("Disinfect and hand over");
    // What came along is not the final, and a parcel as if it were is asked about.
    let rest = [("purpose_code", "finished"), ("purpose", "")];
    scene
        .release(&scene.tom, &[sent[0]], &rest)
        .await
        .is(422)
        .sees("Ordered and not registered: final denture, upper.");
    let lots = scene.dora.get(&scene.at("/materials.pdf")).await;
    assert!(lots.is(200).body.starts_with(b"%PDF"));
    // The final goes back with all that was sent, and is held against what was asked.
    let made = scene
        .add(&scene.tom, "final_denture", "upper", "here")
        .await;
    let bench = scene.tom.get(&scene.at("/bench")).await;
    bench.sees("Disinfect and hand over");
    // The final is ticked and the reason chosen before anybody has touched the form.
    let form = scene.tom.get(&scene.at("/release")).await;
    assert_eq!(
        form.count(&format!("input[name=\"{made}.take\"][checked]")),
        1
    );
    assert_eq!(
        form.attribute("select[name=purpose_code] option[selected]", "value"),
        "finished"
    );
    let back = [made.as_str(), sent[0], sent[1]];
    let finished = [("purpose_code", "finished"), ("purpose", "")];
    scene.release(&scene.tom, &back, &finished).await.is(303);
    assert!(first(&scene.dora).await.contains("On its way to you"));
    let found = back.map(|tag| (tag, "sound"));
    scene.receive(&scene.anna, &found, &[]).await.is(303);
    let agreed = [("approved_by", "patient"), ("agreement", "agrees")];
    scene.fit(&scene.dora, &made, &agreed).await.is(303);
    let fit = scene.at("/fit");
    let word = [("fit.shade.verdict", "as_asked")];
    scene.anna.send(&fit, &fit, &word).await.is(303);
    let spare = scene.record(&scene.anna, &things.duplicate, "give", &SPARE);
    spare.await.is(303);
    scene
        .dora
        .get(&scene.at(""))
        .await
        .sees(&format!("upper Final denture {}", &made[..3]));
    // Both houses read all of it in one history.
    for who in [&scene.dora, &scene.tom] {
        let history = who.get(&scene.at("/history")).await;
        history
            .sees("66 mm, as signed")
            .sees("26-0914")
            .sees("Looked at in the mirror: the patient agrees")
            .sees("given to the patient as the spare");
    }
}
