//! How chosen words, and labels, are said where they stand beside other things: on the form, on the page for signing and
//! on the sheet. Common practice, no source.

/// By field, the stored word and what is said for it: less than the form's own words. That a mould or a tab is the one
/// named, and that a mark is the text beside it, needs no words.
const SHORT: &[(&str, &str, &str)] = &[
    ("pattern.source", "provisional", "provisional enclosed"),
    (
        "pattern.source",
        "duplicate",
        "duplicate of the provisional",
    ),
    (
        "pattern.rule",
        "with_changes",
        "copied with the listed changes",
    ),
    ("pattern.rule", "guide", "a guide only"),
    ("vertical.order", "keep", "keep"),
    ("vertical.method", "nose_chin", "nose to chin"),
    ("vertical.method", "caliper", "caliper"),
    ("vertical.method", "gauge", "gauge under the chin"),
    ("vertical.method", "other", "another method"),
    ("jaw.position", "intercuspation", "habitual bite"),
    ("jaw.position", "guided", "gothic arch tracing"),
    ("facebow.plane", "camper", "Camper plane"),
    ("facebow.plane", "frankfort", "Frankfort plane"),
    ("facebow.plane", "natural_head", "natural head position"),
    ("facebow.plane", "none", "average mounting"),
    ("guidance.plane", "camper", "Camper plane"),
    ("guidance.plane", "frankfort", "Frankfort plane"),
    ("guidance.plane", "natural_head", "natural head position"),
    ("guidance.plane", "none", "no plane"),
    ("guidance.source", "values", "values as given"),
    ("guidance.source", "average", "average values"),
    ("facebow.third_point", "ala", "ala"),
    ("facebow.third_point", "other", "another point"),
    ("facebow.tragus_point", "upper", "upper tragus"),
    ("facebow.tragus_point", "lower", "lower tragus"),
    ("facebow.tragus_point", "axis", "located hinge axis"),
    ("anterior.choice", "mould", ""),
    ("posterior.choice", "mould", ""),
    ("shade.source", "tab", ""),
    (
        "anterior.choice",
        "lab_proposes",
        "the lab proposes, asks first",
    ),
    (
        "posterior.choice",
        "lab_proposes",
        "the lab proposes, asks first",
    ),
    ("anterior.material", "cross_linked", "cross-linked resin"),
    ("posterior.material", "cross_linked", "cross-linked resin"),
    ("anterior.width_method", "caliper", "by caliper"),
    ("anterior.width_method", "curve", "along the curve"),
    (
        "anterior.arrangement",
        "individual",
        "individual arrangement",
    ),
    ("anterior.lip_support", "keep", "keep"),
    ("occlusion.scheme", "pattern", "scheme as worn in"),
    ("shade.light", "daylight", "daylight"),
    ("shade.light", "instrument", "instrument light"),
    (
        "shade.chosen_by",
        "dentist_and_patient",
        "chosen with the patient",
    ),
    ("seal.by", "in_pattern", "in the pattern’s surface, keep"),
    ("seal.by", "dentist", "carved by the dentist"),
    ("seal.by", "lab", "the lab carves it"),
    ("seal.shape", "cupid_bow", "double curve"),
    ("borders.order", "keep", "keep as sent"),
    ("impression.source", "impression", "impression"),
    ("base.material", "heat_cured", "heat-cured resin"),
    ("base.material", "high_impact", "high-impact resin"),
    ("base.material", "cold_cured", "cold-cured resin"),
    (
        "marking.place",
        "posterior_palate",
        "upper, back of the palate",
    ),
    ("marking.place", "both", "both dentures"),
    ("marking.carries", "text", ""),
    ("marking.carries", "name_by_hand", "the name, by hand"),
    (
        "marking.carries",
        "initials_by_hand",
        "the initials, by hand",
    ),
    ("spare.teeth", "denture_teeth", "a second set of teeth"),
    ("duplicate.flask", "closed", "closed flask"),
    ("cast_trim.by", "dentist", "cut by the dentist"),
    ("cast_trim.by", "nobody", "nothing is cut"),
    ("remarks.ask_by", "question", "ask here"),
    ("remarks.ask_by", "telephone", "by telephone first"),
    ("changes.#.direction", "right", "to the right"),
    ("changes.#.direction", "left", "to the left"),
    ("changes.#.direction", "outward", "to lip or cheek"),
    ("changes.#.direction", "inward", "to tongue or palate"),
    ("changes.#.direction", "longer_edge", "longer at the edge"),
    ("changes.#.direction", "shorter_edge", "shorter at the edge"),
    (
        "changes.#.direction",
        "turn_mesial_out",
        "turned, mesial edge out",
    ),
    (
        "changes.#.direction",
        "turn_mesial_in",
        "turned, mesial edge in",
    ),
    (
        "changes.#.direction",
        "tilt_right",
        "tilted, right side lower",
    ),
    (
        "changes.#.direction",
        "tilt_left",
        "tilted, left side lower",
    ),
    ("changes.#.what", "other", "as noted"),
];

/// The same of words that the form says under the name of their field, and that would not be understood without it.
const NAMED: &[(&str, &str, &str)] = &[
    (
        "pattern.source",
        "none",
        "no pattern, set up from the records",
    ),
    ("pattern.rule", "exactly", "copied exactly"),
    ("jaw.material", "other", "another material"),
    ("guidance.source", "record", "set by the protrusive record"),
    (
        "facebow.third_point",
        "incisor_mark",
        "mark above the incisal edge",
    ),
    ("facebow.tragus_point", "middle", "middle of the tragus"),
    ("anterior.choice", "pattern", "teeth as on the pattern"),
    ("posterior.choice", "pattern", "teeth as on the pattern"),
    (
        "anterior.arrangement",
        "copy_exactly",
        "arranged as on the pattern",
    ),
    (
        "anterior.arrangement",
        "copy_with_changes",
        "arranged as on the pattern with the changes",
    ),
    (
        "posterior.block_shape",
        "keep",
        "bite blocks keep their shape",
    ),
    (
        "posterior.block_shape",
        "replace",
        "teeth in place of the bite blocks, same height",
    ),
    (
        "posterior.block_shape",
        "change",
        "bite blocks changed as listed",
    ),
    ("shade.source", "pattern", "as on the pattern"),
    ("shade.chosen_by", "dentist", "chosen by the dentist"),
    ("shade.chosen_by", "technician", "chosen by the technician"),
    ("shade.chosen_by", "assistant", "chosen by the assistant"),
    ("base_shade.stippling", "none", "smooth gum"),
    ("base_shade.stippling", "slight", "slight stippling"),
    ("base_shade.stippling", "marked", "marked stippling"),
    ("base_shade.festooning", "flat", "flat festoons"),
    ("base_shade.festooning", "slight", "slight festoons"),
    ("base_shade.festooning", "full", "full festoons"),
    ("seal.by", "none", "no seal"),
    ("borders.pad_cover", "full", "whole pads"),
    (
        "impression.source",
        "functional",
        "functional surface in the pattern",
    ),
    ("impression.material", "other", "another material"),
    ("base.material", "other", "another material"),
    ("base.process", "lab_choice", "process as the lab judges"),
    ("base.strengthening", "none", "no strengthening"),
    ("finish.polished", "pattern", "polished surface copied"),
    (
        "finish.polished",
        "neutral_zone",
        "polished surface to the neutral-zone record",
    ),
    (
        "finish.polished",
        "standard",
        "polished surface as the lab judges",
    ),
    ("marking.place", "lingual_flange", "lower, lingual flange"),
    ("marking.answer", "accepted", "patient agrees"),
    ("marking.answer", "declined", "patient declines"),
    ("spare.arch", "none", "no spare wanted"),
    ("spare.arch", "both", "upper and lower"),
    ("spare.teeth", "resin", "tooth-colored resin"),
    ("duplicate.filling", "other", "another filling"),
    ("cast_trim.by", "lab", "the lab cuts the teeth off"),
];

/// The short form of a chosen word, where it has one.
pub fn short(key: &str, word: &str) -> Option<&'static str> {
    let mut forms = SHORT.iter().chain(NAMED);
    let found = forms.find(|(of, stored, _)| *of == key && *stored == word);
    found.map(|(_, _, said)| *said)
}

/// Directions of the change list that are said in short at the bench: the others keep the words that say whose right and
/// left is meant. The front has all of them in full beside the same number.
const AT_THE_BENCH: [&str; 4] = ["outward", "inward", "longer_edge", "shorter_edge"];

/// The direction of a change in short, as it stands at the bench.
pub fn way(word: &str) -> Option<&'static str> {
    let mut own = AT_THE_BENCH.iter();
    let own = own.find(|one| **one == word)?;
    short("changes.#.direction", own)
}

/// What an impression was taken in, where it is no custom tray: a denture that is relined is its own, and of an
/// immediate denture it goes without saying.
pub fn impression(is_own_tray: bool, is_immediate: bool) -> Option<&'static str> {
    match (is_own_tray, is_immediate) {
        (true, _) => Some("impression in the denture itself"),
        (_, true) => short("impression.source", "impression"),
        _ => None,
    }
}

/// The label of the line that says a section, where the name of the section is wider than the column of labels.
pub fn label(section: &str) -> Option<&'static str> {
    match section {
        "cast_trim" => Some("Cut"),
        "opposing" => Some("Against"),
        _ => None,
    }
}

/// The words in short, and those that are named, for tests.
#[cfg(test)]
pub fn all() -> [&'static [(&'static str, &'static str, &'static str)]; 2] {
    [SHORT, NAMED]
}
