//! Slips of programs that hurt: a reference return with the tool low, a letter for a zero, a plane left on, the length of
//! another tool. Each danger is at least a warning, and what is as it should be is never stopped.
//! Programs of our own; what each must come to follows by hand from its blocks.

use std::fs;

use millside::check::Report;
use millside::check::against::Against;
use millside::check::against::ToolFacts;
use millside::check::examine;
use millside::job::holding::KeepOut;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::job::tool::Kind;
use millside::program::finding::Finding;
use millside::program::finding::Level;
use millside::program::finding::Level::Note;
use millside::program::finding::Level::Stop;
use millside::program::finding::Level::Warn;
use millside::program::read::ReadOptions;

/// A plate of 100 x 80 x 10 mm, zero at its left front top, and a 6 mm end mill as T1, T2 and T3.
fn plate() -> Against {
    let mill = ToolFacts {
        kind: Some(Kind::EndMill),
        diameter_mm: Some(6.0),
        ..ToolFacts::default()
    };
    Against {
        stock: Some(StockSize {
            x_mm: 100.0,
            y_mm: 80.0,
            z_mm: 10.0,
        }),
        under: Under::Spoil { thickness_mm: 12.0 },
        zero: Some("left-front-top".parse().expect("a zero")),
        tools: (1..=3).map(|number| (number, mill.clone())).collect(),
        ..Against::default()
    }
}

fn report_with(text: &str, options: &ReadOptions, against: &Against) -> Report {
    examine(text.as_bytes(), options, against)
        .expect("bytes in memory are read")
        .1
}

fn report(text: &str, against: &Against) -> Report {
    report_with(text, &ReadOptions::default(), against)
}

fn fixture(name: &str) -> String {
    let path = format!(
        "{}/tests/fixtures/programs/slips/{name}",
        env!("CARGO_MANIFEST_DIR")
    );
    fs::read_to_string(path).expect("a fixture")
}

fn find<'r>(report: &'r Report, id: &str) -> Option<&'r Finding> {
    report.findings.iter().find(|f| f.id == id)
}

fn gravest(report: &Report, ids: &[&str]) -> Option<Level> {
    let own = |f: &&Finding| ids.contains(&f.id);
    report.findings.iter().filter(own).map(|f| f.level).max()
}

/// Units, spindle and a tool, then the blocks, then the end.
fn program(blocks: &str) -> String {
    let body = blocks.replace("; ", "\n");
    format!("G21 G90 G17 G94\nT1 M6\nS6000 M3\n{body}\nM5\nM30\n")
}

/// A row of a table: what it shows, the blocks, and the least level that they must get; `Note`: never more.
type Row = (&'static str, &'static str, Level);

/// Judges a table, its blocks written into a program by `whole`: a danger gets its level or more, what is harmless nothing
/// above a note from these rules and no stop at all.
fn judge(rows: &[Row], ids: &[&str], whole: impl Fn(&str) -> String) {
    let mut wrong = vec![];
    for (what, blocks, least) in rows {
        let report = report(&program(&whole(blocks)), &plate());
        let found = gravest(&report, ids).unwrap_or(Note);
        let is_right = if *least == Note {
            found == Note && !report.has_stop()
        } else {
            found >= *least
        };
        if !is_right {
            let all: Vec<_> = report.findings.iter().map(|f| (f.id, f.level)).collect();
            wrong.push(format!("{what}: {found:?} in place of {least:?}, {all:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Round a pocket of 30 x 20 mm, 1 mm deep, closed on all sides.
const POCKET: &str = "G0 X30 Y30 Z50; Z2; G1 Z-1 F100; G1 X60 F400; Y50; X30; Y30; ";

const RETURN: [&str; 3] = [
    "machine-move-low",
    "rapid-through-uncut",
    "rapid-close-to-metal",
];

const RETURNS: [Row; 30] = [
    ("X and Y home from the pocket", "G91 G28 X0 Y0", Stop),
    ("X alone", "G91 G28 X0", Stop),
    ("Y alone", "G91 G28 Y0", Stop),
    ("the second reference position", "G91 G30 X0 Y0", Stop),
    ("all axes at once", "G91 G28 X0 Y0 Z0", Warn),
    ("no axis named is all of them", "G28", Warn),
    ("G30 with no axis named", "G30", Warn),
    ("machine coordinates", "G53 G0 X0 Y0", Stop),
    ("machine coordinates, one axis", "G53 G0 X-1", Stop),
    ("machine coordinates, all axes", "G53 G0 X0 Y0 Z0", Warn),
    ("by way of a point, through the wall", "G28 X80 Y30", Stop),
    ("by way of a point down in the slot", "G28 X60 Y30", Stop),
    ("raised, not far enough", "G0 Z-0.5; G91 G28 X0 Y0", Stop),
    ("raised to the very top", "G0 Z0; G91 G28 X0 Y0", Warn),
    ("raised a hair", "G0 Z0.2; G91 G28 X0 Y0", Warn),
    (
        "the length taken away first moves nothing",
        "G49; G91 G28 X0 Y0",
        Stop,
    ),
    ("Z after X and Y", "G91 G28 X0 Y0; G28 Z0", Stop),
    ("X, then Z, then Y", "G91 G28 X0; G28 Z0; G28 Y0", Stop),
    ("spindle stopped first", "M5; G91 G28 X0 Y0", Stop),
    (
        "out through an open side",
        "G1 X-10; G0 X30; G91 G28 X0 Y0",
        Warn,
    ),
    ("Z first, then X and Y", "G91 G28 Z0; G28 X0 Y0", Note),
    (
        "Z first by machine coordinates",
        "G53 G0 Z0; G53 G0 X0 Y0",
        Note,
    ),
    ("Z first, then all", "G91 G28 Z0; G28", Note),
    ("Z alone", "G91 G28 Z0", Note),
    ("Z and the rotary words of nobody", "G91 G30 Z0", Note),
    ("raised to clearance", "G0 Z50; G91 G28 X0 Y0", Note),
    (
        "raised to clearance, all axes",
        "G0 Z50; G28 X0 Y0 Z50",
        Note,
    ),
    (
        "by way of a point above",
        "G0 Z20; G90 G28 X30 Y30 Z20",
        Note,
    ),
    ("raised by distance", "G91 G0 Z30; G28 X0 Y0", Note),
    (
        "raised after the length was taken away",
        "G0 Z50; G49; G91 G28 X0 Y0",
        Note,
    ),
];

#[test]
fn a_reference_return_with_the_tool_low_is_never_passed_over() {
    judge(&RETURNS, &RETURN, |blocks| format!("{POCKET}{blocks}; G90"));
}

#[test]
fn a_return_out_of_a_closed_pocket_names_its_depth() {
    let report = report(&fixture("return_in_a_pocket.nc"), &plate());
    let found = find(&report, "machine-move-low").expect("found");
    assert_eq!((found.level, found.line), (Stop, 12));
    assert!(found.message.contains("G28"), "{}", found.message);
    assert!(
        found.message.contains("1.0 mm below the top"),
        "{}",
        found.message
    );
}

#[test]
fn without_a_blank_a_return_below_the_start_of_the_cuts_is_warned_of() {
    let nothing = Against::default();
    let found = report(&fixture("return_in_a_pocket.nc"), &nothing);
    let found = find(&found, "machine-move-low").expect("found").clone();
    assert_eq!((found.level, found.line), (Warn, 12));
    assert!(found.message.contains("Z-1.000"), "{}", found.message);
    let raised = program(&format!("{POCKET}G0 Z2; G91 G28 X0 Y0"));
    assert!(find(&report(&raised, &nothing), "machine-move-low").is_none());
    let z_first = program(&format!("{POCKET}G91 G28 Z0; G28 X0 Y0"));
    assert!(find(&report(&z_first, &nothing), "machine-move-low").is_none());
}

#[test]
fn over_a_lower_clamp_a_return_is_warned_of_by_its_height() {
    let mut against = plate();
    against.keep_outs = vec![KeepOut {
        from: [80.0, 0.0],
        to: [100.0, 20.0],
        height: 25.0,
    }];
    let low = program(&format!("{POCKET}G0 Z10; G91 G28 X0 Y0"));
    let found = report(&low, &against);
    let found = find(&found, "machine-move-low").expect("found").clone();
    assert_eq!(found.level, Warn);
    assert!(found.message.contains("25 mm"), "{}", found.message);
    let high = program(&format!("{POCKET}G0 Z16; G91 G28 X0 Y0"));
    assert!(find(&report(&high, &against), "machine-move-low").is_none());
}

/// The zero of G54 at 200, 100, -80 in machine coordinates, the reference position at 0, 0, 0: a return to X0 from X30
/// in the plate runs through all that lies left of it.
#[test]
fn where_the_machine_s_numbers_are_known_the_way_is_swept() {
    let mut origins = [[0.0; 3]; 9];
    origins[0] = [200.0, 100.0, -80.0];
    let options = ReadOptions {
        origins_mm: Some(origins),
        g28_mm: Some([0.0, 0.0, -81.0]),
        ..ReadOptions::default()
    };
    let low = program(&format!("{POCKET}G91 G28 X0 Y0"));
    let found = report_with(&low, &options, &plate());
    assert_eq!(gravest(&found, &["rapid-through-uncut"]), Some(Stop));
    let raised = program(&format!("{POCKET}G0 Z50; G91 G28 Z0"));
    let high = ReadOptions {
        g28_mm: Some([0.0; 3]),
        ..options
    };
    assert!(!report_with(&raised, &high, &plate()).has_stop());
}

#[test]
fn a_letter_for_a_zero_is_a_stop_at_its_block() {
    let report = report(&fixture("letter_for_zero.nc"), &plate());
    let found = find(&report, "letter-o-for-zero").expect("found");
    assert_eq!((found.level, found.line), (Stop, 5));
    assert!(found.message.contains("X3O"), "{}", found.message);
}

const LETTERS: [Row; 24] = [
    ("behind digits", "G0 X3O Y30 Z5; G1 Z-1 F100", Stop),
    ("lower case", "g0 x3o y30 z5", Stop),
    ("behind the point", "G0 X3.O Y30 Z5", Stop),
    ("before the point", "G0 XO.5 Y30 Z5", Stop),
    ("alone", "G0 XO Y30 Z5", Stop),
    ("behind a sign", "G0 X5 Y30 Z-O.5", Stop),
    ("two of them", "G0 X1OO Y30 Z5", Stop),
    ("between digits", "G0 X1O5 Y30 Z5", Stop),
    ("with a blank", "G0 X3 O Y30 Z5", Stop),
    ("in a G code", "GO X5 Y30 Z5", Stop),
    ("in a G code, behind a digit", "G0 Z5; G8O", Stop),
    ("in an M code: M3O is no M30", "G0 X5 Y30 Z5; M3O", Stop),
    ("in an M code, before a digit", "G0 X5 Y30 Z5; MO5", Stop),
    ("in a feed", "G0 X5 Y30 Z5; G1 Z-1 F1OO", Stop),
    ("in a speed", "G0 X5 Y30 Z5; S6OOO", Stop),
    ("in a length", "G43 H1O Z5", Stop),
    (
        "in an offset of an arc",
        "G0 X5 Y30 Z5; G2 X5 Y30 I1O F100",
        Stop,
    ),
    ("run together", "G0X3OY30Z5", Stop),
    ("a program number", "O1001; G0 X5 Y30 Z5", Note),
    (
        "a program number with its name",
        "O1001 BASE PLATE; G0 X5 Y30 Z5",
        Note,
    ),
    ("in a comment", "G0 X5 Y30 Z5 (X3O)", Note),
    (
        "in a comment to the line's end",
        "G0 X5 Y30 Z5 ;X3O Y3O",
        Note,
    ),
    ("in a message", "M117 OVER X3O; G0 X5 Y30 Z5", Note),
    ("a cosine", "G0 X[10*COS[60]] Y30 Z5", Note),
];

#[test]
fn letters_for_zeros_are_told_from_o_words() {
    let ids = ["letter-o-for-zero"];
    judge(&LETTERS, &ids, |blocks| {
        format!("{blocks}; G0 Z5; G1 Z-1 F100; G0 Z50")
    });
}

#[test]
fn a_plane_left_on_is_a_stop_that_names_it_and_the_word_not_used() {
    let report = report(&fixture("plane_left_on.nc"), &plate());
    let found = find(&report, "arc-wrong-plane-offset").expect("found");
    assert_eq!((found.level, found.line), (Stop, 8));
    assert!(found.message.contains("G18 (line 1)"), "{}", found.message);
    assert!(found.message.contains('J'), "{}", found.message);
}

const PLANES: [Row; 22] = [
    ("G18 with I and J0", "G18; G2 X50 Y30 I10 J0 F300", Stop),
    ("G18 with I and J", "G18; G2 X40 Y40 I10 J0 F300", Stop),
    ("G18 with J alone", "G18; G2 X30 Y50 J10 F300", Stop),
    (
        "G18 with I alone, X and Y named",
        "G18; G2 X50 Y30 I10 F300",
        Stop,
    ),
    (
        "G18 with R, X and Y named",
        "G18; G2 X50 Y30 R10 F300",
        Stop,
    ),
    ("G19 with I and J", "G19; G3 X30 Y50 I0 J10 F300", Stop),
    (
        "G19 with J alone, X and Y named",
        "G19; G3 X30 Y50 J10 F300",
        Stop,
    ),
    ("G19 with I alone", "G19; G3 X50 Y30 I10 F300", Stop),
    (
        "G19 with R, X and Y named",
        "G19; G2 X30 Y50 R10 F300",
        Stop,
    ),
    ("G17 with I and K", "G2 X50 Z-2 I10 K-1 F300", Stop),
    ("G17 with J and K", "G2 Y50 Z-2 J10 K-1 F300", Stop),
    (
        "G17 with I and K0, J missing",
        "G2 X50 Z-1 I10 K0 F300",
        Warn,
    ),
    ("G17 with I and J", "G2 X50 Y30 I10 J0 F300", Note),
    ("G17 with I alone", "G2 X50 Y30 I10 F300", Note),
    (
        "G17 with K0 beside I and J",
        "G2 X50 Y30 I10 J0 K0 F300",
        Note,
    ),
    ("a ramp on an arc", "G2 X50 Y30 Z-2 I10 J0 F300", Note),
    ("G17 with R", "G2 X50 Y30 R10.5 F300", Note),
    ("G18 with I and K", "G18; G3 X50 Z-1 I10 K0 F300", Note),
    ("G18 with I alone, X named", "G18; G3 X50 I10 F300", Note),
    (
        "G18 with J0 beside I and K",
        "G18; G3 X50 Y30 Z-1 I10 J0 K0 F300",
        Note,
    ),
    ("G19 with J and K", "G19; G2 Y50 Z-1 J10 K0 F300", Note),
    ("G18 taken back", "G18; G17; G2 X50 Y30 I10 J0 F300", Note),
];

#[test]
fn arcs_in_a_plane_that_their_words_do_not_fit_are_stopped() {
    judge(&PLANES, &["arc-wrong-plane-offset"], |blocks| {
        format!("G0 X30 Y30 Z2; G1 Z-1 F100; {blocks}; G17; G0 Z50")
    });
}

#[test]
fn a_second_length_for_the_tool_in_the_spindle_is_found_at_its_cut() {
    let report = report(&fixture("second_length.nc"), &plate());
    let found = find(&report, "h-unlike-t").expect("found");
    assert_eq!((found.level, found.line), (Stop, 10));
    assert!(found.message.contains("H2"), "{}", found.message);
    assert!(found.message.contains("line 9"), "{}", found.message);
}

const LENGTH: [&str; 2] = ["h-unlike-t", "cut-without-length"];

/// `CUT` stands for a plunge, a cut and a rise.
const LENGTHS: [Row; 32] = [
    (
        "taken away again before the first cut",
        "G0 G43 H1 Z50; G49; CUT",
        Warn,
    ),
    ("G49 of a header alone", "G49; CUT; T2 M6; M3; CUT", Note),
    (
        "the first tool without, the second with",
        "CUT; T2 M6; M3; G0 G43 H2 Z50; CUT",
        Warn,
    ),
    (
        "the second without, cancelled",
        "G0 G43 H1 Z50; CUT; G49; T2 M6; M3; CUT",
        Warn,
    ),
    (
        "the second with the former one's",
        "G0 G43 H1 Z50; CUT; T2 M6; M3; CUT",
        Stop,
    ),
    (
        "the third with the second's",
        "G0 G43 H1 Z50; CUT; T2 M6; M3; G0 G43 H2 Z50; CUT; T3 M6; M3; CUT",
        Stop,
    ),
    (
        "the second with the first's, written",
        "G0 G43 H1 Z50; CUT; T2 M6; M3; G0 G43 H1 Z50; CUT",
        Stop,
    ),
    (
        "lengths exchanged",
        "G0 G43 H2 Z50; CUT; T2 M6; M3; G0 G43 H1 Z50; CUT",
        Stop,
    ),
    (
        "one length for two tools",
        "G0 G43 H5 Z50; CUT; T2 M6; M3; G0 G43 H5 Z50; CUT",
        Stop,
    ),
    (
        "a second length in a section",
        "G0 G43 H1 Z50; CUT; G0 G43 H2 Z50; CUT",
        Stop,
    ),
    (
        "a second length, then back",
        "G0 G43 H1 Z50; CUT; G0 G43 H2 Z50; CUT; G0 G43 H1 Z50; CUT",
        Stop,
    ),
    (
        "the second length far off",
        "G0 G43 H1 Z50; CUT; G0 G43 H51 Z50; CUT",
        Warn,
    ),
    ("a length of nobody", "G0 G43 H7 Z50; CUT", Warn),
    (
        "numbers all twenty higher",
        "G0 G43 H21 Z50; CUT; T2 M6; M3; G0 G43 H22 Z50; CUT",
        Warn,
    ),
    (
        "length zero for one",
        "G0 G43 H0 Z50; CUT; T2 M6; M3; G0 G43 H2 Z50; CUT",
        Warn,
    ),
    (
        "on the way down",
        "G0 X20 Y20; G1 Z5 F500; G0 G43 H1 Z5; CUT",
        Warn,
    ),
    ("cut, then the length", "CUT; G0 G43 H1 Z50; CUT", Stop),
    (
        "the former one's until line n, deep",
        "G0 G43 H1 Z50; CUT; T2 M6; M3; CUT; G0 G43 H2 Z50; CUT",
        Stop,
    ),
    (
        "the former one's until line n, high",
        "G0 G43 H1 Z50; CUT; T2 M6; M3; G0 X20 Y20; G1 Z5 F500; G0 G43 H2 Z5; CUT",
        Warn,
    ),
    (
        "cancelled in the middle",
        "G0 G43 H1 Z50; CUT; G49; G0 Z50; CUT",
        Warn,
    ),
    (
        "on in the block of the cut, another's",
        "G0 G43 H1 Z50; CUT; T2 M6; M3; G0 X20 Y20 Z5; G1 G43 H1 Z-1 F100; X60",
        Stop,
    ),
    ("never, with lengths for none", "CUT; T2 M6; M3; CUT", Note),
    ("one tool, no length", "CUT", Note),
    ("one tool, its own", "G0 G43 H1 Z50; CUT", Note),
    (
        "three tools, their own",
        "G0 G43 H1 Z50; CUT; T2 M6; M3; G0 G43 H2 Z50; CUT; T3 M6; M3; G0 G43 H3 Z50; CUT",
        Note,
    ),
    (
        "cancelled before each change",
        "G0 G43 H1 Z50; CUT; G49; T2 M6; M3; G0 G43 H2 Z50; CUT; G49",
        Note,
    ),
    (
        "on in the block of the move",
        "G0 G43 H1 X20 Y20 Z50; CUT",
        Note,
    ),
    (
        "on in the block of the cut",
        "G0 X20 Y20; G1 G43 H1 Z-1 F100; X60; G0 Z50",
        Note,
    ),
    (
        "written again",
        "G0 G43 H1 Z50; CUT; G0 G43 H1 Z50; CUT",
        Note,
    ),
    (
        "across first, at feed, then the length",
        "G0 G43 H1 Z50; CUT; T2 M6; M3; G1 X20 Y20 F500; G0 G43 H2 Z50; CUT",
        Note,
    ),
    (
        "zero for all",
        "G0 G43 H0 Z50; CUT; T2 M6; M3; G0 G43 H0 Z50; CUT",
        Note,
    ),
    (
        "the same tool once more",
        "G0 G43 H1 Z50; CUT; T1 M6; M3; G0 G43 H1 Z50; CUT",
        Note,
    ),
];

#[test]
fn lengths_are_judged_by_the_one_in_force_at_each_cut() {
    let cut = "G0 X20 Y20; Z5; G1 Z-1 F100; X60 F300; G0 Z50";
    judge(&LENGTHS, &LENGTH, |blocks| blocks.replace("CUT", cut));
}

#[test]
fn a_cut_before_its_length_is_called_that_and_no_wrong_number() {
    let blocks = "G43 H1 Z50; G0 X20 Y20; G1 Z-1 F100; X60; G0 Z50; T2 M6; M3; G0 X20 Y20; G1 Z5 F500; G43 H2 Z5; G1 Z-1 F100; X60; G0 Z50";
    let report = report(&program(blocks), &plate());
    assert!(find(&report, "h-unlike-t").is_none());
    let found = find(&report, "cut-without-length").expect("found");
    assert_eq!((found.level, found.line), (Warn, 12));
    assert!(
        found.message.contains("T2") && found.message.contains("line 13"),
        "{}",
        found.message
    );
}
