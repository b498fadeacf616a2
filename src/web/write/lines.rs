//! The lines of the form: each section's mark, name and sentence, and the chapters that they stand in.

use crate::app::draft_lines::{LineMark, LineState};
use crate::domain::prescription::course::SectionPlace;
use crate::web::field::Choice;
use askama::Template;
use std::borrow::Cow;

/// What stands in the line of a section: in the page, and alone for the script.
#[derive(Template)]
#[template(path = "partials/line.html")]
pub struct LinePart {
    pub key: &'static str,
    pub name: &'static str,
    pub mark: LineMark,
    pub sentence: String,
    /// Where its values come from; empty where all of it was typed.
    pub sources: String,
}

impl LinePart {
    /// The line of a closed section.
    pub fn of(key: &'static str, state: &LineState) -> LinePart {
        let mut sources: Vec<Cow<'static, str>> =
            state.sources.iter().map(|source| source.short()).collect();
        sources.dedup();
        if state.place == SectionPlace::Carried {
            sources.push("from the stage before".into());
        }
        LinePart {
            key,
            name: name_of(key),
            mark: state.mark,
            sentence: state.sentence.clone(),
            sources: sources.join(", "),
        }
    }

    /// The sign of the mark; the shape around it is drawn.
    pub fn sign(&self) -> &'static str {
        match self.mark {
            LineMark::Stop => "✕",
            LineMark::Caution => "!",
            LineMark::Asked => "_",
            LineMark::Done => "✓",
            LineMark::Open => "·",
        }
    }
}

/// The headings between the lines: the first section below each, and its words.
pub const CHAPTERS: &[(&str, &str)] = &[
    ("order", "The work"),
    ("vertical", "Heights and mounting"),
    ("anterior", "Teeth and shade"),
    ("base_shade", "Base and finish"),
    ("enclosures", "What travels, and dates"),
];

/// The name of a section in its line: shorter than its title.
const NAMES: &[(&str, &str)] = &[
    ("order", "Ordered"),
    ("approval", "Try-in, answer"),
    ("reline", "Reline, rebase"),
    ("repair", "Repair"),
    ("remount", "Remount"),
    ("rims", "Rims"),
    ("opposing", "Opposing jaw"),
    ("cast_trim", "Immediate denture"),
    ("pattern", "Pattern, changes"),
    ("scan_set", "Scans, files"),
    ("duplicate", "Duplicate"),
    ("vertical", "Heights"),
    ("jaw", "Bite record"),
    ("facebow", "Facebow record"),
    ("guidance", "Articulator"),
    ("plane", "Occlusal plane"),
    ("anterior", "Anterior teeth"),
    ("posterior", "Posterior teeth"),
    ("occlusion", "Occlusion"),
    ("shade", "Tooth shade"),
    ("base_shade", "Base shade"),
    ("seal", "Palatal seal"),
    ("borders", "Borders, relief"),
    ("impression", "Fitting surface, cast"),
    ("base", "Base material"),
    ("finish", "Polish, remount"),
    ("marking", "Marking"),
    ("spare", "Spare"),
    ("enclosures", "In the box"),
    ("back", "To come back"),
    ("dates", "Dates"),
    ("law", "Local law"),
    ("remarks", "Ask first, remarks"),
];

/// What a section is called in its line.
pub fn name_of(key: &str) -> &'static str {
    let found = NAMES.iter().find(|(of, _)| *of == key);
    found.map_or("", |(_, name)| *name)
}

/// The sections as choices, in the order of the form.
pub fn section_choices() -> Vec<Choice> {
    let names = NAMES.iter();
    names.map(|(key, name)| Choice::new(*key, *name)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::prescription::catalogue;

    #[test]
    fn every_section_has_a_name_and_the_chapters_begin_with_sections() {
        let keys: Vec<&str> = catalogue().iter().map(|section| section.key).collect();
        assert_eq!(keys, NAMES.iter().map(|(key, _)| *key).collect::<Vec<_>>());
        for (first, _) in CHAPTERS {
            assert!(keys.contains(first), "{first}");
        }
    }
}
