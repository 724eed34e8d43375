//! A fully connected layer over many rows at once.

use ndarray::linalg::general_mat_mul;
use ndarray::{Array1, Array2, ArrayView1, ArrayView2, Axis, ShapeBuilder};

/// `out = row * weights + bias` for each row.
#[derive(Debug, Clone)]
pub struct Dense {
    /// Inputs by outputs.
    weights: Array2<f32>,
    bias: Array1<f32>,
}

impl Dense {
    /// `weights` holds one row of outputs for each input.
    pub fn new(weights: Vec<f32>, bias: Vec<f32>) -> Result<Self, String> {
        let shape = (weights.len() / bias.len().max(1), bias.len());
        Ok(Self {
            weights: Array2::from_shape_vec(shape, weights).map_err(|e| e.to_string())?,
            bias: Array1::from_vec(bias),
        })
    }

    /// The part for the first `inputs` inputs, without a bias, and that for the others with it.
    pub fn split(self, inputs: usize) -> (Self, Self) {
        let (first, rest) = self.weights.view().split_at(Axis(0), inputs);
        let part = |weights: ArrayView2<f32>, bias: Array1<f32>| Self {
            weights: weights.to_owned(),
            bias,
        };
        let none = Array1::zeros(self.bias.len());
        (part(first, none), part(rest, self.bias))
    }

    /// All rows of `x`, one after the other; what is left of a row is dropped.
    pub fn apply(&self, x: &[f32]) -> Vec<f32> {
        self.run(&self.bias.view(), x, self.weights.dim().0)
    }

    /// Rows that begin every `hop` values and so reach into each other; they are never copied.
    pub fn slide(&self, x: &[f32], hop: usize) -> Vec<f32> {
        self.run(&self.bias.view(), x, hop)
    }

    /// The same with another bias.
    pub fn slide_from(&self, bias: &[f32], x: &[f32], hop: usize) -> Vec<f32> {
        self.run(&ArrayView1::from(bias), x, hop)
    }

    fn run(&self, bias: &ArrayView1<f32>, x: &[f32], hop: usize) -> Vec<f32> {
        let (inputs, outputs) = self.weights.dim();
        let rows = (x.len() + hop).saturating_sub(inputs) / hop;
        let Ok(x) = ArrayView2::from_shape((rows, inputs).strides((hop, 1)), x) else {
            return vec![0.0; rows * outputs];
        };
        let mut out = Array2::<f32>::zeros((rows, outputs));
        for mut row in out.rows_mut() {
            row.assign(bias);
        }
        general_mat_mul(1.0, &x, &self.weights, 1.0, &mut out);
        out.into_raw_vec_and_offset().0
    }
}

/// Negative values become zero.
pub fn rectify(values: &mut [f32]) {
    values.iter_mut().for_each(|x| *x = x.max(0.0));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_that_reach_into_each_other_are_as_if_they_were_written_out() {
        let layer = Dense::new(vec![1.0, 2.0, 3.0, 10.0, 20.0, 30.0], vec![0.5]).unwrap();
        let x: Vec<f32> = (0..14).map(|i| (i * i) as f32).collect();
        let written: Vec<f32> = x.windows(6).step_by(2).flatten().copied().collect();
        assert_eq!(layer.slide(&x, 2), layer.apply(&written));
        assert_eq!(layer.slide(&x, 2).len(), 5);
        assert!(layer.slide(&x[..5], 2).is_empty());
    }

    #[test]
    fn each_row_is_multiplied_and_shifted() {
        let layer =
            Dense::new(vec![1.0, 2.0, 3.0, 10.0, 20.0, 30.0], vec![0.5, 0.0, -0.5]).unwrap();
        let x: Vec<f32> = (0..10).map(|i| i as f32).collect();
        let out = layer.apply(&x);
        for (row, got) in x.chunks(2).zip(out.chunks(3)) {
            let want = [
                row[0] + 10.0 * row[1] + 0.5,
                2.0 * row[0] + 20.0 * row[1],
                3.0 * row[0] + 30.0 * row[1] - 0.5,
            ];
            assert_eq!(got, want);
        }
    }
}
