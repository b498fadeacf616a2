//! Proofs to take away.

use super::{checkpoint, log_key, opened, paper, unpacked};
use crate::scene::{Scene, open_case};
use vestibule::record::bundle::verify;
use vestibule::record::proof::{GrowthProof, InclusionProof};
use vestibule::record::words::PaperRoot;

#[tokio::test]
async fn the_proof_of_growth_leads_from_any_size_to_any_later_one() {
    let scene = Scene::opened().await;
    let mut notes = vec![checkpoint(&scene.dora).await];
    for _ in 0..3 {
        scene.add(&scene.dora, "shade_tab", "", "here").await;
        notes.push(checkpoint(&scene.dora).await);
    }
    let log = log_key();
    for older in &notes {
        let old = opened(older);
        let newest = scene
            .tom
            .get(&format!("/record/growth?from={}", old.size))
            .await;
        assert!(
            newest.headers["content-disposition"]
                .to_str()
                .unwrap()
                .starts_with("attachment")
        );
        let proof = GrowthProof::parse(&newest.is(200).text()).unwrap();
        let seen = proof.verify(&old.root, log.verifier(), &[]).unwrap();
        assert_eq!(seen.checkpoint, opened(notes.last().unwrap()));
        for newer in &notes {
            let new = opened(newer);
            let path = format!("/record/growth?from={}&to={}", old.size, new.size);
            let answer = scene.tom.get(&path).await;
            if new.size < old.size {
                answer.is(422).sees("cannot have grown from");
                continue;
            }
            let proof = GrowthProof::parse(&answer.is(200).text()).unwrap();
            let seen = proof.verify(&old.root, log.verifier(), &[]).unwrap();
            assert_eq!(seen.checkpoint, new);
        }
    }
    for (wrong, key) in [
        ("from=0", "from"),
        ("from=", "from"),
        ("from=two", "from"),
        ("from=1&to=999", "to"),
        ("from=1&to=-1", "to"),
        ("from=1&to=0", "to"),
        ("from=999", "from"),
    ] {
        let page = scene.tom.get(&format!("/record/growth?{wrong}")).await;
        page.is(422);
        assert_eq!(page.count(&format!("#f-{key}-say .message")), 1, "{wrong}");
    }
}

#[tokio::test]
async fn an_entry_and_its_proof_fit_and_are_there_for_its_own_case_only() {
    let (scene, _) = Scene::at_the_lab().await;
    let sven = scene.world.person("sven");
    let patient = crate::scene::last_part(&sven.send("/patients/new", "/patients/new", &[]).await);
    let of_sven = open_case(&sven, &patient, "upper").await;
    let page = scene.tom.get(&scene.at("/history")).await;
    let proofs: Vec<String> = (0..200)
        .map(|leaf| scene.at(&format!("/leaves/{leaf}/proof")))
        .filter(|path| page.count(&format!("a[href=\"{path}\"]")) == 1)
        .collect();
    assert_eq!(
        proofs.len(),
        page.count(".proofs"),
        "each line of the history has its own"
    );
    assert!(proofs.len() > 5);
    for path in &proofs {
        let entry = path.replace("/proof", "/entry");
        let bytes = scene.tom.get(&entry).await.is(200).body.clone();
        let file = scene.dora.get(path).await.is(200).text();
        let proof = InclusionProof::parse(&file).unwrap();
        proof.verify(&bytes, log_key().verifier(), &[]).unwrap();
        for stranger in [&sven, &scene.world.person("lars")] {
            stranger.get(&entry).await.is(404);
            stranger.get(path).await.is(404);
        }
        scene.world.person("root").get(path).await.is(403);
    }
    // Neither under one's own case nor under the other's: a leaf belongs to its case.
    let last = opened(&checkpoint(&sven).await).size - 1;
    for number in [&of_sven, &scene.number] {
        for what in ["entry", "proof"] {
            let path = |leaf: &str| format!("/cases/{number}/leaves/{leaf}/{what}");
            let own = if *number == of_sven {
                &sven
            } else {
                &scene.dora
            };
            let foreign = if *number == of_sven { 0 } else { last };
            own.get(&path(&foreign.to_string())).await.is(404);
            for never in ["9999", "-1", "one", "99999999999999999999"] {
                own.get(&path(never)).await.is(404);
            }
        }
    }
}

#[tokio::test]
async fn the_proof_of_a_case_is_one_file_that_holds_outside() {
    let scene = Scene::opened().await;
    let early = checkpoint(&scene.dora).await;
    scene.things().await;
    let path = scene.at("/record.tar");
    let bytes = scene.tom.get(&path).await.is(200).body.clone();
    assert_eq!(bytes, scene.dora.get(&path).await.body, "the same for both");
    let files = unpacked(&bytes);
    let key = log_key().verifier().clone();
    let report = verify(&files, Some(&key), None);
    assert!(report.holds(), "{report:#?}");
    assert!(files.contains_key("README.txt") && !files.contains_key("witnesses.vkey"));

    let printed = PaperRoot::parse(&paper(&early)).unwrap();
    let with_paper = format!(
        "{path}?{}",
        crate::common::encode([("paper", paper(&early).as_str())].into_iter())
    );
    let files = unpacked(&scene.tom.get(&with_paper).await.is(200).body);
    let report = verify(&files, Some(&key), Some(&printed));
    assert!(report.holds(), "{report:#?}");
    scene
        .tom
        .get(&format!("{path}?paper=1:0123456789abcdef"))
        .await
        .is(409)
        .sees("do not come to the paper's root");
    let wrong = scene.tom.get(&format!("{path}?paper=one")).await;
    wrong.is(422).sees("Type size and root as on the paper");
    assert_eq!(wrong.attribute("#f-paper", "value"), "one");
    for stranger in ["sven", "lars"] {
        scene.world.person(stranger).get(&path).await.is(404);
        scene.world.person(stranger).get(&with_paper).await.is(404);
    }
}
