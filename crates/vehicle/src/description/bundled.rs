//! The texts of the bundled cars; all of them invented.

/// Name and text of every bundled car.
pub const BUNDLED: &[(&str, &str)] = &[
    (
        "bramble-solid",
        include_str!("../../cars/bramble-solid.toml"),
    ),
    (
        "bramble-independent",
        include_str!("../../cars/bramble-independent.toml"),
    ),
    (
        "bramble-solid-located",
        include_str!("../../cars/bramble-solid-located.toml"),
    ),
    (
        "bramble-solid-watts",
        include_str!("../../cars/bramble-solid-watts.toml"),
    ),
    (
        "bramble-solid-prepared",
        include_str!("../../cars/bramble-solid-prepared.toml"),
    ),
    (
        "bramble-independent-prepared",
        include_str!("../../cars/bramble-independent-prepared.toml"),
    ),
    (
        "bramble-solid-by-coefficients",
        include_str!("../../cars/bramble-solid-by-coefficients.toml"),
    ),
    (
        "bramble-independent-by-coefficients",
        include_str!("../../cars/bramble-independent-by-coefficients.toml"),
    ),
];
