//! Writes a first stream of every format into the corpus of its target, so that
//! a fuzzer begins with what is right: `seeds FOLDER`.

use std::path::PathBuf;
use std::{env, fs, io};

use hubplumb_protocol::WireFormat;
use hubplumb_protocol_fuzz::{formats, good_stream};

/// What the targets take from the front: choices and lengths of pieces.
const CHOICES: [[u8; 6]; 3] = [[0, 0, 9, 30, 1, 60], [1, 1, 19, 19, 19, 19], [1, 2, 200, 1, 40, 7]];
const STREAM_BYTES: usize = 400;

fn main() -> io::Result<()> {
    let folder = PathBuf::from(env::args().nth(1).unwrap_or_else(|| "corpus".to_owned()));
    for (index, name) in (0_u8..).zip(WireFormat::NAMES) {
        for (number, format) in formats(name).iter().enumerate() {
            let mut stream = good_stream(format);
            stream.truncate(STREAM_BYTES);
            for (choice, choices) in CHOICES.iter().enumerate() {
                let write = |target: &str, head: &[u8]| {
                    let folder = folder.join(target);
                    fs::create_dir_all(&folder)?;
                    let file = format!("{name}-{number}-{choice}");
                    fs::write(folder.join(file), [head, &stream].concat())
                };
                write(name, choices)?;
                write("detector", &choices[2..])?;
                write("behind-garbage", &[index])?;
            }
        }
    }
    Ok(())
}
