//! The real course, driven once with the steering found.
//!
//! - `feedback`: the learned orbit and a light feedback about it.
//! - `approach`: the way from straight running onto the orbit.
//! - `run`: every cone in turn.

mod approach;
mod feedback;
mod run;

pub(crate) use approach::CourseApproach;
pub(crate) use feedback::{FEEDBACK_STRENGTHS, LearnedOrbit, feedback_gains};
pub(crate) use run::{DrivenCourse, drive_course};
