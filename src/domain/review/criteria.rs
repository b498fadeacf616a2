//! The twenty-four things that audits of prescriptions and textbooks look for.
//!
//! Each says whether it is met, and how often published audits found it on real prescriptions. What is
//! not met is also a finding of the review, under one of the names given here: a prescription can be
//! incomplete by decision, never by oversight.

use super::courses::point_applies;
use super::input::{BOTH, Input};
use super::rule::Finding;
use super::setting::{CanSign, Setting};
use crate::domain::custody::item::ItemKind;
use crate::domain::form::{Text, YesNo};
use crate::domain::people::patient::ExclusionsAsked;
use crate::domain::prescription::revision::{MissingPoint, PassedCaution};
use crate::domain::prescription::{
    Anterior, Enclosed, JawPosition, Piece, Posterior, Prescription, ScanShows, ShadeSource, Stage,
    ToothChoice, VerticalOrder, section_of,
};
use crate::domain::trade::disinfection::no_disinfectant;
use crate::domain::values::arch::Arch;
use crate::domain::values::words_of;

/// One criterion over one prescription.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Criterion {
    /// Its place in the list, from 1.
    pub number: usize,
    pub name: &'static str,
    /// Whether it is there, or does not apply.
    pub met: bool,
    /// Whether it applies to what is ordered.
    pub needed: bool,
    /// The form key where it is filled in.
    pub key: &'static str,
    /// How often audits found it, with the study.
    pub published: Option<&'static str>,
    /// The findings by which the review asks for it.
    pub findings: &'static [&'static str],
}

/// What a published audit found of whole prescriptions, to hold a score against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Audit {
    /// The study.
    pub source: &'static str,
    /// In words, without the share.
    pub found: &'static str,
    /// The share of the audited prescriptions, 0 to 100.
    pub percent: f64,
}

const fn share(found: u32, of: u32) -> f64 {
    found as f64 * 100.0 / of as f64
}

/// The audits that looked at prescriptions as a whole.
pub const AUDITS: [Audit; 3] = [
    Audit {
        source: "Laboratory Trends for Removable Prosthodontics, 40 laboratories, University of Alabama at Birmingham",
        found: "of laboratories call the prescriptions they get complete enough for their best work",
        percent: 3.7,
    },
    Audit {
        source: "Parry 2014, Journal of Dental Education, 33 of 39",
        found: "of slips did not comply before a technician taught how to write them",
        percent: share(33, 39),
    },
    Audit {
        source: "Parry 2014, Journal of Dental Education, 12 of 40",
        found: "of slips did not comply after that",
        percent: share(12, 40),
    },
];

words_of! {
    /// How far a prescription is.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
    pub enum Grade {
        /// All that apply.
        Complete = "complete",
        /// The lab can work from it.
        Workable = "workable",
        /// The lab has to ask.
        Query = "to be queried",
    }
}

struct Entry {
    number: usize,
    name: &'static str,
    key: &'static str,
    published: Option<&'static str>,
    /// What decides beside the course whether it applies.
    needed: fn(&Input<'_>) -> bool,
    said: fn(&Input<'_>) -> bool,
    findings: &'static [&'static str],
}

fn always(_: &Input<'_>) -> bool {
    true
}

/// Every criterion in its published order.
const TABLE: &[Entry] = &[
    Entry {
        number: 1,
        name: "Patient, by code",
        key: "case.patient",
        published: None,
        needed: always,
        said: patient_code,
        findings: &["criterion-1-patient"],
    },
    Entry {
        number: 2,
        name: "Age band",
        key: "patient.age_band",
        published: Some(
            "age and sex on 32 % (China 2014) to 41 % (Tabriz 2016), on fixed and partial work",
        ),
        needed: always,
        said: age_band,
        findings: &["criterion-2-age-band"],
    },
    Entry {
        number: 3,
        name: "Prescriber",
        key: "case.dentist",
        published: None,
        needed: always,
        said: prescriber,
        findings: &["criterion-3-prescriber"],
    },
    Entry {
        number: 4,
        name: "License of the prescriber",
        key: "case.dentist",
        published: None,
        needed: always,
        said: licence,
        findings: &["criterion-4-licence"],
    },
    Entry {
        number: 5,
        name: "Signature",
        key: "case.signature",
        published: None,
        needed: always,
        said: signature,
        findings: &["criterion-5-signature"],
    },
    Entry {
        number: 6,
        name: "Date of issue",
        key: "case.issued",
        published: None,
        needed: always,
        said: issued,
        findings: &["criterion-6-issued"],
    },
    Entry {
        number: 7,
        name: "Date wanted",
        key: "dates.wanted",
        published: Some(
            "among the two most often missing, say technicians (Berry 2014), on fixed work",
        ),
        needed: always,
        said: wanted,
        findings: &["criterion-7-date-wanted"],
    },
    Entry {
        number: 8,
        name: "Laboratory",
        key: "case.lab",
        published: None,
        needed: always,
        said: laboratory,
        findings: &["criterion-8-laboratory"],
    },
    Entry {
        number: 9,
        name: "Each piece and its stage",
        key: "pieces.0.stage",
        published: None,
        needed: always,
        said: pieces,
        findings: &[
            "criterion-9-pieces",
            "piece-without-materials",
            "piece-without-description",
        ],
    },
    Entry {
        number: 10,
        name: "Tooth shade",
        key: "shade.tab",
        published: Some("72 % (China 2014) to 83 % (Tabriz 2016), on fixed work"),
        needed: always,
        said: tooth_shade,
        findings: &["criterion-10-tooth-shade"],
    },
    Entry {
        number: 11,
        name: "Mould or size of the teeth",
        key: "anterior.choice",
        published: Some("27 % (Tabriz 2016), on removable partial work"),
        needed: always,
        said: mould,
        findings: &["criterion-11-mould"],
    },
    Entry {
        number: 12,
        name: "Tooth material and cusp form",
        key: "anterior.material",
        published: Some("any word on the teeth on 68 % (China 2014), on removable partial work"),
        needed: always,
        said: material_and_cusps,
        findings: &["criterion-12-tooth-material"],
    },
    Entry {
        number: 13,
        name: "Base shade",
        key: "base_shade.code",
        published: None,
        needed: always,
        said: base_shade,
        findings: &["criterion-13-base-shade"],
    },
    Entry {
        number: 14,
        name: "Occlusal scheme",
        key: "occlusion.scheme",
        published: None,
        needed: always,
        said: scheme,
        findings: &["criterion-14-scheme"],
    },
    Entry {
        number: 15,
        name: "Vertical dimension",
        key: "vertical.order",
        published: None,
        needed: always,
        said: vertical,
        findings: &[
            "criterion-15-vertical",
            "vertical-change-without-amount",
            "vertical-change-without-place",
        ],
    },
    Entry {
        number: 16,
        name: "Jaw record",
        key: "jaw.position",
        published: None,
        needed: always,
        said: jaw_record,
        findings: &["criterion-16-jaw-record"],
    },
    Entry {
        number: 17,
        name: "Facebow record and plane",
        key: "facebow.made",
        published: None,
        needed: always,
        said: mounting,
        findings: &["criterion-17-mounting", "facebow-without-plane"],
    },
    Entry {
        number: 18,
        name: "Posterior palatal seal",
        key: "seal.by",
        published: Some(
            "not left to the technician by 58 % of 153 practitioners of one city (Al-Kaisy 2016)",
        ),
        needed: seal_made,
        said: seal,
        findings: &["criterion-18-seal"],
    },
    Entry {
        number: 19,
        name: "Borders and relief",
        key: "borders.order",
        published: None,
        needed: always,
        said: borders,
        findings: &["criterion-19-borders", "tray-undescribed"],
    },
    Entry {
        number: 20,
        name: "Base material and process",
        key: "base.material",
        published: None,
        needed: always,
        said: base,
        findings: &["criterion-20-base"],
    },
    Entry {
        number: 21,
        name: "List of what is enclosed",
        key: "enclosed.0.tag",
        published: None,
        needed: always,
        said: enclosed,
        findings: &["criterion-21-enclosed"],
    },
    Entry {
        number: 22,
        name: "Disinfectant and contact time",
        key: "enclosed.0.agent",
        published: Some("7 % (China 2014) to 9 % (Tabriz 2016), on fixed and partial work"),
        needed: travels,
        said: disinfected,
        findings: &["criterion-22-disinfection", "agent-is-no-disinfectant"],
    },
    Entry {
        number: 23,
        name: "Materials to be avoided",
        key: "patient.exclusions",
        published: None,
        needed: always,
        said: exclusions,
        findings: &["criterion-23-exclusions"],
    },
    Entry {
        number: 24,
        name: "Denture marking",
        key: "marking.offered",
        published: None,
        needed: always,
        said: marking,
        findings: &[
            "criterion-24-marking",
            "marking-not-offered",
            "marking-answer-unsaid",
        ],
    },
];

fn travels(input: &Input<'_>) -> bool {
    !input.sends_files_alone()
}
fn seal_made(input: &Input<'_>) -> bool {
    input.orders(Arch::Upper)
}

fn filled(text: &str) -> bool {
    !text.trim().is_empty()
}

fn patient_code(input: &Input<'_>) -> bool {
    filled(&input.setting.patient_code)
}
fn age_band(input: &Input<'_>) -> bool {
    input
        .patient()
        .is_some_and(|patient| patient.age_band.is_some())
}
fn prescriber(input: &Input<'_>) -> bool {
    filled(&input.setting.dentist.name)
}
fn licence(input: &Input<'_>) -> bool {
    filled(&input.setting.dentist.licence)
}
fn signature(input: &Input<'_>) -> bool {
    input.setting.signature != CanSign::Impossible
}
fn issued(input: &Input<'_>) -> bool {
    input.setting.issued.is_some()
}
fn wanted(input: &Input<'_>) -> bool {
    input.rx.dates.wanted.is_some()
}
fn laboratory(input: &Input<'_>) -> bool {
    filled(&input.setting.lab.name)
}

/// Whether a piece says what it is of and how far it is to go.
pub fn is_named(piece: &Piece) -> bool {
    piece.arch.is_some() && piece.stage.is_some()
}

fn pieces(input: &Input<'_>) -> bool {
    let whole =
        |piece: &Piece| is_named(piece) && piece.description.is_some() && piece.materials.is_some();
    !input.pieces().is_empty() && input.pieces().iter().all(whole)
}

fn tooth_shade(input: &Input<'_>) -> bool {
    let shade = &input.rx.shade;
    match shade.source {
        Some(ShadeSource::Pattern) => true,
        Some(ShadeSource::Measured) => {
            shade.lightness.is_some() && shade.a.is_some() && shade.b.is_some()
        }
        Some(ShadeSource::Tab) | None => shade.tab.is_some(),
    }
}

fn is_chosen(choice: Option<ToothChoice>, moulds: [&Option<Text>; 2], is_measured: bool) -> bool {
    let named = moulds.iter().any(|mould| mould.is_some());
    match choice {
        Some(ToothChoice::Pattern) => true,
        Some(ToothChoice::LabProposes) => named || is_measured,
        Some(ToothChoice::Mould) | None => named,
    }
}

/// Whether the lab knows which front teeth to take.
pub fn front_teeth_chosen(teeth: &Anterior) -> bool {
    let measured = teeth.width_mm.is_some() || teeth.central_width_mm.is_some();
    is_chosen(
        teeth.choice,
        [&teeth.upper_mould, &teeth.lower_mould],
        measured,
    )
}

/// Whether the lab knows which back teeth to take.
pub fn back_teeth_chosen(teeth: &Posterior) -> bool {
    let measured = teeth.length_mm.is_some();
    is_chosen(
        teeth.choice,
        [&teeth.upper_mould, &teeth.lower_mould],
        measured,
    )
}

fn mould(input: &Input<'_>) -> bool {
    input.copies_teeth()
        || front_teeth_chosen(&input.rx.anterior) && back_teeth_chosen(&input.rx.posterior)
}

/// The first arch that is ordered and whose cusps are not said.
pub fn arch_without_cusps(input: &Input<'_>) -> Option<Arch> {
    let is_open = |arch: &Arch| input.orders(*arch) && input.rx.posterior.cusps(*arch).is_none();
    BOTH.into_iter()
        .find(is_open)
        .filter(|_| !input.copies_teeth())
}

fn material_and_cusps(input: &Input<'_>) -> bool {
    let (front, back) = (&input.rx.anterior, &input.rx.posterior);
    front.material.is_some() && back.material.is_some() && arch_without_cusps(input).is_none()
}

fn base_shade(input: &Input<'_>) -> bool {
    let shade = &input.rx.base_shade;
    let measured = shade.lightness.is_some() && shade.a.is_some() && shade.b.is_some();
    shade.code.is_some() || measured
}

fn scheme(input: &Input<'_>) -> bool {
    input.rx.occlusion.scheme.is_some()
}

fn vertical(input: &Input<'_>) -> bool {
    let vertical = &input.rx.vertical;
    let known = vertical.occlusal_mm.is_some() || input.rx.guidance.pin_mm.is_some();
    let said = match vertical.order {
        None => false,
        Some(VerticalOrder::Keep) => true,
        Some(VerticalOrder::Open | VerticalOrder::Close) => {
            vertical
                .change_mm
                .is_some_and(|change| change.hundredths() > 0)
                && vertical.change_at.is_some()
        }
    };
    known && said
}

fn jaw_record(input: &Input<'_>) -> bool {
    let jaw = &input.rx.jaw;
    let mut files = input.rx.scan_set.scans.iter();
    let is_filed = files.any(|scan| scan.shows == Some(ScanShows::InOcclusion));
    let record = jaw.item.is_some() || jaw.material.is_some() || is_filed;
    jaw.position.is_some() && (record || jaw.position == Some(JawPosition::Intercuspation))
}

fn mounting(input: &Input<'_>) -> bool {
    let facebow = &input.rx.facebow;
    let kept = facebow.kept_mounting == Some(YesNo::Yes);
    kept || (facebow.made.is_some() && facebow.plane.is_some())
}

fn seal(input: &Input<'_>) -> bool {
    input.rx.seal.by.is_some()
}
fn borders(input: &Input<'_>) -> bool {
    let tray = &input.rx.impression;
    let of_tray = tray.tray.is_some() || tray.tray_short_mm.is_some();
    input.rx.borders.order.is_some() || (of_tray && input.has_stage(Stage::Tray))
}
fn base(input: &Input<'_>) -> bool {
    input.rx.base.material.is_some() && input.rx.base.process.is_some()
}

fn enclosed(input: &Input<'_>) -> bool {
    input.names_each_enclosure() || input.sends_files_alone()
}

/// Whether a row of the list has to say how it was disinfected, and does not. What is not known to be
/// clean by nature is asked for.
pub fn lacks_disinfection(input: &Input<'_>, row: &Enclosed) -> bool {
    let kind = row.tag.as_ref().and_then(|tag| input.kind(tag));
    let is_unsaid = row.agent.is_none() || row.minutes.is_none();
    kind.is_none_or(ItemKind::needs_disinfection) && is_unsaid && !is_undisinfected(input, row)
}

/// Whether a row names something that disinfects nothing: soap, water, "not done".
pub fn names_no_disinfectant(row: &Enclosed) -> bool {
    let text = row.agent.as_ref().map(Text::as_str);
    text.is_some_and(|text| no_disinfectant(text).is_some())
}

/// Whether a thing of the list went out with something that disinfects nothing.
fn is_undisinfected(input: &Input<'_>, row: &Enclosed) -> bool {
    let kind = row.tag.as_ref().and_then(|tag| input.kind(tag));
    kind.is_some_and(ItemKind::needs_disinfection) && names_no_disinfectant(row)
}

fn disinfected(input: &Input<'_>) -> bool {
    !input
        .enclosed()
        .iter()
        .any(|row| lacks_disinfection(input, row) || is_undisinfected(input, row))
}

fn exclusions(input: &Input<'_>) -> bool {
    let Some(patient) = input.patient() else {
        return false;
    };
    match patient.exclusions {
        Some(ExclusionsAsked::NoneKnown) => true,
        Some(ExclusionsAsked::Listed) => !patient.excluded().is_empty(),
        Some(ExclusionsAsked::NotAsked) | None => false,
    }
}

fn marking(input: &Input<'_>) -> bool {
    let marking = &input.rx.marking;
    marking.offered == Some(YesNo::Yes) && marking.answer.is_some()
}

/// Whether criterion `number` is needed here and not met: what its rule in the review asks.
pub fn lacks(input: &Input<'_>, number: usize) -> bool {
    TABLE
        .iter()
        .any(|entry| entry.number == number && entry.applies(input) && !(entry.said)(input))
}

/// All twenty-four, in order.
pub fn criteria(document: &Prescription, setting: &Setting) -> Vec<Criterion> {
    let input = Input::new(document, setting);
    TABLE.iter().map(|entry| entry.judge(&input)).collect()
}

impl Entry {
    fn applies(&self, input: &Input<'_>) -> bool {
        point_applies(&input.courses, input.rx, self.number) && (self.needed)(input)
    }

    fn judge(&self, input: &Input<'_>) -> Criterion {
        let needed = self.applies(input);
        Criterion {
            number: self.number,
            name: self.name,
            met: !needed || (self.said)(input),
            needed,
            key: self.key,
            published: self.published,
            findings: self.findings,
        }
    }
}

/// How many of those that apply are met.
pub fn score(criteria: &[Criterion]) -> usize {
    let met = |criterion: &&Criterion| criterion.needed && criterion.met;
    criteria.iter().filter(met).count()
}

/// How many of the twenty-four apply to what is ordered.
pub fn applying(criteria: &[Criterion]) -> usize {
    criteria.iter().filter(|criterion| criterion.needed).count()
}

/// What the lab cannot do without, by number. The teeth (10 and 11) count as said where the pattern is
/// copied.
const WORKABLE: &[usize] = &[1, 3, 5, 6, 7, 9, 10, 11, 16, 18, 20, 21, 22];

/// Complete, workable, or to be queried.
pub fn grade(document: &Prescription, setting: &Setting) -> Grade {
    let input = Input::new(document, setting);
    let copies = input.has_pattern() && input.copies();
    let criteria = criteria(document, setting);
    let is_missed = |criterion: &&Criterion| {
        WORKABLE.contains(&criterion.number)
            && !criterion.met
            && !(copies && matches!(criterion.number, 10 | 11))
    };
    if score(&criteria) == applying(&criteria) {
        Grade::Complete
    } else if criteria.iter().any(|criterion| is_missed(&criterion)) {
        Grade::Query
    } else {
        Grade::Workable
    }
}

/// Whether one of the twenty-four asks by this finding.
pub fn is_a_point(id: &str) -> bool {
    TABLE.iter().any(|entry| entry.findings.contains(&id))
}

/// The criterion that a finding asks for, where it is one of the twenty-four.
pub fn asked_by(finding: &Finding) -> Option<usize> {
    let named = |entry: &&Entry| entry.findings.contains(&finding.id);
    TABLE.iter().find(named).map(|entry| entry.number)
}

/// What stands for a part where something is of the prescription as a whole: what is ordered.
pub const NO_PART: &str = "order";

/// The part of the prescription in which a point is filled in, by its number.
pub fn part_of_point(number: u32) -> &'static str {
    part_where(|entry| u32::try_from(entry.number) == Ok(number))
}

/// The same by the finding that asks for it.
pub(super) fn part_of_criterion(id: &str) -> &'static str {
    part_where(|entry| entry.findings.contains(&id))
}

fn part_where(is_it: impl Fn(&Entry) -> bool) -> &'static str {
    let entry = TABLE.iter().find(|entry| is_it(entry));
    let section = entry.and_then(|entry| section_of(entry.key));
    section.map_or(NO_PART, |section| section.key)
}

/// The points that are not said and that no caution which was let stand tells in its own words.
pub fn points_without_caution<'a>(
    missing: &'a [MissingPoint],
    passed: &'a [PassedCaution],
) -> impl Iterator<Item = &'a MissingPoint> {
    let number = |entry: &Entry| u32::try_from(entry.number).ok();
    let is_said = move |point: &MissingPoint| {
        let mut entries = TABLE.iter();
        let entry = entries.find(|entry| number(entry) == Some(point.number));
        let findings = entry.map_or(&[][..], |entry| entry.findings);
        passed.iter().any(|one| findings.contains(&one.id.as_str()))
    };
    missing.iter().filter(move |point| !is_said(point))
}
