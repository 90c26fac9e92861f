//! Finding boards while the daemon runs: serial ports by themselves, Bluetooth when it is
//! asked for, and what somebody writes down.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::time::Duration;

use hubplumb_protocol::{Packing, WireFormat};
use tokio::sync::{mpsc, oneshot, watch};
use tokio::time::{MissedTickBehavior, interval};
use tokio_util::sync::CancellationToken;

use super::{PlaceError, Placer};
use crate::board::{Board, Seat};
use crate::config::{BoardConfig, MOST_BOARDS};
use crate::journal::Entry;
use crate::levelling::LevelError;
use crate::link::ble::{RadioTrouble, Seen, scan};
use crate::link::{FoundPort, Target};
use crate::links::Links;

/// How often ports are looked for.
const SEARCH: Duration = Duration::from_secs(1);
/// Wishes that may wait: one person presses one button at a time.
const WISHES: usize = 16;

/// What Bluetooth saw when it was looked at last.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Look {
    /// Is it being looked at?
    pub looking: bool,
    /// Who is in reach; anybody's, not boards only.
    pub seen: Vec<Seen>,
    /// Why nobody could be seen.
    pub trouble: Option<RadioTrouble>,
}

/// A board that somebody takes in.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeIn {
    /// How it is reached.
    pub target: Target,
    /// What it is called.
    pub name: Option<String>,
    /// What it speaks; none: found by listening.
    pub format: Option<WireFormat>,
}

type Answer = oneshot::Sender<Result<(), PlaceError>>;

#[derive(Debug)]
enum Wish {
    TakeIn(Box<TakeIn>, Answer),
    LetGo(String, Answer),
    Look(Duration, Answer),
}

/// A way to the finder.
#[derive(Debug, Clone)]
pub struct FinderHandle {
    wishes: mpsc::Sender<Wish>,
    look: watch::Receiver<Look>,
}

impl FinderHandle {
    /// Takes a board in: it is read from now on, and again after a start.
    pub async fn take_in(&self, board: TakeIn) -> Result<(), PlaceError> {
        self.wish(|answer| Wish::TakeIn(Box::new(board), answer))
            .await
    }

    /// Lets a board go that was taken in.
    pub async fn let_go(&self, id: &str) -> Result<(), PlaceError> {
        self.wish(|answer| Wish::LetGo(id.to_owned(), answer)).await
    }

    /// Looks at Bluetooth for so long.
    pub async fn look(&self, length: Duration) -> Result<(), PlaceError> {
        self.wish(|answer| Wish::Look(length, answer)).await
    }

    /// What Bluetooth saw, and every change of it.
    pub fn seen(&self) -> watch::Receiver<Look> {
        self.look.clone()
    }

    async fn wish(&self, wish: impl FnOnce(Answer) -> Wish) -> Result<(), PlaceError> {
        let (answer, answered) = oneshot::channel();
        let stopping = |_| PlaceError::Stopping;
        self.wishes.send(wish(answer)).await.map_err(stopping)?;
        answered.await.map_err(|_| PlaceError::Stopping)?
    }
}

/// Owns the list of boards.
#[derive(Debug)]
pub struct Finder {
    links: Links,
    placer: Placer,
    boards: watch::Sender<Vec<Arc<Board>>>,
    /// Are serial ports looked for? Not where a configuration names the boards.
    searches: bool,
    /// Number of the next board.
    next: usize,
    known: BTreeSet<String>,
    /// How to end the links of those that were taken in, by number.
    taken_in: BTreeMap<usize, CancellationToken>,
    look: watch::Sender<Look>,
    wishes: mpsc::Receiver<Wish>,
}

impl Finder {
    /// A finder that adds to these boards, and the way to it; it does nothing before it is run.
    pub fn new(
        links: Links,
        placer: Placer,
        boards: watch::Sender<Vec<Arc<Board>>>,
    ) -> (Self, FinderHandle) {
        let (wish, wishes) = mpsc::channel(WISHES);
        let (look, seen) = watch::channel(Look::default());
        let configured = boards.borrow().len();
        let finder = Self {
            links,
            placer,
            boards,
            searches: configured == 0,
            next: configured,
            known: BTreeSet::new(),
            taken_in: BTreeMap::new(),
            look,
            wishes,
        };
        let handle = FinderHandle {
            wishes: wish,
            look: seen,
        };
        (finder, handle)
    }

    /// Runs until it is dropped.
    pub async fn run(mut self) {
        self.take_in_again().await;
        let mut looks = interval(SEARCH);
        looks.set_missed_tick_behavior(MissedTickBehavior::Delay);
        loop {
            tokio::select! {
                wish = self.wishes.recv() => {
                    let Some(wish) = wish else { return };
                    self.grant(wish).await;
                }
                _ = looks.tick(), if self.searches => self.search().await,
            }
        }
    }

    async fn grant(&mut self, wish: Wish) {
        // A client that went away does not want the answer.
        match wish {
            Wish::TakeIn(board, answer) => {
                let _ = answer.send(self.take_in(*board).await);
            }
            Wish::LetGo(id, answer) => {
                let _ = answer.send(self.let_go(&id).await);
            }
            Wish::Look(length, answer) => {
                let _ = answer.send(self.look_at_bluetooth(length));
            }
        }
    }

    /// Opens what was taken in before the last start.
    async fn take_in_again(&mut self) {
        for said in self.placer.said().await {
            let Some(target) = said.reached.clone() else {
                continue;
            };
            let name = said.name.clone().unwrap_or_else(|| said.id.clone());
            let config = BoardConfig {
                format: said.format.clone(),
                ..BoardConfig::unknown(said.id.clone(), name, target)
            };
            if let Err(error) = self.open_taken_in(&config).await {
                tracing::warn!(id = said.id, %error, "a board that was taken in is not read");
            }
        }
    }

    /// Opens every port that appears.
    async fn search(&mut self) {
        let tree = self.links.ways.ports.clone();
        let Ok(ports) = tokio::task::spawn_blocking(move || tree.ports()).await else {
            return;
        };
        for port in ports {
            let has_room = self.boards.borrow().len() < MOST_BOARDS;
            if has_room && self.known.insert(port.id.clone()) {
                tracing::info!(id = port.id, node = %port.node.display(), "found a port");
                let config = found_board(&port);
                self.open(&config, self.links.stop.clone()).await;
            }
        }
    }

    /// Reads a board from now on, and puts it where it was said to be.
    async fn open(&mut self, config: &BoardConfig, stop: CancellationToken) -> Arc<Board> {
        let said = self.placer.said().await;
        let said = said.into_iter().find(|said| said.id == config.id);
        let board = Arc::new(Board::found(self.next, config, self.links.floor));
        if let Some(name) = said.as_ref().and_then(|said| said.name.as_deref()) {
            board.call(name);
        }
        self.next += 1;
        {
            let mut turn = self.links.journal.turn();
            turn.note(|| Entry::Found {
                board: board.number(),
                id: config.id.clone(),
                name: board.facts().name.clone(),
            });
            self.boards.send_modify(|boards| boards.push(board.clone()));
        }
        self.links.start(&board, config, stop);
        let seat = said.map_or(Seat::NOWHERE, |said| said.seat);
        if seat != Seat::NOWHERE
            && let Err(error) = self.placer.strap_only(&board, seat).await
        {
            tracing::warn!(id = config.id, %error, "the board is not put where it was");
        }
        board
    }

    async fn open_taken_in(&mut self, config: &BoardConfig) -> Result<(), PlaceError> {
        self.may_open(config)?;
        let stop = self.links.stop.child_token();
        let board = self.open(config, stop.clone()).await;
        board.was_taken_in();
        self.taken_in.insert(board.number(), stop);
        Ok(())
    }

    fn may_open(&self, config: &BoardConfig) -> Result<(), PlaceError> {
        let boards = self.boards.borrow();
        if boards.iter().any(|board| board.facts().id == config.id) {
            return Err(PlaceError::Here(config.id.clone()));
        }
        if boards.len() >= MOST_BOARDS {
            return Err(PlaceError::TooMany { most: MOST_BOARDS });
        }
        Ok(())
    }

    async fn take_in(&mut self, board: TakeIn) -> Result<(), PlaceError> {
        let TakeIn {
            target,
            name,
            format,
        } = board;
        may_be_taken_in(&target)?;
        if let Some(format) = &format {
            can_be_read(format, &target)?;
        }
        let id = target.to_string();
        let shown = name.clone().unwrap_or_else(|| id.clone());
        let config = BoardConfig {
            format: format.clone(),
            ..BoardConfig::unknown(id.clone(), shown, target.clone())
        };
        self.may_open(&config)?;
        // Kept first: opening puts it where it was once said to be.
        let kept = self.placer.took_in(&id, target, name, format).await;
        self.open_taken_in(&config).await?;
        kept
    }

    async fn let_go(&mut self, id: &str) -> Result<(), PlaceError> {
        let board = self.placer.named(id)?;
        if board.facts().configured {
            return Err(LevelError::Configured(id.to_owned()).into());
        }
        let number = board.number();
        if !self.taken_in.contains_key(&number) {
            return Err(PlaceError::NotTakenIn(id.to_owned()));
        }
        // Refused while a procedure uses it.
        match self.placer.strap(&board, Seat::NOWHERE).await {
            // That it is gone is kept at the end.
            Ok(()) | Err(PlaceError::NotKept(_)) => {}
            Err(refused) => return Err(refused),
        }
        if let Some(stop) = self.taken_in.remove(&number) {
            stop.cancel();
        }
        {
            let mut turn = self.links.journal.turn();
            turn.note(|| Entry::Left { board: number });
            self.boards.send_modify(|boards| {
                boards.retain(|board| board.number() != number);
            });
        }
        self.placer.forget(id).await
    }

    fn look_at_bluetooth(&self, length: Duration) -> Result<(), PlaceError> {
        if self.look.borrow().looking {
            return Err(PlaceError::Looking);
        }
        let look = self.look.clone();
        look.send_modify(|look| look.looking = true);
        let looking = async move {
            let (seen, trouble) = match scan(length).await {
                Ok(mut seen) => {
                    // The service remembers devices that are long gone.
                    seen.retain(|seen| seen.signal_dbm.is_some() || seen.connected);
                    (seen, None)
                }
                Err(trouble) => (Vec::new(), Some(trouble)),
            };
            look.send_replace(Look {
                looking: false,
                seen,
                trouble,
            });
        };
        let stop = self.links.stop.clone();
        self.links
            .tasks
            .spawn(stop.run_until_cancelled_owned(looking));
        Ok(())
    }
}

/// What can be said of a port that appeared.
fn found_board(port: &FoundPort) -> BoardConfig {
    let name = port.product.clone().unwrap_or_else(|| port.id.clone());
    BoardConfig::unknown(port.id.clone(), name, Target::Identity(port.id.clone()))
}

/// Serial ports show by themselves, and a journal is played from the command line: what a
/// page on the network writes down must open no file of this machine.
fn may_be_taken_in(target: &Target) -> Result<(), PlaceError> {
    match target {
        Target::Tcp(_)
        | Target::TcpListen(_)
        | Target::Udp(_)
        | Target::Bluetooth(_)
        | Target::Iio(_) => Ok(()),
        Target::Path(_) | Target::Identity(_) | Target::Played(_) => {
            Err(PlaceError::NotByHand(target.clone()))
        }
    }
}

/// The same that a configuration is told: see [`crate::config`].
fn can_be_read(format: &WireFormat, target: &Target) -> Result<(), PlaceError> {
    let is_stream = target.packing() == Packing::Stream;
    let name = format.name();
    if format.needs_cuts() && is_stream {
        return Err(PlaceError::Format(format!(
            "nothing in `{name}` says where a frame begins, and on {target} nothing else does"
        )));
    }
    if format.question().is_some() && !is_stream {
        return Err(PlaceError::Format(format!(
            "a `{name}` board has to be asked, and nothing can be asked over {target}"
        )));
    }
    Ok(())
}
