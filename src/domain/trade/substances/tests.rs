//! The table row by row, and the texts that a dentist types.

use super::material::{Holding, MaterialKind as M, TABLE, entry};
use super::substance::{Excluded, Substance as S};
use super::{names, names_word, read};
use std::collections::BTreeSet;

#[test]
fn every_material_has_one_row_and_every_name_means_one_material() {
    let kinds: BTreeSet<M> = TABLE.iter().map(|entry| entry.kind).collect();
    assert_eq!((kinds.len(), TABLE.len()), (M::ALL.len(), M::ALL.len()));
    let mut words = BTreeSet::new();
    for entry in TABLE {
        assert!(
            !entry.source.is_empty() && !entry.words.is_empty(),
            "{:?}",
            entry.kind
        );
        for word in entry.words {
            let is_plain =
                |sign: char| sign.is_ascii_lowercase() || sign.is_ascii_digit() || sign == ' ';
            assert!(word.chars().all(is_plain), "{word}");
            assert!(words.insert(*word), "{word} means two materials");
            assert_eq!(read(word).materials, [entry.kind], "{word}");
        }
        let held: BTreeSet<S> = entry.holds.iter().map(|(held, _)| *held).collect();
        assert_eq!(held.len(), entry.holds.len(), "{:?}", entry.kind);
    }
}

#[test]
fn p1_texts_are_read_as_a_dentist_types_them() {
    for (text, materials) in [
        (
            "Heat-cured acrylic base, cross-linked teeth",
            &[M::HeatCured, M::AcrylicTeeth] as &[M],
        ),
        ("cold-cure resin, tooth-coloured and clear", &[M::ColdCured]),
        ("NiCr wire", &[M::NickelChromium]),
        ("Ni-Cr bar", &[M::NickelChromium]),
        ("Co/Cr mesh", &[M::CobaltChromium]),
        ("cobalt-chromium palate", &[M::CobaltChromium]),
        ("CoCrNi", &[M::CobaltChromiumNickel]),
        ("titanium palate", &[M::Titanium]),
        ("mesh", &[M::AnyMetal]),
        ("glass fibre mesh", &[M::GlassFibre]),
        ("red fibres", &[M::ColouredFibres]),
        ("nickel-free stainless steel", &[M::NickelFreeSteel]),
        ("no metal mesh, polyamide", &[M::Polyamide]),
        ("non-precious bar", &[M::AnyMetal]),
        ("eugenol-free paste", &[M::EugenolFreePaste]),
        ("zinc oxide and eugenol", &[M::ZincOxideEugenol]),
        ("PEEK", &[M::Peek]),
        ("bis-acryl", &[M::BisAcryl]),
        ("rubber base", &[M::Polysulfide]),
        ("centric relation, CR", &[]),
        ("light-cured base, wax rim", &[M::LightCured, M::Wax]),
        ("not cold-cured", &[]),
        ("18/8 clasp", &[M::Steel]),
    ] {
        assert_eq!(read(text).materials, materials, "{text}");
    }
}

#[test]
fn p1_a_name_that_no_table_knows_is_kept_to_be_asked_about() {
    assert_eq!(read("Otterbase gel").unknown, ["Otterbase gel"]);
    assert_eq!(
        read("heat-cured resin, Otter veneer").unknown,
        ["Otter veneer"]
    );
    for text in [
        "none added",
        "teeth as set, wax",
        "heat-cured resin base, teeth as set",
        "cold-cure resin, two colours",
        "high-impact resin base, cross-linked teeth",
        "milled resin base and teeth",
        "light-cured tray resin",
        "composite front teeth, cross-linked posterior teeth, wax",
        "heat-cured resin, silicone soft liner, composite and cross-linked teeth",
    ] {
        assert_eq!(read(text).unknown, Vec::<String>::new(), "{text}");
    }
}

#[test]
fn what_is_said_not_to_be_there_is_not_named() {
    for (text, is_named) in [
        ("base with nickel mesh", true),
        ("base with nickel-free mesh", false),
        ("free of nickel", false),
        ("no cobalt or nickel", false),
        ("nickel- and cobalt-free alloy", false),
        ("without nickel, cobalt mesh", false),
        ("no mesh, nickel bar", true),
        ("Ni bar", true),
        ("ni bar", false),
        ("titanium instead of nickel", false),
        ("gold free of cobalt, nickel pins", true),
    ] {
        assert_eq!(names(text, S::Nickel), is_named, "{text}");
    }
    assert!(names("nickel-free cobalt alloy", S::Cobalt));
    assert!(!names("golden proportion", S::Gold));
    assert!(!names("tin in the setting, CR record", S::Chromium));
    assert!(names_word("base with lanolin", "lanolin") && !names_word("no lanolin", "lanolin"));
}

#[test]
fn a_list_of_what_to_avoid_is_read_into_substances_and_unknown_words() {
    let read = |text: &str| {
        let mut excluded = Excluded::default();
        excluded.add_text(text);
        (excluded.substances, excluded.unknown)
    };
    assert_eq!(
        read("palladium, Pd and gold"),
        (vec![S::Palladium, S::Gold], vec![])
    );
    assert_eq!(
        read("methyl methacrylate; HEMA"),
        (vec![S::Monomer, S::Methacrylates], vec![])
    );
    assert_eq!(read("lanolin"), (vec![], vec!["lanolin".to_owned()]));
    assert_eq!(read("any metal").0, [S::Metal]);
}

#[test]
fn what_cures_by_itself_holds_more_than_what_is_cured_by_heat() {
    for kind in [M::ColdCured, M::Pour, M::RepairResin] {
        assert_eq!(
            entry(kind).holding(S::Monomer),
            Some(Holding::Certain),
            "{kind:?}"
        );
    }
    for kind in [M::HeatCured, M::HighImpact, M::Milled, M::LowMonomer] {
        assert_eq!(
            entry(kind).holding(S::Monomer),
            Some(Holding::May),
            "{kind:?}"
        );
    }
    assert_eq!(entry(M::Polyamide).holding(S::Monomer), None);
}
