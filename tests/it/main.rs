//! The one integration-test binary. Its modules say what goes where:
//!
//! - `input`: the decoders of mice, on records that a kernel gave;
//! - `outside`: values published or computed by other programs, the source beside each.

#[cfg(feature = "window")]
mod input;
mod outside;
