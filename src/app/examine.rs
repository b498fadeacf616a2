//! Recomputes the whole record and everything that hangs on it, and says what is wrong.
//!
//! Three things have to fit together: the leaves with their tree and its signed root, the rows that the
//! leaves stand for, and the rules that every event had to obey. Whoever changes one without the others is
//! named by the leaf; whoever changes all of them is found by a root on paper.

use super::case_work::CaseWork;
use super::recorded::entries_of;
use super::see_record::read_note;
use super::settle_alarm::MOST;
use super::witness::{Newest, all_keys, compared};
use super::{App, AppError};
use crate::domain::case::{Case, Side};
use crate::domain::custody::{Context, allow};
use crate::domain::handoff;
use crate::record::entry::Entry;
use crate::record::hash::{Hash, leaf_hash};
use crate::record::key::Verifier;
use crate::record::leaf::salts_from_json;
use crate::record::tree::{Frontier, root_plan};
use crate::record::witness::{Why, cosigned};
use crate::record::words::{PaperRoot, printed};
use crate::store::custody::{self as stored, LEAVES_AT_ONCE};
use crate::store::record::{LeafRow, head, head_fault, leaves_from, leaves_of, stored_nodes};
use crate::store::{Connection, StoreError, cases, witness};
use std::collections::BTreeMap;

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The leaf that it is about, where it is about one.
    pub leaf: Option<u64>,
    pub sentence: String,
}

/// What an examination has found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Examined {
    pub leaves: u64,
    pub cases: u64,
    pub events: u64,
    /// Texts that were erased on purpose: their commitments stay.
    pub erased: u64,
    pub root: Option<Hash>,
    pub faults: Vec<Fault>,
    /// Checkpoints that the two sides keep, and cosignatures.
    pub witnessed: u64,
    /// The answer about a paper, where one was given and fits.
    pub paper: Option<String>,
}

impl Examined {
    /// The fault of the first wrong leaf, or the first of all.
    pub fn first(&self) -> Option<&Fault> {
        let by_leaf = |fault: &&Fault| fault.leaf.unwrap_or(u64::MAX);
        self.faults.iter().min_by_key(by_leaf)
    }

    fn fault(&mut self, leaf: Option<u64>, sentence: impl Into<String>) {
        self.faults.push(Fault {
            leaf,
            sentence: sentence.into(),
        });
    }

    /// Takes what could not be read as a fault of its own; anything else is for whoever called.
    fn read<T>(&mut self, what: &str, answer: Result<T, AppError>) -> Option<T> {
        match answer {
            Ok(value) => Some(value),
            Err(error) => {
                self.fault(None, format!("{what} cannot be read: {error}"));
                None
            }
        }
    }
}

/// Examines everything. A database that cannot be read at all is a fault, not an error.
pub async fn examine(app: &App, paper: Option<&PaperRoot>) -> Result<Examined, AppError> {
    let mut examined = Examined::default();
    let mut conn = app.store.read().await?;
    let broken = app.store.damage(&mut conn).await;
    for line in examined
        .read("The database file", broken.map_err(AppError::from))
        .unwrap_or_default()
    {
        examined.fault(None, format!("The database file is damaged: {line}"));
    }
    let fault = head_fault(&mut conn, app.store.key()).await;
    if let Some(Some(fault)) = examined.read("The record's head", fault.map_err(AppError::from)) {
        examined.fault(
            None,
            format!("The record does not fit its checkpoint: {fault}."),
        );
    }
    let tree = tree(&mut examined, &mut conn).await;
    examined.read("The record", tree);
    let rows = every_case(&mut examined, &mut conn).await;
    examined.read("The list of cases", rows);
    let kept = witnesses(&mut examined, app, &mut conn).await;
    examined.read("What witnesses keep", kept);
    if let Some(paper) = paper {
        let answer = compare(&mut conn, paper).await;
        match examined.read("The record", answer) {
            Some(Ok(fits)) => examined.paper = Some(fits),
            Some(Err(sentence)) => examined.fault(None, sentence),
            None => {}
        }
    }
    Ok(examined)
}

/// The leaves in their order, and the tree over them.
async fn tree(examined: &mut Examined, conn: &mut Connection) -> Result<(), AppError> {
    let mut tree = Frontier::default();
    loop {
        let leaves = leaves_from(conn, tree.size(), LEAVES_AT_ONCE).await?;
        if leaves.is_empty() {
            break;
        }
        for leaf in &leaves {
            let expected = tree.size();
            if leaf.number != expected {
                examined.fault(
                    Some(expected),
                    format!(
                        "Leaf {expected} is missing; the next one is {}.",
                        leaf.number
                    ),
                );
                examined.leaves = tree.size();
                return Ok(());
            }
            let hash = leaf_hash(leaf.body.as_bytes());
            if hash.to_string() != leaf.hash {
                examined.fault(
                    Some(leaf.number),
                    format!(
                        "Leaf {}, {} {}, does not fit its hash.",
                        leaf.number, leaf.kind, leaf.about
                    ),
                );
            }
            let finished = tree.append(hash);
            let wrong = stored_nodes(conn, &finished).await?;
            for node in wrong {
                examined.fault(
                    Some(leaf.number),
                    format!(
                        "The stored hash over the leaves up to {} is wrong ({node}).",
                        leaf.number
                    ),
                );
            }
        }
    }
    examined.leaves = tree.size();
    examined.root = Some(tree.root());
    let head = head(conn).await?;
    if head.frontier != tree {
        examined.fault(
            None,
            format!(
                "The leaves come to {} with root {}, and the head says {} with root {}.",
                tree.size(),
                printed(&tree.root()),
                head.frontier.size(),
                printed(&head.frontier.root())
            ),
        );
    }
    Ok(())
}

/// What each side keeps, against the record; and the alarms that nobody has settled.
async fn witnesses(
    examined: &mut Examined,
    app: &App,
    conn: &mut Connection,
) -> Result<(), AppError> {
    let mut notes = Vec::new();
    for row in witness::seen_by_all(conn).await? {
        notes.push((format!("party {}", row.party), row.checkpoint));
    }
    for row in all_keys(conn).await? {
        let who = format!(
            "the browser of {} with the key {}",
            row.account_name, row.key
        );
        let key = Verifier::parse(&row.key).map_err(|why| why.to_string());
        let fits = key.and_then(|key| {
            cosigned(&row.checkpoint, &row.line, app.store.key(), &key)
                .map_err(|why| why.to_string())
        });
        if let Err(why) = fits {
            examined.fault(
                None,
                format!("The cosignature of {who} does not fit: {why}"),
            );
        }
        notes.push((who, row.checkpoint));
    }
    let newest = Newest::read(conn, app.store.key()).await?;
    for (who, note) in notes {
        examined.witnessed += 1;
        if let Some(why) = compared(conn, app, &note, &newest).await? {
            examined.fault(None, kept_words(&who, &note, why));
        }
    }
    for alarm in witness::open_alarms(conn, MOST).await? {
        examined.fault(
            None,
            kept_words("An alarm that is not settled", &alarm.kept, alarm.why),
        );
    }
    Ok(())
}

fn kept_words(who: &str, note: &str, why: Why) -> String {
    let kept = match read_note(note) {
        Some(kept) => format!("{} entries with root {}", kept.size, printed(&kept.root)),
        None => "no readable checkpoint".to_owned(),
    };
    format!("{who} keeps {kept}, and {}.", why.shown())
}

/// Each case's rows against its leaves, and its events against the rules.
async fn every_case(examined: &mut Examined, conn: &mut Connection) -> Result<(), AppError> {
    let mut of_cases = 0;
    for offset in (0..).step_by(LEAVES_AT_ONCE as usize) {
        let chunk = cases::all_cases(conn, LEAVES_AT_ONCE, offset).await?;
        for case in &chunk {
            let leaves = leaves_of(conn, &case.number).await?;
            of_cases += leaves.len() as u64;
            let one = one_case(examined, conn, case, leaves).await;
            examined.read(&format!("Case {}", case.number), one);
        }
        if chunk.is_empty() {
            break;
        }
    }
    if of_cases != examined.leaves {
        examined.fault(
            None,
            format!(
                "{} leaves are of no case that is stored.",
                examined.leaves.abs_diff(of_cases)
            ),
        );
    }
    Ok(())
}

async fn one_case(
    examined: &mut Examined,
    conn: &mut Connection,
    case: &Case,
    leaves: Vec<LeafRow>,
) -> Result<(), AppError> {
    examined.cases += 1;
    let mut rows: BTreeMap<(String, String), Entry> = BTreeMap::new();
    for (about, entry) in entries_of(conn, case).await? {
        rows.insert((entry.kind.word().to_owned(), about), entry);
    }
    for leaf in leaves {
        let key = (leaf.kind.clone(), leaf.about.clone());
        match rows.remove(&key) {
            Some(entry) => compare_row(examined, &leaf, &entry),
            None => examined.fault(
                Some(leaf.number),
                format!(
                    "Leaf {} stands for {} {}, and that is not stored any more.",
                    leaf.number, leaf.kind, leaf.about
                ),
            ),
        }
    }
    for (kind, about) in rows.keys() {
        examined.fault(
            None,
            format!("{kind} {about} of case {} is in no leaf.", case.number),
        );
    }
    let work = CaseWork::of(conn, case.clone(), Side::Office).await?;
    rules(examined, &work);
    derived(examined, conn, &work).await
}

fn compare_row(examined: &mut Examined, leaf: &LeafRow, entry: &Entry) {
    let salts = leaf.salts.as_deref().unwrap_or("{}");
    let salts = serde_json::from_str(salts)
        .ok()
        .as_ref()
        .and_then(salts_from_json);
    let Some(salts) = salts else {
        return examined.fault(
            Some(leaf.number),
            format!("The salts of leaf {} cannot be read.", leaf.number),
        );
    };
    match entry.matches(leaf.body.as_bytes(), &salts) {
        Ok(erased) => examined.erased += erased.len() as u64,
        Err(why) => examined.fault(
            Some(leaf.number),
            format!(
                "Leaf {} and its {} {} differ: {why}",
                leaf.number, leaf.kind, leaf.about
            ),
        ),
    }
}

/// Every event must have been allowed where it stands.
fn rules(examined: &mut Examined, work: &CaseWork) {
    for (place, event) in work.events.iter().enumerate() {
        examined.events += 1;
        let context = Context {
            events: work.events.get(..place).unwrap_or_default(),
            ..work.context()
        };
        for refusal in allow(&context, &event.what, &event.by, event.at) {
            examined.fault(
                None,
                format!(
                    "Event {} of case {} breaks rule {:?}: {}",
                    event.id, work.case.number, refusal.rule, refusal.sentence
                ),
            );
        }
    }
}

/// What is drawn from the events for lists must be what the events say.
async fn derived(
    examined: &mut Examined,
    conn: &mut Connection,
    work: &CaseWork,
) -> Result<(), AppError> {
    let mut again = work.clone();
    again.draw();
    let (is, should) = (&work.case, &again.case);
    if (is.place, &is.held, &is.waiting_for) != (should.place, &should.held, &should.waiting_for) {
        examined.fault(
            None,
            format!(
                "Case {} is listed as {:?}, and its events say {:?}.",
                is.number, is.place, should.place
            ),
        );
    }
    for one in handoff::fold(&work.events) {
        let row = stored::find_handoff(conn, &one.id).await?;
        if row.is_none_or(|row| row.state != one.state().word() || row.case != is.number) {
            examined.fault(
                None,
                format!("Handoff {} is not listed as its events say.", one.id),
            );
        }
    }
    Ok(())
}

/// Whether the paper's root is a prefix of this record.
pub(super) async fn compare(
    conn: &mut Connection,
    paper: &PaperRoot,
) -> Result<Result<String, String>, AppError> {
    let size = head(conn).await?.frontier.size();
    if paper.size > size {
        return Ok(Err(format!(
            "The paper was printed at {} entries, and the record has only {size}: entries are missing.",
            paper.size
        )));
    }
    let root = crate::store::record::hashes(conn, &root_plan(paper.size))
        .await?
        .pop()
        .ok_or_else(|| StoreError::row("tree_node", paper.size, "no root"))?;
    Ok(if paper.fits(&root) {
        Ok(format!(
            "The paper's {} entries are the first {} of this record, unchanged{}.",
            paper.size,
            paper.size,
            if paper.is_abbreviated() {
                format!(
                    " (compared by the first {} digits of the root)",
                    paper.digits()
                )
            } else {
                String::new()
            }
        ))
    } else {
        Err(format!(
            "The paper says {paper}, and the first {} entries of this record come to {}: the record was rewritten, or the paper is of another one.",
            paper.size,
            printed(&root)
        ))
    })
}
