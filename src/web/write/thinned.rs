//! A draft in which most fields are wrong is a page as small as another: what nothing asks for stands under its line for
//! the first messages, and for the others in the part itself, which comes behind the page or with a press.

use super::fields::{ChapterView, SectionView};
use super::rows::{GroupView, RowView};
use super::settled::settled;
use crate::domain::values::words::counted;
use crate::web::field::FieldView;

/// Fields that stand under their lines for their message alone.
const MOST: usize = 12;

/// The sections as the page has them, what is written whole folded before.
pub fn thinned(
    sections: (Vec<ChapterView>, Vec<SectionView>),
) -> (Vec<ChapterView>, Vec<SectionView>) {
    let (mut chapters, mut away) = settled(sections);
    let mut left = MOST;
    let shown = chapters
        .iter_mut()
        .flat_map(|chapter| &mut chapter.sections);
    let mut sections: Vec<&mut SectionView> = shown.chain(&mut away).collect();
    let mut is_thinned = false;
    for section in &mut sections {
        is_thinned |= thin(section, &mut left);
    }
    let lists = sections.iter_mut().flat_map(|one| &mut one.asked_groups);
    lists.filter(|_| is_thinned).for_each(without_more);
    (chapters, away)
}

/// Takes out of a list what helps to write more of it: there is enough to be mended. It grows by a press as before.
pub(super) fn without_more(group: &mut GroupView) {
    group.chart = None;
    if !group.is_growing {
        group.spare.clear();
    }
}

/// Moves what is beyond the room left into the part, and says so under its line; whether anything was.
fn thin(section: &mut SectionView, left: &mut usize) -> bool {
    let mut waiting = 0;
    let mut stays = |count: usize| {
        let has_room = count <= *left;
        match has_room {
            true => *left -= count,
            false => waiting += count,
        }
        has_room
    };
    let asked = std::mem::take(&mut section.asked).into_iter();
    let (asked, moved): (Vec<_>, Vec<_>) =
        asked.partition(|field| !is_for_message(field) || stays(1));
    section.asked = asked;
    section.fields.splice(0..0, moved);
    let groups = std::mem::take(&mut section.asked_groups).into_iter();
    let (asked, moved): (Vec<_>, Vec<_>) = groups.partition(|group| match for_messages(group) {
        0 => true,
        count => stays(count),
    });
    section.asked_groups = asked;
    section.groups.splice(0..0, moved);
    if waiting > 0 && !section.is_open {
        let fields = counted(waiting, "more field");
        let words = format!("{fields} to look at in this part: open it.");
        section.said.push(words);
    }
    waiting > 0
}

/// Whether a field is under the line for its message alone.
fn is_for_message(field: &FieldView) -> bool {
    !field.is_asked && !field.messages.is_empty()
}

/// How many messages a list is under the line for; 0 where something of it is asked, or the review or the list as a whole
/// has something to say.
fn for_messages(group: &GroupView) -> usize {
    let fields = || group.rows.iter().flat_map(RowView::fields);
    let speaks = !(group.messages.is_empty() && group.said.is_empty());
    if speaks || fields().any(|field| field.is_asked) {
        return 0;
    }
    fields().filter(|field| !field.messages.is_empty()).count()
}
