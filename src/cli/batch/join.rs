//! Files of loggers put together to what is heard as one.

use super::find::Found;
use super::hear::{self, Job};
use super::remote::Stores;
use crate::archive::joining::{Piece, runs};
use crate::archive::when::When;
use crate::cli::in_order::as_done;
use crate::error::{Error, Result};
use std::ops::ControlFlow;

/// Every file for itself.
pub fn apart(found: Vec<Found>) -> Vec<Job> {
    found
        .into_iter()
        .map(|file| Job { files: vec![file] })
        .collect()
}

/// Files that follow each other become one job. What cannot be opened stands alone, to fail there.
/// Of objects in a store no more is fetched than their headers.
///
/// # Errors
/// There are no threads to be had.
pub fn joined(found: Vec<Found>, jobs: usize, stores: &Stores) -> Result<Vec<Job>> {
    let mut told: Vec<(usize, Piece)> = Vec::new();
    let mut alone: Vec<usize> = Vec::new();
    let numbered: Vec<(usize, &Found)> = found.iter().enumerate().collect();
    let worked = as_done(
        &numbered,
        jobs,
        |(_, file)| piece(file, stores),
        |(n, _), piece| {
            match piece {
                Some(piece) => told.push((*n, piece)),
                None => alone.push(*n),
            }
            ControlFlow::Continue(())
        },
    );
    worked.map_err(|fault| Error::io("threads", std::io::Error::other(fault)))?;
    told.sort_by_key(|(n, _)| *n);
    let pieces: Vec<Piece> = told.iter().map(|(_, piece)| piece.clone()).collect();
    let mut groups: Vec<Vec<usize>> = (runs(&pieces).into_iter())
        .map(|run| run.into_iter().map(|n| told[n].0).collect())
        .collect();
    groups.extend(alone.into_iter().map(|n| vec![n]));
    groups.sort();
    Ok(groups
        .into_iter()
        .map(|run| Job {
            files: run.into_iter().map(|n| found[n].clone()).collect(),
        })
        .collect())
}

fn piece(file: &Found, stores: &Stores) -> Option<Piece> {
    let facts = hear::facts(file, stores).ok()?;
    Some(Piece {
        stream: format!("{}\n{}", file.folder(), file.site),
        start: facts.started_at.as_deref().and_then(When::parse),
        length: facts.length,
        rate: facts.rate,
        channels: facts.channels,
    })
}
