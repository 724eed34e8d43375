//! Ogg with holes. Symphonia places a page by the one before it, so after a lost page it puts
//! the next one too early and corrects that only a page later. This source checks every page
//! and, behind a hole, repeats the stream's header pages: the reader then begins anew and places
//! the page by its own stamp. Layout: RFC 3533.

mod page;
mod pages;

use super::front::Front;
use super::opus::OpusHead;
use super::source::Source;
use crate::error::{Error, Result};
use page::Page;
use pages::Pages;
use std::io::{Read, Seek, SeekFrom};
use symphonia::core::io::MediaSource;

/// Presents the file, and what its last page tells of its length.
pub(super) fn present(source: &Source) -> Result<(Box<dyn MediaSource>, Front)> {
    let failed = |error| Error::io(&source.given, error);
    let head = source.head(4_096)?;
    let mut front = Front {
        container: "ogg",
        ..Front::default()
    };
    if let Some(first) = Page::read(&head) {
        let pre_skip = OpusHead::read(first.body()).map_or(0, |head| u64::from(head.pre_skip));
        let last = last_page(source, first.serial()).map_err(failed)?;
        front.expected = last.map(|stamp| stamp.saturating_sub(pre_skip));
    }
    Ok((Box::new(Pages::new(source.open()?)), front))
}

/// The stamp of the page that ends the stream; `None` where the file does not reach it.
fn last_page(source: &Source, serial: u32) -> std::io::Result<Option<u64>> {
    let most = 2 * page::LARGEST_BYTES as u64;
    let mut file = source.open().map_err(std::io::Error::other)?;
    file.seek(SeekFrom::Start(source.len.saturating_sub(most)))?;
    let mut tail = Vec::new();
    file.take(most).read_to_end(&mut tail)?;
    let marks = tail
        .windows(4)
        .enumerate()
        .filter(|(_, four)| *four == page::MARK);
    let pages = marks.filter_map(|(at, _)| Page::read(&tail[at..]));
    let ends = pages.filter(|page| page.serial() == serial && page.is_last());
    Ok(ends.map(|page| page.stamp()).next_back())
}

#[cfg(test)]
mod tests;
