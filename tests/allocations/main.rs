//! An hour of each protocol loses nothing and holds no more at its end than at its start. Between stamp and ring, and between stimulus and response, our own code asks for no memory and
//! writes no file: counted by an allocator that counts, in a binary of its own for that reason.
//!
//! What libraries ask for on these ways is another matter: docs/measured.md has it.

mod counting;
mod hour;
mod session;
#[cfg(feature = "window")]
mod stamps;

#[global_allocator]
static COUNTING: counting::Counting = counting::Counting;

#[test]
fn the_counter_counts() {
    let before = counting::calls();
    let mut grown = std::hint::black_box(vec![1_u8]);
    grown.reserve(1_000);
    assert_eq!(counting::calls() - before, 2, "one piece, made larger once");
    let held = counting::live_bytes();
    let piece = std::hint::black_box(vec![0_u8; 300]);
    assert_eq!(counting::live_bytes() - held, 300);
    drop(piece);
    assert_eq!(counting::live_bytes(), held, "given back");
    let named = std::thread::Builder::new().name("other".to_owned());
    let other = named.spawn(|| drop(std::hint::black_box(vec![0_u8; 64]))).unwrap();
    let waiting = counting::calls();
    other.join().unwrap();
    assert_eq!(counting::calls(), waiting, "what another thread asks for is its own");
    counting::trace_each(1);
    drop(std::hint::black_box(vec![0_u8; 64]));
    counting::trace_each(0);
    let traces = counting::take_traces();
    assert_eq!(traces.len(), 1);
    assert!(traces[0].to_string().contains("the_counter_counts"), "{}", traces[0]);
}
