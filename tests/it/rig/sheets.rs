//! Sheets of films.

use super::folder;
use tautline::rig::camera::sheet::{self, SheetError, Typed};
use tautline::rig::camera::{self, Answer};
use tautline::units::{Nanos, Span, Stamp, StampSource};
use tautline::words::Tell;

fn stamp(ms: f64, source: StampSource) -> Stamp {
    Stamp { t: Nanos(5_000_000_000) + Span::from_ms_f64(ms), source, sd: Span::ZERO }
}

/// Six clicks that the program saw answered after 20 ms.
fn answers() -> Vec<Answer> {
    (0..6_u32)
        .map(|n| {
            let at = 700.0 * f64::from(n);
            Answer {
                counter: 40 * u64::from(n),
                press: stamp(at, StampSource::Evdev),
                shown: stamp(at + 20.0, StampSource::Damage),
            }
        })
        .collect()
}

#[test]
fn a_sheet_that_was_filled_in_gives_the_lag() {
    let path = folder("sheet").join("film.csv");
    sheet::write(&path, &sheet::rows(&answers())).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let header = text.lines().next().unwrap();
    assert_eq!(
        header,
        "click,counter,own_ms,shown_ms,display_clock,input_source,press_frame,answer_frame"
    );
    // 240 frames a second; 7.2 frames, 30 ms, from press to light: 10 ms beyond the 20.
    let filled: Vec<String> = text
        .lines()
        .enumerate()
        .map(|(row, line)| match row {
            0 => line.to_owned(),
            // The last one is left blank.
            6 => line.to_owned(),
            row => {
                let press = 1000 + 168 * row;
                // Frames 7, 7, 7, 7, 8: 7.2 in the mean.
                let answer = press + if row == 5 { 8 } else { 7 };
                line.trim_end_matches(",,").to_owned() + &format!(", {press} ,{answer}")
            }
        })
        .collect();
    std::fs::write(&path, filled.join("\n")).unwrap();
    let rows = sheet::read(&path).unwrap();
    assert_eq!(rows[0].display_clock, "damage");
    let readings = sheet::readings(&path, rows, &[]).unwrap();
    assert_eq!(readings.len(), 5);
    let lag = camera::estimate(&readings, 240.0).unwrap();
    assert!((lag.lag_ms - 10.0).abs() < 1e-9, "{lag:?}");
}

#[test]
fn typed_frames_go_on_top_of_the_sheet() {
    let path = folder("typed").join("film.csv");
    sheet::write(&path, &sheet::rows(&answers())).unwrap();
    let rows = || sheet::read(&path).unwrap();
    let typed: Vec<Typed> =
        ["1:1000-1007", "2:1168-1175", "4: 1504 - 1511"].map(|t| t.parse().unwrap()).to_vec();
    let clicks: Vec<usize> =
        sheet::readings(&path, rows(), &typed).unwrap().iter().map(|r| r.click).collect();
    assert_eq!(clicks, [1, 2, 4]);
    let strange: Typed = "9:1-2".parse().unwrap();
    let error = sheet::readings(&path, rows(), &[strange]).unwrap_err();
    assert!(matches!(error, SheetError::NoSuchClick { click: 9, most: 6, .. }), "{error:?}");
    for wrong in ["1", "1:2", "1:2-x", "x:1-2", ""] {
        let told = wrong.parse::<Typed>().unwrap_err();
        assert!(told.contains("3:1041-1066"), "{told}");
    }
}

#[test]
fn a_damaged_sheet_is_told_with_its_place() {
    let path = folder("damaged-sheet").join("film.csv");
    sheet::write(&path, &sheet::rows(&answers())).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let half = text.replacen(",,", ",1000,", 1);
    std::fs::write(&path, half).unwrap();
    let error = sheet::readings(&path, sheet::read(&path).unwrap(), &[]).unwrap_err();
    assert!(matches!(error, SheetError::Half { click: 1, .. }), "{error:?}");
    std::fs::write(&path, text.replacen(",,", ",ten,20", 1)).unwrap();
    let told = sheet::read(&path).unwrap_err().tell();
    assert!(told.what.contains("line: 2") && told.place.unwrap().ends_with("film.csv"));
    let none = sheet::read(&path.with_file_name("nowhere.csv")).unwrap_err();
    assert!(matches!(none, SheetError::Unreadable { .. }));
}
