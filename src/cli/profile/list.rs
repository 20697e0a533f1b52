//! `millside profile list`.

use std::fmt::Write;

use serde_json::Value;
use serde_json::json;

use crate::cli::Outcome;
use crate::cli::library;
use crate::cli::print;
use crate::cli::world::World;
use crate::job::caution::Caution;
use crate::job::shop_fact::ShopFact;
use crate::plain;
use crate::problem::Problem;
use crate::profile::library::Library;
use crate::profile::library::Mark;
use crate::profile::library::Named;
use crate::profile::library::Shelf;

/// Lists every profile; own ones are marked, broken ones counted.
pub fn run(as_json: bool, world: &mut dyn World) -> Result<Outcome, Problem> {
    let library = library::load(world);
    if as_json {
        print::json(world, &list_json(&library))?;
    } else {
        print::out(world, &list_text(&library))?;
    }
    Ok(Outcome::Fine)
}

fn list_json(library: &Library) -> Value {
    json!({
        "format": 1,
        "machines": rows(&library.machines, |_| true, |machine| json!({
            "title": machine.title,
            "kind": machine.kind.word(),
            "top_rpm": machine.spindle.top_rpm(),
        })),
        "materials": rows(&library.materials, |_| true, |material| json!({
            "title": material.title,
            "class": material.class.word(),
            "aliases": material.aliases,
        })),
        "tools": rows(&library.tools, |_| true, |tool| json!({
            "title": tool.title,
            "kind": tool.kind.word(),
            "diameter_mm": tool.diameter_mm,
            "flutes": tool.flutes,
            "edge": tool.edge.word(),
        })),
        "facts": facts(library).map(|(caution, fact, mark)| json!({
            "name": caution.id,
            "statement": caution.line,
            "scope": fact.reach.word(),
            "needed": fact.needed,
            "origin": mark.origin.word(),
        })).collect::<Vec<_>>(),
        "cautions": rows(&library.cautions, |caution| caution.shop_fact.is_none(), |caution| json!({
            "line": caution.line,
            "phase": caution.phase.word(),
            "critical": caution.critical,
        })),
        "templates": rows(&library.templates, |_| true, |template| json!({
            "title": template.title,
            "setups": template.setups.len(),
        })),
        "faults": library.faults.len(),
    })
}

fn rows<T: Named>(
    shelf: &Shelf<T>,
    is_meant: impl Fn(&T) -> bool,
    more: impl Fn(&T) -> Value,
) -> Value {
    shelf
        .iter()
        .filter(|(item, _)| is_meant(item))
        .map(|(item, mark)| {
            let mut row = more(item);
            if let Some(row) = row.as_object_mut() {
                row.insert("name".to_owned(), item.name().into());
                row.insert("origin".to_owned(), mark.origin.word().into());
                row.insert("replaces_shipped".to_owned(), mark.replaces_shipped.into());
            }
            row
        })
        .collect()
}

/// Every fact of the shop, which stand among the cautions.
fn facts(library: &Library) -> impl Iterator<Item = (&Caution, &ShopFact, &Mark)> {
    let all = library.cautions.iter();
    all.filter_map(|(caution, mark)| Some((caution, caution.shop_fact.as_ref()?, mark)))
}

fn list_text(library: &Library) -> String {
    let mut out = String::new();
    section(
        &mut out,
        "MACHINES",
        &library.machines,
        |_| true,
        |machine| format!("{}, {}", machine.title, machine.kind.word()),
    );
    section(
        &mut out,
        "MATERIALS",
        &library.materials,
        |_| true,
        |material| material.title.clone(),
    );
    section(
        &mut out,
        "TOOLS",
        &library.tools,
        |_| true,
        |tool| tool.title.clone(),
    );
    section(
        &mut out,
        "TEMPLATES",
        &library.templates,
        |_| true,
        |template| template.title.clone(),
    );
    let is_asked = |caution: &Caution| caution.shop_fact.is_none();
    section(
        &mut out,
        "CAUTIONS",
        &library.cautions,
        is_asked,
        |caution| {
            let critical = if caution.critical { " *" } else { "" };
            format!("{}{critical}", caution.line)
        },
    );
    let mut own_facts = facts(library).peekable();
    if own_facts.peek().is_some() {
        out.push_str("FACTS OF YOUR SHOP\n");
    }
    for (caution, fact, mark) in own_facts {
        // Writing to a String cannot fail.
        let _ = writeln!(
            out,
            "  {}  {}, for the {}{}",
            caution.id,
            plain::text(&caution.line),
            fact.reach.word(),
            own(mark)
        );
    }
    out.push_str(
        "* is asked at every list it belongs to; leaving it out needs a reason, which every record keeps\n\
         (the worst, asked before every cut, cannot be left out)\n",
    );
    let faults = library.faults.len();
    if faults > 0 {
        // Writing to a String cannot fail.
        let _ = writeln!(
            out,
            "\n{faults} {} in profiles; see: millside profile check",
            if faults == 1 { "fault" } else { "faults" }
        );
    }
    out
}

fn section<T: Named>(
    out: &mut String,
    heading: &str,
    shelf: &Shelf<T>,
    is_meant: impl Fn(&T) -> bool,
    more: impl Fn(&T) -> String,
) {
    let meant = || shelf.iter().filter(|(item, _)| is_meant(item));
    let columns = meant()
        .map(|(item, _)| plain::width(item.name()))
        .max()
        .unwrap_or(0);
    // Writing to a String cannot fail.
    let _ = writeln!(out, "{heading}");
    for (item, mark) in meant() {
        let _ = writeln!(
            out,
            "  {}  {}{}",
            plain::pad(item.name(), columns),
            plain::text(&more(item)),
            own(mark)
        );
    }
    out.push('\n');
}

fn own(mark: &Mark) -> &'static str {
    match (mark.origin.word(), mark.replaces_shipped) {
        ("own", true) => "  (own, in place of the shipped one)",
        ("own", false) => "  (own)",
        _ => "",
    }
}
