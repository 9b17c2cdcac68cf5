//! Points of a curve of equilibria, and the channels at them.

use axletree_scalar::lone;
use axletree_simulation::Trace;
use axletree_simulation::channels::{ALL, ChannelSource, Moment, Snapshot};
use axletree_vehicle::Model;
use axletree_vehicle::model::{Evaluation, Observation, Observed};
use axletree_vehicle::trim::Trim;

/// One point of a curve of equilibria.
#[derive(Clone, Debug)]
pub struct SteadyPoint {
    /// The equilibrium.
    pub trim: Trim,
    /// Motion in heading axes, steering torque.
    pub observation: Observation<f64>,
    /// Contacts and forces.
    pub evaluation: Evaluation<f64>,
}

impl SteadyPoint {
    /// An equilibrium with its observation.
    pub(super) fn of(model: &Model, trim: Trim) -> Self {
        let Observed {
            observation,
            evaluation,
        } = trim.observed(model);
        SteadyPoint {
            trim,
            observation,
            evaluation,
        }
    }

    /// Utilization of an end (0 is the front): force of its two tires over the largest that they
    /// could give together, each in the direction of its force `[-]`.
    pub fn utilization(&self, end: usize) -> f64 {
        let (mut given, mut most) = (0.0, 0.0);
        for tire in &self.evaluation.tire_forces[2 * end..2 * end + 2] {
            if tire.utilization > 0.0 {
                let force = lone::hypot(tire.fx, tire.fy);
                given += force;
                most += force / tire.utilization.sqrt();
            }
        }
        if most > 0.0 { given / most } else { 0.0 }
    }

    /// Whether a rear tire slides more along than across, by more than half of its slip of largest
    /// force, beyond which the force hardly grows: forward like a spinning wheel, or backward like
    /// a locking one.
    pub(super) fn slides_along(&self, forward: bool) -> bool {
        let e = &self.evaluation;
        (2..4).any(|i| {
            let [along, across] = e.slips[i];
            let sense = (along > 0.0) == forward;
            sense && e.tire_forces[i].normalized_slip > 0.5 && along.abs() > across.abs()
        })
    }

    /// Deflections of the tires; negative where a wheel is off the road `[m]`.
    pub(super) fn deflections(&self) -> [f64; 4] {
        self.evaluation.contacts.map(|c| c.deflection)
    }
}

/// The channels of all points; the time column counts the points.
pub(super) fn traced<'p>(points: impl IntoIterator<Item = &'p SteadyPoint>) -> Trace {
    let mut trace = Trace {
        channels: ALL.to_vec(),
        columns: vec![Vec::new(); ALL.len()],
        ..Trace::default()
    };
    for point in points {
        let time = trace.time.len() as f64;
        trace.time.push(time);
        let moment = Moment {
            time,
            state: &point.trim.state,
            rate: &point.evaluation.rate,
            inputs: &point.trim.inputs,
        };
        let snapshot = Snapshot {
            observation: point.observation,
            evaluation: point.evaluation,
        };
        for (channel, column) in ALL.iter().zip(&mut trace.columns) {
            column.push(match channel.source {
                ChannelSource::Motion(read) => read(&moment),
                ChannelSource::Observed(read) => read(&snapshot),
                ChannelSource::Maneuver => f64::NAN,
            });
        }
    }
    trace
}
