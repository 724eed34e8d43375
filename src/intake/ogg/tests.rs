use super::page::make;
use super::pages::Pages;
use super::*;
use std::io::Cursor;

fn stream() -> Vec<Vec<u8>> {
    let head = b"OpusHead\x01\x01\x38\x01\x80\xbb\0\0\0\0\0";
    let mut pages = vec![make(0, 2, 0, &[head]), make(1, 0, 0, &[b"OpusTags"])];
    for number in 2..6 {
        let flags = if number == 5 { 4 } else { 0 };
        let packet = [number as u8; 9];
        pages.push(make(number, flags, u64::from(number) * 960, &[&packet]));
    }
    pages
}

/// Sequence numbers of the pages that come out.
fn passed(bytes: Vec<u8>) -> Vec<u32> {
    let mut out = Vec::new();
    Pages::new(Box::new(Cursor::new(bytes)))
        .read_to_end(&mut out)
        .expect("pages");
    let (mut numbers, mut at) = (Vec::new(), 0);
    while let Some(page) = Page::read(&out[at..]) {
        numbers.push(page.sequence());
        at += page.bytes().len();
    }
    assert_eq!(at, out.len(), "bytes that are no page");
    numbers
}

#[test]
fn a_whole_stream_passes_unchanged() {
    let bytes = stream().concat();
    let mut out = Vec::new();
    Pages::new(Box::new(Cursor::new(bytes.clone())))
        .read_to_end(&mut out)
        .expect("pages");
    assert_eq!(out, bytes);
}

#[test]
fn behind_a_lost_or_damaged_page_the_headers_are_repeated() {
    let mut lost = stream();
    lost.remove(3);
    assert_eq!(passed(lost.concat()), [0, 1, 2, 0, 1, 4, 5]);
    let mut damaged = stream();
    damaged[3][30] ^= 1;
    assert_eq!(passed(damaged.concat()), [0, 1, 2, 0, 1, 4, 5]);
}

#[test]
fn a_last_page_behind_a_hole_is_followed_by_an_end_of_its_own() {
    let mut lost = stream();
    lost.remove(4);
    assert_eq!(passed(lost.concat()), [0, 1, 2, 3, 0, 1, 5, 6]);
}
