//! What stands in a box is seen whole: a box that is too short for it takes more room, and a text goes on in further lines.

use crate::web::field::{Choice, FieldView, InputKind};

/// Signs for which a box under a line has room in a window of 1280 pixels.
const NARROW: usize = 14;
/// Signs for which one of an opened part has room.
const WIDE: usize = 32;
/// Signs for which a box in a row of a list has room.
const IN_ROW: usize = 12;
/// Lists in whose rows the choices are set smaller or have wider columns, with the signs of theirs.
const OF_LISTS: &[(&str, usize)] = &[
    ("changes.", 27),
    ("pieces.", 16),
    ("reliefs.", 20),
    ("extractions.", 20),
    ("kept.", 20),
    ("stage_dates.", 20),
];

/// Gives a field the room that its value needs; `row` of one of a list.
pub fn fitted(field: &mut FieldView, row: Option<usize>) {
    keep_visible(field);
    let signs = field.shown().chars().count();
    let is_text = field.input == InputKind::Text && field.suggestions.is_empty();
    let is_chosen = field.input == InputKind::Choice;
    let in_lines = match row {
        Some(_) => signs > IN_ROW,
        None => signs > WIDE,
    };
    if is_text && in_lines {
        field.input = InputKind::Long;
        field.called("one-line");
    } else if row.is_some() && is_chosen && signs > room_in_row(&field.key) {
        field.called("long");
    } else if row.is_none() && (is_chosen || field.input == InputKind::Text) {
        if signs > WIDE {
            field.called("longer");
        } else if signs > NARROW {
            field.called("long");
        }
    }
}

fn room_in_row(key: &str) -> usize {
    let own = OF_LISTS.iter().find(|(list, _)| key.starts_with(list));
    own.map_or(IN_ROW, |(_, room)| *room)
}

/// The fields of a row that stand behind its line, where the others have their room, and these others: what a thing is that
/// its tag tells, and the tooth of a change that is about none.
pub fn needless(fields: Vec<FieldView>) -> (Vec<FieldView>, Vec<FieldView>) {
    let says = |end: &str| {
        let mut of_it = fields.iter().filter(|field| field.key.ends_with(end));
        of_it.any(|field| !field.value.is_empty())
    };
    let (is_named, is_said) = (says(".tag"), says(".what"));
    let is_silent = |field: &FieldView| {
        field.value.is_empty() && field.messages.is_empty() && field.warnings.is_empty()
    };
    fields.into_iter().partition(|field| {
        let is_told = is_named && field.key.ends_with(".what");
        let is_of_change = field.key.starts_with("changes.") && field.key.ends_with(".tooth");
        is_silent(field) && (is_told || is_said && is_of_change && !field.is_asked)
    })
}

/// What was typed stays on the page even where the box for it could not show it.
fn keep_visible(field: &mut FieldView) {
    let is_chosen = field.choices.iter().any(|choice| choice.chosen);
    // A word that is no longer a choice: saving the form would lose it.
    if field.input == InputKind::Choice && !field.value.is_empty() && !is_chosen {
        let mut stale = Choice::new(&field.value, &field.value);
        stale.chosen = true;
        field.choices.push(stale);
    }
    // A browser's date box shows only what it can read as a date.
    let is_plain = matches!(field.input, InputKind::Date | InputKind::Time);
    if is_plain && !field.messages.is_empty() {
        field.input = InputKind::Text;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(key: &str, input: InputKind, value: &str) -> FieldView {
        let mut field = FieldView::new(input, key, "Label");
        value.clone_into(&mut field.value);
        field
    }

    #[test]
    fn a_box_takes_the_room_that_its_value_needs() {
        let long = "copy with the changes listed, and nothing else";
        for (key, input, value, row, becomes, class) in [
            (
                "jaw.material",
                InputKind::Text,
                "silicone",
                None,
                InputKind::Text,
                "",
            ),
            (
                "jaw.material",
                InputKind::Text,
                "addition silicone",
                None,
                InputKind::Text,
                "long",
            ),
            (
                "jaw.seating",
                InputKind::Text,
                long,
                None,
                InputKind::Long,
                "one-line",
            ),
            (
                "pattern.rule",
                InputKind::Choice,
                long,
                None,
                InputKind::Choice,
                "longer",
            ),
            (
                "pieces.0.materials",
                InputKind::Text,
                long,
                Some(0),
                InputKind::Long,
                "one-line",
            ),
            (
                "enclosed.0.tag",
                InputKind::Choice,
                "T3K-GC6-EME Bite record",
                Some(0),
                InputKind::Choice,
                "long",
            ),
            (
                "changes.0.direction",
                InputKind::Choice,
                "towards the cheek",
                Some(0),
                InputKind::Choice,
                "",
            ),
            (
                "remarks.remarks",
                InputKind::Long,
                long,
                None,
                InputKind::Long,
                "",
            ),
            (
                "dates.wanted",
                InputKind::Date,
                "2026-03-02",
                None,
                InputKind::Date,
                "",
            ),
        ] {
            let mut field = field(key, input, value);
            fitted(&mut field, row);
            assert_eq!(
                (field.input, field.classes.as_str()),
                (becomes, class),
                "{key} {value}"
            );
            assert_eq!(field.value, value);
        }
    }

    #[test]
    fn what_a_row_says_already_leaves_its_line_to_the_rest() {
        let row = |fields: &[(&str, &str)]| -> (Vec<String>, Vec<String>) {
            let fields = fields.iter();
            let fields = fields.map(|(key, value)| field(key, InputKind::Text, value));
            let (behind, own) = needless(fields.collect());
            let keys = |all: Vec<FieldView>| all.into_iter().map(|one| one.key).collect();
            (keys(behind), keys(own))
        };
        let (behind, own) = row(&[("enclosed.0.tag", "T-1"), ("enclosed.0.what", "")]);
        assert_eq!(
            (behind, own),
            (
                vec!["enclosed.0.what".to_owned()],
                vec!["enclosed.0.tag".to_owned()]
            )
        );
        for fields in [
            [("enclosed.0.tag", ""), ("enclosed.0.what", "")],
            [
                ("enclosed.0.tag", "T-1"),
                ("enclosed.0.what", "in two pieces"),
            ],
            [("changes.0.what", ""), ("changes.0.tooth", "")],
            [("changes.0.what", "tooth"), ("changes.0.tooth", "11")],
            [("repairs.0.what", "tooth_out"), ("repairs.0.tooth", "")],
        ] {
            assert_eq!(row(&fields).0, [""; 0], "{fields:?}");
        }
        let (behind, _) = row(&[("changes.0.what", "gum_line"), ("changes.0.tooth", "")]);
        assert_eq!(behind, ["changes.0.tooth"]);
    }

    #[test]
    fn a_text_with_suggestions_keeps_them() {
        let mut code = field(
            "shade.guide",
            InputKind::Text,
            "a guide whose name is longer than any box",
        );
        code.suggestions = vec!["birch 4".to_owned()];
        fitted(&mut code, None);
        assert_eq!(
            (code.input, code.classes.as_str()),
            (InputKind::Text, "longer")
        );
    }

    #[test]
    fn a_word_that_is_no_choice_any_more_and_a_day_that_cannot_be_read_stay_visible() {
        let mut stale = field("base.material", InputKind::Choice, "shellac");
        fitted(&mut stale, None);
        assert!(
            stale
                .choices
                .iter()
                .any(|one| one.chosen && one.word == "shellac")
        );
        let mut day = field("dates.wanted", InputKind::Date, "soon");
        day.messages = vec!["That is no date.".to_owned()];
        fitted(&mut day, None);
        assert_eq!(day.input, InputKind::Text);
    }
}
