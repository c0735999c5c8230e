//! Where events come from: one source a file, each on a thread of its own.
//!
//! A source stamps what it hears and pushes it into a ring; it never judges a press.
