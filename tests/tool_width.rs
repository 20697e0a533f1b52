//! What a program's comments say of a tool's width, and what is assumed where nothing does.
//! The inch is 25.4 mm exactly (NISTIR 6556, 3.5.7 leaves it to the units of length; ISO 31-1). Comments are in the style of
//! common practice, no source; diameters by hand.

use std::fs;
use std::process::Command;

use millside::check::Report;
use millside::check::against::Against;
use millside::check::against::ToolFacts;
use millside::check::examine;
use millside::check::hint;
use millside::job::holding::KeepOut;
use millside::job::stock::StockSize;
use millside::job::stock::Under;
use millside::program::finding::Level;
use millside::program::read::ReadOptions;
use millside::program::summary::Units;
use millside::program::summary::Units::AssumedMm;
use millside::program::summary::Units::Inch;
use millside::program::summary::Units::Mm;

const COMMENTS: [(&str, Units, Option<f64>); 90] = [
    // A label, in the unit of the program.
    ("D=6. CR=0.5 - ZMIN=-5. - bull nose end mill", Mm, Some(6.0)),
    ("D=0.5 CR=0. - ZMIN=-0.1 - flat end mill", Inch, Some(12.7)),
    ("D=0.5 CR=0. - ZMIN=-0.1 - flat end mill", Mm, Some(0.5)),
    ("D=40. CR=0. - face mill", AssumedMm, Some(40.0)),
    ("D=6,5 drill", Mm, Some(6.5)),
    ("D:8 end mill", Mm, Some(8.0)),
    ("dia 0.25", Inch, Some(6.35)),
    ("DIA. 6 BALL", Mm, Some(6.0)),
    ("DIAMETER 0.375", Inch, Some(9.525)),
    ("tool diameter: 10", Mm, Some(10.0)),
    ("0.500 DIA END MILL", Inch, Some(12.7)),
    ("\u{d8}6 end mill", Mm, Some(6.0)),
    ("\u{2300} 6 mm", Mm, Some(6.0)),
    ("\\xd86 2FL", Mm, Some(6.0)),
    ("D6 R0.5", Mm, Some(6.0)),
    ("D10R1 L=50", Mm, Some(10.0)),
    ("H1 D1", Mm, None),
    ("H1 D1 6mm", Mm, Some(6.0)),
    ("DIA 1/4", Mm, Some(6.35)),
    ("cutting diameter 3 mm, shank diameter 6 mm", Mm, Some(3.0)),
    ("D=3 shank=6", Mm, Some(3.0)),
    ("shank dia 6", Mm, None),
    // A unit of its own.
    ("0.25in", Mm, Some(6.35)),
    ("0.25in", Inch, Some(6.35)),
    (".25 in end mill", Mm, Some(6.35)),
    ("0.25-inch ball", Mm, Some(6.35)),
    ("0.125\" engraver", Inch, Some(3.175)),
    (".5'' EM", Mm, Some(12.7)),
    ("6mm", Inch, Some(6.0)),
    ("6 mm 3 flutes", Inch, Some(6.0)),
    ("6MM ENDMILL", Mm, Some(6.0)),
    ("6mmendmill", Mm, Some(6.0)),
    ("end mill 6.35 mm", Inch, Some(6.35)),
    ("6mm R0.5", Mm, Some(6.0)),
    ("6mm R0.5", Inch, Some(6.0)),
    ("D=6mm", Inch, Some(6.0)),
    ("1/4in (6.35 mm)", Inch, Some(6.35)),
    ("6mm x 20mm LOC", Mm, Some(6.0)),
    ("4mm drill 20mm deep", Mm, Some(4.0)),
    ("6mm 90deg chamfer mill", Mm, Some(6.0)),
    ("FACE MILL 50MM 5 INSERTS", Mm, Some(50.0)),
    // Fractions are of an inch.
    ("1/4", Mm, Some(6.35)),
    ("1/4", Inch, Some(6.35)),
    ("1/4\"", Inch, Some(6.35)),
    ("1/4 inch end mill", Mm, Some(6.35)),
    ("3FL 1/4 EM", Inch, Some(6.35)),
    ("5/16 drill", Inch, Some(7.9375)),
    ("1-1/2 in", Inch, Some(38.1)),
    ("1-1/2 in face mill", Mm, Some(38.1)),
    ("1 1/2\"", Mm, Some(38.1)),
    ("1/8in shank 2mm end mill", Mm, Some(2.0)),
    ("2mm end mill shank 1/8in", Mm, Some(2.0)),
    ("2mm, shank 1/8in", Mm, Some(2.0)),
    ("1/2 X 1-1/2 end mill", Inch, Some(12.7)),
    // Beside the name of a tool.
    ("6 end mill", Mm, Some(6.0)),
    ("0.5 flat end mill", Inch, Some(12.7)),
    ("ENDMILL 6.0 4FL", Mm, Some(6.0)),
    ("8 carbide drill", Mm, Some(8.0)),
    ("0.25 end mill", Mm, None),
    ("6 end mill", Inch, None),
    // Numbers of something else.
    ("speed=120 6mm", Mm, Some(6.0)),
    ("feed=100 plunge 50 6mm", Mm, Some(6.0)),
    ("feed=100", Mm, None),
    ("speed=0.5", Inch, None),
    ("F300mm/min 6mm", Mm, Some(6.0)),
    ("1mm step 6mm end mill", Mm, Some(6.0)),
    ("M6 tap", Mm, None),
    ("M6x1 tap", Mm, None),
    ("#7 drill", Mm, None),
    ("#7 drill", Inch, None),
    ("1/4-20 tap", Inch, None),
    ("10-32 tap", Inch, None),
    ("6 FL", Mm, None),
    ("6 flutes", Mm, None),
    ("90deg", Mm, None),
    ("90 deg spot drill", Mm, None),
    ("L=50", Mm, None),
    ("LOC 20mm", Mm, None),
    ("20mm flute length", Mm, None),
    ("R3 ball", Mm, None),
    ("pocket 20mm", Mm, None),
    ("3D finish", Mm, None),
    ("T3 drill", Mm, None),
    ("6x50 end mill", Mm, None),
    ("D6R0.5mm", Mm, Some(6.0)),
    ("D=0 nothing", Mm, None),
    ("D=99999", Mm, None),
    ("made 12/05/2025", Mm, None),
    // Two sizes, and nothing that tells which is meant.
    ("6mm and 8mm", Mm, None),
    ("2mm shank 6mm", Mm, None),
];

#[test]
fn diameters_are_read_from_comments_as_they_are_written() {
    let mut wrong = vec![];
    for (comment, units, expected) in COMMENTS {
        let found = hint::diameter(comment, units).map(|said| said.mm);
        let is_right = match (found, expected) {
            (Some(found), Some(expected)) => (found - expected).abs() < 1e-9,
            (None, None) => true,
            _ => false,
        };
        if !is_right {
            wrong.push(format!(
                "{comment:?} {units:?}: {found:?} in place of {expected:?}"
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_comment_that_was_cut_off_in_a_number_names_none() {
    assert_eq!(
        hint::diameter("flat end mill of the long series D=1...", Mm),
        None
    );
}

/// 5 x 3 x 0.5 in, zero left front top, a clamp that a tool of 0.5 in meets and one of 0.5 mm does not.
fn plate_in_inches() -> Against {
    Against {
        stock: Some(StockSize {
            x_mm: 127.0,
            y_mm: 76.2,
            z_mm: 12.7,
        }),
        under: Under::Spoil { thickness_mm: 12.0 },
        zero: Some("left-front-top".parse().expect("a zero")),
        keep_outs: vec![KeepOut {
            from: [40.0, -20.0],
            to: [80.0, 34.0],
            height: 25.0,
        }],
        ..Against::default()
    }
}

fn path(name: &str) -> String {
    format!(
        "{}/tests/fixtures/programs/slips/{name}",
        env!("CARGO_MANIFEST_DIR")
    )
}

fn report(text: &str, against: &Against) -> Report {
    examine(text.as_bytes(), &ReadOptions::default(), against)
        .expect("bytes in memory are read")
        .1
}

#[test]
fn the_diameter_in_the_comment_of_an_inch_program_is_in_inches() {
    let text = fs::read_to_string(path("comment_in_inches.nc")).expect("a fixture");
    let inches = report(&text, &plate_in_inches());
    let clamp = |r: &Report| {
        r.findings
            .iter()
            .any(|f| f.id == "keep-out-entered" && f.level == Level::Stop)
    };
    assert!(clamp(&inches));
    let says = |r: &Report, what: &str| r.assumed.iter().any(|line| line.contains(what));
    assert!(says(&inches, "T1 is taken as 12.7 mm across") && says(&inches, "in inches (G20)"));
    assert!(!says(&inches, "tool unknown"));
    // A unit in the comment counts, whatever the program's is.
    let mm = report(&text.replace("D=0.5 ", "D=0.5mm "), &plate_in_inches());
    assert!(!clamp(&mm) && says(&mm, "T1 is taken as 0.5 mm across"));
}

#[test]
fn a_stated_tool_is_held_against_the_comment_in_the_program_s_unit() {
    let text = fs::read_to_string(path("comment_in_inches.nc")).expect("a fixture");
    let with = |diameter_mm: f64| {
        let facts = ToolFacts {
            diameter_mm: Some(diameter_mm),
            ..ToolFacts::default()
        };
        let against = Against {
            tools: vec![(1, facts)],
            ..plate_in_inches()
        };
        let report = report(&text, &against);
        let own = report
            .findings
            .into_iter()
            .find(|f| f.id == "posted-for-other-diameter");
        own.map(|f| f.message)
    };
    assert_eq!(with(12.7), None);
    let message = with(6.0).expect("found");
    assert!(message.contains("12.7 mm, in inches (G20)"), "{message}");
}

/// A cut beside a clamp by a tool of which nothing is known.
const UNKNOWN: &str = "G21 G90 G17\nT4 M6\nS6000 M3\nG0 X10 Y38 Z5\nG1 Z-1 F100\nX110 F400\nG0 Z-1 Y60\nZ20\nM5\nM30\n";

#[test]
fn an_assumed_width_is_named_and_each_finding_that_rests_on_it_says_so() {
    let found = report(UNKNOWN, &plate_in_inches());
    let first = found.assumed.first().expect("said");
    assert!(first.starts_with("Not checked: tool unknown"), "{first}");
    assert!(first.contains("12 mm") && first.contains("T4"), "{first}");
    for id in ["keep-out-entered", "rapid-through-uncut"] {
        let own = found.findings.iter().find(|f| f.id == id).expect(id);
        assert!(
            own.message.contains("with an assumed cutter of 12 mm"),
            "{}",
            own.message
        );
    }
    let stated = Against {
        tools: vec![(
            4,
            ToolFacts {
                diameter_mm: Some(12.0),
                ..ToolFacts::default()
            },
        )],
        ..plate_in_inches()
    };
    let found = report(UNKNOWN, &stated);
    assert!(found.findings.iter().any(|f| f.id == "keep-out-entered"));
    let all = found
        .assumed
        .iter()
        .chain(found.findings.iter().map(|f| &f.message));
    assert!(
        all.clone()
            .all(|text| !text.contains("assumed cutter") && !text.contains("tool unknown"))
    );
}

#[test]
fn a_zero_that_rests_on_an_assumed_width_says_so() {
    let off = UNKNOWN.replace("X110", "X300");
    let found = report(&off, &plate_in_inches());
    let own = found
        .findings
        .iter()
        .find(|f| f.id == "no-zero-fits")
        .expect("found");
    assert!(
        own.message.contains("with an assumed cutter of 12 mm"),
        "{}",
        own.message
    );
}

#[test]
fn the_command_says_that_the_tool_is_unknown_in_text_and_json() {
    let file =
        std::env::temp_dir().join(format!("millside-unknown-tool-{}.nc", std::process::id()));
    fs::write(&file, UNKNOWN.replace("G0 Z-1 Y60\n", "")).expect("written");
    let run = |json: bool| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_millside"));
        command.arg("check").arg(&file);
        command.args(["--stock", "127x76.2x12.7mm", "--zero", "left-front-top"]);
        if json {
            command.arg("--json");
        }
        let output = command.output().expect("run");
        String::from_utf8(output.stdout).expect("text")
    };
    let text = run(false);
    let verdict = text.lines().next().expect("a verdict");
    assert!(verdict.contains("not checked: tool unknown"), "{verdict}");
    assert!(text.contains("assumed cutter of 12 mm"), "{text}");
    assert!(run(true).contains("Not checked: tool unknown"));
    fs::remove_file(&file).expect("removed");
}

#[test]
fn a_plunge_and_several_zeros_that_rest_on_an_assumed_width_say_so() {
    let square =
        "T4 M6\nM3 S8000\nG0 X20 Y20 Z5\nG1 Z-3 F600\nX60 F600\nY60\nX20\nY20\nG0 Z5\nM30\n";
    let against = Against {
        stock: Some(StockSize {
            x_mm: 80.0,
            y_mm: 80.0,
            z_mm: 12.0,
        }),
        ..plate_in_inches()
    };
    let holes =
        "T4 M6\nM3 S3000\nG0 X0 Y0 Z10\nG99 G81 X10 Y10 Z-5 R2 F100\nX25\nY25\nG80\nG0 Z10\nM30\n";
    for (id, zero, body) in [
        ("plunge-at-cutting-feed", Some("left-front-top"), square),
        ("zero-ambiguous", None, holes),
    ] {
        let against = Against {
            zero: zero.map(|zero| zero.parse().expect("a zero")),
            keep_outs: vec![],
            ..against.clone()
        };
        for (comment, is_assumed) in [("", true), ("(end mill 12 mm)", false)] {
            let body = body.replace("T4 M6", &format!("T4 M6 {comment}"));
            let text = format!("G21 G90 G17\n{body}");
            let found = report(&text, &against);
            let own = found.findings.iter().find(|f| f.id == id);
            let own = own.unwrap_or_else(|| panic!("{id}: {:?}", found.findings));
            assert_eq!(
                own.message.contains("with an assumed cutter of 12 mm"),
                is_assumed,
                "{}",
                own.message
            );
        }
    }
}

#[test]
fn a_size_in_the_line_below_the_change_is_the_tools() {
    let cut = "M3 S3000\nG0 X20 Y20 Z5\nG1 Z-3 F100\nX60 F300\nG0 Z5\nM30\n";
    let stated = |diameter_mm: f64| Against {
        tools: vec![(
            1,
            ToolFacts {
                diameter_mm: Some(diameter_mm),
                ..ToolFacts::default()
            },
        )],
        ..plate_in_inches()
    };
    for (comment, other) in [
        ("(8MM END MILL)", true),
        ("(END MILL D=8)", true),
        ("(6MM END MILL)", false),
        // Of the work, and of no tool's size.
        ("(DRILL 4 HOLES)", false),
        ("(POCKET 8 DEEP)", false),
    ] {
        let text = format!("G21 G90 G17\nT1 M6\n{comment}\n{cut}");
        let found = report(&text, &stated(6.0));
        let is_said = found
            .findings
            .iter()
            .any(|f| f.id == "posted-for-other-diameter");
        assert_eq!(is_said, other, "{comment}: {:?}", found.findings);
    }
}
