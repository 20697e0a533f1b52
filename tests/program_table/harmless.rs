//! Programs as they are usually written: nothing in them is an error.

use super::Row;
use super::row;

pub const ROWS: &[Row] = &[
    row("a pocket", "CUT"),
    row(
        "two passes",
        "CUT; G0 X{30} Y{30} Z{5}; G1 Z-{2} F{100}; X{60} F{300}; Y{50}; X{30}; Y{30}; G0 Z{5}",
    ),
    row(
        "a ramp",
        "G0 X{30} Y{30} Z{5}; G1 Z{0} F{100}; X{60} Z-{1} F{200}; X{30}; G0 Z{5}",
    ),
    row(
        "a helix",
        "G0 X{40} Y{30} Z{2}; G1 Z{0} F{100}; G3 X{40} Y{30} Z-{1} I-{5} J{0} F{200}; G3 I-{5} J{0}; G0 Z{5}",
    ),
    row(
        "a full circle by its centre",
        "G0 X{40} Y{30} Z{5}; G1 Z-{1} F{100}; G2 X{40} Y{30} I-{8} J{0} F{300}; G0 Z{5}",
    ),
    row(
        "half circles by their radius",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; G2 X{50} Y{30} R{10} F{300}; G2 X{30} Y{30} R{10}; G0 Z{5}",
    ),
    row(
        "more than half a circle",
        "G0 X{30} Y{30} Z{5}; G1 Z-{1} F{100}; G3 X{40} Y{40} R-{10} F{300}; G0 Z{5}",
    ),
    row(
        "lead-in from outside",
        "G0 X-{12} Y{40} Z{5}; Z-{1}; G1 X{60} F{300}; G0 Z{5}",
    ),
    row(
        "facing that runs out on both sides",
        "G0 X-{12} Y{40} Z{5}; G1 Z-{0.5} F{100}; X{112} F{300}; Y{44}; X-{12}; G0 Z{5}",
    ),
    row(
        "drilling",
        "G0 X{20} Y{30} Z{5}; G99 G81 X{20} Y{30} Z-{5} R{2} F{60}; X{40}; X{60}; G80",
    ),
    row(
        "pecks",
        "G0 X{20} Y{30} Z{5}; G98 G83 X{20} Y{30} Z-{8} R{2} Q{2} F{60}; Y{50}; G80",
    ),
    row(
        "drilling through into the spoil board",
        "G0 X{20} Y{30} Z{5}; G81 X{20} Y{30} Z-{11} R{2} F{60}; G80",
    ),
    row(
        "a dwell at the bottom",
        "G0 X{20} Y{30} Z{5}; G82 X{20} Y{30} Z-{2} R{2} P0.5 F{60}; G80",
    ),
    row(
        "two tools with their lengths",
        "CUT; G0 Z{50}; M5; T2 M6; S{SPEED} M3; G0 G43 H2 Z{50}; G81 X{20} Y{30} Z-{5} R{2} F{60}; G80",
    ),
    row(
        "return of Z first, at the end",
        "CUT; G91 G28 Z0; G28 X0 Y0; G90",
    ),
    row("return of Z in machine coordinates", "CUT; G53 G0 Z0"),
    row(
        "comments with axis words",
        "CUT; (MOVE TO X200 Y300 Z-50); CUT",
    ),
    row("comments behind a semicolon", "CUT ;next X999 pocket; CUT"),
    row(
        "line numbers",
        "N10 G0 X{30} Y{30} Z{5}; N20 G1 Z-{1} F{100}; N30 X{60} F{300}; N40 G0 Z{5}",
    ),
    row(
        "percent signs and a number",
        "%%%; O1234; {UNIT} G90 G17 G94; T1 M6; S{SPEED} M3; G0 G43 H1 Z{50}; CUT; G0 Z{50}; M5; M30; %",
    ),
    row("an optional stop", "CUT; G0 Z{50}; M1; CUT"),
    row("a stop to look", "CUT; G0 Z{50}; M0; CUT"),
    row("dwell in seconds", "G4 P1.5; CUT"),
    row("coolant", "M8; CUT; M9"),
    row(
        "codes said again and again",
        "G90 G17; CUT; G90 G17 G40 G80; CUT",
    ),
    row("path modes", "G64 P{0.02}; CUT; G61; CUT"),
    row(
        "small letters and spaces",
        "g0 x {30} y {30} z {5}; g1 z -{1} f {100}; x {60}; g0 z {5}",
    ),
    row(
        "distances with a known place",
        "G0 X{30} Y{30} Z{5}; G91; G1 Z-{6} F{100}; X{20} F{300}; Y{10}; Z{6}; G90",
    ),
    row(
        "a subprogram of its own",
        "o100 sub; CUT; o100 endsub; o100 call",
    ),
    row(
        "a repeated pass",
        "#1 = 1; o110 while [#1 LE 2]; CUT; #1 = [#1 + 1]; o110 endwhile",
    ),
    row("numbers worked out", "#1 = [2 * 15]; CUT; #2 = [#1 + 1]"),
    row(
        "a profile with tabs",
        "G0 X{20} Y{20} Z{5}; G1 Z-{10.2} F{60}; X{30} F{200}; Z-{8}; X{55}; Z-{10.2}; X{65}; Y{60}; X{55}; Z-{8}; X{30}; Z-{10.2}; X{20}; Y{20}; G0 Z{5}",
    ),
    row(
        "a profile on a skin",
        "G0 X{20} Y{20} Z{5}; G1 Z-{9.7} F{60}; X{65} F{200}; Y{60}; X{20}; Y{20}; G0 Z{5}",
    ),
    row(
        "rapids over the clamp",
        "CUT; G0 Z{40}; X{98} Y{10}; X{30} Y{30}",
    ),
    row(
        "rapid through a pocket that was cut",
        "CUT; G0 X{30} Y{30} Z-{0.5}; G0 X{60}; Z{5}",
    ),
    row(
        "zero said and taken back",
        "CUT; G0 X{30} Y{30}; G92 X{30} Y{30}; G92.1; CUT",
    ),
    row(
        "only positions",
        "%%{UNIT} G90 G17 G94; G0 Z{50}; X{30} Y{30}; X{60}; M30",
    ),
    row("speed raised between cuts", "CUT; S{SPEED}; CUT"),
    row("a message to the person", "M117 LOOK AT THE CLAMP; CUT"),
];
