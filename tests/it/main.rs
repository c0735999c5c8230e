//! The one integration-test binary. Its modules say what goes where:
//!
//! - `findings`: from hand-made sessions to numbers, sentences, report and picture.
//! - `outside`: values published or computed by other programs, the source beside each.

mod findings;
mod outside;
