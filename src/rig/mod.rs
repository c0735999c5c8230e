//! Qualifies the apparatus: display, mouse and computer are measured, not believed.
//!
//! One file a judgement, pure: what was heard or read comes in, a finding goes out that says whether
//! it matters for a difference between holds, by how much, and how to mend it. [`Profile`] keeps them
//! under their date; [`changes`] compares two. [`camera`] turns a film of mouse and screen into the
//! lag that no program can see. The windows and threads stand elsewhere (`session/live`, `app`).

pub mod asked;
pub mod bounce;
pub mod camera;
pub mod changes;
pub mod computer;
pub mod display_facts;
mod error;
mod finding;
pub mod frames;
pub mod known;
#[cfg(feature = "window")]
pub mod live;
pub mod mice;
mod profile;
pub mod report_rate;
pub mod slide;
pub mod source;
pub mod wake_ups;

pub use error::RigError;
pub use finding::{Finding, Grade, Matters, Topic, USUAL_SD_MS, widened_share};
pub use profile::{
    CameraNote, FOLDER, FORMAT, Profile, Saved, add_camera, latest, list, save, sheet_path,
};

use crate::words::rig as words;

/// Whether a finding matters, in a sentence.
pub fn said(matters: Matters) -> String {
    words::weight(match matters {
        Matters::No => words::Weight::No,
        Matters::Cancels { ms } => words::Weight::Cancels(ms),
        Matters::Spread { sd_ms } => words::Weight::Spread(sd_ms, widened_share(sd_ms)),
        Matters::Bias { ms } => words::Weight::Bias(ms),
        Matters::Trials => words::Weight::Trials,
        Matters::Unknown => words::Weight::Unknown,
    })
}

/// How a profile stands as a whole, in a sentence.
pub fn summary(profile: &Profile) -> String {
    let count = |grade| profile.of_grade(grade).count();
    words::summary(count(Grade::Mend), count(Grade::Note), count(Grade::NotTold))
}
