//! When a row of a picture is lit: a panel scans its rows one after the other, and a clock tells
//! the start of that only.
//!
//! Pure. Known only where a hardware clock tells the start and the system tells the real mode and
//! how the desktop is turned on the panel; then row/height of the scan-out is added to a stamp.
//! Where there is a panel and this is not known, nothing is added and the doubt grows by that of a
//! moment anywhere in a refresh. A backlight that flashes lights all rows at once; no system tells.

use serde::Serialize;

use super::SizePx;
use super::extent::Extent;
use super::survey::Output;
use crate::units::{Span, Stamp};

/// The edge of the desktop that a panel scans first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ScanFrom {
    /// Not turned.
    Top,
    /// Upside down.
    Bottom,
    /// A quarter turn clockwise: what was left is on top.
    Left,
    /// A quarter turn anticlockwise.
    Right,
}

/// What is known of the scan-out of the screen that the window is on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Scan {
    /// There is no panel: nothing is scanned.
    NoPanel,
    /// There is one, and nobody tells how it is scanned.
    Unknown {
        /// One refresh.
        refresh: Span,
    },
    /// All of it.
    Known(Scanned),
}

/// How a panel is scanned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scanned {
    /// The edge scanned first.
    pub(super) from: ScanFrom,
    /// From the first lit row to the last.
    pub(super) whole: Span,
    /// The panel, as the desktop is turned on it, px.
    pub(super) size: SizePx,
    /// The window's upper left corner on it, px.
    pub(super) at: [f64; 2],
}

impl Scan {
    /// Of the output at a window. `told`: the system tells what it shows, which a Wayland session's
    /// X11 server does not.
    pub(super) fn of(output: Option<&Output>, at_px: [i32; 2], refresh: Span, told: bool) -> Scan {
        if !told {
            return Scan::Unknown { refresh };
        }
        // An output without a clock of its own is no panel: a virtual screen.
        let Some(output) = output.filter(|output| output.rate_hz.is_some()) else {
            return Scan::NoPanel;
        };
        let (Some(from), Some(share)) = (output.scan_from, output.active_share) else {
            return Scan::Unknown { refresh };
        };
        Scan::Known(Scanned {
            from,
            whole: Span::from_ms_f64(refresh.ms() * share),
            size: output.size,
            at: [f64::from(at_px[0] - output.x_px), f64::from(at_px[1] - output.y_px)],
        })
    }

    /// The scan-out of a whole picture, ms, where it is known and the clock tells its start.
    pub(super) fn whole_ms(&self, hardware: bool) -> Option<f64> {
        match self {
            Scan::Known(scanned) if hardware => Some(scanned.whole.ms()),
            Scan::Known(_) | Scan::Unknown { .. } | Scan::NoPanel => None,
        }
    }

    /// The stamp of a picture whose news are in `news` (`None`: it has none).
    pub(super) fn lit(&self, stamp: Stamp, news: Option<Extent>) -> Stamp {
        let Some(news) = news else { return stamp };
        match self {
            Scan::NoPanel => stamp,
            Scan::Known(scanned) if stamp.tells_scan_out() => {
                let later = Span::from_ms_f64(scanned.whole.ms() * scanned.share(news));
                Stamp { t: stamp.t + later, ..stamp }
            }
            Scan::Known(Scanned { whole: anywhere, .. }) | Scan::Unknown { refresh: anywhere } => {
                let variance = stamp.sd.ms().powi(2) + anywhere.ms().powi(2) / 12.0;
                Stamp { sd: Span::from_ms_f64(variance.sqrt()), ..stamp }
            }
        }
    }
}

impl Scanned {
    /// How much of the scan-out has gone by when the first row of the box is lit, 0 to 1.
    fn share(&self, news: Extent) -> f64 {
        let [width, height] = [f64::from(self.size.width), f64::from(self.size.height)];
        let [x, y] = self.at;
        let share = match self.from {
            ScanFrom::Top => (y + news.top) / height,
            ScanFrom::Bottom => (height - (y + news.bottom)) / height,
            ScanFrom::Left => (x + news.left) / width,
            ScanFrom::Right => (width - (x + news.right)) / width,
        };
        share.clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Nanos, StampSource};

    /// A display that lights one row of its panel after the other: the outside of this test.
    ///
    /// The panel is `columns` x `rows` in its own sense, whatever the desktop on it looks like.
    struct Display {
        columns: i32,
        rows: i32,
        all_rows: i32,
        refresh: Span,
        turned: ScanFrom,
    }

    impl Display {
        /// The desktop's size on it, px.
        fn desktop(&self) -> [i32; 2] {
            match self.turned {
                ScanFrom::Top | ScanFrom::Bottom => [self.columns, self.rows],
                ScanFrom::Left | ScanFrom::Right => [self.rows, self.columns],
            }
        }

        /// The row of the panel on which a pixel of the desktop is lit.
        fn row(&self, x: i32, y: i32) -> i32 {
            match self.turned {
                ScanFrom::Top => y,
                ScanFrom::Bottom => self.rows - 1 - y,
                ScanFrom::Left => x,
                ScanFrom::Right => self.rows - 1 - x,
            }
        }

        /// From the start of the scan-out to the first lit pixel of a box, row by row.
        fn first_lit(&self, [left, top, right, bottom]: [i32; 4]) -> Span {
            let row = (left..right)
                .flat_map(|x| (top..bottom).map(move |y| (x, y)))
                .map(|(x, y)| self.row(x, y))
                .min()
                .expect("a box of some size");
            Span(self.refresh.0 * i64::from(row) / i64::from(self.all_rows))
        }

        fn output(&self) -> Output {
            let [width, height] = self.desktop().map(|px| u32::try_from(px).unwrap());
            Output {
                id: "panel".to_owned(),
                x_px: 2000,
                y_px: -100,
                size: SizePx { width, height },
                rate_hz: Some(1e3 / self.refresh.ms()),
                px_per_mm: None,
                active_share: Some(f64::from(self.rows) / f64::from(self.all_rows)),
                scan_from: Some(self.turned),
                primary: true,
            }
        }
    }

    fn displays() -> impl Iterator<Item = Display> {
        let turns = [ScanFrom::Top, ScanFrom::Bottom, ScanFrom::Left, ScanFrom::Right];
        let rates = [60.0, 144.0, 540.0];
        turns.into_iter().flat_map(move |turned| {
            rates.map(|rate_hz| Display {
                columns: 192,
                rows: 108,
                all_rows: 112,
                refresh: Span::from_ms_f64(1e3 / rate_hz),
                turned,
            })
        })
    }

    fn flip(t: Nanos) -> Stamp {
        Stamp { t, source: StampSource::PresentComplete, sd: Span(50_000) }
    }

    #[test]
    fn a_stamp_is_moved_to_the_row_that_a_simulated_display_lights() {
        for display in displays() {
            let window = [5, 3];
            let output = display.output();
            let at_px = [output.x_px + window[0], output.y_px + window[1]];
            let scan = Scan::of(Some(&output), at_px, display.refresh, true);
            let [width, height] = display.desktop();
            for [x, y] in [[0, 0], [20, 30], [width - 20, height - 20]] {
                let on_desktop =
                    [x + window[0], y + window[1], x + window[0] + 9, y + window[1] + 6];
                let [left, top, right, bottom] = [x, y, x + 9, y + 6].map(f64::from);
                let lit = scan.lit(flip(Nanos(1_000)), Some(Extent { left, top, right, bottom }));
                let error = (lit.t - Nanos(1_000)) - display.first_lit(on_desktop);
                let of = (display.turned, display.refresh, x, y);
                assert!(error.0.abs() < 1_000, "{of:?}: {} ns", error.0);
                assert_eq!(lit.sd, Span(50_000));
            }
        }
    }

    #[test]
    fn where_the_scan_is_not_known_nothing_is_added_and_the_doubt_grows() {
        let news = Some(Extent { left: 0.0, top: 90.0, right: 9.0, bottom: 99.0 });
        let display = displays().next().unwrap();
        let known = Scan::of(Some(&display.output()), [2000, -100], display.refresh, true);
        let no_mode = Output { active_share: None, ..display.output() };
        let turned = Output { scan_from: None, ..display.output() };
        let copy = Stamp { source: StampSource::Damage, ..flip(Nanos(5)) };
        let slow = Stamp { sd: Span(1_000_000), ..flip(Nanos(5)) };
        for (scan, stamp) in [
            (Scan::of(Some(&no_mode), [2000, -100], display.refresh, true), flip(Nanos(5))),
            (Scan::of(Some(&turned), [2000, -100], display.refresh, true), flip(Nanos(5))),
            (
                Scan::of(Some(&display.output()), [2000, -100], display.refresh, false),
                flip(Nanos(5)),
            ),
            (known, copy),
            (known, slow),
        ] {
            let lit = scan.lit(stamp, news);
            assert_eq!(lit.t, stamp.t);
            // 16.667 ms over the root of 12 is 4.81 ms; of the lit rows alone 4.64.
            assert!((4.6..4.95).contains(&lit.sd.ms()), "{lit:?}");
        }
    }

    #[test]
    fn a_virtual_screen_and_a_picture_without_news_change_nothing() {
        let news = Some(Extent { left: 0.0, top: 90.0, right: 9.0, bottom: 99.0 });
        let display = displays().next().unwrap();
        let known = Scan::of(Some(&display.output()), [2000, -100], display.refresh, true);
        assert_eq!(known.lit(flip(Nanos(5)), None), flip(Nanos(5)));
        let virtual_screen = Output { rate_hz: None, ..display.output() };
        for output in [Some(&virtual_screen), None] {
            let scan = Scan::of(output, [0, 0], display.refresh, true);
            assert_eq!(scan, Scan::NoPanel);
            assert_eq!(scan.lit(flip(Nanos(5)), news), flip(Nanos(5)));
        }
    }

    #[test]
    fn the_scan_out_of_a_whole_picture_is_told_for_a_hardware_clock_alone() {
        let display = displays().next().unwrap();
        let scan = Scan::of(Some(&display.output()), [2000, -100], display.refresh, true);
        // 108 of 112 rows of 16.667 ms.
        assert!((scan.whole_ms(true).unwrap() - 16.071).abs() < 0.001);
        assert_eq!(scan.whole_ms(false), None);
        assert_eq!(Scan::NoPanel.whole_ms(true), None);
    }
}
