//! Workers: take jobs from the queue, analyse, write the endings. Several, on several machines,
//! may share one PostgreSQL.

use super::{Task, process};
use crate::check::Share;
use crate::desk::fault::{Fault, Outcome};
use crate::desk::moment::{MINUTE, SECOND};
use crate::desk::objects::Objects;
use crate::desk::settings::Bounds;
use crate::desk::store::Store;
use crate::desk::store::jobs::{Ending, LEASE};
use crate::desk::store::rows::Job;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::sync::{Notify, watch};

/// So often the queue is looked at when nobody rings.
const LOOK_EVERY: Duration = Duration::from_secs(2);
/// So often what the analysis says of its progress is kept: people look no more often.
const LOOK_AT_SHARE_EVERY: Duration = Duration::from_secs(1);
/// After a fault of the database or the store.
const REST: Duration = Duration::from_secs(5);
/// A job that failed by a fault of ours is tried again after so long, and twice as long each
/// further time: what is away is often back at once.
const SOONEST: i64 = 5 * SECOND;
/// But never later than this.
const LATEST: i64 = MINUTE;
/// A job that was begun so often and never ended takes its worker down with it.
const MOST_LEASES: i64 = 1000;

/// Everything that a worker needs.
#[derive(Clone)]
pub struct Worker {
    /// The database.
    pub store: Store,
    /// The originals.
    pub objects: Objects,
    /// Bounds of each analysis.
    pub bounds: Bounds,
    /// Folder for copies of originals.
    pub incoming: PathBuf,
    /// Its name in leases, the same after a restart.
    pub name: String,
    /// Rings when there is something to do.
    pub bell: Arc<Notify>,
    /// Where faults go.
    pub log: fn(&str),
}

impl Worker {
    /// Works with as many analyses at a time as the bounds say, until `stop` turns true.
    pub async fn run(self, stop: watch::Receiver<bool>) {
        let mut hands = tokio::task::JoinSet::new();
        for _ in 0..self.bounds.at_a_time {
            hands.spawn(self.clone().hand(stop.clone()));
        }
        while hands.join_next().await.is_some() {}
    }

    async fn hand(self, mut stop: watch::Receiver<bool>) {
        while !*stop.borrow() {
            let rest = match self.store.lease(&self.name).await {
                Ok(Some(job)) => match self.one(&job, &mut stop).await {
                    Ok(()) => continue,
                    Err(fault) => {
                        (self.log)(&format!("analysis of {}: {fault}", job.recording));
                        let _ = self.store.give_back(&job, later(job.lease)).await;
                        REST
                    }
                },
                Ok(None) => LOOK_EVERY,
                Err(fault) => {
                    (self.log)(&format!("queue: {fault}"));
                    REST
                }
            };
            tokio::select! {
                () = self.bell.notified(), if rest == LOOK_EVERY => {}
                () = tokio::time::sleep(rest) => {}
                _ = stop.changed() => {}
            }
        }
    }

    /// One job. A lease that is lost ends the work without a word: somebody else has the job.
    async fn one(&self, job: &Job, stop: &mut watch::Receiver<bool>) -> Outcome<()> {
        let (share, told) = watch::channel(None);
        let ending = tokio::select! {
            ending = self.analyse(job, &share) => match ending {
                // Deleted meanwhile.
                Err(Fault::Missing) => return Ok(()),
                ending => ending?,
            },
            lost = self.keep_lease(job, told) => return lost,
            _ = stop.changed() => return self.store.give_back(job, 0).await,
        };
        self.store.end(job, &ending).await?;
        Ok(())
    }

    async fn analyse(&self, job: &Job, share: &watch::Sender<Option<Share>>) -> Outcome<Ending> {
        if job.lease > MOST_LEASES {
            return Ok(Ending::Failed(
                "broken".into(),
                format!("the analysis was begun {MOST_LEASES} times and never ended"),
            ));
        }
        let recording = self.store.recording(&job.recording).await?;
        let repeater = self.store.repeater(&recording.repeater).await?;
        let place = self.store.place_of(&recording.sha256).await?;
        let file = self.objects.as_file(&place, &self.incoming).await?;
        let task = Task {
            path: file.path().to_owned(),
            name: recording.file_name,
            hang_s: repeater.hang_s,
            sound_s: self.bounds.sound_s,
            memory_bytes: self.bounds.memory_bytes,
            // The clock comes first; this is for a child whose parent was killed.
            processor_s: self.bounds.seconds.saturating_mul(2).saturating_add(1),
        };
        process::analyse(&task, Duration::from_secs(self.bounds.seconds), share).await
    }

    /// Renews the lease for as long as it is ours, and keeps in the row how far the work is.
    async fn keep_lease(&self, job: &Job, told: watch::Receiver<Option<Share>>) -> Outcome<()> {
        let every = Duration::from_micros(LEASE.unsigned_abs() / 4);
        let (mut kept, mut renewed) = (None, Instant::now());
        loop {
            tokio::time::sleep(LOOK_AT_SHARE_EVERY).await;
            let share = *told.borrow();
            if share == kept && renewed.elapsed() < every {
                continue;
            }
            match self.store.renew(job, share).await {
                Ok(true) => (kept, renewed) = (share, Instant::now()),
                Ok(false) => return Ok(()),
                // The database may come back before the lease ends.
                Err(fault) => (self.log)(&format!("lease of {}: {fault}", job.recording)),
            }
        }
    }
}

/// How long a job rests that was begun so often.
fn later(leases: i64) -> i64 {
    let doublings = u32::try_from(leases - 1).unwrap_or(0).min(16);
    (SOONEST << doublings).min(LATEST)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_rests_longer_each_time_up_to_a_minute() {
        let rests: Vec<i64> = [0, 1, 2, 3, 4, 5, 1000].map(|n| later(n) / SECOND).into();
        assert_eq!(rests, [5, 5, 10, 20, 40, 60, 60]);
    }
}
