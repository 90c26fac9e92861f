//! C++ compiled here, as strictly as the compiler can be told to look.

use std::ffi::OsStr;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use hubplumb_tests::skip;
use tempfile::TempDir;

/// Top of the repository.
pub(crate) fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// A program and the folder that holds it.
pub(crate) struct Compiled {
    program: PathBuf,
    _folder: TempDir,
}

impl Compiled {
    /// Compiles one file of `tests/sketches` with the boards' library; none, said aloud, where
    /// there is no compiler.
    pub(crate) fn new(file: &str, defines: &[String]) -> Option<Self> {
        let Some(compiler) = ["c++", "g++", "clang++"]
            .into_iter()
            .find(|name| Command::new(name).arg("--version").output().is_ok())
        else {
            skip("the sketches", "no C++ compiler");
            return None;
        };
        let folder = tempfile::tempdir().expect("a folder");
        let program = folder.path().join("program");
        let here = top().join("tests/sketches");
        let library = top().join("docs/boards/sketches/libraries/HubplumbBoard/src");
        let told = Command::new(compiler)
            // What the compilers of the smallest boards understand.
            .args(["-std=c++11", "-Wall", "-Wextra", "-Wconversion", "-Werror"])
            .args(defines.iter().map(|define| format!("-D{define}")))
            .arg("-I")
            .arg(here.join("fake"))
            .arg("-I")
            .arg(library)
            .arg(here.join(file))
            .arg("-o")
            .arg(&program)
            .output()
            .expect("the compiler runs");
        assert!(
            told.status.success(),
            "{file} {defines:?}\n{}",
            String::from_utf8_lossy(&told.stderr)
        );
        Some(Self {
            program,
            _folder: folder,
        })
    }

    /// What it prints for what it is given.
    pub(crate) fn run<S: AsRef<OsStr>>(&self, words: &[S], given: &str) -> String {
        self.try_run(words, given)
            .unwrap_or_else(|why| panic!("{why}"))
    }

    /// The same, or what it complains of.
    pub(crate) fn try_run<S: AsRef<OsStr>>(
        &self,
        words: &[S],
        given: &str,
    ) -> Result<String, String> {
        let mut child = Command::new(&self.program)
            .args(words)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program runs");
        // It reads everything before it says anything, so this cannot block for long.
        child
            .stdin
            .take()
            .expect("a pipe")
            .write_all(given.as_bytes())
            .expect("the program reads");
        let told = child.wait_with_output().expect("the program ends");
        if told.status.success() {
            Ok(String::from_utf8(told.stdout).expect("text"))
        } else {
            let why = String::from_utf8_lossy(&told.stderr);
            Err(format!("{:?}: {why}", told.status))
        }
    }
}

/// Bytes of hexadecimal digits.
pub(crate) fn bytes(digits: &str) -> Vec<u8> {
    assert!(digits.len().is_multiple_of(2), "{digits}");
    (0..digits.len() / 2)
        .map(|at| u8::from_str_radix(&digits[2 * at..2 * at + 2], 16).expect("digits"))
        .collect()
}
