//! An invented scenario, made through the same actions that people do, over the last weeks by a clock that
//! is moved on. Parties, shades and moulds are invented; no real guide or maker is meant.

mod drawn;
mod scenario;

use super::join::join;
use super::let_in::{invite, note_read};
use super::manage::{add_party, first_link};
use super::open_case::opened;
use super::recorded::reference::note;
use super::typed::command;
use super::visit::Visit;
use super::{App, AppError, Person, PostKey, new_codes, recorded};
use crate::clock::Outside;
use crate::domain::form::Raw;
use crate::domain::law::profile::DEFAULT;
use crate::domain::people::account::Account;
use crate::domain::values::arch::Arches;
use crate::domain::values::ids::PartyId;
use crate::store::cases::{self, PatientRow};
use crate::store::reference::ReferenceData;
use crate::store::{parties, people};
use std::collections::BTreeMap;

/// A demo account with the password made for this run.
#[derive(Debug, Clone)]
pub struct DemoAccount {
    pub login: String,
    pub password: String,
    /// Role and party, in words.
    pub what: String,
}

/// Where the clocks of the houses go: those that come first, and those across the sea.
pub const ZONES: [&str; 2] = ["Europe/Vienna", "America/New_York"];

/// Kind, name, address, licence, telephone, paper, tooth numbers; of each two, the first is of the first zone.
const PARTIES: [[&str; 7]; 4] = [
    [
        "office",
        "Millbrook Dental Office",
        "14 Weir Lane\nMillbrook",
        "OFF-2207",
        "555 0142",
        "a4",
        "iso3950",
    ],
    [
        "office",
        "Harbour Street Dentistry",
        "3 Harbour Street\nEastquay",
        "OFF-3114",
        "555 0163",
        "letter",
        "universal",
    ],
    [
        "lab",
        "Brickyard Dental Laboratory",
        "Brickyard 9\nMillbrook",
        "LAB-118",
        "555 0187",
        "a4",
        "iso3950",
    ],
    [
        "lab",
        "Tidewater Dental Laboratory",
        "88 Ferry Road\nEastquay",
        "LAB-640",
        "555 0109",
        "letter",
        "universal",
    ],
];

/// Sign-in name, printed name, role, party by its place above.
const PEOPLE: [(&str, &str, &str, Option<usize>); 10] = [
    ("admin", "Installation administrator", "administrator", None),
    ("ilse", "Ilse Marder", "dentist", Some(0)),
    ("jonas", "Jonas Feld", "assistant", Some(0)),
    ("ruth", "Ruth Calder", "dentist", Some(1)),
    ("owen", "Owen Pike", "assistant", Some(1)),
    ("bruno", "Bruno Kiesel", "technician", Some(2)),
    ("vera", "Vera Lohm", "lab_manager", Some(2)),
    ("dana", "Dana Reeve", "technician", Some(3)),
    ("carl", "Carl Ostrow", "lab_manager", Some(3)),
    ("felix", "Felix Arnd", "technician", Some(2)),
];

/// The scenario ends this long before now, so that nothing in it has still to come, whatever the clock on the wall.
const ENDED_BEFORE_MS: i64 = 2 * 60 * 60_000;

/// Fills an empty database; refuses one that is in use. `more` adds plain cases for measuring.
pub async fn fill(app: &App, more: u32) -> Result<Vec<DemoAccount>, AppError> {
    fill_in(app, more, ZONES).await
}

/// The same with houses in two other zones, as in [`ZONES`].
pub async fn fill_in(app: &App, more: u32, zones: [&str; 2]) -> Result<Vec<DemoAccount>, AppError> {
    if !parties::all(&mut *app.store.read().await?)
        .await?
        .is_empty()
    {
        return Err(AppError::Conflict(
            "This database holds data already, and the demo would mix with it. Give it an empty folder, or use `serve`.".to_owned(),
        ));
    }
    let begun = app.outside.now_ms() - ENDED_BEFORE_MS - scenario::lasts_ms();
    let then = App {
        outside: Outside::replayed(begun),
        ..app.clone()
    };
    // Long futures: they stand beside the caller's on the heap and not within it on the stack.
    let cast = Box::pin(populate(&then, zones)).await?;
    Box::pin(scenario::play(&then, &cast)).await?;
    Box::pin(fill_more(&then, &cast, more)).await?;
    let accounts = cast.accounts.into_iter();
    Ok(accounts
        .filter(|account| account.login != "felix")
        .collect())
}

/// Each dentist's own.
fn licence(login: &str) -> &'static str {
    match login {
        "ilse" => "DENT-5120",
        "ruth" => "DENT-7734",
        _ => "",
    }
}

/// Everybody who plays, by sign-in name.
pub(super) struct Cast {
    people: BTreeMap<&'static str, Person>,
    accounts: Vec<DemoAccount>,
}

impl Cast {
    fn person(&self, login: &str) -> Result<&Person, AppError> {
        self.people
            .get(login)
            .ok_or_else(|| AppError::Inner(format!("the demo has no {login}")))
    }
}

/// A fresh key for each post.
fn key(app: &App) -> Result<PostKey, AppError> {
    PostKey::parse(&app.outside.token()?)
        .ok_or_else(|| AppError::Inner("a token is no post key".to_owned()))
}

fn typed(pairs: &[(&str, &str)]) -> Raw {
    pairs
        .iter()
        .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
        .collect()
}

/// Sixteen characters of chance: enough, and short enough to type from the terminal.
fn password(app: &App) -> Result<String, AppError> {
    let letters = app.outside.token()?.replace(['-', '_'], "");
    Ok(letters.chars().take(16).collect())
}

async fn populate(app: &App, zones: [&str; 2]) -> Result<Cast, AppError> {
    let mut cast = Cast {
        people: BTreeMap::new(),
        accounts: Vec::new(),
    };
    let mut ids: Vec<PartyId> = Vec::new();
    for (login, name, role, place) in PEOPLE {
        let party = place.and_then(|place| ids.get(place)).cloned();
        let link = match cast.people.get("admin") {
            None => first_link(app).await?,
            Some(admin) => {
                let own = cast
                    .accounts
                    .first()
                    .map_or("", |account| &account.password);
                let form = typed(&[
                    ("password", own),
                    ("name", name),
                    ("role", role),
                    ("party", party.as_deref().unwrap_or_default()),
                ]);
                invite(app, admin, &command(&form)?, &key(app)?).await?
            }
        };
        let password = password(app)?;
        let secret = link.trim_start_matches("/join/");
        let form = typed(&[
            ("name", name),
            ("login", login),
            ("licence", licence(login)),
            ("password", &password),
            ("password_again", &password),
        ]);
        join(app, secret, &command(&form)?, &Visit::default()).await?;
        let person = person(app, login).await?;
        let what = person
            .party
            .as_ref()
            .map_or(String::new(), |party| format!(", {}", party.name));
        cast.accounts.push(DemoAccount {
            login: login.to_owned(),
            password,
            what: format!("{}{what}", person.account.role.shown()),
        });
        cast.people.insert(login, person);
        if ids.is_empty() {
            ids = add_parties(app, cast.person("admin")?, zones).await?;
        }
    }
    for person in cast.people.values() {
        note_read(app, person).await?;
    }
    Ok(cast)
}

async fn add_parties(
    app: &App,
    admin: &Person,
    zones: [&str; 2],
) -> Result<Vec<PartyId>, AppError> {
    const KEYS: [&str; 7] = [
        "kind",
        "name",
        "address",
        "licence",
        "telephone",
        "paper",
        "numbering",
    ];
    let mut ids = Vec::new();
    for (party, zone) in PARTIES.into_iter().zip(zones.into_iter().cycle()) {
        let said = KEYS.into_iter().zip(party);
        let form: Vec<(&str, &str)> = said.chain([("zone", zone), ("profile", DEFAULT)]).collect();
        ids.push(add_party(app, admin, &command(&typed(&form))?, &key(app)?).await?);
    }
    Ok(ids)
}

async fn person(app: &App, login: &str) -> Result<Person, AppError> {
    let mut conn = app.store.read().await?;
    let account: Account = people::account_by_login(&mut conn, login)
        .await?
        .ok_or(AppError::NotFound)?;
    let party = match &account.party {
        Some(id) => parties::find(&mut conn, id).await?,
        None => None,
    };
    Ok(Person::without_session(account, party))
}

/// Cases that were opened and no more, straight into the tables: for measuring only.
async fn fill_more(app: &App, cast: &Cast, more: u32) -> Result<(), AppError> {
    /// Rows in one transaction: a commit costs a flush, and a very long one costs memory.
    const CHUNK: u32 = 2_000;
    let (office, lab) = (
        cast.person("ilse")?.party_id(),
        cast.person("bruno")?.party_id(),
    );
    let mut made = 0;
    while made < more {
        let mut tx = app.store.begin().await?;
        for _ in made..more.min(made + CHUNK) {
            let patient = PatientRow {
                code: new_codes::patient_code(app, tx.conn()).await?,
                office: office.to_owned(),
                facts: "{}".to_owned(),
                made_ms: app.outside.now_ms(),
                version: 1,
            };
            cases::insert_patient(&mut tx, &patient).await?;
            note(app, &mut tx, ReferenceData::Patient, patient.code.as_str()).await?;
            let number = new_codes::case_number(app, tx.conn()).await?;
            let case = opened(app, number, (&patient, lab), Arches::Both);
            cases::insert_case(&mut tx, &case).await?;
            recorded::case(app, &mut tx, &case).await?;
        }
        tx.commit().await?;
        made += CHUNK;
    }
    Ok(())
}
