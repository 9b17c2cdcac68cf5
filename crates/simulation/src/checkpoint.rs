//! Checkpoints of a simulation, so that a run whose inputs differ only after a station can restart
//! from one.
//!
//! A coefficient of a spline over the station has no effect before the station at which its basis
//! function begins. A drive with another coefficient there restarts from the last checkpoint
//! before: it takes the same steps as a drive from the start, and gives the same bits.

use crate::channels::Moment;
use crate::drive::join_states;

/// A checkpoint: the state at a station.
#[derive(Clone, Debug, PartialEq)]
pub struct Checkpoint<L, const N: usize> {
    /// Station of the car `[m]`.
    pub station: f64,
    /// Time `[s]`.
    pub time: f64,
    /// State of car and controls.
    pub state: [f64; N],
    /// Log of the drive up to here.
    pub log: L,
}

/// Checkpoints of one drive, at about even stations.
#[derive(Clone, Debug, PartialEq)]
pub struct Checkpoints<L, const N: usize> {
    taken: Vec<Checkpoint<L, N>>,
    first: f64,
    spacing: f64,
}

impl<L: Clone, const N: usize> Checkpoints<L, N> {
    /// No checkpoints yet; they begin at a station and are a spacing apart `[m]`.
    pub fn new(first: f64, spacing: f64) -> Self {
        Checkpoints {
            taken: Vec::new(),
            first,
            spacing,
        }
    }

    /// Adds a checkpoint if the car has reached the next station; `log` is the drive's log before
    /// this moment.
    pub fn observe<const K: usize>(
        &mut self,
        station: f64,
        moment: &Moment<'_>,
        own: &[f64; K],
        log: &L,
    ) {
        if station >= self.first + self.spacing * self.taken.len() as f64 {
            self.taken.push(Checkpoint {
                station,
                time: moment.time,
                state: join_states::<K, N>(moment.state, own),
                log: log.clone(),
            });
        }
    }

    /// The last checkpoint at or before a station `[m]`.
    pub fn before(&self, station: f64) -> Option<&Checkpoint<L, N>> {
        self.taken
            .iter()
            .rfind(|checkpoint| checkpoint.station <= station)
    }
}
