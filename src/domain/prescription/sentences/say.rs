//! How the fields of one line are said, as data.

/// A field in a line.
#[derive(Debug, Clone, Copy)]
pub struct Say {
    pub key: &'static str,
    /// Words before the value.
    pub before: &'static str,
    /// What parts it from the field before.
    pub glue: &'static str,
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
