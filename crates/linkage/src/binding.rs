//! Binding: what link ends store as they twist and tilt, and what an over-constrained linkage stores
//! by straining its links.
//!
//! As the carrier moves, every link swings with its ends, and the sleeves at its two ends turn by
//! different amounts relative to the bushings around them. With the link's direction u0 at static and
//! u now, its rotation is the shortest turn from u0 to u after a spin psi about u0; relative to the body
//! that the end is on, with orientation R, the bushing turns by `R^T R_link`. Twist and tilt of that
//! turn give the energy ([`crate::bushing`]). The spin settles where the link's energy is least.
//!
//! Hinged members twist their bushings by their angle; a joint turns its bushing by the relative
//! rotation of its two bodies. An over-constrained linkage adds `1/2 sum k g^2` of its strained links at
//! its equilibrium. The energy is zero at static; the moment on roll is its derivative by roll at
//! constant heave, the force on travel its derivative by heave. At least energy the spin does not
//! change the energy, so the derivatives hold the spin constant and are exact (dual numbers along the
//! exact rates).

use axletree_scalar::{Dual, Mat3, Real, Vec3};

use crate::bushing::{Bushing, Turn};
use crate::check::direction;
use crate::check::sleeve_of;
use crate::error::LinkageError;
use crate::mechanism::{Bodies, MEMBERS, State, lift, v3};
use crate::parts::Frame;
use crate::pose::Pose;
use crate::solve::{Position, Rates, Solver};

/// A bushing between two bodies with its sleeve at static.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seat {
    pub bushing: Bushing,
    sleeve: Vec3<f64>,
}

/// A link as far as its ends' turns go.
#[derive(Clone, Debug)]
pub(crate) struct Swing {
    name: String,
    points: [(Frame, Vec3<f64>); 2],
    along: Vec3<f64>,
    pub seats: [Seat; 2],
}

/// A joint likewise: the bushing turns with the guided body relative to the guide.
#[derive(Clone, Debug)]
pub(crate) struct Pivot {
    name: String,
    guide: Frame,
    guided: Frame,
    pub seat: Seat,
}

/// Everything that binds.
#[derive(Clone, Debug)]
pub struct Binding {
    pub(crate) swings: Vec<Swing>,
    pub(crate) pivots: Vec<Pivot>,
    /// Torsional rate of each member's hinge.
    pub(crate) hinges: [f64; MEMBERS],
}

/// How far one end is turned.
#[derive(Clone, Debug, PartialEq)]
pub struct EndTurn {
    /// The link or joint.
    pub name: String,
    /// Which end: 0 or 1; 0 for a joint.
    pub end: usize,
    /// Turn about the sleeve, without sign [rad].
    pub twist: f64,
    /// Tilt of the sleeve [rad].
    pub tilt: f64,
    /// The tilt limit [rad].
    pub limit: f64,
}

/// What is stored at one position.
#[derive(Clone, Debug, PartialEq)]
pub struct Stored {
    /// All energy [J].
    pub energy: f64,
    /// Of which by straining links [J].
    pub strain: f64,
    /// Of which by ends that run solid [J].
    pub solid: f64,
    /// Derivative of the energy by heave or travel [N].
    pub by_heave: f64,
    /// Derivative of the energy by roll: the moment that resists it [N m].
    pub by_roll: f64,
}

/// Energy of a link and the part of it that comes from ends running solid.
#[derive(Clone, Copy)]
pub(crate) struct Energy<T> {
    pub soft: T,
    pub solid: T,
}

/// The shortest rotation from `a` to `b`.
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
    /// Orientation of both ends' bushings before the spin.
    #[inline(always)]
    fn unspun<T: Real>(&self, bodies: &Bodies<T>) -> [Mat3<T>; 2] {
        let [a, b] = self.points;
        let u = (bodies.point(b.0, b.1) - bodies.point(a.0, a.1)).unit();
        let swing = shortest(lift(self.along), u);
        [a.0, b.0].map(|frame| bodies.turn(frame).transpose() * swing)
    }

    /// Energy at a spin.
    #[inline(always)]
    fn energy<T: Real>(&self, unspun: &[Mat3<T>; 2], spin: T) -> Energy<T> {
        let about = Mat3::about(lift(self.along), spin);
        let mut sum = Energy {
            soft: T::zero(),
            solid: T::zero(),
        };
        for (seat, m) in self.seats.iter().zip(unspun) {
            let turn = Turn::of(&(*m * about), lift(seat.sleeve));
            sum.soft += seat.bushing.energy(turn);
            sum.solid += seat.bushing.solid_energy(turn);
        }
        sum
    }

    /// The spin of least energy, by the secant method on the energy's slope, whose own slope is at
    /// least that of the soft rates.
    fn spin(&self, unspun: &[Mat3<f64>; 2], solid: bool) -> f64 {
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
        let mut rate = soft;
        for _ in 0..60 {
            let step = (-g / rate).clamp(-0.2, 0.2);
            if step.abs() < 1e-13 {
                break;
            }
            let next = x + step;
            let there = slope(next);
            let secant = (there - g) / step;
            rate = secant.max(0.5 * soft);
            (x, g) = (next, there);
        }
        x
    }
}

/// The state with its first variation along heave and roll.
pub(crate) fn along_rates(p: &Position) -> State<Dual<f64, 2>> {
    type D = Dual<f64, 2>;
    let (vh, wh) = Rates::twist(&p.rates.heave);
    let (vr, wr) = Rates::twist(&p.rates.roll);
    let with = |x: f64, a: f64, b: f64| D { re: x, d: [a, b] };
    let c = p.state.pose.center;
    let turn = Mat3(p.state.pose.turn.0.map(|e| {
        let (a, b) = (wh.cross(e), wr.cross(e));
        Vec3(std::array::from_fn(|i| with(e.0[i], a.0[i], b.0[i])))
    }));
    State {
        pose: Pose {
            center: Vec3(std::array::from_fn(|i| with(c.0[i], vh.0[i], vr.0[i]))),
            turn,
        },
        angle: std::array::from_fn(|k| {
            with(p.state.angle[k], p.rates.heave[6 + k], p.rates.roll[6 + k])
        }),
    }
}

/// Energies of one link at one position: total with derivatives, and without running solid.
pub(crate) struct LinkStored {
    /// With the spin that settles when ends run solid.
    pub full: Energy<Dual<f64, 2>>,
    /// With the spin that would settle if they did not.
    pub soft: Dual<f64, 2>,
    /// Greatest tilt over its limit, squared, of the two ends, without running solid.
    pub reach: f64,
}

impl Binding {
    /// Of a mechanism.
    pub fn new(solver: &Solver) -> Result<Self, LinkageError> {
        let parts = &solver.mechanism.parts;
        let start = solver.mechanism.bodies(&solver.start.state, 0.0);
        let mut swings = Vec::with_capacity(parts.links.len());
        for link in &parts.links {
            let points = link.ends.map(|e| (e.point.on, v3(e.point.at)));
            let [a, b] = points;
            let along = (start.point(b.0, b.1) - start.point(a.0, a.1)).unit();
            let mut seats = Vec::with_capacity(2);
            for e in &link.ends {
                seats.push(Seat {
                    bushing: e.bushing,
                    sleeve: sleeve_of(&link.name, e.sleeve, along)?,
                });
            }
            swings.push(Swing {
                name: link.name.clone(),
                points,
                along,
                seats: [seats[0], seats[1]],
            });
        }
        let mut pivots = Vec::with_capacity(parts.joints.len());
        for joint in &parts.joints {
            let sleeve = direction(joint.sleeve).ok_or_else(|| LinkageError::Direction {
                name: joint.name.clone(),
                reason: "the sleeve has no length",
            })?;
            pivots.push(Pivot {
                name: joint.name.clone(),
                guide: joint.guide,
                guided: joint.guided,
                seat: Seat {
                    bushing: joint.bushing,
                    sleeve,
                },
            });
        }
        let mut hinges = [0.0; MEMBERS];
        for (rate, member) in hinges.iter_mut().zip(&parts.members) {
            *rate = member.bushings.iter().map(|b| b.torsional).sum();
        }
        Ok(Binding {
            swings,
            pivots,
            hinges,
        })
    }

    pub(crate) fn link(
        swing: &Swing,
        bodies: &Bodies<f64>,
        varied: &Bodies<Dual<f64, 2>>,
    ) -> LinkStored {
        let unspun = swing.unspun(bodies);
        let lifted = swing.unspun(varied);
        let soft_spin = swing.spin(&unspun, false);
        let soft = swing.energy(&lifted, Dual::constant(soft_spin));
        let about = Mat3::about(swing.along, soft_spin);
        let reach = swing
            .seats
            .iter()
            .zip(&unspun)
            .map(|(s, m)| {
                Turn::of(&(*m * about), s.sleeve).tilt_squared / Real::sq(s.bushing.tilt_limit)
            })
            .fold(0.0, f64::max);
        // Below the onset nothing runs solid and both spins are one.
        let full = if reach < 1.0 - 2.0 * crate::bushing::ROUNDING {
            soft
        } else {
            let spin = swing.spin(&unspun, true);
            swing.energy(&lifted, Dual::constant(spin))
        };
        LinkStored {
            full,
            soft: soft.soft,
            reach,
        }
    }

    /// Joints and members: soft, solid and reach of each joint.
    pub(crate) fn pivot(pivot: &Pivot, varied: &Bodies<Dual<f64, 2>>) -> LinkStored {
        let q = varied.turn(pivot.guide).transpose() * varied.turn(pivot.guided);
        let turn = Turn::of(&q, lift(pivot.seat.sleeve));
        let soft = pivot.seat.bushing.energy(turn);
        LinkStored {
            full: Energy {
                soft,
                solid: pivot.seat.bushing.solid_energy(turn),
            },
            soft,
            reach: turn.tilt_squared.re / Real::sq(pivot.seat.bushing.tilt_limit),
        }
    }

    pub(crate) fn hinge_energy(&self, state: &State<Dual<f64, 2>>) -> Dual<f64, 2> {
        let mut sum = Dual::constant(0.0);
        for (k, angle) in self.hinges.iter().zip(state.angle) {
            sum += (angle * angle).scale(0.5 * k);
        }
        sum
    }

    /// What is stored at a position.
    pub fn stored(&self, solver: &Solver, p: &Position) -> Stored {
        let bodies = solver.mechanism.bodies(&p.state, p.travel.rack);
        let state = along_rates(p);
        let varied = solver
            .mechanism
            .bodies(&state, Dual::constant(p.travel.rack));
        let mut sum = self.hinge_energy(&state);
        let mut solid = 0.0;
        let links = self.swings.iter().map(|s| Self::link(s, &bodies, &varied));
        for e in links.chain(self.pivots.iter().map(|s| Self::pivot(s, &varied))) {
            sum += e.full.soft + e.full.solid;
            solid += e.full.solid.re;
        }
        let strain = strain(solver, p);
        Stored {
            energy: sum.re + strain,
            strain,
            solid,
            by_heave: sum.d[0] + p.driver[0],
            by_roll: sum.d[1] + p.driver[1],
        }
    }

    /// Turns of all ends at a position.
    pub fn ends(&self, solver: &Solver, p: &Position) -> Vec<EndTurn> {
        let bodies = solver.mechanism.bodies(&p.state, p.travel.rack);
        let mut all = Vec::new();
        let mut push = |name: &str, end: usize, turn: Turn<f64>, limit: f64| {
            all.push(EndTurn {
                name: name.to_owned(),
                end,
                twist: turn.twist_squared.sqrt(),
                tilt: turn.tilt_squared.sqrt(),
                limit,
            });
        };
        for swing in &self.swings {
            let unspun = swing.unspun(&bodies);
            let about = Mat3::about(swing.along, swing.spin(&unspun, true));
            for (i, (seat, m)) in swing.seats.iter().zip(&unspun).enumerate() {
                push(
                    &swing.name,
                    i,
                    Turn::of(&(*m * about), seat.sleeve),
                    seat.bushing.tilt_limit,
                );
            }
        }
        for pivot in &self.pivots {
            let q = bodies.turn(pivot.guide).transpose() * bodies.turn(pivot.guided);
            push(
                &pivot.name,
                0,
                Turn::of(&q, pivot.seat.sleeve),
                pivot.seat.bushing.tilt_limit,
            );
        }
        all
    }
}

/// Energy of strained links [J].
pub(crate) fn strain(solver: &Solver, p: &Position) -> f64 {
    if !solver.mechanism.over_constrained() {
        return 0.0;
    }
    solver
        .misses(p)
        .iter()
        .zip(&solver.mechanism.rate)
        .map(|(g, k)| 0.5 * k * g * g)
        .sum()
}
