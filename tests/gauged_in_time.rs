//! A size is gauged while the tool that makes it is still in, and one with metal left leads back to cutting.
//! A fit is gauged before the setting that makes it is lost: common practice, no source.

mod support;

use millside::app::overlay::Asking;
use millside::app::overlay::Overlay;
use millside::app::row;
use millside::app::row::Row;
use millside::job::operation::Progress;
use millside::job::reading::Of;
use millside::job::reading::Reading;
use millside::job::typed::Typed;
use millside::record::read;
use millside::record::write;
use millside::session::Session;
use millside::session::event::Event;
use millside::session::gate;
use millside::session::gate::ListKind;
use millside::session::gauging;
use millside::session::state::State;
use millside::session::state::Step;

use support::desk::Desk;
use support::session::must;
use support::session::plate;
use support::session::ready;
use support::session::second;
use support::walk;

/// A seat of 32 +0.025 0 mm that the pocket makes.
fn seat(actual: Option<f64>) -> Reading {
    Reading {
        what: "seat".to_owned(),
        nominal: Typed::mm(32.0),
        upper: Typed::mm(0.025),
        lower: Typed::mm(0.0),
        actual: actual.map(Typed::mm),
        of: Of::Inside,
        gauge: None,
        reads: vec![],
        made_by: Some("pocket".to_owned()),
    }
}

/// The pocket is finished, its end mill still in; the drill comes next.
fn pocket_done(actual: Option<f64>) -> State {
    let mut state = ready(&plate(), second(10)).state().clone();
    state.setups[0].operations[0].progress = Progress::Finished;
    state.setups[0].readings = vec![seat(actual)];
    state.operation = 1;
    state
}

fn first(state: &State) -> Vec<(String, gate::Way)> {
    let first = gate::list(state, ListKind::Start).first.into_iter();
    let gauges = first.filter(|line| line.id.starts_with("gauge-"));
    gauges.map(|line| (line.text, line.way)).collect()
}

#[test]
fn a_size_is_asked_for_before_the_tool_that_makes_it_comes_out() {
    let state = pocket_done(None);
    let asked = (
        "Gauge seat before its tool comes out",
        "Cut seat to size before its tool comes out",
    );
    let at = gate::Way::At(Step::Measure);
    assert_eq!(first(&state), [(asked.0.to_owned(), at)]);
    // 31.9 in a bore of 32: metal is left, and this tool takes it off.
    assert_eq!(first(&pocket_done(Some(31.9))), [(asked.1.to_owned(), at)]);
    // To size, too large, or with the same tool going on: nothing is due.
    assert_eq!(first(&pocket_done(Some(32.01))), []);
    assert_eq!(first(&pocket_done(Some(32.1))), []);
    let mut same = state.clone();
    same.setups[0].operations[1].tool = Some(0);
    assert_eq!(gauging::due(&same), [] as [usize; 0]);
    // The operation is not cut yet, or nobody has said which one makes it.
    let mut planned = state.clone();
    planned.setups[0].operations[0].progress = Progress::LeftOut;
    assert_eq!(first(&planned), []);
    let mut unsaid = state.clone();
    unsaid.setups[0].readings[0].made_by = None;
    assert_eq!(first(&unsaid), []);
    // The next tool is in: it is asked no more, and nothing is held up.
    let next = must(&Session::new(state), Event::ToolFitted(1), second(20));
    assert_eq!(first(next.state()), []);
}

#[test]
fn the_record_keeps_what_makes_a_size_and_reads_one_that_does_not_say() {
    let state = pocket_done(None);
    let text = write::text(&state);
    let again = |text: &str| {
        let read = read::state(text, state.cautions.clone(), second(30)).expect("it reads");
        read.setups[0].readings[0].made_by.clone()
    };
    assert_eq!(again(&text), Some("pocket".to_owned()));
    let mut unsaid = state.clone();
    unsaid.setups[0].readings[0].made_by = None;
    let older = write::text(&unsaid);
    assert!(!older.contains("made_by"), "{older}");
    assert_eq!(again(&older), None);
}

#[test]
fn finished_leads_to_the_readings_while_the_tool_is_in() {
    let mut desk = walk::cutting(80, 24, 100);
    desk.keys("91");
    assert_eq!(desk.state().step, Step::Tool, "the facing makes no size");
    walk::tool_and_z(&mut desk);
    walk::take_recipe(&mut desk);
    walk::to_step(&mut desk, Step::Cut);
    desk.answer_lines();
    desk.keys("5");
    desk.pass(30);
    desk.keys("91");
    assert_eq!(desk.state().step, Step::Measure, "{}", desk.screen());
    let page = desk.page_text();
    assert!(
        page.contains("Gauge bearing seat before its tool comes out."),
        "{page}"
    );
    // The reading waits under the cursor, and once it is taken so does the way back to the work.
    let mut read = desk.state().clone();
    desk.keys("\r32.01\r");
    assert_eq!(
        gauging::due(desk.state()),
        [] as [usize; 0],
        "{}",
        desk.screen()
    );
    walk::to_row(&mut desk, "go on with Spot four holes");
    desk.keys("\r");
    assert_eq!(desk.state().step, Step::Tool, "{}", desk.screen());
    assert!(!desk.page_text().contains("before its tool comes out"));
    read.step = Step::Tool;
    desk.open(read);
    assert!(
        desk.page_text()
            .contains("Gauge bearing seat before its tool comes out")
    );
}

/// Chooses the line of a size at release, and presses 3.
fn not_so(actual: Option<f64>, made_by: Option<&str>) -> Desk {
    let mut state = pocket_done(actual);
    for operation in &mut state.setups[0].operations {
        operation.progress = Progress::Finished;
    }
    state.setups[0].readings[0].made_by = made_by.map(str::to_owned);
    let mut desk = Desk::new(80, 24);
    desk.open(state);
    walk::to_step(&mut desk, Step::Release);
    for _ in 0..30 {
        let rows = millside::app::page::rows(&desk.model);
        let chosen = row::chosen(&rows, desk.model.cursor);
        if matches!(chosen, Some(Row::Line(_, line)) if line.text.contains("seat")) {
            break;
        }
        desk.keys("2");
    }
    desk.keys("3");
    desk
}

#[test]
fn a_size_with_metal_left_leads_to_cutting_again() {
    let mut desk = not_so(Some(31.9), Some("pocket"));
    assert!(
        matches!(
            &desk.model.overlay,
            Some(Overlay::Words {
                asking: Asking::OpenAgain(0),
                ..
            })
        ),
        "{}",
        desk.screen()
    );
    // "to be cut once more" is the third reason.
    desk.keys("3\r");
    assert_eq!(desk.state().operation, 0);
    assert_eq!(desk.state().step, Step::Cut, "{}", desk.screen());
    assert!(
        !desk.state().current_setup().operations[0]
            .progress
            .is_done()
    );
}

#[test]
fn a_size_that_no_cut_mends_leads_to_the_readings() {
    for (actual, made_by, step, words) in [
        (
            Some(32.1),
            Some("pocket"),
            Step::Measure,
            "no cut mends that",
        ),
        (None, Some("pocket"), Step::Measure, "measure it here"),
        (
            Some(31.9),
            None,
            Step::Program,
            "choose the operation that makes this size",
        ),
    ] {
        let desk = not_so(actual, made_by);
        assert_eq!(desk.state().step, step, "{}", desk.screen());
        assert!(desk.screen().contains(words), "{}", desk.screen());
    }
}
