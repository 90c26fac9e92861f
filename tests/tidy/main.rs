//! House rules that a compiler does not check.
//!
//! Each rule is a function from files to breaches. Each has two tests: the
//! repository keeps it, and an invented bad example is found.

#![expect(
    clippy::expect_used,
    reason = "a check that cannot read the repository must fail as loudly as a breach"
)]

mod layering;
mod manifests;
mod npm;
mod report;
mod repository;
mod security;
mod sources;
mod supply;
mod tree;
