//! Energy of one link's ends, and of one joint.
//!
//! As the carrier moves, a link swings, and its sleeves turn relative to the bushings around them.
//! With the direction u0 of the link at static and u now, its rotation is the smallest turn from u0
//! to u after a spin psi about u0. Relative to the body of an end, with the orientation R, the
//! bushing turns by `R^T R_link`; twist and tilt of that turn give the energy (module `bushing`).
//! The spin is that of least energy.

use axletree_scalar::{Dual, Mat3, Real, Vec3};

use crate::bushing::{Bushing, BushingTurn, ROUNDING};
use crate::mechanism::{Bodies, lift};
use crate::parts::BodyId;

/// Steps of the secant method for the spin.
const SPIN_STEPS: usize = 60;

/// A bushing with its sleeve at static.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seat {
    /// The bushing.
    pub bushing: Bushing,
    /// Unit vector along the sleeve.
    pub sleeve: Vec3<f64>,
}

/// A link whose ends twist and tilt.
#[derive(Clone, Debug)]
pub(crate) struct Swing {
    /// Name.
    pub name: String,
    /// Points of its ends.
    pub points: [(BodyId, Vec3<f64>); 2],
    /// Unit vector along it at static.
    pub along: Vec3<f64>,
    /// Bushings of its ends.
    pub seats: [Seat; 2],
}

/// A joint, whose bushing turns with the guided body relative to the guide.
#[derive(Clone, Debug)]
pub(crate) struct Pivot {
    /// Name.
    pub name: String,
    /// The body that guides.
    pub guide: BodyId,
    /// The body that is guided.
    pub guided: BodyId,
    /// Its bushing.
    pub seat: Seat,
}

/// Energy of a link without and from ends running solid.
#[derive(Clone, Copy)]
pub(crate) struct Energy<T> {
    /// Energy without running solid.
    pub soft: T,
    /// Energy from running solid.
    pub solid: T,
}

/// Smallest rotation from the unit vector `a` to `b`.
#[inline(always)]
fn shortest<T: Real>(a: Vec3<T>, b: Vec3<T>) -> Mat3<T> {
    let v = a.cross(b);
    let k = (T::one() + a.dot(b)).recip();
    let (o, l) = (T::zero(), T::one());
    Mat3([[l, o, o], [o, l, o], [o, o, l]].map(|e| {
        let e = Vec3(e);
        let c = v.cross(e);
        e + c + v.cross(c).times(k)
    }))
}

impl Swing {
    /// Rotation of the link relative to the bodies of both ends, without the spin.
    #[inline(always)]
    pub fn unspun<T: Real>(&self, bodies: &Bodies<T>) -> [Mat3<T>; 2] {
        let [a, b] = self.points;
        let u = (bodies.point(b.0, b.1) - bodies.point(a.0, a.1)).unit();
        let swing = shortest(lift(self.along), u);
        [a.0, b.0].map(|frame| bodies.turn(frame).transpose() * swing)
    }

    /// Energy at a spin about the link.
    #[inline(always)]
    fn energy<T: Real>(&self, unspun: &[Mat3<T>; 2], spin: T) -> Energy<T> {
        let about = Mat3::about(lift(self.along), spin);
        let mut sum = Energy {
            soft: T::zero(),
            solid: T::zero(),
        };
        for (seat, m) in self.seats.iter().zip(unspun) {
            let turn = BushingTurn::of(&(*m * about), lift(seat.sleeve));
            sum.soft += seat.bushing.energy(turn);
            sum.solid += seat.bushing.solid_energy(turn);
        }
        sum
    }

    /// Spin of least energy, by the secant method on the slope of the energy, whose own slope is at
    /// least that without running solid.
    pub fn spin(&self, unspun: &[Mat3<f64>; 2], solid: bool) -> f64 {
        type D = Dual<f64, 1>;
        let lifted: [Mat3<D>; 2] = unspun.map(|m| Mat3(m.0.map(lift)));
        let slope = |x: f64| {
            let e = self.energy(&lifted, D::variable(x, 0));
            e.soft.d[0] + if solid { e.solid.d[0] } else { 0.0 }
        };
        let soft: f64 = self
            .seats
            .iter()
            .map(|s| {
                let c = Real::sq(s.sleeve.dot(self.along));
                s.bushing.torsional * c + s.bushing.conical * (1.0 - c)
            })
            .sum();
        if soft <= 0.0 {
            return 0.0;
        }
        let (mut x, mut g) = (0.0, slope(0.0));
        let mut stiffness = soft;
        for _ in 0..SPIN_STEPS {
            let step = (-g / stiffness).clamp(-0.2, 0.2);
            if step.abs() < 1e-13 {
                break;
            }
            let next = x + step;
            let there = slope(next);
            let secant = (there - g) / step;
            stiffness = secant.max(0.5 * soft);
            (x, g) = (next, there);
        }
        x
    }
}

/// Energies of one link or joint at one position, with their derivatives by heave and roll.
pub(crate) struct LinkEnergies {
    /// Energy at the spin with ends that run solid.
    pub full: Energy<Dual<f64, 2>>,
    /// Energy at the spin that the link would have without running solid.
    pub soft: Dual<f64, 2>,
    /// Square of the largest tilt over its limit, without running solid.
    pub reach: f64,
}

impl Swing {
    /// Energies at one position.
    pub fn energies(&self, bodies: &Bodies<f64>, varied: &Bodies<Dual<f64, 2>>) -> LinkEnergies {
        let unspun = self.unspun(bodies);
        let lifted = self.unspun(varied);
        let soft_spin = self.spin(&unspun, false);
        let soft = self.energy(&lifted, Dual::constant(soft_spin));
        let about = Mat3::about(self.along, soft_spin);
        let reach = self
            .seats
            .iter()
            .zip(&unspun)
            .map(|(s, m)| {
                BushingTurn::of(&(*m * about), s.sleeve).tilt_squared
                    / Real::sq(s.bushing.tilt_limit)
            })
            .fold(0.0, f64::max);
        // Below the onset nothing runs solid and both spins are one.
        let full = if reach < 1.0 - 2.0 * ROUNDING {
            soft
        } else {
            let spin = self.spin(&unspun, true);
            self.energy(&lifted, Dual::constant(spin))
        };
        LinkEnergies {
            full,
            soft: soft.soft,
            reach,
        }
    }
}

impl Pivot {
    /// Energies at one position.
    pub fn energies(&self, varied: &Bodies<Dual<f64, 2>>) -> LinkEnergies {
        let q = varied.turn(self.guide).transpose() * varied.turn(self.guided);
        let turn = BushingTurn::of(&q, lift(self.seat.sleeve));
        let soft = self.seat.bushing.energy(turn);
        LinkEnergies {
            full: Energy {
                soft,
                solid: self.seat.bushing.solid_energy(turn),
            },
            soft,
            reach: turn.tilt_squared.re / Real::sq(self.seat.bushing.tilt_limit),
        }
    }
}
