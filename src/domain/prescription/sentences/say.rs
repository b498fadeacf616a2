//! How the fields of one line are said, as data.

/// A field in a line.
#[derive(Debug, Clone, Copy)]
pub struct Say {
    /// The key of the field.
    pub key: &'static str,
    /// Words before the value.
    pub before: &'static str,
    /// What parts it from the field before.
    pub glue: &'static str,
    /// Whether it is printed strong.
    pub strong: bool,
    /// What a yes and a no are called here.
    pub answer: Option<(&'static str, &'static str)>,
}

/// A line: its label, and the fields that it says.
pub type SheetLine = (&'static str, &'static [Say]);

/// The value alone.
pub const fn value(key: &'static str) -> Say {
    Say {
        key,
        before: "",
        glue: "; ",
        strong: false,
        answer: None,
    }
}

/// The value with words before it.
pub const fn after(before: &'static str, key: &'static str) -> Say {
    Say {
        before,
        ..value(key)
    }
}

/// An answer in words.
pub const fn answer(key: &'static str, yes: &'static str, no: &'static str) -> Say {
    Say {
        answer: Some((yes, no)),
        ..value(key)
    }
}

/// What is cut off the cast, how deep, and what comes before it: the same words on the sheet and at the bench. `by` says
/// who cuts.
pub const fn cut_off_the_cast(by: Say) -> [Say; 7] {
    [
        by,
        value("cast_trim.level").comma().strong(),
        after("deep toward lip and cheek ", "cast_trim.facial_mm").strong(),
        after("toward palate or tongue ", "cast_trim.palatal_mm")
            .comma()
            .strong(),
        answer(
            "cast_trim.bone",
            "bone is to be reduced too",
            "bone is not to be reduced",
        ),
        answer(
            "cast_trim.photo",
            "photograph the cast before it is cut",
            "no photograph of the cast",
        ),
        answer(
            "cast_trim.stent",
            "clear copy of the fitting surface",
            "no clear copy of the fitting surface",
        ),
    ]
}

impl Say {
    /// The same in bold.
    pub const fn strong(self) -> Say {
        Say {
            strong: true,
            ..self
        }
    }

    /// The same right behind the field before.
    pub const fn then(self) -> Say {
        Say { glue: " ", ..self }
    }

    /// The same behind a colon.
    pub const fn colon(self) -> Say {
        Say { glue: ": ", ..self }
    }

    /// The same behind a comma.
    pub const fn comma(self) -> Say {
        Say { glue: ", ", ..self }
    }
}

/// Fields whose sign is a direction, with what plus and minus mean, as the hints beside the fields say it.
const DIRECTED: &[(&str, &str, &str)] = &[
    ("anterior.incisal_change_mm", "longer", "shorter"),
    ("base_shade.gum_line_mm", "more tooth", "less tooth"),
];

/// The same since the fifth sheet; empty where the plain number says it.
const DIRECTED_SINCE_THE_FIFTH: &[(&str, &str, &str)] = &[
    ("anterior.incisal_show_mm", "", "above the lip"),
    ("guidance.pin_mm", "opens", "closes"),
    ("occlusion.overbite_mm", "", "open"),
    ("occlusion.overjet_mm", "", "upper behind lower"),
];

/// The direction that the sign of a number means on a sheet, as the form keeps the number; none where it has none.
pub fn direction_of(key: &str, raw: &str, sheet: u32) -> Option<&'static str> {
    let later = DIRECTED_SINCE_THE_FIFTH.iter().filter(|_| sheet >= 5);
    let (_, plus, minus) = DIRECTED.iter().chain(later).find(|(own, ..)| *own == key)?;
    let number: f64 = raw.trim().replace('−', "-").parse().ok()?;
    match number {
        number if number > 0.0 => Some(*plus).filter(|word| !word.is_empty()),
        number if number < 0.0 => Some(*minus),
        _ => None,
    }
}

/// The same as it is said today.
pub fn direction_now(key: &str, raw: &str) -> Option<&'static str> {
    direction_of(key, raw, u32::MAX)
}
