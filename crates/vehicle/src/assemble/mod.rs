//! From a car's description to the numbers of its equations.
//!
//! The order of one assembly: the tires at their pressures (`tires`); how the car stands at rest,
//! which settles the loads, the heights of the wheels and the common center of mass (`weigh`, with
//! each wheel's place from `stand`, corner weights from `scales`); the ends given by the points of
//! their links (`links`); corners and axle with their curves and the preloads that hold the car there
//! (`corner`, `axle`); springs, dampers and bars (`strut`); how links yield (`compliance`); engine to
//! half shafts (`drive`); the sprung body and the rest (`chassis`).

mod axle;
mod chassis;
mod compliance;
mod corner;
mod drive;
pub mod links;
mod meta;
mod scales;
mod stand;
mod strut;
mod tires;
pub(crate) mod weigh;

pub use meta::Meta;

use std::sync::Arc;

use links::Links;
use weigh::RollSteer;

use crate::car::Car;
use crate::error::{CarError, Fault, FaultKind};
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
        if let Some(known) = &self.known {
            return Ok((**known).clone());
        }
        let assembled = assembled(self).map_err(|faults| CarError {
            origin: self.origin.clone(),
            faults,
        })?;
        Ok((assembled.numbers, assembled.meta))
    }
}

/// The solved links of the front and the rear end, where they are given by points.
pub(crate) type Solved = [Option<Arc<Links>>; 2];

/// An assembled car.
pub(crate) struct Assembled {
    pub numbers: Numbers<f64>,
    pub meta: Meta,
    pub links: Solved,
}

/// Assembles a car whose entries are all there and in range.
pub(crate) fn assembled(car: &Car) -> Result<Assembled, Vec<Fault>> {
    let tires = tires::at_pressure(car)?;
    let mut standing = weigh::standing(car, &tires, RollSteer::given(car))?;
    let (links, mut faults) = solved(car, &standing);
    if !faults.is_empty() {
        return Err(faults);
    }
    if let Some(rear) = &links[1]
        && standing.axle_roll != 0.0
    {
        // An axle that leans steers by its links; its height is the same to rounding.
        standing = weigh::standing(car, &tires, RollSteer::of(rear))?;
    }

    let [front_links, rear_links] = links.each_ref().map(Option::as_deref);
    let front = corners(
        car.end("front"),
        &standing,
        0,
        &tires,
        front_links,
        &mut faults,
    );
    let rear = car.end("rear");
    let rear = if car.has_solid_rear() {
        let links = rear_links.and_then(Links::axle);
        Rear::Solid(axle::assemble(
            rear,
            &standing,
            &tires[1],
            links,
            &mut faults,
        ))
    } else {
        Rear::Independent(corners(rear, &standing, 1, &tires, rear_links, &mut faults))
    };
    let held = rear_links.and_then(Links::windup_stiffness);
    let driveline = drive::assemble(car, held, &mut faults);
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
        let meta = Meta::of(car, &standing);
        Ok(Assembled {
            numbers,
            meta,
            links,
        })
    } else {
        Err(faults)
    }
}

/// The links of both ends, with what is wrong with either.
fn solved(car: &Car, standing: &weigh::Standing) -> (Solved, Vec<Fault>) {
    let mut faults = Vec::new();
    let links = ["front", "rear"].map(|name| {
        let known = car.solved[usize::from(name == "rear")].as_ref();
        links::solve(car.end(name), standing, known).unwrap_or_else(|fault| {
            faults.push(*fault);
            None
        })
    });
    (links, faults)
}

/// Two independently sprung wheels.
fn corners(
    end: End<'_>,
    standing: &weigh::Standing,
    index: usize,
    tires: &[axletree_tire::Tire<f64>; 2],
    links: Option<&Links>,
    faults: &mut Vec<Fault>,
) -> Corners<f64> {
    let links = links.and_then(Links::corners);
    if let Some(links) = links
        && end.name == "front"
        && links.solution.curves.steering_axis.is_none()
    {
        faults.push(Fault::new(
            end.path("spring.body.x"),
            FaultKind::NoSteeringAxis,
        ));
    }
    let side = [0, 1].map(|side| {
        let wheel = &standing.wheels[2 * index + side];
        let origin = standing.center;
        corner::assemble(end, side, wheel, origin, &tires[index], links, faults)
    });
    Corners {
        side,
        bar_rate: strut::bar_rate(end),
        compliance: links.map_or_else(
            || compliance::assemble(end, standing.contacts_left(index)),
            |links| links.solution.compliance.wheels,
        ),
    }
}
