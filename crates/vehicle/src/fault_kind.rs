//! Kinds of faults that a car's description can have, each with its numbers and its text.

use axletree_linkage::LinkageError;
use thiserror::Error;

/// A kind of fault, with its numbers.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FaultKind {
    /// A file that cannot be opened or read.
    #[error("cannot be read: {reason}")]
    Unreadable {
        /// Reason given by the operating system.
        reason: String,
        /// Error number of the operating system, where there is one.
        code: Option<i32>,
    },
    /// A file that cannot be written.
    #[error("cannot be written: {reason}")]
    Unwritable {
        /// Reason given by the operating system.
        reason: String,
        /// Error number of the operating system, where there is one.
        code: Option<i32>,
    },
    /// A file that is not text.
    #[error("is not UTF-8 text (at byte {byte})")]
    NotText {
        /// First byte that is not text.
        byte: usize,
    },
    /// A file that is too large.
    #[error("has at least {bytes} bytes; a car file has at most {limit} bytes")]
    TooLarge {
        /// Size, or the part of it that was read `[bytes]`.
        bytes: u64,
        /// Largest size that is read `[bytes]`.
        limit: u64,
    },
    /// Text that is not TOML.
    #[error("is not valid TOML: {message}")]
    Syntax {
        /// Message of the TOML parser.
        message: String,
    },
    /// Keys or values that are nested too deep.
    #[error(
        "nests keys, tables or arrays more than {limit} deep; a car file needs {needed} levels"
    )]
    TooDeep {
        /// Number of levels that are read.
        limit: usize,
        /// Number of levels of the deepest entry.
        needed: usize,
    },
    /// A key that is written twice.
    #[error("is written twice")]
    Duplicate,
    /// More faults than are listed.
    #[error("has {more} more faults, not listed")]
    More {
        /// Number of faults that are not listed.
        more: usize,
    },
    /// A key that is not declared.
    #[error("is not an entry of a car file{}", did_you_mean(.nearest.as_ref()))]
    UnknownKey {
        /// The nearest entry.
        nearest: Option<String>,
    },
    /// An entry that only other kinds of cars have.
    #[error("belongs to a car with {needs}")]
    NotApplicable {
        /// Entry that decides, with the words that it has in such a car.
        needs: String,
    },
    /// A required entry is missing.
    #[error("is missing: {meaning}")]
    Missing {
        /// Meaning of the entry, with an example.
        meaning: String,
    },
    /// A value of the wrong type.
    #[error("must be {expected}, not {found}")]
    WrongType {
        /// Expected type.
        expected: String,
        /// Type that was read.
        found: &'static str,
    },
    /// A text that is too long.
    #[error("has {length} characters; at most {limit} are allowed")]
    TextTooLong {
        /// Its length `[characters]`.
        length: usize,
        /// Largest length `[characters]`.
        limit: usize,
    },
    /// A text with a character that acts on the text around it.
    #[error("contains the control character {}; {}", .character.escape_default(), allowed_controls(*.lines))]
    ControlCharacter {
        /// The first of them.
        character: char,
        /// Whether the text may have several lines.
        lines: bool,
    },
    /// A text that does not begin with a number.
    #[error("does not begin with a number; write, for example, {example}")]
    NotANumber {
        /// A valid value.
        example: String,
    },
    /// Infinite or not a number.
    #[error("is not a finite number")]
    NotFinite,
    /// A number without the unit it needs.
    #[error("needs a unit; write, for example, {example}")]
    MissingUnit {
        /// A valid value.
        example: String,
    },
    /// An unknown unit.
    #[error("has the unknown unit \"{name}\"{}", did_you_mean(.nearest.as_ref()))]
    UnknownUnit {
        /// The unit.
        name: String,
        /// The nearest known unit.
        nearest: Option<String>,
    },
    /// A malformed unit.
    #[error(
        "has the malformed unit \"{name}\"; write a product or quotient of units, for example {example}"
    )]
    MalformedUnit {
        /// The unit.
        name: String,
        /// A valid value.
        example: String,
    },
    /// A unit of another dimension.
    #[error("must be {expected}, but its unit is that of {found}{hint}")]
    WrongDimension {
        /// Dimension of the entry.
        expected: String,
        /// Dimension of the unit.
        found: String,
        /// Suggestion, with its leading punctuation; may be empty.
        hint: String,
    },
    /// A number outside the allowed range.
    #[error("is out of range")]
    OutOfRange,
    /// A word that is not among the choices.
    #[error("must be one of {}{}", quoted(.allowed), did_you_mean(.nearest.as_ref()))]
    UnknownChoice {
        /// The choices.
        allowed: Vec<&'static str>,
        /// The nearest choice.
        nearest: Option<String>,
    },
    /// Two entries that state the same property in two ways.
    #[error("cannot be given together with {other}: give only one of the two")]
    GivenTwice {
        /// The other entry.
        other: String,
    },
    /// A center of gravity that is not between the axles.
    #[error(
        "puts the center of gravity of the whole car {behind:.4} m behind the front axle line; it must lie \
         between the axles, {wheelbase:.4} m apart"
    )]
    CenterOutsideWheelbase {
        /// Center of gravity of the whole car behind the front axle line `[m]`.
        behind: f64,
        /// Wheelbase `[m]`.
        wheelbase: f64,
    },
    /// A wheel without load at rest.
    #[error(
        "leaves a load of {load:.1} N on the {wheel} wheel; the load of every wheel must be positive"
    )]
    NoLoad {
        /// The wheel.
        wheel: &'static str,
        /// Its load at rest `[N]`.
        load: f64,
    },
    /// A mass, center or cross weight that contradicts the corner weights.
    #[error(
        "is {stated:.5} {unit}, but the corner weights give {weighed:.5} {unit}: the difference is {percent:.2} %, and 0.5 % is allowed"
    )]
    WeightsDisagree {
        /// Stated value.
        stated: f64,
        /// Value from the corner weights.
        weighed: f64,
        /// Unit of both.
        unit: &'static str,
        /// Their difference in percent.
        percent: f64,
    },
    /// Corner weights that are too small for the masses of the parts.
    #[error(
        "leaves {left:.1} kg for the sprung car: the corner weights sum to {total:.1} kg, the masses of \
         the wheels and of the rear end's parts to {parts:.1} kg"
    )]
    WeightsTooLight {
        /// Mass left for the sprung car `[kg]`.
        left: f64,
        /// Sum of the corner weights `[kg]`.
        total: f64,
        /// Sum of the masses of the parts `[kg]`.
        parts: f64,
    },
    /// A tube without a bore.
    #[error("is {wall:.5} m, more than the radius of the bar, {radius:.5} m")]
    WallTooThick {
        /// Wall `[m]`.
        wall: f64,
        /// Outer radius `[m]`.
        radius: f64,
    },
    /// Bearings beyond the middle of the bar.
    #[error(
        "is {inset:.4} m from each end; it must be less than half of the bar's length, {half:.4} m"
    )]
    BearingsCross {
        /// Inset of each bearing `[m]`.
        inset: f64,
        /// Half of the length `[m]`.
        half: f64,
    },
    /// An arm shorter than its lever.
    #[error("is {length:.4} m; an arm must be at least as long as its lever, {lever:.4} m")]
    ArmTooShort {
        /// Length of the arm along itself `[m]`.
        length: f64,
        /// Its lever `[m]`.
        lever: f64,
    },
    /// A spring whose wire does not fit its coil.
    #[error(
        "is {wire:.5} m; it must be less than half of the mean diameter of the coil, {coil:.5} m"
    )]
    WireTooThick {
        /// Diameter of the wire `[m]`.
        wire: f64,
        /// Mean diameter of the coil `[m]`.
        coil: f64,
    },
    /// A damper setting beyond its adjuster.
    #[error("is {setting}, but the adjuster has {clicks} clicks")]
    SettingBeyondClicks {
        /// Setting in clicks.
        setting: f64,
        /// Clicks of the adjuster.
        clicks: f64,
    },
    /// A damper setting that leaves no damping.
    #[error(
        "multiplies the damping by {factor:.3} at the setting; the factor must be at least 0.05"
    )]
    SettingTakesAll {
        /// Factor on the damping `[-]`.
        factor: f64,
    },
    /// A tire that its load at rest presses flat.
    #[error(
        "is {radius:.4} m, but the tire deflects by {deflection:.4} m under its load at rest, more than a \
         quarter of the radius"
    )]
    TireOverloaded {
        /// Unloaded radius `[m]`.
        radius: f64,
        /// Deflection at rest `[m]`.
        deflection: f64,
    },
    /// A pressure coefficient that takes nearly all of a property away.
    #[error(
        "gives a factor of {factor:.3} at {pressure:.0} Pa; the factor must be at least {least}"
    )]
    PressureTakesAll {
        /// Factor on the property `[-]`.
        factor: f64,
        /// Pressure `[Pa]`.
        pressure: f64,
        /// Least factor `[-]`.
        least: f64,
    },
    /// A moment of inertia that no body has.
    #[error(
        "is {largest:.2} kg*m^2, more than the sum of the other two, {others:.2} kg*m^2: no body has such \
         moments of inertia"
    )]
    ImpossibleInertia {
        /// The largest moment `[kg*m^2]`.
        largest: f64,
        /// The sum of the other two `[kg*m^2]`.
        others: f64,
    },
    /// A body narrower than the track.
    #[error("is {width:.3} m, less than the track of {track:.3} m")]
    BodyNarrowerThanTrack {
        /// Width of the body `[m]`.
        width: f64,
        /// Track `[m]`.
        track: f64,
    },
    /// Engine speeds in the wrong order.
    #[error("must be greater than {below}, which is {least:.0} rpm")]
    SpeedsOutOfOrder {
        /// Entry of the lower speed.
        below: &'static str,
        /// Its value `[rpm]`.
        least: f64,
    },
    /// A power that needs more than the engine's largest torque.
    #[error(
        "needs {needed:.0} N*m at the crankshaft at {speed:.0} rpm, but the largest torque is \
         {torque:.0} N*m: raise engine.peak_torque or engine.peak_power_speed"
    )]
    PowerAboveTorque {
        /// Torque that the power needs `[N*m]`.
        needed: f64,
        /// Largest torque `[N*m]`.
        torque: f64,
        /// Engine speed of the power `[rpm]`.
        speed: f64,
    },
    /// Links that leave an axle free to move sideways.
    #[error(
        "is \"none\", but links of type \"{links}\" leave the axle free to move sideways: write \"panhard bar\" or \
         \"watts linkage\""
    )]
    NotHeldSideways {
        /// Type of the links.
        links: String,
    },
    /// Links that are not a linkage: geometry, freedom or stiffness.
    #[error("gives no usable linkage: {error}")]
    Linkage {
        /// Error of the linkage, in the names of its links.
        error: LinkageError,
    },
    /// A steering axis that the points do not settle.
    #[error(
        "is missing: the steering axis of a multi-link front end follows from its links at constant spring \
         length, which needs the points of the spring"
    )]
    NoSteeringAxis,
    /// A spring that would have to pull to hold the car at its ride height.
    #[error(
        "needs a force of {force:.0} N from the {side} spring at rest; it must be positive, as a spring only pushes"
    )]
    SpringPulls {
        /// Side of the spring.
        side: &'static str,
        /// Force at rest, compression positive `[N]`.
        force: f64,
    },
    /// A wheel rate that is not positive.
    #[error(
        "gives each {end} wheel a rate of {rate:.0} N/m at ride height, springs and binding together: the car \
         falls away from its ride height; the wheel rate must be positive"
    )]
    WheelRateNegative {
        /// End of the car.
        end: &'static str,
        /// Stiffness of one wheel's travel against the body `[N/m]`.
        rate: f64,
    },
    /// A wheel rate that is too low for the weight above the wheels.
    #[error(
        "gives each {end} wheel a rate of {rate:.0} N/m at ride height, springs and binding together: too little \
         for the weight, as the stiffness in {motion} is {stiffness:.0} {unit} with it, and the car falls away \
         from its ride height; the stiffness must be positive"
    )]
    WheelRateTooLow {
        /// End of the car.
        end: &'static str,
        /// Stiffness of one wheel's travel against the body `[N/m]`.
        rate: f64,
        /// The motion in which the car falls.
        motion: &'static str,
        /// Its stiffness, tires and weight included `[unit]`.
        stiffness: f64,
        /// Unit of the stiffness.
        unit: &'static str,
    },
    /// A roll stiffness that is too low for the weight above the wheels.
    #[error(
        "is too high for a roll stiffness of {front:.0} N*m/rad at the front and {rear:.0} N*m/rad at the rear: \
         with tires and weight {stiffness:.0} N*m/rad are left, and the car falls over; the roll stiffness must \
         be positive"
    )]
    RollStiffnessTooLow {
        /// Roll stiffness of the front end, springs, bar and binding `[N*m/rad]`.
        front: f64,
        /// Roll stiffness of the rear end `[N*m/rad]`.
        rear: f64,
        /// Roll stiffness of the body, tires and weight included `[N*m/rad]`.
        stiffness: f64,
    },
}

fn allowed_controls(lines: bool) -> &'static str {
    if lines {
        "only line breaks and tabs are allowed"
    } else {
        "write one line of printable characters"
    }
}

fn did_you_mean(nearest: Option<&String>) -> String {
    nearest.map_or_else(String::new, |name| format!("; did you mean \"{name}\"?"))
}

fn quoted(names: &[&str]) -> String {
    let names: Vec<String> = names.iter().map(|n| format!("\"{n}\"")).collect();
    names.join(", ")
}
