//! Kinds of faults that a car's description can have, each with its numbers and its text.

use axletree_linkage::LinkageError;
use thiserror::Error;

/// What is wrong.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FaultKind {
    /// The file cannot be read.
    #[error("cannot be read: {reason}")]
    Unreadable {
        /// The system's reason.
        reason: String,
    },
    /// The file is not text.
    #[error("is not UTF-8 text (at byte {byte})")]
    NotText {
        /// First byte that is not text.
        byte: usize,
    },
    /// The file is absurdly large.
    #[error("has {bytes} bytes; a car file has at most {limit}")]
    TooLarge {
        /// Size.
        bytes: u64,
        /// Largest size read.
        limit: u64,
    },
    /// Not TOML.
    #[error("is not valid TOML: {message}")]
    Syntax {
        /// What the reader of TOML says.
        message: String,
    },
    /// A key is written twice.
    #[error("is written a second time")]
    Duplicate,
    /// More faults than are listed.
    #[error("has {more} more faults, not listed")]
    More {
        /// How many.
        more: usize,
    },
    /// No such entry.
    #[error("is not an entry of a car file{}", did_you_mean(.nearest.as_ref()))]
    UnknownKey {
        /// The nearest entry.
        nearest: Option<String>,
    },
    /// An entry that belongs to other cars.
    #[error("belongs to a car with {needs}")]
    NotApplicable {
        /// What such a car says: the entry that decides, and the words it may have.
        needs: String,
    },
    /// A required entry is missing.
    #[error("is missing: {meaning}")]
    Missing {
        /// What the entry means.
        meaning: String,
    },
    /// A value of the wrong kind.
    #[error("should be {expected}, not {found}")]
    WrongType {
        /// What was expected.
        expected: String,
        /// What was found.
        found: &'static str,
    },
    /// A text that does not begin with a number.
    #[error("does not begin with a number; write for example {example}")]
    NotANumber {
        /// A value that would do.
        example: String,
    },
    /// Infinite or not a number.
    #[error("is not a finite number")]
    NotFinite,
    /// A number without the unit it needs.
    #[error("needs a unit; write for example {example}")]
    MissingUnit {
        /// A value that would do.
        example: String,
    },
    /// A unit that is not known.
    #[error("has the unknown unit \"{name}\"{}", did_you_mean(.nearest.as_ref()))]
    UnknownUnit {
        /// The unit.
        name: String,
        /// The nearest known unit.
        nearest: Option<String>,
    },
    /// A unit that cannot be read.
    #[error(
        "has a unit that cannot be read, \"{name}\"; write products and quotients such as {example}"
    )]
    MalformedUnit {
        /// The unit.
        name: String,
        /// A value that would do.
        example: String,
    },
    /// A unit of something else.
    #[error("should be {expected}, but its unit is of {found}{hint}")]
    WrongDimension {
        /// What the entry measures.
        expected: String,
        /// What the unit measures.
        found: String,
        /// What to try, with its leading punctuation; may be empty.
        hint: String,
    },
    /// Outside the allowed range.
    #[error("is out of range")]
    OutOfRange,
    /// Not one of the choices.
    #[error("should be one of {}{}", quoted(.allowed), did_you_mean(.nearest.as_ref()))]
    UnknownChoice {
        /// The choices.
        allowed: Vec<&'static str>,
        /// The nearest choice.
        nearest: Option<String>,
    },
    /// Two ways of stating the same thing are both used.
    #[error("is given although {other} is: state one of the two")]
    GivenTwice {
        /// The other entry.
        other: String,
    },
    /// The center of gravity is not between the axles.
    #[error(
        "puts the whole car's center of gravity {behind:.4} m behind the front axle line; the wheelbase is {wheelbase:.4} m"
    )]
    CenterOutsideWheelbase {
        /// Whole car's center of gravity behind the front axle line [m].
        behind: f64,
        /// Wheelbase [m].
        wheelbase: f64,
    },
    /// A wheel would carry nothing.
    #[error("leaves {load:.1} N on the {wheel} wheel: every wheel must stand on the road")]
    NoLoad {
        /// The wheel.
        wheel: &'static str,
        /// Its load at rest [N].
        load: f64,
    },
    /// Corner weights against mass and center.
    #[error(
        "is {stated:.5} {unit}, but the corner weights give {weighed:.5} {unit}: {percent:.2} % apart, 0.5 % is allowed"
    )]
    WeightsDisagree {
        /// As stated.
        stated: f64,
        /// From the corner weights.
        weighed: f64,
        /// Unit of the two.
        unit: &'static str,
        /// Their distance in percent.
        percent: f64,
    },
    /// Corner weights below the weight of the parts.
    #[error(
        "leaves {left:.1} kg for the sprung car: the corner weights add up to {total:.1} kg, the wheels' and the rear end's parts to {parts:.1} kg"
    )]
    WeightsTooLight {
        /// What is left [kg].
        left: f64,
        /// Sum of the corner weights [kg].
        total: f64,
        /// Sum of the parts [kg].
        parts: f64,
    },
    /// A tube without a bore.
    #[error("is {wall:.5} m; the bar's radius is {radius:.5} m")]
    WallTooThick {
        /// Wall [m].
        wall: f64,
        /// Outer radius [m].
        radius: f64,
    },
    /// Bearings beyond the middle of the bar.
    #[error("is {inset:.4} m from each end; half of the bar's length is {half:.4} m")]
    BearingsCross {
        /// Inset of each bearing [m].
        inset: f64,
        /// Half of the length [m].
        half: f64,
    },
    /// An arm shorter than its lever.
    #[error("is {length:.4} m; an arm is at least as long as its lever, {lever:.4} m")]
    ArmTooShort {
        /// Length of the arm along itself [m].
        length: f64,
        /// Its lever [m].
        lever: f64,
    },
    /// A spring whose wire does not fit its coil.
    #[error("is {wire:.5} m; a coil of mean diameter {coil:.5} m takes a wire below half of that")]
    WireTooThick {
        /// Wire [m].
        wire: f64,
        /// Mean diameter of the coil [m].
        coil: f64,
    },
    /// A damper set beyond its range.
    #[error("is {setting}; the adjuster has {clicks} clicks")]
    SettingBeyondClicks {
        /// Setting.
        setting: f64,
        /// Clicks.
        clicks: f64,
    },
    /// A damper whose adjuster takes all damping away.
    #[error(
        "leaves a factor of {factor:.3} of the damping at the setting; at least 0.05 must be left"
    )]
    SettingTakesAll {
        /// What is left [-].
        factor: f64,
    },
    /// A tire pressed flat.
    #[error(
        "is {radius:.4} m, but the tire yields by {deflection:.4} m under its load at rest: more than a quarter of the radius"
    )]
    TireOverloaded {
        /// Unloaded radius [m].
        radius: f64,
        /// Deflection at rest [m].
        deflection: f64,
    },
    /// A coefficient of pressure leaves too little.
    #[error("leaves a factor of {factor:.3} at {pressure:.0} Pa; at least {least} must be left")]
    PressureTakesAll {
        /// The factor [-].
        factor: f64,
        /// The pressure [Pa].
        pressure: f64,
        /// Least factor [-].
        least: f64,
    },
    /// An inertia no body has.
    #[error(
        "is {largest:.2} kg*m^2, more than the other two together ({others:.2}): no body has such moments of inertia"
    )]
    ImpossibleInertia {
        /// The largest moment [kg m^2].
        largest: f64,
        /// The sum of the other two [kg m^2].
        others: f64,
    },
    /// A body narrower than its wheels stand.
    #[error("is {width:.3} m, less than the track of {track:.3} m")]
    BodyNarrowerThanTrack {
        /// Width of the body [m].
        width: f64,
        /// Track [m].
        track: f64,
    },
    /// Engine speeds that do not rise in their order.
    #[error("must be above {below}, {least:.0} rpm")]
    SpeedsOutOfOrder {
        /// The entry that must lie below.
        below: &'static str,
        /// Its value [rpm].
        least: f64,
    },
    /// A power that the engine's torque does not give.
    #[error(
        "asks for {needed:.0} N*m at the crankshaft at {speed:.0} rpm; the largest torque is \
         {torque:.0} N*m: raise engine.peak_torque or engine.peak_power_speed"
    )]
    PowerAboveTorque {
        /// Torque that the power asks for [N m].
        needed: f64,
        /// Largest torque [N m].
        torque: f64,
        /// Engine speed of the power [rpm].
        speed: f64,
    },
    /// Links that leave an axle free to move sideways.
    #[error(
        "is \"none\", but {links} leave the axle free sideways: write \"panhard bar\" or \"watts linkage\""
    )]
    NotHeldSideways {
        /// The kind of links.
        links: String,
    },
    /// Links that do not work out.
    #[error("does not work out: {error}")]
    Linkage {
        /// What is wrong, in the names of the links.
        error: LinkageError,
    },
    /// A steering axis that points do not give.
    #[error(
        "is missing: the steering axis of a multi-link front end follows from its links at constant length of the spring"
    )]
    NoSteeringAxis,
    /// Springs that could not hold the car at its ride height.
    #[error("needs a force of {force:.0} N on the {side} spring at rest; a spring only pushes")]
    SpringPulls {
        /// Which side.
        side: &'static str,
        /// Force at rest, compression positive [N].
        force: f64,
    },
}

fn did_you_mean(nearest: Option<&String>) -> String {
    nearest.map_or_else(String::new, |name| format!("; did you mean \"{name}\"?"))
}

fn quoted(names: &[&str]) -> String {
    let names: Vec<String> = names.iter().map(|n| format!("\"{n}\"")).collect();
    names.join(", ")
}
