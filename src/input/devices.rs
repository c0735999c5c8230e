//! The table of devices of one session: who is who, also after an unplug.
//!
//! Written by a source's thread when a device is opened or goes, read by [`super::Hands`] when a
//! device speaks for the first time; never touched between a stamp and its ring. Invariant: a number,
//! once given, names the same device to the session's end.

use super::DeviceInfo;
use crate::units::{DeviceId, MotionUnit};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// What the system tells of a device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Identity {
    /// Product name.
    pub(crate) name: String,
    /// Vendor and product, or the name in small letters: the root of its ident.
    pub(crate) model: String,
    /// The serial number, if it tells one. Kept in memory only, to know it again in another port.
    pub(crate) serial: Option<String>,
    /// Where it is plugged in.
    pub(crate) place: String,
}

#[derive(Debug)]
struct Known {
    info: DeviceInfo,
    identity: Identity,
    present: bool,
    /// Its steps are decided.
    spoken: bool,
}

/// A device after it was entered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Entered {
    /// Its number.
    pub(crate) id: DeviceId,
    /// Whether it had been there before.
    pub(crate) again: bool,
}

/// All devices that were ever there.
#[derive(Debug, Default)]
pub(crate) struct Devices(Mutex<Vec<Known>>);

impl Devices {
    fn lock(&self) -> MutexGuard<'_, Vec<Known>> {
        // Nothing here can leave the table half written: a poisoned lock holds a whole table.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Enters a device that is there now: the one that left the same place, else the one that left
    /// with the same serial number, else one of the same model that left, else a new one.
    pub(crate) fn enter(&self, identity: Identity, unit: MotionUnit, steps: u16) -> Entered {
        let mut table = self.lock();
        let left = |known: &Known| !known.present && known.identity.model == identity.model;
        let found = table
            .iter()
            .position(|k| left(k) && k.identity.place == identity.place)
            .or_else(|| {
                let same = |k: &Known| k.identity.serial == identity.serial;
                table.iter().position(|k| left(k) && identity.serial.is_some() && same(k))
            })
            .or_else(|| table.iter().position(left));
        if let Some(index) = found {
            let known = &mut table[index];
            known.present = true;
            known.identity = identity;
            return Entered { id: known.info.id, again: true };
        }
        let id = DeviceId(u16::try_from(table.len()).expect("65,536 devices are never plugged in"));
        let alike = table.iter().filter(|k| k.identity.model == identity.model).count();
        let ident = match alike {
            0 => identity.model.clone(),
            more => format!("{}-{}", identity.model, more + 1),
        };
        let info = DeviceInfo {
            id,
            name: identity.name.clone(),
            unit,
            steps_per_count: steps,
            report_interval: None,
            ident,
        };
        table.push(Known { info, identity, present: true, spoken: false });
        Entered { id, again: false }
    }

    /// The device went away.
    #[cfg_attr(
        not(any(target_os = "linux", windows)),
        expect(dead_code, reason = "for sources with a thread")
    )]
    pub(crate) fn left(&self, id: DeviceId) {
        if let Some(known) = self.lock().get_mut(usize::from(id.0)) {
            known.present = false;
        }
    }

    /// Before a source is opened anew: every device has to come back.
    pub(crate) fn all_left(&self) {
        self.lock().iter_mut().for_each(|known| known.present = false);
    }

    /// Its motion turned out to come in finer steps, before it has spoken.
    #[cfg_attr(not(target_os = "linux"), expect(dead_code, reason = "for X11"))]
    pub(crate) fn set_steps(&self, id: DeviceId, steps: u16) {
        if let Some(known) = self.lock().get_mut(usize::from(id.0)) {
            known.info.steps_per_count = steps;
            known.spoken = true;
        }
    }

    /// The steps of a device that is here for the second time: what was published stays true.
    #[cfg_attr(not(target_os = "linux"), expect(dead_code, reason = "for X11"))]
    pub(crate) fn steps_once_spoken(&self, id: DeviceId) -> Option<u16> {
        let table = self.lock();
        table.get(usize::from(id.0)).filter(|k| k.spoken).map(|k| k.info.steps_per_count)
    }

    /// What is known of one.
    pub(crate) fn info(&self, id: DeviceId) -> Option<DeviceInfo> {
        self.lock().get(usize::from(id.0)).map(|known| known.info.clone())
    }

    /// What is known of all, in the order of their numbers.
    pub(crate) fn all(&self) -> Vec<DeviceInfo> {
        self.lock().iter().map(|known| known.info.clone()).collect()
    }

    /// Whether `wanted` (an ident, or a whole name) is this device; no wish is always met.
    pub(crate) fn is_wanted(&self, id: DeviceId, wanted: Option<&str>) -> bool {
        let Some(wanted) = wanted else { return true };
        self.info(id).is_some_and(|i| {
            i.ident.eq_ignore_ascii_case(wanted) || i.name.eq_ignore_ascii_case(wanted)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mouse(serial: Option<&str>, place: &str) -> Identity {
        Identity {
            name: "Mouse".to_owned(),
            model: "1209:0001".to_owned(),
            serial: serial.map(str::to_owned),
            place: place.to_owned(),
        }
    }

    fn enter(devices: &Devices, serial: Option<&str>, place: &str) -> Entered {
        devices.enter(mouse(serial, place), MotionUnit::Counts, 1)
    }

    #[test]
    fn a_mouse_is_known_again_in_another_port() {
        let devices = Devices::default();
        let a = enter(&devices, Some("a"), "port 1");
        let b = enter(&devices, Some("b"), "port 2");
        assert_eq!((a.again, b.again), (false, false));
        devices.left(a.id);
        devices.left(b.id);
        assert_eq!(enter(&devices, Some("b"), "port 3"), Entered { id: b.id, again: true });
        assert_eq!(enter(&devices, Some("a"), "port 1"), Entered { id: a.id, again: true });
    }

    #[test]
    fn two_of_one_model_at_once_are_two() {
        let devices = Devices::default();
        // Cheap mice all tell the same serial number.
        let a = enter(&devices, Some("0"), "port 1");
        let b = enter(&devices, Some("0"), "port 2");
        assert_ne!(a.id, b.id);
        let idents: Vec<String> = devices.all().into_iter().map(|info| info.ident).collect();
        assert_eq!(idents, ["1209:0001", "1209:0001-2"]);
        assert!(devices.is_wanted(b.id, Some("1209:0001-2")));
        assert!(!devices.is_wanted(a.id, Some("1209:0001-2")));
        assert!(devices.is_wanted(a.id, Some("mouse")) && devices.is_wanted(a.id, None));
    }
}
