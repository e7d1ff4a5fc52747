//! Published figures: conductors, temperature factors, worked two-ports, losses on a line.
//!
//! The sources stand beside the figures. Where a published answer does not follow from its own
//! inputs, the figure that does follow is wanted, and that is said.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{line, loudspeaker, node};
use linewright::circuit::{COPPER_PER_K, Change, Conditions, Load, Network, PerMetre};
use linewright::quantity::{
    Admittance, Celsius, Hertz, Impedance, Metre, MicroHenryPerMetre, OhmPerKm, PicoFaradPerMetre,
    Volt, Watt,
};
use linewright::site::{CableMake, Conductor, Figures, NodePlan};
use num_complex::Complex64;

const TONE: f64 = 1000.0;

fn conditions(hz: f64) -> Conditions {
    Conditions::of(&Figures::default(), Hertz(hz))
}

fn at_temperature(celsius: f64) -> Conditions {
    Conditions {
        temperature: Celsius(celsius),
        ..conditions(0.0)
    }
}

/// Rows of a table under tests/data/reference, by column name.
fn table(text: &str) -> Vec<std::collections::HashMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(Result::unwrap)
        .collect()
}

/// Agreement with a printed figure: within half a unit of its last digit (and a hair, for figures
/// that stand on the edge).
#[track_caller]
fn prints_as(what: &str, got: f64, printed: &str) {
    let (digits, exponent) = printed.split_once('e').unwrap_or((printed, "0"));
    let decimals = digits.split_once('.').map_or(0, |(_, after)| after.len());
    let exponent: i32 = exponent.parse().unwrap();
    let unit = 10f64.powi(exponent - i32::try_from(decimals).unwrap());
    let want: f64 = printed.parse().unwrap();
    assert!(
        (got - want).abs() <= 0.5000001 * unit,
        "{what}: {got}, printed {printed}"
    );
}

fn bare(r20: OhmPerKm) -> CableMake {
    CableMake {
        r20,
        l: MicroHenryPerMetre(0.0),
        c: PicoFaradPerMetre(0.0),
    }
}

/// Equal loudspeakers evenly spread, the last at the end.
fn even(count: u32, total: f64, length: f64, make: CableMake) -> Vec<NodePlan> {
    let n = f64::from(count);
    (0..count as usize)
        .map(|place| {
            let from = place.checked_sub(1);
            node("LS", from, length / n, make, loudspeaker(total / n))
        })
        .collect()
}

#[test]
fn conductors_are_those_of_iec_60228() {
    // IEC 60228, classes 1 and 2, plain copper, largest resistance at 20 C.
    let rows = table(include_str!("data/reference/iec60228.csv"));
    assert_eq!(rows.len(), 9);
    for row in rows {
        let area: f64 = row["area_mm2"].parse().unwrap();
        let r20 = Conductor::named(&format!("{area} mm2")).unwrap().r20();
        prints_as(
            "one conductor",
            r20.get(),
            &row["class1_2_plain_ohm_per_km_20C"],
        );
        let run = PerMetre::of(&bare(r20), &conditions(0.0)).run(Metre(100.0));
        prints_as("100 m of loop", run.b.re, &row["loop_class1_ohm_per_100m"]);
    }
}

#[test]
fn resistance_follows_the_temperature_as_iec_60228_annex_b_has_it() {
    // kt = 254.5 / (234.5 + t), R20 = Rt kt, for annealed copper (IEC 60228 annex B). The tables
    // of 0.893 at 50 C and 0.833 at 70 C in circulation come from alpha = 0.004 and are not meant.
    for (celsius, kt) in [
        (5.0, "1.063"),
        (10.0, "1.041"),
        (15.0, "1.020"),
        (20.0, "1.000"),
        (25.0, "0.981"),
        (30.0, "0.962"),
        (40.0, "0.927"),
        (50.0, "0.895"),
        (60.0, "0.864"),
        (70.0, "0.836"),
        (75.0, "0.822"),
    ] {
        let r = |t| PerMetre::of(&bare(OhmPerKm(12.1)), &at_temperature(t)).z.re;
        let got = r(20.0) / r(celsius);
        prints_as("kt", got, kt);
        // 0.00393 rounds 1 / 254.5 up by 1.9e-4 of itself: 3.3e-5 in kt at the ends.
        assert!((got - 254.5 / (234.5 + celsius)).abs() < 4e-5, "{celsius}");
    }
    // alpha at 20 C of annealed copper, 1 / 254.5 rounded; that IEC 60028 has it is from memory.
    assert_eq!(COPPER_PER_K, 0.00393);
}

#[test]
fn gauges_are_those_of_astm_b258_and_of_the_national_electrical_code() {
    // Diameter: ASTM B258, from memory that it is this standard's formula. Resistance of solid uncoated
    // copper at 75 C: National Electrical Code (NFPA 70), chapter 9, table 8 (its figures are at 75 C,
    // neither at 20 C nor at 75 F); those of 18 and 16 AWG are from memory.
    let rows = table(include_str!("data/reference/awg.csv"));
    assert_eq!(rows.len(), 9);
    let mut compared = 0;
    for row in rows {
        let gauge: i32 = row["awg"].parse().unwrap();
        let diameter = Conductor::awg_diameter_mm(gauge);
        prints_as("diameter", diameter, &row["diameter_mm"]);
        let area = std::f64::consts::PI * diameter * diameter / 4.0;
        prints_as("area", area, &row["area_mm2"]);
        let r20 = Conductor::Awg(gauge).r20();
        prints_as("R20", r20.get(), &row["R20_solid_ohm_per_km_computed"]);
        // A thousand feet are 304.8 m; the loop is two conductors.
        let kft = |t| {
            let run = PerMetre::of(&bare(r20), &at_temperature(t)).run(Metre(304.8));
            run.b.re / 2.0
        };
        prints_as("R20 kft", kft(20.0), &row["R20_ohm_per_kft_computed"]);
        prints_as("R75 kft", kft(75.0), &row["R75_ohm_per_kft_computed"]);
        let code = &row["NEC_T8_solid_uncoated_ohm_per_kft_75C"];
        if !code.is_empty() {
            compared += 1;
            // The code's figures for 16 and 10 AWG are off by 0.007 and 0.005 ohm/kft.
            let listed: f64 = code.parse().unwrap();
            assert!((kft(75.0) - listed).abs() <= 0.0072, "{gauge} AWG");
            if gauge != 16 && gauge != 10 {
                assert!((kft(75.0) - listed).abs() <= 0.0055, "{gauge} AWG");
            }
        }
    }
    assert_eq!(compared, 6);
}

#[test]
fn a_tap_is_an_impedance_as_transformer_tables_list_it() {
    // |z| = V^2 / P, reckoned outside the program to four digits; 5000, 2500, 1000 and 500 ohm for 1, 2, 5 and 10 W
    // at "70.7 V" are those of handbooks, exact for 100 V over the square root of two.
    let rows = table(include_str!("data/reference/tap_impedance.csv"));
    assert_eq!(rows.len(), 25);
    for row in rows {
        let tap = Watt(row["P_W"].parse().unwrap());
        for volts in ["25", "50", "70.7", "100"] {
            let y = conditions(TONE).load(Volt(volts.parse().unwrap()), tap, tap);
            let printed = &row[&format!("Z_ohm_{volts}V")];
            let want: f64 = printed.parse().unwrap();
            assert!(
                ((1.0 / y.re) / want - 1.0).abs() < 5e-4,
                "{tap:?} {volts} V: {} {printed}",
                1.0 / y.re
            );
            let four = format!("{:.3e}", 1.0 / y.re);
            assert_eq!(
                four.parse::<f64>().unwrap(),
                format!("{want:.3e}").parse::<f64>().unwrap(),
                "{tap:?} at {volts} V"
            );
        }
        let amperes = 100.0 * conditions(TONE).load(Volt(100.0), tap, tap).re;
        prints_as("mA", amperes * 1e3, &row["I_mA_100V"]);
    }
    for (tap, ohms) in [(1.0, 5000.0), (2.0, 2500.0), (5.0, 1000.0), (10.0, 500.0)] {
        let volts = Volt(100.0 / 2f64.sqrt());
        let y = conditions(TONE).load(volts, Watt(tap), Watt(tap));
        assert!((y.re.recip() - ohms).abs() < 1e-9);
    }
}

#[test]
fn the_loss_of_a_resistive_line_is_that_of_the_tables() {
    // All load at the end: -20 log10(1 + Rw / RL), Rw / RL = 10^(dB/20) - 1 the other way round;
    // twenty equal taps: the ladder; evenly spread without end: -20 log10 cosh sqrt(Rw / RL).
    let rows = table(include_str!("data/reference/line_loss.csv"));
    assert_eq!(rows.len(), 480);
    for row in rows {
        let number = |name: &str| row[name].parse::<f64>().unwrap();
        let (volts, watts) = (number("V_nom"), number("P_total_W"));
        let area = format!("{} mm2", number("area_mm2"));
        let make = bare(Conductor::named(&area).unwrap().r20());
        let length = number("length_m");
        let solve = |nodes| Network::of(&line(volts, nodes), &conditions(TONE)).solve();
        let far = |nodes| solve(nodes).far_end_db().unwrap().get();
        let loop_ohm = PerMetre::of(&make, &conditions(0.0))
            .run(Metre(length))
            .b
            .re;
        prints_as("loop", loop_ohm, &row["R_loop_ohm_20C"]);
        let load = conditions(TONE).load(Volt(volts), Watt(watts), Watt(watts));
        prints_as("load", load.re.recip(), &row["R_load_ohm"]);
        let end = far(even(1, watts, length, make));
        prints_as("end", end, &row["loss_dB_all_at_end"]);
        let drop = 100.0 * (1.0 - 10f64.powf(end / 20.0));
        prints_as("drop", drop, &row["V_drop_pct_at_end"]);
        prints_as(
            "twenty",
            far(even(20, watts, length, make)),
            &row["loss_dB_far_20_equal_taps"],
        );
        let spread = -20.0 * (loop_ohm * load.re).sqrt().cosh().log10();
        prints_as(
            "spread",
            spread,
            &row["loss_dB_far_continuous_-20log10cosh"],
        );
        // Two thousand taps come close to evenly spread: the step is a thousandth of the loss.
        if length == 200.0 && area == "1.5 mm2" {
            let many = far(even(2000, watts, length, make));
            assert!((many / spread - 1.0).abs() < 2e-3, "{many} {spread}");
        }
    }
}

#[test]
fn whole_lines_read_as_two_other_programs_solved_them() {
    // Solved by ngspice 39 (sections of 10 m or less) and by scikit-rf 2.2.0 (exact two-ports).
    let rows = table(include_str!("data/reference/line_crosscheck.csv"));
    assert_eq!(rows.len(), 5);
    for row in rows {
        // Loop ohm, uH and pF a metre; nominal volts; loads; metres; angle of the loads.
        let (r, l, c, volts, count, total, length, degrees) = match &row["case"][..1] {
            "A" => (0.0242, 0.63, 105.0, 100.0, 10, 100.0, 200.0, 0.0),
            "B" => (0.0242, 0.63, 105.0, 100.0, 1, 100.0, 100.0, 0.0),
            "C" => (0.01482, 0.60, 110.0, 100.0, 20, 120.0, 400.0, 30.0),
            "D" => (0.02634, 0.65, 100.0, 70.7, 8, 40.0, 160.0, 0.0),
            "E" => (0.0242, 0.63, 105.0, 100.0, 1, 0.01, 2000.0, 0.0),
            other => panic!("{other}?"),
        };
        let make = CableMake {
            r20: OhmPerKm(r * 500.0),
            l: MicroHenryPerMetre(l),
            c: PicoFaradPerMetre(c),
        };
        let lay = |make, degrees: f64| {
            let network = Network::of(
                &line(volts, even(count, total, length, make)),
                &conditions(TONE),
            );
            let turned: Vec<Change> = (0..network.len())
                .map(|at| Change::Load {
                    at,
                    is: Load {
                        y: network.own(at) * Complex64::from_polar(1.0, -degrees.to_radians()),
                        silent: false,
                        transformer: true,
                    },
                })
                .collect();
            network.with(&turned).solve()
        };
        let solution = lay(make, degrees);
        let z: Impedance = solution.y_in().inv();
        let case = &row["case"];
        if case.starts_with('E') {
            // On this nearly unloaded line the printed resistance holds a leakage of 1e-15 S/m
            // that the other programs were given: 7e-8 of it.
            let ours = PerMetre::of(&make, &conditions(TONE));
            let leaky = PerMetre {
                y: ours.y + 1e-15,
                ..ours
            };
            let y = leaky
                .run(Metre(length))
                .looking_in(Admittance::new(1e-6, 0.0));
            prints_as(case, y.inv().re, &row["Zin_re"]);
            assert!((y.inv().re / z.re - 1.0).abs() < 7e-8);
        } else {
            prints_as(case, z.re, &row["Zin_re"]);
        }
        prints_as(case, z.im, &row["Zin_im"]);
        prints_as(case, z.norm(), &row["Zin_abs"]);
        let far = solution.voltage(count as usize - 1).unwrap().norm();
        let db = 20.0 * far.log10();
        prints_as(case, db, &row["far_dB_exact"]);
        prints_as(case, db, &row["far_dB_skrf"]);
        prints_as(case, db, &row["far_dB_ngspice"]);
        // The resistive figure takes resistive taps.
        let resistive = lay(bare(make.r20), 0.0).far_end_db().unwrap();
        prints_as(case, resistive.get(), &row["far_dB_R_only"]);
        prints_as(
            case,
            volts * volts / z.norm(),
            &row["P_apparent_V2_over_absZ"],
        );
        let ngspice = Impedance::new(
            row["ngspice_re"].parse().unwrap(),
            row["ngspice_im"].parse().unwrap(),
        );
        let off: f64 = row["rel_err_ngspice"].parse().unwrap();
        assert!(
            (z - ngspice).norm() <= (2.0 * off * z.norm()).max(1e-6),
            "{case}"
        );
    }
}

/// Characteristic impedance, and propagation constant of a run of `length`.
fn of_a_line(per: &PerMetre, length: f64) -> (Impedance, Complex64) {
    let run = per.run(Metre(length));
    ((run.b / run.c).sqrt(), run.a.acosh())
}

#[test]
fn a_telephone_line_of_the_textbooks() {
    // 25 ohm, 5 mH, 0.04 uF and 80 uS a kilometre at 1 kHz: |Z0| = 390.157 ohm, a textbook's
    // answer. Its alpha = 0.04949 and beta = 0.08885 do not follow from these inputs; 0.0484447
    // and 0.0907886 do, from gamma = sqrt((R + j w L)(G + j w C)).
    let omega = 2.0 * std::f64::consts::PI * 1000.0;
    let per = PerMetre {
        z: Impedance::new(25e-3, omega * 5e-6),
        y: Admittance::new(80e-9, omega * 0.04e-9),
    };
    let (z0, gamma) = of_a_line(&per, 1000.0);
    assert!((z0.norm() - 390.157).abs() < 1e-3, "{z0}");
    prints_as("Z0", z0.norm(), "390.1577");
    prints_as("its angle", z0.arg().to_degrees(), "-10.4276");
    prints_as("alpha", gamma.re, "0.0484447");
    prints_as("beta", gamma.im, "0.0907886");
}

#[test]
fn a_lossless_line_of_a_training_text() {
    // 0.25 mH and 1000 pF in 100 ft: Z0 = sqrt(L / C) = 500 ohm, v = 1 / sqrt(L C) = 2.0e8 ft/s
    // (US Navy training text for the inputs, the formulas for the answers).
    let omega = 2.0 * std::f64::consts::PI * 1000.0;
    let per_foot = PerMetre {
        z: Impedance::new(0.0, omega * 0.25e-5),
        y: Admittance::new(0.0, omega * 1e-11),
    };
    let (z0, gamma) = of_a_line(&per_foot, 1.0e4);
    assert!((z0 - 500.0).norm() < 1e-9, "{z0}");
    let feet_per_second = omega * 1.0e4 / gamma.im;
    assert!((feet_per_second / 2.0e8 - 1.0).abs() < 1e-9);
}

#[test]
fn a_hundred_miles_of_open_wire() {
    // 14 ohm, 4.6 mH, 0.01 uF and 0.3 uS a mile at 1 kHz (textbook inputs, its answers not
    // known): 714.925 ohm at -12.7856 deg and 8.8163 dB in 100 miles, from the line equations.
    let omega = 2.0 * std::f64::consts::PI * 1000.0;
    let per_mile = PerMetre {
        z: Impedance::new(14.0, omega * 4.6e-3),
        y: Admittance::new(0.3e-6, omega * 0.01e-6),
    };
    let (z0, gamma) = of_a_line(&per_mile, 1.0);
    prints_as("Z0", z0.norm(), "714.925");
    prints_as("its angle", z0.arg().to_degrees(), "-12.7856");
    prints_as("alpha", gamma.re, "0.0101501");
    prints_as("beta", gamma.im, "0.0437588");
    let matched = per_mile.run(Metre(100.0)).carries(z0.inv());
    prints_as("loss", -20.0 * matched.norm().log10(), "8.8163");
}

#[test]
fn a_ladder_of_equal_resistors_walks_the_fibonacci_numbers() {
    // n sections of 1 ohm in series and 1 ohm across: 2, 5/3, 13/8, 34/21, ... towards
    // (1 + sqrt 5) / 2, the golden ratio (a physics textbook's infinite ladder).
    let make = bare(OhmPerKm(500.0)); // a metre of loop is 1 ohm
    let ladder = |n: u32| {
        let taps = even(n, f64::from(n), f64::from(n), make); // 1 W at 1 V is 1 ohm
        let network = Network::of(&line(1.0, taps), &conditions(TONE));
        network.solve().y_in().inv().re
    };
    for (n, want) in [
        (1, 2.0),
        (2, 5.0 / 3.0),
        (3, 13.0 / 8.0),
        (4, 34.0 / 21.0),
        (5, 89.0 / 55.0),
        (6, 233.0 / 144.0),
        (60, (1.0 + 5f64.sqrt()) / 2.0),
    ] {
        assert!((ladder(n) - want).abs() < 1e-12, "{n}");
    }
}

#[test]
fn forty_loudspeakers_at_the_end_of_three_hundred_metres() {
    // 100 V, 40 x 25 W at 300 m, 2.5 mm2, rho 0.0175: 4.2 ohm of cable, 10 ohm of load, 29.6 %
    // lost, 70.4 V left, about 3 dB (a worked example on the cable formula of GB 50526).
    let make = bare(OhmPerKm(17.5 / 2.5));
    let mut nodes = even(1, 25.0, 300.0, make);
    for _ in 1..40 {
        nodes.push(node("LS", Some(0), 0.0, make, loudspeaker(25.0)));
    }
    let solution = Network::of(&line(100.0, nodes), &conditions(TONE)).solve();
    let run = PerMetre::of(&make, &conditions(TONE)).run(Metre(300.0));
    prints_as("cable", run.b.re, "4.2");
    prints_as("line", solution.y_in().inv().re, "14.20");
    let left = 100.0 * solution.voltage(39).unwrap().norm();
    prints_as("left", left, "70.423");
    prints_as("lost", 100.0 - left, "29.577");
    prints_as("dB", solution.far_end_db().unwrap().get(), "-3.0458");
    // The two powers add: what the cable takes, and what the loudspeakers get.
    let got: f64 = (0..40).map(|at| solution.delivered(at).get()).sum();
    let lost = solution.lost_in_cable().get();
    assert!((got - 1000.0 * 0.704_225_352f64.powi(2)).abs() < 1e-3);
    assert!((got + lost - 10_000.0 / 14.2).abs() < 1e-9);
}

#[test]
fn half_a_decibel_is_a_twentieth_and_more_of_the_load_in_cable() {
    // The 0.5 dB of fire audio circuits: Rw / RL = 10^(0.5/20) - 1 = 0.05925 of the load (as
    // quoted from NFPA 72), not 0.05594, which is over load and cable together.
    let make = bare(OhmPerKm(500.0)); // a metre of loop is 1 ohm
    let nodes = even(1, 100.0, 5.92537, make); // 100 ohm at 100 V
    let solution = Network::of(&line(100.0, nodes), &conditions(TONE)).solve();
    let db = solution.far_end_db().unwrap().get();
    assert!((db + 0.5).abs() < 1e-6, "{db}");
}
