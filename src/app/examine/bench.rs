//! Devices and codes of the bench: no leaf stands for them, and each is bound to the record's key.

use super::Examined;
use crate::app::bindings::{is_allowed, is_set};
use crate::app::{App, AppError, ended};
use crate::store::Connection;
use crate::store::bench_codes::{codes_after, devices_after};

/// Rows that are read at once.
const AT_ONCE: i64 = 500;

/// Names the rows that nobody has put there by this program; those of before they were bound open nothing, and are told.
pub(super) async fn examine(
    examined: &mut Examined,
    app: &App,
    conn: &mut Connection,
) -> Result<(), AppError> {
    if !app.store.is_of_now(conn).await? {
        return Ok(());
    }
    ended::look(app).await;
    let (mut after, mut of_before) = (String::new(), 0);
    loop {
        let rows = devices_after(conn, &after, AT_ONCE).await?;
        let Some(last) = rows.last() else { break };
        after = last.id.to_string();
        for row in rows.iter().filter(|row| !is_allowed(app, row)) {
            match row.binding.is_empty() {
                true => of_before += 1,
                false => {
                    let sentence = format!(
                        "Nobody has allowed the device “{}” at the bench: its row was put there past this program.",
                        row.name
                    );
                    examined.fault(None, sentence);
                }
            }
        }
    }
    after.clear();
    loop {
        let rows = codes_after(conn, &after, AT_ONCE).await?;
        let Some(last) = rows.last() else { break };
        after = last.account.to_string();
        for row in rows.iter().filter(|row| !is_set(app, row)) {
            match row.binding.is_empty() {
                true => of_before += 1,
                false => {
                    let sentence = format!(
                        "{} has not set the code for the bench that is stored: its row was put there past this program.",
                        row.name
                    );
                    examined.fault(None, sentence);
                }
            }
        }
    }
    if of_before > 0 {
        examined.remarks.push(format!(
            "{of_before} devices and codes of the bench are of before they were bound to the record's key: they open nothing, \
             and have to be allowed and set again"
        ));
    }
    Ok(())
}
