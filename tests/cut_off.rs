//! A session that was cut off with its clock on: what it knows when it is opened again.

mod support;
#[path = "support/terminal.rs"]
mod terminal;

use std::fs;

use millside::edge::alive;
use millside::edge::save::Unwatched;
use millside::record::write;
use millside::session::clock::Phase;

use support::walk::cutting;
use terminal::Terminal;

#[test]
fn it_says_when_it_was_last_seen_alive_and_asks_what_happened_since() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path().join("millside/sessions");
    fs::create_dir_all(&folder).expect("the folder of sessions");
    let record = folder.join("2026-03-07-140000-plate-abcd.toml");
    // Saved at the first second of the cut; the sign of life is half a minute younger.
    let desk = cutting(80, 24, 0);
    assert_eq!(desk.state().phase(), Some(Phase::Cutting));
    fs::write(&record, write::text(desk.state())).expect("the record");
    let life = desk.now().wall + chrono::TimeDelta::seconds(30);
    alive::touch(&record, life, &mut Unwatched).expect("a sign of life");

    let mut t = Terminal::start(home.path(), &[], 80, 24);
    t.see("alive 07 Mar 2026 14:01");
    t.press("\r");
    t.see("TIME THAT NOBODY SAW");
    t.see("Last seen alive");
    t.see(&life.format("%b %Y").to_string());
    // The hour depends on the place; a second may be cut off.
    t.see(&life.format(":%M:").to_string());
    // Another key answers nothing.
    t.press("8");
    t.see("TIME THAT NOBODY SAW");
    t.look();
    t.press("4");
    t.see("BEFORE THIS CUT");
    // The half minute was seen alive and counts; what nobody saw does not.
    t.see("WAITING   cutting 0:30");
    t.press("5");
    t.see("open, first:");
    t.send("q");
    t.see("THE CLOCK IS ON");
    t.send("1");
    assert_eq!(t.end(), 0);
    let text = fs::read_to_string(&record).expect("the record");
    assert!(text.contains("counts = \"waiting\""), "{text}");
}
