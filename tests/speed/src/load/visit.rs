//! What a visit costs as it grows longer.

use std::io;
use std::time::Instant;

use super::daemon::Daemon;

/// A visit of so many entries, and what it takes then; times are the middle of [`TIMES`].
#[derive(Debug, Clone, Copy)]
pub struct VisitCost {
    /// Entries in it.
    pub entries: usize,
    /// Adding a note, which is on the disk when it is answered, ms.
    pub note_ms: f64,
    /// Adding a measured gap, from which toe is worked out, ms.
    pub figures_ms: f64,
    /// Showing the visit, ms.
    pub shown_ms: f64,
    /// The sheet to print, ms.
    pub sheet_ms: f64,
    /// What the visit is shown as, kB.
    pub shown_kb: f64,
    /// Memory of the daemon, MB.
    pub resident_mb: f64,
}

/// How often each is done.
const TIMES: usize = 9;

fn note(nth: usize) -> String {
    format!(r#"{{"ask":"note {nth}","what":{{"entry":"note","text":"seen {nth}"}}}}"#)
}

fn gap(nth: usize) -> String {
    let behind = 1401 + nth % 5;
    format!(
        r#"{{"ask":"gap {nth}","figures":{{"way":"gap","front":true,"diameter":"350","pairs":[{{"ahead":"1400","behind":"{behind}"}}]}}}}"#
    )
}

fn middle_ms(mut once: impl FnMut(usize) -> io::Result<String>) -> io::Result<f64> {
    let mut all = Vec::new();
    for nth in 0..TIMES {
        let began = Instant::now();
        once(nth)?;
        all.push(began.elapsed().as_secs_f64() * 1e3);
    }
    all.sort_by(f64::total_cmp);
    super::quantile(&all, 0.5).ok_or_else(|| io::Error::other("nothing was done"))
}

/// One visit that grows to each of these lengths, half of it notes and half measured gaps.
///
/// # Errors
/// When the daemon does not start or refuses something.
pub fn visit_costs(lengths: &[usize]) -> io::Result<Vec<VisitCost>> {
    let daemon = Daemon::with_boards(std::iter::empty(), "")?;
    daemon.post("/api/v1/cars", r#"{"name":"Marten 1600"}"#)?;
    daemon.post("/api/v1/visits", r#"{"car":1}"#)?;
    let (mut nth, mut costs) = (0, Vec::new());
    let mut add = |is_note: bool| {
        nth += 1;
        if is_note {
            daemon.post("/api/v1/visits/1/entries", &note(nth))
        } else {
            daemon.post("/api/v1/visits/1/figures", &gap(nth))
        }
    };
    let mut entries = 1;
    for &length in lengths {
        // The last of them are the ones that are timed.
        while entries + 2 * TIMES < length {
            add(entries % 2 == 0)?;
            entries += 1;
        }
        let note_ms = middle_ms(|_| add(true))?;
        let figures_ms = middle_ms(|_| add(false))?;
        entries += 2 * TIMES;
        let shown = daemon.get("/api/v1/visits/1")?;
        costs.push(VisitCost {
            entries,
            note_ms,
            figures_ms,
            shown_ms: middle_ms(|_| daemon.get("/api/v1/visits/1"))?,
            sheet_ms: middle_ms(|_| daemon.get("/sheet/1"))?,
            shown_kb: shown.len() as f64 / 1e3,
            resident_mb: daemon.taken()?.resident_mb,
        });
    }
    Ok(costs)
}
