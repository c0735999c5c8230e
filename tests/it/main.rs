//! The one integration-test binary. Its modules say what goes where:
//!
//! - `outside`: values published or computed by other programs, the source beside each.
//! - `robot`: what a robot player did and what the program wrote of it, on an X server of their own.

mod outside;
#[cfg(all(target_os = "linux", feature = "window"))]
mod robot;
#[cfg(all(target_os = "linux", feature = "window"))]
mod support;
