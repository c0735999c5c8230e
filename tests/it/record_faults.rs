//! The session folder under every fault: cut at each byte, failing at each sync, killed, full,
//! held by another run, changed by one byte. What was written before the fault must be there.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use crate::record_sample as sample;
use expect_test::{expect, expect_file};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use tautline::engine::{Ending, Outcome, TrialRecord};
use tautline::record::{
    Difference, EndedAs, FolderKeeper, Keep, Manifest, MemoryKeeper, RecordError, RecordFile,
    RigNote, Store, ThreadedKeeper, ask_free, close_partial, compare_rows, erase_player,
    erase_session, open, preflight, replay_events, replayed_rows, resume, sessions,
};
use tautline::units::Nanos;
use tautline::words::Tell;

const BEGIN_S: i64 = 100;
const BEGIN: Nanos = Nanos(BEGIN_S * 1_000_000_000);

/// What a story does to a keeper, step by step; stops at the first error.
fn play(keeper: &mut dyn Keep) -> Result<(), RecordError> {
    keeper.event(&sample::begin(BEGIN_S));
    keeper.event(&sample::device());
    keeper.ratings(&sample::ratings(1, BEGIN, None))?;
    for block in 0..2 {
        for number in 1..=2 {
            let trial = sample::trial(1, BEGIN, block, number);
            for event in sample::trial_events(&trial) {
                keeper.event(&event);
            }
            keeper.trial(&trial)?;
        }
        keeper.block_end(block)?;
        keeper.ratings(&sample::ratings(1, BEGIN, Some(block)))?;
    }
    keeper.close(Ending::Stopped)
}

/// A store over a real folder that dies: after so many bytes, or at a given sync.
struct Dying {
    folder: PathBuf,
    bytes_left: usize,
    syncs_left: usize,
    dead: bool,
}

impl Dying {
    fn spend(&mut self, bytes: &[u8]) -> usize {
        let spent = if self.dead { 0 } else { bytes.len().min(self.bytes_left) };
        self.bytes_left -= spent;
        self.dead |= spent < bytes.len();
        spent
    }

    fn outcome(&self) -> io::Result<()> {
        if self.dead { Err(io::Error::from(io::ErrorKind::StorageFull)) } else { Ok(()) }
    }
}

impl Store for Dying {
    fn folder(&self) -> &Path {
        &self.folder
    }

    fn append(&mut self, file: RecordFile, bytes: &[u8]) -> io::Result<()> {
        use io::Write;
        let spent = self.spend(bytes);
        let mut opened = fs::OpenOptions::new().append(true).open(self.folder.join(file.name()))?;
        opened.write_all(&bytes[..spent])?;
        self.outcome()
    }

    fn sync(&mut self, _: RecordFile) -> io::Result<()> {
        self.dead |= self.syncs_left == 0;
        self.syncs_left = self.syncs_left.saturating_sub(1);
        self.outcome()
    }

    fn replace(&mut self, file: RecordFile, bytes: &[u8]) -> io::Result<()> {
        // Nobody reads a file beside its place, so three cuts stand for all: before the first byte,
        // half-way, before the rename.
        let cuts = [0, bytes.len() / 2, bytes.len()];
        let spent = self.spend(&[0; 3]);
        let beside = self.folder.join(format!("{}.new", file.name()));
        fs::write(&beside, &bytes[..cuts[spent.min(2)]])?;
        self.outcome()?;
        fs::rename(beside, self.folder.join(file.name()))
    }

    fn read(&mut self, file: RecordFile) -> io::Result<Vec<u8>> {
        fs::read(self.folder.join(file.name()))
    }

    fn release(&mut self) -> io::Result<()> {
        self.outcome()
    }
}

/// A new session whose store dies, in a folder copied from `template`.
fn dying(template: &Path, folder: &Path, bytes: usize, syncs: usize) -> FolderKeeper<Dying> {
    if folder.exists() {
        fs::remove_dir_all(folder).unwrap();
    }
    copy(template, folder);
    let text = fs::read_to_string(folder.join("manifest.json")).unwrap();
    let manifest: Manifest = serde_json::from_str(&text).unwrap();
    let context = open(folder).unwrap().context(&sample::protocol(), &sample::schedule());
    let store =
        Dying { folder: folder.to_owned(), bytes_left: bytes, syncs_left: syncs, dead: false };
    FolderKeeper::new(store, manifest, context)
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for file in RecordFile::ALL {
        fs::copy(from.join(file.name()), to.join(file.name())).unwrap();
    }
}

fn template(name: &str) -> (PathBuf, PathBuf) {
    let data = sample::fresh_folder(name);
    let keeper = sample::new_session(&data);
    (keeper.folder().to_owned(), data.join("copy"))
}

/// The events of every trial whose row is there are there too.
fn presses(folder: &Path) -> usize {
    let decoded = replay_events(folder).unwrap();
    decoded
        .events
        .iter()
        .filter(|event| matches!(event, tautline::engine::Event::Press { .. }))
        .count()
}

/// Counts what a keeper took without an error.
struct Counting<K> {
    keeper: K,
    trials: usize,
    blocks: usize,
}

impl<K: Keep> Keep for Counting<K> {
    fn event(&mut self, event: &tautline::engine::Event) {
        self.keeper.event(event);
    }
    fn trial(&mut self, trial: &tautline::engine::TrialRecord) -> Result<(), RecordError> {
        self.keeper.trial(trial)?;
        self.trials += 1;
        Ok(())
    }
    fn ratings(&mut self, r: &tautline::engine::RatingRecord) -> Result<(), RecordError> {
        self.keeper.ratings(r)
    }
    fn display(&mut self, display: serde_json::Value) -> Result<(), RecordError> {
        self.keeper.display(display)
    }
    fn block_end(&mut self, block: usize) -> Result<(), RecordError> {
        self.keeper.block_end(block)?;
        self.blocks += 1;
        Ok(())
    }
    fn block_abandoned(&mut self, block: usize) -> Result<(), RecordError> {
        self.keeper.block_abandoned(block)
    }
    fn close(&mut self, ending: Ending) -> Result<(), RecordError> {
        self.keeper.close(ending)
    }
}

#[test]
fn a_session_cut_at_each_byte_opens_with_every_trial_that_was_kept() {
    let (template, folder) = template("each_byte");
    let mut cut_at = 0;
    loop {
        let keeper = dying(&template, &folder, cut_at, usize::MAX);
        let mut keeper = Counting { keeper, trials: 0, blocks: 0 };
        let played = play(&mut keeper);
        let session = open(&folder).unwrap();
        assert_eq!(session.trials.len(), keeper.trials, "cut at {cut_at}");
        assert!(presses(&folder) >= keeper.trials, "cut at {cut_at}: events before the row");
        if played.is_ok() {
            assert_eq!(session.manifest.ending, Some(EndedAs::Stopped));
            break;
        }
        assert!(played.unwrap_err().disk_full());
        let resumed = resume(&folder, sample::start("b", 900)).unwrap();
        // The block in which it was cut is begun again; blocks that ended are never lost.
        let next = resumed.next_block.unwrap();
        assert!(next >= keeper.blocks, "cut at {cut_at}: goes on at {next}");
        assert!(next <= keeper.trials.div_ceil(2), "cut at {cut_at}: goes on at {next}");
        let kept = resumed.session.trials.iter().filter(|row| row.outcome == Outcome::Hit).count();
        assert_eq!(kept, (2 * next).min(keeper.trials), "cut at {cut_at}");
        assert_eq!(resumed.session.trials.len(), keeper.trials);
        cut_at += 1;
    }
    assert!(cut_at > 2_000, "the story has that many bytes: {cut_at}");
}

#[test]
fn a_failing_sync_is_told_and_loses_nothing_written() {
    let (template, folder) = template("each_sync");
    let mut failed = 0;
    loop {
        let keeper = dying(&template, &folder, usize::MAX, failed);
        let mut keeper = Counting { keeper, trials: 0, blocks: 0 };
        let played = play(&mut keeper);
        assert_eq!(open(&folder).unwrap().trials.len(), keeper.trials);
        let Err(error) = played else { break };
        assert!(matches!(error, RecordError::Io { doing: "sync", .. }), "{error}");
        // The first three come with the expectation, before any trial.
        assert!(keeper.trials > 0 || failed < 3);
        let again = keeper.trial(&sample::trial(1, BEGIN, 0, 1));
        assert!(matches!(again, Err(RecordError::Stopped { .. })), "nothing behind a failed sync");
        failed += 1;
    }
    // Three files with the expectation, at each of two block ends and at the end.
    assert_eq!(failed, 12);
}

#[test]
fn a_resumed_session_repeats_the_block_and_keeps_its_trials_as_abandoned() {
    let data = sample::fresh_folder("resumed");
    let mut keeper = sample::new_session(&data);
    let folder = keeper.folder().to_owned();
    keeper.event(&sample::begin(BEGIN_S));
    for (block, number) in [(0, 1), (0, 2)] {
        keeper.trial(&sample::trial(1, BEGIN, block, number)).unwrap();
    }
    keeper.block_end(0).unwrap();
    keeper.trial(&sample::trial(1, BEGIN, 1, 1)).unwrap();
    // Killed: the row in flight is torn.
    drop(keeper);
    let trials = folder.join("trials.csv");
    let mut torn = fs::read(&trials).unwrap();
    torn.extend_from_slice(b"1,true,2030");
    fs::write(&trials, torn).unwrap();
    let events = folder.join("events.bin");
    let mut torn = fs::read(&events).unwrap();
    torn.extend_from_slice(&[0xC5, b't', b'l', 0x0A, 200, 0, 0]);
    fs::write(&events, torn).unwrap();

    let resumed = resume(&folder, sample::start("b", 900)).unwrap();
    assert_eq!(resumed.next_block, Some(1));
    assert_eq!(resumed.segment, 2);
    assert_eq!((resumed.mended.trials_bytes, resumed.mended.events_bytes), (11, 7));
    assert_eq!(resumed.mended.trials_abandoned, 1);
    let again = resume(&folder, sample::start("b", 900));
    assert!(matches!(again, Err(RecordError::InUse { .. })), "two runs on one folder");
    assert!(matches!(ask_free(&folder), Err(RecordError::InUse { .. })), "told before a window");

    let rig = RigNote {
        session_before: Some("an earlier one".to_owned()),
        changed_since_session: vec!["mouse: old before, new now".to_owned()],
        ..RigNote::default()
    };
    let resumed = resumed.with_rig(rig.clone());
    let mut keeper = resumed.keeper(&sample::protocol(), &sample::schedule());
    let later = Nanos(900_000_000_000);
    keeper.event(&sample::begin(900));
    for block in 1..4 {
        for number in 1..=2 {
            keeper.trial(&sample::trial(2, later, block, number)).unwrap();
        }
        // What the input counted grows: the last word stands.
        let counted = serde_json::json!({ "wake_ups": block, "most_reports": 4 });
        keeper.input("shared_wake_ups", counted).unwrap();
        keeper.block_end(block).unwrap();
    }
    keeper.close(Ending::Complete).unwrap();

    let session = open(&folder).unwrap();
    let rigs: Vec<_> = session.manifest.segments.iter().map(|part| part.rig.clone()).collect();
    assert_eq!(rigs, [None, Some(rig)], "the first start's own note stays as it was");
    assert_eq!(session.manifest.input["shared_wake_ups"]["wake_ups"], 3);
    let outcomes: Vec<_> =
        session.trials.iter().map(|row| (row.segment, row.position, row.outcome.name())).collect();
    let expected = [
        (1, 1, "hit"),
        (1, 1, "hit"),
        (1, 2, "abandoned"),
        (2, 2, "hit"),
        (2, 2, "hit"),
        (2, 3, "hit"),
        (2, 3, "hit"),
        (2, 4, "hit"),
        (2, 4, "hit"),
    ];
    assert_eq!(outcomes, expected);
    assert_eq!(session.manifest.blocks_finished, [1, 2, 3, 4]);
    assert_eq!(session.changed, []);
    assert_eq!(replay_events(&folder).unwrap().events.len(), 2, "one begin a segment");
    assert!(!folder.join(".lock").exists());
    let ended = resume(&folder, sample::start("b", 900));
    assert!(matches!(ended, Err(RecordError::Ended { .. })));
}

#[test]
fn a_stopped_session_is_taken_up_again_unless_a_file_of_it_was_changed() {
    let data = sample::fresh_folder("stopped");
    let mut keeper = sample::new_session(&data);
    let folder = keeper.folder().to_owned();
    keeper.event(&sample::begin(BEGIN_S));
    keeper.trial(&sample::trial(1, BEGIN, 0, 1)).unwrap();
    keeper.block_end(0).unwrap();
    keeper.trial(&sample::trial(1, BEGIN, 1, 1)).unwrap();
    keeper.close(Ending::Stopped).unwrap();
    assert!(!open(&folder).unwrap().manifest.checksums.is_empty());

    let trials = folder.join("trials.csv");
    let whole = fs::read(&trials).unwrap();
    let mut changed = whole.clone();
    changed[whole.len() / 2] ^= 1;
    fs::write(&trials, changed).unwrap();
    let refused = resume(&folder, sample::start("b", 900));
    assert!(refused.is_err(), "a changed file is not gone on with");
    // What looks like a torn end is a change too, and stays in the file.
    let longer = [whole.as_slice(), b"1,fal"].concat();
    fs::write(&trials, &longer).unwrap();
    let refused = resume(&folder, sample::start("b", 900));
    assert!(matches!(refused, Err(RecordError::Changed { file: "trials.csv", .. })));
    assert_eq!(fs::read(&trials).unwrap(), longer);
    fs::write(&trials, whole).unwrap();

    let resumed = resume(&folder, sample::start("b", 900)).unwrap();
    assert_eq!((resumed.next_block, resumed.segment), (Some(1), 2));
    assert_eq!(resumed.mended.trials_abandoned, 1);
    let open_again = open(&folder).unwrap().manifest;
    assert!(open_again.ending.is_none() && open_again.checksums.is_empty());
    let mut keeper = resumed.keeper(&sample::protocol(), &sample::schedule());
    keeper.event(&sample::begin(900));
    keeper.trial(&sample::trial(2, Nanos(900_000_000_000), 1, 1)).unwrap();
    keeper.block_end(1).unwrap();
    keeper.close(Ending::Discomfort).unwrap();
    let session = open(&folder).unwrap();
    assert_eq!(session.changed, []);
    // What ended for the hand's sake stays ended.
    let ended = resume(&folder, sample::start("c", 1800));
    assert!(matches!(ended, Err(RecordError::Ended { .. })));
}

/// The file, the writer thread and the keeper in memory, of which a replay makes rows, agree.
#[test]
fn a_block_begun_again_in_the_same_run_leaves_its_trials_as_abandoned() {
    let data = sample::fresh_folder("begun_again");
    let story = |keeper: &mut dyn Keep| {
        keeper.event(&sample::begin(BEGIN_S));
        keeper.trial(&sample::trial(1, BEGIN, 0, 1)).unwrap();
        keeper.trial(&sample::trial(1, BEGIN, 0, 2)).unwrap();
        keeper.block_end(0).unwrap();
        keeper.trial(&sample::trial(1, BEGIN, 1, 1)).unwrap();
        keeper.block_abandoned(1).unwrap();
        keeper.trial(&sample::trial(1, BEGIN, 1, 1)).unwrap();
        keeper.trial(&sample::trial(1, BEGIN, 1, 2)).unwrap();
        keeper.block_end(1).unwrap();
        keeper.close(Ending::Stopped).unwrap();
    };
    let (mut plain, mut memory) = (sample::new_session(&data), MemoryKeeper::default());
    let mut threaded = ThreadedKeeper::start(sample::new_session(&data)).unwrap();
    story(&mut plain);
    story(&mut threaded);
    story(&mut memory);
    for folder in [plain.folder(), threaded.folder()] {
        let session = open(folder).unwrap();
        let outcomes: Vec<_> = session.trials.iter().map(|row| row.outcome.name()).collect();
        assert_eq!(outcomes, ["hit", "hit", "abandoned", "hit", "hit"]);
        assert_eq!(session.changed, []);
        let context = session.context(&sample::protocol(), &sample::schedule());
        let again = replayed_rows(&memory.trials, &context, &session.manifest.segments);
        assert_eq!(compare_rows(&session.trials, &again), []);
    }
    let rows = open(plain.folder()).unwrap().trials;
    let mut other = rows.clone();
    other[3].missed_frames = 2;
    let value =
        Difference::Value { row: 3, column: "missed_frames", a: "0".to_owned(), b: "2".to_owned() };
    assert_eq!(compare_rows(&rows, &other), [value]);
    assert_eq!(compare_rows(&rows, &rows[1..])[0], Difference::Count { a: 5, b: 4 });
}

/// A clock that took over in the middle of a session stands in its manifest from the next block's
/// end on, whatever ends the program.
#[test]
fn what_the_display_reports_anew_stands_in_the_manifest_at_the_next_end_of_a_block() {
    let data = sample::fresh_folder("display_anew");
    let anew = serde_json::json!({ "clock": { "took_over": [{ "source": "estimate" }] } });
    let story = |keeper: &mut dyn Keep| {
        keeper.event(&sample::begin(BEGIN_S));
        keeper.trial(&sample::trial(1, BEGIN, 0, 1)).unwrap();
        keeper.display(anew.clone()).unwrap();
        keeper.block_end(0).unwrap();
    };
    let mut plain = sample::new_session(&data);
    assert_ne!(open(plain.folder()).unwrap().manifest.display, anew);
    story(&mut plain);
    let mut threaded = ThreadedKeeper::start(sample::new_session(&data)).unwrap();
    let of_thread = threaded.folder().to_owned();
    story(&mut threaded);
    // Waits for the thread.
    drop(threaded);
    for folder in [plain.folder(), &of_thread] {
        assert_eq!(open(folder).unwrap().manifest.display, anew);
    }
}

#[test]
fn a_broken_off_session_can_be_closed_as_it_stands() {
    let data = sample::fresh_folder("partial");
    let mut keeper = sample::new_session(&data);
    let folder = keeper.folder().to_owned();
    keeper.event(&sample::begin(BEGIN_S));
    keeper.trial(&sample::trial(1, BEGIN, 0, 1)).unwrap();
    drop(keeper);
    close_partial(&folder).unwrap();
    let session = open(&folder).unwrap();
    assert_eq!(session.manifest.ending, Some(EndedAs::Partial));
    assert_eq!(session.trials[0].outcome, Outcome::Hit);
    assert_eq!(session.manifest.checksums.len(), 6);
}

/// Where the child writes, and how it knows that it is one.
const CHILD: &str = "RECORD_FAULTS_CHILD";

/// Not a test by itself: the process that the next test kills.
#[test]
fn child_that_writes_until_it_is_killed() {
    let Some(data) = std::env::var_os(CHILD) else { return };
    let mut keeper = ThreadedKeeper::start(sample::new_session(Path::new(&data))).unwrap();
    keeper.event(&sample::begin(BEGIN_S));
    for attempt in 1.. {
        let trial = TrialRecord { attempt, ..sample::trial(1, BEGIN, 0, 1) };
        for event in sample::trial_events(&trial) {
            keeper.event(&event);
        }
        keeper.trial(&trial).unwrap();
    }
}

#[test]
fn a_killed_program_loses_at_most_the_trial_in_flight() {
    let kills = if std::env::var_os("SLOW").is_some() { 200 } else { 5 };
    for kill in 0..kills {
        let data = sample::fresh_folder("killed");
        let mut child = std::process::Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "record_faults::child_that_writes_until_it_is_killed"])
            .env(CHILD, &data)
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap();
        let folder = data.join(sample::PLAYER).join("20300102T030405Z-two-holds");
        // Not by a clock: once so much is there, and a kill later another amount.
        let enough = 2_000 + 777 * kill;
        while fs::metadata(folder.join("trials.csv")).map_or(0, |about| about.len()) < enough {
            assert!(child.try_wait().unwrap().is_none(), "the child ended by itself");
            std::thread::yield_now();
        }
        child.kill().unwrap();
        child.wait().unwrap();
        let session = open(&folder).unwrap();
        let attempts: Vec<_> = session.trials.iter().map(|row| row.attempt).collect();
        assert!(attempts.iter().copied().eq(1..=u32::try_from(attempts.len()).unwrap()));
        let presses = presses(&folder);
        assert!(presses >= attempts.len() && presses <= attempts.len() + 1, "{presses}");
        assert_eq!(resume(&folder, sample::start("a", 900)).unwrap().next_block, Some(0));
    }
}

#[test]
fn a_changed_byte_is_found() {
    let data = sample::fresh_folder("changed");
    let mut keeper = sample::new_session(&data);
    let folder = keeper.folder().to_owned();
    play(&mut keeper).unwrap();
    assert_eq!(open(&folder).unwrap().changed, []);
    // The notes are the owner's to write in.
    fs::write(folder.join("notes.md"), "It rained.").unwrap();
    assert_eq!(open(&folder).unwrap().changed, []);
    let trials = folder.join("trials.csv");
    let text = fs::read_to_string(&trials).unwrap();
    fs::write(&trials, text.replacen("243.117", "143.117", 1)).unwrap();
    assert_eq!(open(&folder).unwrap().changed, [RecordFile::Trials]);

    let events = folder.join("events.bin");
    let whole = fs::read(&events).unwrap();
    let before = replay_events(&folder).unwrap();
    assert_eq!((before.damaged_stretches, before.torn_bytes), (0, 0));
    for place in 12..whole.len() {
        let mut bytes = whole.clone();
        bytes[place] ^= 0x10;
        fs::write(&events, bytes).unwrap();
        let after = replay_events(&folder).unwrap();
        assert!(after.damaged_stretches + after.torn_bytes > 0, "byte {place}");
        assert!(after.events.len() < before.events.len());
    }
}

#[test]
fn an_unwritable_data_folder_is_told_before_the_first_trial() {
    let data = sample::fresh_folder("unwritable");
    let blocked = data.join("a-file");
    fs::write(&blocked, "not a folder").unwrap();
    let (protocol, schedule) = (sample::protocol(), sample::schedule());
    let made = tautline::record::create(&tautline::record::NewSession {
        data: &blocked,
        player: sample::PLAYER,
        protocol: &protocol,
        protocol_text: sample::PROTOCOL_TEXT,
        schedule: &schedule,
        about: sample::about(),
    });
    let Err(RecordError::Io { doing: "make", path, .. }) = made else { panic!("not refused") };
    assert_eq!(path, blocked.join(sample::PLAYER));
    // The probe leaves nothing behind, and a folder that is not there is told.
    preflight(&data, 100_000).unwrap();
    assert_eq!(fs::read_dir(&data).unwrap().count(), 1);
    assert!(preflight(&data.join("nowhere"), 1).is_err());
}

#[test]
fn the_writer_thread_writes_the_same_bytes() {
    let data = sample::fresh_folder("threaded");
    let mut plain = sample::new_session(&data);
    let mut threaded = ThreadedKeeper::start(sample::new_session(&data)).unwrap();
    play(&mut plain).unwrap();
    play(&mut threaded).unwrap();
    assert_ne!(plain.folder(), threaded.folder(), "two sessions of one second have two folders");
    for file in [RecordFile::Trials, RecordFile::Ratings] {
        let read = |folder: &Path| fs::read_to_string(folder.join(file.name())).unwrap();
        let name = |folder: &Path| folder.file_name().unwrap().to_str().unwrap().to_owned();
        let renamed =
            read(threaded.folder()).replace(&name(threaded.folder()), &name(plain.folder()));
        assert_eq!(read(plain.folder()), renamed);
    }
    let events = |folder: &Path| replay_events(folder).unwrap().events;
    assert_eq!(events(plain.folder()), events(threaded.folder()));
    assert_eq!(open(threaded.folder()).unwrap().manifest.ending, Some(EndedAs::Stopped));
}

#[test]
fn the_writer_thread_tells_of_a_full_disk() {
    let (template, folder) = template("threaded_full");
    let keeper = dying(&template, &folder, 1_500, usize::MAX);
    let mut keeper = ThreadedKeeper::start(keeper).unwrap();
    // Which call is the first to tell depends on the threads; the end tells at the latest.
    let error = play(&mut keeper).unwrap_err();
    assert!(error.disk_full(), "{error}");
    drop(keeper);
    assert!(!open(&folder).unwrap().trials.is_empty());
}

#[test]
fn erasing_takes_the_whole_and_only_that() {
    let data = sample::fresh_folder("erase");
    let mut first = sample::new_session(&data);
    play(&mut first).unwrap();
    let running = sample::new_session(&data);
    assert_eq!(sessions(&data).unwrap().len(), 2);
    assert!(matches!(erase_session(running.folder()), Err(RecordError::InUse { .. })));
    assert!(matches!(erase_session(&data), Err(RecordError::NotASession { .. })));
    erase_session(first.folder()).unwrap();
    assert_eq!(sessions(&data).unwrap(), [running.folder()]);
    let home = data.join(sample::PLAYER);
    assert!(matches!(erase_player(&home), Err(RecordError::NotASession { .. })), "no player.toml");
    fs::write(home.join("player.toml"), "").unwrap();
    assert!(matches!(erase_player(&home), Err(RecordError::InUse { .. })));
    drop(running);
    erase_player(&home).unwrap();
    assert_eq!(fs::read_dir(&data).unwrap().count(), 0);
}

#[test]
fn manifest_rows_and_datapackage_of_an_invented_machine() {
    let data = sample::fresh_folder("snapshot");
    let mut keeper = sample::new_session(&data);
    let folder = keeper.folder().to_owned();
    play(&mut keeper).unwrap();
    assert_eq!(folder, data.join(sample::PLAYER).join("20300102T030405Z-two-holds"));
    for file in [
        RecordFile::Manifest,
        RecordFile::Trials,
        RecordFile::Ratings,
        RecordFile::Schedule,
        RecordFile::DataPackage,
    ] {
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/record");
        expect_file![kept.join(file.name())]
            .assert_eq(&fs::read_to_string(folder.join(file.name())).unwrap());
    }
    let copy = fs::read_to_string(folder.join("protocol.toml")).unwrap();
    assert_eq!(copy, sample::PROTOCOL_TEXT, "an exact copy");
}

#[test]
fn errors_are_told_with_place_and_mend() {
    let data = sample::fresh_folder("told");
    let keeper = sample::new_session(&data);
    let tell = |error: RecordError| {
        let text = error.tell().to_string();
        text.replace(data.to_str().unwrap(), "DATA").replace('\\', "/")
    };
    expect![[r#"
        error: this session is in use by another run
          in DATA/kestrel-abcd/20300102T030405Z-two-holds
          end the other run first"#]]
    .assert_eq(&tell(resume(keeper.folder(), sample::start("a", 1)).unwrap_err()));
    expect![[r#"
        error: this is not a session folder: it has no manifest.json
          in DATA
          give the folder that holds manifest.json"#]]
    .assert_eq(&tell(open(&data).unwrap_err()));
    let trials = keeper.folder().join("trials.csv");
    let text = fs::read_to_string(&trials).unwrap();
    fs::write(&trials, text + "1,true\n1,true\n").unwrap();
    expect![[r#"
        error: this table does not read: CSV error: record 1 (line: 2, byte: 901): found record with 2 fields, but the previous record has 74 fields
          in DATA/kestrel-abcd/20300102T030405Z-two-holds/trials.csv
          put back the file as it was written"#]]
    .assert_eq(&tell(open(keeper.folder()).unwrap_err()));
    let full = RecordError::Io {
        doing: "write",
        path: data.join("trials.csv"),
        source: io::Error::from(io::ErrorKind::StorageFull),
    };
    expect![[r#"
        error: the disk is full
          in DATA/trials.csv
          free some room, or choose another folder with --data; what was written is kept"#]]
    .assert_eq(&tell(full));
}

/// A folder of format 1 as the first program wrote it; it stays here and must open for good.
#[test]
fn format_1_opens() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/formats/1/session");
    let session = open(&folder).unwrap();
    assert_eq!((session.trials.len(), session.ratings.len(), session.schedule.len()), (4, 5, 12));
    assert_eq!(session.changed, []);
    assert_eq!(session.manifest.seed, u64::MAX);
    assert_eq!(session.trials[0].click_rt_ms, Some(243.117));
    let decoded = replay_events(&folder).unwrap();
    assert_eq!(decoded.events.len(), 2 + 4 * 5);
    assert_eq!(decoded.events[0], sample::begin(BEGIN_S));
    let trial = sample::trial(1, BEGIN, 0, 1);
    assert_eq!(decoded.events[2..7], sample::trial_events(&trial));
    assert_eq!((decoded.unknown_records, decoded.damaged_stretches, decoded.torn_bytes), (0, 0, 0));
}
