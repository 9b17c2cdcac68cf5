//! Constraint equations: value and derivatives.

use axletree_scalar::{Real, Vec3};

use crate::mechanism::bodies::{Bodies, Hinge, lift};
use crate::mechanism::state::{PerUnknown, UNKNOWNS};
use crate::parts::BodyId;

/// One constraint equation.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Constraint {
    /// Constant distance of two points.
    Rod {
        a: (BodyId, Vec3<f64>),
        b: (BodyId, Vec3<f64>),
        length: f64,
    },
    /// No displacement in one direction, which turns with the guide.
    Plane {
        guide: BodyId,
        guided: BodyId,
        at: Vec3<f64>,
        direction: Vec3<f64>,
    },
}

impl Constraint {
    /// Value and derivatives by the unknowns.
    #[inline(always)]
    pub fn value_and_row<T: Real>(
        &self,
        hinges: &[Hinge],
        bodies: &Bodies<T>,
    ) -> (T, PerUnknown<T>) {
        let mut row = [T::zero(); UNKNOWNS];
        match *self {
            Constraint::Rod { a, b, length } => {
                let (pa, pb) = (bodies.point(a.0, a.1), bodies.point(b.0, b.1));
                let apart = pb - pa;
                let l = apart.norm();
                let u = apart.times(l.recip());
                bodies.add_force(hinges, &mut row, b.0, pb, u);
                bodies.add_force(hinges, &mut row, a.0, pa, -u);
                (l - T::c(length), row)
            }
            Constraint::Plane {
                guide,
                guided,
                at,
                direction,
            } => {
                let (pa, pb) = (bodies.point(guide, at), bodies.point(guided, at));
                let d = bodies.turn(guide) * lift(direction);
                let apart = pb - pa;
                bodies.add_force(hinges, &mut row, guided, pb, d);
                bodies.add_force(hinges, &mut row, guide, pa, -d);
                // The direction turns with the guide: (w x d).e = w.(d x e).
                bodies.add_moment(hinges, &mut row, guide, d.cross(apart));
                (d.dot(apart), row)
            }
        }
    }

    /// Derivative by the displacement of the rack.
    pub fn by_rack(&self, bodies: &Bodies<f64>) -> f64 {
        let on_rack = |body: BodyId| if body == BodyId::Rack { 1.0 } else { 0.0 };
        match *self {
            Constraint::Rod { a, b, .. } => {
                let u = (bodies.point(b.0, b.1) - bodies.point(a.0, a.1)).unit();
                u.y() * (on_rack(b.0) - on_rack(a.0))
            }
            Constraint::Plane {
                guide,
                guided,
                direction,
                ..
            } => (bodies.turn(guide) * direction).y() * (on_rack(guided) - on_rack(guide)),
        }
    }
}
