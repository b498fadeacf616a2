//! The part of a signed text that goes along with work passed on: cut out once, and all that the second laboratory reads is
//! made from it. Whoever forgets a new field here keeps it back; nothing is passed on by forgetting.

use super::harm::tells_of_harm;
use super::parts::{ALWAYS, FIELDS_NEVER, NEVER, parts_needed};
use crate::domain::custody::{PassedWork, SecondLabWork};
use crate::domain::form::{Day, FieldSpec, Kind, SectionSpec};
use crate::domain::people::card_facts::CardFact;
use crate::domain::prescription::revision::{Document, DocumentError, PartyCard, SHEET};
use crate::domain::prescription::{Dates, Prescription, catalogue};
use crate::domain::review::warns_of_harm;
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::ids::Tag;
use crate::domain::values::tooth::Tooth;
use serde_json::{Map, Value};

/// What goes along, as the authorisation says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Along<'a> {
    pub work: SecondLabWork,
    /// Sections that the first laboratory has added.
    pub more: &'a [String],
    pub arches: Arches,
    pub items: &'a [Tag],
}

impl<'a> From<&'a PassedWork> for Along<'a> {
    fn from(pass: &'a PassedWork) -> Along<'a> {
        Along {
            work: pass.work,
            more: &pass.more,
            arches: pass.arches,
            items: &pass.items,
        }
    }
}

/// The two laboratories as they are named on paper, and the day on which the first one wants the work back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Between {
    pub from: PartyCard,
    pub to: PartyCard,
    pub wanted: Day,
}

/// The text, and titles of what goes along and of what stays, each only where something is written in it.
#[derive(Debug, Clone, PartialEq)]
pub struct PassedPart {
    /// The text with nothing in it that does not go along. It is from the first laboratory, to the second one.
    pub document: Document,
    pub goes: Vec<&'static str>,
    pub stays: Vec<&'static str>,
}

/// The lists whose rows are of one arch by the tooth that they name. A list of changes stays whole where it goes: both
/// laboratories speak of its rows by their numbers.
const BY_TOOTH: [&str; 2] = ["extractions", "repairs"];

impl Along<'_> {
    /// Whether a section goes along.
    pub fn has(&self, section: &str) -> bool {
        let is_added = || self.more.iter().any(|key| key == section);
        ALWAYS.contains(&section)
            || !NEVER.contains(&section)
                && (is_added() || parts_needed(self.work).contains(&section))
    }

    /// Titles of the filled sections, of those that go along or of those that stay.
    pub fn titles(&self, prescription: &Prescription, goes: bool) -> Vec<&'static str> {
        let sections = catalogue().iter();
        let filled = sections.filter(|section| prescription.is_filled(section.key));
        let own = filled.filter(|section| self.has(section.key) == goes);
        own.map(|section| section.title).collect()
    }

    fn is_of(&self, arch: Arch) -> bool {
        self.arches.treated().contains(&arch)
    }

    /// Whether a field is of an arch that is passed on, or of none, by its name.
    fn is_of_name(&self, name: &str) -> bool {
        let names = |arch: &str| {
            let rest = name.strip_prefix(arch).or_else(|| name.strip_suffix(arch));
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('_') || rest.ends_with('_'))
        };
        match (names("upper"), names("lower")) {
            (true, false) => self.is_of(Arch::Upper),
            (false, true) => self.is_of(Arch::Lower),
            _ => true,
        }
    }

    /// A tag that does not read is kept back.
    fn has_item(&self, value: &Value) -> bool {
        let tag = value.as_str().and_then(|tag| Tag::parse(tag).ok());
        tag.is_some_and(|tag| self.items.contains(&tag))
    }

    fn field_goes(&self, spec: &FieldSpec, value: &Value) -> bool {
        !FIELDS_NEVER.contains(&spec.key)
            && self.is_of_name(name_of(spec))
            && (!matches!(spec.kind, Kind::Tag) || self.has_item(value))
    }

    /// Keeps the fields that go along, and each text that warns of something; the lists among them are looked at by
    /// themselves.
    fn cut(&self, fields: &[FieldSpec], values: &mut Map<String, Value>, goes: bool) {
        values.retain(|name, value| {
            let Some(spec) = fields.iter().find(|spec| name_of(spec) == name) else {
                return true;
            };
            let warns = || spec.is_free_text() && value.as_str().is_some_and(tells_of_harm);
            goes && self.field_goes(spec, value) || warns()
        });
    }

    /// Whether a row of a list is of things and arches that are passed on.
    fn row_goes(&self, list: &str, fields: &[FieldSpec], row: &Value) -> bool {
        fields.iter().all(|spec| {
            let Some(value) = row.get(name_of(spec)) else {
                return true;
            };
            match spec.kind {
                Kind::Tag => self.has_item(value),
                Kind::Tooth if BY_TOOTH.contains(&list) => {
                    let tooth = serde_json::from_value::<Tooth>(value.clone());
                    tooth.is_ok_and(|tooth| self.is_of(tooth.arch()))
                }
                _ if name_of(spec) == "arch" => {
                    let arch = serde_json::from_value::<Arch>(value.clone());
                    arch.is_ok_and(|arch| self.is_of(arch))
                }
                _ => true,
            }
        })
    }

    fn cut_section(&self, section: &SectionSpec, values: &mut Map<String, Value>) {
        let goes = self.has(section.key);
        self.cut(section.fields, values, goes);
        for group in section.groups {
            let Some(Value::Array(rows)) = values.get_mut(group.key) else {
                continue;
            };
            for row in rows.iter_mut() {
                let goes = goes && self.row_goes(group.key, group.fields, row);
                if let Some(cells) = row.as_object_mut() {
                    self.cut(group.fields, cells, goes);
                }
            }
            rows.retain(|row| row.as_object().is_some_and(|cells| !cells.is_empty()));
        }
    }

    /// The prescription with nothing but what goes along. It is cut as it is stored: a value that today's form would not
    /// take any more stays what it is.
    fn cut_out(&self, prescription: &Prescription) -> Result<Prescription, DocumentError> {
        let mut whole = serde_json::to_value(prescription)?;
        for section in catalogue() {
            let values = whole.get_mut(section.key).and_then(Value::as_object_mut);
            if let Some(values) = values {
                self.cut_section(section, values);
            }
        }
        Ok(serde_json::from_value(whole)?)
    }
}

fn name_of(spec: &FieldSpec) -> &'static str {
    spec.key.rsplit('.').next().unwrap_or(spec.key)
}

/// What of the card goes along: what is to be avoided always, what describes the person never. The rest of it is for whoever
/// does the whole work, but for what warns of something.
fn facts(document: &Document, work: SecondLabWork) -> Vec<(String, String)> {
    let goes = |fact: &&(String, String)| match CardFact::of(fact) {
        CardFact::AgeBand(_) | CardFact::Sex(_) => false,
        CardFact::Other { label, words } => {
            work == SecondLabWork::Whole || tells_of_harm(&format!("{label}: {words}"))
        }
        CardFact::Asked(_) | CardFact::Substances(_) | CardFact::Substance { .. } => true,
    };
    let facts = document.patient.facts.iter();
    facts.filter(goes).cloned().collect()
}

/// The part of a signed text for the second laboratory: from the first one, to it, wanted back on a day.
///
/// # Errors
/// Where the stored prescription does not read back, as with any signed text.
pub fn part_of(
    document: &Document,
    along: Along<'_>,
    between: &Between,
) -> Result<PassedPart, DocumentError> {
    let whole = &document.prescription;
    let mut prescription = along.cut_out(whole)?;
    prescription.dates = Dates {
        wanted: Some(between.wanted),
        ..Dates::default()
    };
    let mut part = document.clone();
    part.prescription = prescription;
    part.arches = along.arches;
    part.patient.facts = facts(document, along.work);
    // Whoever answers questions stands where the office stands.
    part.office = between.from.clone();
    part.lab = between.to.clone();
    part.items.clear();
    part.warnings.clear();
    part.passed.retain(|one| warns_of_harm(&one.id));
    (part.met, part.criteria) = (0, 0);
    part.law.clear();
    part.missing.clear();
    // It is a paper of today, whichever sheet the text was signed for.
    part.sheet = SHEET;
    Ok(PassedPart {
        document: part,
        goes: along.titles(whole, true),
        stays: along.titles(whole, false),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::revision::PassedCaution;
    use crate::domain::prescription::{all_fields, read, samples, section_of};
    use crate::domain::values::tooth::Numbering;
    use proptest::prelude::*;
    use proptest::sample::select;

    fn to() -> PartyCard {
        PartyCard {
            name: "Anvil".to_owned(),
            address: "2 Forge Lane".to_owned(),
            licence: "L-2".to_owned(),
            telephone: String::new(),
        }
    }

    fn wanted() -> Day {
        time::macros::date!(2026 - 03 - 12).into()
    }

    fn typed(raw: &Raw) -> Document {
        samples::document(read(raw, Numbering::Iso3950).document)
    }

    fn along(work: SecondLabWork) -> Along<'static> {
        Along {
            work,
            more: &[],
            arches: Arches::Both,
            items: &[],
        }
    }

    fn cut(document: &Document, along: Along<'_>) -> PassedPart {
        let between = Between {
            from: document.lab.clone(),
            to: to(),
            wanted: wanted(),
        };
        part_of(document, along, &between).unwrap()
    }

    fn raw_of(part: &PassedPart) -> Raw {
        part.document.prescription.to_raw(Numbering::Iso3950)
    }

    #[test]
    fn what_is_to_be_avoided_goes_with_every_kind_of_work_and_the_person_with_none() {
        let mut raw = samples::least();
        raw.insert("base.without".to_owned(), "cobalt".to_owned());
        raw.insert(
            "remarks.remarks".to_owned(),
            "carrier of a virus".to_owned(),
        );
        let mut document = typed(&raw);
        let fact = |label: &str, words: &str| (label.to_owned(), words.to_owned());
        document.patient.facts.extend([
            fact("Sex", "female"),
            fact("Mucosa that sores easily", "yes"),
            fact("Unsteady hands", "yes"),
        ]);
        document.passed.push(PassedCaution {
            id: "alloy-unnamed".to_owned(),
            sentence: "The alloy is not named.".to_owned(),
            reason: "asked".to_owned(),
        });
        for work in SecondLabWork::ALL {
            let part = cut(&document, along(*work)).document;
            let mut facts = vec![
                fact("No nickel", "yes"),
                fact("Mucosa that sores easily", "yes"),
            ];
            if *work == SecondLabWork::Whole {
                facts.push(fact("Unsteady hands", "yes"));
            }
            assert_eq!(part.patient.facts, facts, "{work:?}");
            let raw = part.prescription.to_raw(Numbering::Iso3950);
            for key in ["base.without", "remarks.remarks", "pieces.0.materials"] {
                assert!(raw.contains_key(key), "{work:?} without {key}");
            }
            // The caution about a mould stays, the one about the patient goes.
            let ids: Vec<&str> = part.passed.iter().map(|one| one.id.as_str()).collect();
            assert_eq!(ids, ["alloy-unnamed"]);
            assert_eq!(
                (part.warnings.len(), part.missing.len(), part.law.len()),
                (0, 0, 0)
            );
        }
    }

    #[test]
    fn a_text_that_warns_goes_along_from_a_part_that_stays() {
        let raw: Raw = [
            ("shade.note", "allergic to a dye, ask first"),
            ("shade.guide", "Row"),
            ("enclosures.note", "carrier of hepatitis"),
            ("pieces.0.arch", "lower"),
            ("pieces.0.materials", "no nickel"),
            ("pieces.0.description", "base"),
            ("order.remake_reason", "infection under the flange"),
        ]
        .map(|(key, text)| (key.to_owned(), text.to_owned()))
        .into();
        let upper = Along {
            arches: Arches::Upper,
            ..along(SecondLabWork::Framework)
        };
        let keys: Vec<String> = raw_of(&cut(&typed(&raw), upper)).into_keys().collect();
        assert_eq!(
            keys,
            [
                "dates.wanted",
                "enclosures.note",
                "order.remake_reason",
                "pieces.0.materials",
                "shade.note"
            ]
        );
    }

    #[test]
    fn it_is_from_the_first_laboratory_to_the_second_and_wanted_back_on_its_own_day() {
        let document = typed(&samples::full(2));
        let part = cut(&document, along(SecondLabWork::Whole)).document;
        assert_eq!((&part.office, &part.lab), (&document.lab, &to()));
        let days = Dates {
            wanted: Some(wanted()),
            ..Dates::default()
        };
        assert_eq!(part.prescription.dates, days);
        assert_eq!(
            (part.case, part.revision),
            (document.case, document.revision)
        );
        let raw = part.prescription.to_raw(Numbering::Iso3950);
        for key in FIELDS_NEVER {
            assert!(!raw.contains_key(key), "{key}");
        }
    }

    #[test]
    fn what_was_signed_before_a_limit_was_narrowed_is_passed_on_as_it_was() {
        let mut raw = samples::least();
        raw.insert("base.palate_mm".to_owned(), "6".to_owned());
        let mut document = typed(&raw);
        // Beyond what the form takes.
        let text = document
            .canonical()
            .unwrap()
            .replace(r#""palate_mm":6"#, r#""palate_mm":9"#);
        let text = text.replace(r#""palate_mm":"6"#, r#""palate_mm":"9"#);
        document = Document::from_canonical(&text).unwrap();
        let found = cut(&document, along(SecondLabWork::Tray));
        assert_eq!(found.document.prescription.base, document.prescription.base);
    }

    #[test]
    fn an_arch_that_is_not_passed_on_stays() {
        let raw: Raw = [
            ("pieces.0.arch", "upper"),
            ("pieces.0.materials", "resin"),
            ("pieces.1.arch", "lower"),
            ("pieces.1.materials", "titanium"),
            ("pieces.2.materials", "of either"),
            ("anterior.upper_mould", "T-1"),
            ("anterior.lower_mould", "T-2"),
            ("posterior.teeth_upper", "14"),
            ("posterior.teeth_lower", "12"),
            ("vertical.reset_lower_front", "yes"),
            ("extractions.0.tooth", "UR1"),
            ("extractions.1.tooth", "LR1"),
            ("changes.0.tooth", "LR1"),
        ]
        .map(|(key, text)| (key.to_owned(), text.to_owned()))
        .into();
        let document = typed(&raw);
        let upper = Along {
            arches: Arches::Upper,
            ..along(SecondLabWork::SetUp)
        };
        let found = cut(&document, upper);
        let keys: Vec<String> = raw_of(&found).into_keys().collect();
        assert_eq!(
            keys,
            [
                "anterior.upper_mould",
                "changes.0.tooth",
                "dates.wanted",
                "extractions.0.tooth",
                "pieces.0.arch",
                "pieces.0.materials",
                "pieces.1.materials",
                "posterior.teeth_upper",
                "vertical.reset_lower_front",
            ]
        );
        assert_eq!(found.document.arches, Arches::Upper);
        let both = raw_of(&cut(&document, along(SecondLabWork::SetUp)));
        assert_eq!(both.len(), raw.len() + 1);
    }

    #[test]
    fn an_item_that_does_not_go_along_is_not_named() {
        let mut raw = samples::least();
        let tags: Vec<String> = (1..=3)
            .map(|seed| {
                let spec = all_fields()
                    .find(|spec| matches!(spec.kind, Kind::Tag))
                    .unwrap();
                samples::filling(spec, seed)
            })
            .collect();
        for (key, place) in [
            ("jaw.item", 0),
            ("facebow.item", 1),
            ("scans.0.tag", 0),
            ("scans.1.tag", 2),
        ] {
            raw.insert(key.to_owned(), tags[place].clone());
        }
        raw.insert("facebow.record_id".to_owned(), "F-7".to_owned());
        let document = typed(&raw);
        let goes = [Tag::parse(&tags[0]).unwrap()];
        let more = ["scan_set".to_owned()];
        let mounting = Along {
            more: &more,
            items: &goes,
            ..along(SecondLabWork::Mounting)
        };
        let found = raw_of(&cut(&document, mounting));
        assert!(found.contains_key("jaw.item") && found.contains_key("scans.0.tag"));
        assert!(!found.contains_key("facebow.item") && !found.contains_key("scans.1.tag"));
        assert_eq!(found["facebow.record_id"], "F-7");
        assert!(cut(&document, mounting).document.items.is_empty());
    }

    #[test]
    fn a_part_that_is_added_goes_along_and_what_never_goes_cannot_be_added() {
        let document = typed(&samples::marked());
        let more = ["shade", "dates", "law", "no such part"].map(str::to_owned);
        let casting = Along {
            more: &more,
            ..along(SecondLabWork::Framework)
        };
        let found = cut(&document, casting);
        assert!(found.document.prescription.is_filled("shade"));
        assert!(!found.document.prescription.is_filled("law"));
        assert!(found.goes.contains(&"Tooth shade") && !found.stays.contains(&"Tooth shade"));
        assert!(found.stays.contains(&"Dates") && !found.goes.contains(&"Dates"));
        // Of what nobody has written nothing is told either way.
        let least = cut(&typed(&samples::least()), along(SecondLabWork::Framework));
        assert_eq!(
            (least.goes, least.stays),
            (vec!["Order"], vec!["Tooth shade", "Dates"])
        );
    }

    proptest! {
        /// Everything that goes is of a part that goes, as it was signed; a text of another part is nowhere in it.
        #[test]
        fn nothing_of_another_part_is_in_it(
            work in select(SecondLabWork::ALL.to_vec()),
            more in prop::collection::vec(select(catalogue().iter().map(|one| one.key.to_owned()).collect::<Vec<_>>()), 0..3),
            arches in select(Arches::ALL.to_vec()),
        ) {
            let raw = samples::marked();
            let document = typed(&raw);
            let along = Along { work, more: &more, arches, items: &[] };
            let part = cut(&document, along);
            let text = part.document.canonical().unwrap();
            for (key, words) in &raw {
                let section = section_of(key).unwrap();
                let is_word = words.starts_with("zq");
                prop_assert!(!is_word || along.has(section.key) || !text.contains(words.as_str()), "{}", key);
            }
            for (section, cells) in part.document.prescription.filled(Numbering::Iso3950) {
                prop_assert!(cells.is_empty() || along.has(section.key) || section.key == "dates", "{}", section.key);
            }
            prop_assert!(!text.contains("70 to 79"));
        }

        /// Of whatever is written the part reads back to itself, and cut once more it is the same.
        #[test]
        fn cut_twice_it_is_the_same(raw in samples::any_readable(), work in select(SecondLabWork::ALL.to_vec())) {
            let document = typed(&raw);
            let once = cut(&document, along(work)).document;
            let again = cut(&once, along(work)).document;
            prop_assert_eq!(&once.prescription, &again.prescription);
            let said = once.prescription.to_raw(Numbering::Iso3950);
            let whole = document.prescription.to_raw(Numbering::Iso3950);
            let texts: Vec<&String> = whole.values().collect();
            prop_assert!(said.iter().all(|(key, text)| key == "dates.wanted" || texts.contains(&text)));
        }
    }
}
