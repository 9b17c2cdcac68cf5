//! How much work an evaluation is: floating-point operations, to the last one, so that waste shows.

#[path = "support/operations.rs"]
mod operations;

use axletree_scalar::count::Tally;
use axletree_vehicle::car;
use axletree_vehicle::trim::{Condition, solve};
use operations::operations;

/// Two cars in a corner. The counts follow from the equations as they are written: whoever changes
/// these changes the counts, and should know by how much.
#[test]
fn golden_operations_of_an_evaluation() {
    for (name, want) in [
        (
            "bramble-solid",
            Tally {
                sums: 871,
                products: 1595,
                fused: 2328,
                quotients: 67,
                roots: 28,
            },
        ),
        (
            "bramble-independent",
            Tally {
                sums: 881,
                products: 1620,
                fused: 2217,
                quotients: 67,
                roots: 28,
            },
        ),
    ] {
        let model = car::bundled(name).unwrap().unwrap().assemble().unwrap();
        let trim = solve(&model, Condition::cornering(20.0, 6.0)).unwrap();
        let tally = operations(&model, &trim);
        assert_eq!(tally, want, "{name}");
    }
}
