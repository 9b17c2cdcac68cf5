//! Every metric, declared once.
//!
//! Floors: 0.1 ms for times, 0.001 for overshoots, a thousandth of an ordinary value for gains. A
//! metric that a completed run may leave undefined states the reason after `missing`.

use axletree_report::Quantity;

use super::definition::Metric;

const ISO_7401: &str = "ISO 7401, step input (from memory)";
const ISO_4138: &str = "ISO 4138 (from memory)";
const ISO_7401_FREQUENCY: &str = "ISO 7401 and ISO/TR 8726, frequency response (from memory)";
const ISO_TURN: &str = "ISO 7975 and ISO 9816 (from memory)";
const DWELL: &str = "ISO 19365 and 49 CFR 571.126, sine with dwell (from memory)";
const ISO_3888: &str = "ISO 3888-1 and -2 (from memory)";
const OWN: &str = "this library";

// Reasons of missing values that several metrics share.
const TOO_SMALL: &str = "the steady value is too small to be timed";
const NO_PEAK: &str =
    "there is no maximum above the steady value, or that value is too small to be timed";
const RANGE_NOT_REACHED: &str = "the car does not reach the upper end of the evaluation range";
const NO_FALL: &str = "the gain does not fall that far up to the highest frequency";
const ONE_HERTZ: &str = "1 Hz is not among the frequencies";
const NO_NEIGHBOR: &str = "both wheels or neither roll over the obstacle";
const SHARE_NOT_PASSED: &str =
    "the envelope does not pass this share of the largest lateral acceleration";
const SHORT_GEAR: &str = "the first gear does not last long enough";

/// Reason of a missing value where the metric states none.
const NO_VALUE: &str = "no value was found";

const fn first_of(reasons: &[&'static str]) -> &'static str {
    reasons[0]
}

macro_rules! metrics {
    ($( $(#[$meta:meta])* $id:ident = $name:literal [$unit:literal] floor $floor:literal, $source:expr, $meaning:literal $(, missing $missing:expr)?; )*) => {
        $(
            #[doc = concat!($meaning, " `[", $unit, "]`")]
            pub static $id: Metric = Metric {
                quantity: Quantity::new($name, $unit, $meaning).after($source),
                floor: $floor,
                missing: first_of(&[$($missing,)? NO_VALUE]),
            };
        )*
        /// Every metric.
        pub static ALL: &[&Metric] = &[$(&$id),*];
    };
}

metrics! {
    // ── step steer
    // ────────────────────────────────────────────────────────────────────────────────
    STEERING_WHEEL_ANGLE = "steering_wheel_angle" ["rad"] floor 1e-4, ISO_7401,
        "Steering-wheel angle of the step, to the left positive.";
    YAW_RATE_STEADY = "yaw_rate_steady" ["rad/s"] floor 1e-4, ISO_7401,
        "Yaw rate after the step, mean over the last window, to the left positive.";
    YAW_RATE_GAIN = "yaw_rate_gain" ["1/s"] floor 1e-3, ISO_7401,
        "Steady yaw rate over steering-wheel angle.";
    YAW_RATE_RESPONSE_TIME = "yaw_rate_response_time" ["s"] floor 1e-4, ISO_7401,
        "Time from half of the steering-wheel angle until the yaw rate first reaches 90 % of its steady value.",
        missing TOO_SMALL;
    YAW_RATE_PEAK_RESPONSE_TIME = "yaw_rate_peak_response_time" ["s"] floor 1e-4, ISO_7401,
        "Time from half of the steering-wheel angle until the first maximum of the yaw rate above its steady value.",
        missing NO_PEAK;
    YAW_RATE_OVERSHOOT = "yaw_rate_overshoot" ["-"] floor 1e-3, ISO_7401,
        "First maximum of the yaw rate less its steady value, over the steady value.",
        missing TOO_SMALL;
    YAW_RATE_DRIFT = "yaw_rate_drift" ["1/s"] floor 1e-3, OWN,
        "Slope of the yaw rate over the last window, over its steady value: how steady it is.",
        missing TOO_SMALL;
    LATERAL_ACCELERATION_STEADY = "lateral_acceleration_steady" ["m/s^2"] floor 1e-3, ISO_7401,
        "Lateral acceleration of the car's center of mass after the step, mean over the last window, to the left positive.";
    LATERAL_ACCELERATION_GAIN = "lateral_acceleration_gain" ["m/(s^2*rad)"] floor 1e-2, ISO_7401,
        "Steady lateral acceleration over steering-wheel angle.";
    LATERAL_ACCELERATION_RESPONSE_TIME = "lateral_acceleration_response_time" ["s"] floor 1e-4, ISO_7401,
        "Time from half of the steering-wheel angle until the lateral acceleration first reaches 90 % of its steady value.",
        missing TOO_SMALL;
    LATERAL_ACCELERATION_PEAK_RESPONSE_TIME = "lateral_acceleration_peak_response_time" ["s"] floor 1e-4, ISO_7401,
        "Time from half of the steering-wheel angle until the first maximum of the lateral acceleration above its steady value.",
        missing NO_PEAK;
    LATERAL_ACCELERATION_OVERSHOOT = "lateral_acceleration_overshoot" ["-"] floor 1e-3, ISO_7401,
        "First maximum of the lateral acceleration less its steady value, over the steady value.",
        missing TOO_SMALL;
    LATERAL_ACCELERATION_DRIFT = "lateral_acceleration_drift" ["1/s"] floor 1e-3, OWN,
        "Slope of the lateral acceleration over the last window, over its steady value: how steady it is.",
        missing TOO_SMALL;
    ROLL_ANGLE_STEADY = "roll_angle_steady" ["rad"] floor 1e-5, ISO_7401,
        "Roll angle of the body after the step, mean over the last window, right side down positive.";
    ROLL_ANGLE_GAIN = "roll_angle_gain" ["-"] floor 1e-4, ISO_7401,
        "Steady roll angle over steering-wheel angle.";
    ROLL_ANGLE_RESPONSE_TIME = "roll_angle_response_time" ["s"] floor 1e-4, ISO_7401,
        "Time from half of the steering-wheel angle until the roll angle first reaches 90 % of its steady value.",
        missing TOO_SMALL;
    ROLL_ANGLE_PEAK_RESPONSE_TIME = "roll_angle_peak_response_time" ["s"] floor 1e-4, ISO_7401,
        "Time from half of the steering-wheel angle until the first maximum of the roll angle above its steady value.",
        missing NO_PEAK;
    ROLL_ANGLE_OVERSHOOT = "roll_angle_overshoot" ["-"] floor 1e-3, ISO_7401,
        "First maximum of the roll angle less its steady value, over the steady value.",
        missing TOO_SMALL;
    SIDESLIP_STEADY = "sideslip_steady" ["rad"] floor 1e-5, ISO_7401,
        "Sideslip angle of the car's center of mass after the step, mean over the last window, to the left positive.";
    SIDESLIP_GAIN = "sideslip_gain" ["-"] floor 1e-4, ISO_7401,
        "Steady sideslip angle over steering-wheel angle.";
    SIDESLIP_RESPONSE_TIME = "sideslip_response_time" ["s"] floor 1e-4, ISO_7401,
        "Time from half of the steering-wheel angle until the sideslip angle first reaches 90 % of its steady value.",
        missing TOO_SMALL;
    SIDESLIP_PEAK_RESPONSE_TIME = "sideslip_peak_response_time" ["s"] floor 1e-4, ISO_7401,
        "Time from half of the steering-wheel angle until the first maximum of the sideslip angle above its steady value.",
        missing NO_PEAK;
    SIDESLIP_OVERSHOOT = "sideslip_overshoot" ["-"] floor 1e-3, ISO_7401,
        "First maximum of the sideslip angle less its steady value, over the steady value.",
        missing TOO_SMALL;
    TB_FACTOR = "tb_factor" ["s*rad"] floor 1e-5, ISO_7401,
        "Yaw-rate peak response time times the magnitude of the steady sideslip angle.",
        missing "the yaw rate has no peak response time";
    SPEED_LOSS = "speed_loss" ["m/s"] floor 1e-3, OWN,
        "Speed at the start less speed at the end.";
    // ── steady-state circle
    // ───────────────────────────────────────────────────────────────────────
    UNDERSTEER_GRADIENT = "understeer_gradient" ["rad*s^2/m"] floor 1e-6, ISO_4138,
        "Slope of the steering-wheel angle over the overall steering ratio, less that of the Ackermann angle, over lateral acceleration: least squares in the evaluation range.",
        missing RANGE_NOT_REACHED;
    STEERING_WHEEL_ANGLE_GRADIENT = "steering_wheel_angle_gradient" ["rad*s^2/m"] floor 1e-5, ISO_4138,
        "Slope of the steering-wheel angle over lateral acceleration: least squares in the evaluation range.",
        missing RANGE_NOT_REACHED;
    ROLL_ANGLE_GRADIENT = "roll_angle_gradient" ["rad*s^2/m"] floor 1e-6, ISO_4138,
        "Slope of the body's roll angle over lateral acceleration: least squares in the evaluation range.",
        missing RANGE_NOT_REACHED;
    SIDESLIP_GRADIENT = "sideslip_gradient" ["rad*s^2/m"] floor 1e-6, ISO_4138,
        "Slope of the sideslip angle over lateral acceleration: least squares in the evaluation range.",
        missing RANGE_NOT_REACHED;
    STEERING_TORQUE_GRADIENT = "steering_torque_gradient" ["N*s^2"] floor 1e-4, ISO_4138,
        "Slope of the steering-wheel torque over lateral acceleration: least squares in the evaluation range.",
        missing RANGE_NOT_REACHED;
    LATERAL_ACCELERATION_LIMIT = "lateral_acceleration_limit" ["m/s^2"] floor 1e-3, ISO_4138,
        "Highest steady lateral acceleration found.";
    SPEED_AT_LIMIT = "speed_at_limit" ["m/s"] floor 1e-3, OWN,
        "Speed at the highest lateral acceleration.";
    STEERING_WHEEL_ANGLE_AT_LIMIT = "steering_wheel_angle_at_limit" ["rad"] floor 1e-3, OWN,
        "Steering-wheel angle at the highest lateral acceleration.";
    SIDESLIP_AT_LIMIT = "sideslip_at_limit" ["rad"] floor 1e-4, OWN,
        "Sideslip angle at the highest lateral acceleration.";
    ROLL_ANGLE_AT_LIMIT = "roll_angle_at_limit" ["rad"] floor 1e-4, OWN,
        "Roll angle at the highest lateral acceleration.";
    FRONT_UTILIZATION_AT_LIMIT = "front_utilization_at_limit" ["-"] floor 1e-3, OWN,
        "Force of the front tires together at the highest lateral acceleration over the largest that they could give.";
    REAR_UTILIZATION_AT_LIMIT = "rear_utilization_at_limit" ["-"] floor 1e-3, OWN,
        "Force of the rear tires together at the highest lateral acceleration over the largest that they could give.";
    LIMIT_BALANCE = "limit_balance" ["-"] floor 1e-3, OWN,
        "Front less rear utilization at the highest lateral acceleration: positive where the front gives way first.";
    WHEEL_LIFT_LATERAL_ACCELERATION = "wheel_lift_lateral_acceleration" ["m/s^2"] floor 1e-3, OWN,
        "Lateral acceleration at which the first wheel leaves the road; not a number where none does up to the limit.",
        missing "no wheel leaves the road up to the limit";
    // ── frequency response
    // ────────────────────────────────────────────────────────────────────────
    YAW_RATE_GAIN_LOW = "yaw_rate_gain_low" ["1/s"] floor 1e-3, ISO_7401_FREQUENCY,
        "Amplitude of the yaw rate over that of the steering-wheel angle at the lowest frequency.";
    YAW_RATE_PEAK_FREQUENCY = "yaw_rate_peak_frequency" ["Hz"] floor 1e-2, ISO_7401_FREQUENCY,
        "Frequency at which the gain of the yaw rate is largest; not a number where it only falls.",
        missing "the gain is largest at an end of the frequencies";
    YAW_RATE_PEAK_GAIN_RATIO = "yaw_rate_peak_gain_ratio" ["-"] floor 1e-3, ISO_7401_FREQUENCY,
        "Largest gain of the yaw rate over that at the lowest frequency.";
    YAW_RATE_BANDWIDTH = "yaw_rate_bandwidth" ["Hz"] floor 1e-2, ISO_7401_FREQUENCY,
        "Frequency at which the gain of the yaw rate has fallen to 1/sqrt(2) of that at the lowest frequency.",
        missing NO_FALL;
    YAW_RATE_PHASE = "yaw_rate_phase" ["rad"] floor 1e-3, ISO_7401_FREQUENCY,
        "Phase of the yaw rate behind the steering-wheel angle at 1 Hz, negative where it lags.",
        missing ONE_HERTZ;
    LATERAL_ACCELERATION_GAIN_LOW = "lateral_acceleration_gain_low" ["m/(s^2*rad)"] floor 1e-2, ISO_7401_FREQUENCY,
        "Amplitude of the lateral acceleration over that of the steering-wheel angle at the lowest frequency.";
    LATERAL_ACCELERATION_GAIN_RATIO = "lateral_acceleration_gain_ratio" ["-"] floor 1e-3, ISO_7401_FREQUENCY,
        "Gain of the lateral acceleration at 1 Hz over that at the lowest frequency.",
        missing ONE_HERTZ;
    LATERAL_ACCELERATION_BANDWIDTH = "lateral_acceleration_bandwidth" ["Hz"] floor 1e-2, ISO_7401_FREQUENCY,
        "Frequency at which the gain of the lateral acceleration has fallen to 1/sqrt(2) of that at the lowest frequency.",
        missing NO_FALL;
    LATERAL_ACCELERATION_PHASE = "lateral_acceleration_phase" ["rad"] floor 1e-3, ISO_7401_FREQUENCY,
        "Phase of the lateral acceleration behind the steering-wheel angle at 1 Hz, negative where it lags.",
        missing ONE_HERTZ;
    ROLL_ANGLE_GAIN_LOW = "roll_angle_gain_low" ["-"] floor 1e-4, ISO_7401_FREQUENCY,
        "Amplitude of the roll angle over that of the steering-wheel angle at the lowest frequency.";
    ROLL_ANGLE_PEAK_GAIN_RATIO = "roll_angle_peak_gain_ratio" ["-"] floor 1e-3, ISO_7401_FREQUENCY,
        "Largest gain of the roll angle over that at the lowest frequency.";
    ROLL_ANGLE_PHASE = "roll_angle_phase" ["rad"] floor 1e-3, ISO_7401_FREQUENCY,
        "Phase of the roll angle behind the steering-wheel angle at 1 Hz, negative where it lags.",
        missing ONE_HERTZ;
    // ── braking and lifting off in a turn
    // ─────────────────────────────────────────────────────────
    MEAN_DECELERATION = "mean_deceleration" ["m/s^2"] floor 1e-2, ISO_TURN,
        "Mean deceleration over the first second after the pedal moves.";
    YAW_RATE_RATIO = "yaw_rate_ratio" ["-"] floor 1e-3, ISO_TURN,
        "Yaw rate 1 s after the pedal moves over what the circle would need at the speed then: above one where the car turns in.";
    YAW_RATE_PEAK_RATIO = "yaw_rate_peak_ratio" ["-"] floor 1e-3, ISO_TURN,
        "Largest yaw rate after the pedal moves over the steady one.";
    LATERAL_ACCELERATION_RATIO = "lateral_acceleration_ratio" ["-"] floor 1e-3, ISO_TURN,
        "Lateral acceleration 1 s after the pedal moves over what the circle would need at the speed then.";
    SIDESLIP_CHANGE = "sideslip_change" ["rad"] floor 1e-4, ISO_TURN,
        "Change of the sideslip angle 1 s after the pedal moves, positive where the rear end steps out.";
    SIDESLIP_CHANGE_LARGEST = "sideslip_change_largest" ["rad"] floor 1e-4, ISO_TURN,
        "Largest change of the sideslip angle with the rear end stepping out.";
    YAW_DEVIATION = "yaw_deviation" ["rad"] floor 1e-4, ISO_TURN,
        "Heading gained in the first second beyond what the circle asks for over the distance travelled.";
    INWARD_DEVIATION = "inward_deviation" ["m"] floor 1e-3, ISO_TURN,
        "Distance of the car's center of mass from the circle 1 s after the pedal moves, inward positive.";
    INWARD_DEVIATION_END = "inward_deviation_end" ["m"] floor 1e-2, OWN,
        "Distance of the car's center of mass from the circle 3 s after the pedal moves, inward positive.";
    FRONT_LOCK_TIME = "front_lock_time" ["s"] floor 5e-3, OWN,
        "Time for which front wheels turn at less than half of their rolling speed, added up over both.";
    REAR_LOCK_TIME = "rear_lock_time" ["s"] floor 5e-3, OWN,
        "Time for which rear wheels turn at less than half of their rolling speed, added up over both.";
    // ── sine with dwell
    // ───────────────────────────────────────────────────────────────────────────
    REFERENCE_ANGLE = "reference_angle" ["rad"] floor 1e-4, DWELL,
        "Steering-wheel angle at 0.3 g in a slow steer of 13.5 deg/s, by the line through 0.1 to 0.375 g.";
    LARGEST_AMPLITUDE = "largest_amplitude" ["rad"] floor 1e-4, DWELL,
        "Largest amplitude of the steering wheel that was driven.";
    YAW_RATE_LEFT_EARLY = "yaw_rate_left_early" ["-"] floor 1e-3, DWELL,
        "Yaw rate 1.00 s after the end of steering over the second peak, the worst of the series; at most 0.35 is asked for.";
    YAW_RATE_LEFT_LATE = "yaw_rate_left_late" ["-"] floor 1e-3, DWELL,
        "Yaw rate 1.75 s after the end of steering over the second peak, the worst of the series; at most 0.20 is asked for.";
    LATERAL_DISPLACEMENT = "lateral_displacement" ["m"] floor 1e-3, DWELL,
        "Lateral acceleration integrated twice over the first 1.07 s, the least of the amplitudes from five reference angles up; at least 1.83 m is asked for up to 3500 kg.",
        missing "no amplitude reaches five reference angles";
    CRITERIA_MET = "criteria_met" ["-"] floor 0.5, DWELL,
        "1 where every run of the series met every criterion, 0 where one did not.";
    AMPLITUDE_NOT_MET = "amplitude_not_met" ["rad"] floor 1e-4, OWN,
        "Least amplitude of the series at which a criterion was not met; not a number where there is none.",
        missing "every run met every criterion";
    // ── bump in a corner, rough corner
    // ────────────────────────────────────────────────────────────
    OUTWARD_DEVIATION = "outward_deviation" ["m"] floor 1e-3, OWN,
        "Distance of the car's center of mass from the circle it would run on a flat road, outward positive: 1 s after the front wheels touch a bump, at the end of a rough road.";
    YAW_RATE_DEVIATION_LARGEST = "yaw_rate_deviation_largest" ["rad/s"] floor 1e-4, OWN,
        "Largest magnitude of the yaw rate's departure from the steady one.";
    YAW_RATE_UNREST = "yaw_rate_unrest" ["rad/s"] floor 1e-4, OWN,
        "Standard deviation of the yaw rate over the window.";
    LATERAL_ACCELERATION_LOST = "lateral_acceleration_lost" ["-"] floor 1e-3, OWN,
        "Share of the lateral acceleration on a flat road that is missing from the mean on the rough one, wheel and speed held.";
    FRONT_GRIP_LOST = "front_grip_lost" ["-"] floor 1e-3, OWN,
        "Share of the front tires' lateral force that is missing: over half a second from the bump on; on a rough road of their mean force for their mean slip angle.";
    REAR_GRIP_LOST = "rear_grip_lost" ["-"] floor 1e-3, OWN,
        "Share of the rear tires' lateral force that is missing: over half a second from the bump on; on a rough road of their mean force for their mean slip angle.";
    FRONT_LOAD_VARIATION = "front_load_variation" ["-"] floor 1e-3, OWN,
        "Root mean square of the front wheels' dynamic load, over half a second from a bump on or the window of a rough road, over their mean static load (the dynamic load coefficient of Sweatman, Australian Road Research Board SR 27, 1983; from memory).";
    REAR_LOAD_VARIATION = "rear_load_variation" ["-"] floor 1e-3, OWN,
        "Root mean square of the rear wheels' dynamic load, over half a second from a bump on or the window of a rough road, over their mean static load (the dynamic load coefficient of Sweatman, Australian Road Research Board SR 27, 1983; from memory).";
    FRONT_TIME_OFF_ROAD = "front_time_off_road" ["s"] floor 2e-3, OWN,
        "Time that the front wheels are off the road, added up over both.";
    REAR_TIME_OFF_ROAD = "rear_time_off_road" ["s"] floor 2e-3, OWN,
        "Time that the rear wheels are off the road, added up over both.";
    FRONT_SHARE_OFF_ROAD = "front_share_off_road" ["-"] floor 1e-3, OWN,
        "Share of the window in which a front wheel is off the road, mean of both.";
    REAR_SHARE_OFF_ROAD = "rear_share_off_road" ["-"] floor 1e-3, OWN,
        "Share of the window in which a rear wheel is off the road, mean of both.";
    FRONT_CROSS_DISTURBANCE = "front_cross_disturbance" ["-"] floor 1e-3, OWN,
        "Largest load change of the front wheel beside the obstacle over that of the one on it; not a number where both or none roll over it.",
        missing NO_NEIGHBOR;
    REAR_CROSS_DISTURBANCE = "rear_cross_disturbance" ["-"] floor 1e-3, OWN,
        "Largest load change of the rear wheel beside the obstacle over that of the one on it; not a number where both or none roll over it.",
        missing NO_NEIGHBOR;
    // ── double lane change
    // ────────────────────────────────────────────────────────────────────────
    ENTRY_SPEED = "entry_speed" ["m/s"] floor 0.02, ISO_3888,
        "Highest speed at the entry with which every cone is cleared, the steering found for the car.";
    EXIT_SPEED = "exit_speed" ["m/s"] floor 0.02, OWN,
        "Speed at the end.";
    // ── acceleration envelope
    // ─────────────────────────────────────────────────────────────────────
    DRIVING_LIMIT = "driving_limit" ["m/s^2"] floor 1e-3, OWN,
        "Largest steady acceleration straight ahead.";
    CORNERING_LIMIT = "cornering_limit" ["m/s^2"] floor 1e-3, OWN,
        "Largest steady lateral acceleration at constant speed.";
    BRAKING_LIMIT = "braking_limit" ["m/s^2"] floor 1e-3, OWN,
        "Largest steady deceleration straight ahead before a wheel locks.";
    EXIT_ACCELERATION = "exit_acceleration" ["m/s^2"] floor 1e-2, OWN,
        "Largest acceleration along the way with a stated share of the largest lateral acceleration.",
        missing SHARE_NOT_PASSED;
    ENTRY_DECELERATION = "entry_deceleration" ["m/s^2"] floor 1e-2, OWN,
        "Largest deceleration along the way with a stated share of the largest lateral acceleration.",
        missing SHARE_NOT_PASSED;
    ENVELOPE_AREA = "envelope_area" ["m^2/s^4"] floor 1e-2, OWN,
        "Area of one side of the envelope in the plane of longitudinal and lateral acceleration.";
    // ── launch
    // ────────────────────────────────────────────────────────────────────────────────────
    DISTANCE_TIME = "distance_time" ["s"] floor 1e-4, OWN,
        "Time from rest over the distance.";
    SPEED_AT_DISTANCE = "speed_at_distance" ["m/s"] floor 1e-3, OWN,
        "Speed at the end of the distance.";
    ACCELERATION_MEAN = "acceleration_mean" ["m/s^2"] floor 1e-3, OWN,
        "Constant acceleration that would take the same time over the distance.";
    ACCELERATION_LARGEST = "acceleration_largest" ["m/s^2"] floor 1e-2, OWN,
        "Largest acceleration along the heading.";
    WHEEL_SLIP_LARGEST = "wheel_slip_largest" ["-"] floor 1e-3, OWN,
        "Largest slip of the faster driven wheel, rim speed over the car's speed less one, from 3 m/s on.",
        missing "the car stays below 3 m/s";
    HEADING_LARGEST = "heading_largest" ["rad"] floor 1e-3, OWN,
        "Largest magnitude of the heading angle.";
    HOP_INTENSITY = "hop_intensity" ["-"] floor 5e-3, OWN,
        "Shaking of the half shafts' torque in first gear: root mean square of its departure from the mean over a quarter of a second, over the mean.",
        missing SHORT_GEAR;
    HOP_FREQUENCY = "hop_frequency" ["Hz"] floor 0.1, OWN,
        "Frequency of that shaking; not a number where it is faint.",
        missing "the torque does not shake enough, or the first gear does not last long enough";
    HOP_LOAD = "hop_load" ["-"] floor 5e-3, OWN,
        "Shaking of the rear wheels' load: the same measure as the hop intensity.",
        missing SHORT_GEAR;
    // ── corner exit
    // ───────────────────────────────────────────────────────────────────────────────
    EXIT_TIME = "exit_time" ["s"] floor 1e-3, OWN,
        "Time from the start in the corner to the end of the straight, the least that was found.";
    THROTTLE_STATION = "throttle_station" ["m"] floor 0.05, OWN,
        "Where the throttle begins to open, from the end of the arc: negative in the corner.";
    INNER_WHEEL_SLIP = "inner_wheel_slip" ["-"] floor 1e-3, OWN,
        "Largest slip of the inner driven wheel: rim speed over the car's speed, less one.";
    OUTER_WHEEL_SLIP = "outer_wheel_slip" ["-"] floor 1e-3, OWN,
        "Largest slip of the outer driven wheel.";
    WHEEL_SPIN_TIME = "wheel_spin_time" ["s"] floor 5e-3, OWN,
        "Time for which a driven wheel slips by more than a fifth.";
    TRACK_USED = "track_used" ["m"] floor 1e-2, OWN,
        "Largest distance of the car's center of mass from the middle of the track, outward positive.";
    // ── path following
    // ────────────────────────────────────────────────────────────────────────────
    PATH_DEVIATION_LARGEST = "path_deviation_largest" ["m"] floor 1e-3, OWN,
        "Largest distance of the car's center of mass from the path.";
    PATH_DEVIATION_RMS = "path_deviation_rms" ["m"] floor 1e-3, OWN,
        "Root mean square over time of the distance of the car's center of mass from the path.";
    STEERING_RATE_LARGEST = "steering_rate_largest" ["rad/s"] floor 1e-2, OWN,
        "Largest magnitude of the steering-wheel rate.";
    LATERAL_ACCELERATION_LARGEST = "lateral_acceleration_largest" ["m/s^2"] floor 1e-2, OWN,
        "Largest magnitude of the lateral acceleration.";
    PATH_TIME = "path_time" ["s"] floor 1e-4, OWN,
        "Time from the start to the end of the path.";
    // ── slalom
    // ────────────────────────────────────────────────────────────────────────────────────
    TOP_SPEED = "top_speed" ["m/s"] floor 0.02, OWN,
        "Highest speed that can be kept up in rhythm with every cone cleared, the steering adapted to the car.",
        missing "a search at one speed does not look for the highest";
    CONE_CLEARANCE = "cone_clearance" ["m"] floor 1e-3, OWN,
        "Least clearance between the car's outline and a cone in rhythm.";
    SPEED_PER_CLEARANCE = "speed_per_clearance" ["1/s"] floor 0.05, OWN,
        "Speed that a meter of clearance more at every cone would cost.";
    STEERING_WHEEL_ANGLE_LARGEST = "steering_wheel_angle_largest" ["rad"] floor 1e-2, OWN,
        "Largest magnitude of the steering-wheel angle.";
    STEERING_TORQUE_LARGEST = "steering_torque_largest" ["N*m"] floor 1e-1, OWN,
        "Largest magnitude of the torque at the steering wheel.";
    STEERING_EFFORT = "steering_effort" ["N*m"] floor 1e-1, OWN,
        "Root mean square over time of the torque at the steering wheel.";
    SIDESLIP_LARGEST = "sideslip_largest" ["rad"] floor 1e-3, OWN,
        "Largest magnitude of the sideslip angle.";
    ROLL_ANGLE_LARGEST = "roll_angle_largest" ["rad"] floor 1e-3, OWN,
        "Largest magnitude of the roll angle.";
    WHEEL_LOAD_LEAST = "wheel_load_least" ["N"] floor 10.0, OWN,
        "Least vertical load of a wheel; zero where one leaves the road.";
    SPEED_LEAST = "speed_least" ["m/s"] floor 0.02, OWN,
        "Least forward speed.";
    PATH_AMPLITUDE = "path_amplitude" ["m"] floor 1e-3, OWN,
        "Half of the width of the path of the car's center of mass.";
}
