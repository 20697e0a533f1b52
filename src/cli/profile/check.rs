//! `millside profile check`.

use std::borrow::Cow;
use std::fmt::Write;
use std::path::PathBuf;

use annotate_snippets::AnnotationKind;
use annotate_snippets::Level;
use annotate_snippets::Renderer;
use annotate_snippets::Snippet;
use serde_json::Value;
use serde_json::json;

use crate::cli::Outcome;
use crate::cli::library;
use crate::cli::print;
use crate::cli::profile::excerpt;
use crate::cli::world::World;
use crate::job::caution::Caution;
use crate::plain;
use crate::problem::Problem;
use crate::profile::fault::Fault;
use crate::profile::fault::Origin;
use crate::profile::library::LARGEST_FILE;
use crate::profile::library::Library;
use crate::profile::library::Mark;
use crate::profile::library::ProfileFile;
use crate::profile::shipped;
use crate::profile::twins;
use crate::profile::twins::Twins;

/// Checks the files given, or the shipped ones and the person's own.
pub fn run(files: &[PathBuf], as_json: bool, world: &mut dyn World) -> Result<Outcome, Problem> {
    let own = if files.is_empty() {
        library::own_files(world)
    } else {
        given(files, world)?
    };
    let library = Library::with_own(&own);
    let is_meant = |fault: &&Fault| files.is_empty() || fault.origin == Origin::Own;
    let faults: Vec<&Fault> = library.faults.iter().filter(is_meant).collect();
    let mut twins = twins::find(&library);
    twins.retain(|twins| {
        files.is_empty()
            || [&twins.first, &twins.second]
                .iter()
                .any(|(_, mark)| mark.origin == Origin::Own)
    });
    if as_json {
        print::json(world, &report_json(&faults, &twins, &own))?;
    } else {
        print::out(
            world,
            &report_text(&faults, &twins, &own, &library, files.is_empty()),
        )?;
    }
    Ok(if faults.is_empty() {
        Outcome::Fine
    } else {
        Outcome::LookFirst
    })
}

fn given(files: &[PathBuf], world: &dyn World) -> Result<Vec<ProfileFile>, Problem> {
    files
        .iter()
        .map(|path| {
            let name = path.display().to_string();
            let bytes = world.read(path, LARGEST_FILE).map_err(|error| {
                Problem::user("open the profile")
                    .at(plain::text(&name))
                    .from_error(error)
                    .hint("Look at its spelling, or write its whole path.")
            })?;
            Ok(ProfileFile {
                origin: Origin::Own,
                file: name,
                bytes: Ok(Cow::Owned(bytes)),
            })
        })
        .collect()
}

fn report_json(faults: &[&Fault], twins: &[Twins], own: &[ProfileFile]) -> Value {
    let profile = |(name, mark): &(String, Mark)| json!({ "name": name, "file": mark.file, "line": mark.line });
    json!({
        "format": 1,
        "files": own.iter().map(|file| &file.file).collect::<Vec<_>>(),
        "faults": faults
            .iter()
            .map(|fault| json!({
                "file": fault.file,
                "line": fault.line,
                "column": fault.column,
                "entry": fault.entry,
                "key": fault.key,
                "wrong": fault.wrong,
                "allowed": fault.allowed,
            }))
            .collect::<Vec<_>>(),
        "equal_titles": twins
            .iter()
            .map(|twins| json!({
                "kind": twins.kind,
                "title": twins.title,
                "profiles": [profile(&twins.first), profile(&twins.second)],
            }))
            .collect::<Vec<_>>(),
    })
}

fn report_text(
    faults: &[&Fault],
    twins: &[Twins],
    own: &[ProfileFile],
    library: &Library,
    with_shipped: bool,
) -> String {
    let mut out = String::new();
    for fault in faults {
        out.push_str(&picture(fault, own));
        out.push('\n');
    }
    for twins in twins {
        out.push_str(&same_title(twins));
        out.push('\n');
    }
    let files = own.len()
        + if with_shipped {
            shipped::FILES.len()
        } else {
            0
        };
    let count = faults.len();
    let heading = if count == 0 {
        "no faults".to_owned()
    } else if count == 1 {
        "1 fault; entries without fault are in use".to_owned()
    } else {
        format!("{count} faults; entries without fault are in use")
    };
    // Writing to a String cannot fail.
    let _ = writeln!(
        out,
        "{heading} ({files} {})",
        if files == 1 { "file" } else { "files" }
    );
    let is_fact = |caution: &&Caution| caution.shop_fact.is_some();
    let facts = library.cautions.items().iter().filter(is_fact).count();
    if with_shipped {
        let _ = writeln!(
            out,
            "{} machines, {} materials, {} tools, {} templates, {} cautions{}",
            library.machines.items().len(),
            library.materials.items().len(),
            library.tools.items().len(),
            library.templates.items().len(),
            library.cautions.items().len() - facts,
            if facts == 0 {
                String::new()
            } else {
                format!(", {facts} of your own facts")
            },
        );
    }
    out
}

/// The warning that two profiles have one title, with the place of each.
fn same_title(twins: &Twins) -> String {
    let place = |(name, mark): &(String, Mark)| {
        plain::text(&format!("{name}, {}:{}", mark.file, mark.line))
    };
    let title = plain::text(&twins.title);
    format!(
        "warning: two {}s have the title \"{title}\"\n  {}\n  {}\nhelp: Give one of them another title, so that \
         lists tell them apart.\n",
        twins.kind,
        place(&twins.first),
        place(&twins.second)
    )
}

/// The fault with the line of the file that it is about, when there is one.
fn picture(fault: &Fault, own: &[ProfileFile]) -> String {
    let text = own
        .iter()
        .find(|file| file.file == fault.file)
        .and_then(|file| file.bytes.as_ref().ok())
        .filter(|bytes| bytes.len() <= LARGEST_FILE)
        .and_then(|bytes| std::str::from_utf8(bytes).ok())
        .filter(|_| fault.line > 0);
    let Some(text) = text else {
        return format!("{fault}\n");
    };
    let at = text.floor_char_boundary(fault.span.start);
    let start = text[..at].rfind('\n').map_or(0, |newline| newline + 1);
    let line = text[start..].lines().next().unwrap_or_default();
    let meant = fault.span.start - start..fault.span.end.max(fault.span.start) - start;
    let (shown, meant) = excerpt::around(line, meant);
    let title = match &fault.entry {
        Some(entry) => format!("{}: {}", plain::text(entry), fault.headline()),
        None => fault.headline(),
    };
    let place = plain::text(&fault.file);
    let allowed = plain::text(&fault.allowed);
    let report = &[Level::ERROR
        .primary_title(title)
        .elements([Snippet::source(shown.as_str())
            .line_start(fault.line)
            .path(place.as_str())
            .annotation(AnnotationKind::Primary.span(meant))])
        .element(Level::HELP.message(allowed))];
    plain::lines(&Renderer::plain().render(report)) + "\n"
}
