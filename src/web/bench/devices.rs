//! The devices on which a lab takes codes.

use crate::app::bench_devices::{self, AllowForm, ListedDevice};
use crate::app::{App, Person};
use crate::web::cookies::allowed_device;
use crate::web::done::Done;
use crate::web::error::WebError;
use crate::web::extract::{Query, SignedIn, Typed};
use crate::web::field::{FieldView, fields_under, fill};
use crate::web::frame::{Frame, page, page_with, see_other};
use crate::web::tried::Tried;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

/// A device as it is listed.
pub struct DeviceView {
    pub id: String,
    pub name: String,
    pub allowed: String,
    pub by: String,
    /// Empty where nobody has come in on it.
    pub used: String,
    /// Empty where it is still allowed.
    pub taken_back: String,
    pub is_here: bool,
    /// Whether codes are taken on it.
    pub is_allowed: bool,
}

/// The devices that take a code.
#[derive(Template)]
#[template(path = "bench_devices.html")]
pub struct DevicesPage {
    pub frame: Frame,
    pub refusals: Vec<String>,
    /// Empty where this device is allowed already.
    pub fields: Vec<FieldView>,
    pub devices: Vec<DeviceView>,
}

async fn devices_page(app: &App, person: &Person, tried: &Tried) -> Result<DevicesPage, WebError> {
    let here = bench_devices::here(app, person).await?;
    let at = |ms: i64| match ms {
        0 => String::new(),
        ms => person.moment(ms).in_words(),
    };
    let devices = bench_devices::list(app, person).await?.into_iter();
    let devices = devices.map(
        |ListedDevice {
             row: one,
             is_allowed,
         }| DeviceView {
            is_allowed,
            id: one.id.to_string(),
            is_here: here.as_ref().is_some_and(|here| here.id == one.id),
            name: one.name,
            allowed: at(one.allowed_ms),
            by: one.by_name,
            used: at(one.used_ms),
            taken_back: at(one.taken_back_ms),
        },
    );
    let fields = match here {
        Some(_) => Vec::new(),
        None => fields_under(AllowForm::FIELDS, ""),
    };
    Ok(DevicesPage {
        frame: Frame::new(app, person, "Devices at the bench", "/bench"),
        refusals: tried.refusals.clone(),
        fields: fill(fields, &tried.typed, &tried.faults),
        devices: devices.collect(),
    })
}

/// Lists the devices.
pub async fn devices(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    query: Query,
) -> Result<Response, WebError> {
    let mut shown = devices_page(&app, &person, &Tried::default()).await?;
    shown.frame = shown.frame.done(query.text("done"));
    page(&shown)
}

/// Allows the device of this browser.
pub async fn allow_device(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    let done = async { bench_devices::allow(&app, &person, &form.read()?).await };
    match done.await {
        Ok(secret) => {
            let to = see_other(&Done::Device.at("/bench/devices"));
            Ok(allowed_device(app.settings.over_tls, to, &secret))
        }
        Err(error) => {
            let (status, tried) = Tried::of(form.0, error)?;
            page_with(status, &devices_page(&app, &person, &tried).await?)
        }
    }
}

/// Takes a device back.
pub async fn take_device_back(
    State(app): State<App>,
    SignedIn(person): SignedIn,
    form: Typed,
) -> Result<Response, WebError> {
    bench_devices::take_back(&app, &person, &form.read()?).await?;
    Ok(see_other(&Done::DeviceBack.at("/bench/devices")))
}
