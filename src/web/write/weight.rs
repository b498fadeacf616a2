//! What a page of the form weighs: no more than is read at once over a slow line, whatever a draft holds.
//!
//! Where a draft with many rows, notes and findings would make a larger page, its largest lists fold as most of the form
//! does: they come behind the page, or with a press, and of what a form does not send nothing is changed.

use super::fields::{ChapterView, SectionView};
use super::rows::{GroupView, RowView};
use super::thinned::without_more;
use crate::domain::review::Finding;
use crate::web::field::FieldView;

/// Bytes of a page as they are reckoned here, to some two per cent: a page has no more than 100 KB.
const MOST: usize = 99_000;
/// Frame, head, foot, and what is asked beside the form.
const FRAME: usize = 14_500;
/// A section without its words, a finding without its, a row, a list, the arches to be touched, and a field.
const SECTION: usize = 420;
const FINDING: usize = 560;
const ROW: usize = 320;
const LIST: usize = 520;
const CHART: usize = 7_000;
const FIELD: usize = 100;
/// One choice, and one thing that is said of a field, without their words.
const CHOICE: usize = 18;
const SAID: usize = 60;

/// The sections as the page has them.
pub fn lightened(
    (mut chapters, mut away): (Vec<ChapterView>, Vec<SectionView>),
    findings: &[Finding],
) -> (Vec<ChapterView>, Vec<SectionView>) {
    let shown = chapters
        .iter_mut()
        .flat_map(|chapter| &mut chapter.sections);
    let mut sections: Vec<&mut SectionView> = shown.chain(&mut away).collect();
    let beside = FRAME + findings.iter().map(of_finding).sum::<usize>();
    if beside + of_all(&sections) > MOST {
        let lists = sections.iter_mut().flat_map(|one| &mut one.asked_groups);
        lists.for_each(without_more);
    }
    while beside + of_all(&sections) > MOST && fold_largest(&mut sections) {}
    (chapters, away)
}

fn of_all(sections: &[&mut SectionView]) -> usize {
    let all = sections.iter().map(|section| of_section(section));
    all.sum()
}

/// Folds the largest list that stands under the line of a closed section, one with nothing wrong in it before all others,
/// and says so there; whether there was one.
fn fold_largest(sections: &mut [&mut SectionView]) -> bool {
    let closed = sections.iter().filter(|section| !section.is_open);
    let lists = closed.flat_map(|section| {
        let lists = section.asked_groups.iter().enumerate();
        let weighed: Vec<_> = lists
            .map(|(at, list)| ((is_quiet(list), of_list(list)), at))
            .collect();
        weighed
            .into_iter()
            .map(move |(weight, at)| (weight, at, section.key))
    });
    let Some((_, at, key)) = lists.max_by_key(|(weight, ..)| *weight) else {
        return false;
    };
    let Some(section) = sections.iter_mut().find(|section| section.key == key) else {
        return false;
    };
    let list = section.asked_groups.remove(at);
    let what = match is_quiet(&list) {
        true => "",
        false => ", and something in it is to be mended",
    };
    let words = format!("“{}” is in this part{what}: open it.", list.title);
    section.said.push(words);
    section.groups.insert(0, list);
    true
}

/// Whether no message stands in a list.
fn is_quiet(list: &GroupView) -> bool {
    let rows = list.rows.iter().chain(&list.spare);
    let mut fields = rows.flat_map(|row| row.fields());
    list.messages.is_empty() && fields.all(|field| field.messages.is_empty())
}

fn of_finding(finding: &Finding) -> usize {
    FINDING + finding.sentence.len() + finding.why.len() + finding.source.len()
}

fn of_section(section: &SectionView) -> usize {
    let said: usize = section.said.iter().map(|words| SAID + words.len()).sum();
    // What folds in a closed one is not in the page, whoever asks for it.
    let fields = section.fields.iter().filter(|_| section.is_open);
    let lists = section.groups.iter().filter(|_| section.is_open);
    SECTION
        + section.line.sentence.len()
        + said
        + section
            .asked
            .iter()
            .chain(fields)
            .map(of_field)
            .sum::<usize>()
        + section
            .asked_groups
            .iter()
            .chain(lists)
            .map(of_list)
            .sum::<usize>()
}

fn of_list(list: &GroupView) -> usize {
    let said = list.said.iter().chain(&list.messages);
    let rows = list.rows.iter().chain(&list.spare);
    let chart = if list.chart.is_some() { CHART } else { 0 };
    LIST + chart
        + list.intro.len()
        + said.map(|words| SAID + words.len()).sum::<usize>()
        + rows.map(of_row).sum::<usize>()
}

fn of_row(row: &RowView) -> usize {
    ROW + row.fact.len() + row.fields().map(of_field).sum::<usize>()
}

fn of_field(field: &FieldView) -> usize {
    let key = field.key.len();
    let choices = field.choices.iter();
    let choices = choices.map(|one| CHOICE + one.word.len() + one.shown.len());
    let offered = field.suggestions.iter().map(|text| CHOICE + text.len());
    let said = field.messages.iter().chain(&field.warnings);
    let said: usize = said.map(|words| SAID + words.len()).sum();
    // What is there alone of these has its own frame, and its id is named twice.
    let framed = |length: usize| match length {
        0 => 0,
        length => SAID + 2 * key + length,
    };
    let beside = field.unit.len() + field.from.map_or(0, |from| from.shown().len());
    FIELD
        + 3 * key
        + field.label.len()
        + field.value.len()
        + framed(field.hint.len())
        + framed(said)
        + if beside > 0 { SAID + beside } else { 0 }
        + choices.chain(offered).sum::<usize>()
}
