//! The driver's laws and constants stand in one room.

use std::fs;
use std::path::{Path, PathBuf};

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

/// Laws and constants that belong to the driver alone: the power bound, the saturating hands, the
/// rate of fast hands.
const OWN: [&str; 4] = [
    "peak_power /",
    "tanh().scale(self.hand_rate",
    "900f64",
    "900_f64",
];

fn strangers(text: &str) -> Vec<&'static str> {
    OWN.into_iter().filter(|own| text.contains(own)).collect()
}

/// No maneuver and no search repeats a law or a constant of the driver. The control: planted copies
/// are found.
#[test]
fn law_one_driver_room() {
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let mut files = Vec::new();
    for name in ["maneuver", "limit"] {
        sources(&crates.join(name).join("src"), &mut files);
    }
    assert!(files.len() > 30, "{}", files.len());
    for file in files {
        let found = strangers(&fs::read_to_string(&file).unwrap());
        assert!(found.is_empty(), "{}: {found:?}", file.display());
    }
    assert_eq!(
        strangers("peak_torque.min(line.peak_power / omega)"),
        ["peak_power /"]
    );
    assert_eq!(strangers("rate: 900_f64.to_radians()"), ["900_f64"]);
}
