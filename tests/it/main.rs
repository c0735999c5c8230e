//! The one integration-test binary. Its modules say what goes where:
//!
//! - `outside`: values published or computed by other programs, the source beside each;
//! - `properties_record`, `properties_settings`: what must hold of any input;
//! - `record_faults`: the session folder under every fault;
//! - `record_sample`: the invented session that those tests share.

mod outside;
mod properties_record;
mod properties_settings;
mod record_faults;
mod record_sample;
