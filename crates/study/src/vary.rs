//! Varied entries of a car, their values, and the combinations of the values.

use axletree_vehicle::Value;

use crate::error::StudyError;

/// Rows of one study, at most.
const MOST_ROWS: u128 = 10_000_000;

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

/// The index of each entry's value, row by row; none where the entry has the car's own value.
pub(crate) fn combinations(
    vary: &[Vary],
    design: SweepDesign,
) -> Result<Vec<Vec<Option<usize>>>, StudyError> {
    if vary.is_empty() {
        return Err(StudyError::Empty {
            what: "entry to vary",
            given: 0,
        });
    }
    for (i, one) in vary.iter().enumerate() {
        if one.values.is_empty() {
            return Err(StudyError::Empty {
                what: "value of every entry to vary",
                given: 0,
            });
        }
        if vary[..i].iter().any(|other| other.path == one.path) {
            return Err(StudyError::Twice {
                what: "the entry",
                name: one.path.clone(),
            });
        }
    }
    let sizes = vary.iter().map(|v| v.values.len());
    let rows: u128 = match design {
        SweepDesign::Grid => sizes.map(|n| n as u128).try_fold(1u128, u128::checked_mul),
        SweepDesign::OneAtATime => Some(1 + sizes.map(|n| n as u128).sum::<u128>()),
    }
    .unwrap_or(u128::MAX);
    if rows > MOST_ROWS {
        return Err(StudyError::TooLarge {
            rows,
            most: MOST_ROWS,
        });
    }
    Ok(match design {
        SweepDesign::Grid => (0..rows as usize)
            .map(|mut row| {
                let mut indices = vec![None; vary.len()];
                for (slot, one) in indices.iter_mut().zip(vary).rev() {
                    *slot = Some(row % one.values.len());
                    row /= one.values.len();
                }
                indices
            })
            .collect(),
        SweepDesign::OneAtATime => {
            let varied = vary.iter().enumerate().flat_map(|(i, one)| {
                (0..one.values.len()).map(move |value| {
                    let mut indices = vec![None; vary.len()];
                    indices[i] = Some(value);
                    indices
                })
            });
            let car = vec![None; vary.len()];
            std::iter::once(car).chain(varied).collect()
        }
    })
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
        let rows = combinations(&[vary("a", 2), vary("b", 3)], SweepDesign::Grid).unwrap();
        assert_eq!(rows.len(), 6);
        assert_eq!(rows[1], [Some(0), Some(1)]);
        assert_eq!(rows[3], [Some(1), Some(0)]);
        assert_eq!(rows[5], [Some(1), Some(2)]);
    }

    #[test]
    fn one_at_a_time_begins_with_the_car_and_leaves_the_others() {
        let rows = combinations(&[vary("a", 2), vary("b", 3)], SweepDesign::OneAtATime).unwrap();
        assert_eq!(rows.len(), 6);
        assert_eq!(rows[0], [None, None]);
        assert_eq!(rows[1], [Some(0), None]);
        assert_eq!(rows[3], [None, Some(0)]);
    }

    #[test]
    fn empty_repeated_and_huge_requests_are_refused() {
        let empty = combinations(&[], SweepDesign::Grid).unwrap_err();
        assert!(empty.to_string().contains("entry to vary"));
        let none = combinations(&[vary("a", 0)], SweepDesign::Grid).unwrap_err();
        assert!(none.to_string().contains("value of every entry"));
        let twice = combinations(&[vary("a", 1), vary("a", 2)], SweepDesign::Grid).unwrap_err();
        assert!(twice.to_string().contains("\"a\""));
        let many: Vec<Vary> = (0..30).map(|i| vary(&format!("p{i}"), 100)).collect();
        let large = combinations(&many, SweepDesign::Grid).unwrap_err();
        assert!(matches!(large, StudyError::TooLarge { .. }));
    }
}
