//! Reading of a description by typed keys.

use std::ops::Range;

use axletree_linkage::Material;

use super::data::Description;
use super::declare::declarations::DECLARATIONS;
use super::declare::group::BEFORE_SLEEVE;
use super::declare::key::{
    ChoiceKind, DirectionKind, EntryKind, Key, LinkEndKind, PointKind, TextKind,
};
use super::declare::keys;
use super::declare::words::Words;

/// A kind of key whose value can be read from a description.
pub trait Readable: EntryKind {
    /// The type of the value.
    type Value<'a>;

    /// The value of entries; nothing where a required one of them is absent.
    fn read(description: &Description, entries: Range<usize>) -> Option<Self::Value<'_>>;
}

impl Readable for f64 {
    type Value<'a> = f64;

    fn read(description: &Description, entries: Range<usize>) -> Option<f64> {
        description.number_at(entries.start)
    }
}

impl Readable for TextKind {
    type Value<'a> = &'a str;

    fn read(description: &Description, entries: Range<usize>) -> Option<&str> {
        description.text_at(entries.start)
    }
}

impl<W: Words> Readable for ChoiceKind<W> {
    type Value<'a> = W;

    fn read(description: &Description, entries: Range<usize>) -> Option<W> {
        let word = description.text_at(entries.start)?;
        // Reading lets only the words of the choice pass, and a test compares them with the type.
        Some(W::of_word(word).expect("a word of the choice"))
    }
}

impl Readable for PointKind {
    type Value<'a> = [f64; 3];

    fn read(description: &Description, entries: Range<usize>) -> Option<[f64; 3]> {
        let at = |k: usize| description.number_at(entries.start + k);
        Some([at(0)?, at(1)?, at(2)?])
    }
}

impl Readable for DirectionKind {
    type Value<'a> = [f64; 3];

    /// A direction is there where any of its components is; the others are zero.
    fn read(description: &Description, entries: Range<usize>) -> Option<[f64; 3]> {
        let parts = [0, 1, 2].map(|k| description.number_at(entries.start + k));
        parts
            .iter()
            .any(Option::is_some)
            .then(|| parts.map(|part| part.unwrap_or(0.0)))
    }
}

/// The end of a link as described.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinkEndEntries {
    /// Place `[m]`.
    pub at: [f64; 3],
    /// Material of the end itself.
    pub material: Option<Material>,
    /// Rate square to the sleeve in place of the material's `[N/m]`.
    pub radial: Option<f64>,
    /// Rate along the sleeve `[N/m]`.
    pub axial: Option<f64>,
    /// Rate of a turn about the sleeve `[N*m/rad]`.
    pub torsional: Option<f64>,
    /// Rate of a tilt of the sleeve `[N*m/rad]`.
    pub conical: Option<f64>,
    /// Tilt at which the end runs solid `[rad]`.
    pub tilt_limit: Option<f64>,
    /// Direction of the sleeve `[-]`.
    pub sleeve: Option<[f64; 3]>,
}

impl Readable for LinkEndKind {
    type Value<'a> = LinkEndEntries;

    fn read(description: &Description, entries: Range<usize>) -> Option<LinkEndEntries> {
        let first = entries.start;
        let material = <ChoiceKind<Material>>::read(description, first + 3..first + 4);
        let [radial, axial, torsional, conical, tilt_limit] =
            [4, 5, 6, 7, 8].map(|k| description.number_at(first + k));
        let sleeve = first + BEFORE_SLEEVE..entries.end;
        Some(LinkEndEntries {
            at: PointKind::read(description, first..first + 3)?,
            material,
            radial,
            axial,
            torsional,
            conical,
            tilt_limit,
            sleeve: if sleeve.is_empty() {
                None
            } else {
                DirectionKind::read(description, sleeve)
            },
        })
    }
}

impl<K: Readable> Readable for Option<K> {
    type Value<'a> = Option<K::Value<'a>>;

    fn read(description: &Description, entries: Range<usize>) -> Option<Self::Value<'_>> {
        Some(K::read(description, entries))
    }
}

impl Description {
    /// The value of an entry: as written, else its default. `[SI]`
    ///
    /// # Panics
    ///
    /// A required entry is absent: the car is of a kind that does not have it.
    pub fn value<K: Readable>(&self, key: Key<K>) -> K::Value<'_> {
        self.stated(key)
            .unwrap_or_else(|| panic!("the car has no entry {}, which is read", key.path()))
    }

    /// The value of an entry; nothing where a required one is absent, as it may be before the
    /// checks or in a car of another kind. `[SI]`
    pub(crate) fn stated<K: Readable>(&self, key: Key<K>) -> Option<K::Value<'_>> {
        K::read(self, DECLARATIONS.entries(key))
    }

    /// Whether an entry is written, or any entry of a group.
    pub fn is_written<K>(&self, key: Key<K>) -> bool {
        DECLARATIONS
            .entries(key)
            .any(|index| self.cells[index].is_some())
    }

    /// The car's name; empty before the checks where it is missing.
    pub fn name(&self) -> &str {
        self.stated(keys::NAME).unwrap_or("")
    }
}
