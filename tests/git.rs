//! git itself with `linewright merge` as its driver: two clones, both recorded on, nothing lost.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![cfg(unix)]

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

const LINEWRIGHT: &str = env!("CARGO_BIN_EXE_linewright");

const SCHEDULE: &str = "\
amplifier,rated_w,zone,line,loudspeaker,tap_w
A1,100,Hall,L-1,LS-1,20
A1,100,Hall,L-1,LS-2,15
A1,100,Yard,L-2,LS-1,10
";

/// An upstream, and two clones of it, `a` and `b`.
struct Team(TempDir);

/// A clone.
struct Clone {
    folder: PathBuf,
    home: PathBuf,
    /// Where programs are looked for.
    path: std::ffi::OsString,
}

#[derive(Debug)]
struct Ran {
    status: i32,
    out: String,
    err: String,
}

impl Ran {
    #[track_caller]
    fn done(self) -> String {
        assert_eq!(self.status, 0, "{}{}", self.out, self.err);
        self.out
    }
}

fn ran(output: &Output) -> Ran {
    Ran {
        status: output.status.code().unwrap(),
        out: String::from_utf8_lossy(&output.stdout).into_owned(),
        err: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// The program's folder first, so that git finds this very binary.
fn path_with_linewright() -> std::ffi::OsString {
    let own = Path::new(LINEWRIGHT).parent().unwrap().to_owned();
    let others = std::env::var_os("PATH").unwrap_or_default();
    let folders = std::iter::once(own).chain(std::env::split_paths(&others));
    std::env::join_paths(folders).unwrap()
}

impl Team {
    /// The site imported, set up and pushed in `a`; cloned, with or without the driver, as `b`.
    fn new(driver: bool) -> (Self, Clone, Clone) {
        let team = Self(TempDir::new().unwrap());
        team.clone("a")
            .git(&["init", "-q", "-b", "main", "../up", "--bare"])
            .done();
        let a = team.cloned("a");
        fs::write(a.folder.join("s.csv"), SCHEDULE).unwrap();
        a.linewright(&["import", "s.csv", "--to", "house.ron"])
            .done();
        a.linewright(&["git-setup", "house.ron"]).done();
        a.commit("the site");
        a.git(&["push", "-q", "origin", "HEAD:main"]).done();
        let b = team.cloned("b");
        if driver {
            b.linewright(&["git-setup", "house.ron"]).done();
            assert_eq!(b.git(&["status", "--porcelain"]).done(), "");
        }
        (team, a, b)
    }

    fn clone(&self, name: &str) -> Clone {
        let folder = self.0.path().join(name);
        fs::create_dir_all(&folder).unwrap();
        Clone {
            folder,
            home: self.0.path().join("home"),
            path: path_with_linewright(),
        }
    }

    fn cloned(&self, name: &str) -> Clone {
        let clone = self.clone(name);
        clone.git(&["clone", "-q", "../up", "."]).done();
        clone
    }
}

impl Clone {
    fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command
            .current_dir(&self.folder)
            .env_clear()
            .env("PATH", &self.path)
            .env("HOME", &self.home)
            .env("USER", "engineer")
            .env("LC_ALL", "C.UTF-8")
            .env("GIT_CONFIG_NOSYSTEM", "1")
            .env("GIT_TERMINAL_PROMPT", "0")
            .env("GIT_EDITOR", "true");
        for who in ["AUTHOR", "COMMITTER"] {
            command.env(format!("GIT_{who}_NAME"), "engineer");
            command.env(format!("GIT_{who}_EMAIL"), "engineer@example.invalid");
        }
        command
    }

    fn git(&self, arguments: &[&str]) -> Ran {
        ran(&self.command("git").args(arguments).output().unwrap())
    }

    fn linewright(&self, arguments: &[&str]) -> Ran {
        ran(&self.command(LINEWRIGHT).args(arguments).output().unwrap())
    }

    fn commit(&self, what: &str) {
        self.git(&["add", "-A", "."]).done();
        self.git(&["commit", "-q", "-m", what]).done();
    }

    /// Records a reading and commits it.
    fn record(&self, line: &str, ohms: u32, minute: u32) {
        let row = format!(
            "line,kind,value,when\n{line},impedance,{ohms},2026-11-24T09:{minute:02}:00Z\n"
        );
        fs::write(self.folder.join("r.csv"), row).unwrap();
        self.linewright(&["record", "house.ron", "r.csv"]).done();
        fs::remove_file(self.folder.join("r.csv")).unwrap();
        self.commit(&format!("{line} read"));
    }

    /// Brings in the schedule with other taps for the first loudspeaker; does not commit.
    fn revise(&self, tap: u32) {
        let text = SCHEDULE.replace("LS-1,20", &format!("LS-1,{tap}"));
        fs::write(self.folder.join("s.csv"), text).unwrap();
        self.linewright(&["import", "s.csv", "--to", "house.ron"])
            .done();
        self.git(&["checkout", "-q", "--", "s.csv"]).done();
    }

    fn bytes(&self) -> Vec<u8> {
        fs::read(self.folder.join("house.ron")).unwrap()
    }

    fn assess(&self) -> Value {
        let json = self.linewright(&["assess", "house.ron", "--json"]).done();
        serde_json::from_str(&json).unwrap()
    }

    /// `label ohms` of every line that was read.
    fn read_lines(&self) -> Vec<String> {
        let all = self.assess();
        let lines = all["lines"].as_array().unwrap().iter();
        lines
            .filter(|line| !line["measured"].is_null())
            .map(|line| {
                format!(
                    "{} {}",
                    line["line"].as_str().unwrap(),
                    line["measured"]["ohms"]
                )
            })
            .collect()
    }

    fn questions(&self) -> usize {
        self.assess()["questions"].as_array().unwrap().len()
    }
}

#[test]
fn two_clones_that_both_record_and_one_that_revises_have_everything_after_a_pull() {
    let (_team, a, b) = Team::new(true);
    a.record("L-1", 286, 1);
    a.revise(16);
    a.commit("another tap");
    a.git(&["push", "-q", "origin", "HEAD:main"]).done();
    b.record("L-2", 1000, 2);
    b.record("L-2", 990, 3);
    b.git(&["pull", "-q", "--no-rebase"]).done();
    assert_eq!(b.read_lines(), ["L-1 286.0", "L-2 990.0"]);
    assert_eq!(b.questions(), 0);
    assert_eq!(b.assess()["lines"][0]["design_w"], 31.0);
    assert_eq!(b.git(&["status", "--porcelain"]).done(), "", "no litter");
    // Header, three readings.
    assert_eq!(
        b.linewright(&["log", "house.ron"]).done().lines().count(),
        4
    );
    b.git(&["push", "-q", "origin", "HEAD:main"]).done();
    a.git(&["pull", "-q", "--no-rebase"]).done();
    assert_eq!(a.bytes(), b.bytes());
    assert!(
        !a.linewright(&["assess", "house.ron"])
            .err
            .contains("outside")
    );
}

#[test]
fn two_taps_for_one_loudspeaker_are_a_conflict_of_git_and_a_question_of_the_site() {
    let (_team, a, b) = Team::new(true);
    a.revise(16);
    a.record("L-1", 300, 1);
    a.git(&["push", "-q", "origin", "HEAD:main"]).done();
    b.revise(10);
    b.record("L-2", 1000, 2);
    let pulled = b.git(&["pull", "--no-rebase"]);
    assert_eq!(pulled.status, 1);
    assert!(
        pulled.out.contains("CONFLICT"),
        "{}{}",
        pulled.out,
        pulled.err
    );
    assert_eq!(b.git(&["status", "--porcelain"]).done(), "UU house.ron\n");
    // Both designs and both readings are in the tree: an add loses nothing.
    assert_eq!(b.questions(), 1);
    assert_eq!(b.read_lines(), ["L-1 300.0", "L-2 1000.0"]);
    let text = b.linewright(&["assess", "house.ron"]).done();
    assert!(
        text.contains("2 designs stand; choose one: tap_w 1"),
        "{text}"
    );
    let choices = b.assess()["questions"][0]["choices"].clone();
    let sixteen = choices.as_array().unwrap().iter();
    let sixteen: Vec<&str> = sixteen
        .filter(|it| it["design"]["Loudspeaker"]["tap_w"] == 16.0)
        .map(|it| it["stamp"].as_str().unwrap())
        .collect();
    assert_eq!(b.linewright(&["choose", "house.ron", "nonsense"]).status, 2);
    let ran = b.linewright(&["choose", "house.ron", sixteen[0]]);
    assert!(ran.err.contains("0 questions left"), "{}", ran.err);
    assert_eq!(b.questions(), 0);
    assert_eq!(b.assess()["lines"][0]["design_w"], 31.0);
    b.commit("joined, 16 W it is");
    b.git(&["push", "-q", "origin", "HEAD:main"]).done();
    a.git(&["pull", "-q", "--no-rebase"]).done();
    assert_eq!((a.bytes(), a.questions()), (b.bytes(), 0));
}

#[test]
fn a_rebase_joins_commit_by_commit() {
    let (_team, a, b) = Team::new(true);
    a.record("L-1", 286, 1);
    a.git(&["push", "-q", "origin", "HEAD:main"]).done();
    b.record("L-2", 1000, 2);
    b.record("L-2", 990, 3);
    b.git(&["pull", "-q", "--rebase"]).done();
    assert_eq!(b.read_lines(), ["L-1 286.0", "L-2 990.0"]);
    assert_eq!(
        b.linewright(&["log", "house.ron"]).done().lines().count(),
        4
    );
    assert_eq!(b.git(&["log", "--oneline"]).done().lines().count(), 4);
}

#[test]
fn a_clone_without_the_driver_stops_and_the_commands_that_the_program_names_join_it() {
    let (team, a, b) = Team::new(false);
    let with = team.cloned("c");
    with.linewright(&["git-setup", "house.ron"]).done();
    a.record("L-1", 286, 1);
    a.git(&["push", "-q", "origin", "HEAD:main"]).done();
    for clone in [&b, &with] {
        clone.record("L-2", 1000, 2);
    }
    let pulled = b.git(&["pull", "--no-rebase"]);
    assert_eq!(pulled.status, 1, "git joined it as text");
    let half = b.bytes();
    for command in [
        &["assess", "house.ron"][..],
        &["log", "house.ron"],
        &["git-setup", "x"],
    ] {
        let ran = b.linewright(command);
        assert_ne!(ran.status, 0);
        assert_eq!(ran.out, "");
    }
    let refused = b.linewright(&["assess", "house.ron"]);
    assert_eq!(refused.status, 2);
    assert_eq!(b.bytes(), half);
    let commands: Vec<&str> = refused
        .err
        .lines()
        .filter_map(|line| line.strip_prefix("  "))
        .collect();
    assert_eq!(commands.len(), 5, "{}", refused.err);
    // As one types them, with this very binary on the PATH.
    for command in commands {
        let mut shell = b.command("sh");
        ran(&shell.args(["-c", command]).output().unwrap()).done();
    }
    assert_eq!(b.read_lines(), ["L-1 286.0", "L-2 1000.0"]);
    with.git(&["pull", "-q", "--no-rebase"]).done();
    assert_eq!(b.bytes(), with.bytes());
}

/// A merge that git must refuse: nothing of the tree is touched, and once the cause is gone the
/// same pull joins everything.
#[track_caller]
fn refuses(clone: &Clone) {
    let (before, head) = (clone.bytes(), clone.git(&["rev-parse", "HEAD"]).done());
    let pulled = clone.git(&["pull", "--no-rebase"]);
    assert!(pulled.status > 1, "{pulled:?}");
    assert_eq!(clone.bytes(), before);
    assert_eq!(clone.git(&["rev-parse", "HEAD"]).done(), head);
    let unmerged = clone.git(&["ls-files", "--unmerged"]).done();
    assert_eq!(unmerged, "", "an add would drop theirs");
}

#[test]
fn where_the_program_is_missing_git_refuses_and_the_tree_is_untouched() {
    let (team, a, mut b) = Team::new(true);
    a.record("L-1", 286, 1);
    a.git(&["push", "-q", "origin", "HEAD:main"]).done();
    b.record("L-2", 1000, 2);
    // A PATH with git and a shell and no linewright.
    let bin = team.0.path().join("bin");
    fs::create_dir(&bin).unwrap();
    for program in ["git", "sh", "test"] {
        let found = std::env::split_paths(&std::env::var_os("PATH").unwrap())
            .map(|folder| folder.join(program))
            .find(|path| path.exists())
            .unwrap();
        std::os::unix::fs::symlink(found, bin.join(program)).unwrap();
    }
    let whole = std::mem::replace(&mut b.path, bin.into());
    refuses(&b);
    b.path = whole;
    b.git(&["pull", "-q", "--no-rebase"]).done();
    assert_eq!(b.read_lines(), ["L-1 286.0", "L-2 1000.0"]);
}

#[test]
fn what_merge_refuses_git_refuses() {
    let (_team, a, b) = Team::new(true);
    let newer = String::from_utf8(a.bytes()).unwrap();
    fs::write(
        a.folder.join("house.ron"),
        newer.replace("format: 1", "format: 9"),
    )
    .unwrap();
    a.commit("a newer program");
    a.git(&["push", "-q", "origin", "HEAD:main"]).done();
    b.record("L-2", 1000, 2);
    refuses(&b);
    assert_eq!(b.read_lines(), ["L-2 1000.0"]);
}

#[test]
fn a_file_that_both_made_is_joined_without_an_ancestor() {
    let (_team, a, b) = Team::new(true);
    for (clone, tap) in [(&a, 20), (&b, 16)] {
        let text = SCHEDULE.replace("LS-1,20", &format!("LS-1,{tap}"));
        fs::write(clone.folder.join("n.csv"), text).unwrap();
        clone
            .linewright(&["import", "s.csv", "--to", "new.ron"])
            .done();
        clone
            .linewright(&["import", "n.csv", "--to", "new.ron"])
            .done();
        fs::remove_file(clone.folder.join("n.csv")).unwrap();
        clone.linewright(&["git-setup", "new.ron"]).done();
        clone.commit("another file");
    }
    a.git(&["push", "-q", "origin", "HEAD:main"]).done();
    let pulled = b.git(&["pull", "--no-rebase"]);
    assert_eq!(pulled.status, 1, "{pulled:?}");
    let json = b.linewright(&["assess", "new.ron", "--json"]).done();
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["questions"].as_array().unwrap().len(), 1);
}

#[test]
fn setting_up_twice_changes_nothing_and_what_stood_there_stays() {
    let team = Team(TempDir::new().unwrap());
    let a = team.clone("a");
    a.git(&["init", "-q"]).done();
    fs::write(a.folder.join("s.csv"), SCHEDULE).unwrap();
    fs::write(a.folder.join(".gitignore"), "*.bak").unwrap();
    fs::create_dir(a.folder.join("deep")).unwrap();
    a.linewright(&["import", "s.csv", "--to", "deep/old house.ron"])
        .done();
    fs::rename(
        a.folder.join(".gitignore"),
        a.folder.join("deep/.gitignore"),
    )
    .unwrap();
    let first = a.linewright(&["git-setup", "deep/old house.ron"]);
    assert_eq!((first.status, first.out.as_str()), (0, ""));
    assert!(
        first.err.contains("merge.linewright.driver: set\n"),
        "{}",
        first.err
    );
    let files = || {
        [".git/config", "deep/.gitattributes", "deep/.gitignore"]
            .map(|name| fs::read_to_string(a.folder.join(name)).unwrap())
    };
    let before = files();
    assert!(
        before[2].starts_with("*.bak\n/old house.ron.journal-*\n"),
        "{}",
        before[2]
    );
    // Under its own line git finds this in its own file of settings as durability wants it.
    assert!(
        before[0].contains(
            "driver = \"linewright merge %O %A %B || { s=$?; test $s -eq 1 || s=129; exit $s; }\""
        ),
        "{}",
        before[0]
    );
    let again = a.linewright(&["git-setup", "deep/old house.ron"]);
    assert_eq!(again.status, 0);
    assert_eq!(files(), before);
    assert_eq!(again.err.matches("set already").count(), 5, "{}", again.err);
    let attributes = a
        .git(&["check-attr", "merge", "text", "--", "deep/old house.ron"])
        .done();
    assert!(attributes.contains("merge: linewright"), "{attributes}");
    assert!(attributes.contains("text: unset"), "{attributes}");
    for own in [
        "lock",
        "journal-k3j5h7g9f2d3s5a7-1",
        "tmp-k3j5h7g9f2d3s5a7-1",
        "format-1",
    ] {
        let name = format!("deep/old house.ron.{own}");
        assert_eq!(a.git(&["check-ignore", "-q", &name]).status, 0, "{name}");
    }
    assert_eq!(
        a.git(&["check-ignore", "-q", "deep/old house.ron"]).status,
        1
    );
}

#[test]
fn without_a_repository_or_without_git_nothing_is_set_up_and_it_is_said() {
    let team = Team(TempDir::new().unwrap());
    let mut a = team.clone("a");
    fs::write(a.folder.join("s.csv"), SCHEDULE).unwrap();
    a.linewright(&["import", "s.csv", "--to", "house.ron"])
        .done();
    let ran = a.linewright(&["git-setup", "house.ron"]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("git init"), "{}", ran.err);
    a.path = "/nowhere".into();
    let ran = a.linewright(&["git-setup", "house.ron"]);
    assert_eq!(ran.status, 3);
    assert!(ran.err.contains("git cannot be run"), "{}", ran.err);
    let ran = a.linewright(&["git-setup", "other.ron"]);
    assert_eq!(ran.status, 3);
    assert!(!a.folder.join(".gitattributes").exists());
}

#[test]
fn a_diff_tells_one_row_a_line_and_the_list_it_stands_in() {
    let (_team, a, _) = Team::new(true);
    for minute in 1..9 {
        a.record("L-1", 280 + minute, minute);
    }
    a.record("L-2", 1000, 9);
    let diff = a.git(&["diff", "-U2", "HEAD~1", "--", "house.ron"]).done();
    let added: Vec<&str> = diff
        .lines()
        .filter(|line| line.starts_with("+  "))
        .collect();
    assert_eq!(added.len(), 1, "{diff}");
    assert!(added[0].contains("Ohm(1000.0)"), "{diff}");
    assert!(diff.contains(" @@ log\n"), "{diff}");
}
