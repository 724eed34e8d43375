//! What the README shows of the commands' output stands in the reports that they made.

use std::path::Path;

fn read(name: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

#[test]
fn the_outputs_shown_are_the_ones_in_the_reports() {
    let readme = read("README.md");
    let reports: Vec<String> = [
        "0-phone",
        "0-unsettled",
        "1-verdict",
        "2-desense",
        "2-cost",
        "2-tee",
        "2-sinad",
        "3-search",
        "4-found",
        "5-proof",
        "6-verified",
    ]
    .map(|name| read(&format!("reports/afternoon/{name}.txt")))
    .to_vec();
    let mut checked = 0;
    for block in readme.split("```text\n").skip(1) {
        let block = block.split("```").next().unwrap();
        let command = block.lines().next().unwrap();
        let report = reports
            .iter()
            .find(|r| r.starts_with(&format!("{command}\n")));
        let report = report.unwrap_or_else(|| panic!("no report of: {command}"));
        // What is left out is marked; what is shown comes in the report's order.
        let mut rest = report.as_str();
        for piece in block.split("...\n") {
            let at = rest.find(piece);
            let at = at.unwrap_or_else(|| panic!("not in the report any more:\n{piece}"));
            rest = &rest[at + piece.len()..];
            checked += 1;
        }
    }
    assert!(checked >= 15, "{checked}");
}

/// The first figure in each cell of the row that begins with `name`.
fn row(table: &str, name: &str) -> Vec<f64> {
    let line = table
        .lines()
        .find(|l| l.starts_with(&format!("| {name} |")));
    let line = line.unwrap_or_else(|| panic!("no row {name}"));
    let figure = |cell: &str| {
        let digits = |c: &char| c.is_ascii_digit() || *c == '.';
        let number: String = cell
            .chars()
            .skip_while(|c| !digits(c))
            .take_while(digits)
            .collect();
        number.parse().unwrap()
    };
    let cells = line.trim_matches('|').split('|').skip(1);
    cells.map(figure).collect()
}

#[test]
fn the_figures_shown_are_those_of_the_accuracy_page() {
    let (page, readme) = (read("reports/accuracy.md"), read("README.md"));
    let measures = [
        ("self-desense found", 0),
        ("false alarms", 1),
        ("carrier-drop F1", 2),
        ("hang-time error, median", 1),
    ]
    .map(|(name, places)| (row(&page, name), places));
    let recorded = [
        "by cable, squelched",
        "by cable, squelch open",
        "through a lossy codec",
        "phone at a loudspeaker",
        "several troubles at once",
    ];
    for (tier, name) in recorded.into_iter().enumerate() {
        let shown = row(&readme, name);
        assert_eq!(shown.len(), measures.len());
        for (shown, (measured, places)) in shown.iter().zip(&measures) {
            // Rounded to so many places, whichever way a half goes.
            let half = 0.501 * 10f64.powi(-places);
            assert!((shown - measured[tier]).abs() <= half, "{name}: {shown}");
        }
    }
}

#[test]
fn the_pictures_shown_are_there() {
    let readme = read("README.md");
    let mut seen = 0;
    for link in readme.split("](").skip(1) {
        let target = link.split(')').next().unwrap();
        if target.contains("://") {
            continue;
        }
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(target);
        assert!(path.exists(), "{target}");
        seen += usize::from(target.ends_with(".svg"));
    }
    assert!(seen >= 4, "{seen} pictures");
}
