//! A fully connected layer over many rows at once, in the widest vectors that the processor has.

use pulp::{Arch, Simd, WithSimd};

/// Vectors of outputs worked out at a time: with four rows of them their sums fill the registers.
const WIDE: usize = 3;
/// Rows worked out at a time, each weight being read once for all of them.
const TALL: usize = 4;

/// `out = row * weights + bias` for each row.
#[derive(Debug, Clone)]
pub struct Dense {
    arch: Arch,
    inputs: usize,
    /// In panels of up to [`WIDE`] vectors of outputs, filled up with zeros: of each panel all inputs,
    /// one after the other.
    packed: Vec<f32>,
    bias: Vec<f32>,
}

/// By their weights: the processor is the same.
impl PartialEq for Dense {
    fn eq(&self, other: &Self) -> bool {
        (self.inputs, &self.packed, &self.bias) == (other.inputs, &other.packed, &other.bias)
    }
}

impl Dense {
    /// `weights` holds one row of outputs for each input.
    pub fn new(weights: &[f32], bias: Vec<f32>) -> Result<Self, String> {
        let outputs = bias.len().max(1);
        if !weights.len().is_multiple_of(outputs) {
            return Err(format!("{} weights for {outputs} outputs", weights.len()));
        }
        let arch = Arch::new();
        let inputs = weights.len() / outputs;
        let lanes = arch.dispatch(Lanes);
        let mut packed = Vec::new();
        for (from, vectors) in panels(outputs, lanes) {
            for row in weights.chunks_exact(outputs) {
                let panel = &row[from..outputs.min(from + vectors * lanes)];
                packed.extend_from_slice(panel);
                packed.resize(packed.len() + vectors * lanes - panel.len(), 0.0);
            }
        }
        Ok(Self {
            arch,
            inputs,
            packed,
            bias,
        })
    }

    /// All rows of `x`, one after the other; what is left of a row is dropped.
    pub fn apply(&self, x: &[f32]) -> Vec<f32> {
        self.slide(x, self.inputs)
    }

    /// Rows that begin every `hop` values and so reach into each other; they are never copied.
    pub fn slide(&self, x: &[f32], hop: usize) -> Vec<f32> {
        self.slide_from(&self.bias, x, hop)
    }

    /// The same with another bias.
    pub fn slide_from(&self, bias: &[f32], x: &[f32], hop: usize) -> Vec<f32> {
        let rows = (x.len() + hop).saturating_sub(self.inputs) / hop;
        let mut out = vec![0.0f32; rows * bias.len()];
        self.arch.dispatch(Product {
            layer: self,
            bias,
            x,
            hop,
            out: &mut out,
        });
        out
    }
}

/// First output of each panel, and how many vectors it has.
fn panels(outputs: usize, lanes: usize) -> impl Iterator<Item = (usize, usize)> {
    let vectors = outputs.div_ceil(lanes);
    (0..vectors)
        .step_by(WIDE)
        .map(move |first| (first * lanes, WIDE.min(vectors - first)))
}

/// How many numbers a vector of this processor holds.
struct Lanes;

impl WithSimd for Lanes {
    type Output = usize;

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) -> usize {
        S::F32_LANES
    }
}

/// Rows of `x` every `hop` values, times the layer's weights, to `out`.
struct Product<'a> {
    layer: &'a Dense,
    bias: &'a [f32],
    x: &'a [f32],
    hop: usize,
    out: &'a mut [f32],
}

impl WithSimd for Product<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let (inputs, outputs) = (self.layer.inputs, self.bias.len());
        let mut at = 0;
        for (from, vectors) in panels(outputs, S::F32_LANES) {
            let count = inputs * vectors * S::F32_LANES;
            let panel = Panel {
                weights: S::as_simd_f32s(&self.layer.packed[at..at + count]).0,
                bias: &self.bias[from..outputs.min(from + vectors * S::F32_LANES)],
                inputs,
                hop: self.hop,
                outputs,
                from,
            };
            match vectors {
                3 => panel.run::<S, 3>(simd, self.x, self.out),
                2 => panel.run::<S, 2>(simd, self.x, self.out),
                _ => panel.run::<S, 1>(simd, self.x, self.out),
            }
            at += count;
        }
    }
}

/// Some neighbouring outputs of a layer.
struct Panel<'a, V> {
    /// For each input as many vectors as the panel has.
    weights: &'a [V],
    bias: &'a [f32],
    inputs: usize,
    hop: usize,
    outputs: usize,
    /// First of the outputs.
    from: usize,
}

impl<V> Panel<'_, V> {
    #[inline(always)]
    fn run<S: Simd<f32s = V>, const W: usize>(&self, simd: S, x: &[f32], out: &mut [f32])
    where
        V: Copy,
    {
        let mut row = 0;
        let mut tall = out.chunks_exact_mut(TALL * self.outputs);
        for rows in &mut tall {
            self.rows::<S, W, TALL>(simd, &x[row * self.hop..], rows);
            row += TALL;
        }
        for one in tall.into_remainder().chunks_exact_mut(self.outputs) {
            self.rows::<S, W, 1>(simd, &x[row * self.hop..], one);
            row += 1;
        }
    }

    /// `R` rows that begin at the start of `x`.
    #[inline(always)]
    fn rows<S: Simd<f32s = V>, const W: usize, const R: usize>(
        &self,
        simd: S,
        x: &[f32],
        out: &mut [f32],
    ) where
        V: Copy,
    {
        let mut bias = [simd.splat_f32s(0.0); W];
        for (slot, part) in bias.iter_mut().zip(self.bias.chunks(S::F32_LANES)) {
            *slot = simd.partial_load_f32s(part);
        }
        let mut sums = [bias; R];
        let inputs = self.inputs;
        let rows: [&[f32]; R] = std::array::from_fn(|r| &x[r * self.hop..][..inputs]);
        let (weights, _) = self.weights.as_chunks::<W>();
        for (i, weights) in weights[..inputs].iter().enumerate() {
            for r in 0..R {
                let value = simd.splat_f32s(rows[r][i]);
                for w in 0..W {
                    sums[r][w] = simd.mul_add_e_f32s(value, weights[w], sums[r][w]);
                }
            }
        }
        for (row, sums) in out.chunks_exact_mut(self.outputs).zip(sums) {
            let row = &mut row[self.from..self.from + self.bias.len()];
            for (part, sum) in row.chunks_mut(S::F32_LANES).zip(sums) {
                simd.partial_store_f32s(part, sum);
            }
        }
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
        let layer = Dense::new(&[1.0, 2.0, 3.0, 10.0, 20.0, 30.0], vec![0.5]).unwrap();
        let x: Vec<f32> = (0..14).map(|i| (i * i) as f32).collect();
        let written: Vec<f32> = x.windows(6).step_by(2).flatten().copied().collect();
        assert_eq!(layer.slide(&x, 2), layer.apply(&written));
        assert_eq!(layer.slide(&x, 2).len(), 5);
        assert!(layer.slide(&x[..5], 2).is_empty());
    }

    #[test]
    fn layers_of_any_size_are_sums_of_products() {
        // Small whole numbers: every order of adding gives the same.
        let number = |i: usize| (i * 7 % 11) as f32 - 5.0;
        for outputs in [1usize, 5, 8, 17, 24, 40, 49] {
            for inputs in [1usize, 3, 40] {
                let weights: Vec<f32> = (0..inputs * outputs).map(number).collect();
                let bias: Vec<f32> = (0..outputs).map(|o| o as f32).collect();
                let layer = Dense::new(&weights, bias.clone()).unwrap();
                let x: Vec<f32> = (0..inputs * 9).map(|i| number(i + 3)).collect();
                let want: Vec<f32> = (x.chunks(inputs))
                    .flat_map(|row| (0..outputs).map(move |o| (row, o)))
                    .map(|(row, o)| {
                        let of_output = weights[o..].iter().step_by(outputs);
                        bias[o] + row.iter().zip(of_output).map(|(a, b)| a * b).sum::<f32>()
                    })
                    .collect();
                assert_eq!(layer.apply(&x), want, "{inputs} to {outputs}");
            }
        }
    }

    #[test]
    fn weights_that_are_no_whole_rows_are_refused() {
        assert!(Dense::new(&[1.0; 5], vec![0.0; 3]).is_err());
    }
}
