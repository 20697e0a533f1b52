//! What the time depends on besides the path: how far the control looks ahead, and that rounding of coordinates
//! does not slow a machine. Expected values are closed forms of motion at constant acceleration, worked out here.

use std::f64::consts::PI;
use std::fmt::Write;

use millside::program::read::ReadOptions;
use millside::program::read::read_bytes;
use millside::program::time::limits::Corner;
use millside::program::time::limits::MotionLimits;

/// Acceleration of all axes, mm/s².
const A: f64 = 400.0;

/// The motion of a gantry: top feed F4000 in X and Y.
fn gantry(look_ahead_blocks: Option<u32>) -> MotionLimits {
    let per_second = |v: f64| v / 60.0;
    let mut limits = MotionLimits::new(
        [4000.0, 4000.0, 1500.0].map(per_second),
        [5000.0, 5000.0, 3000.0].map(per_second),
        [A, A, 200.0],
        Corner::Blend { tolerance_mm: 0.02 },
    );
    limits.look_ahead_blocks = look_ahead_blocks;
    limits
}

fn seconds(moves: &str, limits: MotionLimits) -> f64 {
    let program = format!("G21 G90 G17\nT1 M6\nM3 S9000\n{moves}M2\n");
    let options = ReadOptions {
        start_mm: [Some(0.0); 3],
        motion: Some(limits),
        ..ReadOptions::default()
    };
    read_bytes(program.as_bytes(), &options)
        .times
        .estimated_s
        .expect("a machine is given")
}

/// A gentle wave along X in lines of 0.1 mm: only the look-ahead bounds the speed, and no two lines are one.
fn wave(length: f64) -> String {
    let mut text = "G1 F4000\n".to_owned();
    let mut i = 1.0;
    while i <= (length / 0.1).round() {
        let x = i * 0.1;
        writeln!(text, "X{x:.1} Y{:.4}", (x / 10.0).sin()).expect("a string takes text");
        i += 1.0;
    }
    text
}

/// A straight line in pieces of 0.1 mm.
fn straight(length: f64) -> String {
    let mut text = "G1 F4000\n".to_owned();
    let mut i = 1.0;
    while i <= (length / 0.1).round() {
        writeln!(text, "X{:.1}", i * 0.1).expect("a string takes text");
        i += 1.0;
    }
    text
}

/// Time of n lines of `l` mm at most `v` mm/s, whose ends are passed no faster than the machine can stop within the
/// next `seen` lines: `v_k² <= 2·a·l·min(seen, lines left)`, and no faster than it got since the start.
fn by_hand(n: u32, l: f64, v: f64, seen: u32) -> f64 {
    let at = |k: u32| {
        let ahead = seen.min(n - k).min(k);
        (2.0 * A * l * f64::from(ahead)).sqrt().min(v)
    };
    (0..n)
        .map(|k| {
            let (v0, v1) = (at(k), at(k + 1));
            // Up to the peak and down again, or up to the feed and on with it.
            let peak = ((v0 * v0 + v1 * v1) / 2.0 + A * l).sqrt();
            if peak <= v {
                (2.0 * peak - v0 - v1) / A
            } else {
                let ramps = (2.0 * v * v - v0 * v0 - v1 * v1) / (2.0 * A);
                (2.0 * v - v0 - v1) / A + (l - ramps) / v
            }
        })
        .sum()
}

#[test]
fn a_short_look_ahead_slows_short_lines() {
    let v = 4000.0 / 60.0;
    for path in [wave(600.0), straight(600.0)] {
        for seen in [1, 2, 16, 40, 1000] {
            let found = seconds(&path, gantry(Some(seen)));
            let expected = by_hand(6000, 0.1, v, seen);
            assert!(
                (found - expected).abs() < 0.01 * expected,
                "{seen} blocks: {found} s, by hand {expected} s"
            );
        }
        // With the whole program known: up, along, down.
        let found = seconds(&path, gantry(None));
        let expected = 600.0 / v + v / A;
        assert!(
            (found - expected).abs() < 0.01 * expected,
            "{found} {expected}"
        );
        // An independent planner gave 9.2 s and 16.4 s; how the line in hand counts is a matter of half a block.
        assert!((found - 9.2).abs() < 0.05, "{found}");
        let found = seconds(&path, gantry(Some(16)));
        assert!((found - 16.4).abs() < 0.03 * 16.4, "{found}");
    }
}

#[test]
fn a_short_look_ahead_leaves_long_lines_alone() {
    let path = "G1 X300 F4000\nY300\nX0\nY0\n";
    let whole = seconds(path, gantry(None));
    for seen in [1, 2, 16] {
        assert!((seconds(path, gantry(Some(seen))) - whole).abs() < 1e-9);
    }
}

/// Lines of 50 mm joined by half circles of 0.2 mm, forth and back; `rounded` as a program is that was posted with
/// centres one thousandth off.
fn rows(n: u32, rounded: bool) -> String {
    let off = if rounded { 0.001 } else { 0.0 };
    let mut text = "G1 F2400\nX50\n".to_owned();
    for k in 1..=n {
        let y = f64::from(k) * 0.4;
        let (arc, x, side) = if k % 2 == 1 {
            (3, 50.0, off)
        } else {
            (2, 0.0, -off)
        };
        writeln!(
            text,
            "G{arc} X{:.3} Y{y:.3} I{side:.3} J0.2\nG1 X{:.3} Y{y:.3}",
            x + 2.0 * side,
            50.0 - x
        )
        .expect("a string takes text");
    }
    text
}

#[test]
fn tangent_arcs_with_a_rounded_centre_take_no_longer() {
    let n = 40;
    let v = 40.0_f64;
    // Half circle: v² = a·r; a line speeds up from it to the feed and slows down to it.
    let slow = (A * 0.2).sqrt();
    let line = |from: f64, to: f64| {
        let ramps = (2.0 * v * v - from * from - to * to) / (2.0 * A);
        (2.0 * v - from - to) / A + (50.0 - ramps) / v
    };
    let arc = PI * 0.2 / slow;
    let expected = line(0.0, slow) + 39.0 * line(slow, slow) + line(slow, 0.0) + 40.0 * arc;
    for rounded in [false, true] {
        for look_ahead in [None, Some(16)] {
            let found = seconds(&rows(n, rounded), gantry(look_ahead));
            assert!(
                (found - expected).abs() < 0.05 * expected,
                "rounded {rounded}: {found} s, by hand {expected} s"
            );
        }
    }
}

/// The rows of `rows` with each half circle in 16 chords, three decimals.
#[test]
fn a_curve_of_chords_does_not_slow_the_lines_beside_it() {
    let mut text = "G1 F2400\nX50\n".to_owned();
    for k in 1..=40 {
        let y = f64::from(k) * 0.4 - 0.2;
        let (x, way) = if k % 2 == 1 { (50.0, 1.0) } else { (0.0, -1.0) };
        for i in 1..=16 {
            let angle = -PI / 2.0 + PI * f64::from(i) / 16.0;
            writeln!(
                text,
                "X{:.3} Y{:.3}",
                x + way * 0.2 * angle.cos(),
                y + 0.2 * angle.sin()
            )
            .expect("a string takes text");
        }
        writeln!(text, "X{:.3}", 50.0 - x).expect("a string takes text");
    }
    let whole = seconds(&rows(40, false), gantry(None));
    let found = seconds(&text, gantry(None));
    assert!((found - whole).abs() < 0.05 * whole, "{found} {whole}");
}

/// Loops of one line and one arc as a clearing path has them: rounding to three decimals changes no time.
#[test]
fn a_clearing_path_with_rounded_arcs_takes_as_long_as_the_exact_one() {
    let path = |decimals: usize| {
        let mut text = "G1 F2400\n".to_owned();
        for k in 0..60 {
            // A full loop of radius r, left on a tangent to the start of the next.
            let (r, x) = (0.3 + 0.05 * f64::from(k % 7), 0.3 * f64::from(k));
            let tilt = 0.37 * f64::from(k);
            let at = |angle: f64| (x + r * (angle + tilt).cos(), r * (angle + tilt).sin());
            let (x0, y0) = at(0.0);
            let (x1, y1) = at(4.0);
            let d = decimals;
            writeln!(
                text,
                "G1 X{:.d$} Y{:.d$}",
                x0 + 8.0 * tilt.sin(),
                y0 - 8.0 * tilt.cos()
            )
            .expect("a string takes text");
            writeln!(text, "X{x0:.d$} Y{y0:.d$}").expect("a string takes text");
            writeln!(text, "G3 X{x1:.d$} Y{y1:.d$} I{:.d$} J{:.d$}", x - x0, -y0)
                .expect("a string takes text");
            let out = 4.0 + tilt;
            writeln!(
                text,
                "G1 X{:.d$} Y{:.d$}",
                x1 - 8.0 * out.sin(),
                y1 + 8.0 * out.cos()
            )
            .expect("a string takes text");
        }
        text
    };
    let exact = seconds(&path(9), gantry(None));
    let rounded = seconds(&path(3), gantry(None));
    assert!((rounded - exact).abs() < 0.02 * exact, "{rounded} {exact}");
}
