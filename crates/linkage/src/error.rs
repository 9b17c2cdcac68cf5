//! Errors of a linkage, with the names of its parts.

use std::fmt;

use thiserror::Error;

use crate::travel::Travel;

/// Names of the parts that an error is about.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct PartNames(pub Vec<String>);

impl fmt::Display for PartNames {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, name) in self.0.iter().enumerate() {
            let joint = match i {
                0 => "",
                _ if i + 1 == self.0.len() => " and ",
                _ => ", ",
            };
            write!(f, "{joint}\"{name}\"")?;
        }
        Ok(())
    }
}

/// Faults of one description, in the order of its parts.
#[derive(Clone, Debug, PartialEq)]
pub struct LinkageFaults(pub Vec<LinkageError>);

impl fmt::Display for LinkageFaults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} faults", self.0.len())?;
        for (i, fault) in self.0.iter().enumerate() {
            write!(f, "{} {fault}", if i == 0 { ":" } else { ";" })?;
        }
        Ok(())
    }
}

/// Errors of a linkage.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum LinkageError {
    /// A coordinate is not a number, or is far outside any car.
    #[error(
        "a point of \"{name}\" is at ({x}, {y}, {z}) m; every coordinate must be a number between \
         -20 and 20 m (are the points in meters?)"
    )]
    Point {
        /// The part.
        name: String,
        /// Forward `[m]`.
        x: f64,
        /// Left `[m]`.
        y: f64,
        /// Up `[m]`.
        z: f64,
    },
    /// The ends of a link, or the points of a hinge, coincide.
    #[error(
        "the two points of \"{name}\" are {length} m apart; they must be at least {least} m apart"
    )]
    TooShort {
        /// The part.
        name: String,
        /// Distance `[m]`.
        length: f64,
        /// Smallest distance allowed `[m]`.
        least: f64,
    },
    /// An axis has no length, or the directions of a joint depend on each other.
    #[error("the axis directions of \"{name}\" are degenerate: {reason}")]
    Direction {
        /// The joint or bushing.
        name: String,
        /// The reason.
        reason: &'static str,
    },
    /// Both ends of a part are on the same body.
    #[error("both ends of \"{name}\" are on the same body, so that it constrains nothing")]
    SameBody {
        /// The part.
        name: String,
    },
    /// Two parts have the same name.
    #[error("two parts are called \"{name}\"; every link, member and joint needs its own name")]
    SameName {
        /// The name.
        name: String,
    },
    /// A part refers to a member that does not exist.
    #[error("\"{name}\" is fixed to member {index}; there are {count} members, counted from 0")]
    NoMember {
        /// The part.
        name: String,
        /// Index given.
        index: usize,
        /// Number of members.
        count: usize,
    },
    /// There are more hinged members than the solver has room for.
    #[error("the linkage has {count} hinged members; at most {most} are allowed")]
    TooManyMembers {
        /// Number of members.
        count: usize,
        /// Largest number allowed.
        most: usize,
    },
    /// A stiffness, a limit or a length of a part is out of range.
    #[error("{what} of \"{name}\" is {value} {unit}; allowed are {low} to {high} {unit}")]
    Value {
        /// The part.
        name: String,
        /// Name of the value.
        what: &'static str,
        /// Value given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Smallest value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
    },
    /// Several parts of one description are faulty.
    #[error("the linkage has {0}")]
    Several(LinkageFaults),
    /// The linkage leaves the carrier a freedom besides its travel.
    #[error(
        "{links} leave the carrier {free} degree(s) of freedom besides its travel, at {travel}: \
         {motion}; add a link, or move a link that repeats the constraint of others"
    )]
    FreedomLeft {
        /// Number of freedoms.
        free: usize,
        /// Links that repeat each other's constraints; all links if there are too few.
        links: PartNames,
        /// Position.
        travel: Travel,
        /// Motion of the carrier that nothing constrains.
        motion: FreeMotion,
    },
    /// The links do not fit together at the lengths given.
    #[error(
        "the linkage does not fit together: in the best position {links} miss their points by up \
         to {gap:.6} m; check their lengths"
    )]
    CannotAssemble {
        /// Links with the largest gaps.
        links: PartNames,
        /// Largest gap `[m]`.
        gap: f64,
    },
    /// The linkage locks before it reaches the travel asked for.
    #[error("the linkage locks at {travel}, before {wanted}: {links} allow no further travel")]
    Locks {
        /// Last position reached.
        travel: Travel,
        /// Position asked for.
        wanted: Travel,
        /// Links that oppose each other there.
        links: PartNames,
    },
    /// The linkage passes a dead center, from which it could continue in two ways.
    #[error(
        "the linkage reaches a dead center near {travel}, on the way to {wanted}: {links} are in \
         line there and could continue in two ways"
    )]
    Toggles {
        /// Last position reached.
        travel: Travel,
        /// Position asked for.
        wanted: Travel,
        /// Links in line.
        links: PartNames,
    },
    /// An over-constrained linkage would strain its links too much.
    #[error(
        "at {travel} {links} would have to change length by {stretch:.4} m; at most {bound} m is \
         allowed: the links oppose each other"
    )]
    Strained {
        /// Links with the largest strain.
        links: PartNames,
        /// Largest change of length `[m]`.
        stretch: f64,
        /// Largest change allowed `[m]`.
        bound: f64,
        /// Position.
        travel: Travel,
    },
    /// The drop link of an anti-roll bar is too short.
    #[error("the drop link of \"{name}\" is too short to reach the bar's arm at {travel}")]
    DropLink {
        /// The bar.
        name: String,
        /// Position.
        travel: Travel,
    },
    /// A polynomial is too far from the exact solution.
    #[error(
        "the polynomial for {quantity} is off by up to {error:.3e} {unit} within the travel asked \
         for; at most {bound:.3e} {unit} is allowed: reduce the travel, or move the link that \
         turns through a large angle"
    )]
    Fit {
        /// The quantity.
        quantity: &'static str,
        /// Largest error `[unit]`.
        error: f64,
        /// Largest error allowed `[unit]`.
        bound: f64,
        /// Unit of both.
        unit: &'static str,
    },
    /// The bushings leave the linkage without stiffness in some direction.
    #[error("the bushings of {links} give the linkage no stiffness against a motion: {motion}")]
    NoStiffness {
        /// The parts.
        links: PartNames,
        /// Motion of the carrier without stiffness.
        motion: FreeMotion,
    },
    /// A travel is out of range.
    #[error("{what} is {value} {unit}; allowed are {low} to {high} {unit}")]
    Range {
        /// Name of the travel.
        what: &'static str,
        /// Value given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Smallest value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
    },
}

impl LinkageError {
    /// One error for several faults: none for no fault, the fault itself for one.
    pub(crate) fn all(mut faults: Vec<LinkageError>) -> Option<Self> {
        match faults.len() {
            0 | 1 => faults.pop(),
            _ => Some(LinkageError::Several(LinkageFaults(faults))),
        }
    }

    /// The single faults: those of [`LinkageError::Several`], else the error itself.
    ///
    /// ```
    /// use axletree_linkage::axle::{Panhard, Rod};
    /// use axletree_linkage::{Carried, Material, Mechanism};
    ///
    /// let mut end = Material::Rubber.bushing();
    /// end.radial = -1.0;
    /// let rod = Rod::new([0.0, -0.4, 0.3], [0.0, 0.4, 0.3], end);
    /// let parts = Panhard { rod }.parts();
    /// let error = Mechanism::new(parts, Carried::Axle, [0.0, 0.0, 0.31]).unwrap_err();
    /// assert_eq!(error.faults().len(), 2);
    /// ```
    pub fn faults(&self) -> &[LinkageError] {
        match self {
            LinkageError::Several(faults) => &faults.0,
            one => std::slice::from_ref(one),
        }
    }
}

/// A small motion of the carrier, scaled so that its largest component is one; turns count as
/// displacements at a lever of 0.5 m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FreeMotion {
    /// Displacement of the carrier's center `[-, b]`.
    pub shift: [f64; 3],
    /// Turn, times 0.5 m `[-, b]`.
    pub turn: [f64; 3],
}

impl fmt::Display for FreeMotion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words = [
            "moves fore and aft",
            "moves sideways",
            "moves up and down",
            "rolls",
            "pitches",
            "yaws",
        ];
        let all = [self.shift, self.turn].concat();
        let parts: Vec<_> = words
            .iter()
            .zip(&all)
            .filter(|(_, x)| x.abs() > 0.2)
            .map(|(w, _)| *w)
            .collect();
        if parts.is_empty() {
            return write!(f, "a hinged member turns by itself");
        }
        write!(f, "it {}", parts.join(" and "))
    }
}
