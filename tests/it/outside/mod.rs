//! Values published or computed by other programs: published tables, scipy, statsmodels, R, NIST.

mod analysis;
mod checks;
mod motion;
mod protocol;
mod recompute;
