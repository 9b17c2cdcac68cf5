//! The forces of a description at every measured row, several rows to an instruction.

use axletree_numerics::Interrupt;
use axletree_scalar::{FusedTask, LANES, LaneRow, LaneTask, Lanes, dispatch_any, fused};

use crate::fit::row::ForceRow;
use crate::pressure::PressureFolding;
use crate::slip::theoretical_slip;
use crate::spec::TireSpec;

/// Groups of rows between two questions for an interruption: a millisecond.
const GROUPS_BETWEEN_QUESTIONS: usize = 1024;

/// As many rows as there are lanes, one quantity after the other.
#[derive(Clone, Copy, Debug)]
struct RowGroup {
    /// Theoretical slip along and across. `[-]`
    slip: [LaneRow; 2],
    /// Load. `[N]`
    load: LaneRow,
    /// Inclination. `[rad]`
    inclination: LaneRow,
    /// Pressure. `[Pa]`
    pressure: LaneRow,
}

/// The conditions of measured rows, ready to be evaluated many times.
#[derive(Clone, Debug)]
pub(crate) struct RowGroups {
    groups: Vec<RowGroup>,
    rows: usize,
}

impl RowGroups {
    /// The conditions of rows; `None` when interrupted.
    pub fn of(rows: &[ForceRow], interrupt: Interrupt<'_>) -> Option<Self> {
        let mut groups = Vec::new();
        for some in rows.chunks(LANES) {
            if groups.len().is_multiple_of(GROUPS_BETWEEN_QUESTIONS) && interrupt.stopped() {
                return None;
            }
            // Lanes without a row repeat the first.
            let lane = |i: usize| some.get(i).unwrap_or(&some[0]);
            let slips: [[f64; 2]; LANES] =
                std::array::from_fn(|i| theoretical_slip(lane(i).slip_ratio, lane(i).slip_angle));
            groups.push(RowGroup {
                slip: [0, 1].map(|k| std::array::from_fn(|i| slips[i][k])),
                load: std::array::from_fn(|i| lane(i).load),
                inclination: std::array::from_fn(|i| lane(i).camber),
                pressure: std::array::from_fn(|i| lane(i).pressure),
            });
        }
        Some(RowGroups {
            groups,
            rows: rows.len(),
        })
    }

    /// (F_x, F_y, M_z) of a description for every row, in their order; `None` when interrupted.
    pub fn forces(&self, spec: &TireSpec, interrupt: Interrupt<'_>) -> Option<Vec<[f64; 3]>> {
        let folding = fused(Folding(spec));
        let mut forces = Vec::with_capacity(self.groups.len() * LANES);
        for groups in self.groups.chunks(GROUPS_BETWEEN_QUESTIONS) {
            if interrupt.stopped() {
                return None;
            }
            dispatch_any(GroupForces {
                folding: &folding,
                groups,
                forces: &mut forces,
            });
        }
        forces.truncate(self.rows);
        Some(forces)
    }
}

/// Prepares a description for many pressures.
struct Folding<'s>(&'s TireSpec);

impl<'s> FusedTask for Folding<'s> {
    type Out = PressureFolding<'s>;
    #[inline(always)]
    fn run(self) -> Self::Out {
        PressureFolding::of(self.0)
    }
}

/// The forces of some groups, appended row by row.
struct GroupForces<'a> {
    folding: &'a PressureFolding<'a>,
    groups: &'a [RowGroup],
    forces: &'a mut Vec<[f64; 3]>,
}

impl LaneTask for GroupForces<'_> {
    type Out = ();

    #[inline(always)]
    fn run<T: Lanes>(self) {
        for group in self.groups {
            let mut rows = [[0.0; LANES]; 3];
            let mut first = 0;
            while first < LANES {
                let tire = self.folding.slip_numbers(T::load(&group.pressure[first..]));
                let force = tire.force(
                    group.slip.map(|slip| T::load(&slip[first..])),
                    T::load(&group.load[first..]),
                    T::load(&group.inclination[first..]),
                    T::one(),
                );
                for (value, row) in [force.fx, force.fy, force.mz].into_iter().zip(&mut rows) {
                    value.store(&mut row[first..]);
                }
                first += T::WIDTH;
            }
            for i in 0..LANES {
                self.forces.push(rows.map(|row| row[i]));
            }
        }
    }
}
