//! The devices at the benches of a lab: a manager allows them, on the device itself, and takes them back from anywhere.

use super::bindings::{binding_of_device, is_allowed, is_allowed_as};
use super::run::write;
use super::security::Happened;
use super::sign_in::{confirm_password, secret_hash};
use super::tries::Doors;
use super::{App, AppError, Person, ended};
use crate::domain::form::{Kind, PASSWORD, Secret, command, name};
use crate::domain::people::bench_code::DEVICE_NAME_MOST;
use crate::domain::values::ids::DeviceId;
use crate::store::bench_codes::{self as stored, DeviceRow};

command! {
    /// The device at which somebody sits is allowed.
    AllowForm;
    device_name: String = name(DEVICE_NAME_MOST), "What you call it", "Such as Tablet, bench 2. It stands in each entry that is made on it.", needed "Give it a name.";
    password: Secret = PASSWORD, "Your password", "", needed "Type your password again.";
}

command! {
    /// A device is allowed no more.
    TakeDeviceBackForm;
    device: DeviceId = Kind::Hidden, "", "";
}

/// A device of the lab, and whether codes are taken on it: not on one that was taken back, nor on one that was allowed
/// before that was bound to the record's key.
#[derive(Debug)]
pub struct ListedDevice {
    pub row: DeviceRow,
    pub is_allowed: bool,
}

/// The devices of one's own lab: those that are allowed first, the newest first.
pub async fn list(app: &App, person: &Person) -> Result<Vec<ListedDevice>, AppError> {
    let mut conn = app.store.read().await?;
    let found = stored::devices_of(&mut conn, person.party_id()).await?;
    let listed = |row: DeviceRow| ListedDevice {
        is_allowed: is_allowed(app, &row),
        row,
    };
    let mut found: Vec<ListedDevice> = found.into_iter().map(listed).collect();
    found.sort_by_key(|one| (one.row.taken_back_ms > 0, !one.is_allowed));
    Ok(found)
}

/// The device of this browser, if it is allowed.
pub async fn here(app: &App, person: &Person) -> Result<Option<DeviceRow>, AppError> {
    let Some(secret) = &person.visit.device else {
        return Ok(None);
    };
    let mut conn = app.store.read().await?;
    let found = stored::allowed_device(&mut conn, secret).await?;
    Ok(found.filter(|one| is_allowed_as(app, secret, one)))
}

/// Allows the device of this browser; the answer is the secret that its cookie holds.
pub async fn allow(app: &App, person: &Person, form: &AllowForm) -> Result<String, AppError> {
    let field = |message: &str| AppError::field(AllowForm::device_name().key, message);
    if let Some(device) = here(app, person).await? {
        let sentence = format!("This device is allowed already, as {}.", device.name);
        return Err(AppError::Refused(vec![sentence]));
    }
    let wanted = form.device_name.to_lowercase();
    let is_taken = |one: &ListedDevice| one.is_allowed && one.row.name.to_lowercase() == wanted;
    if list(app, person).await?.iter().any(is_taken) {
        return Err(field("Another device has this name: give each its own."));
    }
    confirm_password(app, person, form.password.as_str()).await?;
    Doors::count_made(app, &person.account.id).await?;
    let secret = app.outside.token()?;
    let mut device = DeviceRow {
        id: DeviceId::new(app.outside.identity()?),
        secret_hash: secret_hash(&secret),
        party: person.party_id().clone(),
        name: form.device_name.clone(),
        by_name: person.account.name.clone(),
        allowed_ms: app.outside.now_ms(),
        used_ms: 0,
        taken_back_ms: 0,
        binding: String::new(),
    };
    device.binding = binding_of_device(app, &device);
    write(app, |mut tx| async {
        stored::insert_device(&mut tx, &device).await?;
        Ok((tx, ()))
    })
    .await?;
    person.note(Happened::DeviceAllowed, &device.name);
    Ok(secret)
}

/// Takes a device of one's own lab back: nobody goes on there by a code from this moment on.
pub async fn take_back(
    app: &App,
    person: &Person,
    form: &TakeDeviceBackForm,
) -> Result<(), AppError> {
    let (id, now) = (&form.device, app.outside.now_ms());
    let devices = list(app, person).await?;
    let mut devices = devices.iter().map(|one| &one.row);
    let device = devices.find(|one| one.id == *id);
    let none = || AppError::Refused(vec!["Your lab has no such device.".to_owned()]);
    let device = device.ok_or_else(none)?;
    if device.taken_back_ms > 0 {
        return Ok(());
    }
    ended::note_for_good(app, &device.binding).await;
    write(app, |mut tx| async {
        stored::take_back(&mut tx, id, person.party_id(), now).await?;
        Ok((tx, ()))
    })
    .await?;
    person.note(Happened::DeviceTakenBack, &device.name);
    Ok(())
}
