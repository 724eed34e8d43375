//! A fully connected layer over many rows at once.

/// `out = row * weights + bias` for each row.
#[derive(Debug, Clone)]
pub struct Dense {
    /// Row-major, inputs by outputs.
    weights: Vec<f32>,
    bias: Vec<f32>,
}

/// Rows that share one pass over the weights.
const TOGETHER: usize = 4;

impl Dense {
    /// `weights` holds one row of outputs for each input.
    pub fn new(weights: Vec<f32>, bias: Vec<f32>) -> Self {
        Self { weights, bias }
    }

    /// All rows of `x`, one after the other.
    pub fn apply(&self, x: &[f32]) -> Vec<f32> {
        let outputs = self.bias.len();
        let inputs = self.weights.len() / outputs;
        let rows = x.len() / inputs;
        let mut out = Vec::with_capacity(rows * outputs);
        for _ in 0..rows {
            out.extend_from_slice(&self.bias);
        }
        for (xs, outs) in x
            .chunks(TOGETHER * inputs)
            .zip(out.chunks_mut(TOGETHER * outputs))
        {
            if xs.len() < TOGETHER * inputs {
                for (row, slots) in xs.chunks_exact(inputs).zip(outs.chunks_exact_mut(outputs)) {
                    for (value, weights) in row.iter().zip(self.weights.chunks_exact(outputs)) {
                        for (slot, w) in slots.iter_mut().zip(weights) {
                            *slot += value * w;
                        }
                    }
                }
                continue;
            }
            let (a, rest) = outs.split_at_mut(outputs);
            let (b, rest) = rest.split_at_mut(outputs);
            let (c, d) = rest.split_at_mut(outputs);
            for (i, weights) in self.weights.chunks_exact(outputs).enumerate() {
                let (p, q, r, s) = (
                    xs[i],
                    xs[inputs + i],
                    xs[2 * inputs + i],
                    xs[3 * inputs + i],
                );
                let slots = a
                    .iter_mut()
                    .zip(b.iter_mut())
                    .zip(c.iter_mut())
                    .zip(d.iter_mut())
                    .zip(weights);
                for ((((a, b), c), d), w) in slots {
                    *a += p * w;
                    *b += q * w;
                    *c += r * w;
                    *d += s * w;
                }
            }
        }
        out
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
    fn rows_are_multiplied_one_by_one_or_together() {
        let layer = Dense::new(vec![1.0, 2.0, 3.0, 10.0, 20.0, 30.0], vec![0.5, 0.0, -0.5]);
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
