//! Sheets of labels.

use crate::poor_copy::Copy;
use crate::{mark, run, saved, text_of};
use vestibule::domain::custody::item::ItemKind;
use vestibule::domain::people::party::Paper;
use vestibule::papers::label_sheet::{Label, LabelRun, PanLabel};
use vestibule::papers::layout::grid::{Grid, GridCell, Margins, READY, sheet_of};
use vestibule::papers::typeface::width_mm;
use vestibule::papers::{Mark, Page, label_sheet, samples};

/// As many labels as asked, in the words that the longest items have.
pub fn labels(count: usize) -> Vec<Label> {
    let titles = [
        "Provisional denture, upper",
        "Index of the tooth positions, lower",
        "Set of teeth on its card",
        "Record base with rim, lower",
    ];
    titles
        .iter()
        .cycle()
        .take(count)
        .enumerate()
        .map(|(place, title)| Label {
            code: format!("T4K-7M9-{place:03}"),
            address: format!("HTTPS://VESTIBULE.OFFICE.EXAMPLE/I/T4K7M9{place:03}"),
            title: (*title).to_owned(),
            set: (place % 2 == 0).then(|| "First set".to_owned()),
            warning: None,
            day: "2026-03-02".to_owned(),
            case: "C12-345-67X".to_owned(),
        })
        .collect()
}

pub fn run_of(grid: Grid) -> LabelRun {
    LabelRun {
        grid,
        offset: (0, 0),
        start: 1,
    }
}

/// Every grid that is offered, and grids as somebody might measure them.
fn grids() -> Vec<(String, Grid)> {
    let own = Grid {
        sheet: sheet_of(Paper::A4),
        columns: 2,
        rows: 4,
        margins: Margins {
            left: 1000,
            right: 1200,
            top: 1300,
            bottom: 1600,
        },
        gaps: (500, 250),
    };
    let mut grids: Vec<(String, Grid)> = READY
        .iter()
        .map(|ready| (ready.word.to_owned(), ready.grid()))
        .collect();
    grids.push(("own".to_owned(), own));
    grids.push(("single-wide".to_owned(), Grid::single(6200, 2900)));
    grids.push(("single-high".to_owned(), Grid::single(3600, 5500)));
    grids
}

/// The rectangle of everything that a mark covers: left, top, right, bottom.
fn extent(mark: &Mark) -> (f32, f32, f32, f32) {
    match mark {
        Mark::Text {
            x,
            baseline,
            size_pt,
            face,
            text,
            ..
        } => {
            // Capitals of this face reach 0.71 em above the baseline, and tails 0.24 em below (from its own tables).
            let em = size_pt * 25.4 / 72.0;
            let end = x + width_mm(text, *face, *size_pt);
            (*x, baseline - 0.71 * em, end, baseline + 0.24 * em)
        }
        Mark::Path { points, .. } => points.iter().fold(
            (f32::MAX, f32::MAX, f32::MIN, f32::MIN),
            |(left, top, right, bottom), point| {
                (
                    left.min(point.x),
                    top.min(point.y),
                    right.max(point.x),
                    bottom.max(point.y),
                )
            },
        ),
        Mark::Qr {
            x,
            y,
            module_mm,
            rows,
        } => {
            let side = module_mm * rows.len() as f32;
            (*x, *y, x + side, y + side)
        }
        Mark::Photo { corner, size, .. } => {
            (corner.x, corner.y, corner.x + size.0, corner.y + size.1)
        }
        Mark::Across { centre, .. } => (centre.x, centre.y, centre.x, centre.y),
    }
}

#[test]
fn a_labels_marks_lie_on_one_label_and_never_on_each_other() {
    for (name, grid) in grids() {
        let run = LabelRun {
            offset: if grid.count() > 1 { (20, -30) } else { (0, 0) },
            ..run_of(grid)
        };
        let cells = grid.cells(run.offset).unwrap();
        let labels = labels(cells.len());
        let pages = label_sheet::lay_out(&labels, &run, mark().as_ref()).unwrap();
        let on = |cell: &GridCell, (left, top, right, bottom): (f32, f32, f32, f32)| {
            let slack = 0.01;
            left >= cell.x - slack
                && top >= cell.y - slack
                && right <= cell.x + cell.width + slack
                && bottom <= cell.y + cell.height + slack
        };
        let extents: Vec<_> = pages
            .iter()
            .flat_map(|page| page.marks.iter().map(move |mark| (page, extent(mark))))
            .collect();
        let (mut on_labels, mut beside) = (0, 0);
        for (page, extent) in &extents {
            let (left, top, right, bottom) = *extent;
            assert!(
                left >= 0.0 && top >= 0.0 && right <= page.width_mm && bottom <= page.height_mm
            );
            match cells.iter().filter(|cell| on(cell, *extent)).count() {
                1 => on_labels += 1,
                0 => {
                    let touches = |cell: &&GridCell| {
                        left < cell.x + cell.width
                            && right > cell.x
                            && top < cell.y + cell.height
                            && bottom > cell.y
                    };
                    assert_eq!(cells.iter().find(touches), None, "{name}: {extent:?}");
                    beside += 1;
                }
                more => panic!("{name}: {extent:?} lies on {more} labels"),
            }
        }
        assert!(on_labels >= 5 * labels.len(), "{name}: {on_labels}");
        // Line, two ends, its words and the record's.
        assert!(beside == 5 * pages.len() || beside == 0, "{name}: {beside}");
        for (place, (_, a)) in extents.iter().enumerate() {
            for (_, b) in extents.iter().skip(place + 1) {
                let apart = a.2 <= b.0 || b.2 <= a.0 || a.3 <= b.1 || b.3 <= a.1;
                // The line to be measured touches its own ends.
                let is_line = a.1 == a.3 || a.0 == a.2 || b.1 == b.3 || b.0 == b.2;
                assert!(apart || is_line, "{name}: {a:?} {b:?}");
            }
        }
    }
}

#[test]
fn a_labels_code_is_twenty_millimetres_wide_and_has_its_free_border() {
    for (name, grid) in grids() {
        let cells = grid.cells((0, 0)).unwrap();
        let pages =
            label_sheet::lay_out(&labels(cells.len()), &run_of(grid), mark().as_ref()).unwrap();
        let mut codes = 0;
        for mark in pages.iter().flat_map(|page| &page.marks) {
            let Mark::Qr {
                module_mm, rows, ..
            } = mark
            else {
                continue;
            };
            let (left, top, right, bottom) = extent(mark);
            assert!(right - left >= 19.999, "{name}: {}", right - left);
            let border = 4.0 * module_mm - 0.01;
            let cell = cells
                .iter()
                .find(|cell| {
                    left >= cell.x + border
                        && top >= cell.y + border
                        && right <= cell.x + cell.width
                        && bottom + border <= cell.y + cell.height
                })
                .unwrap_or_else(|| panic!("{name}: a code without its border"));
            // Nothing is printed into the border.
            let words = pages[0]
                .marks
                .iter()
                .filter(|one| !matches!(one, Mark::Qr { .. }));
            for (l, t, r, b) in words.map(extent) {
                let is_here = l >= cell.x && r <= cell.x + cell.width;
                let apart = r <= left - border + 0.02
                    || l >= right + border - 0.02
                    || b <= top - border + 0.02
                    || t >= bottom + border - 0.02;
                assert!(apart || !is_here, "{name}");
            }
            assert_eq!(rows.len(), rows[0].len());
            codes += 1;
        }
        assert_eq!(codes, cells.len(), "{name}");
    }
}

#[test]
fn the_line_to_be_measured_is_fifty_millimetres_long() {
    let long = |page: &Page| -> Vec<(f32, f32)> {
        page.marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Path { points, .. } if points.len() == 2 => {
                    let (left, top, right, bottom) = extent(mark);
                    Some((right - left, bottom - top)).filter(|(x, y)| x.max(*y) > 10.0)
                }
                _ => None,
            })
            .collect()
    };
    for ready in READY {
        let run = run_of(ready.grid());
        let sheet = label_sheet::lay_out(&labels(3), &run, mark().as_ref()).unwrap();
        let lines = long(&sheet[0]);
        assert_eq!(lines.len(), 1, "{}", ready.word);
        assert!((lines[0].0 - 50.0).abs() < 1e-3 && lines[0].1 == 0.0);
        let lines = long(&label_sheet::test_page(&run, &samples::record()).unwrap());
        assert_eq!(lines.len(), 3, "{}", ready.word);
        assert!(lines.iter().all(|(x, y)| (x.max(*y) - 50.0).abs() < 1e-3));
    }
    // What the file says is what the marks say: 50 mm are 141.732 points of 1/72 inch.
    let page = label_sheet::test_page(&run_of(READY[0].grid()), &samples::record()).unwrap();
    let file = saved("label-test", &[page]);
    let plain = file.with_extension("plain.pdf");
    run(
        "qpdf",
        &["--qdf", "--object-streams=disable", file.to_str().unwrap()],
        &plain,
    );
    let source = String::from_utf8_lossy(&std::fs::read(&plain).unwrap()).into_owned();
    let numbers = |line: &str| -> Vec<f64> {
        line.split(' ')
            .filter_map(|word| word.parse().ok())
            .collect()
    };
    let moves: Vec<Vec<f64>> = source
        .lines()
        .filter(|line| line.ends_with(" m") || line.ends_with(" l"))
        .map(numbers)
        .collect();
    let is_fifty = |pair: &[Vec<f64>]| (pair[1][0] - pair[0][0] - 141.732).abs() < 0.01;
    assert!(moves.windows(2).any(is_fifty), "{moves:?}");
}

#[test]
fn a_telephone_reads_every_code_of_a_sheet_of_labels() {
    for (name, grid) in grids() {
        let labels = labels(usize::try_from(grid.count()).unwrap());
        let pages = label_sheet::lay_out(&labels, &run_of(grid), mark().as_ref()).unwrap();
        let file = saved(&format!("labels-{name}"), &pages);
        let image = file.with_extension("");
        let source = file.to_str().unwrap();
        run(
            "pdftoppm",
            &["-r", "150", "-png", "-singlefile", source],
            &image,
        );
        let read = run("zbarimg", &["-q", "--raw"], &image.with_extension("png"));
        let mut read: Vec<&str> = read.lines().collect();
        read.sort_unstable();
        let mut wanted: Vec<&str> = labels.iter().map(|label| label.address.as_str()).collect();
        wanted.sort_unstable();
        assert_eq!(read, wanted, "{name}");
        let text = text_of(&file).concat();
        for label in &labels {
            assert!(
                text.contains(&label.code),
                "{name}: {} is missing",
                label.code
            );
        }
        for words in ["First set", "2026-03-02", "C12-345-67X"] {
            assert!(
                text.contains(words),
                "{name}: {words} is missing in\n{text}"
            );
        }
    }
}

#[test]
fn a_half_used_sheet_goes_on_where_it_was_left() {
    let grid = READY[0].grid();
    let run = LabelRun {
        start: 20,
        ..run_of(grid)
    };
    let pages = label_sheet::lay_out(&labels(4), &run, None).unwrap();
    let codes = |page: &Page| -> Vec<(f32, f32)> {
        let codes = page
            .marks
            .iter()
            .filter(|mark| matches!(mark, Mark::Qr { .. }));
        codes.map(|mark| (extent(mark).0, extent(mark).1)).collect()
    };
    let cells = grid.cells((0, 0)).unwrap();
    assert_eq!((pages.len(), codes(&pages[0]).len()), (2, 2));
    let first = codes(&pages[0])[0];
    assert!(first.0 > cells[19].x && first.1 > cells[19].y && first.0 < cells[20].x);
    assert!(codes(&pages[1])[0].1 < cells[0].y + cells[0].height);
    for start in [0, 22, -1] {
        let run = LabelRun {
            start,
            ..run_of(grid)
        };
        let error = label_sheet::lay_out(&labels(1), &run, mark().as_ref()).unwrap_err();
        assert_eq!(error.to_string(), "The sheet has labels 1 to 21.");
    }
}

#[test]
fn a_label_too_small_for_code_and_words_is_refused_in_words() {
    for (width, height) in [(2400, 2400), (2600, 2600), (3000, 2600)] {
        let run = run_of(Grid::single(width, height));
        let error = label_sheet::lay_out(&labels(1), &run, mark().as_ref()).unwrap_err();
        assert!(error.to_string().contains("is too small"), "{error}");
    }
    let mut far = labels(1);
    far[0].address = format!("HTTPS://VESTIBULE.EXAMPLE/{}", "LONG".repeat(300));
    let error = label_sheet::lay_out(&far, &run_of(READY[0].grid()), None).unwrap_err();
    assert!(
        error.to_string().contains("too long for a QR code"),
        "{error}"
    );
}

#[test]
fn the_label_of_a_pan_fits_every_grid_and_a_telephone_reads_it() {
    let label = PanLabel {
        pan: "Green 114".to_owned(),
        case: "CWW-WWW-WWW".to_owned(),
        address: "HTTPS://VESTIBULE.OFFICE.EXAMPLE/C/CWWWWWWWW/12".to_owned(),
        due: "Due Wed 25 Nov 2026".to_owned(),
        house: "Dr Quintana and Partners, Dental Office".to_owned(),
        revision: "Revision 12".to_owned(),
    };
    for (name, grid) in grids() {
        let run = LabelRun {
            start: grid.count(),
            ..run_of(grid)
        };
        let page = label_sheet::lay_out_pan(&label, &run).unwrap();
        let cell = *grid.cells((0, 0)).unwrap().last().unwrap();
        for mark in &page.marks {
            let (left, top, right, bottom) = extent(mark);
            assert!(
                left >= cell.x - 0.01
                    && top >= cell.y - 0.01
                    && right <= cell.x + cell.width + 0.01
                    && bottom <= cell.y + cell.height + 0.01,
                "{name}: {mark:?} is outside {cell:?}"
            );
            if let Mark::Text { size_pt, .. } = mark {
                assert!(*size_pt >= 8.0, "{name}");
            }
        }
        let file = saved(&format!("pan-{name}"), &[page]);
        let image = file.with_extension("");
        let source = file.to_str().unwrap();
        crate::run(
            "pdftoppm",
            &["-r", "150", "-png", "-singlefile", source],
            &image,
        );
        let read = crate::run("zbarimg", &["-q", "--raw"], &image.with_extension("png"));
        assert_eq!(read.trim(), label.address, "{name}");
    }
    let run = LabelRun {
        start: 2,
        ..run_of(Grid::single(7000, 3800))
    };
    let error = label_sheet::lay_out_pan(&label, &run).unwrap_err();
    assert_eq!(error.to_string(), "The sheet has labels 1 to 1.");
}

#[test]
fn the_label_of_an_old_denture_warns_on_every_grid() {
    let warning = ItemKind::OldDenture.warning().unwrap();
    assert_eq!(ItemKind::Provisional.warning(), None);
    for (name, grid) in grids() {
        let label = Label {
            title: "Old denture, upper".to_owned(),
            set: None,
            warning: Some(warning.to_owned()),
            ..labels(1).remove(0)
        };
        let pages = label_sheet::lay_out(&[label], &run_of(grid), mark().as_ref()).unwrap();
        let text = text_of(&saved(&format!("old-denture-{name}"), &pages)).concat();
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        // The two sentences may stand in two lines.
        for words in warning.split_inclusive('.') {
            let squeezed = |text: &str| crate::without_space(text);
            assert!(
                squeezed(&text).contains(&squeezed(words)),
                "{name}: {words} in\n{text}"
            );
        }
        assert!(!text.contains(" set"), "{name}");
    }
}

/// The code with its free border, at which a telephone is held, in shares of the page: from where, and how much.
fn place_of_code(page: &Page) -> ((f64, f64), (f64, f64)) {
    let mut codes = page.marks.iter().filter_map(|mark| match mark {
        Mark::Qr {
            x,
            y,
            module_mm,
            rows,
        } => Some((*x, *y, 4.0 * module_mm, module_mm * rows.len() as f32)),
        _ => None,
    });
    let (x, y, free, side) = codes.next().unwrap();
    let share = |mm: f32, whole: f32| f64::from(mm / whole);
    let whole = side + 2.0 * free;
    let (width, height) = (page.width_mm, page.height_mm);
    (
        (share(x - free, width), share(y - free, height)),
        (share(whole, width), share(whole, height)),
    )
}

#[test]
fn l5_the_code_of_a_label_is_read_from_ten_poor_copies_of_ten() {
    let far = "HTTPS://PROSTHODONTICS.QUAYSIDE.DENTAL.EXAMPLE:8443/VESTIBULE/I/T4K7M9000";
    for (name, grid) in grids() {
        for address in [labels(1).remove(0).address, far.to_owned()] {
            let label = Label {
                address: address.clone(),
                ..labels(1).remove(0)
            };
            let Ok(pages) = label_sheet::lay_out(&[label], &run_of(grid), None) else {
                // A long address makes the code too large for a small label, and the page says so.
                assert_eq!(address, far, "{name}");
                continue;
            };
            let file = saved(&format!("label-poor-{name}"), &pages);
            let (from, share) = place_of_code(&pages[0]);
            let copy = Copy::of(&file, 1).part(from, share);
            for number in 0..10 {
                let degrees = if number % 2 == 0 { 3.0 } else { -3.0 };
                let poor = copy.turned(degrees, f64::from(number) / 10.0).blurred(1.0);
                let codes = poor.codes(&format!("label-poor-{name}-{number}"));
                assert_eq!(codes, [address.as_str()], "{name}, copy {number}");
            }
        }
    }
}
