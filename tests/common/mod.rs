//! What several tests of the circuit share: the listed networks as plans and changes.
#![allow(dead_code)]

pub mod building;
pub mod trees;

use linewright::circuit::{Change, Load, Network};
use linewright::quantity::{
    Admittance, Decibel, Farad, Fraction, Impedance, Metre, Ohm, Volt, Watt,
};
use linewright::site::{CableMake, Conductor, Figures, LinePlan, NodeIs, NodePlan};
use serde::Deserialize;
use serde_json::Value;

/// One of the networks that ngspice solved.
#[derive(Debug, Deserialize)]
pub struct Listed {
    pub network: String,
    pub about: String,
    pub volts: f64,
    pub hz: f64,
    pub cable: String,
    pub faults: Vec<Fault>,
    pub ohms: Value,
    pub phase_deg: Option<f64>,
    pub nodes: Vec<Node>,
}

#[derive(Debug, Deserialize)]
pub struct Fault {
    pub fault: String,
    pub at: Option<String>,
    pub along: Option<f64>,
    pub tap_w: Option<f64>,
    pub down_db: Option<Value>,
    pub times: Option<f64>,
}

#[derive(Debug, Deserialize)]
pub struct Node {
    pub loudspeaker: String,
    pub what: String,
    pub tap_w: Option<f64>,
    pub from: String,
    pub run_m: f64,
    pub control: bool,
    pub device: Option<Device>,
    pub terminal_db: Option<f64>,
    pub phase_deg: Option<f64>,
    pub heard_db: Option<Value>,
}

#[derive(Debug, Deserialize)]
pub struct Device {
    pub ohms: Option<f64>,
    pub farads: Option<f64>,
}

/// All of them, in order.
pub fn listed() -> Vec<Listed> {
    #[derive(Deserialize)]
    struct File {
        networks: Vec<Listed>,
    }
    let text = include_str!("../data/cases/networks.json");
    serde_json::from_str::<File>(text).unwrap().networks
}

/// A standard cable: 0.65 uH/m, 100 pF/m.
pub fn standard(cable: &str) -> CableMake {
    CableMake::standard(Conductor::named(cable).unwrap(), &Figures::default())
}

/// A line of these nodes and nothing else of interest.
pub fn line(volts: f64, nodes: Vec<NodePlan>) -> LinePlan {
    LinePlan {
        id: "L".into(),
        label: "L".into(),
        output: 0,
        zone: "Z".into(),
        zone_label: "Z".into(),
        volts: Volt(volts),
        insulation_asked: false,
        nodes,
    }
}

/// A node of a line.
pub fn node(label: &str, from: Option<usize>, run_m: f64, make: CableMake, is: NodeIs) -> NodePlan {
    NodePlan {
        id: label.into(),
        label: label.into(),
        from,
        run: Some(Metre(run_m)),
        cable: "as made".into(),
        make,
        control: false,
        is,
    }
}

/// A loudspeaker on a tap.
pub fn loudspeaker(tap: f64) -> NodeIs {
    NodeIs::Loudspeaker {
        tap: Watt(tap),
        taps: None,
        of: "type".into(),
        dc_block: false,
    }
}

impl Listed {
    pub fn place(&self, label: &str) -> usize {
        let found = self.nodes.iter().position(|it| it.loudspeaker == label);
        found.unwrap_or_else(|| panic!("{}: no node {label}", self.network))
    }

    pub fn plan(&self) -> LinePlan {
        let make = standard(&self.cable);
        let nodes = self.nodes.iter().map(|it| {
            let is = match it.what.as_str() {
                "loudspeaker" => loudspeaker(it.tap_w.unwrap()),
                "junction" => NodeIs::Junction,
                "device" => {
                    let device = it.device.as_ref().unwrap();
                    NodeIs::Device {
                        ohm: device.ohms.map(Ohm),
                        farad: device.farads.map(Farad),
                    }
                }
                other => panic!("{}: {other}?", self.network),
            };
            let from = (it.from != "rack").then(|| self.place(&it.from));
            let mut plan = node(&it.loudspeaker, from, it.run_m, make, is);
            plan.control = it.control;
            plan
        });
        line(self.volts, nodes.collect())
    }

    /// The listed faults as changes of the sound network, by the table of faults: open coil
    /// -0.06 j y, secondary short z (0.19 + 0.09 j) (both leave direct current as it was),
    /// shorted loudspeaker 1 ohm, bare coil 8 ohm, line short 0.2 ohm, bad joint 30 ohm.
    pub fn changes(&self, sound: &Network) -> Vec<Change> {
        let dc = self.hz == 0.0;
        let change = |fault: &Fault| {
            let at = fault.at.as_deref().map_or(usize::MAX, |at| self.place(at));
            let dead = |times: Impedance| Change::Load {
                at,
                is: Load {
                    y: if dc {
                        sound.own(at)
                    } else {
                        sound.own(at) * times
                    },
                    silent: true,
                    transformer: true,
                },
            };
            match fault.fault.as_str() {
                "loudspeaker-open" => dead(Impedance::new(0.0, -0.06)),
                "secondary-short" => dead(Impedance::new(0.19, 0.09).inv()),
                "loudspeaker-short" => Change::short_at(at, Ohm(1.0)),
                "no-transformer" => Change::Load {
                    at,
                    is: Load {
                        y: Admittance::new(0.125, 0.0),
                        silent: false,
                        transformer: false,
                    },
                },
                "wrong-tap" => Change::Load {
                    at,
                    is: sound.on_tap(at, Watt(fault.tap_w.unwrap())).unwrap(),
                },
                "unlisted-load" => {
                    let tap = Watt(fault.tap_w.unwrap());
                    Change::Shunt {
                        at,
                        y: sound.conditions().load(sound.volts(), tap, tap),
                    }
                }
                "line-open" => Change::Break { run: at },
                "line-short" => Change::Short {
                    run: at,
                    along: Fraction(fault.along.unwrap()),
                    ohm: Ohm(0.2),
                },
                "bad-joint" => Change::Series {
                    run: at,
                    z: Impedance::new(30.0, 0.0),
                },
                "control-down" => match fault.down_db.as_ref().unwrap() {
                    Value::Number(down) => {
                        Change::control_down(at, Decibel(down.as_f64().unwrap()))
                    }
                    _ => Change::Control {
                        run: at,
                        ratio: Fraction(0.0),
                    },
                },
                "other-voltage" => Change::EveryLoad {
                    times: fault.times.unwrap(),
                },
                other => panic!("{}: {other}?", self.network),
            }
        };
        self.faults.iter().map(change).collect()
    }
}
