//! Placeholder until the model exists.
fn main() {}
