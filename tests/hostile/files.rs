//! What is no plain file of its size: pipes, devices, folders, links, a site that is open elsewhere.

use super::*;

#[test]
fn a_pipe_a_device_and_a_folder_are_refused_at_once() {
    let bench = Bench::new();
    let made = Command::new("mkfifo").arg(bench.path("pipe")).status();
    assert!(made.unwrap().success());
    fs::create_dir(bench.path("folder")).unwrap();
    symlink("/dev/zero", bench.path("link-to-zero")).unwrap();
    symlink("nowhere", bench.path("link-to-nothing")).unwrap();
    symlink("ring-b", bench.path("ring-a")).unwrap();
    symlink("ring-a", bench.path("ring-b")).unwrap();
    let before = bench.text("house.ron");
    for bad in [
        "pipe",
        "/dev/zero",
        "folder",
        "link-to-zero",
        "link-to-nothing",
        "ring-a",
    ] {
        for arguments in with(bad) {
            if arguments[0] == "import" && arguments[3] == bad && bad == "link-to-nothing" {
                continue; // A new site where the link leads to nothing: nothing is read.
            }
            let ran = bench.refused(&arguments, &[]);
            assert!(ran.took < ENDS, "{arguments:?} took {:?}", ran.took);
        }
    }
    assert_eq!(bench.text("house.ron"), before);
    assert!(!bench.path("new.ron").exists() && !bench.path("out.md").exists());
}

#[test]
fn a_file_over_its_size_is_refused_with_the_number_and_not_read() {
    let bench = Bench::new();
    let huge = |name: &str, bytes: u64| {
        File::create(bench.path(name))
            .unwrap()
            .set_len(bytes)
            .unwrap();
    };
    let site = 256 * 1024 * 1024;
    huge("huge.ron", site + 1);
    for arguments in with("huge.ron")
        .into_iter()
        .filter(|it| it[0] != "git-setup")
    {
        let csv = arguments[0] == "import" && arguments[3] != "huge.ron"
            || arguments[0] == "record" && arguments[2] == "huge.ron";
        let limit = if csv { 64 * 1024 * 1024 } else { site };
        let words = [(site + 1).to_string(), limit.to_string()];
        let ran = bench.refused(&arguments, &[&words[0], &words[1]]);
        assert!(ran.took < ENDS, "{arguments:?} took {:?}", ran.took);
    }
    let journal = "house.ron.journal-aaaaaaaaaaaaaaaa-1";
    huge(journal, 64 * 1024 * 1024 + 1);
    let ran = bench.run(&["assess", "house.ron"]);
    assert!(
        ran.err.contains("67108865") && ran.err.contains(journal),
        "{ran:?}"
    );
    assert!(bench.path(journal).exists());
}

#[test]
fn a_lock_or_a_journal_that_is_a_link_is_not_followed() {
    let bench = Bench::new();
    bench.write("precious", "not ours");
    fs::remove_file(bench.path("house.ron.lock")).unwrap();
    symlink("precious", bench.path("house.ron.lock")).unwrap();
    let before = bench.text("house.ron");
    bench.refused(&["record", "house.ron", "r.csv"], &["house.ron.lock"]);
    bench.write("ours.ron", &before);
    symlink("precious", bench.path("ours.ron.lock")).unwrap();
    bench.refused(
        &["merge", "house.ron", "ours.ron", "house.ron"],
        &["ours.ron.lock"],
    );
    assert_eq!(bench.text("house.ron"), before);
    fs::remove_file(bench.path("house.ron.lock")).unwrap();
    // A journal or a temporary file of somebody's making that leads elsewhere.
    journal(
        &bench,
        &[&head(&bench), &note_entry("aaaaaaaaaaaaaaaa-1", "x")],
    );
    let own = bench.path("house.ron.journal-aaaaaaaaaaaaaaaa-1");
    fs::rename(&own, bench.path("elsewhere")).unwrap();
    symlink("elsewhere", &own).unwrap();
    symlink("precious", bench.path("house.ron.tmp-aaaaaaaaaaaaaaaa-1")).unwrap();
    let elsewhere = bench.text("elsewhere");
    let ran = bench.run(&["record", "house.ron", "r.csv"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert_eq!(
        (bench.text("precious"), bench.text("elsewhere")),
        ("not ours".into(), elsewhere)
    );
    assert!(!bench.text("house.ron").contains("Note("));
}

#[test]
fn a_link_to_a_site_stays_a_link_when_copies_are_joined_into_it() {
    let bench = Bench::new();
    fs::create_dir(bench.path("deep")).unwrap();
    fs::copy(bench.path("house.ron"), bench.path("deep/ours.ron")).unwrap();
    symlink("deep/ours.ron", bench.path("link.ron")).unwrap();
    bench.write("theirs.ron", bench.text("house.ron"));
    assert_eq!(bench.run(&["record", "theirs.ron", "r.csv"]).status, 0);
    let ran = bench.run(&["merge", "house.ron", "link.ron", "theirs.ron"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(bench.path("link.ron").is_symlink());
    assert_eq!(bench.text("deep/ours.ron"), bench.text("theirs.ron"));
}

#[test]
fn a_site_that_is_open_elsewhere_is_not_merged_into() {
    let bench = Bench::new();
    for copy in ["ours.ron", "theirs.ron"] {
        bench.write(copy, bench.text("house.ron"));
    }
    let lock = File::create(bench.path("ours.ron.lock")).unwrap();
    lock.try_lock().unwrap();
    let ran = bench.refused(
        &["merge", "house.ron", "ours.ron", "theirs.ron"],
        &["ours.ron", "open"],
    );
    assert_eq!(ran.status, 3);
    drop(lock);
    assert_eq!(
        bench
            .run(&["merge", "house.ron", "ours.ron", "theirs.ron"])
            .status,
        0
    );
}

#[test]
fn a_name_of_an_opening_is_never_made_of_what_a_file_says() {
    // 16 characters of a-z2-7, whatever the path and the person are called.
    let who = linewright::storage::Who {
        name: "../../x".into(),
        machine: "\u{1b}".into(),
    };
    let writer = new_writer(
        std::path::Path::new("/a/../b"),
        &who,
        jiff::Timestamp::UNIX_EPOCH,
    );
    assert_eq!(writer.as_str().len(), 16);
    assert!(
        writer
            .as_str()
            .bytes()
            .all(|b| b.is_ascii_lowercase() || (b'2'..=b'7').contains(&b))
    );
}
