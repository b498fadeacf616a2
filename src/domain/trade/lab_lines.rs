//! The days of a lab as lines of a form: a step, its working days, and the kind of work that they are for. All lines
//! together are the list, as it is loaded and kept (`house_days`).

use super::closed_lines::{NOTHING_LEFT, is_row_typed, rows_typed};
use super::house_days::{LabStep, MOST_STEPS, StepDays};
use crate::domain::form::{FieldSet, Form, Kind, Raw, command, whole};
use crate::domain::prescription::parts::Course;
use crate::domain::values::fault::Fault;

/// Under which a line stands in a form; `#` is its number, from 0 on.
const LINE: &str = "day.#.";

command! {
    /// One line. Where neither step nor days stand, there is none.
    LabLine;
    step: String = Kind::Listed, "Step", "";
    days: Option<u32> = whole(0, 60, ""), "Working days", "";
    course: Option<Course> = Course::KIND, "Of one kind of work", "";
}

/// The form as it is posted: the whole list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabLines {
    pub steps: Vec<StepDays>,
}

/// The key of the line of this number.
pub fn lab_line_key(number: usize) -> String {
    LINE.replace('#', &number.to_string())
}

/// How many lines a form holds: up to the last in which anything was typed.
pub fn lab_lines_typed(raw: &Raw) -> usize {
    rows_typed(raw, LINE, MOST_STEPS)
}

/// A list as the texts of its lines.
pub fn as_typed(steps: &[StepDays]) -> Raw {
    let keys = [
        LabLine::step().key,
        LabLine::days().key,
        LabLine::course().key,
    ];
    let line = |(number, one): (usize, &StepDays)| {
        let under = lab_line_key(number);
        let texts = keys.into_iter().zip(one.cells());
        texts.map(move |(key, text)| (format!("{under}{key}"), text))
    };
    steps.iter().enumerate().flat_map(line).collect()
}

/// What a line says, or the key of the field that is wrong with what is wrong.
fn read_line(line: &LabLine) -> Result<StepDays, (&'static str, &'static str)> {
    let step = match line.step.as_str() {
        "" => return Err((LabLine::step().key, "Choose the step.")),
        word => LabStep::from_word(word).ok_or((LabLine::step().key, "Choose one of the list.")),
    }?;
    let wanted = (LabLine::days().key, "Type the working days.");
    let read = StepDays {
        step,
        days: line.days.ok_or(wanted)?,
        course: line.course,
    };
    if read.is_no_day() {
        let why = "A stage takes at least one working day.";
        return Err((LabLine::days().key, why));
    }
    if read.course.is_some() && !matches!(step, LabStep::Stage(_)) {
        let why = "The carrier takes the same days for each kind of work.";
        return Err((LabLine::course().key, why));
    }
    Ok(read)
}

impl Form for LabLines {
    fn field_sets() -> Vec<FieldSet> {
        vec![FieldSet {
            under: LINE,
            fields: LabLine::FIELDS,
        }]
    }

    /// Every line in which anything was typed; each wrong one has its message beside the field.
    fn read(raw: &Raw, faults: &mut Vec<Fault>) -> Option<LabLines> {
        let before = faults.len();
        let mut steps: Vec<StepDays> = Vec::new();
        for number in 0..lab_lines_typed(raw) {
            let under = lab_line_key(number);
            if !is_row_typed(raw, &under) {
                continue;
            }
            let Some(line) = LabLine::read_under(raw, &under, faults) else {
                continue;
            };
            match read_line(&line) {
                Err((key, why)) => faults.push(Fault::new(format!("{under}{key}"), why)),
                Ok(one) => {
                    let same =
                        |other: &StepDays| (other.step, other.course) == (one.step, one.course);
                    if steps.iter().any(same) {
                        let key = format!("{under}{}", LabLine::step().key);
                        faults.push(Fault::new(key, "This step is listed a second time."));
                    }
                    steps.push(one);
                }
            }
        }
        if steps.is_empty() && faults.len() == before {
            let key = format!("{}{}", lab_line_key(0), LabLine::step().key);
            faults.push(Fault::new(key, NOTHING_LEFT));
        }
        (faults.len() == before).then_some(LabLines { steps })
    }
}

#[cfg(test)]
mod tests {
    use super::super::house_days::{take_lab_days, write_lab_days};
    use super::*;

    fn read(raw: &Raw) -> Result<LabLines, Vec<Fault>> {
        let mut faults = Vec::new();
        LabLines::read(raw, &mut faults).ok_or(faults)
    }

    #[test]
    fn a_list_comes_back_from_its_lines_as_it_was() {
        let text = "step,days,course\nset_up,5,\nset_up,8,single\nway_there,0,\nway_back,2,\n";
        let steps = take_lab_days(text).expect("steps");
        let typed = as_typed(&steps);
        assert_eq!(lab_lines_typed(&typed), 4);
        let form = read(&typed).expect("a form");
        assert_eq!(write_lab_days(&form.steps), text);
        // A line that is emptied is none.
        let mut less = typed.clone();
        for key in ["day.1.step", "day.1.days", "day.1.course"] {
            less.insert(key.to_owned(), String::new());
        }
        let form = read(&less).expect("a form");
        assert_eq!(
            write_lab_days(&form.steps),
            "step,days\nset_up,5\nway_there,0\nway_back,2\n"
        );
    }

    #[test]
    fn what_is_not_clear_is_told_beside_its_line() {
        for (typed, key, part) in [
            (&[("day.3.days", "4")][..], "day.3.step", "Choose the step"),
            (
                &[("day.0.step", "set_up")],
                "day.0.days",
                "Type the working",
            ),
            (
                &[("day.0.step", "glaze"), ("day.0.days", "4")],
                "day.0.step",
                "one of the list",
            ),
            (
                &[("day.0.step", "set_up"), ("day.0.days", "61")],
                "day.0.days",
                "from 0 to 60",
            ),
            (
                &[("day.0.step", "set_up"), ("day.0.days", "0")],
                "day.0.days",
                "at least one",
            ),
            (
                &[
                    ("day.0.step", "way_back"),
                    ("day.0.days", "2"),
                    ("day.0.course", "copy"),
                ],
                "day.0.course",
                "The carrier",
            ),
            (
                &[
                    ("day.0.step", "set_up"),
                    ("day.0.days", "2"),
                    ("day.1.step", "set_up"),
                    ("day.1.days", "3"),
                ],
                "day.1.step",
                "a second time",
            ),
            (&[], "day.0.step", "Nothing would be left"),
        ] {
            let typed = typed.iter();
            let raw: Raw = typed.map(|(k, v)| ((*k).into(), (*v).into())).collect();
            let faults = read(&raw).expect_err(key);
            assert_eq!(faults.len(), 1, "{key}");
            assert_eq!(faults[0].key, key);
            assert!(faults[0].message.contains(part), "{}", faults[0].message);
        }
    }
}
