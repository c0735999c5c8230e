//! From hand-made sessions to numbers, sentences, report and picture.

mod beside;
mod by_task;
mod enter;
mod forms;
mod hold_check;
mod invented;
mod numbers;
mod printed;
mod recompute;
mod sentences;
mod shapes;
