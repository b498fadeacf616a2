//! Rows about purpose, carrier, the unbroken way, and items of other cases.

use super::codes::{receipt, technician};
use super::walk::{is_the_same, walked};
use super::{Spot, eventful, grouped, of_the_demo, other_case, paper, squeezed, work_of};
use crate::common::Answer;
use crate::scene::Scene;
use std::collections::BTreeSet;
use vestibule::app::case_work::CaseWork;
use vestibule::app::examine;
use vestibule::domain::custody::events::Released;
use vestibule::domain::custody::{CustodyRule, Event, Purpose, What, allow};
use vestibule::domain::people::party::Side;
use vestibule::domain::values::ids::Tag;

/// Leaves one box of the release's form empty; what else was typed stays.
async fn left_out(scene: &Scene, tag: &str, key: &str) -> Answer {
    let answer = scene.release(&scene.anna, &[tag], &[(key, " ")]).await;
    assert_eq!(answer.is(422).attribute("[aria-invalid]", "name"), key);
    let take = format!("input[name=\"{tag}.take\"][checked]");
    assert_eq!(answer.count(&take), 1);
    answer
}

/// NIST glossary (CNSSI 4009-2015): the purpose for the transfer.
#[tokio::test]
async fn c08_nothing_is_handed_over_without_its_purpose_and_both_sides_read_it() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    // Whoever says that it is something else has to say what.
    let answer = left_out(&scene, &bite, "purpose").await;
    assert_eq!(
        answer.attribute("select[name=purpose_code] option[selected]", "value"),
        "other"
    );
    let answer = left_out(&scene, &bite, "purpose_code").await;
    for (name, text) in [("carrier", "a courier"), ("purpose", "final upper")] {
        let field = format!("input[name={name}]");
        assert_eq!(answer.attribute(&field, "value"), text);
    }
    // An office finishes nothing for the lab to fit.
    let wrong = [("purpose_code", "finished")];
    let answer = scene.release(&scene.anna, &[&bite], &wrong).await;
    answer
        .is(422)
        .sees("Choose the reason for sending.")
        .sees_not("finished, to be fitted");
    let code = [("purpose_code", "make")];
    scene.release(&scene.anna, &[&bite], &code).await.is(303);
    let handoff = scene.handoff(&scene.tom).await;
    let words = "for fabrication: final upper";
    for who in [&scene.dora, &scene.tom] {
        who.get(&handoff).await.sees(words);
        for page in ["", "/history"] {
            who.get(&scene.at(page)).await.sees(words);
        }
        for path in [format!("{handoff}/note.pdf"), scene.at("/history.pdf")] {
            let paper = paper(who, &path).await;
            assert!(squeezed(&paper).contains(&squeezed(words)), "{paper}");
        }
    }
    // The code stays readable in the record, whatever becomes of the words.
    let purposes = |work: &CaseWork| {
        let of = |event: &Event| match &event.what {
            What::Released(Released {
                purpose_code, from, ..
            }) => Some((*purpose_code, *from)),
            _ => None,
        };
        work.events.iter().filter_map(of).collect::<Vec<_>>()
    };
    assert_eq!(
        purposes(&work_of(&scene).await),
        [(Some(Purpose::Make), Side::Office)]
    );
    for work in of_the_demo().await {
        for (code, from) in purposes(work) {
            assert!(Purpose::of(from).contains(&code.unwrap()));
        }
    }
}

/// 49 CFR 40.73(a)(2): the name of the delivery service.
#[tokio::test]
async fn c09_the_carrier_is_named_and_answers_while_it_is_on_the_way() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.dora, "bite_record", "", "here").await;
    let answer = left_out(&scene, &bite, "carrier").await;
    assert_eq!(
        answer.attribute("input[name=purpose]", "value"),
        "final upper"
    );
    let more = [("tracking", "run 4")];
    scene.release(&scene.anna, &[&bite], &more).await.is(303);
    let handoff = scene.handoff(&scene.tom).await;
    for who in [&scene.dora, &scene.tom] {
        who.get(&handoff).await.sees("a courier, reference run 4");
        who.get(&scene.at("/history"))
            .await
            .sees("a courier, handed over by anna, Northgate Dental")
            .sees("Carrier: a courier, reference run 4");
        let note = paper(who, &format!("{handoff}/note.pdf")).await;
        assert!(note.contains("a courier, reference run 4"), "{note}");
    }
}

/// EPA 905R78115 (1978): possession, view, locked up or sealed, and no gap between.
#[tokio::test]
async fn c12_the_chain_is_unbroken_and_the_way_has_a_holder_of_its_own() {
    let (scene, ..) = eventful().await;
    let own = work_of(&scene).await;
    let mut carried = 0;
    for work in of_the_demo().await.iter().chain([&own]) {
        let after = |event: &Event| event.at.unix_ms;
        for moment in work.events.iter().map(after) {
            // Before, at and after each event, so that no step is passed over.
            for moment in [moment - 1, moment] {
                is_the_same(work, moment);
                let spots = walked(work, moment);
                carried += spots
                    .values()
                    .filter(|spot| matches!(spot, Spot::Carrier(_)))
                    .count();
            }
        }
        is_the_same(work, i64::MAX);
    }
    assert!(carried > 50, "{carried}");
    let examined = examine::examine(&scene.world.app, None).await.unwrap();
    assert!(examined.first().is_none(), "{:?}", examined.first());
}

/// 49 CFR 40.199(b)(4): two collections on one form are a fatal flaw.
#[tokio::test]
async fn c13_an_item_of_one_case_is_on_no_form_of_another() {
    let scene = Scene::signed().await;
    let bite = scene.add(&scene.anna, "bite_record", "", "here").await;
    // Something of its own that could go in, so that the arch has a form.
    scene.add(&scene.anna, "duplicate", "upper", "here").await;
    let (scene, _, foreign) = other_case(scene).await;
    let take = format!("{foreign}.take");
    // Not handed over with this case's, neither alone nor beside one of its own.
    scene.release(&scene.anna, &[&foreign], &[]).await.is(422);
    scene
        .anna
        .get(&scene.at("/release"))
        .await
        .sees_not(&grouped(&foreign));
    // Not fitted, not made from, not used up into.
    scene.fit(&scene.dora, &foreign, &[]).await.is(409);
    let from = format!("{foreign}.from");
    let page = scene.at("/items/new");
    let fields = [
        ("item_kind", "duplicate"),
        ("arch", "upper"),
        ("place", "here"),
        (from.as_str(), "yes"),
        ("made_how", "copied"),
    ];
    scene
        .dora
        .send(&page, &page, &fields)
        .await
        .is(409)
        .sees("is no registered item of this case");
    let into = [("into", "a cast"), ("into_item", foreign.as_str())];
    scene
        .record(&scene.anna, &bite, "use_up", &into)
        .await
        .is(409)
        .sees("is no other item of this case");
    // Not on the prescription.
    let named = [("pattern.upper_item", foreign.as_str())];
    scene.write(&scene.dora, &named).await;
    scene
        .dora
        .get(&scene.at("/write?look=yes"))
        .await
        .sees(&format!("{} is no item of this case.", grouped(&foreign)));
    // Not on the label sheet and not on the custody sheet.
    for path in ["/labels.pdf", "/history.pdf"] {
        let text = paper(&scene.dora, &scene.at(path)).await;
        assert!(!text.contains(&grouped(&foreign)), "{path}: {text}");
        assert!(text.contains(&grouped(&bite)), "{path}: {text}");
    }
    // Ticked beside one of its own in a forged form, it is passed over and stays where it is.
    scene
        .release(&scene.anna, &[&bite], &[(&take, "yes")])
        .await
        .is(303);
    scene
        .anna
        .get(&format!("/items/{foreign}"))
        .await
        .sees("Where it is Northgate Dental")
        .sees_not("Handed over");
    let work = work_of(&scene).await;
    let what = receipt("none", Tag::parse(&foreign).unwrap());
    let refusals = allow(
        &work.context(),
        &what,
        &technician(&work),
        work.events[0].at,
    );
    assert_eq!(refusals[0].rule, CustodyRule::K);
    // No case of the demo tells of another's items.
    for work in of_the_demo().await {
        let own: BTreeSet<&Tag> = work.items.iter().map(|item| &item.tag).collect();
        assert!(work.items.iter().all(|item| item.case == work.case.number));
        for event in &work.events {
            assert_eq!(event.case, work.case.number);
            assert!(event.what.tags().iter().all(|tag| own.contains(tag)));
        }
    }
}
