//! Colour readings beside the office's guides: the nearest tabs and what eyes make of the difference.
//!
//! Tabs are shown with how far they are off; the tab that the prescription names is always among them.
//! Eyes are stricter with teeth than with gum, so each surface has its own published thresholds.

use super::Number;
use crate::domain::form::Text;
use crate::domain::prescription::{Light, Prescription};
use crate::domain::trade::colour::{
    Formula, LIGHT_SOURCE, LIGHT_WARNING, Lab, Ranked, Surface, thresholds,
};
use crate::domain::trade::lists::{ListKind, Lists, NamedGuide};
use crate::domain::values::measure::{Decimal, show_hundredths};
use crate::domain::values::words::capitalised;

/// Nearest tabs shown.
const SHOWN: usize = 3;

pub fn add(document: &Prescription, lists: &Lists, numbers: &mut Vec<Number>) {
    let shade = &document.shade;
    numbers.extend(
        Beside {
            section: "shade",
            kind: ListKind::ToothGuide,
            surfaces: &[Surface::Teeth],
            reading: [shade.lightness, shade.a, shade.b],
            guide: shade.guide.as_ref(),
            tab: shade.tab.as_ref(),
            light: shade.light,
        }
        .numbers(lists),
    );
    let base = &document.base_shade;
    numbers.extend(
        Beside {
            section: "base_shade",
            kind: ListKind::BaseGuide,
            surfaces: &[Surface::DentureBase, Surface::Gingiva],
            reading: [base.lightness, base.a, base.b],
            guide: base.guide.as_ref(),
            tab: base.code.as_ref(),
            light: None,
        }
        .numbers(lists),
    );
}

/// What is written in one section.
struct Beside<'a> {
    section: &'static str,
    kind: ListKind,
    surfaces: &'a [Surface],
    reading: [Option<Decimal>; 3],
    guide: Option<&'a Text>,
    tab: Option<&'a Text>,
    light: Option<Light>,
}

impl Beside<'_> {
    fn numbers(&self, lists: &Lists) -> Vec<Number> {
        const LABEL: &str = "Nearest tabs to the reading";
        if self.reading.iter().all(Option::is_none) {
            return Vec::new();
        }
        let ranked = self
            .lab()
            .and_then(|reading| Ok((reading, self.named_guide(lists)?)));
        match ranked {
            Ok((reading, guide)) => self.ranked(reading, guide),
            Err(why) => vec![Number::none(self.section, LABEL, why)],
        }
    }

    fn lab(&self) -> Result<Lab, String> {
        let [Some(lightness), Some(a), Some(b)] = self.reading else {
            return Err("A reading is L*, a* and b* together.".to_owned());
        };
        Lab::new(lightness.to_f64(), a.to_f64(), b.to_f64())
    }

    fn named_guide<'l>(&self, lists: &'l Lists) -> Result<&'l NamedGuide, String> {
        let loaded: Vec<&str> = lists
            .guides_of(self.kind)
            .map(|guide| guide.name.as_str())
            .collect();
        let kind = self.kind.shown();
        if loaded.is_empty() {
            return Err(format!(
                "The office has loaded no {kind} with which the reading could be compared."
            ));
        }
        let loaded = loaded.join(", ");
        let Some(name) = self.guide.map(Text::as_str) else {
            return Err(format!("The guide is not named. Loaded: {loaded}."));
        };
        lists.guide(self.kind, name).ok_or_else(|| {
            format!("The office has loaded no {kind} of the name “{name}”. Loaded: {loaded}.")
        })
    }

    /// The nearest tabs, and the named one wherever it stands.
    fn ranked(&self, reading: Lab, guide: &NamedGuide) -> Vec<Number> {
        let surface = self.surfaces.first().copied().unwrap_or(Surface::Teeth);
        let ranked = guide.guide.ranked(reading, surface);
        let named = self.tab.and_then(|tab| guide.find(tab.as_str()));
        let is_named = |one: &Ranked<'_>| named.is_some_and(|tab| tab.code == one.tab.code);
        let shown = ranked
            .iter()
            .enumerate()
            .filter(|(place, one)| *place < SHOWN || is_named(one));
        let mut numbers: Vec<Number> = shown
            .map(|(place, one)| {
                let number = self.one(one).source(guide.source());
                let of = format!("Number {} of {} by CIEDE2000.", place + 1, ranked.len());
                let number = number.note(of);
                if is_named(one) {
                    number.note("The tab that is written above.")
                } else {
                    number
                }
            })
            .collect();
        if self.kind == ListKind::ToothGuide
            && self.light != Some(Light::Instrument)
            && let Some(first) = numbers.first_mut()
        {
            *first = first.clone().note(LIGHT_WARNING).source(LIGHT_SOURCE);
        }
        numbers
    }

    fn one(&self, one: &Ranked<'_>) -> Number {
        let label = format!("CIEDE2000 from the reading to {}", one.tab.code);
        let mut number = Number::new(self.section, label, two(one.ciede2000), "");
        for surface in self.surfaces {
            number = judged(number, *surface, one, self.surfaces.len() > 1);
        }
        number
    }
}

/// Two decimals: the thresholds have as many.
fn two(value: f64) -> String {
    show_hundredths((value * 100.0).round() as i64)
}

/// Adds what eyes make of the difference on a surface, by both formulas where thresholds are published.
fn judged(number: Number, surface: Surface, one: &Ranked<'_>, is_one_of_many: bool) -> Number {
    let Some(by_2000) = thresholds(surface, Formula::Ciede2000) else {
        return number;
    };
    let as_what = if is_one_of_many {
        format!("As {}: ", surface.shown())
    } else {
        String::new()
    };
    let said = match thresholds(surface, Formula::Cie76) {
        None => format!(
            "CIE76 {}, for which no thresholds are published.",
            two(one.cie76)
        ),
        Some(by_76) => format!(
            "CIE76 {}: {} (up to {} not perceptible, up to {} acceptable).",
            two(one.cie76),
            by_76.class(one.cie76).shown(),
            by_76.perceptible,
            by_76.acceptable
        ),
    };
    let sentence = format!(
        "{as_what}{} (up to {} not perceptible, up to {} acceptable). {said}",
        by_2000.class(one.ciede2000).shown(),
        by_2000.perceptible,
        by_2000.acceptable,
    );
    number.note(capitalised(&sentence)).source(by_2000.source)
}
