//! The one integration-test binary. Its modules say what goes where:
//!
//! - `outside`: values published or computed by other programs, the source beside each.
//! - `screens`: the untimed screens, by keys, without a window.

mod outside;
#[cfg(feature = "window")]
mod screens;
