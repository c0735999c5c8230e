//! From hand-made sessions to numbers, sentences, report and picture.

mod enter;
mod forms;
mod hold_check;
mod invented;
mod numbers;
mod recompute;
mod sentences;
