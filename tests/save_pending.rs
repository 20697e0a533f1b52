//! What the person sees of a save that is slow or fails, and what leaving does then: nothing that was confirmed is
//! given up unasked. The disk is played by the desk.

mod support;

use millside::app::effect::Effect;
use millside::app::key::Key;
use millside::app::message::Beside;
use millside::app::message::Kept;
use millside::app::message::Message;
use millside::app::model::Screen;
use millside::app::overlay::Overlay;
use millside::app::overlay::Sure;
use millside::edge::held;
use millside::session::clock::Phase;
use millside::session::moment::Moment;

use std::io;
use std::io::ErrorKind;
use std::time::Duration;

use support::desk::Desk;
use support::desk::Disk;
use support::walk::answered;
use support::walk::cutting;
use support::walk::demo;

const FULL: &str = "the disk is full; free some space";

fn failing() -> Disk {
    Disk::Failing(FULL.to_owned())
}

/// Milliseconds pass, as the loop tells it.
fn pass_ms(desk: &mut Desk, ms: u64) {
    let now = desk.now();
    desk.send(Message::Ticked(Moment {
        wall: now.wall + chrono::TimeDelta::milliseconds(i64::try_from(ms).expect("small")),
        mono: now.mono + Duration::from_millis(ms),
    }));
}

fn note(desk: &mut Desk, text: &str) {
    desk.keys("/");
    for c in text.chars() {
        desk.key(Key::Char(c));
    }
    desk.keys("\r");
}

/// The screen with every stretch of blanks as one: what is long goes on in the next row.
fn in_one(desk: &Desk) -> String {
    let screen = desk.screen();
    screen.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether the newest note on the disk is this one.
fn is_saved(desk: &Desk, text: &str) -> bool {
    let saved = desk.saved.last();
    saved.is_some_and(|state| millside::record::write::text(state).contains(text))
}

fn quits(desk: &Desk) -> bool {
    desk.other.contains(&Effect::Quit)
}

fn asks(desk: &Desk) -> bool {
    desk.model.overlay == Some(Overlay::Sure(Sure::Unsaved))
}

#[test]
fn a_save_that_is_pending_for_0_3_s_is_seen_on_the_screen() {
    for (columns, rows) in [(80, 24), (120, 40), (40, 12)] {
        let mut desk = demo(80, 24);
        assert!(!desk.screen().contains("SAVING"));
        desk.disk = Disk::Slow;
        note(&mut desk, "first");
        desk.send(Message::Resized(columns, rows));
        pass_ms(&mut desk, 301);
        assert!(desk.screen().contains("SAVING"), "{}", desk.screen());
        desk.pass(3);
        assert!(desk.screen().contains("SAVING 3 s"), "{}", desk.screen());
        assert!(desk.disk_is_done());
        assert!(!desk.screen().contains("SAVING"), "{}", desk.screen());
        assert!(is_saved(&desk, "first"));
    }
}

#[test]
fn what_changes_during_a_save_is_saved_when_it_is_over() {
    let mut desk = demo(80, 24);
    desk.disk = Disk::Slow;
    note(&mut desk, "first");
    note(&mut desk, "second");
    assert!(desk.disk_is_done());
    assert!(is_saved(&desk, "first") && !is_saved(&desk, "second"));
    assert!(desk.screen().contains("SAVING"), "{}", desk.screen());
    assert!(desk.disk_is_done());
    assert!(is_saved(&desk, "second"));
    assert!(!desk.disk_is_done(), "nothing is left to save");
}

#[test]
fn a_failed_save_is_tried_again_by_itself_soon_and_then_slower_and_says_so() {
    let mut desk = demo(80, 24);
    desk.disk = failing();
    note(&mut desk, "first");
    // The pause between two tries doubles from 1 s to 30 s.
    for pause in [1, 2, 4, 8, 16, 30, 30] {
        for left in (1..=pause).rev() {
            let screen = desk.screen();
            assert!(screen.contains("NOT SAVED"), "{screen}");
            let next = format!("Next try in {left} s.");
            assert!(screen.contains(&next), "{next}\n{screen}");
            desk.pass(1);
        }
    }
    desk.disk = Disk::Fine;
    desk.pass(29);
    assert!(!is_saved(&desk, "first"));
    desk.pass(1);
    assert!(is_saved(&desk, "first"));
    assert!(!desk.screen().contains("NOT SAVED"), "{}", desk.screen());
}

#[test]
fn the_next_answer_tries_a_failed_save_at_once() {
    let mut desk = demo(80, 24);
    desk.disk = failing();
    note(&mut desk, "first");
    desk.pass(10);
    desk.disk = Disk::Fine;
    note(&mut desk, "second");
    assert!(is_saved(&desk, "first") && is_saved(&desk, "second"));
}

#[test]
fn the_reason_of_a_failed_save_and_what_to_do_are_whole_at_80_columns() {
    let kinds = [
        ErrorKind::StorageFull,
        ErrorKind::QuotaExceeded,
        ErrorKind::ReadOnlyFilesystem,
        ErrorKind::PermissionDenied,
        ErrorKind::NotFound,
    ];
    // Linux: EIO, EFBIG, ESTALE, the words of the system.
    let others = [5, 27, 116].map(io::Error::from_raw_os_error);
    let errors = kinds.map(io::Error::from).into_iter().chain(others);
    for error in errors {
        let why = held::why(&error);
        for running in [false, true] {
            let mut desk = if running {
                cutting(80, 24, 40)
            } else {
                demo(80, 24)
            };
            desk.disk = Disk::Failing(why.clone());
            note(&mut desk, "first");
            let (screen, shown) = (desk.screen(), in_one(&desk));
            let whole = format!("NOT SAVED: {why}. Next try in");
            assert!(shown.contains(&whole), "{whole}\n{screen}");
        }
    }
}

#[test]
fn leaving_while_the_disk_fails_asks_first_on_every_key_that_leaves() {
    for key in [Key::Char('q'), Key::Interrupt, Key::Escape] {
        let mut desk = demo(80, 24);
        desk.disk = failing();
        note(&mut desk, "first");
        desk.key(key);
        assert!(asks(&desk) && !quits(&desk), "{key:?}\n{}", desk.screen());
        assert_eq!(desk.model.screen, Screen::Session);
        let screen = desk.screen();
        for words in ["WITHOUT SAVING?", FULL, "3 stay", "9 leave"] {
            assert!(screen.contains(words), "{words}\n{screen}");
        }
        // The same key again does not answer it, nor does one that is held down.
        for _ in 0..3 {
            desk.key(key);
            if key == Key::Escape {
                break;
            }
            assert!(asks(&desk) && !quits(&desk), "{key:?}");
        }
        if key == Key::Escape {
            assert!(!asks(&desk), "Esc stays");
            desk.key(key);
        }
        // Once the disk takes it, it goes by itself.
        desk.disk = Disk::Fine;
        desk.pass(60);
        assert!(is_saved(&desk, "first"));
        let left = quits(&desk) || desk.model.screen == Screen::Jobs;
        assert!(left && desk.model.overlay.is_none(), "{}", desk.screen());
        assert!(!desk.other.contains(&Effect::QuitUnsaved));
    }
}

#[test]
fn who_stays_loses_nothing_and_who_leaves_without_saving_is_asked_for_nine() {
    let mut desk = demo(80, 24);
    desk.disk = failing();
    note(&mut desk, "first");
    desk.keys("q3");
    assert!(!asks(&desk) && desk.model.going.is_none());
    desk.disk = Disk::Fine;
    desk.pass(5);
    assert!(is_saved(&desk, "first") && !quits(&desk));
    desk.disk = failing();
    note(&mut desk, "second");
    desk.keys("q");
    // Nothing but a 9 loses it: not the keys that answer elsewhere.
    desk.keys("1257\rq/*+-");
    assert!(asks(&desk), "{}", desk.screen());
    desk.keys("9");
    assert!(desk.other.contains(&Effect::QuitUnsaved) && !quits(&desk));
}

#[test]
fn trying_again_is_one_key() {
    let mut desk = demo(80, 24);
    desk.disk = failing();
    note(&mut desk, "first");
    desk.keys("q");
    assert!(
        desk.screen().contains("1 try again now"),
        "{}",
        desk.screen()
    );
    desk.disk = Disk::Fine;
    desk.keys("1");
    assert!(is_saved(&desk, "first") && quits(&desk));
}

#[test]
fn leaving_with_a_slow_save_says_what_it_waits_for_and_lets_the_person_decide() {
    for key in [Key::Char('q'), Key::Escape] {
        let mut desk = demo(80, 24);
        desk.disk = Disk::Slow;
        note(&mut desk, "first");
        note(&mut desk, "second");
        desk.key(key);
        assert!(!quits(&desk) && desk.model.screen == Screen::Session);
        pass_ms(&mut desk, 200);
        assert!(!asks(&desk), "a quick save needs no question");
        pass_ms(&mut desk, 301);
        assert!(asks(&desk), "{}", desk.screen());
        desk.pass(8);
        let screen = desk.screen();
        assert!(screen.contains("waiting for the save since"), "{screen}");
        assert!(screen.contains("3 stay   9 leave"), "{screen}");
        // Both the one under way and the one behind it are waited for.
        assert!(desk.disk_is_done());
        assert!(asks(&desk) && !quits(&desk));
        assert!(desk.disk_is_done());
        assert!(is_saved(&desk, "second"));
        assert!(quits(&desk) || desk.model.screen == Screen::Jobs);
    }
}

#[test]
fn the_question_is_answered_in_a_small_window_too() {
    for (answer, leaves) in [("3", false), ("9", true)] {
        let mut desk = demo(80, 24);
        desk.disk = failing();
        note(&mut desk, "first");
        desk.send(Message::Resized(40, 12));
        desk.key(Key::Interrupt);
        let screen = desk.screen();
        for words in ["3 stay", "9 leave unsaved", "NOT SAVED", "the disk is full"] {
            assert!(screen.contains(words), "{words}\n{screen}");
        }
        desk.keys(answer);
        assert_eq!(desk.other.contains(&Effect::QuitUnsaved), leaves);
        assert!(!asks(&desk) || leaves);
    }
}

#[test]
fn the_clock_goes_on_while_leaving_waits() {
    let mut desk = cutting(80, 24, 30);
    desk.disk = failing();
    let before = desk.state().phase();
    desk.keys("q");
    desk.keys("1");
    assert!(asks(&desk), "{}", desk.screen());
    desk.pass(20);
    assert_eq!(before, Some(Phase::Cutting));
    assert_eq!(desk.state().phase(), before);
    desk.keys("3");
    assert!(!asks(&desk), "{}", desk.screen());
}

#[test]
fn the_list_before_leaving_comes_first_and_its_sentence_is_waited_for() {
    let mut desk = answered(80, 24);
    desk.disk = Disk::Slow;
    desk.keys("q");
    assert!(desk.screen().contains("BEFORE YOU LEAVE THE MILL"));
    desk.keys("q");
    assert!(!quits(&desk));
    while desk.disk_is_done() {}
    assert!(quits(&desk), "{}", desk.screen());
    let left = desk.saved.last().map(|state| state.left_open.len());
    assert_eq!(left, Some(1));
}

fn changed(desk: &mut Desk, is_gone: bool) {
    desk.send(Message::Saved(Ok(Kept::Beside(Beside {
        from: "/jobs/plate.toml".into(),
        to: "/jobs/plate-2.toml".into(),
        is_gone,
    }))));
}

#[test]
fn a_file_that_was_changed_outside_is_asked_about_and_a_key_too_soon_is_no_answer() {
    let mut desk = demo(80, 24);
    changed(&mut desk, false);
    desk.pass(1);
    let screen = desk.screen();
    for words in [
        "plate.toml was changed outside millside",
        "Your answers are saved in plate-2.toml",
        "Both files are kept",
        "1 Go on with this session",
        "2 Open the changed file",
    ] {
        assert!(in_one(&desk).contains(words), "{words}\n{screen}");
    }
    let now = desk.now();
    desk.send(Message::Pressed(Key::Char('1'), now));
    assert_eq!(desk.model.overlay, Some(Overlay::Sure(Sure::Beside)));
    desk.keys("1");
    assert_eq!(desk.model.overlay, None);
    assert_eq!(
        desk.model.work.as_ref().map(|w| w.path.as_str()),
        Some("/jobs/plate-2.toml")
    );
    changed(&mut desk, false);
    desk.pass(1);
    desk.keys("2");
    let load = Effect::Load("/jobs/plate.toml".into());
    assert!(desk.other.contains(&load), "{:?}", desk.other);
}

#[test]
fn a_file_that_is_gone_is_said_and_there_is_nothing_to_open() {
    let mut desk = demo(80, 24);
    changed(&mut desk, true);
    desk.pass(1);
    let screen = desk.screen();
    assert!(screen.contains("renamed or deleted"), "{screen}");
    desk.keys("2");
    assert_eq!(desk.model.overlay, Some(Overlay::Sure(Sure::Beside)));
    desk.keys("1");
    assert_eq!(desk.model.overlay, None);
}

#[test]
fn while_it_cuts_the_question_about_the_file_waits_and_is_said_in_a_row() {
    let mut desk = cutting(80, 24, 30);
    changed(&mut desk, false);
    desk.pass(1);
    assert_eq!(desk.model.overlay, None, "the keys of the clock stay");
    let screen = desk.screen();
    assert!(screen.contains("FILE CHANGED"), "{screen}");
    assert!(screen.contains("plate-2.toml"), "{screen}");
    desk.keys("5");
    assert_eq!(desk.state().phase(), Some(Phase::Waiting));
    desk.pass(1);
    assert_eq!(desk.model.overlay, Some(Overlay::Sure(Sure::Beside)));
}
