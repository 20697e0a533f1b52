//! Flow control by O words, named parameters and comparisons, as the successors of the open interpreter have them
//! (from memory; NISTIR 6556 has none). What a program cuts is worked out by hand beside each case.

use std::fmt::Write;

use millside::program::finding::Finding;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::program::read::Reader;
use millside::program::read::read_bytes;
use millside::program::summary::Summary;

const HEAD: &str = "G21 G90 G17\nM3 S5000\nG1 F600\n";

fn read(text: &str) -> Summary {
    let options = ReadOptions {
        start_mm: [Some(0.0); 3],
        ..ReadOptions::default()
    };
    let whole = read_bytes(text.as_bytes(), &options);
    // In pieces it is the same program, wherever they are cut.
    for size in [1, 7, 64] {
        let mut reader = Reader::new(&options, None);
        for piece in text.as_bytes().chunks(size) {
            reader.feed(piece);
        }
        assert_eq!(reader.finish(), whole, "pieces of {size}");
    }
    whole
}

fn bad(summary: &Summary) -> Vec<&Finding> {
    summary
        .findings
        .iter()
        .filter(|finding| finding.level > Level::Note)
        .collect()
}

/// Runs the lines, which are sound, and gives the length of their cuts.
fn cut_mm(lines: &str) -> f64 {
    let summary = read(&format!("{HEAD}{lines}M2\n"));
    assert!(bad(&summary).is_empty(), "{lines}: {:#?}", bad(&summary));
    summary.path.feed_mm
}

fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() < 1e-9,
        "{found}, expected {expected}"
    );
}

#[test]
fn a_loop_runs_while_its_condition_holds() {
    // X 10, 20, 30, 40.
    near(
        cut_mm("#1=0\no1 while [#1 LT 4]\n#1=[#1+1]\nX[#1*10]\no1 endwhile\n"),
        40.0,
    );
    near(cut_mm("o1 while [0]\nX10\no1 endwhile\nX3\n"), 3.0);
    // At least once where the condition stands at the end.
    near(cut_mm("o1 do\nX10\no1 while [0]\n"), 10.0);
    near(
        cut_mm("#1=0\no1 do\n#1=[#1+5]\nX#1\no1 while [#1 LT 12]\n"),
        15.0,
    );
    // Ten tenths are one: no eleventh round.
    near(
        cut_mm("#1=0\no1 while [#1 NE 1]\n#1=[#1+0.1]\no1 endwhile\nX#1\n"),
        1.0,
    );
}

#[test]
fn a_loop_runs_so_many_times() {
    near(cut_mm("G91\no1 repeat [5]\nX2\no1 endrepeat\n"), 10.0);
    near(cut_mm("G91\no1 repeat [0]\nX2\no1 endrepeat\nX1\n"), 1.0);
    // Three rounds of two rounds of 1 mm, and 5 mm each.
    near(
        cut_mm("G91\no1 repeat [3]\no2 repeat [2]\nX1\no2 endrepeat\nX5\no1 endrepeat\n"),
        21.0,
    );
}

#[test]
fn a_branch_runs_one_of_its_ways() {
    for (value, expected) in [(1.0, 10.0), (2.0, 20.0), (3.0, 30.0), (4.0, 40.0)] {
        let lines = format!(
            "#1={value}\no1 if [#1 EQ 1]\nX10\no1 elseif [#1 EQ 2]\nX20\no1 elseif [#1 EQ 3]\nX30\no1 else\nX40\no1 endif\n"
        );
        near(cut_mm(&lines), expected);
    }
    // What does not run is not read: neither words nor conditions.
    near(
        cut_mm("o1 if [0]\nX#77 G99999\no2 if [1/0]\no2 endif\no1 endif\nX5\n"),
        5.0,
    );
    near(
        cut_mm("o1 if [1]\nX5\no1 elseif [1/0]\nX9\no1 endif\n"),
        5.0,
    );
}

#[test]
fn a_loop_is_left_or_goes_on_with_its_next_round() {
    // 1 mm a round, out in the fourth.
    near(
        cut_mm(
            "G91\n#1=0\no1 while [1]\n#1=[#1+1]\no2 if [#1 GT 3]\no1 break\no2 endif\nX1\no1 endwhile\n",
        ),
        3.0,
    );
    // Without the even rounds of six.
    near(
        cut_mm(
            "G91\n#1=0\no1 repeat [6]\n#1=[#1+1]\no2 if [[#1 MOD 2] EQ 0]\no1 continue\no2 endif\nX1\no1 endrepeat\n",
        ),
        3.0,
    );
    near(
        cut_mm(
            "G91\n#1=0\no1 do\n#1=[#1+1]\no2 if [#1 EQ 2]\no1 continue\no2 endif\nX1\no1 while [#1 LT 4]\n",
        ),
        3.0,
    );
}

#[test]
fn a_subprogram_has_its_own_numbers_and_gives_a_value() {
    let lines = "o<side> sub\nG91\nX#1\nY#2\nG90\no<side> return [#1+#2]\nX1000\no<side> endsub\n#1=7\no<Side> call [3] [4]\n#9=#<_value>\nG91 X#1\nY#9\n";
    // 3 + 4, then #1 of the caller, then the value.
    near(cut_mm(lines), 3.0 + 4.0 + 7.0 + 7.0);
    // Behind the end of the program, called by a computed number, in a loop.
    let summary = read(&format!(
        "{HEAD}G91\n#5=100\no2 repeat [3]\no[#5+1] call [2]\no2 endrepeat\nM2\no101 sub\nX#1\no101 endsub\n"
    ));
    assert!(bad(&summary).is_empty(), "{:#?}", bad(&summary));
    near(summary.path.feed_mm, 6.0);
    // What is not given is 0; the lines of a subprogram do not run where it stands.
    near(cut_mm("o1 sub\nX[#2+5]\no1 endsub\no1 call [9]\n"), 5.0);
}

#[test]
fn named_parameters_hold_in_their_subprogram_or_everywhere() {
    near(cut_mm("#<step>=2.5\nX[#<Step>*4]\n"), 10.0);
    let lines = "o1 sub\n#<w>=50\n#<_all>=4\no1 endsub\n#<w>=3\no1 call\nX#<w>\nY#<_all>\n";
    near(cut_mm(lines), 3.0 + 4.0);
    near(
        cut_mm(
            "o1 if [EXISTS[#<w>]]\nX9\no1 endif\n#<w>=1\no2 if [EXISTS[#<w>] AND 1]\nX5\no2 endif\n",
        ),
        5.0,
    );
    let summary = read(&format!("{HEAD}X#<width>\nM2\n"));
    assert_eq!(bad(&summary)[0].id, "parameter-index");
    assert_eq!(summary.uncertain_from, Some(4));
}

#[test]
fn that_flow_control_was_run_is_said_once() {
    let summary = read(&format!(
        "{HEAD}G91\no1 repeat [5]\nX2\no1 endrepeat\no2 repeat [5]\nX2\no2 endrepeat\nM2\n"
    ));
    let said: Vec<_> = summary
        .findings
        .iter()
        .filter(|finding| finding.id == "o-words-run")
        .collect();
    assert_eq!(said.len(), 1);
    assert_eq!((said[0].level, said[0].line), (Level::Note, 5));
}

#[test]
fn a_loop_without_end_is_one_finding_with_its_bound_and_line() {
    let summary = read_bytes(
        format!("{HEAD}o1 while [1]\nX1\no1 endwhile\nX5\nM2\n").as_bytes(),
        &ReadOptions {
            start_mm: [Some(0.0); 3],
            ..ReadOptions::default()
        },
    );
    let found = bad(&summary);
    let endless: Vec<_> = found.iter().filter(|f| f.id == "endless-program").collect();
    assert_eq!(endless.len(), 1, "{found:#?}");
    assert_eq!((endless[0].line, endless[0].count), (4, 1));
    assert!(endless[0].message.contains("The loop of line 4"));
    assert!(endless[0].message.contains("1000000 lines"));
    assert_eq!(summary.uncertain_from, Some(4));
}

#[test]
fn subprograms_that_call_each_other_end_at_a_bound() {
    let summary = read(&format!(
        "{HEAD}o1 sub\nG91 X1\no1 call\no1 call\no1 endsub\no1 call\nM2\n"
    ));
    let found = bad(&summary);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].id, "subprogram-depth");
    // Ten deep, two calls each: 2^10 - 1 moves of 1 mm.
    near(summary.path.feed_mm, 1023.0);
}

/// Each of these is wrong in one way, and that is said once.
#[test]
fn flow_control_that_does_not_close_is_one_finding() {
    for lines in [
        "o1 while [1]\nX5\n",
        "o1 if [1]\nX5\n",
        "o1 repeat [3]\nX5\n",
        "o1 sub\nX5\n",
        "o1 do\nX5\n",
        "o1 endwhile\nX5\n",
        "o1 endsub\nX5\n",
        "o1 break\nX5\n",
        "o1 else\nX5\n",
        "o1 if\nX9\no1 endif\nX5\n",
        "o1 while [1/0]\nX9\no1 endwhile\nX5\n",
    ] {
        let summary = read(&format!("{HEAD}{lines}M2\n"));
        let stops: Vec<_> = bad(&summary)
            .into_iter()
            .filter(|f| f.level == Level::Stop)
            .cloned()
            .collect();
        assert_eq!(stops.len(), 1, "{lines}: {:#?}", summary.findings);
        assert_eq!(stops[0].line, 4, "{lines}");
        near(summary.path.feed_mm, 5.0);
    }
    let summary = read(&format!(
        "{HEAD}o<probe> call [1]\no<probe> call [1]\nX5\nM2\n"
    ));
    let found = bad(&summary);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!((found[0].id, found[0].count), ("subprogram-call", 2));
}

/// The flow control of other dialects is not run: one cause, one finding.
#[test]
fn flow_control_of_other_dialects_is_one_finding() {
    let text = "N10 G21 G90\nM3 S5000\n#1=0\nN20 IF [#1 EQ 5] GOTO 90\nN30 WHILE [#1 LT 5] DO1\nG1 X#1 F600\n#1=[#1+1]\nIF [#1 GT 2] THEN #2=4\nGOTO 20\nEND1\nN90 GOTO100\nN100 M30\n";
    let summary = read(text);
    let found: Vec<_> = bad(&summary)
        .iter()
        .map(|f| (f.id, f.line, f.count))
        .collect();
    assert_eq!(found, [("unknown-word", 4, 6)]);
    assert!(
        bad(&summary)[0]
            .message
            .contains("IF, GOTO, WHILE, DO, END")
    );
    let text = "G21 G90\nM3 S5000\nG65 P9010 X1\nG65 P9011 Y2\nG65 P9010 X3\nM30\n";
    let found: Vec<_> = read(text)
        .findings
        .iter()
        .filter(|f| f.level > Level::Note)
        .map(|f| (f.id, f.line, f.count))
        .collect();
    assert_eq!(found, [("unknown-g-code", 3, 3)]);
}

#[test]
fn an_expression_without_brackets_is_one_finding() {
    let mut text = "G21 G90\nM3 S5000\nG1 F600\n#1=2\n".to_owned();
    for operator in ["+", "-", "*", "/", " MOD "] {
        writeln!(text, "#2=#1{operator}3\nG1 X#1{operator}2").expect("a string takes text");
    }
    text.push_str("M30\n");
    let summary = read(&text);
    let found: Vec<_> = bad(&summary).iter().map(|f| (f.id, f.line)).collect();
    assert_eq!(found, [("bad-expression", 5)], "{:#?}", bad(&summary));
    assert_eq!(bad(&summary)[0].count, 10);
}

/// A place to begin again is never in the middle of a loop or subprogram.
#[test]
fn nobody_begins_again_inside_a_loop() {
    let text = "G21 G90 G17\nM3 S5000\nG0 X0 Y0 Z20\nG1 Z-1 F100\nX5\nG0 Z20\no1 repeat [3]\nG0 X0 Y0 Z20\nG1 Z-1 F100\nX5\nG0 Z20\no1 endrepeat\nG0 X0\nG1 Z-1\nG0 Z20\nM30\n";
    let options = ReadOptions {
        start_mm: [Some(0.0), Some(0.0), Some(20.0)],
        restart_line: Some(15),
        ..ReadOptions::default()
    };
    let lines: Vec<u64> = read_bytes(text.as_bytes(), &options)
        .restart_points
        .iter()
        .map(|point| point.line)
        .collect();
    assert!(lines.contains(&14), "{lines:?}");
    assert!(
        lines.iter().all(|line| !(8..=12).contains(line)),
        "{lines:?}"
    );
}
