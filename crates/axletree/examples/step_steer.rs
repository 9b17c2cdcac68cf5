//! Both rears in a step steer, metric by metric: `cargo run --release -p axletree --example step_steer`.
//!
//! The second car is the first one with the rear end of the other, so that nothing else differs.

use std::error::Error;

use axletree::prelude::*;

fn main() -> Result<(), Box<dyn Error>> {
    let solid = Car::load("bramble-solid")?;
    let independent = solid.with_rear(&Car::load("bramble-independent")?)?;
    let cars = [
        ("solid".to_owned(), Ok(solid)),
        ("independent".to_owned(), Ok(independent)),
    ];
    let maneuver = StepSteer {
        speed: 22.0,
        lateral_acceleration: 5.0,
        ..StepSteer::default()
    };
    let table = compare(&cars, &[&maneuver], &StudyOptions::default())?;
    println!("{:>12} {:>12}", table.names[0], table.names[1]);
    for (column, values) in table.columns.iter().zip(&table.values) {
        let metric = column.metric;
        println!(
            "{:12.4} {:12.4} {:8} {}",
            values[0], values[1], metric.quantity.unit, metric.quantity.key
        );
    }
    Ok(())
}
