//! Browsers that cosign.

use super::{ALARM, Browser, checkpoint, faults, log_key, opened, unpacked};
use crate::scene::Scene;
use vestibule::record::bundle::verify;
use vestibule::record::key::{Signer, Verifier};
use vestibule::record::note::text_of;
use vestibule::record::witness::witness_name;

#[tokio::test]
async fn a_browsers_cosignature_is_kept_listed_and_goes_into_the_proof() {
    let scene = Scene::opened().await;
    scene.things().await;
    let note = checkpoint(&scene.dora).await;
    let (lab, office) = (
        Browser::of(&scene, "tom", 1).await,
        Browser::of(&scene, "dora", 2).await,
    );
    lab.cosign(&note).await.is(204);
    lab.cosign(&note).await.is(204);
    office.cosign(&note).await.is(204);
    let id = lab.key.verifier().id();
    let size = opened(&note).size;
    scene
        .dora
        .get("/record")
        .await
        .sees(&format!("Browser key {id}: cosigned {size} entries"))
        .sees("by tom");
    let files = unpacked(&scene.dora.get(&scene.at("/record.tar")).await.is(200).body);
    let report = verify(&files, Some(log_key().verifier()), None);
    assert!(report.holds(), "{report:#?}");
    let said = &report
        .lines
        .iter()
        .find(|line| line.file == "checkpoint.txt")
        .unwrap()
        .sentence;
    for browser in [&lab, &office] {
        let name = browser.key.verifier().name();
        assert!(said.contains(&format!("{name} keeps it too")), "{said}");
    }
    let text = String::from_utf8(files["witnesses.vkey"].clone()).unwrap();
    let keys: Vec<Verifier> = text
        .lines()
        .map(|key| Verifier::parse(key).unwrap())
        .collect();
    assert_eq!(keys.len(), 2);

    // An entry later than what was cosigned is proved against the newest checkpoint alone, until it is cosigned.
    scene.add(&scene.dora, "shade_tab", "", "here").await;
    let files = unpacked(&scene.dora.get(&scene.at("/record.tar")).await.is(200).body);
    assert!(!files.contains_key("witnesses.vkey"));
    let note = checkpoint(&scene.dora).await;
    lab.cosign(&note).await.is(204);
    let files = unpacked(&scene.dora.get(&scene.at("/record.tar")).await.is(200).body);
    assert!(verify(&files, None, None).holds() && files.contains_key("witnesses.vkey"));
    assert_eq!(faults(&scene).await, "");
}

#[tokio::test]
async fn a_cosignature_that_is_not_ones_own_or_not_of_this_record_is_not_taken() {
    let scene = Scene::opened().await;
    let early = checkpoint(&scene.dora).await;
    scene.things().await;
    let note = checkpoint(&scene.dora).await;
    let lab = Browser::of(&scene, "tom", 1).await;
    // Another's name, and none at all.
    for login in ["dora", "lars", "root"] {
        let wrong = Browser {
            key: lab.key.clone(),
            who: scene.world.person(login),
        };
        wrong.cosign(&note).await.is(422);
    }
    let party = witness_name(
        "another.test/record",
        vestibule::domain::people::party::Side::Lab,
        &"x".into(),
    );
    let elsewhere = Browser {
        key: Signer::witness(&party, &[1; 32]).unwrap(),
        who: scene.tom.clone(),
    };
    elsewhere.cosign(&note).await.is(422);
    // The line of another checkpoint, a line that is none, a note that nobody signed or another key did.
    lab.send(&note, &lab.line(&early)).await.is(422);
    lab.send(&note, "").await.is(422);
    lab.send(&note, "— x y").await.is(422);
    lab.send("", "").await.is(422);
    let forger = Signer::log("vestibule.test/record", &[8; 32]).unwrap();
    lab.cosign(&opened(&note).sign(&forger).unwrap())
        .await
        .is(422);
    lab.send(text_of(&note).unwrap(), &lab.line(&note))
        .await
        .is(422);
    let page = scene.tom.get("/record").await;
    page.sees_not("Browser key").sees_not(ALARM);
    // An older one than what is kept changes nothing.
    lab.cosign(&note).await.is(204);
    lab.cosign(&early).await.is(204);
    let size = opened(&note).size;
    scene
        .tom
        .get("/record")
        .await
        .sees(&format!("cosigned {size} entries"))
        .sees_not(ALARM);
}

#[tokio::test]
async fn r23_of_the_browsers_of_one_person_the_oldest_give_way() {
    let scene = Scene::opened().await;
    let note = checkpoint(&scene.dora).await;
    let office = Browser::of(&scene, "dora", 200).await;
    office.cosign(&note).await.is(204);
    for seed in 1..=25 {
        scene.world.pass_minutes(1);
        let lab = Browser::of(&scene, "tom", seed).await;
        lab.cosign(&note).await.is(204);
    }
    let page = scene.tom.get("/record").await;
    let first = Browser::of(&scene, "tom", 1).await.key.verifier().id();
    let last = Browser::of(&scene, "tom", 25).await.key.verifier().id();
    page.sees_not(&format!("Browser key {first}:"));
    page.sees(&format!("Browser key {last}:"));
    let id = office.key.verifier().id();
    let page = scene.dora.get("/record").await;
    page.sees(&format!("Browser key {id}:"));
    assert_eq!(faults(&scene).await, "");
}
