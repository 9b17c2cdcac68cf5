//! A curve of cornering equilibria, followed by its arc length through the limit.
//!
//! The unknowns are those of [`axletree_vehicle::trim`] and one parameter more, the centripetal
//! acceleration `V^2/R` of the path. In the space of all of them the curve has no fold, so that
//! Newton's method with one more equation, the place along the curve's tangent, passes the highest
//! lateral acceleration as any other point (Keller, "Numerical solution of bifurcation and nonlinear
//! eigenvalue problems", in Applications of Bifurcation Theory, 1977; from memory).

use axletree_scalar::Real;
use axletree_vehicle::Model;
use axletree_vehicle::model::layout::{ATTITUDE, VELOCITY};
use axletree_vehicle::model::{Linearizer, heading_axes};
use axletree_vehicle::trim::{self, Condition, Slowing, Trim, UNKNOWNS};
use nalgebra::{DMatrix, DVector};

/// Unknowns and parameter.
const SIZE: usize = UNKNOWNS + 1;
/// Largest remaining defect.
const TOLERANCE: f64 = 1e-9;
/// Newton passes a point may take.
const MOST_PASSES: usize = 12;

/// What is held along the curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Held {
    /// The speed [m/s].
    Speed(f64),
    /// The radius of the path of O [m].
    Radius(f64),
    /// The speed [m/s] and the direction of the acceleration, from forward toward the curve's side [rad]:
    /// the parameter is its magnitude, and the brakes slow the car where the driveline does not drive it.
    Direction(f64, f64),
}

/// A point of the curve: the unknowns of the equilibrium and, last, the centripetal acceleration.
pub type Place = DVector<f64>;

/// The equations along one curve.
pub struct Curve<'a> {
    model: &'a Model,
    linearizer: Linearizer,
    held: Held,
    /// 1 for a curve to the left, -1 to the right.
    sense: f64,
    friction: f64,
    scale: DVector<f64>,
}

impl<'a> Curve<'a> {
    /// The curve of a car.
    pub fn new(model: &'a Model, held: Held, to_left: bool, friction: f64) -> Self {
        // Sizes over which each unknown changes the car's cornering noticeably: height, pitch and roll,
        // travels, velocity, angular velocity, spins, deflections, lags, wind-up, housing, twists, driveline speed,
        // steering wheel, drive torque,
        // centripetal acceleration.
        let mut scale = vec![0.02, 0.05, 0.05, 0.02, 0.02, 0.02, 0.02, 5.0, 1.0, 1.0];
        scale.extend([0.1, 0.1, 0.3]);
        scale.extend([20.0; 4]);
        scale.extend([0.01; 8]);
        scale.extend([0.01; 9]);
        scale.extend([0.01, 1.0, 0.05, 0.05, 20.0]);
        scale.extend([1.0, 500.0, 1.0]);
        assert_eq!(scale.len(), SIZE);
        Curve {
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
            Held::Speed(v) | Held::Direction(v, _) => (v, 0.0),
            Held::Radius(r) => {
                let v = (acceleration.max(1e-6) * r).sqrt();
                (v, 0.5 * r / v)
            }
        }
    }

    /// Acceleration across the heading per parameter: the centripetal part, and in a direction that is not
    /// straight to the side what the rate of the speed gives to it.
    fn lateral(&self, u: &[f64; UNKNOWNS]) -> f64 {
        let [sin, cos] = sideslip(u);
        match self.held {
            Held::Direction(_, direction) => {
                self.sense * Real::sin(direction) * cos + Real::cos(direction) * sin
            }
            _ => self.sense * cos,
        }
    }

    fn slowing(&self) -> Slowing {
        match self.held {
            Held::Direction(..) => Slowing::Brakes,
            _ => Slowing::Driveline,
        }
    }

    fn condition(&self, place: &Place) -> Condition {
        let acceleration = place[UNKNOWNS];
        if let Held::Direction(speed, direction) = self.held {
            return Condition {
                speed,
                lateral_acceleration: acceleration * self.lateral(&unknowns(place)),
                longitudinal_acceleration: acceleration * Real::cos(direction),
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
    pub fn trim(&self, place: &Place) -> Trim {
        let (state, inputs) = trim::unpack(&unknowns(place), self.friction, self.slowing());
        Trim {
            condition: self.condition(place),
            state,
            inputs,
        }
    }

    /// The place of an equilibrium that was found otherwise.
    pub fn place(&self, trim: &Trim, acceleration: f64) -> Place {
        let u = trim::pack(&trim.state, &trim.inputs);
        DVector::from_fn(SIZE, |i, _| if i < UNKNOWNS { u[i] } else { acceleration })
    }

    fn defect(&self, place: &Place) -> DVector<f64> {
        let condition = self.condition(place);
        let u = unknowns(place);
        DVector::from_row_slice(&trim::residual(self.model, &u, &condition, self.slowing()))
    }

    /// Derivatives of the defect by unknowns and parameter, in the curve's scales, with an empty row
    /// below.
    fn slopes(&self, place: &Place) -> DMatrix<f64> {
        let u = unknowns(place);
        let acceleration = place[UNKNOWNS];
        let mut slopes = DMatrix::zeros(SIZE, SIZE);
        slopes
            .view_mut((0, 0), (UNKNOWNS, UNKNOWNS))
            .copy_from(&trim::jacobian(
                self.model,
                &self.linearizer,
                &u,
                &self.condition(place),
                self.slowing(),
            ));
        if let Held::Direction(..) = self.held {
            // The defect is linear in the parameter.
            let mut moved = place.clone();
            moved[UNKNOWNS] += 1.0;
            let by_parameter = self.defect(&moved) - self.defect(place);
            slopes
                .view_mut((0, UNKNOWNS), (UNKNOWNS, 1))
                .copy_from(&by_parameter);
        } else {
            slopes[(UNKNOWNS - 2, UNKNOWNS)] = -self.speed(acceleration).1;
            slopes[(UNKNOWNS - 1, UNKNOWNS)] = -self.lateral(&u);
        }
        // The lateral acceleration asked for moves with the sideslip, on pitch, roll and velocity.
        for i in [1, 2, 7, 8, 9] {
            let step = 1e-5 * self.scale[i];
            let at = |h: f64| {
                let mut moved = u;
                moved[i] += h;
                self.lateral(&moved)
            };
            let slope = (at(step) - at(-step)) / (2.0 * step);
            slopes[(UNKNOWNS - 1, i)] -= acceleration * slope;
        }
        self.scaled(slopes)
    }

    fn scaled(&self, mut slopes: DMatrix<f64>) -> DMatrix<f64> {
        for (mut column, scale) in slopes.column_iter_mut().zip(self.scale.iter()) {
            column *= *scale;
        }
        slopes
    }

    /// Newton's method with the last equation `row . (place - from)/scale = along`.
    fn correct(
        &self,
        mut place: Place,
        from: &Place,
        row: &DVector<f64>,
        along: f64,
    ) -> Option<(Place, usize)> {
        for passes in 0..MOST_PASSES {
            let defect = self.defect(&place);
            let off = row.dot(&(&place - from).component_div(&self.scale)) - along;
            let size = (defect.norm_squared() + off * off).sqrt();
            if !size.is_finite() {
                return None;
            }
            if size < TOLERANCE {
                return Some((place, passes));
            }
            let mut slopes = self.slopes(&place);
            slopes.set_row(UNKNOWNS, &row.transpose());
            let mut right = DVector::zeros(SIZE);
            right.rows_mut(0, UNKNOWNS).copy_from(&defect);
            right[UNKNOWNS] = off;
            place -= slopes.lu().solve(&right)?.component_mul(&self.scale);
        }
        None
    }

    /// The unit tangent at a place, in the sense in which `before` points.
    pub fn tangent(&self, place: &Place, before: &DVector<f64>) -> Option<DVector<f64>> {
        let mut slopes = self.slopes(place);
        slopes.set_row(UNKNOWNS, &before.transpose());
        let mut right = DVector::zeros(SIZE);
        right[UNKNOWNS] = 1.0;
        Some(slopes.lu().solve(&right)?.normalize())
    }

    /// The direction in which only the parameter grows.
    pub fn upward() -> DVector<f64> {
        DVector::from_fn(SIZE, |i, _| f64::from(i == UNKNOWNS))
    }

    /// Distance of two places, in the curve's scales.
    pub fn distance(&self, from: &Place, to: &Place) -> f64 {
        (to - from).component_div(&self.scale).norm()
    }

    /// The point at a distance along a tangent, and the Newton passes it took.
    pub fn step(&self, from: &Place, tangent: &DVector<f64>, along: f64) -> Option<(Place, usize)> {
        let guess = from + tangent.component_mul(&self.scale) * along;
        self.correct(guess, from, tangent, along)
    }

    /// The point with a given centripetal acceleration, near a known one.
    pub fn at(&self, from: &Place, acceleration: f64) -> Option<Place> {
        let along = (acceleration - from[UNKNOWNS]) / self.scale[UNKNOWNS];
        Some(self.correct(from.clone(), from, &Self::upward(), along)?.0)
    }
}

fn unknowns(place: &Place) -> [f64; UNKNOWNS] {
    std::array::from_fn(|i| place[i])
}

/// Sine and cosine of the angle from the heading to the horizontal velocity of O.
fn sideslip(u: &[f64; UNKNOWNS]) -> [f64; 2] {
    let (state, _) = trim::unpack(u, 1.0, Slowing::Driveline);
    let (pitch, roll) = (state[ATTITUDE + 1], state[ATTITUDE + 2]);
    let velocity = [0, 1, 2].map(|i| state[VELOCITY + i]);
    let [forward, left, _] = heading_axes(pitch, roll, velocity);
    let speed = Real::hypot(forward, left);
    [left / speed, forward / speed]
}
