//! Prints the vector widths of this machine, widest first, one a line.
//!
//! Widths that the machine lacks go to the standard error.

use axletree_scalar::Width;

fn main() {
    let here = Width::all();
    for width in Width::EVERY.into_iter().rev() {
        if here.contains(&width) {
            println!("{}", width.count());
        } else {
            eprintln!("width {}: not tested, this machine lacks it", width.count());
        }
    }
}
