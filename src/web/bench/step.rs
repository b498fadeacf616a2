//! The form of one step: what is prescribed beside room for what is measured, materials and lots, and the rest.

use super::arches::arch_field;
use super::input::BenchInput;
use super::timers::{StartView, start_view};
use crate::app::bench::{LastLot, against_arch, newest_of};
use crate::app::case_work::CaseWork;
use crate::domain::custody::bench::{
    BenchMeasure, BenchStep, Instruction, ResetBy, measures_of, prescribed,
};
use crate::domain::custody::fit::FitValue;
use crate::domain::custody::forms::{AgainForm, MeasuredForm, StepForm, UsedForm, WorkForm};
use crate::domain::form::Form;
use crate::domain::law::retention;
use crate::domain::prescription::revision::{Document, Revision};
use crate::domain::values::arch::{Arch, Arches};
use crate::domain::values::moment::{day_in_words, whole_day};
use crate::web::entry::{Folded, from_paper};
use crate::web::field::{FieldView, fill};
use crate::web::personal_data_check;
use crate::web::questions::choose_pictures;
use crate::web::tried::Tried;
use time::Date;

/// Something that is measured.
pub struct MeasureRow {
    pub measure: BenchMeasure,
    pub label: &'static str,
    /// What the prescription says of it, large; none where it says nothing.
    pub prescribed: Option<String>,
    /// Said where the prescription has no field for it.
    pub by_sheet: bool,
    /// Whether it is measured in this kind of work.
    pub is_usual: bool,
    pub field: FieldView,
}

/// What is asked of the cast before it is flasked.
pub struct PhotoView {
    /// When it was photographed; empty where it was not since the last set-up.
    pub taken: String,
    /// Why it goes into the flask without a picture; none where there is one.
    pub why: Option<FieldView>,
}

/// A lot that can be taken again by one tap.
pub struct LotRow {
    pub key: String,
    pub words: String,
    pub material: String,
    pub when: String,
    pub ticked: bool,
}

/// One step with its form.
pub struct StepView {
    pub step: BenchStep,
    pub title: &'static str,
    /// Whether it comes back with what was sent.
    pub is_sent: bool,
    pub caution: &'static str,
    /// "upper"; empty where both arches are done together.
    pub arches: String,
    pub revision: i64,
    /// The newest entry of the step.
    pub shown: String,
    pub arch: FieldView,
    /// The ticks for an arch that lacks something or is done, for what goes before it, for a timer that still runs, and for
    /// what is not as prescribed; none where nothing asks.
    pub anyway: Vec<FieldView>,
    /// What the prescription says of it beside its numbers.
    pub told: Vec<Instruction>,
    pub measures: Vec<MeasureRow>,
    /// What nobody prescribed, where something is; and second and third readings.
    pub unprescribed: Folded,
    pub repeated: Folded,
    /// On what the casts were mounted.
    pub mounting: Vec<FieldView>,
    /// What only the arch has that is not proposed.
    pub other_measures: Folded,
    /// Asked of flasking only.
    pub photo: Option<PhotoView>,
    /// Until when matrix and casts are kept; asked when the work is finished.
    pub keeping: Option<FieldView>,
    pub start: Option<StartView>,
    pub lots: Vec<LotRow>,
    pub used: Vec<FieldView>,
    pub more_used: Folded,
    /// Why something goes in that the patient is to be kept from; none where nothing was found.
    pub avoided: Option<FieldView>,
    pub more: Folded,
    pub late: Folded,
}

/// What is measured at work on these arches, and what only the others have.
fn measure_rows(
    (work, document): (&CaseWork, &Document),
    step: BenchStep,
    (arches, tried): (&[Arch], &Tried),
) -> (Vec<MeasureRow>, Vec<FieldView>) {
    let measures: Vec<BenchMeasure> = measures_of(step).collect();
    let said = prescribed(&document.prescription, document.numbering, &measures);
    let (own, others): (Vec<_>, Vec<_>) = said
        .into_iter()
        .partition(|(measure, _)| measure.is_of(arches));
    let row = |(measure, prescribed): (BenchMeasure, Option<String>)| {
        let under = format!("m.{}.", measure.word());
        let label = format!("{}, measured", measure.shown());
        let field = FieldView::under(MeasuredForm::measured(), &under);
        MeasureRow {
            measure,
            label: measure.shown(),
            prescribed,
            by_sheet: measure.field().is_empty(),
            is_usual: work.is_measured(measure, (step, arches)),
            field: field
                .label(&label)
                .unit(measure.unit())
                .filled(&tried.typed, &tried.faults),
        }
    };
    let others = others.into_iter().map(row).map(|row| row.field).collect();
    let mut rows: Vec<MeasureRow> = own.into_iter().map(row).collect();
    // What nobody has prescribed comes last, and what no field could prescribe stays in its place.
    rows.sort_by_key(|row| row.prescribed.is_none() && !row.by_sheet);
    (rows, others)
}

/// Takes out what nobody prescribed, where anything is prescribed or the kind of work has nothing of it: it is measured
/// seldom, and makes a page long.
fn unprescribed_of(rows: &mut Vec<MeasureRow>) -> Vec<FieldView> {
    let is_prescribed = |row: &MeasureRow| row.prescribed.is_some() || row.by_sheet;
    let any_is = rows.iter().any(is_prescribed);
    let stays = |row: &MeasureRow| is_prescribed(row) || !any_is && row.is_usual;
    let (with_values, rest) = std::mem::take(rows).into_iter().partition(stays);
    *rows = with_values;
    let rest: Vec<MeasureRow> = rest;
    rest.into_iter().map(|row| row.field).collect()
}

/// Room for a second and a third reading of what is checked when the work comes back.
fn repeated_fields(rows: &[MeasureRow], tried: &Tried) -> Vec<FieldView> {
    let is_checked = |row: &&MeasureRow| {
        let mut values = FitValue::ALL.iter();
        values.any(|value| value.bench() == Some(row.measure))
    };
    let again = [
        MeasuredForm::measured_again(),
        MeasuredForm::measured_third(),
    ];
    let fields = rows.iter().filter(is_checked).flat_map(|row| {
        again.map(|spec| {
            let field = FieldView::under(spec, &format!("m.{}.", row.measure.word()));
            let label = format!("{}, {}", row.label, spec.label.to_lowercase());
            field.label(&label).unit(row.measure.unit())
        })
    });
    fill(fields.collect(), &tried.typed, &tried.faults)
}

/// What the casts were mounted on, each with what was prescribed.
fn mounting_fields(work: &CaseWork, step: BenchStep, tried: &Tried) -> Vec<FieldView> {
    if step != BenchStep::Mounted {
        return Vec::new();
    }
    let said = work.prescribed_mounting();
    let field = |spec, said: Option<&str>| {
        let hint = said.map_or("Not prescribed.".to_owned(), |said| {
            format!("Prescribed: {said}.")
        });
        FieldView::under(spec, "").hint(&hint)
    };
    let fields = vec![
        field(
            StepForm::instrument(),
            said.instrument.map(|one| one.shown()),
        ),
        field(StepForm::mounted_plane(), said.plane.map(|one| one.shown())),
    ];
    fill(fields, &tried.typed, &tried.faults)
}

fn lot_rows(lots: &[LastLot], tried: &Tried, today: Date) -> Vec<LotRow> {
    let row = |lot: &LastLot| {
        let key = format!("last.{}.{}", lot.key, AgainForm::take().key);
        let pan = match lot.pan.as_str() {
            "" => String::new(),
            pan => format!(", pan {pan}"),
        };
        LotRow {
            ticked: tried.typed.get(&key).is_some_and(|tick| tick == "yes"),
            key,
            words: lot.used.words(),
            material: lot.used.material.clone(),
            when: format!("{}{pan}", day_in_words(lot.at.date(), today)),
        }
    };
    lots.iter().map(row).collect()
}

/// Material and lot of one row of their list.
fn used_fields(row: usize, lots: &[LastLot], tried: &Tried) -> Vec<FieldView> {
    let under = format!("used.{row}.");
    let mut fields: Vec<FieldView> = crate::web::field::fields_under(UsedForm::FIELDS, &under);
    for field in &mut fields {
        if field.key.ends_with(UsedForm::material().key) {
            field.suggestions = lots.iter().map(|lot| lot.used.material.clone()).collect();
        }
    }
    fill(fields, &tried.typed, &tried.faults)
}

/// Nothing is proposed: what local law says of papers stands beside it, where the prescription's profiles say anything.
fn keeping_hint(document: &Document, revision: Option<&Revision>) -> String {
    let own = StepForm::keep_until().hint;
    let signed = revision.map(|one| one.signature.at.date());
    let kept = signed.and_then(|day| retention::kept(day, &document.law).ok());
    match kept.and_then(|kept| kept.lab) {
        Some(longest) => format!(
            "{own} Papers are kept at the lab until {} ({}); of casts the profile says nothing.",
            whole_day(longest.until),
            longest.name
        ),
        None => format!("{own} The profiles of local law name no time."),
    }
}

/// Rows of materials below the one that stands open.
const MORE_USED: std::ops::Range<usize> = 1..4;

impl StepView {
    /// The same while the work stands still: what was done before is told with its time, and nothing is timed.
    pub fn of_before(mut self) -> StepView {
        self.start = None;
        self.late.title = "Done before the work stood still: when".to_owned();
        self.late.open = true;
        self
    }
}

fn title_of(step: BenchStep, document: &Document) -> &'static str {
    step.to_do_by(ResetBy::of(&document.prescription))
}

/// A picture of the work, the minutes and a note.
fn more_fields(input: &BenchInput<'_>, tried: &Tried, is_sent: bool) -> Vec<FieldView> {
    let of = |field: FieldView| field.filled(&tried.typed, &tried.faults);
    let work = &input.view.work;
    let mut picture = of(FieldView::under(StepForm::step_picture(), ""));
    let mut there = work.pictures_there();
    if !is_sent && there.any(|one| one.event.as_str() == input.picture) {
        input.picture.clone_into(&mut picture.value);
    }
    let mut more = vec![picture];
    choose_pictures(&mut more, work, StepForm::step_picture());
    let rest = [StepForm::worked_minutes(), StepForm::bench_note()];
    more.extend(rest.map(|spec| of(FieldView::under(spec, ""))));
    more.extend(personal_data_check::tick_for(
        &tried.typed,
        &WorkForm::field_sets(),
    ));
    more
}

/// The form of a step, for the arches that can be worked on.
pub fn step_view(
    input: &BenchInput<'_>,
    document: &Document,
    step: BenchStep,
    (free, open): (&[Arch], &[Arch]),
) -> StepView {
    let sent = input.tried.typed.contains_key(StepForm::bench_step().key);
    let tried = input.tried.only_if(sent);
    let today = input.today();
    let fill_one = |field: FieldView| field.filled(&tried.typed, &tried.faults);
    let of = |spec| fill_one(FieldView::under(spec, ""));
    let arch = arch_field(StepForm::bench_arches(), (free, open), tried);
    let chosen = Arches::from_word(&arch.value).unwrap_or(input.view.work.case.arches);
    let photo = (step == BenchStep::Flasked).then(|| {
        let taken = input.view.work.photographed(chosen);
        PhotoView {
            taken: taken.map(|one| one.at.in_words()).unwrap_or_default(),
            why: taken.is_none().then(|| of(StepForm::no_photo())),
        }
    });
    let keeping = (step == BenchStep::Finished).then(|| {
        let hint = keeping_hint(document, input.view.in_force());
        let field = FieldView::under(StepForm::keep_until(), "").hint(&hint);
        field.filled(&tried.typed, &tried.faults)
    });
    let is_asked = |arch: Arch| against_arch(&input.view.work, arch).is_some();
    let is_shown = |field: &FieldView| !field.value.is_empty() || !field.messages.is_empty();
    // It is asked of a step too, for what that needs and is not in hand.
    let all_the_same = of(StepForm::bench_anyway());
    let is_asked = free.iter().any(|arch| is_asked(*arch)) || is_shown(&all_the_same);
    let mut anyway = Vec::from_iter(is_asked.then_some(all_the_same));
    let asked = [
        StepForm::bench_left_out(),
        StepForm::bench_running(),
        StepForm::bench_sure(),
    ];
    let asked = asked.map(of);
    anyway.extend(asked.into_iter().filter(is_shown));
    let work = &input.view.work;
    let (mut measures, others) = measure_rows((work, document), step, (chosen.treated(), tried));
    let repeated = repeated_fields(&measures, tried);
    let unprescribed = unprescribed_of(&mut measures);
    let more = more_fields(input, tried, sent);
    let more_used = MORE_USED.flat_map(|row| used_fields(row, input.lots, tried));
    StepView {
        step,
        title: title_of(step, document),
        is_sent: sent,
        caution: step.caution(),
        arches: match open {
            [one] => one.shown().to_owned(),
            _ => String::new(),
        },
        revision: input.view.work.case.revision,
        arch,
        shown: newest_of(&input.view.work, step),
        anyway,
        told: work.instructions_at(step, chosen.treated()),
        measures,
        unprescribed: Folded::new(
            "Not prescribed, and measured all the same",
            "",
            unprescribed,
        ),
        repeated: Folded::new("Measured more than once", "", repeated),
        mounting: mounting_fields(work, step, tried),
        other_measures: Folded::new("Measured at the other arch", "", others),
        photo,
        keeping,
        start: start_view(input, step, (free, open)),
        lots: lot_rows(input.lots, tried, today),
        used: used_fields(0, input.lots, tried),
        more_used: Folded::new("More materials", "", more_used.collect()),
        avoided: Some(of(StepForm::avoided_why())).filter(is_shown),
        more: Folded::new("Picture, minutes, note", "", more),
        late: from_paper(&tried.typed, &tried.faults),
    }
}
