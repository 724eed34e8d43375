//! Tables and summary. `tests/outside/parquet_check.py` reads what is left here by other engines.

use crate::logger::{archive, committed, results, tailbeat, word};
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::Field;
use std::fs::File;
use std::path::Path;

fn rows(dir: &Path, table: &str) -> Vec<Vec<(String, Field)>> {
    let file = File::open(dir.join(format!("{table}.parquet"))).unwrap();
    let reader = SerializedFileReader::new(file).unwrap();
    let rows = reader.get_row_iter(None).unwrap();
    rows.map(|row| row.unwrap().into_columns()).collect()
}

#[test]
fn the_tables_hold_what_the_lines_say_and_the_summary_counts_what_was_heard() {
    let tmp = Path::new(env!("CARGO_TARGET_TMPDIR")).join("archive");
    let _ = std::fs::remove_dir_all(&tmp);
    let (root, out) = (tmp.join("logger"), tmp.join("heard"));
    archive(&root);
    let dated = root.join("point/2026-03-04_12-00-00.ogg");
    std::fs::create_dir_all(dated.parent().unwrap()).unwrap();
    std::fs::copy(committed().join("cycling-open-squelch-note.ogg"), dated).unwrap();
    let run = tailbeat()
        .args(["batch", word(&root), "--out", word(&out)])
        .output()
        .unwrap();
    assert_eq!(run.status.code(), Some(1), "the broken file");
    let text = String::from_utf8(run.stdout).unwrap();
    let lines: Vec<serde_json::Value> = (results(&out).iter())
        .map(|l| serde_json::from_str(l).unwrap())
        .collect();
    assert_eq!(lines.len(), 8);
    assert_eq!(rows(&out, "recordings").len(), 8);
    for (table, field) in [("transmissions", "carrier"), ("drops", "drops")] {
        let told = lines.iter().filter_map(|l| l["check"][field].as_array());
        let told: usize = told.map(Vec::len).sum();
        assert!(told > 20, "{told}");
        assert_eq!(rows(&out, table).len(), told, "{table}");
    }
    let told: usize = (lines.iter())
        .filter_map(|l| Some(l["check"]["episodes"].as_array()?.len()))
        .sum();
    let episodes = rows(&out, "episodes");
    assert!(!episodes.is_empty() && episodes.len() <= told);
    let recorded: f64 = (lines.iter())
        .filter_map(|l| l["coverage"]["recorded_s"].as_f64())
        .sum();
    let of_table: f64 = (rows(&out, "recordings").iter())
        .filter_map(
            |row| match row.iter().find(|(n, _)| n == "recorded_s").unwrap().1 {
                Field::Double(s) => Some(s),
                _ => None,
            },
        )
        .sum();
    assert!((recorded - of_table).abs() < 1e-6);
    // Every site, and the file that could not be read.
    for word in [
        "coast",
        "hill",
        "mast",
        "point",
        "could not be read",
        "heard",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    let page = std::fs::read_to_string(out.join("summary.html")).unwrap();
    assert!(
        page.contains("<svg") && page.contains("March 2026"),
        "no calendar"
    );
    each_statement_carries_its_coverage(&page);
    assert!(!page.contains("http://") || page.contains("http://www.w3.org/2000/svg"));
}

/// Whatever the page says of episodes, it says beside it how much was heard and how much could not
/// be: in its heading, in every table, and in every picture, for eyes and for screen readers.
fn each_statement_carries_its_coverage(page: &str) {
    let between = |text: &str, from: &str, to: &str| -> Vec<String> {
        (text.split(from).skip(1))
            .map(|part| part.split(to).next().unwrap().replace('\u{a0}', " "))
            .collect()
    };
    let headline = between(page, "<h1>", "</h1>");
    assert!(
        headline[0].contains("episode") && headline[0].ends_with("heard"),
        "{headline:?}"
    );
    let verdict = &between(page, "<p class=\"verdict\">", "</p>")[0];
    assert!(
        verdict.contains("could be heard and") && verdict.contains("could not"),
        "{verdict}"
    );
    let tables = between(page, "<table", "</table>");
    let mut of_episodes = 0;
    for table in &tables {
        let columns = between(table, "<th", "</th>").join("|");
        if columns.contains("episodes") {
            of_episodes += 1;
            let told = ["heard", "of no use"].map(|c| columns.contains(&format!(">{c}")));
            assert_eq!(told, [true; 2], "{columns}");
        }
    }
    assert_eq!(of_episodes, 3, "sites, hours, months");
    let pictures = between(page, "<svg", "</svg>");
    assert!(!pictures.is_empty());
    for picture in &pictures {
        let described = &between(picture, "<desc", "</desc>")[0];
        for told in [described, picture] {
            assert!(
                told.contains("episode") && told.contains("heard,") && told.contains("of no use"),
                "{told}"
            );
        }
    }
}
