//! A measured row, and what a set of rows holds.

use crate::error::TireError;
use crate::fit::Need;
use crate::fit::parameters::{Parameter, Part, Reach};
use crate::spec::TireSpec;

/// One measurement of a tire that rolls forward in steady state, on a surface of friction scale one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForceRow {
    /// Slip angle. [rad, positive for a force to the left]
    pub slip_angle: f64,
    /// Slip ratio. [-, positive driving, -1 locked]
    pub slip_ratio: f64,
    /// Vertical load. [N]
    pub load: f64,
    /// Inclination. [rad, about +x: top to the right]
    pub camber: f64,
    /// Inflation pressure above the atmosphere. [Pa]
    pub pressure: f64,
    /// Longitudinal force, where measured. [N, forward]
    pub fx: Option<f64>,
    /// Lateral force, where measured. [N, left]
    pub fy: Option<f64>,
    /// Aligning moment, where measured. [N m, counterclockwise from above]
    pub mz: Option<f64>,
}

impl ForceRow {
    /// What was measured: (F_x, F_y, M_z).
    pub fn measured(&self) -> [Option<f64>; 3] {
        [self.fx, self.fy, self.mz]
    }
}

/// Refuses rows that are not numbers or cannot be a tire's.
pub(crate) fn check(rows: &[ForceRow]) -> Result<(), TireError> {
    for (row, r) in rows.iter().enumerate() {
        // Ten times the load is far above any rubber; half a meter is longer than a contact.
        let (force, moment) = (10.0 * r.load.abs(), 0.5 * r.load.abs());
        let fields = [
            ("load", Some(r.load), 1.0, 1e5, "N"),
            ("slip_angle", Some(r.slip_angle), -1.4, 1.4, "rad"),
            ("slip_ratio", Some(r.slip_ratio), -0.99, 10.0, "-"),
            ("camber", Some(r.camber), -1.2, 1.2, "rad"),
            ("pressure", Some(r.pressure), 1e3, 2e6, "Pa"),
            ("fx", r.fx, -force, force, "N"),
            ("fy", r.fy, -force, force, "N"),
            ("mz", r.mz, -moment, moment, "N m"),
        ];
        for (field, value, low, high, unit) in fields {
            let Some(value) = value else { continue };
            if !(low..=high).contains(&value) {
                return Err(TireError::Row {
                    row,
                    field,
                    value,
                    low,
                    high,
                    unit,
                });
            }
        }
    }
    Ok(())
}

/// The least inclination that shows in forces: half a degree.
const LEAST_CAMBER: f64 = 0.5 * std::f64::consts::PI / 180.0;

/// The least number of rows of a channel.
pub(crate) const LEAST_ROWS: usize = 3;

/// What a set of rows holds.
#[derive(Clone, Debug)]
pub(crate) struct Holdings {
    /// Measured values.
    pub values: usize,
    /// Rows of each channel with slip that shows in it.
    channel_rows: [usize; 3],
    /// Loads of each channel that differ.
    channel_loads: [usize; 3],
    /// Pressures of each channel that differ.
    channel_pressures: [usize; 3],
    /// All pressures. [Pa]
    pub pressures: Vec<f64>,
    /// Largest inclination of rows that measure the lateral force. [rad]
    camber: f64,
}

impl Holdings {
    pub fn of(rows: &[ForceRow], start: &TireSpec) -> Self {
        let mut holdings = Holdings {
            values: rows.iter().flat_map(ForceRow::measured).flatten().count(),
            channel_rows: [0; 3],
            channel_loads: [0; 3],
            channel_pressures: [0; 3],
            pressures: distinct(
                rows.iter().map(|r| r.pressure),
                1e-9 * start.nominal_pressure,
            ),
            camber: rows
                .iter()
                .filter(|r| r.fy.is_some())
                .fold(0.0, |a, r| r.camber.abs().max(a)),
        };
        for channel in 0..3 {
            // A channel's rows tell nothing without slip in its direction.
            let telling: Vec<&ForceRow> = rows
                .iter()
                .filter(|r| {
                    let slip = if channel == 0 {
                        r.slip_ratio
                    } else {
                        r.slip_angle
                    };
                    r.measured()[channel].is_some() && slip.abs() > 1e-5
                })
                .collect();
            holdings.channel_rows[channel] = telling.len();
            // Loads and pressures within a twentieth of the nominal count as one setting.
            holdings.channel_loads[channel] =
                distinct(telling.iter().map(|r| r.load), 0.05 * start.nominal_load).len();
            holdings.channel_pressures[channel] = distinct(
                telling.iter().map(|r| r.pressure),
                0.05 * start.nominal_pressure,
            )
            .len();
        }
        holdings
    }

    /// What the rows lack for an input to be fitted; `None` if nothing.
    pub fn lacks(&self, p: &Parameter, reach: Reach) -> Option<Need> {
        let channel = p.part.channel();
        if self.channel_rows[channel] < LEAST_ROWS {
            return Some(Need::Channel {
                rows: self.channel_rows[channel],
                least: LEAST_ROWS,
            });
        }
        if self.channel_loads[channel] < p.loads {
            return Some(Need::Loads {
                loads: self.channel_loads[channel],
                least: p.loads,
            });
        }
        if self.channel_pressures[channel] < p.pressures {
            return Some(Need::Pressures {
                pressures: self.channel_pressures[channel],
                least: p.pressures,
            });
        }
        if p.camber && self.camber < LEAST_CAMBER {
            return Some(Need::Camber {
                largest: self.camber,
                least: LEAST_CAMBER,
            });
        }
        let reached = match reach {
            Reach::Known(r) if p.part == Part::Longitudinal => r[0],
            Reach::Known(r) => r[1],
            // The first pass fits what it must and leaves the rest.
            Reach::Unknown if p.first => f64::INFINITY,
            Reach::Unknown => 0.0,
        };
        (reached < p.reach).then_some(Need::Slip {
            reached,
            least: p.reach,
        })
    }
}

/// The values that differ by more than `apart` from the last kept, ascending.
fn distinct(values: impl Iterator<Item = f64>, apart: f64) -> Vec<f64> {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let mut kept: Vec<f64> = Vec::new();
    for v in sorted {
        if kept.last().is_none_or(|last| v - last > apart) {
            kept.push(v);
        }
    }
    kept
}
