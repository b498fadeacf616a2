//! The table row by row, and the texts that a dentist types.

use super::material::{Holding, MaterialKind as M, TABLE, entry};
use super::substance::{Excluded, Substance as S};
use super::words::tokens;
use super::{mentions, names_word, not_to_be_used, read, read_prose, warned_of};
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
            // As a text is cut before it is looked up, in whatever language.
            let cut: Vec<String> = tokens(word).iter().map(|one| one.to_lowercase()).collect();
            assert_eq!(cut.join(" "), *word);
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
        (
            "polyamide base, saddles of acrylic resin",
            &[M::Polyamide, M::Acrylic],
        ),
        (
            "polyamide; teeth set in acrylic",
            &[M::Polyamide, M::Acrylic],
        ),
        ("acrylic, heat-cured", &[M::HeatCured]),
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
        "heat-cured resin, no nickel",
        "nickel-free, polyamide",
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
        assert_eq!(mentions(text, S::Nickel), is_named, "{text}");
    }
    assert!(mentions("nickel-free cobalt alloy", S::Cobalt));
    assert!(!mentions("golden proportion", S::Gold));
    assert!(!mentions("tin in the setting, CR record", S::Chromium));
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
    assert_eq!(read("bleach").0, [S::Chlorine]);
    assert_eq!(read("Chlorhexidin").0, [S::Chlorhexidine]);
    assert_eq!(read("aldehydes").0, [S::Aldehydes]);
    assert_eq!(read("bisphenol A"), (vec![S::Bisphenol], vec![]));
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
    // Mikai 2006: formaldehyde from every worn acrylic denture; glutaraldehyde is an aldehyde by its name.
    let aldehydes = |kind: M| entry(kind).holding(S::Aldehydes);
    assert_eq!(aldehydes(M::HeatCured), Some(Holding::May));
    assert_eq!(aldehydes(M::GlutaraldehydeBath), Some(Holding::Certain));
    assert_eq!(aldehydes(M::Polyamide), None);
}

/// What the words mean: own rule.
#[test]
fn prose_that_warns_orders_nothing_and_a_material_answers_for_its_own_words() {
    for (text, is_stated) in [
        ("use the old nickel silver clasp again", true),
        ("nickel foil, 0.5 mm", true),
        ("Ni pins", true),
        ("allergic to nickel: use titanium", false),
        ("nickel allergy known for years", false),
        ("reacts to nickel", false),
        ("no nickel near the mouth", false),
        ("nickel-free clasp", false),
        // Told as the material, which holds it.
        ("nickel-chromium wire", false),
    ] {
        assert_eq!(mentions(text, S::Nickel), is_stated, "{text}");
    }
    assert!(!mentions("border in rubber base", S::Latex) && mentions("rubber cup", S::Latex));
    assert!(!mentions("Be sure of the midline", S::Beryllium));
    for (text, materials) in [
        (
            "metal occlusal surfaces, non precious",
            &[M::AnyMetal] as &[M],
        ),
        ("upper and lower mesh as on the pattern", &[]),
        ("reacted to cold-cured resin", &[]),
        ("18/8 wire at the canine", &[M::Steel]),
    ] {
        assert_eq!(read_prose(text).materials, materials, "{text}");
    }
}

#[test]
fn what_is_not_to_be_used_is_a_material_where_it_is_named_as_one() {
    for (text, materials, left) in [
        ("nickel-chromium wire", &[M::NickelChromium] as &[M], ""),
        ("cold-cured resin, nickel", &[M::ColdCured], "nickel"),
        ("nickel, cobalt", &[], "nickel cobalt"),
        ("wire", &[], "wire"),
        ("stainless steel; lanolin", &[M::Steel], "lanolin"),
        ("gold", &[], "gold"),
    ] {
        let (found, rest) = not_to_be_used(text);
        let rest: Vec<&str> = rest
            .split([' ', ','])
            .filter(|word| !word.is_empty())
            .collect();
        assert_eq!(
            (found.as_slice(), rest.join(" ").as_str()),
            (materials, left),
            "{text}"
        );
    }
}

#[test]
fn a_short_word_on_a_card_is_known_or_asked_about_and_a_remark_in_brackets_is_neither() {
    let read = |text: &str| {
        let mut excluded = Excluded::default();
        excluded.add_text(text);
        (excluded.substances, excluded.unknown.join(" "))
    };
    for (text, known, unknown) in [
        ("BPO", &[S::Peroxide] as &[S], ""),
        ("M.M.A.", &[S::Monomer], ""),
        ("HQ; EMA", &[S::Hydroquinone, S::Methacrylates], ""),
        ("NI, cr", &[S::Nickel, S::Chromium], ""),
        ("Cu and Al", &[S::Copper, S::Aluminium], ""),
        ("IPA", &[S::Alcohol], ""),
        ("peppermint", &[S::Fragrance], ""),
        // Known nowhere here, and said to be so.
        ("TPO", &[], "tpo"),
        ("Ag, tin", &[], "ag tin"),
        ("PVS", &[], "pvs"),
        ("no gold at all", &[S::Gold], ""),
        ("gold (white gold caused blisters)", &[S::Gold], ""),
        ("dust (see the letter); nickel", &[S::Nickel], "dust"),
    ] {
        let unknown = (known.to_vec(), unknown.to_owned());
        assert_eq!(read(text), unknown, "{text}");
    }
}

#[test]
fn what_is_said_to_be_free_of_something_keeps_its_name_and_is_told_so() {
    for (text, free) in [
        ("MMA-free cold-cured resin", (M::ColdCured, S::Monomer)),
        ("peroxide-free self-cure resin", (M::ColdCured, S::Peroxide)),
        ("Ni-free stainless steel wire", (M::Steel, S::Nickel)),
        ("stainless steel, nickel-free", (M::Steel, S::Nickel)),
        (
            "alcohol-free tissue conditioner",
            (M::Conditioner, S::Alcohol),
        ),
    ] {
        let named = read(text);
        assert!(named.materials.contains(&free.0), "{text}");
        assert_eq!(named.free_of, [free], "{text}");
    }
    assert_eq!(read("cold-cured resin").free_of, []);
}

#[test]
fn a_no_reaches_over_a_list_of_materials_and_not_over_what_is_ordered_behind_it() {
    for (text, materials) in [
        ("without veins or stains", &[] as &[M]),
        ("no metal, wire or clasps", &[]),
        ("no metal, heat-cured resin", &[M::HeatCured]),
        (
            "no wire, heat-cured resin, steel or gold",
            &[M::HeatCured, M::Steel, M::Gold],
        ),
        ("without mesh and steel clasps", &[M::Steel]),
        ("fibre mesh", &[M::GlassFibre]),
        ("fiberglass mesh", &[M::GlassFibre]),
        ("high-impact rubber-modified acrylic", &[M::HighImpact]),
        ("ball attachments with metal housings", &[M::AnyWire]),
        ("coldcure resin", &[M::ColdCured]),
    ] {
        assert_eq!(read(text).materials, materials, "{text}");
    }
    assert!(!mentions("high-impact rubber-modified acrylic", S::Latex));
}

#[test]
fn a_name_that_is_joined_to_a_known_one_is_kept_to_be_asked_about() {
    for (text, unknown) in [
        ("heat cured resin with V2A bow, acrylic teeth", "V2A bow"),
        ("heat-cured resin & Otterbase", "Otterbase"),
        ("heat-cured resin w/ Otter veneer", "Otter veneer"),
        ("acrylic plus lanolin", "lanolin"),
        ("tray with handle", ""),
        ("heat-cured resin with stippling and full rugae", ""),
    ] {
        assert_eq!(read(text).unknown.join("; "), unknown, "{text}");
    }
}

/// Own rule: what is told as an allergy is read wherever it stands, and a word that denies it is heard.
#[test]
fn what_a_text_warns_of_is_named_and_what_it_denies_is_not() {
    for (text, substances, materials) in [
        (
            "Pt is allergic to nickel and methacrylate (patch test).",
            &[S::Nickel, S::Methacrylates] as &[S],
            &[] as &[M],
        ),
        (
            "cobalt wire gave her blisters (allergic)",
            &[S::Cobalt],
            &[M::AnyWire],
        ),
        ("allergy to cobalt - ring me", &[S::Cobalt], &[]),
        (
            "Allergies: nickel, cobalt. Pour in stone.",
            &[S::Nickel, S::Cobalt],
            &[],
        ),
        ("nickel allergy, titanium mesh", &[S::Nickel], &[]),
        ("no known allergy to nickel", &[], &[]),
        ("allergies: none, nickel silver clasp", &[], &[]),
        ("sensitive mucosa, titanium palate", &[], &[]),
        ("reacted to cold-cured resin", &[], &[M::ColdCured]),
        ("nickel-chromium mesh", &[], &[]),
    ] {
        let found = warned_of(text);
        assert_eq!(found.substances, substances, "{text}");
        assert_eq!(found.materials, materials, "{text}");
    }
    assert!(warned_of("allergic to strawberries").is_of_allergy);
    assert!(
        !warned_of("no allergies").is_of_allergy && !warned_of("sensitive ridge").is_of_allergy
    );
}

/// The liquid of an acrylic is that acrylic: it is known wherever its monomer is.
#[test]
fn the_liquid_of_an_acrylic_is_no_unknown_material() {
    for text in [
        "MMA liquid",
        "PMMA powder, MMA liquid",
        "PMMA powder and liquid MMA",
        "acrylic powder + monomer liquid",
    ] {
        let named = read(text);
        assert_eq!(named.materials, [M::Acrylic], "{text}");
        assert_eq!(named.unknown, [""; 0], "{text}");
    }
    let cured = read("heat-cured acrylic, MMA liquid");
    assert_eq!(cured.materials, [M::HeatCured]);
}

/// Own rule: "free" behind a name clears that name, and "free" before one only with an "of".
#[test]
fn what_is_free_of_something_else_keeps_its_own_material() {
    for (text, materials) in [
        ("cadmium-free cold-cured resin", &[M::ColdCured] as &[M]),
        ("bubble-free self-cure", &[M::ColdCured]),
        ("pore-free self-cured acrylic", &[M::ColdCured]),
        ("cold-cured resin MMA-free", &[M::ColdCured]),
        ("no heat-cured, instead cold-cured resin", &[M::ColdCured]),
        ("cobalt-chrome (nickel-free)", &[M::CobaltChromium]),
        ("cobalt chromium nickel free", &[M::CobaltChromium]),
        ("CoCr nickel-free mesh", &[M::CobaltChromium]),
        ("NiCr beryllium-free mesh", &[M::NickelChromium]),
        ("cobalt-chrome-free polyamide", &[M::Polyamide]),
        ("alcohol- and chlorhexidine-free", &[]),
        ("cobalt-chrome free-end saddle", &[M::CobaltChromium]),
        ("titanium instead of gold", &[M::Titanium]),
        ("metal-free", &[]),
        ("NiCr not wanted", &[]),
        ("do not use NiCr", &[]),
        ("NiCr must not be used", &[]),
        ("without a metal mesh", &[]),
        (
            "heat-cured resin, mesh: none, gold",
            &[M::HeatCured, M::Gold],
        ),
        ("acrylic; clasps: none", &[M::Acrylic]),
        ("base: heat-cured", &[M::HeatCured]),
    ] {
        assert_eq!(read(text).materials, materials, "{text}");
    }
    let free_of = read("CoCr nickel-free mesh").free_of;
    assert!(
        free_of.contains(&(M::CobaltChromium, S::Nickel)),
        "{free_of:?}"
    );
    for text in [
        "nickel must not be used",
        "do not use nickel",
        "nickel excluded",
    ] {
        assert!(!mentions(text, S::Nickel), "{text}");
    }
    assert!(mentions("use nickel", S::Nickel) && !mentions("cobalt-blue paper", S::Cobalt));
}

#[test]
fn a_number_is_a_steel_only_where_something_of_metal_stands_beside_it() {
    for (text, materials) in [
        ("heat-cured resin, lot 304", &[M::HeatCured] as &[M]),
        ("lot 316, heat-cured resin", &[M::HeatCured]),
        ("mould 18/8 teeth", &[]),
        ("18/8 wire", &[M::Steel]),
        ("304 mesh", &[M::Steel]),
        ("cold-cure resin, 45 °C, 2 bar, 10 min", &[M::ColdCured]),
        ("lingual bar", &[M::AnyMetal]),
        ("in a plastic bag", &[]),
        ("opaque with titanium dioxide", &[M::TitaniumDioxide]),
        ("adhesive primer", &[M::Primer]),
    ] {
        assert_eq!(read(text).materials, materials, "{text}");
    }
    let named = read("cold-cure resin, 45 °C, 2 bar, 10 min");
    assert_eq!(named.unknown, Vec::<String>::new());
}

#[test]
fn each_way_to_write_that_a_resin_cures_by_itself_is_read() {
    for text in [
        "auto-polymerizing resin",
        "cold-polymerised resin",
        "chemical-cure acrylic",
        "pour-type resin",
        "pourable acrylic",
        "SC acrylic",
        "room-temperature cured resin",
    ] {
        let named = read(text).materials;
        let kind = named.first().copied().expect(text);
        assert_eq!(
            entry(kind).holding(S::Monomer),
            Some(Holding::Certain),
            "{text}"
        );
    }
}

#[test]
fn a_phrase_of_a_card_that_names_no_substance_is_one_or_is_asked_about() {
    let read = |text: &str| {
        let mut excluded = Excluded::default();
        excluded.add_text(text);
        (excluded.substances, excluded.unknown, excluded.open)
    };
    for (text, known, open) in [
        ("resin", &[S::Methacrylates] as &[S], ""),
        ("base resin", &[S::Methacrylates], ""),
        ("PMMA", &[S::Methacrylates], ""),
        ("alloys", &[S::Metal], ""),
        ("all alloys", &[S::Metal], ""),
        ("nickel, any alloy", &[S::Nickel, S::Metal], ""),
        ("nickel alloys", &[S::Nickel], ""),
        ("teeth", &[], "teeth"),
        ("nickel; other materials", &[S::Nickel], "other materials"),
        ("none known", &[], ""),
        ("no allergies", &[], ""),
    ] {
        let (substances, unknown, said) = read(text);
        assert_eq!(substances, known, "{text}");
        assert_eq!(
            (unknown, said.join("; ").as_str()),
            (vec![], open),
            "{text}"
        );
    }
}

/// An exception from nothing, a reason and a doubt are none that lets a substance through.
#[test]
fn what_only_sounds_borne_is_kept_away() {
    for (text, kept) in [
        ("none except nickel", S::Nickel),
        ("no known allergies except nickel", S::Nickel),
        ("none other than latex", S::Latex),
        ("nothing but nickel", S::Nickel),
        ("tolerates titanium but allergic to nickel", S::Nickel),
        ("nickel was tolerated until 2019, now rash", S::Nickel),
        ("nickel was fine before", S::Nickel),
        (
            "all metals except titanium because of nickel allergy",
            S::Nickel,
        ),
        ("titanium ok?", S::Titanium),
        ("no metals except titanium", S::Metal),
    ] {
        let found = Excluded::of(text);
        assert!(found.substances.contains(&kept), "{text}: {found:?}");
        assert!(!found.borne.contains(&kept), "{text}: {found:?}");
    }
    for text in [
        "all metals except titanium",
        "tolerates titanium but allergic to nickel",
        "no metals except titanium",
    ] {
        assert!(Excluded::of(text).borne.contains(&S::Titanium), "{text}");
    }
    let only = Excluded::of("tolerates only titanium");
    assert_eq!(only.substances, [S::Metal]);
    assert_eq!(only.only.as_deref(), Some("titanium"));
    let only = Excluded::of("tolerates only polyamide");
    assert_eq!(
        (only.substances, only.only.as_deref()),
        (vec![], Some("polyamide"))
    );
    assert_eq!(Excluded::of("tolerates titanium, nickel").only, None);
}

#[test]
fn what_is_not_borne_is_told_in_many_words() {
    for (text, substance) in [
        ("does not tolerate nickel", S::Nickel),
        ("cannot tolerate methacrylate", S::Methacrylates),
        ("nickel is not tolerated", S::Nickel),
        ("hypersensitive to MMA", S::Monomer),
        ("Hypersensitivity: MMA", S::Monomer),
        ("positive patch test MMA", S::Monomer),
        ("Patch test positive: nickel", S::Nickel),
        ("nickel makes her mouth sore", S::Nickel),
        ("breaks out from latex", S::Latex),
        ("Contact stomatitis with acrylic monomer", S::Monomer),
        ("Allergie: Nickel", S::Nickel),
    ] {
        let found = warned_of(text).substances;
        assert!(found.contains(&substance), "{text}: {found:?}");
        assert!(!mentions(text, substance) || text.contains(':'), "{text}");
    }
    for text in [
        "patch test negative for nickel",
        "tolerates nickel",
        "the acrylic border made the ridge sore",
        "ridge sore under the acrylic flange, relieve it",
        "sore under the metal base",
        "denture stomatitis under the acrylic base",
        "nickel-chromium clasp broke",
    ] {
        assert_eq!(warned_of(text).substances, [], "{text}");
    }
}
