//! What one case has in the record, written for others, and checked by whoever got it.

use super::place::look_at;
use super::terminal::{paper_root, say};
use crate::app::prove;
use crate::cli;
use crate::record::bundle::{self, Verdict};
use crate::record::key::Verifier;
use anyhow::{Context, Result, bail};

pub async fn write_proof(
    case: &str,
    out: &std::path::Path,
    paper: Option<&str>,
    data: cli::Data,
) -> Result<()> {
    let paper = paper_root(paper)?;
    let app = look_at(data).await?;
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

pub fn verify(folder: &std::path::Path, vkey: Option<&str>, paper: Option<&str>) -> Result<()> {
    let paper = paper_root(paper)?;
    let key = vkey.map(Verifier::parse).transpose()?;
    let mut files = bundle::Files::new();
    let entries = std::fs::read_dir(folder)
        .with_context(|| format!("cannot read the folder {}", folder.display()))?;
    for entry in entries {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        files.insert(name, std::fs::read(entry.path())?);
    }
    let report = bundle::verify(&files, key.as_ref(), paper.as_ref());
    for line in &report.lines {
        let mark = match line.verdict {
            Verdict::Fits => "fits ",
            Verdict::Fault => "WRONG",
            Verdict::NotChecked => "-    ",
        };
        say(&format!("{mark} {}: {}", line.file, line.sentence))?;
    }
    match report.first_fault() {
        None => {
            say("Everything fits.")?;
            for gap in &report.gaps {
                say(&format!("note: {gap}"))?;
            }
            say(&format!(
                "These {} entries fit. Whether others of the case were left out, only the whole record can show.",
                report.entries
            ))
        }
        Some(line) => bail!("{}: {}", line.file, line.sentence),
    }
}
