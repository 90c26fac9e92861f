//! Real ports: pseudo-terminals behind a link in the file system.

use std::fs::File;
use std::io::Write as _;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::sync::mpsc;
use std::time::{Duration, Instant};

use hubplumb_protocol::{Reading, WireFormat};
use nix::sys::termios::{SetArg, cfmakeraw, tcgetattr, tcsetattr};
use tokio_util::sync::CancellationToken;

use super::script::name;
use super::{GOOD, told};
use crate::link::{LinkSettings, LinkStatus, Observer, PortTree, SerialTransport, Target, run};

/// Opens a pseudo-terminal, lets `port` lead to it, and gives the board's end.
pub(super) fn plug(port: &Path) -> File {
    let pty = nix::pty::openpty(None, None).unwrap();
    let mut settings = tcgetattr(&pty.slave).unwrap();
    cfmakeraw(&mut settings);
    tcsetattr(&pty.slave, SetArg::TCSANOW, &settings).unwrap();
    let _ = std::fs::remove_file(port);
    symlink(nix::unistd::ttyname(&pty.slave).unwrap(), port).unwrap();
    File::from(pty.master)
}

struct States(mpsc::Sender<&'static str>, Option<&'static str>);

impl Observer for States {
    fn arrived(&mut self, _: &[u8], _: &[Reading], _: u64) {}

    fn status(&mut self, status: &LinkStatus) {
        let name = name(&status.state);
        if self.1.replace(name) != Some(name) {
            let _ = self.0.send(name);
        }
    }
}

/// Waits for a state and gives the time it took; sends readings meanwhile.
fn wait_for(
    state: &str,
    states: &mpsc::Receiver<&'static str>,
    board: Option<&mut File>,
    most: Duration,
) -> Duration {
    let began = Instant::now();
    let mut board = board;
    loop {
        if let Some(board) = &mut board {
            board.write_all(GOOD).unwrap();
        }
        match states.recv_timeout(Duration::from_millis(20)) {
            Ok(found) if found == state => return began.elapsed(),
            _ => assert!(began.elapsed() < most, "not {state} after {most:?}"),
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn unplugging_and_replugging_a_real_port_needs_no_restart() {
    let folder = tempfile::tempdir().unwrap();
    let port = folder.path().join("front_left");
    let mut board = plug(&port);
    let (tell, states) = mpsc::channel();
    let stop = CancellationToken::new();
    let transport = SerialTransport::new(Target::Path(port.clone()), PortTree::system());
    let link = tokio::spawn(run(transport, told(), States(tell, None), stop.clone()));

    let (board, states) = tokio::task::spawn_blocking(move || {
        wait_for("live", &states, Some(&mut board), Duration::from_secs(5));
        (board, states)
    })
    .await
    .unwrap();
    drop(board);
    let states = tokio::task::spawn_blocking(move || {
        wait_for("absent", &states, None, Duration::from_secs(1));
        states
    })
    .await
    .unwrap();
    let mut board = plug(&port);
    tokio::task::spawn_blocking(move || {
        wait_for("live", &states, Some(&mut board), Duration::from_secs(4))
    })
    .await
    .unwrap();
    stop.cancel();
    link.await.unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_a_board_says_once_when_it_is_opened_is_not_lost() {
    let folder = tempfile::tempdir().unwrap();
    let port = folder.path().join("front_left");
    let mut board = plug(&port);
    // The header is said once; without it no later line can be read.
    board.write_all(b"t_us,ax,ay,az,gx,gy,gz,temp\n").unwrap();
    let settings = LinkSettings {
        format: Some(WireFormat::from_name("csv", None).unwrap()),
        ..told()
    };
    let (tell, states) = mpsc::channel();
    let stop = CancellationToken::new();
    let transport = SerialTransport::new(Target::Path(port.clone()), PortTree::system());
    let link = tokio::spawn(run(transport, settings, States(tell, None), stop.clone()));
    tokio::task::spawn_blocking(move || {
        wait_for("live", &states, Some(&mut board), Duration::from_secs(5))
    })
    .await
    .unwrap();
    stop.cancel();
    link.await.unwrap();
}
