//! What of a prescription a question from the bench is about, as far as the step says it.

use super::measures::{measures_of, prescribed};
use super::steps::BenchStep;
use crate::domain::prescription::{Prescription, section_of};
use crate::domain::values::tooth::Numbering;

/// The section that a step goes by where nothing is measured at it; empty where it goes by many. Common practice, no
/// source.
const fn goes_by(step: BenchStep) -> &'static str {
    match step {
        BenchStep::CastPoured | BenchStep::TrayMade => "impression",
        BenchStep::Matrix | BenchStep::Reset => "pattern",
        BenchStep::RimsMade => "rims",
        BenchStep::Mounted => "jaw",
        BenchStep::SetUp => "anterior",
        BenchStep::TryInChecked => "occlusion",
        BenchStep::Flasked => "",
        BenchStep::Cured | BenchStep::Milled => "base",
        BenchStep::Duplicated => "spare",
        BenchStep::Relined => "reline",
        BenchStep::Repaired => "repair",
        BenchStep::Remounted => "remount",
        BenchStep::Finished => "finish",
    }
}

/// Section and line by their keys: the line that alone prescribes what is measured at the step, or the section that all
/// of these are of, or the one that such a step goes by. What the prescription says nothing of is not pointed at.
pub fn asked_about(
    step: BenchStep,
    rx: &Prescription,
    numbering: Numbering,
) -> (Option<&'static str>, Option<&'static str>) {
    let measures: Vec<_> = measures_of(step).collect();
    let said = prescribed(rx, numbering, &measures).into_iter();
    let lines: Vec<&'static str> = said
        .filter(|(measure, text)| text.is_some() && !measure.field().is_empty())
        .map(|(measure, _)| measure.field())
        .collect();
    let section = |line: &&'static str| section_of(line).map(|one| one.key);
    let of_all = lines.first().and_then(section);
    if of_all.is_some() && lines.iter().all(|line| section(line) == of_all) {
        let line = lines.first().copied().filter(|_| lines.len() == 1);
        return (of_all, line);
    }
    let filled = rx.filled(numbering).into_iter();
    let mut said = filled.filter(|(_, cells)| !cells.is_empty());
    let found = said.find(|(section, _)| section.key == goes_by(step));
    (found.map(|(section, _)| section.key), None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::{catalogue, read};

    #[test]
    fn every_section_that_a_step_goes_by_is_one() {
        for step in BenchStep::ALL {
            let key = goes_by(*step);
            let is_one = catalogue().iter().any(|section| section.key == key);
            assert!(is_one || *step == BenchStep::Flasked, "{step:?}");
        }
    }

    #[test]
    fn a_question_points_at_the_one_line_or_at_the_section_of_the_step() {
        let about = |step, fields: &[(&str, &str)]| {
            let fields = fields.iter();
            let raw = fields.map(|(key, text)| ((*key).to_owned(), (*text).to_owned()));
            let rx = read(&raw.collect(), Numbering::Iso3950).document;
            asked_about(step, &rx, Numbering::Iso3950)
        };
        let height = ("vertical.occlusal_mm", "65");
        let pin = ("guidance.pin_mm", "0");
        let line = (Some("vertical"), Some("vertical.occlusal_mm"));
        assert_eq!(about(BenchStep::Mounted, &[height]), line);
        // Of two sections neither is meant more than the other.
        assert_eq!(about(BenchStep::Mounted, &[height, pin]), (None, None));
        let record = ("jaw.material", "wax");
        let jaw = (Some("jaw"), None);
        assert_eq!(about(BenchStep::Mounted, &[height, pin, record]), jaw);
        let cast = [
            ("impression.land_mm", "3"),
            ("impression.border_roll_mm", "3"),
        ];
        assert_eq!(
            about(BenchStep::CastPoured, &cast),
            (Some("impression"), None)
        );
        assert_eq!(about(BenchStep::Repaired, &[height]), (None, None));
    }
}
