//! The demo job: whole, and fit for the machine it names.

use std::f64::consts::PI;

use millside::profile::demo;
use millside::profile::demo::Demo;
use millside::profile::demo::PROGRAM_TEXT;
use millside::profile::library::Library;
use millside::program::fold::Fold;
use millside::program::motion::Kind;
use millside::program::motion::Motion;
use millside::program::read::ReadOptions;
use millside::program::read::read_bytes;
use millside::program::read::read_with;
use millside::program::summary::Summary;

fn the_demo() -> Demo {
    demo::demo().unwrap_or_else(|faults| panic!("{}", faults[0]))
}

fn program() -> Summary {
    read_bytes(PROGRAM_TEXT.as_bytes(), &ReadOptions::default())
}

#[test]
fn the_demo_job_has_no_fault_and_names_profiles_that_exist() {
    let demo = the_demo();
    let library = Library::shipped();
    assert!(library.machines.get(&demo.machine).is_some());
    assert!(library.materials.get(&demo.material).is_some());
    for tool in &demo.tools {
        assert!(library.tools.get(&tool.tool).is_some(), "{}", tool.tool);
    }
    assert_eq!(demo.zero.point.to_string(), "center-center-top");
    assert_eq!(demo.operations.len(), 6);
    assert_eq!(demo.readings.len(), 3);
}

#[test]
fn the_program_reads_without_a_finding_and_gives_the_operations() {
    let demo = the_demo();
    let program = program();
    let findings: Vec<String> = program
        .findings
        .iter()
        .map(|finding| format!("{finding:?}"))
        .collect();
    assert!(findings.is_empty(), "{}", findings.join("\n"));
    let tools: Vec<Option<u32>> = program.sections.iter().map(|s| s.tool).collect();
    let planned: Vec<Option<u32>> = demo
        .operations
        .iter()
        .filter(|operation| operation.section.is_some())
        .map(|operation| operation.tool)
        .collect();
    assert_eq!(tools, planned);
    assert!(program.has_end && !program.spindle_on_at_end);
}

// Worked by hand from the drawing: part 116 by 86 with corners of 4 mm, cutter 6 mm, so that the
// path lies 3 mm outside with corners of 7 mm; lead in and out are quarter circles of 6 mm.
#[test]
fn the_profile_is_as_long_as_the_drawing_says() {
    let program = program();
    let profile = &program.sections[4];
    let straight = 2.0 * (116.0 - 8.0) + 2.0 * (86.0 - 8.0);
    let corners = 2.0 * PI * 7.0;
    let leads = PI * 6.0;
    // Twelve passes to 12.2 mm, plunging from 1 mm above.
    let plunges = 1.0 + 12.2;
    // Below 10.8 mm down and up at each of four tabs: passes at 11 and at 12.2 mm.
    let tabs = 4.0 * 2.0 * (0.2 + 1.4);
    let expected = 12.0 * (straight + corners + leads) + plunges + tabs;
    assert!(
        (profile.path.feed_mm - expected).abs() < 0.01,
        "{} against {expected}",
        profile.path.feed_mm
    );
}

#[test]
fn the_program_stays_inside_the_light_mill() {
    let demo = the_demo();
    let library = Library::shipped();
    let machine = library.machines.get(&demo.machine).expect("shipped");
    let program = program();
    for (axis, travel, expected) in [
        (0, &machine.axes.x, (-67.0, 61.0)),
        (1, &machine.axes.y, (-62.0, 62.0)),
        (2, &machine.axes.z, (-13.2, 25.0)),
    ] {
        let (least, most) = program.extents.all.axis(axis).expect("known");
        assert!((least - expected.0).abs() < 1e-9, "axis {axis}: {least}");
        assert!((most - expected.1).abs() < 1e-9, "axis {axis}: {most}");
        assert!(most - least < travel.travel_mm.value, "axis {axis}");
    }
    for section in &program.sections {
        assert!(section.s_highest_rpm.expect("stated") <= machine.spindle.top_rpm());
        let feed = section.feed_highest_mm_min.expect("stated");
        assert!(feed <= machine.axes.x.top_feed_mm_min.value, "{feed}");
    }
    for tool in &demo.tools {
        let tool = library.tools.get(&tool.tool).expect("shipped");
        assert!(
            tool.shank_mm <= machine.spindle.largest_shank_mm.value,
            "{}",
            tool.name
        );
    }
}

#[test]
fn the_drill_goes_into_the_board_and_not_through_it() {
    let demo = the_demo();
    let least = program().extents.all.axis(2).expect("known").0;
    assert!(least < -demo.stock.greatest_mm());
    let millside::job::stock::Under::Spoil { thickness_mm } = demo.stock.under else {
        panic!("the demo plate lies on a board");
    };
    assert!(least > -demo.stock.greatest_mm() - thickness_mm / 2.0);
}

/// Notes each place where a tool comes into a clamp before the clamps are moved.
struct Clamps<'a> {
    demo: &'a Demo,
    radius_by_section: Vec<(u64, f64)>,
    last_line: u64,
    looked_at: usize,
    hits: Vec<String>,
}

impl Fold for Clamps<'_> {
    fn dwell(&mut self, _seconds: f64) {}

    fn motion(&mut self, motion: &Motion) {
        if motion.line >= self.last_line || motion.kind == Kind::Arc || !motion.is_known() {
            return;
        }
        let radius = self
            .radius_by_section
            .iter()
            .rfind(|(line, _)| *line <= motion.line)
            .map_or(0.0, |(_, radius)| *radius);
        let stock = self.demo.stock.size();
        self.looked_at += 1;
        for step in 0..=100 {
            let share = f64::from(step) / 100.0;
            let at =
                |axis: usize| motion.from[axis] + share * (motion.to[axis] - motion.from[axis]);
            let (x, y) = (at(0) + stock.x_mm / 2.0, at(1) + stock.y_mm / 2.0);
            let above_bottom = at(2) + stock.z_mm;
            for keep_out in &self.demo.holding.keep_outs {
                let is_inside = x > keep_out.from[0] - radius
                    && x < keep_out.to[0] + radius
                    && y > keep_out.from[1] - radius
                    && y < keep_out.to[1] + radius
                    && above_bottom < keep_out.height;
                if is_inside {
                    self.hits
                        .push(format!("line {}: {x:.1} {y:.1}", motion.line));
                }
            }
        }
    }
}

#[test]
fn no_tool_meets_a_clamp_before_the_clamps_are_moved() {
    let demo = the_demo();
    let library = Library::shipped();
    let summary = program();
    let swap = summary
        .stops
        .iter()
        .find(|stop| stop.code == 0)
        .expect("the clamp swap is an M0")
        .line;
    let radius_by_section = summary
        .sections
        .iter()
        .map(|section| {
            let tool = demo
                .tools
                .iter()
                .find(|tool| Some(tool.number) == section.tool)
                .and_then(|tool| library.tools.get(&tool.tool))
                .expect("planned");
            (section.first_line, tool.diameter_mm / 2.0)
        })
        .collect();
    let mut clamps = Clamps {
        demo: &demo,
        radius_by_section,
        last_line: swap,
        looked_at: 0,
        hits: vec![],
    };
    read_with(
        PROGRAM_TEXT.as_bytes(),
        &ReadOptions::default(),
        &mut clamps,
    )
    .expect("memory is readable");
    assert!(clamps.looked_at > 100, "{}", clamps.looked_at);
    assert!(clamps.hits.is_empty(), "{:?}", clamps.hits);
}

#[test]
fn a_broken_demo_is_refused_with_its_place() {
    let broken = demo::DEMO_TEXT.replace("x = \"120 mm\"", "x = \"120\"");
    let faults = demo::from_text("demo.toml", &broken).expect_err("broken");
    assert_eq!(faults.len(), 1);
    let text = faults[0].to_string();
    assert!(
        text.contains("demo.stock.x is \"120\": has no unit"),
        "{text}"
    );
}
