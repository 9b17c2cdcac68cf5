//! Entries of one car, varied.

use axletree_maneuver::Maneuver;
use axletree_simulation::{Ending, Metric};
use axletree_vehicle::unit::{Unit, quantity};
use axletree_vehicle::{Car, CarError, Entry, EntryValue, Value};

use crate::error::StudyError;
use crate::vary::{Combinations, SweepDesign, Vary};
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
    /// Whether the entry is a number; else it is a word or a text.
    pub is_number: bool,
}

/// A varied entry as the car has it, with its values as far as they can be read without building a
/// car.
struct VariedEntry {
    column: SettingColumn,
    /// The car's own value.
    own: Option<EntryValue>,
    requested: Vec<Option<EntryValue>>,
}

impl VariedEntry {
    fn of(entry: Entry, values: &[Value]) -> Self {
        let unit = Unit::parse(entry.unit).ok();
        let is_number = entry.allowed.is_some();
        let requested = values
            .iter()
            .map(|value| match value {
                Value::Number(si) if is_number => Some(EntryValue::Number(*si)),
                Value::Text(text) if is_number => {
                    let (si, _, read) = quantity(text).ok()?;
                    let dimension = unit.as_ref()?.dimension;
                    (read.dimension == dimension).then_some(EntryValue::Number(si))
                }
                Value::Text(text) => Some(EntryValue::Text(text.clone())),
                _ => None,
            })
            .collect();
        VariedEntry {
            column: SettingColumn {
                path: entry.path,
                unit: unit.map_or_else(String::new, |unit| unit.dimension.si_unit()),
                meaning: entry.meaning.to_string(),
                is_number,
            },
            own: entry.value,
            requested,
        }
    }

    /// The value asked for, or the car's own.
    fn asked(&self, index: Option<usize>) -> Option<EntryValue> {
        let asked = index.map_or(&self.own, |index| &self.requested[index]);
        asked.clone()
    }
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
    /// Value of every setting in the car of this row, or as asked for where no car was built; none
    /// for an absent entry and for a text that holds no value of the entry's kind.
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
/// an entry that does not exist, for too many rows or threads, and for settings of a maneuver that
/// fail its check.
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
    check(maneuvers, options)?;
    let combined = Combinations::of(vary, design)?;
    let varied = vary
        .iter()
        .map(|one| Ok(VariedEntry::of(car.get(&one.path)?, &one.values)))
        .collect::<Result<Vec<_>, CarError>>()?;

    let edited = |row: usize| {
        let indices = combined.row(row);
        let changes = indices
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
    let asked = |row: usize| {
        let indices = combined.row(row).into_iter();
        varied
            .iter()
            .zip(indices)
            .map(|(v, i)| v.asked(i))
            .collect()
    };
    let rows = rows(combined.rows(), edited, maneuvers, options)
        .into_iter()
        .enumerate()
        .map(|(row, done)| SweepRow {
            settings: done.settings.unwrap_or_else(|| asked(row)),
            values: done.values,
            endings: done.endings,
            fault: done.fault,
        })
        .collect();
    Ok(SweepTable {
        settings: varied.into_iter().map(|v| v.column).collect(),
        sizes: vary.iter().map(|v| v.values.len()).collect(),
        design,
        maneuvers: maneuvers.iter().map(|m| m.name()).collect(),
        columns: columns(maneuvers),
        rows,
    })
}
