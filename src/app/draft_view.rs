//! A draft as its form shows it: the messages beside its fields, the fields that are there at all, what is
//! offered while one types, and whether it may go on to signing.

use super::Person;
use super::write_draft::Written;
use crate::domain::custody::item::ItemKind;
use crate::domain::form::{FieldSpec, Text};
use crate::domain::law::profile::CaseLaw;
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::{self, Prescription, catalogue};
use crate::domain::review::is_asked_by_law;
use crate::domain::trade::hints::{Number, compute};
use crate::domain::trade::lists::{ListKind, Lists};
use crate::domain::trade::mould::Region;
use crate::domain::trade::offered_codes::{OfferedCodes, offered_at};
use crate::domain::values::arch::Arch;
use crate::domain::values::fault::Fault;
use crate::domain::values::words::capitalised;
use std::collections::BTreeMap;
use time::Date;

/// Codes offered beside one field: nobody reads through more.
const CODES_MOST: usize = 300;

/// What is known of a draft beside its own fields.
pub struct DraftView {
    pub document: Prescription,
    pub faults: Vec<Fault>,
    /// By field.
    pub warnings: BTreeMap<String, String>,
    /// The case's items, tag and words, for the fields that name one.
    tags: Vec<(Option<Arch>, ItemKind, (String, String))>,
    law: CaseLaw,
    /// The lists of lab and office, for hints and for the codes that are offered.
    lists: Lists,
}

impl DraftView {
    /// What reading the draft found; `for_signing` asks for what signing needs too.
    pub fn of(written: &Written, for_signing: bool) -> DraftView {
        let mut reading = written.reading.clone();
        if for_signing {
            reading.ask_for_signing();
        }
        // Last, so that "this is not saved" is the message that stays where a field has two.
        reading.faults.extend(written.too_long.iter().cloned());
        DraftView {
            document: reading.document,
            faults: reading.faults,
            warnings: BTreeMap::new(),
            tags: Vec::new(),
            law: written.law.clone(),
            lists: written.lists.clone(),
        }
    }

    /// The same with everything that the whole page shows: warnings and the items to choose from.
    pub fn of_page(written: &Written, for_signing: bool) -> DraftView {
        let mut warnings = personal_data(&written.draft.fields);
        for finding in written.reviewed.unanswered() {
            add_sentence(&mut warnings, &finding.key, &finding.sentence);
        }
        let items = written.items.iter();
        let tags = items.map(|item| {
            // The arch goes first: a narrow box cuts off what stands behind.
            let words = match item.arch {
                Some(arch) => {
                    let arch = capitalised(arch.shown());
                    format!("{arch}: {} {}", item.tag, item.kind.shown())
                }
                None => format!("{} {}", item.tag, item.title()),
            };
            (item.arch, item.kind, (item.tag.to_string(), words))
        });
        DraftView {
            warnings,
            tags: tags.collect(),
            ..DraftView::of(written, for_signing)
        }
    }

    /// Whether there are items to choose from.
    pub fn has_tags(&self) -> bool {
        !self.tags.is_empty()
    }

    /// The items to choose from in a field: where it is of one jaw, those of the other are left out.
    pub fn tags_for(&self, key: &str) -> Vec<(String, String)> {
        let arches = [(Arch::Upper, "upper"), (Arch::Lower, "lower")];
        let arch = arches.into_iter().find(|(_, word)| key.contains(word));
        let fits = |of: Option<Arch>| arch.is_none() || of.is_none() || of == arch.map(|one| one.0);
        // What is worn meanwhile, and what it was copied from, is a denture.
        let is_of_kind = |kind: ItemKind| !key.starts_with("duplicate.") || kind.is_denture();
        let all = || self.tags.iter();
        let fitting: Vec<_> = all()
            .filter(|(of, kind, _)| fits(*of) && is_of_kind(*kind))
            .collect();
        let chosen = match fitting.is_empty() {
            true => all().collect(),
            false => fitting,
        };
        chosen.into_iter().map(|(.., one)| one.clone()).collect()
    }

    /// What only a law asks for stands in the form where one does, or where something is typed.
    pub fn shows(&self, spec: &FieldSpec, fields: &Fields) -> bool {
        fields.contains_key(spec.key) || is_asked_by_law(spec.key, &self.law)
    }

    /// The computed numbers by section; a section without any has an empty list, so that a page that showed
    /// some clears them away.
    pub fn numbers(&self, today: Date) -> BTreeMap<&'static str, Vec<Number>> {
        let sections = catalogue().iter();
        let mut found: BTreeMap<_, _> = sections.map(|one| (one.key, Vec::new())).collect();
        for number in compute(&self.document, today, &self.lists) {
            found.entry(number.section).or_default().push(number);
        }
        found
    }

    /// Codes of the lists that a field offers while one types.
    pub fn codes(&self, key: &str) -> Vec<String> {
        match offered_at(key) {
            Some(OfferedCodes::Moulds(arch, region)) => self.mould_codes(arch, region),
            Some(OfferedCodes::GuideNames(kind)) => self.guide_names(kind),
            Some(OfferedCodes::Tabs(kind)) => {
                let named = match kind {
                    ListKind::BaseGuide => self.document.base_shade.guide.as_ref(),
                    _ => self.document.shade.guide.as_ref(),
                };
                self.tab_codes(kind, named)
            }
            None => Vec::new(),
        }
    }

    fn mould_codes(&self, arch: Arch, region: Region) -> Vec<String> {
        let list = self.lists.moulds.as_deref().into_iter();
        let codes = list.flat_map(|list| list.codes(arch, region));
        codes.take(CODES_MOST).map(str::to_owned).collect()
    }

    fn guide_names(&self, kind: ListKind) -> Vec<String> {
        let guides = self.lists.guides_of(kind);
        guides.map(|guide| guide.name.clone()).collect()
    }

    /// The tabs of the guide that is named, or of all while none is.
    fn tab_codes(&self, kind: ListKind, guide: Option<&Text>) -> Vec<String> {
        let guides: Vec<_> = match guide {
            Some(name) => self.lists.guide(kind, name.as_str()).into_iter().collect(),
            None => self.lists.guides_of(kind).collect(),
        };
        let tabs = guides.into_iter().flat_map(|guide| guide.guide.tabs());
        let mut codes: Vec<String> = tabs.take(CODES_MOST).map(|tab| tab.code.clone()).collect();
        codes.sort_unstable();
        codes.dedup();
        codes
    }
}

fn add_sentence(warnings: &mut BTreeMap<String, String>, key: &str, sentence: &str) {
    let said = warnings.entry(key.to_owned()).or_default();
    if !said.is_empty() {
        said.push(' ');
    }
    said.push_str(sentence);
}

/// Warnings of texts that look as if they named somebody, by field.
pub fn personal_data(fields: &Fields) -> BTreeMap<String, String> {
    let mut warnings = BTreeMap::new();
    for (key, warning) in prescription::personal(fields) {
        add_sentence(&mut warnings, &key, &warning.sentence());
    }
    warnings
}

/// Whether nothing of the draft stands against signing: no field, no conflict, no finding of the review.
pub fn is_ready_to_sign(written: &Written) -> bool {
    DraftView::of(written, true).faults.is_empty()
        && written.conflicts.is_empty()
        && written.reviewed.unanswered().is_empty()
}

/// Who else has written since the page was opened, and how much.
pub fn others(written: &Written, person: &Person) -> Option<String> {
    let edits = written.others.iter();
    let foreign: Vec<_> = edits
        .filter(|edit| edit.account != person.account.id)
        .collect();
    let mut names: Vec<&str> = foreign.iter().map(|edit| edit.name.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    let changed = match foreign.len() {
        0 => return None,
        1 => "one field has changed".to_owned(),
        many => format!("{many} fields have changed"),
    };
    let names = names.join(", ");
    Some(format!(
        "{names} also wrote here: {changed} since you opened the page."
    ))
}
