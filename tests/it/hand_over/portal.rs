//! A desktop's portal for file dialogs on a bus of its own, which always answers with one file.
//!
//! As the documentation of org.freedesktop.portal.FileChooser and .Request has it: the call gives
//! back the path of a request, and the answer comes as that object's signal `Response`.

use std::collections::HashMap;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use zbus::message::Header;
use zbus::zvariant::{OwnedObjectPath, OwnedValue, Value};

/// The bus and the portal on it; both end with the value.
pub(crate) struct Portal {
    bus: Child,
    address: String,
    /// The window that the dialog was to stand in front of, once it was asked for.
    parent: Arc<Mutex<Option<String>>>,
    _connection: zbus::Connection,
}

impl Drop for Portal {
    fn drop(&mut self) {
        // Already ended is as good: neither answer says more.
        let _ = self.bus.kill();
        let _ = self.bus.wait();
    }
}

impl Portal {
    /// # Panics
    /// When there is no dbus-daemon.
    pub(crate) fn answering(file: &Path) -> Portal {
        let mut bus = Command::new("dbus-daemon")
            .args(["--session", "--nofork", "--nopidfile", "--print-address=1"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("dbus-daemon is installed (Debian: dbus)");
        let mut address = String::new();
        let told = bus.stdout.take().expect("it was piped");
        BufReader::new(told).read_line(&mut address).expect("it tells its address");
        let address = address.trim().to_owned();
        let parent: Arc<Mutex<Option<String>>> = Arc::default();
        let chooser =
            Chooser { uri: format!("file://{}", file.display()), parent: Arc::clone(&parent) };
        let connection = pollster::block_on(async {
            zbus::connection::Builder::address(address.as_str())?
                .name("org.freedesktop.portal.Desktop")?
                .serve_at("/org/freedesktop/portal/desktop", chooser)?
                .build()
                .await
        });
        let _connection = connection.expect("a bus of its own takes the name");
        Portal { bus, address, parent, _connection }
    }

    /// Where the bus listens.
    pub(crate) fn address(&self) -> &str {
        &self.address
    }

    /// Whether a dialog was asked for.
    pub(crate) fn was_asked(&self) -> bool {
        self.parent.lock().unwrap().is_some()
    }

    /// Whether the dialog was told the X11 window that it stands in front of.
    pub(crate) fn saw_parent(&self) -> bool {
        self.parent.lock().unwrap().as_ref().is_some_and(|parent| parent.starts_with("x11:"))
    }
}

struct Chooser {
    uri: String,
    parent: Arc<Mutex<Option<String>>>,
}

#[zbus::interface(name = "org.freedesktop.portal.FileChooser")]
impl Chooser {
    async fn open_file(
        &self,
        parent_window: String,
        _title: String,
        options: HashMap<String, OwnedValue>,
        #[zbus(header)] header: Header<'_>,
        #[zbus(connection)] connection: &zbus::Connection,
    ) -> zbus::fdo::Result<OwnedObjectPath> {
        *self.parent.lock().unwrap() = Some(parent_window);
        let sender = header.sender().expect("a bus names the sender").to_owned();
        let token = options.get("handle_token").expect("it says which request");
        let token: String = token.try_clone().unwrap().try_into().unwrap();
        let caller = sender.trim_start_matches(':').replace('.', "_");
        let path = format!("/org/freedesktop/portal/desktop/request/{caller}/{token}");
        let results = HashMap::from([("uris", Value::from(vec![self.uri.as_str()]))]);
        let interface = "org.freedesktop.portal.Request";
        connection
            .emit_signal(Some(&*sender), path.as_str(), interface, "Response", &(0u32, results))
            .await?;
        Ok(OwnedObjectPath::try_from(path).expect("a path"))
    }

    #[zbus(property, name = "version")]
    fn version(&self) -> u32 {
        3
    }
}
