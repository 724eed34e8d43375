//! Files of loggers put together to what is heard as one.

use super::find::{Found, Place};
use super::hear::Job;
use crate::archive::joining::{Piece, runs};
use crate::archive::when::When;
use crate::cli::in_order::as_done;
use crate::error::{Error, Result};
use crate::intake;
use std::ops::ControlFlow;

/// Every file for itself.
pub fn apart(found: Vec<Found>) -> Vec<Job> {
    found
        .into_iter()
        .map(|file| Job { files: vec![file] })
        .collect()
}

/// Files that follow each other become one job. What cannot be opened stands alone, to fail there.
///
/// # Errors
/// Objects in a store are among them: their headers would all have to be fetched first.
pub fn joined(found: Vec<Found>, jobs: usize) -> Result<Vec<Job>> {
    if let Some(far) = found.iter().find(|f| matches!(f.place, Place::Store(..))) {
        return Err(Error::BadSetting {
            place: far.address.clone(),
            what: "--join needs files on disk, to read their headers first".into(),
            remedy: "leave --join out, or copy the objects to a disk".into(),
        });
    }
    let mut told: Vec<(usize, Piece)> = Vec::new();
    let mut alone: Vec<usize> = Vec::new();
    let numbered: Vec<(usize, &Found)> = found.iter().enumerate().collect();
    let worked = as_done(
        &numbered,
        jobs,
        |(_, file)| piece(file),
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

fn piece(file: &Found) -> Option<Piece> {
    let Place::Disk(path) = &file.place else {
        return None;
    };
    let facts = intake::facts(path).ok()?;
    Some(Piece {
        stream: format!("{}\n{}", file.folder(), file.site),
        start: facts.started_at.as_deref().and_then(When::parse),
        length: facts.length,
        rate: facts.rate,
        channels: facts.channels,
    })
}
