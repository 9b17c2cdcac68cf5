//! Cases by number, on all processors.

use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// The seed of all cases; the number of a case is its stream.
const SEED: u64 = 0x00c0_ffee;

/// The outcome of one case, for the counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// A car or a quantity.
    Accepted,
    /// Faults.
    Refused,
}

/// Counts of a run.
#[derive(Debug, Default)]
pub struct Counts {
    pub accepted: u64,
    pub refused: u64,
    /// The case that took longest: informative only, as the machine decides.
    pub slowest: Option<(Duration, String)>,
}

impl Counts {
    fn add(&mut self, ended: Ended, took: Duration, name: &dyn Fn() -> String) {
        match ended {
            Ended::Accepted => self.accepted += 1,
            Ended::Refused => self.refused += 1,
        }
        if self
            .slowest
            .as_ref()
            .is_none_or(|(longest, _)| took > *longest)
        {
            self.slowest = Some((took, name()));
        }
    }

    fn join(&mut self, other: Counts) {
        self.accepted += other.accepted;
        self.refused += other.refused;
        self.slowest = self.slowest.take().max(other.slowest);
    }
}

fn environment(name: &str) -> Option<u64> {
    let text = std::env::var(name).ok()?;
    Some(
        text.parse()
            .unwrap_or_else(|_| panic!("{name} = {text} is no number")),
    )
}

/// Numbers of the cases to run.
fn numbers(default: u64) -> Range<u64> {
    let first = environment("AXLETREE_FUZZ_FIRST").unwrap_or(0);
    first..first + environment("AXLETREE_FUZZ_CASES").unwrap_or(default)
}

/// Whether the usual cases run, whose counts are known.
pub fn are_usual() -> bool {
    environment("AXLETREE_FUZZ_FIRST").is_none() && environment("AXLETREE_FUZZ_CASES").is_none()
}

/// The generator of a case.
pub fn generator(case: u64) -> ChaCha8Rng {
    let mut rng = ChaCha8Rng::seed_from_u64(SEED);
    rng.set_stream(case);
    rng
}

/// Inputs that once failed, or that stand for a kind of attack: names and texts.
fn regressions(folder: &str) -> Vec<(String, String)> {
    let path: PathBuf = [
        env!("CARGO_MANIFEST_DIR"),
        "tests/car_fuzz/regressions",
        folder,
    ]
    .iter()
    .collect();
    let mut texts: Vec<(String, String)> = std::fs::read_dir(path)
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            let bytes = std::fs::read(&path).unwrap();
            (
                path.display().to_string(),
                String::from_utf8_lossy(&bytes).into_owned(),
            )
        })
        .collect();
    texts.sort();
    assert!(!texts.is_empty());
    texts
}

/// Runs the stored inputs of a folder and numbered cases: `make` writes an input, `check` panics
/// where it breaks a promise.
pub fn run(
    folder: &str,
    default: u64,
    make: impl Fn(&mut ChaCha8Rng) -> String + Sync,
    check: impl Fn(&str, &mut ChaCha8Rng) -> Ended + Sync,
) -> Counts {
    let one = |counts: &mut Counts, name: &dyn Fn() -> String, text: &str, rng: &mut ChaCha8Rng| {
        let start = Instant::now();
        match catch_unwind(AssertUnwindSafe(|| check(text, rng))) {
            Ok(ended) => counts.add(ended, start.elapsed(), name),
            Err(panic) => {
                eprintln!("{folder}: {} failed with\n{text:?}", name());
                resume_unwind(panic);
            }
        }
    };
    let mut counts = Counts::default();
    for (name, text) in regressions(folder) {
        one(&mut counts, &|| name.clone(), &text, &mut generator(0));
    }
    let Range { start, end } = numbers(default);
    let next = AtomicU64::new(start);
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        let work = || {
            let mut counts = Counts::default();
            loop {
                let case = next.fetch_add(1, Ordering::Relaxed);
                if case >= end {
                    return counts;
                }
                let mut rng = generator(case);
                let text = make(&mut rng);
                let name = || format!("case {case}");
                one(&mut counts, &name, &text, &mut rng);
            }
        };
        let running: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        for thread in running {
            counts.join(thread.join().unwrap_or_else(|panic| resume_unwind(panic)));
        }
    });
    let (took, slowest) = counts.slowest.clone().unwrap_or_default();
    println!(
        "{folder}: cases {start} to {end}: {} accepted, {} refused; the slowest took {took:?}: {slowest}",
        counts.accepted, counts.refused,
    );
    counts
}
