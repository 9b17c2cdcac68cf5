//! Cars from numbers alone, under the assumptions of textbooks.
//!
//! Linkages are straight lines in the travel, tires are linear (their friction is far out of reach
//! and their stiffness is in proportion to load, so that what one wheel loses its neighbor gains),
//! only springs, tires and the parts of a case are elastic. Quantities that textbooks neglect (spin
//! inertia, unsprung mass, the tires' vertical deflection, relaxation) are fields, so that a
//! test can shrink it and watch the difference shrink with it.

use axletree_linkage::{Potential, TravelPotential};
use axletree_scalar::Real;
use axletree_tire::{Direction, Tire};
use axletree_vehicle::model::numbers::{
    Air, Axle, AxleSide, Chassis, Clutch, Compliance, Corner, Corners, Curve, Damper, Differential,
    Driveline, Engine, HalfShafts, Numbers, Rear, Spring, Sprung, Steering, Stop, Strut, Surface,
    Unsprung, Wheel, Windup,
};
use axletree_vehicle::{Geometry, Model};

/// One end of the car; values are of one wheel unless they say otherwise.
#[derive(Clone, Copy, Debug)]
pub struct End {
    /// Distance between the wheels `[m]`.
    pub track: f64,
    /// Height of the wheel center at rest `[m]`.
    pub radius: f64,
    /// Spring stiffness at the wheel (of an axle: at the spring) `[N/m]`.
    pub wheel_rate: f64,
    /// Damping at the wheel (of an axle: at the damper) `[N*s/m]`.
    pub damping: f64,
    /// Roll stiffness of the bar `[N*m/rad]`.
    pub bar: f64,
    /// Radial stiffness of the tire `[N/m]`.
    pub tire_rate: f64,
    /// Cornering stiffness at the load at rest `[N/rad]`.
    pub cornering: f64,
    /// Relaxation length at the load at rest `[m]`.
    pub relaxation: f64,
    /// Slip stiffness at the load at rest `[N per unit slip]`.
    pub slip: f64,
    /// Load of largest slip stiffness over the load at rest, for tires whose stiffness is not in
    /// proportion to load `[-]`.
    pub peak_load: f64,
    /// Unsprung mass, half of an axle `[kg]`.
    pub unsprung: f64,
    /// Height of the roll center `[m]`.
    pub roll_center: f64,
    /// Whether the wheels stay upright while the body rolls; they move with the body otherwise, and
    /// the roll center is then given by the path of the wheel center alone.
    pub upright: bool,
    /// Steer of the wheels per body roll, to the left positive `[-]`.
    pub roll_steer: f64,
    /// Forward motion of the wheel center (of an axle: of center and contacts) per bump `[-]`.
    pub forward: f64,
    /// Growth of the spring's motion ratio with travel `[1/m]`.
    pub motion_growth: f64,
}

impl End {
    /// An end without bar and damper, with very little unsprung mass, on stiff tires.
    pub fn plain(track: f64, radius: f64, wheel_rate: f64) -> Self {
        End {
            track,
            radius,
            wheel_rate,
            damping: 0.0,
            bar: 0.0,
            tire_rate: 1e8,
            cornering: 1e5,
            relaxation: 0.1,
            slip: 1e4,
            peak_load: 1e6,
            unsprung: 1e-2,
            roll_center: 0.0,
            upright: false,
            roll_steer: 0.0,
            forward: 0.0,
            motion_growth: 0.0,
        }
    }
}

impl End {
    /// The end whose springs' static load reaches the wheels so that the weight's arm is the sprung
    /// center's height over the roll center, as textbooks take it.
    ///
    /// As the body rolls by phi about the roll center at height r, wheels that keep their loaded
    /// radius and pivot at height p let it sink by `((h - p)/2 - (r - p)) phi^2` on springs that
    /// are lines in travel, which makes the arm `h - 2 r + p`. A motion ratio that grows by c per
    /// travel adds `c (t/2)^2` times the springs' load to the roll stiffness; `c = 4 (p - r)/t^2`
    /// makes up the rest.
    pub fn with_textbook_arm(self) -> Self {
        let pivot = if self.upright { self.radius } else { 0.0 };
        End {
            motion_growth: 4.0 * (pivot - self.roll_center) / (self.track * self.track),
            ..self
        }
    }
}

/// Further numbers of a solid axle.
#[derive(Clone, Copy, Debug)]
pub struct Beam {
    /// Inertia of the axle about a diameter `[kg*m^2]`.
    pub inertia: f64,
    /// Distance between the springs `[m]`.
    pub spring_base: f64,
    /// Distance between the dampers `[m]`.
    pub damper_base: f64,
}

/// A car.
#[derive(Clone, Copy, Debug)]
pub struct Case {
    /// Mass of the whole car `[kg]`.
    pub mass: f64,
    /// Front and rear axle, ahead of and behind the whole car's center of mass `[m]`.
    pub arms: [f64; 2],
    /// Height of the sprung center `[m]`.
    pub sprung_height: f64,
    /// Yaw inertia of the whole car about its center `[kg*m^2]`.
    pub yaw_inertia: f64,
    /// Pitch inertia of the sprung body about its own center `[kg*m^2]`.
    pub pitch_inertia: f64,
    /// Roll inertia of the sprung body about its own center `[kg*m^2]`.
    pub roll_inertia: f64,
    /// Product of inertia of the sprung body as textbooks write it, the integral of x z `[kg*m^2]`.
    pub product: f64,
    /// Free fall `[m/s^2]`.
    pub gravity: f64,
    /// Front, rear.
    pub ends: [End; 2],
    /// A solid rear axle, or none.
    pub beam: Option<Beam>,
    /// Spin inertia of one wheel `[kg*m^2]`.
    pub spin_inertia: f64,
    /// Friction of the tires along and across `[-]`.
    pub friction: f64,
    /// 1 for a locked differential.
    pub locked: f64,
    /// Speed of the propeller shaft over that of the wheels `[-]`.
    pub final_drive: f64,
}

impl Case {
    /// A propeller shaft of very little inertia on soft half shafts; the
    /// engine rests.
    fn driveline(&self) -> Driveline<f64> {
        Driveline {
            final_drive: self.final_drive,
            propshaft_sense: -1.0,
            shaft_inertia: 1e-4 * self.spin_inertia,
            gear_inertia: 1e-4 * self.spin_inertia,
            efficiency: 1.0,
            throttle_lag: 0.1,
            differential: Differential {
                preload: if self.locked > 0.5 { 1e9 } else { 0.0 },
                lock_drive: 0.0,
                lock_coast: 0.0,
            },
            half_shafts: HalfShafts {
                stiffness: 1e3 * self.spin_inertia,
                damping: 0.0,
            },
            windup: Windup {
                stiffness: 0.0,
                damping: 0.0,
                inertia: 1.0,
                flexible: 0.0,
            },
            engine: Engine {
                inertia: 0.1,
                drag: [10.0, 0.02],
                idle: 80.0,
                idle_gain: 1.0,
                peak_torque: 200.0,
                peak_speed: 450.0,
                rise: 1e-4,
                fall: [10.0, 0.0],
                fall_span: 200.0,
                limit: 700.0,
            },
            clutch: Clutch {
                capacity: 400.0,
                stiffness: 1000.0,
                damping: 1.0,
            },
            peak_power: 1e6,
            peak_torque: 1e5,
        }
    }

    /// A car without yaw-roll product, a uniform box in pitch and yaw, on wheels of ordinary spin
    /// inertia.
    pub fn plain(mass: f64, arms: [f64; 2], sprung_height: f64, ends: [End; 2]) -> Self {
        Case {
            mass,
            arms,
            sprung_height,
            yaw_inertia: mass * arms[0] * arms[1],
            pitch_inertia: mass * arms[0] * arms[1],
            roll_inertia: 0.25 * mass,
            product: 0.0,
            gravity: super::G,
            ends,
            beam: None,
            spin_inertia: 1.0,
            friction: 1e3,
            locked: 0.0,
            final_drive: 3.0,
        }
    }

    /// Distance of the axles `[m]`.
    pub fn wheelbase(&self) -> f64 {
        self.arms[0] + self.arms[1]
    }

    /// Load of one wheel at rest `[N]`.
    pub fn load(&self, end: usize) -> f64 {
        self.mass * self.gravity * self.arms[1 - end] / self.wheelbase() / 2.0
    }

    /// Mass of the sprung body `[kg]`.
    pub fn sprung_mass(&self) -> f64 {
        self.mass - 2.0 * (self.ends[0].unsprung + self.ends[1].unsprung)
    }

    /// Height of the whole car's center `[m]`.
    pub fn height(&self) -> f64 {
        let low: f64 = self.ends.iter().map(|e| 2.0 * e.unsprung * e.radius).sum();
        (self.sprung_mass() * self.sprung_height + low) / self.mass
    }

    /// The case with the sprung center so high that the whole car's is at `height` `[m]`.
    pub fn with_height(mut self, height: f64) -> Self {
        self.sprung_height += (height - self.height()) * self.mass / self.sprung_mass();
        self
    }

    /// The car for the library.
    pub fn model(&self) -> Model {
        let x = [self.arms[0], -self.arms[1]];
        let ends = &self.ends;
        let front = self.corners(0);
        let rear = match &self.beam {
            None => Rear::Independent(self.corners(1)),
            Some(beam) => Rear::Solid(self.axle(beam)),
        };
        // Sprung body: the whole car less the unsprung masses.
        let sprung_mass = self.sprung_mass();
        let moment: f64 = (0..2).map(|i| 2.0 * ends[i].unsprung * x[i]).sum();
        let center = [
            -moment / sprung_mass,
            0.0,
            self.sprung_height - self.height(),
        ];
        let beside: f64 = (0..2)
            .map(|i| {
                let own = match (&self.beam, i) {
                    (Some(beam), 1) => beam.inertia,
                    _ => 2.0 * ends[i].unsprung * Real::sq(ends[i].track / 2.0),
                };
                2.0 * ends[i].unsprung * x[i] * x[i] + own
            })
            .sum();
        let yaw = self.yaw_inertia - beside - sprung_mass * center[0] * center[0];
        let numbers = Numbers {
            chassis: Chassis {
                sprung: Sprung {
                    mass: sprung_mass,
                    center,
                    inertia: [
                        self.roll_inertia,
                        self.pitch_inertia,
                        yaw,
                        0.0,
                        -self.product,
                        0.0,
                    ],
                },
                height: self.height(),
                gravity: self.gravity,
                steering: Steering {
                    gain: 1.0,
                    ackermann: 0.0,
                    compliance: 0.0,
                },
                driveline: self.driveline(),
                front_brake_share: 0.5,
                air: Air {
                    drag: 0.0,
                    drag_height: 0.0,
                    lift: [0.0; 2],
                    lift_x: x,
                },
                lag: 1e-3,
            },
            front,
            rear,
        };
        Model {
            name: "textbook".to_owned(),
            numbers,
            geometry: Geometry {
                wheelbase: self.wheelbase(),
                front_axle: self.arms[0],
                track: [ends[0].track, ends[1].track],
                width: 1.8,
                nose: self.arms[0] + 0.8,
                tail: self.arms[1] + 0.8,
            },
            rest_travel: [0.0; 4],
            gears: vec![1.0],
        }
    }

    fn corners(&self, end: usize) -> Corners<f64> {
        let e = &self.ends[end];
        Corners {
            side: [1.0, -1.0].map(|side| self.corner(end, side)),
            bar_rate: e.bar / (e.track * e.track),
            compliance: rigid(),
        }
    }

    fn corner(&self, end: usize, side: f64) -> Corner<f64> {
        let e = &self.ends[end];
        let x = [self.arms[0], -self.arms[1]][end];
        let half = e.track / 2.0;
        // Wheels that stay upright pivot about their centers: the roll center is then as high as
        // the wheel center, before the wheel center's own path.
        let (tilt, pivot) = if e.upright {
            (side / half, e.radius)
        } else {
            (0.0, 0.0)
        };
        let mut spring = Curve::line(0.0, 1.0);
        spring.c[2] = e.motion_growth / 2.0;
        Corner {
            x: Curve::line(x, e.forward),
            y: Curve::line(side * half, side * (e.roll_center - pivot) / half),
            z: Curve::line(e.radius - self.height(), 1.0),
            toe: Curve::line(0.0, -side * e.roll_steer / half),
            tilt: Curve::line(0.0, tilt),
            pitch: Curve::line(0.0, 0.0),
            spring,
            damper: Curve::line(0.0, 1.0),
            bar: Curve::line(0.0, 1.0),
            strut: self.strut(end),
            binding: TravelPotential::none(),
            unsprung: Unsprung {
                mass: e.unsprung,
                inertia_diametral: 0.0,
                inertia_axial: 0.0,
            },
            wheel: self.wheel(end),
            steering_axis: [0.0, 0.0, 1.0],
            steering_arm: [0.0; 3],
        }
    }

    fn axle(&self, beam: &Beam) -> Axle<f64> {
        let e = &self.ends[1];
        // The same growth per square of the wheels' travel as at a corner.
        let spring = |side: f64| {
            let mut spring = Surface::plane(0.0, 1.0, side * beam.spring_base / 2.0);
            spring.c[5] = e.motion_growth / 2.0 * Real::sq(e.track / 2.0);
            spring
        };
        let side = |side: f64| AxleSide {
            spring: spring(side),
            damper: Surface::plane(0.0, 1.0, side * beam.damper_base / 2.0),
            bar: Surface::plane(0.0, 1.0, side * e.track / 2.0),
            strut: self.strut(1),
            wheel: self.wheel(1),
        };
        Axle {
            x: Surface::plane(-self.arms[1], e.forward, 0.0),
            y: Surface::plane(0.0, 0.0, e.roll_center - e.radius),
            z: e.radius - self.height(),
            yaw: Surface::plane(0.0, 0.0, -e.roll_steer),
            pitch: Surface::plane(0.0, 0.0, 0.0),
            half_track: e.track / 2.0,
            side: [1.0, -1.0].map(side),
            binding: Potential::none(),
            unsprung: Unsprung {
                mass: 2.0 * e.unsprung,
                inertia_diametral: beam.inertia,
                inertia_axial: 0.0,
            },
            bar_rate: e.bar / (e.track * e.track),
            compliance: rigid(),
        }
    }

    fn strut(&self, end: usize) -> Strut<f64> {
        let e = &self.ends[end];
        let far = Stop {
            gap: 10.0,
            rate: 0.0,
            progression: 0.0,
        };
        Strut {
            spring: Spring {
                preload: self.load(end) - e.unsprung * self.gravity,
                rate: e.wheel_rate,
            },
            damper: Damper {
                low: [e.damping; 2],
                high: [e.damping; 2],
                inverse_knee: [1.0; 2],
            },
            bump: far,
            droop: far,
        }
    }

    fn wheel(&self, end: usize) -> Wheel<f64> {
        let e = &self.ends[end];
        let load = self.load(end);
        let across = self.direction(load, e.cornering, e.cornering / e.relaxation, e.peak_load);
        let along = self.direction(load, e.slip, e.slip / e.relaxation, 1e6);
        Wheel {
            spin_inertia: self.spin_inertia,
            tire: Tire {
                unloaded_radius: e.radius + load / e.tire_rate,
                radius_fraction: 0.0,
                vertical_stiffness: e.tire_rate,
                vertical_damping: 0.0,
                x: along,
                y: across,
                camber_thrust: 0.0,
                camber_grip_loss: 0.0,
                camber_stiffness_loss: 0.0,
                // A root's slope is needed, a trail is not.
                trail_by_root: 0.0,
                trail_slip: 1.0,
                carcass_damping_time: 0.0,
                rolling_resistance: 0.0,
            },
        }
    }

    /// Slip stiffness K = load/softness/(1 + u^2) with u = load over the load of largest stiffness.
    fn direction(&self, load: f64, stiffness: f64, carcass: f64, peak_load: f64) -> Direction<f64> {
        let (shape, curvature) = (1.3, 0.0);
        let steepness = axletree_tire::steepness(shape, curvature);
        Direction {
            friction_unloaded: self.friction,
            friction_slope: 0.0,
            friction_floor: 0.0,
            softness: load / stiffness / (1.0 + Real::sq(peak_load).recip()),
            stiffness_load: 1.0 / (peak_load * load),
            shape,
            curvature,
            steepness,
            normalization: 1.0 / (steepness * shape),
            carcass_stiffness: carcass,
            stiffness_floor: 0.0,
        }
    }
}

fn rigid() -> Compliance<f64> {
    let none = [[0.0; 2]; 2];
    Compliance {
        toe_lateral: none,
        toe_longitudinal: none,
        toe_aligning: none,
        toe_brake: none,
        tilt_lateral: none,
        lateral: none,
        longitudinal: none,
    }
}
