//! Car files on disk: saved whole or not at all, read from files, links, pipes and devices.

use std::fs;
use std::path::{Path, PathBuf};

use axletree_vehicle::{Car, CarError, FaultKind, bundled};

/// A folder of its own, removed at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("axletree-{name}-{}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    fn join(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    /// The names in the folder.
    fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(&self.0).unwrap();
        let name = |entry: std::io::Result<fs::DirEntry>| entry.unwrap().file_name();
        let mut names: Vec<String> = entries
            .map(|entry| name(entry).into_string().unwrap())
            .collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // Nothing depends on it.
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn solid() -> Car {
    bundled("bramble-solid").unwrap().unwrap()
}

/// A car with a long remark: its file does not fit into one page of memory.
fn noted(letter: &str) -> Car {
    solid().edit([("note", letter.repeat(9_000))]).unwrap()
}

fn kind(error: &CarError) -> &FaultKind {
    assert_eq!(error.faults.len(), 1, "{error}");
    &error.faults[0].kind
}

#[test]
fn saved_and_loaded_cars_are_equal() {
    let folder = Folder::new("round");
    let path = folder.join("car.toml");
    for (name, _) in axletree_vehicle::BUNDLED {
        let car = bundled(name).unwrap().unwrap();
        car.save(&path).unwrap();
        assert_eq!(Car::load(&path).unwrap(), car);
        assert_eq!(fs::read_to_string(&path).unwrap(), car.to_toml());
    }
    assert_eq!(folder.names(), ["car.toml"]);
}

#[test]
fn a_save_that_fails_says_so() {
    let folder = Folder::new("refused");
    let car = solid();
    let file = folder.join("file");
    fs::write(&file, "text").unwrap();
    for path in [
        folder.0.clone(),
        folder.join("no/such/folder.toml"),
        file.join("below-a-file.toml"),
        PathBuf::new(),
        PathBuf::from("/"),
    ] {
        let error = car.save(&path).unwrap_err();
        assert!(
            matches!(kind(&error), FaultKind::Unwritable { .. }),
            "{error:?}"
        );
        assert!(
            error.to_string().contains("the file cannot be written: "),
            "{error}"
        );
        assert!(!error.to_string().contains("read"), "{error}");
        assert_eq!(error.origin.as_deref(), path.to_str());
    }
    assert_eq!(folder.names(), ["file"]);
    assert_eq!(fs::read_to_string(&file).unwrap(), "text");
}

#[cfg(unix)]
mod unix {
    use super::*;
    use std::os::unix::fs::{FileTypeExt, PermissionsExt, symlink};
    use std::process::{Command, Stdio};
    use std::sync::atomic::{AtomicBool, Ordering};
    use std::time::Duration;

    /// Runs a test of this file in a process of its own, told what to do by the environment.
    fn this_test(name: &str, path: &Path) -> Command {
        let mut command = Command::new("sh");
        command
            // A limit of the size of files is a full disk that needs no disk; its signal is ignored
            // so that the write fails.
            .args([
                "-c",
                "trap '' XFSZ; ulimit -f \"$BLOCKS\"; exec \"$0\" \"$@\"",
            ])
            .arg(std::env::current_exe().unwrap())
            .args(["--exact", name, "--nocapture"])
            .env("AXLETREE_SAVE_TO", path)
            .env("BLOCKS", "unlimited")
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command
    }

    /// The path of a test that runs as a process of its own.
    fn told() -> Option<PathBuf> {
        std::env::var_os("AXLETREE_SAVE_TO").map(PathBuf::from)
    }

    #[test]
    fn a_full_disk_leaves_the_old_file() {
        if let Some(path) = told() {
            let error = noted("b").save(&path).unwrap_err();
            assert!(matches!(
                kind(&error),
                FaultKind::Unwritable { code: Some(_), .. }
            ));
            return;
        }
        let folder = Folder::new("full");
        let old = folder.join("mine.toml");
        let car = noted("a");
        car.save(&old).unwrap();
        for path in [&old, &folder.join("new.toml")] {
            // Blocks of 512 or 1024 bytes; the file has more than 9,000.
            let mut child = this_test("unix::a_full_disk_leaves_the_old_file", path);
            let done = child.env("BLOCKS", "4").status().unwrap();
            assert!(done.success(), "the save should have failed with a fault");
        }
        assert_eq!(Car::load(&old).unwrap(), car);
        assert_eq!(folder.names(), ["mine.toml"]);
        // The control: without the limit the same save does not fail.
        let mut child = this_test("unix::a_full_disk_leaves_the_old_file", &old);
        assert!(!child.status().unwrap().success());
        assert_eq!(Car::load(&old).unwrap(), noted("b"));
    }

    /// Killed at any moment, a save leaves the old car or the new one.
    #[test]
    fn a_killed_save_leaves_a_whole_file() {
        if let Some(path) = told() {
            let cars = [noted("a"), noted("b")];
            for i in 0.. {
                cars[i % 2].save(&path).unwrap();
            }
        }
        let folder = Folder::new("killed");
        let path = folder.join("mine.toml");
        let cars = [noted("a"), noted("b")];
        cars[0].save(&path).unwrap();
        for round in 0..20 {
            let mut child = this_test("unix::a_killed_save_leaves_a_whole_file", &path);
            let mut child = child.spawn().unwrap();
            std::thread::sleep(Duration::from_millis(60 + 3 * round));
            child.kill().unwrap();
            child.wait().unwrap();
            assert!(cars.contains(&Car::load(&path).unwrap()));
        }
    }

    /// Whoever reads while another saves gets one of the cars.
    #[test]
    fn readers_beside_a_writer_see_whole_files() {
        let folder = Folder::new("beside");
        let path = folder.join("mine.toml");
        let texts = [noted("a"), noted("b")].map(|car| car.to_toml());
        noted("a").save(&path).unwrap();
        let done = AtomicBool::new(false);
        std::thread::scope(|scope| {
            scope.spawn(|| {
                for i in 0..200 {
                    let car = noted(["a", "b"][i % 2]);
                    car.save(&path).unwrap();
                }
                done.store(true, Ordering::Release);
            });
            let mut seen = [0; 2];
            while !done.load(Ordering::Acquire) {
                let read = fs::read_to_string(&path).unwrap();
                let which = texts.iter().position(|text| *text == read);
                seen[which.expect("half a car")] += 1;
            }
            assert!(seen[0] > 0 && seen[1] > 0, "{seen:?}");
        });
        assert_eq!(folder.names(), ["mine.toml"]);
    }

    #[test]
    fn permissions_stay() {
        let folder = Folder::new("modes");
        let path = folder.join("mine.toml");
        solid().save(&path).unwrap();
        // A new file has the mode of any new file.
        let plain = folder.join("plain");
        fs::write(&plain, "").unwrap();
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
        assert_eq!(mode(&path), mode(&plain));
        for bits in [0o600, 0o640, 0o666] {
            fs::set_permissions(&path, fs::Permissions::from_mode(bits)).unwrap();
            noted("a").save(&path).unwrap();
            assert_eq!(mode(&path) & 0o777, bits);
            assert_eq!(Car::load(&path).unwrap(), noted("a"));
        }
        // A file that may not be written is not replaced either; the system decides, and lets
        // its administrator write.
        fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).unwrap();
        let may = fs::OpenOptions::new().write(true).open(&path).is_ok();
        let saved = solid().save(&path);
        assert_eq!(saved.is_ok(), may, "{saved:?}");
        assert_eq!(Car::load(&path).unwrap() == solid(), may);
        assert_eq!(mode(&path) & 0o777, 0o444);
    }

    #[test]
    fn links_stay_and_what_they_name_is_replaced() {
        let folder = Folder::new("links");
        let inner = folder.join("inner");
        fs::create_dir(&inner).unwrap();
        // To a file in another folder, through a second link, and to a file that is not there yet.
        solid().save(inner.join("car.toml")).unwrap();
        symlink("inner/car.toml", folder.join("one")).unwrap();
        symlink("one", folder.join("two")).unwrap();
        symlink("inner/new.toml", folder.join("dangling")).unwrap();
        noted("a").save(folder.join("two")).unwrap();
        noted("b").save(folder.join("dangling")).unwrap();
        for link in ["one", "two", "dangling"] {
            assert!(
                fs::symlink_metadata(folder.join(link))
                    .unwrap()
                    .is_symlink()
            );
        }
        assert_eq!(Car::load(inner.join("car.toml")).unwrap(), noted("a"));
        assert_eq!(Car::load(inner.join("new.toml")).unwrap(), noted("b"));
        // A circle of links ends.
        symlink("circle", folder.join("circle")).unwrap();
        let error = noted("a").save(folder.join("circle")).unwrap_err();
        assert!(matches!(kind(&error), FaultKind::Unwritable { .. }));
        assert_eq!(
            folder.names(),
            ["circle", "dangling", "inner", "one", "two"]
        );
    }

    /// What is no file keeps its place: a device takes the bytes, a full one refuses them.
    #[test]
    fn devices_are_written_to() {
        for device in ["/dev/null", "/dev/full"] {
            let path = Path::new(device);
            if !path.exists() {
                continue;
            }
            let saved = solid().save(path);
            assert_eq!(saved.is_ok(), device == "/dev/null", "{saved:?}");
            assert!(fs::metadata(path).unwrap().file_type().is_char_device());
        }
        let error = Car::load("/dev/zero").unwrap_err();
        assert!(
            matches!(kind(&error), FaultKind::TooLarge { .. }),
            "{error}"
        );
        assert!(Car::load("/dev/null").is_err());
    }

    /// A pipe is read to its end, however slowly it comes.
    #[test]
    fn pipes_are_read() {
        let folder = Folder::new("pipes");
        let path = folder.join("pipe");
        assert!(
            Command::new("mkfifo")
                .arg(&path)
                .status()
                .unwrap()
                .success()
        );
        let text = solid().to_toml();
        std::thread::scope(|scope| {
            scope.spawn(|| {
                use std::io::Write;
                let mut pipe = fs::OpenOptions::new().write(true).open(&path).unwrap();
                for part in text.as_bytes().chunks(text.len() / 5) {
                    pipe.write_all(part).unwrap();
                    std::thread::sleep(Duration::from_millis(5));
                }
            });
            assert_eq!(Car::load(&path).unwrap(), solid());
        });
        // And written to.
        std::thread::scope(|scope| {
            let read = scope.spawn(|| fs::read_to_string(&path).unwrap());
            solid().save(&path).unwrap();
            assert_eq!(read.join().unwrap(), text);
        });
        assert!(fs::metadata(&path).unwrap().file_type().is_fifo());
    }
}
