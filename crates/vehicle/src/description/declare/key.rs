//! Typed keys of the entries.
//!
//! A key names an entry of the car file together with the type of its value, so that the assembly
//! cannot read an entry that is not declared, or read it as another type. The keys are made by the
//! tables of declarations and by nothing else. An entry that both ends of the car have has an
//! [`EndKey`], which gives the key of one end by [`EndKey::at`].
//!
//! ```
//! use axletree_vehicle::{CarEnd, bundled, keys};
//!
//! let car = bundled("bramble-solid").unwrap()?;
//! assert_eq!(car.value(keys::WHEELBASE), 2.57);
//! assert_eq!(car.value(keys::BAR_OUTER_DIAMETER.at(CarEnd::Rear)), 0.022);
//! // An optional entry reads as an option.
//! assert_eq!(car.value(keys::BAR_ARM_RATE.at(CarEnd::Rear)), None);
//! # Ok::<(), axletree_vehicle::CarError>(())
//! ```
//!
//! An entry that is not declared has no key, so that a mistyped name does not compile:
//!
//! ```compile_fail,E0425
//! use axletree_vehicle::{CarEnd, bundled, keys};
//!
//! let car = bundled("bramble-solid").unwrap().unwrap();
//! car.value(keys::BAR_OUTER_DIAMETR.at(CarEnd::Rear));
//! ```
//!
//! Nor does an entry read at an end that does not have it (only the rear has a differential), or at
//! no end where both have it:
//!
//! ```compile_fail,E0599
//! use axletree_vehicle::{CarEnd, bundled, keys};
//!
//! let car = bundled("bramble-solid").unwrap().unwrap();
//! car.value(keys::DIFFERENTIAL_FINAL_DRIVE.at(CarEnd::Front));
//! ```
//!
//! ```compile_fail,E0308
//! use axletree_vehicle::{bundled, keys};
//!
//! let car = bundled("bramble-solid").unwrap().unwrap();
//! car.value(keys::BAR_OUTER_DIAMETER);
//! ```

use std::marker::PhantomData;

use super::words::Words;

/// An end of the car.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CarEnd {
    /// The front end.
    Front,
    /// The rear end.
    Rear,
}

impl CarEnd {
    /// Both ends, front first.
    pub const BOTH: [CarEnd; 2] = [CarEnd::Front, CarEnd::Rear];

    /// Name in paths.
    pub const fn name(self) -> &'static str {
        match self {
            CarEnd::Front => "front",
            CarEnd::Rear => "rear",
        }
    }

    /// The end of a name in paths; none for another name.
    pub fn named(name: &str) -> Option<CarEnd> {
        CarEnd::BOTH.into_iter().find(|end| end.name() == name)
    }

    /// Index in arrays over ends: 0 front, 1 rear.
    pub const fn index(self) -> usize {
        match self {
            CarEnd::Front => 0,
            CarEnd::Rear => 1,
        }
    }
}

/// A table of declarations.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::description) enum EntryTable {
    Whole,
    Drive,
    End,
    RearDrive,
    Links,
    Geometry,
    Spring,
    Bar,
    Compliance,
    Tire,
}

/// Number of tables.
pub(super) const TABLES: usize = 10;

/// The place of a row: its table and its index there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::description) struct RowId {
    pub table: EntryTable,
    pub index: u16,
}

/// The key of an entry, or of a group of entries such as a point.
pub struct Key<K> {
    pub(in crate::description) row: RowId,
    /// The end it belongs to; nothing for an entry of the whole car.
    pub(in crate::description) end: Option<CarEnd>,
    kind: PhantomData<fn() -> K>,
}

impl<K> Clone for Key<K> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<K> Copy for Key<K> {}

impl<K> Key<K> {
    /// The key of a row that only one end has, or the whole car.
    pub(super) const fn of(table: EntryTable, index: u16, end: Option<CarEnd>) -> Self {
        Key {
            row: RowId { table, index },
            end,
            kind: PhantomData,
        }
    }
}

/// The key of an entry that both ends of the car have.
pub struct EndKey<K> {
    rows: [RowId; 2],
    kind: PhantomData<fn() -> K>,
}

impl<K> Clone for EndKey<K> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<K> Copy for EndKey<K> {}

impl<K> EndKey<K> {
    /// The key of a row that both ends have.
    pub(super) const fn of(table: EntryTable, index: u16) -> Self {
        let row = RowId { table, index };
        EndKey {
            rows: [row, row],
            kind: PhantomData,
        }
    }

    /// One entry that the two ends declare in rows of their own.
    pub(super) const fn of_rows(front: Key<K>, rear: Key<K>) -> Self {
        EndKey {
            rows: [front.row, rear.row],
            kind: PhantomData,
        }
    }

    /// The key at one end.
    pub const fn at(self, end: CarEnd) -> Key<K> {
        let RowId { table, index } = self.rows[end.index()];
        Key::of(table, index, Some(end))
    }
}

/// The kinds of patterns that rows can have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PatternKind {
    /// A number with a unit.
    Quantity,
    /// One of some words.
    Choice,
    /// Any text.
    Text,
    /// Three coordinates.
    Point,
    /// Three components of a direction.
    Direction,
    /// An end of a link.
    LinkEnd,
}

/// The type of a key's value: `f64`, [`TextKind`], [`ChoiceKind`], [`PointKind`],
/// [`DirectionKind`], [`LinkEndKind`], or an option of one of them.
pub trait EntryKind {
    /// The pattern that its row must have.
    const PATTERN: PatternKind;
    /// Whether the entry may be absent.
    const OPTIONAL: bool = false;

    /// Whether a word of a choice has a value.
    fn takes(_word: &str) -> bool {
        true
    }
}

/// A text.
pub struct TextKind;
/// One of the words of `W`.
pub struct ChoiceKind<W>(PhantomData<W>);
/// A point: x, y, z `[m]`.
pub struct PointKind;
/// A direction: x, y, z `[-]`.
pub struct DirectionKind;
/// An end of a link: point, material, rates, direction of its sleeve.
pub struct LinkEndKind;

macro_rules! kinds {
    ($($name:ty => $pattern:ident,)*) => {
        $(
                        impl EntryKind for $name {
                const PATTERN: PatternKind = PatternKind::$pattern;
            }
        )*
    };
}
kinds! {
    f64 => Quantity,
    TextKind => Text,
    PointKind => Point,
    DirectionKind => Direction,
    LinkEndKind => LinkEnd,
}

impl<W: Words> EntryKind for ChoiceKind<W> {
    const PATTERN: PatternKind = PatternKind::Choice;

    fn takes(word: &str) -> bool {
        W::of_word(word).is_some()
    }
}

impl<K: EntryKind> EntryKind for Option<K> {
    const PATTERN: PatternKind = K::PATTERN;
    const OPTIONAL: bool = true;

    fn takes(word: &str) -> bool {
        K::takes(word)
    }
}
