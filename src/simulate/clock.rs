//! From the scene's clock to the recording's: cuts, error of the recorder's clock, swings of its
//! speed. The very map that moves the samples moves the labels.

use super::truth::ClockPiece;
use std::f64::consts::TAU;

/// A stretch of the scene that was kept.
pub type Kept = [f64; 2];

/// Piecewise linear map.
#[derive(Debug, Clone, PartialEq)]
pub struct ClockMap(Vec<ClockPiece>);

/// Between two knots of a speed that swings.
const KNOT_S: f64 = 0.1;
/// A swing of the speed takes this long.
const SWING_S: f64 = 1.7;

impl ClockMap {
    /// A recorder that keeps these stretches, runs `ppm` slow (a longer file) and swings.
    #[must_use]
    pub fn new(kept: &[Kept], ppm: f64, wow_percent: f64) -> Self {
        let rate = 1.0 + ppm * 1e-6;
        let swing = wow_percent / 100.0 * SWING_S / TAU;
        // Recorded time at which `s` seconds of kept sound have passed.
        let recorded = |s: f64| rate * s + swing * (TAU * s / SWING_S).sin();
        let mut pieces = Vec::new();
        let mut so_far = 0.0;
        for [start, end] in kept {
            let length = end - start;
            let parts = if wow_percent > 0.0 {
                (length / KNOT_S).ceil().max(1.0) as usize
            } else {
                1
            };
            for part in 0..parts {
                let from = length * part as f64 / parts as f64;
                let to = length * (part + 1) as f64 / parts as f64;
                let (a, b) = (recorded(so_far + from), recorded(so_far + to));
                pieces.push(ClockPiece {
                    scene_start_s: start + from,
                    scene_end_s: start + to,
                    recorded_start_s: a,
                    rate: (b - a) / (to - from),
                });
            }
            so_far += length;
        }
        Self(pieces)
    }

    /// Clips laid out by their start times, which `rounded` makes coarse; the first one starts at
    /// 0. A clip whose time would run back starts where the one before ends.
    #[must_use]
    pub fn at_starts(kept: &[Kept], ppm: f64, rounded: impl Fn(f64) -> f64) -> Self {
        let rate = 1.0 + ppm * 1e-6;
        let origin = kept.first().map_or(0.0, |k| rounded(k[0]));
        let mut end = 0.0f64;
        let piece = |[start, stop]: &Kept| {
            let recorded_start_s = (rounded(*start) - origin).max(end);
            end = recorded_start_s + (stop - start) * rate;
            ClockPiece {
                scene_start_s: *start,
                scene_end_s: *stop,
                recorded_start_s,
                rate,
            }
        };
        Self(kept.iter().map(piece).collect())
    }

    /// The pieces in order.
    #[must_use]
    pub fn pieces(&self) -> &[ClockPiece] {
        &self.0
    }

    /// Length of the recording.
    #[must_use]
    pub fn duration_s(&self) -> f64 {
        self.0.last().map_or(0.0, |p| {
            p.recorded_start_s + (p.scene_end_s - p.scene_start_s) * p.rate
        })
    }

    /// Where a moment of the scene is in the recording; a moment that was cut is where the cut is.
    #[must_use]
    pub fn recorded_s(&self, scene_s: f64) -> f64 {
        let next = self.0.partition_point(|p| p.scene_start_s <= scene_s);
        match next.checked_sub(1) {
            None => 0.0,
            Some(i) => {
                let p = self.0[i];
                p.recorded_start_s + (scene_s.min(p.scene_end_s) - p.scene_start_s) * p.rate
            }
        }
    }

    /// Whether a moment of the scene was kept.
    #[must_use]
    pub fn keeps(&self, scene_s: f64) -> bool {
        let next = self.0.partition_point(|p| p.scene_start_s <= scene_s);
        next > 0 && scene_s <= self.0[next - 1].scene_end_s
    }

    /// Whether everything from `a` to `b` was kept.
    #[must_use]
    pub fn keeps_all(&self, a: f64, b: f64) -> bool {
        let next = self.0.partition_point(|p| p.scene_start_s <= a);
        if next == 0 {
            return false;
        }
        let mut end = self.0[next - 1].scene_end_s;
        for piece in &self.0[next..] {
            if end >= b || piece.scene_start_s > end + 1e-9 {
                break;
            }
            end = piece.scene_end_s;
        }
        a <= end && b <= end
    }

    /// The moment of the scene that is heard at this moment of the recording.
    #[must_use]
    pub fn scene_s(&self, recorded_s: f64) -> f64 {
        let next = self
            .0
            .partition_point(|p| p.recorded_start_s <= recorded_s)
            .max(1);
        self.0.get(next - 1).map_or(0.0, |p| {
            p.scene_start_s + (recorded_s - p.recorded_start_s) / p.rate
        })
    }
}

#[cfg(test)]
mod tests {
    use super::ClockMap;

    #[test]
    fn there_and_back() {
        let map = ClockMap::new(&[[1.0, 3.0], [5.0, 9.0]], 100.0, 1.0);
        for scene in [1.0, 1.7, 2.9, 5.1, 8.9] {
            assert!((map.scene_s(map.recorded_s(scene)) - scene).abs() < 1e-9);
            assert!(map.keeps(scene));
        }
        assert!(!map.keeps(4.0) && map.recorded_s(4.0) == map.recorded_s(3.0));
        assert!(map.keeps_all(1.2, 2.8) && !map.keeps_all(2.0, 6.0) && !map.keeps_all(4.0, 6.0));
        assert!((map.duration_s() - 6.0).abs() < 0.02);
    }
}
