//! How far the view turns for one count, as a player enters it: px, or the turn of the hand.
//!
//! The view is flat: its middle is taken as that of a perspective picture of the stated field of
//! view, so that a small turn there is as far on the surface as in the player's own game.

use std::f64::consts::PI;

/// A player's gain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gain {
    /// Px for a count.
    PxPerCount(f64),
    /// The hand's way for a full turn.
    Turn {
        /// Counts that the mouse gives a centimetre.
        counts_per_cm: f64,
        /// Centimetres for a full turn of the view.
        cm_per_turn: f64,
        /// Horizontal field of view, degrees.
        fov_deg: f64,
    },
}

impl Gain {
    /// Px for a count on a surface so many px wide.
    ///
    /// ```text
    /// px a radian at the middle = width / 2 / tan(field / 2)
    /// px a count = 2 pi / (counts a cm x cm a turn) x px a radian
    /// ```
    /// The geometry of a perspective projection; no source needed.
    pub fn px_per_count(self, width_px: u32) -> f64 {
        match self {
            Gain::PxPerCount(px) => px,
            Gain::Turn { counts_per_cm, cm_per_turn, fov_deg } => {
                let px_per_radian =
                    f64::from(width_px) / 2.0 / libm::tan(fov_deg.to_radians() / 2.0);
                2.0 * PI / (counts_per_cm * cm_per_turn) * px_per_radian
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turn_worked_out_by_hand() {
        // 90 degrees on 1920 px: 960 px a radian. 315 counts a cm x 40 cm: 12,600 counts a turn,
        // so 6.283185 / 12,600 x 960 = 0.478719 px a count.
        let turn = Gain::Turn { counts_per_cm: 315.0, cm_per_turn: 40.0, fov_deg: 90.0 };
        assert!((turn.px_per_count(1920) - 0.478_719).abs() < 1e-6);
        assert!((Gain::PxPerCount(0.5).px_per_count(1920) - 0.5).abs() < 1e-12);
    }
}
