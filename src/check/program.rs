//! Checks that need nothing but the program.

use crate::check::against::Against;
use crate::check::hint;
use crate::check::rules;
use crate::check::walls;
use crate::job::tool::Kind;
use crate::job::typed;
use crate::program::code;
use crate::program::finding::Finding;
use crate::program::finding::Findings;
use crate::program::finding::Level;
use crate::program::finding::Place;
use crate::program::section::Section;
use crate::program::section::Turning;
use crate::program::summary::Summary;

/// Reader's findings that are only notes when the person minds the spindle.
const BY_HAND: [&str; 3] = ["spindle-stopped", "spindle-speed-missing", "cycle-spindle"];

/// A finding of the reader at the level that the setup gives it.
pub fn judged(finding: &Finding, against: &Against) -> Finding {
    let mut finding = finding.clone();
    if against.spindle_by_hand() && BY_HAND.contains(&finding.id) {
        finding.level = Level::Note;
        "The spindle is set by hand: read its speed and see it turn before the start."
            .clone_into(&mut finding.remedy);
    }
    finding
}

/// Place of a section's first line.
pub fn place(section: &Section) -> Place<'static> {
    Place {
        line: section.first_line,
        ..Place::FILE
    }
}

/// Whether moves are in the program, but on no axis the place of any is ever known.
fn moves_from_nowhere(summary: &Summary) -> bool {
    summary.moves.zero > 0 && (0..3).all(|axis| summary.extents.all.axis(axis).is_none())
}

/// Rapids across below the program's zero, when there is no blank to hold them against.
fn look_below_zero(summary: &Summary, findings: &mut Findings) {
    /// What rounding takes, mm.
    const HAIR_MM: f64 = 0.05;
    let lowest = summary
        .sections
        .iter()
        .filter_map(|section| Some((section, section.lowest_across?)))
        .filter(|(_, across)| across.z_mm < -HAIR_MM)
        .min_by(|(_, a), (_, b)| a.z_mm.total_cmp(&b.z_mm));
    if let Some((section, across)) = lowest {
        findings.add(&rules::RAPID_BELOW_ZERO, place(section), 0, || {
            format!(
                "A rapid runs across at Z{:.3}, below the program's zero; whether there is metal is not known.",
                across.z_mm
            )
        });
    }
}

/// A reference return that begins lower than the cuts do, when there is no blank to hold it against.
fn look_at_machine_move(summary: &Summary, findings: &mut Findings) {
    let Some(low) = summary.machine_move_low else {
        return;
    };
    let (Some(z), Some(start)) = (low.from_mm[2], low.cuts_from_mm) else {
        return;
    };
    let at = Place {
        line: low.line,
        ..Place::FILE
    };
    findings.add(&rules::MACHINE_MOVE_LOW, at, 0, || {
        format!(
            "{} with the tool at Z{z:.3} mm, below Z{start:.3} mm, where the cuts start: what stands in its way is not known.",
            low.words()
        )
    });
}

/// How far a tap's feed may lie from speed times pitch, share below and above: a floating holder follows a little.
const TAP_BELOW: f64 = 0.1;
const TAP_ABOVE: f64 = 0.02;

/// Feed of a tap over what its pitch asks for, where speed, feed and pitch are known.
fn tap_share(section: &Section, against: &Against) -> Option<f64> {
    let facts = against.tool(section.tool)?;
    if facts.kind != Some(Kind::Tap) || against.spindle_by_hand() {
        return None;
    }
    let wanted = section.s_rpm.filter(|s| *s > 0.0)? * facts.pitch_mm?;
    Some(section.feed_highest_mm_min? / wanted)
}

fn is_tap_feed_right(share: f64) -> bool {
    (1.0 - TAP_BELOW..=1.0 + TAP_ABOVE).contains(&share)
}

fn tap_feed(section: &Section, against: &Against, findings: &mut Findings) {
    let Some(share) = tap_share(section, against).filter(|share| !is_tap_feed_right(*share)) else {
        return;
    };
    let feed = section.feed_highest_mm_min.unwrap_or_default();
    findings.add(&rules::TAP_FEED, place(section), section.first_line, || {
        format!(
            "The tap runs at F{feed:.0} mm/min; its speed times its pitch is {:.0}.",
            feed / share
        )
    });
}

/// A tap, or a tapping cycle, with a spindle that cannot turn it out.
fn tap_reverse(section: &Section, summary: &Summary, against: &Against, findings: &mut Findings) {
    let cannot = against.machine.as_ref();
    if cannot.is_none_or(|machine| machine.turns_left) {
        return;
    }
    let is_tap = against.tool(section.tool).and_then(|facts| facts.kind) == Some(Kind::Tap);
    let lines = section.first_line..=section.last_line;
    let cycle = summary
        .findings
        .iter()
        .find(|finding| finding.id == "tapping-cycle" && lines.contains(&finding.line));
    if is_tap || cycle.is_some() {
        let line = cycle.map_or(section.first_line, |finding| finding.line);
        findings.add(&rules::TAP_WITHOUT_REVERSE, place(section), line, || {
            "A tap is driven by a spindle that turns right only: it cannot be backed out, and the tap or the thread breaks."
                .to_owned()
        });
    }
}

/// Whether every tap of the program runs at speed times pitch.
pub fn taps_are_right(summary: &Summary, against: &Against) -> bool {
    let cuts = summary.sections.iter().filter(|section| section.holes > 0);
    let mut shares = cuts
        .filter_map(|section| tap_share(section, against))
        .peekable();
    shares.peek().is_some() && shares.all(is_tap_feed_right)
}

/// Runs the checks.
pub fn check(summary: &Summary, against: &Against, findings: &mut Findings) {
    let cuts: Vec<&Section> = summary.sections.iter().filter(|s| s.has_cut()).collect();
    if let Some(line) = summary.blind_from.filter(|_| !cuts.is_empty()) {
        let at = Place {
            line,
            ..Place::FILE
        };
        findings.add(&rules::START_NOT_STATED, at, 0, || {
            "From here on the program cuts by distances (G91) from a place that is not known: the path is a guess. Was G90 forgotten behind a G28?".to_owned()
        });
    }
    if cuts.is_empty() && moves_from_nowhere(summary) {
        findings.add(&rules::START_NOT_STATED, Place::FILE, 0, || {
            "The program moves by distances (G91) from where the tool stands, which is not known: nothing can be said of its path.".to_owned()
        });
        return;
    }
    let is_endless = summary.findings.iter().any(|f| f.id == "endless-program");
    if cuts.is_empty() && is_endless {
        return;
    }
    if cuts.is_empty() {
        let positions = summary.moves.rapid > 0;
        let level = if positions {
            Level::Note
        } else {
            rules::NOTHING_IS_CUT.level
        };
        findings.add_at(&rules::NOTHING_IS_CUT, level, Place::FILE, 0, || {
            if positions {
                "No feed move is in the program: it only positions the tool.".to_owned()
            } else {
                "No feed move is in the program: nothing is cut.".to_owned()
            }
        });
        return;
    }
    if against.stock.is_none() || against.zero.is_none() {
        look_below_zero(summary, findings);
        look_at_machine_move(summary, findings);
    }
    let mut zeros: Vec<(usize, bool)> = vec![];
    for section in &cuts {
        let zero = (section.work_system, section.has_g92);
        if let Some(line) = section.zero_moved_line {
            let at = Place {
                line,
                ..Place::FILE
            };
            findings.add(&rules::ZERO_MOVED_BY_PROGRAM, at, line, || {
                format!(
                    "The program moves its zero away from where you set it, and cuts behind that, from line {} on: these cuts are not checked against blank and zero.",
                    section.first_line
                )
            });
        }
        if !zeros.contains(&zero) {
            zeros.push(zero);
        }
        tap_feed(section, against, findings);
        tap_reverse(section, summary, against, findings);
        if section.turning == Turning::Counterclockwise
            && against.tool(section.tool).and_then(|t| t.turns_right) != Some(false)
        {
            findings.add(&rules::SPINDLE_WRONG_WAY, place(section), 0, || {
                "The spindle turns counterclockwise (M4) in a cut.".to_owned()
            });
        }
    }
    if !summary.comments_of_other_tools.is_empty() && !summary.tools.is_empty() {
        let names: Vec<String> = summary
            .comments_of_other_tools
            .iter()
            .map(|tool| format!("T{tool}"))
            .collect();
        findings.add(&rules::COMMENT_OF_OTHER_TOOL, Place::FILE, 0, || {
            format!(
                "Comments speak of {}, and the program never changes to it.",
                names.join(", ")
            )
        });
    }
    if zeros.len() > 1 {
        let names: Vec<String> = zeros
            .iter()
            .map(|(system, g92)| {
                let name = code::system_name(*system);
                if *g92 {
                    format!("{name} with G92")
                } else {
                    name.to_owned()
                }
            })
            .collect();
        findings.add(&rules::SEVERAL_ZEROS, Place::FILE, 0, || {
            format!("The program uses several zeros: {}.", names.join(", "))
        });
    }
    if summary.spindle_on_at_end && !against.spindle_by_hand() {
        findings.add(&rules::NO_SPINDLE_STOP, Place::FILE, 0, || {
            "The program ends with the spindle turning.".to_owned()
        });
    }
    walls::check(summary, against, findings);
    if !against.tools.is_empty() {
        for section in cuts {
            let stated = against.tool(section.tool).and_then(|tool| tool.diameter_mm);
            if let (Some(d), Some(said), Some(tool)) = (
                stated,
                hint::diameter(&section.tool_comment, section.units),
                section.tool,
            ) && (d - said.mm).abs() > walls::SAME_DIAMETER_MM
                && walls::off(section, against).is_none()
            {
                findings.add(
                    &rules::TOOL_UNLIKE_COMMENT,
                    place(section),
                    u64::from(tool),
                    || {
                        format!(
                            "T{tool} is stated as {} mm across; the program's comment says {} mm{}.",
                            typed::plain(d),
                            typed::plain(said.mm),
                            said.unit.words()
                        )
                    },
                );
            }
            if let Some(tool) = section.tool
                && against.tool(Some(tool)).is_none()
            {
                findings.add(
                    &rules::TOOL_NOT_LISTED,
                    place(section),
                    u64::from(tool),
                    || format!("T{tool} is in the program but not among the stated tools."),
                );
            }
        }
    }
}
