//! What happens in the demo: seventeen cases, each stopped at another point of the way.

use super::drawn::{self, DrawnCast};
use super::{Cast, key, typed};
use crate::app::add_patient::CardForm;
use crate::app::load_list::ListEntry;
use crate::app::reviewing::reason_key;
use crate::app::run::on_case::enter_on_case;
use crate::app::scan_files::SentScan;
use crate::app::typed::{command, command_by};
use crate::app::usual_sets::UsualForm;
use crate::app::{
    App, AppError, Person, add_item, add_patient, assign, bench, change_mouth, fit, follow_up,
    load_list, open_case, pass_questions, passed_to_us, passing, pick_up, pictures, questions,
    receive, record_event, release, scan_files, see_case, sign, usual_sets, write_draft,
};
use crate::domain::custody::events::{FollowedUp, MEANS_PASSED_ON, PassedOn};
use crate::domain::custody::fit::{FitLine, FitVerdict};
use crate::domain::custody::follow_up::{ExaminedPoint, FollowUp, FollowedBy};
use crate::domain::custody::forms::{
    AskForm, CheckFitForm, FitTyped, FollowUpTyped, PassAnswerForm, PassAskForm, PassMoveForm,
    RecordForm,
};
use crate::domain::custody::item::ItemKind;
use crate::domain::custody::{
    Found, Matter, PassAnswer, PassLeg, PictureOf, Purpose, ScanOf, SecondLab, SecondLabWork,
    Signed,
};
use crate::domain::form::Raw;
use crate::domain::mesh::MeshUnit;
use crate::domain::people::party::Side;
use crate::domain::prescription::draft::Fields;
use crate::domain::review::{mark_of, sample};
use crate::domain::trade::lists::ListKind;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::{CaseNumber, HandoffId, Tag};
use crate::domain::values::moment::{Moment, parse_date, show_date};
use time::{Date, Duration, Weekday};

const HOUR_MS: i64 = 60 * 60_000;
/// Between the beginnings of two cases, besides what the first of them takes.
const BETWEEN_MS: i64 = 30 * HOUR_MS;

/// How far a case goes; each step includes those before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Until {
    Opened,
    Drafted,
    /// With the duplicates fitted.
    Signed,
    /// Packed, and the carrier has not come yet.
    Packed,
    OnTheWay,
    AtTheLab,
    Acknowledged,
    OnTheWayBack,
    Back,
    FinalFitted,
    /// Held against the prescription before the fit, and looked at the day after.
    FollowedUp,
}

/// The steps of a case in their order.
const STEPS: [Until; 11] = [
    Until::Opened,
    Until::Drafted,
    Until::Signed,
    Until::Packed,
    Until::OnTheWay,
    Until::AtTheLab,
    Until::Acknowledged,
    Until::OnTheWayBack,
    Until::Back,
    Until::FinalFitted,
    Until::FollowedUp,
];

/// Between which office and which lab.
#[derive(Debug, Clone, Copy)]
enum Who {
    Near,
    Far,
    Across,
}

/// The cases: between whom, how far, and what goes wrong.
const PLAN: [(Who, Until, Trouble); 17] = [
    (Who::Near, Until::FollowedUp, Trouble::None),
    (Who::Near, Until::Back, Trouble::None),
    (Who::Near, Until::OnTheWayBack, Trouble::None),
    (Who::Near, Until::Acknowledged, Trouble::Unclear),
    (Who::Near, Until::Acknowledged, Trouble::NewRevision),
    (Who::Near, Until::AtTheLab, Trouble::Damaged),
    (Who::Near, Until::AtTheLab, Trouble::Missing),
    (Who::Near, Until::OnTheWay, Trouble::None),
    (Who::Near, Until::Packed, Trouble::None),
    (Who::Near, Until::Signed, Trouble::None),
    (Who::Near, Until::Drafted, Trouble::None),
    (Who::Far, Until::FinalFitted, Trouble::None),
    (Who::Far, Until::AtTheLab, Trouble::Unmarked),
    (Who::Far, Until::Signed, Trouble::None),
    (Who::Across, Until::OnTheWay, Trouble::None),
    (Who::Far, Until::Opened, Trouble::None),
    (Who::Near, Until::Acknowledged, Trouble::PassedOn),
];

/// Who plays: dentist, assistant, technician, lab manager.
struct Team<'a> {
    dentist: &'a Person,
    assistant: &'a Person,
    technician: &'a Person,
    manager: &'a Person,
    /// The technician of another laboratory.
    second: &'a Person,
}

pub(super) async fn play(app: &App, cast: &Cast) -> Result<(), AppError> {
    let team = |names: [&str; 5]| -> Result<Team<'_>, AppError> {
        let [dentist, assistant, technician, manager, second] = names;
        Ok(Team {
            dentist: cast.person(dentist)?,
            assistant: cast.person(assistant)?,
            technician: cast.person(technician)?,
            manager: cast.person(manager)?,
            second: cast.person(second)?,
        })
    };
    let near = team(["ilse", "jonas", "bruno", "vera", "dana"])?;
    let far = team(["ruth", "owen", "dana", "carl", "bruno"])?;
    let across = team(["ruth", "owen", "bruno", "vera", "dana"])?;
    for team in [&near, &far] {
        load_lists(app, team).await?;
    }
    say_what_is_usual(app, &near).await?;
    for (place, (who, until, trouble)) in PLAN.into_iter().enumerate() {
        let team = match who {
            Who::Near => &near,
            Who::Far => &far,
            Who::Across => &across,
        };
        one_case(app, team, until, trouble, place).await?;
        app.outside.pass(BETWEEN_MS);
    }
    Ok(())
}

/// How long the whole scenario takes by the clock that it moves on.
pub(super) fn lasts_ms() -> i64 {
    let cases = PLAN
        .iter()
        .map(|(_, until, trouble)| takes_ms(*until, *trouble) + BETWEEN_MS);
    cases.sum()
}

/// What passes before each step of a case, and after it is begun.
fn before_ms(until: Until) -> i64 {
    match until {
        Until::Opened => 0,
        // The lab begins at the bench.
        Until::Acknowledged => HOUR_MS / 2,
        Until::Drafted => HOUR_MS,
        Until::Signed => HOUR_MS / 4,
        Until::Packed | Until::OnTheWay => HOUR_MS / 2,
        Until::AtTheLab => 3 * HOUR_MS,
        // The lab makes the work, and the carrier comes for it.
        Until::OnTheWayBack => 60 * HOUR_MS + HOUR_MS / 2,
        Until::Back => 4 * HOUR_MS,
        Until::FinalFitted => 20 * HOUR_MS,
        Until::FollowedUp => 26 * HOUR_MS,
    }
}

fn takes_ms(until: Until, trouble: Trouble) -> i64 {
    let steps = STEPS.iter().filter(|step| **step <= until);
    let after = match trouble {
        Trouble::NewRevision => 5 * HOUR_MS,
        Trouble::Unclear => 2 * HOUR_MS,
        Trouble::PassedOn => 6 * HOUR_MS,
        _ => 0,
    };
    steps.map(|step| before_ms(*step)).sum::<i64>() + after
}

/// What goes wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Trouble {
    None,
    Damaged,
    Missing,
    Unmarked,
    NewRevision,
    /// The lab has a question, and its work waits for the answer.
    Unclear,
    /// Nothing: a part of the work lies at a second laboratory, which asks something.
    PassedOn,
}

async fn one_case(
    app: &App,
    team: &Team<'_>,
    until: Until,
    trouble: Trouble,
    place: usize,
) -> Result<(), AppError> {
    let number = open(app, team, place).await?;
    if until < Until::Drafted {
        return Ok(());
    }
    let things = register(app, team, &number).await?;
    app.outside.pass(before_ms(Until::Drafted));
    draft(app, team, &number, &things, place).await?;
    if until < Until::Signed {
        return Ok(());
    }
    app.outside.pass(before_ms(Until::Signed));
    fit_duplicates(app, team, &number, &things).await?;
    sign_it(app, team.dentist, &number).await?;
    if until < Until::Packed {
        return Ok(());
    }
    app.outside.pass(before_ms(Until::Packed));
    let sent = things.sent();
    let purpose = (Purpose::Make, "final upper and lower");
    let handoff = hand_over(app, team.assistant, &number, &sent, purpose).await?;
    if until < Until::OnTheWay {
        return Ok(());
    }
    app.outside.pass(before_ms(Until::OnTheWay));
    picked_up(app, team.assistant, &handoff).await?;
    if until < Until::AtTheLab {
        return Ok(());
    }
    app.outside.pass(before_ms(Until::AtTheLab));
    receive_it(app, team.manager, &handoff, trouble).await?;
    if until < Until::Acknowledged {
        return Ok(());
    }
    acknowledge(app, team.technician, &number).await?;
    begin_at_bench(app, team, &number, place).await?;
    if trouble == Trouble::NewRevision {
        return revise(app, team, &number).await;
    }
    if trouble == Trouble::Unclear {
        return ask(app, team, &number).await;
    }
    if trouble == Trouble::PassedOn {
        return pass_on(app, team, &number).await;
    }
    if until < Until::OnTheWayBack {
        return Ok(());
    }
    app.outside.pass(60 * HOUR_MS);
    finish(app, team, &number, &things, until).await
}

/// The lab's invented moulds and the office's invented tabs, those of the prescription among them.
async fn load_lists(app: &App, team: &Team<'_>) -> Result<(), AppError> {
    let moulds = typed(&[("text", sample::MOULDS)]);
    let moulds = command_by(&moulds, |raw, faults| {
        ListEntry::read_of(ListKind::Moulds, raw, faults)
    })?;
    load_list::load_only(app, team.manager, ListKind::Moulds, &moulds, &key(app)?).await?;
    for (kind, text) in [
        (ListKind::ToothGuide, sample::TOOTH_TABS),
        (ListKind::BaseGuide, sample::BASE_TABS),
    ] {
        let form = typed(&[
            ("kind", kind.word()),
            ("guide", sample::GUIDE),
            ("text", text),
        ]);
        load_list::add_guide(app, team.assistant, &command(&form)?, &key(app)?).await?;
    }
    Ok(())
}

/// What is usual at the office, and at the lab unless told; invented, without products.
async fn say_what_is_usual(app: &App, team: &Team<'_>) -> Result<(), AppError> {
    const OFFICE: &[(&str, &str)] = &[
        ("set_name", "Full dentures, heat-cured"),
        ("set_begins", "yes"),
        ("base.material", "heat_cured"),
        ("base.process", "compression"),
        ("facebow.plane", "camper"),
        ("guidance.articulator", "semi_adjustable"),
        ("shade.guide", sample::GUIDE),
        ("base_shade.guide", sample::GUIDE),
        ("marking.text", "case number"),
        ("marking.place", "both"),
        ("spare.made_by", "office"),
        ("enclosed.0.agent", "surface disinfectant, grey label"),
        ("enclosed.0.dilution", "ready to use"),
        ("back.statement", "yes"),
        ("remarks.ask_by", "question"),
    ];
    const LAB: &[(&str, &str)] = &[
        ("base_shade.stippling", "slight"),
        ("base.palate_mm", "2"),
        ("finish.keep_months", "6"),
        ("finish.lab_remount", "yes"),
        ("impression.cast_keep", "yes"),
    ];
    for (person, side, said) in [
        (team.dentist, Side::Office, OFFICE),
        (team.manager, Side::Lab, LAB),
    ] {
        let form = command_by(&typed(said), |raw, faults| {
            UsualForm::read_of(side, raw, faults)
        })?;
        usual_sets::make(app, person, &form, &key(app)?).await?;
    }
    Ok(())
}

async fn open(app: &App, team: &Team<'_>, place: usize) -> Result<CaseNumber, AppError> {
    const BANDS: [&str; 4] = ["60_69", "70_79", "80_89", "70_79"];
    let band = BANDS.get(place % BANDS.len()).copied().unwrap_or("70_79");
    let mut card = vec![
        ("patient.age_band", band),
        ("patient.exclusions", "none_known"),
    ];
    if place % 5 == 1 {
        card = vec![
            ("patient.age_band", band),
            ("patient.exclusions", "listed"),
            ("patient.no_nickel", "yes"),
            ("patient.dry_mouth", "yes"),
        ];
    }
    let patient = add_patient::add(
        app,
        team.assistant,
        &command_by(&typed(&card), CardForm::read)?,
        &key(app)?,
    )
    .await?;
    let lab = team.technician.party_id();
    let form = typed(&[
        ("patient", patient.as_str()),
        ("arches", "both"),
        ("lab", lab),
    ]);
    open_case::open(app, team.assistant, &command(&form)?, &key(app)?).await
}

/// The tags of a case's items.
struct Things {
    provisional: [Tag; 2],
    duplicate: [Tag; 2],
    bite: Tag,
    facebow: Tag,
    tab: Tag,
}

impl Things {
    fn sent(&self) -> Vec<Tag> {
        let [upper, lower] = self.provisional.clone();
        vec![
            upper,
            lower,
            self.bite.clone(),
            self.facebow.clone(),
            self.tab.clone(),
        ]
    }
}

async fn register(app: &App, team: &Team<'_>, number: &CaseNumber) -> Result<Things, AppError> {
    let add = async |kind: ItemKind, arch: &str, place: &str, note: &str, borrowed: bool| {
        let form = typed(&[
            ("item_kind", kind.word()),
            ("arch", arch),
            ("place", place),
            ("note", note),
            ("borrowed", if borrowed { "yes" } else { "" }),
        ]);
        add_item::add(app, team.assistant, number, &command(&form)?, &key(app)?).await
    };
    let old = add(
        ItemKind::OldDenture,
        "upper",
        "here",
        "worn before the provisional",
        false,
    )
    .await?;
    let things = Things {
        provisional: [
            add(
                ItemKind::Provisional,
                "upper",
                "worn",
                "functional surface renewed",
                false,
            )
            .await?,
            add(
                ItemKind::Provisional,
                "lower",
                "worn",
                "functional surface renewed, bite blocks moved",
                false,
            )
            .await?,
        ],
        duplicate: [
            add(
                ItemKind::Duplicate,
                "upper",
                "here",
                "made in a closed flask",
                false,
            )
            .await?,
            add(
                ItemKind::Duplicate,
                "lower",
                "here",
                "made in a closed flask",
                false,
            )
            .await?,
        ],
        bite: add(
            ItemKind::BiteRecord,
            "",
            "here",
            "addition silicone, keyed",
            false,
        )
        .await?,
        facebow: add(ItemKind::FacebowRecord, "", "here", "jig with fork", true).await?,
        tab: add(
            ItemKind::ShadeTab,
            "",
            "here",
            "birch 4 of the Hillside guide",
            true,
        )
        .await?,
    };
    let form = typed(&[
        ("action", "keep_back"),
        ("consent", "yes"),
        ("kept", "drawer 3, marked"),
    ]);
    record_event::record(
        app,
        team.assistant,
        &old,
        &record_form(&old, &form)?,
        &key(app)?,
    )
    .await?;
    Ok(things)
}

async fn draft(
    app: &App,
    team: &Team<'_>,
    number: &CaseNumber,
    things: &Things,
    place: usize,
) -> Result<(), AppError> {
    let written = write_draft::open(app, team.assistant, number).await?;
    let now = team.dentist.moment(app.outside.now_ms());
    let fields = prescription(now, things, place);
    write_draft::save(
        app,
        team.assistant,
        number,
        write_draft::Base::of(&written.draft),
        &fields,
    )
    .await?;
    Ok(())
}

/// How long before the prescription is written the bite was recorded, the surfaces left the mouth, and the material of them
/// went in: whatever the hour, nothing that is stated lies after the signature.
const TAKEN_BEFORE_MS: i64 = 100 * 60_000;
const OUT_BEFORE_MS: i64 = 50 * 60_000;
const IN_BEFORE_MS: i64 = OUT_BEFORE_MS + 24 * HOUR_MS + HOUR_MS / 4;

/// Day and clock of what was done that long before.
fn done_before(now: Moment, ms: i64) -> [String; 2] {
    let then = Moment::new(now.unix_ms - ms, now.offset_min);
    [then.day(), then.clock()]
}

/// A whole prescription as it is written at this moment: the sample of the review, with this case's items and days. Values
/// differ a little from case to case.
fn prescription(now: Moment, things: &Things, place: usize) -> Fields {
    let today = now.date();
    let mut fields: Fields = sample::raw()
        .into_iter()
        .map(|(key, text)| (key, moved(&text, things, today)))
        .collect();
    let step = place % 5;
    let midline = ["0", "1", "1.5", "0.5", "2"]
        .get(step)
        .copied()
        .unwrap_or("0");
    let wanted = working_day(today + Duration::days(14));
    let insertion = inserted_on(wanted + Duration::days(1));
    let own = [
        ("vertical.rest_mm", (66 + step).to_string()),
        ("vertical.occlusal_mm", (63 + step).to_string()),
        ("readings.0.rest_mm", format!("{}.5", 66 + step)),
        ("readings.0.occlusal_mm", (63 + step).to_string()),
        ("readings.1.rest_mm", format!("{}.5", 65 + step)),
        ("readings.1.occlusal_mm", (63 + step).to_string()),
        ("facebow.record_id", format!("J-{}", 20 + place)),
        ("anterior.midline_offset_mm", midline.to_owned()),
        (
            "anterior.midline_side",
            if step == 0 { "" } else { "right" }.to_owned(),
        ),
        ("dates.wanted", show_date(wanted)),
        ("dates.insertion", show_date(insertion)),
        (
            "dates.first_check",
            show_date(insertion + Duration::days(1)),
        ),
        ("returns.0.due", show_date(insertion)),
        ("returns.1.due", show_date(insertion)),
        (
            "pattern.keep",
            "Tongue space and the worn-in contacts.".to_owned(),
        ),
        (
            "changes.0.note",
            "the tongue was caught here until the block was moved".to_owned(),
        ),
        (
            "remarks.call_before",
            "anything would have to be ground on the functional surface".to_owned(),
        ),
    ];
    fields.extend(own.map(|(key, text)| (key.to_owned(), text)));
    for (keys, before_ms) in [
        (["jaw.taken_on", "jaw.taken_at"], TAKEN_BEFORE_MS),
        (
            ["impression.removed_on", "impression.removed_at"],
            OUT_BEFORE_MS,
        ),
        (
            ["impression.placed_on", "impression.placed_at"],
            IN_BEFORE_MS,
        ),
    ] {
        let said = keys.into_iter().zip(done_before(now, before_ms));
        fields.extend(said.map(|(key, text)| (key.to_owned(), text)));
    }
    if matches!(PLAN.get(place), Some((_, _, Trouble::PassedOn))) {
        // What is then made elsewhere is what the prescription asks for.
        fields.insert("base.strengthening".to_owned(), "glass_fibre".to_owned());
    }
    if step == 4 {
        // A reading beside the tab, so that the distances to the guide's tabs stand on the form.
        let reading = [
            ("shade.lightness", "71.1"),
            ("shade.a", "1.4"),
            ("shade.b", "18.6"),
        ];
        fields.extend(reading.map(|(key, text)| (key.to_owned(), text.to_owned())));
    }
    if place == 4 {
        fields.remove("facebow.tragus_point");
        let reason = "the lab has mounted this jig before and knows its posterior point";
        // What the review then says: a reason is for one sentence.
        let said = "The posterior point of the facebow record is not named.";
        let key = reason_key("facebow-without-posterior-point", &mark_of(said));
        fields.insert(key, reason.to_owned());
    }
    fields.retain(|_, text| !text.is_empty());
    fields
}

/// A text of the sample with its tag or its day put into this case.
fn moved(text: &str, things: &Things, today: Date) -> String {
    let [upper, lower] = &things.provisional;
    let [copy_upper, copy_lower] = &things.duplicate;
    let own = [
        ("provisional_upper", upper),
        ("provisional_lower", lower),
        ("duplicate_upper", copy_upper),
        ("duplicate_lower", copy_lower),
        ("bite", &things.bite),
        ("facebow", &things.facebow),
        ("tab", &things.tab),
    ];
    if let Some((_, tag)) = own.iter().find(|(name, _)| sample::tag_text(name) == text) {
        return tag.to_string();
    }
    match parse_date(text) {
        Ok(day) => show_date(today + (day - sample::TODAY)),
        Err(_) => text.to_owned(),
    }
}

/// The day itself, or the Monday after it.
fn working_day(mut day: Date) -> Date {
    while matches!(day.weekday(), Weekday::Saturday | Weekday::Sunday) {
        day += Duration::days(1);
    }
    day
}

/// A day for insertion: the next day, when it is checked, is a working day too.
fn inserted_on(day: Date) -> Date {
    let mut day = working_day(day);
    while working_day(day + Duration::days(1)) != day + Duration::days(1) {
        day = working_day(day + Duration::days(1));
    }
    day
}

async fn sign_it(app: &App, dentist: &Person, number: &CaseNumber) -> Result<(), AppError> {
    let proposal = sign::propose(app, dentist, number).await?;
    if let Some(fault) = proposal.faults.first() {
        return Err(AppError::Inner(format!(
            "the demo's prescription is wrong: {} {}",
            fault.key, fault.message
        )));
    }
    sign::sign_unasked(app, dentist, number, &proposal, &key(app)?).await
}

async fn fit_duplicates(
    app: &App,
    team: &Team<'_>,
    number: &CaseNumber,
    things: &Things,
) -> Result<(), AppError> {
    for (copy, worn) in things.duplicate.iter().zip(&things.provisional) {
        let form = typed(&[("fit", copy.as_str()), ("worn", worn.as_str())]);
        change_mouth::change_mouth(app, team.assistant, number, &command(&form)?, &key(app)?)
            .await?;
    }
    Ok(())
}

async fn hand_over(
    app: &App,
    by: &Person,
    number: &CaseNumber,
    tags: &[Tag],
    (code, words): (Purpose, &str),
) -> Result<HandoffId, AppError> {
    let mut form = typed(&[
        ("agent", "surface disinfectant, blue label"),
        ("dilution", "ready to use"),
        ("minutes", "10"),
        ("rinsed", "yes"),
        ("carrier", "Parcel bicycle"),
        ("tracking", "run 4"),
        ("purpose_code", code.word()),
        ("purpose", words),
        // The demo lab enters the first steps alone.
        ("unfinished", "yes"),
    ]);
    for tag in tags {
        form.insert(format!("{}.take", tag.as_str()), "yes".to_owned());
    }
    release::release(app, &proved(app, by), number, &command(&form)?, &key(app)?).await
}

/// The bicycle comes for what was packed.
async fn picked_up(app: &App, by: &Person, id: &HandoffId) -> Result<(), AppError> {
    let form = typed(&[("picked_by", "P. W."), ("parcels", "1")]);
    pick_up::pick_up(app, &proved(app, by), id, &command(&form)?, &key(app)?).await?;
    Ok(())
}

async fn receive_it(
    app: &App,
    by: &Person,
    id: &HandoffId,
    trouble: Trouble,
) -> Result<(), AppError> {
    let (_, handoff) = receive::see(app, by, id).await?;
    let mut form = Raw::new();
    for (place, tag) in handoff.outstanding().into_iter().enumerate() {
        let (outcome, marked, note) = match (trouble, place) {
            (Trouble::Damaged, 2) => ("damaged", "yes", "one key of the record is broken off"),
            (Trouble::Missing, 4) => ("missing", "", ""),
            (Trouble::Unmarked, 0) => ("sound", "no", ""),
            _ => ("sound", "yes", ""),
        };
        let here = if outcome == "missing" { "" } else { "yes" };
        let said = [
            ("here", here),
            ("outcome", outcome),
            ("marked", marked),
            ("note", note),
        ];
        for (part, text) in said {
            form.insert(format!("{}.{part}", tag.as_str()), text.to_owned());
        }
    }
    receive::receive(app, &proved(app, by), id, &command(&form)?, &key(app)?).await?;
    Ok(())
}

/// Somebody who has typed the password just now.
fn proved(app: &App, by: &Person) -> Person {
    Person {
        proved_ms: app.outside.now_ms(),
        ..by.clone()
    }
}

async fn acknowledge(app: &App, by: &Person, number: &CaseNumber) -> Result<(), AppError> {
    let view = see_case::see(app, by, number).await?;
    sign::acknowledge(app, by, number, view.work.case.revision, &key(app)?).await
}

/// The technician takes the case over, pours its casts and makes the matrix.
async fn begin_at_bench(
    app: &App,
    team: &Team<'_>,
    number: &CaseNumber,
    place: usize,
) -> Result<(), AppError> {
    let pan = (place + 11).to_string();
    let form = typed(&[("pan", pan.as_str()), ("technician", ""), ("mine", "yes")]);
    assign::assign(app, team.technician, number, &command(&form)?, &key(app)?).await?;
    let poured = [
        ("bench_step", "cast_poured"),
        ("bench_arches", "both"),
        ("bench_revision", "1"),
        ("m.land.measured", "3"),
        ("used.0.material", "Stone, type 3"),
        ("used.0.lot", "S 26-0417"),
        ("worked_minutes", "38"),
    ];
    let matrix = [
        ("bench_step", "matrix"),
        ("bench_arches", "both"),
        ("bench_revision", "1"),
        ("used.0.material", "Matrix silicone"),
        ("used.0.lot", "M 118"),
    ];
    for said in [&poured[..], &matrix[..]] {
        app.outside.pass(HOUR_MS / 4);
        let form = command(&typed(said))?;
        bench::work(app, team.technician, number, &form, &key(app)?).await?;
    }
    Ok(())
}

/// The technician asks about a part of the prescription.
async fn ask(app: &App, team: &Team<'_>, number: &CaseNumber) -> Result<(), AppError> {
    app.outside.pass(2 * HOUR_MS);
    let question = AskForm {
        matter: Matter::Contradicts,
        section: "borders".to_owned(),
        line: String::new(),
        read_revision: String::new(),
        force_shown: None,
        asked_step: String::new(),
        asked_item: None,
        asked_picture: None,
        question: "Borders are to be kept as sent, and the lower left one ends 2 mm over the ridge behind the \
                   second premolar. Shorten it there?"
            .to_owned(),
        waits: true,
    };
    questions::ask(app, team.technician, number, (&question, None), &key(app)?).await?;
    Ok(())
}

/// The technician passes the upper cast on, for a reinforcement that is made elsewhere; it is there, and that laboratory asks.
async fn pass_on(app: &App, team: &Team<'_>, number: &CaseNumber) -> Result<(), AppError> {
    app.outside.pass(HOUR_MS);
    let form = typed(&[
        ("item_kind", ItemKind::Cast.word()),
        ("arch", "upper"),
        ("place", "here"),
        ("note", "poured from the upper impression"),
    ]);
    let cast = add_item::add(app, team.technician, number, &command(&form)?, &key(app)?).await?;
    let cleaned = typed(&[
        ("action", "disinfect"),
        ("agent", "surface disinfectant, blue label"),
        ("dilution", "ready to use"),
        ("minutes", "10"),
        ("rinsed", "yes"),
    ]);
    let form = record_form(&cast, &cleaned)?;
    record_event::record(app, team.technician, &cast, &form, &key(app)?).await?;
    let lab = team.second.party.as_ref().ok_or(AppError::NotFound)?;
    let view = see_case::see(app, team.technician, number).await?;
    let is_asked = passing::consent_asked(app, &view.work, view.document()).is_some();
    let wanted = view.work.now(app).date().saturating_add(Duration::days(9));
    let authorized = PassedOn {
        to: SecondLab {
            party: Some(lab.id.clone()),
            name: lab.name.clone(),
            address: lab.address.clone(),
            licence: lab.licence.clone(),
        },
        arches: Arches::Upper,
        items: vec![cast.clone()],
        task: "Make a glass fiber reinforcement for the upper palate on this cast; no metal."
            .to_owned(),
        work: Some(SecondLabWork::Framework),
        more: Vec::new(),
        revision: view.work.case.revision,
        wanted: working_day(wanted).into(),
        needs_consent: is_asked,
        instead_of: None,
        signed: Signed {
            name: team.technician.account.name.clone(),
            licence: team.technician.account.licence.clone(),
            meaning: MEANS_PASSED_ON.to_owned(),
        },
    };
    let post = key(app)?;
    enter_on_case(app, team.technician, number, &post, None, |_| {
        Ok(authorized.clone().into())
    })
    .await?;
    let seen = see_case::see(app, team.technician, number).await?;
    let pass = seen.work.state.passes.last().ok_or(AppError::NotFound)?;
    let pass = pass.event.clone();
    let word = PassAnswerForm {
        answered_pass: pass.clone(),
        pass_answer: PassAnswer::Agreed,
        pass_note: String::new(),
    };
    passing::answer(app, team.dentist, number, &word, &key(app)?).await?;
    let moved = |leg: PassLeg| PassMoveForm {
        pass: pass.clone(),
        leg,
        items: vec![Found::sound(cast.clone())],
        set_right: Vec::new(),
        carrier: "Parcel bicycle".to_owned(),
        person: String::new(),
        from_paper: None,
    };
    app.outside.pass(HOUR_MS);
    let left = moved(PassLeg::Left);
    passing::moved(app, team.technician, number, &left, &key(app)?).await?;
    app.outside.pass(4 * HOUR_MS);
    let arrived = moved(PassLeg::Arrived);
    passed_to_us::moved(app, team.second, &pass, &arrived, &key(app)?).await?;
    let question = PassAskForm {
        pass_question: "The palate is blocked out to the second molars. Does the fiber end there, or at the seal?"
            .to_owned(),
    };
    pass_questions::ask(app, team.second, &pass, &question, &key(app)?).await?;
    show(app, team.technician, number, &cast).await
}

/// Pictures and a scan of the casts, which the second laboratory sees as far as they are of its own.
async fn show(app: &App, by: &Person, number: &CaseNumber, cast: &Tag) -> Result<(), AppError> {
    for (which, item, caption) in [
        (
            DrawnCast::Upper,
            cast.as_str(),
            "Upper cast from above, the ridge drawn in",
        ),
        (
            DrawnCast::Lower,
            "",
            "Lower cast from above, the ridge drawn in",
        ),
    ] {
        let form = typed(&[
            ("shows", PictureOf::Other.word()),
            ("shown_item", item),
            ("caption", caption),
            ("for_lab", "yes"),
            ("mouth_only", "yes"),
        ]);
        let sent = drawn::picture(which)?;
        let said = (&command(&form)?, sent);
        pictures::add(app, by, number, said, &key(app)?).await?;
    }
    let form = typed(&[
        ("scan_shows", ScanOf::Model.word()),
        ("scan_item", cast.as_str()),
        ("scan_unit", MeshUnit::Millimetre.word()),
        ("scan_caption", "Base of the upper cast, trimmed"),
        ("scan_for_lab", "yes"),
        ("no_face", "yes"),
    ]);
    let mut sent = SentScan::begin(app, &by.account.id).await?;
    sent.push(&drawn::scan()).await?;
    let said = (&command(&form)?, Some(sent));
    scan_files::add(app, by, number, said, &key(app)?).await
}

async fn revise(app: &App, team: &Team<'_>, number: &CaseNumber) -> Result<(), AppError> {
    app.outside.pass(5 * HOUR_MS);
    let written = write_draft::open(app, team.dentist, number).await?;
    let fields = Fields::from([
        ("anterior.incisal_show_mm".to_owned(), "2".to_owned()),
        ("anterior.midline_offset_mm".to_owned(), "1".to_owned()),
        ("anterior.midline_side".to_owned(), "right".to_owned()),
    ]);
    write_draft::save(
        app,
        team.dentist,
        number,
        write_draft::Base::of(&written.draft),
        &fields,
    )
    .await?;
    sign_it(app, team.dentist, number).await
}

/// The lab makes the finals and hands them back; the office receives and fits them.
async fn finish(
    app: &App,
    team: &Team<'_>,
    number: &CaseNumber,
    things: &Things,
    until: Until,
) -> Result<(), AppError> {
    let mut finals = Vec::new();
    for arch in ["upper", "lower"] {
        let form = typed(&[
            ("item_kind", "final_denture"),
            ("arch", arch),
            ("place", "here"),
            ("note", "1st set 2026"),
        ]);
        finals
            .push(add_item::add(app, team.technician, number, &command(&form)?, &key(app)?).await?);
    }
    let mut back = finals.clone();
    back.extend(things.sent());
    let handoff = hand_over(
        app,
        team.technician,
        number,
        &back,
        (Purpose::Finished, "pattern and records come back with them"),
    )
    .await?;
    app.outside.pass(HOUR_MS / 2);
    picked_up(app, team.technician, &handoff).await?;
    if until < Until::Back {
        return Ok(());
    }
    app.outside.pass(before_ms(Until::Back));
    receive_it(app, team.assistant, &handoff, Trouble::None).await?;
    if until < Until::FinalFitted {
        return Ok(());
    }
    app.outside.pass(before_ms(Until::FinalFitted));
    if until >= Until::FollowedUp {
        check_fit(app, team.assistant, number).await?;
    }
    for (tag, worn) in finals.iter().zip(&things.duplicate) {
        let form = typed(&[
            ("fit", tag.as_str()),
            ("worn", worn.as_str()),
            ("agent", "peracetic acid solution"),
            ("dilution", "ready to use"),
            ("minutes", "10"),
            ("rinsed", "yes"),
        ]);
        change_mouth::change_mouth(app, team.dentist, number, &command(&form)?, &key(app)?).await?;
    }
    let form = typed(&[
        ("action", "give"),
        ("mark", "spare, and the month"),
        ("kept", "closed cup at home"),
        ("keeper", "the patient"),
        ("in_water", "yes"),
    ]);
    for copy in &things.duplicate {
        record_event::record(
            app,
            team.dentist,
            copy,
            &record_form(copy, &form)?,
            &key(app)?,
        )
        .await?;
    }
    if until < Until::FollowedUp {
        return Ok(());
    }
    app.outside.pass(before_ms(Until::FollowedUp));
    check_after_fit(app, team.dentist, number).await
}

/// What came back is held against the prescription: measured where a number is asked, and all of it as asked.
async fn check_fit(app: &App, by: &Person, number: &CaseNumber) -> Result<(), AppError> {
    let view = see_case::see(app, by, number).await?;
    let lines = fit::lines_of(&view);
    let row = |line: &FitLine| FitTyped {
        value: line.value,
        readings: match line.number {
            Some(asked) if line.is_read() => vec![asked, asked],
            _ => Vec::new(),
        },
        verdict: Some(FitVerdict::AsAsked),
        all_the_same: false,
    };
    let form = CheckFitForm {
        revision: view.work.case.revision,
        rows: lines.iter().map(row).collect(),
        note: String::new(),
        from_paper: None,
    };
    fit::enter(app, by, number, &form, &key(app)?).await
}

/// The check on the day after the fit.
async fn check_after_fit(app: &App, by: &Person, number: &CaseNumber) -> Result<(), AppError> {
    let entry = FollowedUp {
        check: FollowUp::Day,
        arches: Arches::Both,
        examined: ExaminedPoint::ALL.to_vec(),
        complaints: Vec::new(),
        done: "pressure place at the lower left border shown with paste and eased".to_owned(),
        followed_by: FollowedBy::Adjusted,
        cause: None,
        share: None,
    };
    let form = FollowUpTyped {
        entry,
        from_paper: None,
    };
    follow_up::enter(app, by, number, &form, &key(app)?).await
}

/// What the form of an action records about an item.
fn record_form(tag: &Tag, form: &Raw) -> Result<RecordForm, AppError> {
    command_by(form, |typed, faults| RecordForm::read(tag, typed, faults))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::moment_in;
    use crate::domain::prescription;
    use crate::domain::values::tooth::Numbering;

    fn tag(seed: u8) -> Tag {
        let tags = (0..=u8::MAX).filter_map(|last| Tag::from_random([seed, 2, 3, 4, 5, 6, last]));
        tags.into_iter().next().expect("a tag")
    }

    fn things() -> Things {
        Things {
            provisional: [tag(1), tag(2)],
            duplicate: [tag(3), tag(4)],
            bite: tag(5),
            facebow: tag(6),
            tab: tag(7),
        }
    }

    /// What is said in two places says the same.
    const SAME: [(&str, &str); 2] = [
        ("shade.tab", "spare.tooth_shade"),
        ("vertical.occlusal_mm", "readings.0.occlusal_mm"),
    ];

    #[test]
    fn c15_at_every_hour_in_every_zone_nothing_of_the_scenario_has_still_to_come() {
        // 2026-03-28: on the night that follows, clocks of Vienna go forward.
        let day_ms = 1_774_656_000_000_i64;
        let zones = [
            "Europe/Vienna",
            "America/New_York",
            "Pacific/Kiritimati",
            "Pacific/Pago_Pago",
        ];
        for half_hour in 0..48 {
            let now_ms = day_ms + half_hour * HOUR_MS / 2;
            for zone in zones {
                let mut clock_ms = now_ms - super::super::ENDED_BEFORE_MS - lasts_ms();
                for (place, (_, until, trouble)) in PLAN.into_iter().enumerate() {
                    let drafted = clock_ms + before_ms(Until::Drafted);
                    clock_ms += takes_ms(until, trouble);
                    assert!(clock_ms < now_ms, "{zone} {half_hour} {place}");
                    let (written, signed) = (
                        moment_in(drafted, zone),
                        moment_in(drafted + before_ms(Until::Signed), zone),
                    );
                    check(&prescription(written, &things(), place), (written, signed));
                    clock_ms += BETWEEN_MS;
                }
            }
        }
    }

    /// What was done, by its day and its clock where it has one.
    const DONE: [(&str, &str); 6] = [
        ("jaw.taken_on", "jaw.taken_at"),
        ("impression.placed_on", "impression.placed_at"),
        ("impression.removed_on", "impression.removed_at"),
        ("shade.date", "shade.time"),
        ("duplicate.made_on", ""),
        ("pattern.last_corrected", ""),
    ];

    /// Nothing that the text states lies after its signature, to the minute where it has a clock.
    fn check_done(fields: &Fields, signed: Moment) {
        let limit = format!("{} {}", signed.day(), signed.clock());
        let said = |key: &str| fields.get(key).map(String::as_str);
        let mut clocks = 0;
        for (on, at) in DONE {
            let day = said(on).unwrap_or_else(|| panic!("{on} is not said"));
            clocks += usize::from(said(at).is_some());
            let moment = format!("{day} {}", said(at).unwrap_or("00:00"));
            assert!(moment <= limit, "{on}: {moment} is after {limit}");
        }
        assert_eq!(clocks, 3);
        let placed = (said("impression.placed_on"), said("impression.placed_at"));
        let removed = (said("impression.removed_on"), said("impression.removed_at"));
        assert!(placed < removed, "{placed:?} {removed:?}");
    }

    fn check(fields: &Fields, (written, signed): (Moment, Moment)) {
        let today = written.date();
        check_done(fields, signed);
        let reading = prescription::read(fields, Numbering::Iso3950);
        assert_eq!(reading.faults, []);
        let day = |key: &str| fields.get(key).and_then(|text| parse_date(text).ok());
        for key in ["impression.removed_on", "shade.date"] {
            assert!(
                day(key).is_none_or(|day| day <= today),
                "{key} has still to come"
            );
        }
        let order = ["dates.wanted", "dates.insertion", "dates.first_check"]
            .map(|key| day(key).expect(key));
        assert!(today < order[0] && order[0] < order[1] && order[1] < order[2]);
        for (one, other) in SAME {
            assert_eq!(fields.get(one), fields.get(other), "{one} and {other}");
        }
        let offset = fields.get("anterior.midline_offset_mm").map(String::as_str);
        let has_side = fields.contains_key("anterior.midline_side");
        assert_eq!(
            offset != Some("0"),
            has_side,
            "a midline that is moved is moved to a side"
        );
    }

    #[test]
    fn c15_no_two_dentists_share_a_licence() {
        let dentists = super::super::PEOPLE.iter().filter(|one| one.2 == "dentist");
        let mut licences: Vec<&str> = dentists.map(|one| super::super::licence(one.0)).collect();
        let count = licences.len();
        licences.sort_unstable();
        licences.dedup();
        assert_eq!(licences.len(), count);
        assert!(licences.iter().all(|one| !one.is_empty()));
    }
}
