//! The picture's strip: bounded columns over a recording of any length.

use super::frames::{Strip, StripColumn};
use super::spectrum::STRIP_BANDS;
use crate::tuning::acoustics::{STRIP_COLUMNS_MAX, STRIP_EDGES_HZ};
use crate::units::{Hertz, Seconds, mean_square_to_dbfs};

#[derive(Clone, Copy)]
struct Column {
    max_db: f32,
    power: f64,
    bands: [f64; STRIP_BANDS],
    frames: u64,
}

impl Column {
    const EMPTY: Self = Self {
        max_db: -140.0,
        power: 0.0,
        bands: [0.0; STRIP_BANDS],
        frames: 0,
    };

    fn absorb(&mut self, other: &Self) {
        self.max_db = self.max_db.max(other.max_db);
        self.power += other.power;
        for (a, b) in self.bands.iter_mut().zip(&other.bands) {
            *a += b;
        }
        self.frames += other.frames;
    }
}

/// Gathers frames into columns; merges neighbours in pairs when full.
pub struct StripBuilder {
    period: Seconds,
    frames_per_column: u64,
    columns: Vec<Column>,
    open: Column,
}

impl StripBuilder {
    /// For frames `period` apart.
    pub fn new(period: Seconds) -> Self {
        Self {
            period,
            frames_per_column: 1,
            columns: Vec::new(),
            open: Column::EMPTY,
        }
    }

    /// Adds one frame.
    pub fn push(&mut self, level_db: f32, bands: &[f64; STRIP_BANDS]) {
        let power = 10f64.powf(f64::from(level_db) / 10.0);
        self.open.absorb(&Column {
            max_db: level_db,
            power,
            bands: *bands,
            frames: 1,
        });
        if self.open.frames < self.frames_per_column {
            return;
        }
        self.columns
            .push(std::mem::replace(&mut self.open, Column::EMPTY));
        if self.columns.len() >= STRIP_COLUMNS_MAX {
            self.columns = self
                .columns
                .chunks(2)
                .map(|pair| {
                    let mut sum = Column::EMPTY;
                    pair.iter().for_each(|column| sum.absorb(column));
                    sum
                })
                .collect();
            self.frames_per_column *= 2;
        }
    }

    /// The finished strip.
    pub fn finish(mut self) -> Strip {
        if self.open.frames > 0 {
            self.columns.push(self.open);
        }
        let db = |power: f64, frames: u64| {
            mean_square_to_dbfs(power / frames.max(1) as f64).get() as f32
        };
        Strip {
            column: self.period * self.frames_per_column as f64,
            band_edges: STRIP_EDGES_HZ.iter().map(|hz| Hertz(*hz)).collect(),
            columns: self
                .columns
                .iter()
                .map(|c| StripColumn {
                    max_db: c.max_db,
                    mean_db: db(c.power, c.frames),
                    bands_db: c.bands.iter().map(|b| db(*b, c.frames)).collect(),
                })
                .collect(),
        }
    }
}
