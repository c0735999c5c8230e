//! What the raw counts say: movement onset, speed, path. Pure; knows steps and moments only.
