//! Rows of the tables of declarations, and the macro that makes rows and keys from the same lines.

use super::key::{EntryKind, PatternKind};
use super::shape::EntryNeed;
use super::words::Words;

/// The ends of the car that have a row, and the kinds of rear end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// The whole car.
    Whole,
    /// Both ends.
    Both,
    /// Both ends, each where its wheels are independently sprung.
    BothIndependent,
    /// The front end.
    Front,
    /// The rear end.
    Rear,
    /// An independently sprung rear end.
    RearIndependent,
    /// A solid rear axle.
    RearSolid,
}

/// A test of another entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ConditionTest {
    /// It is one of some words.
    Is(&'static [&'static str]),
    /// It is written.
    Given,
    /// It is not written.
    Absent,
}

/// A condition on another entry of the same end.
pub(super) type When = (&'static str, ConditionTest);

/// The pattern of a row: one entry, or a group of entries under one path.
#[derive(Clone, Copy, Debug)]
pub(super) enum Pattern {
    /// A number with its unit and range.
    Quantity {
        unit: &'static str,
        low: f64,
        high: f64,
    },
    /// One of some words.
    Choice(&'static [&'static str]),
    /// A text with its largest length `[characters]`, of one line or of several.
    Text { longest: usize, lines: bool },
    /// Three coordinates.
    Point,
    /// Three components of a direction.
    Direction,
    /// Point, material, five rates, and the direction of the sleeve, which is `sleeve` where none
    /// of its components is written; no direction where the linkage settles it.
    LinkEnd { sleeve: Option<&'static str> },
}

impl Pattern {
    const fn kind(self) -> PatternKind {
        match self {
            Pattern::Quantity { .. } => PatternKind::Quantity,
            Pattern::Choice(_) => PatternKind::Choice,
            Pattern::Text { .. } => PatternKind::Text,
            Pattern::Point => PatternKind::Point,
            Pattern::Direction => PatternKind::Direction,
            Pattern::LinkEnd { .. } => PatternKind::LinkEnd,
        }
    }
}

/// A quantity's pattern.
pub(super) const fn q(unit: &'static str, low: f64, high: f64) -> Pattern {
    Pattern::Quantity { unit, low, high }
}

/// The pattern of a text of one line.
pub(super) const LINE: Pattern = Pattern::Text {
    longest: 200,
    lines: false,
};

/// The pattern of a text of any number of lines.
pub(super) const LINES: Pattern = Pattern::Text {
    longest: 10_000,
    lines: true,
};

/// The pattern of a choice among all words of a type.
pub(super) const fn choice<W: Words>() -> Pattern {
    Pattern::Choice(W::WORDS)
}

/// A row of the tables.
#[derive(Clone, Copy, Debug)]
pub(super) struct EntryRow {
    pub place: Place,
    pub path: &'static str,
    pub pattern: Pattern,
    pub need: EntryNeed,
    pub meaning: &'static str,
    pub when: &'static [When],
    /// Whether the type of its key takes a word of its choice.
    pub takes: fn(&str) -> bool,
}

impl EntryRow {
    /// The same row, for cars that meet conditions.
    pub const fn when(self, when: &'static [When]) -> EntryRow {
        EntryRow { when, ..self }
    }

    /// The row with a key of the kind `K`; does not compile where they do not match.
    pub const fn keyed<K: EntryKind>(self) -> EntryRow {
        assert!(
            self.pattern.kind() as u8 == K::PATTERN as u8,
            "the type of a key does not match the pattern of its row"
        );
        // The need of a link's end is that of its material.
        assert!(
            K::OPTIONAL == matches!(self.need, EntryNeed::Optional(_))
                || matches!(self.pattern, Pattern::LinkEnd { .. }),
            "an optional entry has a key of an option, and no other entry has"
        );
        EntryRow {
            takes: K::takes,
            ..self
        }
    }
}

/// A row of one entry.
pub(super) const fn row(
    place: Place,
    path: &'static str,
    pattern: Pattern,
    need: EntryNeed,
    meaning: &'static str,
) -> EntryRow {
    EntryRow {
        place,
        path,
        pattern,
        need,
        meaning,
        when: &[],
        takes: any_word,
    }
}

fn any_word(_word: &str) -> bool {
    true
}

/// The index of a path in a table; does not compile where the table has none.
pub(super) const fn index_of(rows: &[EntryRow], path: &str) -> u16 {
    let mut i = 0;
    while i < rows.len() {
        if same(rows[i].path, path) {
            // Tables have some hundred rows.
            #[expect(
                clippy::cast_possible_truncation,
                reason = "tables have some hundred rows"
            )]
            return i as u16;
        }
        i += 1;
    }
    panic!("the path is not declared in this table")
}

const fn same(a: &str, b: &str) -> bool {
    let (a, b) = (a.as_bytes(), b.as_bytes());
    if a.len() != b.len() {
        return false;
    }
    let mut i = 0;
    while i < a.len() {
        if a[i] != b[i] {
            return false;
        }
        i += 1;
    }
    true
}

/// The place, key type and key of a row, by the word in front of it.
macro_rules! at_place {
    (place whole) => { super::row::Place::Whole };
    (place both) => { super::row::Place::Both };
    (place independent) => { super::row::Place::BothIndependent };
    (place front) => { super::row::Place::Front };
    (place rear) => { super::row::Place::Rear };
    (place rear_independent) => { super::row::Place::RearIndependent };
    (place solid) => { super::row::Place::RearSolid };

    (type both $kind:ty) => { super::key::EndKey<$kind> };
    (type independent $kind:ty) => { super::key::EndKey<$kind> };
    (type $other:ident $kind:ty) => { super::key::Key<$kind> };

    (key both $table:expr, $index:expr) => {
        super::key::EndKey::of($table, $index)
    };
    (key independent $table:expr, $index:expr) => {
        super::key::EndKey::of($table, $index)
    };
    (key whole $table:expr, $index:expr) => {
        super::key::Key::of($table, $index, None)
    };
    (key front $table:expr, $index:expr) => {
        super::key::Key::of(
            $table,
            $index,
            Some(super::key::CarEnd::Front),
        )
    };
    (key $rear:ident $table:expr, $index:expr) => {
        super::key::Key::of(
            $table,
            $index,
            Some(super::key::CarEnd::Rear),
        )
    };
}
pub(super) use at_place;

/// A table of declarations with a key per row.
///
/// Each row reads `place KEY: kind = path, pattern, need, meaning;`, with `, when CONDITIONS`
/// before the semicolon for entries of only some cars. The place is `whole`, `both`, `independent`
/// (both ends, where independently sprung), `front`, `rear`, `rear_independent` or `solid`.
macro_rules! table {
    (
        $(#[$doc:meta])*
        $rows:ident in $table:ident by $index:ident;
        $(
            $place:ident $key:ident: $kind:ty = $path:literal, $pattern:expr, $need:expr,
            $meaning:literal $(, when $when:expr)?;
        )*
    ) => {
        #[expect(
            non_camel_case_types,
            reason = "the values count the rows under the names of their keys"
        )]
        #[allow(clippy::upper_case_acronyms, reason = "only some of the tables have such names")]
        enum $index {
            $($key,)*
        }

        $(#[$doc])*
        pub(super) const $rows: &[super::row::EntryRow] = &[
            $(
                super::row::row(
                    super::row::at_place!(place $place),
                    $path,
                    $pattern,
                    $need,
                    $meaning,
                )
                $(.when($when))?
                .keyed::<$kind>(),
            )*
        ];

        $(
            #[doc = concat!("`", $path, "`: ", $meaning, ".")]
            pub const $key: super::row::at_place!(type $place $kind) =
                super::row::at_place!(
                    key $place
                    super::key::EntryTable::$table,
                    $index::$key as u16
                );
        )*
    };
}
pub(super) use table;
