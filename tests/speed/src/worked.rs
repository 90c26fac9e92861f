//! What a thread has had of the processor.

use nix::time::{ClockId, clock_gettime};

/// Processor time of this thread, ns: on a busy machine what others take is not counted.
pub fn worked_ns() -> f64 {
    clock_gettime(ClockId::CLOCK_THREAD_CPUTIME_ID).map_or(f64::NAN, |worked| {
        worked.tv_sec() as f64 * 1e9 + worked.tv_nsec() as f64
    })
}
