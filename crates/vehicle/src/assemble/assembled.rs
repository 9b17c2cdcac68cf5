//! The assembly of a car.

use std::sync::Arc;

use axletree_tire::Tire;

use super::end::EndEntries;
use super::links::solve::solve;
use super::links::solved::Links;
use super::rest::StaticEquilibrium;
use super::roll_steer::RollSteer;
use super::static_equilibrium::static_equilibrium;
use super::summary::CarSummary;
use super::{axle, chassis, compliance, corner, drive, standing, strut, tires};
use crate::description::data::Description;
use crate::description::declare::key::CarEnd;
use crate::description::declare::keys;
use crate::description::declare::words::RearType;
use crate::fault::{CarError, Fault};
use crate::fault_kind::FaultKind;
use crate::model::Model;
use crate::model::numbers::{Corners, Numbers, Rear};

/// The solved links of the front and the rear end, where they are given by points.
pub(crate) type EndLinks = [Option<Arc<Links>>; 2];

/// An assembled car.
#[derive(Clone, Debug)]
pub struct Assembled {
    /// Numbers of the equations of motion.
    pub numbers: Numbers<f64>,
    /// Name, size and rest position.
    pub summary: CarSummary,
    /// Engine speed over propeller-shaft speed in each gear `[-]`.
    pub gears: Vec<f64>,
    /// Links of both ends.
    pub(crate) links: EndLinks,
    /// The car at rest.
    pub(crate) rest: StaticEquilibrium,
}

/// Assembles a car from its description.
///
/// # Errors
///
/// Faults that show only in the assembly: a linkage that cannot be solved, a wheel without load, a
/// spring that would have to pull, a car that falls away from its ride height, an engine whose
/// figures contradict each other.
pub fn assemble(description: &Description) -> Result<Assembled, CarError> {
    assemble_from(description, &[None, None]).map_err(|faults| CarError {
        origin: description.origin().map(str::to_owned),
        faults,
    })
}

/// Assembles a car; the links of an end are taken over from `known` where they were solved from the
/// same linkage.
pub(crate) fn assemble_from(car: &Description, known: &EndLinks) -> Result<Assembled, Vec<Fault>> {
    let tires = tires::at_pressure(car)?;
    let mut rest = static_equilibrium(car, &tires, RollSteer::given(car))?;
    let (links, mut faults) = solved(car, &rest, known);
    if !faults.is_empty() {
        return Err(faults);
    }
    if let Some(rear) = &links[1]
        && rest.axle_roll != 0.0
    {
        // An axle that leans steers by its links; its height is the same to rounding.
        rest = static_equilibrium(car, &tires, rear.roll_steer())?;
    }

    let [front_links, rear_links] = links.each_ref().map(Option::as_deref);
    let [front, rear] = CarEnd::BOTH.map(|end| EndEntries { car, end });
    let front = corners(front, &rest, &tires, front_links, &mut faults);
    let rear = match car.value(keys::REAR_TYPE) {
        RearType::Solid => {
            let links = rear_links.and_then(Links::axle);
            Rear::Solid(axle::assemble(rear, &rest, &tires[1], links, &mut faults))
        }
        RearType::Independent => {
            Rear::Independent(corners(rear, &rest, &tires, rear_links, &mut faults))
        }
    };
    let held = rear_links.and_then(Links::windup_stiffness);
    let driveline = drive::assemble(car, held, &mut faults);
    let mut numbers = Numbers {
        chassis: chassis::assemble(car, &rest, driveline),
        front,
        rear,
    };
    // An axle that winds up turns about the wheels' axis on its own.
    if let Rear::Solid(axle) = &mut numbers.rear {
        axle.unsprung.inertia_axial *= 1.0 - driveline.windup.flexible;
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let assembled = Assembled {
        numbers,
        summary: CarSummary::of(car, &rest),
        gears: drive::gears(car),
        links,
        rest,
    };
    let faults = standing::faults(car, &assembled.model());
    if faults.is_empty() {
        Ok(assembled)
    } else {
        Err(faults)
    }
}

impl Assembled {
    /// The car ready for the equations.
    pub(crate) fn model(&self) -> Model {
        Model {
            geometry: self.summary.geometry(),
            rest_travel: self.summary.rest_travel,
            gears: self.gears.clone(),
            name: self.summary.name.clone(),
            numbers: self.numbers,
        }
    }
}

/// The links of both ends, with the faults of either.
fn solved(car: &Description, rest: &StaticEquilibrium, known: &EndLinks) -> (EndLinks, Vec<Fault>) {
    let mut faults = Vec::new();
    let links = CarEnd::BOTH.map(|end| {
        let known = known[end.index()].as_ref();
        solve(EndEntries { car, end }, rest, known).unwrap_or_else(|found| {
            faults.extend(found);
            None
        })
    });
    (links, faults)
}

/// Two independently sprung wheels.
fn corners(
    end: EndEntries<'_>,
    rest: &StaticEquilibrium,
    tires: &[Tire<f64>; 2],
    links: Option<&Links>,
    faults: &mut Vec<Fault>,
) -> Corners<f64> {
    let index = end.end.index();
    let links = links.and_then(Links::corners);
    if let Some(links) = links
        && end.end == CarEnd::Front
        && links.solution.curves.steering_axis.is_none()
    {
        let point = keys::SPRING_BODY.at(end.end).path();
        faults.push(Fault::new(format!("{point}.x"), FaultKind::NoSteeringAxis));
    }
    let side = [0, 1].map(|side| {
        let wheel = &rest.wheels[2 * index + side];
        let origin = rest.center;
        corner::assemble(end, side, wheel, origin, &tires[index], links, faults)
    });
    Corners {
        side,
        bar_rate: strut::bar_rate(end),
        compliance: links.map_or_else(
            || compliance::assemble(end, rest.contacts_left(index)),
            |links| links.solution.compliance.wheels,
        ),
    }
}
