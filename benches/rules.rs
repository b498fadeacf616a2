//! How fast the pure rooms are, beside the raw work of the libraries under them. Prints, asserts nothing.
//!
//! Run with `cargo bench --bench rules`.

#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a measurement prints, reads the clock, and falls over when it cannot be made"
)]

use palette::color_difference::Ciede2000;
use sha2::{Digest, Sha256};
use std::hint::black_box;
use std::time::{Duration, Instant};
use vestibule::domain::people::party::Paper;
use vestibule::domain::prescription::{Prescription, read};
use vestibule::domain::review::{criteria, review, sample};
use vestibule::domain::trade::colour::{Formula, Lab, difference};
use vestibule::domain::values::moment::Moment;
use vestibule::domain::values::tooth::Numbering;
use vestibule::papers::svg::write_svg;
use vestibule::papers::{Meta, lay_out, lay_out_sheet, samples, sheet_samples, write};
use vestibule::record::hash::leaf_hash;
use vestibule::record::tree::Frontier;

/// The best of five rounds of at least a tenth of a second each, per call.
fn best(mut work: impl FnMut()) -> Duration {
    let round = |work: &mut dyn FnMut()| {
        let (began, mut calls) = (Instant::now(), 0_u32);
        while began.elapsed() < Duration::from_millis(100) {
            work();
            calls += 1;
        }
        began.elapsed() / calls
    };
    (0..5).map(|_| round(&mut work)).min().unwrap()
}

fn line(what: &str, each: Duration, beside: &str) {
    println!(
        "{what:<52} {:>12.1} µs   {beside}",
        each.as_secs_f64() * 1e6
    );
}

fn main() {
    let (document, setting, raw) = (sample::document(), sample::setting(), sample::raw());
    let all = best(|| drop(black_box(review(&document, &setting))));
    let rules = review(&Prescription::default(), &setting).len();
    line(
        "review of a full prescription",
        all,
        &format!("aim: under 1000 µs; an empty one has {rules} findings"),
    );
    let empty = Prescription::default();
    line(
        "review of an empty one",
        best(|| drop(black_box(review(&empty, &setting)))),
        "",
    );
    line(
        "the 24 criteria",
        best(|| drop(black_box(criteria(&document, &setting)))),
        "",
    );
    line(
        "reading the form",
        best(|| drop(black_box(read(&raw, Numbering::Iso3950)))),
        &format!("{} fields", raw.len()),
    );
    line(
        "canonical text",
        best(|| drop(black_box(document.canonical().unwrap()))),
        "",
    );

    // Two colours of the published test data of Sharma, Wu and Dalal (2005), first pair.
    let (one, other) = ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485));
    let lab = |(l, a, b)| Lab::new(l, a, b).unwrap();
    let (ours, theirs) = ((lab(one), lab(other)), (raw_lab(one), raw_lab(other)));
    let own = best(|| {
        for _ in 0..1000 {
            black_box(difference(
                black_box(ours.0),
                black_box(ours.1),
                Formula::Ciede2000,
            ));
        }
    });
    let library = best(|| {
        for _ in 0..1000 {
            black_box(black_box(theirs.0).difference(black_box(theirs.1)));
        }
    });
    let ratio = own.as_secs_f64() / library.as_secs_f64();
    let per_second = |thousand: Duration| 1000.0 / thousand.as_secs_f64() / 1e6;
    line(
        "1000 colour differences",
        own,
        &format!(
            "{:.2} million pairs/s; the raw loop of the library {:.2} million/s, {ratio:.2} times its time",
            per_second(own),
            per_second(library)
        ),
    );

    tree();

    let meta = Meta {
        title: "bench".to_owned(),
        author: "bench".to_owned(),
        created: Moment::new(0, 0),
        language: Some(vestibule::papers::LANGUAGE),
    };
    for (what, content) in [("minimal", samples::minimal()), ("full", samples::full())] {
        let bytes = write(&lay_out(&content), &meta).unwrap().len();
        let each = best(|| drop(black_box(write(&lay_out(&content), &meta).unwrap())));
        line(
            &format!("slip, {what}"),
            each,
            &format!(
                "{} pages, {:.1} KB",
                lay_out(&content).len(),
                bytes as f64 / 1024.0
            ),
        );
    }
    sheets(&meta);
}

/// The sheet of a whole prescription, as a file and as the picture of its front.
fn sheets(meta: &Meta) {
    let document = sheet_samples::document(sample::document()).unwrap();
    for paper in Paper::ALL {
        let words = sheet_samples::signed(&document, None, *paper);
        let bytes = write(&lay_out_sheet(&words), meta).unwrap().len();
        let each = best(|| drop(black_box(write(&lay_out_sheet(&words), meta).unwrap())));
        line(
            &format!("sheet, {}", paper.word()),
            each,
            &format!(
                "{:.1} KB (aim: under 8 ms and 60 KB)",
                bytes as f64 / 1024.0
            ),
        );
        let front = || write_svg(lay_out_sheet(&words).first().unwrap(), "front");
        line(
            &format!("its front as a picture, {}", paper.word()),
            best(|| drop(black_box(front()))),
            &format!("{:.1} KB (aim: under 4 ms)", front().len() as f64 / 1024.0),
        );
    }
}

/// A million leaves of 400 bytes into the tree, and its root, beside SHA-256 of the same bytes alone.
fn tree() {
    const LEAVES: u64 = 1_000_000;
    let entry = |n: u64| {
        let mut entry = [b'x'; 400];
        entry[..8].copy_from_slice(&n.to_be_bytes());
        entry
    };
    let once = |work: &dyn Fn()| {
        let began = Instant::now();
        work();
        began.elapsed()
    };
    let best = |work: &dyn Fn()| (0..3).map(|_| once(work)).min().unwrap();
    let grow = best(&|| {
        let mut frontier = Frontier::default();
        for n in 0..LEAVES {
            black_box(frontier.append(leaf_hash(&entry(n))));
        }
        black_box(frontier.root());
    });
    let raw = best(&|| {
        for n in 0..LEAVES {
            black_box(Sha256::digest(entry(n)));
        }
    });
    line(
        "1,000,000 leaves of 400 bytes and their root",
        grow,
        &format!(
            "SHA-256 alone {:.0} µs, ratio {:.2}",
            raw.as_secs_f64() * 1e6,
            grow.as_secs_f64() / raw.as_secs_f64()
        ),
    );
}

fn raw_lab((l, a, b): (f64, f64, f64)) -> palette::Lab<palette::white_point::D65, f64> {
    palette::Lab::new(l, a, b)
}
