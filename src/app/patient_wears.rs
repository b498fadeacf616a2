//! What a patient wears, by the newest word of any of the patient's cases, and in what two of them contradict each other.

use super::case_work::CaseWork;
use super::custody_words::worn_words;
use super::see_case::CaseView;
use super::whose_case::is_of_patient;
use super::{App, AppError, Person, see_case};
use crate::domain::custody::case::Case;
use crate::domain::custody::contradictions::{CaseSays, Contradiction, contradictions};
use crate::domain::custody::mouth::{self, Wears};
use crate::domain::values::arch::Arch;
use crate::domain::values::ids::{CaseNumber, PartyId, PatientCode};
use crate::domain::values::moment::Moment;
use crate::store::cases;
use std::collections::BTreeMap;

/// A sentence for each arch that any of these cases treats.
pub async fn worn(app: &App, person: &Person, cases: &[Case]) -> Result<Vec<String>, AppError> {
    let mut newest: BTreeMap<Arch, (Option<Moment>, String)> = BTreeMap::new();
    let mut left_out = Vec::new();
    for case in cases {
        let view = match other_case(app, person, &case.number, &case.patient).await? {
            OtherCase::Sound(view) => view,
            OtherCase::Doubted(words) => {
                left_out.push(words);
                continue;
            }
            OtherCase::Strange => continue,
        };
        let work = &view.work;
        for &arch in case.arches.treated() {
            let stretch = mouth::worn_now(&work.items, &work.state, arch);
            let is_empty = !matches!(stretch.wears, Wears::Item(_));
            let teeth = work.teeth_in(arch).filter(|_| is_empty);
            let words = match teeth {
                Some(teeth) => teeth.shown().to_owned(),
                None => worn_words(work, &stretch.wears),
            };
            let entry = newest.entry(arch).or_insert((None, words.clone()));
            if stretch.from.map(|at| at.unix_ms) > entry.0.map(|at| at.unix_ms) {
                *entry = (stretch.from, words);
            }
        }
    }
    let said = newest.into_iter().map(sentence);
    Ok(said.chain(left_out).collect())
}

/// Another case that is listed for a patient.
enum OtherCase {
    /// It is as the record says.
    Sound(Box<CaseView>),
    /// It is not, and nobody goes by it: in words.
    Doubted(String),
    /// It is of another patient or other houses, whatever its row says: of those nothing is told.
    Strange,
}

/// A page that was kept shows the case as it was when it was held, whoever has changed its row since.
async fn other_case(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    patient: &PatientCode,
) -> Result<OtherCase, AppError> {
    let doubted = || {
        OtherCase::Doubted(format!(
            "What case {number} says is left out here: it is not as the record says."
        ))
    };
    match see_case::see(app, person, number).await {
        Ok(view) if view.work.case.patient != *patient => Ok(OtherCase::Strange),
        Ok(view) if view.work.doubt.is_some() => Ok(doubted()),
        Ok(view) => Ok(OtherCase::Sound(Box::new(view))),
        Err(AppError::NotFound) => Ok(OtherCase::Strange),
        Err(error) if error.is_of_one_alone() => {
            tracing::error!(case = %number, %error, "a case cannot be read");
            Ok(doubted())
        }
        Err(other) => Err(other),
    }
}

/// Other cases of a patient that are looked through: the newest.
const OTHERS_MOST: usize = 5;

/// What other cases of the same patient say of the arches of one case.
#[derive(Debug, Clone, Default)]
pub struct Elsewhere {
    /// Which case says what is worn, and since when.
    pub sentences: Vec<String>,
    /// In what else an open case contradicts this one.
    pub besides: Vec<String>,
    /// For each arch of the case: what is worn by the newest word, where another case has it.
    newest: Vec<Option<(Moment, String)>>,
}

impl Elsewhere {
    /// Puts the newest word of any case into what one case says of its arches, in their order.
    pub fn correct(&self, mouth: &mut [(String, String)]) {
        for (row, newest) in mouth.iter_mut().zip(&self.newest) {
            if let Some((_, words)) = newest {
                row.1.clone_from(words);
            }
        }
    }
}

/// The newest other cases of the patient of a case, as far as the record has them for that patient.
async fn others_of(app: &App, this: &Case) -> Result<Vec<Case>, AppError> {
    let mut conn = app.store.read_at_once().await?;
    let others = cases::cases_of_patient(&mut conn, &this.patient).await?;
    let others = others.iter().filter(|case| case.number != this.number);
    let mut cases = Vec::new();
    for case in others.take(OTHERS_MOST) {
        if is_of_patient(app, &mut conn, case, &this.patient).await? {
            cases.push(case.clone());
        }
    }
    Ok(cases)
}

/// What another case says of an arch.
struct SaidThere {
    sentence: String,
    /// Since when it is worn, and the words, where this is later than what this case says.
    later: Option<(Moment, String)>,
}

/// None where the other case says nothing that this one would be told; `contradicts`: of what is worn, the two do.
fn said_there(
    (own, work): (&CaseWork, &CaseWork),
    arch: Arch,
    contradicts: bool,
) -> Option<SaidThere> {
    let here = mouth::worn_now(&own.items, &own.state, arch);
    let there = mouth::worn_now(&work.items, &work.state, arch);
    let is_said = match there.wears {
        Wears::Item(_) => true,
        Wears::Nothing => contradicts,
        Wears::Unknown => false,
    };
    if !is_said {
        return None;
    }
    let worn = worn_words(work, &there.wears);
    let words = format!("{worn}{}", since_words(there.from));
    let own_words = match here.wears {
        Wears::Unknown => String::new(),
        _ => format!(
            " This case says: {}{}.",
            worn_words(own, &here.wears),
            since_words(here.from)
        ),
    };
    let number = &work.case.number;
    let sentence = format!(
        "Case {number} says of the {} arch: {words}.{own_words}",
        arch.shown()
    );
    let is_later = there.from.map(at_ms) > here.from.map(at_ms);
    let later = there.from.filter(|_| is_later);
    let later = later.map(|at| (at, format!("{words}, by case {number}")));
    Some(SaidThere { sentence, later })
}

/// What other cases of the same patient say is worn in the arches of this one, for the office. One mouth may stand in
/// two cases, and each tells of its own things only: what is worn now is the newest word of any of them.
pub async fn elsewhere(app: &App, person: &Person, own: &CaseWork) -> Result<Elsewhere, AppError> {
    let this = &own.case;
    if person.party_id() != &this.office {
        return Ok(Elsewhere::default());
    }
    let cases = others_of(app, this).await?;
    let arches = this.arches.treated();
    let mut found = Elsewhere {
        sentences: Vec::new(),
        besides: Vec::new(),
        newest: vec![None; arches.len()],
    };
    for case in &cases {
        let view = match other_case(app, person, &case.number, &this.patient).await? {
            OtherCase::Sound(view) => view,
            OtherCase::Doubted(words) => {
                found.sentences.push(words);
                continue;
            }
            OtherCase::Strange => continue,
        };
        let work = &view.work;
        let both = contradictions(&says(own), &says(work));
        if !this.closed && !case.closed {
            let besides = both.iter();
            let besides = besides.filter(|one| !matches!(one, Contradiction::Worn(_)));
            let sentences = besides.map(|one| sentence_of(*one, (own, work)));
            found.besides.extend(sentences);
        }
        for (&arch, newest) in arches.iter().zip(&mut found.newest) {
            let contradicts = both.contains(&Contradiction::Worn(arch));
            let Some(said) = said_there((own, work), arch, contradicts) else {
                continue;
            };
            found.sentences.push(said.sentence);
            let before = newest.as_ref().map(|(at, _)| at_ms(*at));
            let later = said.later;
            if let Some(later) = later.filter(|(at, _)| Some(at_ms(*at)) > before) {
                *newest = Some(later);
            }
        }
    }
    Ok(found)
}

/// Open cases of an office that are looked through on its first page; no office has so many under way.
const OPEN_MOST: i64 = 1_000;
/// Patients of whom two open cases are held against each other there.
const PATIENTS_MOST: i64 = 20;

/// Two open cases of one patient that contradict each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contradicting {
    pub cases: [CaseNumber; 2],
    pub sentences: Vec<String>,
}

/// The open cases of an office that contradict each other, for its first page: whoever enters something in one of them
/// does not see the other.
pub async fn contradicting(
    app: &App,
    person: &Person,
    office: &PartyId,
) -> Result<Vec<Contradicting>, AppError> {
    let mut conn = app.store.read().await?;
    let most = (OPEN_MOST, PATIENTS_MOST);
    let several = cases::open_side_by_side(&mut conn, office, most).await?;
    drop(conn);
    let mut found = Vec::new();
    for numbers in several {
        let mut views = Vec::new();
        for number in numbers.iter().take(OTHERS_MOST) {
            // A case that cannot be read keeps nobody from the page: its own line says so.
            match see_case::see(app, person, number).await {
                Ok(view) if view.work.doubt.is_none() => views.push(view),
                Ok(_) => {}
                Err(why) => tracing::error!(case = %number, ?why, "a case cannot be read"),
            }
        }
        for (place, one) in views.iter().enumerate() {
            // For whom each is, its leaf says, and not the row by which it was found.
            let patient = &one.work.case.patient;
            let others = views.iter().skip(place + 1);
            for other in others.filter(|other| other.work.case.patient == *patient) {
                found.extend(pair(&one.work, &other.work));
            }
        }
    }
    Ok(found)
}

fn pair(one: &CaseWork, other: &CaseWork) -> Option<Contradicting> {
    let all = contradictions(&says(one), &says(other)).into_iter();
    let sentences: Vec<String> = all.map(|found| sentence_of(found, (one, other))).collect();
    (!sentences.is_empty()).then(|| Contradicting {
        cases: [one.case.number.clone(), other.case.number.clone()],
        sentences,
    })
}

fn says(work: &CaseWork) -> CaseSays<'_> {
    CaseSays {
        items: &work.items,
        state: &work.state,
        ordered: &work.ordered,
        arches: work.case.arches.treated(),
    }
}

/// In what two cases contradict each other.
fn sentence_of(found: Contradiction, (one, other): (&CaseWork, &CaseWork)) -> String {
    let arch = found.arch();
    let (first, second) = (&one.case.number, &other.case.number);
    let kept = |keeps: &CaseNumber, leaves: &CaseNumber| {
        format!(
            "Case {keeps} keeps the old denture of the {} arch away from the patient; by case {leaves} the patient has it.",
            arch.shown()
        )
    };
    match found {
        Contradiction::Worn(_) => {
            let word = |work: &CaseWork| {
                let worn = mouth::worn_now(&work.items, &work.state, arch);
                format!(
                    "case {} says {}{}",
                    work.case.number,
                    worn_words(work, &worn.wears),
                    since_words(worn.from)
                )
            };
            format!(
                "Worn in the {} arch: {}; {}.",
                arch.shown(),
                word(one),
                word(other)
            )
        }
        Contradiction::OldKeptByFirst(_) => kept(first, second),
        Contradiction::OldKeptBySecond(_) => kept(second, first),
        Contradiction::SameWork(_) => format!(
            "Cases {first} and {second} both order a denture for the {} arch that is still to be made.",
            arch.shown()
        ),
    }
}

fn at_ms(at: Moment) -> i64 {
    at.unix_ms
}

/// " since Mon 2 Mar 2026 …"; empty where nobody knows.
fn since_words(since: Option<Moment>) -> String {
    since.map_or_else(String::new, |at| format!(" since {}", at.in_words()))
}

fn sentence((arch, (since, words)): (Arch, (Option<Moment>, String))) -> String {
    let since = since_words(since);
    let name = match arch {
        Arch::Upper => "Upper",
        Arch::Lower => "Lower",
    };
    format!("{name}: {words}{since}.")
}
