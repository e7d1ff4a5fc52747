//! `git-setup`: git joins copies of a site by `linewright merge`, shows what changed in it, and
//! leaves alone what belongs to one machine.
//!
//! Never here: joining; git is the engine.

use super::{Refusal, say};
use crate::storage::{self, Disk, FileKind, Files};
use anyhow::{Context, Result, anyhow};
use std::path::Path;
use std::process::{Command, Output};

/// What git is told, in the configuration of the repository. git takes a merge that a driver leaves
/// with 1 to 128 as a conflict and keeps OURS alone in the tree: a plain 2, or 127 where the program
/// is missing, would lose THEIRS at the next `git add`. Over 128 it refuses the merge and touches
/// nothing. The quotes matter: `;` begins a comment there.
const SETTINGS: [(&str, &str); 3] = [
    ("merge.linewright.name", "linewright site merge"),
    (
        "merge.linewright.driver",
        "linewright merge %O %A %B || { s=$?; test $s -eq 1 || s=129; exit $s; }",
    ),
    ("diff.linewright.xfuncname", "^ (items|log|questions): "),
];

/// Beside a site file, and of one machine only.
const OWN: [&str; 5] = ["journal-*", "lock", "tmp-*", "aside-*", "format-*"];

/// The largest of git's files that is read here.
const LARGEST: u64 = 1024 * 1024;

/// `git-setup`.
pub(super) fn setup(site: &Path) -> Result<u8> {
    let stat = Disk.stat(site).map_err(|why| {
        let name = site.display();
        match why.kind() {
            std::io::ErrorKind::NotFound => anyhow!("there is no {name}: a site file was wanted"),
            _ => anyhow!("{name}: cannot be looked at: {why}"),
        }
    })?;
    let refused = |what: &str| Err(Refusal::of(format!("{}: {what}", site.display())));
    match stat.kind {
        FileKind::File => {}
        FileKind::Link => {
            let to = stat
                .target
                .map_or_else(String::new, |to| format!(" to {}", to.display()));
            return refused(&format!(
                "is a link{to}, and git keeps a link, not what it leads to; name the file itself"
            ));
        }
        FileKind::Folder | FileKind::Other => return refused("is no regular file"),
    }
    let Some(name) = site.file_name().and_then(|name| name.to_str()) else {
        return refused("git's files are UTF-8 text; a name in UTF-8 was wanted");
    };
    if name.chars().any(char::is_control) {
        return refused("a name without control characters was wanted");
    }
    let folder = match site.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    in_a_repository(folder)?;
    for (key, value) in SETTINGS {
        set(folder, key, value)?;
    }
    let attributes = format!("{} merge=linewright diff=linewright -text", quoted(name));
    add_lines(&folder.join(".gitattributes"), &[attributes])?;
    let ignored = OWN.map(|ending| format!("/{}.{ending}", plain(name)));
    add_lines(&folder.join(".gitignore"), &ignored)?;
    if !on_path() {
        say(
            "linewright is not on the PATH: git finds it there, and until it does git refuses to \
             merge this file",
        );
    }
    say(format!(
        "to be done by you: commit .gitattributes, .gitignore and {name}; on every other clone run \
         this command once more, since git takes no settings from a repository",
    ));
    Ok(0)
}

fn git(folder: &Path, arguments: &[&str]) -> Result<Output> {
    Command::new("git")
        .arg("-C")
        .arg(folder)
        .args(arguments)
        .output()
        .context("git cannot be run; install it, or put it on the PATH")
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).trim().to_owned()
}

fn in_a_repository(folder: &Path) -> Result<()> {
    let inside = git(folder, &["rev-parse", "--is-inside-work-tree"])?;
    if inside.stdout.starts_with(b"true") {
        return Ok(());
    }
    Err(Refusal::of(format!(
        "{}: is in no git repository that has its files checked out; `git init` makes one ({})",
        folder.display(),
        said(&inside)
    )))
}

/// One setting of the repository, written only where it is not so already.
fn set(folder: &Path, key: &str, value: &str) -> Result<()> {
    let old = git(folder, &["config", "--local", "--get-all", key])?;
    let old = String::from_utf8_lossy(&old.stdout);
    if old.strip_suffix('\n') == Some(value) {
        say(format!("git config {key}: set already"));
        return Ok(());
    }
    let done = git(folder, &["config", "--local", "--replace-all", key, value])?;
    if !done.status.success() {
        return Err(anyhow!("git config {key}: {}", said(&done)));
    }
    let before = match old.trim_end() {
        "" => String::new(),
        old => format!(" (it was {old})"),
    };
    say(format!("git config {key}: set{before}"));
    Ok(())
}

/// Adds the lines that a file lacks.
fn add_lines(path: &Path, lines: &[String]) -> Result<()> {
    let shown = path.display();
    let mut text = match Disk.stat(path) {
        Ok(stat) if stat.kind != FileKind::File => {
            return Err(Refusal::of(format!("{shown}: is no regular file")));
        }
        Ok(_) => {
            let bytes = Disk
                .read(path, LARGEST)
                .with_context(|| format!("{shown}: not read"))?;
            String::from_utf8(bytes).map_err(|_| {
                Refusal::of(format!(
                    "{shown}: is not UTF-8 text; nothing was added to it"
                ))
            })?
        }
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => String::new(),
        Err(why) => return Err(anyhow!("{shown}: cannot be looked at: {why}")),
    };
    let lacking: Vec<&String> = lines
        .iter()
        .filter(|line| !text.lines().any(|own| own == line.as_str()))
        .collect();
    if lacking.is_empty() {
        say(format!("{shown}: set already"));
        return Ok(());
    }
    if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    for line in &lacking {
        text.push_str(line);
        text.push('\n');
    }
    storage::write_whole(&Disk, path, text.as_bytes())?;
    for line in lacking {
        say(format!("{shown}: {line}"));
    }
    Ok(())
}

/// A name in which git finds no pattern.
fn plain(name: &str) -> String {
    let mut out = String::new();
    for (at, c) in name.char_indices() {
        let special = matches!(c, '*' | '?' | '[' | '\\') || at == 0 && matches!(c, '#' | '!');
        if special {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

/// The same for a file in which a blank ends the name: there git takes it in quotes.
fn quoted(name: &str) -> String {
    let name = plain(name);
    if name.contains([' ', '"']) {
        format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
    } else {
        name
    }
}

/// Whether git will find this program.
fn on_path() -> bool {
    let found = Command::new("linewright").arg("--version").output();
    found.is_ok_and(|output| output.status.success())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_git_would_take_for_patterns_are_written_so_that_it_does_not() {
        assert_eq!(plain("house.ron"), "house.ron");
        assert_eq!(plain("#1 [a]*.ron"), "\\#1 \\[a]\\*.ron");
        assert_eq!(quoted("house.ron"), "house.ron");
        assert_eq!(quoted("old house.ron"), "\"old house.ron\"");
        assert_eq!(quoted("a [b].ron"), "\"a \\\\[b].ron\"");
    }
}
