//! Constrained maximization of a function of a few unknowns, where every evaluation is a
//! simulation.
//!
//! Sequential quadratic programming with a trust region and an exact penalty (Nocedal and Wright,
//! *Numerical Optimization*, 2nd ed. 2006, ch. 18). With the objective f, constraints `g >= 0`,
//! their derivatives F and G by forward differences and the penalty weight w, a step d from the
//! unknowns p solves
//!
//! ```text
//! most  f + F d + w t - 1/2 (p + d)'R(p + d) - 1/2 d'B d,    g + G d >= t,   t <= 0
//! ```
//!
//! or, to find a feasible point first, `most w t` with t free. Every component of d is held within
//! the trust region. B follows the curvature of the Lagrangian by damped BFGS updates, R keeps
//! unknowns smooth where they decide nothing. A trial that violates a constraint is brought back
//! along the old derivatives (second-order correction), without which the curvature of the
//! constraints would shorten every step.
//!
//! The slalom searches by a method of its own: its unknowns are a design together with the closed
//! orbit that belongs to it, and every step must stay on the surface of closed orbits. It steps in
//! the tangent space of that surface and closes the orbit again after each step, with sensitivities
//! that the orbit itself gives; this search knows only inequalities and differences.
//!
//! - `problem`: function, settings and results.
//! - `search`: the search.

mod problem;
mod search;

pub use problem::{SqpPoint, SqpProblem, SqpResult, SqpSample, SqpSettings, Stopped};
pub use search::TrustRegionSqp;
