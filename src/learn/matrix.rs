//! Small symmetric matrices: products and the inverse of a positive definite one by Cholesky's decomposition.

/// A square matrix.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Square {
    size: usize,
    cells: Vec<f64>,
}

impl Square {
    /// All noughts.
    pub fn zero(size: usize) -> Self {
        Self { size, cells: vec![0.0; size * size] }
    }

    /// A cell; nought outside.
    pub fn at(&self, row: usize, column: usize) -> f64 {
        self.cells.get(row * self.size + column).copied().unwrap_or_default()
    }

    /// Adds to a cell; nothing outside.
    pub fn add(&mut self, row: usize, column: usize, more: f64) {
        if let Some(cell) = self.cells.get_mut(row * self.size + column) {
            *cell += more;
        }
    }

    fn set(&mut self, row: usize, column: usize, value: f64) {
        if let Some(cell) = self.cells.get_mut(row * self.size + column) {
            *cell = value;
        }
    }

    /// Adds `times` the product of a vector with itself, given by its cells that are not nought.
    pub fn add_outer(&mut self, vector: &[(usize, f64)], times: f64) {
        for (row, one) in vector {
            for (column, other) in vector {
                self.add(*row, *column, times * one * other);
            }
        }
    }

    /// The product with a vector.
    pub fn times(&self, vector: &[f64]) -> Vec<f64> {
        let rows = self.cells.chunks(self.size.max(1));
        rows.map(|row| row.iter().zip(vector).map(|(cell, own)| cell * own).sum()).collect()
    }

    /// The product with another.
    pub fn product(&self, other: &Square) -> Square {
        let mut product = Square::zero(self.size);
        for row in 0..self.size {
            for middle in 0..self.size {
                let own = self.at(row, middle);
                if own != 0.0 {
                    for column in 0..self.size {
                        product.add(row, column, own * other.at(middle, column));
                    }
                }
            }
        }
        product
    }

    /// The inverse of a symmetric positive definite matrix; `None` where it is none.
    pub fn inverse(&self) -> Option<Square> {
        let size = self.size;
        let mut lower = Square::zero(size);
        for row in 0..size {
            for column in 0..=row {
                let before: f64 = (0..column).map(|k| lower.at(row, k) * lower.at(column, k)).sum();
                let left = self.at(row, column) - before;
                if row == column {
                    if !(left.is_finite() && left > 0.0) {
                        return None;
                    }
                    lower.set(row, row, left.sqrt());
                } else {
                    lower.set(row, column, left / lower.at(column, column));
                }
            }
        }
        let mut inverse = Square::zero(size);
        for unit in 0..size {
            let mut forward = vec![0.0; size];
            for row in 0..size {
                let before: f64 = forward.iter().take(row).enumerate().map(|(k, own)| lower.at(row, k) * own).sum();
                let right = if row == unit { 1.0 } else { 0.0 };
                if let Some(slot) = forward.get_mut(row) {
                    *slot = (right - before) / lower.at(row, row);
                }
            }
            for row in (0..size).rev() {
                let after: f64 = (row + 1..size).map(|k| lower.at(k, row) * inverse.at(k, unit)).sum();
                let own = forward.get(row).copied().unwrap_or_default();
                inverse.set(row, unit, (own - after) / lower.at(row, row));
            }
        }
        Some(inverse)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_matrix_times_its_inverse_is_one() {
        let mut matrix = Square::zero(4);
        for row in 0..4 {
            for column in 0..4 {
                matrix.add(row, column, 1.0 / (1.0 + row as f64 + column as f64));
            }
            matrix.add(row, row, 0.1);
        }
        let one = matrix.product(&matrix.inverse().unwrap());
        for row in 0..4 {
            for column in 0..4 {
                let expected = if row == column { 1.0 } else { 0.0 };
                assert!((one.at(row, column) - expected).abs() < 1e-9, "{row} {column}");
            }
        }
        assert!(Square::zero(2).inverse().is_none());
        assert_eq!(matrix.times(&[1.0, 0.0, 0.0, 0.0])[1], 0.5);
    }
}
