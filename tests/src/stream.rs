//! The stream of changes (server-sent events), read as it comes.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::Duration;

use serde_json::Value;

/// One event of the stream.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A named event with its data.
    Named(String, Value),
    /// A change without sections, sent so that a silent link is noticed.
    Heartbeat,
}

/// An open stream.
pub struct Stream {
    events: Receiver<Event>,
}

impl Stream {
    /// Opens the stream at this path. The response never ends, so it is read from a
    /// plain socket: an HTTP library would want a time limit for the whole of it.
    /// HTTP/1.0 is asked for, in which a body comes as it is, not in chunks.
    pub(crate) fn open(address: &str, path: &str) -> Self {
        let host = address.trim_start_matches("http://").to_owned();
        let mut socket = TcpStream::connect(&host).expect("the daemon listens");
        write!(
            socket,
            "GET {path} HTTP/1.0\r\nHost: {host}\r\nAccept: text/event-stream\r\n\r\n"
        )
        .expect("the request can be sent");
        let mut lines = BufReader::new(socket).lines().map_while(Result::ok);
        let head: Vec<String> = lines.by_ref().take_while(|line| !line.is_empty()).collect();
        assert!(
            head.first().is_some_and(|line| line.contains(" 200")),
            "{head:?}"
        );
        let kind = head
            .iter()
            .any(|line| line.to_lowercase().contains("text/event-stream"));
        assert!(kind, "not a stream of events: {head:?}");
        let (tell, events) = mpsc::channel();
        thread::spawn(move || {
            let mut name = String::new();
            for line in lines {
                let event = if let Some(given) = line.strip_prefix("event:") {
                    given.trim().clone_into(&mut name);
                    continue;
                } else if let Some(data) = line.strip_prefix("data:") {
                    let data: Value = serde_json::from_str(data).expect("data is JSON");
                    let keys = data.as_object().map(serde_json::Map::keys);
                    let sections = keys.into_iter().flatten().filter(|key| {
                        !["serial", "now_us"].contains(&key.as_str()) && !data[*key].is_null()
                    });
                    if name == "change" && sections.count() == 0 {
                        Event::Heartbeat
                    } else {
                        Event::Named(name.clone(), data)
                    }
                } else {
                    continue;
                };
                if tell.send(event).is_err() {
                    return;
                }
            }
        });
        Self { events }
    }

    /// The next event.
    ///
    /// # Panics
    /// When none comes in time.
    #[track_caller]
    pub fn next(&self, at_most: Duration) -> Event {
        self.events
            .recv_timeout(at_most)
            .unwrap_or_else(|error| panic!("no event within {at_most:?}: {error}"))
    }
}
