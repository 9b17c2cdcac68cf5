//! What can be wrong with a linkage.

use std::fmt;

use thiserror::Error;

/// The links that an error is about.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Names(pub Vec<String>);

impl fmt::Display for Names {
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

/// Where in its travel a linkage was when something happened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Travel {
    /// Rise of the wheel or axle center [m].
    pub heave: f64,
    /// Roll of an axle; zero for a corner [rad, left side up positive].
    pub roll: f64,
    /// Displacement of the steering rack [m, left positive].
    pub rack: f64,
}

impl fmt::Display for Travel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "heave {:.1} mm, roll {:.2} deg, rack {:.1} mm",
            self.heave * 1e3,
            self.roll.to_degrees(),
            self.rack * 1e3
        )
    }
}

/// What can be wrong with a linkage.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum LinkageError {
    /// A coordinate is not a number, or far outside any car.
    #[error(
        "a point of \"{name}\" is at ({x}, {y}, {z}) m; every coordinate must be a number between -20 and 20 m \
         (are the points in meters?)"
    )]
    Point {
        /// The link.
        name: String,
        /// Forward [m].
        x: f64,
        /// Left [m].
        y: f64,
        /// Up [m].
        z: f64,
    },
    /// The ends of a link, or the points of a hinge, fall together.
    #[error("the two points of \"{name}\" are {length} m apart; at least {least} m is needed")]
    TooShort {
        /// The link.
        name: String,
        /// Distance [m].
        length: f64,
        /// Least distance [m].
        least: f64,
    },
    /// A direction or an axis has no length, or directions of one joint are not independent.
    #[error("the directions of \"{name}\" do not stand: {reason}")]
    Direction {
        /// The joint or bushing.
        name: String,
        /// What is wrong with them.
        reason: &'static str,
    },
    /// Both ends on the same body: it holds nothing.
    #[error("both ends of \"{name}\" are on the same body: it holds nothing")]
    SameBody {
        /// The link.
        name: String,
    },
    /// Two parts share a name.
    #[error(
        "two parts are called \"{name}\"; every link, member and joint needs a name of its own"
    )]
    SameName {
        /// The name.
        name: String,
    },
    /// A point is said to be on a member that is not there.
    #[error(
        "\"{name}\" is fixed to member {index}, but there are {count} members (counted from 0)"
    )]
    NoMember {
        /// The link.
        name: String,
        /// The index given.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// More hinged members than there is room for.
    #[error("{count} hinged members; at most {most} are possible")]
    TooManyMembers {
        /// How many.
        count: usize,
        /// Room.
        most: usize,
    },
    /// A rate, a limit or a length of a part is not possible.
    #[error("{what} of \"{name}\" is {value} {unit}; it must lie from {low} to {high} {unit}")]
    Value {
        /// The part.
        name: String,
        /// Which value.
        what: &'static str,
        /// What was given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least value.
        low: f64,
        /// Greatest value.
        high: f64,
    },
    /// The linkage leaves a freedom.
    #[error(
        "{links} leave the carrier {free} freedom(s) beyond its travel, at {travel}: {motion}; add a link or move one \
         that now only repeats what others do"
    )]
    FreedomLeft {
        /// How many freedoms.
        free: usize,
        /// The links that are there: those that repeat each other where there are such, else all.
        links: Names,
        /// Where.
        travel: Travel,
        /// The motion that is left.
        motion: Motion,
    },
    /// The links cannot be put together at the lengths given.
    #[error(
        "the linkage cannot be assembled: {links} miss by {gap:.6} m at best; are their lengths right?"
    )]
    CannotAssemble {
        /// The links that miss most.
        links: Names,
        /// The greatest miss [m].
        gap: f64,
    },
    /// The linkage locks: its links allow no further travel.
    #[error(
        "the linkage locks at {travel}, before it reaches {wanted}: {links} allow no further travel"
    )]
    Locks {
        /// How far it came.
        travel: Travel,
        /// How far it should go.
        wanted: Travel,
        /// The links that fight each other there.
        links: Names,
    },
    /// The links come into a dead center from which they can go two ways.
    #[error(
        "the linkage goes through a dead center near {travel}, on the way to {wanted}: {links} fall in line and could \
         go two ways from there"
    )]
    Toggles {
        /// How far it came.
        travel: Travel,
        /// How far it should go.
        wanted: Travel,
        /// The links that fall in line.
        links: Names,
    },
    /// More links than freedoms, and so far from fitting that the ends would have to yield beyond sense.
    #[error(
        "{links} would have to change length by {stretch:.4} m at {travel}; at most {bound} m is accepted: the links \
         hold the carrier against each other"
    )]
    Strained {
        /// The links that are strained most.
        links: Names,
        /// Greatest change of length [m].
        stretch: f64,
        /// Accepted change [m].
        bound: f64,
        /// Where.
        travel: Travel,
    },
    /// A bar's drop link cannot reach.
    #[error("the drop link \"{name}\" cannot reach its arm at {travel}")]
    DropLink {
        /// The bar.
        name: String,
        /// Where.
        travel: Travel,
    },
    /// A polynomial curve is too far from the exact solution.
    #[error(
        "the polynomial for {quantity} is off by {error:.3e} {unit} within the travel asked for; at most {bound:.3e} {unit} \
         is accepted: ask for less travel, or move the link that turns through a large angle"
    )]
    Fit {
        /// Which curve.
        quantity: &'static str,
        /// Greatest error [unit].
        error: f64,
        /// Accepted error [unit].
        bound: f64,
        /// Unit of both.
        unit: &'static str,
    },
    /// The parts that yield do not hold the body.
    #[error(
        "the bushings of {links} do not hold the linkage: it has no stiffness against {motion}"
    )]
    NoStiffness {
        /// The parts.
        links: Names,
        /// What moves freely.
        motion: Motion,
    },
    /// The travel asked for is not a travel.
    #[error("{what} is {value} {unit}; it must lie from {low} to {high} {unit}")]
    Range {
        /// Which input.
        what: &'static str,
        /// What was given.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least value.
        low: f64,
        /// Greatest value.
        high: f64,
    },
}

/// A small motion of the carrier, largest part scaled to one; turns count as displacement at 0.5 m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Displacement of the carrier's center [-, b].
    pub shift: [f64; 3],
    /// Turn, times 0.5 m [-, b].
    pub turn: [f64; 3],
}

impl fmt::Display for Motion {
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
