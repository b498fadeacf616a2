//! The place where the next mark goes, page after page.

use super::style::Style;
use crate::domain::people::party::Paper;
use crate::papers::page::{Mark, Page, Stroke};

/// Empty border at the sides; home printers leave about 5 mm, a clip or a punch needs more.
pub const SIDE_MM: f32 = 16.0;
/// Where the body begins, below the running head.
pub const BODY_TOP_MM: f32 = 21.0;
/// Height kept free below the body for the running foot.
pub const BODY_BOTTOM_MM: f32 = 19.0;

/// Pages in the making.
pub struct Flow {
    pub width_mm: f32,
    pub height_mm: f32,
    /// Distance from the upper edge at which the next thing is placed.
    pub y: f32,
    left_mm: f32,
    right_mm: f32,
    finished: Vec<Vec<Mark>>,
    marks: Vec<Mark>,
}

impl Flow {
    pub fn new(paper: Paper) -> Flow {
        let (width_mm, height_mm) = paper.size_mm();
        Flow {
            width_mm,
            height_mm,
            y: BODY_TOP_MM,
            left_mm: SIDE_MM,
            right_mm: width_mm - SIDE_MM,
            finished: vec![],
            marks: vec![],
        }
    }

    pub fn left(&self) -> f32 {
        self.left_mm
    }

    pub fn right(&self) -> f32 {
        self.right_mm
    }

    /// Width between the margins.
    pub fn measure(&self) -> f32 {
        self.right_mm - self.left_mm
    }

    pub fn bottom(&self) -> f32 {
        self.height_mm - BODY_BOTTOM_MM
    }

    pub fn room(&self) -> f32 {
        self.bottom() - self.y
    }

    pub fn is_at_top(&self) -> bool {
        self.y <= BODY_TOP_MM
    }

    /// Height of an empty page's body.
    pub fn full_height(&self) -> f32 {
        self.bottom() - BODY_TOP_MM
    }

    /// Pages begun so far.
    pub fn pages(&self) -> usize {
        self.finished.len() + 1
    }

    pub fn push(&mut self, mark: Mark) {
        self.marks.push(mark);
    }

    /// A run of legible text with its line's top at `top`.
    pub fn text(&mut self, x: f32, top: f32, style: Style, text: &str) {
        if !text.is_empty() {
            self.marks.push(text_mark(x, top, style, text));
        }
    }

    pub fn new_page(&mut self) {
        self.finished.push(std::mem::take(&mut self.marks));
        self.y = BODY_TOP_MM;
    }

    /// Begins a new page unless this much still fits here, and answers with whether it did. What is taller than a
    /// page begins where it is.
    pub fn reserve(&mut self, height_mm: f32) -> bool {
        let is_new =
            height_mm > self.room() && !self.is_at_top() && height_mm <= self.full_height();
        if is_new {
            self.new_page();
        }
        is_new
    }

    /// Leaves white space, except at the top of a page.
    pub fn gap(&mut self, height_mm: f32) {
        if !self.is_at_top() {
            self.y = (self.y + height_mm).min(self.bottom());
        }
    }

    /// A rule across the whole measure.
    pub fn rule(&mut self, stroke: Stroke) {
        let y = self.y;
        self.push(Mark::line((self.left(), y), (self.right(), y), stroke));
    }

    /// A narrower column from here to the right margin, to be filled and appended.
    pub fn column(&self, left_mm: f32) -> Flow {
        Flow {
            left_mm,
            finished: vec![],
            marks: vec![],
            ..*self
        }
    }

    /// Appends a column if it stayed on this page. Its lower end is the lowest place used so far.
    pub fn append_column(&mut self, column: Flow) -> bool {
        let fits = column.finished.is_empty();
        if fits {
            self.marks.extend(column.marks);
            self.y = self.y.max(column.y);
        }
        fits
    }

    /// The pages, each with the marks that `framed` puts before and after its body, given its number and their count.
    pub fn finish(mut self, framed: impl Fn(usize, usize) -> (Vec<Mark>, Vec<Mark>)) -> Vec<Page> {
        self.finished.push(std::mem::take(&mut self.marks));
        let count = self.finished.len();
        let (width_mm, height_mm) = (self.width_mm, self.height_mm);
        self.finished
            .into_iter()
            .enumerate()
            .map(|(index, body)| {
                let (mut marks, foot) = framed(index + 1, count);
                marks.extend(body);
                marks.extend(foot);
                Page {
                    width_mm,
                    height_mm,
                    marks,
                }
            })
            .collect()
    }
}

/// A text mark from its line's top.
pub fn text_mark(x: f32, top: f32, style: Style, text: &str) -> Mark {
    Mark::Text {
        x,
        baseline: top + style.baseline_mm(),
        size_pt: style.size_pt,
        face: style.face,
        grey: style.grey,
        text: text.to_owned(),
    }
}
