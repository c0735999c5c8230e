//! The session folder: manifest, trials, events, ratings; append, flush, recover, replay.
//!
//! It writes what it is given and never changes or drops a row.
