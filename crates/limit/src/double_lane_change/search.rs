//! The search for the fastest way through.
//!
//! Unknowns are the entry speed, the entry's offset and the coefficients of the steering, each in units of
//! its scale; the clearance of every cone and the sideslip's guard are the constraints of
//! [`axletree_numerics::sqp`]. First a place where every cone is cleared is found at a speed that is easy, from
//! steering that leads through the middles of the lanes; from there the speed is raised.

use axletree_scalar::elementary;
use nalgebra::{DMatrix, DVector};

use super::attempt::{Attempt, Design, Ground, Way};
use axletree_numerics::interrupt::Interrupt;
use axletree_numerics::sqp::{Climb, Place, Problem, Seen, Settings};
use axletree_simulation::outcome::Outcome;
use axletree_simulation::trace::Recorder;

/// Scales: speed [m/s], offset [m], steering coefficients [rad].
const SCALES: [f64; 3] = [1.0, 0.2, 0.4];
/// Steps of the differences [scales].
const DIFFERENCE: f64 = 1e-3;
/// Worth of clearance against speed [m/s per m]; three times what the cars tried need.
const WORTH: f64 = 150.0;
/// Weight on the squares of the steering's second differences [m/s per squared scale].
const SMOOTH: f64 = 1e-3;
/// Gain below which a step is not worth taking [m/s].
const LITTLE: f64 = 1e-3;
/// Clearance at which the easy speed is left [m].
const EASY: f64 = 0.10;
/// Clearance that may be missing at the end [m].
const SLACK: f64 = 5e-4;
/// Most steps tried of one climb.
const MOST_STEPS: usize = 80;
/// Meters of clearance that a sideslip short of its guard by a share of itself counts for.
const GUARD_WORTH: f64 = 0.2;

/// A search's end.
#[derive(Clone, Debug)]
pub struct Found {
    /// The best drive.
    pub attempt: Attempt,
    /// What clearance costs in speed: sum over the cones [m/s per m].
    pub price: f64,
    /// Steps tried.
    pub steps: usize,
    /// Whether nothing more was to be gained.
    pub settled: bool,
}

fn vector(design: &Design) -> DVector<f64> {
    let [v, y, c] = SCALES;
    DVector::from_iterator(
        2 + design.steering.len(),
        [design.speed / v, design.offset / y]
            .into_iter()
            .chain(design.steering.iter().map(|x| x / c)),
    )
}

fn design(p: &DVector<f64>) -> Design {
    let [v, y, c] = SCALES;
    Design {
        speed: p[0] * v,
        offset: p[1] * y,
        steering: p.iter().skip(2).map(|x| x * c).collect(),
    }
}

/// What is kept on the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kept {
    /// Clearance left at every cone [m].
    pub reserve: f64,
    /// Largest sideslip [rad].
    pub sideslip: f64,
}

/// The course with its constraints.
struct Through<'g, 'a> {
    ground: &'g Ground<'a>,
    kept: Kept,
    interrupt: Interrupt<'g>,
}

impl Through<'_, '_> {
    /// What a drive shows; none where it does not get through.
    fn seen<T>(&self, attempt: &Attempt, trail: T) -> Result<Option<Seen<T>>, Outcome> {
        match attempt.ending.outcome {
            Outcome::Interrupted => Err(Outcome::Interrupted),
            Outcome::Completed => {
                let clearances = attempt.clearances.iter();
                let mut g: Vec<f64> = clearances.map(|c| c - self.kept.reserve).collect();
                g.push(GUARD_WORTH * elementary::ln(self.kept.sideslip / attempt.sideslip));
                Ok(Some(Seen {
                    objective: attempt.design.speed,
                    constraints: DVector::from_vec(g),
                    trail,
                }))
            }
            _ => Ok(None),
        }
    }
}

impl Problem for Through<'_, '_> {
    type Trail = Way;
    type Error = Outcome;

    fn look(&self, p: &DVector<f64>) -> Result<Option<Seen<Way>>, Outcome> {
        let recorder = Recorder::of(&[]);
        let (attempt, way, _) = self.ground.attempt(&design(p), recorder, self.interrupt)?;
        self.seen(&attempt, way)
    }

    fn look_around(
        &self,
        place: &Place<Way>,
        neighbors: &[DVector<f64>],
    ) -> Result<Vec<Option<Seen>>, Outcome> {
        let designs: Vec<Design> = neighbors.iter().map(design).collect();
        let (base, way) = (design(&place.p), &place.seen.trail);
        let attempts = self
            .ground
            .attempts_near(&base, way, &designs, self.interrupt)?;
        attempts.iter().map(|a| self.seen(a, ())).collect()
    }
}

/// Rounds in which the first guess is led through the middles of the lanes, and what its steering costs
/// there against a meter off the middle [m^2 per squared scale].
const ROUNDS: usize = 3;
const EFFORT: f64 = 1e-3;

/// Leads a design through the middles of the lanes at its speed, by least squares.
fn led_through(
    ground: &Ground<'_>,
    guess: &Design,
    smooth: &DMatrix<f64>,
    interrupt: Interrupt<'_>,
) -> Result<Design, Outcome> {
    let mut p = vector(guess);
    let n = p.len();
    let off = |attempt: Attempt| match attempt.ending.outcome {
        Outcome::Interrupted => Err(Outcome::Interrupted),
        Outcome::Completed => Ok(Some(DVector::from_vec(attempt.off))),
        _ => Ok(None),
    };
    for _ in 0..ROUNDS {
        let base = design(&p);
        let (attempt, way, _) = ground.attempt(&base, Recorder::of(&[]), interrupt)?;
        let Some(here) = off(attempt)? else {
            break;
        };
        let moved = |j: usize| {
            let mut moved = p.clone();
            moved[j] += DIFFERENCE;
            design(&moved)
        };
        let designs: Vec<Design> = (1..n).map(moved).collect();
        let attempts = ground.attempts_near(&base, &way, &designs, interrupt)?;
        let mut slopes = DMatrix::zeros(here.len(), n - 1);
        for (j, attempt) in attempts.into_iter().enumerate() {
            let Some(there) = off(attempt)? else {
                return Ok(base);
            };
            slopes.set_column(j, &((there - &here) / DIFFERENCE));
        }
        let weight = (smooth / SMOOTH).view((1, 1), (n - 1, n - 1)) * EFFORT;
        let own = p.rows(1, n - 1).into_owned();
        let right = slopes.transpose() * here + &weight * own;
        let square = slopes.transpose() * &slopes + weight;
        let Some(step) = square.lu().solve(&right) else {
            break;
        };
        for j in 1..n {
            p[j] -= step[j - 1];
        }
    }
    Ok(design(&p))
}

/// Weights on the second differences of the unknowns from one on, and a little on each.
pub fn smoothing(n: usize, from: usize, weight: f64) -> DMatrix<f64> {
    let mut smooth = DMatrix::identity(n, n) * 1e-6;
    for i in from + 1..n - 1 {
        let row = DVector::from_fn(n, |j, _| match j {
            j if j == i => -2.0,
            j if j + 1 == i || j == i + 1 => 1.0,
            _ => 0.0,
        });
        smooth += weight * &row * row.transpose();
    }
    smooth
}

/// Finds the fastest way through, from a first guess at an easy speed.
pub fn search(
    ground: &Ground<'_>,
    guess: &Design,
    kept: Kept,
    interrupt: Interrupt<'_>,
) -> Result<Found, Outcome> {
    let settings = Settings {
        worth: WORTH,
        smooth: smoothing(2 + guess.steering.len(), 2, SMOOTH),
        difference: DIFFERENCE,
        little: LITTLE,
        most_steps: MOST_STEPS,
        // The speed stays easy.
        held: vec![0],
    };
    let guess = led_through(ground, guess, &settings.smooth, interrupt.quiet())?;
    let through = Through {
        ground,
        kept,
        interrupt: interrupt.quiet(),
    };
    let mut climb = Climb::new(&through, &settings, interrupt.quiet());
    let easy = climb.inside(&vector(&guess), EASY)?;
    if easy.least() < 0.0 {
        let clearances = &easy.seen.constraints;
        let i = clearances.imin();
        return Err(Outcome::ConeHit {
            number: i / 2 + 1,
            clearance: clearances[i] + kept.reserve,
        });
    }
    let found = climb.highest(easy)?;
    let (attempt, ..) = ground.attempt(
        &design(&found.place.p),
        Recorder::of(&[]),
        interrupt.quiet(),
    )?;
    Ok(Found {
        settled: found.settled && attempt.least() > kept.reserve - SLACK,
        attempt,
        price: found.prices.sum(),
        steps: found.steps,
    })
}
