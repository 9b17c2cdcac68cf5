//! Curves of cornering equilibria, followed by their arc length through the limit.
//!
//! The equilibria of a car satisfy `F(u, a) = 0`, with
//!
//! | Symbol | Meaning | Unit |
//! |---|---|---|
//! | u | unknowns of [`axletree_vehicle::trim`] | as there |
//! | a | parameter: centripetal acceleration `V^2/R`, or magnitude of the acceleration | m/s^2 |
//! | F | residuals: accelerations, and the conditions on speed and lateral acceleration | as there |
//! | S | scale of each component of y = (u, a): a change that matters to the cornering car | as y |
//! | t | unit tangent of the curve in scaled components, in the sense of the last step | - |
//! | s | arc length from the last point, in scaled components | - |
//!
//! Followed by a alone, the curve ends where a is largest: there `dF/du` is singular. In the space
//! of y it has no fold. The next point solves the bordered system
//!
//! ```text
//! F(y) = 0,   t . S^-1 (y - y_0) = s
//! ```
//!
//! by Newton's method from the guess `y_0 + s S t`; the tangent solves
//!
//! ```text
//! [ dF/dy S ]       [ 0 ]
//! [   t_0'  ] t  =  [ 1 ],   then t <- t / |t|
//! ```
//!
//! with the tangent `t_0` before, so that the sense is kept and the highest lateral acceleration is
//! passed like any other point. On a circle of radius R the speed is `V = sqrt(a R)`; at constant
//! speed it is given; in a direction phi of the acceleration, from forward to the curve's side, the
//! residual is linear in a with the part `a cos(phi)` along and `a sin(phi)` across the velocity.
//!
//! Source: Keller, "Numerical solution of bifurcation and nonlinear eigenvalue problems", in
//! *Applications of Bifurcation Theory*, 1977 (from memory).

use axletree_scalar::lone;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, VELOCITY};
use axletree_vehicle::model::{Linearizer, heading_axes};
use axletree_vehicle::trim::{self, Condition, Slowing, TRIM_SCALES, TRIM_UNKNOWNS, Trim};
use nalgebra::{DMatrix, DVector};

/// Unknowns and parameter.
const SIZE: usize = TRIM_UNKNOWNS + 1;
/// Largest remaining residual of a point.
const TOLERANCE: f64 = 1e-9;
/// Step along a tangent over which the sideslip is differenced, in the curve's scales.
const DIFFERENCE: f64 = 1e-6;
/// Newton passes of a point, at most.
const MOST_PASSES: usize = 12;

/// Quantity held along a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum HeldQuantity {
    /// The speed `[m/s]`.
    Speed(f64),
    /// The radius of the path of O `[m]`.
    Radius(f64),
    /// The speed `[m/s]` and the direction of the acceleration: sine and cosine of its angle from
    /// forward to the curve's side. The parameter is the magnitude of the acceleration; the brakes
    /// slow the car where the driveline does not drive it.
    Direction(f64, [f64; 2]),
}

/// A point of the curve: the unknowns of the equilibrium and, last, the centripetal acceleration.
pub(super) type CurvePlace = DVector<f64>;

/// The equations along one curve.
pub(super) struct EquilibriumCurve<'a> {
    model: &'a Model,
    linearizer: Linearizer,
    held: HeldQuantity,
    /// 1 for a curve to the left, -1 to the right.
    sense: f64,
    friction: f64,
    scale: DVector<f64>,
}

impl<'a> EquilibriumCurve<'a> {
    /// The curve of a car.
    pub fn new(model: &'a Model, held: HeldQuantity, to_left: bool, friction: f64) -> Self {
        let mut scale = TRIM_SCALES.to_vec();
        scale.push(1.0);
        assert_eq!(scale.len(), SIZE);
        EquilibriumCurve {
            model,
            linearizer: Linearizer::of(&model.numbers),
            held,
            sense: if to_left { 1.0 } else { -1.0 },
            friction,
            scale: DVector::from_vec(scale),
        }
    }

    /// Speed and its slope by the parameter.
    fn speed(&self, acceleration: f64) -> (f64, f64) {
        match self.held {
            HeldQuantity::Speed(v) | HeldQuantity::Direction(v, _) => (v, 0.0),
            HeldQuantity::Radius(r) => {
                let v = (acceleration.max(1e-6) * r).sqrt();
                (v, 0.5 * r / v)
            }
        }
    }

    /// Acceleration across the heading per parameter: the centripetal part, and in an oblique
    /// direction the part of the rate of the speed.
    fn lateral(&self, u: &[f64; TRIM_UNKNOWNS]) -> f64 {
        let [sin, cos] = sideslip(u);
        match self.held {
            HeldQuantity::Direction(_, [aside, forward]) => {
                self.sense * aside * cos + forward * sin
            }
            _ => self.sense * cos,
        }
    }

    fn slowing(&self) -> Slowing {
        match self.held {
            HeldQuantity::Direction(..) => Slowing::Brakes,
            _ => Slowing::Driveline,
        }
    }

    fn condition(&self, place: &CurvePlace) -> Condition {
        let acceleration = place[TRIM_UNKNOWNS];
        if let HeldQuantity::Direction(speed, [_, forward]) = self.held {
            return Condition {
                speed,
                lateral_acceleration: acceleration * self.lateral(&unknowns(place)),
                longitudinal_acceleration: acceleration * forward,
                friction: self.friction,
            };
        }
        Condition {
            speed: self.speed(acceleration).0,
            lateral_acceleration: acceleration * self.lateral(&unknowns(place)),
            longitudinal_acceleration: 0.0,
            friction: self.friction,
        }
    }

    /// The equilibrium at a place.
    pub fn trim(&self, place: &CurvePlace) -> Trim {
        let (state, inputs) = trim::unpack(&unknowns(place), self.friction, self.slowing());
        Trim {
            condition: self.condition(place),
            state,
            inputs,
        }
    }

    /// The place of an equilibrium found by another solver.
    pub fn place(trim: &Trim, acceleration: f64) -> CurvePlace {
        let u = trim::pack(&trim.state, &trim.inputs);
        DVector::from_fn(SIZE, |i, _| {
            if i < TRIM_UNKNOWNS {
                u[i]
            } else {
                acceleration
            }
        })
    }

    fn residual(&self, place: &CurvePlace) -> DVector<f64> {
        let condition = self.condition(place);
        let u = unknowns(place);
        DVector::from_row_slice(&trim::residual(self.model, &u, &condition, self.slowing()))
    }

    /// Jacobian of the residual by unknowns and parameter, in the curve's scales, with an empty
    /// last row.
    fn jacobian(&self, place: &CurvePlace) -> DMatrix<f64> {
        let u = unknowns(place);
        let acceleration = place[TRIM_UNKNOWNS];
        let mut jacobian = DMatrix::zeros(SIZE, SIZE);
        jacobian
            .view_mut((0, 0), (TRIM_UNKNOWNS, TRIM_UNKNOWNS))
            .copy_from(&trim::jacobian(
                self.model,
                &self.linearizer,
                &u,
                &self.condition(place),
                self.slowing(),
            ));
        if let HeldQuantity::Direction(..) = self.held {
            // The residual is linear in the parameter.
            let mut moved = place.clone();
            moved[TRIM_UNKNOWNS] += 1.0;
            let by_parameter = self.residual(&moved) - self.residual(place);
            jacobian
                .view_mut((0, TRIM_UNKNOWNS), (TRIM_UNKNOWNS, 1))
                .copy_from(&by_parameter);
        } else {
            jacobian[(TRIM_UNKNOWNS - 2, TRIM_UNKNOWNS)] = -self.speed(acceleration).1;
            jacobian[(TRIM_UNKNOWNS - 1, TRIM_UNKNOWNS)] = -self.lateral(&u);
        }
        // The required lateral acceleration moves with the sideslip, on pitch, roll and velocity.
        for i in [1, 2, 7, 8, 9] {
            let step = 1e-5 * self.scale[i];
            let at = |h: f64| {
                let mut moved = u;
                moved[i] += h;
                self.lateral(&moved)
            };
            let slope = (at(step) - at(-step)) / (2.0 * step);
            jacobian[(TRIM_UNKNOWNS - 1, i)] -= acceleration * slope;
        }
        self.scaled(jacobian)
    }

    fn scaled(&self, mut jacobian: DMatrix<f64>) -> DMatrix<f64> {
        for (mut column, scale) in jacobian.column_iter_mut().zip(self.scale.iter()) {
            column *= *scale;
        }
        jacobian
    }

    /// Newton's method with the last equation `row . (place - from)/scale = along`.
    fn correct(
        &self,
        mut place: CurvePlace,
        from: &CurvePlace,
        row: &DVector<f64>,
        along: f64,
    ) -> Option<(CurvePlace, usize)> {
        for passes in 0..MOST_PASSES {
            let residual = self.residual(&place);
            let off = row.dot(&(&place - from).component_div(&self.scale)) - along;
            let size = (residual.norm_squared() + off * off).sqrt();
            if !size.is_finite() {
                return None;
            }
            if size < TOLERANCE {
                return Some((place, passes));
            }
            let mut jacobian = self.jacobian(&place);
            jacobian.set_row(TRIM_UNKNOWNS, &row.transpose());
            let mut right = DVector::zeros(SIZE);
            right.rows_mut(0, TRIM_UNKNOWNS).copy_from(&residual);
            right[TRIM_UNKNOWNS] = off;
            place -= jacobian.lu().solve(&right)?.component_mul(&self.scale);
        }
        None
    }

    /// The unit tangent at a place, in the sense in which `before` points.
    pub fn tangent(&self, place: &CurvePlace, before: &DVector<f64>) -> Option<DVector<f64>> {
        let mut jacobian = self.jacobian(place);
        jacobian.set_row(TRIM_UNKNOWNS, &before.transpose());
        let mut right = DVector::zeros(SIZE);
        right[TRIM_UNKNOWNS] = 1.0;
        Some(jacobian.lu().solve(&right)?.normalize())
    }

    /// Rate along a tangent of the quantity that is largest at the limit: the lateral acceleration,
    /// across the heading, a cos(beta); in an oblique direction the parameter.
    pub fn rise(&self, place: &CurvePlace, tangent: &DVector<f64>) -> f64 {
        let by_parameter = tangent[TRIM_UNKNOWNS] * self.scale[TRIM_UNKNOWNS];
        if let HeldQuantity::Direction(..) = self.held {
            return by_parameter;
        }
        let cos = |place: &CurvePlace| sideslip(&unknowns(place))[1];
        let moved = tangent.component_mul(&self.scale) * DIFFERENCE;
        let turning = (cos(&(place + &moved)) - cos(&(place - &moved))) / (2.0 * DIFFERENCE);
        by_parameter * cos(place) + place[TRIM_UNKNOWNS] * turning
    }

    /// The direction in which only the parameter grows.
    pub fn upward() -> DVector<f64> {
        DVector::from_fn(SIZE, |i, _| f64::from(i == TRIM_UNKNOWNS))
    }

    /// Distance of two places, in the curve's scales.
    pub fn distance(&self, from: &CurvePlace, to: &CurvePlace) -> f64 {
        (to - from).component_div(&self.scale).norm()
    }

    /// The point at a distance along a tangent, and the Newton passes it took.
    pub fn step(
        &self,
        from: &CurvePlace,
        tangent: &DVector<f64>,
        along: f64,
    ) -> Option<(CurvePlace, usize)> {
        let guess = from + tangent.component_mul(&self.scale) * along;
        self.correct(guess, from, tangent, along)
    }

    /// The point with a given centripetal acceleration, near a known one.
    pub fn at(&self, from: &CurvePlace, acceleration: f64) -> Option<CurvePlace> {
        let along = (acceleration - from[TRIM_UNKNOWNS]) / self.scale[TRIM_UNKNOWNS];
        Some(self.correct(from.clone(), from, &Self::upward(), along)?.0)
    }
}

fn unknowns(place: &CurvePlace) -> [f64; TRIM_UNKNOWNS] {
    std::array::from_fn(|i| place[i])
}

/// Sine and cosine of the angle from the heading to the horizontal velocity of O.
fn sideslip(u: &[f64; TRIM_UNKNOWNS]) -> [f64; 2] {
    let (state, _) = trim::unpack(u, 1.0, Slowing::Driveline);
    let (pitch, roll) = (state[ATTITUDE + 1], state[ATTITUDE + 2]);
    let velocity = [0, 1, 2].map(|i| state[VELOCITY + i]);
    let [forward, left, _] = heading_axes(pitch, roll, velocity);
    let speed = lone::hypot(forward, left);
    [left / speed, forward / speed]
}
