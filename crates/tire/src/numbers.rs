//! The numbers of one tire at one inflation pressure, with everything precomputed that does not
//! change while the car moves.

use axletree_scalar::numbers;

numbers! {
    /// One direction: along (x) or across (y).
    pub struct Direction {
        /// Friction at vanishing load, by the straight line through the nominal load. `[-]`
        pub friction_unloaded: T,
        /// Fall of friction per load. `[1/N]`
        pub friction_slope: T,
        /// Least friction. `[-]`
        pub friction_floor: T,
        /// Load over slip stiffness at vanishing load. `[rad]`
        pub softness: T,
        /// Reciprocal of the load of largest slip stiffness. `[1/N]`
        pub stiffness_load: T,
        /// Shape factor C. `[-]`
        pub shape: T,
        /// Curvature E. `[-]`
        pub curvature: T,
        /// Stiffness factor B for a slip that is 1 at the peak. `[-]`
        pub steepness: T,
        /// 1/(B C): elastic utilization to normalized slip. `[-]`
        pub normalization: T,
        /// Carcass stiffness. `[N/m]`
        pub carcass_stiffness: T,
        /// Slip stiffness at which the relaxation length has its floor. `[N/rad]`
        pub stiffness_floor: T,
    }

    /// A tire at one inflation pressure, as [`TireSpec::at`](crate::TireSpec::at) gives it.
    pub struct Tire {
        /// Radius without load. `[m]`
        pub unloaded_radius: T,
        /// Share of the radial deflection by which the effective radius is smaller. `[-]`
        pub radius_fraction: T,
        /// Radial stiffness. `[N/m]`
        pub vertical_stiffness: T,
        /// Radial damping. `[N*s/m]`
        pub vertical_damping: T,
        /// Along the wheel.
        pub x: Direction<T>,
        /// Across the wheel.
        pub y: Direction<T>,
        /// Camber thrust per load and inclination. `[1/rad]`
        pub camber_thrust: T,
        /// Loss of lateral friction with inclination squared. `[1/rad^2]`
        pub camber_grip_loss: T,
        /// Loss of cornering stiffness with inclination squared. `[1/rad^2]`
        pub camber_stiffness_loss: T,
        /// Pneumatic trail per root of the load. `[m/N^(1/2)]`
        pub trail_by_root: T,
        /// Normalized slip to the brush model's slip, 1 where the trail vanishes. `[-]`
        pub trail_slip: T,
        /// Carcass damping time. `[s]`
        pub carcass_damping_time: T,
        /// Rolling resistance over load. `[-]`
        pub rolling_resistance: T,
    }
}
