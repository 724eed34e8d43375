//! Loudness over time and pitch over time, from the strip of the whole recording.

use super::axis::TimeAxis;
use super::drawing::{Anchor, Drawing};
use super::ink::Role;
use crate::acoustics::frames::{Strip, StripColumn};
use crate::tuning::present as limit;

/// Height of the loudness panel in dots.
pub const LOUDNESS_PX: f64 = 50.0;
/// Height of the pitch panel in dots.
pub const PITCH_PX: f64 = 66.0;
/// Foot of the loudness panel, dB below full scale: quieter than any recorder's own noise.
const LOUDNESS_FOOT_DB: f64 = -80.0;

/// Columns of the strip, joined so that at most [`limit::STRIP_COLUMNS`] are left.
struct Columns {
    /// Seconds of one.
    width_s: f64,
    list: Vec<StripColumn>,
}

fn columns(strip: &Strip) -> Columns {
    let join = strip.columns.len().div_ceil(limit::STRIP_COLUMNS).max(1);
    let list = strip.columns.chunks(join).map(joined).collect();
    Columns {
        width_s: strip.column.get() * join as f64,
        list,
    }
}

/// Highest of the highest, mean power of the means.
fn joined(group: &[StripColumn]) -> StripColumn {
    let bands = group.iter().map(|c| c.bands_db.len()).min().unwrap_or(0);
    StripColumn {
        max_db: group
            .iter()
            .map(|c| c.max_db)
            .fold(f32::NEG_INFINITY, f32::max),
        mean_db: mean_db(group.iter().map(|c| c.mean_db)),
        bands_db: (0..bands)
            .map(|b| mean_db(group.iter().map(|c| c.bands_db[b])))
            .collect(),
    }
}

fn mean_db(levels: impl Iterator<Item = f32>) -> f32 {
    let (sum, n) = levels.fold((0.0f64, 0u32), |(sum, n), db| {
        (sum + 10f64.powf(f64::from(db) / 10.0), n + 1)
    });
    (10.0 * (sum / f64::from(n.max(1))).max(1e-14).log10()) as f32
}

/// Draws the loudness panel with its top at `y`.
pub fn loudness(drawing: &mut Drawing, axis: &TimeAxis, strip: &Strip, y: f64) {
    let bottom = y + LOUDNESS_PX;
    axis.grid(drawing, y, bottom);
    let height = |db: f32| {
        let db = if db.is_finite() {
            f64::from(db)
        } else {
            LOUDNESS_FOOT_DB
        };
        bottom - (1.0 - db / LOUDNESS_FOOT_DB).clamp(0.0, 1.0) * LOUDNESS_PX
    };
    let columns = columns(strip);
    for (role, level) in [
        (Role::Peak, (|c| c.max_db) as fn(&StripColumn) -> f32),
        (Role::Mean, |c| c.mean_db),
    ] {
        let mut outline = vec![(axis.x0, bottom)];
        for (n, column) in columns.list.iter().enumerate() {
            let (from, to) = (n as f64 * columns.width_s, (n + 1) as f64 * columns.width_s);
            outline.push((axis.x(from), height(level(column))));
            outline.push((axis.x(to), height(level(column))));
        }
        outline.push((outline.last().map_or(axis.x0, |p| p.0), bottom));
        if outline.len() > 2 {
            drawing.polygon(role, &outline, true);
        }
    }
    for (db, up) in [(0.0, 9.0), (LOUDNESS_FOOT_DB, 0.0)] {
        let label = if db == 0.0 {
            "0 dB".to_string()
        } else {
            format!("{db:.0}")
        };
        drawing.text(
            Role::Soft,
            (axis.x0 - 6.0, height(db as f32) + up),
            Anchor::End,
            &label,
        );
    }
}

/// Draws the pitch panel with its top at `y`: the darker, the stronger.
pub fn pitch(drawing: &mut Drawing, axis: &TimeAxis, strip: &Strip, y: f64) {
    let columns = columns(strip);
    let bands = columns
        .list
        .iter()
        .map(|c| c.bands_db.len())
        .min()
        .unwrap_or(0);
    let join = bands.div_ceil(limit::STRIP_ROWS).max(1);
    let rows = bands.div_ceil(join);
    if rows == 0 {
        return;
    }
    let cells: Vec<Vec<f32>> = columns
        .list
        .iter()
        .map(|c| {
            c.bands_db[..bands]
                .chunks(join)
                .map(|g| mean_db(g.iter().copied()))
                .collect()
        })
        .collect();
    let top = cells
        .iter()
        .flatten()
        .copied()
        .filter(|v| v.is_finite())
        .fold(limit::STRIP_TOP_DBFS, f32::max);
    let row_px = PITCH_PX / rows as f64;
    let mut shades: [String; 5] = Default::default();
    for row in 0..rows {
        let bottom = y + PITCH_PX - row as f64 * row_px;
        let mut start = 0;
        while start < cells.len() {
            let shade = shade(cells[start][row], top);
            let mut end = start + 1;
            while end < cells.len() && self::shade(cells[end][row], top) == shade {
                end += 1;
            }
            if shade > 0 {
                let x0 = axis.x(start as f64 * columns.width_s);
                let x1 = axis.x(end as f64 * columns.width_s);
                shades[shade - 1] += &format!(
                    "M{:.1} {:.1}h{:.1}v-{row_px:.1}h-{:.1}z",
                    x0,
                    bottom,
                    x1 - x0,
                    x1 - x0
                );
            }
            start = end;
        }
    }
    for (n, d) in shades.iter().enumerate().filter(|(_, d)| !d.is_empty()) {
        drawing.path(Role::Pitch(n as u8 + 1), d);
    }
    if let (Some(low), Some(high)) = (strip.band_edges.first(), strip.band_edges.get(bands)) {
        let say = crate::present::numbers::hertz;
        let whole = |f: crate::units::Hertz| {
            if f.get() < 1000.0 {
                format!("{:.0} Hz", f.get())
            } else {
                say(f)
            }
        };
        drawing.text(
            Role::Soft,
            (axis.x0 - 6.0, y + 9.0),
            Anchor::End,
            &whole(*high),
        );
        drawing.text(
            Role::Soft,
            (axis.x0 - 6.0, y + PITCH_PX),
            Anchor::End,
            &whole(*low),
        );
    }
}

/// 0 (nothing) to 5 (strongest), in equal steps of dB below `top`.
fn shade(db: f32, top: f32) -> usize {
    let below = f64::from(top - db);
    if !below.is_finite() {
        return 0;
    }
    let share = 1.0 - below / limit::STRIP_RANGE_DB;
    (share * 6.0).floor().clamp(0.0, 5.0) as usize
}
