//! A car's entries against what the maneuvers measure.

use axletree_maneuver::Maneuver;
use axletree_simulation::{Ending, Metric};
use axletree_vehicle::car::EntryValue;
use axletree_vehicle::car::unit::Unit;
use axletree_vehicle::{Car, CarError};

use crate::error::StudyError;
use crate::vary::{Design, Vary, combinations};
use crate::work::{Options, Settings, check, rows};

/// One column of settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// Dotted path of the entry.
    pub path: String,
    /// Its SI unit; empty for words.
    pub unit: String,
    /// What it means.
    pub meaning: String,
}

/// One column of results.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// Name of the maneuver.
    pub maneuver: &'static str,
    /// What is measured.
    pub metric: &'static Metric,
}

impl Column {
    /// The column's name: maneuver and metric, with a dot between.
    pub fn key(&self) -> String {
        format!("{}.{}", self.maneuver, self.metric.name)
    }
}

/// One row: a car's settings and what it did.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Value of every setting, as the car of this row has it; none where that car could not be built or was not begun.
    pub settings: Vec<Option<EntryValue>>,
    /// A value per column; not a number where the run gave none, and the ending says why.
    pub values: Vec<f64>,
    /// How each maneuver ended.
    pub endings: Vec<Ending>,
    /// What kept this row's car from being built.
    pub fault: Option<CarError>,
}

/// A sweep's table: as many rows as combinations, in their order.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Columns of settings.
    pub settings: Vec<Setting>,
    /// Number of values of every setting.
    pub sizes: Vec<usize>,
    /// How they are combined.
    pub design: Design,
    /// Names of the maneuvers, in the order of every row's endings.
    pub maneuvers: Vec<&'static str>,
    /// Columns of results.
    pub columns: Vec<Column>,
    /// Rows.
    pub rows: Vec<Row>,
}

pub(crate) fn columns(maneuvers: &[&dyn Maneuver]) -> Vec<Column> {
    maneuvers
        .iter()
        .flat_map(|m| {
            m.metrics().into_iter().map(|metric| Column {
                maneuver: m.name(),
                metric,
            })
        })
        .collect()
}

/// Sweeps entries of a car's description.
///
/// A car that cannot be built from its row's values keeps its row, with its faults; an interrupted
/// sweep keeps all rows too, the unfinished ones with the outcome "interrupted".
///
/// # Errors
/// [`StudyError`] for what is wrong with the request as a whole.
pub fn sweep(
    car: &Car,
    vary: &[Vary],
    design: Design,
    maneuvers: &[&dyn Maneuver],
    options: &Options<'_>,
) -> Result<Table, StudyError> {
    check(maneuvers)?;
    let combined = combinations(vary, design)?;
    let settings = vary
        .iter()
        .map(|one| {
            car.get(&one.path).map(|entry| Setting {
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
        .map(|done| Row {
            settings: done.settings.unwrap_or_else(|| vec![None; vary.len()]),
            values: done.values,
            endings: done.endings,
            fault: done.fault,
        })
        .collect();
    Ok(Table {
        settings,
        sizes: vary.iter().map(|v| v.values.len()).collect(),
        design,
        maneuvers: maneuvers.iter().map(|m| m.name()).collect(),
        columns: columns(maneuvers),
        rows,
    })
}
