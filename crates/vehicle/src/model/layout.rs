//! The state as a flat array, and the inputs.

/// Number of states.
pub const STATES: usize = 49;

/// Position of O in the earth frame: x, y, z [m].
pub const POSITION: usize = 0;
/// Yaw, pitch, roll, turned in this order [rad].
pub const ATTITUDE: usize = 3;
/// Travels: front left, front right, and rear left, rear right or axle heave, axle roll [m or rad].
pub const TRAVEL: usize = 6;
/// Velocity of O in body axes [m/s].
pub const VELOCITY: usize = 10;
/// Angular velocity of the body in body axes [rad/s].
pub const RATE: usize = 13;
/// Rates of the travels [m/s or rad/s].
pub const TRAVEL_RATE: usize = 16;
/// Absolute speeds of the wheels about their axes, rolling forward positive [rad/s].
pub const SPIN: usize = 20;
/// Deflections of tire and suspension at the contacts: (forward, left) of each wheel [m].
pub const DEFLECTION: usize = 24;
/// Toe by compliance of each wheel, to the left positive [rad].
pub const TOE: usize = 32;
/// Tilt by compliance of each wheel, top to the right positive [rad].
pub const TILT: usize = 36;
/// Twist of the steering, as mean angle of the road wheels [rad].
pub const TWIST: usize = 40;
/// Turn of the rear housing about the wheels' axis beyond what its links' curves give, pinion nose
/// down positive [rad].
pub const WINDUP: usize = 41;
/// Absolute speed of the rear housing about that axis [rad/s].
pub const HOUSING: usize = 42;
/// Mean twist of the half shafts [rad].
pub const SHAFT_MEAN: usize = 43;
/// Twist that the differential holds between the half shafts, more torque to the left positive [rad].
pub const SHAFT_DIFFERENCE: usize = 44;
/// Speed of the propeller shaft over the final drive [rad/s].
pub const DRIVELINE: usize = 45;
/// Speed of the engine [rad/s].
pub const ENGINE: usize = 46;
/// Twist of the clutch [rad].
pub const CLUTCH: usize = 47;
/// Throttle as the engine feels it [-].
pub const THROTTLE: usize = 48;

/// The four wheels in the order of every array over wheels.
pub const WHEELS: [&str; 4] = ["front_left", "front_right", "rear_left", "rear_right"];

/// Name and unit of every state of a car with an independent or a solid rear end.
pub fn state_names(solid_rear: bool) -> Vec<(String, &'static str)> {
    let mut names: Vec<(String, &'static str)> = Vec::with_capacity(STATES);
    let mut add = |name: String, unit| names.push((name, unit));
    for (name, unit) in [("x", "m"), ("y", "m"), ("z", "m")] {
        add(name.into(), unit);
    }
    for name in ["yaw", "pitch", "roll"] {
        add(name.into(), "rad");
    }
    let travels: [(&str, &str, &str); 4] = if solid_rear {
        [
            ("travel_front_left", "m", "m/s"),
            ("travel_front_right", "m", "m/s"),
            ("axle_heave", "m", "m/s"),
            ("axle_roll", "rad", "rad/s"),
        ]
    } else {
        [
            ("travel_front_left", "m", "m/s"),
            ("travel_front_right", "m", "m/s"),
            ("travel_rear_left", "m", "m/s"),
            ("travel_rear_right", "m", "m/s"),
        ]
    };
    for (name, unit, _) in travels {
        add(name.into(), unit);
    }
    for name in ["velocity_x", "velocity_y", "velocity_z"] {
        add(name.into(), "m/s");
    }
    for name in ["rate_x", "rate_y", "rate_z"] {
        add(name.into(), "rad/s");
    }
    for (name, _, unit) in travels {
        add(format!("{name}_rate"), unit);
    }
    for wheel in WHEELS {
        add(format!("spin_{wheel}"), "rad/s");
    }
    for wheel in WHEELS {
        add(format!("deflection_x_{wheel}"), "m");
        add(format!("deflection_y_{wheel}"), "m");
    }
    for wheel in WHEELS {
        add(format!("compliance_toe_{wheel}"), "rad");
    }
    for wheel in WHEELS {
        add(format!("compliance_tilt_{wheel}"), "rad");
    }
    for (name, unit) in [
        ("steering_twist", "rad"),
        ("windup", "rad"),
        ("housing_rate", "rad/s"),
        ("shaft_twist_mean", "rad"),
        ("shaft_twist_difference", "rad"),
        ("driveline_speed", "rad/s"),
        ("engine_speed", "rad/s"),
        ("clutch_twist", "rad"),
        ("throttle_felt", "-"),
    ] {
        add(name.into(), unit);
    }
    names
}

/// What drives the car from outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inputs<T> {
    /// Angle of the steering wheel, to the left positive [rad].
    pub steering_wheel: T,
    /// Its rate [rad/s].
    pub steering_wheel_rate: T,
    /// Torque given to the crown wheel besides the engine's, forward positive: what both rear wheels
    /// get together in steady motion [N m].
    pub drive_torque: T,
    /// Torque of the brakes on all four wheels together, never negative [N m].
    pub brake_torque: T,
    /// Friction of the surface relative to the one the tires are described on [-].
    pub friction: T,
    /// Throttle [-, 0 to 1].
    pub throttle: T,
    /// Engine speed over propeller-shaft speed [-].
    pub gear_ratio: T,
    /// Share of the clutch's capacity that is used [-, 0 to 1].
    pub clutch: T,
    /// 1 where engine, clutch and throttle are simulated, 0 where they rest and pass no torque [-].
    pub engine_on: T,
}

impl<T: axletree_scalar::Real> Inputs<T> {
    /// Coasting straight ahead on the reference surface.
    #[inline(always)]
    pub fn coasting() -> Self {
        Inputs {
            steering_wheel: T::zero(),
            steering_wheel_rate: T::zero(),
            drive_torque: T::zero(),
            brake_torque: T::zero(),
            friction: T::one(),
            throttle: T::zero(),
            gear_ratio: T::one(),
            clutch: T::zero(),
            engine_on: T::zero(),
        }
    }
}

/// Name and unit of every input, in the order of the columns of a linearization.
pub const INPUTS: [(&str, &str); 4] = [
    ("steering_wheel_angle", "rad"),
    ("steering_wheel_rate", "rad/s"),
    ("drive_torque", "N*m"),
    ("brake_torque", "N*m"),
];
