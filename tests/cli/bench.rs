//! A folder of its own for each test, with the program's own folders inside it.

use assert_cmd::cargo::cargo_bin;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Debug;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

pub struct Bench(TempDir);

/// What a run of the program left behind.
#[derive(Debug)]
pub struct Ran {
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Ran {
    /// Status 0 and nothing said on standard error but what `err` may hold.
    #[track_caller]
    pub fn done(self) -> String {
        assert_eq!(self.status, 0, "{}", self.err);
        self.out
    }

    /// This status, and nothing on standard output.
    #[track_caller]
    pub fn failed(&self, status: i32, of: &dyn Debug) {
        let came = (self.status, self.out.as_str());
        assert_eq!(came, (status, ""), "{of:?}: {}", self.err);
    }
}

impl Bench {
    pub fn new() -> Self {
        Self(TempDir::new().unwrap())
    }

    /// With the demo building imported and its readings recorded.
    pub fn demo() -> Self {
        let bench = Self::new();
        let schedule = shipped("glasshouse-schedule.csv");
        let readings = shipped("glasshouse-readings.csv");
        let name = ["--name", "Fernmoth Glasshouse"];
        bench
            .run(&["import", &schedule, "--to", "site.ron", name[0], name[1]])
            .done();
        bench.run(&["record", "site.ron", &readings]).done();
        bench
    }

    /// One output with a line of 15 W and 20 W, read as it should be.
    pub fn sound() -> Self {
        let bench = Self::new();
        bench.write("schedule.csv", SMALL);
        bench
            .run(&["import", "schedule.csv", "--to", "site.ron"])
            .done();
        bench.write(
            "readings.csv",
            "line,kind,value,when\nL-1,impedance,286,2026-11-24T09:00:00Z\n",
        );
        bench.run(&["record", "site.ron", "readings.csv"]).done();
        bench
    }

    /// A known resistor read as what it is: without it the leads are not ticked as zeroed.
    pub fn read_resistor(&self) {
        self.write(
            "resistor.csv",
            "line,kind,value,known_ohms\n,check,400,400\n",
        );
        self.run(&["record", "site.ron", "resistor.csv"]).done();
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        std::fs::write(self.path(name), text).unwrap();
    }

    pub fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap()
    }

    pub fn text(&self, name: &str) -> String {
        String::from_utf8(self.read(name)).unwrap()
    }

    /// Every file of the folder with its bytes.
    pub fn files(&self) -> BTreeMap<String, Vec<u8>> {
        std::fs::read_dir(self.0.path())
            .unwrap()
            .map(|entry| entry.unwrap())
            .filter(|entry| entry.file_type().unwrap().is_file())
            .map(|entry| {
                let name = entry.file_name().into_string().unwrap();
                (name, std::fs::read(entry.path()).unwrap())
            })
            .collect()
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(cargo_bin!("linewright"));
        command
            .args(arguments)
            .current_dir(self.0.path())
            .env("LINEWRIGHT_STATE_DIR", self.path("state"))
            .env("LINEWRIGHT_DATA_DIR", self.path("data"))
            .env("USER", "engineer A")
            .env("HOSTNAME", "laptop")
            .stdin(Stdio::null());
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Ran {
        ran(self.command(arguments).output().unwrap())
    }

    /// Status 2, each of these words told, nothing on standard output, no file changed.
    #[track_caller]
    pub fn refused(&self, arguments: &[&str], told: &[&str]) {
        let before = self.files();
        let ran = self.run(arguments);
        ran.failed(2, &arguments);
        for told in told {
            assert!(ran.err.contains(told), "{told}: {}", ran.err);
        }
        assert_eq!(self.files(), before, "{arguments:?}");
    }

    pub fn json(&self, arguments: &[&str]) -> Value {
        serde_json::from_str(&self.run(arguments).done()).unwrap()
    }
}

pub fn ran(output: Output) -> Ran {
    Ran {
        status: output.status.code().expect("no signal ends it"),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// Path of a file of the demo building.
pub fn shipped(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("sites")
        .join(name);
    path.to_str().unwrap().to_owned()
}

/// Two loudspeakers on one line.
pub const SMALL: &str = "\
amplifier,rated_w,zone,line,loudspeaker,tap_w
A1,100,Hall,L-1,LS-1,20
A1,100,Hall,L-1,LS-2,15
";
