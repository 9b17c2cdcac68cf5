//! The state as a flat array, and the inputs.
//!
//! Integrators, Jacobians and linearizations work on the array `[T; STATES]`; each group of states
//! has a constant, the place of its first number. [`State`] is the same array by names.

use std::ops::Range;

use axletree_scalar::numbers::MapNumbers;
use axletree_scalar::{LaneRow, Real, numbers};

/// Declares the groups of states: for each its place in the array, and its field in [`State`].
macro_rules! states {
    ($( $(#[$meta:meta])* $place:ident = $field:ident : $shape:tt; )*) => {
        states! { @place (0) $( [$(#[$meta])*] $place $shape )* }

        numbers! {
            /// The state by names.
            ///
            /// ```
            /// use axletree_vehicle::model::{STATES, State, layout::SPIN};
            ///
            /// let mut state = State::of(&[0.0; STATES]);
            /// state.spin[3] = 60.0;
            /// assert_eq!(state.as_array()[SPIN + 3], 60.0);
            /// ```
            pub struct State {
                $( $(#[$meta])* pub $field: $shape, )*
            }
        }

        impl<T: Copy> State<T> {
            /// The state of an array.
            #[inline(always)]
            pub fn of(array: &[T; STATES]) -> Self {
                State { $( $field: states! { @read $shape array ($place) }, )* }
            }

            /// The state as an array.
            #[inline(always)]
            pub fn as_array(&self) -> [T; STATES] {
                let mut array = [self.position[0]; STATES];
                $( states! { @write $shape array ($place) (self.$field) } )*
                array
            }
        }
    };
    // Places: each group begins where the one before ends.
    (@place ($at:expr)) => {
        /// Number of states.
        pub const STATES: usize = $at;
    };
    (@place ($at:expr) [$(#[$meta:meta])*] $place:ident $shape:tt $($rest:tt)*) => {
        $(#[$meta])*
        pub const $place: usize = $at;
        states! { @place ($at + states! { @count $shape }) $($rest)* }
    };
    (@count T) => { 1 };
    (@count [T; $n:literal]) => { $n };
    (@count [[T; $n:literal]; $m:literal]) => { $n * $m };
    (@read T $array:ident ($place:expr)) => { $array[$place] };
    (@read [T; $n:literal] $array:ident ($place:expr)) => {
        std::array::from_fn(|i| $array[$place + i])
    };
    (@read [[T; $n:literal]; $m:literal] $array:ident ($place:expr)) => {
        std::array::from_fn(|i| std::array::from_fn(|j| $array[$place + $n * i + j]))
    };
    (@write T $array:ident ($place:expr) ($value:expr)) => { $array[$place] = $value; };
    (@write [T; $n:literal] $array:ident ($place:expr) ($value:expr)) => {
        $array[$place..$place + $n].copy_from_slice(&$value);
    };
    (@write [[T; $n:literal]; $m:literal] $array:ident ($place:expr) ($value:expr)) => {
        $array[$place..$place + $n * $m].copy_from_slice($value.as_flattened());
    };
}

states! {
    /// Position of O: x, y, z `[m, e]`.
    POSITION = position: [T; 3];
    /// Yaw, pitch, roll, turned in this order `[rad]`.
    ATTITUDE = attitude: [T; 3];
    /// Travels `[m or rad]`: front left, front right, then rear left, rear right or axle heave,
    /// axle roll.
    TRAVEL = travel: [T; 4];
    /// Velocity of O `[m/s, b]`.
    VELOCITY = velocity: [T; 3];
    /// Angular velocity of the body `[rad/s, b]`.
    RATE = rate: [T; 3];
    /// Rates of the travels `[m/s or rad/s]`.
    TRAVEL_RATE = travel_rate: [T; 4];
    /// Absolute speeds of the wheels about their axes, rolling forward positive `[rad/s]`.
    SPIN = spin: [T; 4];
    /// Deflections of tire and suspension at the contacts: forward, left of each wheel `[m]`.
    DEFLECTION = deflection: [[T; 2]; 4];
    /// Toe by compliance of each wheel, to the left positive `[rad]`.
    TOE = toe: [T; 4];
    /// Lean by compliance of each wheel, top to the right positive on both sides `[rad]`.
    TILT = tilt: [T; 4];
    /// Twist of the steering, as mean angle of the road wheels `[rad]`.
    TWIST = twist: T;
    /// Turn of the rear housing about the wheels' axis beyond the one that its links' curves give,
    /// pinion nose down positive `[rad]`.
    WINDUP = windup: T;
    /// Absolute speed of the rear housing about that axis `[rad/s]`.
    HOUSING = housing: T;
    /// Mean twist of the half shafts `[rad]`.
    SHAFT_MEAN = shaft_mean: T;
    /// Twist that the differential holds between the half shafts, more torque to the left positive
    /// `[rad]`.
    SHAFT_DIFFERENCE = shaft_difference: T;
    /// Speed of the propeller shaft over the final drive `[rad/s]`.
    DRIVELINE = driveline: T;
    /// Speed of the engine `[rad/s]`.
    ENGINE = engine: T;
    /// Twist of the clutch `[rad]`.
    CLUTCH = clutch: T;
    /// Throttle after its lag `[-]`.
    THROTTLE = throttle: T;
}

/// States that are pure lags `x' = (u - x)/tau` with the common time constant of [`Chassis`]:
/// compliance toe and tilt of the wheels, twist of the steering.
///
/// [`Chassis`]: super::numbers::Chassis
pub const LAGS: Range<usize> = TOE..TWIST + 1;

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

numbers! {
    /// Inputs of the equations: the driver, the torques of an equilibrium, the surface.
    pub struct Inputs {
        /// Angle of the steering wheel, to the left positive `[rad]`.
        pub steering_wheel: T,
        /// Its rate `[rad/s]`.
        pub steering_wheel_rate: T,
        /// Torque given to the crown wheel besides the engine's, forward positive: the torque of
        /// both rear wheels together in steady motion `[N*m]`.
        pub drive_torque: T,
        /// Torque of the brakes on all four wheels together, never negative `[N*m]`.
        pub brake_torque: T,
        /// Friction of the surface relative to the one that the tires are described on `[-]`.
        pub friction: T,
        /// Throttle `[-, 0 to 1]`.
        pub throttle: T,
        /// Engine speed over propeller-shaft speed `[-]`.
        pub gear_ratio: T,
        /// Share of the clutch's capacity that is used `[-, 0 to 1]`.
        pub clutch: T,
        /// 1 where engine, clutch and throttle are simulated, 0 where they rest and pass no torque
        /// `[-]`.
        pub engine_on: T,
    }
}

impl Inputs<LaneRow> {
    /// Sets the inputs of the car in one lane.
    #[inline(always)]
    pub fn put(&mut self, lane: usize, inputs: &Inputs<f64>) {
        self.zip_numbers(inputs, &mut |row: &mut LaneRow, x| row[lane] = *x);
    }
}

impl<T: Real> Inputs<T> {
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
pub const MODEL_INPUTS: [(&str, &str); 4] = [
    ("steering_wheel_angle", "rad"),
    ("steering_wheel_rate", "rad/s"),
    ("drive_torque", "N*m"),
    ("brake_torque", "N*m"),
];
