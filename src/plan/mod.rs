//! What a design can show, by simulation. Knows no window.
