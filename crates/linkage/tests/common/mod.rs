//! Shared by the tests: linkages of the validation cases, in millimeters.
#![allow(dead_code, reason = "every test uses a part of it")]
#![allow(missing_docs, reason = "helpers of tests")]

pub mod statics;

use axletree_linkage::axle::{FourLink, Panhard, Rod, TorqueArm};
use axletree_linkage::corner::{DoubleWishbone, TieRod, Wishbone};
use axletree_linkage::*;

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
        on: BodyId::Body,
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
            on: BodyId::Rack,
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

/// Keeps a body in the plane x = const: three points that do not move along x.
pub fn planar(parts: &mut Linkage, at: [Triple; 3]) {
    for (i, p) in at.into_iter().enumerate() {
        parts.joints.push(Joint {
            name: format!("plane {i}"),
            guide: BodyId::Body,
            guided: BodyId::Carrier,
            at: mm(p),
            blocked: vec![[1.0, 0.0, 0.0]],
            bushing: RUBBER,
            sleeve: [1.0, 0.0, 0.0],
            all_round: false,
            foot: None,
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

use axletree_linkage::axle::{FiveLink, ThreeLink, Watts};
use axletree_linkage::corner::{MacPherson, MultiLink, SemiTrailing};

pub const CAR: Longitudinal = Longitudinal {
    height: 0.5,
    wheelbase: 2.7,
    brake_share: 0.35,
};

fn panhard(b: Bushing) -> Linkage {
    Panhard {
        rod: rod([-120.0, -450.0, 310.0], [-120.0, 450.0, 300.0], b),
    }
    .parts()
}

/// Rods to the axle ends of a crank on the body, or to the body from a crank on the axle.
pub fn watts(b: Bushing, pivot_on_axle: bool) -> Linkage {
    let rods = if pivot_on_axle {
        [
            rod([-130.0, -430.0, 250.0], [-130.0, 0.0, 250.0], b),
            rod([-130.0, 430.0, 370.0], [-130.0, 0.0, 370.0], b),
        ]
    } else {
        [
            rod([-130.0, 0.0, 250.0], [-130.0, -430.0, 250.0], b),
            rod([-130.0, 0.0, 370.0], [-130.0, 430.0, 370.0], b),
        ]
    };
    Watts {
        pivot_on_axle,
        pivot: mm([-130.0, 0.0, 310.0]),
        axis: [1.0, 0.0, 0.0],
        pivot_length: 0.06,
        pivot_bushing: b,
        rods,
    }
    .parts()
}

/// Every location of a solid axle on one kind of bushing, with plausible invented points.
pub fn locations(b: Bushing) -> Vec<(&'static str, Linkage)> {
    let lower = rod([500.0, 470.0, 255.0], [0.0, 500.0, 225.0], b);
    let upper_parallel = rod([300.0, 330.0, 415.0], [0.0, 330.0, 450.0], b);
    let three = ThreeLink {
        lower,
        upper: rod([330.0, 0.0, 430.0], [0.0, 0.0, 470.0], b),
    }
    .parts();
    let arm = TorqueArm {
        lower,
        mount: mm([1150.0, 0.0, 320.0]),
        bushing: b,
    }
    .parts();
    let four = FourLink {
        lower: rod([500.0, 500.0, 255.0], [0.0, 500.0, 225.0], b),
        upper: upper_parallel,
    }
    .parts();
    vec![
        (
            "triangulated four-link",
            FourLink {
                lower,
                upper: rod([280.0, 330.0, 420.0], [0.0, 110.0, 460.0], b),
            }
            .parts(),
        ),
        ("three-link and Panhard", three.clone().and(panhard(b))),
        (
            "three-link and Watt's on axle",
            three.clone().and(watts(b, true)),
        ),
        ("three-link and Watt's on body", three.and(watts(b, false))),
        ("torque arm and Panhard", arm.clone().and(panhard(b))),
        ("torque arm and Watt's on axle", arm.and(watts(b, true))),
        ("four parallel links and Panhard", four.and(panhard(b))),
        (
            "five-link",
            FiveLink {
                lower: [
                    rod([520.0, 480.0, 260.0], [0.0, 490.0, 230.0], b),
                    rod([510.0, -480.0, 255.0], [0.0, -490.0, 225.0], b),
                ],
                upper: [
                    rod([310.0, 360.0, 410.0], [0.0, 340.0, 455.0], b),
                    rod([300.0, -350.0, 415.0], [0.0, -350.0, 445.0], b),
                ],
                across: rod([-120.0, -450.0, 310.0], [-120.0, 450.0, 300.0], b),
            }
            .parts(),
        ),
    ]
}

/// A spring, a damper and a bar on one side of an axle.
pub fn axle_side() -> Side {
    let element = |body: Triple, axle: Triple| ForceElement {
        body: Attachment::body(mm(body)),
        moving: Attachment::carrier(mm(axle)),
    };
    Side {
        spring: Some(element([80.0, 420.0, 520.0], [80.0, 440.0, 300.0])),
        damper: Some(element([-60.0, 350.0, 640.0], [-90.0, 470.0, 240.0])),
        bar: Some(BarEnd {
            name: "rear bar".into(),
            pivot: mm([-250.0, 380.0, 330.0]),
            axis: [0.0, 1.0, 0.0],
            end: mm([0.0, 380.0, 330.0]),
            moving: Attachment::carrier(mm([-10.0, 390.0, 190.0])),
        }),
    }
}

pub fn whole_axle(parts: Linkage) -> AxleLinkage {
    AxleLinkage {
        parts,
        center: mm([0.0, 0.0, 310.0]),
        half_track: 0.75,
        sides: [axle_side(), axle_side().mirrored()],
    }
}

pub fn whole_k10() -> CornerLinkage {
    let w = k10();
    CornerLinkage {
        parts: w.parts(),
        center: mm([0.0, 735.0, 310.0]),
        side: Side {
            spring: Some(ForceElement {
                body: Attachment::body(mm([10.0, 500.0, 620.0])),
                moving: Attachment::member(0, mm([10.0, 600.0, 190.0])),
            }),
            damper: Some(ForceElement {
                body: Attachment::body(mm([-20.0, 490.0, 640.0])),
                moving: Attachment::member(0, mm([-20.0, 590.0, 195.0])),
            }),
            bar: Some(BarEnd {
                name: "front bar".into(),
                pivot: mm([240.0, 400.0, 220.0]),
                axis: [0.0, 1.0, 0.0],
                end: mm([40.0, 560.0, 240.0]),
                moving: Attachment::member(0, mm([40.0, 580.0, 190.0])),
            }),
        },
        steering_axis: Some(w.steering_axis()),
        alignment: Alignment::default(),
    }
}

/// A strut corner with spring and damper on the sliding axis.
pub fn strut_corner() -> CornerLinkage {
    let strut = MacPherson {
        lower: Wishbone {
            on: BodyId::Body,
            inner: [mm([150.0, 350.0, 205.0]), mm([-200.0, 360.0, 215.0])],
            inner_bushings: [RUBBER; 2],
            ball: mm([5.0, 715.0, 190.0]),
            ball_bushing: Material::Spherical.bushing(),
        },
        top: mm([-35.0, 575.0, 830.0]),
        axis_point: mm([-5.0, 655.0, 300.0]),
        top_bushing: RUBBER,
        tie_rod: TieRod {
            on: BodyId::Rack,
            inner: mm([-140.0, 340.0, 235.0]),
            outer: mm([-140.0, 690.0, 225.0]),
            bushings: [Material::Spherical.bushing(); 2],
        },
    };
    let element = ForceElement {
        body: Attachment::body(mm([-35.0, 575.0, 830.0])),
        moving: Attachment::carrier(mm([-5.0, 655.0, 300.0])),
    };
    CornerLinkage {
        parts: strut.parts(),
        center: mm([0.0, 750.0, 310.0]),
        side: Side {
            spring: Some(element),
            damper: Some(element),
            bar: None,
        },
        steering_axis: Some(strut.steering_axis()),
        alignment: Alignment::default(),
    }
}

/// Five rods on a subframe.
pub fn multi_link_corner() -> CornerLinkage {
    let link = |name: &str, inner: Triple, outer: Triple| {
        Link::new(
            name,
            LinkEnd::new(
                Attachment {
                    on: BodyId::Subframe,
                    at: mm(inner),
                },
                RUBBER,
            ),
            LinkEnd::new(Attachment::carrier(mm(outer)), RUBBER),
        )
    };
    CornerLinkage {
        parts: MultiLink {
            links: vec![
                link("lower front", [180.0, 330.0, 215.0], [40.0, 690.0, 190.0]),
                link("lower rear", [-120.0, 300.0, 230.0], [-60.0, 690.0, 200.0]),
                link("upper front", [200.0, 420.0, 430.0], [30.0, 640.0, 450.0]),
                link("upper rear", [-90.0, 390.0, 440.0], [-40.0, 640.0, 455.0]),
                link("toe link", [-170.0, 340.0, 260.0], [-150.0, 680.0, 250.0]),
            ],
        }
        .parts(),
        center: mm([0.0, 740.0, 315.0]),
        side: Side {
            spring: Some(ForceElement {
                body: Attachment::body(mm([0.0, 560.0, 620.0])),
                moving: Attachment::carrier(mm([0.0, 650.0, 210.0])),
            }),
            ..Side::default()
        },
        steering_axis: None,
        alignment: Alignment::default(),
    }
}

pub fn semi_trailing_corner() -> CornerLinkage {
    CornerLinkage {
        parts: SemiTrailing {
            on: BodyId::Subframe,
            hinge: [mm([260.0, 180.0, 270.0]), mm([420.0, 620.0, 260.0])],
            bushings: [RUBBER; 2],
        }
        .parts(),
        center: mm([0.0, 740.0, 310.0]),
        side: Side {
            spring: Some(ForceElement {
                body: Attachment::body(mm([150.0, 480.0, 520.0])),
                moving: Attachment::carrier(mm([150.0, 490.0, 260.0])),
            }),
            ..Side::default()
        },
        steering_axis: None,
        alignment: Alignment::default(),
    }
}

pub fn subframe() -> Subframe {
    let mount = |name: &str, at: Triple| Mount {
        name: name.into(),
        at: mm(at),
        bushing: RUBBER,
        sleeve: [0.0, 0.0, 1.0],
    };
    Subframe {
        mounts: vec![
            mount("front left", [350.0, 480.0, 300.0]),
            mount("front right", [350.0, -480.0, 300.0]),
            mount("rear left", [-300.0, 480.0, 320.0]),
            mount("rear right", [-300.0, -480.0, 320.0]),
        ],
    }
}

pub fn corners() -> Vec<(&'static str, CornerLinkage)> {
    vec![
        ("double wishbone", whole_k10()),
        ("strut", strut_corner()),
        ("multi-link", multi_link_corner()),
        ("semi-trailing arm", semi_trailing_corner()),
    ]
}
