//! Sentences on the force axis.

/// No axis is there.
pub const NO_AXIS: &str = "no force axis is there: plug in a gamepad with analogue triggers, or a sensor \
     that the system shows as an axis";
/// Before the calibration.
pub const CAUTION: &str = "Never press as hard as you can. Pain, numbness or tingling: stop.";
/// The reading at rest.
pub const REST: &str = "Let go of it. Press Enter and keep your hand off it for 2 seconds.";
/// The reading under the grip.
pub const STRONG: &str = "Hold it firmly, as is still comfortable. Press Enter with the other hand and keep so for 2 seconds.";
/// Where an axis cannot be heard.
pub const AXIS_MEND: &str = "`tautline force` lists the axes that are there; a sensor must be readable by you (a udev rule)";
/// Where the readings give no scale.
pub const CALIBRATE_MEND: &str =
    "hold it more firmly, still comfortably, and keep still; then try again";
/// Above the band on a card.
pub const BAND: &str = "Your hold now";
/// What the mark says.
pub fn band_now(share: f64) -> String {
    format!("{:.0} % of your comfortable strong grip", share * 100.0)
}
/// On the band.
pub const BAND_HINT: &str =
    "Keep the mark inside the band before you start. It is not shown in the block.";
