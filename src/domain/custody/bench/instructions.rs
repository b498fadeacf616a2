//! What the prescription says of a step beside its numbers: what is shown large where the step is done. Which fields are of
//! which step is common practice, no source.

use super::steps::BenchStep;
use crate::domain::form::FilledField;
use crate::domain::prescription::sentences::said_of;
use crate::domain::prescription::sentences::say::{Say, after, answer, cut_off_the_cast, value};
use crate::domain::prescription::{Prescription, SpareTeeth, Stage};
use crate::domain::trade::perishable::poured_at_once;
use crate::domain::values::arch::Arch;
use crate::domain::values::tooth::Numbering;
use crate::domain::values::words::capitalised;
use std::collections::BTreeSet;

use BenchStep as S;

/// Something that is prescribed for a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Instruction {
    pub label: &'static str,
    pub words: String,
}

/// Steps, a label, and the fields that are said under it: once, or for each row of their list.
struct Line(&'static [BenchStep], &'static str, &'static [Say]);

const TABLE: &[Line] = &[
    Line(
        &[S::CastPoured, S::Repaired, S::Finished],
        "To be repaired",
        &[
            value("repairs.#.what"),
            value("repairs.#.tooth").then(),
            value("repairs.#.place").comma(),
            answer("repairs.#.tooth_enclosed", "the tooth is enclosed", ""),
        ],
    ),
    Line(
        &[S::CastPoured, S::Repaired],
        "The break",
        &[
            answer(
                "repair.fit_together",
                "the pieces go together",
                "the pieces do not go together",
            ),
            value("repair.cause"),
            answer("repair.broke_before", "has broken there before", ""),
        ],
    ),
    Line(&[S::CastPoured], "Pour", &[value("impression.pour_by")]),
    Line(
        &[S::CastPoured],
        "Fitting surface",
        &[
            value("impression.material"),
            answer(
                "impression.keep_surface",
                "the lining is not relieved, trimmed or heated",
                "",
            ),
            answer("impression.bead_and_box", "bead and box", "no bead and box"),
        ],
    ),
    Line(
        &[S::Mounted],
        "Bite record",
        &[
            value("jaw.item"),
            after("made ", "jaw.taken_on").comma(),
            value("jaw.position"),
            answer("jaw.keyed", "keyed", "not keyed"),
            after("grooves: ", "jaw.grooves"),
            after("seat it so: ", "jaw.seating"),
        ],
    ),
    Line(
        &[S::Mounted],
        "Facebow record",
        &[
            value("facebow.record_id"),
            answer(
                "facebow.kept_mounting",
                "the mounting was kept here",
                "no mounting was kept",
            ),
        ],
    ),
    Line(
        &[S::TrayMade],
        "Tray",
        &[
            value("impression.tray"),
            after("relief: ", "impression.tray_relief"),
            after("block out: ", "impression.undercuts"),
        ],
    ),
    Line(&[S::RimsMade], "Base", &[value("rims.base")]),
    Line(
        &[S::SetUp],
        "Anterior teeth",
        &[
            value("anterior.choice"),
            after("upper ", "anterior.upper_mould"),
            after("lower ", "anterior.lower_mould"),
        ],
    ),
    Line(
        &[S::SetUp],
        "Posterior teeth",
        &[
            value("posterior.choice"),
            after("upper ", "posterior.upper_mould"),
            after("lower ", "posterior.lower_mould"),
        ],
    ),
    Line(
        &[S::Duplicated],
        "Spare",
        &[
            after("copy of ", "spare.copied_upper"),
            after("copy of ", "spare.copied_lower"),
            after("base: ", "spare.base"),
            value("spare.teeth"),
            after("shade ", "spare.tooth_shade").comma(),
            value("spare.characterisation"),
            answer("spare.date_mark", "mark it with the date", "no date mark"),
            value("spare.note"),
        ],
    ),
    Line(
        &[S::SetUp, S::Duplicated, S::Milled],
        "Shade",
        &[
            value("shade.source"),
            value("shade.guide"),
            value("shade.tab").then(),
            after("posterior ", "shade.posterior_tab"),
        ],
    ),
    Line(
        &[S::SetUp],
        "Extraction",
        &[
            value("extractions.#.tooth"),
            value("extractions.#.when").comma(),
            value("extractions.#.note"),
        ],
    ),
    Line(
        &[S::SetUp],
        "Teeth cut off the cast",
        &cut_off_the_cast(value("cast_trim.by")),
    ),
    Line(&[S::SetUp], "Scheme", &[value("occlusion.scheme")]),
    Line(&[S::SetUp], "Arrangement", &[value("anterior.arrangement")]),
    Line(
        &[S::SetUp, S::Reset, S::Milled],
        "Change",
        &[
            value("changes.#.what"),
            value("changes.#.tooth").then(),
            value("changes.#.direction").comma(),
            value("changes.#.mm").then(),
            value("changes.#.degrees").then(),
            value("changes.#.note"),
        ],
    ),
    Line(
        &[S::Mounted, S::Reset],
        "Answer at the try-in",
        &[
            answer(
                "approval.arrangement",
                "teeth as wanted",
                "teeth not as wanted",
            ),
            answer(
                "approval.height",
                "height is right",
                "height refused, mount to the new record",
            ),
        ],
    ),
    Line(&[S::Reset], "OVD", &[value("vertical.occlusal_mm")]),
    Line(&[S::Reset], "Said at the try-in", &[value("approval.said")]),
    Line(
        &[S::Relined],
        "Reline",
        &[
            after("height held by ", "reline.held_by"),
            after("border: ", "reline.border"),
            answer("base.soft_liner", "soft liner", ""),
            value("base.soft_liner_note").comma(),
        ],
    ),
    Line(
        &[S::Cured, S::Milled, S::Relined, S::Repaired],
        "Base",
        &[
            value("base.material"),
            value("base.product").comma(),
            value("base.process"),
            value("base.strengthening"),
        ],
    ),
    Line(
        &[S::Cured, S::Milled, S::Duplicated, S::Repaired],
        "Base shade",
        &[value("base_shade.guide"), value("base_shade.code").then()],
    ),
    Line(
        &[S::Remounted],
        "Grinding in",
        &[
            after("by ", "remount.grind_by"),
            after("spare the ", "remount.spare_cusps"),
        ],
    ),
    Line(&[S::Finished], "Surface", &[value("finish.polished")]),
    Line(
        &[S::Finished],
        "Mark",
        &[value("marking.text"), value("marking.place").comma()],
    ),
];

/// Whether a field is of these arches, by its name.
fn is_of(key: &str, arches: &[Arch]) -> bool {
    let name = key.rsplit('.').next().unwrap_or_default();
    match name {
        _ if name.starts_with("upper_") || name.ends_with("_upper") => {
            arches.contains(&Arch::Upper)
        }
        _ if name.starts_with("lower_") || name.ends_with("_lower") => {
            arches.contains(&Arch::Lower)
        }
        _ => true,
    }
}

/// Whether a cell is of a tooth that is extracted in another arch than these.
fn is_of_another_arch(prescription: &Prescription, cell: &FilledField, arches: &[Arch]) -> bool {
    if !cell.spec.key.starts_with("extractions.") {
        return false;
    }
    let rows = &prescription.cast_trim.extractions;
    let tooth = cell.row.and_then(|row| rows.get(row)?.tooth);
    tooth.is_some_and(|tooth| !arches.contains(&tooth.arch()))
}

/// Whether a line is of the denture, while a spare beside it is made of what its own fields say: its teeth are poured in
/// their shade, and a base shade is of a base that is named.
fn is_of_the_denture(prescription: &Prescription, step: BenchStep, label: &str) -> bool {
    let spare = &prescription.spare;
    let mut pieces = prescription.order.pieces.iter();
    let is_beside = pieces.any(|piece| piece.stage.is_some_and(|stage| stage != Stage::Duplicate));
    let is_poured = spare.teeth == Some(SpareTeeth::Resin);
    let is_otherwise = match label {
        "Shade" => spare.tooth_shade.is_some(),
        "Base shade" => spare.base.is_none(),
        _ => false,
    };
    step == S::Duplicated && is_beside && is_poured && is_otherwise
}

/// The rows that a list has among these cells; none of what is in no list.
fn rows_of(fields: &[Say], cells: &[FilledField]) -> Vec<Option<usize>> {
    let own = |cell: &&FilledField| fields.iter().any(|field| field.key == cell.spec.key);
    let rows: BTreeSet<Option<usize>> = cells.iter().filter(own).map(|cell| cell.row).collect();
    rows.into_iter().collect()
}

/// What a prescription says of a step for these arches, beside the numbers that are measured there.
pub fn instructions(
    prescription: &Prescription,
    numbering: Numbering,
    (step, arches): (BenchStep, &[Arch]),
) -> Vec<Instruction> {
    let filled = prescription.filled(numbering).into_iter();
    let cells = filled.flat_map(|(_, cells)| cells);
    let cells: Vec<FilledField> = cells
        .filter(|cell| !is_of_another_arch(prescription, cell, arches))
        .collect();
    let of_step = TABLE
        .iter()
        .filter(|line| line.0.contains(&step) && !is_of_the_denture(prescription, step, line.1));
    let told = of_step.flat_map(|Line(_, label, fields)| {
        let fields: Vec<Say> = fields
            .iter()
            .filter(|field| is_of(field.key, arches))
            .copied()
            .collect();
        let rows = rows_of(&fields, &cells).into_iter();
        let said: Vec<Instruction> = rows
            .map(|row| Instruction {
                label,
                words: capitalised(&said_of(&fields, &cells, row)),
            })
            .collect();
        said
    });
    let at_once = poured_at_once(prescription).filter(|_| step == S::CastPoured);
    let at_once = at_once.map(|words| Instruction {
        label: "At once",
        words,
    });
    let told = at_once.into_iter().chain(told);
    told.filter(|one| !one.words.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::prescription::{all_fields, read};

    fn told(fields: &[(&str, &str)], step: BenchStep, arches: &[Arch]) -> Vec<String> {
        let raw: Raw = fields
            .iter()
            .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
            .collect();
        let reading = read(&raw, Numbering::Iso3950);
        assert_eq!(reading.faults, []);
        let told = instructions(&reading.document, Numbering::Iso3950, (step, arches));
        told.iter()
            .map(|one| format!("{}: {}", one.label, one.words))
            .collect()
    }

    #[test]
    fn every_field_is_one_and_a_line_is_of_one_list_or_of_none() {
        for Line(steps, label, fields) in TABLE {
            assert!(!steps.is_empty(), "{label}");
            let lists: BTreeSet<Option<&str>> = fields
                .iter()
                .map(|field| field.key.split_once(".#.").map(|(list, _)| list))
                .collect();
            assert_eq!(lists.len(), 1, "{label}");
            for field in *fields {
                let is_there = all_fields().any(|one| one.key == field.key);
                assert!(is_there, "{}", field.key);
            }
        }
    }

    #[test]
    fn what_is_broken_and_where_stands_at_each_step_of_a_repair() {
        let repair = [
            ("order.course", "repair"),
            ("repair.fit_together", "yes"),
            ("repair.cause", "dropped"),
            ("repair.broke_before", "no"),
            ("repairs.0.what", "tooth_out"),
            ("repairs.0.tooth", "11"),
            ("repairs.0.tooth_enclosed", "yes"),
            ("repairs.1.what", "base_cracked"),
            ("repairs.1.place", "midline of the palate"),
        ];
        let upper = [Arch::Upper];
        let places = [
            "To be repaired: Tooth came out 11; the tooth is enclosed",
            "To be repaired: Base cracked, midline of the palate",
        ];
        let broken = "The break: The pieces go together; dropped";
        let wanted = [places[0], places[1], broken];
        assert_eq!(told(&repair, S::CastPoured, &upper), wanted);
        assert_eq!(told(&repair, S::Repaired, &upper), wanted);
        assert_eq!(told(&repair, S::Finished, &upper), places);
        assert_eq!(told(&repair, S::Mounted, &upper), Vec::<String>::new());
    }

    #[test]
    fn how_the_surface_is_handled_and_the_record_seated_stands_where_it_is_done() {
        let copy = [
            ("impression.source", "functional"),
            ("impression.material", "conditioner"),
            ("impression.removed_on", "2026-03-02"),
            ("impression.keep_surface", "yes"),
            ("impression.bead_and_box", "yes"),
            ("jaw.position", "centric_relation"),
            ("jaw.keyed", "yes"),
            ("jaw.seating", "lower first, nothing pressed"),
            ("facebow.record_id", "J-21"),
        ];
        let upper = [Arch::Upper];
        let poured = told(&copy, S::CastPoured, &upper);
        assert_eq!(poured.len(), 2, "{poured:?}");
        assert!(poured[0].starts_with("At once: A functional surface is poured at once"));
        assert_eq!(
            poured[1],
            "Fitting surface: Tissue conditioner; the lining is not relieved, trimmed or heated; bead and box"
        );
        let mounted = told(&copy, S::Mounted, &upper);
        assert_eq!(mounted.len(), 2, "{mounted:?}");
        assert!(mounted[0].starts_with("Bite record: ") && mounted[0].contains("; keyed; "));
        assert!(mounted[0].ends_with("seat it so: lower first, nothing pressed"));
        assert_eq!(mounted[1], "Facebow record: J-21");
        // A cast that was poured already is not told to be poured at once.
        let cast = [
            ("impression.source", "cast"),
            ("impression.material", "alginate"),
        ];
        assert_eq!(told(&cast, S::Mounted, &upper), Vec::<String>::new());
    }

    #[test]
    fn a_refused_height_is_said_with_the_new_record_and_the_new_height() {
        let reset = [
            ("order.course", "reset"),
            ("approval.arrangement", "yes"),
            ("approval.height", "no"),
            ("vertical.occlusal_mm", "61.5"),
            ("jaw.position", "centric_relation"),
            ("jaw.taken_on", "2026-11-30"),
        ];
        let both = [Arch::Upper, Arch::Lower];
        let answer =
            "Answer at the try-in: Teeth as wanted; height refused, mount to the new record";
        let mounted = told(&reset, S::Mounted, &both);
        assert_eq!(mounted.len(), 2, "{mounted:?}");
        assert!(mounted.contains(&answer.to_owned()), "{mounted:?}");
        assert!(mounted[0].starts_with("Bite record: Made "), "{mounted:?}");
        assert_eq!(told(&reset, S::Reset, &both), [answer, "OVD: 61.5 mm"]);
    }

    #[test]
    fn what_is_cut_off_the_cast_how_deep_and_by_whom_stands_where_teeth_are_set_up() {
        let immediate = [
            ("order.course", "immediate"),
            ("extractions.0.tooth", "13"),
            ("extractions.0.when", "at_insertion"),
            ("extractions.1.tooth", "33"),
            ("cast_trim.by", "lab"),
            ("cast_trim.level", "gum_margin"),
            ("cast_trim.facial_mm", "1"),
            ("cast_trim.photo", "yes"),
            ("cast_trim.stent", "no"),
        ];
        let found = told(&immediate, S::SetUp, &[Arch::Upper]);
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(found[0].starts_with("Extraction: 13"), "{found:?}");
        let cut = &found[1];
        assert!(cut.starts_with("Teeth cut off the cast: "), "{cut}");
        for words in [
            "he lab cuts",
            "lip and cheek 1 mm",
            "photograph the cast",
            "no clear copy of the fitting surface",
        ] {
            assert!(cut.contains(words), "{cut}");
        }
        assert!(!cut.contains("palate"), "{cut}");
        let both = told(&immediate, S::SetUp, &[Arch::Upper, Arch::Lower]);
        assert_eq!(both.len(), 3, "{both:?}");
        assert_eq!(
            told(&immediate, S::Mounted, &[Arch::Upper]),
            Vec::<String>::new()
        );
    }

    #[test]
    fn a_spare_beside_the_denture_is_made_of_what_its_own_fields_say() {
        let order = [
            ("pieces.0.arch", "upper"),
            ("pieces.0.stage", "process"),
            ("pieces.1.arch", "upper"),
            ("pieces.1.stage", "duplicate"),
            ("shade.tab", "H3"),
            ("base_shade.guide", "Clay"),
            ("base_shade.code", "C2"),
            ("spare.arch", "upper"),
            ("spare.made_by", "lab"),
            ("spare.teeth", "resin"),
            ("spare.tooth_shade", "H4"),
            ("spare.date_mark", "yes"),
        ];
        let at =
            |more: &[(&str, &str)]| told(&[&order, more].concat(), S::Duplicated, &[Arch::Upper]);
        let own = at(&[]);
        assert_eq!(own.len(), 1, "{own:?}");
        assert!(own[0].starts_with("Spare: Tooth-colored resin, shade H4"));
        assert!(own[0].ends_with("mark it with the date"), "{own:?}");
        let with_base = at(&[("spare.base", "heat_cured")]);
        assert!(with_base[0].contains("ase: heat-cured"), "{with_base:?}");
        assert_eq!(with_base[1], "Base shade: Clay C2");
        // A second set of teeth has the shade and the base of the first.
        assert_eq!(at(&[("spare.teeth", "denture_teeth")]).len(), 3);
        // A copy that is the order itself has those of the order.
        assert_eq!(at(&[("pieces.0.stage", "duplicate")]).len(), 3);
    }

    #[test]
    fn moulds_shade_scheme_and_arrangement_stand_where_teeth_are_set_up() {
        let copy = [
            ("anterior.upper_mould", "Otter 32"),
            ("anterior.lower_mould", "Otter L5"),
            ("anterior.arrangement", "copy_with_changes"),
            ("posterior.upper_mould", "Brook 20"),
            ("shade.source", "tab"),
            ("shade.guide", "Heron"),
            ("shade.tab", "H3"),
            ("occlusion.scheme", "lingualized"),
            ("changes.0.what", "tooth"),
            ("changes.0.tooth", "11"),
            ("changes.0.direction", "forward"),
            ("changes.0.mm", "1"),
        ];
        let both = [Arch::Upper, Arch::Lower];
        let found = told(&copy, S::SetUp, &both);
        let labels: Vec<&str> = found
            .iter()
            .filter_map(|one| one.split_once(": ").map(|(label, _)| label))
            .collect();
        let wanted = [
            "Anterior teeth",
            "Posterior teeth",
            "Shade",
            "Scheme",
            "Arrangement",
            "Change",
        ];
        assert_eq!(labels, wanted, "{found:?}");
        assert_eq!(found[0], "Anterior teeth: Upper Otter 32; lower Otter L5");
        assert_eq!(found[2], "Shade: Heron H3");
        assert!(found[5].contains("11, forward 1 mm"), "{}", found[5]);
        let lower = told(&copy, S::SetUp, &[Arch::Lower]);
        assert_eq!(lower[0], "Anterior teeth: Lower Otter L5");
        assert!(lower.iter().all(|one| !one.starts_with("Posterior")));
        // Nothing is said of what nobody prescribed, and numbers stand where they are measured.
        assert_eq!(told(&[], S::SetUp, &both), Vec::<String>::new());
        let height = [("vertical.occlusal_mm", "66")];
        assert_eq!(told(&height, S::Mounted, &both), Vec::<String>::new());
    }
}
