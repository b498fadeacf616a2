//! A form field as it is shown: label, hint, what was typed, and the messages beside it.

use super::typed_form::TypedForm;
use crate::domain::form::{FieldSpec, Kind};
use crate::domain::prescription::sources::Origin;
use crate::domain::values::fault::Fault;
use askama::Template;
use std::borrow::Cow;

/// How a field is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InputKind {
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

impl InputKind {
    /// How a kind of field is typed.
    pub fn of(kind: Kind) -> InputKind {
        match kind {
            Kind::Text { .. }
            | Kind::Name { .. }
            | Kind::Tooth
            | Kind::Tag
            | Kind::Hash
            | Kind::PatientCode => InputKind::Text,
            Kind::LongText { .. } | Kind::Address { .. } | Kind::Csv { .. } => InputKind::Long,
            Kind::Mm { .. } | Kind::Degrees { .. } | Kind::Number { .. } | Kind::Whole { .. } => {
                InputKind::Number
            }
            Kind::Date => InputKind::Date,
            Kind::Time => InputKind::Time,
            Kind::Tick => InputKind::Tick,
            Kind::YesNo | Kind::Choice(_) | Kind::Entry | Kind::Listed => InputKind::Choice,
            Kind::Secret { .. } => InputKind::Password,
            Kind::Hidden => InputKind::Hidden,
        }
    }
}

/// One choice of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    pub word: String,
    pub shown: String,
    pub chosen: bool,
}

impl Choice {
    /// One that nobody has chosen yet.
    pub fn new(word: impl Into<String>, shown: impl Into<String>) -> Choice {
        Choice {
            word: word.into(),
            shown: shown.into(),
            chosen: false,
        }
    }
}

/// The id of the field of a key, in the part of a page that `scope` names: keys have dots, ids are easier without.
pub fn id_of(scope: &str, key: &str) -> String {
    format!("f-{scope}{}", key.replace('.', "-"))
}

/// Where a value comes from that nobody typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ValueFrom {
    /// What fills a draft of the prescription.
    Draft(Origin),
    /// The usual values of one’s own house.
    OwnUsual,
    Ordered,
    /// The rows of the order for a repair.
    RepairList,
}

impl ValueFrom {
    /// As it stands small at the end of a line.
    pub fn shown(self) -> Cow<'static, str> {
        Cow::Borrowed(match self {
            ValueFrom::Draft(origin) => return origin.shown(),
            ValueFrom::OwnUsual => "Your usual values",
            ValueFrom::Ordered => "What is ordered",
            ValueFrom::RepairList => "The list of what is to be repaired",
        })
    }
}

/// A field ready for its page.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/field.html")]
pub struct FieldView {
    pub key: String,
    pub label: String,
    pub hint: String,
    pub value: String,
    pub input: InputKind,
    /// Shown behind the box, such as `mm`.
    pub unit: String,
    pub choices: Vec<Choice>,
    /// What a text box offers while one types; anything else is taken as well.
    pub suggestions: Vec<String>,
    pub messages: Vec<String>,
    pub warnings: Vec<String>,
    pub needed: bool,
    /// Whether it stands open because this kind of work asks for it.
    pub is_asked: bool,
    /// Where a value comes from that nobody typed; none where it was typed, or where there is none.
    pub from: Option<ValueFrom>,
    /// The autocomplete token (WCAG 1.3.5), or `off`.
    pub autocomplete: &'static str,
    /// Further classes, by which the style sheet shows it: `calls-…` calls for others, `later-…` is called for, `starts`
    /// begins a row.
    pub classes: String,
    /// Whether it is of a row in which nothing stands yet.
    pub is_of_blank_row: bool,
    /// Sets ids of one form apart from those of another on the same page; usually empty.
    pub scope: Cow<'static, str>,
}

impl FieldView {
    /// An empty field that is not asked for under any command: for pages that name their own keys.
    pub fn new(input: InputKind, key: &str, label: &str) -> FieldView {
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
            is_asked: false,
            from: None,
            autocomplete: "off",
            classes: String::new(),
            is_of_blank_row: false,
            scope: Cow::Borrowed(""),
        }
    }

    /// A field as its entry in a list of fields asks for it, with the choices that the entry itself knows.
    pub fn of(spec: &FieldSpec, key: &str) -> FieldView {
        let words: &[(&str, &str)] = match spec.kind {
            Kind::YesNo => &[("yes", "yes"), ("no", "no")],
            Kind::Choice(words) => words,
            _ => &[],
        };
        let listed = words.iter();
        let listed = listed.map(|(word, shown)| ((*word).to_owned(), (*shown).to_owned()));
        let field = FieldView::choice(key, spec.label, listed)
            .hint(spec.hint)
            .unit(spec.kind.unit());
        FieldView {
            input: InputKind::of(spec.kind),
            needed: !spec.needed.is_empty(),
            autocomplete: match spec.kind {
                Kind::Secret { new: true } => "new-password",
                Kind::Secret { new: false } => "current-password",
                _ => "off",
            },
            ..field
        }
    }

    /// A field of a row, whose keys begin with `under`.
    pub fn under(spec: &FieldSpec, under: &str) -> FieldView {
        FieldView::of(spec, &format!("{under}{}", spec.key))
    }

    /// A line of text.
    pub fn text(key: &str, label: &str) -> FieldView {
        FieldView::new(InputKind::Text, key, label)
    }

    /// One of several words, each with the words shown for it.
    pub fn choice(
        key: &str,
        label: &str,
        choices: impl IntoIterator<Item = (String, String)>,
    ) -> FieldView {
        FieldView::new(InputKind::Choice, key, label).chosen_from(choices)
    }

    /// Marks the choice that its value is.
    pub fn mark_chosen(&mut self) {
        for choice in &mut self.choices {
            choice.chosen = choice.word == self.value;
        }
    }

    /// The same field, chosen from these words.
    pub fn chosen_from(mut self, choices: impl IntoIterator<Item = (String, String)>) -> FieldView {
        let choices = choices.into_iter();
        self.input = InputKind::Choice;
        self.choices = choices
            .map(|(word, shown)| Choice::new(word, shown))
            .collect();
        self
    }

    /// With another label than its own.
    pub fn label(mut self, label: &str) -> FieldView {
        self.label = label.to_owned();
        self
    }

    /// With this sentence below its label.
    pub fn hint(mut self, hint: &str) -> FieldView {
        self.hint = hint.to_owned();
        self
    }

    /// With the unit behind its box.
    pub fn unit(mut self, unit: &str) -> FieldView {
        self.unit = unit.to_owned();
        self
    }

    /// Adds a class; one that calls for others stands first.
    pub fn called(&mut self, class: &str) {
        if self
            .classes
            .split(' ')
            .any(|one| Some(one) == class.split(' ').next())
        {
            return;
        }
        self.classes = match class.starts_with("calls") {
            true => format!("{class} {}", self.classes),
            false => format!("{} {class}", self.classes),
        };
        self.classes = self.classes.trim().to_owned();
    }

    /// Marked as one that may not stay empty.
    pub fn needed(mut self) -> FieldView {
        self.needed = true;
        self
    }

    /// With the token by which a browser offers what it has stored.
    pub fn autocomplete(mut self, token: &'static str) -> FieldView {
        self.autocomplete = token;
        self
    }

    /// Puts in what was typed and the messages for it. A password is never sent back.
    pub fn filled(mut self, typed: &TypedForm, faults: &[Fault]) -> FieldView {
        if self.input != InputKind::Password {
            self.value = typed.get(&self.key).cloned().unwrap_or_default();
        }
        self.mark_chosen();
        self.messages = faults
            .iter()
            .filter(|fault| fault.key == self.key)
            .map(|fault| fault.message.clone())
            .collect();
        self
    }

    /// Whether a tick that stands there only where something asks for it is asked for, or made.
    pub fn is_raised(&self) -> bool {
        !self.messages.is_empty() || self.is_ticked()
    }

    /// A tick that is asked for, with the value that it is asked about in a hidden field beside it. One that is asked for
    /// again is not ticked: what was ticked before was about another value.
    pub fn asked_of(
        mut tick: FieldView,
        mut about: FieldView,
        value: Option<&String>,
    ) -> Vec<FieldView> {
        if !tick.messages.is_empty() {
            tick.value.clear();
            about.value = value.map_or_else(String::new, |value| value.trim().to_owned());
        } else if !tick.is_ticked() {
            return Vec::new();
        }
        vec![about, tick]
    }

    /// Its value in words.
    pub fn shown(&self) -> String {
        let chosen = self.choices.iter().find(|choice| choice.chosen);
        chosen.map_or_else(|| self.value.clone(), |choice| choice.shown.clone())
    }

    /// The element's id.
    pub fn id(&self) -> String {
        id_of(&self.scope, &self.key)
    }

    /// Whether it is typed in this way.
    pub fn is(&self, input: InputKind) -> bool {
        self.input == input
    }

    /// The `type` of a box of one line.
    fn kind_of_box(&self) -> &'static str {
        match self.input {
            InputKind::Password => "password",
            InputKind::Date => "date",
            InputKind::Time => "time",
            _ => "text",
        }
    }

    /// Whether its box is one for any text, which a browser takes it for unless told.
    fn is_of_text(&self) -> bool {
        self.kind_of_box() == "text"
    }

    /// Whether all that is said of it is that it is empty: its frame says so, and the sentence comes with the focus.
    pub fn is_silent(&self) -> bool {
        self.value.trim().is_empty() && self.messages.is_empty() && !self.warnings.is_empty()
    }

    /// Whether the style sheet has to know if anything stands in it: only a box with a placeholder tells.
    pub fn is_watched(&self) -> bool {
        self.is_of_blank_row || !self.classes.is_empty()
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

/// The fields of a list, whose keys begin with `under` in a row.
pub fn fields_under(specs: &[FieldSpec], under: &str) -> Vec<FieldView> {
    specs
        .iter()
        .map(|spec| FieldView::under(spec, under))
        .collect()
}

/// Fills all fields of a form.
pub fn fill(fields: Vec<FieldView>, typed: &TypedForm, faults: &[Fault]) -> Vec<FieldView> {
    fields
        .into_iter()
        .map(|field| field.filled(typed, faults))
        .collect()
}
