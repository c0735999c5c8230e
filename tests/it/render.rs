//! Pictures drawn without a window and read back: what the marks look like, that their edges are
//! crisp, and that no change of picture is a flash.
//!
//! Needs a Vulkan (or DX12) adapter; a software one will do.

use tautline::display::{Gpu, Patch, Renderer, SizePx};
use tautline::rig::camera::{Filming, REST, gray};
use tautline::scene::{Canvas, Mark, Marks, Notice, Place, Scene, SceneId, Side};
use tautline::units::{Nanos, Span, Stamp, StampSource};

/// The size at which the web's accessibility guidelines state their safe area.
const SIZE: SizePx = SizePx { width: 1024, height: 768 };
/// Largest area that may flash, px at that size.
///
/// # Source
/// WCAG 2.2, "general flash and red flash thresholds": 25 % of any 341 x 256 px rectangle.
const SAFE_AREA_PX: usize = 341 * 256 / 4;
/// Change of relative luminance from which a change counts as a flash.
///
/// # Source
/// WCAG 2.2, same definition: 10 % of the greatest relative luminance, the darker below 0.80.
const FLASH_CHANGE: f64 = 0.10;

/// A picture as blue, green, red, alpha bytes.
struct Picture {
    bytes: Vec<u8>,
}

impl Picture {
    fn rgb(&self, x: u32, y: u32) -> [u8; 3] {
        let at = ((y * SIZE.width + x) * 4) as usize;
        [self.bytes[at + 2], self.bytes[at + 1], self.bytes[at]]
    }

    fn pixels(&self) -> impl Iterator<Item = [u8; 3]> {
        self.bytes.chunks_exact(4).map(|pixel| [pixel[2], pixel[1], pixel[0]])
    }
}

struct Studio {
    gpu: Gpu,
    renderer: Renderer,
    texture: wgpu::Texture,
    buffer: wgpu::Buffer,
}

impl Studio {
    fn open() -> Studio {
        let gpu = Gpu::offscreen().expect("a Vulkan driver; mesa-vulkan-drivers has one");
        let renderer = Renderer::new(&gpu, SIZE).expect("the built-in font");
        let size =
            wgpu::Extent3d { width: SIZE.width, height: SIZE.height, depth_or_array_layers: 1 };
        let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
            label: None,
            size,
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: gpu.format,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::COPY_SRC,
            view_formats: &[],
        });
        let buffer = gpu.device.create_buffer(&wgpu::BufferDescriptor {
            label: None,
            size: u64::from(SIZE.width * SIZE.height * 4),
            usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
            mapped_at_creation: false,
        });
        Studio { gpu, renderer, texture, buffer }
    }

    fn draw(&mut self, scene: &Scene) -> Picture {
        self.draw_with(scene, Patch::None)
    }

    fn draw_with(&mut self, scene: &Scene, patch: Patch) -> Picture {
        let view = self.texture.create_view(&wgpu::TextureViewDescriptor::default());
        self.renderer.draw(&self.gpu, &view, scene, patch);
        let mut encoder = self.gpu.device.create_command_encoder(&Default::default());
        encoder.copy_texture_to_buffer(
            self.texture.as_image_copy(),
            wgpu::TexelCopyBufferInfo {
                buffer: &self.buffer,
                layout: wgpu::TexelCopyBufferLayout {
                    offset: 0,
                    bytes_per_row: Some(SIZE.width * 4),
                    rows_per_image: Some(SIZE.height),
                },
            },
            self.texture.size(),
        );
        self.gpu.queue.submit([encoder.finish()]);
        self.buffer.slice(..).map_async(wgpu::MapMode::Read, |mapped| mapped.expect("mapped"));
        self.gpu.device.poll(wgpu::PollType::wait_indefinitely()).expect("drawn");
        let bytes = self.buffer.slice(..).get_mapped_range().expect("mapped").to_vec();
        self.buffer.unmap();
        assert_eq!(self.gpu.faults.errors(), 0, "the driver complained");
        Picture { bytes }
    }
}

fn canvas() -> Canvas {
    Canvas { width_px: SIZE.width, height_px: SIZE.height, px_per_mm: None, rate_hz: 60.0 }
}

fn scene(marks: &[Mark]) -> Scene {
    Scene { marks: Marks::of(marks), ..Scene::empty(SceneId(1)) }
}

fn target(notch: Side, contrast_share: f64) -> Mark {
    let canvas = canvas();
    Mark::Target { at: canvas.centre(), size_px: canvas.px(20.0), notch, contrast_share }
}

fn wait() -> Mark {
    Mark::Wait { at: canvas().centre(), size_px: canvas().px(20.0) }
}

/// Relative luminance of an sRGB-encoded colour.
///
/// # Source
/// WCAG 2.2, "relative luminance".
fn luminance(rgb: [u8; 3]) -> f64 {
    let linear = rgb.map(|byte| {
        let encoded = f64::from(byte) / 255.0;
        if encoded <= 0.04045 { encoded / 12.92 } else { ((encoded + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
}

/// Pixels whose luminance changes enough to count as a flash.
fn flashing(before: &Picture, after: &Picture) -> usize {
    let change = |(a, b)| (luminance(a) - luminance(b)).abs();
    before.pixels().zip(after.pixels()).filter(|&pair| change(pair) >= FLASH_CHANGE).count()
}

fn differing(before: &Picture, after: &Picture) -> usize {
    before.pixels().zip(after.pixels()).filter(|(a, b)| a != b).count()
}

#[test]
fn no_change_between_stimuli_is_a_flash() {
    let mut studio = Studio::open();
    let size_px = canvas().px(20.0);
    let at = canvas().centre();
    let cover = Mark::Cover { at, width_px: size_px * 1.6, height_px: size_px * 3.0 };
    let chevron = Mark::Chevron { at, size_px: size_px / 3.0 };
    let dots = Some(Place::default());
    let noticed = |notice| Scene { notice: Some(notice), ..scene(&[]) };
    let steps = [
        scene(&[]),
        scene(&[wait()]),
        scene(&[target(Side::Up, 1.0)]),
        scene(&[wait()]),
        Scene { view: dots, ..scene(&[chevron]) },
        Scene { view: dots, ..scene(&[cover, chevron]) },
        scene(&[target(Side::Left, 0.6), cover]),
        noticed(Notice::Early),
        noticed(Notice::Wrong),
        noticed(Notice::Missed),
        noticed(Notice::EmptyWaitPassed),
        noticed(Notice::RightlyLeft),
        noticed(Notice::Again),
        noticed(Notice::Measuring),
        Scene { view: dots, ..scene(&[]) },
        Scene { view: Some(Place { x_px: 13.0, y_px: 5.0 }), ..scene(&[]) },
    ];
    let pictures: Vec<Picture> = steps.iter().map(|scene| studio.draw(scene)).collect();
    for (step, pair) in pictures.windows(2).enumerate() {
        let differs = differing(&pair[0], &pair[1]);
        assert!(differs > 100, "step {step}: only {differs} px differ, nothing was drawn");
        let area = flashing(&pair[0], &pair[1]);
        assert!(area < SAFE_AREA_PX / 4, "step {step}: {area} px flash");
    }
}

#[test]
fn frames_of_the_clock_check_differ_by_one_level_in_a_small_square() {
    let mut studio = Studio::open();
    let even = studio.draw_with(&scene(&[]), Patch::Even);
    let odd = studio.draw_with(&scene(&[]), Patch::Odd);
    let changed: Vec<usize> = even
        .pixels()
        .zip(odd.pixels())
        .enumerate()
        .filter(|(_, (a, b))| a != b)
        .map(|(index, (a, b))| {
            assert_eq!(a.map(|byte| byte + 1), b, "one grey level");
            index
        })
        .collect();
    let extent = |of: &dyn Fn(usize) -> usize| {
        let all = || changed.iter().map(|&index| of(index));
        all().max().unwrap() - all().min().unwrap() + 1
    };
    let width = SIZE.width as usize;
    assert!(extent(&|index| index % width) <= 16);
    assert!(extent(&|index| index / width) <= 16);
}

#[test]
fn the_target_has_its_published_colour_and_its_notch_on_the_side_asked() {
    let mut studio = Studio::open();
    let field = studio.draw(&scene(&[])).rgb(0, 0);
    // Mid-grey lies between two levels: 127 and 128 are both it.
    assert!(field == [127; 3] || field == [128; 3], "{field:?}");
    let [cx, cy] = [SIZE.width / 2, SIZE.height / 2];
    // Well inside the lozenge (half 37.8 px), where only a notch can be.
    let towards = |side| match side {
        Side::Up => [cx, cy - 20],
        Side::Down => [cx, cy + 20],
        Side::Left => [cx - 20, cy],
        Side::Right => [cx + 20, cy],
    };
    let sides = [Side::Up, Side::Down, Side::Left, Side::Right];
    for notch in sides {
        let picture = studio.draw(&scene(&[target(notch, 1.0)]));
        // #0072B2, Okabe & Ito 2008.
        assert_eq!(picture.rgb(cx, cy), [0x00, 0x72, 0xB2]);
        for side in sides {
            let [x, y] = towards(side);
            let cut = picture.rgb(x, y) == field;
            assert_eq!(cut, side == notch, "notch {notch:?}, looked {side:?}");
        }
    }
}

#[test]
fn contrast_share_mixes_the_colour_with_the_field() {
    let mut studio = Studio::open();
    let [cx, cy] = [SIZE.width / 2, SIZE.height / 2];
    let half = studio.draw(&scene(&[target(Side::Up, 0.5)])).rgb(cx, cy);
    // Half way from 127.5 to 0, 114 and 178.
    assert_eq!(half, [64, 121, 153]);
    let none = studio.draw(&scene(&[target(Side::Up, 0.0)]));
    assert_eq!(differing(&none, &studio.draw(&scene(&[]))), 0);
}

#[test]
fn straight_edges_of_still_marks_are_one_step() {
    let mut studio = Studio::open();
    // A middle off the whole pixel must not blur them.
    let at = Place { x_px: 512.3, y_px: 384.6 };
    let cover = scene(&[Mark::Cover { at, width_px: 121.0, height_px: 227.0 }]);
    let picture = studio.draw(&cover);
    let mut greys: Vec<[u8; 3]> = picture.pixels().collect();
    greys.sort();
    greys.dedup();
    assert_eq!(greys.len(), 2, "field and slab, nothing between: {greys:?}");
}

#[test]
fn the_view_moves_its_dots_by_just_its_shift() {
    let mut studio = Studio::open();
    let viewed = |x_px, y_px| Scene { view: Some(Place { x_px, y_px }), ..scene(&[]) };
    let still = studio.draw(&viewed(0.0, 0.0));
    let dots = differing(&still, &studio.draw(&scene(&[])));
    // Sparse: some hundreds of px, far below a percent of the picture.
    assert!((300..8000).contains(&dots), "{dots} px of dots");
    for [dx, dy] in [[30i32, 0], [-200, 7], [3000, -1500]] {
        let moved = studio.draw(&viewed(f64::from(dx), f64::from(dy)));
        assert!(differing(&moved, &still) > 100);
        let back = studio.draw(&viewed(f64::from(dx) - 30.0, f64::from(dy) + 12.0));
        // The same pattern, 30 px to the right and 12 px up: all that is on both pictures agrees.
        let mut wrong = 0;
        for y in 0..SIZE.height - 12 {
            for x in 30..SIZE.width {
                wrong += usize::from(moved.rgb(x, y) != back.rgb(x - 30, y + 12));
            }
        }
        assert_eq!(wrong, 0, "shift {dx}, {dy}");
    }
}

#[test]
fn a_notice_stands_below_the_middle_and_is_centred() {
    let mut studio = Studio::open();
    let empty = studio.draw(&scene(&[]));
    let noticed = Scene { notice: Some(Notice::EmptyWaitPassed), ..scene(&[]) };
    let picture = studio.draw(&noticed);
    let inked: Vec<usize> = empty
        .pixels()
        .zip(picture.pixels())
        .enumerate()
        .filter_map(|(index, (a, b))| (a != b).then_some(index))
        .collect();
    let width = SIZE.width as usize;
    let rows: Vec<usize> = inked.iter().map(|index| index / width).collect();
    assert!(rows.iter().all(|&y| y > SIZE.height as usize / 2), "below the middle");
    let columns = || inked.iter().map(|index| index % width);
    let [left, right] = [columns().min().unwrap(), width - 1 - columns().max().unwrap()];
    assert!(left.abs_diff(right) <= 4, "{left} px left of it, {right} px right");
    assert!(left > 100 && inked.len() > 500, "a short line of some size");
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "on the picture")]
fn pixel(px: f64) -> u32 {
    px.round() as u32
}

/// What a camera would read off the strip: the middle of each square against the two at the ends.
fn read_strip(picture: &Picture, scene: &Scene) -> u32 {
    let strip = scene.marks.iter().find_map(|mark| match *mark {
        Mark::Strip { at, cell_px, cells, .. } => Some((at, cell_px, cells)),
        _ => None,
    });
    let (at, cell_px, cells) = strip.unwrap();
    let side = 2.0 * (cell_px / 2.0).round();
    let squares = cells + 2;
    let grey = |square: u8| {
        let x = at.x_px.round() + side * (f64::from(square) - (f64::from(squares) - 1.0) / 2.0);
        luminance(picture.rgb(pixel(x), pixel(at.y_px)))
    };
    let middle = (grey(0) + grey(squares - 1)) / 2.0;
    assert!(grey(0) < grey(squares - 1), "the squares at the ends: dark, then light");
    (1..=cells).fold(0, |code, square| 2 * code + u32::from(grey(square) > middle))
}

fn press(ms: i64) -> Stamp {
    Stamp { t: Nanos(0) + Span::from_ms(ms), source: StampSource::Simulated, sd: Span::ZERO }
}

#[test]
fn the_strip_that_is_filmed_decodes_to_the_number_of_its_picture() {
    let mut studio = Studio::open();
    let mut filming = Filming::new(canvas(), Nanos(0));
    let seen = [1_u64, 2, 3, 4, 5, 8, 37, 1000, 8191, 16383];
    for number in 1..=16383_u64 {
        let scene = filming.scene();
        if seen.contains(&number) {
            let read = gray::number(read_strip(&studio.draw(&scene), &scene));
            assert_eq!(u64::from(read), number);
        }
        filming.drawn();
    }
}

#[test]
fn the_screen_that_is_filmed_does_not_flash() {
    let mut studio = Studio::open();
    let mut filming = Filming::new(canvas(), Nanos(0));
    let mut pictures = Vec::new();
    for _ in 0..8 {
        pictures.push(studio.draw(&filming.scene()));
        filming.drawn();
    }
    for (step, pair) in pictures.windows(2).enumerate() {
        assert!(differing(&pair[0], &pair[1]) > 300, "step {step}: a square changes");
        assert_eq!(flashing(&pair[0], &pair[1]), 0, "step {step}: by less than a flash");
    }
    // The patch does change by that much; it is small, and `Filming` lets it do so thrice a second.
    let before = studio.draw(&filming.scene());
    assert!(filming.press(press(10_000)));
    let after = studio.draw(&filming.scene());
    let patch = flashing(&before, &after);
    let strip: f64 = filming.scene().marks.iter().map(strip_area_px).sum();
    assert!(patch > 1000 && (patch as f64 + strip) < SAFE_AREA_PX as f64, "{patch} and {strip} px");
    assert!(REST.s() * 3.0 > 1.0);
}

fn strip_area_px(mark: &Mark) -> f64 {
    match mark {
        Mark::Strip { cell_px, cells, .. } => cell_px * cell_px * f64::from(*cells),
        _ => 0.0,
    }
}
