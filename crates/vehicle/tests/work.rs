//! How much work an evaluation is: floating-point operations, to the last one, so that waste shows.

#[path = "support/operations.rs"]
mod operations;

use axletree_scalar::Real;
use axletree_vehicle::bundled;
use axletree_vehicle::trim::{Condition, solve};
use operations::count::{Count, Tally, counted};
use operations::operations;

/// Two cars in a corner. The counts follow from the equations as they are written: whoever changes
/// these changes the counts, and should know by how much.
#[test]
fn golden_operations_of_an_evaluation() {
    for (name, want) in [
        (
            "bramble-solid",
            Tally {
                sums: 890,
                products: 1698,
                fused: 2350,
                quotients: 71,
                roots: 36,
            },
        ),
        (
            "bramble-independent",
            Tally {
                sums: 900,
                products: 1723,
                fused: 2239,
                quotients: 71,
                roots: 36,
            },
        ),
    ] {
        let model = bundled(name).unwrap().unwrap().assemble().unwrap();
        let trim = solve(&model, Condition::cornering(20.0, 6.0)).unwrap();
        let tally = operations(&model, &trim);
        assert_eq!(tally, want, "{name}");
    }
}

/// Needed operations count once, and the counting number computes the bits of `f64`.
#[test]
fn needed_operations_count_once_and_the_bits_are_those_of_f64() {
    let (got, tally) = counted(|| {
        let [x, y] = [0.3, 0.7].map(Count::given);
        // Not needed: no result depends on it.
        let _ = x * x * x;
        // Written twice, done once; of a choice both sides.
        let both = (x + y) + (x + y);
        let chosen = Real::sel(x.lt(y), x / y, y - x);
        [both * x.mul_add(y, chosen), y.sqrt()]
    });
    let want = ((0.3 + 0.7) + (0.3 + 0.7)) * 0.3f64.mul_add(0.7, 0.3 / 0.7);
    assert_eq!(got[0].to_bits(), want.to_bits());
    let each = Tally {
        sums: 3,
        products: 1,
        fused: 1,
        quotients: 1,
        roots: 1,
    };
    assert_eq!(tally, each);
    assert_eq!(tally.operations(), 8);
    let (sine, tally) = counted(|| [Count::given(1.2).sin()]);
    assert_eq!(sine[0].to_bits(), Real::sin(1.2).to_bits());
    assert!(tally.fused > 10);
}
