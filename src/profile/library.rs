//! Everything that profiles hold: shipped ones, and the person's own that win by name.

use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::BTreeMap;

use toml::Spanned;
use toml::de::DeTable;

use crate::job::caution::Caution;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::job::template::Template;
use crate::job::tool::Tool;
use crate::plain::near;
use crate::profile::caution;
use crate::profile::checklist;
use crate::profile::checklist::MOST_LINES;
use crate::profile::fault::Fault;
use crate::profile::fault::Origin;
use crate::profile::fault::line_and_column;
use crate::profile::machine;
use crate::profile::material;
use crate::profile::read::Section;
use crate::profile::read::found;
use crate::profile::series;
use crate::profile::sheet::Sheet;
use crate::profile::shipped;
use crate::profile::shop;
use crate::profile::shop_fact;
use crate::profile::sources;
use crate::profile::template;
use crate::profile::tool;

/// Largest profile file, bytes.
pub const LARGEST_FILE: usize = 1 << 20;

/// The format that this program reads.
const FORMAT: u32 = 1;

/// One file to read.
#[derive(Clone, Debug)]
pub struct ProfileFile {
    /// Whose file.
    pub origin: Origin,
    /// Path or name, for messages.
    pub file: String,
    /// Its bytes, or why it could not be read.
    pub bytes: Result<Cow<'static, [u8]>, String>,
}

/// What has a name of its own.
pub trait Named {
    /// The name, by which own profiles replace shipped ones.
    fn name(&self) -> &str;
}

impl Named for Machine {
    fn name(&self) -> &str {
        &self.name
    }
}

impl Named for Material {
    fn name(&self) -> &str {
        &self.name
    }
}

impl Named for Tool {
    fn name(&self) -> &str {
        &self.name
    }
}

impl Named for Caution {
    fn name(&self) -> &str {
        &self.id
    }
}

impl Named for Template {
    fn name(&self) -> &str {
        &self.name
    }
}

/// Where an item of a shelf comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// Whose it is.
    pub origin: Origin,
    /// File.
    pub file: String,
    /// Line of the file where it begins, counted from 1.
    pub line: usize,
    /// Whether an own one stands in place of a shipped one.
    pub replaces_shipped: bool,
}

/// Items of one kind in the order of their files, each name once.
#[derive(Clone, Debug)]
pub struct Shelf<T> {
    items: Vec<T>,
    marks: Vec<Mark>,
}

impl<T> Default for Shelf<T> {
    fn default() -> Self {
        Self {
            items: vec![],
            marks: vec![],
        }
    }
}

impl<T: Named> Shelf<T> {
    /// All items.
    pub fn items(&self) -> &[T] {
        &self.items
    }

    /// All items with where they come from.
    pub fn iter(&self) -> impl Iterator<Item = (&T, &Mark)> {
        self.items.iter().zip(&self.marks)
    }

    /// The item of a name.
    pub fn get(&self, name: &str) -> Option<&T> {
        self.items.iter().find(|item| item.name() == name)
    }

    /// The item of a name with where it comes from.
    pub fn get_marked(&self, name: &str) -> Option<(&T, &Mark)> {
        self.iter().find(|(item, _)| item.name() == name)
    }

    /// Up to three names that a mistyped one may have meant, nearest first.
    pub fn near(&self, name: &str) -> Vec<&str> {
        near::names(name, &self.names())
    }

    /// Names in the order of the shelf.
    pub fn names(&self) -> Vec<&str> {
        self.items.iter().map(Named::name).collect()
    }

    /// Where the item of a name stands.
    fn place(&self, name: &str) -> Option<usize> {
        self.items.iter().position(|item| item.name() == name)
    }

    /// Puts an item on the shelf, at the place of the one of its name unless that is of the same origin.
    fn put(
        &mut self,
        place: Option<usize>,
        item: T,
        origin: Origin,
        file: &str,
        line: usize,
    ) -> bool {
        let mut mark = Mark {
            origin,
            file: file.to_owned(),
            line,
            replaces_shipped: false,
        };
        match place {
            None => {
                self.items.push(item);
                self.marks.push(mark);
                true
            }
            Some(at) if self.marks[at].origin == Origin::Shipped && origin == Origin::Own => {
                mark.replaces_shipped = true;
                self.items[at] = item;
                self.marks[at] = mark;
                true
            }
            Some(_) => false,
        }
    }
}

/// Machines, materials, tools, cautions and templates, and what was wrong in their files.
#[derive(Clone, Debug, Default)]
pub struct Library {
    /// Machines.
    pub machines: Shelf<Machine>,
    /// Materials.
    pub materials: Shelf<Material>,
    /// Tools.
    pub tools: Shelf<Tool>,
    /// Cautions, lines of checklists and facts of the shop.
    pub cautions: Shelf<Caution>,
    /// Job templates.
    pub templates: Shelf<Template>,
    /// The local emergency number; the last file that has one wins.
    pub emergency_number: Option<String>,
    /// What was wrong, file by file.
    pub faults: Vec<Fault>,
}

impl Library {
    /// The profiles that the program brings along.
    pub fn shipped() -> Self {
        Self::with_own(&[])
    }

    /// The shipped profiles, and the person's own in the order given.
    pub fn with_own(own: &[ProfileFile]) -> Self {
        let mut library = Self::default();
        for file in shipped::files() {
            library.add(&file);
        }
        for file in own {
            library.add(file);
        }
        library
    }

    /// Only these files, without the shipped ones: to check them.
    pub fn only(files: &[ProfileFile]) -> Self {
        let mut library = Self::default();
        for file in files {
            library.add(file);
        }
        library
    }

    /// The material of a name, else the only one of a title or another designation; upper and lower case are the
    /// same.
    pub fn material(&self, name: &str) -> Option<&Material> {
        self.materials.get(name).or_else(|| {
            let all = self.designated(name);
            all.first().copied().filter(|_| all.len() == 1)
        })
    }

    /// Every material of a title or another designation; upper and lower case are the same.
    pub fn designated(&self, designation: &str) -> Vec<&Material> {
        let wanted = designation.to_lowercase();
        let is_it = |text: &String| text.to_lowercase() == wanted;
        let all = self.materials.items().iter();
        all.filter(|material| is_it(&material.title) || material.aliases.iter().any(is_it))
            .collect()
    }

    /// Reads a file; what is broken in it is reported, the rest of it is taken.
    fn add(&mut self, file: &ProfileFile) {
        let whole = |wrong: String, allowed: &str| Fault {
            origin: file.origin,
            file: file.file.clone(),
            line: 0,
            column: 0,
            span: 0..0,
            entry: None,
            key: String::new(),
            wrong,
            allowed: allowed.to_owned(),
        };
        let bytes = match &file.bytes {
            Ok(bytes) => bytes,
            Err(why) => {
                self.faults.push(whole(
                    format!("the file could not be read: {why}"),
                    "Look at its permissions, or remove it.",
                ));
                return;
            }
        };
        if bytes.len() > LARGEST_FILE {
            self.faults.push(whole(
                format!("the file has more than {LARGEST_FILE} bytes"),
                "A profile file may have at most 1 MiB.",
            ));
            return;
        }
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text,
            Err(error) => {
                let good = error.valid_up_to();
                let before = std::str::from_utf8(&bytes[..good]).unwrap_or_default();
                let (line, column) = line_and_column(before, good);
                self.faults.push(Fault {
                    line,
                    column,
                    ..whole(
                        format!("the file is not UTF-8 text from byte {} on", good + 1),
                        "Save it as UTF-8.",
                    )
                });
                return;
            }
        };
        self.add_text(file.origin, &file.file, text);
    }

    /// How many lines of one's own each pause asks always.
    fn always_asked(&self) -> BTreeMap<&'static str, usize> {
        let mut counts = BTreeMap::new();
        for (caution, mark) in self.cautions.iter() {
            let is_new = mark.origin == Origin::Own && !mark.replaces_shipped;
            if is_new && is_always_asked(caution) {
                *counts.entry(caution.phase.word()).or_default() += 1;
            }
        }
        counts
    }

    fn add_text(&mut self, origin: Origin, file: &str, text: &str) {
        let sheet = Sheet::new(origin, file, text);
        let (table, errors) = DeTable::parse_recoverable(text);
        let mut broken = vec![];
        for error in &errors {
            let span = error.span().unwrap_or(0..0);
            broken.push(span.start);
            sheet.report(
                span,
                "",
                error.message().replace('\n', "; "),
                "Write TOML: key = value, texts in quotes, each key once.",
            );
        }
        self.add_table(&sheet, &table, &broken);
        self.faults.extend(sheet.into_faults());
    }

    fn add_table(&mut self, sheet: &Sheet<'_>, table: &Spanned<DeTable<'_>>, broken: &[usize]) {
        let top = Section::new(sheet, table.get_ref(), 0..0, "");
        if !has_format(&top) && broken.is_empty() {
            return;
        }
        let known = sources::sources(&top);
        let machines = entries(&top, "machine", "name");
        let materials = entries(&top, "material", "name");
        let members = series::members(&top, broken);
        let mut tools = entries(&top, "tool", "name");
        tools.extend(members.iter().map(|member| {
            let (span, path) = (member.span.clone(), member.path.as_str());
            named(Section::new(sheet, &member.table, span, path), "name")
        }));
        let cautions = entries(&top, "caution", "id");
        let templates = entries(&top, "template", "name");
        let checklists = entries(&top, "checklist", "name");
        let facts = entries(&top, "fact", "id");
        let left_out = entries(&top, "leave_out", "caution");
        if let Some(number) = shop::emergency_number(&top) {
            self.emergency_number = Some(number);
        }
        top.finish();

        let mut starts: Vec<usize> = [
            &machines,
            &materials,
            &tools,
            &cautions,
            &templates,
            &checklists,
            &facts,
            &left_out,
        ]
        .into_iter()
        .flatten()
        .map(|(_, section)| section.span.start)
        .collect();
        starts.extend(series::starts(&top));
        starts.sort_unstable();
        let is_broken = |start: usize| {
            let end = starts
                .iter()
                .copied()
                .find(|next| *next > start)
                .unwrap_or(usize::MAX);
            broken.iter().any(|at| (start..end).contains(at))
        };

        let mut taken = Taken { sheet, is_broken };
        taken.all(&machines, &mut self.machines, machine::read, keep);
        taken.all(
            &materials,
            &mut self.materials,
            |s| material::read(s, &known),
            keep,
        );
        taken.all(&tools, &mut self.tools, tool::read, keep);
        let is_own = sheet.origin == Origin::Own;
        let before = self.cautions.items.clone();
        let mark = |mut caution: Caution| {
            let old = before.iter().find(|old| old.id == caution.id);
            if let Some(old) = old.filter(|_| is_own) {
                // Other words for the same thing: what makes it doubtful stays.
                let mut by = old.asked_again_by.clone();
                by.extend(std::mem::take(&mut caution.asked_again_by));
                by.dedup();
                caution.asked_again_by = by;
                caution.reworded = *old != caution;
            }
            caution
        };
        let own = RefCell::new(self.always_asked());
        taken.all(
            &cautions,
            &mut self.cautions,
            |s| {
                let caution = caution::read(s).map(mark)?;
                if is_own && before.iter().all(|old| old.id != caution.id) {
                    fits_a_page(s, &caution, &mut own.borrow_mut())?;
                }
                Some(caution)
            },
            keeps_critical,
        );
        taken.checklists(&checklists, &mut self.cautions);
        taken.facts(&facts, &mut self.cautions);
        taken.left_out(&left_out, &mut self.cautions);
        taken.all(&templates, &mut self.templates, template::read, keep);
    }
}

/// Whether the file says that it has the format that this program reads; else reports it.
fn has_format(top: &Section<'_, '_>) -> bool {
    if !top.has("format") {
        top.fault(
            "format",
            "is missing",
            format!("Write format = {FORMAT} as the first line."),
        );
        return false;
    }
    let Some(written) = top.free("format") else {
        return false;
    };
    let is_ours = written
        .as_integer()
        .is_some_and(|number| number.as_str() == FORMAT.to_string());
    if !is_ours {
        top.fault(
            "format",
            found(written),
            format!("Write format = {FORMAT}; a greater one comes from a newer program."),
        );
    }
    is_ours
}

/// Entries of one kind, each with its name if that could be read.
type Entries<'s, 't> = Vec<(Option<String>, Section<'s, 't>)>;

fn entries<'s, 't>(
    top: &Section<'s, 't>,
    kind: &'static str,
    name: &'static str,
) -> Entries<'s, 't> {
    let allowed = format!("Write tables headed [[{kind}]].");
    top.sections(kind, &allowed)
        .unwrap_or_default()
        .into_iter()
        .map(|section| named(section, name))
        .collect()
}

/// An entry with its name, if that could be read.
fn named<'s, 't>(section: Section<'s, 't>, name: &str) -> (Option<String>, Section<'s, 't>) {
    let name = section
        .free(name)
        .and_then(|value| value.as_str().map(|text| text.chars().take(60).collect()));
    (name, section)
}

/// Whether an own item may stand in for a shipped one; else why not.
type MayReplace<T> = fn(old: &T, new: &T) -> Result<(), &'static str>;

fn keep<T>(_: &T, _: &T) -> Result<(), &'static str> {
    Ok(())
}

/// A shipped critical caution may be worded anew, but not weakened.
fn keeps_critical(old: &Caution, new: &Caution) -> Result<(), &'static str> {
    if !old.critical {
        return Ok(());
    }
    if !new.critical || new.phase != old.phase || new.when != old.when || new.repeat != old.repeat {
        return Err("takes the place of a shipped critical caution and weakens it");
    }
    Ok(())
}

/// Lines of one's own that each list of a pause asks, whatever the job is.
fn is_always_asked(caution: &Caution) -> bool {
    caution.critical
        && caution.when.is_empty()
        && caution.checklist.is_none()
        && caution.shop_fact.is_none()
}

/// Adds one's own caution to those of its pause; a tenth is a fault, as in a checklist.
fn fits_a_page(
    s: &Section<'_, '_>,
    caution: &Caution,
    own: &mut BTreeMap<&'static str, usize>,
) -> Option<()> {
    if !is_always_asked(caution) {
        return Some(());
    }
    let count = own.entry(caution.phase.word()).or_default();
    *count += 1;
    if *count <= MOST_LINES {
        return Some(());
    }
    s.fault(
        "phase",
        format!("gets {count} own lines that are always asked"),
        format!(
            "Write at most {MOST_LINES} for a pause: say which of them goes, or when it is asked."
        ),
    );
    None
}

/// A fact of the shop stands in for nothing.
fn is_another_name(_: &Caution, _: &Caution) -> Result<(), &'static str> {
    Err("has the name of a shipped caution")
}

struct Taken<'a, 't, F> {
    sheet: &'a Sheet<'t>,
    is_broken: F,
}

impl<F: Fn(usize) -> bool> Taken<'_, '_, F> {
    fn all<'s, 't, T: Named>(
        &mut self,
        entries: &Entries<'s, 't>,
        shelf: &mut Shelf<T>,
        read: impl Fn(&Section<'s, 't>) -> Option<T>,
        may_replace: MayReplace<T>,
    ) {
        for (name, section) in entries {
            if (self.is_broken)(section.span.start) {
                continue;
            }
            self.sheet.enter(name.clone());
            let before = self.sheet.count();
            let item = read(section);
            if self.sheet.count() == before
                && let Some(item) = item
            {
                self.put(section, shelf, item, may_replace);
            }
            self.sheet.enter(None);
        }
    }

    /// Each line of a checklist is a caution of its own.
    fn checklists<'s, 't>(&mut self, entries: &Entries<'s, 't>, shelf: &mut Shelf<Caution>) {
        for (name, section) in entries {
            if (self.is_broken)(section.span.start) {
                continue;
            }
            self.sheet.enter(name.clone());
            let before = self.sheet.count();
            let lines = checklist::read(section);
            if self.sheet.count() == before {
                for line in lines.unwrap_or_default() {
                    self.put(section, shelf, line, keeps_critical);
                }
            }
            self.sheet.enter(None);
        }
    }

    /// A fact of the shop stands among the cautions, under a name that none of them has.
    fn facts<'s, 't>(&mut self, entries: &Entries<'s, 't>, shelf: &mut Shelf<Caution>) {
        for (name, section) in entries {
            if (self.is_broken)(section.span.start) {
                continue;
            }
            self.sheet.enter(name.clone());
            let before = self.sheet.count();
            let fact = shop_fact::read(section).filter(|_| self.sheet.count() == before);
            if let Some(fact) = fact {
                let with_line = fact.shop_fact.as_ref().and_then(|f| f.with_line.clone());
                let is_asked = with_line.as_deref().is_none_or(|line| {
                    shelf
                        .get(line)
                        .is_some_and(|caution| caution.critical && caution.shop_fact.is_none())
                });
                if is_asked {
                    self.put(section, shelf, fact, is_another_name);
                } else {
                    section.fault(
                        "line",
                        format!(
                            "names {}, which no list asks",
                            with_line.unwrap_or_default()
                        ),
                        "Write the name of a critical caution; millside profile list marks them with *.",
                    );
                }
            }
            self.sheet.enter(None);
        }
    }

    /// A caution that is left out stays on its shelf, with the reason.
    fn left_out<'s, 't>(&mut self, entries: &Entries<'s, 't>, shelf: &mut Shelf<Caution>) {
        for (name, section) in entries {
            if (self.is_broken)(section.span.start) {
                continue;
            }
            self.sheet.enter(name.clone());
            let before = self.sheet.count();
            let read = checklist::leave_out(section).filter(|_| self.sheet.count() == before);
            if let Some((name, reason)) = read {
                match shelf.items.iter_mut().find(|caution| caution.id == name) {
                    None => {
                        let names: Vec<&str> = shelf.items.iter().map(Named::name).collect();
                        let meant = near::word(&name, &names)
                            .map_or(String::new(), |near| format!("Did you mean {near}? "));
                        section.fault(
                            "caution",
                            format!("is \"{name}\", and no caution has this name"),
                            format!("{meant}millside profile list names them all."),
                        );
                    }
                    Some(caution) if caution.repeat => section.fault(
                        "caution",
                        "is one of the worst, asked before every cut: it cannot be left out",
                        "Word it anew under its own name, if your machine needs other words.",
                    ),
                    Some(caution) => caution.left_out = Some(reason),
                }
            }
            self.sheet.enter(None);
        }
    }

    fn put<T: Named>(
        &self,
        section: &Section<'_, '_>,
        shelf: &mut Shelf<T>,
        item: T,
        may_replace: MayReplace<T>,
    ) {
        let place = shelf.place(item.name());
        if let Some(place) = place
            && shelf.marks[place].origin == Origin::Shipped
            && self.sheet.origin == Origin::Own
            && let Err(why) = may_replace(&shelf.items[place], &item)
        {
            self.sheet.report(
                section.span.clone(),
                "",
                why,
                "Give yours another name, or keep phase, critical, repeat and when as shipped.",
            );
            return;
        }
        let first = place.map(|place| {
            let mark = &shelf.marks[place];
            format!(
                "{} is used twice; the first is in {}:{}",
                item.name(),
                mark.file,
                mark.line
            )
        });
        let (line, _) = line_and_column(self.sheet.text, section.span.start);
        if !shelf.put(place, item, self.sheet.origin, self.sheet.file, line) {
            self.sheet.report(
                section.span.clone(),
                "",
                format!("the name {}", first.unwrap_or_default()),
                "Give each its own name.",
            );
        }
    }
}
