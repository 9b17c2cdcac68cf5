//! Measures of a response to a step of the steering wheel.
//!
//! Definitions after ISO 7401 (step input; editions 1988 to 2011, from memory):
//! - time zero is when the steering-wheel angle passes half of its final value;
//! - the response time ends when the response first reaches 90 % of its new steady value;
//! - the peak response time ends at the response's first maximum above its steady value after the
//!   steering wheel has come to rest (the kink at the end of the steering ramp is no maximum);
//! - the overshoot is that maximum less the steady value, over the steady value.
//!
//! Here the steady value is the mean over a stated window at the end; its drift is reported.

use super::history::History;

/// The window over which a steady value is averaged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyWindow {
    /// Start, on the history's clock `[s]`.
    pub from: f64,
    /// End, on the history's clock `[s]`.
    pub to: f64,
}

/// Measures of one response to a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepResponse {
    /// Change from the value before the step to the new steady value, in the unit of the response.
    pub steady: f64,
    /// Slope over the window, over the steady change `[1/s]`; NaN where the change is below the
    /// smallest that counts.
    pub drift: f64,
    /// Time from time zero to 90 % of the steady change `[s]`; NaN where that is not reached.
    pub response_time: f64,
    /// Time from time zero to the first maximum above the steady value `[s]`; NaN where there is
    /// none.
    pub peak_response_time: f64,
    /// That maximum over the steady change, less one `[-]`; zero where there is none.
    pub overshoot: f64,
}

impl StepResponse {
    /// The measures of no response: all NaN.
    pub const NOTHING: StepResponse = StepResponse {
        steady: f64::NAN,
        drift: f64::NAN,
        response_time: f64::NAN,
        peak_response_time: f64::NAN,
        overshoot: f64::NAN,
    };
}

/// Times at which the steering wheel passes half of its final value and comes to rest there `[s]`.
pub fn steer_times(steer: History<'_>) -> Option<(f64, f64)> {
    let (first, last) = (steer.at(0.0), steer.at(steer.end()));
    let step = last - first;
    let sign = step.signum();
    Some((
        steer.first_reach(first + 0.5 * step, sign, 0.0)?,
        steer.first_sample(first + step * (1.0 - 1e-9), sign)?,
    ))
}

/// Measures one response, given time zero, the time at which the steering wheel came to rest, the
/// window of the steady value and the smallest steady change that counts.
pub fn step_response(
    response: History<'_>,
    zero: f64,
    rest: f64,
    window: SteadyWindow,
    smallest: f64,
) -> StepResponse {
    let before = response.at(0.0);
    let steady = response.mean(window.from, window.to) - before;
    if steady.is_nan() || steady.abs() < smallest {
        return StepResponse {
            steady,
            ..StepResponse::NOTHING
        };
    }
    let sign = steady.signum();
    // From the start of the run: the response may pass 90 % before time zero.
    let reach = response.first_reach(before + 0.9 * steady, sign, 0.0);
    let peak = response.first_peak(before + steady, sign, rest);
    // A maximum inside the window is a wave of the steady part, not an answer to the step.
    let peak = peak.filter(|p| p.0 < window.from);
    StepResponse {
        steady,
        drift: response.trend(window.from, window.to) / steady,
        response_time: reach.map_or(f64::NAN, |t| t - zero),
        peak_response_time: peak.map_or(f64::NAN, |p| p.0 - zero),
        overshoot: peak.map_or(0.0, |p| (p.1 - before) / steady - 1.0),
    }
}
