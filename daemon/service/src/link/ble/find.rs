//! Looking for a board.

use std::time::Duration;

use tokio::time::{Instant, sleep};

use super::address::{BleAddress, BleBoard, written};
use super::radio::{Radio, RadioTrouble, Seen};
use super::refusal::BleRefusal;
use super::within::{CALL, within};

/// How long a board is looked for before others get their turn: boards that
/// sleep say that they are there every second or two (common practice, no source).
const LOOK: Duration = Duration::from_secs(6);
/// How often it is asked whether the board was seen.
const LOOK_EVERY: Duration = Duration::from_millis(300);
/// How long other boards of the same name get to show themselves: cheap boards
/// leave the works with one name for all.
const NAMESAKES: Duration = Duration::from_millis(1500);

/// The board of that address, or the only one of that name. The adapter looks
/// for boards only as long as this takes.
pub(super) async fn find<R: Radio>(radio: &mut R, wanted: &BleAddress) -> Result<Seen, BleRefusal> {
    if matches!(wanted.board, BleBoard::Address(_))
        && let Some(seen) = matching(radio, wanted).await?.pop()
    {
        return Ok(seen);
    }
    within("looking for boards", CALL, radio.look(true)).await?;
    let found = look(radio, wanted).await;
    // Looking on takes air time from boards that are connected.
    let ended = within("ending the look for boards", CALL, radio.look(false)).await;
    if let Err(error) = ended {
        tracing::debug!(%error, "the adapter looks on");
    }
    found
}

async fn look<R: Radio>(radio: &mut R, wanted: &BleAddress) -> Result<Seen, BleRefusal> {
    let began = Instant::now();
    let mut first_seen = None;
    loop {
        sleep(LOOK_EVERY).await;
        let mut found = matching(radio, wanted).await?;
        if let Some(seen) = found.pop() {
            if !found.is_empty() {
                return Err(namesakes(wanted, &seen, &found));
            }
            let since = *first_seen.get_or_insert_with(Instant::now);
            if matches!(wanted.board, BleBoard::Address(_)) || since.elapsed() >= NAMESAKES {
                return Ok(seen);
            }
        } else if began.elapsed() >= LOOK {
            return Err(BleRefusal::NotSeen {
                wanted: wanted.board.to_string(),
            });
        }
    }
}

/// Those that are wanted and in reach. The service lists also boards that it
/// only remembers; calling one of those keeps the radio busy for half a minute.
async fn matching<R: Radio>(radio: &mut R, wanted: &BleAddress) -> Result<Vec<Seen>, RadioTrouble> {
    let listed = within("asking who is there", CALL, radio.seen()).await?;
    Ok(listed
        .into_iter()
        .filter(|seen| seen.signal_dbm.is_some() || seen.connected)
        .filter(|seen| wanted.is(seen.address, seen.name.as_deref()))
        .collect())
}

fn namesakes(wanted: &BleAddress, seen: &Seen, others: &[Seen]) -> BleRefusal {
    let mut addresses: Vec<String> = std::iter::once(seen)
        .chain(others)
        .map(|seen| written(seen.address))
        .collect();
    addresses.sort();
    BleRefusal::Namesakes {
        name: wanted.board.to_string(),
        addresses,
    }
}
