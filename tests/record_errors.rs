//! A record that is wrong is refused with line, key, what was found and what is allowed.

use std::fs;
use std::path::Path;
use std::time::Duration;

use chrono::DateTime;
use proptest::collection::vec;
use proptest::prelude::ProptestConfig;
use proptest::prelude::any;
use proptest::prelude::proptest;

use millside::job::caution::Cautions;
use millside::plain;
use millside::record::RecordError;
use millside::record::read;
use millside::session::moment::Moment;
use millside::session::state::State;

fn at() -> Moment {
    Moment {
        wall: DateTime::UNIX_EPOCH.fixed_offset(),
        mono: Duration::ZERO,
    }
}

fn good() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/records/format_1.toml");
    fs::read_to_string(path).expect("the fixture is there")
}

fn read_text(text: &str) -> Result<State, RecordError> {
    read::state(text, Cautions::default(), at())
}

/// The error when the first `old` of the good record is replaced by `new`, with the line that it stood on.
fn spoiled(old: &str, new: &str) -> (RecordError, usize) {
    let good = good();
    let place = good
        .find(old)
        .unwrap_or_else(|| panic!("{old} is in the fixture"));
    let line = good[..place].matches('\n').count() + 1;
    let text = good.replacen(old, new, 1);
    match read_text(&text) {
        Ok(_) => panic!("{new} was taken for {old}"),
        Err(error) => (error, line),
    }
}

#[test]
fn each_kind_of_wrong_value_is_refused_at_its_line_with_its_key() {
    for (old, new, key, found) in [
        (
            "x = \"4-3/4 in\"",
            "x = \"4-3/4 furlongs\"",
            "setup[1].stock.x",
            "furlongs",
        ),
        (
            "x = \"4-3/4 in\"",
            "x = \"120\"",
            "setup[1].stock.x",
            "has no unit",
        ),
        ("x = \"4-3/4 in\"", "x = 120", "setup[1].stock.x", "is 120"),
        (
            "x = \"4-3/4 in\"",
            "x = \"-1 mm\"",
            "setup[1].stock.x",
            "-1 mm",
        ),
        (
            "x = \"4-3/4 in\"",
            "x = \"0 mm\"",
            "setup[1].stock.x",
            "0 mm",
        ),
        (
            "x = \"4-3/4 in\"",
            "x = \"NaN mm\"",
            "setup[1].stock.x",
            "NaN",
        ),
        (
            "x = \"4-3/4 in\"",
            "x = \"inf mm\"",
            "setup[1].stock.x",
            "inf",
        ),
        (
            "x = \"4-3/4 in\"",
            "x = \"1e9 mm\"",
            "setup[1].stock.x",
            "1e9",
        ),
        (
            "diameter = \"6 mm\"",
            "diameter = \"6\"",
            "tool[1].diameter",
            "\"6\"",
        ),
        (
            "diameter = \"6 mm\"",
            "diameter = \"6 rpm\"",
            "tool[1].diameter",
            "6 rpm",
        ),
        (
            "diameter = \"6 mm\"",
            "diameter = \"-6 mm\"",
            "tool[1].diameter",
            "-6 mm",
        ),
        (
            "diameter = \"6 mm\"",
            "diameter = \"1e300 mm\"",
            "tool[1].diameter",
            "1e300",
        ),
        (
            "mc = { value = 0.23",
            "mc = { value = nan",
            "material.mc.value",
            "is nan",
        ),
        (
            "mc = { value = 0.23",
            "mc = { value = -inf",
            "material.mc.value",
            "is -inf",
        ),
        (
            "mc = { value = 0.23",
            "mc = { value = 1e99",
            "material.mc.value",
            "is 1e99",
        ),
        (
            "mc = { value = 0.23",
            "mc = { value = \"0.23\"",
            "material.mc.value",
            "is \"0.23\"",
        ),
        ("flutes = 1", "flutes = 1.5", "tool[1].flutes", "is 1.5"),
        ("flutes = 1", "flutes = -1", "tool[1].flutes", "is -1"),
        (
            "flutes = 1",
            "flutes = 99999999999999999999",
            "tool[1].flutes",
            "is 9999",
        ),
        (
            "flutes = 1",
            "flutes = 4294967296",
            "tool[1].flutes",
            "is 4294967296",
        ),
        (
            "kind = \"pocket\"",
            "kind = \"pockets\"",
            "setup[1].operation[2].kind",
            "pockets",
        ),
        (
            "tool = 1\n",
            "tool = 3\n",
            "setup[1].operation[1].tool",
            "is 3",
        ),
        (
            "tool = 1\n",
            "tool = 0\n",
            "setup[1].operation[1].tool",
            "is 0",
        ),
        ("in_spindle = 1", "in_spindle = 9", "now.in_spindle", "is 9"),
        (
            "setup = 1\noperation = 2",
            "setup = 7\noperation = 2",
            "now.setup",
            "is 7",
        ),
        (
            "rating = 4",
            "rating = 6",
            "setup[1].operation[2].outcome.rating",
            "is 6",
        ),
        (
            "first_run = true",
            "first_run = \"yes\"",
            "conditions.first_run",
            "yes",
        ),
        (
            "first_run = true",
            "first_ran = true",
            "conditions.first_ran",
            "not a key",
        ),
        (
            "lift_kg = 4.5",
            "lift_kg = -1",
            "conditions.lift_kg",
            "is -1",
        ),
        (
            "stands = true",
            "stands = 1",
            "lists.answers[1].stands",
            "is 1",
        ),
        (
            "cutting = \"754.5 s\"",
            "cutting = \"754.5 min\"",
            "setup[1].operation[2].clock.cutting",
            "min",
        ),
        (
            "cutting = \"754.5 s\"",
            "cutting = \"-4 s\"",
            "setup[1].operation[2].clock.cutting",
            "-4 s",
        ),
        (
            "begun = 2026-11-25T14:00:00+01:00",
            "begun = 2026-11-25T14:00:00",
            "begun",
            "is the date",
        ),
        (
            "begun = 2026-11-25T14:00:00+01:00",
            "begun = 2026-11-25",
            "begun",
            "is the date",
        ),
        (
            "begun = 2026-11-25T14:00:00+01:00",
            "begun = \"today\"",
            "begun",
            "today",
        ),
        (
            "point = \"left-front-top\"",
            "point = \"left-front\"",
            "setup[1].zero.point",
            "left-front",
        ),
    ] {
        let (error, line) = spoiled(old, new);
        assert_eq!(error.key, key, "{old} -> {new}: {error}");
        assert_eq!(error.line, line, "{old} -> {new}: {error}");
        assert!(error.found.contains(found), "{old} -> {new}: {error}");
        assert!(error.allowed.ends_with('.'), "{old} -> {new}: {error}");
    }
}

#[test]
fn an_unknown_key_is_refused_and_the_nearest_one_is_named() {
    let (error, line) = spoiled("flute_length = ", "flute_lenght = ");
    assert_eq!(
        (error.line, error.key.as_str()),
        (line, "tool[1].flute_lenght")
    );
    assert!(error.allowed.contains("flute_length"), "{error}");
    let (error, line) = spoiled("stick_out_here = ", "stick_out_her = ");
    assert_eq!(
        (error.line, error.key.as_str()),
        (line, "tool[1].stick_out_her")
    );
    assert!(error.allowed.contains("stick_out_here"), "{error}");
    let (error, _) = spoiled("format = 1\n", "format = 1\nfavourite = 3\n");
    assert_eq!((error.line, error.key.as_str()), (2, "favourite"));
}

#[test]
fn a_later_format_is_refused_by_its_number() {
    let (error, _) = spoiled("format = 1", "format = 2");
    assert_eq!(
        error.to_string(),
        "line 1: format is 2. This program reads format 1: open it with the program that wrote it."
    );
}

#[test]
fn a_repeated_key_or_table_is_refused_with_its_line() {
    let (error, line) = spoiled("flutes = 1\n", "flutes = 1\nflutes = 1\n");
    assert_eq!(error.line, line + 1, "{error}");
    let (error, _) = spoiled("[now]\n", "[wrap_up]\ndone = true\n\n[now]\n");
    assert!(error.line > 0, "{error}");
}

#[test]
fn what_must_be_there_is_named_when_it_is_missing() {
    for (old, new, key) in [
        ("format = 1\n", "", "format"),
        (
            "title = \"Star-tracker base plate\"\n",
            "title = 4\n",
            "title",
        ),
        (
            "session_id = \"2026-11-25-1400-star-tracker-base-plate-9f3a\"\n",
            "",
            "session_id",
        ),
        (
            "session_id = \"2026-11-25-1400-star-tracker-base-plate-9f3a\"\n",
            "session_id = \"\"\n",
            "session_id",
        ),
        ("[lists]\n", "[other]\n", "lists"),
        (
            "thickness = [\"12.1 mm\", \"12.05 mm\", \"12.2 mm\", \"12.15 mm\"]\n",
            "",
            "setup[1].stock.thickness",
        ),
        (
            "thickness = [\"12.1 mm\", ",
            "thickness = [\"12.1 mm\", \"12.1 mm\", ",
            "setup[1].stock.thickness",
        ),
    ] {
        let (error, _) = spoiled(old, new);
        assert_eq!(error.key, key, "{old}: {error}");
    }
    let empty = read_text("").expect_err("an empty file is no record");
    assert_eq!(empty.key, "format");
    let no_setup = good()
        .replace("[[setup", "[[setzp")
        .replace("[setup", "[setzp");
    let error = read_text(&no_setup).expect_err("no setup");
    assert_eq!(error.key, "setup");
}

#[test]
fn control_and_invisible_characters_are_refused_and_never_shown_raw() {
    for bad in [
        "a\\u001b[2Jb",
        "a\\u202eb",
        "a\\u200bb",
        "a\\tb",
        "a\\nb",
        "a\\u0000b",
    ] {
        let new = format!("title = \"{bad}\"");
        let (error, line) = spoiled("title = \"Star-tracker base plate\"", &new);
        assert_eq!((error.line, error.key.as_str()), (line, "title"), "{bad}");
        assert!(!error.to_string().chars().any(plain::is_hidden), "{bad}");
    }
    // TOML itself takes no raw control characters; the message must still be clean.
    let (error, line) = spoiled("Star-tracker", "Star\u{1b}[2J-tracker");
    assert_eq!(error.line, line);
    assert!(!error.to_string().chars().any(plain::is_hidden), "{error}");
}

#[test]
fn bytes_that_are_no_text_are_refused_with_their_line() {
    let mut raw = good().into_bytes();
    let place = good().find("# ").unwrap_or(300);
    raw[place] = 0xff;
    let line = good()[..place].matches('\n').count() + 1;
    let error = read::bytes(&raw, Cautions::default(), at()).expect_err("not UTF-8");
    assert_eq!(error.line, line);
    let error = read::bytes(b"\xff\xfef", Cautions::default(), at()).expect_err("not UTF-8");
    assert_eq!(error.line, 1);
}

#[test]
fn a_record_cut_off_at_any_line_is_refused() {
    let good = good();
    let last = good.trim_end().len();
    for (place, _) in good.match_indices('\n').filter(|(place, _)| *place < last) {
        let line = good[..place].matches('\n').count() + 1;
        assert!(
            read_text(&good[..place]).is_err(),
            "cut off behind line {line}"
        );
    }
}

#[test]
fn deep_nesting_is_refused() {
    let text = format!("format = {}1{}", "[".repeat(100_000), "]".repeat(100_000));
    assert!(read_text(&text).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_bytes_make_it_panic(raw in vec(any::<u8>(), 0..400)) {
        let _ = read::bytes(&raw, Cautions::default(), at()).is_ok();
    }

    #[test]
    fn no_change_of_a_good_record_makes_it_panic(place in 0..9000_usize, length in 0..40_usize, put in vec(any::<u8>(), 0..12)) {
        let mut raw = good().into_bytes();
        let from = place.min(raw.len());
        let to = (from + length).min(raw.len());
        raw.splice(from..to, put);
        if let Err(error) = read::bytes(&raw, Cautions::default(), at()) {
            assert!(!error.to_string().chars().any(plain::is_hidden));
            assert!(error.line > 0 || error.key.is_empty());
        }
    }
}
