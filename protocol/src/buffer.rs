//! The bytes that have come and were not taken yet.

/// A bounded queue of bytes that knows its place in the stream.
#[derive(Debug)]
pub(crate) struct Buffer {
    bytes: Vec<u8>,
    /// Bytes at the front of `bytes` that were taken.
    taken: usize,
    /// Place in the stream of the first byte not taken.
    offset: u64,
    limit: usize,
}

impl Buffer {
    pub(crate) fn new(limit: usize) -> Self {
        Self {
            bytes: Vec::new(),
            taken: 0,
            offset: 0,
            limit,
        }
    }

    /// Takes bytes in; gives how many of the oldest had to go to stay within the limit.
    pub(crate) fn push(&mut self, new: &[u8]) -> usize {
        // Most reads end with a frame, and nothing is left to be moved to the front.
        if self.taken == self.bytes.len() {
            self.bytes.clear();
        } else {
            self.bytes.drain(..self.taken);
        }
        self.taken = 0;
        let dropped = (self.bytes.len() + new.len()).saturating_sub(self.limit);
        let dropped_old = dropped.min(self.bytes.len());
        if dropped_old > 0 {
            self.bytes.drain(..dropped_old);
        }
        let kept = new.get(dropped - dropped_old..).unwrap_or_default();
        self.bytes.extend_from_slice(kept);
        self.offset += dropped as u64;
        dropped
    }

    pub(crate) fn unread(&self) -> &[u8] {
        self.bytes.get(self.taken..).unwrap_or_default()
    }

    pub(crate) fn take(&mut self, count: usize) {
        let count = count.min(self.bytes.len() - self.taken);
        self.taken += count;
        self.offset += count as u64;
    }

    pub(crate) fn offset(&self) -> u64 {
        self.offset
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keeps_the_newest_and_the_place_in_the_stream() {
        let mut buffer = Buffer::new(4);
        assert_eq!(buffer.push(b"abc"), 0);
        buffer.take(1);
        assert_eq!(buffer.push(b"defg"), 2);
        assert_eq!((buffer.unread(), buffer.offset()), (&b"defg"[..], 3));
        assert_eq!(buffer.push(b"hijklm"), 6);
        assert_eq!((buffer.unread(), buffer.offset()), (&b"jklm"[..], 9));
        buffer.take(99);
        assert_eq!((buffer.unread(), buffer.offset()), (&b""[..], 13));
    }
}
