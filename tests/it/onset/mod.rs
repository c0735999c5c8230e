//! How far each definition of movement onset is off, on movements whose start is known.
//!
//! The tables of `docs/onset.md` are made here; `SLOW=1` makes the long ones too, and compares.

pub(super) mod movements;

use movements::{Movement, PLACES, Profile, STIMULUS_MS, at};
use std::fmt::Write;
use tautline::motion::{MotionRule, summarize};
use tautline::units::{Nanos, Span};

const DURATIONS_MS: [f64; 5] = [80.0, 120.0, 200.0, 300.0, 400.0];
const DISTANCES_COUNTS: [f64; 3] = [150.0, 600.0, 2_400.0];
const REPORTS_MS: [f64; 4] = [0.125, 1.0, 2.0, 8.0];
/// Counts that a mouse gives a centimetre: 400 to 3,200 an inch.
const COUNTS_PER_CM: [f64; 4] = [160.0, 315.0, 630.0, 1_260.0];
/// The same ways of the hand for all of them, cm: 160 to 2,394 counts.
const WAYS_CM: [f64; 2] = [1.0, 1.9];
/// Height of the tremor in the hand, um: a round figure of our own.
const TREMOR_UM: f64 = 30.0;
const CUT_OFFS_HZ: [f64; 3] = [10.0, 20.0, 40.0];

/// Errors of one definition, ms late.
#[derive(Debug, Clone, Default)]
struct Errors {
    late_ms: Vec<f64>,
    blank: u32,
}

impl Errors {
    fn bias_ms(&self) -> f64 {
        self.late_ms.iter().sum::<f64>() / self.late_ms.len() as f64
    }

    fn sd_ms(&self) -> f64 {
        let bias = self.bias_ms();
        let squares = self.late_ms.iter().map(|late| (late - bias).powi(2)).sum::<f64>();
        (squares / (self.late_ms.len() as f64 - 1.0)).sqrt()
    }

    fn cell(&self) -> String {
        let blank = if self.blank > 0 { format!(" ({} blank)", self.blank) } else { String::new() };
        // -0.0 says nothing that 0.0 does not.
        let bias = (self.bias_ms() * 10.0).round() / 10.0 + 0.0;
        format!("{bias:.1} ± {:.1}{blank}", self.sd_ms())
    }
}

/// Which movements, and how they are read.
#[derive(Debug, Clone, Copy)]
struct Cell {
    profile: Profile,
    long_ms: f64,
    report_ms: f64,
    shake_counts: f64,
    cut_off_hz: f64,
}

/// What the three definitions made of a cell's movements.
#[derive(Debug, Clone, Default)]
struct Seen {
    first: Errors,
    five_percent: Errors,
    fit: Errors,
}

impl Errors {
    fn add(&mut self, onset: Option<Nanos>, movement: &Movement) {
        match onset {
            Some(t) => self.late_ms.push((t - at(movement.begins_ms())).ms()),
            None => self.blank += 1,
        }
    }
}

impl Cell {
    fn seen(&self, distances: &[f64]) -> Seen {
        let mut seen = Seen::default();
        for &counts in distances {
            for place in 0..PLACES {
                let movement = Movement {
                    profile: self.profile,
                    long_ms: self.long_ms,
                    counts,
                    report_ms: self.report_ms,
                    shake_counts: self.shake_counts,
                    place,
                };
                let summary = summarize(
                    &movement.steps(),
                    at(0.0),
                    at(STIMULUS_MS),
                    at(movement.press_ms()),
                    Some(Span::from_ms_f64(self.report_ms)),
                    &MotionRule { number: 2, low_pass_hz: self.cut_off_hz },
                );
                seen.first.add(summary.first, &movement);
                seen.five_percent.add(summary.five_percent, &movement);
                seen.fit.add(summary.fit, &movement);
            }
        }
        seen
    }
}

impl Seen {
    fn cells(&self) -> [String; 3] {
        [self.first.cell(), self.five_percent.cell(), self.fit.cell()]
    }
}

fn head(titles: &[&str]) -> String {
    format!("| {} |\n|{}\n", titles.join(" | "), " --- |".repeat(titles.len()))
}

fn row(cells: &[String]) -> String {
    format!("| {} |\n", cells.join(" | "))
}

fn plain(profile: Profile, long_ms: f64) -> Cell {
    Cell { profile, long_ms, report_ms: 1.0, shake_counts: 0.0, cut_off_hz: 20.0 }
}

/// The three definitions by cut-off, a report each millisecond.
fn by_cut_off(shake_counts: f64) -> String {
    let mut titles = vec!["movement".to_owned(), "ms".to_owned(), "first count".to_owned()];
    titles.extend(CUT_OFFS_HZ.iter().map(|hz| format!("5 %, {hz} Hz")));
    titles.extend(CUT_OFFS_HZ.iter().map(|hz| format!("fit, {hz} Hz")));
    let mut table = head(&titles.iter().map(String::as_str).collect::<Vec<_>>());
    for profile in Profile::ALL {
        for long_ms in DURATIONS_MS {
            let cell = Cell { shake_counts, ..plain(profile, long_ms) };
            let seen =
                CUT_OFFS_HZ.map(|cut_off_hz| Cell { cut_off_hz, ..cell }.seen(&DISTANCES_COUNTS));
            let mut cells = vec![profile.name().to_owned(), long_ms.to_string()];
            cells.push(seen[1].first.cell());
            cells.extend(seen.iter().map(|seen| seen.five_percent.cell()));
            cells.extend(seen.iter().map(|seen| seen.fit.cell()));
            table += &row(&cells);
        }
    }
    table
}

/// The three definitions by report interval, 20 Hz, no shakes.
fn by_report_interval() -> String {
    let mut table =
        head(&["movement", "report, ms", "ms", "first count", "5 % of peak speed", "fit"]);
    for profile in Profile::ALL {
        for report_ms in REPORTS_MS {
            for long_ms in [80.0, 200.0, 400.0] {
                let cell = Cell { report_ms, ..plain(profile, long_ms) };
                let seen = cell.seen(&DISTANCES_COUNTS).cells();
                let mut cells =
                    vec![profile.name().to_owned(), report_ms.to_string(), long_ms.to_string()];
                cells.extend(seen);
                table += &row(&cells);
            }
        }
    }
    table
}

/// The three definitions by distance, 20 Hz, a report each millisecond.
fn by_distance() -> String {
    let mut table =
        head(&["shakes, counts", "way, counts", "ms", "first count", "5 % of peak speed", "fit"]);
    for shake_counts in [0.0, 0.5, 1.5] {
        for counts in DISTANCES_COUNTS {
            for long_ms in [80.0, 200.0, 400.0] {
                let cell = Cell { shake_counts, ..plain(Profile::MinimumJerk, long_ms) };
                let mut cells =
                    vec![shake_counts.to_string(), counts.to_string(), long_ms.to_string()];
                cells.extend(cell.seen(&[counts]).cells());
                table += &row(&cells);
            }
        }
    }
    table
}

/// The movements of one hand as mice of so many counts a centimetre report them.
fn of_hand(profile: Profile, long_ms: f64, counts_per_cm: f64, tremor_um: f64) -> Seen {
    let shake_counts = tremor_um / 1e4 * counts_per_cm;
    let ways = WAYS_CM.map(|cm| cm * counts_per_cm);
    Cell { shake_counts, ..plain(profile, long_ms) }.seen(&ways)
}

/// The three definitions by counts a centimetre: the hand's way and tremor stay the same.
fn by_counts_per_cm() -> String {
    let titles =
        ["movement", "tremor, µm", "counts/cm", "ms", "first count", "5 % of peak speed", "fit"];
    let mut table = head(&titles);
    for profile in Profile::ALL {
        for tremor_um in [0.0, TREMOR_UM] {
            for counts_per_cm in COUNTS_PER_CM {
                for long_ms in [80.0, 200.0, 400.0] {
                    let seen = of_hand(profile, long_ms, counts_per_cm, tremor_um).cells();
                    let mut cells = vec![
                        profile.name().to_owned(),
                        tremor_um.to_string(),
                        counts_per_cm.to_string(),
                        long_ms.to_string(),
                    ];
                    cells.extend(seen);
                    table += &row(&cells);
                }
            }
        }
    }
    table
}

/// By how much the bias changes over durations of 80 to 400 ms, and the largest sd.
fn summary() -> String {
    let mut table =
        head(&["movement", "shakes, counts", "first count", "5 % of peak speed", "fit"]);
    for profile in Profile::ALL {
        for shake_counts in [0.0, 1.5] {
            let changes = Changes::of(Cell { shake_counts, ..plain(profile, 80.0) });
            table += &row(&[
                profile.name().to_owned(),
                shake_counts.to_string(),
                changes.first.told(),
                changes.five_percent.told(),
                changes.fit.told(),
            ]);
        }
    }
    table
}

/// How a definition fares over durations of 80 to 400 ms.
#[derive(Debug, Clone, Copy)]
struct Change {
    span_ms: f64,
    largest_sd_ms: f64,
}

#[derive(Debug, Clone, Copy)]
struct Changes {
    first: Change,
    five_percent: Change,
    fit: Change,
}

impl Change {
    fn of<'a>(errors: impl Iterator<Item = &'a Errors> + Clone) -> Change {
        let bias = errors.clone().map(Errors::bias_ms);
        let most = bias.clone().fold(f64::MIN, f64::max);
        let least = bias.fold(f64::MAX, f64::min);
        let largest_sd_ms = errors.map(Errors::sd_ms).fold(0.0, f64::max);
        Change { span_ms: most - least, largest_sd_ms }
    }

    fn told(self) -> String {
        format!("{:.1}, sd to {:.1}", self.span_ms, self.largest_sd_ms)
    }
}

impl Changes {
    fn of(cell: Cell) -> Changes {
        Self::over(DURATIONS_MS.map(|long_ms| Cell { long_ms, ..cell }.seen(&DISTANCES_COUNTS)))
    }

    fn over(seen: [Seen; 5]) -> Changes {
        Changes {
            first: Change::of(seen.iter().map(|seen| &seen.first)),
            five_percent: Change::of(seen.iter().map(|seen| &seen.five_percent)),
            fit: Change::of(seen.iter().map(|seen| &seen.fit)),
        }
    }
}

/// On minimum jerk the fit's bias changes by less than 2 ms over durations of 80 to 400 ms, at
/// every report interval, where that of 5 % of peak speed changes by more than 18.
#[test]
fn the_fit_keeps_its_bias_over_durations() {
    for report_ms in [0.125, 1.0, 8.0] {
        let told = Changes::of(Cell { report_ms, ..plain(Profile::MinimumJerk, 80.0) });
        let fit = told.fit;
        assert!(fit.span_ms < 2.0 && fit.largest_sd_ms < 4.0, "{report_ms} ms: {fit:?}");
        let five = told.five_percent;
        assert!(five.span_ms > 18.0, "{report_ms} ms: {five:?}");
    }
}

/// The same for every mouse of 160 to 1,260 counts a centimetre, a trembling hand included.
#[test]
fn the_fit_keeps_its_bias_whatever_the_mouse_counts() {
    for counts_per_cm in COUNTS_PER_CM {
        for tremor_um in [0.0, TREMOR_UM] {
            let told =
                Changes::over(DURATIONS_MS.map(|long_ms| {
                    of_hand(Profile::MinimumJerk, long_ms, counts_per_cm, tremor_um)
                }));
            let (fit, five) = (told.fit, told.five_percent);
            let what = format!("{counts_per_cm} counts/cm, {tremor_um} um");
            assert!(fit.span_ms < 2.0 && fit.largest_sd_ms < 6.0, "{what}: {fit:?}");
            assert!(five.span_ms > 15.0, "{what}: {five:?}");
        }
    }
}

/// Prints what stands in `docs/onset.md`, and fails where that says something else.
#[test]
fn the_tables_in_the_docs_are_these() {
    if std::env::var_os("SLOW").is_none() {
        return;
    }
    let mut made = String::new();
    for (title, table) in [
        ("Change of the bias over durations", summary()),
        ("By cut-off, a still hand", by_cut_off(0.0)),
        ("By cut-off, small shakes", by_cut_off(1.5)),
        ("By report interval", by_report_interval()),
        ("By distance, minimum jerk", by_distance()),
        ("By counts for a centimetre", by_counts_per_cm()),
    ] {
        write!(made, "## {title}\n\n{table}\n").unwrap();
    }
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/onset.md");
    let docs = std::fs::read_to_string(path).unwrap();
    assert!(docs.contains(made.trim_end()), "docs/onset.md wants these tables:\n{made}");
}
