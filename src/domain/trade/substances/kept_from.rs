//! What a patient is to be kept from, and whether a text of materials names it or names what holds it. A card names a
//! substance, now and then a material by its own name; a prescription names either.

use super::excepted::without_exceptions;
use super::material::{Holding, MaterialKind, entry};
use super::negated::names_word;
use super::reading::{mentions, not_to_be_used, read};
use super::substance::{Excluded, Substance};
use crate::domain::values::spelled::spelled_today;

/// Substances and materials that are to be kept away.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct KeptFrom {
    pub excluded: Excluded,
    /// Materials that are not wanted, whatever they hold.
    pub materials: Vec<MaterialKind>,
}

fn is_word_of(word: &str, material: MaterialKind) -> bool {
    let mut names = entry(material).words.iter();
    names.any(|name| name.split(' ').any(|one| one == word))
}

impl KeptFrom {
    /// What a card lists. A word that is but of the name of a material, such as polyether, excludes that material.
    pub fn by_card(text: &str) -> KeptFrom {
        // As the card writes its tick of dyes: its "fibers" alone would keep away every strengthened base.
        let text = &spelled_today(text).replace(Substance::Dye.shown(), "dyes");
        let mut excluded = Excluded::of(text);
        let mut materials = not_to_be_used(&without_exceptions(text).0).0;
        materials.retain(|one| excluded.unknown.iter().any(|word| is_word_of(word, *one)));
        let named = not_to_be_used(text).0;
        let is_known = |word: &String| named.iter().any(|one| is_word_of(word, *one));
        excluded.unknown.retain(|word| !is_known(word));
        KeptFrom {
            excluded,
            materials,
        }
    }

    /// What a prescription does not want in its work.
    pub fn by_prescription(text: &str) -> KeptFrom {
        let (kept, borne) = without_exceptions(text);
        let (materials, rest) = not_to_be_used(&kept);
        let mut excluded = Excluded::of(&rest);
        excluded.add_borne(text, &borne);
        KeptFrom {
            excluded,
            materials,
        }
    }

    /// What of it a text of materials names, or names a material for that certainly holds it; each once.
    pub fn in_materials(&self, text: &str) -> Vec<String> {
        let (named, excluded) = (read(text), &self.excluded);
        let holds = |substance: Substance| {
            let mut materials = named.materials.iter();
            materials.any(|&material| {
                let holding = holding_said(&named.free_of, material, substance);
                let is_borne = substance == Substance::Metal
                    && metal_beyond(material, &excluded.borne) != Some(Holding::Certain);
                holding == Some(Holding::Certain) && !is_borne && !is_white(material, substance)
            })
        };
        let is_in = |one: &&Substance| holds(**one) || mentions(text, **one);
        let substances = excluded.substances.iter().filter(is_in);
        let mut found: Vec<String> = substances.map(|one| one.shown().to_owned()).collect();
        let materials = self.materials.iter();
        let materials = materials.filter(|one| named.materials.contains(one));
        let words = excluded.unknown.iter();
        let words = words.filter(|word| names_word(text, word)).cloned();
        for word in materials.map(|one| one.shown().to_owned()).chain(words) {
            if !found.contains(&word) {
                found.push(word);
            }
        }
        found
    }
}

/// How surely a material of a text holds a substance. "MMA-free" may still mean a little.
pub fn holding_said(
    free_of: &[(MaterialKind, Substance)],
    material: MaterialKind,
    substance: Substance,
) -> Option<Holding> {
    match entry(material).holding(substance)? {
        Holding::Certain if free_of.contains(&(material, substance)) => Some(Holding::May),
        holding => Some(holding),
    }
}

/// What some products of a kind hold and is asked about though it touches the mouth for minutes only, or is told of in
/// prose: rosin goes into pastes, compound, sticky wax and adhesives to make them stick, and an aldehyde bath is asked
/// about its kin. The materials of the table say where each is from; that it is asked is our own choice, as no source ranks
/// it.
const ASKED_ABOUT: &[(MaterialKind, Substance)] = &[
    (MaterialKind::ZincOxideEugenol, Substance::Colophony),
    (MaterialKind::EugenolFreePaste, Substance::Colophony),
    (MaterialKind::Compound, Substance::Colophony),
    (MaterialKind::StickyWax, Substance::Colophony),
    (MaterialKind::Adhesive, Substance::Colophony),
    (MaterialKind::GlutaraldehydeBath, Substance::Formaldehyde),
];

/// Whether that a material may hold a substance is asked about wherever it stands.
pub fn is_asked_about(material: MaterialKind, substance: Substance) -> bool {
    ASKED_ABOUT.contains(&(material, substance))
}

/// Whether it is the white of a base, which is worn by everybody.
pub fn is_white(material: MaterialKind, substance: Substance) -> bool {
    material == MaterialKind::TitaniumDioxide && substance == Substance::Titanium
}

/// "All metals except titanium": how surely a material holds a metal that is not said to be borne; none where it is an
/// alloy of what is borne, and of nothing else.
pub fn metal_beyond(material: MaterialKind, borne: &[Substance]) -> Option<Holding> {
    let entry = entry(material);
    let is_other =
        |one: &&Substance| one.is_metal() && **one != Substance::Metal && !borne.contains(one);
    let holds = |one: &Substance, holding: Holding| entry.holding(*one) == Some(holding);
    let others = || Substance::ALL.iter().filter(is_other);
    let holds_borne = borne.iter().any(|one| holds(one, Holding::Certain));
    let is_certain = !holds_borne || others().any(|one| holds(one, Holding::Certain));
    let may_hold = others().any(|one| holds(one, Holding::May));
    match (is_certain, may_hold) {
        (true, _) => Some(Holding::Certain),
        (false, true) => Some(Holding::May),
        (false, false) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the materials hold stands in their table with its sources; here only how it is read.
    #[test]
    fn a_material_that_holds_what_is_to_be_avoided_is_found_by_its_substance() {
        for (card, material, found) in [
            ("nickel", "Nickel-chromium wire", &["nickel"] as &[&str]),
            ("nickel", "nickel-free clasp wire", &[]),
            ("nickel", "Type 3 stone", &[]),
            ("cobalt or chromium", "CoCr mesh", &["cobalt", "chromium"]),
            ("eugenol", "zinc oxide eugenol paste", &["eugenol"]),
            (
                "residual methacrylate (MMA)",
                "cold-cured resin",
                &["residual methacrylate (MMA)"],
            ),
            ("latex", "latex separating sheet", &["latex"]),
            ("all metals except titanium", "titanium mesh", &[]),
            (
                "all metals except titanium",
                "CoCr mesh",
                &["metal of any kind"],
            ),
            ("polyether", "polyether, medium body", &["polyether"]),
            // A word that nobody knows is found as a word.
            ("zirconoxine", "Zirconoxine liner", &["zirconoxine"]),
            ("", "CoCr mesh", &[]),
        ] {
            let kept = KeptFrom::by_card(card);
            let named = kept.in_materials(material);
            let named: Vec<&str> = named.iter().map(String::as_str).collect();
            assert_eq!(named, found, "{card:?} {material:?}");
        }
        let wire = KeptFrom::by_prescription("no nickel-chromium wire");
        assert!(!wire.in_materials("NiCr wire").is_empty());
        assert!(wire.in_materials("CoCr mesh").is_empty());
    }
}
