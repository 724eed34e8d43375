//! `events.csv`.

use crate::fixtures;
use tailbeat::present::tables::csv;

#[test]
fn two_drops_are_written_down() {
    let table = String::from_utf8(csv::render(&fixtures::two_drops())).unwrap();
    insta::assert_snapshot!(table.replace("\r\n", "\n"));
}

#[test]
fn every_event_is_a_row_that_reads_back() {
    for (name, check) in fixtures::all() {
        let bytes = csv::render(&check);
        let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
        assert_eq!(reader.headers().unwrap(), csv::HEADER.as_slice(), "{name}");
        let rows: Vec<_> = reader.records().map(|row| row.unwrap()).collect();
        assert_eq!(rows.len(), check.timeline.events.len(), "{name}");
        for (row, event) in rows.iter().zip(&check.timeline.events) {
            let t: f64 = row[0].parse().unwrap();
            assert!((t - event.t.get()).abs() <= 5.1e-5, "{name}");
        }
    }
}

#[test]
fn an_unknown_number_is_an_empty_cell() {
    let bytes = csv::render(&fixtures::hostile_names());
    let mut reader = ::csv::Reader::from_reader(bytes.as_slice());
    assert_eq!(&reader.records().nth(1).unwrap().unwrap()[3], "");
}
