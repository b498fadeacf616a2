//! The tags of an XML text, one after the other: names and attributes, nothing between them. A tag is bounded, and a text
//! that defines words of its own is refused, so that nothing grows while it is read.

use super::surface::DAMAGED;
use std::io::BufRead;

/// Bytes of one tag: that of a triangle has some fifty.
const TAG_MOST: usize = 8 * 1024;

/// Tags, notes and the like of a text, beside those of points and triangles: a scan has some dozens.
const TAGS_MOST: u32 = 100_000;

pub(super) struct XmlTags<R> {
    input: R,
    tag: Vec<u8>,
    /// How many more are read before the text is given up: reading takes time, and packed they take no room.
    left: u32,
}

/// One tag.
pub(super) struct XmlTag<'a> {
    /// Its name, without what stands before a colon.
    pub name: &'a str,
    pub is_end: bool,
    attributes: &'a str,
}

impl<'a> XmlTag<'a> {
    /// What an attribute says.
    pub fn attribute(&self, wanted: &str) -> Option<&'a str> {
        let mut rest = self.attributes;
        while let Some((name, after)) = rest.split_once('=') {
            let after = after.trim_start();
            let quote = after
                .chars()
                .next()
                .filter(|one| ['"', '\''].contains(one))?;
            let (value, left) = after.get(1..)?.split_once(quote)?;
            if name.trim() == wanted {
                return Some(value);
            }
            rest = left;
        }
        None
    }
}

impl<R: BufRead> XmlTags<R> {
    pub fn of(input: R) -> XmlTags<R> {
        XmlTags {
            input,
            tag: Vec::new(),
            left: TAGS_MOST,
        }
    }

    /// A point or a triangle was read, which is bounded by itself: its tag and the end of that count for nothing.
    pub fn was_of_the_surface(&mut self) {
        self.left = self.left.saturating_add(2).min(TAGS_MOST);
    }

    fn byte(&mut self) -> Result<Option<u8>, String> {
        let read = self.input.fill_buf().map_err(|_| DAMAGED.to_owned())?;
        let byte = read.first().copied();
        if byte.is_some() {
            self.input.consume(1);
        }
        Ok(byte)
    }

    /// Reads on until these bytes have been read.
    fn skip_past(&mut self, end: &[u8]) -> Result<(), String> {
        let mut last = Vec::new();
        loop {
            let byte = self.byte()?.ok_or_else(|| DAMAGED.to_owned())?;
            last.push(byte);
            if last.len() > end.len() {
                last.remove(0);
            }
            if last == end {
                return Ok(());
            }
        }
    }

    /// The bytes between the next `<` and its `>`; none at the end of the text.
    fn fill(&mut self) -> Result<bool, String> {
        let damaged = || DAMAGED.to_owned();
        self.input.skip_until(b'<').map_err(|_| damaged())?;
        if self.input.fill_buf().map_err(|_| damaged())?.is_empty() {
            return Ok(false);
        }
        self.left = self.left.checked_sub(1).ok_or_else(|| {
            "There is far more in this 3MF than a scan: export the surface alone, or send it as PLY or STL.".to_owned()
        })?;
        self.tag.clear();
        let mut quote = None;
        loop {
            let byte = self.byte()?.ok_or_else(damaged)?;
            match (byte, quote) {
                (b'>', None) => return Ok(true),
                (b'"' | b'\'', None) => quote = Some(byte),
                (_, Some(open)) if open == byte => quote = None,
                _ => {}
            }
            self.tag.push(byte);
            if self.tag == b"!--" {
                self.skip_past(b"-->")?;
                return self.fill_after();
            }
            if self.tag == b"![CDATA[" {
                self.skip_past(b"]]>")?;
                return self.fill_after();
            }
            if self.tag == b"!DOCTYPE" {
                return Err(
                    "This 3MF defines words of its own, which no scan needs: export it again."
                        .to_owned(),
                );
            }
            if self.tag.len() > TAG_MOST {
                return Err(damaged());
            }
        }
    }

    /// A comment was read: the tag is the next one.
    fn fill_after(&mut self) -> Result<bool, String> {
        self.tag.clear();
        self.tag.push(b'?');
        Ok(true)
    }

    /// The next tag; none at the end of the text.
    pub fn next(&mut self) -> Result<Option<XmlTag<'_>>, String> {
        loop {
            if !self.fill()? {
                return Ok(None);
            }
            if !self.tag.starts_with(b"?") {
                break;
            }
        }
        let text = std::str::from_utf8(&self.tag).map_err(|_| DAMAGED.to_owned())?;
        let (text, is_end) = match text.strip_prefix('/') {
            Some(rest) => (rest, true),
            None => (text, false),
        };
        // One that ends itself has no end of its own, and none is asked for.
        let text = text.strip_suffix('/').unwrap_or(text);
        let (name, attributes) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let name = name.rsplit(':').next().unwrap_or(name);
        Ok(Some(XmlTag {
            name,
            is_end,
            attributes,
        }))
    }
}
