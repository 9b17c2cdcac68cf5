//! A car as numbers: the parameters of the equations and nothing else.
//!
//! Lengths are in the body frame b, whose origin O is the whole car's center of mass at
//! rest, x forward, y left, z up (ISO 8855). "Left" is index 0 of every pair.

pub use axletree_linkage::{Compliance, Curve, Surface};
use axletree_linkage::{Potential, TravelPotential};
use axletree_scalar::numbers::{FromNamed, Named, join_path};
use axletree_scalar::{Lift, numbers};
use axletree_tire::Tire;

numbers! {
    /// The sprung body.
    pub struct Sprung {
        /// Mass `[kg]`.
        pub mass: T,
        /// Its center from O `[m, b]`.
        pub center: [T; 3],
        /// Inertia tensor about its own center: elements xx, yy, zz, xy, xz, yz of the matrix, so
        /// that the products carry the minus sign of the matrix `[kg*m^2, b]`.
        pub inertia: [T; 6],
    }

    /// A body that carries one wheel or two: its mass sits at the wheel center (a corner) or the
    /// axle center (an axle); its inertia is that of a body of revolution about the wheel axis.
    pub struct Unsprung {
        /// Mass, wheels included `[kg]`.
        pub mass: T,
        /// Inertia about any diameter through its center, wheels included `[kg*m^2]`.
        pub inertia_diametral: T,
        /// Inertia about the wheel axis of the parts that do not spin `[kg*m^2]`.
        pub inertia_axial: T,
    }

    /// A spring: force `preload + rate * compression`.
    pub struct Spring {
        /// Force at the static position, compression positive `[N]`.
        pub preload: T,
        /// Stiffness along its axis `[N/m]`.
        pub rate: T,
    }

    /// A digressive damper: force against its speed v, compression positive,
    /// `high v + (low - high) v / sqrt(1 + (v/knee)^2)`, with one set for bump and one for rebound.
    pub struct Damper {
        /// Slope at small speed: bump, rebound `[N*s/m]`.
        pub low: [T; 2],
        /// Slope at large speed: bump, rebound `[N*s/m]`.
        pub high: [T; 2],
        /// Reciprocal of the speed at which the slope turns: bump, rebound `[s/m]`.
        pub inverse_knee: [T; 2],
    }

    /// A progressive stop on the damper: force `rate x + progression x^2` for
    /// `x = (compression - gap)` above zero (bump), and the mirror image in droop.
    pub struct Stop {
        /// Free travel from the static position `[m]`.
        pub gap: T,
        /// First rate `[N/m]`.
        pub rate: T,
        /// Growth of the force with the square of the travel `[N/m^2]`.
        pub progression: T,
    }

    /// Spring, damper and stops of one side.
    pub struct Strut {
        /// The spring.
        pub spring: Spring<T>,
        /// The damper.
        pub damper: Damper<T>,
        /// The bump stop, on the damper.
        pub bump: Stop<T>,
        /// The droop stop, on the damper.
        pub droop: Stop<T>,
    }

    /// A wheel with its tire.
    pub struct Wheel {
        /// Inertia about the wheel axis of everything that spins with the wheel `[kg*m^2]`.
        pub spin_inertia: T,
        /// The tire at its pressure.
        pub tire: Tire<T>,
    }

    /// One independently sprung wheel as a function of its travel s: the rise of the wheel center
    /// relative to the body from the static position, bump positive `[m]`.
    pub struct Corner {
        /// Wheel center, forward of O `[m, b]`.
        pub x: Curve<T>,
        /// Wheel center, left of O `[m, b]`.
        pub y: Curve<T>,
        /// Wheel center, above O `[m, b]`.
        pub z: Curve<T>,
        /// First turn of the knuckle, about z, to the left positive `[rad]`.
        pub toe: Curve<T>,
        /// Second turn, about the turned x, top to the right positive `[rad]`.
        pub tilt: Curve<T>,
        /// Third turn, about the wheel axis, top forward positive `[rad]`.
        pub pitch: Curve<T>,
        /// Compression of the spring from the static position `[m]`.
        pub spring: Curve<T>,
        /// Compression of the damper from the static position `[m]`.
        pub damper: Curve<T>,
        /// Travel of the bar's end, in the sense of bump `[m]`.
        pub bar: Curve<T>,
        /// Spring, damper and stops.
        pub strut: Strut<T>,
        /// Energy of the link ends' twist and tilt over the travel `[J]`.
        pub binding: TravelPotential<T>,
        /// Knuckle, brake, wheel.
        pub unsprung: Unsprung<T>,
        /// Wheel and tire.
        pub wheel: Wheel<T>,
        /// Unit vector along the steering axis, upward `[-, knuckle axes at zero steer]`.
        pub steering_axis: [T; 3],
        /// From the wheel center to a point of the steering axis `[m, knuckle axes at zero steer]`.
        pub steering_arm: [T; 3],
    }

    /// Two independently sprung wheels.
    pub struct Corners {
        /// Left, right.
        pub side: [Corner<T>; 2],
        /// Anti-roll bar: force over the relative travel of its ends `[N/m]`.
        pub bar_rate: T,
        /// Compliance of the links.
        pub compliance: Compliance<T>,
    }

    /// Spring, damper and bar of one side of a solid axle as functions of the axle's pose.
    pub struct AxleSide {
        /// Compression of the spring from the static position `[m]`.
        pub spring: Surface<T>,
        /// Compression of the damper from the static position `[m]`.
        pub damper: Surface<T>,
        /// Travel of the bar's end, in the sense of bump `[m]`.
        pub bar: Surface<T>,
        /// Spring, damper and stops.
        pub strut: Strut<T>,
        /// Wheel and tire.
        pub wheel: Wheel<T>,
    }

    /// A solid axle as a function of its heave h (rise of its center relative to the body, bump
    /// positive `[m]`) and its roll r (left side up positive `[rad]`).
    ///
    /// Turns in this order: yaw about z, roll about the turned x, pitch about the wheel axis.
    pub struct Axle {
        /// Center, forward of O `[m, b]`.
        pub x: Surface<T>,
        /// Center, left of O `[m, b]`.
        pub y: Surface<T>,
        /// Height of the center above O at the static position; heave adds to it `[m, b]`.
        pub z: T,
        /// Yaw, to the left positive: roll steer `[rad]`.
        pub yaw: Surface<T>,
        /// Pitch about the wheel axis, pinion nose down positive `[rad]`.
        pub pitch: Surface<T>,
        /// Half the distance between the wheel centers `[m]`.
        pub half_track: T,
        /// Left, right.
        pub side: [AxleSide<T>; 2],
        /// Energy of the link ends' twist and tilt, and of links that strain, over heave and roll
        /// `[J]`.
        pub binding: Potential<T>,
        /// Axle, brakes, wheels.
        pub unsprung: Unsprung<T>,
        /// Anti-roll bar: force over the relative travel of its ends `[N/m]`.
        pub bar_rate: T,
        /// Compliance of the links.
        pub compliance: Compliance<T>,
    }

    /// From the steering wheel to the knuckles.
    pub struct Steering {
        /// Mean angle of the road wheels per angle of the steering wheel, at no load `[-]`.
        pub gain: T,
        /// Cotangent of the right wheel's angle less that of the left one's in a turn to the left
        /// `[-]`; track over wheelbase where the wheels' axes meet on the rear axle line.
        pub ackermann: T,
        /// Mean steer per moment about the steering axes, of column, rack and box `[rad/(N*m)]`.
        pub compliance: T,
    }

    /// Friction between the half shafts: their torques differ by at most
    /// `preload + lock |sum of both|`.
    pub struct Differential {
        /// Bias torque at no load; very large in a locked differential `[N*m]`.
        pub preload: T,
        /// Bias torque over the torque of both shafts, driving `[-]`.
        pub lock_drive: T,
        /// The same, coasting `[-]`.
        pub lock_coast: T,
    }

    /// Half shafts, each with its share of everything that twists between gearbox and wheel.
    pub struct HalfShafts {
        /// Torque over twist of one shaft `[N*m/rad]`.
        pub stiffness: T,
        /// Torque over rate of twist of one shaft `[N*m*s/rad]`.
        pub damping: T,
    }

    /// Compliance of the rear housing (a solid axle, or the differential with its subframe) about
    /// the wheels' axis, on its links or mounts.
    pub struct Windup {
        /// Torque over turn `[N*m/rad]`.
        pub stiffness: T,
        /// Torque over rate of turn `[N*m*s/rad]`.
        pub damping: T,
        /// Inertia of the housing about the wheels' axis; no other body includes it `[kg*m^2]`.
        pub inertia: T,
        /// 1 where the housing winds up, 0 where its links are rigid `[-]`.
        pub flexible: T,
    }

    /// An engine: torque against speed with open and with closed throttle.
    pub struct Engine {
        /// Inertia of crankshaft and flywheel `[kg*m^2]`.
        pub inertia: T,
        /// Drag with the throttle closed: constant `[N*m]`, and per speed `[N*m*s/rad]`.
        pub drag: [T; 2],
        /// Idle speed `[rad/s]`.
        pub idle: T,
        /// Torque per speed below idle `[N*m*s/rad]`.
        pub idle_gain: T,
        /// Largest torque `[N*m]`.
        pub peak_torque: T,
        /// Its speed `[rad/s]`.
        pub peak_speed: T,
        /// Torque lost per square of the speed below that `[N*m*s^2/rad^2]`.
        pub rise: T,
        /// Torque lost with the square and with the eighth power of the speed beyond it over the
        /// span `[N*m]`.
        pub fall: [T; 2],
        /// Span of speed of that loss `[rad/s]`.
        pub fall_span: T,
        /// Highest speed, where the limiter has taken all torque away `[rad/s]`.
        pub limit: T,
    }

    /// The clutch.
    pub struct Clutch {
        /// Largest torque of the closed clutch `[N*m]`.
        pub capacity: T,
        /// Torque over twist of the driven plate's springs `[N*m/rad]`.
        pub stiffness: T,
        /// Torque over rate of twist `[N*m*s/rad]`.
        pub damping: T,
    }

    /// From the engine to the wheels.
    pub struct Driveline {
        /// Speed of the propeller shaft over the mean speed of the wheels `[-]`.
        pub final_drive: T,
        /// Sign of the couple of the propeller shaft on a solid axle about x under drive: -1 for a
        /// shaft that turns clockwise seen from the front `[-]`.
        pub propshaft_sense: T,
        /// Inertia of the propeller shaft and the gearbox's output `[kg*m^2]`.
        pub shaft_inertia: T,
        /// Inertia of the gearbox's input and the driven plate `[kg*m^2]`.
        pub gear_inertia: T,
        /// Share of the engine's torque that reaches the crown wheel `[-]`.
        pub efficiency: T,
        /// Time constant from the pedal to the engine's torque `[s]`.
        pub throttle_lag: T,
        /// The differential.
        pub differential: Differential<T>,
        /// The half shafts.
        pub half_shafts: HalfShafts<T>,
        /// Wind-up of the rear housing.
        pub windup: Windup<T>,
        /// The engine.
        pub engine: Engine<T>,
        /// The clutch.
        pub clutch: Clutch<T>,
        /// Largest power at the wheels `[W]`.
        pub peak_power: T,
        /// Largest torque of both wheels together `[N*m]`.
        pub peak_torque: T,
    }

    /// Air forces: each is the coefficient times the square of the forward speed.
    pub struct Air {
        /// Drag, half of density times drag area `[N*s^2/m^2]`.
        pub drag: T,
        /// Height of the drag force above O `[m]`.
        pub drag_height: T,
        /// Lift at the front and at the rear axle, upward positive `[N*s^2/m^2]`.
        pub lift: [T; 2],
        /// Points of attack of the lifts, forward of O `[m]`.
        pub lift_x: [T; 2],
    }

    /// The part that does not depend on the kind of rear end.
    pub struct Chassis {
        /// The sprung body.
        pub sprung: Sprung<T>,
        /// Height of O above the road at rest `[m]`.
        pub height: T,
        /// Acceleration of free fall `[m/s^2]`.
        pub gravity: T,
        /// Steering.
        pub steering: Steering<T>,
        /// Driveline.
        pub driveline: Driveline<T>,
        /// Share of the brake torque at the front axle `[-]`.
        pub front_brake_share: T,
        /// Air.
        pub air: Air<T>,
        /// Time constant of toe, lean and column twist under load `[s]`.
        pub lag: T,
    }
}

/// The rear end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rear<T> {
    /// Two independently sprung wheels; the differential is on the body.
    Independent(Corners<T>),
    /// A solid axle that carries its differential.
    Solid(Axle<T>),
}

/// A whole car as numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Numbers<T> {
    /// Body, steering, driveline, brakes, air.
    pub chassis: Chassis<T>,
    /// The front: independent, steered.
    pub front: Corners<T>,
    /// The rear.
    pub rear: Rear<T>,
}

impl<U> Lift<U> for Rear<f64> {
    type Out = Rear<U>;
    fn lift(&self, f: &mut dyn FnMut(f64) -> U) -> Rear<U> {
        match self {
            Rear::Independent(corners) => Rear::Independent(corners.lift(f)),
            Rear::Solid(axle) => Rear::Solid(axle.lift(f)),
        }
    }
}

impl<U> Lift<U> for Numbers<f64> {
    type Out = Numbers<U>;
    fn lift(&self, f: &mut dyn FnMut(f64) -> U) -> Numbers<U> {
        Numbers {
            chassis: self.chassis.lift(f),
            front: self.front.lift(f),
            rear: self.rear.lift(f),
        }
    }
}

impl Named for Numbers<f64> {
    fn named(&self, path: &str, each: &mut dyn FnMut(&str, f64)) {
        self.chassis.named(&join_path(path, "chassis"), each);
        self.front.named(&join_path(path, "front"), each);
        match &self.rear {
            Rear::Independent(corners) => corners.named(&join_path(path, "rear"), each),
            Rear::Solid(axle) => axle.named(&join_path(path, "rear"), each),
        }
    }
}

impl<T: Copy> Numbers<T> {
    /// The four wheels in the order of [`WHEELS`](super::layout::WHEELS).
    pub fn wheels(&self) -> [&Wheel<T>; 4] {
        let [a, b] = &self.front.side;
        match &self.rear {
            Rear::Independent(c) => [&a.wheel, &b.wheel, &c.side[0].wheel, &c.side[1].wheel],
            Rear::Solid(x) => [&a.wheel, &b.wheel, &x.side[0].wheel, &x.side[1].wheel],
        }
    }
}

impl Numbers<f64> {
    /// A car with a solid or an independent rear end from its numbers by their dotted paths, the
    /// inverse of [`Named`].
    pub fn from_named(solid_rear: bool, number: &mut dyn FnMut(&str) -> f64) -> Self {
        Numbers {
            chassis: Chassis::from_named("chassis", number),
            front: Corners::from_named("front", number),
            rear: if solid_rear {
                Rear::Solid(Axle::from_named("rear", number))
            } else {
                Rear::Independent(Corners::from_named("rear", number))
            },
        }
    }

    /// Mass of the whole car `[kg]`.
    pub fn mass(&self) -> f64 {
        let front: f64 = self.front.side.iter().map(|c| c.unsprung.mass).sum();
        let rear = match &self.rear {
            Rear::Independent(c) => c.side.iter().map(|c| c.unsprung.mass).sum(),
            Rear::Solid(a) => a.unsprung.mass,
        };
        self.chassis.sprung.mass + front + rear
    }
}
