//! From a car's description to the numbers of its equations.
//!
//! The order of one assembly: the tires at their pressures (`tires`); how the car stands at rest,
//! which settles the loads, the heights of the wheels and the common center of mass (`weigh`, with
//! each wheel's place from `stand`, corner weights from `scales`); corners and axle with their curves
//! and the preloads that hold the car there (`corner`, `axle`); springs, dampers and bars (`strut`);
//! how links yield (`compliance`); engine to half shafts (`drive`); the sprung body and the rest
//! (`chassis`).

mod axle;
mod chassis;
mod compliance;
mod corner;
mod drive;
mod meta;
mod scales;
mod stand;
mod strut;
mod tires;
pub(crate) mod weigh;

pub use meta::Meta;

use crate::car::Car;
use crate::error::{CarError, Fault};
use crate::model::Model;
use crate::model::numbers::{Corners, Numbers, Rear};

/// One end's entries of a car.
#[derive(Clone, Copy)]
struct End<'a> {
    car: &'a Car,
    name: &'static str,
}

impl End<'_> {
    fn path(&self, name: &str) -> String {
        format!("{}.{name}", self.name)
    }

    /// An optional number [SI].
    fn maybe(&self, name: &str) -> Option<f64> {
        self.car.number(&self.path(name))
    }

    /// A number; zero where it is absent, which the checks allow only where that means nothing. [SI]
    fn of(&self, name: &str) -> f64 {
        self.maybe(name).unwrap_or(0.0)
    }
}

impl Car {
    fn end(&self, name: &'static str) -> End<'_> {
        End { car: self, name }
    }

    /// A number by its path; zero where it is absent. [SI]
    fn of(&self, path: &str) -> f64 {
        self.number(path).unwrap_or(0.0)
    }

    fn has_solid_rear(&self) -> bool {
        self.text("rear.type") == Some("solid")
    }

    /// The car ready for the equations.
    pub fn assemble(&self) -> Result<Model, CarError> {
        let (numbers, meta) = self.numbers()?;
        Ok(Model {
            geometry: meta.geometry(),
            rest_travel: meta.rest_travel,
            gears: drive::gears(self),
            name: meta.name,
            numbers,
        })
    }

    /// The numbers of the car's equations, and what else is known of it.
    pub fn numbers(&self) -> Result<(Numbers<f64>, Meta), CarError> {
        numbers(self).map_err(|faults| CarError {
            origin: self.origin.clone(),
            faults,
        })
    }
}

/// Assembles a car whose entries are all there and in range.
pub(crate) fn numbers(car: &Car) -> Result<(Numbers<f64>, Meta), Vec<Fault>> {
    let tires = tires::at_pressure(car)?;
    let standing = weigh::standing(car, &tires)?;
    let mut faults = Vec::new();

    let front = corners(car.end("front"), &standing, 0, &tires, &mut faults);
    let rear = if car.has_solid_rear() {
        Rear::Solid(axle::assemble(
            car.end("rear"),
            &standing,
            &tires[1],
            &mut faults,
        ))
    } else {
        Rear::Independent(corners(car.end("rear"), &standing, 1, &tires, &mut faults))
    };
    let driveline = drive::assemble(car, None, &mut faults);
    let mut numbers = Numbers {
        chassis: chassis::assemble(car, &standing, driveline),
        front,
        rear,
    };
    // An axle that winds up turns about the wheels' axis on its own.
    if let Rear::Solid(axle) = &mut numbers.rear {
        axle.unsprung.inertia_axial *= 1.0 - driveline.windup.flexible;
    }
    if faults.is_empty() {
        Ok((numbers, Meta::of(car, &standing)))
    } else {
        Err(faults)
    }
}

/// Two independently sprung wheels.
fn corners(
    end: End<'_>,
    standing: &weigh::Standing,
    index: usize,
    tires: &[axletree_tire::Tire<f64>; 2],
    faults: &mut Vec<Fault>,
) -> Corners<f64> {
    let side = [0, 1].map(|side| {
        let wheel = &standing.wheels[2 * index + side];
        corner::assemble(end, side, wheel, standing.center, &tires[index], faults)
    });
    Corners {
        side,
        bar_rate: strut::bar_rate(end),
        compliance: compliance::assemble(end, standing.contacts_left(index)),
    }
}
