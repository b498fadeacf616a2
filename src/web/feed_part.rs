//! What one's own account page says of the address for a calendar.

use super::error::WebError;
use super::field::{FieldView, fields_under, fill};
use super::tried::Tried;
use crate::app::{App, Person, feed};
use crate::domain::form::Proof;
use crate::domain::people::access::Permission;
use askama::Template;

/// The part of the account page about one's own address.
#[derive(Template)]
#[template(path = "partials/feed.html")]
pub struct FeedPart {
    /// Since when there is one.
    pub made: Option<String>,
    /// The address just made, shown once.
    pub address: Option<String>,
    pub refusals: Vec<String>,
    pub fields: Vec<FieldView>,
}

impl FeedPart {
    /// The part with its form as typed; none for those who read no cases.
    pub async fn of(
        app: &App,
        person: &Person,
        address: Option<String>,
        tried: &Tried,
    ) -> Result<Option<FeedPart>, WebError> {
        if !person.may(Permission::ReadCases) {
            return Ok(None);
        }
        let fields = fields_under(Proof::FIELDS, "");
        let mut fields = fill(fields, &tried.typed, &tried.faults);
        for field in &mut fields {
            field.scope = "feed-".into();
        }
        let made = feed::made(app, person).await?;
        Ok(Some(FeedPart {
            made: made.map(|ms| person.moment(ms).in_words()),
            address,
            refusals: tried.refusals.clone(),
            fields,
        }))
    }
}
