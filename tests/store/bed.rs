//! A database with the store on it, and the rows that the contracts begin with.

use crate::databases::Database;
use sqlx::{AnyConnection, Row};
use vestibule::domain::custody::agenda::CaseAgenda;
use vestibule::domain::custody::case::{Case, DRAWN, Place, Step, Task};
use vestibule::domain::custody::events::Registered;
use vestibule::domain::custody::item::{Item, ItemKind};
use vestibule::domain::custody::{Event, What};
use vestibule::domain::people::account::Account;
use vestibule::domain::people::party::{Actor, Paper, Party, Role, Side};
use vestibule::domain::prescription::revision::{
    Acknowledgement, MEANING, Revision, Signature, document_hash,
};
use vestibule::domain::values::arch::Arches;
use vestibule::domain::values::ids::{AccountId, CaseNumber, EventId, PatientCode, Tag};
use vestibule::domain::values::moment::Moment;
use vestibule::domain::values::tooth::Numbering;
use vestibule::record::hash::{Hash, leaf_hash};
use vestibule::record::tree::Frontier;
use vestibule::store::cases::PatientRow;
use vestibule::store::record::NewLeaf;
use vestibule::store::{
    Backend, Store, StoreError, Tx, cases, custody, parties, people, record, revisions,
};

/// 2026-03-02 08:00 UTC.
pub const MONDAY_MS: i64 = 1_772_438_400_000;
/// Letters of several alphabets, a composed and a decomposed one, a sign beyond 16 bits, quotes and lines.
pub const LETTERS: &str = "Zähne é e\u{301} 歯 зубы 🦷 \"'\\ %_\n\tend";

/// A database and the store on it.
pub struct Bed {
    pub database: Database,
    pub store: Store,
}

pub async fn run<F: AsyncFn(&Bed)>(database: Database, contract: F) {
    let bed = Bed {
        store: database.open().await,
        database,
    };
    assert_eq!(bed.store.backend(), bed.database.backend);
    bed.store.probe().await.unwrap();
    contract(&bed).await;
    bed.store.close().await;
    bed.database.remove().await;
}

impl Bed {
    pub async fn tx(&self) -> Tx {
        self.store.begin().await.unwrap()
    }

    pub async fn read(&self) -> sqlx::pool::PoolConnection<sqlx::Any> {
        self.store.read().await.unwrap()
    }

    /// Runs SQL past the store; the answer is the database's.
    pub async fn past_the_store(&self, sql: &str) -> Result<(), sqlx::Error> {
        let mut conn = self.database.raw().await;
        sqlx::raw_sql(sqlx::AssertSqlSafe(sql.to_owned()))
            .execute(&mut conn)
            .await
            .map(|_| ())
    }

    /// Takes away the lock on a table that is written once.
    pub async fn unlock(&self, table: &str) {
        let sql = match self.database.backend {
            Backend::Sqlite if table == "event" => {
                "DROP TRIGGER event_only_erased; DROP TRIGGER event_no_DELETE".to_owned()
            }
            Backend::Postgres if table == "event" => {
                "DROP TRIGGER event_only_erased ON event; DROP TRIGGER event_never_deleted ON event"
                    .to_owned()
            }
            Backend::Sqlite => {
                format!("DROP TRIGGER {table}_no_UPDATE; DROP TRIGGER {table}_no_DELETE")
            }
            Backend::Postgres => format!("DROP TRIGGER {table}_written_once ON {table}"),
        };
        self.past_the_store(&sql).await.unwrap();
    }

    /// Two parties, a dentist's account, a patient and a case of hers.
    pub async fn with_a_case(&self) -> Case {
        let mut tx = self.tx().await;
        parties::insert(&mut tx, &party("o", Side::Office))
            .await
            .unwrap();
        parties::insert(&mut tx, &party("l", Side::Lab))
            .await
            .unwrap();
        people::insert_account(&mut tx, &account("dora"))
            .await
            .unwrap();
        cases::insert_patient(&mut tx, &patient(1)).await.unwrap();
        let case = case(1);
        cases::insert_case(&mut tx, &case).await.unwrap();
        tx.commit().await.unwrap();
        case
    }

    pub async fn with_a_revision(&self) -> Case {
        let case = self.with_a_case().await;
        let mut tx = self.tx().await;
        revisions::insert(&mut tx, &revision(&case, 1))
            .await
            .unwrap();
        revisions::insert_acknowledgement(&mut tx, &case.number, &acknowledgement(1))
            .await
            .unwrap();
        custody::append_event(&mut tx, &event(&case, 0), 0)
            .await
            .unwrap();
        tx.commit().await.unwrap();
        case
    }
}

/// The first code that comes of a number; not every draw has a check character that is issued.
pub fn code<T>(number: u32, make: impl Fn([u8; 7]) -> Option<T>) -> T {
    let [a, b, c, d] = number.to_be_bytes();
    // A character holds five bits.
    let low = |byte: u8, next: u8| [byte >> 4, byte & 15, next >> 4, next & 15];
    let ([e, f, g, h], [i, j, _, _]) = (low(c, d), low(a, b));
    (0..32)
        .find_map(|try_number| make([e, f, g, h, i, j, try_number]))
        .unwrap()
}

pub fn party(id: &str, kind: Side) -> Party {
    Party {
        id: id.into(),
        kind,
        name: format!("House {id}"),
        address: "1 Sample Street\nSampletown".to_owned(),
        licence: "L-1".to_owned(),
        telephone: "555 0100".to_owned(),
        zone: "Europe/Vienna".to_owned(),
        paper: Paper::A4,
        numbering: Numbering::Iso3950,
        profile: "common".to_owned(),
        version: 1,
    }
}

pub fn account(login: &str) -> Account {
    Account {
        id: AccountId::new(format!("id of {login}")),
        party: Some("o".into()),
        role: Role::Dentist,
        login: login.to_owned(),
        name: format!("Dr {login}"),
        licence: "D-1".to_owned(),
        password: "$argon2id$sample".to_owned(),
        disabled: false,
        admission: None,
        version: 1,
    }
}

pub fn patient(number: u32) -> PatientRow {
    PatientRow {
        code: code(number, PatientCode::from_random),
        office: "o".into(),
        facts: "{}".to_owned(),
        made_ms: MONDAY_MS + i64::from(number),
        version: 1,
    }
}

pub fn case(number: u32) -> Case {
    Case {
        number: code(number, CaseNumber::from_random),
        office: "o".into(),
        lab: "l".into(),
        patient: patient(1).code,
        arches: Arches::Both,
        opened_ms: MONDAY_MS + i64::from(number),
        closed: false,
        place: Place::Office,
        also: None,
        held: None,
        waiting_for: vec![Task {
            side: Side::Office,
            step: Step::Write,
        }],
        due: None,
        lent_due: None,
        summary: String::new(),
        revision: 0,
        acknowledged: 0,
        changed_ms: MONDAY_MS + i64::from(number),
        version: 1,
        agenda: CaseAgenda::default(),
        drawn: DRAWN,
    }
}

pub fn revision(case: &Case, number: i64) -> Revision {
    let document = format!("{{\"number\":{number},\"words\":\"Zähne 🦷\"}}");
    Revision {
        case: case.number.clone(),
        number,
        hash: document_hash(&document),
        document,
        signature: Signature {
            account: "id of dora".into(),
            name: "Dr dora".to_owned(),
            licence: "D-1".to_owned(),
            meaning: MEANING.to_owned(),
            at: Moment::new(MONDAY_MS, -150),
        },
    }
}

pub fn acknowledgement(revision: i64) -> Acknowledgement {
    Acknowledgement {
        revision,
        account: "id of tom".into(),
        name: "Tom".to_owned(),
        at: Moment::new(MONDAY_MS + 1, 60),
    }
}

pub fn item(case: &Case, number: u32) -> Item {
    Item {
        tag: code(number, Tag::from_random),
        case: case.number.clone(),
        kind: ItemKind::BiteRecord,
        arch: None,
        note: LETTERS.to_owned(),
        pieces: 2,
        borrowed: true,
    }
}

pub fn event(case: &Case, number: u32) -> Event {
    Event {
        id: EventId::new(format!("event {number}")),
        case: case.number.clone(),
        at: Moment::new(MONDAY_MS + i64::from(number), 60),
        entered_at: Moment::new(MONDAY_MS + i64::from(number) + 5, 60),
        by: Actor {
            account: "id of dora".into(),
            name: "Dr dora".to_owned(),
            role: Role::Dentist,
            party: "o".into(),
            party_name: "House o".to_owned(),
        },
        paper: None,
        by_code: None,
        what: What::Registered(Registered {
            tag: code(number, Tag::from_random),
            place: Side::Office,
            worn: false,
            note: LETTERS.to_owned(),
            pieces: None,
            made: None,
            due_back: None,
            file: None,
        }),
    }
}

pub fn is_stale<T: std::fmt::Debug>(answer: Result<T, StoreError>) -> bool {
    matches!(answer, Err(StoreError::Stale(_)))
}

pub async fn changes_of(conn: &mut AnyConnection, party: &str) -> i64 {
    let sql = "SELECT changes FROM party WHERE id = $1";
    sqlx::query(sql)
        .bind(party)
        .fetch_one(conn)
        .await
        .unwrap()
        .try_get(0)
        .unwrap()
}

pub fn leaf(case: &Case, number: u64) -> NewLeaf {
    NewLeaf {
        kind: "event",
        about: format!("event {number}"),
        owner: case.number.as_str().to_owned(),
        body: format!(
            "{{\"event\":{{\"case\":\"{}\",\"id\":\"event {number}\"}},\"kind\":\"event\",\"v\":1}}",
            case.number.as_str()
        ),
        salts: "{}".to_owned(),
    }
}

pub async fn append_leaves(bed: &Bed, case: &Case, numbers: std::ops::Range<u64>) {
    let mut tx = bed.tx().await;
    for number in numbers {
        record::append(&mut tx, &leaf(case, number)).await.unwrap();
    }
    tx.commit().await.unwrap();
}

/// The root over such leaves, grown without a database.
pub fn root_of(size: u64, case: &Case) -> Hash {
    let mut tree = Frontier::default();
    for number in 0..size {
        tree.append(leaf_hash(leaf(case, number).body.as_bytes()));
    }
    tree.root()
}
