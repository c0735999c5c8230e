//! The one integration-test binary. Its modules say what goes where:
//!
//! - `outside`: values published or computed by other programs, the source beside each.
//! - `protocol`: the draw, the orders, the shipped files, the texts of errors.
//! - `tidy`: who may import whom.

mod outside;
mod protocol;
mod tidy;
