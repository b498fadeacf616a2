//! What one case has in the record, written for others, and checked by whoever got it.

use super::place::open_read_only;
use super::terminal::{paper_root, readable_line, say};
use crate::app::prove;
use crate::cli;
use crate::record::bundle::{self, FileVerdict};
use crate::record::key::Verifier;
use anyhow::{Context, Result, bail};

/// Writes the proof of a case into a new folder, and says how it is checked.
pub async fn write_proof(
    case: &str,
    out: &std::path::Path,
    paper: Option<&str>,
    data: cli::Data,
) -> Result<()> {
    let paper = paper_root(paper)?;
    let app = open_read_only(data).await?;
    let case = crate::app::see_case::case_named(&app, case).await?;
    let files = prove::bundle(&app, &case, paper.as_ref()).await?;
    std::fs::create_dir(out)
        .with_context(|| format!("cannot make the folder {}", out.display()))?;
    for (name, bytes) in &files {
        std::fs::write(out.join(name), bytes).with_context(|| format!("cannot write {name}"))?;
    }
    say(&format!(
        "{} files in {}. Check them with: vestibule verify {} --key '{}'",
        files.len(),
        out.display(),
        out.display(),
        app.store.key()
    ))
}

/// The largest file that is read, bytes: an entry has some thousands.
const FILE_MOST: u64 = 16 * 1024 * 1024;

/// Checks a folder of proofs, and says of each file what was found.
pub fn verify(folder: &std::path::Path, vkey: Option<&str>, paper: Option<&str>) -> Result<()> {
    let paper = paper_root(paper)?;
    let key = vkey.map(Verifier::parse).transpose()?;
    let mut files = bundle::Files::new();
    let entries = std::fs::read_dir(folder)
        .with_context(|| format!("cannot read the folder {}", folder.display()))?;
    for entry in entries {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        // What is no plain file has no end, or none that could be read; what is larger is none of ours.
        let found = entry.metadata()?;
        let bytes = match found.is_file() && found.len() <= FILE_MOST {
            true => std::fs::read(entry.path())?,
            false => Vec::new(),
        };
        files.insert(name, bytes);
    }
    let report = bundle::verify(&files, key.as_ref(), paper.as_ref());
    for line in &report.lines {
        let mark = match line.verdict {
            FileVerdict::Fits => "fits ",
            FileVerdict::Fault => "WRONG",
            FileVerdict::NotChecked => "-    ",
        };
        say(&format!("{mark} {}", shown(line)))?;
    }
    match report.first_fault() {
        None => {
            say("Everything fits.")?;
            for gap in &report.gaps {
                say(&format!("note: {}", readable_line(gap)))?;
            }
            if report.cases > 1 {
                say(&format!(
                    "note: These are entries of {} cases; the lines above name them.",
                    report.cases
                ))?;
            }
            say(&format!(
                "These {} entries fit. Whether others of the case were left out, only the whole record can show.",
                report.entries
            ))
        }
        Some(line) => bail!("{}", shown(line)),
    }
}

/// Names and entries are what somebody else has written.
fn shown(line: &bundle::FileLine) -> String {
    readable_line(&format!("{}: {}", line.file, line.sentence))
}
