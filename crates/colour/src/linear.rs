//! Solving linear systems.

/// Solves `A x = b` for several right-hand sides at once; `A` is symmetric, positive definite, given by its lower half.
///
/// Method: Cholesky. `rows[i]` holds the first `i + 1` entries of row `i` and is overwritten. The sums run in a fixed
/// order, so that the answer is the same bit for bit wherever it is computed.
pub(crate) fn solve_symmetric<const N: usize>(rows: &mut [Vec<f64>], b: &mut [[f64; N]]) {
    factorise(rows);
    for (i, row) in rows.iter().enumerate() {
        let known = weighted_sum(&row[..i], &b[..i]);
        b[i] = std::array::from_fn(|k| (b[i][k] - known[k]) / row[i]);
    }
    for (i, row) in rows.iter().enumerate().rev() {
        let solved = b[i].map(|v| v / row[i]);
        b[i] = solved;
        for (value, factor) in b[..i].iter_mut().zip(row) {
            *value = std::array::from_fn(|k| value[k] - factor * solved[k]);
        }
    }
}

fn weighted_sum<const N: usize>(weights: &[f64], values: &[[f64; N]]) -> [f64; N] {
    let pairs = weights.iter().zip(values);
    pairs.fold([0.0; N], |sum, (w, v)| {
        std::array::from_fn(|k| sum[k] + w * v[k])
    })
}

fn factorise(rows: &mut [Vec<f64>]) {
    for i in 0..rows.len() {
        let (done, rest) = rows.split_at_mut(i);
        let row = &mut rest[0];
        for (j, earlier) in done.iter().enumerate() {
            row[j] = (row[j] - dot(&row[..j], &earlier[..j])) / earlier[j];
        }
        let left = row[i] - dot(&row[..i], &row[..i]);
        // Rounding may push a pivot of a nearly singular system below zero; a tiny one is the honest limit.
        row[i] = left.max(1e-14).sqrt();
    }
}

const LANES: usize = 8;

/// Scalar product with eight running sums, which the compiler turns into vector instructions.
pub(crate) fn dot(p: &[f64], q: &[f64]) -> f64 {
    let mut sums = [0.0; LANES];
    let (p_blocks, q_blocks) = (p.chunks_exact(LANES), q.chunks_exact(LANES));
    let tail: f64 = p_blocks
        .remainder()
        .iter()
        .zip(q_blocks.remainder())
        .map(|(a, b)| a * b)
        .sum();
    for (a, b) in p_blocks.zip(q_blocks) {
        for lane in 0..LANES {
            sums[lane] += a[lane] * b[lane];
        }
    }
    sums.iter().sum::<f64>() + tail
}

/// Solves `A x = b` in place for a square system of any kind; false when a pivot vanishes.
///
/// Method: Gauss with row exchange, in a fixed order.
pub(crate) fn solve_square<const N: usize>(a: &mut [[f64; N]], b: &mut [f64; N]) -> bool {
    for column in 0..N {
        let size = |row: &usize| a[*row][column].abs();
        let pivot = (column..N).max_by(|p, q| size(p).total_cmp(&size(q)));
        let Some(pivot) = pivot.filter(|row| size(row) > 1e-300) else {
            return false;
        };
        a.swap(column, pivot);
        b.swap(column, pivot);
        let top = a[column];
        for row in column + 1..N {
            let factor = a[row][column] / top[column];
            if factor != 0.0 {
                for (value, above) in a[row][column..].iter_mut().zip(&top[column..]) {
                    *value -= factor * above;
                }
                b[row] -= factor * b[column];
            }
        }
    }
    for row in (0..N).rev() {
        let known: f64 = (row + 1..N).map(|at| a[row][at] * b[at]).sum();
        b[row] = (b[row] - known) / a[row][row];
    }
    true
}
