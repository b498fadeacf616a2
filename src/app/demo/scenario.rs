//! What happens in the demo: fourteen cases, each stopped at another point of the way.

use super::{Cast, key, typed};
use crate::app::manage::Typed;
use crate::app::{
    App, AppError, Person, add_item, add_patient, open_case, receive, record_event, release,
    see_case, sign, write_draft,
};
use crate::domain::draft::Fields;
use crate::domain::ids::{CaseNumber, Tag};
use crate::domain::item::ItemKind;
use crate::domain::moment::show_date;

const HOUR_MS: i64 = 60 * 60_000;

/// How far a case goes; each step includes those before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Until {
    Opened,
    Drafted,
    Signed,
    DuplicateFitted,
    OnTheWay,
    AtTheLab,
    Acknowledged,
    OnTheWayBack,
    Back,
    FinalFitted,
}

/// Who plays: dentist, assistant, technician, lab manager.
struct Team<'a> {
    dentist: &'a Person,
    assistant: &'a Person,
    technician: &'a Person,
    manager: &'a Person,
}

pub(super) async fn play(app: &App, cast: &Cast) -> Result<(), AppError> {
    let team = |names: [&str; 4]| -> Result<Team<'_>, AppError> {
        let [dentist, assistant, technician, manager] = names;
        Ok(Team {
            dentist: cast.person(dentist)?,
            assistant: cast.person(assistant)?,
            technician: cast.person(technician)?,
            manager: cast.person(manager)?,
        })
    };
    let near = team(["ilse", "jonas", "bruno", "vera"])?;
    let far = team(["ruth", "owen", "dana", "carl"])?;
    let across = team(["ruth", "owen", "bruno", "vera"])?;
    let plan = [
        (&near, Until::FinalFitted, Trouble::None),
        (&near, Until::Back, Trouble::None),
        (&near, Until::OnTheWayBack, Trouble::None),
        (&near, Until::Acknowledged, Trouble::None),
        (&near, Until::Acknowledged, Trouble::NewRevision),
        (&near, Until::AtTheLab, Trouble::Damaged),
        (&near, Until::AtTheLab, Trouble::Missing),
        (&near, Until::OnTheWay, Trouble::None),
        (&near, Until::DuplicateFitted, Trouble::None),
        (&near, Until::Drafted, Trouble::None),
        (&far, Until::FinalFitted, Trouble::None),
        (&far, Until::AtTheLab, Trouble::Unmarked),
        (&far, Until::Signed, Trouble::None),
        (&across, Until::OnTheWay, Trouble::None),
        (&far, Until::Opened, Trouble::None),
    ];
    for (place, (team, until, trouble)) in plan.into_iter().enumerate() {
        one_case(app, team, until, trouble, place).await?;
        app.outside.pass(30 * HOUR_MS);
    }
    Ok(())
}

/// What goes wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Trouble {
    None,
    Damaged,
    Missing,
    Unmarked,
    NewRevision,
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
    app.outside.pass(HOUR_MS);
    draft(app, team, &number, &things, place).await?;
    if until < Until::Signed {
        return Ok(());
    }
    app.outside.pass(HOUR_MS / 4);
    sign_it(app, team.dentist, &number).await?;
    if until < Until::DuplicateFitted {
        return Ok(());
    }
    fit_duplicates(app, team, &number, &things).await?;
    if until < Until::OnTheWay {
        return Ok(());
    }
    app.outside.pass(HOUR_MS / 2);
    let sent = things.sent();
    let handoff = hand_over(app, team.assistant, &number, &sent, "final upper and lower").await?;
    if until < Until::AtTheLab {
        return Ok(());
    }
    app.outside.pass(3 * HOUR_MS);
    receive_it(app, team.manager, &handoff, trouble).await?;
    if until < Until::Acknowledged {
        return Ok(());
    }
    acknowledge(app, team.technician, &number).await?;
    if trouble == Trouble::NewRevision {
        return revise(app, team, &number).await;
    }
    if until < Until::OnTheWayBack {
        return Ok(());
    }
    app.outside.pass(60 * HOUR_MS);
    finish(app, team, &number, &things, until).await
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
    let patient = add_patient::add(app, team.assistant, &typed(&card), &key(app)?).await?;
    let lab = team.technician.party_id();
    let form = typed(&[
        ("patient", patient.as_str()),
        ("arches", "both"),
        ("lab", lab),
    ]);
    open_case::open(app, team.assistant, &form, &key(app)?).await
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
        add_item::add(app, team.assistant, number, &form, &key(app)?).await
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
        ("deed", "keep_back"),
        ("consent", "yes"),
        ("kept", "drawer 3, marked"),
    ]);
    record_event::record(app, team.assistant, &old, &form, &key(app)?).await?;
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
    let fields = prescription(app, team, things, place);
    write_draft::save(app, team.assistant, number, written.draft.version, &fields).await?;
    Ok(())
}

/// A whole prescription. Values differ a little from case to case.
fn prescription(app: &App, team: &Team<'_>, things: &Things, place: usize) -> Fields {
    let day = |days: i64| {
        let at = team
            .dentist
            .moment(app.outside.now_ms() + days * 24 * HOUR_MS);
        show_date(at.date())
    };
    let step = i64::try_from(place % 5).unwrap_or(0);
    let (rest, occlusal) = (66 + step, 63 + step);
    let midline = ["0", "1", "1.5", "0.5", "2"]
        .get(place % 5)
        .copied()
        .unwrap_or("0");
    let tag = |tag: &Tag| tag.to_string();
    let [upper, lower] = &things.provisional;
    let [copy_upper, copy_lower] = &things.duplicate;
    let pairs: Vec<(&str, String)> = vec![
        ("order.kind", "new".into()),
        ("pieces.0.arch", "upper".into()),
        ("pieces.0.stage", "process".into()),
        ("pieces.0.description", "complete denture, 14 teeth".into()),
        (
            "pieces.0.materials",
            "heat-cured acrylic base, cross-linked resin teeth".into(),
        ),
        ("pieces.0.opposing", "made".into()),
        ("pieces.1.arch", "lower".into()),
        ("pieces.1.stage", "process".into()),
        ("pieces.1.description", "complete denture, 14 teeth".into()),
        (
            "pieces.1.materials",
            "heat-cured acrylic base, cross-linked resin teeth".into(),
        ),
        ("pieces.1.opposing", "made".into()),
        ("pattern.source", "provisional".into()),
        ("pattern.rule", "with_changes".into()),
        ("pattern.upper_item", tag(upper)),
        ("pattern.lower_item", tag(lower)),
        ("pattern.worn_since", day(-120)),
        ("pattern.last_corrected", day(-7)),
        (
            "pattern.keep",
            "Tongue space and the worn-in contacts of the bite blocks.".into(),
        ),
        ("pattern.may_alter", "no".into()),
        ("changes.0.what", "lower_left_back".into()),
        ("changes.0.direction", "outward".into()),
        ("changes.0.mm", "1".into()),
        (
            "changes.0.note",
            "tongue was caught here until the block was moved".into(),
        ),
        ("changes.1.what", "upper_incisors".into()),
        ("changes.1.direction", "longer_edge".into()),
        ("changes.1.mm", "0.5".into()),
        ("vertical.rest_mm", rest.to_string()),
        ("vertical.occlusal_mm", occlusal.to_string()),
        ("vertical.method", "nose_chin".into()),
        ("vertical.order", "keep".into()),
        ("vertical.closest_speaking_mm", "1".into()),
        ("readings.0.rest_mm", format!("{rest}.5")),
        ("readings.0.occlusal_mm", occlusal.to_string()),
        ("readings.0.method", "nose_chin".into()),
        ("readings.1.rest_mm", format!("{}.5", rest - 1)),
        ("readings.1.occlusal_mm", occlusal.to_string()),
        ("readings.1.method", "nose_chin".into()),
        ("jaw.item", tag(&things.bite)),
        ("jaw.position", "centric_relation".into()),
        ("jaw.material", "silicone".into()),
        ("jaw.at_final_vertical", "yes".into()),
        ("jaw.keyed", "yes".into()),
        (
            "jaw.grooves",
            "Two in each upper block, on the cheek side, away from the chewing surface.".into(),
        ),
        (
            "jaw.seating",
            "Upper first, record in its grooves without pressure, then the lower.".into(),
        ),
        ("facebow.made", "yes".into()),
        ("facebow.item", tag(&things.facebow)),
        ("facebow.record_id", format!("J-{}", 20 + place)),
        ("facebow.midline_captured", "yes".into()),
        ("facebow.fork_returns", "yes".into()),
        ("anterior.choice", "mould".into()),
        ("anterior.upper_mould", "Otter 7".into()),
        ("anterior.lower_mould", "Otter 3".into()),
        ("anterior.width_mm", "47".into()),
        ("anterior.width_method", "curve".into()),
        ("anterior.form", "ovoid".into()),
        ("anterior.material", "cross_linked".into()),
        ("anterior.arrangement", "copy_with_changes".into()),
        ("anterior.midline_offset_mm", midline.into()),
        (
            "anterior.midline_side",
            if midline == "0" { "" } else { "right" }.into(),
        ),
        ("anterior.incisal_show_mm", "1.5".into()),
        ("anterior.smile_line", "follows_lip".into()),
        ("anterior.lip_support", "keep".into()),
        ("posterior.choice", "mould".into()),
        ("posterior.upper_mould", "Otter P2".into()),
        ("posterior.lower_mould", "Otter P2".into()),
        ("posterior.block_shape", "keep".into()),
        ("occlusion.scheme", "lingualized".into()),
        ("shade.source", "tab".into()),
        ("shade.guide", "Hillside".into()),
        ("shade.tab", "birch 4".into()),
        ("shade.light", "daylight".into()),
        ("shade.chosen_by", "dentist_and_patient".into()),
        ("shade.approved", "yes".into()),
        ("base_shade.guide", "Hillside".into()),
        ("base_shade.code", "heather 2".into()),
        ("seal.by", "dentist".into()),
        ("seal.position", "as marked on the provisional".into()),
        ("borders.order", "".into()),
        ("impression.keep_surface", "yes".into()),
        ("finish.wet_packing", "yes".into()),
        ("finish.keep_index", "yes".into()),
        ("marking.offered", "yes".into()),
        ("marking.text", format!("set A {}", 2026)),
        ("spare.copied_upper", tag(copy_upper)),
        ("spare.copied_lower", tag(copy_lower)),
        ("spare.date_mark", "yes".into()),
        ("spare.stored", "in water, labelled".into()),
        ("enclosures.boxes", "1".into()),
        ("enclosures.moist", "yes".into()),
        ("enclosures.hard_box", "yes".into()),
        ("back.pattern", "yes".into()),
        ("back.casts", "yes".into()),
        ("back.records", "yes".into()),
        ("dates.wanted", day(14)),
        ("dates.insertion", day(15)),
        ("dates.first_check", day(16)),
        (
            "remarks.call_before",
            "anything would have to be ground on the functional surface".into(),
        ),
    ];
    let mut fields: Fields = pairs
        .into_iter()
        .map(|(key, text)| (key.to_owned(), text))
        .collect();
    for (row, tag) in things.sent().iter().enumerate() {
        for (key, text) in [
            ("tag", tag.to_string()),
            ("agent", "surface disinfectant, blue label".into()),
            ("dilution", "ready to use".into()),
            ("minutes", "10".into()),
            ("rinsed", "yes".into()),
        ] {
            fields.insert(format!("enclosed.{row}.{key}"), text);
        }
    }
    fields.retain(|_, text| !text.is_empty());
    fields
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
        record_event::change_mouth(app, team.assistant, number, &form, &key(app)?).await?;
    }
    Ok(())
}

async fn hand_over(
    app: &App,
    by: &Person,
    number: &CaseNumber,
    tags: &[Tag],
    purpose: &str,
) -> Result<String, AppError> {
    let mut form = typed(&[
        ("agent", "surface disinfectant, blue label"),
        ("dilution", "ready to use"),
        ("minutes", "10"),
        ("rinsed", "yes"),
        ("carrier", "Parcel bicycle"),
        ("tracking", "run 4"),
        ("purpose", purpose),
    ]);
    for tag in tags {
        form.insert(format!("{}.take", tag.as_str()), "yes".to_owned());
    }
    release::release(app, by, number, &form, &key(app)?).await
}

async fn receive_it(app: &App, by: &Person, id: &str, trouble: Trouble) -> Result<(), AppError> {
    let (_, handoff) = receive::see(app, by, id).await?;
    let mut form = Typed::new();
    for (place, tag) in handoff.outstanding().into_iter().enumerate() {
        let (outcome, marked, note) = match (trouble, place) {
            (Trouble::Damaged, 2) => ("damaged", "yes", "one key of the record is broken off"),
            (Trouble::Missing, 4) => ("missing", "", ""),
            (Trouble::Unmarked, 0) => ("sound", "no", ""),
            _ => ("sound", "yes", ""),
        };
        for (part, text) in [("outcome", outcome), ("marked", marked), ("note", note)] {
            form.insert(format!("{}.{part}", tag.as_str()), text.to_owned());
        }
    }
    receive::receive(app, by, id, &form, &key(app)?).await?;
    Ok(())
}

async fn acknowledge(app: &App, by: &Person, number: &CaseNumber) -> Result<(), AppError> {
    let sight = see_case::see(app, by, number).await?;
    sign::acknowledge(app, by, number, sight.work.case.revision, &key(app)?).await
}

async fn revise(app: &App, team: &Team<'_>, number: &CaseNumber) -> Result<(), AppError> {
    app.outside.pass(5 * HOUR_MS);
    let written = write_draft::open(app, team.dentist, number).await?;
    let fields = Fields::from([
        ("shade.tab".to_owned(), "birch 5".to_owned()),
        ("anterior.midline_offset_mm".to_owned(), "1".to_owned()),
        ("anterior.midline_side".to_owned(), "left".to_owned()),
    ]);
    write_draft::save(app, team.dentist, number, written.draft.version, &fields).await?;
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
            ("note", "set A 2026"),
        ]);
        finals.push(add_item::add(app, team.technician, number, &form, &key(app)?).await?);
    }
    let mut back = finals.clone();
    back.extend(things.sent());
    let handoff = hand_over(
        app,
        team.technician,
        number,
        &back,
        "finals for insertion, pattern and records back",
    )
    .await?;
    if until < Until::Back {
        return Ok(());
    }
    app.outside.pass(4 * HOUR_MS);
    receive_it(app, team.assistant, &handoff, Trouble::None).await?;
    if until < Until::FinalFitted {
        return Ok(());
    }
    app.outside.pass(20 * HOUR_MS);
    for (tag, worn) in finals.iter().zip(&things.duplicate) {
        let form = typed(&[("fit", tag.as_str()), ("worn", worn.as_str())]);
        record_event::change_mouth(app, team.dentist, number, &form, &key(app)?).await?;
    }
    for copy in &things.duplicate {
        record_event::record(
            app,
            team.dentist,
            copy,
            &typed(&[("deed", "give")]),
            &key(app)?,
        )
        .await?;
    }
    Ok(())
}
