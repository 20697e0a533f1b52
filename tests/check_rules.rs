//! The table of findings in DEVELOPERS.md is that of the code.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use millside::check;
use millside::program;
use millside::program::finding::Level;

/// One row for each level and what must be known, the ids in order.
fn table() -> String {
    let mut rows: BTreeMap<(std::cmp::Reverse<Level>, &str), Vec<&str>> = BTreeMap::new();
    let of_check = check::rules::ALL
        .iter()
        .map(|(rule, needs)| (*rule, *needs));
    let of_reader = program::rules::ALL
        .iter()
        .map(|rule| (*rule, "the program alone"));
    for (rule, needs) in of_check.chain(of_reader) {
        let needs = if needs == "nothing" {
            "the program alone"
        } else {
            needs
        };
        rows.entry((std::cmp::Reverse(rule.level), needs))
            .or_default()
            .push(rule.id);
    }
    let mut text = "| level | must be known | ids |\n|---|---|---|\n".to_owned();
    for ((level, needs), mut ids) in rows {
        ids.sort_unstable();
        text.push_str(&format!(
            "| {} | {needs} | {} |\n",
            level.0.word(),
            ids.join(", ")
        ));
    }
    text
}

#[test]
fn the_table_of_findings_is_that_of_the_code() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md");
    let text = fs::read_to_string(path).expect("the page is readable");
    let (_, rest) = text
        .split_once("<!-- findings begin -->\n")
        .expect("the table begins");
    let (found, _) = rest
        .split_once("<!-- findings end -->")
        .expect("the table ends");
    assert_eq!(found, table(), "write the table anew:\n{}", table());
}
