//! Golden outputs: every bundled car through every maneuver, bit for bit.
//!
//! The table is `tests/golden/table.csv`: one row a number, written with the fewest digits that
//! give the same bits back. `tests/golden/reasons.csv` holds one line for every time that numbers
//! moved: the table's fingerprint, how many numbers moved, and why. With `AXLETREE_GOLDEN=write`
//! the table is written anew; the test then fails until the fingerprint and its reason stand in the
//! list.
//!
//! The bits are the same at every width of the vectors (`AXLETREE_WIDTH`). Without vectors the
//! searches take minutes, so there they are made with two cars only; `AXLETREE_GOLDEN=whole` makes
//! them all.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use axletree_limit::{CornerExit, DoubleLaneChange, Slalom};
use axletree_maneuver::CircleMethod;
use axletree_maneuver::{
    AccelerationEnvelope, BrakingInATurn, BumpInACorner, Circle, FollowPath, FrequencyMethod,
    FrequencyResponse, Launch, LaunchMethod, LiftOffInATurn, Maneuver, RoughCorner, SineWithDwell,
    StepSteer,
};
use axletree_numerics::Interrupt;
use axletree_scalar::Width;
use axletree_simulation::Path;
use axletree_simulation::road::{ObstacleShape, ObstacleWheels};
use axletree_vehicle::Model;
use axletree_vehicle::{BUNDLED, Car};

/// Every maneuver, with a label that tells its settings apart.
fn maneuvers() -> Vec<(&'static str, Box<dyn Maneuver>)> {
    let points: Vec<[f64; 2]> = (0..=30)
        .map(|i| f64::from(i) * 4.0)
        .map(|x| [x, 3.0 * (x / 60.0) * (1.0 - x / 120.0)])
        .collect();
    vec![
        ("step_steer", Box::new(StepSteer::default())),
        ("circle", Box::new(Circle::default())),
        (
            "circle of constant speed to the right",
            Box::new(Circle {
                method: CircleMethod::ConstantSpeed(20.0),
                to_left: false,
                ..Circle::default()
            }),
        ),
        ("frequency_response", Box::new(FrequencyResponse::default())),
        (
            "frequency_response by a swept sine",
            Box::new(FrequencyResponse {
                method: FrequencyMethod::SweptSine {
                    lateral_acceleration: 4.0,
                    duration: 6.0,
                },
                frequencies: [0.5, 3.0],
                points: 9,
                ..FrequencyResponse::default()
            }),
        ),
        ("sine_with_dwell", Box::new(SineWithDwell::default())),
        ("braking_in_a_turn", Box::new(BrakingInATurn::default())),
        (
            "lift_off_in_a_turn",
            Box::new(LiftOffInATurn {
                lateral_acceleration: -6.0,
                ..LiftOffInATurn::default()
            }),
        ),
        ("bump_in_a_corner", Box::new(BumpInACorner::default())),
        (
            "bump_in_a_corner over a kerb",
            Box::new(BumpInACorner {
                shape: ObstacleShape::Kerb {
                    height: 0.06,
                    slope: 0.2,
                    length: 0.5,
                },
                under: ObstacleWheels::Left,
                lateral_acceleration: -7.0,
                ..BumpInACorner::default()
            }),
        ),
        ("rough_corner", Box::new(RoughCorner::default())),
        ("launch", Box::new(Launch::default())),
        (
            "launch by a dumped clutch",
            Box::new(Launch {
                method: LaunchMethod::DumpedClutch(0.1),
                ..Launch::default()
            }),
        ),
        (
            "follow_path",
            Box::new(FollowPath::new(Path::through(&points).unwrap(), 14.0)),
        ),
        (
            "acceleration_envelope",
            Box::new(AccelerationEnvelope::default()),
        ),
        ("slalom", Box::new(Slalom::default())),
        ("corner_exit", Box::new(CornerExit::default())),
        ("double_lane_change", Box::new(DoubleLaneChange::default())),
    ]
}

fn cars() -> Vec<(String, Model)> {
    let mut cars: Vec<(String, Car)> = BUNDLED
        .iter()
        .map(|(name, text)| {
            (
                (*name).to_owned(),
                Car::from_toml(text, Some(name)).unwrap(),
            )
        })
        .collect();
    cars.sort_by(|a, b| a.0.cmp(&b.0));
    cars.into_iter()
        .map(|(name, car)| (name, car.assemble().unwrap()))
        .collect()
}

/// Rows "car,maneuver,quantity" with their values.
type Table = BTreeMap<String, String>;

/// The fewest digits that give the same bits back; every NaN alike.
fn digits(x: f64) -> String {
    format!("{x:?}")
}

fn measure(car: &str, label: &str, maneuver: &dyn Maneuver, model: &Model) -> Table {
    let measures = maneuver.measure(model, Interrupt::never()).unwrap();
    let key = |quantity: &str| format!("{car},{label},{quantity}");
    let mut rows = Table::new();
    rows.insert(key("outcome"), measures.ending.outcome.name().to_owned());
    rows.insert(key("end"), digits(measures.ending.time));
    for (metric, value) in &measures.values {
        rows.insert(key(metric.name()), digits(*value));
    }
    rows
}

/// Searches for a limit, which take longest.
const SEARCHES: [&str; 3] = ["slalom", "corner_exit", "double_lane_change"];

/// Cars whose searches are made even without vectors.
const ALWAYS: [&str; 2] = ["bramble-solid", "bramble-independent"];

/// Whether a run is left out: a search without vectors.
fn left_out(car: &str, label: &str, asked: Option<&str>) -> bool {
    Width::best() == Width::One
        && asked != Some("whole")
        && SEARCHES.contains(&label)
        && !ALWAYS.contains(&car)
}

fn computed(asked: Option<&str>) -> Table {
    let cars = cars();
    let maneuvers = maneuvers();
    let table = Mutex::new(Table::new());
    // The longest first, so that the threads end together.
    let jobs: Vec<_> = (0..maneuvers.len())
        .rev()
        .flat_map(|m| (0..cars.len()).map(move |c| (c, m)))
        .filter(|&(c, m)| !left_out(&cars[c].0, maneuvers[m].0, asked))
        .collect();
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, std::num::NonZero::get) {
            scope.spawn(|| {
                while let Some(&(c, m)) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let (car, model) = &cars[c];
                    let (label, maneuver) = &maneuvers[m];
                    let rows = measure(car, label, maneuver.as_ref(), model);
                    table.lock().unwrap().extend(rows);
                }
            });
        }
    });
    let mut table = table.into_inner().unwrap();
    for (car, model) in &cars {
        for figure in model.static_sheet().unwrap().figures.0 {
            let key = format!("{car},static_sheet,{}", figure.quantity.key);
            table.insert(key, digits(figure.value.unwrap()));
        }
    }
    table
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/golden")
}

fn written(table: &Table) -> String {
    let mut text = "car,maneuver,quantity,value\n".to_owned();
    for (key, value) in table {
        writeln!(text, "{key},{value}").unwrap();
    }
    text
}

/// FNV-1a of the table's text, for the list of reasons.
fn fingerprint(text: &str) -> String {
    let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    format!("{hash:016x}")
}

/// Rows that differ, each "key: old -> new".
fn moved(old: &str, new: &str) -> Vec<String> {
    let rows = |text: &str| -> Table {
        text.lines()
            .filter_map(|line| line.rsplit_once(','))
            .map(|(key, value)| (key.to_owned(), value.to_owned()))
            .collect()
    };
    let (old, new) = (rows(old), rows(new));
    let keys: std::collections::BTreeSet<&String> = old.keys().chain(new.keys()).collect();
    let none = "absent".to_owned();
    keys.into_iter()
        .filter(|key| old.get(*key) != new.get(*key))
        .map(|key| {
            let [a, b] = [&old, &new].map(|table| table.get(key).unwrap_or(&none));
            format!("{key}: {a} -> {b}")
        })
        .collect()
}

#[test]
fn golden_bundled_cars_through_every_maneuver() {
    let path = folder().join("table.csv");
    let old = std::fs::read_to_string(&path).unwrap_or_default();
    let asked = std::env::var("AXLETREE_GOLDEN").ok();
    let asked = asked.as_deref();
    let mut table = computed(asked);
    // Rows that were left out count as they stand.
    let mut kept = 0;
    for (key, value) in old.lines().filter_map(|line| line.rsplit_once(',')) {
        let mut names = key.split(',');
        let (car, label) = (names.next().unwrap_or(""), names.next().unwrap_or(""));
        if left_out(car, label, asked) {
            table.insert(key.to_owned(), value.to_owned());
            kept += 1;
        }
    }
    println!(
        "width {}: {} numbers compared, {kept} left out",
        Width::best().count(),
        table.len() - kept
    );
    let new = written(&table);
    let moved = moved(&old, &new);
    if asked == Some("write") {
        std::fs::write(&path, &new).unwrap();
    } else {
        assert!(
            moved.is_empty(),
            "{} numbers moved at width {}; where that is meant, write the table anew (AXLETREE_GOLDEN=write) \
             and give the reason in tests/golden/reasons.csv:\n{}",
            moved.len(),
            Width::best().count(),
            moved.join("\n")
        );
    }
    let reasons = std::fs::read_to_string(folder().join("reasons.csv")).unwrap_or_default();
    let last = reasons.lines().last().unwrap_or_default();
    let print = fingerprint(&new);
    assert!(
        last.starts_with(&print) && last.split(',').nth(2).is_some_and(|why| why.len() > 10),
        "the last line of tests/golden/reasons.csv must be \"{print},{},why\"; moved:\n{}",
        moved.len(),
        moved.join("\n")
    );
}

#[test]
fn a_moved_number_is_seen() {
    let old = "car,maneuver,quantity,value\na,b,c,1.0\na,b,d,NaN\n";
    let new = "car,maneuver,quantity,value\na,b,c,1.0000000000000002\na,b,d,NaN\na,b,e,2.0\n";
    assert_eq!(
        moved(old, new),
        ["a,b,c: 1.0 -> 1.0000000000000002", "a,b,e: absent -> 2.0"]
    );
    assert_ne!(fingerprint(old), fingerprint(new));
    assert!(moved(old, old).is_empty());
}
