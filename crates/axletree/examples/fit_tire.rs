//! Fits a tire to measured rows and puts it on a car: `cargo run --release -p axletree --example fit_tire`.
//!
//! The rows are invented: a largest cornering force that falls from 1.18 to 1.02 times the load between 2 and 6 kN.

use std::error::Error;

use axletree::prelude::*;
use axletree::scalar::lone;
use axletree::tire::{ForceRow, TireSpec};
use axletree::vehicle::CarEnd;

fn main() -> Result<(), Box<dyn Error>> {
    let mut rows = Vec::new();
    for load in [2000.0, 4000.0, 6000.0] {
        let friction = 1.26 - load * 4e-5;
        for i in 1..=12 {
            let slip_angle = 0.015 * f64::from(i);
            rows.push(ForceRow {
                slip_angle,
                slip_ratio: 0.0,
                load,
                camber: 0.0,
                pressure: 220e3,
                fx: None,
                fy: Some(friction * load * lone::sin(1.4 * lone::atan(11.0 * slip_angle))),
                mz: None,
            });
        }
    }
    // Inputs that the rows do not determine stay those of a usual tire of this size.
    let fit = TireSpec::typical(0.316, 4000.0).fit(&rows)?;
    for input in &fit.fitted {
        println!(
            "{:32} {:10.4} +- {:.4}",
            input.name, input.value, input.standard_error
        );
    }
    for note in &fit.notes {
        println!("{note}");
    }
    let car = Car::load("bramble-solid")?;
    let fitted = car
        .with_tire(CarEnd::Front, &fit.spec)?
        .with_tire(CarEnd::Rear, &fit.spec)?;
    let speed = |car: &Car| -> Result<f64, Box<dyn Error>> {
        Ok(Slalom::default()
            .top_speed(&car.assemble()?, Interrupt::never())?
            .speed)
    };
    println!(
        "slalom: {:.2} m/s before, {:.2} m/s after",
        speed(&car)?,
        speed(&fitted)?
    );
    Ok(())
}
