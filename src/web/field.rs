//! A form field as it is shown: label, hint, what was typed, and the messages beside it.

use super::typed_form::TypedForm;
use crate::domain::values::fault::Fault;
use askama::Template;

/// How a field is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Input {
    Text,
    Long,
    Number,
    Date,
    Time,
    Password,
    Choice,
    Tick,
    File,
    Hidden,
}

/// One choice of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    pub word: String,
    pub shown: String,
    pub chosen: bool,
}

/// A field ready for its page.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/field.html")]
pub struct FieldView {
    pub key: String,
    pub label: String,
    pub hint: String,
    pub value: String,
    pub input: Input,
    /// Shown behind the box, such as `mm`.
    pub unit: String,
    pub choices: Vec<Choice>,
    /// What a text box offers while one types; anything else is taken as well.
    pub suggestions: Vec<String>,
    pub messages: Vec<String>,
    pub warnings: Vec<String>,
    pub needed: bool,
    /// The autocomplete token (WCAG 1.3.5), or `off`.
    pub autocomplete: &'static str,
    /// Sets ids of one form apart from those of another on the same page; usually empty.
    pub scope: &'static str,
}

impl FieldView {
    pub fn new(input: Input, key: &str, label: &str) -> FieldView {
        FieldView {
            key: key.to_owned(),
            label: label.to_owned(),
            hint: String::new(),
            value: String::new(),
            input,
            unit: String::new(),
            choices: Vec::new(),
            suggestions: Vec::new(),
            messages: Vec::new(),
            warnings: Vec::new(),
            needed: false,
            autocomplete: "off",
            scope: "",
        }
    }

    pub fn text(key: &str, label: &str) -> FieldView {
        FieldView::new(Input::Text, key, label)
    }

    pub fn choice(
        key: &str,
        label: &str,
        choices: impl IntoIterator<Item = (String, String)>,
    ) -> FieldView {
        let mut field = FieldView::new(Input::Choice, key, label);
        field.choices = choices
            .into_iter()
            .map(|(word, shown)| Choice {
                word,
                shown,
                chosen: false,
            })
            .collect();
        field
    }

    pub fn hint(mut self, hint: &str) -> FieldView {
        self.hint = hint.to_owned();
        self
    }

    pub fn unit(mut self, unit: &str) -> FieldView {
        self.unit = unit.to_owned();
        self
    }

    pub fn needed(mut self) -> FieldView {
        self.needed = true;
        self
    }

    pub fn autocomplete(mut self, token: &'static str) -> FieldView {
        self.autocomplete = token;
        self
    }

    /// Puts in what was typed and the messages for it. A password is never sent back.
    pub fn filled(mut self, typed: &TypedForm, faults: &[Fault]) -> FieldView {
        if self.input != Input::Password {
            self.value = typed.get(&self.key).cloned().unwrap_or_default();
        }
        for choice in &mut self.choices {
            choice.chosen = choice.word == self.value;
        }
        self.messages = faults
            .iter()
            .filter(|fault| fault.key == self.key)
            .map(|fault| fault.message.clone())
            .collect();
        self
    }

    /// The element's id: keys have dots, ids are easier without.
    pub fn id(&self) -> String {
        format!("f-{}{}", self.scope, self.key.replace('.', "-"))
    }

    /// Whether it is typed in this way.
    pub fn is(&self, input: Input) -> bool {
        self.input == input
    }

    /// The `type` of a box of one line.
    fn kind_of_box(&self) -> &'static str {
        match self.input {
            Input::Password => "password",
            Input::Date => "date",
            Input::Time => "time",
            _ => "text",
        }
    }

    /// Whether its box is ticked.
    pub fn is_ticked(&self) -> bool {
        !self.value.is_empty()
    }

    /// The ids of hint and messages, for `aria-describedby`.
    pub fn described_by(&self) -> String {
        let mut ids = Vec::new();
        if !self.hint.is_empty() {
            ids.push(format!("{}-hint", self.id()));
        }
        if !self.messages.is_empty() || !self.warnings.is_empty() {
            ids.push(format!("{}-say", self.id()));
        }
        ids.join(" ")
    }
}

/// Fills all fields of a form.
pub fn fill(fields: Vec<FieldView>, typed: &TypedForm, faults: &[Fault]) -> Vec<FieldView> {
    fields
        .into_iter()
        .map(|field| field.filled(typed, faults))
        .collect()
}

/// Words and shown words of a party's, item's or other enum, as choices.
#[macro_export]
macro_rules! choices_of {
    ($type:ty) => {
        <$type>::ALL
            .iter()
            .map(|one| (one.word().to_owned(), one.shown().to_owned()))
    };
}
