//! ngspice on the netlist of a line: each run as the exact lumped pi at the test frequency, the line
//! driven with 1 A at the rack. Nothing of the solver is used.

use super::lines::siemens;
use linewright::site::LinePlan;
use num_complex::Complex64;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const HZ: f64 = 1000.0;

/// A folder to run it in; none where there is no ngspice.
pub struct Spice(tempfile::TempDir);

impl Spice {
    pub fn new() -> Option<Self> {
        let there = Command::new("ngspice")
            .arg("-v")
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status();
        there.ok()?;
        Some(Self(tempfile::tempdir().ok()?))
    }

    /// Writes a netlist.
    pub fn write(&self, name: &str, text: &str) -> PathBuf {
        let path = self.0.path().join(name);
        std::fs::write(&path, text).expect("a netlist is written");
        path
    }

    /// One whole run; the figures it leaves are not read.
    pub fn run(&self, netlist: &Path) {
        let raw = self.0.path().join("out.raw");
        let done = Command::new("ngspice")
            .arg("-b")
            .arg("-r")
            .arg(&raw)
            .arg(netlist)
            .stdin(Stdio::null())
            .output()
            .expect("ngspice starts");
        assert!(
            done.status.success(),
            "ngspice:\n{}{}",
            String::from_utf8_lossy(&done.stdout),
            String::from_utf8_lossy(&done.stderr)
        );
    }
}

/// The sound line, one analysis, the voltage at the rack saved: its impedance.
pub fn healthy(line: &LinePlan) -> String {
    format!(
        "{}.ac lin 1 {HZ} {HZ}\n.save v(r)\n.end\n",
        elements(line, None)
    )
}

/// The line, and so many pairs of faults solved one after the other in one run: a loudspeaker on
/// another tap and a joint of 30 ohm, altered in place, the cheapest way ngspice has.
pub fn pairs(line: &LinePlan, many: usize) -> String {
    let n = line.nodes.len();
    let mut text = elements(line, Some(1e-6));
    text.push_str(".save v(r)\n.control\nset noaskquit\n");
    for pair in 0..many {
        let (tap, joint) = (pair % n, (pair / n + pair) % n);
        let Some(y) = siemens(line, tap) else {
            continue;
        };
        writeln!(text, "alter Rl{tap} = {:e}\nalter Rj{joint} = 30", 0.5 / y).expect("text");
        writeln!(text, "ac lin 1 {HZ} {HZ}\nprint v(r)\ndestroy all").expect("text");
        writeln!(
            text,
            "alter Rl{tap} = {:e}\nalter Rj{joint} = 1e-6",
            1.0 / y
        )
        .expect("text");
    }
    text + "quit\n.endc\n.end\n"
}

/// The elements of a line; `joint` puts a resistor before every run.
fn elements(line: &LinePlan, joint: Option<f64>) -> String {
    let omega = 2.0 * std::f64::consts::PI * HZ;
    let mut text = "a line\n.options noacct\nI 0 r DC 0 AC 1\nRr r 0 1e15\n".to_owned();
    let mut out = |row: String| {
        text.push_str(&row);
        text.push('\n');
    };
    for (at, node) in line.nodes.iter().enumerate() {
        let mut from = node
            .from
            .map_or_else(|| "r".to_owned(), |from| format!("n{from}"));
        if let Some(ohm) = joint {
            out(format!("Rj{at} {from} j{at} {ohm:e}"));
            from = format!("j{at}");
        }
        let metres = node.run.map_or(0.0, |it| it.get());
        let z = Complex64::new(
            2.0 * node.make.r20.get() * 1e-3,
            omega * node.make.l.get() * 1e-6,
        );
        let y = Complex64::new(0.0, omega * node.make.c.get() * 1e-12);
        let (gamma, zc) = ((z * y).sqrt(), (z / y).sqrt());
        let along = zc * (gamma * metres).sinh();
        let across = (gamma * metres / 2.0).tanh() / zc;
        out(format!("Ra{at} {from} m{at} {:e}", along.re));
        out(format!("La{at} m{at} n{at} {:e}", along.im / omega));
        for (side, end) in [("f", from.as_str()), ("t", &format!("n{at}"))] {
            if across.re.abs() > 1e-25 {
                out(format!("Rc{side}{at} {end} 0 {:e}", 1.0 / across.re));
            }
            out(format!("Cc{side}{at} {end} 0 {:e}", across.im / omega));
        }
        if let Some(y) = siemens(line, at) {
            out(format!("Rl{at} n{at} 0 {:e}", 1.0 / y));
        }
    }
    text
}
