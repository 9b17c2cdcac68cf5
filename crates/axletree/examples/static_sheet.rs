//! Prints the static sheet of a car: `cargo run --release -p axletree --example static_sheet [CAR]`.
//!
//! CAR is the path of a car file or the name of a bundled car.

use std::error::Error;

use axletree::prelude::*;

fn main() -> Result<(), Box<dyn Error>> {
    let name = std::env::args().nth(1);
    let car = Car::load(name.as_deref().unwrap_or("bramble-solid"))?;
    let sheet = car.assemble()?.static_sheet()?;
    println!("{}", sheet.name);
    for figure in &sheet.figures.0 {
        if let Some(value) = figure.value {
            let quantity = figure.quantity;
            println!(
                "{value:14.4} {:9} {}: {}",
                quantity.unit, quantity.key, quantity.meaning
            );
        }
    }
    Ok(())
}
