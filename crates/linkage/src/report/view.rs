//! The linkage at one travel, for pictures.

use axletree_scalar::Vec3;

use crate::axle_linkage::AxleLinkage;
use crate::corner_linkage::CornerLinkage;
use crate::drawing::{Piece, Sketch};
use crate::error::LinkageError;
use crate::instant::{PointMotion, axle_roll_axis, axle_roll_center};
use crate::parts::Triple;
use crate::solution::{AxleSolution, CornerSolution};
use crate::travel::Travel;

/// Distances from the axle at which its roll axis is given, behind and ahead `[m]`.
const ROLL_AXIS_ENDS: [f64; 2] = [-0.4, 0.6];

/// The linkage of one end at one travel: lines and characteristic points, all in axes of the body.
///
/// An instant center is that of the motion in a plane: across or along the car through the contact.
/// The line from the contact to the center across the car meets the center plane in the roll
/// center; the slope of the line to the center along the car is that of anti-dive and anti-lift.
#[derive(Clone, Debug, PartialEq)]
pub struct LinkageView {
    /// Lines of links, springs, dampers and bars, of both sides.
    pub pieces: Vec<Piece>,
    /// Center of the axle or of the left wheel `[m, b]`.
    pub center: Triple,
    /// Contact of the left wheel, or the point of the ground below the axle's center `[m, b]`.
    pub contact: Triple,
    /// Roll center `[m, b]`.
    pub roll_center: Triple,
    /// Instant center in the plane across the car; none for an axle, whose heave is no roll, and
    /// for a knuckle that does not turn in the plane `[m, b]`.
    pub center_across: Option<Triple>,
    /// Instant center in the plane along the car; none for a carrier that does not turn in it
    /// `[m, b]`.
    pub center_along: Option<Triple>,
    /// Two points of an axle's roll axis, behind and ahead of it; none for corners `[m, b]`.
    pub roll_axis: Option<[Triple; 2]>,
}

impl AxleSolution {
    /// The axle at a heave `[m]`.
    ///
    /// # Errors
    /// Errors of the position and of the bar ends.
    pub fn view(&self, linkage: &AxleLinkage, heave: f64) -> Result<LinkageView, LinkageError> {
        let solver = &self.solver;
        let position = &solver.at(Travel::heave(heave))?;
        let sketch = Sketch { solver, position };
        let mut pieces = sketch.linkage();
        for side in &linkage.sides {
            pieces.extend(sketch.side(side)?);
        }
        let center = position.state.pose.center.0;
        let ground = center[2] - linkage.center[2];
        let below = Vec3([0.0, 0.0, -linkage.center[2]]);
        let heaving = PointMotion::of(position, &position.rates.heave, below);
        let height = axle_roll_center(solver, position);
        Ok(LinkageView {
            pieces,
            center,
            contact: heaving.at.0,
            roll_center: [center[0], center[1], ground + height],
            center_across: None,
            center_along: heaving.center_along(),
            roll_axis: Some(axle_roll_axis(position, ROLL_AXIS_ENDS)),
        })
    }
}

impl CornerSolution {
    /// Both corners at the same travel `[m]`.
    ///
    /// # Errors
    /// Errors of the position and of the bar end.
    pub fn view(&self, linkage: &CornerLinkage, travel: f64) -> Result<LinkageView, LinkageError> {
        let solver = &self.solver;
        let position = &solver.at(Travel::heave(travel))?;
        let sketch = Sketch { solver, position };
        let mut pieces = sketch.linkage();
        pieces.extend(sketch.side(&linkage.side)?);
        let right: Vec<Piece> = pieces.iter().map(Piece::mirrored).collect();
        pieces.extend(right);
        let contact = linkage.contact_motion(position);
        let [x, _, z] = contact.at.0;
        Ok(LinkageView {
            pieces,
            center: position.state.pose.center.0,
            contact: contact.at.0,
            roll_center: [x, 0.0, z + contact.roll_center_of_pair()],
            center_across: contact.center_across(),
            center_along: contact.center_along(),
            roll_axis: None,
        })
    }
}
