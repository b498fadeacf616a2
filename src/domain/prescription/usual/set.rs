//! A set of usual values: its name, what it is for, and its values as the prescription would read them.

use super::holds::{held_by, may_hold};
use crate::domain::form::Raw;
use crate::domain::people::party::Side;
use crate::domain::prescription::{Course, read};
use crate::domain::values::fault::Fault;
use crate::domain::values::tooth::Numbering;
use serde::{Deserialize, Serialize};

/// A name is read beside others on the form: no longer than this.
pub const NAME_MOST: usize = 60;

/// One version of a set, as it is stored.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UsualSet {
    /// At most [`NAME_MOST`] signs.
    pub name: String,
    /// Drafts begin with it, where it is for their kind of work.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub begins: bool,
    /// The kinds of work that it is for; empty is all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub courses: Vec<Course>,
    /// Who mostly carries parcels; no part of the prescription.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub carrier: String,
    /// Form keys of the prescription with their raw words.
    pub values: Raw,
}

impl UsualSet {
    /// Reads the values of a form: what a set of this house may hold, each as the prescription reads it.
    pub fn read_values(raw: &Raw, side: Side, faults: &mut Vec<Fault>) -> Raw {
        let held = held_by(side).iter();
        let typed: Raw = held
            .filter_map(|spec| Some((spec.key.to_owned(), raw.get(spec.key)?.clone())))
            .collect();
        let reading = read(&typed, Numbering::Iso3950);
        faults.extend(reading.faults);
        reading.document.to_raw(Numbering::Iso3950)
    }

    /// The text that is stored.
    ///
    /// # Errors
    /// None that a set of texts can cause.
    pub fn stored(&self) -> Result<String, serde_json::Error> {
        serde_json_canonicalizer::to_string(self)
    }

    /// Reads a stored text.
    ///
    /// # Errors
    /// Why it is none.
    pub fn from_stored(text: &str) -> Result<UsualSet, serde_json::Error> {
        serde_json::from_str(text)
    }

    /// Whether it is for this kind of work; a set that names none is for all.
    pub fn is_for(&self, course: Course) -> bool {
        self.courses.is_empty() || self.courses.contains(&course)
    }

    /// Whether the set names this very kind of work.
    pub fn names(&self, course: Course) -> bool {
        self.courses.contains(&course)
    }

    /// What stands in a field; none where a set of this house may not hold it, whatever is stored.
    pub fn says(&self, side: Side, key: &str) -> Option<&str> {
        let text = self.values.get(key).filter(|_| may_hold(side, key))?;
        Some(text.trim()).filter(|text| !text.is_empty())
    }
}

/// A set of a house, in one of its versions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InUse {
    /// The id of the set, which all its versions share.
    pub id: String,
    /// From 1.
    pub version: i64,
    /// The newest version, and not one that an open draft was begun with.
    pub is_newest: bool,
    pub set: UsualSet,
}

/// How a draft's mark begins that was begun without a set.
const WITHOUT: &str = "none.";

impl InUse {
    /// How a draft names it: `ID.VERSION`.
    pub fn mark(&self) -> String {
        format!("{}.{}", self.id, self.version)
    }

    /// How a draft says that it was begun without a set for this kind of work: one that is made later is offered, never
    /// taken.
    pub fn without(course: Course) -> String {
        format!("{WITHOUT}{}", course.word())
    }

    /// Whether a draft's mark says that it was begun without a set.
    pub fn is_without(mark: &str) -> bool {
        mark.starts_with(WITHOUT)
    }

    /// Id and version of such a mark.
    pub fn parse(mark: &str) -> Option<(&str, i64)> {
        let (id, version) = mark.trim().rsplit_once('.')?;
        Some((id, version.parse().ok()?))
    }

    /// The set that a draft of this kind of work goes by: the one that it names, or the one that drafts begin with,
    /// or the only one that was made for this very kind. Of several nobody but the writer knows which.
    pub fn chosen<'a>(sets: &'a [InUse], named: Option<&str>, course: Course) -> Option<&'a InUse> {
        let fitting: Vec<&InUse> = sets.iter().filter(|one| one.set.is_for(course)).collect();
        let named = named.map(str::trim);
        // Emptied on purpose, or begun before there was one: none is wanted.
        let without = InUse::without(course);
        if named.is_some_and(|mark| mark.is_empty() || mark == without) {
            return None;
        }
        let is_named = |one: &&&InUse| named == Some(one.mark().as_str());
        if let Some(found) = fitting.iter().find(is_named) {
            return Some(found);
        }
        let newest = || fitting.iter().copied().filter(|one| one.is_newest);
        let mut made_for_it = newest().filter(|one| one.set.names(course));
        let only = made_for_it.next().filter(|_| made_for_it.next().is_none());
        newest().find(|one| one.set.begins).or(only)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::usual::may_hold;
    use proptest::prelude::*;

    fn set(name: &str, begins: bool, courses: &[Course]) -> UsualSet {
        UsualSet {
            name: name.to_owned(),
            begins,
            courses: courses.to_vec(),
            carrier: String::new(),
            values: Raw::from([("base.material".to_owned(), "high_impact".to_owned())]),
        }
    }

    fn in_use(id: &str, version: i64, is_newest: bool, set: UsualSet) -> InUse {
        InUse {
            id: id.to_owned(),
            version,
            is_newest,
            set,
        }
    }

    #[test]
    fn it_is_stored_and_read_again() {
        let one = set("Full dentures", true, &[Course::Copy, Course::Finish]);
        let text = one.stored().unwrap();
        assert_eq!(
            text,
            r#"{"begins":true,"courses":["copy","finish"],"name":"Full dentures","values":{"base.material":"high_impact"}}"#
        );
        assert_eq!(UsualSet::from_stored(&text).unwrap(), one);
        assert!(UsualSet::from_stored("{}").is_err());
        assert!(UsualSet::from_stored(r#"{"name":"x","values":{},"more":1}"#).is_err());
    }

    #[test]
    fn which_set_a_draft_goes_by() {
        let sets = [
            in_use("a", 2, true, set("begins", true, &[])),
            in_use("a", 1, false, set("as it was", true, &[])),
            in_use("b", 1, true, set("for repairs", false, &[Course::Repair])),
            in_use("c", 1, true, set("other", false, &[])),
        ];
        let chosen = |named, course| InUse::chosen(&sets, named, course).map(InUse::mark);
        let is = |mark: &str| Some(mark.to_owned());
        for (named, course, expected) in [
            (None, Course::Copy, is("a.2")),
            (Some("a.1"), Course::Copy, is("a.1")),
            (Some("c.1"), Course::Copy, is("c.1")),
            (Some(" "), Course::Copy, None),
            // It is for repairs alone, or it is gone.
            (Some("b.1"), Course::Copy, is("a.2")),
            (Some("x.9"), Course::Copy, is("a.2")),
            (Some("b.1"), Course::Repair, is("b.1")),
        ] {
            assert_eq!(chosen(named, course), expected, "{named:?} {course:?}");
        }
        let rest = sets.get(1..).unwrap();
        // None of the newest begins: the only one for this kind does, and of several none.
        let of = |course| InUse::chosen(rest, None, course).map(InUse::mark);
        assert_eq!((of(Course::Repair), of(Course::Copy)), (is("b.1"), None));
        assert_eq!(InUse::parse(" a-b.12 "), Some(("a-b", 12)));
        assert_eq!(InUse::parse("none"), None);
    }

    #[test]
    fn a_form_is_read_as_the_prescription_reads_it() {
        let raw: Raw = [
            ("base.material", "high_impact"),
            ("base.palate_mm", "2,50"),
            ("enclosed.0.agent", " surface disinfectant, grey label "),
            ("jaw.keyed", "yes"),
            ("base.process", ""),
            ("finish.keep_months", "many"),
        ]
        .map(|(key, text)| (key.to_owned(), text.to_owned()))
        .into();
        let mut faults = Vec::new();
        let values = UsualSet::read_values(&raw, Side::Office, &mut faults);
        let pairs: Vec<_> = values
            .iter()
            .map(|(k, v)| (k.as_str(), v.as_str()))
            .collect();
        assert_eq!(
            pairs,
            [
                ("base.material", "high_impact"),
                ("base.palate_mm", "2.5"),
                ("enclosed.0.agent", "surface disinfectant, grey label"),
            ]
        );
        let keys: Vec<&str> = faults.iter().map(|fault| fault.key.as_str()).collect();
        assert_eq!(keys, ["finish.keep_months"]);
        let of_lab = UsualSet::read_values(&raw, Side::Lab, &mut Vec::new());
        assert!(!of_lab.contains_key("enclosed.0.agent"));
    }

    proptest! {
        #[test]
        fn whatever_is_posted_a_set_holds_only_what_it_may(
            typed in prop::collection::btree_map(
                prop::sample::select(crate::domain::prescription::all_fields().map(|spec| spec.at(Some(0))).collect::<Vec<_>>()),
                prop::sample::select(vec!["yes", "none", "2", "lab", "2026-03-02", "some words", "heat_cured"]),
                0..40,
            ),
        ) {
            let raw: Raw = typed.into_iter().map(|(key, text)| (key, text.to_owned())).collect();
            for side in [Side::Office, Side::Lab] {
                let values = UsualSet::read_values(&raw, side, &mut Vec::new());
                for key in values.keys() {
                    prop_assert!(may_hold(side, key), "{key}");
                }
                let again = UsualSet::read_values(&values, side, &mut Vec::new());
                prop_assert_eq!(again, values);
            }
        }
    }
}
