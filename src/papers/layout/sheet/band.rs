//! Bands: lists side by side, which give way from their ends where the page is too short.

use super::draw::Draw;
use super::entry::{BOX_COLUMNS, BOX_TICKS, CHECK_SHARES, PIECE_COLUMNS, entry};
use super::measure::{GUTTER, HEAD, LABEL, LABEL_STRONG, Measure, frame, hair, part, warning};
use super::rich::{Span, set};
use crate::papers::page::Grey;
use crate::papers::sheet::{Entry, Hands, List};

/// How a list is dressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dress {
    Open,
    /// In a frame with a heavy edge at its left.
    Boxed,
    /// In the heaviest frame.
    Warned,
}

/// What a list gives of itself: its last lines, what is drawn beside them and says nothing that they do not say, or its
/// title.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Giving {
    Lines,
    Pictures,
    Titles,
}

/// A step on the way to a further page: what is given, and whether by the lists of what is to be made.
pub type GivingStep = (Giving, bool);

/// A list in its column, each of its lines set.
#[derive(Debug, Clone)]
pub struct Column<'a> {
    list: &'a List,
    /// The line of the list with which it begins: of two halves of a list the second has no title.
    from: usize,
    width: f32,
    dress: Dress,
    lines: Vec<Draw>,
    /// How many of the lines stand here; the others go on on a further page.
    kept: usize,
    /// Whether even its title has gone to a further page.
    gone: bool,
    under: Option<Draw>,
    beside: Option<(f32, Draw)>,
    step: f32,
}

/// Columns with one upper edge, or a piece that does not give way.
#[derive(Debug, Clone)]
pub enum Band<'a> {
    Whole(Draw),
    Lists(Vec<Column<'a>>),
}

impl<'a> Column<'a> {
    pub fn new(list: &'a List, width: f32, label: f32, measure: &Measure) -> Column<'a> {
        Column::dressed(list, width, label, measure, Dress::Open, None)
    }

    /// A column with a picture at its left.
    pub fn beside(
        list: &'a List,
        width: f32,
        label: f32,
        measure: &Measure,
        picture: (f32, Draw),
    ) -> Column<'a> {
        Column::dressed(list, width, label, measure, Dress::Open, Some(picture))
    }

    pub fn dressed(
        list: &'a List,
        width: f32,
        label: f32,
        measure: &Measure,
        dress: Dress,
        beside: Option<(f32, Draw)>,
    ) -> Column<'a> {
        let taken = beside.as_ref().map_or(0.0, |(width, _)| width + 1.5);
        let inner = width - taken - dress.pad() * 2.0;
        let lines: Vec<Draw> = list
            .entries
            .iter()
            .map(|one| entry(one, inner, label, measure))
            .collect();
        Column {
            list,
            from: 0,
            width,
            dress,
            kept: lines.len(),
            gone: false,
            lines,
            under: None,
            beside,
            step: measure.step,
        }
    }

    /// Its lines in two columns of like height.
    pub fn halves(mut self) -> Vec<Column<'a>> {
        let whole: f32 = self.lines.iter().map(|line| line.height).sum();
        let mut above = 0.0;
        let is_first = |line: &&Draw| {
            let begins = above;
            above += line.height;
            begins < whole / 2.0
        };
        let first = self.lines.iter().take_while(is_first).count();
        let rest = self.lines.split_off(first);
        self.kept = self.lines.len();
        if rest.is_empty() {
            return vec![self];
        }
        let second = Column {
            from: first,
            kept: rest.len(),
            lines: rest,
            ..self.clone()
        };
        vec![self, second]
    }

    /// The same with a picture below its lines.
    pub fn under(self, picture: Draw) -> Column<'a> {
        Column {
            under: Some(picture),
            ..self
        }
    }

    fn head_height(&self) -> f32 {
        let table = match self.list.entries.first() {
            Some(Entry::Parcel(_)) => 2.0 * self.step - 0.2,
            Some(Entry::Piece(_) | Entry::Check { .. }) => self.step,
            _ => 0.0,
        };
        let title = match self.list.entries.first() {
            Some(Entry::Piece(_) | Entry::Check { .. }) => 0.0,
            _ if self.list.title.is_empty() => 0.0,
            _ => self.step + 0.4,
        };
        table + title + self.dress.pad()
    }

    fn kept_height(&self) -> f32 {
        let lines = self.lines.iter().take(self.kept);
        let kept: f32 = lines.map(|line| line.height).sum();
        let more = if self.kept < self.lines.len() {
            self.step
        } else {
            0.0
        };
        kept + more
    }

    /// The height with what is kept; a line more where it says that the list goes on.
    pub fn height(&self) -> f32 {
        if self.gone {
            return 0.0;
        }
        let kept = self.kept_height();
        let under = self.under.as_ref().map_or(0.0, |under| under.height);
        let beside = self.beside.as_ref().map_or(0.0, |(_, draw)| draw.height);
        self.head_height() + kept.max(beside) + under + self.dress.pad() * 0.6
    }

    /// What it could give on this step of the order.
    fn can_give(&self, (step, is_last): GivingStep) -> bool {
        if self.list.goes_last != is_last {
            return false;
        }
        match step {
            // Lines beside a picture that is longer than they are take no room.
            Giving::Lines => {
                let beside = self.beside.as_ref().map_or(0.0, |(_, draw)| draw.height);
                self.kept > 0 && self.kept_height() > beside
            }
            Giving::Pictures => self.under.is_some() || self.beside.is_some(),
            Giving::Titles => !self.gone,
        }
    }

    fn give(&mut self, step: Giving) {
        match step {
            Giving::Lines => self.kept = self.kept.saturating_sub(1),
            Giving::Pictures => (self.under, self.beside) = (None, None),
            // A list without its title keeps no line: all of them go on under the title on a further page.
            Giving::Titles => (self.gone, self.kept) = (true, 0),
        }
    }

    /// Takes the next of its lines back; whether it had given one and has its title here.
    fn take_back(&mut self) -> bool {
        let is_one = !self.gone && self.kept < self.lines.len();
        self.kept += usize::from(is_one);
        is_one
    }

    /// The lines that have no room here, with their list.
    pub fn left_over(&self) -> Option<(&'a List, &'a [Entry])> {
        let (kept, end) = (self.from + self.kept, self.from + self.lines.len());
        let rest = self.list.entries.get(kept..end).unwrap_or_default();
        (!rest.is_empty()).then_some((self.list, rest))
    }

    fn draw(self, height: f32, on: &str) -> Draw {
        let pad = self.dress.pad();
        let mut draw = Draw::new();
        self.dress.draw(&mut draw, self.width, height);
        let taken = self.beside.as_ref().map_or(0.0, |(width, _)| width + 1.5);
        let (x, mut y) = (pad + taken, self.head_height());
        self.head(&mut draw);
        if let Some((_, picture)) = self.beside {
            draw.put(pad, y, picture);
        }
        let left = self.lines.len() - self.kept;
        for line in self.lines.into_iter().take(self.kept) {
            let below = y + line.height;
            draw.put(x, y, line);
            y = below;
        }
        if left > 0 {
            let words = match (self.list.counts_all && self.kept == 0, left) {
                (false, _) => format!("{left} more on {on}"),
                (true, 1) => format!("on {on}"),
                (true, 2) => format!("both on {on}"),
                (true, _) => format!("all {left} on {on}"),
            };
            draw.text(x, y + self.step * 0.76, LABEL_STRONG, &words);
            y += self.step;
        }
        if let Some(under) = self.under {
            draw.put(x, y, under);
        }
        draw.height = height;
        draw.all_about(self.width, self.list.part());
        draw
    }

    fn head(&self, draw: &mut Draw) {
        let (pad, step) = (self.dress.pad(), self.step);
        match self.list.entries.first() {
            Some(Entry::Piece(_)) => {
                let heads = ["Arch", "Stage wanted", "Piece", "Materials"];
                for ((x, _), head) in PIECE_COLUMNS.iter().zip(heads) {
                    draw.text(*x, step * 0.7, LABEL, head);
                }
                draw.line((0.0, step), (self.width, step), hair());
            }
            Some(Entry::Check { .. }) => {
                let (value, measured) = CHECK_SHARES;
                draw.text(0.0, step * 0.7, LABEL, self.list.title);
                draw.text(self.width * value, step * 0.7, LABEL, "Prescribed");
                draw.text(self.width * measured + 1.0, step * 0.7, LABEL, "Measured");
                draw.line((0.0, step), (self.width, step), hair());
            }
            _ if self.list.title.is_empty() || self.from > 0 => {}
            first => {
                let baseline = step * 0.8 + pad * 0.6;
                draw.text(pad, baseline, HEAD, self.list.title);
                let x = pad + HEAD.width_mm(self.list.title) + 1.5;
                draw.text(x, baseline, LABEL, &self.list.note);
                if let Some(Entry::Parcel(_)) = first {
                    self.box_heads(draw, step + 0.4);
                }
            }
        }
    }

    fn box_heads(&self, draw: &mut Draw, top: f32) {
        let low = top + 2.0 * self.step - 0.2;
        let (disinfected, ticks) = match self.list.hands {
            Hands::OfficeAndLab => (
                "Disinfected at the office",
                [
                    ("from", "office"),
                    ("at", "lab"),
                    ("from", "lab"),
                    ("at", "office"),
                ],
            ),
            Hands::TwoLabs => (
                "Disinfected at the first lab",
                [
                    ("from", "first"),
                    ("at", "second"),
                    ("from", "second"),
                    ("at", "first"),
                ],
            ),
        };
        let heads = ["Item", "Arch", "Tag", disinfected, "Comes back"];
        for ((x, _), head) in BOX_COLUMNS.iter().zip(heads) {
            draw.text(*x, low - 1.0, LABEL, head);
        }
        for (x, (upper, lower)) in BOX_TICKS.into_iter().zip(ticks) {
            let middle = x + super::entry::TICK / 2.0;
            for (word, baseline) in [(upper, low - 4.0), (lower, low - 1.0)] {
                let half = LABEL.width_mm(word) / 2.0;
                draw.text(middle - half, baseline, LABEL, word);
            }
        }
        draw.line((0.0, low), (self.width, low), part());
    }
}

impl Dress {
    fn pad(self) -> f32 {
        match self {
            Dress::Open => 0.0,
            Dress::Boxed | Dress::Warned => 2.6,
        }
    }

    fn draw(self, draw: &mut Draw, width: f32, height: f32) {
        match self {
            Dress::Open => {}
            Dress::Boxed => {
                draw.frame((0.0, 0.0), (width, height), hair());
                draw.filled((0.0, 0.0), (1.5, height), Grey::INK);
            }
            Dress::Warned => draw.frame((0.0, 0.0), (width, height), warning()),
        }
    }
}

impl<'a> Band<'a> {
    /// Columns side by side; none where there is no column.
    pub fn of(columns: Vec<Column<'a>>) -> Option<Band<'a>> {
        (!columns.is_empty()).then_some(Band::Lists(columns))
    }

    pub fn height(&self) -> f32 {
        match self {
            Band::Whole(draw) => draw.height,
            Band::Lists(columns) => columns.iter().map(Column::height).fold(0.0, f32::max),
        }
    }

    /// Lets the longest column give something.
    pub fn give(&mut self, step: Giving) {
        if let Band::Lists(columns) = self {
            let longest = columns
                .iter_mut()
                .max_by(|one, other| one.height().total_cmp(&other.height()));
            longest.into_iter().for_each(|column| column.give(step));
        }
    }

    /// Whether the longest column could still give something on this step: what a shorter one gives is no room.
    pub fn can_give(&self, step: GivingStep) -> bool {
        let Band::Lists(columns) = self else {
            return false;
        };
        let longest = columns
            .iter()
            .max_by(|one, other| one.height().total_cmp(&other.height()));
        longest.is_some_and(|column| column.can_give(step))
    }

    /// Its columns whose lists go last, or the others.
    pub fn columns(&self, goes_last: bool) -> Vec<usize> {
        let Band::Lists(columns) = self else {
            return Vec::new();
        };
        let all = columns.iter().enumerate();
        let these = all.filter(|(_, column)| column.list.goes_last == goes_last);
        these.map(|(at, _)| at).collect()
    }

    /// Takes the next line of a column back; whether it had given one.
    pub fn take_back(&mut self, at: usize) -> bool {
        match self {
            Band::Whole(_) => false,
            Band::Lists(columns) => columns.get_mut(at).is_some_and(Column::take_back),
        }
    }

    /// Lets one column give its last line.
    pub fn give_line(&mut self, at: usize) {
        if let Band::Lists(columns) = self {
            let column = columns.get_mut(at);
            column.into_iter().for_each(|one| one.give(Giving::Lines));
        }
    }

    pub fn left_over(&self) -> Vec<(&'a List, &'a [Entry])> {
        match self {
            Band::Whole(_) => Vec::new(),
            Band::Lists(columns) => columns.iter().filter_map(Column::left_over).collect(),
        }
    }

    /// The band as one piece; `on` is the page on which lists go on.
    pub fn draw(self, on: &str) -> Draw {
        let height = self.height();
        match self {
            Band::Whole(draw) => draw,
            Band::Lists(columns) => {
                let mut draw = Draw::space(height);
                let mut x = 0.0;
                for column in columns.into_iter().filter(|column| !column.gone) {
                    let (width, own) = (column.width, column.height());
                    let is_open = column.dress == Dress::Open;
                    if is_open && !column.list.title.is_empty() {
                        let edge = match column.list.entries.first() {
                            Some(Entry::Piece(_) | Entry::Check { .. }) => None,
                            _ => Some(part()),
                        };
                        if let Some(edge) = edge {
                            draw.line((x, -0.2), (x + width, -0.2), edge);
                        }
                    }
                    let column = column.draw(if is_open { own } else { height }, on);
                    draw.put(x, 0.0, column);
                    x += width + GUTTER;
                }
                draw
            }
        }
    }
}

/// A framed line of words over the whole width.
pub fn framed(spans: &[Span], measure: &Measure) -> Draw {
    let text = set(spans, measure.width - 5.0, measure.step * 1.35);
    let mut draw = Draw::space(text.height + 2.0);
    let height = draw.height;
    draw.frame((0.0, 0.0), (measure.width, height), frame());
    draw.put(2.5, 0.8, text);
    draw
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::people::party::Paper;
    use crate::papers::sheet::Words;

    #[test]
    fn two_halves_of_a_list_hold_all_its_lines_and_each_goes_on_from_its_own_end() {
        let measure = Measure::of(Paper::A4, 6);
        let line = |number: usize| Entry::text(Words::plain(format!("Query {number}.")));
        let list = List::new("Open queries", (0..7).map(line).collect());
        let column = || Column::new(&list, measure.column(2), 0.0, &measure);
        let mut halves = column().halves();
        let held: Vec<_> = halves.iter().map(|half| (half.from, half.kept)).collect();
        assert_eq!(held, [(0, 4), (4, 3)]);
        assert!(halves.iter().all(|half| half.left_over().is_none()));
        let height = halves.iter().map(Column::height).fold(0.0, f32::max);
        assert!(height < column().height());
        for (half, last) in halves.iter_mut().zip([3, 6]) {
            half.give(Giving::Lines);
            let left = half.left_over().map(|(_, entries)| entries);
            assert_eq!(left, Some(&list.entries[last..=last]));
        }
    }
}
