//! Failures while the program runs, and two programs on one site.

use super::pty::*;
use std::fs;
use std::time::{Duration, Instant};

/// The state letter of a process, where the system tells.
fn state(terminal: &Terminal) -> Option<char> {
    let id = terminal.child.process_id()?;
    let stat = fs::read_to_string(format!("/proc/{id}/stat")).ok()?;
    stat.rsplit_once(')')?.1.trim().chars().next()
}

#[test]
fn a_folder_that_goes_is_said_the_row_keeps_its_text_and_it_is_recorded_when_it_is_back() {
    let bench = Bench::in_folder("job");
    let mut terminal = bench.opened();
    terminal.read("126\r", "PH-1 reads 126 ohm");
    let away = bench.folder().join("away");
    fs::rename(bench.folder().join("job"), &away).unwrap();
    terminal.keys("251\r");
    terminal.wait(&[
        "NOT RECORDED: the folder is gone",
        "g e saves elsewhere",
        "251",
        "FAILED",
    ]);
    // The entry line is free, and the program goes on.
    terminal.wait(&[" PH-3>"]);
    terminal.keys("353\r");
    terminal.wait(&[" PH-4>", "1 of 42 read"]);
    fs::rename(&away, bench.folder().join("job")).unwrap();
    // Tried again by the clock.
    terminal.wait(&["3 of 42 read"]);
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    let read = ["PH-1 126.0", "PH-2 251.0", "PH-3 353.0"];
    assert_eq!(bench.read_lines(), read);
}

#[test]
fn enter_tries_again_and_undo_of_what_was_refused_leaves_no_reading() {
    let bench = Bench::in_folder("job");
    let mut terminal = bench.opened();
    let away = bench.folder().join("away");
    fs::rename(bench.folder().join("job"), &away).unwrap();
    terminal.keys("126\r");
    terminal.wait(&["NOT RECORDED"]);
    terminal.keys("u");
    fs::rename(&away, bench.folder().join("job")).unwrap();
    terminal.wait(&[" PH-1>"]);
    terminal.keys("\r");
    terminal.wait(&["0 of 42 read"]);
    terminal.read("127\r", "PH-1 reads 127 ohm");
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    assert_eq!(bench.read_lines(), ["PH-1 127.0"]);
}

#[test]
fn when_the_folder_stays_away_all_is_saved_elsewhere_and_goes_on_there() {
    let bench = Bench::in_folder("job");
    let mut terminal = bench.opened();
    terminal.read("126\r", "PH-1 reads 126 ohm");
    fs::rename(bench.folder().join("job"), bench.folder().join("away")).unwrap();
    terminal.keys("251\r");
    terminal.wait(&["NOT RECORDED"]);
    let stick = bench.folder().join("stick");
    fs::create_dir(&stick).unwrap();
    terminal.keys("ge");
    terminal.wait(&["save to folder or file>"]);
    terminal.keys(&format!("{}\r", stick.to_str().unwrap()));
    terminal.wait(&["2 of 42 read"]);
    terminal.read("353\r", "PH-3 reads 353 ohm");
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    let saved = stick.join("house.ron");
    let read = ["PH-1 126.0", "PH-2 251.0", "PH-3 353.0"];
    assert_eq!(bench.read_lines_of(&saved), read);
    // The old place, found again, opens with what it had; what was refused there may have reached it
    // all the same.
    let old = bench.folder().join("away").join("house.ron");
    assert_eq!(bench.read_lines_of(&old)[0], "PH-1 126.0");
}

#[test]
fn leaving_with_readings_that_no_disk_took_prints_them_as_rows() {
    let bench = Bench::in_folder("job");
    let mut terminal = bench.opened();
    fs::rename(bench.folder().join("job"), bench.folder().join("away")).unwrap();
    terminal.keys("126\r");
    terminal.wait(&["NOT RECORDED"]);
    terminal.keys("q");
    terminal.wait(&["1 not on the disk", "q again leaves them"]);
    terminal.keys("q");
    assert_ne!(terminal.end(), 0);
    terminal.wait(&["1 entries are not on the disk", "PH-1,impedance,126"]);
}

#[test]
fn an_older_version_put_in_its_place_is_said_and_joined_on_request() {
    let bench = Bench::new();
    let before = fs::read(bench.site()).unwrap();
    let mut terminal = bench.opened();
    terminal.read("126\r", "PH-1 reads 126 ohm");
    // Saved in a calm moment.
    let until = Instant::now() + PATIENCE;
    while fs::read(bench.site()).unwrap() == before {
        assert!(Instant::now() < until);
        std::thread::sleep(Duration::from_millis(50));
    }
    fs::write(bench.site(), &before).unwrap();
    terminal.read("251\r", "PH-2 reads 251 ohm");
    terminal.wait(&["was replaced, it lacks 1 entry: g j joins"]);
    assert_eq!(fs::read(bench.site()).unwrap(), before, "not overwritten");
    terminal.keys("gj");
    terminal.wait(&["joined:", "2 of 42 read"]);
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    assert_eq!(bench.read_lines(), ["PH-1 126.0", "PH-2 251.0"]);
}

#[test]
fn a_second_program_follows_the_first_and_takes_over_when_it_is_killed() {
    let bench = Bench::new();
    let mut first = bench.opened();
    let mut second = bench.open_as("engineer B", (80, 24));
    second.wait(&["READ ONLY", "0 of 42 read"]);
    first.read("126\r", "PH-1 reads 126 ohm");
    second.wait(&["1 of 42 read"]);
    second.keys("gt");
    second.wait(&["still read only"]);
    first.signal("KILL");
    first.end();
    second.wait(&["g t goes on here"]);
    second.keys("gt");
    second.wait(&["you write here now", "1 of 42 read"]);
    assert!(!second.screen().contains("READ ONLY"));
    second.keys("/PH-2\r");
    second.wait(&[" PH-2>"]);
    second.read("251\r", "PH-2 reads 251 ohm");
    second.keys("q");
    assert_eq!(second.end(), 0);
    assert_eq!(bench.read_lines(), ["PH-1 126.0", "PH-2 251.0"]);
}

#[test]
fn who_takes_over_is_asked_before_what_a_copy_holds_is_joined() {
    let bench = Bench::new();
    let before = fs::read(bench.site()).unwrap();
    let mut other = bench.opened();
    other.read("126\r", "PH-1 reads 126 ohm");
    other.keys("q");
    assert_eq!(other.end(), 0);
    // What was read there lies in a copy, and nowhere else.
    let copy = bench.site().with_file_name("site (copy).ron");
    fs::rename(bench.site(), copy).unwrap();
    for file in fs::read_dir(bench.site().parent().unwrap()).unwrap() {
        let path = file.unwrap().path();
        if path.to_string_lossy().contains(".journal-") {
            fs::remove_file(path).unwrap();
        }
    }
    fs::write(bench.site(), &before).unwrap();
    let mut first = bench.open_as("engineer A", (80, 24));
    first.wait(&["is a copy of this site and holds 1 entry"]);
    let mut second = bench.open_as("engineer B", (80, 24));
    second.wait(&["READ ONLY", "0 of 42 read"]);
    first.signal("KILL");
    first.end();
    second.wait(&["g t goes on here"]);
    second.keys("gt");
    second.wait(&["you write here now"]);
    second.keys("gj");
    second.wait(&["no key takes a join back"]);
    second.keys("gj");
    second.wait(&["joined: 1 entry", "1 of 42 read"]);
    second.keys("q");
    assert_eq!(second.end(), 0);
    assert_eq!(bench.read_lines(), ["PH-1 126.0"]);
}

#[cfg(target_os = "linux")]
#[test]
fn ctrl_z_gives_the_terminal_back_and_the_shell_brings_the_program_back() {
    let bench = Bench::new();
    let mut terminal = bench.opened();
    terminal.read("126\r", "PH-1 reads 126 ohm");
    terminal.keys("25");
    terminal.wait(&["PH-2 reading> 25"]);
    terminal.keys("\x1a");
    let until = Instant::now() + PATIENCE;
    while state(&terminal) != Some('T') {
        assert!(Instant::now() < until, "{:?}", state(&terminal));
        std::thread::sleep(Duration::from_millis(10));
    }
    assert_given_back(&terminal);
    // Saved before it slept.
    let saved = fs::read_to_string(bench.site()).unwrap();
    assert!(saved.contains("text: \"126\""));
    terminal.signal("CONT");
    terminal.wait(&["PH-2 reading> 25", "1 of 42 read"]);
    terminal.read("1\r", "PH-2 reads 251 ohm");
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    assert_given_back(&terminal);
    assert_eq!(bench.read_lines(), ["PH-1 126.0", "PH-2 251.0"]);
}

/// A disk of 1 MiB, mounted in a name space of its own by the command that runs the program there.
/// Where the system does not allow that the test says so aloud and ends.
#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_fills_up_refuses_aloud_and_takes_the_reading_once_there_is_room() {
    let bench = Bench::in_folder("small");
    let small = bench.folder().join("small");
    let keep = bench.folder().join("keep.ron");
    fs::rename(bench.site(), &keep).unwrap();
    let (room, filled) = (small.join("filler"), bench.folder().join("filled"));
    let script = format!(
        "mount -t tmpfs -o size=1m small {small} || exit 77
         cp {keep} {site}
         dd if=/dev/zero of={room} bs=1k count=2000 2>/dev/null
         touch {filled}
         (while [ -e {filled} ]; do sleep 0.05; done; rm {room}) &
         {program} --by 'engineer A' {site}
         cp {site} {keep}",
        small = small.display(),
        keep = keep.display(),
        site = bench.site().display(),
        room = room.display(),
        filled = filled.display(),
        program = LINEWRIGHT,
    );
    let Some(mut terminal) = bench.in_name_space(&script) else {
        skipped("no name spaces or no tmpfs here; the full disk was not tried");
        return;
    };
    terminal.wait(&["nothing can be recorded yet"]);
    terminal.keys("126\r");
    terminal.wait(&["NOT RECORDED: disk full", "FAILED"]);
    fs::remove_file(&filled).unwrap();
    terminal.wait(&["1 of 42 read"]);
    terminal.read("251\r", "PH-2 reads 251 ohm");
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    let read = ["PH-1 126.0", "PH-2 251.0"];
    assert_eq!(bench.read_lines_of(&keep), read);
}
