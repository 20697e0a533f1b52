//! The lines of one profile, for people and for programs.

mod machine;
mod material;

pub use machine::machine;
pub use material::material;

use serde_json::Value;
use serde_json::json;

use crate::job::caution::Caution;
use crate::job::conditions::Condition;
use crate::job::conditions::Test;
use crate::job::conditions::Value as Stated;
use crate::job::shop_fact::ShopFact;
use crate::job::template::Step;
use crate::job::template::Template;
use crate::job::tool::Tool;
use crate::plain;
use crate::problem::Problem;
use crate::profile::sources::standing_word;
use crate::profile::unit::Unit;
use crate::session::care_log;
use crate::session::care_log::Entry;
use crate::session::matrix;
use crate::source::Source;

/// One line of a profile.
pub struct Line {
    /// Key of the JSON object, with the unit.
    pub key: String,
    /// What people read in its place.
    pub label: String,
    /// Value for people, with source or evidence.
    pub text: String,
    /// Value for programs.
    pub json: Value,
}

fn line(key: &str, label: &str, text: impl Into<String>, json: Value) -> Line {
    Line {
        key: key.to_owned(),
        label: label.to_owned(),
        text: text.into(),
        json,
    }
}

fn plain_line(key: &str, label: &str, text: &str) -> Line {
    line(key, label, text, text.into())
}

fn list_line(key: &str, label: &str, texts: &[String]) -> Option<Line> {
    (!texts.is_empty()).then(|| line(key, label, texts.join(" / "), json!(texts)))
}

fn stated_json(value: &Stated) -> Value {
    match value {
        Stated::Word(word) => word.clone().into(),
        Stated::Truth(truth) => (*truth).into(),
        Stated::Number(number) => (*number).into(),
    }
}

fn source_json(source: &Source) -> Value {
    json!({ "standing": standing_word(source.standing), "citation": source.citation })
}

fn measure(key: &str, label: &str, unit: Unit, value: f64) -> Line {
    line(key, label, unit.show(value), json!(value))
}

/// Lines of a tool.
pub fn tool(tool: &Tool) -> Vec<Line> {
    let yes = |truth: bool| if truth { "yes" } else { "no" };
    let mut lines = vec![
        plain_line("title", "title", &tool.title),
        plain_line("kind", "kind", tool.kind.word()),
        measure("diameter_mm", "diameter", Unit::Length, tool.diameter_mm),
        line(
            "flutes",
            "flutes",
            tool.flutes.to_string(),
            json!(tool.flutes),
        ),
        measure(
            "flute_length_mm",
            "flute length",
            Unit::Length,
            tool.flute_length_mm,
        ),
        measure("shank_mm", "shank", Unit::Length, tool.shank_mm),
        measure("stick_out_mm", "stick-out", Unit::Length, tool.stick_out_mm),
        measure(
            "corner_radius_mm",
            "corner radius",
            Unit::Length,
            tool.corner_radius_mm,
        ),
        measure("helix_deg", "helix", Unit::Angle, tool.helix_deg),
    ];
    let optional = [
        (
            "point_angle_deg",
            "point angle",
            Unit::Angle,
            tool.point_angle_deg,
        ),
        (
            "tip_diameter_mm",
            "tip diameter",
            Unit::Length,
            tool.tip_diameter_mm,
        ),
        (
            "edge_radius_mm",
            "edge radius",
            Unit::Length,
            tool.edge_radius_um.map(|um| um / 1000.0),
        ),
        ("pitch_mm", "pitch", Unit::Length, tool.pitch_mm),
        (
            "speed_rating_rpm",
            "speed rating",
            Unit::Rpm,
            tool.cutter_rating_rpm,
        ),
        (
            "arbor_speed_rating_rpm",
            "speed rating of its arbor",
            Unit::Rpm,
            tool.arbor_rating_rpm,
        ),
        (
            "holder_speed_rating_rpm",
            "speed rating of its holder",
            Unit::Rpm,
            tool.holder_rating_rpm,
        ),
    ];
    for (key, label, unit, value) in optional {
        lines.extend(value.map(|value| measure(key, label, unit, value)));
    }
    if let Some(thread) = &tool.thread {
        lines.push(plain_line("thread", "thread", thread));
    }
    lines.extend([
        plain_line("edge", "edge", tool.edge.word()),
        plain_line("coating", "coating", &tool.coating),
        line(
            "centre_cutting",
            "centre cutting",
            yes(tool.centre_cutting),
            json!(tool.centre_cutting),
        ),
        plain_line("hand", "hand", tool.hand.word()),
        line(
            "stored_length",
            "length stored with its holder",
            yes(tool.stored_length),
            json!(tool.stored_length),
        ),
    ]);
    lines.extend(list_line("notes", "notes", &tool.notes));
    lines
}

fn condition_text(condition: &Condition) -> String {
    match &condition.test {
        Test::OneOf(values) => {
            let values: Vec<String> = values.iter().map(ToString::to_string).collect();
            format!("{} is {}", condition.key, values.join(" or "))
        }
        Test::AtLeast(least) => format!("{} is {least} or more", condition.key),
    }
}

fn condition_json(condition: &Condition) -> Value {
    match &condition.test {
        Test::OneOf(values) => {
            let values: Vec<Value> = values.iter().map(stated_json).collect();
            json!({ "key": condition.key, "one_of": values })
        }
        Test::AtLeast(least) => json!({ "key": condition.key, "at_least": least }),
    }
}

/// So many entries of a care log are shown to people; programs get all.
const SHOWN: usize = 12;

/// Lines of a machine's care log: how it went with each axis, and the last entries, newest first.
pub fn care(log: Result<Vec<Entry>, Problem>) -> Vec<Line> {
    let mut log = match log {
        Ok(log) if log.is_empty() => return vec![],
        Ok(log) => log,
        Err(problem) => {
            let why = plain::lines(&problem.to_string()).replace('\n', "; ");
            return vec![line("care_log_fault", "care log", why.clone(), json!(why))];
        }
    };
    log.sort_by_key(|entry| entry.at);
    let trend = care_log::trend(&log);
    let entries: Vec<String> = care_log::standing(&log)
        .filter_map(care_log::line)
        .collect();
    let mut lines = vec![];
    for text in &trend {
        // Each carries all of them: the last wins, and there is none without a sentence.
        lines.push(line("care_trend", "care log", text.clone(), json!(trend)));
    }
    for text in entries.iter().rev().take(SHOWN) {
        lines.push(line("care_log", "  entry", text.clone(), Value::Null));
    }
    // Programs get all of it, in the order of time; this one comes last so that it wins.
    let all = format!("{} in all", entries.len());
    lines.push(line("care_log", "  entries", all, json!(entries)));
    lines
}

/// Lines of a fact of the shop.
fn shop_fact(caution: &Caution, fact: &ShopFact) -> Vec<Line> {
    let words: Vec<&str> = fact
        .withdrawn_by
        .iter()
        .map(|id| matrix::words(id))
        .collect();
    let mut lines = vec![
        plain_line("statement", "statement", &caution.line),
        plain_line("scope", "scope", fact.reach.word()),
        plain_line("step", "stands at", &fact.step),
        line(
            "needed",
            "a cut waits for it",
            if fact.needed { "yes" } else { "no" },
            json!(fact.needed),
        ),
        line(
            "withdrawn_by",
            "withdrawn by",
            words.join("; "),
            json!(fact.withdrawn_by),
        ),
    ];
    if let Some(answer) = &caution.answer {
        lines.push(plain_line("answer", "answer", answer));
    }
    if let Some(with) = &fact.with_line {
        lines.push(plain_line("line", "comes with the line", with));
    }
    if !caution.why.is_empty() {
        lines.push(plain_line("why", "why", &caution.why));
    }
    lines
}

/// Lines of a caution, or of the fact of the shop that it words.
pub fn caution(caution: &Caution) -> Vec<Line> {
    if let Some(fact) = &caution.shop_fact {
        return shop_fact(caution, fact);
    }
    let when: Vec<String> = caution.when.iter().map(condition_text).collect();
    let when = if when.is_empty() {
        "always".to_owned()
    } else {
        when.join(", and ")
    };
    let conditions: Vec<Value> = caution.when.iter().map(condition_json).collect();
    let again: Vec<&str> = caution
        .asked_again_by
        .iter()
        .map(|id| matrix::words(id))
        .collect();
    let mut lines = vec![
        plain_line("line", "line", &caution.line),
        plain_line("phase", "phase", caution.phase.word()),
        line(
            "critical",
            "critical",
            if caution.critical { "yes" } else { "no" },
            json!(caution.critical),
        ),
    ];
    if let Some(answer) = &caution.answer {
        lines.push(plain_line("answer", "answer", answer));
    }
    lines.extend([
        plain_line("place", "place", caution.place.word()),
        line(
            "repeat",
            "asked at every start",
            if caution.repeat { "yes" } else { "no" },
            json!(caution.repeat),
        ),
        line("when", "when", when, json!(conditions)),
        line(
            "asked_again_by",
            "asked again by",
            again.join("; "),
            json!(caution.asked_again_by),
        ),
        plain_line("hazard", "hazard", &caution.hazard),
        plain_line("why", "why", &caution.why),
        line(
            "source",
            "source",
            caution.source.to_string(),
            source_json(&caution.source),
        ),
    ]);
    lines
}

/// Lines of a job template.
pub fn template(template: &Template) -> Vec<Line> {
    let mut lines = vec![
        plain_line("title", "title", &template.title),
        plain_line("about", "about", &template.about),
    ];
    let mut setups = vec![];
    for (index, setup) in template.setups.iter().enumerate() {
        let number = index + 1;
        lines.push(line(
            "setups",
            &format!("setup {number}"),
            &*setup.title,
            Value::Null,
        ));
        let mut part = |label: &str, text: &str| {
            if !text.is_empty() {
                lines.push(line("setups", label, text, Value::Null));
            }
        };
        part("  turn", &setup.turn);
        part(
            "  held by",
            &format!("{}: {}", setup.held_by.word(), setup.hold),
        );
        part("  zero", &format!("{}. {}", setup.zero, setup.zero_note));
        let mut steps = vec![];
        for step in &setup.steps {
            match step {
                Step::Operation(operation) => {
                    let tool = operation.tool.as_deref().unwrap_or("-");
                    part(
                        &format!("  {}", operation.kind.word()),
                        &format!("{}; tool: {tool}; {}", operation.title, operation.note),
                    );
                    steps.push(json!({
                        "title": operation.title,
                        "kind": operation.kind.word(),
                        "tool": operation.tool,
                        "note": operation.note,
                    }));
                }
                Step::Measure(what) => {
                    part("  measure", what);
                    steps.push(json!({ "measure": what }));
                }
            }
        }
        setups.push(json!({
            "title": setup.title,
            "turn": setup.turn,
            "held_by": setup.held_by.word(),
            "hold": setup.hold,
            "zero": setup.zero.to_string(),
            "zero_note": setup.zero_note,
            "steps": steps,
        }));
    }
    // The lines above are for people; this one carries the object, and comes last so that it wins.
    lines.push(line(
        "setups",
        "setups",
        setups.len().to_string(),
        json!(setups),
    ));
    lines
}
