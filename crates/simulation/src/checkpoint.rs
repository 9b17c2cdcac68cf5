//! Where a drive came by, for drives that differ from it only later.
//!
//! A coefficient of a spline over the station moves nothing before the place where its share of the
//! curve begins. A drive with another coefficient there may start from the state in which the first one
//! came by: it takes the same steps as a drive from the start would, those before left out.

use crate::channels::Moment;
use crate::drive::join;

/// A state on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark<L, const N: usize> {
    /// How far the car was [m].
    pub station: f64,
    /// When [s].
    pub time: f64,
    /// State of car and controls.
    pub state: [f64; N],
    /// What the drive had been seen to do before.
    pub log: L,
}

/// States on the way, at about even stations.
#[derive(Clone, Debug, PartialEq)]
pub struct Trail<L, const N: usize> {
    marks: Vec<Mark<L, N>>,
    first: f64,
    spacing: f64,
}

impl<L: Clone, const N: usize> Trail<L, N> {
    /// Nothing yet; marks from a station on, a spacing apart [m].
    pub fn new(first: f64, spacing: f64) -> Self {
        Trail {
            marks: Vec::new(),
            first,
            spacing,
        }
    }

    /// The car comes by; `log` is what was seen of the drive before this moment.
    pub fn see<const K: usize>(
        &mut self,
        station: f64,
        moment: &Moment<'_>,
        own: &[f64; K],
        log: &L,
    ) {
        if station >= self.first + self.spacing * self.marks.len() as f64 {
            self.marks.push(Mark {
                station,
                time: moment.time,
                state: join::<K, N>(moment.state, own),
                log: log.clone(),
            });
        }
    }

    /// The last mark before a station [m].
    pub fn before(&self, station: f64) -> Option<&Mark<L, N>> {
        self.marks.iter().rfind(|mark| mark.station <= station)
    }
}
