//! `assess --json` on a site's file, as a program of its own, with the most memory it held.

use super::table::time;
use linewright::site::Site;
use linewright::storage::format1;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

/// A folder with the file of a site.
pub struct Written {
    room: tempfile::TempDir,
    site: PathBuf,
}

impl Written {
    pub fn of(site: &Site) -> Self {
        let room = tempfile::tempdir().expect("a folder");
        let path = room.path().join("site.ron");
        let bytes = format1::write(site).expect("a site has a form");
        std::fs::write(&path, bytes).expect("a site is written");
        Self { room, site: path }
    }

    /// Runs it; how long it took, and the most memory in megabytes where the system tells.
    pub fn assess(&self) -> (Duration, Option<f64>) {
        let out = std::fs::File::create(self.room.path().join("out.json")).expect("a file");
        let (took, peak) = time(|| {
            let mut child = Command::new(env!("CARGO_BIN_EXE_linewright"))
                .args(["assess", "--json"])
                .arg(&self.site)
                .env("LINEWRIGHT_STATE_DIR", self.room.path().join("state"))
                .env("LINEWRIGHT_DATA_DIR", self.room.path().join("data"))
                .stdin(Stdio::null())
                .stdout(out)
                .spawn()
                .expect("the program starts");
            let status = PathBuf::from(format!("/proc/{}/status", child.id()));
            let mut peak = None;
            loop {
                peak = high_water(&status).or(peak);
                if let Some(done) = child.try_wait().expect("the program ends") {
                    assert!(done.success(), "assess --json failed");
                    return peak;
                }
                std::thread::sleep(Duration::from_millis(5));
            }
        });
        (took, peak)
    }
}

/// `VmHWM` of a process, in megabytes.
fn high_water(status: &Path) -> Option<f64> {
    let text = std::fs::read_to_string(status).ok()?;
    let row = text.lines().find_map(|row| row.strip_prefix("VmHWM:"))?;
    let kilobytes: f64 = row.split_whitespace().next()?.parse().ok()?;
    Some(kilobytes * 1024.0 / 1e6)
}
