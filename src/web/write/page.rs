//! The page of the form.

use super::fields::{ChapterView, Filling, SectionView};
use super::jump::{Jump, OnPage, card_field};
use super::review::ReviewView;
use super::thinned::thinned;
use super::weight::{Lightened, lightened};
use crate::app::draft_lines::standings;
use crate::app::draft_view::{DraftView, others};
use crate::app::see_case;
use crate::app::sign::label;
use crate::app::write_draft::{self, Base, Edit, Written};
use crate::app::{App, Person};
use crate::domain::fill::COURSE;
use crate::domain::people::access::Permission;
use crate::domain::prescription::course::{SectionPlace, place};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::sources::{AS_PATTERN, USUAL};
use crate::domain::prescription::usual::InUse;
use crate::domain::prescription::{Course, catalogue, field_spec};
use crate::domain::review::{AUDITS, Audit};
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::{AccountId, CaseNumber};
use crate::domain::values::measure::tenths;
use crate::web::drawing::Drawings;
use crate::web::error::WebError;
use crate::web::extract::{At, Query, SignedIn};
use crate::web::field::{FieldView, ValueFrom};
use crate::web::frame::{Frame, page};
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use std::collections::BTreeSet;

/// Two texts for one field, of which the office chooses one: what stands in the draft, and what somebody
/// else wrote meanwhile.
pub struct ConflictView {
    pub field: String,
    pub version: i64,
    pub label: String,
    pub stands: String,
    pub name: String,
    pub at: String,
    pub text: String,
}

/// What stands before all sections: whom it is for, and what kind of work it is.
pub struct TopView {
    pub patient: String,
    pub arches: &'static str,
    pub facts: Vec<(String, String)>,
    pub lab: String,
    /// The kind of work, as it is written.
    pub course: FieldView,
    /// The kinds to choose from with one press, where none is chosen and none follows from the stages.
    pub kinds: &'static [(&'static str, &'static str)],
    /// The kind that the form is laid out for, where it follows from the stages.
    pub follows: &'static str,
    /// The set of usual values that the draft goes by, where there is more than one to choose from.
    pub usual: Option<FieldView>,
    /// The switch, where the pattern answers sections of this kind of work.
    pub as_pattern: Option<FieldView>,
}

/// The form of a draft with everything beside it.
#[derive(Template)]
#[template(path = "write.html")]
pub struct WritePage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    /// Which state of which draft the page shows.
    pub base: String,
    pub top: TopView,
    pub chapters: Vec<ChapterView>,
    /// Sections that this kind of work has no need of.
    pub away: Vec<SectionView>,
    /// Whose page it is: what this tab has not saved yet is nobody else's.
    pub writer: AccountId,
    /// Whether a button of the form was answered with this page, so that its list of messages is read first.
    pub posted: bool,
    /// How many fields have a message.
    pub wrong: usize,
    /// The way to the first of them, its label with row, and the message, for the list on top.
    pub summary: Vec<(Jump, String, String)>,
    pub others: Option<String>,
    pub conflicts: Vec<ConflictView>,
    pub saved: String,
    /// Whether there is a draft that could be printed or given up.
    pub is_begun: bool,
    pub may_sign: bool,
    pub review: ReviewView,
    /// What published audits found, to compare the score with.
    pub audits: Vec<String>,
    /// Where they were asked for; else they come behind the page.
    pub drawings: Option<Drawings>,
    /// Whether the messages for signing are shown too.
    pub checked: bool,
}

/// What folds in each section, for the script that puts it into the page.
#[derive(Template)]
#[template(path = "write_folds.html")]
struct FoldsPage {
    sections: Vec<SectionView>,
    drawings: Drawings,
}

/// A section with nothing but what folds: where the page says which fields and lists it shows under its lines, the rest
/// of them folds, whatever is asked by now.
fn folded(section: SectionView, under: Option<&BTreeSet<&str>>) -> SectionView {
    let (mut fields, mut groups) = (section.fields, section.groups);
    if let Some(under) = under {
        fields.splice(0..0, section.asked);
        fields.retain(|field| !under.contains(field.key.as_str()));
        groups.splice(0..0, section.asked_groups);
        groups.retain(|group| !under.contains(group.key));
    }
    SectionView {
        asked: Vec::new(),
        asked_groups: Vec::new(),
        said: Vec::new(),
        fields,
        groups,
        ..section
    }
}

/// How the fields of a draft are filled for this reader; `more` and `is_whole` as of the page.
fn filling<'a>(
    person: &Person,
    written: &'a Written,
    view: &'a DraftView,
    fields: &'a Fields,
    (more, is_whole): (&'a str, bool),
) -> Filling<'a> {
    Filling {
        fields,
        from: &written.filled.from,
        course: written.course,
        draft: view,
        numbering: person.numbering(),
        more,
        is_whole,
    }
}

/// What folds, of the draft as it stands, for a page that was made earlier.
fn folds(app: &App, person: &Person, written: &Written, checked: bool, query: &Query) -> FoldsPage {
    let under = query.0.get("under");
    let under = under.map(|keys| keys.split(' ').collect::<BTreeSet<_>>());
    let view = DraftView::of_page(written, checked);
    let fields = written.shown();
    let filling = filling(person, written, &view, &fields, ("", true));
    let today = person.moment(app.outside.now_ms()).date();
    let sections = thinned(filling.chapters(&standings(written, &view, person), today));
    let Lightened { chapters, away, .. } = lightened(sections, &written.reviewed.findings);
    let shown = chapters.into_iter().flat_map(|chapter| chapter.sections);
    FoldsPage {
        sections: shown
            .chain(away)
            .map(|section| folded(section, under.as_ref()))
            .collect(),
        drawings: Drawings::of(&view.document),
    }
}

/// What a button asks for that opens the drawings, as others do a section.
pub const DRAWINGS: &str = "drawings";

/// The page; `checked`: messages for signing are shown too; `more`: the list that gets more rows, or the part that is
/// opened. What else folds is not in it, nor has to be: of what is not sent nothing is changed.
pub fn write_page(
    app: &App,
    person: &Person,
    written: &Written,
    checked: bool,
    more: &str,
) -> WritePage {
    let draft = &written.draft;
    let view = DraftView::of_page(written, checked);
    let fields = written.shown();
    let filling = filling(person, written, &view, &fields, (more, false));
    let changed = person.moment(draft.changed_ms);
    let states = standings(written, &view, person);
    let today = person.moment(app.outside.now_ms()).date();
    let sections = thinned(filling.chapters(&states, today));
    let Lightened {
        chapters,
        away,
        has_whys,
    } = lightened(sections, &written.reviewed.findings);
    let shown = chapters.iter().flat_map(|chapter| &chapter.sections);
    let on_page = OnPage::of(shown.chain(&away));
    let card = |key: &str| card_field(person, &written.about.patient, key);
    let review = ReviewView::new(&written.reviewed, &states, &on_page, &card);
    let review = review.with_whys(has_whys);
    let summary = summary(&view.faults, &on_page);
    WritePage {
        frame: Frame {
            warning: draft.damaged.then(|| DAMAGED.to_owned()),
            ..Frame::new(app, person, title(draft.based_on), "")
        },
        number: draft.case.to_string(),
        path_number: draft.case.as_str().to_owned(),
        base: Base::of(draft).to_string(),
        top: top(written, &filling),
        chapters,
        away,
        writer: person.account.id.clone(),
        posted: false,
        wrong: view.faults.len(),
        summary,
        others: others(written, person),
        conflicts: conflicts(written, person),
        saved: match Base::of(draft).is_begun() {
            true => format!("Saved {} by {}", changed.clock(), draft.changed_by),
            false => "Unchanged".to_owned(),
        },
        is_begun: Base::of(draft).is_begun(),
        may_sign: person.may(Permission::Sign),
        review: review.with_too_long(&draft.fields, &written.too_long),
        audits: audits(),
        drawings: (more == DRAWINGS).then(|| Drawings::of(&view.document)),
        checked,
    }
}

fn top(written: &Written, filling: &Filling<'_>) -> TopView {
    let about = &written.about;
    let spec = field_spec(COURSE);
    let course = spec.map(|spec| filling.filled(spec, None).hint(next_kind(written)));
    let course = course.unwrap_or_else(|| FieldView::text(COURSE, ""));
    let is_open = course.value.is_empty();
    let sections = catalogue().iter();
    let answered =
        sections.filter(|one| place(written.course, one.key) == SectionPlace::AsThePattern);
    let answer = [
        ("yes", "yes, unless said otherwise below"),
        ("no", "no, ask all of it"),
    ];
    let answer = answer.map(|(word, shown)| (word.to_owned(), shown.to_owned()));
    let switch = || {
        let mut field = FieldView::choice(AS_PATTERN, "As the pattern", answer);
        field = field.filled(filling.fields, &[]);
        let from = written.filled.from.get(AS_PATTERN);
        field.from = from.copied().map(ValueFrom::Draft);
        field
    };
    TopView {
        patient: about.patient.to_string(),
        arches: about.arches.shown(),
        facts: about.facts.clone(),
        lab: about.lab.clone(),
        kinds: match is_open && written.course == Course::Everything {
            true => Course::CHOICES,
            false => &[],
        },
        follows: match is_open && written.course != Course::Everything {
            true => written.course.shown(),
            false => "",
        },
        usual: usual_field(written, filling),
        as_pattern: (answered.count() > 0).then(switch),
        course,
    }
}

/// Said below the kind of work where it is another one than what is signed, or the next round of it.
fn next_kind(written: &Written) -> &'static str {
    match written.signed {
        Some(signed) if ![signed, Course::Everything].contains(&written.course) => {
            "Another kind than the one that is signed: its parcel, days, readings, bite and answers are asked again; \
             the rest stands."
        }
        Some(signed) if signed == written.course && written.is_next_round => {
            "What was signed is done and back: changes, answers, readings, parcel and days are asked again; the rest \
             stands."
        }
        _ => "",
    }
}

/// The choice of a set, where there is one: of those in force for this kind of work, and of the version that the draft
/// was begun with.
fn usual_field(written: &Written, filling: &Filling<'_>) -> Option<FieldView> {
    let named = written.shown().remove(USUAL).unwrap_or_default();
    let fitting = |one: &&InUse| one.set.is_for(written.course);
    let offered = |one: &&InUse| one.is_newest || one.mark() == named;
    let sets = written.usual_sets.iter().filter(fitting).filter(offered);
    let words = |one: &InUse| match one.is_newest {
        true => one.set.name.clone(),
        false => format!(
            "{}, version {}, as this draft was begun",
            one.set.name, one.version
        ),
    };
    let choices: Vec<_> = sets.clone().map(|one| (one.mark(), words(one))).collect();
    let has_changed = sets.clone().any(|one| !one.is_newest);
    let is_off = named.trim().is_empty() && written.draft.fields.contains_key(USUAL);
    let is_without = named == InUse::without(written.course) && !choices.is_empty();
    if choices.len() < 2 && !has_changed && !is_off && !is_without {
        return None;
    }
    let hint = match (has_changed, is_without) {
        (true, _) => {
            "This set has changed since the draft was begun: the draft keeps what it showed until you choose the set again."
        }
        (_, true) => {
            "This draft was begun without usual values. It takes none until you choose a set."
        }
        _ => "",
    };
    let field = FieldView::choice(USUAL, "Usual values", choices).hint(hint);
    let mut field = field.filled(filling.fields, &[]);
    let from = written.filled.from.get(USUAL);
    field.from = from.copied().map(ValueFrom::Draft);
    Some(field)
}

/// Said above a draft whose row cannot be read as it was written.
const DAMAGED: &str = "This draft is damaged where it is stored. What could be read stands below: go through every \
    field before anything is signed. The next text that you save stores it whole again. Tell your administrator.";

fn title(based_on: i64) -> String {
    match based_on {
        0 => "Write the prescription".to_owned(),
        number => format!("Write revision {}", number + 1),
    }
}

fn audits() -> Vec<String> {
    let sentence = |audit: &Audit| {
        let percent = tenths(audit.percent);
        format!("{percent} % {} ({}).", audit.found, audit.source)
    };
    AUDITS.iter().map(sentence).collect()
}

/// Messages that the list on top names: more of them nobody reads, and each stands beside its field too.
const MOST_NAMED: usize = 12;

fn summary(faults: &[Fault], page: &OnPage<'_>) -> Vec<(Jump, String, String)> {
    let named = |fault: &Fault| {
        let jump = Jump::to(&fault.key, page);
        (jump, label(&fault.key), fault.message.clone())
    };
    faults.iter().take(MOST_NAMED).map(named).collect()
}

fn conflicts(written: &Written, person: &Person) -> Vec<ConflictView> {
    let or_empty = |text: &str| match text {
        "" => "(empty)".to_owned(),
        text => text.to_owned(),
    };
    let standing = |field: &str| written.draft.fields.get(field).map_or("", String::as_str);
    let view = |edit: &Edit| ConflictView {
        field: edit.field.clone(),
        version: edit.version,
        label: label(&edit.field),
        stands: or_empty(standing(&edit.field)),
        name: edit.name.clone(),
        at: person.moment(edit.at_ms).in_words(),
        text: or_empty(&edit.text),
    };
    written.conflicts.iter().map(view).collect()
}

/// The part or list that is opened: by a press, or by a link from elsewhere.
fn opened(query: &Query) -> &str {
    match query.text("more") {
        "" => query.text("at"),
        more => more,
    }
}

/// Answers with the form. Looking begins no draft.
pub async fn form(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    At(number): At<CaseNumber>,
    query: Query,
) -> Result<Response, WebError> {
    let seen = see_case::see(&app, &person, &number).await?;
    let written = write_draft::open_seen(&app, &person, &seen).await?;
    let checked = query.text("look") == "yes";
    if query.text("folds") == "yes" {
        return page(&folds(&app, &person, &written, checked, &query));
    }
    let mut view = write_page(&app, &person, &written, checked, opened(&query));
    view.frame = view.frame.about(&app, &person, &seen.work)?;
    view.may_sign &= !view.frame.is_doubted;
    view.frame = view.frame.done(query.text("done"));
    page(&view)
}
