//! Size and root as they are printed, read aloud and typed: `412:8C27F0A1 …`, hexadecimal digits in groups of
//! eight. Small print may show fewer digits; 16 of them already leave no practical room for another root.

use super::hash::Hash;
use crate::domain::form::{FieldSpec, Slot};
use std::fmt;

/// Digits that an abbreviated root must have: 64 bits.
pub const FEWEST_DIGITS: usize = 16;
const DIGITS: usize = 64;
const GROUP: usize = 8;

/// A root in capital hexadecimal digits, in groups of eight.
pub fn printed(root: &Hash) -> String {
    grouped(&root.to_string())
}

fn grouped(digits: &str) -> String {
    let digits: Vec<char> = digits.to_ascii_uppercase().chars().collect();
    let groups: Vec<String> = digits
        .chunks(GROUP)
        .map(|group| group.iter().collect())
        .collect();
    groups.join(" ")
}

/// Size and root from a paper; the root may be abbreviated to its first digits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperRoot {
    pub size: u64,
    /// Small hexadecimal digits, 16 to 64 of them.
    digits: String,
}

/// What is asked for where nothing, or something else, is typed.
pub const PAPER_ROOT_WANTED: &str =
    "Type size and root as on the paper, with a colon between them: 412:8C27F0A1 and so on.";

/// Why a typed size and root are not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PaperRootError {
    #[error("{PAPER_ROOT_WANTED}")]
    Form,
    #[error("The size is a whole number, such as 412.")]
    Size,
    #[error("“{0}” is no hexadecimal digit: the root has only 0 to 9 and A to F.")]
    Digit(char),
    #[error("The root has {0} digits; at least 16 are wanted, and the whole root has 64.")]
    Length(usize),
}

impl Slot for PaperRoot {
    fn read(typed: &str, _: &FieldSpec) -> Result<PaperRoot, String> {
        PaperRoot::parse(typed).map_err(|why| why.to_string())
    }
}

impl PaperRoot {
    pub fn new(size: u64, root: &Hash) -> PaperRoot {
        PaperRoot {
            size,
            digits: root.to_string(),
        }
    }

    /// Reads `SIZE:ROOT`. Spaces, hyphens and line breaks are passed over, small and capital letters are one.
    pub fn parse(typed: &str) -> Result<PaperRoot, PaperRootError> {
        let (size, root) = typed.split_once(':').ok_or(PaperRootError::Form)?;
        let is_room = |c: &char| c.is_whitespace() || matches!(c, '-' | '\u{2010}'..='\u{2013}');
        let size: String = size.chars().filter(|c| !is_room(c)).collect();
        let is_number = !size.is_empty() && size.chars().all(|c| c.is_ascii_digit());
        let size = size
            .parse()
            .ok()
            .filter(|_| is_number)
            .ok_or(PaperRootError::Size)?;
        let digits: String = root.chars().filter(|c| !is_room(c)).collect();
        if let Some(wrong) = digits.chars().find(|c| !c.is_ascii_hexdigit()) {
            return Err(PaperRootError::Digit(wrong));
        }
        if !(FEWEST_DIGITS..=DIGITS).contains(&digits.len()) {
            return Err(PaperRootError::Length(digits.len()));
        }
        let digits = digits.to_ascii_lowercase();
        Ok(PaperRoot { size, digits })
    }

    /// Whether only the root's first digits are known.
    pub fn is_abbreviated(&self) -> bool {
        self.digits.len() < DIGITS
    }

    pub fn digits(&self) -> usize {
        self.digits.len()
    }

    /// The whole root; `None` where it is abbreviated.
    pub fn root(&self) -> Option<Hash> {
        Hash::parse(&self.digits).ok()
    }

    /// Whether the root begins with these digits.
    pub fn fits(&self, root: &Hash) -> bool {
        root.to_string().starts_with(&self.digits)
    }
}

/// `412:8C27F0A1 …`, as printed.
impl fmt::Display for PaperRoot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.size, grouped(&self.digits))
    }
}
