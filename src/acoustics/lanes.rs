//! Sums, products and peaks of short runs in eight lanes: additions in order would each wait for the
//! one before, and there are some twenty such runs in every frame.

const LANES: usize = 8;

/// Sum of all values.
pub fn sum(values: &[f32]) -> f32 {
    let mut lanes = [0.0f32; LANES];
    let eights = values.chunks_exact(LANES);
    let rest: f32 = eights.remainder().iter().sum();
    for eight in eights {
        for (lane, x) in lanes.iter_mut().zip(eight) {
            *lane += x;
        }
    }
    let [a, b, c, d, e, f, g, h] = lanes;
    rest + ((a + e) + (b + f)) + ((c + g) + (d + h))
}

/// Sum of products.
pub fn dot(taps: &[f32], samples: &[f32]) -> f32 {
    let mut lanes = [0.0f32; LANES];
    let (tap_eights, sample_eights) = (taps.chunks_exact(LANES), samples.chunks_exact(LANES));
    let rest: f32 = tap_eights
        .remainder()
        .iter()
        .zip(sample_eights.remainder())
        .map(|(a, b)| a * b)
        .sum();
    for (a, b) in tap_eights.zip(sample_eights) {
        for i in 0..LANES {
            lanes[i] += a[i] * b[i];
        }
    }
    lanes.iter().sum::<f32>() + rest
}

/// Largest absolute value; zero of nothing.
pub fn loudest(values: &[f32]) -> f32 {
    let louder = |a: f32, x: f32| if x.abs() > a { x.abs() } else { a };
    let mut lanes = [0.0f32; LANES];
    let eights = values.chunks_exact(LANES);
    let rest = eights.remainder().iter().copied().fold(0.0, louder);
    for eight in eights {
        for (lane, x) in lanes.iter_mut().zip(eight) {
            *lane = louder(*lane, *x);
        }
    }
    lanes.into_iter().fold(rest, louder)
}

#[cfg(test)]
mod tests {
    use super::{dot, loudest, sum};

    #[test]
    fn every_value_counts_at_every_length() {
        for count in 0..40u16 {
            let values: Vec<f32> = (1..=count).map(f32::from).collect();
            assert_eq!(sum(&values), f32::from(count * (count + 1) / 2));
            assert_eq!(loudest(&values), f32::from(count));
            assert_eq!(dot(&values, &vec![2.0; values.len()]), 2.0 * sum(&values));
            for at in 0..values.len() {
                let mut one = vec![0.25; values.len()];
                one[at] = -3.0;
                assert_eq!(loudest(&one), 3.0);
            }
        }
    }
}
