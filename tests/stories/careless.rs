//! A prescription written carelessly on purpose: one thing left out, and the review asks for that one.

use crate::common::Answer;
use crate::scene::{Scene, last_part, open_case};
use scraper::{ElementRef, Html, Selector};
use std::collections::BTreeMap;
use vestibule::domain::review::sample;

/// A case with everything in hand that the whole sample names, and the tag of each thing.
struct Whole {
    scene: Scene,
    tags: BTreeMap<String, String>,
}

/// Name in the sample, kind, arch and place of each thing, and whether it is borrowed.
const THINGS: [(&str, &str, &str, &str, bool); 8] = [
    ("duplicate_upper", "duplicate", "upper", "worn", false),
    ("duplicate_lower", "duplicate", "lower", "worn", false),
    ("provisional_upper", "provisional", "upper", "here", false),
    ("provisional_lower", "provisional", "lower", "here", false),
    ("bite", "bite_record", "", "here", false),
    ("facebow", "facebow_record", "", "here", true),
    ("tab", "shade_tab", "", "here", true),
    ("old_upper", "old_denture", "upper", "here", false),
];

impl Whole {
    async fn opened() -> Whole {
        let mut scene = Scene::opened().await;
        // The sample was taken that morning: at the hour of the scene some of it would still lie ahead.
        scene.later(3 * 60).await;
        let card = sample::patient_raw();
        let card: Vec<(&str, &str)> = card
            .iter()
            .map(|(key, text)| (key.as_str(), text.as_str()))
            .collect();
        scene.patient = last_part(
            &scene
                .dora
                .send("/patients/new", "/patients/new", &card)
                .await,
        );
        scene.number = open_case(&scene.dora, &scene.patient, "both").await;
        let mut tags = BTreeMap::new();
        for (name, kind, arch, place, borrowed) in THINGS {
            let page = scene.at("/items/new");
            let mut fields = vec![("item_kind", kind), ("arch", arch), ("place", place)];
            if borrowed {
                fields.push(("borrowed", "yes"));
            }
            let answer = scene.dora.send(&page, &page, &fields).await;
            tags.insert(name.to_owned(), last_part(&answer));
        }
        let kept = [("consent", "yes"), ("kept", "drawer 3")];
        let old = &tags["old_upper"];
        scene
            .record(&scene.dora, old, "keep_back", &kept)
            .await
            .is(303);
        Whole { scene, tags }
    }

    /// Types the whole sample into the form, with the tags of this case, but for the fields that begin so.
    async fn write_without(&self, left_out: &[&str]) -> Answer {
        let own = |text: &str| {
            let tag = self
                .tags
                .iter()
                .find(|(name, _)| sample::tag_text(name) == text);
            tag.map_or(text, |(_, tag)| tag.as_str()).to_owned()
        };
        let typed: Vec<(String, String)> = sample::raw()
            .into_iter()
            .map(|(key, text)| {
                let is_left_out = left_out.iter().any(|start| key.starts_with(start));
                let text = if is_left_out {
                    String::new()
                } else {
                    own(&text)
                };
                (key, text)
            })
            .collect();
        let fields: Vec<(&str, &str)> = typed
            .iter()
            .map(|(key, text)| (key.as_str(), text.as_str()))
            .collect();
        // A list begins with no row, so that the page has no box for the second: it is posted beside what it has.
        let answer = self.scene.write(&self.scene.dora, &fields).await;
        answer.is(303);
        self.scene.dora.get(&self.scene.at("/write")).await
    }
}

/// Bytes of a page, on a telephone at the chair: an aim of our own.
const PAGE_MOST: usize = 100 * 1024;

/// The findings of the review on a page, each in its words.
fn findings(page: &Answer) -> Vec<String> {
    let html = Html::parse_document(&page.text());
    let each = Selector::parse("#review-list .finding").unwrap();
    let words = |finding: ElementRef<'_>| {
        let text: String = finding.text().collect();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    html.select(&each).map(words).collect()
}

#[tokio::test]
async fn a_complete_prescription_is_asked_nothing_and_can_be_signed() {
    let whole = Whole::opened().await;
    let page = whole.write_without(&[]).await;
    page.is(200).sees("24 of 24 lab essentials are filled in.");
    assert_eq!(findings(&page), Vec::<String>::new());
    let sign = whole.scene.at("/sign");
    let read = whole.scene.dora.get(&sign).await;
    read.is(200).sees_not("Not ready");
    assert!(read.body.len() < PAGE_MOST, "{} bytes", read.body.len());
    let answer = whole
        .scene
        .dora
        .send(&sign, &sign, &[("password", crate::common::PASSWORD)])
        .await;
    answer.is(303);
}

#[tokio::test]
async fn what_is_left_out_is_asked_for_as_exactly_that_one() {
    let whole = Whole::opened().await;
    for (left_out, level, sentence) in [
        (
            vec!["occlusion."],
            "Caution",
            "The occlusal scheme is not named.",
        ),
        (vec!["shade."], "Stop", "No tooth shade is given."),
        (
            vec!["enclosed.2.agent", "enclosed.2.minutes"],
            "Caution",
            "Enclosed item 3: disinfectant or contact time is missing.",
        ),
        (
            vec!["dates."],
            "Stop",
            "The day on which the work is wanted is not given.",
        ),
    ] {
        let page = whole.write_without(&left_out).await;
        page.is(200)
            .sees("23 of 24 lab essentials")
            .sees("1 to answer before signing.");
        let found = findings(&page);
        assert!(
            matches!(found.as_slice(), [only] if only.starts_with(level) && only.contains(sentence)),
            "{left_out:?}: {found:?}"
        );
        let read = whole.scene.dora.get(&whole.scene.at("/sign")).await;
        read.is(200).sees("Not ready to be signed");
        assert!(read.body.len() < PAGE_MOST, "{} bytes", read.body.len());
    }
    // Filled in again, nothing is left of it.
    let page = whole.write_without(&[]).await;
    page.sees("24 of 24 lab essentials")
        .sees("The review has no question.");
}

#[tokio::test]
async fn the_card_of_the_patient_is_asked_for_as_well() {
    let whole = Whole::opened().await;
    let path = format!("/patients/{}", whole.scene.patient);
    let emptied = [("patient.exclusions", "")];
    whole.scene.dora.send(&path, &path, &emptied).await.is(303);
    let page = whole.write_without(&[]).await;
    page.sees("23 of 24 lab essentials")
        .sees("1 to answer before signing.");
    let found = findings(&page);
    assert!(
        matches!(found.as_slice(), [only] if only.contains("Nothing is said about materials to be avoided")),
        "{found:?}"
    );
    // Both pages lead to the card itself, and the one before signing to the fields of the form as well.
    let card = format!("a[href^=\"{path}#f-patient-\"]");
    assert_eq!(page.count(&format!("#review-list {card}")), 1);
    let sign = whole.scene.at("/sign");
    let read = whole.scene.dora.get(&sign).await;
    assert_eq!(read.is(200).count(&format!(".summary {card}")), 1);
    whole.scene.dora.get(&path).await.is(200);
    whole.write_without(&["shade."]).await;
    let read = whole.scene.dora.get(&sign).await;
    let form = whole.scene.at("/write");
    let field = format!(".summary a[href^=\"{form}?at=shade#f-shade-\"]");
    assert!(read.is(200).count(&field) > 0);
}

#[tokio::test]
async fn a_number_in_another_unit_is_kept_and_explained_and_no_number_follows() {
    let scene = Scene::opened().await;
    let typed = [
        (
            "vertical.rest_mm",
            "6.8 cm",
            "“cm” is not converted: write the number in mm",
        ),
        (
            "vertical.occlusal_mm",
            "2.6 in",
            "“in” is not converted: write the number in mm",
        ),
        (
            "anterior.width_mm",
            "4.7",
            "This field takes 25 to 75 mm; 4.7 mm was typed.",
        ),
        (
            "guidance.condylar_right",
            "0.52 rad",
            "“rad” is not converted: write the number in °",
        ),
        ("enclosed.0.minutes", "-10", "Write a whole number."),
        (
            "shade.lightness",
            "Infinity",
            "Write a number, such as 3.5 or 3,5.",
        ),
    ];
    let fields = typed.map(|(key, text, _)| (key, text));
    scene.write(&scene.dora, &fields).await.is(303);
    let page = scene.dora.whole_form(&scene.at("/write")).await;
    for (key, text, message) in typed {
        page.is(200).sees(message);
        assert_eq!(
            page.attribute(&format!("input[name=\"{key}\"]"), "value"),
            text
        );
    }
    page.sees_not("Between rest and occlusion")
        .sees_not("Lateral setting by formula");
}
