//! Entries of one car, varied.

use axletree_maneuver::Maneuver;
use axletree_simulation::{Ending, Metric};
use axletree_vehicle::EntryValue;
use axletree_vehicle::unit::Unit;
use axletree_vehicle::{Car, CarError};

use crate::error::StudyError;
use crate::vary::{SweepDesign, Vary, combinations};
use crate::work::{Settings, StudyOptions, check, rows};

/// One column of settings.
#[derive(Clone, Debug, PartialEq)]
pub struct SettingColumn {
    /// Dotted path of the entry.
    pub path: String,
    /// SI unit; empty for words.
    pub unit: String,
    /// Meaning of the entry.
    pub meaning: String,
}

/// One column of results.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MetricColumn {
    /// Name of the maneuver.
    pub maneuver: &'static str,
    /// The metric.
    pub metric: &'static Metric,
}

impl MetricColumn {
    /// Key of the column: maneuver, dot, metric.
    pub fn key(&self) -> String {
        format!("{}.{}", self.maneuver, self.metric.name())
    }
}

/// One row: the settings of a car and its results.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepRow {
    /// Value of every setting in the car of this row; none where that car could not be built, or
    /// the row was interrupted before it started.
    pub settings: Vec<Option<EntryValue>>,
    /// A value per column; not a number where the run gave none, with the reason in the ending.
    pub values: Vec<f64>,
    /// Ending of each maneuver.
    pub endings: Vec<Ending>,
    /// Why this row's car could not be built, where it could not.
    pub fault: Option<CarError>,
}

/// Results of a sweep: one row per combination, in their order.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepTable {
    /// Columns of settings.
    pub settings: Vec<SettingColumn>,
    /// Number of values of every setting.
    pub sizes: Vec<usize>,
    /// Combination of the values.
    pub design: SweepDesign,
    /// Names of the maneuvers, in the order of every row's endings.
    pub maneuvers: Vec<&'static str>,
    /// Columns of results.
    pub columns: Vec<MetricColumn>,
    /// Rows.
    pub rows: Vec<SweepRow>,
}

/// The columns of results of the maneuvers.
pub(crate) fn columns(maneuvers: &[&dyn Maneuver]) -> Vec<MetricColumn> {
    maneuvers
        .iter()
        .flat_map(|m| {
            m.metrics().into_iter().map(|metric| MetricColumn {
                maneuver: m.name(),
                metric,
            })
        })
        .collect()
}

/// Drives a car through every maneuver for every combination of the varied entries.
///
/// A car that cannot be built from its row's values keeps its row, with its faults. An interrupted
/// sweep keeps all rows, the unfinished ones with the outcome "interrupted".
///
/// # Errors
/// [`StudyError`] for a request without entries, values or maneuvers, for two of the same name, for
/// an entry that does not exist, for too many rows, and for settings of a maneuver that fail its
/// check.
///
/// ```
/// use axletree_maneuver::Circle;
/// use axletree_study::{SweepDesign, StudyOptions, Vary, sweep};
/// use axletree_vehicle::{Value, bundled};
///
/// let car = bundled("bramble-solid").expect("a bundled car")?;
/// let bars = Vary {
///     path: "rear.bar.outer_diameter".to_owned(),
///     values: ["18 mm", "26 mm"].map(Value::from).to_vec(),
/// };
/// let circle = Circle::default();
/// let table = sweep(&car, &[bars], SweepDesign::Grid, &[&circle], &StudyOptions::default())?;
/// assert_eq!(table.rows.len(), 2);
/// assert!(table.rows[0].endings[0].outcome.is_completed());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn sweep(
    car: &Car,
    vary: &[Vary],
    design: SweepDesign,
    maneuvers: &[&dyn Maneuver],
    options: &StudyOptions<'_>,
) -> Result<SweepTable, StudyError> {
    check(maneuvers)?;
    let combined = combinations(vary, design)?;
    let settings = vary
        .iter()
        .map(|one| {
            car.get(&one.path).map(|entry| SettingColumn {
                path: entry.path,
                unit: Unit::parse(entry.unit)
                    .map_or_else(|_| String::new(), |u| u.dimension.si_unit()),
                meaning: entry.meaning.to_string(),
            })
        })
        .collect::<Result<Vec<_>, _>>()?;

    let edited = |row: usize| {
        let changes = combined[row]
            .iter()
            .zip(vary)
            .filter_map(|(index, one)| index.map(|i| (one.path.as_str(), one.values[i].clone())));
        let own = car.edit(changes)?;
        let settings: Settings = vary
            .iter()
            .map(|one| own.get(&one.path).ok()?.value)
            .collect();
        Ok((own, settings))
    };
    let done = rows(combined.len(), edited, maneuvers, options)?;
    let rows = done
        .into_iter()
        .map(|done| SweepRow {
            settings: done.settings.unwrap_or_else(|| vec![None; vary.len()]),
            values: done.values,
            endings: done.endings,
            fault: done.fault,
        })
        .collect();
    Ok(SweepTable {
        settings,
        sizes: vary.iter().map(|v| v.values.len()).collect(),
        design,
        maneuvers: maneuvers.iter().map(|m| m.name()).collect(),
        columns: columns(maneuvers),
        rows,
    })
}
