//! Numerical methods that Axletree's crates share. They know nothing of cars.
//!
//! - [`stepping`]: fixed-step time integration with exact pure lags, for one system or many side by
//!   side.
//! - [`adaptive`]: adaptive time integration, the independent reference for the fixed step.
//! - [`exponential()`]: the matrix exponential.
//! - [`Lu`]: square linear systems of a size known to the compiler.
//! - [`least_squares()`]: the minimum of a sum of squares between limits.
//! - [`batch_least_squares()`]: least squares whose residuals are evaluated in batches.
//! - [`symmetric_eigen()`]: eigenvalues and eigenvectors of symmetric matrices.
//! - [`riccati`]: algebraic Riccati equations.
//! - [`qp`]: small quadratic programs.
//! - [`sqp`]: sequential quadratic programming where every evaluation is a simulation.
//! - [`spline`]: uniform cubic B-splines.
//! - [`root`]: a zero between two points.
//! - [`SmallLu`]: small square systems of a size known at run time.
//! - [`interrupt`]: cancellation and progress of long computations.

pub mod adaptive;
mod batch_least_squares;
mod exponential;
pub mod interrupt;
mod least_squares;
mod lu;
pub mod qp;
pub mod riccati;
pub mod root;
mod small_lu;
pub mod spline;
pub mod sqp;
pub mod stepping;
mod symmetric_eigen;

pub use batch_least_squares::{BatchMinimum, BatchResiduals, BatchSettings, batch_least_squares};
pub use exponential::exponential;
pub use interrupt::Interrupt;
pub use least_squares::{LeastSquares, least_squares, normal_matrix};
pub use lu::{Lu, Square};
pub use small_lu::{SmallLu, SmallMatrix};
pub use symmetric_eigen::{SymmetricEigen, symmetric_eigen};
