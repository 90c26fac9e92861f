//! What a receiver makes of bytes sent at another speed.
//!
//! A pseudo-terminal has no speed, so a wrong one must be imitated: the bits of the frames
//! (start, eight data, stop; idle is 1) are laid out in time and read again with the receiver's
//! own rhythm, from the falling edge of each start bit, at the middle of each bit.

/// A line whose two ends disagree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mishearing {
    /// Speed of the board, bit/s.
    pub sent_baud: u32,
    /// Speed at which the host listens, bit/s.
    pub heard_baud: u32,
}

const BITS_PER_FRAME: usize = 10;

/// The bytes the receiver reports. A frame whose stop bit is not 1 is reported as 0, as common
/// drivers do for a framing error (common practice, no source).
pub fn misheard(sent: &[u8], line: Mishearing) -> Vec<u8> {
    if line.sent_baud == 0 || line.heard_baud == 0 {
        return Vec::new();
    }
    // Times in units of 1/(2 · sent · heard) s, so that the middle of any bit is a whole number.
    let sent_bit = 2 * u64::from(line.heard_baud);
    let heard_bit = 2 * u64::from(line.sent_baud);
    let level = |time: u64| -> bool {
        let Ok(bit) = usize::try_from(time / sent_bit) else {
            return true;
        };
        let Some(byte) = sent.get(bit / BITS_PER_FRAME) else {
            return true;
        };
        match bit % BITS_PER_FRAME {
            0 => false,
            stop if stop == BITS_PER_FRAME - 1 => true,
            data => (byte >> (data - 1)) & 1 == 1,
        }
    };
    let end = sent_bit * (sent.len() * BITS_PER_FRAME) as u64;
    let mut heard = Vec::with_capacity(sent.len());
    let mut time = 0;
    while time < end {
        if level(time) {
            // Idle, or inside a bit of 1: an edge can only be where a sent bit begins.
            time = (time / sent_bit + 1) * sent_bit;
            continue;
        }
        let middle = |bit: u64| time + heard_bit * bit + heard_bit / 2;
        let byte = (0..8).fold(0_u8, |byte, bit| {
            byte | (u8::from(level(middle(bit + 1))) << bit)
        });
        let stop = level(middle(9));
        heard.push(if stop { byte } else { 0 });
        time = middle(9);
        // After a broken frame the line has to come back to 1 before the next start bit.
        while !stop && time < end && !level(time) {
            time = (time / sent_bit + 1) * sent_bit;
        }
    }
    heard
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heard(sent: &[u8], sent_baud: u32, heard_baud: u32) -> Vec<u8> {
        misheard(
            sent,
            Mishearing {
                sent_baud,
                heard_baud,
            },
        )
    }

    #[test]
    fn at_the_same_speed_every_byte_arrives() {
        let all: Vec<u8> = (0..=255).collect();
        assert_eq!(heard(&all, 115_200, 115_200), all);
    }

    #[test]
    fn two_percent_off_still_works_and_half_speed_does_not() {
        let text = b"1000,0.012,-0.99,0.03\n";
        assert_eq!(heard(text, 115_200, 117_500), text);
        let half = heard(text, 115_200, 57_600);
        assert_ne!(half, text);
        assert!(!half.is_empty() && half.len() < text.len());
    }

    #[test]
    fn a_byte_at_half_speed_by_hand() {
        // 0x55 is 0 1010 1010 1 on the line (start, data from bit 0, stop). Heard at half speed,
        // the middle of heard bit k is the edge before sent bit 2k+1, which belongs to it:
        // sent bits 3, 5, 7, 9 are 1 1 1 1, then idle 1: 0xFF with a good stop bit.
        assert_eq!(heard(&[0x55], 9600, 4800), [0xFF]);
        // 0x00: sent bits 3, 5, 7 are 0, bit 9 is the stop bit: 1111 1000.
        assert_eq!(heard(&[0x00], 9600, 4800), [0xF8]);
    }
}
