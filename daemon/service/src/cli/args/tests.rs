//! Command lines that are taken and that are not.

use clap::CommandFactory as _;

use super::*;

#[test]
fn the_command_line_is_sound() {
    Args::command().debug_assert();
}

#[test]
fn usage_errors_exit_with_two() {
    for wrong in [
        &["hubplumb", "fly"][..],
        &["hubplumb", "run", "--listen", "everywhere"],
        &["hubplumb", "watch"],
        &["hubplumb", "watch", "p", "--baud", "7"],
        &["hubplumb", "watch", "p", "--format", "morse"],
        &["hubplumb", "watch", "p", "--format", "modbus"],
        &["hubplumb", "watch", "p", "--format", "csv", "--config", "c"],
        &["hubplumb", "demo", "--speed", "0"],
        &["hubplumb", "solve"],
        &["hubplumb", "solve", "a.csv", "--side", "middle"],
        &["hubplumb", "solve", "a.csv", "--chip", "poker"],
        &["hubplumb", "solve", "a.csv", "--outboard", "up"],
        &[
            "hubplumb",
            "solve",
            "a.csv",
            "--side",
            "left",
            "--session",
            "b.json",
        ],
        &["hubplumb", "solve", "--schema", "wish"],
        &["hubplumb", "allan"],
        &["hubplumb", "sheet"],
        &["hubplumb", "sheet", "one"],
        &["hubplumb", "sheet", "1", "--paper", "a3"],
        &["hubplumb", "cars"],
        &["hubplumb", "cars", "show"],
        &["hubplumb", "visits", "export"],
        &["hubplumb", "visits", "backup"],
        &["hubplumb", "boards", "all"],
        &["hubplumb", "doctor", "everything"],
        &["hubplumb", "completions", "abacus"],
        &["hubplumb", "--log-format", "xml", "boards"],
        &["hubplumb", "calibrate"],
        &["hubplumb", "pairing"],
        &["hubplumb", "pairing", "token"],
        &["hubplumb", "pairing", "revoke"],
        &["hubplumb", "run", "--commands", "nobody"],
        &["hubplumb", "run", "--name", "http://x"],
        &["hubplumb", "calibrate", "p", "--poses", "5"],
        &["hubplumb", "calibrate", "p", "--chip", "wood"],
    ] {
        let error = Args::try_parse_from(wrong).unwrap_err();
        assert_eq!(error.exit_code(), 2, "{wrong:?}");
    }
}
