//! A remedy from the list of complaints is taken over into the remarks of the draft.
//!
//! It is written as if it had been typed: behind what stands there, through the same merge, so that
//! nobody's text is overwritten. Taken twice, it stands there once.

use super::write_draft::{self, Base};
use super::{App, AppError, Person};
use crate::domain::form::{Kind, command};
use crate::domain::prescription::draft::Fields;
use crate::domain::prescription::field_spec;
use crate::domain::trade::complaint::{Complaint, complaint};
use crate::domain::values::ids::CaseNumber;

/// The field that takes it.
pub const INTO: &str = "remarks.remarks";

/// The sentence of a remedy: what is reported, and what is to be done.
pub fn sentence(complaint: &Complaint, remedy: &str) -> String {
    format!("Reported: {}. {remedy}.", complaint.complaint)
}

command! {
    /// A remedy, counted from 0, of a complaint by its number.
    RemedyForm;
    complaint: Option<u32> = Kind::Hidden, "", "";
    remedy: Option<u32> = Kind::Hidden, "", "";
}

/// Takes over a remedy.
pub async fn take(
    app: &App,
    person: &Person,
    number: &CaseNumber,
    form: &RemedyForm,
) -> Result<(), AppError> {
    // Whose case it is comes first: what is not one's own does not exist, whatever is posted to it.
    write_draft::fields_now(app, person, number).await?;
    let sentence = remedy_of(form).ok_or_else(|| {
        AppError::Refused(vec![
            "The list has no such remedy. Nothing was changed.".to_owned(),
        ])
    })?;
    let draft = write_draft::open(app, person, number).await?.draft;
    let before = draft.fields.get(INTO).cloned().unwrap_or_default();
    let Some(text) = appended(&before, &sentence)? else {
        return Ok(());
    };
    let sent = Fields::from([(INTO.to_owned(), text)]);
    write_draft::save(app, person, number, Base::of(&draft), &sent).await?;
    Ok(())
}

fn remedy_of(form: &RemedyForm) -> Option<String> {
    let about = complaint(form.complaint?.try_into().ok()?)?;
    let remedy = about.remedies.get(usize::try_from(form.remedy?).ok()?)?;
    Some(sentence(about, remedy))
}

/// The text with the sentence on a line of its own behind it; none where it stands there already.
fn appended(before: &str, sentence: &str) -> Result<Option<String>, AppError> {
    if before.lines().any(|line| line == sentence) {
        return Ok(None);
    }
    let text = format!("{}\n{sentence}", before.trim_end());
    let text = text.trim_start().to_owned();
    let most = match field_spec(INTO).map(|spec| spec.kind) {
        Some(Kind::LongText { max }) => max,
        _ => 0,
    };
    if text.chars().count() > most {
        return Err(AppError::Refused(vec![format!(
            "The remarks take {most} characters, and this sentence would be too many. Shorten them first; nothing was \
             changed."
        )]));
    }
    Ok(Some(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_is_put_behind_what_stands_there_and_only_once() {
        let taken = |before: &str| appended(before, "Reported: X. Do it.").unwrap();
        assert_eq!(taken("").as_deref(), Some("Reported: X. Do it."));
        assert_eq!(
            taken("As agreed.\n").as_deref(),
            Some("As agreed.\nReported: X. Do it.")
        );
        assert_eq!(taken("Reported: X. Do it.\nMore."), None);
        let long = "a".repeat(1_990);
        assert!(appended(&long, "Reported: X. Do it.").is_err());
    }

    #[test]
    fn every_remedy_fits_into_the_field_as_a_sentence() {
        for about in crate::domain::trade::complaint::COMPLAINTS {
            for remedy in about.remedies {
                let text = appended("", &sentence(about, remedy)).unwrap().unwrap();
                assert!(text.ends_with('.') && !text.contains(".."), "{text}");
            }
        }
    }
}
