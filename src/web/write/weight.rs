//! What a page of the form weighs: no more than is read at once over a slow line, whatever a draft holds.
//!
//! Where a draft with many rows, notes and findings would make a larger page, its largest lists fold as most of the form
//! does: they come behind the page, or with a press, and of what a form does not send nothing is changed.

use super::fields::{ChapterView, SectionView};
use super::rows::{GroupView, RowView};
use super::thinned::without_more;
use crate::domain::review::Finding;
use crate::web::field::{FieldView, InputKind};

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
/// What stands in place of a list that is left out, without its words.
const LEFT_OUT: usize = 120;
/// One choice, and one thing that is said of a field, without their words.
const CHOICE: usize = 18;
const SAID: usize = 60;

/// The sections as the page has them, and whether the review has room to say why each thing matters.
pub struct Lightened {
    pub chapters: Vec<ChapterView>,
    pub away: Vec<SectionView>,
    pub has_whys: bool,
}

/// The sections as the page has them. Where folding the lists is not enough, an opened part leaves out those of its lists
/// that nobody asked for, then the review leaves out why each thing matters, and then fields fold under the closed lines.
pub fn lightened(
    (mut chapters, mut away): (Vec<ChapterView>, Vec<SectionView>),
    findings: &[Finding],
) -> Lightened {
    let shown = chapters
        .iter_mut()
        .flat_map(|chapter| &mut chapter.sections);
    let mut sections: Vec<&mut SectionView> = shown.chain(&mut away).collect();
    let beside = FRAME + findings.iter().map(of_finding).sum::<usize>();
    let whys: usize = findings.iter().map(of_why).sum();
    if beside + whys + of_all(&sections) > MOST {
        let lists = sections.iter_mut().flat_map(|one| &mut one.asked_groups);
        lists.for_each(without_more);
    }
    // With nothing opened there is no lighter page on which they could stand instead.
    let is_opened = sections.iter().any(|section| section.is_open);
    let mut has_whys = true;
    while beside + usize::from(has_whys) * whys + of_all(&sections) > MOST {
        if fold_largest(&mut sections) || leave_out_largest(&mut sections) {
            continue;
        }
        if is_opened && has_whys {
            has_whys = false;
            continue;
        }
        if !(fold_fields(&mut sections, is_note) || fold_fields(&mut sections, |_| true)) {
            break;
        }
    }
    Lightened {
        chapters,
        away,
        has_whys,
    }
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
    let (title, what) = (list.title, to_mend(&list));
    let words = format!("“{title}” is in this part{what}: open it.");
    section.said.push(words);
    section.groups.insert(0, list);
    true
}

/// Leaves out the largest list of an opened part, one with nothing wrong in it before all others, but never the one that was
/// asked for: a press brings it. Whether there was one.
fn leave_out_largest(sections: &mut [&mut SectionView]) -> bool {
    let opened = sections.iter_mut().filter(|section| section.is_open);
    for section in opened {
        let others = section.lists_there().filter(|list| !list.is_growing);
        let Some(list) = others.max_by_key(|list| (is_quiet(list), of_list(list))) else {
            continue;
        };
        let (key, title, what) = (list.key, list.title, to_mend(list));
        let words = format!("“{title}” would make this page too large{what}.");
        section.left_out.push((key, words));
        section.asked_groups.retain(|list| list.key != key);
        section.groups.retain(|list| list.key != key);
        return true;
    }
    false
}

/// What is said of a list that is not there and has a message.
fn to_mend(list: &GroupView) -> &'static str {
    match is_quiet(list) {
        true => "",
        false => ", and something in it is to be mended",
    }
}

/// Folds these fields of the closed section under whose line most of them stand, and says so there; whether there was one.
fn fold_fields(sections: &mut [&mut SectionView], which: fn(&FieldView) -> bool) -> bool {
    let closed = sections.iter_mut().filter(|section| !section.is_open);
    let weighed = closed.map(|section| (of_those(section, which), section));
    let Some((weight, section)) = weighed.max_by_key(|(weight, _)| *weight) else {
        return false;
    };
    if weight == 0 {
        return false;
    }
    let asked = std::mem::take(&mut section.asked).into_iter();
    let (folded, asked): (Vec<_>, Vec<_>) = asked.partition(which);
    let words = match folded.iter().all(|field| field.messages.is_empty()) {
        true => "More fields are in this part: open it.",
        false => "More fields are in this part, and something in them is to be mended: open it.",
    };
    if !section.said.iter().any(|said| said == words) {
        section.said.push(words.to_owned());
    }
    section.asked = asked;
    section.fields.splice(0..0, folded);
    true
}

fn of_those(section: &SectionView, which: fn(&FieldView) -> bool) -> usize {
    let those = section.asked.iter().filter(|field| which(field));
    those.map(of_field).sum()
}

/// Whether a field is a text with nothing wrong in it that neither calls for another nor waits for one.
fn is_note(field: &FieldView) -> bool {
    let hangs = ["calls-", "later-"];
    field.input == InputKind::Long
        && field.messages.is_empty()
        && !hangs.iter().any(|class| field.classes.contains(class))
}

/// Whether no message stands in a list.
fn is_quiet(list: &GroupView) -> bool {
    let rows = list.rows.iter().chain(&list.spare);
    let mut fields = rows.flat_map(|row| row.fields());
    list.messages.is_empty() && fields.all(|field| field.messages.is_empty())
}

fn of_finding(finding: &Finding) -> usize {
    FINDING + finding.sentence.len()
}

fn of_why(finding: &Finding) -> usize {
    finding.why.len() + finding.source.len()
}

fn of_section(section: &SectionView) -> usize {
    let said: usize = section.said.iter().map(|words| SAID + words.len()).sum();
    let left_out = section.left_out.iter();
    let left_out = left_out.map(|(key, words)| LEFT_OUT + 2 * key.len() + words.len());
    SECTION
        + section.line.sentence.len()
        + said
        + left_out.sum::<usize>()
        + section.fields_there().map(of_field).sum::<usize>()
        + section.lists_there().map(of_list).sum::<usize>()
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::draft_lines::LineMark;
    use crate::domain::review::Level;
    use crate::web::write::fields::NumbersPart;
    use crate::web::write::lines::LinePart;

    fn section(key: &'static str, is_open: bool) -> SectionView {
        SectionView {
            key,
            title: "Part",
            intro: "",
            cautions: &[],
            line: LinePart {
                key,
                name: "Part",
                mark: LineMark::Open,
                sentence: String::new(),
                sources: String::new(),
            },
            is_open,
            is_whole: false,
            asked: Vec::new(),
            asked_groups: Vec::new(),
            said: Vec::new(),
            fields: Vec::new(),
            groups: Vec::new(),
            left_out: Vec::new(),
            numbers: NumbersPart {
                numbers: Vec::new(),
            },
        }
    }

    fn list(key: &'static str, is_growing: bool, bytes: usize) -> GroupView {
        GroupView {
            key,
            title: "List",
            intro: "",
            messages: Vec::new(),
            said: vec!["x".repeat(bytes)],
            heads: Vec::new(),
            chart: None,
            rows: Vec::new(),
            spare: Vec::new(),
            is_growing,
        }
    }

    fn field(key: &str, input: InputKind, bytes: usize) -> FieldView {
        let mut field = FieldView::new(input, key, "Label");
        field.value = "x".repeat(bytes);
        field
    }

    fn finding(bytes: usize) -> Finding {
        Finding {
            id: "much-to-say",
            level: Level::Caution,
            key: "shade.tab".to_owned(),
            sentence: "Something is to be answered.".to_owned(),
            why: "It matters.",
            source: "x".repeat(bytes).into(),
            encloses: None,
        }
    }

    fn lightened_of(sections: Vec<SectionView>, findings: &[Finding]) -> Lightened {
        let title = "Chapter";
        let chapters = vec![ChapterView { title, sections }];
        lightened((chapters, Vec::new()), findings)
    }

    #[test]
    fn an_opened_part_leaves_out_its_lists_but_for_the_one_that_is_asked_for() {
        for (bytes, stay, left) in [
            (20_000, vec!["returns", "enclosed"], vec![]),
            (60_000, vec!["enclosed"], vec!["returns"]),
        ] {
            let mut opened = section("enclosures", true);
            opened.groups = vec![list("returns", false, bytes), list("enclosed", true, bytes)];
            let found = lightened_of(vec![opened], &[]);
            let shown = &found.chapters[0].sections[0];
            let keys: Vec<&str> = shown.groups.iter().map(|list| list.key).collect();
            assert_eq!(keys, stay);
            let keys: Vec<&str> = shown.left_out.iter().map(|(key, _)| *key).collect();
            assert_eq!(keys, left);
            assert!(found.has_whys);
        }
    }

    #[test]
    fn then_the_review_leaves_out_why_and_then_notes_fold() {
        for (note, has_note) in [(1_000, true), (20_000, false)] {
            let mut opened = section("enclosures", true);
            opened.groups = vec![list("enclosed", true, 80_000)];
            let mut closed = section("shade", false);
            closed.asked = vec![
                field("shade.tab", InputKind::Choice, 10),
                field("shade.note", InputKind::Long, note),
            ];
            let found = lightened_of(vec![opened, closed], &[finding(10_000)]);
            assert!(!found.has_whys);
            let closed = &found.chapters[0].sections[1];
            assert_eq!(closed.asked[0].key, "shade.tab");
            assert_eq!(closed.asked.len() == 2, has_note);
            assert_eq!(closed.fields.is_empty(), has_note);
            assert_eq!(closed.said.is_empty(), has_note);
        }
    }

    #[test]
    fn with_nothing_opened_fields_fold_and_the_review_says_why() {
        let mut closed = section("shade", false);
        closed.asked = vec![
            field("shade.tab", InputKind::Choice, 60_000),
            field("shade.guide", InputKind::Text, 60_000),
        ];
        let found = lightened_of(vec![closed], &[finding(1_000)]);
        assert!(found.has_whys);
        let closed = &found.chapters[0].sections[0];
        assert!(closed.asked.is_empty());
        assert_eq!((closed.fields.len(), closed.said.len()), (2, 1));
    }
}
