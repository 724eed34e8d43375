//! Fisher's exact test of a two-by-two table.

use statrs::distribution::{Discrete, Hypergeometric};

/// Which departure from "no association" is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The first row has the smaller share in the first column.
    Less,
    /// The first row has the greater share in the first column.
    Greater,
    /// Either; tables no likelier than the observed one are added up.
    TwoSided,
}

/// Tables within this relative distance of the observed probability count as equally likely
/// (sums of logarithms differ in their last digits).
const TIE: f64 = 1e-7;

/// p value of Fisher's exact test for rows `[a, b]` and `[c, d]`, all margins held.
/// A table with an empty row or column says nothing: 1.
#[must_use]
pub fn fisher_exact(table: [[u64; 2]; 2], side: Side) -> f64 {
    let [[a, b], [c, d]] = table;
    let (row, column, total) = (a + b, a + c, a + b + c + d);
    if row == 0 || column == 0 || row == total || column == total {
        return 1.0;
    }
    let Ok(law) = Hypergeometric::new(total, row, column) else {
        return 1.0;
    };
    let least = (row + column).saturating_sub(total);
    let most = row.min(column);
    let limit = law.pmf(a) * (1.0 + TIE);
    let counts = |x: &u64| match side {
        Side::Less => *x <= a,
        Side::Greater => *x >= a,
        Side::TwoSided => law.pmf(*x) <= limit,
    };
    (least..=most)
        .filter(counts)
        .map(|x| law.pmf(x))
        .sum::<f64>()
        .min(1.0)
}
