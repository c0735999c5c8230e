//! Which mouse is which: whether what moved and what clicked is one device, and whether two on the
//! desk can be told apart.
//!
//! Pure: what each device did, in; a judgement out.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::words::rig as words;
use serde::{Deserialize, Serialize};

/// What one device did during the check.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mouse {
    /// What `--mouse` takes.
    pub model: String,
    /// Product name.
    pub name: String,
    /// What its motion means (`counts`, `normalised`, `pixels`).
    pub unit: String,
    /// Reports with motion.
    pub reports: usize,
    /// Presses.
    pub presses: usize,
}

impl Mouse {
    fn spoke(&self) -> bool {
        self.reports > 0 || self.presses > 0
    }
}

/// The judgement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Which {
    /// Nothing spoke.
    Silent,
    /// One is there and it spoke.
    One,
    /// Several are there, one spoke.
    OneOfSeveral,
    /// Two or more spoke, each under its own name.
    Apart,
    /// One moved and another clicked.
    MovedAndClickedApart,
    /// The source tells of one pointer for all of them.
    NotTold,
}

/// Judges the devices of one source. `source`: its name in files.
pub fn judge(mice: &[Mouse], source: &str) -> Which {
    // The window library passes all mice on as one pointer.
    if source == "window" {
        return Which::NotTold;
    }
    let spoke: Vec<&Mouse> = mice.iter().filter(|mouse| mouse.spoke()).collect();
    match spoke[..] {
        [] => Which::Silent,
        [_] if mice.len() == 1 => Which::One,
        [_] => Which::OneOfSeveral,
        _ => {
            let both = spoke.iter().any(|mouse| mouse.reports > 0 && mouse.presses > 0);
            let moved = spoke.iter().any(|mouse| mouse.reports > 0);
            let clicked = spoke.iter().any(|mouse| mouse.presses > 0);
            if !both && moved && clicked { Which::MovedAndClickedApart } else { Which::Apart }
        }
    }
}

/// What it means.
pub fn finding(mice: &[Mouse], source: &str) -> Finding {
    let topic = Topic::Mice;
    let spoke: Vec<&str> =
        mice.iter().filter(|mouse| mouse.spoke()).map(|mouse| mouse.model.as_str()).collect();
    let first = spoke.first().copied().unwrap_or_default();
    match judge(mice, source) {
        Which::Silent => Finding::not_told(topic, words::no_mouse_spoke().to_owned(), None),
        Which::NotTold => Finding {
            topic,
            grade: Grade::Note,
            what: words::mice_not_told().to_owned(),
            matters: Matters::Trials,
            mend: Some(words::mice_unplug().to_owned()),
        },
        Which::One => Finding::good(topic, words::one_mouse(first), Matters::No),
        Which::OneOfSeveral => Finding {
            topic,
            grade: Grade::Note,
            what: words::one_of_several(first, mice.len()),
            matters: Matters::Trials,
            mend: Some(words::only_this_mouse(first)),
        },
        Which::Apart | Which::MovedAndClickedApart => Finding {
            topic,
            grade: Grade::Mend,
            what: words::mice_apart(&spoke),
            matters: Matters::Trials,
            mend: Some(words::only_this_mouse(first)),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mouse(model: &str, reports: usize, presses: usize) -> Mouse {
        let (model, unit) = (model.to_owned(), "counts".to_owned());
        Mouse { name: model.clone(), model, unit, reports, presses }
    }

    #[test]
    fn each_case_is_told_from_the_others() {
        let one = [mouse("1209:0001", 900, 12)];
        let idle = [mouse("1209:0001", 900, 12), mouse("1209:0001-2", 0, 0)];
        let two = [mouse("1209:0001", 900, 12), mouse("1209:0001-2", 400, 0)];
        let split = [mouse("1209:0001", 900, 0), mouse("1209:0002", 0, 12)];
        assert_eq!(judge(&one, "evdev"), Which::One);
        assert_eq!(judge(&idle, "evdev"), Which::OneOfSeveral);
        assert_eq!(judge(&two, "evdev"), Which::Apart);
        assert_eq!(judge(&split, "xinput"), Which::MovedAndClickedApart);
        assert_eq!(judge(&[], "evdev"), Which::Silent);
        assert_eq!(judge(&one, "window"), Which::NotTold);
    }

    #[test]
    fn twins_are_named_apart_in_what_is_said() {
        let two = [mouse("1209:0001", 900, 12), mouse("1209:0001-2", 400, 1)];
        let told = finding(&two, "evdev");
        assert!(told.what.contains("1209:0001-2"), "{}", told.what);
        assert!(told.mend.is_some_and(|mend| mend.contains("--mouse")));
    }
}
