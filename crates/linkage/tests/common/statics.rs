//! Statics of a linkage from the positions and velocities of its points, as a second route to roll
//! centers and anti effects.

use axletree_linkage::*;
use axletree_scalar::Vec3;
use nalgebra::{DMatrix, DVector};

/// Derivatives of every constraint by every unknown, then those of the drivers, at a position.
fn rows(s: &Solver, p: &Position) -> Vec<Vec<f64>> {
    let m = &s.mechanism;
    let n = m.unknowns();
    let rack = p.travel.rack;
    let place = |a: Attachment| m.place(&p.state, rack, a);
    let velocity = |a: Attachment, j: usize| {
        let mut rates = [0.0; UNKNOWNS];
        rates[j] = 1.0;
        m.velocity(&p.state, rack, &rates, a)
    };
    let mut all = Vec::new();
    for link in &m.parts.links {
        let [a, b] = link.ends.map(|e| e.point);
        let u = (place(b) - place(a)).unit();
        all.push(
            (0..n)
                .map(|j| u.dot(velocity(b, j) - velocity(a, j)))
                .collect(),
        );
    }
    for joint in &m.parts.joints {
        let [guide, guided] = [joint.guide, joint.guided].map(|on| Attachment { on, at: joint.at });
        let apart = place(guided) - place(guide);
        for d in &joint.blocked {
            let tip = Attachment {
                on: joint.guide,
                at: std::array::from_fn(|i| joint.at[i] + d[i]),
            };
            let along = place(tip) - place(guide);
            let row = |j: usize| {
                let turn = velocity(tip, j) - velocity(guide, j);
                along.dot(velocity(guided, j) - velocity(guide, j)) + turn.dot(apart)
            };
            all.push((0..n).map(row).collect());
        }
    }
    let mut height = vec![0.0; n];
    height[2] = 1.0;
    all.push(height);
    if m.carried == Carried::Axle {
        let axis = p.state.pose.axis();
        let mut roll = vec![0.0; n];
        roll[3] = axis.y();
        roll[4] = -axis.x();
        all.push(roll);
    }
    all
}

/// Forces of the drivers of an exactly constrained linkage under a wrench on the carrier (force,
/// moment about its center): `J^T lambda = wrench`.
pub fn driver_forces(s: &Solver, p: &Position, wrench: [f64; 6]) -> Vec<f64> {
    let rows = rows(s, p);
    let n = s.mechanism.unknowns();
    assert_eq!(rows.len(), n, "exactly constrained");
    let transposed = DMatrix::from_fn(n, n, |i, j| rows[j][i]);
    let load = DVector::from_fn(n, |i, _| wrench.get(i).copied().unwrap_or(0.0));
    let forces = transposed.lu().solve(&load).unwrap();
    let drivers = s.mechanism.carried.drivers();
    forces.rows(n - drivers, drivers).iter().copied().collect()
}

/// Height of the lateral force that needs no couple against roll, from two heights.
pub fn roll_center_by_force(s: &Solver, p: &Position) -> f64 {
    let couple = |height: f64| {
        let moment = Vec3([0.0, 0.0, height]).cross(Vec3([0.0, 1.0, 0.0])).0;
        driver_forces(s, p, [0.0, 1.0, 0.0, moment[0], moment[1], moment[2]])[1]
    };
    let (low, high) = (couple(0.0), couple(0.1));
    s.mechanism.center.z() + 0.1 * low / (low - high)
}
