//! A whole visit of an invented car with a bent knuckle: prepared, measured, understood, put
//! right by the advice, measured again, printed.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use hubplumb_sim::{Scenario, Step, Wheel};
use hubplumb_tests::skip;
use hubplumb_tests::visiting::Visiting;
use serde_json::{Value, json};

/// As the other visits here: what keeps five boards in step on two busy cores.
const SPEED: f64 = 4.0;

/// What its owner knows of the car: the data of its (invented) maker and a tape.
const CAR: &str = r#"
name = "Stoat 1100"
source = "invented"
wheelbase_mm = 2180
[front]
track_mm = 1260
rim_flange_mm = 350
loaded_radius_mm = 265
suspension = "wishbones"
[rear]
track_mm = 1260
rim_flange_mm = 350
[steering]
ratio = 16
axis_inboard_mm = 62
axis_behind_mm = 0
[[adjuster]]
name = "tie_rod"
at = ["front_left", "front_right"]
way = { kind = "tie_rod", pitch_mm = 1.25, arm_mm = 110, rod = "behind" }
[[adjuster]]
name = "toe_eccentric"
at = ["rear_left", "rear_right"]
way = { kind = "eccentric", moves = "toe", throw_mm = 5, lever_mm = 180 }
[targets.front]
camber_deg = { target = 0.2, low = -0.3, high = 0.7 }
caster_deg = { target = 3.3, low = 2.55, high = 4.05 }
sai_deg = { target = 9.0, low = 8.25, high = 9.75 }
included_angle_deg = { target = 9.2, low = 8.45, high = 9.95 }
total_toe_deg = { target = 0.2, low = 0.1, high = 0.3 }
[targets.rear]
camber_deg = { target = -0.3, low = -0.8, high = 0.2 }
toe_deg = { target = 0.12, low = 0.04, high = 0.2 }
[targets]
thrust_deg = { target = 0, low = -0.1, high = 0.1 }
"#;

const CORNERS: [(&str, Wheel); 4] = [
    ("front_left", Wheel::FrontLeft),
    ("front_right", Wheel::FrontRight),
    ("rear_left", Wheel::RearLeft),
    ("rear_right", Wheel::RearRight),
];

/// The visit, spoken to as the page speaks to it.
struct Work {
    car: Visiting,
    id: i64,
    asks: std::cell::Cell<u32>,
}

impl Work {
    fn begin(store: &Path) -> Self {
        let scenario = Scenario::shipped("bent-knuckle").expect("a shipped scenario");
        let store = store.to_string_lossy();
        let car = Visiting::with(scenario, SPEED, "", &["--store", &*store]);
        let (status, made) = car
            .daemon
            .post("/api/v1/cars/import", &json!({ "text": CAR }));
        assert_eq!(status, 201, "{made:#}");
        let (status, visit) = car
            .daemon
            .post("/api/v1/visits", &json!({ "car": made["id"] }));
        assert_eq!(status, 201, "{visit:#}");
        Self {
            car,
            id: visit["id"].as_i64().expect("a number"),
            asks: std::cell::Cell::new(0),
        }
    }

    fn ask(&self) -> String {
        self.asks.set(self.asks.get() + 1);
        format!("test {}", self.asks.get())
    }

    #[track_caller]
    fn add(&self, what: &Value) -> Value {
        let body = json!({ "ask": self.ask(), "what": what });
        let path = format!("/api/v1/visits/{}/entries", self.id);
        let (status, answer) = self.car.daemon.post(&path, &body);
        assert_eq!(status, 200, "{answer:#}");
        answer
    }

    fn view(&self) -> Value {
        let (status, _, body) = self.car.daemon.get(&format!("/api/v1/visits/{}", self.id));
        assert_eq!(status, 200, "{body}");
        serde_json::from_str(&body).expect("JSON")
    }

    /// Reads the tape, rolls the car on by half a turn of the wheels, reads again, rolls it back
    /// and enters what was read. Each distance is the mean of nine readings: the tolerances
    /// are as narrow as a tape of 0.3 mm is coarse.
    #[track_caller]
    fn strings(&self) -> Value {
        let first = self.distances();
        self.roll_half_a_turn(1.0);
        let turned = self.distances();
        self.roll_half_a_turn(-1.0);
        // With a decimal comma, as many a hand writes it.
        let text = |mm: f64| format!("{mm:.2} mm").replace('.', ",");
        let wheels: Vec<Value> = CORNERS
            .iter()
            .map(|(name, wheel)| {
                let ([ahead, behind], [turned_ahead, turned_behind]) =
                    (first[wheel.index()], turned[wheel.index()]);
                json!({
                    "corner": name, "ahead": text(ahead), "behind": text(behind),
                    "turned_ahead": text(turned_ahead), "turned_behind": text(turned_behind),
                })
            })
            .collect();
        let figures = json!({
            "way": "strings", "wheels": wheels, "direction_standard": "0,02°",
            "reading_standard": "0,1 mm",
        });
        let body = json!({ "ask": self.ask(), "figures": figures });
        let path = format!("/api/v1/visits/{}/figures", self.id);
        let (status, answer) = self.car.daemon.post(&path, &body);
        assert_eq!(status, 200, "{answer:#}");
        answer
    }

    /// Means of nine readings ahead of and behind each hub, mm.
    fn distances(&self) -> [[f64; 2]; 4] {
        let mut mean = [[0.0; 2]; 4];
        for _ in 0..9 {
            for (sum, reading) in mean.iter_mut().zip(self.car.string_box_readings()) {
                *sum = [0, 1].map(|end| sum[end] + reading.read_mm[end] / 9.0);
            }
        }
        mean
    }

    #[track_caller]
    fn roll_half_a_turn(&self, forward: f64) {
        let radius_m = 0.265;
        self.car.act(vec![
            Step::Brake { locked: false },
            Step::RollForward {
                distance_m: forward * std::f64::consts::PI * radius_m,
                over_s: 3.0,
            },
            Step::Brake { locked: true },
        ]);
    }

    /// Swings, and waits until the swing and what it tells beside are in the visit.
    #[track_caller]
    fn swing(&self) {
        let runs = |view: &Value| view["runs"].as_array().map_or(0, Vec::len);
        let before = runs(&self.view());
        let state = self.car.swing();
        assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
        let began = std::time::Instant::now();
        while runs(&self.view()) < before + 2 {
            assert!(
                began.elapsed() < Duration::from_secs(20),
                "the swing and its turns are not in the visit: {:#}\n{}",
                self.view()["runs"],
                self.car.daemon.printed()
            );
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Camber of a rear wheel by the board on its hub.
    #[track_caller]
    fn camber(&self, mount: &str) {
        let start = json!({ "kind": "camber_on_hub", "mount": mount });
        let (status, answer) = self.car.daemon.post("/api/v1/check", &start);
        assert_eq!(status, 202, "{answer:#}");
        self.car
            .daemon
            .wait("the camber is found", self.car.real(20.0), |state| {
                state["check"]["phase"] == "done" && state["check"]["mount"] == mount
            });
    }

    /// Moves adjusters by exactly what the visit advises, and notes it.
    #[track_caller]
    fn follow_advice(&self, adjuster: &str) {
        for step in self.view()["work"].as_array().expect("steps") {
            if step["adjuster"] != adjuster {
                continue;
            }
            let corner = step["place"].as_str().expect("a corner").to_owned();
            let amount = step["amount"][0][0]
                .as_f64()
                .unwrap_or_else(|| panic!("no amount: {step:#}"));
            let (_, wheel) = *CORNERS
                .iter()
                .find(|(name, _)| *name == corner)
                .expect("a wheel");
            self.car.adjust(wheel, adjuster, amount);
            self.add(&json!({
                "entry": "moved", "adjuster": adjuster, "corner": corner, "amount": [amount],
                "seen_to": ["locked", "torqued", "settled"],
            }));
        }
        self.car.bounce();
    }
}

fn finding<'a>(view: &'a Value, stage: &str, quantity: &str, place: &str) -> &'a Value {
    let findings = view["findings"].as_array().expect("findings");
    let found = findings.iter().find(|finding| {
        finding["stage"] == stage && finding["quantity"] == quantity && finding["place"] == place
    });
    found.unwrap_or_else(|| panic!("no {quantity} of {place} {stage}: {findings:#?}"))
}

/// A finding lies within its stated interval, doubled: some dozens of them are looked at.
#[track_caller]
fn near(finding: &Value, true_value: f64) {
    let (value, expanded) = (
        finding["value"].as_f64().expect("a number"),
        finding["expanded"].as_f64().expect("a number"),
    );
    assert!(
        (value - true_value).abs() < 2.0 * expanded,
        "{true_value} is true, found {finding:#}"
    );
}

fn judged(work: &Work, view: &Value, stage: &str) {
    let truth = work.car.truth();
    for (name, wheel) in CORNERS {
        let told = truth.wheel(wheel).expect("a wheel");
        near(finding(view, stage, "camber", name), told.camber_deg);
        near(finding(view, stage, "toe", name), told.toe_deg);
        if let (Some(caster), Some(sai)) = (told.caster_deg, told.sai_deg) {
            near(finding(view, stage, "caster", name), caster);
            near(finding(view, stage, "sai", name), sai);
        }
    }
    near(
        finding(view, stage, "thrust", "car"),
        truth.stance.thrust_deg,
    );
}

/// Every point is seen to, the state of the car entered, and the measuring begins.
fn prepared(work: &Work) {
    let view = work.view();
    assert_eq!(view["stage"], "preparing");
    for point in view["preparation"].as_array().expect("points") {
        let done = json!({ "entry": "prepared", "point": point["point"], "done": true });
        work.add(&done);
    }
    work.add(&json!({
        "entry": "conditions", "load": "empty", "place_c": 17.5,
        "tyre_kpa": { "front_left": 180, "front_right": 180, "rear_left": 190, "rear_right": 190 },
    }));
    let view = work.add(&json!({ "entry": "stage", "stage": "before" }));
    assert!(
        view["preparation"]
            .as_array()
            .expect("points")
            .iter()
            .all(|p| p["done_at"].is_string())
    );
}

#[test]
fn a_bent_car_is_prepared_measured_understood_adjusted_and_printed() {
    let store = tempfile::tempdir().expect("a folder");
    let work = Work::begin(store.path());

    prepared(&work);

    // Before.
    work.strings();
    work.swing();
    work.camber("rear_left");
    work.camber("rear_right");
    let view = work.view();
    judged(&work, &view, "before");
    let verdict = |view: &Value, stage: &str, quantity: &str, place: &str| {
        finding(view, stage, quantity, place)["verdict"]["verdict"].clone()
    };
    assert_eq!(verdict(&view, "before", "camber", "front_left"), "outside");
    assert_eq!(verdict(&view, "before", "camber", "front_right"), "inside");
    assert_eq!(verdict(&view, "before", "sai", "front_left"), "inside");
    assert_eq!(
        verdict(&view, "before", "included_angle", "front_left"),
        "outside"
    );
    assert_eq!(verdict(&view, "before", "toe", "rear_left"), "outside");
    finding(&view, "before", "turn_outer", "left_turn");
    finding(&view, "before", "scrub_radius", "front_left");

    // The cause, as a candidate with its next check, after what is ruled out first.
    let meaning = &view["meaning"];
    assert_eq!(
        meaning["rule_out_first"].as_array().expect("a list").len(),
        2
    );
    let first = &meaning["candidates"][0];
    assert_eq!(first["code"], "knuckle_left", "{meaning:#}");
    assert!(first["next"].as_str().is_some_and(|next| !next.is_empty()));
    assert!(!first["evidence"].as_array().expect("a list").is_empty());

    // Adjusting: rear before front; what nothing adjusts is sent to its cause.
    work.add(&json!({ "entry": "stage", "stage": "adjusting" }));
    let steps = work.view()["work"].clone();
    let places: Vec<&str> = steps
        .as_array()
        .expect("steps")
        .iter()
        .filter_map(|step| step["place"].as_str())
        .collect();
    let rear = places.iter().rposition(|place| place.starts_with("rear"));
    let front = places.iter().position(|place| place.starts_with("front"));
    assert!(rear < front && rear.is_some(), "{steps:#}");
    let camber = steps
        .as_array()
        .expect("steps")
        .iter()
        .find(|step| step["quantity"] == "camber")
        .expect("front left camber is off");
    assert_eq!(camber["adjuster"], Value::Null, "{camber:#}");
    work.car.replace_damaged(Wheel::FrontLeft);
    work.add(&json!({ "entry": "note", "text": "Front left knuckle replaced." }));
    work.car.bounce();
    // Two rounds: what the first move taught foretells the second.
    for _ in 0..2 {
        work.follow_advice("toe_eccentric");
        work.strings();
    }
    for _ in 0..2 {
        work.follow_advice("tie_rod");
        work.strings();
    }

    // After.
    work.add(&json!({ "entry": "stage", "stage": "after" }));
    work.strings();
    work.swing();
    work.camber("rear_left");
    work.camber("rear_right");
    let view = work.view();
    judged(&work, &view, "after");
    for (quantity, place) in [
        ("camber", "front_left"),
        ("included_angle", "front_left"),
        ("sai", "front_left"),
        ("caster", "front_left"),
    ] {
        assert_eq!(
            verdict(&view, "after", quantity, place),
            "inside",
            "{quantity} {place}"
        );
    }
    let stance = work.car.truth().stance;
    assert!(
        stance.thrust_deg.abs() < 0.1 && (stance.front_total_toe_deg - 0.2).abs() < 0.1,
        "thrust {:.3}°, front toe {:.3}°",
        stance.thrust_deg,
        stance.front_total_toe_deg
    );

    printed(&work, store.path());
}

/// The sheet by the daemon and by the command line, and as a PDF by a real browser.
fn printed(work: &Work, store: &Path) {
    let (status, kind, page) = work.car.daemon.get(&format!("/sheet/{}", work.id));
    assert_eq!(status, 200, "{page}");
    assert!(kind.starts_with("text/html"), "{kind}");
    for told in [
        "Stoat 1100",
        "knuckle",
        "Front left knuckle replaced.",
        "undecided",
    ] {
        assert!(
            page.to_lowercase().contains(&told.to_lowercase()),
            "the sheet does not say {told:?}"
        );
    }
    let file = store.join("sheet.html");
    let written = hubplumb_tests::run(
        &[
            "sheet",
            &work.id.to_string(),
            "--store",
            &store.to_string_lossy(),
            "--out",
            &file.to_string_lossy(),
        ],
        Duration::from_secs(30),
    );
    assert_eq!(written.code, Some(0), "{}", written.stderr);
    let Some(chromium) = chromium() else {
        skip("the sheet as a PDF", "no Chromium");
        return;
    };
    let pdf = store.join("sheet.pdf");
    let status = Command::new(chromium)
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-pdf-header-footer",
        ])
        .arg(format!(
            "--user-data-dir={}",
            store.join("browser").display()
        ))
        .arg(format!("--print-to-pdf={}", pdf.display()))
        .arg(format!("file://{}", file.display()))
        .stderr(std::process::Stdio::null())
        .status()
        .expect("Chromium starts");
    assert!(status.success(), "{status}");
    let bytes = std::fs::read(&pdf).expect("a PDF");
    assert!(bytes.starts_with(b"%PDF-"));
    let pages = bytes.windows(11).filter(|at| at == b"/Type /Page").count();
    assert!((2..=12).contains(&pages), "{pages} pages");
    keep(&pdf, &file);
}

/// Somebody who wants to look at the sheet names a folder.
fn keep(pdf: &Path, page: &Path) {
    let Some(folder) = std::env::var_os("HUBPLUMB_KEEP_SHEET").map(PathBuf::from) else {
        return;
    };
    for file in [pdf, page] {
        let name = file.file_name().expect("a name");
        std::fs::copy(file, folder.join(name)).expect("a folder that can be written");
    }
}

fn chromium() -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path)
        .flat_map(|folder| ["chromium", "chromium-browser"].map(|name| folder.join(name)))
        .find(|file| file.is_file())
}
