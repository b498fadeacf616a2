//! Recomputes the whole record and everything that hangs on it, and says what is wrong.
//!
//! Three things have to fit together: the leaves with their tree and its signed root, the rows that the
//! leaves stand for, and the rules that every event had to obey. Whoever changes one without the others is
//! named by the leaf; whoever changes all of them is found by a root on paper.

mod acting;
mod bench;
mod compare;
mod drafts;
mod papers;
mod pictures;
mod reference;
mod rows;
mod together;
mod tree;
mod worked;

use super::clear_alarm::MOST;
use super::resume::{gone_on_with, not_cleared, unknown_before};
use super::witness::{Newest, all_keys, compared};
use super::{App, AppError};
use crate::record::checkpoint::Checkpoint;
use crate::record::hash::Hash;
use crate::record::key::Verifier;
use crate::record::witness::{Why, cosigned};
use crate::record::words::{PaperRoot, printed};
use crate::store::casts_kept::CastsKept;
use crate::store::custody::count_erasing;
use crate::store::papers_kept::PapersKept;
use crate::store::passed::PassedRow;
use crate::store::record::{head, head_fault, root_at};
use crate::store::{Connection, Lack, witness};
use std::collections::BTreeMap;

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Discrepancy {
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
    /// Rows of reference data: parties, accounts, cards, lists, cleared alarms.
    pub beside: u64,
    /// Texts that were erased on purpose: their commitments stay.
    pub erased: u64,
    /// Pictures that are as their entries say.
    pub pictures: u64,
    /// Scans that are as their entries say.
    pub scans: u64,
    pub root: Option<Hash>,
    pub faults: Vec<Discrepancy>,
    /// What is no fault, and has to be known.
    pub remarks: Vec<String>,
    /// Checkpoints that the two sides keep, and cosignatures.
    pub witnessed: u64,
    /// Work passed on to laboratories with accounts here, as the entries say, and whether this version has drawn it.
    pub passed: Vec<(PassedRow, bool)>,
    /// Until when matrix and casts are kept, as the entries say.
    pub casts: Vec<CastsKept>,
    /// Until when the papers of closed cases are kept, by the case's number, as texts and entries say.
    pub papers: BTreeMap<String, PapersKept>,
    /// The answer about a paper, where one was given and fits.
    pub paper: Option<String>,
}

impl Examined {
    /// The fault of the first wrong leaf, or the first of all.
    pub fn first(&self) -> Option<&Discrepancy> {
        let by_leaf = |fault: &&Discrepancy| fault.leaf.unwrap_or(u64::MAX);
        self.faults.iter().min_by_key(by_leaf)
    }

    pub(super) fn fault(&mut self, leaf: Option<u64>, sentence: impl Into<String>) {
        self.faults.push(Discrepancy {
            leaf,
            sentence: sentence.into(),
        });
    }

    /// Takes what another part has found.
    fn join(&mut self, other: Examined) {
        self.leaves += other.leaves;
        self.cases += other.cases;
        self.events += other.events;
        self.beside += other.beside;
        self.erased += other.erased;
        self.pictures += other.pictures;
        self.scans += other.scans;
        self.witnessed += other.witnessed;
        self.root = self.root.or(other.root);
        self.paper = self.paper.take().or(other.paper);
        self.faults.extend(other.faults);
        self.remarks.extend(other.remarks);
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
///
/// The file, the tree and the rows are looked at side by side, each on a connection of its own, and each of
/// them as the database was when it began: what is done meanwhile is no fault.
pub async fn examine(app: &App, paper: Option<&PaperRoot>) -> Result<Examined, AppError> {
    // The whole tree is made again here.
    let app = &app.without_proofs();
    let file = tokio::spawn(the_file(app.clone()));
    let tree = tokio::spawn(the_tree(app.clone(), paper.cloned()));
    let mut found = Examined::default();
    let mut conn = app.store.snapshot().await?;
    let rows = rows::examine(app, &mut found, &mut conn).await;
    drafts::examine(&mut found, &mut conn).await;
    pictures::examine(&mut found, app, &mut conn).await;
    let listed = papers::listed(&mut found, app, &mut conn).await;
    found.read("Papers of closed cases", listed);
    let of_bench = bench::examine(&mut found, app, &mut conn).await;
    found.read("Devices and codes of the bench", of_bench);
    let fallen = |why: tokio::task::JoinError| AppError::Inner(why.to_string());
    let mut examined = file.await.map_err(fallen)??;
    examined.join(tree.await.map_err(fallen)??);
    if rows.leaves != examined.leaves {
        let strays = rows::strays(&mut found, &mut conn, &rows.known).await;
        found.read("The record", strays);
    }
    examined.join(found);
    Ok(examined)
}

/// Examines the leaves and their tree only, what witnesses keep of it, and a paper: quick, and blind for what the
/// leaves stand for.
pub async fn examine_tree(app: &App, paper: Option<&PaperRoot>) -> Result<Examined, AppError> {
    the_tree(app.clone(), paper.cloned()).await
}

/// The file itself, and whether something stands open in it.
async fn the_file(app: App) -> Result<Examined, AppError> {
    let mut examined = Examined::default();
    // It takes a reader of its own.
    let lack = app.store.lack().await;
    let mut conn = app.store.read().await?;
    let broken = app.store.damage(&mut conn).await;
    let broken = examined.read("The database file", broken.map_err(AppError::from));
    if let Some(places @ 1..) = broken {
        let sentence = format!("The database file is damaged; places found wrong: {places}.");
        examined.fault(None, sentence);
    }
    match lack {
        Ok(lack) => {
            match lack {
                // A copy does not have it; an installation does not start without it.
                Some(Lack::NoWord { path }) => examined.remarks.push(format!(
                    "there is no {path}, so nothing says whether newer entries are missing. In a copy that is as it \
                     should be; where the program serves, it starts only with that file"
                )),
                Some(lack) => examined.fault(None, lack.to_string()),
                None => {}
            }
        }
        Err(why) => {
            examined.read::<()>("How far the key has signed", Err(why.into()));
        }
    }
    let differ = app.store.tables_differ(&mut conn).await;
    for sentence in examined
        .read("How the tables are made", differ.map_err(AppError::from))
        .unwrap_or_default()
    {
        examined.fault(None, sentence);
    }
    // A database of an earlier version does not have that table until the next start.
    if count_erasing(&mut conn).await.unwrap_or_default() > 0 {
        let sentence =
            "An entry stands as being erased, and nothing erases now: it could be written over.";
        examined.fault(None, sentence);
    }
    Ok(examined)
}

/// The leaves and their tree, what witnesses keep of it, and a paper.
async fn the_tree(app: App, paper: Option<PaperRoot>) -> Result<Examined, AppError> {
    let mut examined = Examined::default();
    let mut conn = app.store.snapshot().await?;
    let fault = head_fault(&mut conn, app.store.key()).await;
    if let Some(Some(fault)) = examined.read("The record's head", fault.map_err(AppError::from)) {
        examined.fault(
            None,
            format!(
                "The record does not fit its checkpoint: {}.",
                fault.trim_end_matches('.')
            ),
        );
    }
    tree::examine(&mut examined, &mut conn).await;
    let kept = witnesses(&mut examined, &app, &mut conn).await;
    examined.read("What witnesses keep", kept);
    if let Some(paper) = &paper {
        let answer = compare(&mut conn, paper).await;
        match examined.read("The record", answer) {
            Some(Ok(fits)) => examined.paper = Some(fits),
            Some(Err(sentence)) => examined.fault(None, sentence),
            None => {}
        }
    }
    Ok(examined)
}

/// What each side keeps, against the record; and the alarms that nobody has cleared.
async fn witnesses(
    examined: &mut Examined,
    app: &App,
    conn: &mut Connection,
) -> Result<(), AppError> {
    let mut notes = Vec::new();
    for row in witness::seen_by_all(conn).await? {
        size_of_note(
            examined,
            &format!("party {}", row.party),
            row.size,
            &row.checkpoint,
        );
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
        size_of_note(examined, &who, row.size, &row.checkpoint);
        notes.push((who, row.checkpoint));
    }
    let newest = Newest::read(conn, app.store.key()).await?;
    for (who, note) in notes {
        examined.witnessed += 1;
        if let Some(why) = compared(conn, app, &note, &newest).await? {
            examined.fault(None, kept_words(&who, &note, why));
        }
    }
    let open = witness::open_alarms(conn, MOST).await?;
    for (leaf, id, alarm) in not_cleared(app, conn).await? {
        if !open.iter().any(|one| one.id == alarm) {
            let sentence = format!(
                "Leaf {leaf}, resumption {id}, is an alarm that nobody has cleared, and it does not stand open."
            );
            examined.fault(Some(leaf), sentence);
        }
    }
    for alarm in open {
        let sentence = match unknown_before(conn, &alarm.id).await? {
            Some(sentence) => sentence.to_owned(),
            None => kept_words("An alarm that is not cleared", &alarm.kept, alarm.why),
        };
        examined.fault(None, sentence);
    }
    examined.remarks.extend(gone_on_with(conn).await?);
    Ok(())
}

/// The number beside a kept note must be the note's own: it decides which of two notes is the newer.
fn size_of_note(examined: &mut Examined, who: &str, size: u64, note: &str) {
    let said = Checkpoint::of_note(note).map_or(0, |kept| kept.size);
    if said != size {
        examined.fault(
            None,
            format!("What {who} keeps is listed with {size} entries, and the note says {said}."),
        );
    }
}

fn kept_words(who: &str, note: &str, why: Why) -> String {
    let kept = match Checkpoint::of_note(note) {
        Some(kept) => format!("{} entries with root {}", kept.size, printed(&kept.root)),
        None => "no readable checkpoint".to_owned(),
    };
    format!("{who} keeps {kept}, and {}.", why.shown())
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
    let root = root_at(conn, paper.size).await?;
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
