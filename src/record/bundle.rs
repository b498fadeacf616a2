//! A folder that a third person can check without us: the entries of a case with their proofs and texts, the
//! signed checkpoint, the key, and how to do it. Built and checked here as a map from file name to bytes.
//!
//! The key in the folder came by the same way as all the rest. Only a key or a root that came by another way,
//! on paper, makes the check worth something; both can be given, and the report says when they were not.

use super::checkpoint::{Checkpoint, OpenedCheckpoint};
use super::entry::LeafKind;
use super::hash::{Hash, leaf_hash};
use super::key::Verifier;
use super::leaf::{
    Mismatch, Salt, Salts, commitment, matches, read_canonical, salts_from_json, salts_to_json,
};
use super::proof::{GrowthProof, InclusionProof};
use super::tree::verify_inclusion;
use super::words::{PaperRoot, printed};
use crate::domain::values::digest::hex;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// The files of a folder by their names.
pub type Files = BTreeMap<String, Vec<u8>>;

const README: &str = "README.txt";
const KEY: &str = "log.vkey";
const WITNESSES: &str = "witnesses.vkey";
const CHECKPOINT: &str = "checkpoint.txt";
const OLDER: &str = "older.txt";
const GROWTH: &str = "growth.txt";
const ENTRY: &str = ".json";
const PROOF: &str = ".tlog-proof";
const TEXTS: &str = ".texts.json";

/// What goes into a folder.
#[derive(Debug, Clone, PartialEq)]
pub struct Bundle {
    /// As people read it.
    pub case: String,
    pub key: Verifier,
    pub witnesses: Vec<Verifier>,
    /// A signed note.
    pub checkpoint: String,
    pub leaves: Vec<BundleLeaf>,
    pub older: Option<Older>,
}

/// One entry with its proof against the bundle's checkpoint.
#[derive(Debug, Clone, PartialEq)]
pub struct BundleLeaf {
    pub index: u64,
    pub bytes: Vec<u8>,
    pub proof: Vec<Hash>,
    /// The entry with its texts, those erased left empty.
    pub value: Value,
    pub salts: Salts,
}

/// An earlier size with its whole root, and the proof from there to the bundle's checkpoint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Older {
    pub size: u64,
    pub root: Hash,
    pub proof: Vec<Hash>,
}

impl Bundle {
    pub fn files(&self) -> Files {
        let mut files = Files::new();
        let mut put = |name: String, text: String| {
            files.insert(name, text.into_bytes());
        };
        put(README.to_owned(), self.readme());
        put(KEY.to_owned(), format!("{}\n", self.key));
        put(CHECKPOINT.to_owned(), self.checkpoint.clone());
        if !self.witnesses.is_empty() {
            let lines = self.witnesses.iter().map(|key| format!("{key}\n"));
            put(WITNESSES.to_owned(), lines.collect());
        }
        if let Some(older) = &self.older {
            let paper = PaperRoot::new(older.size, &older.root);
            put(OLDER.to_owned(), format!("{paper}\n"));
            put(GROWTH.to_owned(), self.growth(older).to_string());
        }
        for leaf in &self.leaves {
            let stem = stem(leaf.index);
            put(format!("{stem}{PROOF}"), self.proof(leaf).to_string());
            put(format!("{stem}{TEXTS}"), written(&leaf.value, &leaf.salts));
        }
        let entry =
            |leaf: &BundleLeaf| (format!("{}{ENTRY}", stem(leaf.index)), leaf.bytes.clone());
        files.extend(self.leaves.iter().map(entry));
        files
    }

    fn proof(&self, leaf: &BundleLeaf) -> InclusionProof {
        InclusionProof {
            extra: None,
            index: leaf.index,
            hashes: leaf.proof.clone(),
            checkpoint: self.checkpoint.clone(),
        }
    }

    fn growth(&self, older: &Older) -> GrowthProof {
        GrowthProof {
            old: older.size,
            hashes: older.proof.clone(),
            checkpoint: self.checkpoint.clone(),
        }
    }

    /// A text to try the opening with: the first of the folder that stands on one line, or an invented one.
    fn example(&self) -> Example {
        let texts = self.leaves.iter().flat_map(|leaf| {
            let salts = leaf.salts.iter();
            salts.map(move |(path, salt)| (leaf, path, salt))
        });
        let mut fitting = texts.filter_map(|(leaf, path, salt)| {
            let text = leaf.value.pointer(path)?.as_str()?;
            let is_line = !text.is_empty() && !text.chars().any(char::is_control);
            is_line.then(|| Example {
                words: format!("Filled in is {path} of entry {:08}.", leaf.index),
                salt: *salt,
                text: text.to_owned(),
            })
        });
        let invented = || Example {
            words: "Filled in is an invented text: no entry here has one.".to_owned(),
            salt: Salt::default(),
            text: "an invented text".to_owned(),
        };
        fitting.next().unwrap_or_else(invented)
    }

    fn readme(&self) -> String {
        let first = self.leaves.first().map_or(0, |leaf| leaf.index);
        let example = self.example();
        // What is typed stands last, so that no word of it is taken for one to be filled in.
        include_str!("readme.txt")
            .replace("{example}", &example.words)
            .replace("{salt}", &hex(&example.salt))
            .replace("{committed}", &commitment(&example.salt, &example.text))
            .replace("{case}", &self.case)
            .replace("{origin}", self.key.name())
            .replace("{key_id}", &self.key.id().to_string())
            .replace("{leaf}", &format!("{first:08}"))
            .replace("{text}", &quoted(&example.text))
    }
}

/// A text that the instructions open.
struct Example {
    words: String,
    salt: Salt,
    text: String,
}

/// A text as a shell takes it.
fn quoted(text: &str) -> String {
    format!("'{}'", text.replace('\'', "'\\''"))
}

/// The texts of an entry with their salts, as the file of them is written.
fn written(value: &Value, salts: &Salts) -> String {
    let texts = json!({ "value": value, "salts": salts_to_json(salts) });
    format!("{texts:#}\n")
}

/// Eight digits, so that a list of files is in the order of the record.
fn stem(index: u64) -> String {
    format!("leaf-{index:08}")
}

/// What the check says of one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileVerdict {
    Fits,
    Fault,
    /// Nothing hangs on it.
    NotChecked,
}

/// One sentence for one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileLine {
    pub file: String,
    pub verdict: FileVerdict,
    pub sentence: String,
}

/// What came of a check, file by file.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Report {
    pub lines: Vec<FileLine>,
    /// Entries that are in the record and fit.
    pub entries: usize,
    /// Of how many cases they are.
    pub cases: usize,
    /// What is missing by what the entries themselves say, a sentence each.
    pub gaps: Vec<String>,
}

impl Report {
    pub fn holds(&self) -> bool {
        self.first_fault().is_none()
    }

    pub fn first_fault(&self) -> Option<&FileLine> {
        self.lines
            .iter()
            .find(|line| line.verdict == FileVerdict::Fault)
    }

    fn add(&mut self, file: &str, verdict: FileVerdict, sentence: impl Into<String>) {
        self.lines.push(FileLine {
            file: file.to_owned(),
            verdict,
            sentence: sentence.into(),
        });
    }

    /// Takes an answer down, and hands on what fits.
    fn note<T>(&mut self, file: &str, answer: Answer<T>) -> Option<T> {
        match answer {
            Ok((value, sentence)) => {
                self.add(file, FileVerdict::Fits, sentence);
                Some(value)
            }
            Err(sentence) => {
                self.add(file, FileVerdict::Fault, sentence);
                None
            }
        }
    }
}

/// What was read and the sentence about it, or the sentence about the fault.
type Answer<T> = Result<(T, String), String>;

/// Checks a folder. `key` and `paper` are what came by another way than the folder.
pub fn verify(files: &Files, key: Option<&Verifier>, paper: Option<&PaperRoot>) -> Report {
    let mut report = Report::default();
    let mut folder = Folder {
        files,
        read: BTreeSet::new(),
    };
    folder.check(&mut report, key, paper);
    folder.name_the_rest(&mut report);
    report
}

/// The files, and which of them the check has taken.
struct Folder<'a> {
    files: &'a Files,
    read: BTreeSet<String>,
}

impl<'a> Folder<'a> {
    /// The file's text; a missing one is a fault too.
    fn text(&mut self, name: &str) -> Result<&'a str, String> {
        self.read.insert(name.to_owned());
        let bytes = self.files.get(name).ok_or("This file is missing.")?;
        if bytes.is_empty() {
            return Err("Nothing was read of it: it is empty, no plain file, or larger than any file of a proof.".to_owned());
        }
        str::from_utf8(bytes).map_err(|_| "This file is not text in UTF-8.".to_owned())
    }

    fn check(&mut self, report: &mut Report, given: Option<&Verifier>, paper: Option<&PaperRoot>) {
        let key = self.key(given);
        let key = report.note(KEY, key).or(given.cloned());
        let witnesses = if self.files.contains_key(WITNESSES) {
            let witnesses = self.witnesses();
            report.note(WITNESSES, witnesses).unwrap_or_default()
        } else {
            Vec::new()
        };
        let Some(key) = key else { return };
        let checkpoint = self.checkpoint(&key, &witnesses);
        let Some((note, seen)) = report.note(CHECKPOINT, checkpoint) else {
            return;
        };
        self.older(report, &seen.checkpoint, note, paper);
        self.leaves(report, &seen.checkpoint, note);
    }

    fn key(&mut self, given: Option<&Verifier>) -> Answer<Verifier> {
        let found = Verifier::parse(self.text(KEY)?).map_err(|why| why.to_string())?;
        let id = found.id();
        match given {
            Some(given) if *given != found => Err(format!(
                "This is the key {id}, and not the key {} that was given.",
                given.id()
            )),
            Some(_) => Ok((found, format!("This is the key {id} that was given."))),
            None => Ok((
                found,
                format!("The key {id} came with the folder: compare it with a paper."),
            )),
        }
    }

    fn witnesses(&mut self) -> Answer<Vec<Verifier>> {
        let keys: Result<Vec<_>, _> = self.text(WITNESSES)?.lines().map(Verifier::parse).collect();
        let keys = keys.map_err(|why| why.to_string())?;
        let names: Vec<&str> = keys.iter().map(Verifier::name).collect();
        let sentence = format!("Witnesses: {}.", names.join(", "));
        Ok((keys, sentence))
    }

    fn checkpoint(
        &mut self,
        key: &Verifier,
        witnesses: &[Verifier],
    ) -> Answer<(&'a str, OpenedCheckpoint)> {
        let note = self.text(CHECKPOINT)?;
        let seen = Checkpoint::open(note, key, witnesses).map_err(|why| why.to_string())?;
        let Checkpoint { origin, size, root } = &seen.checkpoint;
        let mut sentence = format!("{origin} signed {size} entries with root {}", printed(root));
        for witness in &seen.cosigned {
            sentence += &format!("; {} keeps it too", witness.name);
        }
        Ok(((note, seen), sentence + "."))
    }

    /// The paper's root against the checkpoint, or against the older root and the proof of growth.
    fn older(
        &mut self,
        report: &mut Report,
        checkpoint: &Checkpoint,
        note: &str,
        paper: Option<&PaperRoot>,
    ) {
        let mut roots = vec![(CHECKPOINT, checkpoint.size, checkpoint.root)];
        if self.files.contains_key(OLDER) || self.files.contains_key(GROWTH) {
            let older = self.older_root();
            if let Some((size, root)) = report.note(OLDER, older) {
                let growth = self.growth(size, &root, checkpoint, note);
                if report.note(GROWTH, growth).is_some() {
                    roots.push((OLDER, size, root));
                }
            }
        }
        if let Some(paper) = paper {
            let (file, answer) = compare_paper(paper, &roots);
            report.note(file, answer);
        }
    }

    fn older_root(&mut self) -> Answer<(u64, Hash)> {
        let paper = PaperRoot::parse(self.text(OLDER)?).map_err(|why| why.to_string())?;
        let root = paper
            .root()
            .ok_or("The whole root of 64 digits is wanted.")?;
        let sentence = format!("An earlier state of {} entries.", paper.size);
        Ok(((paper.size, root), sentence))
    }

    fn growth(
        &mut self,
        size: u64,
        root: &Hash,
        checkpoint: &Checkpoint,
        note: &str,
    ) -> Answer<()> {
        let growth = GrowthProof::parse(self.text(GROWTH)?).map_err(|why| why.to_string())?;
        same_checkpoint(&growth.checkpoint, note)?;
        if growth.old != size {
            return Err(format!(
                "It begins at {} entries, and {OLDER} at {size}.",
                growth.old
            ));
        }
        growth
            .leads(root, checkpoint)
            .map_err(|why| why.to_string())?;
        let sentence = format!("The record begins with the {size} entries of {OLDER}, unchanged.");
        Ok(((), sentence))
    }

    fn leaves(&mut self, report: &mut Report, checkpoint: &Checkpoint, note: &str) {
        let stems: BTreeSet<&str> = self.files.keys().filter_map(|name| stem_of(name)).collect();
        if stems.is_empty() {
            report.add(
                CHECKPOINT,
                FileVerdict::Fault,
                "There is no entry in this folder.",
            );
        }
        let mut bodies = Vec::new();
        for stem in stems {
            let proof_file = format!("{stem}{PROOF}");
            let entry_file = format!("{stem}{ENTRY}");
            let proof = self.proof(&proof_file, stem, note);
            let proof = report.note(&proof_file, proof);
            let entry = self.entry(&entry_file, proof.as_ref(), checkpoint);
            let entry = report.note(&entry_file, entry);
            let texts_file = format!("{stem}{TEXTS}");
            let Some(entry) = entry else { continue };
            bodies.push(read_canonical(entry).unwrap_or_default());
            if self.files.contains_key(&texts_file) {
                let texts = self.texts(&texts_file, entry);
                report.note(&texts_file, texts);
            } else {
                let sentence = "This file is missing: the entry stands, and what it says in words is not here.";
                report.add(&texts_file, FileVerdict::NotChecked, sentence);
            }
        }
        report.entries = bodies.len();
        let cases = bodies.iter().filter_map(|body| body.get("case"));
        let cases: BTreeSet<_> = cases.filter_map(Value::as_str).collect();
        report.cases = cases.len();
        report.gaps = gaps(&bodies);
    }

    fn proof(&mut self, file: &str, stem_of_file: &str, note: &str) -> Answer<InclusionProof> {
        let proof = InclusionProof::parse(self.text(file)?).map_err(|why| why.to_string())?;
        if stem(proof.index) != stem_of_file {
            return Err(format!("This is the proof of entry {}.", proof.index));
        }
        same_checkpoint(&proof.checkpoint, note)?;
        let sentence = format!(
            "The proof of entry {} against this checkpoint.",
            proof.index
        );
        Ok((proof, sentence))
    }

    fn entry(
        &mut self,
        file: &str,
        proof: Option<&InclusionProof>,
        checkpoint: &Checkpoint,
    ) -> Answer<&'a [u8]> {
        self.text(file)?;
        let bytes = self.files.get(file).ok_or("This file is missing.")?;
        let proof = proof.ok_or("Without its proof it cannot be checked.")?;
        let Checkpoint { size, root, .. } = checkpoint;
        verify_inclusion(&leaf_hash(bytes), proof.index, *size, &proof.hashes, root).map_err(
            |_| "It is not in the record: the entry or its proof was changed.".to_owned(),
        )?;
        let sentence = format!("Entry {}, {}, is in the record.", proof.index, about(bytes));
        Ok((bytes, sentence))
    }

    fn texts(&mut self, file: &str, entry: &[u8]) -> Answer<()> {
        let read = self.text(file)?;
        let texts: Value =
            serde_json::from_str(read).map_err(|why| format!("This file is no JSON: {why}."))?;
        let salts = texts.get("salts").and_then(salts_from_json);
        let (Some(value), Some(salts)) = (texts.get("value"), salts) else {
            return Err("It has no value and salts in the known form.".to_owned());
        };
        let erased = matches(entry, value, &salts).map_err(|why: Mismatch| why.to_string())?;
        // Of a name that stands twice one reader takes the first value and another the last; of a further one, nobody
        // vouches.
        if written(value, &salts) != read {
            return Err(
                "It says more than the entry, or says something twice: it is not as it was written.".to_owned(),
            );
        }
        let sentence = match erased.len() {
            0 => "All texts are those that the entry stands for.".to_owned(),
            1 => "One text has been erased; the others are those that the entry stands for."
                .to_owned(),
            many => format!(
                "{many} texts have been erased; the others are those that the entry stands for."
            ),
        };
        Ok(((), sentence))
    }

    fn name_the_rest(&self, report: &mut Report) {
        for name in self.files.keys().filter(|name| !self.read.contains(*name)) {
            let sentence = match name.as_str() {
                README => {
                    "Says how to check this folder without this program. It came with the folder, and was not checked itself."
                }
                _ => "This file was not checked.",
            };
            report.add(name, FileVerdict::NotChecked, sentence);
        }
    }
}

/// What the entries of a case say of others that are not among them: its opening, and revisions by their numbers.
/// Entries of custody are not numbered by themselves.
fn gaps(bodies: &[Value]) -> Vec<String> {
    let is_kind = |body: &&Value, kind: LeafKind| body.get("kind") == Some(&kind.word().into());
    let number = |body: &Value, place: &str| body.pointer(place).and_then(Value::as_i64);
    let of_kind = |kind, place| -> BTreeSet<i64> {
        let those = bodies.iter().filter(|body| is_kind(body, kind));
        those.filter_map(|body| number(body, place)).collect()
    };
    let signed = of_kind(LeafKind::Revision, "/revision/number");
    let answered = of_kind(LeafKind::Acknowledgement, "/acknowledgement/revision");
    let last = signed.iter().chain(&answered).max().copied();
    let mut said = Vec::new();
    if !bodies.iter().any(|body| is_kind(&body, LeafKind::Case)) {
        said.push("The entry by which the case was opened is not here.".to_owned());
    }
    // A number is what somebody else has written: no more are named than can be read.
    let missing = (1..=last.unwrap_or(0)).filter(|number| !signed.contains(number));
    said.extend(
        missing
            .take(20)
            .map(|number| format!("Revision {number} is not here.")),
    );
    said
}

/// `leaf-00000007` of each of the names that begin so.
fn stem_of(name: &str) -> Option<&str> {
    let stem = [TEXTS, PROOF, ENTRY]
        .iter()
        .find_map(|end| name.strip_suffix(end))?;
    let digits = stem.strip_prefix("leaf-")?;
    digits
        .bytes()
        .all(|byte| byte.is_ascii_digit())
        .then_some(stem)
}

fn same_checkpoint(found: &str, wanted: &str) -> Result<(), String> {
    if found == wanted {
        return Ok(());
    }
    Err(format!(
        "The checkpoint in it is another than in {CHECKPOINT}."
    ))
}

fn compare_paper(
    paper: &PaperRoot,
    roots: &[(&'static str, u64, Hash)],
) -> (&'static str, Answer<()>) {
    let Some((file, size, root)) = roots.iter().find(|(_, size, _)| *size == paper.size) else {
        let sentence = format!(
            "Nothing here leads to the paper: it has {} entries, and no proof from there fits.",
            paper.size
        );
        return (GROWTH, Err(sentence));
    };
    if !paper.fits(root) {
        let sentence = format!("The paper has another root for {size} entries.");
        return (file, Err(sentence));
    }
    let sentence = match paper.is_abbreviated() {
        true => format!(
            "Its root begins with the {} digits on the paper.",
            paper.digits()
        ),
        false => "Its root is the one on the paper.".to_owned(),
    };
    (file, Ok(((), sentence)))
}

/// "an event of case C4K7M92XQ", as far as the entry says it.
fn about(entry: &[u8]) -> String {
    let value = read_canonical(entry).unwrap_or_default();
    let Some(kind) = value
        .get("kind")
        .and_then(Value::as_str)
        .and_then(LeafKind::from_word)
    else {
        return "of a kind not known here".to_owned();
    };
    let case = value
        .get(kind.word())
        .and_then(|body| body.get("case")?.as_str());
    match case {
        Some(case) => format!("{} of case {case}", kind.word()),
        None => kind.word().to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_by_the_numbers_of_revisions_is_named() {
        let opened = json!({ "kind": "case", "case": {} });
        let signed = |number: i64| json!({ "kind": "revision", "revision": { "number": number } });
        let answered = |number: i64| json!({ "kind": "acknowledgement", "acknowledgement": { "revision": number } });
        let whole = [opened.clone(), signed(1), signed(2), answered(2)];
        assert_eq!(gaps(&whole), Vec::<String>::new());
        let first = "Revision 1 is not here.";
        assert_eq!(gaps(&[opened.clone(), signed(2)]), [first]);
        assert_eq!(gaps(&[opened.clone(), answered(1)]), [first]);
        assert_eq!(
            gaps(&[signed(1)]),
            ["The entry by which the case was opened is not here."]
        );
        // Nobody is shown a list without end.
        assert_eq!(gaps(&[opened, signed(i64::MAX)]).len(), 20);
    }
}
