//! The fastest run through eight cones, and the clearance at each:
//! `cargo run --release -p axletree --example slalom [CAR]`.

use std::error::Error;

use axletree::prelude::*;

fn main() -> Result<(), Box<dyn Error>> {
    let name = std::env::args().nth(1);
    let car = Car::load(name.as_deref().unwrap_or("bramble-solid"))?.assemble()?;
    let course = Slalom {
        cones: 8,
        spacing: 18.0,
        ..Slalom::default()
    };
    let top = course.top_speed(&car, Interrupt::never())?;
    println!("{:.2} m/s; ended: {}", top.speed, top.ending.outcome.name());
    if let Some(limit) = top.limited_by {
        println!("limited by {}", limit.name());
    }
    if let Some(run) = &top.run {
        for (cone, margin) in run.margins.iter().enumerate() {
            println!("cone {}: {:.0} mm clear", cone + 1, 1e3 * margin);
        }
    }
    Ok(())
}
