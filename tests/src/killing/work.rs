//! Somebody who asks for things until nobody answers.

use std::sync::mpsc::Sender;
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_sim::{LiveSim, Mount, Script, Step};
use serde_json::{Value, json};
use ureq::Agent;

use super::expected::{Fact, board, is_run};
use super::{BOARDS, Deed, POSES, SOON, TRACK_MM};
use crate::bench::laid;

pub(super) fn agent() -> Agent {
    Agent::config_builder()
        .timeout_global(Some(Duration::from_secs(10)))
        .http_status_as_error(false)
        .build()
        .into()
}

/// Somebody who asks for things until nobody answers.
pub(super) struct Work {
    pub(super) agent: Agent,
    pub(super) address: String,
    pub(super) life: u64,
    pub(super) visit: usize,
    pub(super) runs: usize,
    pub(super) tell: Sender<Fact>,
    /// Told when what comes next is the moment that counts.
    pub(super) ready: Sender<()>,
}

impl Work {
    /// None when the daemon is gone.
    fn post(&self, path: &str, body: &Value) -> Option<(u16, Value)> {
        let answer = self
            .agent
            .post(format!("{}{path}", self.address))
            .send_json(body);
        let mut answer = answer.ok()?;
        let status = answer.status().as_u16();
        // The answer counts once it is all there.
        let json = answer.body_mut().read_json().ok()?;
        Some((status, json))
    }

    fn get(&self, path: &str) -> Option<Value> {
        let mut answer = self
            .agent
            .get(format!("{}{path}", self.address))
            .call()
            .ok()?;
        answer.body_mut().read_json().ok()
    }

    /// Asks for a thing; gives it back when nobody answered.
    fn ask(&self, path: &str, body: &Value, fact: Fact) -> Result<(), Option<Fact>> {
        match self.post(path, body) {
            Some((200..300, _)) => {
                self.tell.send(fact).expect("somebody counts");
                Ok(())
            }
            Some((status, answer)) => panic!("{path}: {status} {answer:#}"),
            None => Err(Some(fact)),
        }
    }

    /// Gives back what was under way when the daemon was killed.
    pub(super) fn until_it_is_gone(&self, deed: Deed, hands: &LiveSim) -> Option<Fact> {
        if deed != Deed::Calibration {
            self.ready.send(()).expect("somebody waits");
        }
        for number in 0_u32.. {
            let name = format!("{}-{number}", self.life);
            let done = match deed {
                Deed::Entries => self.entry(number, &name),
                Deed::Cars => {
                    let car = json!({ "name": name });
                    self.ask("/api/v1/cars", &car, Fact::Car(name))
                }
                Deed::Visits => {
                    // Every one of them is looked at again after every kill.
                    thread::sleep(Duration::from_millis(40));
                    self.ask("/api/v1/visits", &json!({ "car": 1 }), Fact::Visit)
                }
                Deed::Setup => {
                    let mount = BOARDS[number as usize % 2];
                    let body = json!({ "board": mount.name(), "name": name });
                    self.ask("/api/v1/setup/name", &body, Fact::Name(mount, name))
                }
                Deed::Floor => self.floor(number),
                Deed::Check => self.check(),
                Deed::Swing => self.swing(hands),
                Deed::Calibration => self.calibration(hands),
            };
            if let Err(under_way) = done {
                return under_way;
            }
        }
        unreachable!("the loop ends with the daemon")
    }

    /// A floor as high on the left as no other of this life and the next few.
    fn floor(&self, number: u32) -> Result<(), Option<Fact>> {
        let hundredths = i64::try_from(self.life % 8 * 500).unwrap_or(0) + i64::from(number);
        let left_mm = hundredths as f64 * 0.01;
        let heights = json!({
            "front_left_mm": left_mm, "front_right_mm": 0, "rear_left_mm": left_mm, "rear_right_mm": 0,
            "standard_mm": 0.5, "reads": "pad_height",
            "track_front_mm": TRACK_MM, "track_rear_mm": TRACK_MM, "wheelbase_mm": 2560
        });
        self.ask("/api/v1/floor/heights", &heights, Fact::Floor(hundredths))
    }

    fn entry(&self, number: u32, name: &str) -> Result<(), Option<Fact>> {
        let stage = ["before", "adjusting", "after"][number as usize / 4 % 3];
        let what = match number % 4 {
            0 => json!({ "entry": "note", "text": name }),
            1 => json!({ "entry": "prepared", "point": "tyres", "done": true, "note": name }),
            2 => json!({ "entry": "conditions", "load": name }),
            _ => json!({ "entry": "stage", "stage": stage }),
        };
        let wish = json!({ "ask": name, "what": what });
        let path = format!("/api/v1/visits/{}/entries", self.visit);
        self.ask(&path, &wish, Fact::Entry(what))
    }

    /// Runs that are in the visit, as anybody can see.
    fn runs_seen(&self) -> Result<usize, Option<Fact>> {
        let path = format!("/api/v1/visits/{}/export.json", self.visit);
        let export = self.get(&path).ok_or(None)?;
        let entries = export["visits"][0]["entries"].as_array();
        Ok(entries.map_or(0, |entries| {
            entries.iter().filter(|entry| is_run(entry)).count()
        }))
    }

    fn until_kept(&self) -> Result<(), Option<Fact>> {
        let began = Instant::now();
        loop {
            thread::sleep(Duration::from_millis(30));
            let runs = self.runs_seen()?;
            if runs > self.runs {
                self.tell.send(Fact::Ran(runs)).expect("somebody counts");
            }
            let state = self.get("/api/v1/state").ok_or(None)?;
            let over = |what: &str| {
                let phase = &state[what]["phase"];
                *phase == "done" || *phase == "refused" || phase.is_null() || *phase == "idle"
            };
            if (over("swing") && over("check")) || began.elapsed() > SOON {
                return Ok(());
            }
        }
    }

    fn check(&self) -> Result<(), Option<Fact>> {
        let start = json!({ "kind": "camber_on_hub", "mount": "front_left", "hold_s": 2 });
        // Refused while the one before has not ended.
        self.post("/api/v1/check", &start).ok_or(None)?;
        self.until_kept()
    }

    fn swing(&self, hands: &LiveSim) -> Result<(), Option<Fact>> {
        self.post("/api/v1/swing", &json!({ "steer_source": "gyro" }))
            .ok_or(None)?;
        let rest = |for_s| Step::Rest { for_s, label: None };
        let steer = |to_deg, over_s| Step::SteerTo {
            to_deg,
            over_s,
            slip: None,
        };
        let steps = vec![
            rest(6.0),
            steer(19.0, 2.0),
            rest(6.0),
            steer(-20.0, 4.0),
            rest(6.0),
            steer(0.0, 2.0),
            rest(6.0),
        ];
        let ends_s = hands.drive(&Script::new(steps)).expect("it can be done");
        while hands.now_s() < ends_s - 2.0 {
            self.get("/api/v1/health").ok_or(None)?;
            thread::sleep(Duration::from_millis(20));
        }
        self.until_kept()
    }

    /// The board that is calibrated in this life.
    pub(super) fn mount(&self) -> Mount {
        if self.life.is_multiple_of(2) {
            BOARDS[0]
        } else {
            BOARDS[1]
        }
    }

    fn calibration(&self, hands: &LiveSim) -> Result<(), Option<Fact>> {
        let mount = self.mount();
        let of = json!({ "board": mount.name() });
        self.post("/api/v1/calibration/start", &of).ok_or(None)?;
        hands
            .drive(&Script::new(laid(mount, &POSES)))
            .expect("it can be done");
        let began = Instant::now();
        loop {
            let state = self.get("/api/v1/state").ok_or(None)?;
            let taken = board(&state, mount)["calibration"]["procedure"]["taken"].as_u64();
            if taken.is_some_and(|taken| taken >= POSES.len() as u64) {
                break;
            }
            if began.elapsed() > SOON {
                // A machine that stood still has torn a pose: then it is a kill amid the poses.
                self.ready.send(()).expect("somebody waits");
                return self.until_nobody_answers();
            }
            thread::sleep(Duration::from_millis(20));
        }
        self.post("/api/v1/calibration/solve", &of).ok_or(None)?;
        self.ready.send(()).expect("somebody waits");
        let keeping = Some(Fact::Keeping(mount));
        let (status, answer) = self.post("/api/v1/calibration/keep", &of).ok_or(keeping)?;
        if status != 200 {
            // The poses gave nothing that could be kept.
            return self.until_nobody_answers();
        }
        let date = answer["date"].as_str().expect("a date").to_owned();
        self.tell
            .send(Fact::Kept(mount, date))
            .expect("somebody counts");
        self.until_nobody_answers()
    }

    /// Nothing more is asked; the kill comes.
    fn until_nobody_answers(&self) -> Result<(), Option<Fact>> {
        while self.get("/api/v1/health").is_some() {
            thread::sleep(Duration::from_millis(5));
        }
        Err(None)
    }
}
