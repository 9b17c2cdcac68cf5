//! Shared by the tests: the validation cases' linkages in millimeters.
#![allow(dead_code, missing_docs)]

use axletree_linkage::axle::{FourLink, Panhard, Rod, TorqueArm};
use axletree_linkage::corner::{DoubleWishbone, TieRod, Wishbone};
use axletree_linkage::*;

pub type Triple = [f64; 3];

/// Millimeters to meters.
pub fn mm(p: Triple) -> Triple {
    p.map(|x| x / 1e3)
}

pub fn rod(body: Triple, axle: Triple, bushing: Bushing) -> Rod {
    Rod::new(mm(body), mm(axle), bushing)
}

pub const RUBBER: Bushing = Material::Rubber.bushing();

/// Validation case K5.
pub fn k5(bushing: Bushing) -> Linkage {
    FourLink {
        lower: rod([550.0, 500.0, 260.0], [0.0, 500.0, 220.0], bushing),
        upper: rod([300.0, 350.0, 420.0], [0.0, 100.0, 460.0], bushing),
    }
    .parts()
}

/// Validation case K8.
pub fn k8(bushing: Bushing) -> Linkage {
    TorqueArm {
        lower: rod([550.0, 500.0, 230.0], [0.0, 500.0, 200.0], bushing),
        mount: mm([1200.0, 0.0, 300.0]),
        bushing,
    }
    .parts()
    .and(
        Panhard {
            rod: rod([-120.0, -450.0, 300.0], [-120.0, 450.0, 300.0], bushing),
        }
        .parts(),
    )
}

/// Validation case K10; the tie rod is on the rack.
pub fn k10() -> DoubleWishbone {
    let wishbone = |front: Triple, rear: Triple, ball: Triple| Wishbone {
        on: Frame::Body,
        inner: [mm(front), mm(rear)],
        inner_bushings: [RUBBER; 2],
        ball: mm(ball),
        ball_bushing: Material::Spherical.bushing(),
    };
    DoubleWishbone {
        lower: wishbone(
            [180.0, 360.0, 200.0],
            [-160.0, 360.0, 205.0],
            [12.0, 705.0, 185.0],
        ),
        upper: wishbone(
            [100.0, 430.0, 455.0],
            [-140.0, 430.0, 450.0],
            [-20.0, 660.0, 480.0],
        ),
        tie_rod: TieRod {
            on: Frame::Rack,
            inner: mm([-130.0, 350.0, 232.0]),
            outer: mm([-135.0, 685.0, 220.0]),
            bushings: [Material::Spherical.bushing(); 2],
        },
    }
}

pub fn wheel(parts: Linkage, center: Triple) -> Solver {
    Solver::new(Mechanism::new(parts, Carried::Wheel, mm(center)).unwrap()).unwrap()
}

pub fn axle(parts: Linkage, center: Triple) -> Solver {
    Solver::new(Mechanism::new(parts, Carried::Axle, mm(center)).unwrap()).unwrap()
}

pub fn heave(h: f64) -> Travel {
    Travel {
        heave: h,
        roll: 0.0,
        rack: 0.0,
    }
}

pub fn roll(r: f64) -> Travel {
    Travel {
        heave: 0.0,
        roll: r,
        rack: 0.0,
    }
}

/// Keeps a body of the plane x = const in it: three points that may not move along x.
pub fn planar(parts: &mut Linkage, at: [Triple; 3]) {
    for (i, p) in at.into_iter().enumerate() {
        parts.joints.push(Joint {
            name: format!("plane {i}"),
            guide: Frame::Body,
            guided: Frame::Carrier,
            at: mm(p),
            blocked: vec![[1.0, 0.0, 0.0]],
            bushing: RUBBER,
            sleeve: [1.0, 0.0, 0.0],
        });
    }
}

/// `got` within `tolerance` of `want`, relative, or within half a unit of the last printed digit.
pub fn near(what: &str, got: f64, want: f64, tolerance: f64, half_digit: f64) {
    let allowed = (tolerance * want.abs()).max(half_digit);
    assert!(
        (got - want).abs() <= allowed,
        "{what}: got {got}, expected {want} within {allowed}"
    );
}
