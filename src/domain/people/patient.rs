//! What the lab must know of a patient, and nothing that says who it is.
//!
//! No name, birth date or face has a field here; an age band and, where the dentist gives it, the sex
//! help the arrangement of teeth. Exclusions go to the lab even though the person does not. Handling
//! needs are said as what the work must allow for, never as a diagnosis.

use crate::domain::form::{FieldSpec, FormPart, Kind, Raw, Reader, Text, part, text};
use crate::domain::form::{YesNo, choices};
use crate::domain::people::privacy::{self, Warning};
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::tooth::Numbering;

choices! {
    /// Ten-year bands; the last is open, as the Safe Harbor list of 45 CFR 164.514 has it for ages over 89.
    AgeBand {
        Under40 = "under_40", "under 40";
        From40 = "40_49", "40 to 49";
        From50 = "50_59", "50 to 59";
        From60 = "60_69", "60 to 69";
        From70 = "70_79", "70 to 79";
        From80 = "80_89", "80 to 89";
        From90 = "90_over", "90 and over";
    }
    /// What stands in a jaw beside or in place of a denture.
    OwnTeeth {
        None = "none", "no teeth";
        Natural = "natural", "natural teeth";
        Implants = "implants", "teeth on implants";
    }
    /// Only where the dentist finds it useful for the arrangement.
    Sex {
        Female = "female", "female";
        Male = "male", "male";
        Other = "other", "other";
    }
    /// Whether anybody asked: an empty list is no answer.
    ExclusionsAsked {
        NoneKnown = "none_known", "asked: none known";
        Listed = "listed", "asked: see below";
        NotAsked = "not_asked", "not asked yet";
    }
}

/// A substance is to be avoided, or was asked about and is none that harms: a yes or a no to a label that says "no" could be
/// read either way.
const AVOID: Kind = Kind::Choice(&[("yes", "avoid"), ("no", "no problem")]);

part! {
    /// A patient's facts for the lab.
    Patient at "patient", "Patient", "No name, no birth date, nothing that points at the person.";
    age_band: AgeBand = AgeBand::KIND, "Age band", "";
    sex: Sex = Sex::KIND, "Sex", "May stay empty.";
    teeth_upper: OwnTeeth = OwnTeeth::KIND, "Upper jaw", "Changes when teeth are extracted.";
    teeth_lower: OwnTeeth = OwnTeeth::KIND, "Lower jaw", "";
    exclusions: ExclusionsAsked = ExclusionsAsked::KIND, "Materials to be avoided", "Ask before the first order.";
    no_methacrylate: YesNo = AVOID, "Residual methacrylate (MMA)", "";
    no_nickel: YesNo = AVOID, "Nickel", "";
    no_cobalt_chromium: YesNo = AVOID, "Cobalt or chromium", "";
    no_eugenol: YesNo = AVOID, "Eugenol", "";
    no_latex: YesNo = AVOID, "Latex", "";
    no_dyes: YesNo = AVOID, "Added dyes or pigmented fibers", "";
    no_peroxide: YesNo = AVOID, "Benzoyl peroxide or hydroquinone", "";
    no_other: Text = text(200), "Other substances to be avoided", "One after the other.";
    dry_mouth: YesNo = YesNo::ASKED, "Dry mouth", "";
    gag_reflex: YesNo = YesNo::ASKED, "Strong gag reflex", "";
    sore_mucosa: YesNo = YesNo::ASKED, "Mucosa that sores easily", "";
    small_opening: YesNo = YesNo::ASKED, "Small mouth opening", "";
    tremor: YesNo = YesNo::ASKED, "Unsteady hands", "";
    one_handed: YesNo = YesNo::ASKED, "Handles the dentures with one hand", "";
    low_sight: YesNo = YesNo::ASKED, "Sees poorly", "";
    helped: YesNo = YesNo::ASKED, "Dentures are cleaned and put in by a carer", "";
    grinds: YesNo = YesNo::ASKED, "Grinds or clenches", "";
    handling: Text = text(200), "Other handling needs", "What the work must allow for; no diagnosis.";
}

/// The label of what is to be avoided, in a signed text and on its slip.
pub const AVOIDED: &str = "To be avoided";

/// What could be read of a patient's card, and what could not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PatientReading {
    pub patient: Patient,
    pub faults: Vec<Fault>,
}

/// The card's fields for its form.
pub fn fields() -> &'static [FieldSpec] {
    Patient::FIELDS
}

/// Reads a card from typed text; keys that do not begin with `patient.` are passed over.
pub fn read(raw: &Raw) -> PatientReading {
    // No field of the card is a tooth, so any numbering will do.
    let mut reader = Reader::new(raw, Numbering::Iso3950);
    let patient = Patient::read(&mut reader, None);
    let mut faults = reader.faults;
    let known = |key: &String| fields().iter().any(|field| field.key == key);
    let unknown = raw
        .iter()
        .filter(|(key, text)| key.starts_with("patient.") && !text.trim().is_empty());
    faults.extend(
        unknown
            .filter(|(key, _)| !known(key))
            .map(|(key, _)| Fault::new(key, "The card has no such field.")),
    );
    faults.extend(contradiction(&patient));
    PatientReading { patient, faults }
}

/// Free text of the card that looks as if it pointed at a person, with its form key.
pub fn personal(raw: &Raw) -> Vec<(String, Warning)> {
    let is_free_text = |key: &str| {
        fields()
            .iter()
            .any(|field| field.key == key && field.is_free_text())
    };
    privacy::in_fields(raw, is_free_text)
}

/// "None known" beside a listed substance would be read either way, so neither is taken.
fn contradiction(patient: &Patient) -> Option<Fault> {
    let none_known = patient.exclusions == Some(ExclusionsAsked::NoneKnown);
    (none_known && !patient.excluded().is_empty()).then(|| {
        Fault::new("patient.exclusions", "“None known” is chosen here, yet something is listed below. Choose “see below”, or empty the list.")
    })
}

impl Patient {
    /// Label and words of what the lab must know, for the signed document and the slip. What is to be avoided is
    /// one line: a list of noes is read wrong.
    pub fn facts(&self) -> Vec<(String, String)> {
        let mut cells = Vec::new();
        self.cells(None, Numbering::Iso3950, &mut cells);
        let mut facts = Vec::new();
        for cell in cells {
            let field = cell.spec.key.trim_start_matches("patient.");
            if field == "exclusions" {
                facts.extend(self.avoided());
            } else if !field.starts_with("no_") {
                facts.push((cell.spec.label.to_owned(), cell.shown));
            }
        }
        // Something may be listed although nobody has said that it was asked.
        if self.exclusions.is_none() {
            facts.extend(self.avoided());
        }
        facts
    }

    /// "To be avoided: nickel, latex", or that somebody asked and none is known.
    fn avoided(&self) -> Option<(String, String)> {
        let listed = self.excluded();
        let words = match (listed.is_empty(), self.exclusions) {
            (false, _) => listed.join(", "),
            (true, Some(ExclusionsAsked::Listed)) => "asked, and nothing is listed".to_owned(),
            (true, asked) => asked?.shown().to_owned(),
        };
        Some((AVOIDED.to_owned(), words))
    }

    /// What stands in a jaw, as far as the card says.
    pub fn teeth(&self, arch: Arch) -> Option<OwnTeeth> {
        match arch {
            Arch::Upper => self.teeth_upper,
            Arch::Lower => self.teeth_lower,
        }
    }

    /// Back to typed text.
    pub fn to_raw(&self) -> Raw {
        let mut cells = Vec::new();
        self.cells(None, Numbering::Iso3950, &mut cells);
        cells
            .into_iter()
            .map(|cell| (cell.key(), cell.raw))
            .collect()
    }

    /// The substances to be avoided, in words, for the caution on the slip.
    pub fn excluded(&self) -> Vec<String> {
        let known = [
            (self.no_methacrylate, "residual methacrylate (MMA)"),
            (self.no_nickel, "nickel"),
            (self.no_cobalt_chromium, "cobalt or chromium"),
            (self.no_eugenol, "eugenol"),
            (self.no_latex, "latex"),
            (self.no_dyes, "added dyes or pigmented fibers"),
            (self.no_peroxide, "benzoyl peroxide or hydroquinone"),
        ];
        let yes = known
            .into_iter()
            .filter(|(answer, _)| answer.is_some_and(YesNo::is_yes));
        let named = yes.map(|(_, words)| words.to_owned());
        named
            .chain(self.no_other.iter().map(|text| text.as_str().to_owned()))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_substance_is_avoided_or_no_problem_and_is_stored_as_it_was() {
        let of_substances = |spec: &&FieldSpec| spec.kind == AVOID;
        let asked: Vec<_> = fields().iter().filter(of_substances).collect();
        assert_eq!(asked.len(), 7);
        for spec in asked {
            assert!(spec.key.starts_with("patient.no_"), "{}", spec.key);
            assert!(!spec.label.starts_with("No "), "{}", spec.label);
        }
        let raw = Raw::from([
            ("patient.exclusions".to_owned(), "listed".to_owned()),
            ("patient.no_nickel".to_owned(), "yes".to_owned()),
            ("patient.no_latex".to_owned(), "no".to_owned()),
        ]);
        let reading = read(&raw);
        assert_eq!(reading.faults, []);
        assert_eq!(reading.patient.excluded(), ["nickel"]);
        assert_eq!(reading.patient.to_raw(), raw);
    }

    #[test]
    fn ages_over_89_are_one_band() {
        // 45 CFR 164.514(b)(2)(i)(C): ages over 89 are given together as 90 or older, so that a patient of 91
        // stands on the card as “90 and over” and cannot be written down otherwise.
        let numbers = |shown: &str| -> Vec<u32> {
            let parts = shown.split(|c: char| !c.is_ascii_digit());
            parts.filter_map(|part| part.parse().ok()).collect()
        };
        let holds_91: Vec<&str> = AgeBand::ALL
            .iter()
            .map(|band| band.shown())
            .filter(|shown| match numbers(shown).as_slice() {
                [least, most] => (least..=most).contains(&&91),
                [least] => shown.ends_with("and over") && *least <= 91,
                _ => false,
            })
            .collect();
        assert_eq!(holds_91, ["90 and over"]);
        let highest = AgeBand::ALL
            .iter()
            .flat_map(|band| numbers(band.shown()))
            .max();
        assert_eq!(highest, Some(90), "no band names a higher age");
        for typed in ["91", "90-99", "born 1934"] {
            assert_eq!(
                read(&self::typed(&[("patient.age_band", typed)]))
                    .faults
                    .len(),
                1,
                "{typed}"
            );
        }
    }

    fn typed(pairs: &[(&str, &str)]) -> Raw {
        pairs
            .iter()
            .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
            .collect()
    }

    #[test]
    fn a_card_is_read_and_said_in_words() {
        let raw = typed(&[
            ("patient.age_band", "90_over"),
            ("patient.exclusions", "listed"),
            ("patient.no_nickel", "yes"),
            ("patient.no_latex", "no"),
            ("patient.no_other", " palladium "),
            ("version", "3"),
        ]);
        let reading = read(&raw);
        assert_eq!(reading.faults, []);
        assert_eq!(reading.patient.excluded(), ["nickel", "palladium"]);
        assert!(
            reading
                .patient
                .facts()
                .contains(&("Age band".into(), "90 and over".into()))
        );
        assert_eq!(read(&reading.patient.to_raw()), reading);
    }

    #[test]
    fn p17_what_is_to_be_avoided_is_one_line_without_a_double_negative() {
        let facts = |pairs: &[(&str, &str)]| read(&typed(pairs)).patient.facts();
        let line = |words: &str| vec![(AVOIDED.to_owned(), words.to_owned())];
        for (typed, words) in [
            (
                &[
                    ("patient.exclusions", "listed"),
                    ("patient.no_nickel", "yes"),
                    ("patient.no_latex", "no"),
                    ("patient.no_other", "palladium"),
                ] as &[(&str, &str)],
                "nickel, palladium",
            ),
            (
                &[
                    ("patient.exclusions", "none_known"),
                    ("patient.no_nickel", "no"),
                ],
                "asked: none known",
            ),
            (&[("patient.exclusions", "not_asked")], "not asked yet"),
            (&[("patient.no_eugenol", "yes")], "eugenol"),
            (
                &[("patient.exclusions", "listed")],
                "asked, and nothing is listed",
            ),
        ] {
            assert_eq!(facts(typed), line(words), "{typed:?}");
        }
        assert_eq!(facts(&[("patient.no_nickel", "no")]), []);
    }

    #[test]
    fn a_wrong_answer_is_named_beside_its_field() {
        for (key, text) in [
            ("patient.age_band", "77"),
            ("patient.no_nickel", "maybe"),
            ("patient.name", "someone"),
            ("patient.born", "1948"),
        ] {
            let faults = read(&typed(&[(key, text)])).faults;
            assert_eq!(
                faults
                    .iter()
                    .map(|fault| fault.key.as_str())
                    .collect::<Vec<_>>(),
                [key]
            );
        }
    }

    #[test]
    fn none_known_and_a_listed_substance_contradict_each_other() {
        let raw = typed(&[
            ("patient.exclusions", "none_known"),
            ("patient.no_eugenol", "yes"),
        ]);
        assert_eq!(
            read(&raw).faults.first().map(|fault| fault.key.as_str()),
            Some("patient.exclusions")
        );
        let raw = typed(&[
            ("patient.exclusions", "none_known"),
            ("patient.no_eugenol", "no"),
        ]);
        assert_eq!(read(&raw).faults, []);
    }

    #[test]
    fn free_text_of_the_card_is_looked_at_and_nothing_else() {
        let raw = typed(&[
            ("patient.handling", "as Mrs. Brown asked"),
            ("version", "Mrs. Brown"),
        ]);
        let keys: Vec<String> = personal(&raw).into_iter().map(|(key, _)| key).collect();
        assert_eq!(keys, ["patient.handling"]);
    }

    #[test]
    fn no_field_asks_who_the_patient_is() {
        for field in fields() {
            let words = format!("{} {}", field.key, field.label).to_lowercase();
            for forbidden in ["name", "birth", "address", "phone", "photo", "insurance"] {
                assert!(!words.contains(forbidden), "{words}");
            }
        }
    }
}
