//! Labels and words of choices of texts that were signed before the form's were mended: they are printed and read as they
//! were signed.

use super::document::Prescription;
use crate::domain::form::{FieldSpec, FilledField, SectionSpec};
use crate::domain::values::tooth::Numbering;

/// What was said before, by the key of the field or of the section.
type Before = &'static [(&'static str, &'static str)];

/// The labels before, each list with the first sheet that has others; what was mended twice stands in both, the earlier
/// sheet first.
const LABELS: &[(u32, Before)] = &[(5, LABELS_TO_THE_FOURTH), (9, LABELS_TO_THE_EIGHTH)];

/// The titles of sections before, in the same way.
const TITLES: &[(u32, Before)] = &[(5, TITLES_TO_THE_FOURTH), (9, TITLES_TO_THE_EIGHTH)];

/// The words of choices before: the first sheet with others, the key of the field, the stored word, and what was shown.
const CHOICES: &[(u32, &str, &str, &str)] = &[
    (7, "cast_trim.by", "dentist", "the dentist has cut it"),
    (9, "pattern.source", "try_in", "the approved try-in"),
    (9, "guidance.source", "record", "protrusive record enclosed"),
    (
        SPELLED_SINCE,
        "base.strengthening",
        "glass_fibre",
        "glass fibre",
    ),
    (
        SPELLED_SINCE,
        "spare.teeth",
        "resin",
        "tooth-coloured resin",
    ),
    (SPELLED_SINCE, "shade.source", "measured", "measured colour"),
    (SPELLED_SINCE, "scans.#.units", "mm", "millimetres"),
    (
        SPELLED_SINCE,
        "anterior.arrangement",
        "individual",
        "individualise as described",
    ),
    (
        SPELLED_SINCE,
        "pattern.rule",
        "guide",
        "use as a guide and individualise",
    ),
];

/// The sheet since which signed words are spelled as the pages are.
pub const SPELLED_SINCE: u32 = 9;

/// What the number of a dentist or a house is called in a text that was signed for this sheet.
pub fn licence_on(sheet: u32) -> &'static str {
    match sheet {
        ..SPELLED_SINCE => "Licence",
        _ => "License",
    }
}

const LABELS_TO_THE_FOURTH: Before = &[
    (
        "finish.check_borders",
        "Check borders for sharp edges and pearls",
    ),
    ("marking.set_letter", "Set letter"),
    ("spare.date_mark", "Date mark on it"),
    ("spare.stored", "Stored where and in what"),
    ("vertical.order", "What the lab is to do"),
    ("vertical.change_at", "Measured where"),
    ("jaw.thickness_mm", "Thickness between the teeth"),
    ("jaw.grooves", "Where the grooves lie"),
    ("jaw.seating", "Order of seating"),
    ("facebow.fork_returns", "Fork and jig come back"),
    ("guidance.drop_mm", "Drop at the condyle"),
    ("guidance.plane", "Values hold for"),
    ("plane.front", "In front"),
    ("plane.back", "Behind"),
    ("plane.tilt_mm", "Right side differs from left by"),
    ("plane.lower_side", "The lower side is the"),
    ("order.remake_reason", "Reason of the remake"),
    ("order.try_in_skipped", "Go to finish without a try-in"),
    ("changes.#.mm", "By"),
    ("pattern.rule", "How to follow it"),
    ("pattern.worn_since", "Worn in this form since"),
    ("pattern.keep", "To be kept as it is"),
    ("duplicate.upper_from", "Upper duplicate made from, tag"),
    ("duplicate.lower_from", "Lower duplicate made from, tag"),
    ("duplicate.flask", "Made in"),
    (
        "duplicate.upper_minutes",
        "In the pressure pot, upper, as done",
    ),
    (
        "duplicate.lower_minutes",
        "In the pressure pot, lower, as done",
    ),
    (
        "duplicate.sheet_minutes",
        "In the pressure pot, by the maker’s sheet",
    ),
    ("duplicate.water", "Water in the pot, as done"),
    ("cast_trim.by", "Teeth are cut off the cast by"),
    ("cast_trim.level", "Cut"),
    ("cast_trim.facial_mm", "Depth toward lip and cheek"),
    ("cast_trim.palatal_mm", "Depth toward palate or tongue"),
    ("cast_trim.bone", "Bone is to be reduced too"),
    ("cast_trim.stent", "Clear copy of the fitting surface"),
    ("approval.by", "Who looked"),
    ("rims.upper_front_mm", "Upper rim, height in front"),
    ("rims.lower_front_mm", "Lower rim, height in front"),
    ("rims.back_width_mm", "Width behind"),
    ("opposing.surface", "Chewing surface of the opposing teeth"),
    ("reline.held_by", "Teeth and base held by"),
    ("repair.cause", "How it broke"),
    ("repair.broke_before", "It broke there before"),
    ("remount.grind_by", "Ground in by"),
    ("remount.pin_drop_max_mm", "The pin may sink by"),
    ("anterior.midline_offset_mm", "Midline to be moved by"),
    ("anterior.midline_side", "Midline to be moved to"),
    (
        "anterior.incisal_show_mm",
        "Upper incisal edge below the lip at rest",
    ),
    ("anterior.incisal_change_mm", "Incisal length to change by"),
    ("anterior.lip_support_mm", "Lip support to change by"),
    ("posterior.length_mm", "Room from canine to retromolar pad"),
    ("posterior.narrow", "Narrow from cheek to tongue"),
    ("posterior.left_out", "Teeth to leave out"),
    (
        "occlusion.overjet_mm",
        "Horizontal overlap in front (overjet)",
    ),
    (
        "occlusion.overbite_mm",
        "Vertical overlap in front (overbite)",
    ),
    (
        "occlusion.front_clearance_mm",
        "Clearance of the front teeth in centric",
    ),
    ("reliefs.#.mm", "By"),
    ("borders.thickness_mm", "Roll of the border to keep"),
    ("impression.source", "Tissue surface"),
    ("impression.placed_on", "Put into the mouth on"),
    ("impression.placed_at", "Put into the mouth at"),
    ("impression.removed_on", "Taken from the mouth on"),
    ("impression.removed_at", "Taken from the mouth at"),
    ("impression.border_roll_mm", "Border to be kept on the cast"),
    (
        "enclosures.dry_since",
        "A denture in the box has been dry since",
    ),
    (
        "enclosures.hard_box",
        "Hard box, nothing presses the tissue side",
    ),
];

const LABELS_TO_THE_EIGHTH: Before = &[
    ("base_shade.fibres", "Fibres"),
    ("base_shade.characterisation", "Characterisation"),
    ("spare.characterisation", "Characterisation"),
];

const TITLES_TO_THE_EIGHTH: Before = &[("base_shade", "Base shade and characterisation")];

const TITLES_TO_THE_FOURTH: Before = &[
    ("anterior", "Front teeth"),
    ("impression", "Tissue surface, cast and tray"),
];

fn said(sheet: u32, before: &[(u32, Before)], key: &str, now: &'static str) -> &'static str {
    let lists = before.iter().filter(|(mended, _)| sheet < *mended);
    let mut found = lists.flat_map(|(_, list)| list.iter());
    let found = found.find(|(of, _)| *of == key);
    found.map_or(now, |(_, was)| *was)
}

/// The label of a field in a text that was signed for this sheet.
pub fn label_on(sheet: u32, spec: &FieldSpec) -> &'static str {
    said(sheet, LABELS, spec.key, spec.label)
}

/// The title of a section in such a text.
pub fn title_on(sheet: u32, section: &SectionSpec) -> &'static str {
    said(sheet, TITLES, section.key, section.title)
}

/// What was shown for a chosen word in such a text; none where it is what is shown today.
pub fn choice_on(sheet: u32, key: &str, word: &str) -> Option<&'static str> {
    let mut before = CHOICES.iter().filter(|(mended, ..)| sheet < *mended);
    let was = before.find(|(_, of, stored, _)| (*of, *stored) == (key, word));
    was.map(|(_, _, _, was)| *was)
}

impl Prescription {
    /// The filled fields as such a text shows them.
    pub fn filled_on(
        &self,
        sheet: u32,
        numbering: Numbering,
    ) -> Vec<(&'static SectionSpec, Vec<FilledField>)> {
        let mut sections = self.filled(numbering);
        for cell in sections.iter_mut().flat_map(|(_, cells)| cells) {
            if let Some(was) = choice_on(sheet, cell.spec.key, &cell.raw) {
                was.clone_into(&mut cell.shown);
            }
        }
        sections
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::revision::SHEET;
    use crate::domain::prescription::{all_fields, catalogue, read};

    #[test]
    fn what_was_signed_before_keeps_its_labels_and_what_is_signed_now_has_those_of_the_form() {
        for (mended, labels) in LABELS {
            for (key, was) in *labels {
                let spec = all_fields().find(|spec| spec.key == *key).unwrap();
                assert_eq!(label_on(mended - 1, spec), *was);
                assert_ne!(label_on(*mended, spec), *was);
                assert_eq!(label_on(SHEET, spec), spec.label);
            }
        }
        for (mended, titles) in TITLES {
            for (key, was) in *titles {
                let section = catalogue().iter().find(|one| one.key == *key).unwrap();
                assert_eq!(title_on(mended - 1, section), *was);
                assert_ne!(title_on(*mended, section), *was);
                assert_eq!(title_on(SHEET, section), section.title);
            }
        }
    }

    #[test]
    fn what_was_signed_before_keeps_the_words_of_its_choices_too() {
        for (mended, key, word, was) in CHOICES {
            let raw = Raw::from([(key.replace('#', "0"), (*word).to_owned())]);
            let prescription = read(&raw, Numbering::Iso3950).document;
            let shown = |sheet: u32| {
                let sections = prescription.filled_on(sheet, Numbering::Iso3950);
                let mut cells = sections.into_iter().flat_map(|(_, cells)| cells);
                let shown = cells.find(|cell| cell.spec.key == *key).unwrap().shown;
                let printed = prescription.printed_on(sheet, Numbering::Iso3950);
                let mut lines = printed.iter().flat_map(|section| &section.lines);
                let tables = printed.iter().flat_map(|section| &section.tables);
                let mut cells = tables.flat_map(|table| table.rows.iter().flatten());
                let is_in_line = lines.any(|line| line.key == *key && line.value == shown);
                assert!(is_in_line || cells.any(|cell| *cell == shown), "{key}");
                shown
            };
            assert_eq!(shown(mended - 1), *was);
            assert_ne!(shown(*mended), *was);
            assert_eq!(shown(SHEET), shown(u32::MAX));
        }
    }
}
