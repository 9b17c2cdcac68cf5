//! Rear bar against slalom speed, one row a bar: `cargo run --release -p axletree --example sweep`.

use std::error::Error;

use axletree::prelude::*;

fn main() -> Result<(), Box<dyn Error>> {
    let car = Car::load("bramble-solid")?;
    let bars = ["14 mm", "18 mm", "22 mm", "26 mm"];
    let vary = [Vary::new("rear.bar.outer_diameter", bars)];
    let slalom = Slalom::default();
    let table = sweep(
        &car,
        &vary,
        SweepDesign::Grid,
        &[&slalom],
        &StudyOptions::default(),
    )?;
    let speed = table
        .columns
        .iter()
        .position(|c| c.key() == "slalom.top_speed");
    for (bar, row) in bars.iter().zip(&table.rows) {
        match (&row.fault, speed) {
            (Some(fault), _) => println!("{bar}: {fault}"),
            (None, Some(i)) => println!("{bar}: {:.3} m/s", row.values[i]),
            (None, None) => println!("{bar}: no such column"),
        }
    }
    Ok(())
}
