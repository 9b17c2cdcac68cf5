//! Widths of lanes.

use std::sync::LazyLock;

/// Environment variable that narrows the lanes to 4 or 1.
///
/// At 1 the fused instructions of the processor are not used either. Results are the same bits at
/// every width; tests use the variable to show that.
pub const WIDTH_VARIABLE: &str = "AXLETREE_WIDTH";

/// Number of numbers that one instruction of this machine takes.
///
/// ```
/// use axletree_scalar::Width;
///
/// assert!(Width::all().contains(&Width::One));
/// assert_eq!(Width::all().last(), Some(&Width::best()));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Width {
    /// One.
    One,
    /// Four (AVX2 with FMA).
    Four,
    /// Eight (AVX-512).
    Eight,
}

impl Width {
    /// Every width there is, narrowest first.
    pub const EVERY: [Width; 3] = [Width::One, Width::Four, Width::Eight];

    /// The widest that [`WIDTH_VARIABLE`] allows; read once. Any other value than a width allows
    /// all.
    pub(crate) fn allowed() -> Self {
        static ALLOWED: LazyLock<Width> = LazyLock::new(|| {
            let asked = std::env::var(WIDTH_VARIABLE).ok();
            Width::EVERY
                .into_iter()
                .find(|w| asked.as_deref() == Some(w.count().to_string().as_str()))
                .unwrap_or(Width::Eight)
        });
        *ALLOWED
    }

    /// The width as a number. `[-]`
    pub fn count(self) -> usize {
        match self {
            Width::One => 1,
            Width::Four => 4,
            Width::Eight => 8,
        }
    }
}
