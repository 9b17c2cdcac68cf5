//! Cars for the tests: by coefficients, and the same with ends on points of links.
#![allow(dead_code)]

use axletree_vehicle::Car;

/// A solid axle by coefficients.
pub const SOLID: &str = include_str!("../../cars/bramble-solid-by-coefficients.toml");
/// An independent rear end by coefficients.
pub const INDEPENDENT: &str = include_str!("../../cars/bramble-independent-by-coefficients.toml");

/// A text without some of its tables.
pub fn without(text: &str, tables: &[&str]) -> String {
    let mut out = text.to_owned();
    for table in tables {
        let at = out.find(&format!("[{table}]\n")).expect("a table");
        let end = at + out[at..].find("\n\n").expect("a table's end") + 2;
        out.replace_range(at..end, "");
    }
    out
}

/// A solid axle with links of its own.
pub fn solid_on(links: &str) -> Car {
    let text = without(SOLID, &["rear.geometry", "rear.shared"]);
    car(&format!("{text}\n{links}"))
}

/// An independent rear end with links of its own.
pub fn independent_on(links: &str) -> Car {
    let tables = ["rear.geometry", "rear.shared", "rear.compliance"];
    let text = without(INDEPENDENT, &tables);
    car(&format!("{text}\n{links}"))
}

/// A front end with links of its own.
pub fn front_on(links: &str) -> Car {
    let tables = ["front.geometry", "front.axis", "front.compliance"];
    let text = without(SOLID, &tables);
    car(&format!("{text}\n{links}"))
}

/// A car of a text.
#[track_caller]
pub fn car(text: &str) -> Car {
    Car::from_toml(text, Some("test")).unwrap_or_else(|e| panic!("{e}"))
}

/// Triangulated four links.
pub const TRIANGULATED: &str = r#"
[rear.links]
type = "four links"
lower.body = { x = "520 mm", y = "480 mm", z = "250 mm" }
lower.axle = { x = "0 mm", y = "500 mm", z = "220 mm" }
upper.body = { x = "300 mm", y = "350 mm", z = "400 mm" }
upper.axle = { x = "0 mm", y = "80 mm", z = "430 mm" }
"#;

/// Three links and a Panhard bar.
pub const THREE_LINKS: &str = r#"
[rear.links]
type = "three links"
lower.body = { x = "520 mm", y = "480 mm", z = "250 mm" }
lower.axle = { x = "0 mm", y = "500 mm", z = "220 mm" }
upper.body = { x = "300 mm", y = "0 mm", z = "430 mm" }
upper.axle = { x = "0 mm", y = "0 mm", z = "460 mm" }

[rear.lateral]
type = "panhard bar"
bar.body = { x = "-120 mm", y = "-450 mm", z = "300 mm" }
bar.axle = { x = "-120 mm", y = "450 mm", z = "260 mm" }
"#;

/// A torque arm and a Watt's linkage.
pub const TORQUE_ARM: &str = r#"
[rear.links]
type = "torque arm"
material = "polyurethane"
lower.body = { x = "520 mm", y = "480 mm", z = "250 mm" }
lower.axle = { x = "0 mm", y = "500 mm", z = "220 mm" }
arm.mount = { x = "1100 mm", y = "0 mm", z = "330 mm" }

[rear.lateral]
type = "watts linkage"
pivot_on = "axle"
pivot = { x = "-150 mm", y = "0 mm", z = "300 mm" }
left.crank = { x = "-150 mm", y = "0 mm", z = "360 mm" }
left.end = { x = "-150 mm", y = "450 mm", z = "360 mm" }
right.crank = { x = "-150 mm", y = "0 mm", z = "240 mm" }
right.end = { x = "-150 mm", y = "-450 mm", z = "240 mm" }
"#;

/// Two wishbones and a toe link on a subframe.
pub const WISHBONES: &str = r#"
[rear.links]
type = "double wishbone"
lower.front = { x = "220 mm", y = "330 mm", z = "230 mm" }
lower.rear = { x = "-120 mm", y = "310 mm", z = "225 mm" }
lower.ball = { x = "10 mm", y = "680 mm", z = "205 mm" }
upper.front = { x = "120 mm", y = "420 mm", z = "420 mm" }
upper.rear = { x = "-100 mm", y = "410 mm", z = "415 mm" }
upper.ball = { x = "-5 mm", y = "640 mm", z = "440 mm" }
toe.inner = { x = "-140 mm", y = "340 mm", z = "290 mm" }
toe.outer = { x = "-140 mm", y = "670 mm", z = "282 mm" }

[rear.subframe]
type = "mounts"
front = { x = "350 mm", y = "450 mm", z = "330 mm" }
rear = { x = "-250 mm", y = "450 mm", z = "330 mm" }
"#;

/// Five rods.
pub const MULTI_LINK: &str = r#"
[rear.links]
type = "multi-link"
lower_front.inner = { x = "220 mm", y = "330 mm", z = "230 mm" }
lower_front.outer = { x = "20 mm", y = "680 mm", z = "205 mm" }
lower_rear.inner = { x = "-120 mm", y = "310 mm", z = "225 mm" }
lower_rear.outer = { x = "-10 mm", y = "680 mm", z = "210 mm" }
upper_front.inner = { x = "120 mm", y = "420 mm", z = "420 mm" }
upper_front.outer = { x = "15 mm", y = "640 mm", z = "440 mm" }
upper_rear.inner = { x = "-100 mm", y = "410 mm", z = "415 mm" }
upper_rear.outer = { x = "-15 mm", y = "645 mm", z = "440 mm" }
toe.inner = { x = "-140 mm", y = "340 mm", z = "290 mm" }
toe.outer = { x = "-140 mm", y = "670 mm", z = "282 mm" }
"#;

/// A semi-trailing arm.
pub const SEMI_TRAILING: &str = r#"
[rear.links]
type = "semi-trailing arm"
arm.inner = { x = "300 mm", y = "150 mm", z = "280 mm" }
arm.outer = { x = "420 mm", y = "560 mm", z = "270 mm" }
"#;

/// A strut on a lower arm, in front.
pub const STRUT: &str = r#"
[front.links]
type = "strut"
lower.front = { x = "60 mm", y = "360 mm", z = "205 mm" }
lower.rear = { x = "-280 mm", y = "370 mm", z = "215 mm" }
lower.ball = { x = "-2 mm", y = "700 mm", z = "190 mm" }
top.mount = { x = "-45 mm", y = "570 mm", z = "800 mm" }
foot = { x = "-8 mm", y = "640 mm", z = "340 mm" }
toe.inner = { x = "-120 mm", y = "350 mm", z = "232 mm" }
toe.outer = { x = "-120 mm", y = "690 mm", z = "220 mm" }
"#;

/// Four links straight in plan and a Panhard bar: one link more than freedoms.
pub const PARALLEL: &str = r#"
[rear.links]
type = "four links"
lower.body = { x = "550 mm", y = "500 mm", z = "250 mm" }
lower.axle = { x = "0 mm", y = "500 mm", z = "220 mm" }
upper.body = { x = "380 mm", y = "300 mm", z = "425 mm" }
upper.axle = { x = "30 mm", y = "300 mm", z = "460 mm" }

[rear.lateral]
type = "panhard bar"
bar.body = { x = "-100 mm", y = "-450 mm", z = "300 mm" }
bar.axle = { x = "-100 mm", y = "450 mm", z = "300 mm" }
"#;
