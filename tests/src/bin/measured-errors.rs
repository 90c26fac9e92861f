//! Measures random cars and prints how far the findings are off.
fn main() {
    let trials = std::env::args()
        .nth(1)
        .and_then(|n| n.parse().ok())
        .unwrap_or(300);
    print!("{}", hubplumb_tests::measured::report(trials));
}
