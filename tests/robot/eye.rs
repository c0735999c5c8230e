//! Looks at a few small patches of the screen, through MIT-SHM.
//!
//! All patches of one look are asked for together and lie in one shared segment, which is read as a
//! file; nothing is mapped. Knows colours, not tasks. A look stands between two readings of the
//! clock: the picture is the one of some moment between them.

use crate::error::RobotError;
use std::fs::File;
use std::os::unix::fs::FileExt as _;
use tautline::clock;
use tautline::units::Nanos;
use x11rb::connection::Connection as _;
use x11rb::protocol::shm::{self, ConnectionExt as _};
use x11rb::protocol::xproto::{AtomEnum, ConnectionExt as _, ImageFormat, Window};
use x11rb::rust_connection::RustConnection;

/// A rectangle of the screen, px.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Patch {
    pub(crate) x_px: i16,
    pub(crate) y_px: i16,
    pub(crate) width_px: u16,
    pub(crate) height_px: u16,
}

impl Patch {
    /// A square with this middle.
    pub(crate) fn around(x_px: i16, y_px: i16, side_px: u16) -> Patch {
        let half_px = i16::try_from(side_px / 2).expect("a patch is a few pixels");
        Patch { x_px: x_px - half_px, y_px: y_px - half_px, width_px: side_px, height_px: side_px }
    }

    fn bytes(self) -> usize {
        usize::from(self.width_px) * usize::from(self.height_px) * BYTES_PER_PIXEL
    }

    /// The part of this patch that lies on a screen so large; the X server refuses the rest.
    fn clipped(self, width_px: u16, height_px: u16) -> Option<Patch> {
        let cut = |from: i16, length: u16, most: u16| {
            let low = i32::from(from).clamp(0, i32::from(most));
            let high = (i32::from(from) + i32::from(length)).clamp(0, i32::from(most));
            (i16::try_from(low).ok(), u16::try_from(high - low).ok())
        };
        let (x, width) = cut(self.x_px, self.width_px, width_px);
        let (y, height) = cut(self.y_px, self.height_px, height_px);
        let patch = Patch { x_px: x?, y_px: y?, width_px: width?, height_px: height? };
        (patch.width_px > 0 && patch.height_px > 0).then_some(patch)
    }
}

/// One pixel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Colour {
    pub(crate) red: u8,
    pub(crate) green: u8,
    pub(crate) blue: u8,
}

impl Colour {
    /// The trial field: mid-grey, within one level.
    pub(crate) fn is_field(self) -> bool {
        [self.red, self.green, self.blue].iter().all(|&part| (127..=129).contains(&part))
    }

    /// Something of the target: blue stands off from red. Everything else in a trial is grey.
    pub(crate) fn is_target(self) -> bool {
        const LEAST: u8 = 10;
        self.blue.saturating_sub(self.red) >= LEAST
    }
}

/// What was seen, and between which two moments.
#[derive(Debug)]
pub(crate) struct Look {
    /// Before anything was asked.
    pub(crate) before: Nanos,
    /// After everything had come.
    pub(crate) after: Nanos,
    pixels: Vec<Vec<Colour>>,
}

impl Look {
    /// The pixels of the patch with this index, row by row.
    pub(crate) fn patch(&self, index: usize) -> &[Colour] {
        &self.pixels[index]
    }
}

/// Where a window's inside lies on the screen, px.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Inside {
    pub(crate) x_px: i16,
    pub(crate) y_px: i16,
    pub(crate) width_px: u16,
    pub(crate) height_px: u16,
}

const BYTES_PER_PIXEL: usize = 4;

/// A connection that only looks.
pub(crate) struct Eye {
    connection: RustConnection,
    root: Window,
    width_px: u16,
    height_px: u16,
    segment: shm::Seg,
    memory: File,
    clients: u32,
}

impl Eye {
    pub(crate) fn open(display: Option<&str>) -> Result<Eye, RobotError> {
        let (connection, screen) = x11rb::connect(display)?;
        let root = &connection.setup().roots[screen];
        let (depth, width_px, height_px) =
            (root.root_depth, root.width_in_pixels, root.height_in_pixels);
        let root = root.root;
        let formats = &connection.setup().pixmap_formats;
        let bits = formats.iter().find(|f| f.depth == depth).map_or(0, |f| f.bits_per_pixel);
        if usize::from(bits) != BYTES_PER_PIXEL * 8 {
            return Err(RobotError::Depth { bits });
        }
        connection.shm_query_version()?.reply()?;
        let segment = connection.generate_id()?;
        let size = u32::from(width_px) * u32::from(height_px) * 4;
        let made = connection.shm_create_segment(segment, size, false)?.reply()?;
        let clients = connection.intern_atom(false, b"_NET_CLIENT_LIST")?.reply()?.atom;
        let memory = File::from(made.shm_fd);
        Ok(Eye { connection, root, width_px, height_px, segment, memory, clients })
    }

    /// The largest window that the window manager manages, if there is one.
    pub(crate) fn window(&self) -> Result<Option<Inside>, RobotError> {
        let list = self
            .connection
            .get_property(false, self.root, self.clients, AtomEnum::WINDOW, 0, 64)?
            .reply()?;
        let mut largest: Option<Inside> = None;
        for window in list.value32().into_iter().flatten() {
            // A window may go between the list and the question: then it is simply not there.
            let Ok(shape) = self.connection.get_geometry(window)?.reply() else { continue };
            let at = self.connection.translate_coordinates(window, self.root, 0, 0)?.reply();
            let Ok(at) = at else { continue };
            let inside = Inside {
                x_px: at.dst_x,
                y_px: at.dst_y,
                width_px: shape.width,
                height_px: shape.height,
            };
            let area = |i: Inside| u32::from(i.width_px) * u32::from(i.height_px);
            if largest.is_none_or(|found| area(found) < area(inside)) {
                largest = Some(inside);
            }
        }
        Ok(largest)
    }

    /// Looks at all of `patches`. A patch off the screen has no pixels.
    pub(crate) fn look(&self, patches: &[Patch]) -> Result<Look, RobotError> {
        let clipped: Vec<Option<Patch>> =
            patches.iter().map(|patch| patch.clipped(self.width_px, self.height_px)).collect();
        let before = clock::now();
        let mut asked = Vec::with_capacity(patches.len());
        let mut offset = 0;
        for patch in clipped.iter().flatten() {
            asked.push(self.connection.shm_get_image(
                self.root,
                patch.x_px,
                patch.y_px,
                patch.width_px,
                patch.height_px,
                !0,
                ImageFormat::Z_PIXMAP.into(),
                self.segment,
                offset,
            )?);
            offset += u32::try_from(patch.bytes()).expect("a screen is below 4 GiB");
        }
        self.connection.flush()?;
        for cookie in asked {
            cookie.reply()?;
        }
        let after = clock::now();
        let mut bytes = vec![0; offset as usize];
        let read = self.memory.read_exact_at(&mut bytes, 0);
        read.map_err(|source| RobotError::Memory { source })?;
        let mut rest = bytes.as_slice();
        let mut pixels = Vec::with_capacity(patches.len());
        for patch in &clipped {
            let (own, others) = rest.split_at(patch.map_or(0, Patch::bytes));
            let colours = own.chunks_exact(BYTES_PER_PIXEL);
            // 32 bits a pixel, least byte first: blue, green, red, nothing.
            pixels.push(colours.map(|p| Colour { blue: p[0], green: p[1], red: p[2] }).collect());
            rest = others;
        }
        Ok(Look { before, after, pixels })
    }
}
