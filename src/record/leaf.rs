//! Leaves: what the tree holds of each fact. Canonical bytes (RFC 8785), written once and never again.
//!
//! A tree cannot forget, and people have a right to be forgotten: so free text and names are not in the leaf.
//! In their place stands a commitment, SHA-256 over 16 random bytes (the salt) and the text. Text and salt are
//! kept beside the record; while they are there, anybody can check that they fit, and once both are erased
//! nobody can guess back what they said, and the tree is still whole. Structure, codes, numbers and the words
//! of our own lists stay open, so that custody can be followed without any text at all.

use super::hash::{Hash, bytes_of_hex};
use crate::domain::values::digest::hex;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// One byte less than 64 KiB: the length of an entry is written with two bytes in the files that programs
/// for such records exchange (C2SP tlog-tiles).
pub const LONGEST_LEAF: usize = 65_535;

/// What may stand where a text has been erased, besides the empty text.
pub use crate::domain::custody::ERASED;

/// The one key of the object that stands where a text was.
const COMMITTED: &str = "committed";

/// Random bytes of one text.
pub type Salt = [u8; 16];

/// The salts of a leaf by the place of their text, a JSON pointer (RFC 6901) such as `/event/by/name`.
pub type Salts = BTreeMap<String, Salt>;

/// A leaf, and what opens its commitments.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sealed {
    pub bytes: Vec<u8>,
    pub salts: Salts,
}

/// Why no leaf could be made.
#[derive(Debug, thiserror::Error)]
pub enum LeafError {
    #[error(
        "The entry has {0} bytes, and a leaf of the record has at most {LONGEST_LEAF}: shorten its texts."
    )]
    TooLong(usize),
    #[error("A whole number at {0} is beyond 2^53 and has no exact canonical form.")]
    Number(String),
    #[error("At {0} stands an object that looks like a commitment.")]
    LooksCommitted(String),
    #[error("There were not enough salts for all texts.")]
    Salts,
    #[error("The entry has no canonical form: {0}")]
    Canonical(#[from] serde_json::Error),
}

/// Why stored values do not fit a leaf.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Mismatch {
    #[error("The leaf is not canonical JSON.")]
    NotCanonical,
    #[error("What is stored at {0} is not what the leaf says.")]
    Value(String),
    #[error("The text at {0} is not the one that the leaf stands for.")]
    Text(String),
    #[error("The text at {0} cannot be checked: its salt is missing.")]
    NoSalt(String),
    #[error("A salt is kept for {0}, where the leaf has no text.")]
    ExtraSalt(String),
}

/// Salts without end from one random seed, so that an action draws its chance once and is the same when it is
/// tried again. One seed serves one action: several leaves take their salts from the same iterator in turn.
pub fn salts_from(seed: [u8; 32]) -> impl Iterator<Item = Salt> {
    (0_u64..).map(move |count| Hash::of(&[b"salt", &seed, &count.to_be_bytes()]).half())
}

/// SHA-256 over salt and text, as 64 small hexadecimal digits.
pub fn commitment(salt: &Salt, text: &str) -> String {
    Hash::of(&[salt, text.as_bytes()]).to_string()
}

/// Makes the leaf of a value. Every text is committed that is neither empty nor both on an open place and a
/// plain word or code.
pub fn seal(
    value: Value,
    is_open: &dyn Fn(&str) -> bool,
    salts: &mut dyn Iterator<Item = Salt>,
) -> Result<Sealed, LeafError> {
    let mut sealing = Sealing {
        is_open,
        salts,
        used: Salts::new(),
    };
    let value = sealing.value(value, "")?;
    let bytes = serde_json_canonicalizer::to_vec(&value)?;
    if bytes.len() > LONGEST_LEAF {
        return Err(LeafError::TooLong(bytes.len()));
    }
    Ok(Sealed {
        bytes,
        salts: sealing.used,
    })
}

struct Sealing<'a> {
    is_open: &'a dyn Fn(&str) -> bool,
    salts: &'a mut dyn Iterator<Item = Salt>,
    used: Salts,
}

impl Sealing<'_> {
    fn value(&mut self, value: Value, path: &str) -> Result<Value, LeafError> {
        match value {
            Value::String(text) => self.text(text, path),
            Value::Array(items) => {
                let items = items.into_iter().enumerate();
                let sealed =
                    items.map(|(place, item)| self.value(item, &format!("{path}/{place}")));
                Ok(Value::Array(sealed.collect::<Result<_, _>>()?))
            }
            Value::Object(members) => {
                if members.contains_key(COMMITTED) {
                    return Err(LeafError::LooksCommitted(path.to_owned()));
                }
                let sealed = members.into_iter().map(|(key, member)| {
                    let member = self.value(member, &below(path, &key))?;
                    Ok::<_, LeafError>((key, member))
                });
                Ok(Value::Object(sealed.collect::<Result<_, _>>()?))
            }
            Value::Number(number) if is_inexact(&number) => Err(LeafError::Number(path.to_owned())),
            Value::Number(_) | Value::Bool(_) | Value::Null => Ok(value),
        }
    }

    fn text(&mut self, text: String, path: &str) -> Result<Value, LeafError> {
        if text.is_empty() || ((self.is_open)(path) && is_word(&text)) {
            return Ok(Value::String(text));
        }
        let salt = self.salts.next().ok_or(LeafError::Salts)?;
        let committed = commitment(&salt, &text);
        self.used.insert(path.to_owned(), salt);
        Ok(json!({ COMMITTED: committed }))
    }
}

/// Whether a text is a word of a list, a code, an identifier or base64. Anything with a space in it is free
/// text, wherever it stands.
fn is_word(text: &str) -> bool {
    let in_words = |c: char| c.is_ascii_alphanumeric() || "_-.:/+=".contains(c);
    text.len() <= 200 && text.chars().all(in_words)
}

/// RFC 8785 writes numbers as JavaScript does: whole numbers are exact up to 2^53.
fn is_inexact(number: &serde_json::Number) -> bool {
    const EXACT: u64 = 1 << 53;
    let size = number.as_i64().map(i64::unsigned_abs).or(number.as_u64());
    size.is_some_and(|size| size > EXACT)
}

/// The pointer to a member, escaped as RFC 6901 wants it.
fn below(path: &str, key: &str) -> String {
    format!("{path}/{}", key.replace('~', "~0").replace('/', "~1"))
}

/// Compares a leaf with the stored value and its salts. Answers with the places whose text has been erased:
/// text (empty, [`ERASED`], null or left out) and salt both gone. All else has to fit.
pub fn matches(bytes: &[u8], value: &Value, salts: &Salts) -> Result<Vec<String>, Mismatch> {
    let leaf = read_canonical(bytes).ok_or(Mismatch::NotCanonical)?;
    let mut matching = Matching {
        salts,
        opened: 0,
        erased: Vec::new(),
    };
    matching.value(&leaf, Some(value), "")?;
    if matching.opened != salts.len() {
        let stray = salts.keys().find(|path| !is_committed_at(&leaf, path));
        return Err(Mismatch::ExtraSalt(stray.cloned().unwrap_or_default()));
    }
    Ok(matching.erased)
}

/// Only bytes that come back the same have one reading for everybody.
pub(super) fn read_canonical(bytes: &[u8]) -> Option<Value> {
    let value: Value = serde_json::from_slice(bytes).ok()?;
    let again = serde_json_canonicalizer::to_vec(&value).ok()?;
    (again == bytes).then_some(value)
}

fn is_committed_at(leaf: &Value, path: &str) -> bool {
    leaf.pointer(path).and_then(committed).is_some()
}

/// The commitment, where the value is one.
fn committed(value: &Value) -> Option<&str> {
    let members = value.as_object().filter(|members| members.len() == 1)?;
    members.get(COMMITTED)?.as_str()
}

struct Matching<'a> {
    salts: &'a Salts,
    opened: usize,
    erased: Vec<String>,
}

impl Matching<'_> {
    fn value(&mut self, leaf: &Value, stored: Option<&Value>, path: &str) -> Result<(), Mismatch> {
        if let Some(committed) = committed(leaf) {
            return self.text(committed, stored, path);
        }
        let wrong = || Mismatch::Value(path.to_owned());
        match (leaf, stored.ok_or_else(wrong)?) {
            (Value::Object(leaf), Value::Object(stored)) => self.members(leaf, stored, path),
            (Value::Array(leaf), Value::Array(stored)) if leaf.len() == stored.len() => {
                let pairs = leaf.iter().zip(stored).enumerate();
                pairs.into_iter().try_for_each(|(place, (leaf, stored))| {
                    self.value(leaf, Some(stored), &format!("{path}/{place}"))
                })
            }
            (leaf, stored) if is_same(leaf, stored) => Ok(()),
            _ => Err(wrong()),
        }
    }

    fn members(
        &mut self,
        leaf: &Map<String, Value>,
        stored: &Map<String, Value>,
        path: &str,
    ) -> Result<(), Mismatch> {
        if let Some(extra) = stored.keys().find(|key| !leaf.contains_key(*key)) {
            return Err(Mismatch::Value(below(path, extra)));
        }
        leaf.iter()
            .try_for_each(|(key, leaf)| self.value(leaf, stored.get(key), &below(path, key)))
    }

    fn text(
        &mut self,
        committed: &str,
        stored: Option<&Value>,
        path: &str,
    ) -> Result<(), Mismatch> {
        let text = match stored {
            None | Some(Value::Null) => "",
            Some(Value::String(text)) => text,
            Some(_) => return Err(Mismatch::Value(path.to_owned())),
        };
        match self.salts.get(path) {
            Some(salt) if commitment(salt, text) == committed => {
                self.opened += 1;
                Ok(())
            }
            Some(_) => Err(Mismatch::Text(path.to_owned())),
            None if text.is_empty() || text == ERASED => {
                self.erased.push(path.to_owned());
                Ok(())
            }
            None => Err(Mismatch::NoSalt(path.to_owned())),
        }
    }
}

/// Numbers are the same when their canonical text is: 56 and 56.0 are one number in JSON.
fn is_same(leaf: &Value, stored: &Value) -> bool {
    let text = |value| serde_json_canonicalizer::to_string(value).ok();
    leaf == stored || (leaf.is_number() && stored.is_number() && text(leaf) == text(stored))
}

/// Salts as they are stored and put into files: hexadecimal digits by place.
pub fn salts_to_json(salts: &Salts) -> Value {
    let member = |(path, salt): (&String, &Salt)| (path.clone(), Value::String(hex(salt)));
    Value::Object(salts.iter().map(member).collect())
}

/// Reads what [`salts_to_json`] wrote.
pub fn salts_from_json(value: &Value) -> Option<Salts> {
    let read = |(path, salt): (&String, &Value)| {
        let salt: Salt = bytes_of_hex(salt.as_str()?)?.try_into().ok()?;
        Some((path.clone(), salt))
    };
    value.as_object()?.iter().map(read).collect()
}
