//! A small dense system of equations over any ordered field: fractions or floating point.

use super::chain::Amount;

fn size<T: Amount>(x: &T) -> T {
    if *x < T::zero() { T::zero() - x.clone() } else { x.clone() }
}

/// Solves `rows · x = right` by elimination with the largest pivot of each column; none where a
/// column has no pivot.
pub(super) fn solve<T: Amount>(mut rows: Vec<Vec<T>>, mut right: Vec<T>) -> Option<Vec<T>> {
    let n = right.len();
    for c in 0..n {
        let best = (c..n).fold(
            c,
            |best, r| {
                if size(&rows[r][c]) > size(&rows[best][c]) { r } else { best }
            },
        );
        if rows[best][c] == T::zero() {
            return None;
        }
        rows.swap(c, best);
        right.swap(c, best);
        let (above, below) = rows.split_at_mut(c + 1);
        let pivot = &above[c];
        for (r, row) in below.iter_mut().enumerate() {
            if row[c] == T::zero() {
                continue;
            }
            let factor = row[c].clone() / pivot[c].clone();
            for (value, above) in row.iter_mut().zip(pivot).skip(c) {
                *value = value.clone() - factor.clone() * above.clone();
            }
            right[c + 1 + r] = right[c + 1 + r].clone() - factor * right[c].clone();
        }
    }
    let mut x = vec![T::zero(); n];
    for c in (0..n).rev() {
        let mut sum = right[c].clone();
        for (factor, known) in rows[c].iter().zip(&x).skip(c + 1) {
            sum = sum - factor.clone() * known.clone();
        }
        x[c] = sum / rows[c][c].clone();
    }
    Some(x)
}
