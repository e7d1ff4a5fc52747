//! A run of cable as an exact two-port.
//!
//! With x = (gamma l)^2 = l^2 z' y', the chain matrix is
//!
//! ```text
//!   A = D = cosh(sqrt x)    B = l z' S(x)    C = l y' S(x)    S(x) = sinh(sqrt x) / sqrt x
//! ```
//!
//! Both functions are even in the root, so neither its sign nor y' = 0 matters, and for short
//! runs they are power series: a run of a millimetre keeps every digit, one of nothing is the
//! identity. Source: the transmission-line equations of any two-port textbook.
//!
//! Never here: loads, trees.

use super::Conditions;
use crate::quantity::{Admittance, Impedance, Metre};
use crate::site::CableMake;
use num_complex::Complex64;

/// Temperature coefficient of the resistance of annealed copper at 20 C, per kelvin.
/// Source: IEC 60028.
pub const COPPER_PER_K: f64 = 0.003_93;

/// Series impedance and shunt admittance of a metre of two-core cable at one frequency.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PerMetre {
    /// Loop resistance and inductance, ohm per metre.
    pub z: Impedance,
    /// Capacitance, siemens per metre; no leakage.
    pub y: Admittance,
}

impl PerMetre {
    /// What a make of cable comes to under these conditions: loop resistance 2 R20 (1 + alpha (T -
    /// 20 C)), and with a tone j omega L' and j omega C'.
    #[must_use]
    pub fn of(make: &CableMake, conditions: &Conditions) -> Self {
        let warm = 1.0 + COPPER_PER_K * (conditions.temperature.get() - 20.0);
        let omega = conditions.omega();
        Self {
            z: Impedance::new(
                2.0 * make.r20.get() * 1e-3 * warm,
                omega * make.l.get() * 1e-6,
            ),
            y: Admittance::new(0.0, omega * make.c.get() * 1e-12),
        }
    }

    /// The exact two-port of a run of this length.
    #[must_use]
    pub fn run(&self, length: Metre) -> TwoPort {
        let length = length.get();
        let x = self.z * self.y * (length * length);
        let (cosh, sinhc) = cosh_and_sinhc(x);
        TwoPort {
            a: cosh,
            b: self.z * length * sinhc,
            c: self.y * length * sinhc,
            d: cosh,
        }
    }
}

/// A chain matrix: near-end voltage and current in terms of the far end's, both currents flowing
/// outward. Reciprocal: A D - B C = 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoPort {
    /// Voltage ratio with the far end open.
    pub a: Complex64,
    /// Transfer impedance with the far end shorted, ohm.
    pub b: Impedance,
    /// Transfer admittance with the far end open, siemens.
    pub c: Admittance,
    /// Current ratio with the far end shorted.
    pub d: Complex64,
}

impl TwoPort {
    /// Nothing between the ends.
    pub const THROUGH: Self = Self {
        a: Complex64::new(1.0, 0.0),
        b: Complex64::new(0.0, 0.0),
        c: Complex64::new(0.0, 0.0),
        d: Complex64::new(1.0, 0.0),
    };

    /// A shunt across the pair.
    #[must_use]
    pub const fn shunt(y: Admittance) -> Self {
        Self {
            c: y,
            ..Self::THROUGH
        }
    }

    /// This two-port with another behind it.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        Self {
            a: self.a * next.a + self.b * next.c,
            b: self.a * next.b + self.b * next.d,
            c: self.c * next.a + self.d * next.c,
            d: self.c * next.b + self.d * next.d,
        }
    }

    /// Admittance at the near end with `y` at the far end.
    #[must_use]
    pub fn looking_in(&self, y: Admittance) -> Admittance {
        (self.c + self.d * y) / (self.a + self.b * y)
    }

    /// Admittance at the far end, looking back, with `y` at the near end.
    #[must_use]
    pub fn looking_back(&self, y: Admittance) -> Admittance {
        (self.c + self.a * y) / (self.d + self.b * y)
    }

    /// Impedance at the far end, looking back, with `z` at the near end.
    #[must_use]
    pub fn looking_back_z(&self, z: Impedance) -> Impedance {
        (self.b + self.d * z) / (self.a + self.c * z)
    }

    /// Far-end voltage per volt at the near end with `y` at the far end.
    #[must_use]
    pub fn carries(&self, y: Admittance) -> Complex64 {
        (self.a + self.b * y).inv()
    }
}

/// cosh(sqrt x) and sinh(sqrt x) / sqrt x.
fn cosh_and_sinhc(x: Complex64) -> (Complex64, Complex64) {
    if x.norm_sqr() < 1.0 {
        // 1 + x/2! + x^2/4! + ... and 1 + x/3! + x^2/5! + ...; what is left out is below 1e-16.
        let one = Complex64::new(1.0, 0.0);
        let (mut cosh, mut sinhc) = (one, one);
        let terms = if x.norm_sqr() < 1e-4 { 4 } else { 10 };
        for n in (1..=terms).rev() {
            let n = f64::from(n);
            cosh = one + x * cosh / ((2.0 * n - 1.0) * (2.0 * n));
            sinhc = one + x * sinhc / ((2.0 * n) * (2.0 * n + 1.0));
        }
        (cosh, sinhc)
    } else {
        let root = x.sqrt();
        (root.cosh(), root.sinh() / root)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Hertz;
    use crate::site::{Conductor, Figures};

    fn make() -> CableMake {
        CableMake::standard(Conductor::Area(1.5), &Figures::default())
    }

    fn metre(hz: f64) -> PerMetre {
        PerMetre::of(&make(), &Conditions::of(&Figures::default(), Hertz(hz)))
    }

    fn close(got: Complex64, want: Complex64, relative: f64) {
        assert!(
            (got - want).norm() <= relative * want.norm(),
            "{got} is not {want}"
        );
    }

    #[test]
    fn the_series_and_the_hyperbolic_functions_agree_where_they_meet() {
        for degrees in [0.0f64, 45.0, 90.0, 135.0, 180.0] {
            let x = Complex64::from_polar(0.999, degrees.to_radians());
            let (cosh, sinhc) = cosh_and_sinhc(x);
            close(cosh, x.sqrt().cosh(), 1e-14);
            close(sinhc, x.sqrt().sinh() / x.sqrt(), 1e-14);
        }
    }

    #[test]
    fn a_run_of_nothing_is_the_identity() {
        assert_eq!(metre(1000.0).run(Metre(0.0)), TwoPort::THROUGH);
    }

    #[test]
    fn a_millimetre_keeps_every_digit() {
        // To first order in l: B = l z', C = l y'; the next term is of order x = 1e-14.
        let per = metre(1000.0);
        let run = per.run(Metre(1e-3));
        close(run.b, per.z * 1e-3, 1e-13);
        close(run.c, per.y * 1e-3, 1e-13);
    }

    #[test]
    fn every_run_is_reciprocal_and_two_runs_in_a_row_are_one() {
        for hz in [0.0, 50.0, 1000.0, 20_000.0] {
            let per = metre(hz);
            for length in [0.1, 40.0, 3000.0, 60_000.0] {
                let whole = per.run(Metre(length));
                let split = per
                    .run(Metre(0.3 * length))
                    .then(&per.run(Metre(0.7 * length)));
                close(split.a, whole.a, 1e-12);
                close(split.b, whole.b, 1e-12);
                let scale = (whole.a * whole.d).norm();
                let determinant = whole.a * whole.d - whole.b * whole.c;
                assert!((determinant - 1.0).norm() <= 1e-14 * scale.max(1.0));
            }
        }
    }

    #[test]
    fn with_direct_current_a_run_is_its_loop_resistance() {
        // 100 m of 1.5 mm2 (12.1 ohm/km a conductor, IEC 60228): 2.42 ohm there and back.
        let run = metre(0.0).run(Metre(100.0));
        close(run.b, Complex64::new(2.42, 0.0), 1e-15);
        assert_eq!(run.c, Complex64::new(0.0, 0.0));
        assert_eq!(run.a, Complex64::new(1.0, 0.0));
    }
}
