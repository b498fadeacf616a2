//! What was signed for the same patient before. A remake, a next stage and a correction start from it; to other work
//! it is held against what is usual.

use crate::domain::form::Raw;
use crate::domain::values::ids::CaseNumber;

/// The last case of the same patient that has something signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CaseBefore {
    pub number: CaseNumber,
    /// Its revision in force, as it would be typed.
    pub fields: Raw,
}

/// A usual value that the case before had otherwise, in the words of the form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Otherwise {
    /// The key of the field.
    pub key: String,
    pub label: &'static str,
    /// What the set says.
    pub usual: String,
    /// What the case before says.
    pub before: String,
    /// The number of the case before.
    pub case: String,
}

const CHOSEN: &str = "what the patient chose and was used to";
const MADE_OF: &str = "what the mouth has borne, or what it was kept from";
const BY_DESIGN: &str = "how the teeth were meant to meet";
const DISTINGUISHES: &str = "how the sets of one patient are told apart";

/// What such an order takes over, each with its reason. Nothing that somebody has to be asked again (an answer, an
/// approval), nothing that was measured, no day and no thing: those are of their own visit. Common practice, no source.
pub const CARRIED: &[(&str, &str)] = &[
    ("anterior.upper_mould", CHOSEN),
    ("anterior.lower_mould", CHOSEN),
    ("anterior.form", CHOSEN),
    ("anterior.material", MADE_OF),
    ("posterior.upper_mould", CHOSEN),
    ("posterior.lower_mould", CHOSEN),
    ("posterior.cusp_angle", BY_DESIGN),
    ("posterior.cusp_upper", BY_DESIGN),
    ("posterior.cusp_lower", BY_DESIGN),
    ("posterior.material", MADE_OF),
    ("posterior.teeth_upper", BY_DESIGN),
    ("posterior.teeth_lower", BY_DESIGN),
    ("occlusion.scheme", BY_DESIGN),
    ("shade.guide", CHOSEN),
    ("shade.tab", CHOSEN),
    ("shade.posterior_tab", CHOSEN),
    ("base_shade.guide", CHOSEN),
    ("base_shade.code", CHOSEN),
    ("base_shade.fibres", CHOSEN),
    ("base_shade.characterisation", CHOSEN),
    ("base_shade.stippling", CHOSEN),
    ("base_shade.festooning", CHOSEN),
    ("base_shade.rugae", CHOSEN),
    ("base.material", MADE_OF),
    ("base.product", MADE_OF),
    ("base.process", MADE_OF),
    ("base.strengthening", MADE_OF),
    ("base.alloy", MADE_OF),
    ("base.without", MADE_OF),
    ("marking.carries", DISTINGUISHES),
    ("marking.text", DISTINGUISHES),
    ("marking.place", DISTINGUISHES),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Kind;
    use crate::domain::prescription::all_fields;

    #[test]
    fn what_is_taken_over_is_a_field_and_no_answer_no_height_no_day_and_no_thing() {
        for (at, (key, why)) in CARRIED.iter().enumerate() {
            let spec = all_fields().find(|spec| spec.key == *key).expect(key);
            let is_measured = matches!(
                spec.kind,
                Kind::Mm { .. }
                    | Kind::Degrees { .. }
                    | Kind::Date
                    | Kind::Time
                    | Kind::Tag
                    | Kind::Tooth
            );
            assert!(
                !is_measured && !key.contains('#') && !why.is_empty(),
                "{key}"
            );
            assert!(CARRIED.iter().skip(at + 1).all(|(other, _)| other != key));
        }
        for key in [
            "marking.answer",
            "marking.offered",
            "shade.approved",
            "jaw.keyed",
            "jaw.at_final_vertical",
            "vertical.rest_mm",
            "remarks.remarks",
            "order.remake_reason",
        ] {
            assert!(CARRIED.iter().all(|(one, _)| *one != key), "{key}");
        }
    }
}
