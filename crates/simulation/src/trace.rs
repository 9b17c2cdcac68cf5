//! Recorded time histories.

use axletree_vehicle::Model;
use axletree_vehicle::model::{Evaluation, Flat, Observation, Road};

use crate::channels::{ALL, Channel, ChannelSource, FOR_METRICS, Moment, Snapshot};

/// Samples of a drive, about at most: a longer or finer one is recorded at every so many steps, so
/// that no setting decides how much memory its records take.
pub const MOST_SAMPLES: usize = 100_000;

/// Time histories by columns.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trace {
    /// Times of the samples, rising `[s]`.
    pub time: Vec<f64>,
    /// The recorded channels.
    pub channels: Vec<&'static Channel>,
    /// A column for every channel, as long as `time`.
    pub columns: Vec<Vec<f64>>,
}

impl Trace {
    /// The column of a channel, by name; none where it was not recorded.
    pub fn get(&self, name: &str) -> Option<&[f64]> {
        let i = self.channels.iter().position(|c| c.name() == name)?;
        Some(&self.columns[i])
    }

    /// Adds a column that a maneuver computed.
    ///
    /// # Panics
    /// If it is not as long as the time.
    pub fn add(&mut self, channel: &'static Channel, column: Vec<f64>) {
        assert_eq!(
            column.len(),
            self.time.len(),
            "column of {}",
            channel.name()
        );
        self.channels.push(channel);
        self.columns.push(column);
    }
}

/// Recorder of a trace, filled while a car is driven.
#[derive(Clone, Debug)]
pub struct Recorder {
    trace: Trace,
    observes: bool,
}

impl Recorder {
    /// A recorder of the channels of step-response metrics: none costs another evaluation of the
    /// car.
    pub fn metrics() -> Self {
        Self::of(FOR_METRICS)
    }

    /// A recorder of every channel.
    pub fn everything() -> Self {
        Self::of(ALL)
    }

    /// A recorder of the given channels.
    pub fn of(channels: &[&'static Channel]) -> Self {
        Recorder {
            observes: channels
                .iter()
                .any(|c| matches!(c.source, ChannelSource::Observed(_))),
            trace: Trace {
                time: Vec::new(),
                channels: channels.to_vec(),
                columns: vec![Vec::new(); channels.len()],
            },
        }
    }

    /// Reserves room for a number of samples.
    pub fn reserve(&mut self, samples: usize) {
        self.trace.time.reserve(samples);
        for column in &mut self.trace.columns {
            column.reserve(samples);
        }
    }

    /// Records one sample on a flat road; a second one at the same time replaces the first.
    pub fn record(&mut self, model: &Model, moment: &Moment<'_>) {
        self.record_on(model, &Flat, moment);
    }

    /// Records one sample on a road, as [`Self::record`] does.
    pub fn record_on(&mut self, model: &Model, road: &dyn Road<f64>, moment: &Moment<'_>) {
        let evaluation = self
            .observes
            .then(|| model.evaluate_on(moment.state, moment.inputs, road));
        self.record_evaluated(model, moment, evaluation.as_ref());
    }

    /// Whether a channel needs a full evaluation of the car.
    pub fn observes(&self) -> bool {
        self.observes
    }

    /// Records one sample with the evaluation of the car at this moment; without one, channels that
    /// need it are NaN.
    pub fn record_evaluated(
        &mut self,
        model: &Model,
        moment: &Moment<'_>,
        evaluation: Option<&Evaluation<f64>>,
    ) {
        if self.trace.time.last() == Some(&moment.time) {
            self.trace.time.pop();
            for column in &mut self.trace.columns {
                column.pop();
            }
        }
        let snapshot = evaluation
            .filter(|_| self.observes)
            .map(|evaluation| Snapshot {
                observation: Observation::of(&model.numbers, moment.state, evaluation),
                evaluation: *evaluation,
            });
        self.trace.time.push(moment.time);
        for (channel, column) in self.trace.channels.iter().zip(&mut self.trace.columns) {
            column.push(match (channel.source, &snapshot) {
                (ChannelSource::Motion(read), _) => read(moment),
                (ChannelSource::Observed(read), Some(snapshot)) => read(snapshot),
                _ => f64::NAN,
            });
        }
    }

    /// The trace so far.
    pub fn trace(&self) -> &Trace {
        &self.trace
    }

    /// The trace.
    pub fn finish(self) -> Trace {
        self.trace
    }
}
