//! A part in which all that is asked is written, and of which nothing is said, folds to its sentence: a draft that is opened
//! again is read by its lines. What stands under a line while one writes stays there until the page is made again.

use super::fields::{ChapterView, SectionView};
use super::rows::{GroupView, RowView};
use crate::app::draft_lines::LineMark;
use crate::web::field::FieldView;

/// The sections as the page has them.
pub fn settled(
    (mut chapters, mut away): (Vec<ChapterView>, Vec<SectionView>),
) -> (Vec<ChapterView>, Vec<SectionView>) {
    let shown = chapters
        .iter_mut()
        .flat_map(|chapter| &mut chapter.sections);
    let all = shown.chain(&mut away);
    all.filter(|section| is_settled(section)).for_each(fold);
    (chapters, away)
}

fn is_settled(section: &SectionView) -> bool {
    section.line.mark == LineMark::Done && section.said.is_empty() && !section.is_open
}

/// Moves what is written into the part. What may be left empty, and is, still stands under the line.
fn fold(section: &mut SectionView) {
    let asked = std::mem::take(&mut section.asked).into_iter();
    let (written, asked): (Vec<_>, Vec<_>) = asked.partition(is_written);
    section.asked = asked;
    section.fields.splice(0..0, written);
    let groups = std::mem::take(&mut section.asked_groups).into_iter();
    let (written, asked): (Vec<_>, Vec<_>) = groups.partition(is_list_written);
    section.asked_groups = asked;
    section.groups.splice(0..0, written);
}

/// Whether somebody has written it, and nothing is said of it.
fn is_written(field: &FieldView) -> bool {
    is_quiet(field) && field.from.is_none() && !field.value.is_empty()
}

fn is_quiet(field: &FieldView) -> bool {
    field.messages.is_empty() && field.warnings.is_empty()
}

/// Whether somebody has written what is asked of its rows. What filled itself by half stays asked, whatever it says.
fn is_list_written(group: &GroupView) -> bool {
    let asked = || {
        let fields = group.rows.iter().flat_map(RowView::fields);
        fields.filter(|field| field.is_asked)
    };
    let says_nothing = group.messages.is_empty() && group.said.is_empty();
    let mut fields = group.rows.iter().flat_map(RowView::fields);
    says_nothing
        && fields.all(is_quiet)
        && asked().any(is_written)
        && asked().all(|field| field.from.is_none())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::sources::Origin;
    use crate::web::field::{InputKind, ValueFrom};
    use crate::web::write::fields::NumbersPart;
    use crate::web::write::lines::LinePart;
    use crate::web::write::rows::RowCell;

    fn asked(key: &str, value: &str) -> FieldView {
        let mut field = FieldView::new(InputKind::Text, key, "Label");
        value.clone_into(&mut field.value);
        field.is_asked = true;
        field
    }

    fn list(key: &'static str, fields: Vec<FieldView>) -> GroupView {
        let cells = fields.into_iter().map(Box::new).map(RowCell::Box);
        let row = RowView {
            number: 1,
            title: "List, row 1".to_owned(),
            fact: String::new(),
            fact_of: String::new(),
            cells: cells.collect(),
            more: Vec::new(),
            is_open: false,
        };
        GroupView {
            key,
            title: "List",
            intro: "",
            messages: Vec::new(),
            said: Vec::new(),
            heads: Vec::new(),
            chart: None,
            rows: vec![row],
            spare: Vec::new(),
            is_growing: false,
        }
    }

    /// A part with a shade, a note, readings and changes, of which the mark says that it is so.
    fn section(mark: LineMark) -> SectionView {
        let mut warned = asked("shade.tab", "birch 4");
        warned.warnings.push("Is that meant?".to_owned());
        let mut half = asked("changes.0.direction", "up");
        half.from = Some(ValueFrom::Draft(Origin::Record));
        SectionView {
            key: "shade",
            title: "Part",
            intro: "",
            cautions: &[],
            line: LinePart {
                key: "shade",
                name: "Part",
                mark,
                sentence: String::new(),
                sources: String::new(),
            },
            is_open: false,
            is_whole: false,
            asked: vec![
                asked("shade.guide", "Hillside"),
                warned,
                asked("shade.note", ""),
            ],
            asked_groups: vec![
                list("readings", vec![asked("readings.0.rest_mm", "66")]),
                list("reliefs", vec![asked("reliefs.0.place", "")]),
                list("changes", vec![half, asked("changes.0.mm", "1")]),
            ],
            said: Vec::new(),
            fields: vec![FieldView::new(InputKind::Text, "shade.light", "Light")],
            groups: Vec::new(),
            left_out: Vec::new(),
            numbers: NumbersPart {
                numbers: Vec::new(),
            },
        }
    }

    fn keys(section: &SectionView) -> (Vec<&str>, Vec<&str>) {
        let fields = section.asked.iter().map(|field| field.key.as_str());
        let lists = section.asked_groups.iter().map(|list| list.key);
        (fields.collect(), lists.collect())
    }

    fn settled_one(section: SectionView) -> SectionView {
        let sections = vec![section];
        let title = "Chapter";
        let (mut chapters, _) = settled((vec![ChapterView { title, sections }], Vec::new()));
        chapters.remove(0).sections.remove(0)
    }

    #[test]
    fn what_is_written_in_a_part_that_is_whole_folds_and_the_rest_stays() {
        let section = settled_one(section(LineMark::Done));
        let stays = (vec!["shade.tab", "shade.note"], vec!["reliefs", "changes"]);
        assert_eq!(keys(&section), stays);
        let folded: Vec<&str> = section.fields.iter().map(|one| one.key.as_str()).collect();
        assert_eq!(folded, ["shade.guide", "shade.light"]);
        let folded: Vec<&str> = section.groups.iter().map(|list| list.key).collect();
        assert_eq!(folded, ["readings"]);
    }

    #[test]
    fn a_part_that_lacks_something_or_of_which_something_is_said_stays_as_it_is() {
        let all = keys(&section(LineMark::Done)).0.len();
        let mut parts: Vec<SectionView> = [
            LineMark::Stop,
            LineMark::Caution,
            LineMark::Asked,
            LineMark::Open,
        ]
        .map(section)
        .into();
        let mut opened = section(LineMark::Done);
        opened.is_open = true;
        let mut spoken = section(LineMark::Done);
        spoken.said.push("Something is to be answered.".to_owned());
        parts.extend([opened, spoken]);
        for part in parts {
            let part = settled_one(part);
            assert_eq!(part.asked.len(), all, "{:?}", part.line.mark);
            assert_eq!(part.asked_groups.len(), 3, "{:?}", part.line.mark);
        }
    }
}
