//! Varied entries of a car, their values, and the combinations of the values.

use std::collections::HashSet;

use axletree_vehicle::Value;

use crate::error::StudyError;

/// Rows of one study, at most: with twenty metrics and their outcomes they take some hundred
/// megabytes, and a gigabyte or two as a table in Python.
pub(crate) const MOST_ROWS: usize = 1_000_000;

/// One entry of a car's description and its values.
#[derive(Clone, Debug)]
pub struct Vary {
    /// Dotted path of the entry.
    pub path: String,
    /// Values, in the order of the rows.
    pub values: Vec<Value>,
}

impl Vary {
    /// An entry by its dotted path, with its values: numbers `[SI]`, texts with units, choices.
    ///
    /// ```
    /// use axletree_study::Vary;
    ///
    /// let bars = Vary::new("rear.bar.outer_diameter", ["16 mm", "7/8 in", "28 mm"]);
    /// assert_eq!(bars.values.len(), 3);
    /// ```
    pub fn new<V: Into<Value>>(
        path: impl Into<String>,
        values: impl IntoIterator<Item = V>,
    ) -> Self {
        Vary {
            path: path.into(),
            values: values.into_iter().map(Into::into).collect(),
        }
    }
}

/// Combination of the values of several entries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SweepDesign {
    /// All combinations; the last entry varies fastest.
    Grid,
    /// The car itself, then one entry varied at a time, the others at the car's own values.
    OneAtATime,
}

/// Combinations of the values of several entries, found row by row when they are asked for.
#[derive(Clone, Debug)]
pub(crate) struct Combinations {
    /// Number of values of every entry.
    sizes: Vec<usize>,
    design: SweepDesign,
    rows: usize,
}

impl Combinations {
    /// Combinations of the values of the entries, each given once and with at least one value.
    pub fn of(vary: &[Vary], design: SweepDesign) -> Result<Self, StudyError> {
        if vary.is_empty() {
            return Err(StudyError::Empty {
                what: "entry to vary",
                given: 0,
            });
        }
        if vary.iter().any(|one| one.values.is_empty()) {
            return Err(StudyError::Empty {
                what: "value of every entry to vary",
                given: 0,
            });
        }
        if let Some(twice) = first_repeated(vary.iter().map(|one| one.path.as_str())) {
            return Err(StudyError::Twice {
                what: "the entry",
                name: twice.to_owned(),
            });
        }
        let sizes: Vec<usize> = vary.iter().map(|one| one.values.len()).collect();
        let wide = sizes.iter().map(|&n| n as u128);
        let rows = match design {
            SweepDesign::Grid => wide.fold(1, u128::saturating_mul),
            SweepDesign::OneAtATime => 1 + wide.sum::<u128>(),
        };
        match usize::try_from(rows) {
            Ok(rows) if rows <= MOST_ROWS => Ok(Combinations {
                sizes,
                design,
                rows,
            }),
            _ => Err(StudyError::TooLarge {
                rows,
                most: MOST_ROWS,
            }),
        }
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Number of every entry's value in a row; none where the entry has the car's own value.
    pub fn row(&self, row: usize) -> Vec<Option<usize>> {
        let mut indices = vec![None; self.sizes.len()];
        let mut rest = row;
        match self.design {
            SweepDesign::Grid => {
                for (index, size) in indices.iter_mut().zip(&self.sizes).rev() {
                    *index = Some(rest % size);
                    rest /= size;
                }
            }
            // The first row is the car itself.
            SweepDesign::OneAtATime if row == 0 => {}
            SweepDesign::OneAtATime => {
                rest -= 1;
                for (index, &size) in indices.iter_mut().zip(&self.sizes) {
                    if rest < size {
                        *index = Some(rest);
                        break;
                    }
                    rest -= size;
                }
            }
        }
        indices
    }
}

/// The first name that was there before.
pub(crate) fn first_repeated<'n>(names: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    let mut seen = HashSet::new();
    names.into_iter().find(|name| !seen.insert(*name))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn vary(path: &str, n: usize) -> Vary {
        Vary {
            path: path.to_owned(),
            values: (0..n).map(|i| Value::from(i as f64)).collect(),
        }
    }

    #[test]
    fn grid_varies_the_last_entry_fastest() {
        let rows = Combinations::of(&[vary("a", 2), vary("b", 3)], SweepDesign::Grid).unwrap();
        assert_eq!(rows.rows(), 6);
        assert_eq!(rows.row(1), [Some(0), Some(1)]);
        assert_eq!(rows.row(3), [Some(1), Some(0)]);
        assert_eq!(rows.row(5), [Some(1), Some(2)]);
    }

    #[test]
    fn one_at_a_time_begins_with_the_car_and_leaves_the_others() {
        let design = SweepDesign::OneAtATime;
        let rows = Combinations::of(&[vary("a", 2), vary("b", 3)], design).unwrap();
        assert_eq!(rows.rows(), 6);
        assert_eq!(rows.row(0), [None, None]);
        assert_eq!(rows.row(2), [Some(1), None]);
        assert_eq!(rows.row(3), [None, Some(0)]);
        assert_eq!(rows.row(5), [None, Some(2)]);
    }

    /// Every combination comes once.
    #[test]
    fn law_a_grid_holds_every_combination_once() {
        let entries = [vary("a", 3), vary("b", 1), vary("c", 4), vary("d", 2)];
        let grid = Combinations::of(&entries, SweepDesign::Grid).unwrap();
        let all: HashSet<Vec<Option<usize>>> = (0..grid.rows()).map(|row| grid.row(row)).collect();
        assert_eq!(all.len(), 24);
        assert!(all.contains(&vec![Some(2), Some(0), Some(3), Some(1)]));
    }

    #[test]
    fn empty_repeated_and_huge_requests_are_refused() {
        let refused = |vary: &[Vary]| Combinations::of(vary, SweepDesign::Grid).unwrap_err();
        assert!(refused(&[]).to_string().contains("entry to vary"));
        let none = refused(&[vary("a", 0)]).to_string();
        assert!(none.contains("value of every entry"));
        let twice = refused(&[vary("a", 1), vary("b", 1), vary("a", 2)]).to_string();
        assert!(twice.contains("\"a\""));
        // More rows than the limit, and more than a number of 128 bits holds.
        let large = refused(&[vary("a", 1001), vary("b", 1000)]).to_string();
        assert!(large.contains("1001000 rows"), "{large}");
        let many: Vec<Vary> = (0..30).map(|i| vary(&format!("p{i}"), 100)).collect();
        assert!(matches!(refused(&many), StudyError::TooLarge { .. }));
    }
}
