//! The tables in DEVELOPERS.md are the code's own.

use std::fmt::Write;
use std::fs;

use millside::session::fact::FactKind;
use millside::session::matrix::MATRIX;

fn matrix() -> String {
    let mut table = String::from("| fact | scope | withdrawn by |\n|---|---|---|\n");
    for kind in FactKind::ALL {
        let by: Vec<&str> = MATRIX
            .iter()
            .filter(|row| row.what.withdraws().contains(&kind))
            .map(|r| r.words)
            .collect();
        writeln!(
            table,
            "| {} | {} | {} |",
            kind.statement(),
            kind.scope().word(),
            by.join("; ")
        )
        .expect("a string takes all");
    }
    let lists: Vec<&str> = MATRIX
        .iter()
        .filter(|row| row.reopens_list)
        .map(|r| r.words)
        .collect();
    writeln!(
        table,
        "| List before a cut is answered | each start | {} |",
        lists.join("; ")
    )
    .expect("a string takes all");
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
    let page = fs::read_to_string(path).expect("the page is there");
    let (matrix, restorable) = (matrix(), restorable());
    if std::env::var_os("MILLSIDE_WRITE_TABLES").is_some() {
        let page = page.replace(between(&page, "matrix"), &format!("\n{matrix}"));
        let page = page.replace(
            &format!(
                "<!-- restore begin -->{}<!-- restore end -->",
                between(&page, "restore")
            ),
            &format!("<!-- restore begin -->{restorable}<!-- restore end -->"),
        );
        fs::write(path, page).expect("the page can be written");
        return;
    }
    assert_eq!(
        between(&page, "matrix").trim(),
        matrix.trim(),
        "run with MILLSIDE_WRITE_TABLES=1"
    );
    assert_eq!(between(&page, "restore"), restorable);
}
