//! A picture of something of the case was added. Its bytes lie beside the database, under their hash.

use super::kind::{Constants, ErasablePlace, EventKind, Named, Sentence};
use super::sample::SAMPLE_TEXT;
use crate::domain::custody::case_state::CaseState;
use crate::domain::custody::pictures::{PICTURES_MOST, PictureOf, TakenPicture};
use crate::domain::custody::proposal::{CustodyRule, ProposedEvent};
use crate::domain::custody::sign::{OnLine, Sign};
use crate::domain::custody::stamp::Stamp;
use crate::domain::values::ids::{EventId, Tag};
use serde::{Deserialize, Serialize};

/// Where the hash of the bytes stands in the entry: taken out with them.
pub const PICTURE_PLACE: &str = "/what/hash";

/// A picture.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pictured {
    pub shows: PictureOf,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<Tag>,
    /// The SHA-256 of the bytes as they are kept. Whoever has the same picture would know it by this, so that it is
    /// committed in the leaf and goes with the picture.
    pub hash: String,
    /// Bytes as kept.
    pub length: u64,
    pub width: u32,
    pub height: u32,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
    /// Whether it prints with the prescription.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub for_lab: bool,
    /// The question that it is shown with, be it by whoever asks or by whoever answers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub question: Option<EventId>,
}

/// What is said of an entry that one is shown with.
pub const WITH_A_PICTURE: &str = "With a picture";

/// A picture that is named is one of this case. Whether it was erased since is no rule's: nothing hangs on that.
pub fn known_picture(proposal: &mut ProposedEvent<'_>, picture: Option<&EventId>) {
    if picture.is_some_and(|id| proposal.case.picture(id).is_none()) {
        let sentence = "There is no such picture in this case.";
        proposal.refuse(CustodyRule::J, None, sentence);
    }
}

impl Pictured {
    /// A picture of nothing of which more would be asked.
    pub fn sample() -> Pictured {
        Pictured {
            shows: PictureOf::Other,
            item: None,
            hash: SAMPLE_TEXT.to_owned(),
            length: 1,
            width: 1,
            height: 1,
            caption: String::new(),
            for_lab: false,
            question: None,
        }
    }
}

impl Constants for Pictured {
    const WORD: &'static str = "pictured";
    const MISTAKEN: Option<&'static str> = None;
    const OPEN: &'static [&'static str] =
        &["shows", "item", "length", "width", "height", "question"];
    const ERASABLE: &'static [ErasablePlace] =
        &[(PICTURE_PLACE, "picture"), ("/what/caption", "caption")];
}

impl EventKind for Pictured {
    fn tags(&self) -> Vec<&Tag> {
        Vec::new()
    }

    fn concerns(&self, asked: &Tag) -> bool {
        self.item.as_ref() == Some(asked)
    }

    fn check(&self, proposal: &mut ProposedEvent<'_>) {
        if self.length == 0 || self.width == 0 || self.height == 0 {
            let wanted = "A picture without anything in it is none: send another one.";
            proposal.refuse(CustodyRule::Form, None, wanted);
        }
        proposal.own_only(self.item.as_ref());
        let is_asked = |id: &EventId| proposal.case.question(id).is_some();
        if self.question.as_ref().is_some_and(|id| !is_asked(id)) {
            let sentence = "There is no such question in this case.";
            proposal.refuse(CustodyRule::J, None, sentence);
        }
        if proposal.case.pictures.len() >= PICTURES_MOST {
            let sentence = format!(
                "This case has had {PICTURES_MOST} pictures, erased ones counted along: that is as many as a case takes."
            );
            proposal.refuse(CustodyRule::Form, None, sentence);
        }
    }

    fn apply(&self, case: &mut CaseState, stamp: &Stamp<'_>) {
        case.pictures.push(TakenPicture {
            event: stamp.id.clone(),
            at: stamp.at,
            by: stamp.answering(),
            party: stamp.by.party.clone(),
            marked: stamp.at,
            shows: self.shows,
            item: self.item.clone(),
            hash: self.hash.clone(),
            width: self.width,
            height: self.height,
            caption: self.caption.clone(),
            for_lab: self.for_lab,
        });
        if let Some(question) = &self.question {
            case.show(question, stamp.id);
        }
    }

    fn describe(&self, named: Named<'_>) -> Sentence {
        let of = self.item.as_ref().map(named);
        let of = of.map_or_else(String::new, |of| format!(", {of}"));
        let printed = match self.for_lab {
            true => ", to print with the prescription",
            false => "",
        };
        let what = format!("Picture added: {}{of}{printed}", self.shows.shown());
        let facts = format!(
            "{} × {} pixels, {} bytes, SHA-256 {}",
            self.width, self.height, self.length, self.hash
        );
        (what, vec![self.caption.clone(), facts])
    }

    fn about_events(&self) -> Vec<&EventId> {
        self.question.iter().collect()
    }

    fn is_of_the_bench(&self) -> bool {
        true
    }

    fn sign(&self, _: OnLine<'_>) -> Option<Sign> {
        None
    }

    fn takes_room(&self) -> bool {
        false
    }

    fn file(&self) -> Option<(&str, u64)> {
        Some((&self.hash, self.length))
    }
}
