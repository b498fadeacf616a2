//! Signed notes (C2SP signed-note and tlog-cosignature): a text, an empty line, and a line per signature.
//!
//! The text is signed as it stands, byte for byte, and is read by people as well as by programs. Lines of keys
//! that one does not know are passed over, so that a note may gather witnesses; a known key's signature that
//! does not fit makes the whole note worthless.

use super::key::{KeyId, KeyKind, Signer, Verifier};
use base64::{Engine, engine::general_purpose::STANDARD};

/// No honest note of ours comes near; a longer one only costs time.
const LONGEST: usize = 1_000_000;
/// The standard asks for at least 16.
const MOST_SIGNATURES: usize = 64;

/// Why a note is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoteError {
    #[error("This is no signed note: {0}.")]
    Form(&'static str),
    #[error("The signature of {0} does not fit this text.")]
    Signature(String),
    #[error("No key that is known here has signed this text.")]
    NotSigned,
    #[error("A log's key signs without a time, a witness's key with one.")]
    Kind,
}

/// A signature that fits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoteSigned {
    pub name: String,
    pub id: KeyId,
    pub kind: KeyKind,
    /// When a witness signed, in seconds since 1970 UTC.
    pub unix_s: Option<u64>,
}

/// A note whose known signatures all fit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    pub text: String,
    pub signed: Vec<NoteSigned>,
    /// How many lines are of keys not known here.
    pub unknown: usize,
}

/// The text with the log's signature below it.
pub fn sign_note(text: &str, key: &Signer) -> Result<String, NoteError> {
    check_text(text)?;
    if key.verifier().kind() != KeyKind::Log {
        return Err(NoteError::Kind);
    }
    let line = line(key.verifier(), &key.sign(text.as_bytes()));
    Ok(format!("{text}\n{line}"))
}

/// A witness's line for a text, to be put below the others with [`with_line`].
pub fn cosign(text: &str, key: &Signer, unix_s: u64) -> Result<String, NoteError> {
    check_text(text)?;
    if key.verifier().kind() != KeyKind::Witness {
        return Err(NoteError::Kind);
    }
    let mut stamped = unix_s.to_be_bytes().to_vec();
    stamped.extend(key.sign(stamped_text(text, unix_s).as_bytes()));
    Ok(line(key.verifier(), &stamped))
}

/// The note with one more signature line.
pub fn with_line(note: &str, line: &str) -> Result<String, NoteError> {
    let (_, lines) = split(note)?;
    let line = line.trim_end_matches('\n');
    parse_line(line)?;
    if lines.len() >= MOST_SIGNATURES {
        return Err(NoteError::Form("it has too many signatures"));
    }
    Ok(format!("{note}{line}\n"))
}

/// The text of a note whose signatures nobody has looked at yet.
pub fn text_of(note: &str) -> Result<&str, NoteError> {
    split(note).map(|(text, _)| text)
}

/// Reads a note and checks the signature of every key that is known.
pub fn open_note(note: &str, known: &[&Verifier]) -> Result<Opened, NoteError> {
    let (text, lines) = split(note)?;
    let (mut signed, mut unknown) = (Vec::new(), 0);
    for (name, id, signature) in lines {
        let of_this_name: Vec<&&Verifier> = known
            .iter()
            .filter(|key| key.name() == name && key.id() == id)
            .collect();
        if of_this_name.is_empty() {
            unknown += 1;
            continue;
        }
        let fits = of_this_name
            .iter()
            .find_map(|key| check(key, text, &signature));
        let one = fits.ok_or_else(|| NoteError::Signature(name.to_owned()))?;
        if !signed.contains(&one) {
            signed.push(one);
        }
    }
    if signed.is_empty() {
        return Err(NoteError::NotSigned);
    }
    Ok(Opened {
        text: text.to_owned(),
        signed,
        unknown,
    })
}

fn check(key: &Verifier, text: &str, signature: &[u8]) -> Option<NoteSigned> {
    let unix_s = match key.kind() {
        KeyKind::Log => key.has_signed(text.as_bytes(), signature).then_some(None),
        KeyKind::Witness => {
            let (time, signature) = signature.split_first_chunk::<8>()?;
            let unix_s = u64::from_be_bytes(*time);
            let message = stamped_text(text, unix_s);
            key.has_signed(message.as_bytes(), signature)
                .then_some(Some(unix_s))
        }
    }?;
    Some(NoteSigned {
        name: key.name().to_owned(),
        id: key.id(),
        kind: key.kind(),
        unix_s,
    })
}

/// What a witness signs.
fn stamped_text(text: &str, unix_s: u64) -> String {
    format!("cosignature/v1\ntime {unix_s}\n{text}")
}

fn line(key: &Verifier, signature: &[u8]) -> String {
    let mut bytes = key.id().0.to_vec();
    bytes.extend(signature);
    format!("— {} {}\n", key.name(), STANDARD.encode(bytes))
}

fn check_text(text: &str) -> Result<(), NoteError> {
    if text.len() > LONGEST {
        return Err(NoteError::Form("it is too long"));
    }
    if text.contains(|c: char| c < ' ' && c != '\n') {
        return Err(NoteError::Form("it has control characters"));
    }
    if !text.ends_with('\n') {
        return Err(NoteError::Form("its text does not end with a line break"));
    }
    Ok(())
}

type Line<'a> = (&'a str, KeyId, Vec<u8>);

/// The text and the signature lines. The empty line between them is the last one, so that a text may have
/// empty lines of its own.
fn split(note: &str) -> Result<(&str, Vec<Line<'_>>), NoteError> {
    check_text(note)?;
    let place = note
        .rfind("\n\n")
        .ok_or(NoteError::Form("no empty line before the signatures"))?;
    let (text, signatures) = (note.split_at(place + 1).0, note.split_at(place + 2).1);
    let lines: Vec<&str> = signatures.split_terminator('\n').collect();
    if lines.is_empty() {
        return Err(NoteError::Form("it has no signature"));
    }
    if lines.len() > MOST_SIGNATURES {
        return Err(NoteError::Form("it has too many signatures"));
    }
    check_text(text)?;
    let lines = lines
        .into_iter()
        .map(parse_line)
        .collect::<Result<_, _>>()?;
    Ok((text, lines))
}

fn parse_line(line: &str) -> Result<Line<'_>, NoteError> {
    const WRONG: NoteError = NoteError::Form("a signature line is not of the known form");
    let (name, signature) = line
        .strip_prefix("— ")
        .and_then(|rest| rest.split_once(' '))
        .ok_or(WRONG)?;
    let bytes = STANDARD.decode(signature).map_err(|_| WRONG)?;
    let (id, signature) = bytes.split_first_chunk::<4>().ok_or(WRONG)?;
    if name.is_empty()
        || name.contains(|c: char| c.is_whitespace() || c == '+')
        || signature.is_empty()
    {
        return Err(WRONG);
    }
    Ok((name, KeyId(*id), signature.to_vec()))
}
