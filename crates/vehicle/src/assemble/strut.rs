//! Springs, dampers, stops and bars of one end.

use super::end::EndEntries;
use crate::description::declare::key::EndKey;
use crate::description::declare::keys;
use crate::description::declare::words::BarArm;
use crate::model::numbers::{Curve, Damper, Spring, Stop, Strut, Surface};
use crate::parts::bar::{AntiRollBar, Arms};
use crate::parts::damper;
use crate::parts::section::RoundSection;
use crate::parts::series::in_series;
use crate::parts::spring::Coil;

/// Rate of one spring with its mounts `[N/m]`.
fn spring_rate(end: EndEntries<'_>) -> f64 {
    let coil = |key: EndKey<Option<f64>>| {
        let value = end.value(key);
        value.unwrap_or_else(|| panic!("the checks ask for {}", key.at(end.end).path()))
    };
    let rate = end.value(keys::SPRING_RATE).unwrap_or_else(|| {
        Coil {
            wire: coil(keys::SPRING_WIRE_DIAMETER),
            diameter: coil(keys::SPRING_COIL_DIAMETER),
            active: coil(keys::SPRING_ACTIVE_COILS),
            shear_modulus: end.value(keys::SPRING_SHEAR_MODULUS),
        }
        .rate()
    });
    in_series(&[Some(rate), end.value(keys::SPRING_MOUNT_RATE)])
}

/// Rate of the bar over the relative travel of its ends; zero without a bar `[N/m]`.
pub(super) fn bar_rate(end: EndEntries<'_>) -> f64 {
    let outer = end.value(keys::BAR_OUTER_DIAMETER);
    if outer <= 0.0 {
        return 0.0;
    }
    let length = end.value(keys::BAR_LENGTH);
    let lever = end.bar_lever().or_else(|| end.value(keys::BAR_ARM_LENGTH));
    let lever = lever.expect("the checks ask for the lever of a bar");
    let arms = match (end.value(keys::BAR_ARM_RATE), end.value(keys::BAR_ARM)) {
        (Some(rate), _) => Arms::Rate(rate),
        (None, BarArm::Rigid) => Arms::Rigid,
        (None, BarArm::SameSection) => Arms::SameSection,
    };
    AntiRollBar {
        section: RoundSection::tube(outer, end.value(keys::BAR_WALL)),
        length: length.expect("the checks ask for the length of a bar"),
        lever,
        arm_length: end.value(keys::BAR_ARM_BEND_LENGTH).unwrap_or(lever),
        arms,
        bearing_inset: end.value(keys::BAR_BEARING_INSET),
        bushing_rate: end.value(keys::BAR_BUSHING_RATE),
        link_rate: end.value(keys::BAR_LINK_RATE),
        shear_modulus: end.value(keys::BAR_SHEAR_MODULUS),
        youngs_modulus: end.value(keys::BAR_YOUNGS_MODULUS),
    }
    .rate()
}

/// Spring, damper and stops of one side; the preload is settled by the balance at rest.
pub(super) fn strut(end: EndEntries<'_>) -> Strut<f64> {
    let setting = end.value(keys::DAMPER_SETTING);
    let sense = |[low, high, knee, per_click]: [EndKey<f64>; 4]| {
        damper::DamperCurve {
            low: end.value(low),
            high: end.value(high),
            knee: end.value(knee),
        }
        .set(setting, end.value(per_click))
    };
    let senses = [
        sense([
            keys::DAMPER_BUMP_LOW,
            keys::DAMPER_BUMP_HIGH,
            keys::DAMPER_BUMP_KNEE,
            keys::DAMPER_BUMP_PER_CLICK,
        ]),
        sense([
            keys::DAMPER_REBOUND_LOW,
            keys::DAMPER_REBOUND_HIGH,
            keys::DAMPER_REBOUND_KNEE,
            keys::DAMPER_REBOUND_PER_CLICK,
        ]),
    ];
    Strut {
        spring: Spring {
            preload: 0.0,
            rate: spring_rate(end),
        },
        damper: Damper {
            low: senses.map(|s| s.low),
            high: senses.map(|s| s.high),
            inverse_knee: senses.map(|s| s.knee.recip()),
        },
        bump: Stop {
            gap: end.value(keys::BUMP_STOP_GAP),
            rate: end.value(keys::BUMP_STOP_RATE),
            progression: end.value(keys::BUMP_STOP_PROGRESSION),
        },
        droop: Stop {
            gap: end.value(keys::DROOP_STOP_GAP),
            rate: end.value(keys::DROOP_STOP_RATE),
            progression: end.value(keys::DROOP_STOP_PROGRESSION),
        },
    }
}

/// Force of both stops at a compression of the damper `[m]`, compressive positive `[N]`.
pub(super) fn stop_force(strut: &Strut<f64>, compression: f64) -> f64 {
    let one = |stop: &Stop<f64>, x: f64| {
        let x = (x - stop.gap).max(0.0);
        stop.rate * x + stop.progression * x * x
    };
    one(&strut.bump, compression) - one(&strut.droop, -compression)
}

/// A spring, damper or bar by its coefficients.
#[derive(Clone, Copy, Debug)]
pub(super) struct Coefficients {
    /// Length change of the part per bump travel `[-]`.
    ratio: f64,
    /// Its change per bump travel `[1/m]`.
    slope: f64,
    /// On an axle, half the distance between the two parts `[m]`.
    lever: f64,
    /// On an axle, second derivative of the length by roll `[m/rad^2]`.
    curvature: f64,
}

/// The springs, dampers or bar of an end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    /// The springs.
    Spring,
    /// The dampers.
    Damper,
    /// The anti-roll bar.
    Bar,
}

impl Coefficients {
    /// Of a corner.
    pub fn of_corner(end: EndEntries<'_>, part: Part) -> Self {
        let (ratio, slope) = match part {
            Part::Spring => (keys::SPRING_MOTION_RATIO, keys::SPRING_MOTION_RATIO_SLOPE),
            Part::Damper => (keys::DAMPER_MOTION_RATIO, keys::DAMPER_MOTION_RATIO_SLOPE),
            Part::Bar => (keys::BAR_MOTION_RATIO, keys::BAR_MOTION_RATIO_SLOPE),
        };
        Coefficients {
            ratio: end.value(ratio),
            slope: end.value(slope),
            lever: 0.0,
            curvature: 0.0,
        }
    }

    /// Of one side of an axle.
    pub fn of_axle(end: EndEntries<'_>, part: Part) -> Self {
        let (spacing, curvature) = match part {
            Part::Spring => (
                end.car.value(keys::SPRING_SPACING),
                end.car.value(keys::SPRING_ROLL_CURVATURE),
            ),
            Part::Damper => (end.car.value(keys::DAMPER_SPACING), 0.0),
            // The spacing is absent where there is no bar.
            Part::Bar => (end.car.value(keys::BAR_SPACING).unwrap_or(0.0), 0.0),
        };
        Coefficients {
            lever: 0.5 * spacing,
            curvature,
            ..Coefficients::of_corner(end, part)
        }
    }

    /// Length as a function of a corner's travel s: `MR s + MR' s^2 / 2`.
    pub fn curve(self) -> Curve<f64> {
        Curve {
            c: [0.0, self.ratio, 0.5 * self.slope, 0.0, 0.0],
        }
    }

    /// Length as a function of an axle's heave h and roll r, on the side `left` (1 or -1): with the
    /// rise of the axle at the part, `t = h + left r spacing/2`, it is
    /// `MR t + MR' t^2 / 2 + curvature r^2 / 2`.
    pub fn surface(self, left: f64) -> Surface<f64> {
        let (ratio, slope, lever) = (self.ratio, self.slope, left * self.lever);
        Surface {
            c: [
                0.0,
                ratio,
                ratio * lever,
                0.5 * slope,
                slope * lever,
                0.5 * (slope * lever * lever + self.curvature),
                0.0,
                0.0,
                0.0,
                0.0,
            ],
        }
    }
}
