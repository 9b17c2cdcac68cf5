//! [`Car`]: a checked description with its assembled numbers.

use std::path::Path;
use std::sync::Arc;

use axletree_linkage::Longitudinal;
use axletree_tire::{TIRE_INPUTS, TireSpec};
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::assemble::assembled::{Assembled, EndLinks, assemble_from};
use crate::assemble::links::solved::Links;
use crate::assemble::summary::CarSummary;
use crate::description::bundled::BUNDLED;
use crate::description::data::Description;
use crate::description::declare::key::{CarEnd, Key};
use crate::description::declare::keys;
use crate::description::edit::Value;
use crate::description::listing::Entry;
use crate::description::read::{of_toml, text_of_file};
use crate::description::reading::Reading;
use crate::description::rear::Difference;
use crate::description::typed::Readable;
use crate::description::{schema, serde_form};
use crate::fault::CarError;
use crate::model::numbers::Numbers;
use crate::model::{Geometry, Model};

/// A car as described, assembled.
///
/// Every value of this type has passed all checks. It never changes: editing makes a new one.
///
/// ```
/// use axletree_vehicle::{CarEnd, bundled, keys};
///
/// let car = bundled("bramble-solid").unwrap()?;
/// let stiffer = car.edit([("rear.bar.outer_diameter", "24 mm")])?;
/// assert_eq!(stiffer.value(keys::BAR_OUTER_DIAMETER.at(CarEnd::Rear)), 0.024);
/// assert_eq!(car.value(keys::BAR_OUTER_DIAMETER.at(CarEnd::Rear)), 0.022);
///
/// // Every wrong entry is reported, with its path, what was read and what is allowed.
/// let error = car.edit([("rear.bar.outer_diameter", "24 kg")]).unwrap_err();
/// assert_eq!(error.faults[0].path, "rear.bar.outer_diameter");
///
/// let model = stiffer.assemble()?;
/// assert_eq!(model.name, car.name());
/// # Ok::<(), axletree_vehicle::CarError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Car {
    description: Description,
    assembled: Arc<Assembled>,
}

/// Two cars are equal if every entry is, written or by default, wherever they came from.
impl PartialEq for Car {
    fn eq(&self, other: &Car) -> bool {
        self.description == other.description
    }
}

/// A bundled car by its name; nothing where there is none of that name.
///
/// ```
/// use axletree_vehicle::{BUNDLED, bundled};
///
/// for (name, _) in BUNDLED {
///     let car = bundled(name).expect("a bundled name")?;
///     assert_eq!(car.origin(), Some(*name));
/// }
/// assert!(bundled("no such car").is_none());
/// # Ok::<(), axletree_vehicle::CarError>(())
/// ```
pub fn bundled(name: &str) -> Option<Result<Car, CarError>> {
    let (name, text) = BUNDLED.iter().find(|(known, _)| *known == name)?;
    Some(Car::from_toml(text, Some(name)))
}

impl Car {
    /// The car of a description without faults, assembled.
    fn of(reading: Reading, known: &EndLinks) -> Result<Car, CarError> {
        let (description, assembled) =
            reading.finish_with(|description| assemble_from(description, known))?;
        Ok(Car {
            description,
            assembled: Arc::new(assembled),
        })
    }

    /// Reads the text of a car file. `origin` names it in faults.
    ///
    /// ```
    /// use axletree_vehicle::{BUNDLED, Car};
    ///
    /// let (name, text) = BUNDLED[0];
    /// let car = Car::from_toml(text, Some(name))?;
    /// assert_eq!(Car::from_toml(&car.to_toml(), None)?, car);
    ///
    /// let error = Car::from_toml("wheelbase = \"101 kg\"", Some("mine.toml")).unwrap_err();
    /// assert!(error.to_string().starts_with("mine.toml has"));
    /// # Ok::<(), axletree_vehicle::CarError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// Every fault of the text, in the order of its lines.
    pub fn from_toml(text: &str, origin: Option<&str>) -> Result<Car, CarError> {
        Car::of(of_toml(text, origin)?, &[None, None])
    }

    /// A bundled car by its name, else the car of a file.
    ///
    /// # Errors
    ///
    /// A file that is missing, too large or not text, and every fault of its text.
    pub fn load(name_or_path: impl AsRef<Path>) -> Result<Car, CarError> {
        let path = name_or_path.as_ref();
        if let Some(car) = path.to_str().and_then(bundled) {
            return car;
        }
        let text = text_of_file(path)?;
        Car::from_toml(&text, Some(&path.display().to_string()))
    }

    /// The text of the car file: every written entry, in the order of the declarations, as it was
    /// written.
    pub fn to_toml(&self) -> String {
        self.description.to_toml()
    }

    /// Writes the car file.
    ///
    /// # Errors
    ///
    /// A file that cannot be written.
    pub fn save(&self, path: impl AsRef<Path>) -> Result<(), CarError> {
        self.description.save(path)
    }

    /// The JSON schema (draft 2020-12) of a car file, from the declarations.
    ///
    /// Ranges hold in the unit named by `x-unit` and are in `x-minimum` and `x-maximum`, since JSON
    /// schema cannot compare texts with units; for pure numbers they are `minimum` and `maximum`.
    ///
    /// ```
    /// let schema = axletree_vehicle::Car::schema();
    /// assert_eq!(schema["properties"]["wheelbase"]["x-unit"], "m");
    /// ```
    pub fn schema() -> serde_json::Value {
        schema::schema()
    }

    /// The description.
    pub fn description(&self) -> &Description {
        &self.description
    }

    /// The car's name.
    pub fn name(&self) -> &str {
        self.description.name()
    }

    /// Where the description came from: a file name or a bundled car's name.
    pub fn origin(&self) -> Option<&str> {
        self.description.origin()
    }

    /// The value of an entry by its key: as written, else its default. `[SI]`
    ///
    /// # Panics
    ///
    /// Where the entry is required in cars of another kind and this car does not have it.
    pub fn value<K: Readable>(&self, key: Key<K>) -> K::Value<'_> {
        self.description.value(key)
    }

    /// One entry by its dotted path.
    ///
    /// ```
    /// use axletree_vehicle::{EntryValue, bundled};
    ///
    /// let entry = bundled("bramble-solid").unwrap()?.get("rear.bar.outer_diameter")?;
    /// assert_eq!(entry.value, Some(EntryValue::Number(0.022)));
    /// assert_eq!(entry.written.as_deref(), Some("22 mm"));
    /// # Ok::<(), axletree_vehicle::CarError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// A path that no car has, or that only other cars have.
    pub fn get(&self, path: &str) -> Result<Entry, CarError> {
        self.description.get(path)
    }

    /// Every entry that this car has or may have, in the order of a file.
    pub fn paths(&self) -> Vec<Entry> {
        self.description.paths()
    }

    /// A new car with entries changed; this one stays as it is. Every wrong entry is reported.
    ///
    /// # Errors
    ///
    /// Every wrong change, or every fault of the changed car.
    pub fn edit<P: AsRef<str>, V: Into<Value>>(
        &self,
        changes: impl IntoIterator<Item = (P, V)>,
    ) -> Result<Car, CarError> {
        Car::of(self.description.edited(changes), &self.assembled.links)
    }

    /// This car with the rear end of another: every entry under `rear`, from linkage, springs, dampers,
    /// bar and tires to axle or subframe, differential and its sprung parts.
    ///
    /// Mass, center of gravity, inertia and preloads follow in the assembly. Corner weights hold
    /// for the rear end they were taken with: they are turned into mass and center first.
    ///
    /// ```
    /// use axletree_vehicle::bundled;
    ///
    /// let solid = bundled("bramble-solid").unwrap()?;
    /// let independent = bundled("bramble-independent").unwrap()?;
    /// let swapped = solid.with_rear(&independent)?;
    /// assert!(!swapped.summary().solid_rear);
    /// assert_eq!(swapped.with_rear(&solid)?, solid);
    /// # Ok::<(), axletree_vehicle::CarError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// Every fault of the car put together.
    pub fn with_rear(&self, other: &Car) -> Result<Car, CarError> {
        let chassis = self.assembled.rest.chassis_weights();
        let [front, _] = self.assembled.links.clone();
        let [_, rear] = other.assembled.links.clone();
        let reading = self.description.with_rear(&other.description, chassis);
        Car::of(reading, &[front, rear])
    }

    /// This car with another tire at one end, such as a fitted one. The pressure it runs at stays.
    ///
    /// ```
    /// use axletree_tire::TireSpec;
    /// use axletree_vehicle::{CarEnd, bundled};
    ///
    /// let car = bundled("bramble-solid").unwrap()?;
    /// let taller = car.with_tire(CarEnd::Rear, &TireSpec::typical(0.33, 4500.0))?;
    /// assert!(car.differences(&taller).iter().all(|d| d.path.starts_with("rear.tire")));
    /// # Ok::<(), axletree_vehicle::CarError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// Every fault of the changed car.
    pub fn with_tire(&self, end: CarEnd, tire: &TireSpec) -> Result<Car, CarError> {
        self.edit(TIRE_INPUTS.iter().map(|input| {
            let path = format!("{}.{}", end.name(), input.entry);
            (path, (input.get)(tire))
        }))
    }

    /// Every entry in which this car and another differ, in the order of a file.
    pub fn differences(&self, other: &Car) -> Vec<Difference> {
        self.description.differences(&other.description)
    }

    /// The car ready for the equations.
    ///
    /// # Errors
    ///
    /// None: a car that exists has been assembled. The result is kept for callers that treat a
    /// description and a car alike.
    pub fn assemble(&self) -> Result<Model, CarError> {
        let Assembled {
            numbers,
            summary,
            gears,
            ..
        } = &*self.assembled;
        Ok(Model {
            geometry: summary.geometry(),
            rest_travel: summary.rest_travel,
            gears: gears.clone(),
            name: summary.name.clone(),
            numbers: *numbers,
        })
    }

    /// The numbers of the car's equations.
    pub fn numbers(&self) -> &Numbers<f64> {
        &self.assembled.numbers
    }

    /// Name, size and rest position of the car.
    pub fn summary(&self) -> &CarSummary {
        &self.assembled.summary
    }

    /// Outer dimensions of the car from its center of mass, for maneuvers.
    pub fn geometry(&self) -> Geometry {
        self.assembled.summary.geometry()
    }

    /// The links of one end, solved from their points: curves, figures, compliance, binding, and
    /// the links themselves for drawing. Nothing for an end given by coefficients.
    ///
    /// ```
    /// use axletree_vehicle::{CarEnd, bundled};
    ///
    /// let car = bundled("bramble-solid").unwrap()?;
    /// let rear = car.linkage(CarEnd::Rear).expect("links given by points");
    /// assert!(rear.axle().is_some());
    /// # Ok::<(), axletree_vehicle::CarError>(())
    /// ```
    pub fn linkage(&self, end: CarEnd) -> Option<Links> {
        let links = self.assembled.links[end.index()].as_ref()?;
        let front_share = self.value(keys::BRAKES_FRONT_SHARE);
        Some(links.of_car(Longitudinal {
            height: self.assembled.rest.center[2],
            wheelbase: self.value(keys::WHEELBASE),
            brake_share: match end {
                CarEnd::Front => front_share,
                CarEnd::Rear => 1.0 - front_share,
            },
        }))
    }
}

impl Serialize for Car {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.description.serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Car {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let reading = serde_form::reading(deserializer)?;
        Car::of(reading, &[None, None]).map_err(D::Error::custom)
    }
}
