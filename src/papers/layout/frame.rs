//! What stands on every page: running head, running foot, and DRAFT across it.

use super::flow::{SIDE_MM, text_mark};
use super::style::{RUNNING, RUNNING_STRONG, Style};
use super::wrap::shorten;
use crate::papers::page::{Grey, Mark, Stroke};
use crate::papers::typeface::legible;

const HEAD_TOP_MM: f32 = 10.0;
/// Distance of the foot's text from the lower edge.
const FOOT_TOP_MM: f32 = 14.0;

/// The repeated words of a paper. They are shortened to their place; the body of page 1 has them in full.
#[derive(Debug, Clone)]
pub struct PageFrame {
    pub width_mm: f32,
    pub height_mm: f32,
    pub head_left: String,
    pub head_right: String,
    pub foot_left: String,
    pub draft: bool,
}

/// Words of the head of a draft, beside the large letters across the page: a copy may lose those, or a screen reader.
const DRAFT_WORDS: &str = "DRAFT: not signed, no work to be done from it";

impl PageFrame {
    /// Marks before and after the body of page `number` of `count`.
    pub fn marks(&self, number: usize, count: usize) -> (Vec<Mark>, Vec<Mark>) {
        (self.head(), self.foot(number, count))
    }

    fn head(&self) -> Vec<Mark> {
        let mut marks = vec![];
        if self.draft {
            marks.push(Mark::draft((self.width_mm, self.height_mm)));
        }
        let left = if self.draft {
            DRAFT_WORDS
        } else {
            &self.head_left
        };
        self.pair(
            &mut marks,
            HEAD_TOP_MM,
            (left, RUNNING_STRONG),
            (&self.head_right, RUNNING),
        );
        marks.push(self.rule(HEAD_TOP_MM + 5.5));
        marks
    }

    fn foot(&self, number: usize, count: usize) -> Vec<Mark> {
        let top = self.height_mm - FOOT_TOP_MM;
        let mut marks = vec![self.rule(top - 1.5)];
        let page = format!("Page {number} of {count}");
        self.pair(
            &mut marks,
            top,
            (&self.foot_left, RUNNING),
            (&page, RUNNING_STRONG),
        );
        marks
    }

    /// Two texts on one line, at the margins. The right one may take up to 60 % of the line, the left one the rest.
    fn pair(&self, marks: &mut Vec<Mark>, top: f32, left: (&str, Style), right: (&str, Style)) {
        let measure = self.width_mm - 2.0 * SIDE_MM;
        let right_text = shorten(&legible(right.0), right.1, measure * 0.6);
        let right_width = right.1.width_mm(&right_text);
        let left_text = shorten(&legible(left.0), left.1, measure - right_width - 5.0);
        marks.push(text_mark(SIDE_MM, top, left.1, &left_text));
        let x = self.width_mm - SIDE_MM - right_width;
        marks.push(text_mark(x, top, right.1, &right_text));
    }

    fn rule(&self, y: f32) -> Mark {
        Mark::line(
            (SIDE_MM, y),
            (self.width_mm - SIDE_MM, y),
            Stroke::solid(0.3, Grey::INK),
        )
    }
}
