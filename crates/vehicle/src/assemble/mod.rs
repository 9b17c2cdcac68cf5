//! From a car's description to the numbers of its equations.
//!
//! The order of one assembly:
//!
//! - [`end`]: the entries of one end, as the assembly reads them.
//! - [`tires`]: the tires at their pressures.
//! - [`static_equilibrium`]: the car at rest, which settles the loads, the heights of the wheels
//!   and the common center of mass, from mass and center ([`center_of_mass`]) or from
//!   [`corner_weights`], with the wheels' places from [`wheel_layout`] and [`wheel_at_rest`], and
//!   an axle's [`roll_steer`]; the result is in [`rest`].
//! - [`links`]: the ends given by the points of their links.
//! - [`corner`], [`axle`]: corners and axle with their curves and the preloads that hold the car
//!   there.
//! - [`strut`]: springs, dampers and bars.
//! - [`compliance`]: compliance of the links.
//! - [`drive`]: engine to half shafts.
//! - [`chassis`]: the sprung body, steering, brakes and air.
//! - [`standing`]: whether the car stays at its ride height.
//! - [`summary`]: name, size and rest position.
//! - [`assembled`]: the whole.

pub mod assembled;
mod axle;
mod center_of_mass;
mod chassis;
mod compliance;
mod corner;
mod corner_weights;
mod drive;
mod end;
pub mod links;
mod rest;
mod roll_steer;
mod standing;
mod static_equilibrium;
mod strut;
pub mod summary;
mod tires;
mod wheel_at_rest;
mod wheel_layout;
