//! Complaints of denture wearers: probable causes, remedies, and the fields of the prescription they touch.
//!
//! One complaint has several causes; all are shown, the dentist ticks what was found, and a tick may open
//! a field. The list is a reminder for the chair and the bench, not a diagnosis.

use crate::domain::values::evidence::Source;

/// One complaint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Complaint {
    /// 1 to 36, stable.
    pub number: u8,
    pub complaint: &'static str,
    pub causes: &'static [&'static str],
    pub remedies: &'static [&'static str],
    /// Form keys of the prescription, or the key of a list such as `changes`.
    pub fields: &'static [&'static str],
    pub source: Source,
}

const TEXTBOOK: Source = Source::from_memory("textbooks of complete dentures");
const MCCORD: Source = Source::from_memory("McCord and Grant");
const MOHINDRA: Source = Source::published(
    "Mohindra, on the vertical dimension of occlusion: 21 overclosed denture wearers, without controls",
);
const MORSTAD: Source = Source::published(
    "Morstad and Petersen, postinsertion problems: as listed there; on whom it was seen is not known here",
);
const MCCORD_2000: Source = Source::published(
    "McCord and Grant 2000, Br Dent J: as listed there; on whom it was seen is not known here",
);
const SOUNDS: Source = Source::published("student notes on sounds, a weak source");
const CHEEK: Source = Source::published("examination notes on cheek biting, a weak source");
const PRACTICE: Source = Source::COMMON_PRACTICE;

macro_rules! complaints {
    ($($number:literal $complaint:literal because [$($cause:expr),+] so [$($remedy:literal),+] at [$($field:literal),+] from $source:ident;)+) => {
        /// All complaints, by number.
        pub const COMPLAINTS: &[Complaint] = &[$(Complaint {
            number: $number,
            complaint: $complaint,
            causes: &[$($cause),+],
            remedies: &[$($remedy),+],
            fields: &[$($field),+],
            source: $source,
        }),+];

        /// The same for a form: the number as its word, and the complaint.
        pub const COMPLAINT_CHOICES: &[(&str, &str)] = &[$((stringify!($number), $complaint)),+];
    };
}

const FLANGE_TOO_LONG: &str = "Lower flange too long towards the throat";

complaints! {
    1 "Bites the tongue"
        because ["Lower posterior teeth and bite block stand too far to the tongue side", "Occlusal plane too high or too low", "Room of the tongue too narrow", "No overlap of the posterior teeth on the tongue side"]
        so ["Set posterior teeth and bite block further out, to the cheek side", "Thin the lingual cusps", "Raise or lower the plane", "Widen the tongue space"]
        at ["changes", "finish.tongue_space", "occlusion.posterior_overlap_mm", "plane.back", "posterior.block_shape"] from MCCORD;
    2 "Bites the cheek"
        because ["Posterior teeth overlap too little sideways", "Vertical dimension too small", "Last tooth stands too far back"]
        so ["Give more overlap", "Round the cheek side of the lower teeth", "Leave out the last tooth", "Open the bite"]
        at ["occlusion.posterior_overlap_mm", "posterior.left_out", "vertical.change_mm"] from CHEEK;
    3 "Bites the lip"
        because ["Lip not supported", "Front teeth overlap too little", "Vertical dimension too small"]
        so ["Move the front teeth", "Smooth the edges", "Open the bite"]
        at ["anterior.lip_support", "changes", "occlusion.overjet_mm", "vertical.change_mm"] from TEXTBOOK;
    4 "Teeth click while talking"
        because ["Vertical dimension too great", "Upper denture loose", "Porcelain teeth"]
        so ["Check rest and speaking space", "Remake one denture lower", "Choose resin teeth"]
        at ["anterior.material", "vertical.closest_speaking_mm", "vertical.occlusal_mm"] from MOHINDRA;
    5 "Ridges sore all over, muscles tired, worse in the evening"
        because ["Vertical dimension too great"]
        so ["Close the bite, usually by remaking one denture"]
        at ["vertical.change_mm", "vertical.order"] from MORSTAD;
    6 "Looks old, sore corners of the mouth, weak bite"
        because ["Vertical dimension too small"]
        so ["Open the bite, and try it on the provisional first"]
        at ["changes", "vertical.change_mm"] from MOHINDRA;
    7 "S whistles"
        because ["Palate or premolar arch too narrow for the tongue"]
        so ["Move the premolars to the cheek side", "Hollow the palate"]
        at ["base.palate_mm", "changes", "finish.tongue_space"] from SOUNDS;
    8 "S and SH lisp"
        because ["Too much room between the premolars", "Front of the palate thick or too near", "Angle of the incisors changed"]
        so ["Try wax on the palate", "Restore the rugae and the angle of the incisors"]
        at ["anterior.character", "base.palate_mm", "base_shade.rugae"] from SOUNDS;
    9 "F and V unclear"
        because ["Upper incisal edge too high, too low, too far forward or back"]
        so ["Set the edge to where the lower lip turns from wet to dry"]
        at ["anterior.incisal_change_mm", "anterior.incisal_show_mm", "changes"] from TEXTBOOK;
    10 "T, D and TH thick"
        because ["Front of the palate too thick"]
        so ["Thin the palate"]
        at ["base.palate_mm"] from SOUNDS;
    11 "K and G difficult"
        because ["Posterior border or seal too thick"]
        so ["Thin the posterior edge"]
        at ["borders.posterior_upper", "seal.depth_mid_mm"] from SOUNDS;
    12 "Gags at once"
        because ["Upper too long or too thick behind", "Seal does not hold"]
        so ["Shorten or thin it behind", "Make the seal again"]
        at ["borders.posterior_upper", "seal.by", "seal.position"] from TEXTBOOK;
    13 "Gags after some hours"
        because ["Occlusion is wrong and moves the denture", FLANGE_TOO_LONG, "Saliva under a poor seal"]
        so ["Remount", "Make the seal again", "Shorten the flange"]
        at ["borders.lingual_flange", "finish.lab_remount", "seal.by"] from PRACTICE;
    14 "Upper drops at rest or in smiling"
        because ["Borders too long or too short", "No seal, or a seal on the hard palate"]
        so ["Disclose the borders", "Make a new seal", "Reline"]
        at ["borders.order", "seal.by", "seal.position"] from MORSTAD;
    15 "Upper drops when biting"
        because ["A single contact catches", "Front teeth touch"]
        so ["Remount with the patient’s records", "Give the front teeth clearance"]
        at ["finish.remount_casts", "occlusion.front_clearance_mm"] from MORSTAD;
    16 "Lower lifts when the mouth opens or the tongue moves"
        because ["Lingual flange too long", "Plane too high", "Tongue cramped"]
        so ["Trim the flange", "Lower the plane", "Record the neutral zone"]
        at ["borders.lingual_flange", "finish.polished", "plane.pad_percent"] from TEXTBOOK;
    17 "Sore in the fold of cheek or lip"
        because ["Border too long there"]
        so ["Relieve the marked border only"]
        at ["borders.order", "reliefs"] from MORSTAD;
    18 "Sore at the back of the palate"
        because ["Seal too deep or too sharp", "Denture too long"]
        so ["Ease it with care"]
        at ["borders.posterior_upper", "seal.depth_mid_mm"] from MORSTAD;
    19 "One sore spot on the ridge"
        because ["Bubble or error of the base", "One tooth too high"]
        so ["Look with paste, and at the occlusion before the base is ground"]
        at ["finish.check_borders", "finish.check_occlusion", "reliefs"] from MORSTAD;
    20 "Hurts only going in or out"
        because ["Undercut not relieved", "Sharp beads of resin"]
        so ["Relieve without trimming too much"]
        at ["finish.check_borders", "impression.undercuts"] from MCCORD_2000;
    21 "Sore inside the lower flange, in front or towards the tongue"
        because ["A premature posterior contact drives the denture"]
        so ["Remount", "Correct the centric contacts"]
        at ["finish.remount_casts", "jaw.position"] from MORSTAD;
    22 "Sore middle of the palate, rocking, later a crack"
        because ["No relief over a bony middle", "Ridge has shrunk"]
        so ["Relieve the middle", "Reline"]
        at ["borders.mid_palate", "borders.tori"] from TEXTBOOK;
    23 "Palate or tongue burns"
        because ["Pressure on the papilla", "Monomer", "Dry mouth", "Yeast", "General illness"]
        so ["Relieve the papilla", "Look at the material", "Refer"]
        at ["base.material", "base.without", "borders.papilla"] from TEXTBOOK;
    24 "Lower lip burns or is numb"
        because ["Pressure on the mental foramen"]
        so ["Relieve it"]
        at ["borders.mental"] from TEXTBOOK;
    25 "Palate red without pain"
        because ["Base does not fit or is not clean", "Worn at night"]
        so ["Clean it and leave it out at night", "Condition the tissue", "Remake"]
        at ["base.soft_liner", "impression.material"] from TEXTBOOK;
    26 "Food under the denture"
        because ["Border too short", "Denture loose"]
        so ["Extend the border", "Reline"]
        at ["borders.order"] from TEXTBOOK;
    27 "Cannot chew"
        because ["Teeth flat or worn", "Vertical dimension too small", "First weeks"]
        so ["Choose another scheme or cusp", "Check the height", "Practise"]
        at ["occlusion.scheme", "posterior.cusp_angle", "vertical.occlusal_mm"] from TEXTBOOK;
    28 "Jaw tired, temples ache"
        because ["Vertical dimension too great", "Centric relation wrong"]
        so ["Try it on the provisional", "Make a new record"]
        at ["jaw.position", "vertical.change_mm"] from TEXTBOOK;
    29 "Too much saliva in the first days"
        because ["A new thing in the mouth"]
        so ["Reassure, it passes"]
        at ["dates.first_check"] from TEXTBOOK;
    30 "Teeth show too much or too little"
        because ["Incisal length", "Lip support"]
        so ["Write the change in millimeters"]
        at ["anterior.incisal_change_mm", "anterior.lip_support_mm", "changes"] from PRACTICE;
    31 "Looks false, too white or too even"
        because ["Shade", "Mould", "Arrangement"]
        so ["Characterize and individualize", "Have the patient approve at the try-in"]
        at ["anterior.arrangement", "anterior.character", "anterior.upper_mould", "shade.approved", "shade.tab"] from PRACTICE;
    32 "Smile tilted, midline off"
        because ["Facebow record or plane wrong", "Not marked"]
        so ["Mark both on the provisional", "Photograph the mouth with a ruler"]
        at ["anterior.midline_offset_mm", "facebow.midline_captured", "plane.tilt_mm"] from PRACTICE;
    33 "Hurts to swallow"
        because [FLANGE_TOO_LONG, "Vertical dimension too great"]
        so ["Trim the flange", "Check the height"]
        at ["borders.lingual_flange", "vertical.occlusal_mm"] from TEXTBOOK;
    34 "The denture breaks"
        because ["Thin", "Notched in the middle", "Does not fit", "Dropped"]
        so ["Strengthen it", "Reline", "Wear the spare meanwhile"]
        at ["base.palate_mm", "base.strengthening", "spare.arch"] from PRACTICE;
    35 "The spare bites differently"
        because ["Duplicate porous, or its flask was open: the bite is higher"]
        so ["Adjust the spare", "Never take the spare as the pattern of the final"]
        at ["pattern.source", "spare.note"] from PRACTICE;
    36 "The old one was better"
        because ["Too much was changed at once", "Not used to it yet", "A true fault"]
        so ["Compare with the provisional", "Go back by one change"]
        at ["changes", "pattern.keep", "pattern.rule"] from PRACTICE;
}

/// A complaint by its number.
pub fn complaint(number: u8) -> Option<&'static Complaint> {
    COMPLAINTS.iter().find(|one| one.number == number)
}

/// Complaints in which every word of the search occurs, in the complaint, a cause or a remedy. An empty
/// search finds all.
pub fn search(words: &str) -> Vec<&'static Complaint> {
    let words: Vec<String> = words.split_whitespace().map(str::to_lowercase).collect();
    let has = |one: &Complaint, word: &String| {
        let texts = std::iter::once(&one.complaint)
            .chain(one.causes)
            .chain(one.remedies);
        texts
            .into_iter()
            .any(|text| text.to_lowercase().contains(word.as_str()))
    };
    let all = |one: &&Complaint| words.iter().all(|word| has(one, word));
    COMPLAINTS.iter().filter(all).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::{catalogue, field_spec};
    use crate::domain::values::evidence::Footing;
    use proptest::prelude::*;

    #[test]
    fn there_are_thirty_six_in_order() {
        let numbers: Vec<u8> = COMPLAINTS.iter().map(|one| one.number).collect();
        assert_eq!(numbers, (1..=36).collect::<Vec<u8>>());
    }

    #[test]
    fn p19_each_source_says_on_whom_or_that_it_is_not_known() {
        let published = COMPLAINTS.iter().map(|one| one.source);
        let published: Vec<Source> = published
            .filter(|source| source.footing == Footing::Published)
            .collect();
        assert!(published.len() > 10);
        for source in published {
            let words = ["wearers", "not known here", "a weak source"];
            assert!(
                words.iter().any(|word| source.name.contains(word)),
                "{source}"
            );
        }
    }

    #[test]
    fn every_key_is_a_field_or_a_list_of_the_prescription() {
        let list = |key: &str| {
            catalogue()
                .iter()
                .any(|section| section.groups.iter().any(|group| group.key == key))
        };
        for one in COMPLAINTS {
            for key in one.fields {
                assert!(
                    field_spec(key).is_some() || list(key),
                    "{}: {key}",
                    one.number
                );
            }
        }
    }

    #[test]
    fn tongue_biting_leads_to_posterior_teeth_set_too_far_lingual() {
        // From memory: McCord and Grant.
        let found = complaint(1).expect("complaint");
        assert!(found.causes[0].contains("too far to the tongue side"));
        assert!(found.causes[0].contains("posterior teeth and bite block"));
        assert!(found.fields.contains(&"posterior.block_shape"));
    }

    #[test]
    fn complaints_are_found_by_their_words() {
        let numbers = |words: &str| {
            search(words)
                .iter()
                .map(|one| one.number)
                .collect::<Vec<u8>>()
        };
        assert_eq!(numbers("bites TONGUE"), [1]);
        assert_eq!(numbers("").len(), 36);
        assert!(numbers("no such word anywhere").is_empty());
        assert!(complaint(0).is_none() && complaint(37).is_none());
    }

    proptest! {
        #[test]
        fn more_words_never_find_more(words in "[a-z ]{0,12}", more in "[a-z ]{0,12}") {
            let both = format!("{words} {more}");
            prop_assert!(search(&both).len() <= search(&words).len());
        }
    }
}
