//! A text, a line at a time. A line is bounded, so that a file of one endless line fills no memory.

use super::surface::DAMAGED;
use std::borrow::Cow;
use std::io::BufRead;

/// Bytes of one line: a face of many corners has some hundred.
const LINE_MOST: usize = 64 * 1024;

pub(super) struct TextLines<R> {
    input: R,
    line: Vec<u8>,
    /// Whether the last line that was read ended as a line does.
    pub is_ended: bool,
}

impl<R: BufRead> TextLines<R> {
    pub fn of(input: R) -> TextLines<R> {
        TextLines {
            input,
            line: Vec::new(),
            is_ended: true,
        }
    }

    /// The next line, without blanks at its ends; none at the end of the file.
    pub fn next(&mut self) -> Result<Option<Cow<'_, str>>, String> {
        self.line.clear();
        self.is_ended = false;
        loop {
            let read = self.input.fill_buf().map_err(|_| DAMAGED.to_owned())?;
            if read.is_empty() {
                break;
            }
            let end = read.iter().position(|byte| *byte == b'\n');
            let length = end.map_or(read.len(), |end| end + 1);
            self.line
                .extend_from_slice(read.get(..length).unwrap_or_default());
            self.input.consume(length);
            if self.line.len() > LINE_MOST {
                return Err("A line of this file is longer than any of a scan.".to_owned());
            }
            if end.is_some() {
                self.is_ended = true;
                break;
            }
        }
        if self.line.is_empty() {
            self.is_ended = true;
            return Ok(None);
        }
        // A name in an old code page may stand in a line: nothing of it is kept.
        let text = String::from_utf8_lossy(&self.line);
        Ok(Some(match text {
            Cow::Borrowed(text) => Cow::Borrowed(text.trim()),
            Cow::Owned(text) => Cow::Owned(text.trim().to_owned()),
        }))
    }

    /// The next line that says something.
    pub fn next_filled(&mut self) -> Result<Option<String>, String> {
        loop {
            match self.next()? {
                Some(line) if line.is_empty() => {}
                line => return Ok(line.map(Cow::into_owned)),
            }
        }
    }

    /// What follows the lines that were read.
    pub fn into_rest(self) -> R {
        self.input
    }
}

/// The number that a word is.
pub(super) fn number(word: Option<&str>) -> Result<f32, String> {
    let number = word.and_then(|word| word.parse().ok());
    number.ok_or_else(|| DAMAGED.to_owned())
}

/// The three numbers that follow, and nothing behind them.
pub(super) fn three<'a>(words: &mut impl Iterator<Item = &'a str>) -> Result<[f32; 3], String> {
    Ok([
        number(words.next())?,
        number(words.next())?,
        number(words.next())?,
    ])
}
