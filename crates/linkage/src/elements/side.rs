//! Spring, damper and bar end of one side.

use crate::elements::bar_end::BarEnd;
use crate::elements::force_element::ForceElement;

/// Spring, damper and bar end between the body and one wheel, as far as they are given by points.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Side {
    /// Spring.
    pub spring: Option<ForceElement>,
    /// Damper.
    pub damper: Option<ForceElement>,
    /// End of the anti-roll bar.
    pub bar: Option<BarEnd>,
}

impl Side {
    /// Mirror image in the car's center plane.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        Side {
            spring: self.spring.map(ForceElement::mirrored),
            damper: self.damper.map(ForceElement::mirrored),
            bar: self.bar.as_ref().map(BarEnd::mirrored),
        }
    }
}
