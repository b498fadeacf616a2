//! What goes into the work, and into the mouth, against what the patient is to be kept from: by the card as it was signed,
//! by the prescription, and by the card as it is now.

use super::card_since::CardSince;
use crate::domain::form::Text;
use crate::domain::people::card_facts::{avoided_line, named_in};
use crate::domain::people::patient::Patient;
use crate::domain::prescription::revision::Document;
use crate::domain::trade::substances::KeptFrom;

/// What is to be kept away, each with whose word it is.
pub struct ToBeAvoided(Vec<(KeptFrom, &'static str)>);

impl ToBeAvoided {
    /// By the card as it was signed, the prescription, and the card as it is now.
    pub fn by(document: &Document, card: Option<&CardSince>) -> ToBeAvoided {
        let signed = avoided_line(&document.patient.facts);
        let without = document.prescription.base.without.as_ref();
        let without = without.map(Text::as_str).unwrap_or_default();
        let now = card.map(|card| named_in(&card.says)).unwrap_or_default();
        ToBeAvoided(vec![
            (KeptFrom::by_card(named_in(&signed)), "the patient’s card"),
            (KeptFrom::by_prescription(without), "the prescription"),
            (KeptFrom::by_card(now), "the patient’s card since"),
        ])
    }

    /// By the card alone, where nothing is signed yet.
    pub fn by_card(card: &Patient) -> ToBeAvoided {
        let line = avoided_line(&card.facts());
        ToBeAvoided(vec![(
            KeptFrom::by_card(named_in(&line)),
            "the patient’s card",
        )])
    }

    /// Whether anything is.
    pub fn is_any(&self) -> bool {
        let is_some =
            |(kept, _): &(KeptFrom, &str)| !kept.excluded.is_empty() || !kept.materials.is_empty();
        self.0.iter().any(is_some)
    }

    /// What a material names or holds of it, and by whose word; none where nothing is found, which proves nothing.
    pub fn in_material(&self, material: &str) -> Option<String> {
        let mut known: Vec<String> = Vec::new();
        let mut all: Vec<String> = Vec::new();
        for (kept, by) in &self.0 {
            let mut names = kept.in_materials(material);
            names.retain(|name| !known.contains(name));
            if !names.is_empty() {
                all.push(format!("{}, by {by}", names.join(", ")));
            }
            known.extend(names);
        }
        (!all.is_empty()).then(|| {
            let avoided = all.join("; ");
            format!("To be avoided: {avoided}. “{material}” contains or names it.")
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::people::patient;
    use crate::domain::prescription::{read, samples};
    use crate::domain::trade::substances::Substance;
    use crate::domain::values::tooth::Numbering;

    fn card(pairs: &[(&str, &str)]) -> patient::Patient {
        let pairs = pairs.iter();
        let raw = pairs.map(|(key, text)| (format!("patient.{key}"), (*text).to_owned()));
        let raw: Raw = raw.collect();
        patient::read(&raw).patient
    }

    const NICKEL: &[(&str, &str)] = &[("exclusions", "listed"), ("no_nickel", "yes")];
    const NONE: &[(&str, &str)] = &[("exclusions", "none_known")];
    const EMPTY: &[(&str, &str)] = &[];

    #[test]
    fn a_material_is_held_against_the_card_the_prescription_and_the_card_since() {
        // the card as signed, what the prescription does not want, the card now, the material, what is told
        for (signed, without, now, material, told) in [
            (
                NICKEL,
                "",
                NICKEL,
                "NiCr wire",
                Some("nickel, by the patient’s card."),
            ),
            (
                NONE,
                "nickel",
                NONE,
                "NiCr wire",
                Some("nickel, by the prescription."),
            ),
            (
                NONE,
                "",
                NICKEL,
                "NiCr wire",
                Some("nickel, by the patient’s card since."),
            ),
            (
                NICKEL,
                "cobalt",
                NICKEL,
                "cobalt chromium nickel wire",
                Some("nickel, by the patient’s card; cobalt, by the prescription."),
            ),
            // What the card said when it was signed stands until it is signed otherwise.
            (
                NICKEL,
                "",
                NONE,
                "NiCr wire",
                Some("nickel, by the patient’s card."),
            ),
            (NICKEL, "", NICKEL, "Type 3 stone", None),
            (NONE, "", NONE, "NiCr wire", None),
            (EMPTY, "", EMPTY, "NiCr wire", None),
        ] {
            let raw = Raw::from([("base.without".to_owned(), without.to_owned())]);
            let mut document = samples::document(read(&raw, Numbering::Iso3950).document);
            document.patient.facts = card(signed).facts();
            let since = CardSince::of(&card(now), &document);
            let avoided = ToBeAvoided::by(&document, since.as_ref());
            let found = avoided.in_material(material);
            let expected = told
                .map(|told| format!("To be avoided: {told} “{material}” contains or names it."));
            assert_eq!(found, expected, "{signed:?} {without:?} {now:?}");
            let says_nothing = ![signed, now].contains(&NICKEL) && without.is_empty();
            assert_eq!(avoided.is_any(), !says_nothing);
            // Before anything is signed the card alone says it.
            let by_card = ToBeAvoided::by_card(&card(now)).in_material("NiCr wire");
            assert_eq!(by_card.is_some(), now == NICKEL, "{now:?}");
        }
    }

    /// The card writes its ticks as words: they are read back as the substances that the review takes for them.
    #[test]
    fn the_ticks_of_the_card_are_read_back_as_their_substances() {
        for (tick, substances) in [
            ("no_methacrylate", &[Substance::Monomer] as &[_]),
            ("no_nickel", &[Substance::Nickel]),
            (
                "no_cobalt_chromium",
                &[Substance::Cobalt, Substance::Chromium],
            ),
            ("no_eugenol", &[Substance::Eugenol]),
            ("no_latex", &[Substance::Latex]),
            ("no_dyes", &[Substance::Dye]),
            (
                "no_peroxide",
                &[Substance::Peroxide, Substance::Hydroquinone],
            ),
        ] {
            let line = avoided_line(&card(&[("exclusions", "listed"), (tick, "yes")]).facts());
            let kept = KeptFrom::by_card(named_in(&line));
            assert_eq!(kept.excluded.substances, substances, "{line}");
            assert_eq!(kept.excluded.unknown, [""; 0], "{line}");
        }
    }
}
