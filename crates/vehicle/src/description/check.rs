//! The conditions between entries.

use super::check_links;
use super::data::Description;
use super::declare::declarations::DECLARATIONS;
use super::declare::key::{CarEnd, Key};
use super::declare::keys;
use super::declare::shape::EntryNeed;
use super::missing::missing;
use crate::fault::Fault;
use crate::fault_kind::FaultKind;

/// The keys of the four corner weights.
const WEIGHTS: [Key<Option<f64>>; 4] = [
    keys::WEIGHTS_FRONT_LEFT,
    keys::WEIGHTS_FRONT_RIGHT,
    keys::WEIGHTS_REAR_LEFT,
    keys::WEIGHTS_REAR_RIGHT,
];

/// Every fault between entries.
pub(super) fn faults(car: &Description) -> Vec<Fault> {
    let mut found = Vec::new();
    presence(car, &mut found);
    for end in CarEnd::BOTH {
        spring(car, end, &mut found);
    }
    for end in CarEnd::BOTH {
        bar(car, end, &mut found);
    }
    for end in CarEnd::BOTH {
        check_links::links(car, end, &mut found);
    }
    for end in CarEnd::BOTH {
        damper(car, end, &mut found);
    }
    weights(car, &mut found);
    body(car, &mut found);
    found
}

/// The fault of a missing entry.
pub(super) fn absent<K>(key: Key<K>) -> Fault {
    missing(DECLARATIONS.entries(key).start)
}

/// Required entries that are missing, and entries that belong to other cars.
fn presence(car: &Description, found: &mut Vec<Fault>) {
    for (index, (cell, declaration)) in car.cells.iter().zip(&DECLARATIONS.list).enumerate() {
        let mut conditions = declaration.conditions.iter();
        let failed = conditions.find(|c| car.holds(c) != Some(true));
        match (cell, failed) {
            (Some(_), Some(condition)) if car.holds(condition).is_some() => {
                found.push(Fault::new(&declaration.path, condition.refusal()));
            }
            (None, None) if declaration.need == EntryNeed::Required => found.push(missing(index)),
            _ => {}
        }
    }
}

/// A spring has a rate, or wire, coil and number of coils.
fn spring(car: &Description, end: CarEnd, found: &mut Vec<Fault>) {
    let rate = keys::SPRING_RATE.at(end);
    let coil = [
        keys::SPRING_WIRE_DIAMETER,
        keys::SPRING_COIL_DIAMETER,
        keys::SPRING_ACTIVE_COILS,
    ]
    .map(|key| key.at(end));
    let written = coil.map(|key| car.is_written(key));
    if car.is_written(rate) {
        if let Some(i) = written.iter().position(|w| *w) {
            let other = rate.path().to_owned();
            found.push(Fault::new(coil[i], FaultKind::GivenTwice { other }));
        }
    } else if written.contains(&true) {
        let without = coil.iter().zip(written).filter(|(_, w)| !w);
        found.extend(without.map(|(key, _)| absent(*key)));
        if let (Some(wire), Some(coil_diameter)) = (car.value(coil[0]), car.value(coil[1]))
            && wire >= 0.5 * coil_diameter
        {
            found.push(Fault::new(
                coil[0],
                FaultKind::WireTooThick {
                    wire,
                    coil: coil_diameter,
                },
            ));
        }
    } else {
        found.push(absent(rate));
    }
}

/// A bar that exists has a length, arms, a bore inside it, and bearings on it.
fn bar(car: &Description, end: CarEnd, found: &mut Vec<Fault>) {
    let diameter = car.value(keys::BAR_OUTER_DIAMETER.at(end));
    if diameter <= 0.0 {
        return;
    }
    // Points settle the lever and the spacing; only an axle has a spacing.
    let length = keys::BAR_LENGTH.at(end);
    let lever = keys::BAR_ARM_LENGTH.at(end);
    let spacing = (end == CarEnd::Rear).then_some(keys::BAR_SPACING);
    for key in [Some(length), Some(lever), spacing].into_iter().flatten() {
        let index = DECLARATIONS.entries(key).start;
        if car.applies(&DECLARATIONS.list[index]) && car.value(key).is_none() {
            found.push(missing(index));
        }
    }
    let wall_key = keys::BAR_WALL.at(end);
    let wall = car.value(wall_key);
    if wall > 0.5 * diameter {
        let radius = 0.5 * diameter;
        found.push(Fault::new(
            wall_key,
            FaultKind::WallTooThick { wall, radius },
        ));
    }
    let inset_key = keys::BAR_BEARING_INSET.at(end);
    let inset = car.value(inset_key);
    if let Some(length) = car.value(length)
        && inset >= 0.5 * length
    {
        let half = 0.5 * length;
        found.push(Fault::new(
            inset_key,
            FaultKind::BearingsCross { inset, half },
        ));
    }
    let arm_key = keys::BAR_ARM_BEND_LENGTH.at(end);
    if let (Some(length), Some(lever)) = (car.value(arm_key), car.value(lever))
        && length < lever
    {
        found.push(Fault::new(
            arm_key,
            FaultKind::ArmTooShort { length, lever },
        ));
    }
}

/// The setting is within the clicks and leaves some damping.
fn damper(car: &Description, end: CarEnd, found: &mut Vec<Fault>) {
    let key = keys::DAMPER_SETTING.at(end);
    let setting = car.value(key);
    let clicks = car.value(keys::DAMPER_CLICKS.at(end));
    if setting > clicks {
        found.push(Fault::new(
            key,
            FaultKind::SettingBeyondClicks { setting, clicks },
        ));
    }
    for key in [keys::DAMPER_BUMP_PER_CLICK, keys::DAMPER_REBOUND_PER_CLICK] {
        let key = key.at(end);
        let factor = 1.0 + setting * car.value(key);
        if factor < 0.05 {
            found.push(Fault::new(key, FaultKind::SettingTakesAll { factor }));
        }
    }
}

/// Corner weights, all four or none; without them mass and center.
fn weights(car: &Description, found: &mut Vec<Fault>) {
    let written = WEIGHTS.iter().filter(|key| car.is_written(**key)).count();
    let needed: &[Key<Option<f64>>] = match written {
        0 => &[keys::CHASSIS_MASS, keys::CHASSIS_CENTER_BEHIND_FRONT_AXLE],
        _ => &WEIGHTS,
    };
    let without = needed.iter().filter(|key| !car.is_written(**key));
    found.extend(without.map(|key| absent(*key)));
}

/// The body is at least as wide as the tracks, and its moments of inertia are possible.
fn body(car: &Description, found: &mut Vec<Fault>) {
    for end in CarEnd::BOTH {
        if let (Some(width), Some(track)) = (
            car.stated(keys::BODY_WIDTH),
            car.stated(keys::TRACK.at(end)),
        ) && width < track
        {
            found.push(Fault::new(
                keys::BODY_WIDTH,
                FaultKind::BodyNarrowerThanTrack { width, track },
            ));
        }
    }
    for axes in [
        [
            keys::CHASSIS_ROLL_INERTIA,
            keys::CHASSIS_PITCH_INERTIA,
            keys::CHASSIS_YAW_INERTIA,
        ],
        [
            keys::SPRUNG_ROLL_INERTIA,
            keys::SPRUNG_PITCH_INERTIA,
            keys::SPRUNG_YAW_INERTIA,
        ],
    ] {
        // A moment that is missing is reported as such; here it counts as none.
        let moments = axes.map(|key| car.stated(key).unwrap_or(0.0));
        let sum: f64 = moments.iter().sum();
        for (key, largest) in axes.into_iter().zip(moments) {
            let others = sum - largest;
            if others > 0.0 && largest > others * (1.0 + 1e-12) {
                found.push(Fault::new(
                    key,
                    FaultKind::ImpossibleInertia { largest, others },
                ));
            }
        }
    }
}
