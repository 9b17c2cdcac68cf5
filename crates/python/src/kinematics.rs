//! Linkages solved from their hardpoints.

use axletree_linkage::{Piece, Screw};
use axletree_vehicle::{AxleLinks, CarEnd, CornerLinks, Links};
use numpy::IntoPyArray;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::car::Car;
use crate::errors::SettingError;

/// Samples of the curve of binding.
const SAMPLES: usize = 81;

/// (key, unit, meaning, value).
type Figure = (&'static str, &'static str, &'static str, f64);

fn figures(d: &Bound<'_, PyDict>, figures: Vec<Figure>) -> PyResult<()> {
    let finite: Vec<_> = figures
        .into_iter()
        .map(|(key, unit, meaning, value)| (key, unit, meaning, value.is_finite().then_some(value)))
        .collect();
    d.set_item("figures", finite)
}

/// Columns of equal length with their units and meanings.
fn table<'py>(
    py: Python<'py>,
    columns: Vec<(&'static str, &'static str, &'static str, Vec<f64>)>,
) -> PyResult<Bound<'py, PyDict>> {
    let d = PyDict::new(py);
    for (name, unit, meaning, values) in columns {
        d.set_item(name, (unit, meaning, values.into_pyarray(py)))?;
    }
    Ok(d)
}

fn pieces(d: &Bound<'_, PyDict>, all: &[Piece]) -> PyResult<()> {
    let list: Vec<_> = all
        .iter()
        .map(|p| (p.name.clone(), p.kind.name(), p.points, p.fixed))
        .collect();
    d.set_item("pieces", list)
}

/// An axis as direction and point.
fn axis(d: &Bound<'_, PyDict>, name: &str, screw: Option<Screw>) -> PyResult<()> {
    d.set_item(name, screw.map(|s| (s.direction, s.point)))
}

fn spread(low: f64, high: f64) -> Vec<f64> {
    let last = (SAMPLES - 1) as f64;
    (0..SAMPLES)
        .map(|i| low + (high - low) * i as f64 / last)
        .collect()
}

/// Compliance as rows: key, unit, meaning, of the left wheel by its own load, by the other wheel's.
fn compliance(d: &Bound<'_, PyDict>, c: &axletree_linkage::EndCompliance) -> PyResult<()> {
    let row = |key: &'static str, unit: &'static str, meaning: &'static str, m: [[f64; 2]; 2]| {
        (key, unit, meaning, m[0][0], m[0][1])
    };
    let rows = vec![
        row(
            "toe_by_lateral_force",
            "rad/N",
            "Steer to the left by force to the left at the contact",
            c.toe_lateral,
        ),
        row(
            "toe_by_longitudinal_force",
            "rad/N",
            "Steer to the left by force forward at the wheel center",
            c.toe_longitudinal,
        ),
        row(
            "toe_by_aligning_moment",
            "rad/(N*m)",
            "Steer to the left by moment about the vertical",
            c.toe_aligning,
        ),
        row(
            "toe_by_brake_torque",
            "rad/(N*m)",
            "Steer to the left by brake torque",
            c.toe_brake,
        ),
        row(
            "tilt_by_lateral_force",
            "rad/N",
            "Lean to the right by force to the left at the contact",
            c.tilt_lateral,
        ),
        row(
            "lateral_by_lateral_force",
            "m/N",
            "Yield to the left by force to the left at the contact",
            c.lateral,
        ),
        row(
            "longitudinal_by_longitudinal_force",
            "m/N",
            "Yield forward by force forward at the wheel center",
            c.longitudinal,
        ),
    ];
    d.set_item("compliance", rows)?;
    d.set_item("windup", (c.windup > 0.0).then(|| c.windup.recip()))
}

fn fit(d: &Bound<'_, PyDict>, errors: &[axletree_linkage::FitError]) -> PyResult<()> {
    let list: Vec<_> = errors
        .iter()
        .map(|e| (e.quantity, e.unit, e.error))
        .collect();
    d.set_item("fit", list)
}

/// The linkage of one end of a car: figures, curves, compliance, binding, and its lines for drawing.
#[pyfunction]
pub fn kinematics<'py>(py: Python<'py>, car: &Car, end: &str) -> PyResult<Bound<'py, PyDict>> {
    let Some(end_of_car) = CarEnd::named(end) else {
        return Err(PyValueError::new_err(format!(
            "a car has a \"front\" and a \"rear\" end, no \"{end}\""
        )));
    };
    let Some(links) = car.inner.linkage(end_of_car) else {
        return Err(SettingError::new_err(format!(
            "the {end} end of \"{}\" is given by coefficients; with {end}.links.type and the points of \
             its links there are kinematics",
            car.inner.name()
        )));
    };
    let d = PyDict::new(py);
    match &links {
        Links::Axle(links) => axle(&d, links)?,
        Links::Corners(links) => corners(&d, links, end == "front")?,
    }
    Ok(d)
}

fn axle(d: &Bound<'_, PyDict>, links: &AxleLinks) -> PyResult<()> {
    let py = d.py();
    let (solution, linkage) = (&links.solution, &links.linkage);
    let r = &solution.report;
    d.set_item("solid", true)?;
    d.set_item("center", linkage.center)?;
    d.set_item("half_track", linkage.half_track)?;
    let stiffness = solution
        .binding_roll_stiffness()
        .map_err(|e| SettingError::new_err(e.to_string()))?;
    let ratio = |x: Option<f64>| x.unwrap_or(f64::NAN);
    figures(
        d,
        vec![
            (
                "roll_center_height",
                "m",
                "Height of the roll center above the road",
                r.roll_center,
            ),
            (
                "roll_center_slope",
                "-",
                "Its change per heave, the road moving with the wheels",
                r.roll_center_slope,
            ),
            (
                "roll_steer",
                "-",
                "Steer of the axle to the left per its roll, left side up; positive adds oversteer",
                r.roll_steer,
            ),
            (
                "walk_by_heave",
                "-",
                "Walk of the axle to the left per heave",
                r.walk_by_heave,
            ),
            (
                "walk_by_roll",
                "m/rad",
                "Walk of the axle's center to the left per roll, left side up",
                r.walk_by_roll,
            ),
            (
                "pinion_by_heave",
                "rad/m",
                "Turn of the pinion's nose down per heave",
                r.pinion_by_heave,
            ),
            (
                "anti_squat",
                "%",
                "Share of the load transfer in drive that the links carry",
                r.anti_squat,
            ),
            (
                "anti_lift",
                "%",
                "Share of the load transfer in braking that the links carry",
                r.anti_lift,
            ),
            (
                "binding_roll_stiffness",
                "N*m/rad",
                "Roll stiffness by binding of the link ends at rest",
                stiffness,
            ),
            (
                "windup_stiffness",
                "N*m/rad",
                "Torque about the wheels' axis per turn of the axle on its links",
                solution.compliance.windup.recip(),
            ),
            (
                "spring_motion_ratio",
                "-",
                "Compression of the left spring per heave",
                ratio(r.ratios[0].spring),
            ),
            (
                "damper_motion_ratio",
                "-",
                "Compression of the left damper per heave",
                ratio(r.ratios[0].damper),
            ),
            (
                "bar_motion_ratio",
                "-",
                "Travel of the bar's left end per heave",
                ratio(r.ratios[0].bar),
            ),
        ],
    )?;
    let column =
        |f: &dyn Fn(&axletree_linkage::report::AxleRow) -> f64| r.rows.iter().map(f).collect();
    let curves = table(
        py,
        vec![
            (
                "heave",
                "m",
                "Rise of the axle's center, bump positive",
                column(&|x| x.heave),
            ),
            (
                "roll",
                "rad",
                "Roll of the axle, left side up",
                column(&|x| x.roll),
            ),
            (
                "forward",
                "m",
                "Walk of the axle's center forward",
                column(&|x| x.forward),
            ),
            (
                "sideways",
                "m",
                "Walk of the axle's center to the left",
                column(&|x| x.sideways),
            ),
            (
                "steer",
                "rad",
                "Steer of the axle to the left",
                column(&|x| x.yaw),
            ),
            (
                "pinion",
                "rad",
                "Turn of the pinion's nose down",
                column(&|x| x.pitch),
            ),
            (
                "roll_center_height",
                "m",
                "Height of the roll center over the moved road",
                column(&|x| x.roll_center),
            ),
        ],
    )?;
    d.set_item("curves", curves)?;

    // Moment of binding over roll, exact.
    let rolls = spread(-links.range.roll, links.range.roll);
    let moments = solution
        .roll_moments(0.0, &rolls)
        .map_err(|e| SettingError::new_err(e.to_string()))?;
    let of = |f: &dyn Fn(&axletree_linkage::RollMoment) -> f64| moments.iter().map(f).collect();
    let binding = table(
        py,
        vec![
            (
                "roll",
                "rad",
                "Roll of the axle, left side up",
                rolls.clone(),
            ),
            (
                "moment",
                "N*m",
                "Moment of binding that resists it",
                of(&|m| m.moment),
            ),
            (
                "strain_energy",
                "J",
                "Energy in links that strain",
                of(&|m| m.strain),
            ),
            (
                "solid_energy",
                "J",
                "Energy in ends that run solid",
                of(&|m| m.solid),
            ),
        ],
    )?;
    d.set_item("binding", binding)?;
    axis(d, "roll_axis", r.roll_axis)?;
    axis(d, "heave_axis", r.heave_axis)?;
    compliance(d, &solution.compliance)?;
    fit(d, &solution.curves.errors)?;
    let mut all = linkage.parts.pieces(linkage.center);
    for side in &linkage.sides {
        all.extend(side.pieces());
    }
    pieces(d, &all)
}

fn corners(d: &Bound<'_, PyDict>, links: &CornerLinks, steered: bool) -> PyResult<()> {
    let py = d.py();
    let (solution, linkage) = (&links.solution, &links.linkage);
    let r = &solution.report;
    d.set_item("solid", false)?;
    d.set_item("center", linkage.center)?;
    let ratio = |x: Option<f64>| x.unwrap_or(f64::NAN);
    let mut list: Vec<Figure> = vec![
        (
            "roll_center_height",
            "m",
            "Height of the roll center above the road",
            r.roll_center,
        ),
        (
            "roll_center_slope",
            "-",
            "Its change per bump of both wheels, the road moving with them",
            r.roll_center_slope,
        ),
        (
            "toe_gain",
            "rad/m",
            "Change of toe-in per bump travel",
            r.toe_gain,
        ),
        (
            "camber_gain",
            "rad/m",
            "Change of camber per bump travel, top outward positive",
            r.camber_gain,
        ),
        (
            "pitch_gain",
            "rad/m",
            "Turn of the knuckle about the wheel's axis per bump travel, top forward",
            r.pitch_gain,
        ),
        (
            "scrub",
            "-",
            "Move of the contact outward per bump travel",
            r.scrub,
        ),
        (
            "swing_arm",
            "m",
            "From the contact to the instant center in rear view",
            r.swing_arm,
        ),
    ];
    if steered {
        list.push((
            "anti_dive",
            "%",
            "Share of the load transfer in braking that the links carry",
            r.anti_dive,
        ));
        if let Some(s) = &r.steering {
            list.extend([
                (
                    "caster",
                    "rad",
                    "Lean of the steering axis, top rearward",
                    s.caster,
                ),
                (
                    "inclination",
                    "rad",
                    "Lean of the steering axis, top inward",
                    s.inclination,
                ),
                (
                    "trail",
                    "m",
                    "The axis meets the road this far ahead of the contact",
                    s.trail,
                ),
                (
                    "scrub_radius",
                    "m",
                    "The axis meets the road this far inboard of the contact",
                    s.scrub,
                ),
            ]);
        }
    } else {
        list.extend([
            (
                "anti_squat",
                "%",
                "Share of the load transfer in drive that the links carry",
                r.anti_squat,
            ),
            (
                "anti_lift",
                "%",
                "Share of the load transfer in braking that the links carry",
                r.anti_lift,
            ),
            (
                "windup_stiffness",
                "N*m/rad",
                "Torque about the wheels' axis per turn of the differential on its mounts",
                solution.compliance.windup.recip(),
            ),
        ]);
    }
    list.extend([
        (
            "spring_motion_ratio",
            "-",
            "Compression of the spring per bump travel",
            ratio(r.ratios.spring),
        ),
        (
            "damper_motion_ratio",
            "-",
            "Compression of the damper per bump travel",
            ratio(r.ratios.damper),
        ),
        (
            "bar_motion_ratio",
            "-",
            "Travel of the bar's end per bump travel",
            ratio(r.ratios.bar),
        ),
    ]);
    figures(d, list)?;
    let column =
        |f: &dyn Fn(&axletree_linkage::report::CornerRow) -> f64| r.rows.iter().map(f).collect();
    let curves = table(
        py,
        vec![
            (
                "travel",
                "m",
                "Rise of the wheel center, bump positive",
                column(&|x| x.travel),
            ),
            ("toe_in", "rad", "Toe-in by travel", column(&|x| x.toe_in)),
            (
                "camber",
                "rad",
                "Camber by travel, top outward positive",
                column(&|x| x.camber),
            ),
            (
                "forward",
                "m",
                "Move of the wheel center forward",
                column(&|x| x.forward),
            ),
            (
                "outward",
                "m",
                "Move of the contact outward",
                column(&|x| x.outward),
            ),
            (
                "roll_center_height",
                "m",
                "Height of the roll center over the moved road",
                column(&|x| x.roll_center),
            ),
        ],
    )?;
    d.set_item("curves", curves)?;

    // Force of binding over travel, exact.
    let travels = spread(-links.range.droop, links.range.bump);
    let mut forces = Vec::with_capacity(SAMPLES);
    let mut solid = Vec::with_capacity(SAMPLES);
    for &heave in &travels {
        let at = axletree_linkage::Travel {
            heave,
            roll: 0.0,
            rack: 0.0,
        };
        let position = solution
            .solver
            .at(at)
            .map_err(|e| SettingError::new_err(e.to_string()))?;
        let stored = solution.binding.stored(&solution.solver, &position);
        forces.push(stored.by_heave);
        solid.push(stored.solid);
    }
    let binding = table(
        py,
        vec![
            (
                "travel",
                "m",
                "Rise of the wheel center, bump positive",
                travels,
            ),
            ("force", "N", "Force of binding that resists it", forces),
            ("solid_energy", "J", "Energy in ends that run solid", solid),
        ],
    )?;
    d.set_item("binding", binding)?;
    axis(d, "axis", r.axis)?;
    compliance(d, &solution.compliance)?;
    fit(d, &solution.curves.errors)?;
    let mut all = linkage.parts.pieces(linkage.center);
    all.extend(linkage.side.pieces());
    let right: Vec<Piece> = all.iter().map(Piece::mirrored).collect();
    all.extend(right);
    pieces(d, &all)
}
