//! A measured row, and the variety of a set of rows.

use axletree_numerics::Interrupt;

use crate::error::TireError;
use crate::fit::parameter::{FittedChannel, Parameter, RowReach};
use crate::fit::report::MissingData;
use crate::inputs::PRESSURE_RANGE;
use crate::spec::TireSpec;

/// One measurement of a tire that rolls forward in steady state, on a surface of friction scale
/// one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForceRow {
    /// Slip angle, positive for a force to the left. `[rad]`
    pub slip_angle: f64,
    /// Slip ratio, positive when driving, -1 for a locked wheel. `[-]`
    pub slip_ratio: f64,
    /// Vertical load. `[N]`
    pub load: f64,
    /// Inclination of the wheel to the road about +x, top to the right. `[rad]`
    pub camber: f64,
    /// Inflation pressure above the atmosphere. `[Pa]`
    pub pressure: f64,
    /// Longitudinal force, forward, where measured. `[N]`
    pub fx: Option<f64>,
    /// Lateral force, left, where measured. `[N]`
    pub fy: Option<f64>,
    /// Aligning moment, counterclockwise from above, where measured. `[N*m]`
    pub mz: Option<f64>,
}

impl ForceRow {
    /// The measured values: (F_x, F_y, M_z). `[N, N, N*m]`
    pub fn measured(&self) -> [Option<f64>; 3] {
        [self.fx, self.fy, self.mz]
    }
}

/// Refuses rows with values that are not numbers or that no tire can have.
pub(crate) fn check(rows: &[ForceRow]) -> Result<(), TireError> {
    let [least_pressure, largest_pressure] = PRESSURE_RANGE;
    for (row, r) in rows.iter().enumerate() {
        // Ten times the load is far above any rubber; half a meter is longer than a contact.
        let (force, moment) = (10.0 * r.load.abs(), 0.5 * r.load.abs());
        let fields = [
            ("load", Some(r.load), 1.0, 1e5, "N"),
            ("slip_angle", Some(r.slip_angle), -1.4, 1.4, "rad"),
            ("slip_ratio", Some(r.slip_ratio), -0.99, 10.0, ""),
            ("camber", Some(r.camber), -1.2, 1.2, "rad"),
            (
                "pressure",
                Some(r.pressure),
                least_pressure,
                largest_pressure,
                "Pa",
            ),
            ("fx", r.fx, -force, force, "N"),
            ("fy", r.fy, -force, force, "N"),
            ("mz", r.mz, -moment, moment, "N*m"),
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

/// Least inclination that shows in forces: half a degree. `[rad]`
const LEAST_CAMBER: f64 = 0.5 * std::f64::consts::PI / 180.0;

/// Least slip that shows in forces. `[-, rad]`
const LEAST_SLIP: f64 = 1e-5;

/// Least number of rows of a channel.
pub(crate) const LEAST_ROWS: usize = 3;

/// Loads and pressures closer than this share of the nominal count as one setting.
const SAME_SETTING: f64 = 0.05;

/// The variety of a set of rows.
#[derive(Clone, Debug)]
pub(crate) struct Coverage {
    /// Number of measured values.
    pub values: usize,
    /// Rows of each channel with slip that shows in it.
    channel_rows: [usize; 3],
    /// Different loads of each channel.
    channel_loads: [usize; 3],
    /// Different pressures of each channel.
    channel_pressures: [usize; 3],
    /// Least and largest pressure of all rows. `[Pa]`
    pub pressures: [f64; 2],
    /// Largest inclination among rows that measure the lateral force. `[rad]`
    camber: f64,
}

impl Coverage {
    /// The variety of rows, with the nominal load and pressure of a description as scales; `None`
    /// when interrupted.
    pub fn of(rows: &[ForceRow], start: &TireSpec, interrupt: Interrupt<'_>) -> Option<Self> {
        let mut coverage = Coverage {
            values: rows.iter().flat_map(ForceRow::measured).flatten().count(),
            channel_rows: [0; 3],
            channel_loads: [0; 3],
            channel_pressures: [0; 3],
            pressures: rows
                .iter()
                .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], r| {
                    [low.min(r.pressure), high.max(r.pressure)]
                }),
            camber: rows
                .iter()
                .filter(|r| r.fy.is_some())
                .fold(0.0, |a, r| r.camber.abs().max(a)),
        };
        for channel in 0..3 {
            if interrupt.stopped() {
                return None;
            }
            // A row without slip in the direction of a channel says nothing about its inputs.
            let slipping: Vec<&ForceRow> = rows
                .iter()
                .filter(|r| {
                    let slip = if channel == 0 {
                        r.slip_ratio
                    } else {
                        r.slip_angle
                    };
                    r.measured()[channel].is_some() && slip.abs() > LEAST_SLIP
                })
                .collect();
            coverage.channel_rows[channel] = slipping.len();
            coverage.channel_loads[channel] = distinct(
                slipping.iter().map(|r| r.load),
                SAME_SETTING * start.nominal_load,
            )
            .len();
            coverage.channel_pressures[channel] = distinct(
                slipping.iter().map(|r| r.pressure),
                SAME_SETTING * start.nominal_pressure,
            )
            .len();
        }
        Some(coverage)
    }

    /// The first thing that the rows lack to determine an input; `None` if they determine it.
    pub fn missing(&self, p: &Parameter, reach: RowReach) -> Option<MissingData> {
        let channel = p.channel.index();
        if self.channel_rows[channel] < LEAST_ROWS {
            return Some(MissingData::FittedChannel {
                rows: self.channel_rows[channel],
                least: LEAST_ROWS,
            });
        }
        if self.channel_loads[channel] < p.loads {
            return Some(MissingData::Loads {
                loads: self.channel_loads[channel],
                least: p.loads,
            });
        }
        if self.channel_pressures[channel] < p.pressures {
            return Some(MissingData::Pressures {
                pressures: self.channel_pressures[channel],
                least: p.pressures,
            });
        }
        if p.camber && self.camber < LEAST_CAMBER {
            return Some(MissingData::Camber {
                largest: self.camber,
                least: LEAST_CAMBER,
            });
        }
        let reached = match reach {
            RowReach::Known(r) if p.channel == FittedChannel::Longitudinal => r[0],
            RowReach::Known(r) => r[1],
            // The first pass fits only the inputs marked for it.
            RowReach::Unknown if p.first => f64::INFINITY,
            RowReach::Unknown => 0.0,
        };
        (reached < p.reach).then_some(MissingData::Slip {
            reached,
            least: p.reach,
        })
    }
}

/// The values that differ by more than `apart` from the last one kept, ascending.
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
