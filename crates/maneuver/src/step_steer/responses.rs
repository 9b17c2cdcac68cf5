//! Metrics of the step steer: the responses of four quantities to the step.

use axletree_simulation::channels as ch;
use axletree_simulation::channels::Channel;
use axletree_simulation::metrics::step_response::{
    StepResponse, Window, steer_times, step_response,
};
use axletree_simulation::metrics::{History, Measures, list as m};
use axletree_simulation::outcome::Ending;
use axletree_simulation::trace::Trace;

use super::settings::{NAME, StepSteer};
use crate::drive_maneuver::Recorded;
use crate::measured_by::{MeasuredBy, measures};

/// Findings of a step steer.
pub(crate) struct StepFindings {
    /// Change of the steering-wheel angle `[rad]`.
    change: f64,
    yaw_rate: StepResponse,
    lateral_acceleration: StepResponse,
    roll: StepResponse,
    sideslip: StepResponse,
    /// Speed lost over the run `[m/s]`.
    speed_loss: f64,
}

impl StepFindings {
    /// Findings of a run that has no steady values.
    fn none(change: f64) -> Self {
        let none = StepResponse::NOTHING;
        StepFindings {
            change,
            yaw_rate: none,
            lateral_acceleration: none,
            roll: none,
            sideslip: none,
            speed_loss: f64::NAN,
        }
    }

    /// Steady value of a response over the change of the steering-wheel angle.
    fn gain(&self, response: &StepResponse) -> f64 {
        response.steady / self.change
    }

    /// Peak response time of the yaw rate times the steady sideslip `[s*rad]`.
    fn tb_factor(&self) -> f64 {
        self.yaw_rate.peak_response_time * self.sideslip.steady.abs()
    }

    /// Reads the responses off a trace.
    pub fn of(settings: &StepSteer, change: f64, trace: &Trace) -> Self {
        let history =
            |channel: &Channel| Some(History::new(&trace.time, trace.get(channel.name())?));
        let window = Window {
            from: settings.settle,
            to: settings.settle + settings.window,
        };
        // A run that ended early has no steady values.
        if trace.time.len() < 4 || trace.time[trace.time.len() - 1] < window.to - 1e-9 {
            return Self::none(change);
        }
        let steer = history(&ch::STEERING_WHEEL_ANGLE);
        let Some((zero, rest)) = steer.and_then(steer_times) else {
            return Self::none(change);
        };
        let respond = |channel: &Channel, smallest: f64| {
            history(channel).map_or(StepResponse::NOTHING, |h| {
                step_response(h, zero, rest, window, smallest)
            })
        };
        // Below these changes a response is not worth timing: 0.05 deg/s, 0.01 m/s^2, 0.005 deg.
        StepFindings {
            change,
            yaw_rate: respond(&ch::YAW_RATE, 1e-3),
            lateral_acceleration: respond(&ch::LATERAL_ACCELERATION, 1e-2),
            roll: respond(&ch::ROLL_ANGLE, 1e-4),
            sideslip: respond(&ch::SIDESLIP, 1e-4),
            speed_loss: trace
                .get(ch::SPEED.name())
                .map_or(f64::NAN, |speed| speed[0] - speed[speed.len() - 1]),
        }
    }
}

/// The metrics of a step steer.
pub(super) const METRICS: &[MeasuredBy<Recorded<StepFindings>>] = &[
    MeasuredBy(&m::STEERING_WHEEL_ANGLE, |r| r.found.change),
    MeasuredBy(&m::YAW_RATE_STEADY, |r| r.found.yaw_rate.steady),
    MeasuredBy(&m::YAW_RATE_GAIN, |r| r.found.gain(&r.found.yaw_rate)),
    MeasuredBy(&m::YAW_RATE_RESPONSE_TIME, |r| {
        r.found.yaw_rate.response_time
    }),
    MeasuredBy(&m::YAW_RATE_PEAK_RESPONSE_TIME, |r| {
        r.found.yaw_rate.peak_response_time
    }),
    MeasuredBy(&m::YAW_RATE_OVERSHOOT, |r| r.found.yaw_rate.overshoot),
    MeasuredBy(&m::YAW_RATE_DRIFT, |r| r.found.yaw_rate.drift),
    MeasuredBy(&m::LATERAL_ACCELERATION_STEADY, |r| {
        r.found.lateral_acceleration.steady
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_GAIN, |r| {
        r.found.gain(&r.found.lateral_acceleration)
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_RESPONSE_TIME, |r| {
        r.found.lateral_acceleration.response_time
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_PEAK_RESPONSE_TIME, |r| {
        r.found.lateral_acceleration.peak_response_time
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_OVERSHOOT, |r| {
        r.found.lateral_acceleration.overshoot
    }),
    MeasuredBy(&m::LATERAL_ACCELERATION_DRIFT, |r| {
        r.found.lateral_acceleration.drift
    }),
    MeasuredBy(&m::ROLL_ANGLE_STEADY, |r| r.found.roll.steady),
    MeasuredBy(&m::ROLL_ANGLE_GAIN, |r| r.found.gain(&r.found.roll)),
    MeasuredBy(&m::ROLL_ANGLE_RESPONSE_TIME, |r| r.found.roll.response_time),
    MeasuredBy(&m::ROLL_ANGLE_PEAK_RESPONSE_TIME, |r| {
        r.found.roll.peak_response_time
    }),
    MeasuredBy(&m::ROLL_ANGLE_OVERSHOOT, |r| r.found.roll.overshoot),
    MeasuredBy(&m::SIDESLIP_STEADY, |r| r.found.sideslip.steady),
    MeasuredBy(&m::SIDESLIP_GAIN, |r| r.found.gain(&r.found.sideslip)),
    MeasuredBy(&m::SIDESLIP_RESPONSE_TIME, |r| {
        r.found.sideslip.response_time
    }),
    MeasuredBy(&m::SIDESLIP_PEAK_RESPONSE_TIME, |r| {
        r.found.sideslip.peak_response_time
    }),
    MeasuredBy(&m::SIDESLIP_OVERSHOOT, |r| r.found.sideslip.overshoot),
    MeasuredBy(&m::TB_FACTOR, |r| r.found.tb_factor()),
    MeasuredBy(&m::SPEED_LOSS, |r| r.found.speed_loss),
];

impl StepSteer {
    /// Measures a recorded run with the change of the steering-wheel angle that it made `[rad]`.
    pub fn measured(&self, trace: Trace, ending: Ending, change: f64) -> Measures {
        let found = StepFindings::of(self, change, &trace);
        measures(METRICS, NAME, ending, Some(&Recorded { trace, found }))
    }
}
