//! What the patient's card says is to be avoided, where the revision in force was signed with something else.

use super::questions::Question;
use super::waits::Wait;
use crate::domain::people::card_facts::{avoided_line, named_in};
use crate::domain::people::party::Side;
use crate::domain::people::patient::Patient;
use crate::domain::prescription::revision::Document;
use crate::domain::trade::substances::KeptFrom;

/// What is to be avoided by the card of now, and by the revision in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardSince {
    pub says: String,
    pub signed: String,
    pub revision: i64,
}

impl CardSince {
    /// None where both say the same.
    pub fn of(card: &Patient, document: &Document) -> Option<CardSince> {
        let signed = avoided_line(&document.patient.facts);
        let says = avoided_line(&card.facts());
        (says != signed).then_some(CardSince {
            says,
            signed,
            revision: document.revision,
        })
    }

    /// Whether more is to be avoided by now, and not only less.
    pub fn names_more(&self) -> bool {
        let by_now = KeptFrom::by_card(named_in(&self.says));
        let signed = KeptFrom::by_card(named_in(&self.signed));
        let (now, then) = (&by_now.excluded, &signed.excluded);
        has_more(&now.substances, &then.substances)
            || has_more(&now.unknown, &then.unknown)
            || has_more(&now.open, &then.open)
            || has_more(&by_now.materials, &signed.materials)
            || has_more(&then.borne, &now.borne)
            || (now.only.is_some() && now.only != then.only)
    }

    /// Asked before the lab goes on with what was signed without it.
    pub fn question(&self) -> Option<String> {
        let question = || format!("{} {}", self.words(), CardSince::advice(Side::Lab));
        self.names_more().then(question)
    }

    /// What the lab asks the office about it.
    pub fn to_ask(&self) -> String {
        format!("{} May the work go on as it is ordered?", self.words())
    }

    /// Whether the lab has asked about it, as the card has it now.
    pub fn is_asked_by(&self, one: &Question) -> bool {
        one.from == Side::Lab && one.text.contains(&self.words())
    }

    /// Whether the office has answered that: what it has said counts until a revision says it, or the card says something else.
    pub fn is_answered(&self, questions: &[Question]) -> bool {
        let mut asked = questions.iter().filter(|one| self.is_asked_by(one));
        asked.any(|one| one.reply.as_ref().is_some_and(|reply| !reply.taken_back))
    }

    /// Both, to be read by either house.
    pub fn words(&self) -> String {
        format!(
            "To be avoided, as the patient’s card has it now: {}. Revision {} was signed with: {}.",
            self.says, self.revision, self.signed
        )
    }

    /// What a side does about it.
    pub fn advice(side: Side) -> &'static str {
        match side {
            Side::Office => "Look whether the order may stand, and sign a revision that says it.",
            Side::Lab => "Ask the office before the work goes on: it has to sign a revision.",
        }
    }

    /// What the lab does once the office has answered.
    pub const ANSWERED: &str =
        "The office has answered your question about it: go by that until it signs a revision.";

    /// As it stands among what waits.
    pub fn wait(&self) -> Wait {
        Wait {
            beside: false,
            items: Vec::new(),
            side: Side::Office,
            to_do: "look whether the order may stand, and sign a revision",
            why: self.words().trim_end_matches('.').to_owned(),
        }
    }
}

/// Whether one of these is not among those.
fn has_more<T: PartialEq>(these: &[T], those: &[T]) -> bool {
    these.iter().any(|one| !those.contains(one))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::form::Raw;
    use crate::domain::people::patient;
    use crate::domain::prescription::{Prescription, samples};

    fn card(pairs: &[(&str, &str)]) -> Patient {
        let pairs = pairs.iter();
        let raw = pairs.map(|(key, text)| (format!("patient.{key}"), (*text).to_owned()));
        let raw: Raw = raw.collect();
        patient::read(&raw).patient
    }

    #[test]
    fn what_the_card_says_otherwise_is_told_with_both_words_and_all_else_is_not() {
        const EMPTY: &[(&str, &str)] = &[];
        const NONE: &[(&str, &str)] = &[("exclusions", "none_known")];
        const NICKEL: &[(&str, &str)] = &[("exclusions", "listed"), ("no_nickel", "yes")];
        const OTHER: &[(&str, &str)] = &[
            ("exclusions", "listed"),
            ("no_nickel", "yes"),
            ("tremor", "yes"),
        ];
        for (signed, now, words) in [
            (NONE, NICKEL, Some(("nickel", "asked: none known"))),
            (NICKEL, NONE, Some(("asked: none known", "nickel"))),
            (EMPTY, NICKEL, Some(("nickel", "nothing is said"))),
            // What says nothing of substances changes nothing here.
            (NICKEL, OTHER, None),
            (NONE, NONE, None),
            (EMPTY, EMPTY, None),
        ] {
            let mut document = samples::document(Prescription::default());
            document.patient.facts = card(signed).facts();
            document.revision = 4;
            let found = CardSince::of(&card(now), &document);
            let described = found.as_ref().map(|one| (&*one.says, &*one.signed));
            assert_eq!(described, words, "{signed:?} {now:?}");
            if let Some(found) = found {
                let said = found.words();
                assert!(said.contains("Revision 4 was signed with: "), "{said}");
                assert_eq!(format!("{}.", found.wait().why), said);
            }
        }
    }

    #[test]
    fn the_lab_is_asked_where_more_is_to_be_avoided_and_not_where_it_is_less() {
        const NONE: &[(&str, &str)] = &[("exclusions", "none_known")];
        const NICKEL: &[(&str, &str)] = &[("exclusions", "listed"), ("no_nickel", "yes")];
        const EUGENOL: &[(&str, &str)] = &[("exclusions", "listed"), ("no_eugenol", "yes")];
        const BOTH: &[(&str, &str)] = &[
            ("exclusions", "listed"),
            ("no_nickel", "yes"),
            ("no_eugenol", "yes"),
        ];
        const EMPTY: &[(&str, &str)] = &[];
        for (signed, now, is_more) in [
            (NONE, NICKEL, true),
            (EMPTY, NICKEL, true),
            (NICKEL, BOTH, true),
            (NICKEL, EUGENOL, true),
            (BOTH, NICKEL, false),
            (NICKEL, NONE, false),
            (EMPTY, NONE, false),
        ] {
            let mut document = samples::document(Prescription::default());
            document.patient.facts = card(signed).facts();
            let found = CardSince::of(&card(now), &document).unwrap();
            assert_eq!(found.names_more(), is_more, "{signed:?} {now:?}");
            let asked = found.question();
            assert_eq!(asked.is_some(), is_more, "{asked:?}");
        }
    }

    #[test]
    fn what_the_lab_has_asked_is_answered_by_a_word_to_that_question_alone() {
        use crate::domain::custody::questions::{Matter, Reply};
        use crate::domain::values::ids::EventId;
        use crate::domain::values::moment::Moment;
        let since = CardSince {
            says: "nickel".to_owned(),
            signed: "asked: none known".to_owned(),
            revision: 1,
        };
        let reply = |taken_back| Reply {
            event: EventId::new("r"),
            at: Moment::new(2, 0),
            by: "Dora, Northgate".to_owned(),
            text: "it may stand".to_owned(),
            by_telephone: false,
            taken_back,
        };
        let question = |from, text: &str, reply| Question {
            event: EventId::new("q"),
            from,
            at: Moment::new(1, 0),
            by: "Tom, Kiln".to_owned(),
            matter: Matter::Unclear,
            section: None,
            line: None,
            item: None,
            step: None,
            revision: 1,
            text: text.to_owned(),
            waits: false,
            pictures: Vec::new(),
            promised: None,
            reply,
        };
        let asked = since.to_ask();
        let more = CardSince {
            says: "nickel, latex".to_owned(),
            ..since.clone()
        };
        for (from, text, said, is_answered) in [
            (Side::Lab, asked.as_str(), Some(reply(false)), true),
            (Side::Lab, asked.as_str(), None, false),
            (Side::Lab, asked.as_str(), Some(reply(true)), false),
            (Side::Lab, "Which shade?", Some(reply(false)), false),
            (Side::Office, asked.as_str(), Some(reply(false)), false),
        ] {
            let questions = [question(from, text, said)];
            assert_eq!(since.is_answered(&questions), is_answered, "{questions:?}");
            assert!(!more.is_answered(&questions));
        }
    }
}
