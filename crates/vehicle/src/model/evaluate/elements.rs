//! Stage 6: forces on the travels and on the body from springs, dampers, stops, bars, binding and
//! air.

use axletree_scalar::{Real, Vec3};

use super::result::PartForces;
use crate::model::accelerate::Equations;
use crate::model::frame::BodyFrame;
use crate::model::numbers::{Axle, AxleSide, Chassis, Corner, Corners};
use crate::model::parts::Compression;

/// Springs, dampers, stops, binding and the bar of two corners; `limits` are one over the angle
/// limits of the links' ends.
#[inline(always)]
pub(super) fn corner_parts<T: Real>(
    equations: &mut Equations<T>,
    frame: &BodyFrame<T>,
    corners: &Corners<T>,
    limits: &[[T; 3]; 2],
    parts: &mut PartForces<T>,
    first: usize,
) {
    let ends = [
        corners.side[0].bar.value_and_slope(frame.travel[first]),
        corners.side[1].bar.value_and_slope(frame.travel[first + 1]),
    ];
    let bar = corners.bar_rate * (ends[0].0 - ends[1].0);
    parts.bar[first / 2] = bar;
    for i in 0..2 {
        let corner: &Corner<T> = &corners.side[i];
        let (s, s_rate) = (frame.travel[first + i], frame.travel_rate[first + i]);
        let (spring, by_spring) = corner.spring.value_and_slope(s);
        let (damper, by_damper) = corner.damper.value_and_slope(s);
        let (f_spring, f_damper) = corner.strut.forces(Compression {
            spring,
            damper,
            speed: by_damper[0] * s_rate,
        });
        let f_bar = if i == 0 { bar } else { -bar };
        parts.spring[first + i] = f_spring;
        parts.damper[first + i] = f_damper;
        let [_, binding] = corner.binding.at_by(s, &limits[i]);
        equations.load_travel(
            first + i,
            -f_spring.mul_add(
                by_spring[0],
                f_damper.mul_add(by_damper[0], f_bar.mul_add(ends[i].1[0], binding)),
            ),
        );
    }
}

/// Springs, dampers, stops, binding and the bar of a solid axle; `limits` are one over the angle
/// limits of the links' ends.
#[inline(always)]
pub(super) fn axle_parts<T: Real>(
    equations: &mut Equations<T>,
    frame: &BodyFrame<T>,
    axle: &Axle<T>,
    limits: &[T; 6],
    parts: &mut PartForces<T>,
) {
    let [_, _, heave, roll] = frame.travel;
    let [_, _, heave_rate, roll_rate] = frame.travel_rate;
    let ends = [
        axle.side[0].bar.value_and_slope(heave, roll),
        axle.side[1].bar.value_and_slope(heave, roll),
    ];
    let bar = axle.bar_rate * (ends[0].0 - ends[1].0);
    parts.bar[1] = bar;
    let [_, on_heave, on_roll] = axle.binding.at_by(heave, roll, limits);
    equations.load_travel(2, -on_heave);
    equations.load_travel(3, -on_roll);
    for i in 0..2 {
        let side: &AxleSide<T> = &axle.side[i];
        let (spring, by_spring) = side.spring.value_and_slope(heave, roll);
        let (damper, by_damper) = side.damper.value_and_slope(heave, roll);
        let (f_spring, f_damper) = side.strut.forces(Compression {
            spring,
            damper,
            speed: by_damper[0].mul_add(heave_rate, by_damper[1] * roll_rate),
        });
        let f_bar = if i == 0 { bar } else { -bar };
        parts.spring[2 + i] = f_spring;
        parts.damper[2 + i] = f_damper;
        for d in 0..2 {
            equations.load_travel(
                2 + d,
                -f_spring.mul_add(
                    by_spring[d],
                    f_damper.mul_add(by_damper[d], f_bar * ends[i].1[d]),
                ),
            );
        }
    }
}

/// Air forces on the body.
#[inline(always)]
pub(super) fn air<T: Real>(
    equations: &mut Equations<T>,
    frame: &BodyFrame<T>,
    chassis: &Chassis<T>,
) {
    let (o, a) = (T::zero(), &chassis.air);
    let u = frame.velocity.x();
    equations.load_body(
        Vec3([o, o, a.drag_height]),
        Vec3([-(a.drag * u * u.abs()), o, o]),
        Vec3::zero(),
    );
    for i in 0..2 {
        equations.load_body(
            Vec3([a.lift_x[i], o, o]),
            Vec3([o, o, a.lift[i] * u * u]),
            Vec3::zero(),
        );
    }
}
