//! Fields as people fill them in: cleared, edited after a refusal, a path completed, and nothing asked that is known.

mod support;

use std::fs;
use std::path::Path;

use millside::app::browse::Entry;
use millside::app::browse::Listing;
use millside::app::effect::Effect;
use millside::app::field::Field;
use millside::app::key::Key;
use millside::app::message::Message;
use millside::app::model::Screen;
use millside::app::page;
use millside::app::row::Mark;
use millside::app::row::Row;
use millside::edge::browse;
use millside::job::conditions::KEYS;
use millside::session::state::Step;

use support::desk::Desk;
use support::walk;

fn value(desk: &Desk) -> String {
    let editing = desk.model.editing.as_ref().expect("a field is open");
    editing.input.text().to_owned()
}

fn field(desk: &Desk, wanted: Field) -> Option<(String, String, Mark)> {
    page::rows(&desk.model)
        .into_iter()
        .find_map(|row| match row {
            Row::Field {
                field,
                value,
                note,
                mark,
                ..
            } if field == wanted => Some((value, note, mark)),
            _ => None,
        })
}

fn at_stock() -> Desk {
    let mut desk = walk::demo(120, 40);
    walk::to_step(&mut desk, Step::Stock);
    walk::to_field(&mut desk, Field::StockX);
    desk.keys("\r");
    desk
}

#[test]
fn one_key_clears_a_field() {
    let mut desk = at_stock();
    desk.key(Key::End);
    desk.keys("99");
    desk.key(Key::ClearLine);
    assert_eq!(value(&desk), "");
    desk.keys("118");
    assert_eq!(value(&desk), "118");
}

#[test]
fn what_is_typed_after_a_refusal_is_a_new_value_and_arrows_keep_the_old_one() {
    let mut desk = at_stock();
    desk.keys("12 kg\r");
    assert!(
        desk.model
            .editing
            .as_ref()
            .is_some_and(|e| e.error.is_some())
    );
    assert_eq!(value(&desk), "12 kg");
    desk.keys("118");
    assert_eq!(value(&desk), "118");
    desk.key(Key::ClearLine);
    desk.keys("12 kg\r");
    desk.key(Key::Backspace);
    desk.key(Key::Backspace);
    desk.keys("mm");
    assert_eq!(value(&desk), "12 mm");
}

#[test]
fn a_coolant_that_was_picked_is_no_error() {
    let fluid = KEYS.iter().position(|key| key.name == "fluid");
    let field_of = Field::Condition(fluid.expect("it is a key"));
    let mut desk = walk::demo(120, 40);
    walk::to_step(&mut desk, Step::Hold);
    let millside::app::field::Takes::Choice(choices) = field_of.takes() else {
        panic!("a choice");
    };
    for (number, choice) in choices.iter().enumerate() {
        walk::to_field(&mut desk, field_of);
        desk.keys(&format!("\r{}\r", number + 1));
        let (value, note, mark) = field(&desk, field_of).expect("it is shown");
        assert_eq!((&value, note.as_str(), mark), (choice, "", Mark::Good));
    }
}

#[test]
fn a_zero_on_the_stock_top_asks_for_no_height() {
    let mut desk = walk::demo(120, 40);
    walk::hold_and_zero(&mut desk);
    walk::to_step(&mut desk, Step::Z);
    assert!(field(&desk, Field::Height).is_some());
    walk::to_field(&mut desk, Field::Surface);
    desk.keys("\r1\r");
    assert!(field(&desk, Field::Height).is_none(), "{}", desk.screen());
    let reference = desk.state().current_setup().z_reference.clone();
    let reference = reference.expect("nothing is missing");
    assert_eq!(reference.surface.word(), "stock top");
    assert!(reference.height.value.abs() < 1e-12);
}

fn asks_for_program() -> Desk {
    let mut desk = Desk::new(80, 24);
    desk.keys("2\r");
    assert_eq!(desk.model.screen, Screen::Begin, "{}", desk.screen());
    desk.keys("8888\r");
    assert_eq!(
        desk.model.editing.as_ref().map(|editing| editing.field),
        Some(Field::Program)
    );
    desk
}

fn listing(names: &[&str]) -> Listing {
    let entries = names.iter().map(|name| Entry {
        name: name.trim_end_matches('/').to_owned(),
        is_folder: name.ends_with('/'),
    });
    Listing {
        entries: entries.collect(),
        has_more: false,
    }
}

/// Carries out the listing that was asked for last.
fn answer(desk: &mut Desk, names: &[&str]) {
    let Some(Effect::ListFolder { typed, lists }) = desk.other.pop() else {
        panic!("no folder is asked for");
    };
    desk.send(Message::FolderListed(typed, lists, Ok(listing(names))));
}

#[test]
fn tab_completes_a_path_as_far_as_it_is_clear_and_then_lists() {
    let mut desk = asks_for_program();
    desk.keys("jo");
    desk.key(Key::Tab);
    answer(&mut desk, &["jobs/", "notes.txt"]);
    assert_eq!(value(&desk), "jobs/");
    desk.keys("p");
    desk.key(Key::Tab);
    answer(&mut desk, &["plate-a.nc", "plate-b.nc"]);
    assert_eq!(value(&desk), "jobs/plate-");
    assert_eq!(desk.model.overlay, None);
    desk.key(Key::Tab);
    answer(&mut desk, &["plate-a.nc", "plate-b.nc"]);
    assert!(desk.screen().contains("plate-b.nc"), "{}", desk.screen());
    desk.files
        .push(("jobs/plate-b.nc".to_owned(), "G21\nM30\n".to_owned()));
    desk.keys("3\r");
    assert_eq!(desk.model.overlay, None, "{}", desk.screen());
    let read = desk.model.begin.program.as_ref();
    assert_eq!(read.map(|read| read.file.as_str()), Some("jobs/plate-b.nc"));
}

#[test]
fn nothing_that_begins_so_is_said_and_what_was_typed_stays() {
    let mut desk = asks_for_program();
    desk.keys("zz");
    desk.key(Key::Tab);
    answer(&mut desk, &["plate.nc"]);
    let editing = desk.model.editing.as_ref().expect("it stays open");
    assert!(editing.error.as_ref().is_some_and(|why| why.contains("zz")));
    assert_eq!(editing.input.text(), "zz");
}

#[test]
fn a_keypad_lists_the_folder_and_goes_into_folders_by_number() {
    let mut desk = asks_for_program();
    desk.keys("\r");
    answer(&mut desk, &["jobs/", "plate.nc"]);
    let screen = desk.screen();
    for words in ["1 ../", "2 jobs/", "3 plate.nc"] {
        assert!(screen.contains(words), "{screen}");
    }
    desk.keys("2\r");
    answer(&mut desk, &["seat.nc"]);
    desk.files
        .push(("jobs/seat.nc".to_owned(), "G21\nM30\n".to_owned()));
    desk.keys("2\r");
    let read = desk.model.begin.program.as_ref();
    assert_eq!(read.map(|read| read.file.as_str()), Some("jobs/seat.nc"));
}

#[test]
fn a_name_with_hidden_characters_is_shown_escaped() {
    let mut desk = asks_for_program();
    desk.keys("\r");
    answer(&mut desk, &["a\u{1b}[2Jb.nc"]);
    let screen = desk.screen();
    assert!(!screen.contains('\u{1b}'), "{screen:?}");
    assert!(screen.contains("b.nc"), "{screen}");
}

#[test]
fn a_folder_that_cannot_be_read_says_so_in_the_field() {
    let mut desk = asks_for_program();
    desk.keys("nowhere/");
    desk.key(Key::Tab);
    let Some(Effect::ListFolder { typed, lists }) = desk.other.pop() else {
        panic!("no folder is asked for");
    };
    let listing = browse::folder_of("no such folder here/");
    desk.send(Message::FolderListed(typed, lists, listing));
    let editing = desk.model.editing.as_ref().expect("it stays open");
    assert!(
        editing
            .error
            .as_ref()
            .is_some_and(|why| why.contains("cannot be read"))
    );
}

fn names(folder: &Path, begun: &str) -> Vec<String> {
    let typed = format!("{}/{begun}", folder.display());
    let listing = browse::folder_of(&typed).expect("it can be read");
    listing
        .entries
        .into_iter()
        .map(|entry| entry.name)
        .collect()
}

#[cfg(unix)]
#[test]
fn folders_come_first_then_programs_and_only_regular_files_are_offered() {
    use std::os::unix::fs::symlink;
    use std::process::Command;
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path();
    for file in ["b.nc", "a.nc", "a.md", ".hidden.nc"] {
        fs::write(folder.join(file), "M30\n").expect("it is written");
    }
    fs::create_dir(folder.join("zz")).expect("it is made");
    symlink(folder.join("nothing"), folder.join("dangling.nc")).expect("it is linked");
    let pipe = Command::new("mkfifo").arg(folder.join("pipe.nc")).status();
    assert!(pipe.is_ok_and(|status| status.success()));
    assert_eq!(names(folder, ""), ["zz", "a.nc", "b.nc", "a.md"]);
    assert_eq!(names(folder, "b"), ["b.nc"]);
    assert_eq!(names(folder, "."), [".hidden.nc"]);
}
