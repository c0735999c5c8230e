//! What a frame costs: the heaviest pictures drawn off screen, with the card's own stamps at both
//! ends of the drawing and the processor's time beside them. Prints a Markdown table.
//!
//! `frame-cost [FRAMES_A_SECOND]`: with a rate the frames are paced, as in a session, so that the
//! card may lower its clocks between them; without one they follow each other. Rows of the driver's
//! own clear stand below the program's pictures. It needs a Vulkan (or DX12) driver and no window. The figures are of the card they were taken on and predict
//! nothing for another.

#![expect(clippy::print_stdout, reason = "what it prints is all it is for")]

#[path = "clear_cost.rs"]
mod clear_cost;

use std::process::ExitCode;
use std::sync::mpsc;
use std::time::Duration;

use tautline::clock;
use tautline::display::{Gpu, Patch, Renderer, SizePx};
use tautline::scene::{Canvas, MOST_MARKS, Mark, Marks, Notice, Place, Scene, SceneId, Side};
use tautline::units::Span;

/// Not measured: the card wakes up, pipelines are made.
const WARM_UP: usize = 20;
/// Frames of a row.
const FRAMES: usize = 1_000;
/// Where the processor draws: enough to see that the bench works.
const FRAMES_IN_SOFTWARE: usize = 50;
/// The size of the largest target that a protocol may ask for, mm.
const LARGEST_MM: f64 = 60.0;
/// Width of a 16:9 screen of 27 inches: gives the density of each size, mm.
const SCREEN_WIDTH_MM: f64 = 597.0;
/// The bar: 5 % of a frame at 540 a second, at the larger size, µs.
const BAR_US: f64 = 93.0;
const SIZES: [SizePx; 2] =
    [SizePx { width: 2560, height: 1440 }, SizePx { width: 3840, height: 2160 }];
const STAMP_BYTES: u64 = 16;

fn main() -> ExitCode {
    let pace = match std::env::args().nth(1).map(|word| word.parse::<f64>()) {
        None => None,
        Some(Ok(rate_hz)) if (1.0..=10_000.0).contains(&rate_hz) => Some(rate_hz),
        Some(_) => {
            println!("usage: frame-cost [FRAMES_A_SECOND], 1 to 10000");
            return ExitCode::FAILURE;
        }
    };
    let gpu = match timed_gpu() {
        Ok(gpu) => gpu,
        Err(why) => {
            println!("{why}");
            return ExitCode::FAILURE;
        }
    };
    let card = gpu.adapter.get_info();
    println!(
        "adapter: {} ({:?}, {}), driver {} {}",
        card.name, card.device_type, card.backend, card.driver, card.driver_info
    );
    let frames = if gpu.is_software() { FRAMES_IN_SOFTWARE } else { FRAMES };
    match pace {
        Some(rate_hz) => println!("{frames} frames a row, one at a time, {rate_hz} a second\n"),
        None => println!("{frames} frames a row, one at a time, without a pause\n"),
    }
    println!(
        "| picture | size | card, µs: median | p95 | longest | our call, µs: median | p95 | \
         in a row, µs a frame: processor, all threads | wall |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    let mut slowest_us: f64 = 0.0;
    for size in SIZES {
        let mut bench = Bench::new(&gpu, size, frames);
        for (name, scene) in pictures(size) {
            let row = bench.run(&Work::Picture(&scene), pace);
            if size == SIZES[1] {
                slowest_us = slowest_us.max(row.card.median);
            }
            row.print(name, size);
        }
        for fill in clear_cost::fills(&gpu, size) {
            bench.run(&Work::Fill(&fill), pace).print(fill.name, size);
        }
    }
    println!();
    if gpu.faults.errors() > 0 {
        println!("the driver complained {} times: the figures mean nothing", gpu.faults.errors());
        return ExitCode::FAILURE;
    }
    if gpu.is_software() {
        println!("pictures are made by the processor: the bar is not judged");
        return ExitCode::SUCCESS;
    }
    let kept = slowest_us < BAR_US;
    let word = if kept { "kept" } else { "missed" };
    println!("bar (slowest median at 3840 x 2160 under {BAR_US} µs): {word}, {slowest_us:.1} µs");
    if kept { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// The program's own device, opened again with stamps.
fn timed_gpu() -> Result<Gpu, String> {
    let gpu = Gpu::offscreen().map_err(|error| {
        format!("{error}: {:?}; a Vulkan driver is needed", std::error::Error::source(&error))
    })?;
    if !gpu.adapter.features().contains(wgpu::Features::TIMESTAMP_QUERY) {
        return Err(format!("{} gives no stamps of its drawing", gpu.adapter.get_info().name));
    }
    let asked = wgpu::DeviceDescriptor {
        label: Some("frame-cost"),
        required_features: wgpu::Features::TIMESTAMP_QUERY
            | clear_cost::WANTED & gpu.adapter.features(),
        required_limits: wgpu::Limits::downlevel_defaults().using_resolution(gpu.adapter.limits()),
        ..Default::default()
    };
    let (device, queue) = pollster::block_on(gpu.adapter.request_device(&asked))
        .map_err(|error| format!("the device did not open with stamps: {error}"))?;
    Ok(Gpu { device, queue, ..gpu })
}

/// From the lightest to one heavier than any task makes.
fn pictures(size: SizePx) -> Vec<(&'static str, Scene)> {
    let canvas = Canvas {
        width_px: size.width,
        height_px: size.height,
        px_per_mm: Some(f64::from(size.width) / SCREEN_WIDTH_MM),
        rate_hz: 540.0,
    };
    let at = canvas.centre();
    let size_px = canvas.px(LARGEST_MM);
    let beside = |dx: f64| Place { x_px: at.x_px + dx, y_px: at.y_px };
    let target = |at| Mark::Target { at, size_px, notch: Side::Up, contrast_share: 1.0 };
    let cover = Mark::Cover { at, width_px: size_px * 1.6, height_px: size_px * 4.0 };
    let chevron = |dx: f64| Mark::Chevron { at: beside(dx), size_px: size_px / 3.0 };
    let shift = Some(Place { x_px: 37.0, y_px: -12.5 });
    let scene = |marks: &[Mark]| Scene { marks: Marks::of(marks), ..Scene::empty(SceneId(1)) };
    let emergence =
        scene(&[target(beside(size_px)), cover, chevron(-size_px * 0.8), chevron(size_px * 0.8)]);
    let step_px = size_px / 2.0;
    let crowd: Vec<Mark> =
        (0..MOST_MARKS).map(|n| target(beside((n as f64 - 2.5) * step_px))).collect();
    vec![
        ("empty field", scene(&[])),
        ("simple: target", scene(&[target(at)])),
        ("emergence: target, cover, two chevrons", emergence),
        (
            "pointing: target, chevron, dots",
            Scene { view: shift, ..scene(&[target(beside(size_px)), chevron(0.0)]) },
        ),
        (
            "beyond any task: six targets, dots, words",
            Scene { view: shift, notice: Some(Notice::EmptyWaitPassed), ..scene(&crowd) },
        ),
    ]
}

struct Spread {
    median: f64,
    p95: f64,
    longest: f64,
}

impl Spread {
    fn of(mut values: Vec<f64>) -> Spread {
        values.sort_by(f64::total_cmp);
        let at = |share_of_100: usize| values[(values.len() - 1) * share_of_100 / 100];
        Spread { median: at(50), p95: at(95), longest: at(100) }
    }
}

struct Row {
    card: Spread,
    call: Spread,
    processor_us: Option<f64>,
    in_a_row_us: f64,
}

impl Row {
    fn print(&self, name: &str, size: SizePx) {
        println!(
            "| {name} | {} x {} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} | {} | {:.1} |",
            size.width,
            size.height,
            self.card.median,
            self.card.p95,
            self.card.longest,
            self.call.median,
            self.call.p95,
            self.processor_us.map_or("-".to_owned(), |us| format!("{us:.1}")),
            self.in_a_row_us,
        );
    }
}

/// What a frame of the bench is.
enum Work<'a> {
    /// A picture, drawn by the program's own renderer.
    Picture(&'a Scene),
    /// The driver's clear alone.
    Fill(&'a clear_cost::Fill),
}

struct Bench<'gpu> {
    gpu: &'gpu Gpu,
    frames: usize,
    renderer: Renderer,
    target: wgpu::TextureView,
    stamps: wgpu::QuerySet,
    resolved: wgpu::Buffer,
    read: wgpu::Buffer,
}

impl Bench<'_> {
    fn new(gpu: &Gpu, size: SizePx, frames: usize) -> Bench<'_> {
        let renderer = Renderer::new(gpu, size).expect("the built-in font");
        let extent =
            wgpu::Extent3d { width: size.width, height: size.height, depth_or_array_layers: 1 };
        let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
            label: None,
            size: extent,
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: gpu.format,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT,
            view_formats: &[],
        });
        let buffer = |usage| {
            gpu.device.create_buffer(&wgpu::BufferDescriptor {
                label: None,
                size: STAMP_BYTES,
                usage: usage | wgpu::BufferUsages::COPY_DST,
                mapped_at_creation: false,
            })
        };
        Bench {
            gpu,
            frames,
            renderer,
            target: texture.create_view(&wgpu::TextureViewDescriptor::default()),
            stamps: gpu.device.create_query_set(&wgpu::QuerySetDescriptor {
                label: None,
                ty: wgpu::QueryType::Timestamp,
                count: 2,
            }),
            resolved: buffer(wgpu::BufferUsages::QUERY_RESOLVE | wgpu::BufferUsages::COPY_SRC),
            read: buffer(wgpu::BufferUsages::MAP_READ),
        }
    }

    fn run(&mut self, work: &Work<'_>, pace_hz: Option<f64>) -> Row {
        let [mut card, mut call] = [(); 2].map(|()| Vec::with_capacity(self.frames));
        let start = clock::now();
        for frame in 0..WARM_UP + self.frames {
            if let Some(rate_hz) = pace_hz {
                clock::wait(start + Span::from_ms_f64(frame as f64 * 1e3 / rate_hz));
            }
            let called = clock::now();
            self.draw(work, true);
            let took = clock::now() - called;
            self.wait();
            let drawn = self.read_stamps();
            if frame >= WARM_UP {
                call.push(took.ms() * 1e3);
                card.push(drawn);
            }
        }
        let (in_a_row_us, processor_us) = self.in_a_row(work);
        Row { card: Spread::of(card), call: Spread::of(call), processor_us, in_a_row_us }
    }

    /// Wall time and processor's time a frame, µs, where each is handed over before the last is
    /// done and nothing is stamped or read back.
    fn in_a_row(&mut self, work: &Work<'_>) -> (f64, Option<f64>) {
        let before = processor_time();
        let start = clock::now();
        for _ in 0..self.frames {
            self.draw(work, false);
        }
        self.wait();
        let wall_us = (clock::now() - start).ms() * 1e3 / self.frames as f64;
        let used = before.zip(processor_time()).map(|(before, after)| after - before);
        (wall_us, used.map(|used| used.as_secs_f64() * 1e6 / self.frames as f64))
    }

    fn draw(&mut self, work: &Work<'_>, timed: bool) {
        let scene = match work {
            Work::Picture(scene) => scene,
            Work::Fill(fill) => return fill.run(self.gpu, timed.then_some(&self.stamps)),
        };
        let writes = wgpu::RenderPassTimestampWrites {
            query_set: &self.stamps,
            beginning_of_pass_write_index: Some(0),
            end_of_pass_write_index: Some(1),
        };
        let writes = timed.then_some(writes);
        self.renderer.draw_timed(self.gpu, &self.target, scene, Patch::None, writes);
    }

    fn wait(&self) {
        self.gpu.device.poll(wgpu::PollType::wait_indefinitely()).expect("drawn");
    }

    /// From the first to the second stamp, µs.
    fn read_stamps(&self) -> f64 {
        let mut encoder = self.gpu.device.create_command_encoder(&Default::default());
        encoder.resolve_query_set(&self.stamps, 0..2, &self.resolved, 0);
        encoder.copy_buffer_to_buffer(&self.resolved, 0, &self.read, 0, STAMP_BYTES);
        self.gpu.queue.submit([encoder.finish()]);
        let (tell, mapped) = mpsc::channel();
        self.read.slice(..).map_async(wgpu::MapMode::Read, move |result| {
            tell.send(result).expect("it is waited for");
        });
        self.wait();
        mapped.recv().expect("told").expect("mapped");
        let bytes = self.read.slice(..).get_mapped_range().expect("mapped").to_vec();
        self.read.unmap();
        let tick =
            |at: usize| u64::from_le_bytes(bytes[at..at + 8].try_into().expect("eight bytes"));
        let ticks = tick(8).saturating_sub(tick(0));
        ticks as f64 * f64::from(self.gpu.queue.get_timestamp_period()) / 1e3
    }
}

/// What the processor has spent on this process so far, all threads; where the system tells.
fn processor_time() -> Option<Duration> {
    let mut ns = 0u64;
    for task in std::fs::read_dir("/proc/self/task").ok()? {
        // A thread that ended between the list and the reading is left out.
        let Ok(text) = std::fs::read_to_string(task.ok()?.path().join("schedstat")) else {
            continue;
        };
        ns += text.split_whitespace().next()?.parse::<u64>().ok()?;
    }
    Some(Duration::from_nanos(ns))
}
