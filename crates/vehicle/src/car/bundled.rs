//! The cars that come along; all of them invented.

use super::Car;
use crate::error::CarError;

/// Name and text of every bundled car.
pub const BUNDLED: &[(&str, &str)] = &[
    (
        "bramble-solid",
        include_str!("../../../../python/axletree/cars/bramble-solid.toml"),
    ),
    (
        "bramble-independent",
        include_str!("../../../../python/axletree/cars/bramble-independent.toml"),
    ),
    (
        "bramble-solid-located",
        include_str!("../../../../python/axletree/cars/bramble-solid-located.toml"),
    ),
    (
        "bramble-solid-watts",
        include_str!("../../../../python/axletree/cars/bramble-solid-watts.toml"),
    ),
    (
        "bramble-solid-prepared",
        include_str!("../../../../python/axletree/cars/bramble-solid-prepared.toml"),
    ),
    (
        "bramble-independent-prepared",
        include_str!("../../../../python/axletree/cars/bramble-independent-prepared.toml"),
    ),
    (
        "bramble-solid-by-coefficients",
        include_str!("../../../../python/axletree/cars/bramble-solid-by-coefficients.toml"),
    ),
    (
        "bramble-independent-by-coefficients",
        include_str!("../../../../python/axletree/cars/bramble-independent-by-coefficients.toml"),
    ),
];

/// A bundled car by its name; nothing where there is none of that name.
pub fn bundled(name: &str) -> Option<Result<Car, CarError>> {
    let (name, text) = BUNDLED.iter().find(|(known, _)| *known == name)?;
    Some(Car::from_toml(text, Some(name)))
}
