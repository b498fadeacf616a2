//! Words of two weights, broken into lines.

use super::draw::Draw;
use super::measure::{LABEL, STRONG, TEXT, hair};
use crate::papers::layout::style::Style;
use crate::papers::layout::wrap::{units, words};
use crate::papers::sheet::Words;

/// Words in one style.
#[derive(Debug, Clone)]
pub struct Span {
    pub text: String,
    pub style: Style,
    pub changed: bool,
    /// The key of the field that it says.
    pub about: &'static str,
    /// Its row, in a list.
    pub row: Option<usize>,
}

impl Span {
    pub fn new(text: impl Into<String>, style: Style) -> Span {
        Span {
            text: text.into(),
            style,
            changed: false,
            about: "",
            row: None,
        }
    }

    /// Other words, of the same style and place.
    fn with(&self, text: &str) -> Span {
        let Span {
            style,
            changed,
            about,
            row,
            ..
        } = *self;
        Span {
            text: text.to_owned(),
            style,
            changed,
            about,
            row,
        }
    }
}

/// The words of the common size.
pub fn spans(words: &Words) -> Vec<Span> {
    styled(words, TEXT, STRONG)
}

/// The words in these two weights.
pub fn styled(words: &Words, plain: Style, strong: Style) -> Vec<Span> {
    let span = |run: &crate::papers::sheet::Run| Span {
        text: run.text.clone(),
        style: if run.strong { strong } else { plain },
        changed: run.changed,
        about: run.about,
        row: run.row,
    };
    words.runs.iter().map(span).collect()
}

/// Words behind a small label.
pub fn labelled(label: &str, words: &Words) -> Vec<Span> {
    let mut all = Vec::new();
    if !label.trim().is_empty() {
        all.push(Span::new(format!("{label} "), LABEL));
    }
    all.extend(spans(words));
    all
}

/// One line: words with their places.
type SetLine = Vec<(f32, Span)>;

/// Breaks the words into lines and sets them below each other.
pub fn set(spans: &[Span], width: f32, step: f32) -> Draw {
    let mut draw = Draw::new();
    for line in lines(spans, width) {
        let baseline = draw.height + step * 0.76;
        let mut is_changed = false;
        for (x, span) in &line {
            let size = (span.style.width_mm(&span.text), step);
            draw.place((*x, draw.height), size, (span.about, span.row));
        }
        for (x, span) in merged(line) {
            draw.text(x, baseline, span.style, &span.text);
            if span.changed {
                is_changed = true;
                let end = x + span.style.width_mm(span.text.trim_end());
                draw.line((x, baseline + 0.55), (end, baseline + 0.55), hair());
            }
        }
        if is_changed {
            draw.bars.push((draw.height, draw.height + step));
        }
        draw.height += step;
    }
    draw
}

/// How many lines the words take.
pub fn count(spans: &[Span], width: f32) -> usize {
    lines(spans, width).len()
}

/// Neighbours of one style as one run, so that a reader of the file gets whole texts.
fn merged(line: SetLine) -> SetLine {
    let mut runs: SetLine = Vec::new();
    for (x, span) in line {
        match runs.last_mut() {
            Some((_, last)) if last.style == span.style && last.changed == span.changed => {
                last.text.push_str(&span.text);
            }
            _ => runs.push((x, span)),
        }
    }
    runs
}

fn lines(spans: &[Span], width: f32) -> Vec<SetLine> {
    let whole: String = spans.iter().map(|span| span.text.as_str()).collect();
    let mut setter = Setter {
        lines: Vec::new(),
        line: Vec::new(),
        used: 0.0,
        width,
    };
    for word in words(&whole) {
        // Where it stands in the whole of which it is a part.
        let begin = word.as_ptr().addr().saturating_sub(whole.as_ptr().addr());
        setter.word(parts(spans, begin, begin + word.len()));
    }
    setter.turn();
    setter.lines
}

/// The pieces of each span between two places of the whole text.
fn parts(spans: &[Span], from: usize, to: usize) -> Vec<Span> {
    let (mut parts, mut begin) = (Vec::new(), 0);
    for span in spans {
        let end = begin + span.text.len();
        let (first, last) = (from.max(begin), to.min(end));
        if first < last
            && let Some(text) = span.text.get(first - begin..last - begin)
        {
            parts.push(span.with(text));
        }
        begin = end;
    }
    parts
}

struct Setter {
    lines: Vec<SetLine>,
    line: SetLine,
    used: f32,
    width: f32,
}

impl Setter {
    fn turn(&mut self) {
        if !self.line.is_empty() {
            self.lines.push(std::mem::take(&mut self.line));
        }
        self.used = 0.0;
    }

    fn push(&mut self, span: Span) {
        let width = span.style.width_mm(&span.text);
        self.line.push((self.used, span));
        self.used += width;
    }

    /// Sets a word behind the last one, or on the next line; one that is wider than the line is broken.
    fn word(&mut self, parts: Vec<Span>) {
        let width: f32 = parts
            .iter()
            .map(|part| part.style.width_mm(&part.text))
            .sum();
        let Some(first) = parts.first() else { return };
        if !self.line.is_empty() {
            let space = first.style.width_mm(" ");
            if self.used + space + width <= self.width {
                // The space belongs to the words before it: an underline ends with its own words.
                if let Some((_, last)) = self.line.last_mut() {
                    last.text.push(' ');
                    self.used += last.style.width_mm(" ");
                }
                parts.into_iter().for_each(|part| self.push(part));
                return;
            }
            self.turn();
        }
        if width <= self.width {
            parts.into_iter().for_each(|part| self.push(part));
            return;
        }
        for part in parts {
            for unit in units(&part.text) {
                if self.used + part.style.width_mm(unit) > self.width {
                    self.turn();
                }
                self.push(part.with(unit));
            }
        }
    }
}
