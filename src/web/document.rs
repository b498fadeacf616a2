//! A prescription's text in words, as the page for signing and the page of a revision both show it.

use super::write::section_name;
use crate::domain::prescription::{Difference, PrintedSection};
use crate::domain::values::moment::said_in_words;
use askama::Template;

/// The text itself: every section of the walk over it.
#[derive(Template)]
#[template(path = "partials/document.html")]
pub struct DocumentPart {
    pub sections: Vec<PrintedSection>,
    /// The page on which a section is asked about; empty where nothing is asked.
    pub ask: String,
}

impl DocumentPart {
    /// Where this section is asked about; none where it is no part of the prescription.
    fn ask_about(&self, key: &str) -> Option<String> {
        let is_one = !self.ask.is_empty() && !section_name(key).is_empty();
        is_one.then(|| format!("{}&section={key}#ask", self.ask))
    }
}

/// As many changes as one takes in at a look.
const OPEN_MOST: usize = 12;

/// What a text says otherwise than the one before it; nothing where they say the same.
#[derive(Template)]
#[template(path = "partials/differences.html")]
pub struct DifferencesPart {
    pub title: String,
    /// These stand open.
    pub differences: Vec<Difference>,
    /// These are folded away behind them.
    pub more: Vec<Difference>,
}

impl DifferencesPart {
    /// Whether nothing differs, or there is nothing to compare with.
    pub fn is_empty(&self) -> bool {
        self.differences.is_empty() && self.more.is_empty()
    }

    /// Of `all`, those that a reader has to know stand open. Between two kinds of work nearly every field differs, and
    /// most of that follows from the new kind: it is folded, and the sheet marks each of its lines.
    /// Days stand in words, as on all pages.
    pub fn new(title: String, all: Vec<Difference>, to_know: &[Difference]) -> DifferencesPart {
        let part = DifferencesPart::parted(title, all, to_know);
        let in_words = |all: Vec<Difference>| all.into_iter().map(with_days).collect();
        DifferencesPart {
            differences: in_words(part.differences),
            more: in_words(part.more),
            ..part
        }
    }

    fn parted(title: String, all: Vec<Difference>, to_know: &[Difference]) -> DifferencesPart {
        if all.len() <= OPEN_MOST {
            let more = Vec::new();
            return DifferencesPart {
                title,
                differences: all,
                more,
            };
        }
        // The same change may have another label in the list of what has to be known.
        let says = |one: &Difference, other: &Difference| {
            (one.of, one.key, &one.before, &one.after)
                == (other.of, other.key, &other.before, &other.after)
        };
        let is_to_know = |one: &Difference| to_know.iter().any(|other| says(one, other));
        let (mut differences, mut more): (Vec<_>, Vec<_>) = all.into_iter().partition(is_to_know);
        let left = differences.len().min(OPEN_MOST);
        more.splice(0..0, differences.split_off(left));
        DifferencesPart {
            title,
            differences,
            more,
        }
    }

    /// What the fold says of itself.
    fn more_words(&self) -> String {
        match (self.more.len(), self.differences.is_empty()) {
            (count, true) => format!("{count} differences"),
            (1, false) => "1 more difference".to_owned(),
            (count, false) => format!("{count} more differences"),
        }
    }
}

/// A difference whose days are in words: of a field or a cell that is a day, and of a row those of its cells that are.
fn with_days(one: Difference) -> Difference {
    let said = |value: String| {
        let cells = value.split("; ").map(|cell| match cell.rsplit_once(": ") {
            Some((heading, value)) => format!("{heading}: {}", said_in_words(value)),
            None => said_in_words(cell),
        });
        cells.collect::<Vec<_>>().join("; ")
    };
    Difference {
        before: one.before.map(said),
        after: one.after.map(said),
        ..one
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn difference(number: usize) -> Difference {
        Difference {
            of: "vertical",
            key: "vertical.occlusal_mm",
            section: "Vertical dimension",
            label: format!("Line {number}"),
            before: Some(number.to_string()),
            after: None,
            new_row: None,
        }
    }

    #[test]
    fn days_stand_in_words_and_all_else_as_it_was_written() {
        for (text, said) in [
            ("2026-12-01", "Tue 1 Dec 2026"),
            (
                "Stage: try-in; In the dentist’s hands by: 2026-12-01; Note: at 9; or later",
                "Stage: try-in; In the dentist’s hands by: Tue 1 Dec 2026; Note: at 9; or later",
            ),
            ("relined on 2026-12-01", "relined on 2026-12-01"),
            ("2026-13-01", "2026-13-01"),
            ("12", "12"),
        ] {
            let one = Difference {
                before: Some(text.to_owned()),
                ..difference(1)
            };
            let part = DifferencesPart::new(String::new(), vec![one], &[]);
            let shown = part
                .differences
                .first()
                .and_then(|one| one.before.as_deref());
            assert_eq!(shown, Some(said));
        }
    }

    #[test]
    fn a_few_changes_stand_open_and_of_many_those_that_have_to_be_known() {
        let few: Vec<_> = (0..OPEN_MOST).map(difference).collect();
        let part = DifferencesPart::new(String::new(), few.clone(), &[]);
        assert_eq!((part.differences, part.more.len()), (few, 0));

        let many: Vec<_> = (0..60).map(difference).collect();
        let known = Difference {
            label: "Under another label".to_owned(),
            ..difference(40)
        };
        let part = DifferencesPart::new(String::new(), many.clone(), &[known]);
        assert_eq!(part.differences, [difference(40)]);
        assert_eq!(part.more.len(), 59);
        assert_eq!(part.more_words(), "59 more differences");

        let part = DifferencesPart::new(String::new(), many.clone(), &many);
        assert_eq!(part.differences.len(), OPEN_MOST);
        assert_eq!(part.more, many[OPEN_MOST..]);
    }
}
