//! Programs that hurt somebody, break a tool or spoil the part.

use super::Row;
use super::of_tool;
use super::row;

pub const ROWS: &[Row] = &[
    row(
        "rapid through uncut metal",
        "G0 X{10} Y{30} Z{5}; G1 Z-{3} F{100}; G0 X{60}; Z{5}",
    ),
    row(
        "rapid down into metal",
        "G0 X{30} Y{30} Z{5}; Z-{3}; G1 X{60} F{300}; G0 Z{5}",
    ),
    row(
        "rapid down through the spoil board",
        "G0 X{30} Y{30} Z{5}; Z-{30}; Z{5}; CUT",
    ),
    row(
        "rapid back through a wall",
        "G0 X{20} Y{30} Z{5}; G1 Z-{3} F{100}; X{40} F{300}; G0 X{20} Y{60}; Z{5}",
    ),
    row(
        "feed through the spoil board",
        "G0 X{30} Y{30} Z{5}; G1 Z-{30} F{100}; X{40}; G0 Z{5}",
    ),
    row(
        "feed into a clamp",
        "G0 X{60} Y{10} Z{5}; G1 Z-{1} F{100}; X{95} F{300}; G0 Z{5}",
    ),
    row(
        "rapid into a clamp",
        "CUT; G0 X{60} Y{10} Z{5}; X{98}; Z{50}",
    ),
    row(
        "drill beside a clamp, retract too low",
        "G99 G81 X{60} Y{10} Z-{5} R{2} F{100}; X{98}; G80",
    ),
    row(
        "depths added up",
        "G0 X{30} Y{30} Z{5}; G91; G1 Z-{12} F{100}; Z-{12}; Z-{12}; G90; G0 Z{5}",
    ),
    row(
        "ends with the tool in the metal",
        "%%{UNIT} G90 G17 G94; T1 M6; S{SPEED} M3; G0 G43 H1 Z{50}; X{30} Y{30}; G1 Z-{1} F{100}; X{60}; M5; M30",
    ),
    row(
        "tool change with the tool in the metal",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; X{60}; T2 M6; G0 Z{50}",
    ),
    row(
        "wrong zero, middle meant",
        "G0 X-{40} Y-{30} Z{5}; G1 Z-{1} F{100}; X{40} F{300}; Y{30}; X-{40}; Y-{30}; G0 Z{5}",
    ),
    row(
        "wrong zero, bottom meant",
        "G0 X{20} Y{20} Z{25}; G1 Z{9} F{100}; X{60} F{300}; G0 Z{25}",
    ),
    row(
        "zero moved by the program, G92",
        "CUT; G0 X{10} Y{10}; G92 X{0} Y{0}; CUT",
    ),
    row(
        "zero moved by the program, G10",
        "CUT; G10 L2 P1 X{10}; CUT",
    ),
    row("another work offset half way", "CUT; G55; CUT"),
    // 3.5.2: the plane belongs to the arc.
    row(
        "G18 left on with I and J",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; G18; G2 X{50} Y{30} I{10} J{0} F{300}; G17; G0 Z{5}",
    ),
    // 3.5.3: what an arc needs.
    row(
        "arc without centre or radius",
        "G0 X{20} Y{20} Z{5}; G1 Z-{1} F{100}; G2 X{40} Y{20} F{300}; G0 Z{5}",
    ),
    row(
        "arc with a radius too small",
        "G0 X{20} Y{20} Z{5}; G1 Z-{1} F{100}; G2 X{60} Y{20} R{5} F{300}; G0 Z{5}",
    ),
    row(
        "arc whose end is off the circle",
        "G0 X{20} Y{20} Z{5}; G1 Z-{1} F{100}; G2 X{45} Y{20} I{10} J{7} F{300}; G0 Z{5}",
    ),
    row(
        "arc by radius that ends where it begins",
        "G0 X{20} Y{20} Z{5}; G1 Z-{1} F{100}; G2 X{20} Y{20} R{5} F{300}; G0 Z{5}",
    ),
    row(
        "arc with both radius and centre",
        "G0 X{20} Y{20} Z{5}; G1 Z-{1} F{100}; G2 X{40} Y{20} I{10} J{0} R{10} F{300}; G0 Z{5}",
    ),
    // 3.5.2: a feed move needs a feed.
    row(
        "no feed before the first cut",
        "%%{UNIT} G90 G17 G94; T1 M6; S{SPEED} M3; G0 G43 H1 Z{50}; X{30} Y{30} Z{5}; G1 Z-{1}; X{60}; G0 Z{50}; M5; M30",
    ),
    row(
        "feed of zero",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F0; X{60}; G0 Z{5}",
    ),
    row(
        "negative feed",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F-{100}; X{60}; G0 Z{5}",
    ),
    row(
        "feed beyond the axes",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; X{60} F{90000}; G0 Z{5}",
    ),
    row(
        "feed per turn",
        "G0 X{30} Y{30} Z{5}; G95; G1 Z-{1} F{0.1}; X{60}; G94; G0 Z{5}",
    ),
    row(
        "inverse time without a time",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; G93; X{60}; G94; G0 Z{5}",
    ),
    row(
        "way beyond the travel",
        "CUT; G0 Z{50}; X{5000} Y{30}; X{30}",
    ),
    row(
        "unit changed half way",
        "CUT; {OTHER}; G0 X{30} Y{30}; G1 Z-{1} F{100}; X{60}; {UNIT}; G0 Z{5}",
    ),
    row(
        "numbers in mm, unit inch",
        "%%G20 G90 G17 G94; T1 M6; S{SPEED} M3; G0 G43 H1 Z50; X30 Y30 Z5; G1 Z-1 F100; X60 F300; Y50; X30; Y30; G0 Z50; M5; M30",
    ),
    row(
        "no unit at all",
        "%%G90 G17 G94; T1 M6; S{SPEED} M3; G0 G43 H1 Z{50}; CUT; G0 Z{50}; M5; M30",
    ),
    row(
        "letter O for a zero",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; X6O; G0 Z{5}",
    ),
    row(
        "two points in a number",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; X1.2.3; G0 Z{5}",
    ),
    row(
        "a word twice in a block",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; X{40} X{60}; G0 Z{5}",
    ),
    row(
        "two motions in a block",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; G0 G1 X{60}; G0 Z{5}",
    ),
    row(
        "absolute and incremental in a block",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; G90 G91 X{10}; G90; G0 Z{5}",
    ),
    row("a code that nobody knows", "CUT; G123; CUT"),
    row("an M code that nobody knows", "CUT; M777; CUT"),
    row("a comment that does not end", "CUT; (the clamp is; CUT"),
    row(
        "an expression that does not end",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; X[1+; G0 Z{5}",
    ),
    row(
        "a parameter that was never set",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; X#500; G0 Z{5}",
    ),
    row("a subprogram that is not there", "CUT; M98 P1234; CUT"),
    row(
        "a loop without an end",
        "CUT; o100 while [1 EQ 1]; G0 X{30}; o100 endwhile",
    ),
    row(
        "no end of the program",
        "%%{UNIT} G90 G17 G94; T1 M6; S{SPEED} M3; G0 G43 H1 Z{50}; CUT; G0 Z{50}; M5",
    ),
    // 3.5.16: words of a cycle.
    row(
        "cycle without R",
        "G0 X{20} Y{20} Z{5}; G81 X{20} Y{20} Z-{5} F{100}; G80",
    ),
    row(
        "pecks without Q",
        "G0 X{20} Y{20} Z{5}; G83 X{20} Y{20} Z-{5} R{2} F{100}; G80",
    ),
    row(
        "cycle without depth",
        "G0 X{20} Y{20} Z{5}; G81 X{20} Y{20} R{2} F{100}; G80",
    ),
    row(
        "cycle whose R lies below its depth",
        "G0 X{20} Y{20} Z{5}; G81 X{20} Y{20} Z-{2} R-{5} F{100}; G80",
    ),
    row(
        "hole through the spoil board",
        "G0 X{20} Y{20} Z{5}; G81 X{20} Y{20} Z-{40} R{2} F{100}; G80",
    ),
    row(
        "cycle whose R lies in uncut metal",
        "G0 X{20} Y{20} Z{5}; G81 X{20} Y{20} Z-{9} R-{4} F{100}; G80",
    ),
    // 3.5.10: G43 and its H.
    row(
        "G43 without H",
        "%%{UNIT} G90 G17 G94; T1 M6; S{SPEED} M3; G0 G43 Z{50}; CUT; G0 Z{50}; M5; M30",
    ),
    row(
        "length of another tool",
        "%%{UNIT} G90 G17 G94; T1 M6; S{SPEED} M3; G0 G43 H2 Z{50}; CUT; G0 Z{50}; M5; M30",
    ),
    row(
        "second tool without its length",
        "CUT; G0 Z{50}; G49; T2 M6; S{SPEED} M3; G81 X{20} Y{20} Z-{5} R{2} F{100}; G80",
    ),
    row(
        "second tool with the length of the first",
        "CUT; G0 Z{50}; T2 M6; S{SPEED} M3; G0 X{20} Y{20}; G81 X{20} Y{20} Z-{5} R{2} F{100}; G80",
    ),
    row("length taken away before the first cut", "G49; CUT"),
    row(
        "tool change without a tool",
        "%%{UNIT} G90 G17 G94; M6; S{SPEED} M3; G0 G43 H1 Z{50}; CUT; G0 Z{50}; M5; M30",
    ),
    row("tool named and never changed", "CUT; G0 Z{50}; T2; CUT"),
    row(
        "spindle off before a cut",
        "G0 X{30} Y{30} Z{5}; M5; G1 Z-{1} F{100}; X{60}; G0 Z{5}",
    ),
    row("speed beyond the spindle", "S90000 M3; CUT"),
    row("speed below the spindle", "S20 M3; CUT"),
    row("negative speed", "S-3000 M3; CUT"),
    row(
        "reference return through the wall of a pocket",
        "G0 X{30} Y{30} Z{5}; G1 Z-{3} F{100}; X{60} F{300}; G91 G28 X0 Y0; G90; G0 Z{50}",
    ),
    row(
        "reference return of a bare axis, tool low",
        "G0 X{30} Y{30} Z{5}; G1 Z-{3} F{100}; X{60} F{300}; G28 X; G0 Z{50}",
    ),
    row(
        "second reference, tool low",
        "G0 X{30} Y{30} Z{5}; G1 Z-{3} F{100}; X{60} F{300}; G91 G30 X0 Y0; G90; G0 Z{50}",
    ),
    row(
        "machine coordinates with the tool low",
        "G0 X{30} Y{30} Z{5}; G1 Z-{3} F{100}; X{60} F{300}; G53 G0 X0 Y0; G0 Z{50}",
    ),
    row(
        "cutter compensation without a number",
        "G0 X{20} Y{20} Z{5}; G1 Z-{1} F{100}; G41; X{60} F{300}; Y{50}; G40; G0 Z{5}",
    ),
    row(
        "cutter compensation left on",
        "G0 X{20} Y{20} Z{5}; G1 Z-{1} F{100}; G42 D1 X{60} F{300}; Y{50}; G0 Z{5}",
    ),
    row(
        "a retract that may be left out",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; X{60}; /G0 Z{5}; G0 X{30} Y{60}; Z{5}",
    ),
    row(
        "probing that ends nowhere known",
        "G38.2 Z-{10} F{50}; G0 Z{5}; CUT",
    ),
    row(
        "the part is cut free",
        "G0 X{20} Y{20} Z{5}; G1 Z-{10.5} F{100}; X{80} F{300}; Y{60}; X{20}; Y{20}; G0 Z{5}",
    ),
    row("axis words without a motion", "G80; X{30} Y{30} Z-{1}; CUT"),
    row(
        "position by distances from nowhere",
        "%%{UNIT} G91 G17 G94; T1 M6; S{SPEED} M3; G1 Z-{5} F{100}; X{30}; G0 Z{5}; M5; M30",
    ),
    of_tool(
        "a drill that is moved sideways",
        "G0 Z{50}; T2 M6; S{SPEED} M3; G0 G43 H2 Z{50}; X{30} Y{30} Z{5}; G1 Z-{3} F{100}; X{60}; G0 Z{5}",
    ),
    of_tool(
        "a tap without a hole",
        "G0 Z{50}; T3 M6; S{SPEED} M3; G0 G43 H3 Z{50}; G84 X{30} Y{30} Z-{8} R{5} F{300}; G80",
    ),
    of_tool(
        "straight down at the feed of the cut",
        "G0 X{30} Y{30} Z{5}; G1 Z-{3} F{600}; X{60}; Y{50}; X{30}; Y{30}; G0 Z{5}",
    ),
    of_tool(
        "a path for another cutter",
        "%%{UNIT} G90 G17 G94; T1 M6 (D={4} END MILL); S{SPEED} M3; G0 G43 H1 Z{50}; CUT; G0 Z{50}; M5; M30",
    ),
];
