//! X11 Present end to end: a client that presents pixmaps with rising serials, the program's own
//! clock that stamps them, and a robot that reads the pixels back. Prints one line of JSON.
//!
//! `present-bench [FRAMES]`, on the server that DISPLAY names. The pictures are the program's own,
//! drawn off screen; they are shown at the server's next vertical blank, or at what it makes up for
//! one (Xvfb: a timer of 60 Hz).

#[cfg(target_os = "linux")]
mod eye;
#[cfg(target_os = "linux")]
mod figures;
#[cfg(target_os = "linux")]
mod pictures;
#[cfg(target_os = "linux")]
mod presenter;

#[cfg(target_os = "linux")]
#[expect(clippy::print_stdout, reason = "what it prints is all it is for")]
fn main() {
    let frames = std::env::args().nth(1).map_or(200, |word| {
        word.parse().expect("usage: present-bench [FRAMES], a whole number of 60 or more")
    });
    assert!(frames >= 60, "60 frames or more are needed to judge a clock");
    let told = presenter::present(frames);
    println!("{}", serde_json::to_string(&figures::of(&told)).expect("plain values"));
}

#[cfg(not(target_os = "linux"))]
fn main() {}
