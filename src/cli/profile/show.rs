//! `millside profile show`.

use serde_json::Value;
use serde_json::json;

use crate::cli::Outcome;
use crate::cli::care;
use crate::cli::library;
use crate::cli::print;
use crate::cli::profile::detail;
use crate::cli::profile::detail::Line;
use crate::cli::world::World;
use crate::plain;
use crate::plain::near;
use crate::problem::Problem;
use crate::profile::extract;
use crate::profile::library::Library;
use crate::profile::library::Named;
use crate::profile::library::Shelf;
use crate::profile::shipped;

/// One profile found by its name.
struct Found {
    kind: &'static str,
    name: String,
    origin: &'static str,
    file: String,
    lines: Vec<Line>,
}

/// Shows every profile of the name: a machine and a tool may share one.
pub fn run(name: &str, as_json: bool, world: &mut dyn World) -> Result<Outcome, Problem> {
    let library = library::load(world);
    let mut found = find(&library, name);
    if found.is_empty() {
        return Err(not_there(&library, name));
    }
    for item in found.iter_mut().filter(|item| item.kind == "machine") {
        item.lines
            .extend(detail::care(care::read(&item.name, world)));
    }
    if as_json {
        let profiles: Vec<Value> = found.iter().map(as_object).collect();
        print::json(world, &json!({ "format": 1, "profiles": profiles }))?;
    } else {
        let mut out = String::new();
        for item in &found {
            out.push_str(&as_text(item));
            out.push('\n');
        }
        print::out(world, &out)?;
    }
    Ok(Outcome::Fine)
}

/// Prints the profile of the name as a file of its own.
pub fn as_file(name: &str, world: &mut dyn World) -> Result<Outcome, Problem> {
    let library = library::load(world);
    let Some(item) = find(&library, name).into_iter().next() else {
        return Err(not_there(&library, name));
    };
    let mut files = shipped::files();
    files.extend(library::own_files(world));
    let key = if matches!(item.kind, "caution" | "fact") {
        "id"
    } else {
        "name"
    };
    let text = files
        .iter()
        .filter(|file| file.file == item.file)
        .filter_map(|file| file.bytes.as_ref().ok())
        .filter_map(|bytes| std::str::from_utf8(bytes).ok())
        .find_map(|text| extract::entry(text, item.kind, key, &item.name))
        .ok_or_else(|| {
            Problem::user(format!("print the profile {}", plain::text(name)))
                .at(plain::text(&item.file))
                .because("its file holds other entries that cannot be read")
                .hint("See millside profile check.")
        })?;
    print::out(world, &(plain::lines(&text) + "\n"))?;
    Ok(Outcome::Fine)
}

fn not_there(library: &Library, name: &str) -> Problem {
    let names = all_names(library);
    let near = near::names(name, &names);
    let hint = if near.is_empty() {
        "See millside profile list.".to_owned()
    } else {
        format!(
            "Did you mean {}? See millside profile list.",
            near.join(", ")
        )
    };
    Problem::user(format!("find the profile {}", plain::text(name))).hint(hint)
}

fn all_names(library: &Library) -> Vec<&str> {
    let mut names = library.machines.names();
    names.extend(library.materials.names());
    names.extend(library.tools.names());
    names.extend(library.cautions.names());
    names.extend(library.templates.names());
    names
}

fn find(library: &Library, name: &str) -> Vec<Found> {
    let material = library
        .material(name)
        .map_or(name, |material| material.name.as_str());
    let mut found = vec![];
    found.extend(one("machine", &library.machines, name, detail::machine));
    found.extend(one(
        "material",
        &library.materials,
        material,
        detail::material,
    ));
    found.extend(one("tool", &library.tools, name, detail::tool));
    let is_fact = library
        .cautions
        .get(name)
        .is_some_and(|caution| caution.shop_fact.is_some());
    let kind = if is_fact { "fact" } else { "caution" };
    found.extend(one(kind, &library.cautions, name, detail::caution));
    found.extend(one("template", &library.templates, name, detail::template));
    found
}

fn one<T: Named>(
    kind: &'static str,
    shelf: &Shelf<T>,
    name: &str,
    lines: impl Fn(&T) -> Vec<Line>,
) -> Option<Found> {
    let (item, mark) = shelf.get_marked(name)?;
    Some(Found {
        kind,
        name: item.name().to_owned(),
        origin: mark.origin.word(),
        file: mark.file.clone(),
        lines: lines(item),
    })
}

fn as_object(found: &Found) -> Value {
    let mut object = serde_json::Map::new();
    object.insert("kind_of_profile".to_owned(), found.kind.into());
    object.insert("name".to_owned(), found.name.clone().into());
    object.insert("origin".to_owned(), found.origin.into());
    object.insert("file".to_owned(), found.file.clone().into());
    for line in &found.lines {
        object.insert(line.key.clone(), line.json.clone());
    }
    Value::Object(object)
}

fn as_text(found: &Found) -> String {
    let mut out = format!(
        "{} {}  ({}, {})\n",
        found.kind,
        plain::text(&found.name),
        found.origin,
        plain::text(&found.file)
    );
    let columns = found
        .lines
        .iter()
        .map(|line| plain::width(&line.label))
        .max()
        .unwrap_or(0);
    for line in &found.lines {
        let label = plain::pad(&line.label, columns);
        out.push_str(&format!("  {label}  {}\n", plain::text(&line.text)));
    }
    out
}
