//! Papers about a case besides its prescription: what was done, what went into it, and the statement for a
//! custom-made device. The same entries give the same bytes: each names the record up to its case's newest entry.

use super::case_work::CaseWork;
use super::print_sheet::copy;
use super::{App, AppError, Person, record_mark};
use crate::domain::custody::bench::{BenchEntry, BenchTimer, TimedRun, span};
use crate::domain::custody::item::Item;
use crate::domain::custody::{OutOfForce, PassedWork, SecondLab};
use crate::domain::people::party::{Paper, Party, Side};
use crate::domain::prescription::revision::{Document, Revision};
use crate::domain::prescription::{OrderKind, Piece};
use crate::domain::values::ids::CaseNumber;
use crate::domain::values::moment::{Moment, in_one_piece, show_date};
use crate::domain::values::words::{capitalised, counted, lowered};
use crate::papers::case_paper::{CasePaper, Listing, PaperPoint, lay_out};
use crate::papers::{LANGUAGE, Meta, write};

/// The case with the signed text in force.
struct PaperContext {
    work: CaseWork,
    revision: Revision,
    document: Document,
}

impl PaperContext {
    async fn of(app: &App, person: &Person, number: &CaseNumber) -> Result<PaperContext, AppError> {
        let mut conn = app.store.read_at_once().await?;
        let work = CaseWork::load(app, &mut conn, person, number).await?;
        drop(conn);
        let work = work.hold_for_paper(app).await?;
        let unsigned = "No prescription is signed yet. This paper tells what was made to a signed one: sign it first.";
        let newest = work.signed.newest();
        let newest = newest.map(|(revision, document)| (revision.clone(), document.clone()));
        let (revision, document) =
            newest.ok_or_else(|| AppError::Refused(vec![unsigned.to_owned()]))?;
        Ok(PaperContext {
            work,
            revision,
            document,
        })
    }

    /// When the newest of what the paper tells was entered.
    fn as_of(&self) -> Moment {
        let entered = self.work.events.iter().map(|event| event.entered_at);
        let signed = self.revision.signature.at;
        let newest = entered.chain([signed]).max_by_key(|at| at.unix_ms);
        newest.unwrap_or(signed)
    }

    /// The dentures that the lab has registered as made, and that are there: rims and try-ins are steps on the way to one.
    fn made(&self) -> Vec<&Item> {
        let is_made = |item: &&Item| {
            let state = self.work.state.item(&item.tag);
            let is_here = state.is_some_and(|one| one.is_there() && one.home == Side::Lab);
            is_here && item.kind.is_denture()
        };
        self.work.items.iter().filter(is_made).collect()
    }

    /// The paper, on the person's own size of paper where no other is asked for.
    async fn pdf(
        &self,
        app: &App,
        (person, paper): (&Person, Option<Paper>),
        said: Said,
    ) -> Result<Vec<u8>, AppError> {
        let as_of = self.as_of();
        let paper = CasePaper {
            paper: paper.unwrap_or_else(|| person.paper()),
            title: said.title,
            case_number: self.work.case.number.to_string(),
            about: said.about,
            caution: said.caution,
            points: said.points,
            tables: said.tables,
            signed_for: said.signed_for,
            notes: said.notes,
            as_of: format!("As recorded up to {}", as_of.in_words()),
            record: record_mark::of_case(app, &self.work.case.number).await?,
        };
        let meta = Meta {
            title: format!("{} {}", paper.title, paper.case_number),
            author: self.work.lab.name.clone(),
            created: as_of,
            language: Some(LANGUAGE),
        };
        let pages = copy(lay_out(&paper), said.out_of_force.as_ref());
        write(&pages, &meta).map_err(|error| AppError::Inner(error.to_string()))
    }

    /// What all of them say of the case.
    fn about(&self) -> Vec<String> {
        let document = &self.document;
        vec![
            format!(
                "Patient {}. Revision {} of the prescription, signed {}",
                document.patient.code,
                self.revision.number,
                in_one_piece(&self.revision.signature.at.in_words())
            ),
            format!("{}, for {}", self.work.lab.name, self.work.office.name),
        ]
    }
}

/// What one of the papers says.
#[derive(Default)]
struct Said {
    title: String,
    about: Vec<String>,
    caution: String,
    points: Vec<PaperPoint>,
    tables: Vec<Listing>,
    signed_for: String,
    notes: Vec<String>,
    /// That the work stands still: nobody signs for a device that is not made.
    out_of_force: Option<OutOfForce>,
}

fn piece_words(piece: &Piece) -> Vec<String> {
    let arch = piece
        .arch
        .map_or_else(String::new, |arch| capitalised(arch.shown()));
    let stage = piece.stage.map(|stage| stage.shown().to_owned());
    let text = |text: &Option<crate::domain::form::Text>| {
        text.as_ref()
            .map(|text| text.as_str().to_owned())
            .unwrap_or_default()
    };
    vec![
        arch,
        stage.unwrap_or_default(),
        text(&piece.description),
        text(&piece.materials),
    ]
}

fn pieces(document: &Document) -> Listing {
    let pieces = document.prescription.order.pieces.iter();
    Listing {
        heading: "Ordered, piece by piece".to_owned(),
        columns: vec![
            ("Arch", 0.12),
            ("Stage", 0.2),
            ("Work", 0.34),
            ("Materials", 0.34),
        ],
        rows: pieces.map(piece_words).collect(),
        nothing: "No piece is listed.",
    }
}

fn made(context: &PaperContext) -> Listing {
    let row = |item: &&Item| {
        let pieces = i64::from(item.pieces);
        vec![item.title(), item.tag.to_string(), counted(pieces, "piece")]
    };
    Listing {
        heading: "Made, and registered with a tag".to_owned(),
        columns: vec![("Item", 0.5), ("Tag", 0.3), ("Pieces", 0.2)],
        rows: context.made().iter().map(row).collect(),
        nothing: "Nothing that was made is registered yet.",
    }
}

/// The steps, with what their timers came to where one ran.
fn steps(bench: &[BenchEntry]) -> Listing {
    let is_timed = bench.iter().any(|one| !one.timed.is_empty());
    let row = |one: &BenchEntry| {
        let minutes = one.minutes.map(|minutes| format!("{minutes} min"));
        let mut cells = vec![
            capitalised(one.step.shown()),
            one.arches.shown().to_owned(),
            show_date(one.at.date()),
            minutes.unwrap_or_default(),
        ];
        cells.extend(is_timed.then(|| came_to(&one.timed)));
        cells
    };
    let columns: &[(&str, f32)] = match is_timed {
        true => &[
            ("Step", 0.34),
            ("Arch", 0.16),
            ("Day", 0.15),
            ("Time", 0.11),
            ("Timers", 0.24),
        ],
        false => &[
            ("Step", 0.46),
            ("Arch", 0.22),
            ("Day", 0.18),
            ("Time", 0.14),
        ],
    };
    Listing {
        heading: "Steps at the bench".to_owned(),
        columns: columns.to_vec(),
        rows: bench.iter().map(row).collect(),
        nothing: "No step is entered in the bench record.",
    }
}

/// What runs of timers came to together, each kind once: "Mix 1:30 min, cure 545 min".
fn came_to(timed: &[TimedRun]) -> String {
    let of = |timer: &BenchTimer| {
        let runs = timed.iter().filter(|run| run.timer == *timer);
        runs.fold(0, |sum: u32, run| sum.saturating_add(run.took_s))
    };
    let ran = BenchTimer::ALL.iter().map(|timer| (timer, of(timer)));
    let ran = ran.filter(|(_, seconds)| *seconds > 0);
    let words: Vec<String> = ran
        .map(|(timer, seconds)| format!("{} {}", timer.shown(), span(seconds)))
        .collect();
    capitalised(&words.join(", "))
}

/// Each material with its lot once, with the steps that took it.
fn lots(bench: &[BenchEntry]) -> Listing {
    let mut rows: Vec<Vec<String>> = Vec::new();
    for entry in bench {
        for used in &entry.used {
            let lot = match used.lot.as_str() {
                "" => "not recorded",
                lot => lot,
            };
            let step = format!("{}, {}", entry.step.shown(), entry.arches.shown());
            let same = rows.iter_mut().find(|row| {
                let mut cells = row.iter();
                cells.next() == Some(&used.material) && cells.next().is_some_and(|one| one == lot)
            });
            match same {
                Some(row) => {
                    if let Some(steps) = row.get_mut(2).filter(|steps| !steps.contains(&step)) {
                        *steps = format!("{steps}; {step}");
                    }
                }
                None => rows.push(vec![
                    used.material.clone(),
                    lot.to_owned(),
                    step,
                    show_date(entry.at.date()),
                ]),
            }
        }
    }
    Listing {
        heading: "Materials and lots".to_owned(),
        columns: vec![
            ("Material", 0.32),
            ("Lot", 0.18),
            ("Went into", 0.36),
            ("First used", 0.14),
        ],
        rows,
        nothing: "No material is entered in the bench record.",
    }
}

/// What the work makes good, and whose part that is: asked first by whoever makes out an invoice.
fn made_again(context: &PaperContext) -> Vec<String> {
    let order = &context.document.prescription.order;
    let is_again = |kind: &OrderKind| matches!(kind, OrderKind::Remake | OrderKind::Correction);
    let ordered = order.kind.filter(is_again).map(|kind| {
        let earlier = order.earlier_case.as_ref();
        let earlier = earlier.map(|number| format!(", of case {}", number.as_str()));
        format!(
            "Ordered as: {}{}.",
            kind.shown(),
            earlier.unwrap_or_default()
        )
    });
    let agreed = context.work.follow_ups().iter();
    let agreed = agreed.filter(|one| one.followed_by.is_work()).map(|one| {
        let day = show_date(one.at.date());
        format!(
            "After the fit, {}, {day}: {}.",
            one.arches.shown(),
            one.words()
        )
    });
    ordered.into_iter().chain(agreed).collect()
}

/// What was done, to make out an invoice from: pieces and steps, no money. The lab's own.
fn what_was_done(context: &PaperContext) -> Result<Said, AppError> {
    if context.work.side != Side::Lab {
        return Err(AppError::NotFound);
    }
    let bench = &context.work.state.bench;
    let minutes: u64 = bench
        .iter()
        .filter_map(|one| one.minutes)
        .map(u64::from)
        .sum();
    let open = bench.iter().filter(|one| one.minutes.is_none()).count();
    let timed: Vec<TimedRun> = bench.iter().flat_map(|one| one.timed.clone()).collect();
    let mut notes = made_again(context);
    notes.push(format!(
        "Time entered: {minutes} min. Steps without a time: {open}."
    ));
    if !timed.is_empty() {
        notes.push(format!(
            "Timers in all: {}. They timed material and machine, not hands.",
            lowered(&came_to(&timed))
        ));
    }
    notes.push(
        "For the invoice, from the bench record. Steps that were withdrawn as mistakes are not listed. For the lab: it is \
         not sent with the work."
            .to_owned(),
    );
    Ok(Said {
        title: "What was done".to_owned(),
        about: context.about(),
        tables: vec![pieces(&context.document), made(context), steps(bench)],
        notes,
        ..Said::default()
    })
}

/// Which materials and lots went into the work of a case.
fn materials(context: &PaperContext) -> Said {
    Said {
        title: "Materials and lots".to_owned(),
        about: context.about(),
        tables: vec![lots(&context.work.state.bench), made(context)],
        notes: std::iter::once(
            "From the bench record of the lab. “Not recorded”: no lot was entered; ask the lab."
                .to_owned(),
        )
        .chain(passed_to(&context.work).map(|lab| {
            format!("Work was passed on to {}: the materials and lots of its own are not in this record; ask for them.", lab.name)
        }))
        .collect(),
        ..Said::default()
    }
}

/// The laboratories that have had things of this case in hand, each once.
fn passed_to(work: &CaseWork) -> impl Iterator<Item = &SecondLab> {
    let passes = &work.state.passes;
    let has_gone = |one: &&PassedWork| !one.left.is_empty();
    let gone = passes.iter().filter(has_gone).enumerate();
    let is_first = move |(place, one): &(usize, &PassedWork)| {
        let mut before = passes.iter().filter(has_gone).take(*place);
        !before.any(|other| other.to == one.to)
    };
    gone.filter(is_first).map(|(_, one)| &one.to)
}

/// Name, address, licence and telephone in one line, as far as they are known.
fn in_one_line([name, address, licence, telephone]: [&str; 4]) -> String {
    let said = |word: &str, text: &str| match text {
        "" => String::new(),
        text => format!("{word} {text}"),
    };
    let mut parts = vec![name.to_owned()];
    parts.extend(address.lines().map(|line| line.trim().to_owned()));
    parts.push(said("license", licence));
    parts.push(said("telephone", telephone));
    parts.retain(|part| !part.is_empty());
    parts.join(", ")
}

fn second_lab(lab: &SecondLab) -> String {
    in_one_line([&lab.name, &lab.address, &lab.licence, ""])
}

fn house(party: &Party) -> String {
    in_one_line([
        &party.name,
        &party.address,
        &party.licence,
        &party.telephone,
    ])
}

/// What was made, by its tags, and of which case it is.
fn devices(context: &PaperContext) -> Vec<String> {
    let case = format!(
        "Case {}, revision {}.",
        context.work.case.number, context.revision.number
    );
    let made = context.made();
    if made.is_empty() {
        return vec![
            "No finished work is registered with a tag yet.".to_owned(),
            case,
        ];
    }
    let devices = made.iter();
    let devices = devices.map(|item| format!("{}: {}", item.title(), item.tag));
    devices.chain([case]).collect()
}

/// The lab, whoever it has passed the work on to, and room for others.
fn places_of_manufacture(work: &CaseWork) -> Vec<String> {
    let places = passed_to(work).map(|lab| {
        format!(
            "Passed on to {}: made there too? Strike out what is not so.",
            second_lab(lab)
        )
    });
    std::iter::once(house(&work.lab))
        .chain(places)
        .chain(["Other places where it was made, if any:".to_owned()])
        .collect()
}

/// The pieces of the order, and what was sent with it.
fn as_prescribed(context: &PaperContext) -> Vec<String> {
    let pieces = context.document.prescription.order.pieces.iter();
    let pieces = pieces.map(|piece| {
        let words = piece_words(piece);
        let words: Vec<String> = words.into_iter().filter(|word| !word.is_empty()).collect();
        format!("{}.", words.join(", "))
    });
    let enclosed = &context.work.ordered.enclosed;
    let tags: Vec<String> = enclosed.iter().map(|tag| tag.to_string()).collect();
    let with = (!tags.is_empty()).then(|| {
        format!(
            "Sent with the prescription, and part of it: {}.",
            tags.join(", ")
        )
    });
    pieces
        .chain(with)
        .chain(["The prescription itself says the rest.".to_owned()])
        .collect()
}

/// The eight points of Annex XIII, section 1, of Regulation (EU) 2017/745. From memory, five of eight compared with
/// Annex VIII of the Directive 93/42/EEC: so the paper says that it is to be checked against the official text.
fn points(context: &PaperContext) -> Vec<PaperPoint> {
    let (work, document) = (&context.work, &context.document);
    let point = |label: &str, words: Vec<String>, blank| PaperPoint {
        label: label.to_owned(),
        words,
        blank,
    };
    let signed = in_one_piece(&context.revision.signature.at.in_words());
    vec![
        point(
            "Manufacturer and all places of manufacture",
            places_of_manufacture(work),
            true,
        ),
        point("Authorized representative", vec!["If there is one:".to_owned()], true),
        point("Identification of the device", devices(context), false),
        point(
            "For whom",
            vec![format!(
                "For the exclusive use of the patient with the code {}. The office keeps the key to the code.",
                document.patient.code
            )],
            false,
        ),
        point(
            "Prescriber",
            vec![
                format!(
                    "{}, license {}. Signed {signed}.",
                    document.prescriber_name, document.prescriber_licence,
                ),
                format!("{}.", house(&work.office)),
            ],
            false,
        ),
        point(
            "Characteristics as prescribed",
            as_prescribed(context),
            false,
        ),
        point(
            "Conformity",
            vec![
                "The device conforms to the general safety and performance requirements of Annex I. Not fully met, with \
                 the grounds:"
                    .to_owned(),
            ],
            true,
        ),
        point(
            "Medicinal substances, tissues",
            vec!["Contained, where there are any (of human or animal origin too):".to_owned()],
            true,
        ),
    ]
}

/// The statement for a custom-made device, filled in as far as the record says it, for the lab to check and sign.
fn statement(context: &PaperContext) -> Said {
    Said {
        title: "Statement for a custom-made device".to_owned(),
        about: vec!["Regulation (EU) 2017/745, Annex XIII, section 1".to_owned()],
        caution: "Check against the official text before signing. These eight points were put together from secondary \
                  sources, and other countries, Great Britain among them, have texts of their own. Whoever signs answers for \
                  what stands here."
            .to_owned(),
        points: points(context),
        signed_for: "Signed for the manufacturer".to_owned(),
        out_of_force: OutOfForce::of(
            context.revision.number,
            (context.revision.number, context.revision.signature.at),
            context.work.state.standstill.as_ref(),
            context.work.card_since(),
        ),
        notes: vec![
            "Goes with the device and is available to the patient. To be kept at least 10 years after the device was placed \
             on the market, 15 if implantable. No CE mark on a custom-made device."
                .to_owned(),
        ],
        ..Said::default()
    }
}

/// A paper about a case besides its prescription.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CasePaperKind {
    /// For the invoice.
    Done,
    /// Materials and lots.
    Materials,
    /// For a custom-made device.
    Statement,
}

/// The paper, on the person's own size of paper where no other is asked for.
pub async fn pdf(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    (kind, paper): (CasePaperKind, Option<Paper>),
) -> Result<Vec<u8>, AppError> {
    let context = PaperContext::of(app, person, number).await?;
    let said = match kind {
        CasePaperKind::Done => what_was_done(&context)?,
        CasePaperKind::Materials => materials(&context),
        CasePaperKind::Statement => statement(&context),
    };
    context.pdf(app, (person, paper), said).await
}
