//! Sweeps and comparisons: rows in order with their outcomes, whatever happens to a row, whatever
//! the threads.

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use axletree_maneuver::{Maneuver, Run, StepSteer};
use axletree_numerics::Interrupt;
use axletree_report::Quantity;
use axletree_simulation::{Ending, ManeuverError, Measures, Metric, Outcome};
use axletree_study::{StudyError, StudyOptions, SweepDesign, SweepTable, Vary, compare, sweep};
use axletree_vehicle::trim::{Condition, solve};
use axletree_vehicle::{Car, EntryValue, Model};
use axletree_vehicle::{Value, bundled};

static STEER: Metric = Metric {
    quantity: Quantity::new("steer", "rad", "steering-wheel angle that holds the corner")
        .after("this test"),
    floor: 1e-9,
    missing: "the car holds no such corner",
};

/// Holds one corner.
struct Corner {
    lateral_acceleration: f64,
}

impl Maneuver for Corner {
    fn name(&self) -> &'static str {
        "corner"
    }
    fn metrics(&self) -> Vec<&'static Metric> {
        vec![&STEER]
    }
    fn check(&self) -> Result<(), ManeuverError> {
        if self.lateral_acceleration > 0.0 {
            return Ok(());
        }
        Err(ManeuverError::Setting {
            maneuver: "corner",
            setting: "lateral_acceleration",
            value: self.lateral_acceleration,
            low: 0.0,
            high: 20.0,
            unit: "m/s2",
        })
    }
    fn measure_all(&self, models: &[&Model], _: Interrupt<'_>) -> Vec<Measures> {
        models.iter().map(|model| self.hold(model)).collect()
    }
    fn record(&self, _: &Model, _: Interrupt<'_>) -> Run {
        unreachable!("studies measure")
    }
}

impl Corner {
    fn hold(&self, model: &Model) -> Measures {
        let condition = Condition::cornering(20.0, self.lateral_acceleration);
        let ending = |outcome| Ending::at(outcome, 0.0);
        if let Ok(trim) = solve(model, condition) {
            let done = ending(Outcome::Completed);
            let mut measures = Measures::empty("corner", done, self.metrics());
            measures.set(&STEER, trim.inputs.steering_wheel);
            measures
        } else {
            let none = ending(Outcome::NoSteadyState {
                speed: 20.0,
                lateral_acceleration: self.lateral_acceleration,
            });
            Measures::empty("corner", none, self.metrics())
        }
    }
}

fn car(name: &str) -> Car {
    bundled(name).unwrap().unwrap()
}

fn vary(path: &str, values: &[&str]) -> Vary {
    Vary {
        path: path.to_owned(),
        values: values.iter().map(|v| Value::from(*v)).collect(),
    }
}

fn bars_and_pressures() -> Vec<Vary> {
    vec![
        vary("rear.bar.outer_diameter", &["18 mm", "22 mm", "26 mm"]),
        vary("front.tire.pressure", &["28 psi", "32 psi"]),
    ]
}

fn grid(options: &StudyOptions<'_>) -> SweepTable {
    let corner = Corner {
        lateral_acceleration: 5.0,
    };
    sweep(
        &car("bramble-solid"),
        &bars_and_pressures(),
        SweepDesign::Grid,
        &[&corner],
        options,
    )
    .unwrap()
}

#[test]
fn rows_come_in_order_with_the_same_bits_for_any_number_of_threads() {
    let alone = grid(&StudyOptions {
        threads: Some(1),
        ..StudyOptions::default()
    });
    let together = grid(&StudyOptions {
        threads: Some(4),
        ..StudyOptions::default()
    });
    assert_eq!(alone, together);
    assert_eq!(alone.rows.len(), 6);
    assert_eq!(alone.columns[0].key(), "corner.steer");
    assert_eq!(alone.settings[0].unit, "m");
    assert_eq!(alone.settings[1].unit, "Pa");
    // Every row is the car it says it is.
    for row in &alone.rows {
        let settings: Vec<f64> = row
            .settings
            .iter()
            .map(|s| match s {
                Some(axletree_vehicle::EntryValue::Number(x)) => *x,
                other => panic!("{other:?}"),
            })
            .collect();
        let same = car("bramble-solid")
            .edit([
                ("rear.bar.outer_diameter", settings[0]),
                ("front.tire.pressure", settings[1]),
            ])
            .unwrap();
        let trim = solve(&same.assemble().unwrap(), Condition::cornering(20.0, 5.0)).unwrap();
        assert!((trim.inputs.steering_wheel - row.values[0]).abs() < 1e-9);
    }
    // The sweep is no constant: rows differ.
    assert!((alone.rows[0].values[0] - alone.rows[5].values[0]).abs() > 1e-4);
}

#[test]
fn a_row_that_fails_stays_in_its_place() {
    let corner = Corner {
        lateral_acceleration: 5.0,
    };
    let table = sweep(
        &car("bramble-solid"),
        &[vary(
            "rear.bar.outer_diameter",
            &["22 mm", "-4 mm", "24 kg", "26 mm"],
        )],
        SweepDesign::Grid,
        &[&corner],
        &StudyOptions::default(),
    )
    .unwrap();
    assert_eq!(table.rows.len(), 4);
    for (i, row) in table.rows.iter().enumerate() {
        let broken = i == 1 || i == 2;
        assert_eq!(row.fault.is_some(), broken);
        assert_eq!(row.endings[0].outcome == Outcome::NotBuilt, broken);
        assert_eq!(row.values[0].is_finite(), !broken);
    }
    // A car that cannot hold the corner has its row too.
    let hard = Corner {
        lateral_acceleration: 15.0,
    };
    let table = sweep(
        &car("bramble-solid"),
        &bars_and_pressures(),
        SweepDesign::OneAtATime,
        &[&hard],
        &StudyOptions::default(),
    )
    .unwrap();
    // The car itself, then one row per value.
    assert_eq!(table.rows.len(), 6);
    assert!(
        table
            .rows
            .iter()
            .all(|r| r.endings[0].outcome.name() == "no_steady_state")
    );
}

/// A steering rate too slow for the angle that a car needs is that car's outcome, with its numbers,
/// not an interruption; cars with a quicker steering ratio complete beside it.
#[test]
fn steering_too_slow_for_one_car_is_its_outcome() {
    let slow = StepSteer {
        steering_rate: 0.36,
        ..StepSteer::default()
    };
    let ratios = Vary {
        path: "steering.ratio".to_owned(),
        values: [10.0, 15.0, 20.0, 25.0].map(Value::from).to_vec(),
    };
    let table = sweep(
        &car("bramble-solid"),
        &[ratios],
        SweepDesign::Grid,
        &[&slow],
        &StudyOptions::default(),
    )
    .unwrap();
    let names: Vec<&str> = (table.rows.iter())
        .map(|row| row.endings[0].outcome.name())
        .collect();
    let done = "completed";
    assert_eq!(names, [done, done, done, "steering_too_slow"]);
    let told = table.rows[3].endings[0].outcome.to_string();
    assert!(told.contains("2.00 s"), "{told}");
    assert!(table.rows[3].values.iter().all(|v| v.is_nan()));
}

/// The values of the settings of a row as numbers, NaN where there is none.
fn numbers(row: &axletree_study::SweepRow) -> Vec<f64> {
    let number = |setting: &Option<EntryValue>| match setting {
        Some(EntryValue::Number(x)) => *x,
        None => f64::NAN,
        other => panic!("{other:?}"),
    };
    row.settings.iter().map(number).collect()
}

/// A row whose car was not built keeps the value that was asked for, in the unit of the column.
#[test]
#[expect(clippy::float_cmp, reason = "read and written by the same rule")]
fn a_row_that_was_not_built_keeps_what_was_asked_for() {
    let corner = Corner {
        lateral_acceleration: 5.0,
    };
    let solid = car("bramble-solid");
    let bar = Vary {
        path: "rear.bar.outer_diameter".to_owned(),
        values: vec![
            Value::from("20 mm"),
            Value::from("1 m"),
            Value::from(2.0),
            Value::from("24 kg"),
            Value::from("thick"),
            Value::from(true),
        ],
    };
    let pressure = vary("front.tire.pressure", &["200 kPa"]);
    let differential = vary("rear.differential.type", &["locked", "welded"]);
    let options = StudyOptions::default();
    let asked = [bar.clone(), pressure];
    let table = sweep(&solid, &asked, SweepDesign::Grid, &[&corner], &options).unwrap();
    assert!(table.settings.iter().all(|column| column.is_number));
    let rows: Vec<Vec<f64>> = table.rows.iter().map(numbers).collect();
    assert_eq!(rows[..3], [[0.02, 2e5], [1.0, 2e5], [2.0, 2e5]]);
    assert!(rows[3..].iter().all(|row| row[0].is_nan() && row[1] == 2e5));
    let built = table.rows.iter().map(|row| row.fault.is_none());
    assert_eq!(built.filter(|built| *built).count(), 1);
    // One at a time, the other entries are the car's own; words stay words.
    let asked = [bar, differential];
    let design = SweepDesign::OneAtATime;
    let table = sweep(&solid, &asked, design, &[&corner], &options).unwrap();
    assert!(!table.settings[1].is_number && table.settings[1].unit.is_empty());
    let Some(EntryValue::Text(own)) = solid.get("rear.differential.type").unwrap().value else {
        panic!("the type of a differential is a word");
    };
    let word = |row: usize| table.rows[row].settings[1].clone();
    // The first row is the car itself.
    assert!(table.rows[2].fault.is_some() && table.rows[8].fault.is_some());
    assert_eq!(word(2), Some(EntryValue::Text(own)));
    assert_eq!(word(8), Some(EntryValue::Text("welded".to_owned())));
    let own = solid.get("rear.bar.outer_diameter").unwrap().value;
    assert_eq!(table.rows[8].settings[0], own);
}

/// Combinations are found when their row is: a million of them stop at once, and their rows are all
/// there.
#[test]
fn a_million_combinations_stop_at_once() {
    let corner = Corner {
        lateral_acceleration: 5.0,
    };
    let many = |path: &str, least: f64, step: f64| {
        Vary::new(path, (0..1000).map(|i| least + step * f64::from(i)))
    };
    let asked = [
        many("air.drag_area", 0.5, 1e-4),
        many("front.tire.pressure", 2e5, 1.0),
    ];
    let stop = || true;
    let options = StudyOptions {
        threads: Some(2),
        interrupt: Interrupt::when(&stop),
    };
    let solid = car("bramble-solid");
    let table = sweep(&solid, &asked, SweepDesign::Grid, &[&corner], &options).unwrap();
    assert_eq!(table.rows.len(), 1_000_000);
    for (number, row) in table.rows.iter().enumerate().step_by(99_991) {
        assert_eq!(row.endings[0].outcome, Outcome::Interrupted);
        let [drag, pressure] = numbers(row)[..] else {
            panic!("two settings")
        };
        assert!((drag - 0.5 - 1e-4 * (number / 1000) as f64).abs() < 1e-12);
        assert!((pressure - 2e5 - (number % 1000) as f64).abs() < 1e-6);
    }
    // One more is too many.
    let mut more = asked.to_vec();
    more[0].values.push(Value::from(0.9));
    let error = sweep(&solid, &more, SweepDesign::Grid, &[&corner], &options).unwrap_err();
    assert!(error.to_string().contains("1001000 rows"), "{error}");
    // Rows that start are built and driven, as far as the study comes.
    let asked_for = AtomicUsize::new(0);
    let stop = || asked_for.fetch_add(1, Ordering::Relaxed) > 20;
    let options = StudyOptions {
        threads: Some(1),
        interrupt: Interrupt::when(&stop),
    };
    let table = sweep(&solid, &asked, SweepDesign::Grid, &[&corner], &options).unwrap();
    let driven = table.rows.iter().filter(|row| row.values[0].is_finite());
    assert!((5..20).contains(&driven.count()));
}

/// Names of many cars are compared without looking at every pair.
#[test]
fn a_hundred_thousand_cars_of_different_names() {
    let corner = Corner {
        lateral_acceleration: 5.0,
    };
    let solid = car("bramble-solid");
    let mut cars: Vec<_> = (0..100_000)
        .map(|i| (i.to_string(), Ok(solid.clone())))
        .collect();
    let stop = || true;
    let options = StudyOptions {
        threads: None,
        interrupt: Interrupt::when(&stop),
    };
    let table = compare(&cars, &[&corner], &options).unwrap();
    assert_eq!(table.names.len(), 100_000);
    cars[99_999].0 = "17".to_owned();
    let error = compare(&cars, &[&corner], &options).unwrap_err();
    assert!(error.to_string().contains("\"17\""), "{error}");
}

#[test]
fn interrupted_sweeps_keep_their_rows_and_progress_reaches_the_end() {
    // Stopped as soon as a row is told to be done.
    let done = AtomicBool::new(false);
    let stop = || done.load(Ordering::SeqCst);
    let first_row = |_: f64| done.store(true, Ordering::SeqCst);
    let table = grid(&StudyOptions {
        threads: Some(1),
        interrupt: Interrupt::when(&stop).with_progress(&first_row),
    });
    assert_eq!(table.rows.len(), 6);
    let interrupted =
        |row: &axletree_study::SweepRow| row.endings[0].outcome == Outcome::Interrupted;
    assert!(!interrupted(&table.rows[0]) && interrupted(&table.rows[5]));

    let shares = Mutex::new(Vec::new());
    let tell = |share: f64| shares.lock().unwrap().push(share);
    grid(&StudyOptions {
        threads: Some(2),
        interrupt: Interrupt::never().with_progress(&tell),
    });
    let shares = shares.into_inner().unwrap();
    assert_eq!(shares.len(), 6);
    assert!(shares.contains(&1.0));
}

#[test]
fn comparison_holds_a_column_a_car() {
    let corner = Corner {
        lateral_acceleration: 5.0,
    };
    let cars = [
        ("solid".to_owned(), Ok(car("bramble-solid"))),
        ("independent".to_owned(), Ok(car("bramble-independent"))),
    ];
    let table = compare(&cars, &[&corner], &StudyOptions::default()).unwrap();
    assert_eq!(table.names, ["solid", "independent"]);
    let [solid, independent] = table.values[0][..] else {
        panic!("two values");
    };
    assert!((solid - independent).abs() > 1e-6 && solid > 0.0);
    assert!(table.endings[0].iter().all(|e| e.outcome.is_completed()));
}

/// A car that cannot be built keeps its column, with its faults; the others have the values that
/// they have without it.
#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn a_car_that_cannot_be_built_keeps_its_column() {
    let corner = Corner {
        lateral_acceleration: 5.0,
    };
    let solid = car("bramble-solid");
    let bar = "rear.bar.outer_diameter";
    let cars = [
        ("good".to_owned(), Ok(solid.clone())),
        ("bad".to_owned(), solid.edit([(bar, "1 m")])),
        ("thick".to_owned(), solid.edit([(bar, "26 mm")])),
    ];
    let table = compare(&cars, &[&corner], &StudyOptions::default()).unwrap();
    assert_eq!(table.names, ["good", "bad", "thick"]);
    let names = [0, 1, 2].map(|i| table.endings[0][i].outcome.name());
    assert_eq!(names, ["completed", "not_built", "completed"]);
    let fault = table.faults[1].as_ref().unwrap().to_string();
    assert!(fault.contains(bar), "{fault}");
    assert!(table.faults[0].is_none() && table.faults[2].is_none());
    assert!(table.values[0][1].is_nan());
    let without = [cars[0].clone(), cars[2].clone()];
    let without = compare(&without, &[&corner], &StudyOptions::default()).unwrap();
    assert_eq!(
        [table.values[0][0], table.values[0][2]],
        without.values[0][..]
    );
}

#[test]
fn requests_that_make_no_sense_are_errors() {
    let corner = Corner {
        lateral_acceleration: 5.0,
    };
    let wrong = Corner {
        lateral_acceleration: -1.0,
    };
    let solid = car("bramble-solid");
    let options = StudyOptions::default();
    let bars = bars_and_pressures();
    let message = |result: Result<SweepTable, StudyError>| result.unwrap_err().to_string();

    let none = message(sweep(&solid, &bars, SweepDesign::Grid, &[], &options));
    assert!(none.contains("maneuver"), "{none}");
    let setting = message(sweep(&solid, &bars, SweepDesign::Grid, &[&wrong], &options));
    assert!(setting.contains("lateral_acceleration"), "{setting}");
    let twice = message(sweep(
        &solid,
        &bars,
        SweepDesign::Grid,
        &[&corner, &corner],
        &options,
    ));
    assert!(twice.contains("\"corner\""), "{twice}");
    let unknown = [vary("rear.bar.outer_diametre", &["22 mm"])];
    let path = message(sweep(
        &solid,
        &unknown,
        SweepDesign::Grid,
        &[&corner],
        &options,
    ));
    assert!(path.contains("outer_diameter"), "no suggestion in: {path}");

    let same = [
        ("a".to_owned(), Ok(solid.clone())),
        ("a".to_owned(), Ok(solid)),
    ];
    let error = compare(&same, &[&corner], &options).unwrap_err();
    assert!(matches!(error, StudyError::Twice { .. }));
    let empty = compare(&[], &[&corner], &options).unwrap_err();
    assert!(matches!(empty, StudyError::Empty { .. }));
}
