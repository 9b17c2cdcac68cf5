//! Energy of binding at exact positions.
//!
//! The ends of links and the bushings of joints store energy as they twist and tilt (module
//! `swing`), the bushings of hinged members as the members turn. An over-constrained linkage adds
//! `1/2 sum k g^2` of its strained links at their equilibrium. The energy is zero at static; the
//! moment against roll is its derivative by roll at constant heave, the force on the travel its
//! derivative by heave. At the spin of least energy of a link the energy does not depend on the
//! spin to first order, so the derivatives at constant spin are exact (dual numbers along the exact
//! rates).

use axletree_scalar::{Dual, Mat3, Real, Vec3};

use crate::binding::swing::{LinkEnergies, Pivot, Seat, Swing};
use crate::bushing::BushingTurn;
use crate::error::LinkageError;
use crate::mechanism::{Bodies, MEMBERS, MechanismState, axis_direction, sleeve_of};
use crate::pose::Pose;
use crate::solve::{Position, Rates, Solver};

/// Links, joints and hinges with their bushings.
#[derive(Clone, Debug)]
pub struct Binding {
    pub(crate) swings: Vec<Swing>,
    pub(crate) pivots: Vec<Pivot>,
    /// Torsional stiffness of each member's hinge.
    pub(crate) hinges: [f64; MEMBERS],
}

/// Turn of one end.
#[derive(Clone, Debug, PartialEq)]
pub struct EndTurn {
    /// Name of the link or joint.
    pub name: String,
    /// Index of the end: 0 or 1; 0 for a joint.
    pub end: usize,
    /// Turn about the sleeve, without sign `[rad]`.
    pub twist: f64,
    /// Tilt of the sleeve `[rad]`.
    pub tilt: f64,
    /// Tilt limit `[rad]`.
    pub limit: f64,
}

/// Energy of binding at one position, with its derivatives.
#[derive(Clone, Debug, PartialEq)]
pub struct StoredEnergy {
    /// Total energy `[J]`.
    pub energy: f64,
    /// Part from strained links `[J]`.
    pub strain: f64,
    /// Part from ends that run solid `[J]`.
    pub solid: f64,
    /// Derivative by heave or travel `[N]`.
    pub by_heave: f64,
    /// Derivative by roll: the moment against roll `[N*m]`.
    pub by_roll: f64,
}

/// The state of a position with its derivatives by heave and roll.
pub(crate) fn along_rates(p: &Position) -> MechanismState<Dual<f64, 2>> {
    type D = Dual<f64, 2>;
    let (vh, wh) = Rates::twist(&p.rates.heave);
    let (vr, wr) = Rates::twist(&p.rates.roll);
    let with = |x: f64, a: f64, b: f64| D { re: x, d: [a, b] };
    let c = p.state.pose.center;
    let turn = Mat3(p.state.pose.turn.0.map(|e| {
        let (a, b) = (wh.cross(e), wr.cross(e));
        Vec3(std::array::from_fn(|i| with(e.0[i], a.0[i], b.0[i])))
    }));
    MechanismState {
        pose: Pose {
            center: Vec3(std::array::from_fn(|i| with(c.0[i], vh.0[i], vr.0[i]))),
            turn,
        },
        angle: std::array::from_fn(|k| {
            with(p.state.angle[k], p.rates.heave[6 + k], p.rates.roll[6 + k])
        }),
    }
}

impl Binding {
    /// Binding of a mechanism.
    ///
    /// # Errors
    /// [`LinkageError::Direction`] for a sleeve without length.
    pub fn new(solver: &Solver) -> Result<Self, LinkageError> {
        let parts = &solver.mechanism.parts;
        let start = solver.mechanism.bodies(&solver.start.state, 0.0);
        let mut swings = Vec::with_capacity(parts.links.len());
        for link in &parts.links {
            let points = link.ends.map(|e| (e.point.on, Vec3(e.point.at)));
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
            let sleeve = axis_direction(&joint.name, joint.sleeve, "the sleeve has no length")?;
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
        for (stiffness, member) in hinges.iter_mut().zip(&parts.members) {
            *stiffness = member.bushings.iter().map(|b| b.torsional).sum();
        }
        Ok(Binding {
            swings,
            pivots,
            hinges,
        })
    }

    /// Energy of the members' hinges.
    pub(crate) fn hinge_energy(&self, state: &MechanismState<Dual<f64, 2>>) -> Dual<f64, 2> {
        let mut sum = Dual::constant(0.0);
        for (k, angle) in self.hinges.iter().zip(state.angle) {
            sum += (angle * angle).scale(0.5 * k);
        }
        sum
    }

    /// Energy at a position.
    pub fn stored(&self, solver: &Solver, p: &Position) -> StoredEnergy {
        let bodies = solver.mechanism.bodies(&p.state, p.travel.rack);
        let state = along_rates(p);
        let varied = solver
            .mechanism
            .bodies(&state, Dual::constant(p.travel.rack));
        let mut sum = self.hinge_energy(&state);
        let mut solid = 0.0;
        for e in self.energies(&bodies, &varied) {
            sum += e.full.soft + e.full.solid;
            solid += e.full.solid.re;
        }
        let strain = strain(solver, p);
        StoredEnergy {
            energy: sum.re + strain,
            strain,
            solid,
            by_heave: sum.d[0] + p.driver[0],
            by_roll: sum.d[1] + p.driver[1],
        }
    }

    /// Energies of every link, then of every joint.
    pub(crate) fn energies(
        &self,
        bodies: &Bodies<f64>,
        varied: &Bodies<Dual<f64, 2>>,
    ) -> impl Iterator<Item = LinkEnergies> {
        let links = self.swings.iter().map(|s| s.energies(bodies, varied));
        links.chain(self.pivots.iter().map(|p| p.energies(varied)))
    }

    /// Turns of all ends at a position.
    pub fn ends(&self, solver: &Solver, p: &Position) -> Vec<EndTurn> {
        let bodies = solver.mechanism.bodies(&p.state, p.travel.rack);
        let mut all = Vec::new();
        let mut push = |name: &str, end: usize, turn: BushingTurn<f64>, limit: f64| {
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
                    BushingTurn::of(&(*m * about), seat.sleeve),
                    seat.bushing.tilt_limit,
                );
            }
        }
        for pivot in &self.pivots {
            let q = bodies.turn(pivot.guide).transpose() * bodies.turn(pivot.guided);
            push(
                &pivot.name,
                0,
                BushingTurn::of(&q, pivot.seat.sleeve),
                pivot.seat.bushing.tilt_limit,
            );
        }
        all
    }
}

/// Energy of strained links `[J]`.
pub(crate) fn strain(solver: &Solver, p: &Position) -> f64 {
    if !solver.mechanism.over_constrained() {
        return 0.0;
    }
    solver
        .gaps(p)
        .iter()
        .zip(&solver.mechanism.stiffness)
        .map(|(g, k)| 0.5 * k * g * g)
        .sum()
}
