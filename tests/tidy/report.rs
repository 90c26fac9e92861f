//! What the test command tells of failed tests, from reports as the runners write them.

use std::process::Command;

struct Case {
    kind: &'static str,
    report: &'static str,
    counts: &'static str,
    told: &'static [&'static str],
}

const JUNIT: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<testsuites name="run" tests="3" failures="1" errors="0">
  <testsuite name="hubplumb-core" tests="3" disabled="0" errors="0" failures="1">
    <testcase name="live::holds" classname="hubplumb-core" time="0.010"/>
    <testcase name="live::leans" classname="hubplumb-core" time="0.020">
      <failure type="test failure" message="left &lt; right">left: 0.31&#x0a;right: 0.25</failure>
    </testcase>
    <testcase name="live::left_out" classname="hubplumb-core" time="0.000"><skipped/></testcase>
  </testsuite>
</testsuites>"#;

const VITEST: &str = r#"{"numPassedTests": 4, "numFailedTests": 1, "numPendingTests": 0, "testResults": [
  {"name": "a.test.ts", "status": "failed", "assertionResults": [
    {"status": "passed", "fullName": "a sign is written"},
    {"status": "failed", "fullName": "a minus is true", "failureMessages": ["expected '-1' to be '−1'"]}]},
  {"name": "b.test.ts", "status": "failed", "message": "no such module", "assertionResults": []}]}"#;

const PLAYWRIGHT: &str = r#"{"errors": [], "stats": {"expected": 2, "unexpected": 1, "flaky": 1, "skipped": 0}, "suites": [
  {"title": "swing.spec.ts", "specs": [], "suites": [{"title": "inner", "specs": [
    {"title": "a swing is taken", "file": "swing.spec.ts", "line": 12, "tests": [{"status": "unexpected", "results": [
      {"errors": [{"message": "\u001b[31mExpected: 1\u001b[39m\nReceived: 2", "location": {"line": 20}}]}]}]},
    {"title": "a swing is given up", "file": "swing.spec.ts", "line": 30, "tests": [{"status": "flaky", "results": [
      {"errors": [{"message": "too late", "location": {"line": 33}}]}, {"errors": []}]}]},
    {"title": "a swing waits", "file": "swing.spec.ts", "line": 40, "tests": [{"status": "expected", "results": [{"errors": []}]}]}]}]}]}"#;

#[test]
fn a_red_run_ends_with_what_failed_and_why() {
    let cases = [
        Case {
            kind: "junit",
            report: JUNIT,
            counts: "1 1 1",
            told: &[
                "failed: hubplumb-core live::leans",
                "    left: 0.31",
                "    right: 0.25",
            ],
        },
        Case {
            kind: "vitest",
            report: VITEST,
            counts: "4 2 0",
            told: &[
                "failed: b.test.ts",
                "    no such module",
                "failed: a minus is true",
                "    expected '-1' to be '−1'",
            ],
        },
        Case {
            kind: "playwright",
            report: PLAYWRIGHT,
            counts: "2 2 0",
            told: &[
                "failed: swing.spec.ts:12 a swing is taken",
                "    Expected: 1",
                "    Received: 2",
                "    at line 20",
                "failed: swing.spec.ts:30 a swing is given up",
                "    too late",
                "    at line 33",
            ],
        },
    ];
    for case in cases {
        check(&case);
    }
}

fn check(case: &Case) {
    let folder = tempfile::tempdir().expect("a folder of its own");
    let (report, failures) = (folder.path().join("report"), folder.path().join("failures"));
    std::fs::write(&report, case.report).expect("the report is written");
    let run = Command::new("node")
        .arg(crate::tree::top().join("tests/report.mjs"))
        .arg(case.kind)
        .args([&report, &failures])
        .output()
        .expect("node runs");
    let said = String::from_utf8_lossy(&run.stdout);
    let complaint = String::from_utf8_lossy(&run.stderr);
    assert_eq!(said.trim(), case.counts, "{}: {complaint}", case.kind);
    let told = std::fs::read_to_string(&failures).expect("what failed is told");
    assert_eq!(told.lines().collect::<Vec<_>>(), case.told, "{}", case.kind);
}
