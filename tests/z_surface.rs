//! The surface that Z is set to must be there when each tool is touched off on it. What an operation takes of it, and what stays, is
//! common practice, no source; heights and places are worked out by hand beside each case.

use std::fmt::Write;
use std::fs;
use std::process::Command;

use millside::app::field::Field;
use millside::check::Report;
use millside::job::holding::HeldBy;
use millside::job::holding::Holding;
use millside::job::operation::Operation;
use millside::job::operation::OperationKind;
use millside::job::operation::OperationKind::Bench;
use millside::job::operation::OperationKind::DrillThrough;
use millside::job::operation::OperationKind::Face;
use millside::job::operation::OperationKind::Mill;
use millside::job::operation::OperationKind::Pocket;
use millside::job::operation::OperationKind::Profile;
use millside::job::operation::ProgramPart;
use millside::job::operation::Progress;
use millside::job::reference::Surface;
use millside::job::reference::TopLeft;
use millside::job::reference::ZReference;
use millside::job::stock::Under;
use millside::job::typed::Typed;
use millside::record::write;
use millside::session::event::Event;
use millside::session::fact::FactKind;
use millside::session::gate;
use millside::session::state::Setup;
use millside::session::state::Step;
use millside::session::z_surface;
use millside::session::z_surface::Loss;
use millside::session::z_surface::Taken;

use support::session::must;
use support::session::program;
use support::session::ready;
use support::session::second;
use support::session::stock;
use support::walk;

#[path = "support/plate.rs"]
mod plate;
mod support;

fn reference(surface: Surface, height_mm: f64) -> ZReference {
    ZReference {
        surface,
        height: Typed::mm(height_mm),
        shim: Typed::mm(0.1),
        at: None,
    }
}

fn operation(kind: OperationKind, tool: usize) -> Operation {
    Operation {
        title: kind.word().to_owned(),
        kind,
        tool: (kind != Bench).then_some(tool),
        ..Operation::default()
    }
}

/// Operations of a setup, each with a tool of its own where its number differs; lines 1 to 9, 11 to 19 and so on are their parts where
/// the path is known.
fn setup(surface: Surface, operations: &[(OperationKind, usize)], tops: &[TopLeft]) -> Setup {
    let parts = operations.iter().zip(0_u64..).map(|((kind, tool), place)| {
        let part = ProgramPart {
            first_line: 10 * place + 1,
            last_line: 10 * place + 9,
            tool_number: None,
            s_rpm: None,
            feeds_mm_min: vec![],
            lowest_z_mm: None,
        };
        Operation {
            part: (!tops.is_empty()).then_some(part),
            ..operation(*kind, *tool)
        }
    });
    let mut copy = program();
    copy.tops = tops.to_vec();
    Setup {
        stock: Some(stock()),
        z_reference: Some(reference(surface, 0.0)),
        operations: parts.collect(),
        program: (!tops.is_empty()).then_some(copy),
        ..Setup::default()
    }
}

fn top(line: u64, share: f64, clear: Option<[f64; 2]>, at_place: Option<f64>) -> TopLeft {
    TopLeft {
        line,
        share,
        clear,
        highest_mm: if clear.is_some() { 0.0 } else { -0.5 },
        at_place_deep_mm: at_place,
    }
}

/// For each tool behind the first that loses its reference: operation, what takes it, and how much.
fn table(setup: &Setup) -> Vec<(usize, usize, Taken)> {
    z_surface::losses(setup)
        .into_iter()
        .map(|(place, loss)| (place, loss.by, loss.taken))
        .collect()
}

#[test]
fn each_tool_behind_the_first_finds_its_z_reference_or_it_is_said() {
    use Taken::Gone;
    use Taken::Partly;
    let uncut = Some([100.0, 45.0]);
    type Case<'a> = (
        &'a str,
        Surface,
        &'a [(OperationKind, usize)],
        Vec<TopLeft>,
        Vec<(usize, usize, Taken)>,
    );
    let top_z = Surface::StockTop;
    let cases: Vec<Case<'_>> = vec![
        (
            "facing first, two tools behind it",
            top_z,
            &[(Face, 0), (Pocket, 1), (DrillThrough, 2)],
            vec![],
            vec![(1, 0, Gone), (2, 0, Gone)],
        ),
        (
            "a pocket only",
            top_z,
            &[(Pocket, 0), (DrillThrough, 1)],
            vec![],
            vec![],
        ),
        (
            "facing by the same tool",
            top_z,
            &[(Face, 0), (Pocket, 0)],
            vec![],
            vec![],
        ),
        (
            "facing as the last",
            top_z,
            &[(Pocket, 0), (Face, 1)],
            vec![],
            vec![],
        ),
        (
            "bench work needs no Z",
            top_z,
            &[(Face, 0), (Bench, 0)],
            vec![],
            vec![],
        ),
        (
            "nobody has said what is milled",
            top_z,
            &[(Mill, 0), (DrillThrough, 1)],
            vec![],
            vec![(1, 0, Partly)],
        ),
        (
            "facing, on the spoil board",
            Surface::SpoilBoard,
            &[(Face, 0), (Pocket, 1)],
            vec![],
            vec![],
        ),
        (
            "a profile through, on the spoil board",
            Surface::SpoilBoard,
            &[(Profile, 0), (DrillThrough, 1)],
            vec![],
            vec![(1, 0, Partly)],
        ),
        (
            "facing, on the jaw",
            Surface::Jaw,
            &[(Face, 0), (Profile, 1)],
            vec![],
            vec![],
        ),
        (
            "facing, on a pad",
            Surface::Pad,
            &[(Face, 0), (Profile, 1)],
            vec![],
            vec![],
        ),
        (
            "facing, on a parallel",
            Surface::Parallel,
            &[(Face, 0), (Profile, 1)],
            vec![],
            vec![],
        ),
        (
            "the face is faced once more",
            Surface::NewFace,
            &[(Face, 0), (Pocket, 1), (Face, 0), (DrillThrough, 1)],
            vec![],
            vec![(3, 2, Gone)],
        ),
        (
            "by its path a pocket takes the whole top",
            top_z,
            &[(Pocket, 0), (DrillThrough, 1)],
            vec![top(3, 0.0, None, None), top(13, 0.0, None, None)],
            vec![(1, 0, Gone)],
        ),
        (
            "by its path a pocket leaves most of it",
            top_z,
            &[(Pocket, 0), (DrillThrough, 1)],
            vec![top(3, 0.8, uncut, None), top(13, 0.79, uncut, None)],
            vec![],
        ),
        (
            "by its path the facing leaves half",
            top_z,
            &[(Face, 0), (DrillThrough, 1)],
            vec![top(3, 0.5, uncut, None), top(13, 0.5, uncut, None)],
            vec![(1, 0, Partly)],
        ),
    ];
    for (what, surface, operations, tops, expected) in cases {
        assert_eq!(
            table(&setup(surface, operations, &tops)),
            expected,
            "{what}"
        );
    }
}

#[test]
fn a_face_matters_at_the_place_of_the_reference_only() {
    let with_place = |at_place: f64| {
        let left = |line| top(line, 0.5, Some([100.0, 45.0]), Some(at_place));
        let mut setup = setup(
            Surface::StockTop,
            &[(Face, 0), (DrillThrough, 1)],
            &[left(3), left(13)],
        );
        setup.z_reference.as_mut().expect("a reference").at = Some([20.0, 45.0]);
        table(&setup)
    };
    assert_eq!(with_place(0.0), []);
    assert_eq!(with_place(0.5), [(1, 0, Taken::Gone)]);
}

#[test]
fn what_was_left_out_or_done_in_another_setup_takes_nothing() {
    let mut one = setup(Surface::StockTop, &[(Face, 0), (Pocket, 1)], &[]);
    one.operations[0].progress = Progress::LeftOut;
    assert_eq!(table(&one), []);
    // The part was turned: its other face is the top now.
    let mut first = ready(&support::session::plate(), second(1)).state().clone();
    first.setups[0].operations[0].kind = Face;
    first.setups[0].operations[0].progress = Progress::Finished;
    let second_setup = setup(Surface::StockTop, &[(Pocket, 0), (DrillThrough, 1)], &[]);
    assert_eq!(table(&second_setup), []);
    first.setups.push(second_setup);
    (first.setup, first.operation) = (1, 1);
    assert_eq!(z_surface::now(&first), None);
}

/// Ways out in words.
fn ways(setup: &Setup) -> Vec<String> {
    let reference = setup.z_reference.as_ref().expect("a reference");
    let (_, loss) = *z_surface::losses(setup).first().expect("a loss");
    z_surface::ways(setup, reference, &loss)
        .into_iter()
        .map(|way| way.words)
        .collect()
}

// By hand: the blank is 12 mm thick and Z0 its top, so that board and parallels lie at -12; it stands 7 mm above the jaws, so that they
// end at -7. Faced by 0.5 mm from 0 the new face lies at -0.5.
#[test]
fn a_surface_that_stays_is_proposed_with_its_z() {
    let mut setup = setup(Surface::StockTop, &[(Face, 0), (Pocket, 1)], &[]);
    setup.zero = Some(millside::job::reference::Zero {
        point: "5+".parse().expect("a point"),
        found_by: millside::job::reference::FoundBy::EdgeFinder,
        finder: Typed::mm(4.0),
        offset: "G54".to_owned(),
    });
    let pad = "a pad or tool setter fixed to the table: measure its Z first";
    let board = "the spoil board, clear of all cuts: Z -12 mm (blank 12 mm thick)";
    assert_eq!(ways(&setup), [board, pad]);
    setup.operations[0].depth = Some(Typed::mm(0.5));
    setup.operations[0].progress = Progress::Finished;
    let face = "the new face: Z -0.5 mm (0 before, less one pass of 0.5 mm)";
    assert_eq!(ways(&setup), [board, pad, face]);
    let stock = setup.stock.as_mut().expect("a blank");
    stock.under = Under::Parallels;
    stock.above_jaws = Some(Typed::mm(7.0));
    setup.holding = Some(Holding {
        pull_n: None,
        rest_after_s: None,
        by: HeldBy::Vice,
        out_of_true: None,
        keep_outs: vec![],
        screws: vec![],
    });
    assert_eq!(
        ways(&setup),
        [
            "a parallel, where it stands out beside the part: Z -12 mm (blank 12 mm thick)",
            "the top of the fixed jaw: Z -7 mm (blank 12 mm thick)",
            pad,
            face
        ]
    );
}

/// Rows 5 mm apart from Y0 to Y90, so that a cutter of 6 mm leaves nothing between them, from X -10 to `to`.
fn facing(to: f64) -> String {
    let mut text = "G0 Z5\nG0 X-10 Y0\n".to_owned();
    for row in 0..=18 {
        let y = 5 * row;
        writeln!(
            text,
            "G0 Z5\nG0 X-10 Y{y}\nG1 Z-0.5 F200\nG1 X{to} Y{y} F600"
        )
        .expect("a text");
    }
    text.push_str("G0 Z20\n");
    text
}

fn tops(to: f64, at: Option<[f64; 2]>) -> Vec<TopLeft> {
    let against = millside::check::Against {
        z_at_mm: at,
        ..plate::plate()
    };
    let (_, report): (_, Report) = plate::examine(&facing(to), &against);
    report.tops
}

// By hand: to X130 all of 120 x 90 mm is faced, 0.5 below Z0. To X57 the cutter of 6 mm reaches X60: half of the blank, and the largest
// square that is left, 60 wide, has its middle at X90.
#[test]
fn the_path_tells_what_is_left_of_the_top() {
    let whole = tops(130.0, None);
    assert_eq!(whole.len(), 1);
    assert_eq!((whole[0].share, whole[0].clear), (0.0, None));
    assert_eq!(whole[0].highest_mm, -0.5);
    let half = &tops(57.0, Some([20.0, 45.0]))[0];
    assert!((half.share - 0.5).abs() < 0.02, "{half:?}");
    assert_eq!(half.at_place_deep_mm, Some(0.5));
    let [x, y] = half.clear.expect("an uncut place");
    assert!(
        (x - 90.0).abs() <= 1.5 && (30.0..=60.0).contains(&y),
        "{half:?}"
    );
    let beside = &tops(57.0, Some([100.0, 45.0]))[0];
    assert_eq!(beside.at_place_deep_mm, Some(0.0));
}

#[test]
fn a_top_that_is_gone_by_its_path_takes_no_tool_any_more() {
    let mut state = ready(&support::session::plate_with_program(), second(10))
        .state()
        .clone();
    let of_plan = setup(
        Surface::StockTop,
        &[(Pocket, 0), (DrillThrough, 1)],
        &[top(3, 0.0, None, None), top(13, 0.0, None, None)],
    );
    state.setups[0].operations = of_plan.operations;
    state.setups[0].operations[0].progress = Progress::Begun;
    state.setups[0].program.as_mut().expect("a program").tops = of_plan.program.expect("one").tops;
    state.setups[0].z_reference = Some(reference(Surface::StockTop, 0.0));
    let session = millside::session::Session::new(state);
    assert_eq!(z_surface::lost(session.state()), None);
    let done = must(&session, Event::Finished, second(20));
    // A pocket is no facing: what it took is seen from its path alone.
    assert_eq!(done.state().fact(FactKind::ZReference).word(), "redo");
    let same = Event::ZReferenceSet(Box::new(reference(Surface::StockTop, 0.0)));
    let refusal = done.apply(same, second(21)).expect_err("the top is gone");
    assert!(
        refusal.why.contains("cuts the stock top away"),
        "{}",
        refusal.why
    );
    let words: Vec<String> = gate::obstacles(done.state())
        .into_iter()
        .filter(|obstacle| obstacle.at == Step::Z)
        .map(|obstacle| obstacle.words)
        .collect();
    assert!(
        words.iter().any(|w| w.contains("cuts the stock top away")),
        "{words:?}"
    );
    let face = Event::ZReferenceSet(Box::new(reference(Surface::NewFace, -0.5)));
    let set = must(&done, face, second(22));
    assert!(set.state().fact(FactKind::ZReference).is_good());
    assert_eq!(z_surface::lost(set.state()), None);
}

/// The demo job with Z set to the top of the blank, which its first operation faces in the middle.
fn demo_on_top() -> support::desk::Desk {
    let mut desk = walk::demo(80, 24);
    walk::hold_and_zero(&mut desk);
    walk::to_step(&mut desk, Step::Tool);
    desk.answer_lines();
    desk.keys("\r");
    desk.answer_lines();
    walk::to_step(&mut desk, Step::Z);
    walk::to_field(&mut desk, Field::Surface);
    desk.keys("\rstock top\r");
    desk
}

#[test]
fn the_page_of_z_says_it_before_the_first_cut_and_one_key_takes_what_stays() {
    let mut desk = demo_on_top();
    let page = desk.page_text();
    assert!(page.contains("cuts the stock top"), "{page}");
    assert!(page.contains("touch off Z on the spoil board"), "{page}");
    let set = |desk: &support::desk::Desk| desk.state().current_setup().z_reference.clone();
    assert_eq!(
        set(&desk).map(|z| z.surface),
        Some(Surface::StockTop),
        "nothing is taken by itself"
    );
    walk::to_step(&mut desk, Step::Cut);
    let list = desk.page_text();
    assert!(list.contains("cuts the stock top"), "{list}");
    walk::to_step(&mut desk, Step::Z);
    // The facing leaves the corners, and clamps stand in the middle of both ends: by the program X 38 and its clamps at Y 14.
    walk::to_row(&mut desk, "touch off Z on the stock top at X");
    desk.keys("1");
    let [x, y] = set(&desk).and_then(|z| z.at).expect("a place");
    assert!(
        (42.0..=56.0).contains(&x.abs()) && (22.0..=41.0).contains(&y.abs()),
        "{x} {y}"
    );
    assert!(
        !desk.page_text().contains("cuts the stock top"),
        "{}",
        desk.page_text()
    );
    let place = format!("Touch off at X {x} Y {y}:");
    assert!(desk.page_text().contains(&place), "{}", desk.page_text());
    walk::to_field(&mut desk, Field::Shim);
    desk.keys("\r0.2\r");
    assert_eq!(set(&desk).and_then(|z| z.at), Some([x, y]));
    walk::to_field(&mut desk, Field::Surface);
    desk.keys("\rspoil board\r");
    walk::to_field(&mut desk, Field::Surface);
    desk.keys("\rstock top\r");
    assert_eq!(set(&desk).and_then(|z| z.at), None);
    walk::to_row(&mut desk, "touch off Z on the spoil board");
    desk.keys("1");
    let taken = set(&desk).expect("a reference");
    assert_eq!(
        (taken.surface, taken.height.value),
        (Surface::SpoilBoard, -12.0)
    );
    assert!(
        !desk.page_text().contains("cuts the stock top"),
        "{}",
        desk.page_text()
    );
}

#[test]
fn what_nobody_has_measured_is_asked_for() {
    let mut desk = demo_on_top();
    walk::to_row(&mut desk, "touch off Z on a pad");
    desk.keys("1");
    let held = desk
        .state()
        .current_setup()
        .z_reference
        .clone()
        .expect("one");
    assert_eq!(held.surface, Surface::StockTop);
    assert!(desk.screen().contains("measure its Z"), "{}", desk.screen());
}

#[test]
fn the_command_says_it_with_a_session() {
    let desk = demo_on_top();
    let folder = std::env::temp_dir();
    let record = folder.join(format!("millside-z-surface-{}.toml", std::process::id()));
    fs::write(&record, write::text(desk.state())).expect("written");
    let program = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/profiles/demo/star-tracker-plate.nc"
    );
    let run = |json: bool| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_millside"));
        command
            .arg("check")
            .arg(program)
            .arg("--session")
            .arg(&record);
        if json {
            command.arg("--json");
        }
        String::from_utf8(command.output().expect("run").stdout).expect("text")
    };
    let text = run(false);
    assert!(text.contains("cuts the stock top"), "{text}");
    assert!(
        text.contains("the spoil board, clear of all cuts: Z -12 mm"),
        "{text}"
    );
    assert!(run(true).contains("z-reference-cut"));
    fs::remove_file(&record).expect("removed");
}

#[test]
fn of_several_cuts_the_gravest_is_named() {
    let mut setup = setup(
        Surface::StockTop,
        &[(Mill, 0), (Face, 1), (DrillThrough, 2)],
        &[],
    );
    setup.operations[0].progress = Progress::Finished;
    let reference = reference(Surface::StockTop, 0.0);
    let now = |setup: &Setup| z_surface::lost_now(setup, &reference, 2);
    let by = |by, taken| {
        Some(Loss {
            taken,
            by,
            is_by_path: false,
        })
    };
    assert_eq!(
        now(&setup),
        by(0, Taken::Partly),
        "the facing is still to come"
    );
    setup.operations[1].progress = Progress::Finished;
    assert_eq!(now(&setup), by(1, Taken::Gone));
}
