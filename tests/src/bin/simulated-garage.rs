//! A simulated car with the daemon listening to it, and hands that do what standard input asks for.

use std::io;

fn main() {
    hubplumb_tests::hands::serve(io::stdin().lock(), io::stdout());
}
