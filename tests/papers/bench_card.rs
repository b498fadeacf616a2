//! The card of the bench: each of its codes is read by itself, with its free border and nothing else in sight.

use crate::{run, saved, text_of};
use vestibule::domain::custody::bench::ScanWord;
use vestibule::domain::people::party::Paper;
use vestibule::papers::Mark;
use vestibule::papers::bench_card::{BenchCard, lay_out};

/// Dots of the printed card for a millimetre, at 200 to the inch.
const DOTS: f32 = 200.0 / 25.4;

#[test]
fn each_code_of_the_card_is_read_by_itself_and_says_its_word() {
    let pages = lay_out(&BenchCard {
        paper: Paper::Letter,
        house: "Kiln Laboratory".into(),
    });
    assert_eq!(pages.len(), 1);
    let file = saved("bench-card", &pages);
    let source = file.to_str().unwrap();
    let text = text_of(&file).join(" ");
    let groups = ScanWord::groups().into_iter();
    let words: Vec<ScanWord> = groups.flat_map(|(_, words)| words).collect();
    let codes = pages[0].marks.iter().filter_map(|mark| match mark {
        Mark::Qr {
            x,
            y,
            module_mm,
            rows,
        } => Some((*x, *y, *module_mm, rows.len())),
        _ => None,
    });
    let codes: Vec<_> = codes.collect();
    assert_eq!(codes.len(), words.len());
    for (word, (x, y, module, count)) in words.iter().zip(codes) {
        let dots = |mm: f32| (mm * DOTS).round().to_string();
        let side = dots(module * (count as f32 + 8.0));
        let (left, top) = (dots(x - 4.0 * module), dots(y - 4.0 * module));
        let crop = ["-r", "200", "-png", "-singlefile", "-x", &left, "-y", &top];
        let crop = [&crop[..], &["-W", &side, "-H", &side, source]].concat();
        let image = file.with_extension("");
        run("pdftoppm", &crop, &image);
        let read = run("zbarimg", &["-q", "--raw"], &image.with_extension("png"));
        assert_eq!(read.trim(), word.text());
        let shown = word.shown();
        let first = shown.split(' ').next().unwrap();
        assert!(text.contains(first), "{shown}");
    }
}
