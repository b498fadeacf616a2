//! The record's rows: the head, the leaves, the salts that open them, and the nodes that proofs are made of.
//!
//! Stored are each leaf's hash and, of the inner nodes, those of every eighth level: a proof reads a few
//! runs of at most 256 hashes and folds the rest. Leaves are written through [`append`] only, which takes
//! the number from the head that the open transaction holds.

pub use super::head::{Head, head};
pub use super::nodes::{growth, hashes, root_at};

use super::batch::Tx;
use super::error::StoreError;
use super::head::{signed, signed_as, unsigned};
use super::nodes::STEP;
use super::rows::{BETWEEN, one_kept, one_row};
use crate::domain::values::ids::CaseNumber;
use crate::record::checkpoint::Checkpoint;
use crate::record::hash::{Hash, leaf_hash};
use crate::record::key::{Signer, Verifier};
use crate::record::tree::{Node, verify_consistency};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

/// A leaf to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewLeaf {
    pub kind: &'static str,
    /// The key of the row that it is about.
    pub about: String,
    /// The number of the case that it is of, or the key of a row of reference data.
    pub owner: String,
    /// The canonical text that is hashed.
    pub body: String,
    /// JSON of path to salt, for the texts that stand in the body as commitments only.
    pub salts: String,
}

/// A leaf as it is stored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeafRow {
    pub number: u64,
    pub kind: String,
    pub about: String,
    pub case: String,
    pub body: String,
    pub hash: String,
    /// `None` where they have been thrown away.
    pub salts: Option<String>,
}

/// Appends a leaf to the record; answers with its number.
pub async fn append(tx: &mut Tx, leaf: &NewLeaf) -> Result<u64, StoreError> {
    tx.refuse_unless_trusted()?;
    let hash = leaf_hash(leaf.body.as_bytes());
    let number = tx.size();
    let done = sqlx::query("INSERT INTO leaf (number, kind, about, case_number, body, hash) VALUES ($1, $2, $3, $4, $5, $6)")
        .bind(signed(number)?)
        .bind(leaf.kind)
        .bind(&leaf.about)
        .bind(&leaf.owner)
        .bind(&leaf.body)
        .bind(hash.to_string())
        .execute(tx.conn())
        .await
        .map_err(|error| refused_leaf(tx, number, error))?;
    one_kept(&done, "the entry of the record")?;
    let done = sqlx::query("INSERT INTO leaf_salt (leaf, salts) VALUES ($1, $2)")
        .bind(signed(number)?)
        .bind(&leaf.salts)
        .execute(tx.conn())
        .await?;
    one_kept(&done, "the salts of the entry")?;
    for (node, hash) in tx.append(hash) {
        if node.level > 0 && node.level % STEP == 0 {
            let done =
                sqlx::query("INSERT INTO tree_node (level, place, hash) VALUES ($1, $2, $3)")
                    .bind(i64::from(node.level / STEP))
                    .bind(signed(node.index)?)
                    .bind(hash.to_string())
                    .execute(tx.conn())
                    .await?;
            one_kept(&done, "a hash of the record")?;
        }
    }
    Ok(number)
}

/// The number is drawn from the head that this transaction holds: who has it already is none of us. Of any other key, another
/// attempt of the same post may have been faster.
fn refused_leaf(tx: &Tx, number: u64, error: sqlx::Error) -> StoreError {
    let is_of_number = error.as_database_error().is_some_and(|error| {
        // As SQLite and PostgreSQL say it.
        let says = |words| error.message().contains(words);
        error.is_unique_violation() && (says("leaf.number") || says("leaf_pkey"))
    });
    match is_of_number {
        true => tx.note_beyond(number),
        false => error.into(),
    }
}

fn leaf_row(row: &AnyRow) -> Result<LeafRow, StoreError> {
    Ok(LeafRow {
        number: unsigned(row, "number")?,
        kind: row.try_get("kind")?,
        about: row.try_get("about")?,
        case: row.try_get("case_number")?,
        body: row.try_get("body")?,
        hash: row.try_get("hash")?,
        salts: row.try_get("salts")?,
    })
}

/// The leaves from `from` on, at most `limit`.
pub async fn leaves_from(
    conn: &mut AnyConnection,
    from: u64,
    limit: i64,
) -> Result<Vec<LeafRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT leaf.*, salts FROM leaf LEFT JOIN leaf_salt ON leaf_salt.leaf = leaf.number \
         WHERE number >= $1 ORDER BY number LIMIT $2",
    )
    .bind(signed(from)?)
    .bind(limit)
    .fetch_all(conn)
    .await?;
    rows.iter().map(leaf_row).collect()
}

/// Leaves in a row, with nothing but what the tree is made of: as one text each, since a row for each leaf
/// costs more than its hash.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LeafRun {
    count: u64,
    bodies: String,
    hashes: String,
}

impl LeafRun {
    pub fn count(&self) -> u64 {
        self.count
    }

    /// Body and stored hash of each.
    pub fn leaves(&self) -> impl Iterator<Item = (&str, &str)> {
        let texts = self.bodies.split(BETWEEN).zip(self.hashes.split(BETWEEN));
        texts.take(usize::try_from(self.count).unwrap_or(0))
    }
}

/// The leaves from `from` on, at most `limit`, if they are there without a gap and can be told apart. `None`
/// where they cannot; whoever reads them one by one says why.
pub async fn leaf_run(
    conn: &mut AnyConnection,
    from: u64,
    limit: i64,
) -> Result<Option<LeafRun>, StoreError> {
    let first = signed(from)?;
    let row = sqlx::query(
        "SELECT COUNT(*) AS n, MAX(number) AS last, string_agg(body, $3) AS bodies, string_agg(hash, $3) AS hashes \
         FROM (SELECT number, body, hash FROM leaf WHERE number >= $1 AND number < $2 ORDER BY number) AS some_leaves",
    )
    .bind(first)
    .bind(first.saturating_add(limit))
    .bind(BETWEEN.to_string())
    .fetch_one(conn)
    .await?;
    let count: i64 = row.try_get("n")?;
    if count == 0 {
        return Ok(Some(LeafRun::default()));
    }
    let last: i64 = row.try_get("last")?;
    let run = LeafRun {
        count: unsigned(&row, "n")?,
        bodies: row.try_get("bodies")?,
        hashes: row.try_get("hashes")?,
    };
    let is_distinguished = |text: &str| text.matches(BETWEEN).count() as u64 + 1 == run.count;
    let is_whole = last - first == count - 1
        && [&run.bodies, &run.hashes]
            .iter()
            .all(|text| is_distinguished(text));
    Ok(is_whole.then_some(run))
}

/// The leaves of a case, in order.
pub async fn leaves_of(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<LeafRow>, StoreError> {
    leaves_owned_by(conn, case.as_str()).await
}

/// Cases whose leaves are asked for at once.
const CASES_AT_ONCE: usize = 25;

/// Numbers and stored hashes of the leaves of these cases, and of their patients' cards, in order: what is to be looked for
/// in the signed tree together. What cannot be read as a number and a hash is left out; whoever holds the case finds it.
pub async fn hashes_of_cases(
    conn: &mut AnyConnection,
    cases: &[CaseNumber],
) -> Result<Vec<(u64, Hash)>, StoreError> {
    let mut hashes = Vec::new();
    for some in cases.chunks(CASES_AT_ONCE) {
        let mut asked = sqlx::query(
            "SELECT number, hash FROM leaf WHERE case_number IN ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, \
             $16, $17, $18, $19, $20, $21, $22, $23, $24, $25) UNION ALL SELECT leaf.number, leaf.hash FROM case_file \
             JOIN leaf ON leaf.case_number = case_file.patient_code WHERE case_file.number IN ($1, $2, $3, $4, $5, $6, $7, $8, $9, \
             $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, $23, $24, $25)",
        );
        for place in 0..CASES_AT_ONCE {
            asked = asked.bind(some.get(place).map_or("", CaseNumber::as_str));
        }
        let rows = asked.fetch_all(&mut *conn).await?;
        hashes.extend(rows.iter().filter_map(number_and_hash));
    }
    hashes.sort_unstable_by_key(|(number, _)| *number);
    // Several cases may be of one patient.
    hashes.dedup_by_key(|(number, _)| *number);
    Ok(hashes)
}

fn number_and_hash(row: &AnyRow) -> Option<(u64, Hash)> {
    let hash: String = row.try_get("hash").ok()?;
    Some((unsigned(row, "number").ok()?, Hash::parse(&hash).ok()?))
}

/// Whether any leaf is of this kind.
pub async fn has_kind(conn: &mut AnyConnection, kind: &str) -> Result<bool, StoreError> {
    let row = sqlx::query("SELECT number FROM leaf WHERE kind = $1 LIMIT 1")
        .bind(kind)
        .fetch_optional(conn)
        .await?;
    Ok(row.is_some())
}

/// The leaves of a case, or of a row of reference data, in order.
pub async fn leaves_owned_by(
    conn: &mut AnyConnection,
    owner: &str,
) -> Result<Vec<LeafRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT leaf.*, salts FROM leaf LEFT JOIN leaf_salt ON leaf_salt.leaf = leaf.number \
         WHERE case_number = $1 ORDER BY number",
    )
    .bind(owner)
    .fetch_all(conn)
    .await?;
    rows.iter().map(leaf_row).collect()
}

/// The newest leaf of a row of reference data.
pub async fn newest_owned_by(
    conn: &mut AnyConnection,
    owner: &str,
) -> Result<Option<LeafRow>, StoreError> {
    let row = sqlx::query(
        "SELECT leaf.*, salts FROM leaf LEFT JOIN leaf_salt ON leaf_salt.leaf = leaf.number \
         WHERE case_number = $1 ORDER BY number DESC LIMIT 1",
    )
    .bind(owner)
    .fetch_optional(conn)
    .await?;
    row.as_ref().map(leaf_row).transpose()
}

/// The leaves of one kind, in order, without what opens them: of kinds of which there are few.
pub async fn leaves_of_kind(
    conn: &mut AnyConnection,
    kind: &str,
) -> Result<Vec<LeafRow>, StoreError> {
    let rows =
        sqlx::query("SELECT leaf.*, NULL AS salts FROM leaf WHERE kind = $1 ORDER BY number")
            .bind(kind)
            .fetch_all(conn)
            .await?;
    rows.iter().map(leaf_row).collect()
}

/// The leaves of the cases, or of rows beside them, with a key after `range.0` and up to `range.1`, in order in
/// each of them. Those of other kinds of row may be among them, as the database orders the keys.
pub async fn leaves_between(
    conn: &mut AnyConnection,
    range: (&str, &str),
) -> Result<Vec<LeafRow>, StoreError> {
    let rows = sqlx::query(
        "SELECT leaf.*, salts FROM leaf LEFT JOIN leaf_salt ON leaf_salt.leaf = leaf.number \
         WHERE case_number > $1 AND case_number <= $2 ORDER BY case_number, number",
    )
    .bind(range.0)
    .bind(range.1)
    .fetch_all(conn)
    .await?;
    rows.iter().map(leaf_row).collect()
}

/// The numbers of a case's leaves, with the kind and the key of what each is about.
pub async fn numbers_of(
    conn: &mut AnyConnection,
    case: &CaseNumber,
) -> Result<Vec<(String, String, u64)>, StoreError> {
    let rows =
        sqlx::query("SELECT kind, about, number FROM leaf WHERE case_number = $1 ORDER BY number")
            .bind(case.as_str())
            .fetch_all(conn)
            .await?;
    let one = |row: &AnyRow| {
        let number = unsigned(row, "number")?;
        Ok((row.try_get("kind")?, row.try_get("about")?, number))
    };
    rows.iter().map(one).collect()
}

/// The leaf about one row.
pub async fn leaf_about(
    conn: &mut AnyConnection,
    kind: &str,
    about: &str,
) -> Result<Option<LeafRow>, StoreError> {
    let row = sqlx::query(
        "SELECT leaf.*, salts FROM leaf LEFT JOIN leaf_salt ON leaf_salt.leaf = leaf.number \
         WHERE kind = $1 AND about = $2",
    )
    .bind(kind)
    .bind(about)
    .fetch_optional(conn)
    .await?;
    row.as_ref().map(leaf_row).transpose()
}

/// Writes what opens a leaf's commitments again, without the salts of the texts that are erased with them: the
/// tree stays whole.
pub async fn write_salts(tx: &mut Tx, leaf: u64, salts: &str) -> Result<(), StoreError> {
    let done = sqlx::query("UPDATE leaf_salt SET salts = $1 WHERE leaf = $2")
        .bind(salts)
        .bind(signed(leaf)?)
        .execute(tx.conn())
        .await?;
    one_row(&done, "the salts of a leaf")
}

/// Of the nodes that a leaf has completed, those whose stored hash is another one, in words.
pub async fn stored_nodes(
    conn: &mut AnyConnection,
    finished: &[(Node, Hash)],
) -> Result<Vec<String>, StoreError> {
    let mut wrong = Vec::new();
    for (node, hash) in finished {
        if node.level == 0 || node.level % STEP != 0 {
            continue;
        }
        let row = sqlx::query("SELECT hash FROM tree_node WHERE level = $1 AND place = $2")
            .bind(i64::from(node.level / STEP))
            .bind(signed(node.index)?)
            .fetch_optional(&mut *conn)
            .await?;
        let stored: Option<String> = row.map(|row| row.try_get("hash")).transpose()?;
        if stored != Some(hash.to_string()) {
            wrong.push(format!("level {}, place {}", node.level, node.index));
        }
    }
    Ok(wrong)
}

/// How many nodes are stored, of all levels.
pub async fn count_nodes(conn: &mut AnyConnection) -> Result<u64, StoreError> {
    let row = sqlx::query("SELECT COUNT(*) AS n FROM tree_node WHERE level >= 1")
        .fetch_one(conn)
        .await?;
    unsigned(&row, "n")
}

/// How many nodes a record of this size stores.
pub fn nodes_of(size: u64) -> u64 {
    (1..u64::BITS / u32::from(STEP))
        .map(|level| size >> (level * u32::from(STEP)))
        .sum()
}

/// A signed note of the first `size` leaves; `None` where the record is shorter, or has not grown from there.
pub async fn checkpoint_at(
    conn: &mut AnyConnection,
    key: &Signer,
    size: u64,
) -> Result<Option<String>, StoreError> {
    let head = head(conn).await?.frontier;
    if size == 0 || size > head.size() {
        return Ok(None);
    }
    let root = root_at(conn, size).await?;
    let proof = growth(conn, size, head.size()).await?;
    if verify_consistency(size, head.size(), &proof, &root, &head.root()).is_err() {
        return Ok(None);
    }
    let checkpoint = Checkpoint {
        origin: key.verifier().name().to_owned(),
        size,
        root,
    };
    let note = checkpoint.sign(key);
    note.map(Some)
        .map_err(|why| StoreError::row("record_head", 1, why))
}

/// What is wrong between the signed checkpoint, the head and the last leaves, in plain words; `None` if
/// nothing is. Reads a bounded number of rows: the whole record is for `vestibule check`.
pub async fn head_fault(
    conn: &mut AnyConnection,
    key: &Verifier,
) -> Result<Option<String>, StoreError> {
    let head = match head(conn).await {
        Err(StoreError::Row { why, .. }) => {
            return Ok(Some(format!("its head cannot be read ({why})")));
        }
        other => other?,
    };
    let size = head.frontier.size();
    let row = sqlx::query("SELECT COUNT(*) AS n FROM leaf WHERE number >= $1")
        .bind(signed(size)? - 1)
        .fetch_one(&mut *conn)
        .await?;
    let at_the_end: i64 = row.try_get("n")?;
    if at_the_end != size.min(1).cast_signed() {
        return Ok(Some(format!(
            "its head says {size} leaves, and the stored ones do not end there"
        )));
    }
    if size == 0 {
        return Ok((!head.checkpoint.is_empty())
            .then(|| "it is empty, and yet a checkpoint is stored".to_owned()));
    }
    let seen = match signed_as(&head, key) {
        Ok(seen) => seen,
        Err(why) => return Ok(Some(why)),
    };
    let last = leaves_from(conn, size - 1, 1).await?;
    let fits = last
        .first()
        .is_some_and(|leaf| leaf_hash(leaf.body.as_bytes()).to_string() == leaf.hash);
    if !fits {
        return Ok(Some(format!("leaf {} does not fit its hash", size - 1)));
    }
    match root_at(conn, size).await {
        Ok(root) if root == seen.root => Ok(None),
        Ok(_) | Err(StoreError::Row { .. }) => Ok(Some(
            "the stored hashes do not lead to the signed root".to_owned(),
        )),
        Err(error) => Err(error),
    }
}
