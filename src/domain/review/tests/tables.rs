//! What is ordinary stays silent and what is careless is asked, in tables: canine lines, what a card bears, what is told of
//! a tray, how far each jaw is.

use super::*;
use crate::domain::review::Level;

fn has(findings: &[Finding], id: &str) -> bool {
    findings.iter().any(|finding| finding.id == id)
}

/// Lines through the tips or the distal corners, read straight or along the curve, beside widths of both kinds. By hand:
/// from 44 sin((curve - 7.5) / 44) to the curve, a caliper's width being 6 mm less; 4 mm for the eye on both ends.
#[test]
fn canine_lines_are_held_against_the_width_however_either_was_measured() {
    const OFF: &str = "canine-lines-off-the-width";
    let found = |width, method, right, left, gap| {
        let edits = [
            ("anterior.width_mm", width),
            ("anterior.width_method", method),
            ("anterior.canine_right_mm", right),
            ("anterior.canine_left_mm", left),
            ("anterior.diastema_mm", gap),
        ];
        has(&found(&edits), OFF)
    };
    for (width, method, right, left, gap) in [
        // Distal corners along the rim, as the width itself; the tips along it; the tips straight.
        ("48", "curve", "24", "24", ""),
        ("48", "curve", "20.5", "20", ""),
        ("48", "curve", "17.5", "17", ""),
        ("55", "curve", "19", "18.5", ""),
        ("42", "caliper", "24", "24", ""),
        ("42", "caliper", "21", "21", ""),
        ("42", "caliper", "17.5", "17", ""),
        ("48", "", "17.5", "17", ""),
        ("48", "", "27", "27", ""),
        // By eye a little off, and with a gap between the centrals.
        ("48", "curve", "26", "26", ""),
        ("48", "curve", "27", "27", "2"),
    ] {
        let said = found(width, method, right, left, gap);
        assert!(!said, "{width} {method}: {right} and {left}, gap {gap}");
    }
    for (width, method, right, left, gap) in [
        // The whole distance on each side, half of it, a digit lost, another patient's mould.
        ("48", "curve", "38", "38", ""),
        ("48", "curve", "12", "12", ""),
        ("48", "curve", "24", "6", ""),
        ("42", "caliper", "11", "11", ""),
        ("42", "caliper", "29", "29", ""),
        ("48", "curve", "27", "27", ""),
        ("48", "", "32", "32", ""),
    ] {
        let said = found(width, method, right, left, gap);
        assert!(said, "{width} {method}: {right} and {left}, gap {gap}");
    }
}

const ALLOY: [&str; 3] = [
    "alloy-holds-what-is-excluded",
    "alloy-may-hold-what-is-excluded",
    "alloy-unnamed",
];

fn with_card<'a>(card: &'a str, edits: Edits<'a>) -> Vec<Finding> {
    let listed = [("patient.exclusions", "listed"), ("patient.no_other", card)];
    found(&[&listed, edits].concat())
}

/// A card that says what alone is borne always leaves one question, and of a metal it keeps every other one away.
#[test]
fn what_alone_is_borne_keeps_the_other_metals_away_and_leaves_the_rest_to_be_asked() {
    const ASKED: &str = "excluded-substance-unknown";
    let (held, may, unnamed) = (Some(ALLOY[0]), Some(ALLOY[1]), Some(ALLOY[2]));
    for card in [
        "tolerates only titanium",
        "only tolerates titanium",
        "tolerates titanium only",
        "verträgt nur Titan",
    ] {
        for (alloy, wanted) in [
            ("titanium", None),
            // It holds aluminium and vanadium, by its kind.
            ("titanium_alloy", may),
            ("co_cr", held),
            ("gold", held),
            // Nobody says which: it may be titanium.
            ("none_named", unnamed),
            ("other", unnamed),
        ] {
            let mesh = [("base.strengthening", "metal_mesh"), ("base.alloy", alloy)];
            let findings = with_card(card, &mesh);
            let here: Vec<&str> = ALLOY.into_iter().filter(|id| has(&findings, id)).collect();
            assert_eq!(here, Vec::from_iter(wanted), "{card}, {alloy}");
            assert!(has(&findings, ASKED), "{card}, {alloy}");
        }
        for (materials, wanted) in [
            ("heat-cured resin, titanium", None),
            ("heat-cured resin, titanium and NiCr", held),
            ("heat-cured resin, wire", unnamed),
        ] {
            let findings = with_card(card, &[("pieces.0.materials", materials)]);
            let here: Vec<&str> = ALLOY.into_iter().filter(|id| has(&findings, id)).collect();
            assert_eq!(here, Vec::from_iter(wanted), "{card}, {materials}");
        }
    }
    // What nobody knows is asked about under either card, and what is borne is not.
    for (card, materials, is_asked) in [
        ("tolerates only titanium", "heat-cured resin, Voraxin", true),
        (
            "tolerates only polyamide",
            "heat-cured resin, Voraxin",
            true,
        ),
        ("tolerates only polyamide", "heat-cured resin", false),
        (
            "tolerates only titanium",
            "heat-cured resin, titanium",
            false,
        ),
    ] {
        let findings = with_card(card, &[("pieces.0.materials", materials)]);
        assert_eq!(
            has(&findings, "material-not-known"),
            is_asked,
            "{card}, {materials}"
        );
        assert!(has(&findings, ASKED), "{card}, {materials}");
        let stops = findings.iter().any(|one| one.level == Level::Stop);
        assert!(!stops, "{card}, {materials}: {:?}", ids(&findings));
    }
    // "Only nickel" on a list of what is to be avoided is nickel, and nothing else.
    assert!(!has(&with_card("only nickel", &[]), ASKED));
}

/// What is told of an impression, its tray or a length names no material, and no tray that is ordered.
#[test]
fn words_about_impression_tray_and_length_are_no_material_of_the_denture() {
    for text in [
        "heat-cured resin, impression in a custom tray",
        "heat-cured resin from an impression in an acrylic custom tray",
        "heat-cured resin, finished length of the centrals 10 mm",
        "heat-cured resin, closed-mouth impression in individual trays",
    ] {
        for key in [
            "pieces.0.materials",
            "pieces.0.description",
            "base.note",
            "impression.note",
        ] {
            // On a card with latex nothing of this is to be asked.
            let before = with_card("latex", &[(key, "heat-cured resin")]);
            let after = with_card("latex", &[(key, text)]);
            assert_eq!(ids(&after), ids(&before), "{key}: {text}");
        }
    }
    // A base of polyamide for a patient who bears no methacrylate: its tray is a question, and no stop.
    let polyamide = [
        ("duplicate.*", ""),
        // What the patient wears is of something.
        ("duplicate.resin", "polyamide"),
        ("spare.*", ""),
        ("anterior.material", "porcelain"),
        ("posterior.material", "porcelain"),
        ("base.material", "polyamide"),
        ("base.process", "injection"),
        ("base.soft_liner", ""),
        ("base.soft_liner_note", ""),
        ("impression.material", "silicone"),
        ("pieces.0.materials", "polyamide, porcelain teeth"),
        ("pieces.1.materials", "polyamide, porcelain teeth"),
    ];
    const HELD: &str = "methacrylate-excluded-and-cold-cured";
    const MAY: &str = "methacrylate-excluded-and-resin";
    for (text, may) in [
        ("complete denture", false),
        ("complete denture, impression in a custom tray", false),
        (
            "complete denture, impression in an acrylic custom tray",
            true,
        ),
    ] {
        let edits = [&polyamide[..], &[("pieces.0.description", text)]].concat();
        let findings = with_card("methacrylates", &edits);
        assert_eq!(
            (has(&findings, HELD), has(&findings, MAY)),
            (false, may),
            "{text}: {findings:?}"
        );
    }
    // A tray that is ordered is made of what its text names.
    let tray = [
        ("pieces.1.stage", "tray"),
        ("pieces.1.description", "custom tray"),
        ("pieces.1.materials", "cold-cured acrylic tray"),
    ];
    let findings = with_card("methacrylates", &[&polyamide[..], &tray].concat());
    assert!(has(&findings, HELD), "{findings:?}");
}

/// As text and as what is not to be used, the same words are asked about once, as words that name nothing.
#[test]
fn a_tray_that_is_to_be_avoided_is_asked_about_in_one_sentence() {
    for key in ["base.without", "patient.no_other"] {
        let edits = [
            ("patient.exclusions", "listed"),
            ("patient.no_latex", "yes"),
            (key, "impression in a custom tray"),
        ];
        let findings = found(&edits);
        let said: Vec<&str> = findings
            .iter()
            .filter(|one| one.id == "excluded-substance-unknown")
            .map(|one| one.sentence.as_str())
            .collect();
        assert_eq!(said.len(), 1, "{key}: {findings:?}");
        assert!(
            said[0].contains("“impression in a custom tray”"),
            "{said:?}"
        );
    }
}
