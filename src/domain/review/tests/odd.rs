//! Documents that nobody would write.

use super::complete::unmet;
use super::*;
use crate::domain::custody::item::Item;
use crate::domain::prescription::Stage;
use crate::domain::review::{CanSign, Level, criteria, grade, is_known_key, score};
use crate::domain::values::tooth::Tooth;
use proptest::prelude::*;
use proptest::sample::select;

fn keys() -> Vec<String> {
    let rows = [0_usize, 1, 2, 39];
    let specs = crate::domain::prescription::all_fields();
    specs
        .flat_map(|spec| {
            if spec.key.contains('#') {
                rows.iter().map(|row| spec.at(Some(*row))).collect()
            } else {
                vec![spec.key.to_owned()]
            }
        })
        .collect()
}

fn choices_of(key: &str) -> Vec<String> {
    use crate::domain::form::Kind;
    use crate::domain::prescription::field_spec;
    let shown = crate::domain::values::measure::show_hundredths;
    let odd = match field_spec(key).map(|spec| spec.kind) {
        Some(Kind::Choice(choices)) => choices.iter().map(|(word, _)| (*word).to_owned()).collect(),
        Some(Kind::YesNo) => vec!["yes".to_owned(), "no".to_owned()],
        Some(Kind::Mm { min, max } | Kind::Degrees { min, max } | Kind::Number { min, max }) => {
            [min, min + 1, (min + max) / 2, max - 1, max, 0, max + 1]
                .into_iter()
                .map(shown)
                .collect()
        }
        Some(Kind::Whole { min, max, .. }) => {
            [min, max, (min + max) / 2].map(|n| n.to_string()).to_vec()
        }
        Some(Kind::Date) => ["1900-01-01", "2026-03-02", "2026-03-14", "2200-12-31"]
            .map(str::to_owned)
            .to_vec(),
        Some(Kind::Time) => ["00:00", "23:59"].map(str::to_owned).to_vec(),
        Some(Kind::Hash) => vec!["a".repeat(64), "A1 ".repeat(32)],
        Some(Kind::Tag) => ["bite", "provisional_upper", "old_upper", "cast_lower"]
            .map(sample::tag_text)
            .to_vec(),
        Some(Kind::Tooth) => Tooth::all().map(|tooth| tooth.palmer()).collect(),
        Some(Kind::Text { .. } | Kind::LongText { .. }) | None => [
            "on the occlusal surface",
            "dry, nickel",
            "\u{301}é𝄞",
            "phenol bleach",
        ]
        .map(str::to_owned)
        .to_vec(),
        Some(_) => panic!("only commands ask so"),
    };
    let mut all = odd;
    all.extend(["", "NaN", "-inf", "1e9", "47 cm", "½"].map(str::to_owned));
    all
}

fn any_edit() -> impl Strategy<Value = (String, String)> {
    select(keys()).prop_flat_map(|key| {
        let texts = choices_of(&key);
        (Just(key), select(texts))
    })
}

/// Odd values over the sample or over nothing.
pub fn any_document() -> impl Strategy<Value = Prescription> {
    let edits = prop::collection::vec(any_edit(), 0..60);
    (any::<bool>(), edits).prop_map(|(over_sample, edits)| {
        let mut raw = if over_sample {
            sample::raw()
        } else {
            Raw::new()
        };
        for (key, text) in edits {
            raw.insert(key, text);
        }
        read(&raw, Numbering::Iso3950).document
    })
}

/// The keys of two profiles, one of them perhaps of a file that is no longer there.
fn any_law() -> impl Strategy<Value = (String, String)> {
    let keys = || {
        let built_in = crate::domain::law::profile::built_in().iter();
        let mut keys: Vec<String> = built_in.map(|profile| profile.key.clone()).collect();
        keys.push("no-longer-there".to_owned());
        keys
    };
    (select(keys()), select(keys()))
}

pub fn any_setting() -> impl Strategy<Value = Setting> {
    (any::<[bool; 14]>(), 0_usize..3, any_law()).prop_map(|(kept, arches, law)| {
        use crate::domain::values::arch::Arches;
        let mut setting = sample::setting();
        setting.arches = Arches::ALL[arches];
        setting.law = sample::law(&law.0, &law.1);
        let blank = |is_wanted: bool, text: &mut String| {
            if !is_wanted {
                *text = " ".to_owned()
            }
        };
        blank(kept[0], &mut setting.patient_code);
        blank(kept[1], &mut setting.dentist.name);
        blank(kept[2], &mut setting.dentist.licence);
        blank(kept[3], &mut setting.lab.name);
        blank(kept[10], &mut setting.lab.address);
        blank(kept[11], &mut setting.lab.licence);
        blank(kept[12], &mut setting.dentist.address);
        blank(kept[13], &mut setting.office.address);
        if !kept[4] {
            setting.issued = None;
        }
        if !kept[5] {
            setting.signature = CanSign::Impossible;
        }
        if !kept[6] {
            setting.patient = None;
        }
        if !kept[7] {
            setting.items = Vec::<Item>::new();
        }
        if !kept[8] {
            setting.custody.clear();
        }
        if !kept[9] {
            setting.worn_upper = None;
            setting.today = time::Date::MAX;
        }
        setting
    })
}

/// The items that published state texts share, read here from the document itself and not through the
/// review: laboratory, dentist and licence, patient, date, each piece, its materials, signature.
fn lacks_a_legal_item(document: &Prescription, setting: &Setting) -> bool {
    let blank = |text: &str| text.trim().is_empty();
    let pieces = &document.order.pieces;
    blank(&setting.lab.name)
        || blank(&setting.dentist.name)
        || blank(&setting.dentist.licence)
        || blank(&setting.patient_code)
        || setting.issued.is_none()
        || setting.signature == CanSign::Impossible
        || pieces.is_empty()
        || pieces
            .iter()
            .any(|piece| piece.arch.is_none() || piece.stage.is_none() || piece.materials.is_none())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_document_panics_or_passes_without_a_legal_item(document in any_document(), setting in any_setting()) {
        let findings = review(&document, &setting);
        for finding in &findings {
            prop_assert!(is_known_key(&finding.key), "{} at {}", finding.id, finding.key);
            let sentence = &finding.sentence;
            prop_assert!(sentence.ends_with('.') && !sentence.contains("NaN mm") && !sentence.contains("NaN°") && !sentence.contains("  "), "{sentence}");
            prop_assert!(sentence.starts_with(|c: char| !c.is_lowercase()), "{sentence}");
        }
        if lacks_a_legal_item(&document, &setting) {
            prop_assert!(findings.iter().any(|finding| finding.level == Level::Stop));
        }
        prop_assert!(findings.windows(2).all(|pair| pair[0].level <= pair[1].level));
    }

    #[test]
    fn what_is_not_met_is_always_asked_for(document in any_document(), setting in any_setting()) {
        let found = ids(&review(&document, &setting));
        for criterion in unmet(&document, &setting) {
            prop_assert!(criterion.findings.iter().any(|id| found.contains(id)), "criterion {}", criterion.number);
        }
        prop_assert!(score(&criteria(&document, &setting)) <= 24);
        let _grade = grade(&document, &setting);
    }

    #[test]
    fn the_same_document_gives_the_same_findings(document in any_document(), setting in any_setting()) {
        prop_assert_eq!(review(&document, &setting), review(&document.clone(), &setting.clone()));
    }
}

#[test]
fn an_empty_document_is_stopped() {
    let findings = review(&Prescription::default(), &sample::setting());
    assert!(findings.iter().any(|finding| finding.level == Level::Stop));
}

#[test]
fn every_stage_of_the_sample_can_be_reviewed() {
    for stage in Stage::ALL {
        let (document, setting) = changed(&[
            ("pieces.0.stage", stage.word()),
            ("pieces.1.stage", stage.word()),
        ]);
        let _findings = review(&document, &setting);
    }
}
