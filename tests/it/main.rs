//! The one integration-test binary. Its modules say what goes where:
//!
//! - `outside`: values published or computed by other programs, the source beside each.
//! - `render`: pictures read back from an adapter: look, crispness, the rule on flashing.

mod outside;
#[cfg(feature = "window")]
mod render;
