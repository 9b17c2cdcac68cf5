//! The fit: it recovers a tire from its own rows, stays close to published tables and to an
//! independent physical tire, and reports the inputs it kept and why.
//!
//! Residuals against tables are stated beside their bounds. They are not noise: here one shape
//! factor and one curvature serve every load, where the tables give each load its own, and the
//! curves carry no shifts.
#![expect(
    clippy::disallowed_methods,
    clippy::float_cmp,
    reason = "limits and mirrored values are exact; rows follow published formulas, computed without the functions under test"
)]

use std::sync::atomic::{AtomicUsize, Ordering};

use axletree_numerics::Interrupt;
use axletree_tire::{
    Fit, FitNote, ForceRow, MissingData, TireError, TireSpec, input, theoretical_slip,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

fn row(angle: f64, ratio: f64, load: f64) -> ForceRow {
    ForceRow {
        slip_angle: angle,
        slip_ratio: ratio,
        load,
        camber: 0.0,
        pressure: 220e3,
        fx: None,
        fy: None,
        mz: None,
    }
}

/// Rows of a tire itself.
fn rows_of(spec: &TireSpec, cambers: &[f64], pressures: &[f64], reach: f64) -> Vec<ForceRow> {
    let mut rows = Vec::new();
    for &pressure in pressures {
        let tire = spec.at(pressure).unwrap();
        for &camber in cambers {
            for load in [2000.0, 4000.0, 6000.0] {
                for i in -6..=6 {
                    let x = reach * f64::from(i) / 6.0;
                    for (angle, ratio) in [(0.3 * x, 0.0), (0.0, 0.25 * x), (0.1 * x, -0.05)] {
                        let f = tire.force(theoretical_slip(ratio, angle), load, camber, 1.0);
                        rows.push(ForceRow {
                            camber,
                            pressure,
                            fx: Some(f.fx),
                            fy: Some(f.fy),
                            mz: Some(f.mz),
                            ..row(angle, ratio, load)
                        });
                    }
                }
            }
        }
    }
    rows
}

/// A tire unlike the start.
fn another() -> TireSpec {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    spec.longitudinal.friction = 1.25;
    spec.longitudinal.friction_fall = 0.05;
    spec.longitudinal.stiffness = 95_000.0;
    spec.longitudinal.stiffness_peak_load = 11_000.0;
    spec.longitudinal.stiffness_pressure = -0.2;
    spec.longitudinal.shape = 1.5;
    spec.longitudinal.curvature = 0.1;
    spec.lateral.friction = 1.15;
    spec.lateral.friction_fall = 0.15;
    spec.lateral.stiffness = 70_000.0;
    spec.lateral.stiffness_peak_load = 7000.0;
    spec.lateral.peak_load_pressure = 0.8;
    spec.lateral.shape = 1.45;
    spec.lateral.curvature = -0.2;
    spec.camber_thrust = 0.9;
    spec.camber_grip_loss = 6.0;
    spec.grip_pressure = 200e3;
    spec.grip_pressure_loss = 0.8;
    spec.trail = 0.045;
    spec.trail_reach = 1.3;
    spec
}

/// Whether the fitted inputs are those of `want`, within a relative tolerance.
#[track_caller]
fn recovers(fit: &Fit, want: &TireSpec, tolerance: f64) {
    for f in &fit.fitted {
        let want = (input(f.name).get)(want);
        assert!(
            (f.value - want).abs() < tolerance * (0.1 + want.abs()),
            "{} is {} against {want}",
            f.name,
            f.value
        );
    }
}

/// Every input that can be fitted comes back from rows of the tire itself.
#[test]
fn law_fit_recovers_its_own_tire() {
    let want = another();
    let rows = rows_of(&want, &[0.0, 0.08], &[180e3, 220e3, 260e3], 1.0);
    let start = TireSpec::typical(0.31, 4000.0);
    let got = start.fit(&rows).unwrap();
    assert!(got.converged);
    assert_eq!(got.fitted.len(), 22, "{:?}", got.notes);
    assert!(got.notes.is_empty(), "{:?}", got.notes);
    recovers(&got, &want, 1e-4);
    assert!(got.residuals.fy.unwrap() < 0.01 && got.residuals.fx.unwrap() < 0.01);
    assert!(got.residuals.mz.unwrap() < 1e-3);
    // The start is far from the result: the test is not trivial.
    let start_fy = start
        .at(220e3)
        .unwrap()
        .force([0.0, 0.1], 4000.0, 0.0, 1.0)
        .fy;
    let want_fy = want
        .at(220e3)
        .unwrap()
        .force([0.0, 0.1], 4000.0, 0.0, 1.0)
        .fy;
    assert!((start_fy - want_fy).abs() > 500.0);
}

/// With scatter in the rows, the inputs lie within a few standard errors of the truth, and the
/// residuals are the scatter.
#[test]
fn law_fit_standard_errors() {
    let mut want = another();
    want.grip_pressure = 220e3;
    let mut rows = rows_of(&want, &[0.0], &[220e3], 1.0);
    // Scatter with a standard deviation of 30 N, even over its range.
    let mut random = ChaCha8Rng::seed_from_u64(1);
    let half = 30.0 * 3f64.sqrt();
    let mut scatter = || random.random_range(-half..half);
    for r in &mut rows {
        r.fx = r.fx.map(|f| f + scatter());
        r.fy = r.fy.map(|f| f + scatter());
        r.mz = None;
    }
    let got = TireSpec::typical(0.31, 4000.0).fit(&rows).unwrap();
    for residual in [got.residuals.fx, got.residuals.fy] {
        assert!(
            (residual.unwrap() / 30.0 - 1.0).abs() < 0.15,
            "{residual:?}"
        );
    }
    for f in &got.fitted {
        let off = (f.value - (input(f.name).get)(&want)).abs();
        assert!(off < 4.0 * f.standard_error, "{f:?} is {off} off");
        assert!(f.standard_error > 0.0 && f.standard_error.is_finite());
    }
}

/// A start unlike every table: grippy, soft, and of another shape.
fn far() -> TireSpec {
    let mut spec = TireSpec::typical(0.31, 4000.0);
    for d in [&mut spec.lateral, &mut spec.longitudinal] {
        d.friction = 1.4;
        d.friction_fall = 0.0;
        d.stiffness *= 0.6;
        d.shape = 1.5;
        d.curvature = 0.0;
    }
    spec.trail = 0.02;
    spec
}

/// The fit from afar: converged, and at least five times closer in every channel than the start.
#[track_caller]
fn fitted(rows: &[ForceRow]) -> Fit {
    let got = far().fit(rows).unwrap();
    assert!(got.converged);
    let before = far().residuals(rows).unwrap();
    let after = got.residuals;
    assert_eq!(after, got.spec.residuals(rows).unwrap());
    for (before, after) in [
        (before.fx, after.fx),
        (before.fy, after.fy),
        (before.mz, after.mz),
    ] {
        if let (Some(before), Some(after)) = (before, after) {
            assert!(5.0 * after < before, "{after} from {before}");
        }
    }
    got
}

/// The sine curve with shifts, x in the source's unit.
fn magic(x: f64, [b, c, d, e, sh, sv]: [f64; 6]) -> f64 {
    let bx = b * (x + sh);
    d * (c * (bx - e * (bx - bx.atan())).atan()).sin() + sv
}

fn range(low: f64, high: f64, count: u32) -> impl Iterator<Item = f64> {
    (0..count).map(move |i| low + (high - low) * f64::from(i) / f64::from(count - 1))
}

/// Validation case T2 (SAE 870421, 1987; coefficients from memory, flag M, checked by their product
/// column): lateral force and aligning moment at four loads, -10 to 10 deg, shifts included.
#[test]
fn val_t2_table_lateral() {
    let fy = [
        [0.244, 1.50, 1936.0, -0.132, -0.280, -118.0],
        [0.239, 1.19, 3650.0, -0.678, -0.049, -156.0],
        [0.164, 1.27, 5237.0, -1.61, -0.126, -181.0],
        [0.112, 1.36, 6677.0, -2.16, 0.125, -240.0],
    ];
    let mz = [
        [0.247, 2.56, -15.53, -3.92, -0.464, -12.5],
        [0.234, 2.68, -48.56, -0.46, -0.082, -11.7],
        [0.164, 2.46, -112.5, -2.04, -0.125, -6.00],
        [0.127, 2.41, -191.3, -3.21, -0.009, -4.22],
    ];
    // Figures printed in the case, against mistakes in the rows.
    assert!((magic(-5.0, fy[0]) + 2023.7).abs() < 0.2 && (magic(10.0, fy[3]) - 6371.6).abs() < 0.6);
    let mut rows = Vec::new();
    for (i, load) in [2000.0, 4000.0, 6000.0, 8000.0].into_iter().enumerate() {
        for deg in range(-10.0, 10.0, 41) {
            // The mean of the tire and its mirror image on the other side: without shifts.
            let odd = |c: [f64; 6]| 0.5 * (magic(deg, c) - magic(-deg, c));
            rows.push(ForceRow {
                fy: Some(odd(fy[i])),
                mz: Some(odd(mz[i])),
                ..row(deg.to_radians(), 0.0, load)
            });
        }
    }
    let got = fitted(&rows);
    // 39.7 N at a root mean square of 3.7 kN, 8.3 N m at 75: the moments of the table change sign
    // beyond the peak, which the trail here never does.
    assert!(got.residuals.fy.unwrap() < 42.0, "{:?}", got.residuals);
    assert!(got.residuals.mz.unwrap() < 9.0, "{:?}", got.residuals);
}

/// Validation case T2, longitudinal: slip ratio to 30 % driving, at four loads.
#[test]
fn val_t2_table_longitudinal() {
    let fx = [
        [0.178, 1.55, 2193.0, 0.432, 0.0, 25.0],
        [0.171, 1.69, 4236.0, 0.619, 0.0, 70.6],
        [0.210, 1.67, 6090.0, 0.686, 0.0, 80.1],
        [0.214, 1.78, 7711.0, 0.783, 0.0, 104.0],
    ];
    let mut rows = Vec::new();
    for (i, load) in [2000.0, 4000.0, 6000.0, 8000.0].into_iter().enumerate() {
        for percent in range(0.0, 30.0, 31) {
            let odd = 0.5 * (magic(percent, fx[i]) - magic(-percent, fx[i]));
            rows.push(ForceRow {
                fx: Some(-odd),
                ..row(0.0, -percent / 100.0, load)
            });
        }
    }
    let got = fitted(&rows);
    // Of a root mean square of 4.7 kN. The table's stiffness grows faster than its load, as no
    // choice of the load of largest stiffness makes it: that input ends at its limit, and a note
    // names it.
    assert!(got.residuals.fx.unwrap() < 70.0, "{:?}", got.residuals);
    assert!(got.notes.iter().any(|n| matches!(
        n,
        FitNote::AtLimit {
            name: "longitudinal.stiffness_peak_load",
            ..
        }
    )));
}

/// Validation case T3 (SAE 870421, load polynomials, flag M): lateral force at 2, 4, 6 and 8 kN to
/// 15 deg.
#[test]
fn val_t3_polynomials_lateral() {
    let force = |deg: f64, kn: f64| {
        let d = -22.1 * kn * kn + 1011.0 * kn;
        let bcd = 1078.0 * (1.82 * (0.208 * kn).atan()).sin();
        let e = -0.354 * kn + 0.707;
        magic(deg, [bcd / (1.3 * d), 1.3, d, e, 0.0, 0.0])
    };
    assert!((force(4.0, 4.0) - 3096.6).abs() < 0.31 && (force(15.0, 8.0) - 6646.8).abs() < 0.66);
    let mut rows = Vec::new();
    for kn in [2.0, 4.0, 6.0, 8.0] {
        for deg in [1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 15.0] {
            rows.push(ForceRow {
                fy: Some(force(deg, kn)),
                ..row(f64::to_radians(deg), 0.0, 1000.0 * kn)
            });
        }
    }
    let got = fitted(&rows);
    // 32.5 N at a root mean square of 3.9 kN. At the nominal load of 4 kN the source has 58.9
    // kN/rad and a friction of 0.923.
    assert!(got.residuals.fy.unwrap() < 35.0, "{:?}", got.residuals);
    assert!((got.spec.lateral.friction / 0.9226 - 1.0).abs() < 0.01);
    assert!((got.spec.lateral.friction_fall - 0.0958).abs() < 0.02);
    assert!((got.spec.lateral.stiffness / 58_862.0 - 1.0).abs() < 0.1);
}

/// Validation case T4 (same source, flag M): brake force at 2, 4, 6 and 8 kN to 50 % slip.
#[test]
fn val_t4_polynomials_longitudinal() {
    let force = |percent: f64, kn: f64| {
        let d = -21.3 * kn * kn + 1144.0 * kn;
        let bcd = (49.6 * kn * kn + 226.0 * kn) / (0.069 * kn).exp();
        let e = -0.006 * kn * kn + 0.056 * kn + 0.486;
        magic(percent, [bcd / (1.65 * d), 1.65, d, e, 0.0, 0.0])
    };
    assert!((force(10.0, 4.0) - 4234.4).abs() < 0.42 && (force(50.0, 8.0) - 5746.1).abs() < 0.57);
    let mut rows = Vec::new();
    for kn in [2.0, 4.0, 6.0, 8.0] {
        for percent in [1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0, 30.0, 50.0] {
            rows.push(ForceRow {
                fx: Some(-force(percent, kn)),
                ..row(0.0, -percent / 100.0, 1000.0 * kn)
            });
        }
    }
    let got = fitted(&rows);
    // 89.9 N at a root mean square of 4.3 kN: stiffness faster than load, and slip to 50 %, where
    // kappa and theoretical slip differ by a factor of two.
    assert!(got.residuals.fx.unwrap() < 95.0, "{:?}", got.residuals);
    assert!((got.spec.longitudinal.friction / 1.0588 - 1.0).abs() < 0.02);
    assert!((got.spec.longitudinal.friction_fall - 0.0805).abs() < 0.02);
}

/// Validation case T11: the brush model with parabolic pressure (Pacejka 2012, section 3.2), mu 1,
/// 4000 N, 60 000 N/rad, half contact length 60 mm: force and moment to twice full sliding.
#[test]
fn val_t11_brush_model() {
    let mut rows = Vec::new();
    for tan in range(-0.4, 0.4, 41) {
        let t: f64 = (60_000.0 * tan / 12_000.0f64).abs().min(1.0);
        let f = 12_000.0 * t * (1.0 - t + t * t / 3.0);
        let m = 4000.0 * 0.06 * t * (1.0 - t).powi(3);
        rows.push(ForceRow {
            fy: Some(f * tan.signum()),
            mz: Some(-m * tan.signum()),
            ..row(tan.atan(), 0.0, 4000.0)
        });
    }
    let got = fitted(&rows);
    // 23.6 N of 4 kN, and 0.20 N m of 25.3: another shape of curve, with full sliding at the peak.
    assert!(got.residuals.fy.unwrap() < 25.0, "{:?}", got.residuals);
    assert!(got.residuals.mz.unwrap() < 0.21, "{:?}", got.residuals);
    assert!((got.spec.lateral.friction - 1.0).abs() < 0.01);
    assert!((got.spec.trail - 0.020).abs() < 0.0005);
    // One load: the load effects are kept, and notes name them.
    for name in ["lateral.friction_fall", "lateral.stiffness_peak_load"] {
        assert!(got.notes.iter().any(|n| matches!(
            n,
            FitNote::Kept { name: kept, missing: MissingData::Loads { loads: 1, least: 2 }, .. } if *kept == name
        )));
    }
    assert_eq!(got.spec.lateral.friction_fall, far().lateral.friction_fall);
}

/// Inputs that the rows do not determine are kept, and the notes name the missing data.
#[test]
fn missing_data_is_reported() {
    // Small slip at one load, upright, at one pressure, lateral force only.
    let spec = TireSpec::typical(0.31, 4000.0);
    let tire = spec.at(220e3).unwrap();
    let rows: Vec<ForceRow> = range(-0.02, 0.02, 9)
        .map(|a| ForceRow {
            fy: Some(tire.force(theoretical_slip(0.0, a), 4000.0, 0.0, 1.0).fy),
            ..row(a, 0.0, 4000.0)
        })
        .collect();
    let mut start = spec;
    start.lateral.stiffness *= 0.8;
    let got = start.fit(&rows).unwrap();
    assert_eq!(got.fitted.len(), 1, "{:?}", got.fitted);
    assert_eq!(got.fitted[0].name, "lateral.stiffness");
    // The friction kept is the tire's own, so the slope comes out.
    assert!((got.spec.lateral.stiffness / spec.lateral.stiffness - 1.0).abs() < 1e-6);
    let text: Vec<String> = got.notes.iter().map(ToString::to_string).collect();
    for part in [
        "longitudinal.friction is kept at 1.059: 0 rows measure its channel with slip; 3 are needed",
        "lateral.friction is kept at 0.9226: the rows reach 0.1",
        "times the slip of the largest force; 0.60 is needed",
        "lateral.stiffness_peak_load is kept at 5600: the rows hold 1 load(s); 2 are needed",
        "lateral.stiffness_pressure is kept at 0.3: the rows hold 1 pressure(s); 2 are needed",
        "camber_thrust is kept at 0.57: the largest inclination is 0.000 deg; 0.500 deg are needed",
        "trail is kept at 0.031: 0 rows",
    ] {
        assert!(text.iter().any(|t| t.contains(part)), "{part}: {text:#?}");
    }
    let limit = FitNote::AtLimit {
        name: "lateral.shape",
        value: 1.01,
    };
    assert_eq!(limit.to_string(), "lateral.shape ended at its limit, 1.01");
}

/// Noise on rows of an almost straight curve leaves inputs poorly determined, and the notes name
/// them.
#[test]
fn weak_inputs_are_named() {
    let spec = TireSpec::typical(0.31, 4000.0);
    let tire = spec.at(220e3).unwrap();
    let rows: Vec<ForceRow> = range(-0.11, 0.11, 21)
        .enumerate()
        .map(|(i, a)| ForceRow {
            fy: Some(
                tire.force(theoretical_slip(0.0, a), 4000.0, 0.0, 1.0).fy
                    + 400.0 * ((7.0 * i as f64).sin()),
            ),
            ..row(a, 0.0, 4000.0)
        })
        .collect();
    let got = spec.fit(&rows).unwrap();
    let weak: Vec<String> = got
        .notes
        .iter()
        .filter(|n| matches!(n, FitNote::Weak { .. }))
        .map(ToString::to_string)
        .collect();
    assert!(
        weak.iter()
            .any(|w| w.starts_with("lateral.curvature = ") && w.contains("poorly determined")),
        "{weak:?} {:?}",
        got.fitted
    );
}

/// A moment alone fits the trail.
#[test]
fn a_moment_alone_fits_the_trail() {
    let mut want = TireSpec::typical(0.31, 4000.0);
    want.trail = 0.05;
    let tire = want.at(220e3).unwrap();
    let rows: Vec<ForceRow> = range(-0.03, 0.03, 7)
        .map(|a| ForceRow {
            mz: Some(tire.force(theoretical_slip(0.0, a), 4000.0, 0.0, 1.0).mz),
            ..row(a, 0.0, 4000.0)
        })
        .collect();
    let got = TireSpec::typical(0.31, 4000.0).fit(&rows).unwrap();
    assert_eq!(got.fitted.len(), 1);
    assert!((got.spec.trail - 0.05).abs() < 1e-8);
}

/// A change that makes a row impossible.
type Spoil = fn(&mut ForceRow);

/// Impossible rows are refused, with the row, the field, the value and the allowed range.
#[test]
fn impossible_rows_are_refused() {
    let start = TireSpec::typical(0.31, 4000.0);
    let good = |a: f64| ForceRow {
        fy: Some(50_000.0 * a),
        ..row(a, 0.0, 4000.0)
    };
    let rows: Vec<ForceRow> = range(-0.02, 0.02, 5).map(good).collect();
    assert!(start.fit(&rows).is_ok());

    let spoils: [(&str, Spoil); 9] = [
        ("slip_angle", |r| r.slip_angle = f64::NAN),
        ("slip_angle", |r| r.slip_angle = 4.0),
        ("slip_ratio", |r| r.slip_ratio = -1.0),
        ("load", |r| r.load = -4000.0),
        ("camber", |r| r.camber = 3.0),
        ("pressure", |r| r.pressure = 32.0),
        ("fx", |r| r.fx = Some(f64::INFINITY)),
        ("fy", |r| r.fy = Some(1e6)),
        ("mz", |r| r.mz = Some(f64::NAN)),
    ];
    for (name, spoil) in spoils {
        let mut bad = rows.clone();
        spoil(&mut bad[3]);
        let error = start.fit(&bad).unwrap_err();
        assert!(
            matches!(error, TireError::Row { row: 3, field, .. } if field == name),
            "{error}"
        );
        let text = error.to_string();
        assert!(text.starts_with(&format!("row 3: {name} = ")), "{text}");
        assert!(text.contains("is out of range (allowed: "), "{text}");
        assert_eq!(start.residuals(&bad).unwrap_err().to_string(), text);
    }
}

/// Too few rows, and impossible starts, are refused.
#[test]
fn too_few_rows_are_refused() {
    let start = TireSpec::typical(0.31, 4000.0);
    for rows in [
        vec![],
        // Not one measured value with slip.
        vec![row(0.1, 0.0, 4000.0); 10],
        vec![
            ForceRow {
                fy: Some(1.0),
                ..row(0.0, 0.0, 4000.0)
            };
            10
        ],
    ] {
        let error = start.fit(&rows).unwrap_err();
        assert!(matches!(error, TireError::TooFewValues { .. }), "{error}");
    }
    // Three rows at three loads would free four inputs.
    let rows: Vec<ForceRow> = [2000.0, 4000.0, 6000.0]
        .map(|load| ForceRow {
            fy: Some(0.6 * load),
            ..row(0.05, 0.0, load)
        })
        .to_vec();
    let text = start.fit(&rows).unwrap_err().to_string();
    assert!(
        text.starts_with("3 measured values are too few to fit 4 input(s): at least 5 are needed"),
        "{text}"
    );
    // The start is checked at nominal and at the rows' pressures.
    let mut bad = start;
    bad.lateral.friction = -1.0;
    assert!(matches!(bad.fit(&rows), Err(TireError::Spec(_))));
    let flat: Vec<ForceRow> = rows
        .iter()
        .map(|r| ForceRow {
            pressure: 60e3,
            ..*r
        })
        .collect();
    // 1 + 2 dp is below zero there.
    let mut start = start;
    start.lateral.peak_load_pressure = 2.0;
    assert!(matches!(start.fit(&flat), Err(TireError::Spec(_))));
    assert!(matches!(start.residuals(&flat), Err(TireError::Spec(_))));
}

/// Rows whose force follows `force(load, angle)`, at three loads.
fn rows_following(force: impl Fn(f64, f64) -> f64) -> Vec<ForceRow> {
    [2000.0, 3500.0, 5000.0]
        .into_iter()
        .flat_map(|load| range(-0.2, 0.2, 21).map(move |angle| (load, angle)))
        .map(|(load, angle)| ForceRow {
            fy: Some(force(load, angle)),
            ..row(angle, 0.0, load)
        })
        .collect()
}

/// Force at a load and a slip angle.
type Law<'a> = &'a dyn Fn(f64, f64) -> f64;

/// A fit that ends at limits reports them, and its description is in range.
#[test]
fn law_fits_end_inside_the_ranges() {
    let start = TireSpec::typical(0.31, 4000.0);
    let curve = |angle: f64| (1.4 * (14.0 * angle).atan()).sin();
    let laws: [(Law, &str, f64); 5] = [
        // Stiffness in proportion to load: its largest lies at no finite load.
        (
            &|load, angle| 1.1 * load * curve(angle),
            "lateral.stiffness_peak_load",
            100e3,
        ),
        // More grip than any tire.
        (
            &|load, angle| 6.0 * load * curve(angle),
            "lateral.friction",
            3.0,
        ),
        (
            &|load, angle| 0.02 * load * curve(angle),
            "lateral.friction",
            0.1,
        ),
        // Friction that falls with load faster than that of any tire, and that grows with it.
        (
            &|load, angle| (1.95 - 0.95 * load / 4000.0) * load * curve(angle),
            "lateral.friction_fall",
            0.8,
        ),
        (
            &|load, angle| load / 4000.0 * load * curve(angle),
            "lateral.friction_fall",
            -0.3,
        ),
    ];
    for (law, name, limit) in laws {
        let got = start.fit(&rows_following(law)).unwrap();
        let [low, high] = input(name).range_si();
        assert!(limit == low || limit == high);
        assert_eq!((input(name).get)(&got.spec), limit, "{:?}", got.notes);
        assert!(
            got.notes
                .iter()
                .any(|n| matches!(n, FitNote::AtLimit { name: at, .. } if *at == name)),
            "{name}: {:?}",
            got.notes
        );
        assert_eq!(got.spec.check(), Ok(()), "{name}");
    }
}

/// Rows at random, of a tire itself, with every condition another in every row.
fn scattered(count: usize) -> Vec<ForceRow> {
    let tire = another();
    let mut random = ChaCha8Rng::seed_from_u64(11);
    (0..count)
        .map(|_| {
            let mut one = row(
                random.random_range(-0.2..0.2),
                random.random_range(-0.2..0.2),
                random.random_range(1500.0..6500.0),
            );
            one.camber = random.random_range(-0.05..0.05);
            one.pressure = random.random_range(150e3..270e3);
            let slip = theoretical_slip(one.slip_ratio, one.slip_angle);
            let numbers = tire.at(one.pressure).unwrap();
            let force = numbers.force(slip, one.load, one.camber, 1.0);
            one.fx = Some(force.fx);
            one.fy = Some(force.fy);
            one.mz = Some(force.mz);
            one
        })
        .collect()
}

/// Rows are evaluated several to an instruction; each has the force of the tire at its own
/// pressure, to the last bit, in every place.
#[test]
fn law_rows_side_by_side_have_the_forces_of_the_tire() {
    let rows = scattered(1003);
    let tire = another();
    for count in [1, 7, 8, 9, 1003] {
        let left = tire.residuals(&rows[..count]).unwrap();
        assert_eq!(
            (left.fx, left.fy, left.mz),
            (Some(0.0), Some(0.0), Some(0.0))
        );
    }
    // The control: a newton on one row shows.
    let mut moved = rows;
    moved[1002].fy = moved[1002].fy.map(|f| f + 1.0);
    let left = tire.residuals(&moved).unwrap();
    assert!((left.fy.unwrap() * 1003f64.sqrt() - 1.0).abs() < 1e-9);
}

/// A fit stops whenever the caller asks to, and asks by the work on its rows.
#[test]
fn an_interruption_ends_the_fit() {
    let start = TireSpec::typical(0.31, 4000.0);
    let questions = |rows: &[ForceRow]| {
        let asked = AtomicUsize::new(0);
        let count = || {
            asked.fetch_add(1, Ordering::Relaxed);
            false
        };
        let fit = start
            .fit_interruptible(rows, Interrupt::when(&count))
            .unwrap();
        (fit, asked.into_inner())
    };
    let rows = scattered(12_000);
    let (fit, few) = questions(&rows[..3000]);
    assert_eq!(fit, start.fit(&rows[..3000]).unwrap());
    let (fit, many) = questions(&rows);
    // An evaluation of 12,000 rows has a question for each 8,192, a Jacobian of 36,000 values one
    // for each 4,096.
    assert!(
        few > 300 && many > few + 200,
        "{few} {many} {}",
        fit.iterations
    );
    for stopped_at in [0, 1, 2, 5, 17, many / 2, many - 1] {
        let asked = AtomicUsize::new(0);
        let stop = || asked.fetch_add(1, Ordering::Relaxed) >= stopped_at;
        let fit = start.fit_interruptible(&rows, Interrupt::when(&stop));
        assert_eq!(fit, Err(TireError::Interrupted), "{stopped_at}");
        // After the answer it ends: an evaluation may hear it on both sides of a difference.
        assert!(asked.into_inner() <= stopped_at + 4);
    }
}
