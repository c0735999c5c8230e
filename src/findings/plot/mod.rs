//! Plots as one draw list, and its painters.
//!
//! A plot is made once, in pixels, as a [`Drawing`]; [`svg`] and [`png`] paint it, and the window
//! paints the same list. A plot knows the findings; a painter knows only the list. Holds differ by
//! shape and by colour (Okabe-Ito), never by colour alone.

mod axis;
pub mod course;
pub mod differences;
mod draw;
mod frame;
mod ink;
pub mod letters;
pub mod planned;
pub mod png;
pub mod reciprobit;
pub mod sessions;
pub mod shift;
pub mod spread;
pub mod svg;
pub mod trade;

pub use axis::{Axis, ticks};
pub use draw::{Align, Colour, Drawing, Item, Point, Stroke, Text, Type, Weight, at};
pub use ink::{BAND, HAIRLINE, INK, MUTED, PAPER, Shape, colour_of, marker, shape_of};
