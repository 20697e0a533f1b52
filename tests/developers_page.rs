//! The tables in DEVELOPERS.md are the code's own.

use std::fmt::Write;
use std::fs;

use millside::profile::library::Library;
use millside::session::fact::FactKind;
use millside::session::lines::ListKind;
use millside::session::matrix::ANEW;
use millside::session::matrix::Asks;
use millside::session::matrix::MATRIX;
use millside::session::matrix::Row;
use millside::session::matrix::asks_line;

fn words_of(rows: impl Iterator<Item = &'static Row>) -> String {
    let words: Vec<&str> = rows.map(|row| row.words).collect();
    words.join("; ")
}

fn put(table: &mut String, cells: &[&str]) {
    writeln!(table, "| {} |", cells.join(" | ")).expect("a string takes all");
}

/// Facts down, what withdraws each.
fn matrix() -> String {
    let mut table = String::from("| fact | scope | withdrawn by |\n|---|---|---|\n");
    for kind in FactKind::ALL {
        let by = MATRIX.iter();
        let by = words_of(by.filter(|row| row.what.withdraws().contains(&kind)));
        put(&mut table, &[kind.statement(), kind.scope().word(), &by]);
    }
    table
}

/// Lists, then single cautions: what asks their lines again.
fn lines() -> String {
    let mut table =
        String::from("| lines | asked again, with the reason | open as new |\n|---|---|---|\n");
    for list in ListKind::ALL {
        let by: Vec<String> = MATRIX
            .iter()
            .filter_map(|row| {
                let words = match (row.asks, list) {
                    (Asks::EveryList, _) | (Asks::Start, ListKind::Start) => row.words.to_owned(),
                    (Asks::StartButBeforeTheHand, ListKind::Start) => {
                        format!(
                            "{} (but those before a hand goes to the spindle)",
                            row.words
                        )
                    }
                    _ => return None,
                };
                Some(words)
            })
            .collect();
        let anew: Vec<&str> = ANEW
            .iter()
            .filter(|row| row.lists.contains(&list))
            .map(|row| row.words)
            .collect();
        let all = format!("all of {}", list.heading());
        put(&mut table, &[&all, &by.join("; "), &anew.join("; ")]);
    }
    let named = words_of(MATRIX.iter().filter(|row| row.names_lines));
    put(&mut table, &["those named as it happens", &named, ""]);
    // A reminder is shown and not asked.
    let library = Library::shipped();
    for caution in library.cautions.items().iter().filter(|c| c.critical) {
        let by = MATRIX.iter();
        let by = words_of(by.filter(|row| asks_line(row.id, row.conditions, caution)));
        let anew: Vec<&str> = ANEW
            .iter()
            .filter(|row| asks_line(row.id, &[], caution))
            .map(|row| row.words)
            .collect();
        if by.is_empty() && anew.is_empty() {
            continue;
        }
        let name = format!("`{}`", caution.id);
        put(&mut table, &[&name, &by, &anew.join("; ")]);
    }
    table
}

/// What begins anew, with what it opens beside lines.
fn anew() -> String {
    let mut table = String::from("| what begins anew | facts open | and |\n|---|---|---|\n");
    for row in ANEW {
        let opens: Vec<&str> = row.opens.iter().map(|kind| kind.statement()).collect();
        let lists: Vec<&str> = row.lists.iter().map(|list| list.heading()).collect();
        let mut and = lists.join(", ");
        if !and.is_empty() && !row.named.is_empty() {
            and.push_str("; ");
        }
        and.push_str(row.named);
        put(&mut table, &[row.words, &opens.join("; "), &and]);
    }
    table
}

fn restorable() -> String {
    let all: Vec<&str> = MATRIX
        .iter()
        .filter(|row| row.return_test_may_restore)
        .map(|row| row.words)
        .collect();
    all.join("; ")
}

fn between<'a>(page: &'a str, name: &str) -> &'a str {
    let begin = format!("<!-- {name} begin -->");
    let end = format!("<!-- {name} end -->");
    let from = page.find(&begin).expect("the mark is there") + begin.len();
    let to = page.find(&end).expect("the mark is there");
    &page[from..to]
}

#[test]
fn the_matrix_on_the_page_is_the_matrix_of_the_code() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/DEVELOPERS.md");
    let mut page = fs::read_to_string(path).expect("the page is there");
    let tables = [
        ("matrix", format!("\n{}", matrix())),
        ("lines", format!("\n{}", lines())),
        ("anew", format!("\n{}", anew())),
        ("restore", restorable()),
    ];
    if std::env::var_os("MILLSIDE_WRITE_TABLES").is_some() {
        for (name, table) in tables {
            let mark = |text: &str| format!("<!-- {name} begin -->{text}<!-- {name} end -->");
            page = page.replace(&mark(between(&page, name)), &mark(&table));
        }
        fs::write(path, page).expect("the page can be written");
        return;
    }
    for (name, table) in tables {
        let is = between(&page, name);
        assert_eq!(is, table, "{name}: run with MILLSIDE_WRITE_TABLES=1");
    }
}
