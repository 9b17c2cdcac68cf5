//! Axletree: what a rear axle and its location, a link end's material, an anti-roll bar, a spring,
//! a damper, a differential, a tire or its pressure does to a rear-drive car on a coned course.
//!
//! The facade of the workspace: it re-exports its crates under one name.
//!
//! - [`prelude`]: cars, maneuvers and studies in one import.
//! - [`registry`]: maneuvers by name, from settings as data.
//! - [`vehicle`]: a car's description, assembly, equations of motion, equilibria, static sheet.
//! - [`maneuver`]: standard maneuvers.
//! - [`limit`]: searches for a limit: slalom, double lane change, corner exit.
//! - [`study`]: sweeps and comparisons.
//! - [`simulation`]: driving a model through time: drivers, roads, channels, outcomes.
//! - [`tire`], [`linkage`]: the parts that stand alone.
//! - [`numerics`], [`report`], [`scalar`]: methods, tables of quantities, number types.
//!
//! Twelve lines, which take some seconds in a release build:
//!
//! ```
//! use axletree::prelude::*;
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let car = Car::load("bramble-solid")?; // or the path of your own car file
//! let sheet = car.assemble()?.static_sheet()?; // loads, rates, frequencies, roll centers ...
//! let edits = [("rear.bar.outer_diameter", "26 mm"), ("front.tire.pressure", "34 psi")];
//! let (stiffer, slalom) = (car.edit(edits)?, Slalom { spacing: 18.0, ..Slalom::default() });
//! let top = slalom.top_speed(&stiffer.assemble()?, Interrupt::never())?;
//! println!("{:.2} m/s, limited by {:?}", top.speed, top.limited_by);
//! let bars = [Vary::new("rear.bar.outer_diameter", ["16 mm", "20 mm", "24 mm", "28 mm"])];
//! let table = sweep(&car, &bars, SweepDesign::Grid, &[&slalom], &StudyOptions::default())?;
//! let other = car.with_rear(&Car::load("bramble-independent")?);
//! let cars = [("solid".to_owned(), Ok(car)), ("independent".to_owned(), other)];
//! let (step, circle) = (StepSteer::default(), Circle::default());
//! let compared = compare(&cars, &[&step, &circle], &StudyOptions::default())?;
//! # assert!(sheet.get("roll_center_height_rear").unwrap() > 0.2);
//! # assert!(top.ending.outcome.is_completed() && top.speed > 15.0);
//! # assert!(table.rows.len() == 4 && table.rows.iter().all(|row| row.fault.is_none()));
//! # assert!(compared.endings.iter().flatten().all(|ending| ending.outcome.is_completed()));
//! # Ok(())
//! # }
//! ```
//!
//! # Cautions
//!
//! A simulation is not a test. Real grip, real parts and real surfaces differ from any model.
//! Follow the event's rules and local law, approach a predicted limit step by step on a closed
//! course, and have structural, brake and steering work inspected by a qualified person.

pub mod prelude;
pub mod registry;

pub use axletree_limit as limit;
pub use axletree_linkage as linkage;
pub use axletree_maneuver as maneuver;
pub use axletree_numerics as numerics;
pub use axletree_report as report;
pub use axletree_scalar as scalar;
pub use axletree_simulation as simulation;
pub use axletree_study as study;
pub use axletree_tire as tire;
pub use axletree_vehicle as vehicle;
