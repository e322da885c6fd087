//! Least squares for a handful of columns, by orthogonalisation.

/// A column whose remainder, once the columns before are taken out, is this share of its length counts as none of its own.
const DEPENDENT: f64 = 1e-9;

/// Coefficients and what is known of them.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastSquares {
    /// One for each column.
    pub coefficients: Vec<f64>,
    /// Standard error of each.
    pub standard_errors: Vec<f64>,
    /// Standard errors for a residual standard deviation of 1: what the design alone says.
    pub design_errors: Vec<f64>,
    /// Residual standard deviation.
    pub spread: f64,
    /// Rows less columns.
    pub degrees: usize,
    /// Actual less fitted, row by row.
    pub residuals: Vec<f64>,
    /// How much each row pulls the fit towards itself, 0 to 1.
    pub leverages: Vec<f64>,
}

/// Fits `values` by a sum of columns with free coefficients.
///
/// `None` when there are no more rows than columns, or when a column is (nearly) a sum of others.
pub fn fitted(columns: &[Vec<f64>], values: &[f64]) -> Option<LeastSquares> {
    let degrees = values.len().checked_sub(columns.len()).filter(|n| *n > 0)?;
    let (orthogonal, triangle) = orthogonalised(columns)?;
    let mut residuals = values.to_vec();
    let mut projected = vec![0.0; columns.len()];
    // Twice: what the first subtraction leaves by rounding, the second takes out.
    for _ in 0..2 {
        for (unit, sum) in orthogonal.iter().zip(&mut projected) {
            let share = dot(unit, &residuals);
            *sum += share;
            subtract(&mut residuals, unit, share);
        }
    }
    let spread = (dot(&residuals, &residuals) / degrees as f64).sqrt();
    let design_errors = design_errors(&triangle);
    Some(LeastSquares {
        coefficients: solved(&triangle, &projected),
        standard_errors: design_errors.iter().map(|e| e * spread).collect(),
        design_errors,
        spread,
        degrees,
        leverages: (0..values.len())
            .map(|row| orthogonal.iter().map(|unit| unit[row] * unit[row]).sum())
            .collect(),
        residuals,
    })
}

type Columns = Vec<Vec<f64>>;

/// Unit columns at right angles, and the upper triangle that makes the columns of them; `triangle[column][row]`.
fn orthogonalised(columns: &[Vec<f64>]) -> Option<(Columns, Columns)> {
    let mut units: Vec<Vec<f64>> = Vec::new();
    let mut triangle = Vec::new();
    for column in columns {
        let length = dot(column, column).sqrt();
        let mut rest = column.clone();
        let mut shares = vec![0.0; units.len()];
        for _ in 0..2 {
            for (unit, sum) in units.iter().zip(&mut shares) {
                let share = dot(unit, &rest);
                *sum += share;
                subtract(&mut rest, unit, share);
            }
        }
        let left = dot(&rest, &rest).sqrt();
        if left.is_nan() || left <= DEPENDENT * length {
            return None;
        }
        for value in &mut rest {
            *value /= left;
        }
        shares.push(left);
        units.push(rest);
        triangle.push(shares);
    }
    Some((units, triangle))
}

fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(a, b)| a * b).sum()
}

fn subtract(from: &mut [f64], unit: &[f64], share: f64) {
    for (value, of_unit) in from.iter_mut().zip(unit) {
        *value -= share * of_unit;
    }
}

/// Solves the triangle from its last row upwards.
fn solved(triangle: &[Vec<f64>], right: &[f64]) -> Vec<f64> {
    let n = triangle.len();
    let mut solution = vec![0.0; n];
    for row in (0..n).rev() {
        let known: f64 = (row + 1..n)
            .map(|column| triangle[column][row] * solution[column])
            .sum();
        solution[row] = (right[row] - known) / triangle[row][row];
    }
    solution
}

/// Lengths of the rows of the triangle's inverse.
fn design_errors(triangle: &[Vec<f64>]) -> Vec<f64> {
    let n = triangle.len();
    let mut squares = vec![0.0; n];
    for at in 0..n {
        let mut unit = vec![0.0; n];
        unit[at] = 1.0;
        for (square, value) in squares.iter_mut().zip(solved(triangle, &unit)) {
            *square += value * value;
        }
    }
    squares.into_iter().map(f64::sqrt).collect()
}
