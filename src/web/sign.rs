//! Reading and signing; the lab's acknowledgement.

use super::document::{DifferencesPart, DocumentPart};
use super::done::Done;
use super::error::WebError;
use super::extract::{On, Query, Typed};
use super::field::{FieldView, fill, id_of};
use super::form_page::FormPage;
use super::frame::{Frame, back_to_case, see_other};
use super::sheet_pictures::SheetPictures;
use super::tried::Tried;
use super::write::card_field;
use crate::app::print_sheet::draft_sheet;
use crate::app::sign::{self, Proposal, SignForm, label};
use crate::app::untyped::UntypedValue;
use crate::app::{App, AppError, Person, bench};
use crate::domain::prescription::revision::Document;
use crate::domain::prescription::sections::keys;
use crate::domain::prescription::{Difference, PrintedSection, section_of};
use crate::domain::review::points_without_caution;
use crate::domain::values::fault::Fault;
use crate::domain::values::ids::CaseNumber;
use askama::Template;
use axum::response::Response;

/// What would be signed, read once more in full, and the signature below it.
#[derive(Template)]
#[template(path = "sign.html")]
pub struct SignPage {
    pub frame: Frame,
    pub number: String,
    pub path_number: String,
    pub number_of_revision: i64,
    pub problems: Vec<ProblemView>,
    /// What changes against the revision in force.
    pub differences: DifferencesPart,
    /// What the review asked and is let stand, each with the reason.
    pub accepted: Vec<(String, String)>,
    /// How many values nobody typed; 0 where everything was.
    pub untyped_count: usize,
    /// The same by where they come from: "31 as the pattern", and each with its label.
    pub untyped: Vec<(String, Vec<UntypedValue>)>,
    pub read_as: ReadAs,
    /// Where the same text stands in words, field by field.
    pub in_words: String,
    pub warnings: Vec<String>,
    pub meaning: String,
    pub signer: String,
    pub licence: String,
    pub hash: String,
    pub issued: i64,
    pub card_shown: String,
    pub refusals: Vec<String>,
    pub fields: Vec<FieldView>,
    pub post_key: String,
}

/// What stands against signing.
pub struct ProblemView {
    pub label: String,
    /// Where it is mended; none where that is no field.
    pub href: Option<String>,
    pub message: String,
}

impl ProblemView {
    fn new(person: &Person, document: &Document, fault: &Fault) -> ProblemView {
        let key = fault.key.as_str();
        let in_form = || {
            let part = key.split('.').next().unwrap_or_default();
            let path = format!("/cases/{}/write", document.case.as_str());
            section_of(key).map(|_| format!("{path}?at={part}#{}", id_of("", key)))
        };
        ProblemView {
            label: label(key),
            href: in_form().or_else(|| card_field(person, &document.patient.code, key)),
            message: fault.message.clone(),
        }
    }
}

/// The text that is read before it is signed.
pub enum ReadAs {
    /// The sheet as it will print, but for the signature.
    Sheet(SheetPictures),
    /// Every field of it; of some weight, so that it comes when it is asked for.
    Words(DocumentPart),
}

impl SignPage {
    /// Whether there are cautions and values that nobody typed, so that they stand beside each other.
    fn is_beside(&self) -> bool {
        !self.accepted.is_empty() && self.untyped_count > 0
    }

    /// The page of a proposal, with the signature that was refused.
    pub fn new(
        app: &App,
        person: &Person,
        proposal: &Proposal,
        (is_in_words, tried): (bool, &Tried),
    ) -> Result<SignPage, WebError> {
        let document = &proposal.document;
        let field = |spec| FieldView::under(spec, "");
        let mut fields = vec![field(SignForm::password()).needed()];
        if !document.warnings.is_empty() {
            fields.insert(0, field(SignForm::warnings_read()));
        }
        let sections = document.sections(document.issued.date(), document.numbering);
        // Nothing is signed yet: the page says of the warnings what signing will do with them.
        let unsigned = |section: PrintedSection| match section.key {
            keys::WARNINGS => PrintedSection {
                title: "Will be signed in spite of these warnings",
                ..section
            },
            _ => section,
        };
        let path = format!("/cases/{}", document.case.as_str());
        // What is brought behind the page is of the very text that the page shows.
        let same = format!(
            "{}={}&{}={}",
            SignForm::hash().key,
            proposal.hash,
            SignForm::issued().key,
            document.issued.unix_ms
        );
        Ok(SignPage {
            frame: Frame::new(app, person, "Read and sign", ""),
            number: document.case.to_string(),
            path_number: document.case.as_str().to_owned(),
            number_of_revision: document.revision,
            problems: proposal
                .faults
                .iter()
                .map(|fault| ProblemView::new(person, document, fault))
                .collect(),
            differences: DifferencesPart::new(
                format!("What changes against revision {}", proposal.based_on),
                changes(proposal),
                &changed(proposal),
            ),
            accepted: accepted(document),
            untyped_count: proposal
                .untyped
                .iter()
                .map(|(_, values)| values.len())
                .sum(),
            untyped: proposal
                .untyped
                .iter()
                .map(|(source, values)| (source.counted(values.len()), values.clone()))
                .collect(),
            read_as: match is_in_words {
                false => ReadAs::Sheet(SheetPictures::unsigned(
                    &draft_sheet(proposal, None),
                    &format!("{path}/draft/front.svg?{same}&page="),
                )),
                true => ReadAs::Words(DocumentPart {
                    sections: sections.into_iter().map(unsigned).collect(),
                    ask: String::new(),
                }),
            },
            in_words: format!("{path}/sign?as={IN_WORDS}&{same}"),
            warnings: document.warnings.clone(),
            meaning: document.meaning.clone(),
            signer: document.prescriber_name.clone(),
            licence: document.prescriber_licence.clone(),
            hash: proposal.hash.clone(),
            issued: document.issued.unix_ms,
            card_shown: document.patient.fingerprint(),
            refusals: tried.refusals.clone(),
            fields: fill(fields, &tried.typed, &tried.faults),
            post_key: app.outside.token().map_err(AppError::from)?,
        })
    }
}

impl FormPage for SignPage {
    type At = CaseNumber;

    fn says_done(number: &CaseNumber) -> String {
        format!("/cases/{}", number.as_str())
    }

    fn frame(&mut self) -> &mut Frame {
        &mut self.frame
    }

    async fn draw(on: &On<CaseNumber>, tried: &Tried) -> Result<SignPage, WebError> {
        let proposal = match shown_before(&on.query) {
            Some(shown) => sign::propose_again(&on.app, &on.person, &on.at, shown).await?,
            None => sign::propose(&on.app, &on.person, &on.at).await?,
        };
        let how = (on.query.text("as") == IN_WORDS, tried);
        let mut shown = SignPage::new(&on.app, &on.person, &proposal, how)?;
        shown.frame = shown.frame.on_case(&on.app, &on.person, &on.at).await?;
        // The text was built from what is stored now.
        shown.frame = shown.frame.doubted(proposal.doubt.as_ref());
        Ok(shown)
    }
}

/// The word of the address under which the text is read field by field.
const IN_WORDS: &str = "words";

/// Hash and moment of a text that a page shows, where an address asks for more of that one.
pub fn shown_before(query: &Query) -> Option<(&str, i64)> {
    let issued = query.text(SignForm::issued().key).parse().ok()?;
    Some((query.text(SignForm::hash().key), issued))
}

/// What changes, but for what the page names in full below: the cautions and warnings themselves.
fn changes(proposal: &Proposal) -> Vec<Difference> {
    let mut changes = proposal.differences.clone();
    changes
        .retain(|one| one.after.is_none() || ![keys::CAUTIONS, keys::WARNINGS].contains(&one.of));
    changes
}

/// Of that what one has to know.
fn changed(proposal: &Proposal) -> Vec<Difference> {
    let document = &proposal.document;
    let before = proposal.before.as_ref();
    before.map_or_else(Vec::new, |before| {
        document.changed_since(before, document.numbering)
    })
}

fn accepted(document: &Document) -> Vec<(String, String)> {
    let unsaid = points_without_caution(&document.missing, &document.passed);
    let unsaid = unsaid.map(|point| (format!("Not said: {}.", point.name), point.reason.clone()));
    let passed = document.passed.iter();
    let passed = passed.map(|one| (one.sentence.clone(), one.reason.clone()));
    unsaid.chain(passed).collect()
}

/// Shows what would be signed now.
pub async fn form(on: On<CaseNumber>) -> Result<Response, WebError> {
    SignPage::show(on).await
}

/// Signs what the page has shown and leads to the case; 409 where somebody has changed it meanwhile, 422
/// for a wrong password.
pub async fn sign(on: On<CaseNumber>, form: Typed) -> Result<Response, WebError> {
    SignPage::post(on, form, sign::sign, Done::Signed).await
}

/// Notes that the lab works to this revision, and leads back to the case, or to the bench where work is done already.
pub async fn acknowledge(on: On<(CaseNumber, i64)>, form: Typed) -> Result<Response, WebError> {
    let (on, revision) = on.apart();
    sign::acknowledge(&on.app, &on.person, &on.at, revision, &form.key()?).await?;
    // It is acknowledged: what keeps the bench from being read is said there, and not in place of that.
    let asks = bench::asks_again(&on.app, &on.person, &on.at).await;
    if matches!(asks, Ok(true)) {
        let at = format!("/cases/{}/bench", on.at.as_str());
        return Ok(see_other(&format!("{}#again", Done::Acknowledged.at(&at))));
    }
    Ok(back_to_case(&on.at, Done::Acknowledged))
}
