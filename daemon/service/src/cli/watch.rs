//! `hubplumb watch`

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{self, Write as _};
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Duration;

use hubplumb_protocol::Reading;
use tokio::sync::oneshot;
use tokio::time::Instant;
use tokio_util::sync::CancellationToken;

use super::args::WatchArgs;
use super::wire::Wire;
use super::{CliError, stop};
use crate::link::{LinkState, LinkStatus, NetRefusal, Observer, OpenError, Speech, Ways};
use crate::present::link_trouble;

/// How often counts of bad frames are told: a wrong speed makes hundreds a second.
const BAD_FRAMES_EVERY: Duration = Duration::from_secs(1);

pub(super) async fn watch(args: WatchArgs) -> Result<ExitCode, CliError> {
    let stop = CancellationToken::new();
    stop::on_signals(&stop)?;
    let settings = Wire {
        port: &args.port,
        baud: args.baud,
        format: args.format.as_ref(),
        config: args.config.as_deref(),
    }
    .settings()?;
    let (tell, told) = oneshot::channel();
    let printer = Printer {
        left: args.count,
        ended: Some(tell),
        stop: stop.clone(),
        was_open: false,
        speech: None,
        state: None,
        bad: BTreeMap::new(),
        bad_told: BTreeMap::new(),
        bad_told_at: None,
    };
    Ways::system().run(args.port, settings, printer, stop).await;
    match told.await {
        Ok(error) => Err(error),
        // Nobody complained: the count is full, or the end was asked for.
        Err(_) => Ok(ExitCode::SUCCESS),
    }
}

/// Prints what a link reports.
struct Printer {
    /// Readings still to be printed.
    left: Option<u64>,
    ended: Option<oneshot::Sender<CliError>>,
    stop: CancellationToken,
    was_open: bool,
    speech: Option<Arc<Speech>>,
    state: Option<LinkState>,
    bad: BTreeMap<&'static str, u64>,
    bad_told: BTreeMap<&'static str, u64>,
    bad_told_at: Option<Instant>,
}

impl Printer {
    fn end(&mut self, error: Option<CliError>) {
        if let (Some(error), Some(ended)) = (error, self.ended.take()) {
            let _ = ended.send(error);
        }
        self.stop.cancel();
    }

    fn note(&mut self, text: &str) {
        if let Err(error) = writeln!(io::stderr(), "{text}") {
            self.end(Some(CliError::Output(error)));
        }
    }
}

impl Printer {
    /// Tells the counts of bad frames, if there are new ones.
    fn tell_bad_frames(&mut self) {
        if self.bad == self.bad_told {
            return;
        }
        let counts: Vec<String> = self
            .bad
            .iter()
            .map(|(reason, count)| format!("{} {count}", reason.replace('_', " ")))
            .collect();
        self.bad_told.clone_from(&self.bad);
        self.bad_told_at = Some(Instant::now());
        self.note(&format!("bad frames so far: {}", counts.join(", ")));
    }
}

impl Drop for Printer {
    fn drop(&mut self) {
        self.tell_bad_frames();
    }
}

impl Observer for Printer {
    fn arrived(&mut self, _: &[u8], readings: &[Reading], _: u64) {
        for reading in readings {
            if self.stop.is_cancelled() {
                return;
            }
            if let Err(error) = writeln!(io::stdout(), "{}", line(reading)) {
                self.end(Some(CliError::Output(error)));
                return;
            }
            if let Some(left) = &mut self.left {
                *left -= 1;
                if *left == 0 {
                    self.end(None);
                }
            }
        }
    }

    fn status(&mut self, status: &LinkStatus) {
        if status.speech != self.speech {
            if let Some(speech) = &status.speech {
                self.note(&speech_words(speech));
            }
            self.speech.clone_from(&status.speech);
        }
        self.bad.clone_from(&status.bad_frames);
        if self
            .bad_told_at
            .is_none_or(|told| told.elapsed() >= BAD_FRAMES_EVERY)
        {
            self.tell_bad_frames();
        }
        if self.state.as_ref() == Some(&status.state) {
            return;
        }
        // What every link begins with, before its port was tried.
        let first = self.state.replace(status.state.clone()).is_none();
        match (&status.state, link_trouble(status)) {
            (LinkState::Absent { .. } | LinkState::Refused(_), Some(trouble))
                if !self.was_open && !is_waited_for(&status.state) =>
            {
                self.end(Some(CliError::Port(trouble)));
            }
            (_, Some(trouble)) if !first => {
                self.was_open = true;
                self.note(&format!("{} {}", trouble.what, trouble.remedy));
            }
            _ => self.was_open |= !first,
        }
    }
}

/// Is it for the board to call us? Then there is nothing to mend here.
const fn is_waited_for(state: &LinkState) -> bool {
    matches!(
        state,
        LinkState::Refused(OpenError::Net(NetRefusal::NoCaller { .. }))
    )
}

fn speech_words(speech: &Speech) -> String {
    let how = |guess| {
        if guess {
            " (a guess, found by listening)"
        } else {
            ""
        }
    };
    let why = speech
        .why
        .as_ref()
        .map_or_else(String::new, |why| format!(": {why}"));
    let baud = speech.baud.map_or_else(String::new, |baud| {
        format!("{baud} baud{}, ", how(speech.baud_is_guess))
    });
    format!(
        "{baud}format {}{}{why}",
        speech.format.name(),
        how(speech.format_is_guess)
    )
}

/// One reading, one line.
fn line(reading: &Reading) -> String {
    let mut line = String::new();
    if let Some(time_us) = reading.device_time_us {
        let _ = write!(line, "t {:>12.6} s  ", time_us * 1e-6);
    }
    if let Some(sequence) = reading.sequence {
        let _ = write!(line, "no. {sequence}  ");
    }
    if let Some([x, y, z]) = reading.accel_g {
        let _ = write!(line, "accel {x:+8.5} {y:+8.5} {z:+8.5} g  ");
    }
    if let Some(rate) = reading.rate_radps {
        let [x, y, z] = rate.map(f64::to_degrees);
        let _ = write!(line, "rate {x:+9.4} {y:+9.4} {z:+9.4} deg/s  ");
    }
    if let Some(attitude) = reading.attitude_rad {
        let [roll, pitch, yaw] = attitude.map(f64::to_degrees);
        let _ = write!(line, "attitude {roll:+8.3} {pitch:+8.3} {yaw:+8.3} deg  ");
    }
    if let Some(tilt) = reading.tilt_rad {
        let [roll, pitch] = tilt.map(f64::to_degrees);
        let _ = write!(line, "attitude {roll:+8.3} {pitch:+8.3} deg  ");
    }
    if let Some(temperature) = reading.temperature_c {
        let _ = write!(line, "{temperature:.2} C");
    }
    line.trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_is_one_line_of_what_it_holds() {
        let reading = Reading {
            accel_g: Some([0.0, -0.5, 1.0]),
            temperature_c: Some(21.5),
            ..Reading::default()
        };
        assert_eq!(
            line(&reading),
            "accel +0.00000 -0.50000 +1.00000 g  21.50 C"
        );
        let turning = Reading {
            device_time_us: Some(1_500_000.0),
            rate_radps: Some([0.0, 0.0, std::f64::consts::PI]),
            ..Reading::default()
        };
        assert_eq!(
            line(&turning),
            "t     1.500000 s  rate   +0.0000   +0.0000 +180.0000 deg/s"
        );
    }

    #[test]
    fn a_guess_is_told_as_a_guess() {
        let format = hubplumb_protocol::WireFormat::Ahrs55;
        let speech = Speech {
            baud: Some(9600),
            baud_is_guess: true,
            format,
            format_is_guess: false,
            why: None,
        };
        assert_eq!(
            speech_words(&speech),
            "9600 baud (a guess, found by listening), format ahrs55"
        );
    }
}
