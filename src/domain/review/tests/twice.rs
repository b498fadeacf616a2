//! What is said twice, and what is judged after a change: whole rows of numbers, with what is found of them.

use super::*;
use crate::domain::review::Level;

/// The findings of a row that are of these names.
fn named(edits: Edits<'_>, names: &[&'static str]) -> Vec<(&'static str, Level)> {
    found(edits)
        .iter()
        .filter(|finding| names.contains(&finding.id))
        .map(|finding| (finding.id, finding.level))
        .collect()
}

#[test]
fn p3_a_bite_that_is_too_high_may_be_lowered() {
    const HEIGHTS: &[&str] = &[
        "rest-not-above-occlusal",
        "interocclusal-unusual",
        "interocclusal-after-change",
        "reading-impossible",
    ];
    let row = |rest: &str, occlusal: &str, order: &str, by: &str| {
        let change = if by.is_empty() { "" } else { "incisors" };
        named(
            &[
                ("vertical.rest_mm", rest),
                ("vertical.occlusal_mm", occlusal),
                ("vertical.order", order),
                ("vertical.change_mm", by),
                ("vertical.change_at", change),
                ("readings.0.rest_mm", rest),
                ("readings.0.occlusal_mm", occlusal),
                ("readings.1.rest_mm", rest),
                ("readings.1.occlusal_mm", occlusal),
            ],
            HEIGHTS,
        )
    };
    use Level::{Caution, Stop};
    // 69 less 70 + 4: 3 mm are left.
    assert_eq!(row("69", "70", "close", "4"), []);
    // 69 less 70 + 2: 1 mm is left.
    assert_eq!(
        row("69", "70", "close", "2"),
        [("interocclusal-after-change", Caution)]
    );
    assert_eq!(
        row("69", "70", "close", "1"),
        [("rest-not-above-occlusal", Stop)]
    );
    // By how much is asked by a rule of its own.
    assert_eq!(row("69", "70", "close", ""), []);
    assert_eq!(
        row("69", "70", "keep", ""),
        [
            ("rest-not-above-occlusal", Stop),
            ("reading-impossible", Caution)
        ]
    );
    // 69 less 66 - 3: nothing is left.
    assert_eq!(
        row("69", "66", "open", "3"),
        [("rest-not-above-occlusal", Stop)]
    );
    assert_eq!(row("69", "65", "open", "1"), []);
}

#[test]
fn p4_the_impossible_is_a_stop_and_the_unlikely_a_caution() {
    const NAMES: &[&str] = &[
        "vertical-change-impossible",
        "vertical-change-large",
        "pin-against-the-ordered-change",
        "pin-off-the-ordered-change",
        "height-kept-and-list-changes-it",
        "incisal-length-against-changes",
    ];
    use Level::{Caution, Stop};
    let open = |by: &'static str, at: &'static str, pin: &'static str| {
        named(
            &[
                ("vertical.order", "open"),
                ("vertical.change_mm", by),
                ("vertical.change_at", at),
                ("guidance.pin_mm", pin),
            ],
            NAMES,
        )
    };
    // 19 mm at the molars are 38 at the incisors.
    assert_eq!(
        open("19", "molars", ""),
        [("vertical-change-impossible", Stop)]
    );
    assert_eq!(open("19", "pin", ""), [("vertical-change-large", Caution)]);
    assert_eq!(
        open("3", "incisors", "-4"),
        [("pin-against-the-ordered-change", Stop)]
    );
    // 3 mm at the pin are 2 at the incisors: a millimetre apart, and told from there on.
    assert_eq!(
        open("3.1", "incisors", "3"),
        [("pin-off-the-ordered-change", Caution)]
    );
    assert_eq!(open("3", "incisors", "4.5"), []);
    assert_eq!(open("3", "pin", "3"), []);
    assert_eq!(open("3", "incisors", "0"), []);
    let lower_up: Edits<'_> = &[
        ("changes.0.what", "lower_arch"),
        ("changes.0.direction", "up"),
        ("changes.0.mm", "3"),
    ];
    assert_eq!(
        named(lower_up, NAMES),
        [("height-kept-and-list-changes-it", Stop)]
    );
    let both_up: Edits<'_> = &[
        ("changes.0.what", "lower_arch"),
        ("changes.0.direction", "up"),
        ("changes.0.mm", "3"),
        ("changes.1.what", "upper_arch"),
        ("changes.1.direction", "up"),
        ("changes.1.mm", "3"),
    ];
    assert_eq!(named(both_up, NAMES), []);
    let incisors: Edits<'_> = &[("changes.1.mm", "1"), ("anterior.incisal_change_mm", "-1")];
    assert_eq!(
        named(incisors, NAMES),
        [("incisal-length-against-changes", Stop)]
    );
}

#[test]
fn p4_the_sentence_names_both_sides_and_what_they_come_to() {
    let findings = found(&[
        ("changes.0.what", "lower_arch"),
        ("changes.0.direction", "up"),
        ("changes.0.mm", "3"),
    ]);
    let sentence = &findings[0].sentence;
    assert_eq!(
        sentence,
        "The vertical dimension is to be kept, and the change list opens it by 3 mm at the posterior teeth, 6 mm at the incisors."
    );
}

#[test]
fn p10_cusps_and_overlap_fit_the_scheme() {
    // What the mould's own angle says against it is another matter.
    let of_another = ["cusps-of-two-angles", "mould-of-another-size"];
    let says = |edits: Edits<'_>| {
        let mut ids = ids(&found(edits));
        ids.retain(|id| !of_another.contains(id));
        ids
    };
    // Upper steep and lower flat is what a lingualized bite is.
    let apart: Edits<'_> = &[
        ("posterior.cusp_upper", "30"),
        ("posterior.cusp_lower", "0"),
    ];
    assert_eq!(says(apart), [""; 0]);
    let flat: Edits<'_> = &[("posterior.cusp_upper", "0"), ("posterior.cusp_lower", "0")];
    assert_eq!(says(flat), ["lingualized-without-upper-cusps"]);
    let steep_below: Edits<'_> = &[
        ("posterior.cusp_upper", "10"),
        ("posterior.cusp_lower", "30"),
    ];
    assert_eq!(says(steep_below), ["lingualized-with-steeper-lower-cusps"]);
    let monoplane: Edits<'_> = &[
        ("occlusion.scheme", "monoplane"),
        ("posterior.cusp_angle", "0"),
        ("occlusion.overbite_mm", "2"),
    ];
    assert_eq!(says(monoplane), ["overbite-in-a-flat-scheme"]);
}

#[test]
fn p5_each_jaw_that_is_copied_needs_its_pattern() {
    let stops = |edits: Edits<'_>| -> Vec<&'static str> {
        let findings = found(edits);
        let stops = findings
            .iter()
            .filter(|finding| finding.level == Level::Stop);
        stops.map(|finding| finding.id).collect()
    };
    let one = ["pattern-of-this-jaw-not-enclosed"];
    assert_eq!(stops(&[("enclosed.1.*", "")]), one);
    assert_eq!(stops(&[("enclosed.0.*", "")]), one);
    assert_eq!(
        stops(&[("enclosed.0.*", ""), ("enclosed.1.*", "")]),
        ["copy-without-pattern"]
    );
    // Without a tag in its field, the denture of that jaw in the box is the pattern.
    assert_eq!(stops(&[("pattern.lower_item", "")]), [""; 0]);
    assert_eq!(
        stops(&[("pattern.lower_item", ""), ("enclosed.1.*", "")]),
        one
    );
    // A row that keeps its disinfectant and loses its tag is no pattern.
    assert_eq!(
        ids(&found(&[("enclosed.1.tag", "")])),
        [one[0], "criterion-21-enclosed"]
    );
    let sentence = &found(&[("enclosed.1.*", "")])[0].sentence;
    assert!(sentence.contains("the lower one"), "{sentence}");
}

/// Which way the bite goes is said without its size, too.
#[test]
fn a_pin_that_goes_the_other_way_is_a_stop_whatever_the_size() {
    const NAMES: &[&str] = &["pin-against-the-ordered-change"];
    for (order, pin, found) in [
        ("open", "-4", true),
        ("close", "4", true),
        ("open", "4", false),
        ("close", "0", false),
    ] {
        for size in ["", "3"] {
            let edits: Edits<'_> = &[
                ("vertical.order", order),
                ("vertical.change_mm", size),
                ("guidance.pin_mm", pin),
            ];
            assert_eq!(
                !named(edits, NAMES).is_empty(),
                found,
                "{order} {size} {pin}"
            );
        }
    }
}

/// One millimetre apart at the incisors is told: 3 mm at the pin are 2 there.
#[test]
fn a_pin_a_millimetre_off_is_told() {
    let edits: Edits<'_> = &[
        ("vertical.order", "open"),
        ("vertical.change_mm", "3"),
        ("vertical.change_at", "incisors"),
        ("guidance.pin_mm", "3"),
    ];
    assert_eq!(
        named(edits, &["pin-off-the-ordered-change"]),
        [("pin-off-the-ordered-change", Level::Caution)]
    );
}
