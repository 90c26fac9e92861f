//! A state with something in every section.

use crate::axis::AxisName;
use crate::http::setup_views::*;
use crate::http::views::*;
use crate::text::Text;

pub(super) fn state() -> StateView {
    StateView {
        version: "0.0.0".to_owned(),
        run: "first".to_owned(),
        serial: 7,
        now_us: 1_234_567,
        visit: AtHandView::default(),
        boards: vec![board()],
        wheels: vec![WheelView {
            mount: MountView::FrontLeft,
            camber: QuantityView::Known {
                value_deg: -0.75,
                expanded_deg: 0.25,
                sense: Text::from("top in"),
                at_us: 1_200_000,
            },
            hub_pitch: QuantityView::Missing {
                reason: "moving".to_owned(),
                text: Text::from("The hub moves too much."),
            },
            motion: MotionView::Moving,
        }],
        swing: SwingView {
            run: 1,
            phase: SwingPhase::StopTaken,
            say: Text::from("Now steer to the right."),
            steer_source: SteerSource::Gyro,
            held_s: 4.0,
            hold_needed_s: 4.0,
            steer_deg: Some(19.5),
            wheels: vec![WhereaboutsView {
                mount: MountView::FrontLeft,
                steer_deg: 19.5,
                camber_deg: 0.5,
            }],
            rests: vec![RestView {
                index: 0,
                straight: true,
                wheels: vec![RestWheelView {
                    mount: MountView::FrontLeft,
                    steer_deg: Some(0.0),
                    plate_deg: None,
                    camber_deg: -0.75,
                    camber_expanded_deg: 0.25,
                }],
            }],
            body: BodyWatchView {
                state: BodyWatchState::None,
                text: Text::from("No board watches the body."),
            },
            trouble: None,
            notes: vec![Text::from("a note")],
        },
        findings: vec![finding()],
        differences: Vec::new(),
        curves: vec![SwingCurveView {
            run: 1,
            mount: MountView::FrontLeft,
            stops: vec![[0.0, -0.75, 0.25]],
            fitted: vec![[-20.0, 1.5], [20.0, -1.5]],
        }],
        levelling: LevellingView::default(),
        check: check(),
        checked: Vec::new(),
        setup: setup(),
        publishing: publishing(),
        scenario: Some(ScenarioView {
            name: "one".to_owned(),
            about: "a car".to_owned(),
            seed: 42,
            wheels: vec![TruthView {
                mount: MountView::FrontLeft,
                camber_deg: -0.75,
                caster_deg: 4.5,
                sai_deg: 13.0,
                included_deg: 12.25,
            }],
        }),
    }
}

fn board() -> BoardView {
    BoardView {
        id: "usb-1a86-7523-A17".to_owned(),
        name: "left hub".to_owned(),
        mount: Some(MountView::FrontLeft),
        configured: false,
        sits: Some(SitsView {
            outboard: AxisName::ZPlus,
            up: Some(AxisName::YMinus),
        }),
        up_now: Some(AxisName::YMinus),
        taken_in: false,
        state: BoardState::Silent,
        trouble: Some(TroubleView {
            code: "silent".to_owned(),
            what: Text::from("Nothing arrives."),
            meaning: Text::from("The board is off."),
            remedy: Text::from("Check its power."),
        }),
        port: "/dev/ttyUSB0".to_owned(),
        baud: Some(115_200),
        baud_is_guess: true,
        format: Some("csv".to_owned()),
        format_is_guess: false,
        rate_hz: None,
        good_frames: 120,
        bad_frames: vec![BadFramesView {
            reason: "checksum".to_owned(),
            count: 2,
        }],
        dropped: 0,
        temperature_c: Some(21.5),
        calibrated: true,
        calibration: crate::http::calibration_sample::calibration(),
        clock_ppm: Some(-12.5),
        time_by: Some(TimeBy::Device),
        about: AboutView {
            battery_percent: Some(64),
            signal_dbm: Some(-61),
            maker: Some("a maker".to_owned()),
            ..AboutView::default()
        },
    }
}

fn publishing() -> PublishingView {
    PublishingView {
        state: BrokerState::Down,
        broker: Some("broker.local:1883".to_owned()),
        waiting: 4,
        given_up: 0,
        trouble: Some(TroubleView {
            code: "broker_refused".to_owned(),
            what: Text::from("Nothing listens."),
            meaning: Text::from("Nothing is published."),
            remedy: Text::from("Start it."),
        }),
    }
}

fn setup() -> SetupView {
    SetupView {
        naming: NamingView {
            run: 1,
            mount: Some(MountView::FrontRight),
            say: Text::from("Tap the board."),
            to_come: vec![MountView::RearLeft],
            named: vec![NamedView {
                mount: MountView::FrontLeft,
                board: "usb-1a86-7523-A17".to_owned(),
            }],
            skipped: Vec::new(),
            heard: Some(JoltView {
                number: 2,
                result: JoltResult::Alike,
                text: Text::from("Several moved."),
            }),
        },
        bluetooth: BluetoothView {
            looking: true,
            seen: vec![SeenView {
                port: "ble:C0:FF:EE:00:12:34".to_owned(),
                name: Some("hub".to_owned()),
                signal_dbm: Some(-61),
                likely: true,
                here: false,
            }],
            trouble: None,
        },
        ..SetupView::default()
    }
}

fn check() -> CheckView {
    CheckView {
        run: 2,
        kind: Some(CheckKindView::CamberOnHub),
        mount: Some(MountView::RearLeft),
        phase: CheckPhaseView::Hold,
        say: Text::from("Keep still."),
        cautions: vec![Text::from("a caution")],
        held_s: 1.5,
        hold_needed_s: 4.0,
        wanted: Some(1),
        ..CheckView::default()
    }
}

fn finding() -> FindingView {
    FindingView {
        run: 1,
        mount: MountView::FrontLeft,
        angle: AngleView::IncludedAngle,
        value_deg: 12.25,
        standard_deg: 0.125,
        expanded_deg: 0.245,
        sense: Text::from("opens downward"),
        largest_contributor: Text::from("slope of the floor"),
        largest_share: 0.5,
        advice: Text::from("Survey the floor."),
        two_reading_deg: None,
        left_out: Vec::new(),
        body_watched: false,
        at_us: 1_100_000,
    }
}
