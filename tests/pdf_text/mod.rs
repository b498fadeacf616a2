//! What stands on a PDF, as pdftotext reads it.

#![allow(dead_code, reason = "each test binary uses its own part of this")]
#![expect(
    clippy::unwrap_used,
    reason = "a test says what it expects and falls over when it is wrong"
)]

use std::io::Write;
use std::process::{Command, Stdio};

/// Set as on paper, in columns.
pub const LAYOUT: &[&str] = &["-layout"];
/// In the order in which the file has it.
pub const RAW: &[&str] = &["-raw"];
/// In the order in which a reader goes through it, as the tool thinks.
pub const READING: &[&str] = &[];

/// The output of pdftotext with these options: pages end with a form feed.
pub fn text_of(pdf: &[u8], options: &[&str]) -> String {
    let mut tool = Command::new("pdftotext")
        .args(options)
        .args(["-enc", "UTF-8", "-", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    tool.stdin.take().unwrap().write_all(pdf).unwrap();
    let read = tool.wait_with_output().unwrap();
    assert!(read.status.success(), "pdftotext reads no PDF");
    String::from_utf8(read.stdout).unwrap()
}

/// The same, page by page.
pub fn pages_of(pdf: &[u8], options: &[&str]) -> Vec<String> {
    let text = text_of(pdf, options);
    let pages = text.trim_end_matches('\u{c}').split('\u{c}');
    pages.map(str::to_owned).collect()
}

/// The words of a text in single spaces.
pub fn in_single_spaces(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words of all pages in single spaces.
pub fn words_of(pdf: &[u8], options: &[&str]) -> String {
    in_single_spaces(&text_of(pdf, options))
}
