//! Random roads: their spectrum, their coherence, a quarter car on them.

#![expect(
    clippy::disallowed_methods,
    reason = "the platform's functions are what is compared with"
)]

use std::f64::consts::{PI, TAU};
use std::ops::ControlFlow::Continue;

use axletree_simulation::road::{Coherence, REFERENCE, Road, RoadClass, RoadLine, RoughRoad};
use axletree_test_support::rk4::rk4_run;
use axletree_test_support::{close, near};
use nalgebra::Complex;

/// Discrete Fourier transform of a power of two of values, by halves (Cooley and Tukey 1965).
fn transform(x: &[Complex<f64>]) -> Vec<Complex<f64>> {
    let n = x.len();
    if n == 1 {
        return x.to_vec();
    }
    let half = |first: usize| {
        let part: Vec<_> = x[first..].iter().step_by(2).copied().collect();
        transform(&part)
    };
    let (even, odd) = (half(0), half(1));
    let mut out = vec![Complex::new(0.0, 0.0); n];
    for k in 0..n / 2 {
        let turned = odd[k] * Complex::from_polar(1.0, -TAU * k as f64 / n as f64);
        out[k] = even[k] + turned;
        out[k + n / 2] = even[k] - turned;
    }
    out
}

/// One-sided spectra of two records by Welch's method (IEEE Trans. Audio Electroacoust. 15, 1967):
/// Hann windows that overlap by half. Rows: frequency, spectrum of each, real part of the cross
/// spectrum.
fn welch(left: &[f64], right: &[f64], spacing: f64, size: usize) -> Vec<[f64; 4]> {
    let window: Vec<f64> = (0..size)
        .map(|i| 0.5 - 0.5 * (TAU * i as f64 / size as f64).cos())
        .collect();
    let power: f64 = window.iter().map(|w| w * w).sum();
    let mut rows = vec![[0.0; 4]; size / 2];
    let mut count = 0.0;
    let mut at = 0;
    while at + size <= left.len() {
        let part = |x: &[f64]| {
            let mean = x[at..at + size].iter().sum::<f64>() / size as f64;
            let windowed: Vec<_> = (0..size)
                .map(|i| Complex::new((x[at + i] - mean) * window[i], 0.0))
                .collect();
            transform(&windowed)
        };
        let (l, r) = (part(left), part(right));
        for (k, row) in rows.iter_mut().enumerate() {
            row[1] += l[k].norm_sqr();
            row[2] += r[k].norm_sqr();
            row[3] += (l[k] * r[k].conj()).re;
        }
        count += 1.0;
        at += size / 2;
    }
    for (k, row) in rows.iter_mut().enumerate() {
        row[0] = k as f64 / (size as f64 * spacing);
        for value in &mut row[1..] {
            *value *= 2.0 * spacing / (power * count);
        }
    }
    rows
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count: whole, small, not negative"
)]
fn sampled(road: &RoughRoad, length: f64, spacing: f64) -> [Vec<f64>; 2] {
    let profiles = road.profiles(length);
    profiles.map(|p| {
        (0..(length / spacing) as usize)
            .map(|i| p.value_and_slope(i as f64 * spacing)[0])
            .collect()
    })
}

/// Root mean squares of the classes over two bands (validation case Y11 after ISO 8608, from
/// memory; 1e-6 relative), and the angular form at 1 rad/m.
#[test]
fn val_y11_bands_of_the_classes() {
    for (class, wide, narrow, angular) in [
        (RoadClass::A, 3.8064311, 1.7435596, 1.0053096e-6),
        (RoadClass::B, 7.6128621, 3.4871192, 4.0212386e-6),
        (RoadClass::C, 15.225724, 6.9742383, 1.6084954e-5),
        (RoadClass::D, 30.451449, 13.948477, 6.4339818e-5),
    ] {
        let road = RoughRoad {
            class,
            ..RoughRoad::default()
        };
        near("wide band", 1e3 * road.rms(0.011, 2.83), wide, 1e-6);
        near("narrow band", 1e3 * road.rms(0.05, 1.0), narrow, 1e-6);
        near("angular form", road.density(1.0 / TAU) / TAU, angular, 1e-6);
    }
}

/// The spectrum measured on 20 km of road agrees with its class in every octave band, for both
/// tracks, and the cross spectrum with the stated coherence. Ratio of means over a band: 10 %,
/// about three standard deviations of Welch's estimate in the lowest band, where 100 windows hold
/// five lines.
#[test]
fn val_y11_spectrum_and_coherence_of_a_generated_road() {
    let spacing = 0.1;
    for class in [RoadClass::A, RoadClass::C] {
        let road = RoughRoad {
            class,
            seed: 11,
            ..RoughRoad::default()
        };
        let [left, right] = sampled(&road, 20_000.0, spacing);
        let rows = welch(&left, &right, spacing, 4096);
        for octave in 0..7 {
            let low = 0.02 * 2f64.powi(octave);
            let band: Vec<_> = rows
                .iter()
                .filter(|r| r[0] >= low && r[0] < 2.0 * low)
                .collect();
            let sum = |i: usize| band.iter().map(|r| r[i]).sum::<f64>();
            let want: f64 = band.iter().map(|r| road.density(r[0])).sum();
            let cross: f64 = band
                .iter()
                .map(|r| road.density(r[0]) * road.coherency(r[0]))
                .sum();
            near("left track", sum(1), want, 0.1);
            near("right track", sum(2), want, 0.1);
            close("coherency", sum(3) / sum(1), cross / want, 0.05);
        }
        // It falls from nearly one to nearly nothing over the band.
        assert!(road.coherency(0.02) > 0.95 && road.coherency(1.0) < 0.01);
    }
}

/// A class twice as rough is no other road: the heights double. Tracks that are the same are; the
/// same seed gives the same bits and another seed another road; the band's root mean square is met
/// over 10 km to 5 % (tolerance of validation case Y11).
#[test]
#[expect(clippy::float_cmp, reason = "the same bits are meant")]
fn law_seeds_and_classes() {
    let road = RoughRoad::default();
    let rougher = RoughRoad {
        class: RoadClass::D,
        ..road
    };
    let same = RoughRoad {
        coherence: Coherence::Same,
        ..road
    };
    let other = RoughRoad { seed: 2, ..road };
    assert_eq!(road.profiles(100.0), road.profiles(100.0));
    assert_ne!(road.profiles(100.0), other.profiles(100.0));
    let [a, b] = [road, rougher].map(|r| r.profiles(100.0)[0].value_and_slope(33.3)[0]);
    near("class D over class C", b, 2.0 * a, 1e-12);
    let [left, right] = same.profiles(100.0);
    assert_eq!(left, right);
    // A longer road begins as the shorter one does.
    let [short, long] = [100.0, 900.0].map(|l| road.profiles(l)[1].value_and_slope(77.7)[0]);
    assert_eq!(short, long);
    let [left, _] = sampled(&road, 10_000.0, 0.1);
    let square = left.iter().map(|h| h * h).sum::<f64>() / left.len() as f64;
    near("rms", square.sqrt(), road.rms(0.011, 2.83), 0.05);
}

/// A wheel's rise is the rate at which the height under it changes along its way, on an arc and
/// while the road fades in.
#[test]
fn law_rise() {
    let line = RoadLine::curved(-1.0 / 60.0, 100.0);
    let road = RoughRoad::default().along(line, 10.0, 100.0, 15.0);
    let way = |t: f64| {
        let [x, y] = line.point(8.0 + 20.0 * t);
        [x + 0.3 * t, y - 0.7 + 0.4 * t * t]
    };
    let h = 1e-5;
    for i in 0..200 {
        let t = 0.01 * f64::from(i);
        let (a, b) = (way(t - h), way(t + h));
        let velocity = [0, 1].map(|k| (b[k] - a[k]) / (2.0 * h));
        for wheel in 0..4 {
            let height = |p: [f64; 2]| road.under(wheel, p, [0.0; 2]).height;
            let want = (height(b) - height(a)) / (2.0 * h);
            close("rise", road.under(wheel, way(t), velocity).rise, want, 1e-6);
        }
    }
}

/// A quarter car on a generated road of class B at 20 m/s (validation case V7 after Gobbi and
/// Mastinu, J. Sound and Vibration 245, 2001, from memory): root mean squares over 600 s, 5 %. The
/// closed forms are for a band without ends; the reference here is the same transfer function
/// integrated over the road's band, and for waves without end it meets the closed forms (checked
/// first).
#[test]
fn val_v7_quarter_car_on_a_random_road() {
    let (ms, mu, ks, kt, c) = (250.0, 45.0, 16e3, 160e3, 1000.0);
    let (speed, road) = (
        20.0,
        RoughRoad {
            class: RoadClass::B,
            seed: 5,
            ..RoughRoad::default()
        },
    );
    // Body acceleration, suspension travel and tire deflection per height of the road.
    let transfer = |f: f64| {
        let s = Complex::new(0.0, TAU * f);
        let link = s * c + ks;
        let body = s * s * ms + link;
        let wheel = s * s * mu + link + kt;
        let u = Complex::new(kt, 0.0) / (wheel - link * link / body);
        let z = link / body * u;
        [s * s * z, z - u, u - 1.0].map(Complex::norm)
    };
    let rms = |low: f64, high: f64| {
        let steps = 40_000;
        let mut sum = [0.0; 3];
        for i in 0..steps {
            let at = |i: i32| low * (high / low).powf(f64::from(i) / f64::from(steps));
            let (n0, n1) = (at(i), at(i + 1));
            let n = 0.5 * (n0 + n1);
            for (s, h) in sum.iter_mut().zip(transfer(n * speed)) {
                *s += h * h * road.density(n) * (n1 - n0);
            }
        }
        sum.map(f64::sqrt)
    };
    let white = rms(1e-5, 1e3);
    near("closed form: acceleration", white[0], 0.68996768, 1e-3);
    near("closed form: travel", 1e3 * white[1], 6.1047216, 1e-3);
    near("closed form: tire", 1e3 * white[2], 2.441632, 1e-3);
    let strength = (2.0 * PI * REFERENCE).powi(2) * road.class.density() * speed / 2.0;
    near(
        "strength of the road's velocity",
        strength,
        0.00025266187,
        1e-6,
    );

    let profile = &road.profiles(12_100.0)[0];
    let height = |t: f64| profile.value_and_slope(speed * t)[0];
    let mut rate = |t: f64, x: &[f64; 4]| {
        let link = ks * (x[1] - x[0]) + c * (x[3] - x[2]);
        let tire = kt * (height(t) - x[1]);
        [x[2], x[3], link / ms, (tire - link) / mu]
    };
    let h0 = height(0.0);
    let (mut sum, mut count) = ([0.0; 3], 0.0);
    let _ = rk4_run(
        &mut rate,
        (0.0, 604.0),
        &[h0, h0, 0.0, 0.0],
        604 * 500,
        &mut |_, t, x, k| {
            if t > 4.0 {
                let seen = [k[2], x[0] - x[1], x[1] - height(t)];
                for (s, v) in sum.iter_mut().zip(seen) {
                    *s += v * v;
                }
                count += 1.0;
            }
            Continue(())
        },
    );
    let want = rms(1.0 / road.longest, 1.0 / road.shortest);
    for ((name, s), w) in ["acceleration", "travel", "tire deflection"]
        .into_iter()
        .zip(sum)
        .zip(want)
    {
        near(name, (s / count).sqrt(), w, 0.05);
    }
    // The load on the tire over its static load, near the closed form for a band without ends.
    let load = kt * (sum[2] / count).sqrt() / ((ms + mu) * 9.80665);
    near("dynamic load coefficient", load, 0.13503847, 0.05);
}
