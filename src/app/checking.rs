//! The program against the setup in work, as the screen and the session need it.

use std::collections::BTreeSet;

use crate::app::pilots;
use crate::check;
use crate::check::against::Against;
use crate::check::against::KeepOutsStand;
use crate::check::against::Limits;
use crate::check::against::ToolFacts;
use crate::check::bores::Bore;
use crate::check::chip_load::SectionRecipe;
use crate::check::rules;
use crate::check::sweep::Swept;
use crate::check::sweep::passes::Pass;
use crate::check::walls;
use crate::check::zero_finder::Candidate;
use crate::job::holding::Holding;
use crate::job::operation::Operation;
use crate::job::operation::OperationKind;
use crate::job::operation::ProgramPart;
use crate::job::operation::Progress;
use crate::job::reading::Of;
use crate::job::reference::TopLeft;
use crate::job::stock::Stock;
use crate::job::stock::StockSize;
use crate::job::stock::Under;
use crate::job::tool::Tool;
use crate::job::typed;
use crate::job::zero::ZeroPoint;
use crate::measure::backlash::Axis;
use crate::plain;
use crate::program::finding::Finding;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::summary::Summary;
use crate::session::care_log;
use crate::session::care_log::Entry;
use crate::session::state::ProgramCopy;
use crate::session::state::State;
use crate::session::state::StopFinding;

/// A program that was read, and what the check says of it in this setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// What the reader made of it.
    pub summary: Summary,
    /// Findings of reader and check, gravest first.
    pub findings: Vec<Finding>,
    /// What is said of the zero, a sentence each.
    pub zero: Vec<String>,
    /// What was not stated, and how it was taken, sentences.
    pub assumed: Vec<String>,
    /// Points to jog to with the spindle off, a sentence each.
    pub check_points: Vec<String>,
    /// What the tool takes, by section.
    pub passes: Vec<Pass>,
    /// Whether a tool that cuts has no width that is known: its findings rest on an assumed one, or are missing.
    pub is_tool_unknown: bool,
    /// What is left of the top of the blank, by section.
    pub tops: Vec<TopLeft>,
}

/// Checks a program against the setup in work.
///
/// The path of a program that was not kept is taken from `followed`; while that is none, a stop says that it is not
/// followed yet.
pub fn check(state: &State, summary: Summary, log: &[Entry], followed: Option<&Swept>) -> Checked {
    let against = against(state, log);
    let is_placed = against.stock.is_some() && against.zero.is_some();
    let report = match followed {
        Some(swept) => check::check_followed(&summary, &against, swept.clone()),
        None if summary.kept.is_none() && is_placed => {
            let mut findings = Findings::default();
            findings.add(&rules::PATH_BEING_FOLLOWED, Place::FILE, 0, || {
                "The program is long: its path is being followed through the blank.".to_owned()
            });
            let swept = Swept {
                findings,
                ..Swept::default()
            };
            check::check_followed(&summary, &against, swept)
        }
        None => check::check(&summary, &against),
    };
    let zero = zero_words(&report.zero_candidates, against.zero);
    let check_points = report
        .check_points
        .iter()
        .map(|point| {
            format!(
                "X {} Y {} Z {} mm: {}",
                typed::plain(point.x_mm),
                typed::plain(point.y_mm),
                typed::plain(point.z_mm),
                point.why
            )
        })
        .collect();
    Checked {
        assumed: report.assumed,
        findings: report.findings,
        zero,
        check_points,
        passes: report.passes,
        is_tool_unknown: report.is_tool_unknown,
        tops: report.tops,
        summary,
    }
}

/// What is said of the zero: the stated one if it fits, else those that would.
fn zero_words(candidates: &[Candidate], stated: Option<ZeroPoint>) -> Vec<String> {
    let is_plain =
        |c: &&Candidate| !c.of_part && c.turned_deg == 0 && c.flipped.is_none() && !c.swapped;
    let of_stated = candidates
        .iter()
        .filter(is_plain)
        .find(|c| Some(c.zero) == stated);
    if let Some(candidate) = of_stated
        && candidate.fits
    {
        return vec![format!("Fits. {}", candidate.sentence)];
    }
    let fitting = candidates
        .iter()
        .filter(|candidate| candidate.fits && !candidate.of_part);
    let mut words: Vec<String> = fitting
        .take(2)
        .map(|candidate| format!("Fits: {}", candidate.sentence))
        .collect();
    if words.is_empty() {
        words.extend(
            candidates
                .first()
                .map(|nearest| format!("None fits. {}", nearest.sentence)),
        );
    }
    words
}

/// The setup in work as far as it is known.
pub fn against(state: &State, log: &[Entry]) -> Against {
    let setup = state.current_setup();
    let part = setup.stock.as_ref().and_then(|stock| stock.part.as_ref());
    Against {
        stock: setup.stock.as_ref().map(Stock::size),
        under: setup
            .stock
            .as_ref()
            .map_or(Under::Unknown, |stock| stock.under),
        over_cut_mm: None,
        part: part.map(|[x, y, z]| StockSize {
            x_mm: x.value,
            y_mm: y.value,
            z_mm: z.value,
        }),
        part_at_mm: None,
        zero: setup.zero.as_ref().map(|zero| zero.point),
        is_zero_on_part: false,
        machine: Some(
            Limits::of(&state.machine)
                .with_backlash(Axis::ALL.map(|axis| care_log::backlash(state, log, axis))),
        ),
        tools: tools(state),
        posted: posted(state),
        held_by: setup.holding.as_ref().map(|holding| holding.by),
        keep_outs: setup.zones(),
        heads_unknown: setup.holding.as_ref().is_some_and(Holding::heads_unknown),
        keep_outs_stand: keep_outs_stand(&setup.operations),
        recipes: recipes(state),
        pilots: pilots(state),
        bores: setup
            .readings
            .iter()
            .filter(|reading| reading.of == Of::Inside)
            .map(|reading| Bore {
                what: reading.what.clone(),
                size_mm: reading.nominal.value,
                tolerance_mm: reading.upper.value - reading.lower.value,
            })
            .collect(),
        z_at_mm: setup.z_reference.as_ref().and_then(|z| z.at),
        setup: Some(Box::new(setup.clone())),
    }
}

/// The tools that the program's numbers mean now: one that took over in the middle is checked as the one before was.
fn tools(state: &State) -> Vec<(u32, ToolFacts)> {
    let parts = state.current_setup().operations.iter();
    let of_parts = parts.filter_map(|operation| operation.part.as_ref()?.tool_number);
    let of_rack = state.rack.iter().filter_map(|rack| rack.number);
    let numbers: BTreeSet<u32> = of_parts.chain(of_rack).collect();
    let facts = |number: u32| {
        let rack = state.rack.get(state.tool_of_number(number)?)?;
        let mut facts = ToolFacts::of(&rack.tool);
        facts.stick_out_mm = Some(rack.stick_out_mm());
        Some((number, facts))
    };
    numbers.into_iter().filter_map(facts).collect()
}

/// What was planned for a number before another tool took over: the program was posted for it, unless its comment says more.
fn posted(state: &State) -> Vec<(u32, f64)> {
    let planned = |operation: &Operation| {
        let number = operation.part.as_ref()?.tool_number?;
        let first = operation.changes.first()?;
        let is_it = |tool: &Tool| match first.from_name.as_str() {
            // A record of before tools were named here.
            "" => tool.title == first.from,
            name => tool.name == name,
        };
        let tool = state.rack.iter().find(|rack| is_it(&rack.tool))?;
        Some((number, tool.tool.diameter_mm))
    };
    let operations = state.current_setup().operations.iter();
    operations.filter_map(planned).collect()
}

/// The setup as the sweep sees it: recipes and sizes are looked at by themselves.
pub fn setup_of(state: &State) -> Against {
    Against {
        recipes: vec![],
        bores: vec![],
        setup: None,
        ..against(state, &[])
    }
}

/// Recipes of the operations that run a section of the program.
fn recipes(state: &State) -> Vec<SectionRecipe> {
    let operations = state.current_setup().operations.iter();
    operations
        .filter_map(|operation| {
            let recipe = operation.recipe.as_ref()?;
            let tool = state.rack.get(operation.tool?)?;
            Some(SectionRecipe {
                first_line: operation.part.as_ref()?.first_line,
                fz_mm: recipe.fz_mm,
                ap_mm: recipe.ap_mm,
                ae_mm: recipe.ae_mm,
                n_rpm: recipe.n_rpm,
                override_percent: recipe.override_percent,
                flutes: tool.tool.flutes,
            })
        })
        .collect()
}

/// Sections that open a hole which is to be there.
fn pilots(state: &State) -> Vec<([u64; 2], f64)> {
    let operations = state.current_setup().operations.iter();
    operations
        .filter(|operation| pilots::is_drilled(state, operation))
        .filter_map(|operation| {
            let part = operation.part.as_ref()?;
            let hole = operation.pilot.as_ref()?;
            Some(([part.first_line, part.last_line], hole.value))
        })
        .collect()
}

/// Makes the findings that follow from recipes and sizes anew, without another sweep.
pub fn look_at_recipes(checked: &mut Checked, state: &State, log: &[Entry]) {
    let mut findings = Findings::default();
    check::of_recipes(
        &checked.summary,
        &checked.passes,
        &checked.tops,
        &against(state, log),
        &mut findings,
    );
    let is_other = |f: &Finding| check::OF_RECIPES.iter().all(|rule| rule.id != f.id);
    checked.findings.retain(is_other);
    checked.findings.extend(findings.into_sorted());
    checked
        .findings
        .sort_by(|a, b| b.level.cmp(&a.level).then(a.line.cmp(&b.line)));
}

/// Where in the program the keep-outs of now stand.
///
/// They stand from the last swap of clamps that is done to the next one that is not. What other
/// operations run, runs with clamps that stand elsewhere: those before are gone, those to come are
/// not stated yet.
fn keep_outs_stand(operations: &[Operation]) -> KeepOutsStand {
    let is_swap = |o: &Operation| o.kind == OperationKind::ClampSwap;
    if !operations.iter().any(is_swap) {
        return KeepOutsStand::Throughout;
    }
    let done = operations
        .iter()
        .rposition(|o| is_swap(o) && o.progress == Progress::Finished);
    let first = done.map_or(0, |place| place + 1);
    let next = operations
        .iter()
        .skip(first)
        .position(|o| is_swap(o) && !o.progress.is_done());
    let behind = next.map_or(operations.len(), |place| first + place);
    let elsewhere = operations[..first]
        .iter()
        .chain(&operations[behind..])
        .filter(|o| o.kind.is_cut());
    let lines: Option<Vec<[u64; 2]>> = elsewhere
        .map(|o| o.part.as_ref().map(|p| [p.first_line, p.last_line]))
        .collect();
    match lines {
        Some(lines) if lines.is_empty() => KeepOutsStand::Throughout,
        Some(lines) => KeepOutsStand::NotIn(lines),
        None => KeepOutsStand::Unknown,
    }
}

/// Posted and fitted diameter of the operation in work where its walls move, mm: with this tool, else with the one that is planned.
pub fn walls_off(state: &State, checked: &Checked, tool: Option<&Tool>) -> Option<(f64, f64)> {
    let part = state.current_operation()?.part.as_ref()?;
    let mut sections = checked.summary.sections.iter();
    let section = sections.find(|section| section.first_line == part.first_line)?;
    let against = setup_of(state);
    let Some(tool) = tool else {
        return walls::off(section, &against);
    };
    let planned = || Some(state.rack.get(state.planned_tool()?)?.tool.diameter_mm);
    let posted = walls::posted_mm(section, &against).or_else(planned)?;
    walls::off_with(section, posted, &ToolFacts::of(tool))
}

/// Name of a stop finding in the session: its rule and its line.
pub fn stop_id(finding: &Finding) -> String {
    format!("{} line {}", finding.id, finding.line)
}

/// What the session keeps of it.
pub fn copy(file: &str, is_built_in: bool, checked: &Checked) -> ProgramCopy {
    let count = |level: Level| checked.findings.iter().filter(|f| f.level == level).count();
    ProgramCopy {
        file: file.to_owned(),
        is_built_in,
        sha256: checked.summary.sha256.clone(),
        bytes: checked.summary.size_bytes,
        stops: checked
            .findings
            .iter()
            .filter(|finding| finding.level == Level::Stop)
            .map(|finding| StopFinding {
                id: stop_id(finding),
                message: plain::text(&finding.message),
                accepted: None,
            })
            .collect(),
        warnings: count(Level::Warn),
        notes: count(Level::Note),
        time_s: Some(checked.summary.times.feed_ideal_s + checked.summary.times.dwell_s),
        lowest_z_mm: checked.summary.extents.feed.axis(2).map(|(low, _)| low),
        tops: checked.tops.clone(),
    }
}

/// Warnings and notes, worst first, each in one line; stops are rows of their own. With the place of each in the
/// list of findings.
pub fn lines(checked: &Checked) -> Vec<(usize, String)> {
    let findings = checked.findings.iter().enumerate();
    findings
        .filter(|(_, finding)| finding.level != Level::Stop)
        .map(|(place, finding)| (place, line(finding)))
        .collect()
}

/// Room for the warnings beside a line of a list: a row of the smallest window, less what stands before them.
const BESIDE: usize = 58;

/// How many warnings of each level there are: stops, warnings, notes, as they are listed.
pub fn counts(checked: &Checked) -> [usize; 3] {
    [Level::Stop, Level::Warn, Level::Note].map(|level| {
        let all = checked.findings.iter();
        all.filter(|finding| finding.level == level).count()
    })
}

/// The warnings that concern a part of the program, in one short row; none where there are none.
pub fn warnings_of(checked: &Checked, part: &ProgramPart) -> Option<String> {
    let lines = part.first_line..=part.last_line;
    let own = checked
        .findings
        .iter()
        .filter(|finding| finding.level == Level::Warn && lines.contains(&finding.line));
    let mut count = 0;
    let mut names: Vec<String> = vec![];
    for finding in own {
        count += 1;
        let name = finding.id.replace('-', " ");
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let warnings = match count {
        0 => return None,
        1 => "1 warning: ".to_owned(),
        count => format!("{count} warnings: "),
    };
    let whole = format!("{warnings}{}", names.join(", "));
    Some(plain::cut(&whole, BESIDE))
}

/// A finding in one line: level, place, what is wrong.
pub fn line(finding: &Finding) -> String {
    let times = match finding.count {
        0 | 1 => String::new(),
        count => format!(" ({count} times)"),
    };
    let at = match finding.line {
        0 => String::new(),
        line => format!("line {line}: "),
    };
    format!(
        "{}  {at}{}{times}",
        finding.level.word(),
        plain::text(&finding.message)
    )
}
