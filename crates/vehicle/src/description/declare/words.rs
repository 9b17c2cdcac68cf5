//! The words of the choices, as types.

use axletree_linkage::Material;

/// A type with one value per word of a choice.
pub trait Words: Copy + Sized + 'static {
    /// The words, in the order of messages.
    const WORDS: &'static [&'static str];

    /// The value of a word; nothing for a word that is not among them.
    fn of_word(word: &str) -> Option<Self>;
}

macro_rules! words {
    ($(
        $(#[$doc:meta])*
        $name:ident { $($(#[$what:meta])* $value:ident = $word:literal),* $(,)? }
    )*) => {
        $(
            $(#[$doc])*
            #[derive(Clone, Copy, Debug, PartialEq, Eq)]
            pub enum $name {
                $($(#[$what])* $value,)*
            }

            impl $name {
                /// The word.
                pub const fn word(self) -> &'static str {
                    match self {
                        $($name::$value => $word,)*
                    }
                }
            }

            impl Words for $name {
                const WORDS: &'static [&'static str] = &[$($word),*];

                fn of_word(word: &str) -> Option<Self> {
                    match word {
                        $($word => Some($name::$value),)*
                        _ => None,
                    }
                }
            }
        )*
    };
}

words! {
    /// Kind of rear end.
    RearType {
        /// Two independently sprung wheels.
        Independent = "independent",
        /// One solid axle.
        Solid = "solid",
    }

    /// Kind of differential.
    DifferentialType {
        /// Equal torques, but for the preload.
        Open = "open",
        /// Plates pressed by ramps.
        Plate = "plate",
        /// Helical gears.
        TorqueBiasing = "torque-biasing",
        /// Both half shafts at one speed.
        Locked = "locked",
    }

    /// Sense of turn of the propeller shaft in forward drive, seen from the front of the car.
    PropshaftRotation {
        /// Clockwise.
        Clockwise = "clockwise",
        /// Counterclockwise.
        Counterclockwise = "counterclockwise",
    }

    /// Kind of linkage given by its points.
    LinksType {
        /// Solid axle on two lower and two upper links.
        FourLinks = "four links",
        /// Solid axle on two lower links and one upper link.
        ThreeLinks = "three links",
        /// Solid axle on two lower links and a torque arm.
        TorqueArm = "torque arm",
        /// Solid axle on four links and a lateral location.
        FiveLinks = "five links",
        /// Wheel on a lower arm and a strut.
        Strut = "strut",
        /// Wheel on two wishbones.
        DoubleWishbone = "double wishbone",
        /// Wheel on five rods.
        MultiLink = "multi-link",
        /// Wheel on a semi-trailing arm; it does not steer.
        SemiTrailingArm = "semi-trailing arm",
    }

    /// Lateral location of a solid axle besides its links.
    LateralType {
        /// None.
        None = "none",
        /// A Panhard bar.
        PanhardBar = "panhard bar",
        /// A Watt's linkage.
        WattsLinkage = "watts linkage",
    }

    /// Part that carries the pivot of a Watt's crank.
    PivotOn {
        /// The axle.
        Axle = "axle",
        /// The body.
        Body = "body",
    }

    /// Part that carries the inner ends of the links.
    SubframeType {
        /// The body, or a subframe bolted to it.
        Rigid = "rigid",
        /// A subframe on four mounts.
        Mounts = "mounts",
    }

    /// Part that carries the moving end of a spring, damper or bar link.
    FootOn {
        /// The knuckle.
        Knuckle = "knuckle",
        /// The lower arm.
        LowerArm = "lower arm",
        /// The upper arm.
        UpperArm = "upper arm",
    }

    /// Arms of an anti-roll bar.
    BarArm {
        /// Bent from the bar.
        SameSection = "same section",
        /// So stiff that they do not bend.
        Rigid = "rigid",
    }
}

impl LinksType {
    /// Whether the links carry a solid axle.
    pub const fn is_axle(self) -> bool {
        matches!(
            self,
            LinksType::FourLinks
                | LinksType::ThreeLinks
                | LinksType::TorqueArm
                | LinksType::FiveLinks
        )
    }
}

impl Words for Material {
    const WORDS: &'static [&'static str] = &["rubber", "polyurethane", "hard plastic", "spherical"];

    fn of_word(word: &str) -> Option<Self> {
        Material::named(word)
    }
}
