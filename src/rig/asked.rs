//! What no program can see and the player is asked: picture processing, overlays, recorders.
//!
//! A question has three answers; "don't know" is one of them.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::words::rig as words;
use serde::{Deserialize, Serialize};

/// A question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Question {
    /// High dynamic range is on.
    Hdr,
    /// The display follows the frames (variable refresh) by its settings.
    VariableRefresh,
    /// The backlight flashes once a frame.
    Strobe,
    /// Something draws over other windows.
    Overlay,
    /// Something records or streams the screen.
    Recorder,
    /// The mouse has no cable.
    Wireless,
}

impl Question {
    /// All of them, in the order they are asked.
    pub const ALL: [Question; 6] = [
        Question::Hdr,
        Question::VariableRefresh,
        Question::Strobe,
        Question::Overlay,
        Question::Recorder,
        Question::Wireless,
    ];
}

/// An answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    /// No.
    No,
    /// Yes.
    Yes,
    /// The player does not know.
    Unknown,
}

/// The answer to one question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Answered {
    /// The question.
    pub question: Question,
    /// The answer.
    pub answer: Answer,
}

/// What the answers mean: one finding a question; all not told where nothing was answered.
pub fn findings(answers: &[Answered]) -> Vec<Finding> {
    Question::ALL
        .into_iter()
        .map(|question| {
            let told = answers.iter().find(|answered| answered.question == question);
            finding(question, told.map_or(Answer::Unknown, |answered| answered.answer))
        })
        .collect()
}

fn finding(question: Question, answer: Answer) -> Finding {
    let topic = Topic::Asked;
    let said = words::asked(question.name());
    match answer {
        Answer::Unknown => Finding::not_told(topic, said.unknown.to_owned(), None),
        Answer::No => Finding::good(topic, said.no.to_owned(), Matters::No),
        Answer::Yes => {
            let (grade, matters) = match question {
                Question::Hdr => (Grade::Note, Matters::Cancels { ms: None }),
                Question::VariableRefresh => (Grade::Note, Matters::Unknown),
                // All rows light at once: nothing may be added for the row.
                Question::Strobe => (Grade::Note, Matters::Cancels { ms: None }),
                Question::Overlay | Question::Recorder => (Grade::Mend, Matters::Trials),
                Question::Wireless => (Grade::Note, Matters::Bias { ms: None }),
            };
            let mend = Some(said.mend.to_owned());
            Finding { topic, grade, what: said.yes.to_owned(), matters, mend }
        }
    }
}

impl Question {
    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            Question::Hdr => "hdr",
            Question::VariableRefresh => "variable_refresh",
            Question::Strobe => "strobe",
            Question::Overlay => "overlay",
            Question::Recorder => "recorder",
            Question::Wireless => "wireless",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_not_answered_is_not_told() {
        let told = findings(&[Answered { question: Question::Overlay, answer: Answer::Yes }]);
        assert_eq!(told.len(), Question::ALL.len());
        let overlay = told.iter().filter(|finding| finding.grade == Grade::Mend).count();
        let silent = told.iter().filter(|finding| finding.grade == Grade::NotTold).count();
        assert_eq!((overlay, silent), (1, 5));
    }

    #[test]
    fn each_question_has_its_own_words() {
        let mut whats: Vec<String> = Question::ALL
            .into_iter()
            .flat_map(|question| {
                [Answer::No, Answer::Yes, Answer::Unknown].map(|answer| finding(question, answer))
            })
            .map(|finding| finding.what)
            .collect();
        whats.sort();
        whats.dedup();
        assert_eq!(whats.len(), 18);
    }
}
