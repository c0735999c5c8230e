//! X11 Present end to end: the program's clock against a client that presents with rising serials.
//!
//! Loose bounds only: the server's blank is a timer here, and the machine may be busy. The close
//! figures are printed by `present-bench` (docs/measured.md).

use crate::support::xserver::XServer;
use std::path::Path;
use std::process::Command;

#[test]
fn completions_of_another_client_are_stamped_one_to_one_and_near_its_pixels() {
    const FRAMES: u64 = 80;
    let screen = XServer::start();
    let tautline = Path::new(env!("CARGO_BIN_EXE_tautline"));
    let bench = tautline.parent().unwrap().join("examples/present-bench");
    assert!(bench.exists(), "{} is not built: cargo build --examples", bench.display());
    let done = Command::new(bench)
        .arg(FRAMES.to_string())
        .env("DISPLAY", screen.display())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&done.stderr);
    assert!(done.status.success(), "{said}");
    let told: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap();
    assert_eq!((&told["frames"], &told["stamped"]), (&FRAMES.into(), &FRAMES.into()), "{told}");
    assert_eq!(told["before_submit"], 0, "{told}");
    assert_eq!(told["shown_as"]["copies"], FRAMES, "{told}");
    // Where the machine let the robot look often enough at all.
    if told["compared"].as_u64().unwrap() >= FRAMES / 4 {
        let median_ms = told["median_ms"].as_f64().unwrap();
        assert!(median_ms.abs() < 5.0, "{told}");
    }
}
