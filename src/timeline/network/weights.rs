//! The file of a fitted network: a head of text that names each array and its shape, an empty
//! line, then all values as little-endian 32-bit floats in the order of the head.

use super::dense::Dense;
use std::collections::BTreeMap;

/// First words of the file.
const MARK: &str = "tailbeat network 3,";

/// The arrays of a file that have not been taken yet.
pub struct Weights {
    arrays: BTreeMap<String, (Vec<usize>, Vec<f32>)>,
}

impl Weights {
    /// Reads the file.
    pub fn read(bytes: &[u8]) -> Result<Self, String> {
        let end = bytes
            .windows(2)
            .position(|pair| pair == b"\n\n")
            .ok_or("no end of the head")?;
        let head = std::str::from_utf8(&bytes[..end]).map_err(|e| e.to_string())?;
        let mut lines = head.lines();
        if !lines.next().is_some_and(|line| line.starts_with(MARK)) {
            return Err("not a network of this kind".into());
        }
        let mut values = bytes[end + 2..]
            .chunks_exact(4)
            .map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]]));
        let mut arrays = BTreeMap::new();
        for line in lines {
            let mut words = line.split(' ');
            let name = words.next().unwrap_or_default().to_string();
            let shape: Vec<usize> = words
                .map(str::parse)
                .collect::<Result<_, _>>()
                .map_err(|_| format!("`{line}` has no shape"))?;
            let count = shape.iter().product();
            let array: Vec<f32> = values.by_ref().take(count).collect();
            if array.len() < count || array.iter().any(|x| !x.is_finite()) {
                return Err(format!("`{name}` is incomplete"));
            }
            arrays.insert(name, (shape, array));
        }
        Ok(Self { arrays })
    }

    /// Takes an array of this shape.
    pub fn take(&mut self, name: &str, shape: &[usize]) -> Result<Vec<f32>, String> {
        match self.arrays.remove(name) {
            Some((found, array)) if found == shape => Ok(array),
            Some((found, _)) => Err(format!("`{name}` has shape {found:?}, not {shape:?}")),
            None => Err(format!("no `{name}`")),
        }
    }

    /// Takes a layer.
    pub fn dense(&mut self, name: &str, inputs: usize, outputs: usize) -> Result<Dense, String> {
        let weights = self.take(&format!("{name}.w"), &[inputs, outputs])?;
        let bias = self.take(&format!("{name}.b"), &[outputs])?;
        Dense::new(&weights, bias)
    }

    /// Takes a layer in two: for the first `first` inputs, without a bias, and for `rest` others with
    /// it.
    pub fn dense_in_two(
        &mut self,
        name: &str,
        first: usize,
        rest: usize,
        outputs: usize,
    ) -> Result<(Dense, Dense), String> {
        let weights = self.take(&format!("{name}.w"), &[first + rest, outputs])?;
        let bias = self.take(&format!("{name}.b"), &[outputs])?;
        let (head, tail) = weights.split_at(first * outputs);
        Ok((
            Dense::new(head, vec![0.0; outputs])?,
            Dense::new(tail, bias)?,
        ))
    }
}
