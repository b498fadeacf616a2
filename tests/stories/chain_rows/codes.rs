//! Rows of the chain about codes, beginnings and times of handing over.

use super::{grouped, of_the_demo, other_case, paper, squeezed, work_of};
use crate::scene::Scene;
use std::collections::BTreeSet;
use vestibule::app::case_work::CaseWork;
use vestibule::domain::custody::events::Received;
use vestibule::domain::custody::item::Item;
use vestibule::domain::custody::{Event, Found, Outcome, What, allow};
use vestibule::domain::people::party::{Actor, Role, Side};
use vestibule::domain::values::ids::{HandoffId, Tag};

/// ISO/IEC 17025:2017 7.4.2, from a paraphrase; 42 CFR 493.1242(a)(3) and 493.1283(a)(1).
#[tokio::test]
async fn c01_every_item_has_a_code_of_its_own_with_a_check_character_and_one_row() {
    let mut seen = BTreeSet::new();
    for item in of_the_demo().await.iter().flat_map(|work| &work.items) {
        assert!(seen.insert(item.tag.clone()), "{} stands twice", item.tag);
    }
    assert!(seen.len() > 50, "{}", seen.len());
    // One wrong character, wherever it is, is noticed: every one of them is tried.
    let right = seen.first().unwrap().as_str();
    for place in 0..right.len() {
        for other in "0123456789ABCDEFGHJKMNPQRSTVWXYZ".chars() {
            let mut wrong: Vec<char> = right.chars().collect();
            wrong[place] = other;
            let wrong: String = wrong.into_iter().collect();
            assert_eq!(Tag::parse(&wrong).is_ok(), wrong == right, "{wrong}");
        }
    }
    let scene = Scene::signed().await;
    let things = scene.things().await;
    let labels = paper(&scene.dora, &scene.at("/labels.pdf")).await;
    for tag in [&things.provisional, &things.duplicate, &things.bite] {
        for who in [&scene.dora, &scene.tom] {
            let row = format!("th[scope=row] a[href=\"/items/{tag}\"]");
            assert_eq!(who.get(&scene.at("/history")).await.count(&row), 1);
            let page = who.get(&scene.at("")).await;
            assert_eq!(page.count(&format!(".things a[href=\"/items/{tag}\"]")), 1);
        }
        assert_eq!(labels.matches(&grouped(tag)).count(), 1, "{labels}");
    }
}

/// 49 CFR 40.199(b)(5): another number on the form than on the specimen is a fatal flaw.
#[tokio::test]
async fn c02_the_code_on_the_item_is_the_code_on_the_form_or_it_is_not_received() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let cast = scene.add(&scene.dora, "cast", "lower", "here").await;
    let (scene, other, foreign) = other_case(scene).await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    let path = scene.handoff(&scene.tom).await;
    // The same code on the label, on the note in the box and on the form.
    let label = paper(&scene.dora, &scene.at("/labels.pdf")).await;
    let note = paper(&scene.tom, &format!("{path}/note.pdf")).await;
    for text in [&label, &note] {
        assert!(text.contains(&grouped(&bite)), "{text}");
    }
    scene.tom.get(&path).await.sees(&grouped(&bite));
    let scan = async |typed: &str| {
        let fields = [("scan", typed), ("go", "scan")];
        scene.tom.send(&path, &path, &fields).await
    };
    let page = scan(&bite).await;
    let here = format!("input[name=\"{bite}.here\"][checked]");
    assert_eq!(page.is(200).count(&here), 1);
    for (typed, words) in [
        (cast.as_str(), "it was not announced in this handoff"),
        (foreign.as_str(), "Wrong case"),
        (other.as_str(), "a tag is wanted here"),
    ] {
        let page = scan(typed).await;
        assert_eq!(page.is(422).sees(words).count(&here), 0);
    }
    // What is said of another tag says nothing of this one.
    for tag in [&cast, &foreign] {
        let (outcome, marked) = (format!("{tag}.outcome"), format!("{tag}.marked"));
        let fields = [
            ("post_key", "receive-key-001"),
            (outcome.as_str(), "sound"),
            (marked.as_str(), "yes"),
        ];
        let answer = scene.tom.post(&path, &fields).await;
        let wrong = answer.is(422).attribute("[aria-invalid]", "name");
        assert_eq!(wrong, format!("{bite}.outcome"));
    }
    scene
        .dora
        .get(&scene.at("/history"))
        .await
        .sees_not("Received at");
    // And the rules themselves take no receipt of anything that was not sent.
    let work = work_of(&scene).await;
    let handoff = path.rsplit('/').next().unwrap().to_owned();
    for tag in [&cast, &foreign] {
        let what = receipt(&handoff, Tag::parse(tag).unwrap());
        let refusals = allow(
            &work.context(),
            &what,
            &technician(&work),
            work.events[0].at,
        );
        assert!(!refusals.is_empty());
    }
}

pub fn receipt(handoff: &str, tag: Tag) -> What {
    What::Received(Received {
        handoff: HandoffId::new(handoff),
        place: Side::Lab,
        items: vec![Found {
            tag,
            outcome: Outcome::Sound,
            marked_disinfected: true,
            note: String::new(),
            pieces: None,
        }],
        unannounced: String::new(),
        parcels: Vec::new(),
        foreign: String::new(),
        no_pick_up: false,
    })
}

pub fn technician(work: &CaseWork) -> Actor {
    Actor {
        account: "somebody".into(),
        name: "Somebody".to_owned(),
        role: Role::Technician,
        party: work.case.lab.clone(),
        party_name: work.lab.name.clone(),
    }
}

/// ISO/IEC 17025:2017 7.3.3(b) and (d), from a paraphrase; EPA custody plans.
#[tokio::test]
async fn c04_every_item_begins_with_the_place_the_time_and_the_person() {
    for work in of_the_demo().await {
        for Item { tag, .. } in &work.items {
            let of_it: Vec<&Event> = work
                .events
                .iter()
                .filter(|event| event.what.tags().contains(&tag))
                .collect();
            let is_begun = |event: &&Event| matches!(event.what, What::Registered(_));
            let begun: Vec<bool> = of_it.iter().map(is_begun).collect();
            assert!(begun[0] && !begun[1..].contains(&true), "{tag}");
            assert!(!of_it[0].by.name.is_empty() && !of_it[0].by.party_name.is_empty());
        }
    }
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    scene.world.pass_minutes(25);
    let cast = scene.add(&scene.tom, "cast", "upper", "here").await;
    for (tag, words) in [
        (
            &bite,
            [
                "registered, at the office",
                "Mon 2 Mar 2026 09:00 +01:00",
                "anna, assistant, Northgate Dental",
            ],
        ),
        (
            &cast,
            [
                "registered, at the lab",
                "Mon 2 Mar 2026 09:25 +01:00",
                "tom, technician, Kiln Laboratory",
            ],
        ),
    ] {
        for who in [&scene.dora, &scene.mara] {
            let page = who.get(&format!("/items/{tag}")).await;
            for words in words {
                page.sees(words);
            }
        }
    }
}

/// NIST glossary (CNSSI 4009-2015): date and time of each transfer; 42 CFR 493.1242(b) and 493.1283(a)(2):
/// date and time of receipt in the laboratory.
#[tokio::test]
async fn c07_release_and_receipt_each_have_their_time_with_the_offset_of_the_place() {
    let scene = Scene::signed().await;
    let root = scene.world.person("root");
    for path in root.get("/parties").await.hrefs("/parties/") {
        if path != "/parties/new" && root.get(&path).await.text().contains("Kiln") {
            let fields = [("zone", "America/New_York")];
            root.send(&path, &path, &fields).await.is(303);
        }
    }
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    scene.release(&scene.anna, &[&bite], &[]).await.is(303);
    scene.world.pass_minutes(25);
    let found = [(bite.as_str(), "sound")];
    scene.receive(&scene.tom, &found, &[]).await.is(303);
    // 08:00 and 08:25 UTC; Vienna is an hour ahead on that day, New York five behind.
    let (out, back) = ("Mon 2 Mar 2026 09:00 +01:00", "Mon 2 Mar 2026 03:25 -05:00");
    let handoff = scene.handoff(&scene.dora).await;
    for who in [&scene.dora, &scene.tom] {
        for page in [handoff.clone(), scene.at("")] {
            who.get(&page).await.sees(out).sees(back);
        }
        let history = who.get(&scene.at("/history")).await;
        history.sees(out).sees(back);
        let sheet = paper(who, &scene.at("/history.pdf")).await;
        // The sheet says the day once, and the clock on each line.
        for words in ["2026-03-02 +01:00", "09:00 ", "2026-03-02 -05:00", "03:25 "] {
            assert!(squeezed(&sheet).contains(&squeezed(words)), "{sheet}");
        }
    }
    let work = work_of(&scene).await;
    let times: Vec<i64> = work
        .events
        .iter()
        .filter(|event| matches!(event.what, What::Released(_) | What::Received(_)))
        .map(|event| event.at.unix_ms)
        .collect();
    assert_eq!(times[1] - times[0], 25 * 60_000);
}
