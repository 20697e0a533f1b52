//! The footer names what the keys do on the row that is chosen, and the emergency card everywhere.

mod support;

use millside::app::keys;
use millside::app::row;
use millside::app::row::Row;
use millside::job::tool::Tool;
use millside::session::clock::Phase;
use millside::session::gate::ListKind;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::shipped;
use support::walk::answered;
use support::walk::cutting;
use support::walk::decided;
use support::walk::demo;
use support::walk::to_step;

fn last_row(desk: &Desk) -> String {
    desk.screen().lines().last().unwrap_or_default().to_owned()
}

fn chosen(desk: &Desk) -> Option<Row> {
    let rows = millside::app::page::rows(&desk.model);
    row::chosen(&rows, desk.model.cursor).cloned()
}

#[test]
fn at_80_columns_every_footer_names_the_emergency_card() {
    let jobs = Desk::new(80, 24);
    assert!(last_row(&jobs).contains(". emergency"), "{}", jobs.screen());
    let mut desk = decided(80, 24);
    for step in Step::RAIL {
        to_step(&mut desk, step);
        for _ in 0..30 {
            let footer = last_row(&desk);
            assert!(footer.contains(". emergency"), "{footer}");
            assert!(footer.contains("0 help"), "{footer}");
            desk.keys("2");
        }
    }
    let running = cutting(80, 24, 20);
    assert!(last_row(&running).contains(". emergency"));
}

/// What the footer says of `1` is what `1` does.
#[test]
fn the_footer_says_so_only_where_one_answers() {
    let mut desk = demo(80, 24);
    for step in Step::RAIL {
        to_step(&mut desk, step);
        for _ in 0..30 {
            let says_so = keys::footer(&desk.model)
                .iter()
                .any(|binding| binding.key == "1");
            let before = desk.model.clone();
            desk.keys("1");
            let notice = desk.model.notice.clone().map(|notice| notice.text);
            let idle = [
                "1 answers a line",
                "it needs a value",
                "answered already",
                "5 turns the clock on",
            ];
            let is_idle = notice.is_some_and(|text| idle.iter().any(|idle| text.starts_with(idle)));
            assert_eq!(is_idle, !says_so, "{:?}", chosen(&desk));
            desk.model = before;
            desk.keys("2");
        }
    }
    // The end of the list before a cut is answered by the clock's key.
    let desk = answered(80, 24);
    assert!(matches!(chosen(&desk), Some(Row::End { list, .. }) if list == ListKind::Start));
    assert!(!last_row(&desk).contains("1 so"), "{}", last_row(&desk));
    assert!(
        last_row(&desk).contains("5 clock on"),
        "{}",
        last_row(&desk)
    );
}

#[test]
fn while_it_cuts_the_clocks_key_makes_it_wait_on_every_page() {
    let mut desk = cutting(80, 24, 20);
    for step in [Step::Air, Step::Recipe, Step::Measure] {
        to_step(&mut desk, step);
        assert_eq!(desk.state().phase(), Some(Phase::Cutting));
        let footer = last_row(&desk);
        assert!(footer.contains("5 clock waits"), "{footer}");
    }
    desk.keys("5");
    assert_eq!(desk.state().phase(), Some(Phase::Waiting));
}

/// By hand: 80 columns do not hold these words, two rows do.
#[test]
fn what_is_refused_is_read_to_its_end() {
    let mut desk = demo(80, 24);
    let why = "the part that is on the table is not as entered: look at its length, its width and its thickness again";
    desk.model.refuse(why);
    let screen = desk.screen();
    let text: Vec<&str> = screen.lines().map(str::trim).collect();
    assert!(text.join(" ").contains(why), "{screen}");
    desk.model.overlay = Some(millside::app::overlay::Overlay::Help);
    let screen = desk.screen();
    let text: Vec<&str> = screen.lines().map(str::trim).collect();
    assert!(text.join(" ").contains(why), "{screen}");
}

#[test]
fn the_end_of_a_list_keeps_its_time_whatever_the_tool_is_called() {
    let longest: Tool = shipped()
        .tools
        .into_iter()
        .max_by_key(|tool| tool.title.len())
        .expect("there are tools");
    let mut desk = answered(80, 24);
    let mut state = desk.state().clone();
    let index = state.in_spindle.expect("a tool is in");
    state.rack[index].number = None;
    state.rack[index].tool.title = longest.title;
    let work = desk.model.work.as_mut().expect("a session is open");
    work.session = millside::session::Session::new(state);
    let screen = desk.screen();
    let end = screen
        .lines()
        .find(|line| line.contains("before this cut: "))
        .expect("the list has its end");
    let time = desk.now().wall.format("%H:%M").to_string();
    assert!(end.trim_end().ends_with(&time), "{end}");
}
