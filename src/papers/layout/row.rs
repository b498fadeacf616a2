//! A row of cells side by side that may run over several pages. Every body text of a paper is set through here.

use super::flow::Flow;
use super::style::Style;
use super::wrap::wrap;
use crate::papers::page::{Grey, Mark, Stroke};
use crate::papers::typeface::{FIRM, legible};

/// Side of the square to tick, large enough for a wet pencil.
pub const TICK_MM: f32 = 4.0;
/// Where text begins beside such a square.
pub const TICK_INDENT_MM: f32 = 7.0;

/// One line of a cell: runs of text with their distance from the cell's left edge.
#[derive(Debug, Clone, Default)]
struct CellLine {
    runs: Vec<(f32, Style, String)>,
    height_mm: f32,
    baseline_mm: f32,
    /// A rule at its foot, to write on.
    ruled: bool,
}

/// A column of lines.
#[derive(Debug, Clone)]
pub struct Cell {
    x: f32,
    width_mm: f32,
    /// From line to line, as a share of what its style asks.
    lead: f32,
    lines: Vec<CellLine>,
}

impl Cell {
    pub fn new(x: f32, width_mm: f32) -> Cell {
        Cell {
            x,
            width_mm,
            lead: 1.0,
            lines: vec![],
        }
    }

    /// The same with its lines nearer to each other or further apart.
    pub fn lead(self, lead: f32) -> Cell {
        Cell { lead, ..self }
    }

    /// Adds a text, broken into as many lines as it takes.
    pub fn add(mut self, text: &str, style: Style) -> Cell {
        self.set(&legible(text), style);
        self
    }

    /// Adds a text in which firm spaces end no line where a line has room for what they join.
    pub fn add_kept(mut self, text: &str, style: Style) -> Cell {
        let parts: Vec<String> = text.split(FIRM).map(legible).collect();
        let firm = parts.join(&String::from(FIRM));
        self.set(&firm, style);
        self
    }

    /// The lines of a legible text; its firm spaces are common ones on paper.
    fn set(&mut self, text: &str, style: Style) {
        let height_mm = style.line_mm() * self.lead;
        let lines = wrap(text, style, self.width_mm).into_iter();
        self.lines.extend(lines.map(|line| CellLine {
            runs: vec![(0.0, style, line.replace(FIRM, " "))],
            height_mm,
            baseline_mm: style.baseline_mm(),
            ruled: false,
        }));
    }

    /// Adds a text unless it is empty.
    pub fn add_some(self, text: &str, style: Style) -> Cell {
        if text.is_empty() {
            self
        } else {
            self.add(text, style)
        }
    }

    /// Sets a short text behind the last line, or below it if there is no room.
    pub fn beside(mut self, text: &str, style: Style) -> Cell {
        let shown = legible(text);
        if shown.is_empty() {
            return self;
        }
        let width_mm = self.width_mm;
        if let Some((line, end)) = self.lines.last_mut().and_then(|line| {
            let (x, before, last) = line.runs.last()?;
            let end = x + before.width_mm(last) + style.width_mm(" ");
            (!shown.contains('\n') && end + style.width_mm(&shown) <= width_mm)
                .then_some((line, end))
        }) {
            line.runs.push((end, style, shown));
            return self;
        }
        self.add(text, style)
    }

    /// Adds white space.
    pub fn space(mut self, height_mm: f32) -> Cell {
        self.lines.push(CellLine {
            height_mm,
            ..CellLine::default()
        });
        self
    }

    /// Adds a line to write on, across the cell.
    pub fn to_write_on(mut self, height_mm: f32) -> Cell {
        self.lines.push(CellLine {
            height_mm,
            ruled: true,
            ..CellLine::default()
        });
        self
    }

    /// Lowers the cell so that its first line, in `own`, shares the baseline of a neighbour's first line in `other`.
    pub fn level(self, own: Style, other: Style) -> Cell {
        self.space((other.baseline_mm() - own.baseline_mm()).max(0.0))
    }

    fn height_mm(&self) -> f32 {
        self.lines.iter().map(|line| line.height_mm).sum()
    }
}

/// What surrounds a row's text.
#[derive(Debug, Clone, Copy, Default)]
pub struct RowStyle {
    /// White space above and below, inside of the row.
    pub pad_mm: f32,
    /// An empty square to tick at the left margin.
    pub tick: bool,
    /// A second square, this far from the left margin: two short lines share a row.
    pub second_tick_mm: Option<f32>,
    /// A thin rule below the row.
    pub rule: bool,
    /// A heavy bar along the left margin.
    pub bar: bool,
    /// Thin uprights at the cells' left edges, and rules above and below.
    pub boxed: bool,
}

/// White space between a boxed cell's upright and its text.
pub const BOX_PAD_MM: f32 = 3.0;

/// Height of a row that is set in one piece.
pub fn height_mm(cells: &[Cell], row_style: RowStyle) -> f32 {
    let text = cells.iter().map(Cell::height_mm).fold(0.0, f32::max);
    text.max(if row_style.tick { TICK_MM } else { 0.0 }) + 2.0 * row_style.pad_mm
}

/// Sets a row. It stays in one piece if half a page can hold it; otherwise each cell goes on over the next page,
/// below whatever `again` puts there.
pub fn place(
    flow: &mut Flow,
    mut cells: Vec<Cell>,
    row_style: RowStyle,
    again: &dyn Fn(&mut Flow),
) {
    let whole = height_mm(&cells, row_style);
    if whole > flow.room() && (whole <= flow.full_height() / 2.0 || flow.room() < 12.0) {
        turn(flow, again);
    }
    let mut tick = row_style.tick;
    loop {
        let top = flow.y;
        flow.y += row_style.pad_mm;
        let used = cells
            .iter_mut()
            .map(|cell| fill(flow, cell))
            .fold(0.0, f32::max);
        if tick {
            for x in std::iter::once(0.0).chain(row_style.second_tick_mm) {
                let corner = (flow.left() + x, flow.y + 0.4);
                let edge = Some(Stroke::solid(0.3, Grey::INK));
                flow.push(Mark::rect(corner, (TICK_MM, TICK_MM), edge, None));
            }
        }
        flow.y = (flow.y + used.max(if tick { TICK_MM } else { 0.0 }) + row_style.pad_mm)
            .min(flow.bottom());
        surround(flow, &cells, row_style, top);
        tick = false;
        if cells.iter().all(|cell| cell.lines.is_empty()) {
            return;
        }
        if used > 0.0 {
            turn(flow, again);
        } else {
            // What is repeated left no room for a single line: without it, one fits.
            flow.new_page();
        }
    }
}

fn turn(flow: &mut Flow, again: &dyn Fn(&mut Flow)) {
    if !flow.is_at_top() {
        flow.new_page();
        again(flow);
    }
}

/// Sets the lines of a cell that fit on this page and takes them out of it; gives the height used.
fn fill(flow: &mut Flow, cell: &mut Cell) -> f32 {
    let mut y = flow.y;
    let mut taken = 0;
    for line in &cell.lines {
        if y + line.height_mm > flow.bottom() {
            break;
        }
        for (dx, style, text) in &line.runs {
            flow.text(
                cell.x + dx,
                y + line.baseline_mm - style.baseline_mm(),
                *style,
                text,
            );
        }
        y += line.height_mm;
        if line.ruled {
            let rule = Mark::line(
                (cell.x, y),
                (cell.x + cell.width_mm, y),
                Stroke::thin(Grey::RULE),
            );
            flow.push(rule);
        }
        taken += 1;
    }
    cell.lines.drain(..taken);
    y - flow.y
}

fn surround(flow: &mut Flow, cells: &[Cell], row_style: RowStyle, top: f32) {
    let y = flow.y;
    let thin = Stroke::thin(Grey::RULE);
    if row_style.rule {
        flow.rule(thin);
    }
    if row_style.bar {
        let x = flow.left() + 0.75;
        flow.push(Mark::line((x, top), (x, y), Stroke::solid(1.5, Grey::INK)));
    }
    if row_style.boxed {
        let (left, right) = (flow.left(), flow.right());
        let frame = Stroke::solid(0.25, Grey::INK);
        flow.push(Mark::rect(
            (left, top),
            (right - left, y - top),
            Some(frame),
            None,
        ));
        for cell in cells.iter().skip(1) {
            let x = cell.x - BOX_PAD_MM;
            flow.push(Mark::line((x, top), (x, y), frame));
        }
    }
}
