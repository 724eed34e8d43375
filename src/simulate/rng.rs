//! Seeded randomness: every random part of the scene draws from a stream of its own, named, so
//! that a change in one part does not shift the others.

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// The stream named `label` of the rendering with this seed.
///
/// The 256-bit key is the seed and the label stirred by the splitmix64 finaliser (from memory);
/// ChaCha8 gives the same numbers on every machine.
#[must_use]
pub fn stream(seed: u64, label: &str) -> ChaCha8Rng {
    let mut state = stir(seed ^ 0x7461_696c_6265_6174);
    for byte in label.bytes() {
        state = stir(state ^ u64::from(byte));
    }
    let mut key = [0u8; 32];
    for chunk in key.chunks_exact_mut(8) {
        state = stir(state.wrapping_add(0x9e37_79b9_7f4a_7c15));
        chunk.copy_from_slice(&state.to_le_bytes());
    }
    ChaCha8Rng::from_seed(key)
}

fn stir(mut z: u64) -> u64 {
    z = z.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::stream;
    use rand::RngExt;

    #[test]
    fn streams_repeat_and_differ_by_name_and_seed() {
        let draw = |seed, label: &str| stream(seed, label).random::<u64>();
        assert_eq!(draw(1, "noise"), draw(1, "noise"));
        assert_ne!(draw(1, "noise"), draw(2, "noise"));
        assert_ne!(draw(1, "noise"), draw(1, "voice"));
    }
}
