//! Materials and what they hold, special orders, and what is asked of them.

use super::*;
use crate::domain::review::Level;

#[test]
fn p10_each_jaw_has_its_cusp_angle_and_the_missing_one_is_asked_for() {
    // Moulds of the sample's list with just these cusps.
    const FLAT_BELOW: (&str, &str) = ("posterior.lower_mould", "Otter F2");
    let apart: Edits<'_> = &[
        FLAT_BELOW,
        ("posterior.cusp_angle", ""),
        ("posterior.cusp_upper", "20"),
        ("posterior.cusp_lower", "0"),
    ];
    assert_eq!(found(apart), []);
    for (edits, key) in [
        (
            &[("posterior.cusp_angle", ""), ("posterior.cusp_upper", "20")] as Edits<'_>,
            "posterior.cusp_lower",
        ),
        (
            &[
                FLAT_BELOW,
                ("posterior.cusp_angle", ""),
                ("posterior.cusp_lower", "0"),
            ],
            "posterior.cusp_upper",
        ),
        (&[("posterior.cusp_angle", "")], "posterior.cusp_angle"),
    ] {
        let findings = found(edits);
        assert_eq!(ids(&findings), ["criterion-12-tooth-material"]);
        assert_eq!(findings[0].key, key);
    }
    // A flat scheme with one steep jaw is named at that jaw.
    let findings = found(&[
        ("occlusion.scheme", "monoplane"),
        ("posterior.cusp_angle", "0"),
        ("posterior.cusp_upper", "20"),
    ]);
    assert_eq!(findings[0].key, "posterior.cusp_upper");
}

/// The card lists exclusions, and these are among them.
fn excluding<'a>(card: &[(&'a str, &'a str)], edits: &[(&'a str, &'a str)]) -> Vec<Finding> {
    let listed = [("patient.exclusions", "listed")];
    let all: Vec<(&str, &str)> = listed.iter().chain(card).chain(edits).copied().collect();
    found(&all)
}

const NO_MONOMER: (&str, &str) = ("patient.no_methacrylate", "yes");
const NO_NICKEL: (&str, &str) = ("patient.no_nickel", "yes");
const NO_COBALT: (&str, &str) = ("patient.no_cobalt_chromium", "yes");
const NO_DYES: (&str, &str) = ("patient.no_dyes", "yes");

/// The sample in another resin, so that only what a test adds is found.
const POLYAMIDE: [(&str, &str); 6] = [
    ("base.material", "polyamide"),
    ("base.process", "injection"),
    ("pieces.0.materials", "polyamide"),
    ("pieces.1.materials", "polyamide"),
    ("duplicate.resin", "polyamide"),
    ("spare.teeth", "denture_teeth"),
];

fn with<'a>(edits: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    POLYAMIDE.iter().chain(edits).copied().collect()
}

#[test]
fn p1_what_is_excluded_is_looked_for_in_every_part_of_the_work() {
    const HELD: &str = "methacrylate-excluded-and-cold-cured";
    for (edits, key) in [
        (
            &[("duplicate.resin", "cold-cure resin")] as Edits<'_>,
            "duplicate.resin",
        ),
        (&[("spare.base", "cold_cured")], "spare.base"),
        (
            &[("pieces.1.materials", "self-cured acrylic")],
            "pieces.1.materials",
        ),
        (
            &[("base.product", "autopolymerising resin")],
            "base.product",
        ),
        (&[("base.material", "cold_cured")], "base.material"),
    ] {
        let findings = excluding(&[NO_MONOMER], &with(edits));
        assert_eq!(ids(&findings).first(), Some(&HELD), "{edits:?}");
        assert_eq!(findings[0].key, key);
        let why = findings[0].why;
        assert!(
            why.contains("safety sheet") && why.contains("physician"),
            "{why}"
        );
    }
    // Fibres, wires, liners: by what is written of them.
    for (card, edits, id) in [
        (
            NO_DYES,
            ("pieces.0.materials", "polyamide, red fibres"),
            "dyes-excluded-and-ordered",
        ),
        (
            NO_NICKEL,
            ("pieces.0.materials", "polyamide, NiCr wire"),
            "alloy-holds-what-is-excluded",
        ),
        (
            NO_NICKEL,
            ("pieces.0.description", "denture with a stainless steel bar"),
            "alloy-holds-what-is-excluded",
        ),
        (
            NO_NICKEL,
            ("base.product", "steel mesh"),
            "alloy-holds-what-is-excluded",
        ),
        (
            ("patient.no_other", "methacrylates"),
            ("impression.material", "hard_reline"),
            "methacrylate-excluded-and-cold-cured",
        ),
        (
            ("patient.no_eugenol", "yes"),
            (
                "pieces.0.description",
                "denture with zinc oxide eugenol left in it",
            ),
            "eugenol-excluded-and-used",
        ),
        (
            ("patient.no_other", "chlorhexidine"),
            ("enclosed.0.agent", "CHX 0.2 %"),
            "excluded-substance-held",
        ),
        (
            ("patient.no_other", "palladium"),
            ("base.alloy", "palladium"),
            "alloy-holds-what-is-excluded",
        ),
    ] {
        let findings = excluding(&[card], &with(&[edits]));
        assert!(
            ids(&findings).contains(&id),
            "{edits:?}: {:?}",
            ids(&findings)
        );
        // Without the exclusion nobody asks.
        let findings = found(&with(&[edits]));
        assert!(!ids(&findings).contains(&id), "{edits:?}");
    }
}

/// Own rule: beside a resin that is none, "acrylic" is another part, and of its cure nothing is said.
#[test]
fn an_acrylic_beside_another_base_is_asked_about() {
    const ASKED: [&str; 1] = ["methacrylate-excluded-and-resin"];
    // Teeth of acrylic hold a trace at the most.
    assert_eq!(excluding(&[NO_MONOMER], &with(&[])), []);
    for edit in [
        (
            "pieces.0.materials",
            "polyamide base, saddles of acrylic resin",
        ),
        ("pieces.0.materials", "polyamide; teeth set in acrylic"),
        ("pieces.0.materials", "polyamide, chairside acrylic repair"),
        ("base.note", "teeth joined with acrylic"),
    ] {
        let findings = excluding(&[NO_MONOMER], &with(&[edit]));
        assert_eq!(ids(&findings), ASKED, "{edit:?}");
        assert_eq!(findings[0].key, edit.0);
    }
}

#[test]
fn a_word_of_the_card_that_is_a_material_is_looked_for_as_it() {
    let polyether = ("patient.no_other", "polyether");
    let findings = excluding(&[polyether], &with(&[("jaw.material", "polyether")]));
    assert_eq!(ids(&findings), ["excluded-substance-named"]);
    assert_eq!(findings[0].key, "jaw.material");
    // Unasked where it is not used, and a word beside it that nobody knows is still said.
    assert_eq!(excluding(&[polyether], &with(&[])), []);
    let two = ("patient.no_other", "polyether, lanolin");
    let findings = excluding(&[two], &with(&[]));
    assert!(ids(&findings).contains(&"excluded-substance-unknown"));
    let unknown = findings.last().map(|one| one.sentence.as_str());
    assert!(unknown.is_some_and(|said| said.contains("lanolin") && !said.contains("polyether")));
    // The row that holds it is named, not the next one.
    let bleach = ("patient.no_other", "bleach");
    let findings = excluding(&[bleach], &with(&[("enclosed.0.agent", "hypochlorite")]));
    assert_eq!(findings[0].key, "enclosed.0.agent");
    assert_eq!(findings[0].level, Level::Stop);
}

#[test]
fn p1_the_duplicate_and_the_spare_are_named_together_in_one_finding() {
    let findings = excluding(
        &[NO_MONOMER],
        &with(&[
            ("duplicate.resin", "cold-cure resin"),
            ("spare.base", "cold_cured"),
        ]),
    );
    assert_eq!(
        findings[0].sentence,
        "To be avoided: residual methacrylate (MMA). What is named here holds it: the duplicate made at the office \
         (cold-cured acrylic) and the spare (cold-cured acrylic). The duplicate is in the mouth: make another of a \
         material that the patient bears, fit it, and sign then."
    );
    assert!(
        findings[0].source.contains("Mikai 2006"),
        "{}",
        findings[0].source
    );
}

#[test]
fn p1_an_unknown_name_is_asked_about_when_anything_is_excluded() {
    let edits = with(&[("base.product", "Otterbase gel")]);
    let asked = excluding(&[NO_NICKEL], &edits);
    assert_eq!(ids(&asked), ["material-not-known"]);
    assert_eq!(
        asked[0].sentence,
        "To be avoided: nickel. What “Otterbase gel” holds is not known here: ask the maker."
    );
    assert_eq!(ids(&found(&edits)), Vec::<&str>::new());
    // A bath holds no nickel, so its name is not asked about; what baths can hold is.
    assert_eq!(
        ids(&excluding(&[NO_NICKEL], &with(&[]))),
        Vec::<&str>::new()
    );
    let asked = excluding(&[("patient.no_other", "iodine")], &with(&[]));
    assert_eq!(ids(&asked), ["material-not-known"]);
    assert_eq!(asked[0].key, "enclosed.0.agent");
}

#[test]
fn p1_what_is_to_be_avoided_is_known_as_a_material_too() {
    let liquid = with(&[("pieces.0.materials", "PMMA powder, MMA liquid")]);
    let found = excluding(&[NO_MONOMER], &liquid);
    assert!(!ids(&found).contains(&"material-not-known"), "{found:?}");
    let said = found.iter().any(|one| one.sentence.contains("(MMA)"));
    assert!(said, "{found:?}");
}

#[test]
fn p1_nothing_ever_says_that_a_material_is_borne() {
    for card in [
        NO_MONOMER,
        NO_NICKEL,
        NO_DYES,
        ("patient.no_other", "lanolin, latex, iodine"),
    ] {
        for edits in [
            vec![],
            with(&[("base.alloy", "co_cr"), ("base.product", "Otterbase")]),
        ] {
            for finding in excluding(&[card], &edits) {
                let words = format!("{} {}", finding.sentence, finding.why).to_lowercase();
                assert!(
                    !words.contains("safe ") && !words.contains("harmless"),
                    "{words}"
                );
            }
        }
    }
}

#[test]
fn p2_a_metal_stops_only_where_the_alloy_named_holds_what_is_excluded() {
    const MESH: (&str, &str) = ("base.strengthening", "metal_mesh");
    let ids_of = |alloy: &str| {
        let edits = with(&[MESH, ("base.alloy", alloy)]);
        ids(&excluding(&[NO_NICKEL, NO_COBALT], &edits))
    };
    const HELD: [&str; 1] = ["alloy-holds-what-is-excluded"];
    assert_eq!(ids_of("co_cr"), HELD);
    assert_eq!(ids_of("ni_cr"), HELD);
    assert_eq!(ids_of("steel"), HELD);
    assert_eq!(ids_of("titanium"), Vec::<&str>::new());
    assert_eq!(ids_of("titanium_alloy"), Vec::<&str>::new());
    assert_eq!(ids_of("none_named"), ["alloy-unnamed"]);
    assert_eq!(ids_of(""), ["alloy-unnamed"]);
    // The alloy may stand with the piece instead.
    let stated = with(&[MESH, ("pieces.0.materials", "polyamide, titanium mesh")]);
    assert_eq!(ids(&excluding(&[NO_NICKEL], &stated)), Vec::<&str>::new());
    // Cobalt-chromium may hold a little nickel and be called free of it: asked, and no stop.
    let edits = with(&[MESH, ("base.alloy", "co_cr")]);
    assert_eq!(
        ids(&excluding(&[NO_NICKEL], &edits)),
        ["alloy-may-hold-what-is-excluded"]
    );
    // A stop and the word itself are one cause.
    let edits = with(&[
        ("base.alloy", "co_cr"),
        ("pieces.0.materials", "polyamide, cobalt-chromium palate"),
    ]);
    assert_eq!(ids(&excluding(&[NO_COBALT], &edits)), HELD);
}

#[test]
fn p15_what_an_agent_or_heat_does_to_its_thing_is_asked_about_with_its_source() {
    for (edits, id, source) in [
        (
            &[("enclosed.0.agent", "surgical spirit")] as Edits<'_>,
            "alcohol-on-acrylic",
            "Regis 2009",
        ),
        (
            &[("enclosed.0.agent", "hot water 93 °C")],
            "denture-in-hot-water",
            "Felton 2011",
        ),
        (
            &[("enclosed.0.agent", "washer-disinfector")],
            "denture-in-hot-water",
            "Felton 2011",
        ),
        (
            &[
                ("enclosed.0.agent", "hypochlorite"),
                ("enclosed.0.note", "denture with a metal palate"),
            ],
            "bleach-on-metal",
            "Ontario",
        ),
        (
            &[
                ("enclosed.0.agent", "bleach"),
                ("base.material", "metal_base"),
                ("pieces.0.stage", "reline"),
                ("pieces.1.stage", "reline"),
            ],
            "bleach-on-metal",
            "Ontario",
        ),
    ] {
        let findings = found(edits);
        let finding = findings.iter().find(|finding| finding.id == id);
        let finding = finding.unwrap_or_else(|| panic!("{edits:?}: {:?}", ids(&findings)));
        assert!(finding.source.contains(source), "{}", finding.source);
        assert_eq!(finding.level, crate::domain::review::Level::Caution);
    }
    // Bleach on acrylic alone, and warm water as makers ask for, are no news.
    assert_eq!(found(&[("enclosed.0.agent", "hypochlorite")]), []);
    assert_eq!(found(&[("enclosed.0.note", "rinsed at 30 °C")]), []);
}

/// The sample as a copy made from files: nothing travels, and the patient keeps the provisional.
const FROM_FILES: Edits<'static> = &[
    ("enclosed.*", ""),
    ("enclosures.*", ""),
    ("returns.*", ""),
    ("back.*", ""),
    ("duplicate.*", ""),
    ("changes.*", ""),
    ("pattern.rule", "exactly"),
    ("kept.0.tag", "@provisional_upper"),
    ("kept.0.by", "patient"),
    ("kept.1.tag", "@provisional_lower"),
    ("kept.1.by", "patient"),
    ("scans.0.file", "upper.stl"),
    ("scans.0.shows", "upper_whole"),
    ("scans.1.file", "lower.stl"),
    ("scans.1.shows", "lower_whole"),
    ("scans.2.file", "both.stl"),
    ("scans.2.shows", "in_occlusion"),
    ("scans.0.format", "stl"),
    ("scans.1.format", "stl"),
    ("scans.2.format", "stl"),
    ("scans.0.units", "mm"),
    ("scans.1.units", "mm"),
    ("scans.2.units", "mm"),
    ("scans.0.on", "2026-03-02"),
    ("scans.1.on", "2026-03-02"),
    ("scans.2.on", "2026-03-02"),
    ("scans.0.looked_at", "yes"),
    ("scans.1.looked_at", "yes"),
    ("scans.2.looked_at", "yes"),
    (
        "scans.0.sha256",
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    ),
    (
        "scans.1.sha256",
        "BA7816BF 8F01CFEA 414140DE 5DAE2223 B00361A3 96177A9C B410FF61 F20015AE",
    ),
    (
        "scans.2.sha256",
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015af",
    ),
    ("scan_set.joined_by", "in_occlusion"),
    ("scan_set.width_checked_mm", "54.5"),
    ("jaw.*", ""),
    ("jaw.position", "intercuspation"),
    ("jaw.at_final_vertical", "yes"),
    ("facebow.*", ""),
    ("facebow.made", "no"),
    ("facebow.plane", "none"),
    ("guidance.*", ""),
    ("guidance.source", "average"),
    ("guidance.articulator", "virtual"),
    ("anterior.arrangement", "copy_exactly"),
    ("shade.tab_enclosed", "no"),
    ("shade.tab_item", ""),
    ("spare.*", ""),
    ("spare.arch", "none"),
    ("impression.*", ""),
    ("impression.source", "scan"),
    ("impression.material", "hard_reline"),
    ("base.material", "milled"),
    ("base.process", "milling"),
    ("pieces.0.materials", "milled resin, base and teeth"),
    ("pieces.1.materials", "milled resin, base and teeth"),
];

#[test]
fn p6_a_copy_made_from_files_can_be_signed_and_asks_for_no_bath_and_no_box() {
    let (document, mut setting) = changed(FROM_FILES);
    // The patient wears the provisional that was scanned.
    setting.worn_upper = sample::tag("provisional_upper");
    setting.worn_lower = sample::tag("provisional_lower");
    let findings = review(&document, &setting);
    assert_eq!(findings, []);
    assert_eq!(
        crate::domain::review::score(&crate::domain::review::criteria(&document, &setting)),
        23
    );
    for (edit, id) in [
        (("scans.0.units", "unknown"), "scan-units-unknown"),
        (("scan_set.joined_by", ""), "scans-of-the-jaws-not-joined"),
        (("scans.1.on", "2026-02-09"), "scan-before-last-correction"),
        (("scans.1.*", ""), "scan-of-a-jaw-missing"),
    ] {
        let edits: Vec<(&str, &str)> = FROM_FILES.iter().copied().chain([edit]).collect();
        let (document, _) = changed(&edits);
        assert_eq!(ids(&review(&document, &setting)), [id]);
    }
}

#[test]
fn p6_a_file_that_is_not_the_one_of_its_item_stops() {
    use crate::domain::custody::FileFacts;
    use crate::domain::custody::item::ItemKind;
    let hash = |last: &str| format!("{}{last}", "a".repeat(63));
    let wanted = hash("b");
    let edits = [
        ("scans.0.tag", "@bite"),
        ("scans.0.sha256", wanted.as_str()),
        ("scans.0.units", "mm"),
        ("scans.0.looked_at", "yes"),
    ];
    let found_with = |sha256: &str, units| {
        let (document, mut setting) = changed(&edits);
        let tag = sample::tag("bite").expect("a thing of the sample");
        for item in setting.items.iter_mut().filter(|item| item.tag == tag) {
            item.kind = ItemKind::Scan;
        }
        let state = setting.custody.get_mut(&tag).expect("its state");
        state.file = Some(FileFacts {
            name: "both.stl".to_owned(),
            format: None,
            units,
            sha256: crate::domain::values::digest::FileHash::parse(sha256).ok(),
        });
        ids(&review(&document, &setting))
    };
    use crate::domain::prescription::FileUnits;
    assert!(!found_with(&hash("b"), Some(FileUnits::Millimetres)).contains(&"scan-off-its-item"));
    assert!(found_with(&hash("c"), None).contains(&"scan-off-its-item"));
    assert!(found_with(&hash("b"), Some(FileUnits::Inches)).contains(&"scan-off-its-item"));
    // Its name and its format: asked about, and no stop where the fingerprint is the same.
    let is_named = |name: &str| {
        let named: Vec<(&str, &str)> = edits
            .iter()
            .copied()
            .chain([("scans.0.file", name)])
            .collect();
        let (document, mut setting) = changed(&named);
        let tag = sample::tag("bite").expect("a thing of the sample");
        let state = setting.custody.get_mut(&tag).expect("its state");
        state.file = Some(FileFacts {
            name: "both.stl".to_owned(),
            ..FileFacts::default()
        });
        ids(&review(&document, &setting)).contains(&"scan-named-otherwise")
    };
    assert!(is_named("upper.stl") && !is_named("Both.STL"));
    // A file of the upper jaw that is said to show the lower one.
    let (document, mut setting) = changed(&[
        ("scans.0.tag", "@old_upper"),
        ("scans.0.shows", "lower_whole"),
    ]);
    let tag = sample::tag("old_upper").expect("a thing of the sample");
    for item in setting.items.iter_mut().filter(|item| item.tag == tag) {
        item.kind = ItemKind::Scan;
    }
    assert!(ids(&review(&document, &setting)).contains(&"tag-of-another-jaw"));
    assert!(!ItemKind::Scan.needs_disinfection() && !ItemKind::Scan.needs_arch());
}

/// An upper immediate denture: six teeth are extracted, the lower teeth stay.
const IMMEDIATE: Edits<'static> = &[
    ("extractions.0.tooth", "13"),
    ("extractions.1.tooth", "12"),
    ("extractions.2.tooth", "11"),
    ("extractions.0.when", "at_insertion"),
    ("extractions.1.when", "at_insertion"),
    ("extractions.2.when", "at_insertion"),
    ("cast_trim.by", "lab"),
    ("cast_trim.facial_mm", "1.5"),
    ("cast_trim.photo", "yes"),
];

#[test]
fn p11_teeth_to_be_extracted_are_listed_and_a_cut_cast_is_warned_of() {
    let with_teeth = |edits: Edits<'_>| {
        let (document, mut setting) = changed(edits);
        setting.natural_teeth = vec![crate::domain::values::arch::Arch::Upper];
        setting.worn_upper = None;
        review(&document, &setting)
    };
    let findings = with_teeth(IMMEDIATE);
    let warned = findings
        .iter()
        .find(|one| one.id == "cast-trim-irreversible")
        .expect("warned of");
    assert_eq!(
        warned.sentence,
        "The lab is to cut 3 teeth off the cast, 1.5 mm deep toward lip and cheek."
    );
    // Natural teeth are not "wears nothing".
    assert!(!ids(&findings).contains(&"arch-without-a-denture"));
    let findings = with_teeth(&[("enclosed.0.*", "")]);
    assert_eq!(
        ids(&findings).into_iter().take(2).collect::<Vec<_>>(),
        ["extraction-list-missing", "cast-trim-unsaid"]
    );
    assert!(!ids(&findings).contains(&"arch-without-a-denture"));
    // Each tooth is printed with its system and in words.
    let (document, _) = changed(IMMEDIATE);
    let printed = document.printed(Numbering::Universal);
    let section = printed
        .iter()
        .find(|section| section.key == "cast_trim")
        .expect("its section");
    assert_eq!(
        section.tables[0].rows[0][0],
        document.cast_trim.extractions[0]
            .tooth
            .expect("a tooth")
            .shown(Numbering::Universal)
    );
    assert!(
        section.tables[0].rows[0][0].contains("upper right canine"),
        "{:?}",
        section.tables[0].rows[0]
    );
}

/// The sources that cite a study: one at least.
fn citing<'a>(sources: &'a [String], study: &str) -> Vec<&'a String> {
    let cited: Vec<&String> = sources
        .iter()
        .filter(|source| source.contains(study))
        .collect();
    assert!(!cited.is_empty(), "{study} is cited");
    cited
}

#[test]
fn p19_each_source_says_what_was_measured_and_on_whom() {
    let of_rules = crate::domain::review::rules().map(|rule| rule.source.to_owned());
    let (document, setting) = changed(&[]);
    let points = crate::domain::review::criteria(&document, &setting);
    let of_points = points
        .iter()
        .filter_map(|point| point.published.map(str::to_owned));
    let sources: Vec<String> = of_rules.chain(of_points).collect();
    // Study, and what has to stand with it wherever it is cited.
    for (study, wanted) in [
        ("Sharma 2020", "in vitro"),
        ("Walker 2010", "steel die"),
        ("Berry 2014", "technicians"),
        ("Berry 2014", "fixed work"),
        ("Al-Kaisy 2016", "one city"),
        ("Tabriz 2016", "fixed"),
        ("China 2014", "partial work"),
        ("Cha 2013", "ceramics"),
        ("Kumar 2013", "natural teeth"),
        ("Morneburg", "natural teeth"),
        ("Nooji", "natural teeth"),
        ("412", "natural teeth"),
        ("41 men", "natural front teeth"),
        ("Murata 2001", "in water"),
        ("Lim & Lee", "new heat-cured bases"),
        ("articulator seller", "without a measurement"),
        ("PMC11104375", "natural teeth"),
    ] {
        for source in citing(&sources, study) {
            let is_audit = ["Tabriz 2016", "China 2014"].contains(&study);
            let is_partial = source.contains("partial work") || source.contains("fixed work");
            let is_partial = is_audit && is_partial;
            assert!(source.contains(wanted) || is_partial, "{study}: {source}");
        }
    }
    let named = |study: &str| sources.iter().any(|source| source.contains(study));
    assert!(!named("survey of laboratories"), "technicians were asked");
}

/// Where what is computed beside the form is known from.
fn sources_of_numbers() -> Vec<String> {
    use crate::domain::prescription::RecordMaterial;
    use crate::domain::trade::material::{self, Alginate};
    use crate::domain::trade::{colour, guidance, hinge, selection};
    use crate::domain::values::moment::Moment;
    let mut all = vec![
        colour::LIGHT_SOURCE,
        guidance::LATERAL_SOURCE,
        guidance::PROTRUSIVE_SOURCE,
        guidance::TRAGUS_SOURCE,
        guidance::USUAL_PROTRUSION_SOURCE,
        hinge::WRONG_AXIS_SOURCE,
    ];
    all.extend(selection::RULES.iter().map(|one| one.source));
    all.extend(selection::POPULATION.iter().map(|one| one.source));
    all.extend(hinge::BALKWILL_AVERAGES.iter().map(|one| one.source));
    for surface in [
        colour::Surface::Teeth,
        colour::Surface::DentureBase,
        colour::Surface::Gingiva,
    ] {
        for formula in [colour::Formula::Ciede2000, colour::Formula::Cie76] {
            all.extend(colour::thresholds(surface, formula).map(|one| one.source));
        }
    }
    let at = |hours: i64| Moment::new(1_700_000_000_000 + hours * 3_600_000, 0);
    let (before, after) = (at(0), at(5));
    let verdicts = [
        material::jaw_record(RecordMaterial::Silicone, before, after),
        material::jaw_record(RecordMaterial::BisAcryl, before, after),
        material::alginate(Alginate::Ordinary { moist: true }, before, after),
        material::alginate(Alginate::Extended { hours: 48 }, before, after),
        material::functional_wear(before, after),
        material::dry_storage(before, after),
    ];
    let verdicts = verdicts.map(|one| one.expect("a clock").said.source);
    let all = all.into_iter().chain(verdicts);
    all.map(|one| one.to_string()).collect()
}

#[test]
fn p19_each_number_beside_the_form_says_what_was_measured_and_on_whom() {
    let sources = sources_of_numbers();
    for (study, wanted) in [
        ("Abdullah 2002", "natural teeth"),
        ("Baker 2011", "casts of jaws without teeth"),
        ("Baker 2011", "no face was measured"),
        ("Isa 2012", "labial surface"),
        ("Isa 2012", "natural teeth"),
        ("41 men", "natural front teeth"),
        ("casts of 412", "natural teeth"),
        ("Paravina", "ceramic"),
        ("291 aged discs", "base that changes"),
        ("pink porcelain", "taken over"),
        ("Cha 2013", "no resin"),
        ("6 % of 300 jaws", "Christensen"),
        ("Morneburg", "natural teeth"),
        ("Kumar 2013", "natural teeth"),
        ("Oh 2020", "not known here"),
        ("Hanau 1930", "not a measurement"),
        ("bis-acryl", "in vitro"),
        ("Sharma 2020", "in vitro"),
        ("Walker 2010", "steel die"),
        ("truncated alginate cones", "in vitro"),
        ("Murata 2001", "in water"),
        ("Lim and Lee 2016", "new heat-cured bases"),
    ] {
        for source in citing(&sources, study) {
            assert!(source.contains(wanted), "{study}: {source}");
        }
    }
    // A name and a year alone say nothing of it.
    for source in &sources {
        let is_of_a_year = source.split([' ', ',', ';', ':', '(', ')']).any(|word| {
            let year = word.parse::<u32>().ok();
            word.len() == 4 && year.is_some_and(|year| (1900..2100).contains(&year))
        });
        let is_from_memory = source.ends_with("from memory");
        let says_more = source.contains(':') || source.contains("natural teeth");
        assert!(!is_of_a_year || is_from_memory || says_more, "{source}");
    }
}

/// Every free text of the catalogue is read against what is to be avoided, or stands in a list with its reason.
#[test]
fn a_wire_of_nickel_is_found_in_every_free_text_that_is_not_left_out_with_a_reason() {
    use crate::domain::prescription::all_fields;
    use crate::domain::review::parts_named::NOT_READ;
    let texts: Vec<&str> = all_fields()
        .filter(|spec| spec.is_free_text())
        .map(|spec| spec.key)
        .collect();
    for (key, why) in NOT_READ {
        assert!(texts.contains(key) && !why.is_empty(), "{key}");
    }
    for key in texts {
        let is_left = NOT_READ.iter().any(|(left, _)| *left == key);
        let row = key.replace('#', "0");
        let findings = excluding(&[NO_NICKEL], &with(&[(&row, "NiCr")]));
        let is_found = findings.iter().any(|finding| {
            matches!(
                finding.id,
                "alloy-may-hold-what-is-excluded" | "alloy-holds-what-is-excluded"
            ) && finding.key == row
        });
        // Four letters fit everywhere but in the number of a set.
        assert_eq!(is_found, !is_left, "{row}: {:?}", ids(&findings));
    }
}

#[test]
fn prose_that_names_what_is_to_be_avoided_asks_and_a_warning_does_not() {
    const NO_LATEX: (&str, &str) = ("patient.no_latex", "yes");
    const NO_EUGENOL: (&str, &str) = ("patient.no_eugenol", "yes");
    const NO_CHX: (&str, &str) = ("patient.no_other", "chlorhexidine");
    const NICKEL_SILVER: &str = "Use the old nickel silver clasp again.";
    for (card, edit, id) in [
        (
            NO_NICKEL,
            ("remarks.remarks", NICKEL_SILVER),
            "excluded-substance-told",
        ),
        (
            NO_NICKEL,
            ("repairs.0.place", "18/8 wire"),
            "alloy-may-hold-what-is-excluded",
        ),
        (
            NO_NICKEL,
            ("posterior.note", "metal occlusal surfaces, non precious"),
            "alloy-unnamed",
        ),
        (
            NO_CHX,
            ("spare.stored", "in chlorhexidine mouthwash"),
            "excluded-substance-held",
        ),
        (
            NO_EUGENOL,
            ("jaw.note", "first try in zinc oxide paste"),
            "eugenol-excluded-and-possible",
        ),
        (
            NO_LATEX,
            ("jaw.grooves", "latex elastics around both blocks"),
            "excluded-substance-possible",
        ),
    ] {
        let findings = excluding(&[card], &with(&[edit]));
        let found = findings.iter().find(|finding| finding.id == id);
        let found = found.unwrap_or_else(|| panic!("{edit:?}: {:?}", ids(&findings)));
        assert_eq!(found.key, edit.0);
        assert_eq!(found.level == Level::Stop, id.ends_with("held"), "{edit:?}");
    }
    for (card, edit) in [
        (
            NO_NICKEL,
            (
                "remarks.remarks",
                "Allergic to nickel: no clasp of any kind.",
            ),
        ),
        (
            NO_NICKEL,
            ("remarks.remarks", "Nickel-free clasp of titanium."),
        ),
        (
            NO_NICKEL,
            ("posterior.note", "teeth mesh as on the pattern"),
        ),
        (
            NO_NICKEL,
            ("remarks.call_before", "the alloy would hold nickel"),
        ),
        (NO_CHX, ("spare.stored", "in water, no chlorhexidine")),
        (NO_LATEX, ("impression.note", "border in rubber base")),
    ] {
        let findings = excluding(&[card], &with(&[edit]));
        let about = findings
            .iter()
            .filter(|finding| finding.key == edit.0)
            .count();
        assert_eq!(about, 0, "{edit:?}: {:?}", ids(&findings));
    }
}

#[test]
fn a_material_that_is_not_to_be_used_is_looked_for_as_itself() {
    const MESH: (&str, &str) = ("base.strengthening", "metal_mesh");
    const COCR: (&str, &str) = ("base.alloy", "co_cr");
    const WITHOUT: (&str, &str) = ("base.without", "nickel-chromium wire");
    // Another alloy with chromium in it is not what is meant.
    assert_eq!(found(&with(&[MESH, COCR, WITHOUT])), []);
    let findings = found(&with(&[MESH, ("base.alloy", "ni_cr"), WITHOUT]));
    assert_eq!(ids(&findings), ["excluded-substance-named"]);
    assert_eq!(findings[0].key, "base.alloy");
    let findings = found(&with(&[WITHOUT, ("remarks.remarks", "NiCr wire")]));
    assert_eq!(ids(&findings), ["excluded-substance-told"]);
    // Heat-cured resin is no cold-cured one.
    let cold = ("base.without", "cold-cured resin");
    assert_eq!(found(&with(&[cold, ("base.product", "heat-cured")])), []);
}

/// What is taken and enclosed cannot be untaken: it is asked about, and what is still to be taken stops. Own rule.
#[test]
fn a_record_that_is_taken_already_asks_and_one_that_is_not_stops() {
    const NO_EUGENOL: (&str, &str) = ("patient.no_eugenol", "yes");
    const ZOE: (&str, &str) = ("jaw.material", "zoe");
    const SURFACE: (&str, &str) = ("impression.material", "zoe");
    let (still, taken) = ("eugenol-excluded-and-used", "eugenol-excluded-and-possible");
    for (edits, id) in [
        (&[ZOE, ("jaw.taken_on", ""), ("jaw.item", "")][..], still),
        (&[ZOE], taken),
        (&[SURFACE, ("impression.removed_on", "")], still),
        (&[SURFACE], taken),
    ] {
        let findings = excluding(&[NO_EUGENOL], &with(edits));
        let mut own = findings
            .iter()
            .filter(|one| [still, taken].contains(&one.id));
        let found = own.next().unwrap_or_else(|| panic!("{edits:?}"));
        assert_eq!((found.id, own.next()), (id, None), "{edits:?}");
        let is_told = found.sentence.contains("Taken already");
        assert_eq!(is_told, id == taken, "{}", found.sentence);
    }
}

/// Common practice, no source: what is out of the mouth is asked about, and what is worn stops or is asked for.
#[test]
fn a_duplicate_that_is_to_be_avoided_stops_while_it_is_worn_and_is_asked_about_once_it_is_out() {
    let (stop, caution) = (
        "methacrylate-excluded-and-cold-cured",
        "methacrylate-excluded-and-resin",
    );
    let card = [("patient.exclusions", "listed"), NO_MONOMER];
    let cold = [("duplicate.resin", "cold-cure resin")];
    let emptied = [("duplicate.*", "")];
    // what is written, whether it is out, and what is found
    for (edits, is_out, id, words) in [
        (&cold[..], false, stop, "make another"),
        (&cold, true, caution, "It was worn, and is out"),
        (&emptied, false, caution, "the duplicate made at the office"),
    ] {
        let all: Vec<_> = card.into_iter().chain(with(edits)).collect();
        let (document, mut setting) = changed(&all);
        if is_out {
            (setting.worn_upper, setting.worn_lower) = (None, None);
            for state in setting.custody.values_mut() {
                (state.worn, state.was_taken_out) = (false, true);
            }
        }
        let findings = crate::domain::review::review(&document, &setting);
        let mut own = findings
            .iter()
            .filter(|one| [stop, caution].contains(&one.id));
        let found = own.next().unwrap_or_else(|| panic!("{edits:?}"));
        assert_eq!((found.id, own.next()), (id, None), "{edits:?}");
        assert!(found.sentence.contains(words), "{}", found.sentence);
    }
}

/// Alloys that are named by their kind, and what sticks by rosin, are asked about in prose and for minutes too. Own rule.
#[test]
fn what_some_products_hold_is_asked_about_wherever_it_is_named() {
    const NO_COLOPHONY: (&str, &str) = ("patient.no_other", "colophony");
    const NO_FORMALDEHYDE: (&str, &str) = ("patient.no_other", "formaldehyde");
    let (alloy, other) = (
        "alloy-may-hold-what-is-excluded",
        "excluded-substance-possible",
    );
    for (card, edit, id) in [
        (NO_NICKEL, ("remarks.remarks", "Co-Cr mesh"), alloy),
        (
            NO_NICKEL,
            ("remarks.remarks", "chrome mesh as before"),
            alloy,
        ),
        (NO_NICKEL, ("changes.0.note", "cobalt-chrome bar"), alloy),
        (NO_COLOPHONY, ("jaw.material", "zoe"), other),
        (NO_COLOPHONY, ("remarks.remarks", "sticky wax"), other),
        (
            NO_COLOPHONY,
            ("remarks.remarks", "border in green stick"),
            other,
        ),
        (
            NO_FORMALDEHYDE,
            ("enclosed.0.agent", "glutaraldehyde 2 %"),
            other,
        ),
    ] {
        let findings = excluding(&[card], &with(&[edit]));
        let found = findings.iter().find(|one| one.id == id);
        let found = found.unwrap_or_else(|| panic!("{edit:?}: {:?}", ids(&findings)));
        assert_eq!(found.level, Level::Caution, "{edit:?}");
        assert!(!ids(&self::found(&with(&[edit]))).contains(&id), "{edit:?}");
    }
    // Plain wax holds it seldom: a remark.
    let findings = excluding(&[NO_COLOPHONY], &with(&[("jaw.material", "wax")]));
    let found = findings.iter().find(|one| one.id == other);
    assert!(
        found.is_none_or(|one| one.key != "jaw.material"),
        "{found:?}"
    );
    assert!(ids(&findings).contains(&"excluded-substance-in-some-products"));
}

/// Own rule: what is named beside a part that is not named hides it from nobody.
#[test]
fn a_resin_of_which_the_cure_is_not_said_is_asked_for_beside_one_that_is_named() {
    let heat: Edits<'_> = &[
        ("base.material", "high_impact"),
        ("pieces.0.materials", "high-impact resin"),
        ("pieces.1.materials", "high-impact resin"),
    ];
    const LOWER: &str = "tooth-coloured & pink resin, as usual";
    for (edits, what) in [
        (
            &[("duplicate.resin", "tooth coloured resin + pink")] as Edits<'_>,
            "the duplicate made at the office",
        ),
        (&[("base.soft_liner", "yes")], "the soft liner"),
        (
            &[
                ("pieces.1.stage", "duplicate"),
                ("pieces.1.materials", LOWER),
            ],
            "the lower piece",
        ),
        (
            &[(
                "pieces.1.materials",
                "polyamide base, saddles of acrylic resin",
            )],
            "the lower piece",
        ),
    ] {
        let all = [heat, edits].concat();
        let findings = excluding(&[NO_MONOMER], &all);
        let mut asked = findings.iter();
        let asked = asked.find(|one| one.id == "methacrylate-excluded-and-resin");
        let said = asked.map(|one| one.sentence.as_str()).unwrap_or_default();
        let unsaid = said.split("is not given").nth(1).unwrap_or_default();
        assert!(
            said.contains("may hold it") && unsaid.contains(what),
            "{edits:?}: {said}"
        );
    }
    // One word is the two that it joins.
    let findings = excluding(
        &[NO_MONOMER],
        &[heat, &[("duplicate.resin", "coldcure resin")][..]].concat(),
    );
    assert!(ids(&findings).contains(&"methacrylate-excluded-and-cold-cured"));
    // A piece that only says acrylic is of the base that is chosen.
    let plain = [
        heat,
        &[
            ("pieces.1.materials", "acrylic base"),
            ("duplicate.resin", "polyamide"),
            // The resin of a spare's own teeth is asked about by itself.
            ("spare.teeth", "denture_teeth"),
        ],
    ]
    .concat();
    let findings = excluding(&[NO_MONOMER], &plain);
    assert!(
        findings
            .iter()
            .all(|one| !one.sentence.contains("is not given"))
    );
}

/// Common practice, no source: clasp, wire and the housing of an attachment are not made of the palate's alloy.
#[test]
fn the_alloy_of_the_palate_answers_for_no_wire_clasp_or_housing() {
    const TITANIUM: [(&str, &str); 2] = [
        ("base.strengthening", "metal_mesh"),
        ("base.alloy", "titanium"),
    ];
    for edit in [
        (
            "pieces.1.materials",
            "polyamide, ball attachments with metal housings, wire",
        ),
        ("pieces.1.description", "overdenture, metal housings"),
        ("base.note", "clasp wire on 43"),
    ] {
        let edits = with(&[&TITANIUM[..], &[edit]].concat());
        let findings = excluding(&[NO_NICKEL], &edits);
        assert_eq!(ids(&findings), ["alloy-unnamed"], "{edit:?}");
        assert_eq!(findings[0].key, edit.0);
    }
    for edit in [
        ("pieces.1.materials", "polyamide, mesh"),
        ("pieces.1.materials", "polyamide, titanium wire"),
    ] {
        let edits = with(&[&TITANIUM[..], &[edit]].concat());
        assert_eq!(
            ids(&excluding(&[NO_NICKEL], &edits)),
            Vec::<&str>::new(),
            "{edit:?}"
        );
    }
}

/// Own rule: a stop only where nothing says "free of".
#[test]
fn a_word_that_clears_a_material_stops_nothing() {
    const NO_PEROXIDE: (&str, &str) = ("patient.no_peroxide", "yes");
    const NO_LATEX: (&str, &str) = ("patient.no_latex", "yes");
    const NO_ALCOHOL: (&str, &str) = ("patient.no_other", "alcohol");
    const NO_METAL: (&str, &str) = ("patient.no_other", "metal");
    // The conditioner of the sample's own impression holds alcohol, whatever a piece says of another.
    const SURFACE: (&str, &str) = ("impression.material", "silicone");
    for (card, edit) in [
        (
            NO_MONOMER,
            ("pieces.0.materials", "MMA-free cold-cured resin"),
        ),
        (
            NO_PEROXIDE,
            ("pieces.0.materials", "peroxide-free self-cure resin"),
        ),
        (
            NO_NICKEL,
            (
                "pieces.0.materials",
                "polyamide, Ni-free stainless steel wire",
            ),
        ),
        (
            NO_NICKEL,
            ("pieces.0.materials", "polyamide, nickel free SS wire"),
        ),
        (
            NO_ALCOHOL,
            (
                "pieces.0.materials",
                "polyamide, alcohol-free tissue conditioner",
            ),
        ),
        (
            NO_LATEX,
            ("pieces.0.materials", "high-impact rubber-modified acrylic"),
        ),
        (
            NO_METAL,
            ("pieces.0.materials", "polyamide, fiberglass mesh"),
        ),
        (
            NO_METAL,
            ("pieces.0.materials", "polyamide, no metal, wire or clasps"),
        ),
        (
            NO_NICKEL,
            ("pieces.0.materials", "polyamide, fibreglass mesh"),
        ),
        (
            NO_DYES,
            ("pieces.0.materials", "polyamide, without veins or stains"),
        ),
        (
            NO_NICKEL,
            ("pieces.0.materials", "polyamide, pt allergic to nickel"),
        ),
        (
            NO_PEROXIDE,
            ("enclosed.0.agent", "accelerated hydrogen peroxide wipes"),
        ),
        (NO_PEROXIDE, ("enclosed.0.agent", "peroxide 3 %")),
        (
            NO_DYES,
            (
                "base_shade.characterisation",
                "rugae stippled, papillae rounded",
            ),
        ),
        (NO_DYES, ("base_shade.characterisation", "keep plain")),
    ] {
        let findings = excluding(&[card], &with(&[SURFACE, edit]));
        let mut stops = findings.iter().filter(|one| one.level == Level::Stop);
        assert_eq!(stops.next(), None, "{edit:?}");
    }
    // What may be meant is asked about; what is named still stops.
    let zones = (
        "base_shade.characterisation",
        "rugae stippled, papillae rounded",
    );
    let asked = excluding(&[NO_DYES], &with(&[zones]));
    assert_eq!(ids(&asked), ["excluded-substance-possible"]);
    for (card, edit) in [
        (
            NO_DYES,
            ("base_shade.characterisation", "stains at the canines"),
        ),
        (NO_PEROXIDE, ("pieces.0.materials", "self-cure resin")),
        (NO_ALCOHOL, ("impression.material", "conditioner")),
        (
            NO_LATEX,
            ("pieces.0.materials", "polyamide, latex elastics"),
        ),
    ] {
        let findings = excluding(&[card], &with(&[edit]));
        assert!(
            findings.iter().any(|one| one.level == Level::Stop),
            "{edit:?}"
        );
    }
}

#[test]
fn an_allergy_that_a_text_tells_of_is_held_against_the_card_and_the_work() {
    let stated = [
        ("remarks.remarks", "Pt is allergic to nickel (patch test)."),
        ("base.strengthening", "metal_mesh"),
        ("base.alloy", "ni_cr"),
    ];
    let none = [("patient.exclusions", "none_known")];
    let findings = found(&[&none[..], &with(&stated)[..]].concat());
    let mut allergy = findings
        .iter()
        .filter(|one| one.id == "allergy-told-and-not-listed");
    let allergy = allergy.next().expect("it is told");
    assert_eq!(
        (allergy.key.as_str(), allergy.level),
        ("remarks.remarks", Level::Caution)
    );
    assert!(
        allergy.sentence.contains("reaction to nickel")
            && allergy.sentence.contains("the metal parts"),
        "{}",
        allergy.sentence
    );
    // On the card it is looked for as everything that stands there.
    let listed = excluding(&[NO_NICKEL], &with(&stated));
    assert!(!ids(&listed).contains(&"allergy-told-and-not-listed"));
    assert!(ids(&listed).contains(&"alloy-holds-what-is-excluded"));
}

/// The link leads to the value that is meant, and an open side of a plane is held against its row in any unit.
#[test]
fn a_finding_about_one_side_leads_to_that_side() {
    let findings = found(&[
        ("guidance.condylar_right", "34"),
        ("guidance.condylar_left", "5"),
        ("guidance.drop_mm", "4"),
        ("guidance.advance_mm", "6"),
    ]);
    for id in ["condylar-unusual", "condylar-off-its-record"] {
        let one = findings.iter().find(|one| one.id == id);
        assert_eq!(
            one.map(|one| one.key.as_str()),
            Some("guidance.condylar_left"),
            "{id}"
        );
    }
}

#[test]
fn a_height_after_the_change_is_said_with_both_heights() {
    let findings = found(&[
        ("vertical.rest_mm", "69"),
        ("vertical.occlusal_mm", "66"),
        ("vertical.order", "open"),
        ("vertical.change_mm", "4"),
        ("vertical.change_at", "incisors"),
    ]);
    let said = "After opening by 4 mm the occlusal height is 70 mm, and the rest height 69 mm.";
    assert!(
        findings.iter().any(|one| one.sentence.starts_with(said)),
        "{:?}",
        ids(&findings)
    );
}

/// Own rule: what is worn is read wherever it is chosen.
#[test]
fn each_worn_part_that_a_field_chooses_is_held_against_the_card() {
    const METHACRYLATES: (&str, &str) = ("patient.no_other", "methacrylates");
    const HELD: &str = "methacrylate-excluded-and-cold-cured";
    const ASKED: &str = "methacrylate-excluded-and-resin";
    const PORCELAIN: [(&str, &str); 3] = [
        ("anterior.material", "porcelain"),
        ("posterior.material", "porcelain"),
        ("impression.material", "silicone"),
    ];
    for (card, edit, id) in [
        (METHACRYLATES, ("spare.teeth", "resin"), HELD),
        (NO_MONOMER, ("spare.teeth", "resin"), ASKED),
        (METHACRYLATES, ("base.strengthening", "glass_fibre"), ASKED),
        (NO_MONOMER, ("rims.base", "cold_cured"), HELD),
        (
            NO_DYES,
            ("base_shade.code", "heather 2 veined, red fibres"),
            "dyes-excluded-and-ordered",
        ),
    ] {
        let edits = [&PORCELAIN[..], &[edit]].concat();
        let findings = excluding(&[card], &with(&edits));
        let found = findings.iter().find(|one| one.id == id);
        let found = found.unwrap_or_else(|| panic!("{edit:?}: {:?}", ids(&findings)));
        assert_eq!(found.key, edit.0);
        let plain = excluding(&[card], &with(&PORCELAIN));
        assert!(!ids(&plain).contains(&id), "{edit:?}");
    }
    // The copy that the office has made tells what its teeth are of.
    let stated = [
        ("duplicate.resin", "cold-cure resin"),
        ("spare.teeth", "resin"),
    ];
    let findings = excluding(&[NO_MONOMER], &with(&stated));
    assert!(!findings.iter().any(|one| one.key == "spare.teeth"));
}

#[test]
fn a_characterisation_is_read_phrase_by_phrase() {
    let asks = |text: &'static str| {
        let findings = excluding(&[NO_DYES], &with(&[("base_shade.characterisation", text)]));
        findings
            .iter()
            .any(|one| one.key == "base_shade.characterisation")
    };
    for text in [
        "without fibres; melanin patches at the canines",
        "no stains, brown zones behind",
        "plain in front; zones behind",
    ] {
        assert!(asks(text), "{text}");
    }
    for text in [
        "without fibres",
        "no fibres, no stains",
        "without veins, stains or fibres",
        "none, as on the pattern",
    ] {
        assert!(!asks(text), "{text}");
    }
}

/// Own rule: a number, a word that refuses and the white of a base stop nothing.
#[test]
fn what_holds_nothing_of_it_stops_nothing() {
    for (card, text) in [
        (NO_NICKEL, "polyamide, lot 304"),
        (NO_NICKEL, "polyamide, mould 18/8 teeth"),
        (NO_NICKEL, "polyamide, NiCr not wanted"),
        (NO_NICKEL, "polyamide; do not use NiCr"),
        (NO_NICKEL, "polyamide, nickel must not be used"),
        (NO_NICKEL, "polyamide, cured at 2 bar, 10 min"),
        (NO_NICKEL, "polyamide; mesh: none; clasps: none"),
        (NO_COBALT, "polyamide, cobalt-chrome-free"),
    ] {
        let findings = excluding(&[card], &with(&[("pieces.0.materials", text)]));
        assert_eq!(ids(&findings), [""; 0], "{text}");
    }
    let titanium = ("patient.no_other", "titanium");
    let white = ("base_shade.characterisation", "titanium dioxide white");
    let findings = excluding(&[titanium], &with(&[white]));
    assert_eq!(ids(&findings), ["excluded-substance-in-some-products"]);
    // What stands beside a "free" of something else still stops.
    for (card, text) in [
        (NO_MONOMER, "bubble-free cold-cured resin"),
        (NO_COBALT, "polyamide, cobalt-chrome (nickel-free)"),
        (NO_NICKEL, "polyamide, NiCr beryllium-free mesh"),
    ] {
        let findings = excluding(&[card], &with(&[("pieces.0.materials", text)]));
        let stops = findings.iter().filter(|one| one.level == Level::Stop);
        assert!(stops.count() > 0, "{text}: {:?}", ids(&findings));
    }
}

#[test]
fn a_mouthwash_in_which_a_spare_lies_is_asked_about() {
    for card in [
        ("patient.no_other", "chlorhexidine"),
        ("patient.no_other", "alcohol"),
    ] {
        let edits = with(&[
            ("spare.stored", "in mouthwash"),
            ("impression.material", "silicone"),
        ]);
        let findings = excluding(&[card], &edits);
        let mut found = findings.iter();
        assert!(
            found.any(|one| one.key == "spare.stored"),
            "{card:?}: {:?}",
            ids(&findings)
        );
    }
}

/// An allergy told as people write it, and a card that says what is borne.
#[test]
fn an_allergy_is_heard_in_every_way_that_people_tell_it() {
    const TOLD: &str = "allergy-told-and-not-listed";
    const MESH: [(&str, &str); 2] = [
        ("base.strengthening", "metal_mesh"),
        ("base.alloy", "ni_cr"),
    ];
    for text in [
        "Nickelallergie bekannt",
        "Nickelunverträglichkeit",
        "allergisch gegen Nickel und Kobalt",
        "verträgt kein Nickel",
        "patient cannot have nickel",
        "can't wear nickel",
        "avoid nickel: allergy",
        "no nickel (allergy)",
        "contraindicated: nickel",
        "nickel: anaphylaxis 2019",
        "alergic to nickel",
        "allergc to nickle",
        "hypersens. to nickel",
        "hx of contact allergy, Ni and Pd",
        "nickel earrings make her ears itch",
        "nickel upsets her skin",
        "no known allergies except nickel",
        "no allergies other than to nickel",
    ] {
        // Another thing that the card lists hides nothing.
        for card in [
            ("patient.exclusions", "none_known"),
            ("patient.no_latex", "yes"),
        ] {
            let edits = [MESH[0], MESH[1], ("remarks.call_before", text)];
            let findings = match card.1 {
                "yes" => excluding(&[card], &edits),
                _ => found(&edits),
            };
            let finding = findings.iter().find(|one| one.id == TOLD);
            let finding = finding.unwrap_or_else(|| panic!("{text}: {:?}", ids(&findings)));
            let said = &finding.sentence;
            assert!(
                said.contains("nickel") && said.contains("the metal parts"),
                "{text}: {said}"
            );
        }
    }
    for text in [
        "Keine Allergien bekannt",
        "no known allergies, nickel mesh as planned",
        "not allergic to nickel",
        "sensitive gag reflex, nickel mesh welcome",
        "NKDA",
        "allergen-free separator",
        "tissue reaction under the flange, relieve it",
    ] {
        let findings = found(&[("remarks.call_before", text)]);
        assert!(!ids(&findings).contains(&TOLD), "{text}: {findings:?}");
    }
}

#[test]
fn what_a_text_refuses_and_the_order_holds_is_asked_about() {
    const REFUSED: &str = "refused-in-a-text-and-ordered";
    const MESH: [(&str, &str); 2] = [
        ("base.strengthening", "metal_mesh"),
        ("base.alloy", "ni_cr"),
    ];
    let with = |key: &'static str, text: &'static str| found(&[MESH[0], MESH[1], (key, text)]);
    for (key, text) in [
        ("base.note", "nickel-free"),
        ("remarks.call_before", "no nickel please"),
        ("finish.note", "without nickel"),
    ] {
        let findings = with(key, text);
        let finding = findings.iter().find(|one| one.id == REFUSED);
        let finding = finding.unwrap_or_else(|| panic!("{text}: {:?}", ids(&findings)));
        assert_eq!(finding.key, key);
    }
    assert!(!ids(&with("base.note", "no cobalt")).contains(&REFUSED));
    // What is to be avoided by the card is a stop, and not told twice.
    let edits = [MESH[0], MESH[1], ("base.note", "nickel-free")];
    let findings = excluding(&[NO_NICKEL], &edits);
    assert!(!ids(&findings).contains(&REFUSED), "{:?}", ids(&findings));
}

#[test]
fn a_card_that_says_what_is_borne_keeps_the_rest_away() {
    let of = |card: &'static str, alloy: &'static str| {
        let mesh = [("base.strengthening", "metal_mesh"), ("base.alloy", alloy)];
        let findings = excluding(&[("patient.no_other", card)], &with(&mesh));
        let stops = findings.iter().filter(|one| one.level == Level::Stop);
        stops.count()
    };
    for (card, borne, kept) in [
        ("all metals except titanium", "titanium", "co_cr"),
        ("metals other than titanium", "titanium", "ni_cr"),
        ("nickel, tolerates titanium", "titanium", "ni_cr"),
        ("nickel (titanium is fine)", "titanium", "ni_cr"),
        ("nickel but not cobalt", "co_cr", "ni_cr"),
        ("Nickel, verträgt Titan", "titanium", "ni_cr"),
        // A comma may have been lost: the last word alone is borne.
        ("nickel titanium ok", "titanium", "ni_cr"),
    ] {
        assert_eq!(of(card, borne), 0, "{card}: {borne}");
        assert!(of(card, kept) > 0, "{card}: {kept}");
    }
    for (card, alloy) in [
        ("cannot tolerate nickel", "ni_cr"),
        ("does not tolerate titanium", "titanium"),
        ("titanium not tolerated", "titanium"),
        ("titanium poorly tolerated", "titanium"),
        ("Nickelallergie", "ni_cr"),
        ("Kobalt", "co_cr"),
        ("nickle", "ni_cr"),
    ] {
        assert!(of(card, alloy) > 0, "{card}: {alloy}");
    }
    // What is said around it is not looked for as a substance.
    let findings = excluding(
        &[("patient.no_other", "all metals except titanium")],
        &with(&[]),
    );
    assert!(
        findings.iter().all(|one| !one.sentence.contains("except")),
        "{findings:?}"
    );
}

/// A list of what is left out may begin amid a phrase.
#[test]
fn acrylic_without_mesh_bar_or_wire_names_no_metal() {
    let materials = (
        "pieces.0.materials",
        "heat-cured acrylic without mesh, bar or wire",
    );
    assert_eq!(
        ids(&excluding(&[NO_NICKEL], &[materials])),
        Vec::<&str>::new()
    );
    let materials = ("pieces.0.materials", "polyamide without mesh, steel bar");
    let findings = excluding(&[NO_NICKEL], &with(&[materials]));
    assert!(ids(&findings).contains(&"alloy-holds-what-is-excluded"));
}

/// The same where a prescription says it of its own work.
#[test]
fn what_is_not_to_be_used_but_for_one_metal_leaves_that_one() {
    let of = |alloy: &'static str| {
        let edits = with(&[
            ("base.strengthening", "metal_mesh"),
            ("base.alloy", alloy),
            ("base.without", "metals other than titanium"),
        ]);
        let findings = found(&edits);
        findings.iter().any(|one| one.level == Level::Stop)
    };
    assert!(!of("titanium") && of("co_cr"));
}
