//! The demo job: everything that a newcomer needs to take a job through the program.

use toml::de::DeTable;

use crate::job::conditions::Conditions;
use crate::job::holding::HeldBy;
use crate::job::holding::Holding;
use crate::job::holding::KeepOut;
use crate::job::operation::OperationKind;
use crate::job::reading::Of;
use crate::job::reading::Reading;
use crate::job::reference::FoundBy;
use crate::job::reference::Surface;
use crate::job::reference::ZReference;
use crate::job::reference::Zero;
use crate::job::stock::Edges;
use crate::job::stock::Stock;
use crate::job::stock::Under;
use crate::job::typed::Typed;
use crate::profile::conditions;
use crate::profile::fault::Fault;
use crate::profile::fault::Origin;
use crate::profile::read::Section;
use crate::profile::sheet::Sheet;
use crate::profile::template;
use crate::profile::unit::Unit;

/// Text of `demo.toml`.
pub const DEMO_TEXT: &str = include_str!("../../profiles/demo/demo.toml");
/// The program that the demo job runs.
pub const PROGRAM_TEXT: &str = include_str!("../../profiles/demo/star-tracker-plate.nc");

/// A tool and the number that the program calls it by.
#[derive(Clone, Debug, PartialEq)]
pub struct DemoTool {
    /// T word of the program.
    pub number: u32,
    /// Name of the tool's profile.
    pub tool: String,
    /// How far it stands out here, mm; else as the profile has it.
    pub stick_out: Option<Typed>,
}

/// An operation of the demo job.
#[derive(Clone, Debug, PartialEq)]
pub struct DemoOperation {
    /// Title.
    pub title: String,
    /// Kind.
    pub kind: OperationKind,
    /// T word of its tool; none for a clamp swap.
    pub tool: Option<u32>,
    /// Section of the program, counted from 1.
    pub section: Option<u32>,
    /// Depth of a pass, mm.
    pub depth: Option<Typed>,
    /// Stepover, mm.
    pub stepover: Option<Typed>,
}

/// The demo job.
#[derive(Clone, Debug, PartialEq)]
pub struct Demo {
    /// Title.
    pub title: String,
    /// What it is, one or two sentences.
    pub about: String,
    /// Name of the machine's profile.
    pub machine: String,
    /// Name of the material's profile.
    pub material: String,
    /// Name of the program's file.
    pub program_name: String,
    /// The blank.
    pub stock: Stock,
    /// Title of its one setup.
    pub setup: String,
    /// How it is held.
    pub holding: Holding,
    /// Its XY zero.
    pub zero: Zero,
    /// Its Z reference.
    pub z_reference: ZReference,
    /// Tools in the order of their numbers.
    pub tools: Vec<DemoTool>,
    /// Operations in order.
    pub operations: Vec<DemoOperation>,
    /// Sizes to measure.
    pub readings: Vec<Reading>,
    /// What the person would have stated about shop and job.
    pub states: Conditions,
}

/// The demo job out of the program.
///
/// # Errors
///
/// The faults of `demo.toml`; the shipped one has none.
pub fn demo() -> Result<Demo, Vec<Fault>> {
    from_text("profiles/demo/demo.toml", DEMO_TEXT)
}

/// A demo job out of a text.
///
/// # Errors
///
/// What was wrong in it.
pub fn from_text(file: &str, text: &str) -> Result<Demo, Vec<Fault>> {
    let sheet = Sheet::new(Origin::Shipped, file, text);
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in &errors {
        sheet.report(
            error.span().unwrap_or(0..0),
            "",
            error.message(),
            "Write TOML.",
        );
    }
    let top = Section::new(&sheet, table.get_ref(), 0..0, "");
    let _ = top.count("format", 1..=1);
    let demo = top
        .section("demo", "Write a table [demo].")
        .and_then(|section| read(&section));
    top.finish();
    let faults = sheet.into_faults();
    match demo {
        Some(demo) if faults.is_empty() => Ok(demo),
        _ => Err(faults),
    }
}

fn length(s: &Section<'_, '_>, key: &'static str) -> Option<Typed> {
    let value = s.quantity(key, Unit::Length, 0.0..=5000.0)?;
    s.text(key).map(|text| Typed::new(text, value))
}

fn length_if(s: &Section<'_, '_>, key: &'static str) -> Option<Typed> {
    s.has(key).then(|| length(s, key)).flatten()
}

fn lengths<const N: usize>(s: &Section<'_, '_>, key: &'static str) -> Option<[Typed; N]> {
    let read: Option<Vec<Typed>> = s
        .texts(key)?
        .into_iter()
        .map(|text| {
            let value = Unit::Length.read(&text).ok()?;
            Some(Typed::new(text, value))
        })
        .collect();
    let fitting = read.and_then(|read| <[Typed; N]>::try_from(read).ok());
    if fitting.is_none() {
        s.fault(
            key,
            "does not fit",
            format!("Write a list of {N} lengths, each with its unit."),
        );
    }
    fitting
}

fn stock(demo: &Section<'_, '_>) -> Option<Stock> {
    let s = demo.section("stock", "Write a table [demo.stock].")?;
    let x = length(&s, "x");
    let y = length(&s, "y");
    let thickness: Option<[Typed; 4]> = lengths(&s, "thickness");
    let edges = s.word("edges", &["sawn", "milled"], |word| match word {
        "sawn" => Some(Edges::Sawn),
        "milled" => Some(Edges::Milled),
        _ => None,
    });
    let board = s.quantity("spoil_board", Unit::Length, 1.0..=200.0);
    let part: Option<[Typed; 3]> = lengths(&s, "part");
    s.finish();
    Some(Stock {
        x: x?,
        y: y?,
        thickness: thickness?.to_vec(),
        edges: edges?,
        under: Under::Spoil {
            thickness_mm: board?,
        },
        above_jaws: None,
        part: Some(part?),
    })
}

fn keep_out(s: &Section<'_, '_>) -> Option<KeepOut> {
    let from: Option<[Typed; 2]> = lengths(s, "from");
    let to: Option<[Typed; 2]> = lengths(s, "to");
    let height = length(s, "height");
    let _ = s.text("what");
    s.finish();
    Some(KeepOut {
        from: from?.map(|length| length.value),
        to: to?.map(|length| length.value),
        height: height?.value,
    })
}

fn tool(s: &Section<'_, '_>) -> Option<DemoTool> {
    let number = s.count("number", 1..=999);
    let tool = s.name("tool");
    let stick_out = length_if(s, "stick_out");
    s.finish();
    Some(DemoTool {
        number: number?,
        tool: tool?,
        stick_out,
    })
}

fn operation(s: &Section<'_, '_>) -> Option<DemoOperation> {
    let title = s.text("title");
    let kinds = OperationKind::ALL.map(OperationKind::word);
    let kind = s.word("kind", &kinds, OperationKind::from_word);
    let tool = s.has("tool").then(|| s.count("tool", 1..=999)).flatten();
    let section = s
        .has("section")
        .then(|| s.count("section", 1..=999))
        .flatten();
    let depth = length_if(s, "depth");
    let stepover = length_if(s, "stepover");
    s.finish();
    Some(DemoOperation {
        title: title?,
        kind: kind?,
        tool,
        section,
        depth,
        stepover,
    })
}

fn reading(s: &Section<'_, '_>) -> Option<Reading> {
    let what = s.text("what");
    let nominal = length(s, "nominal");
    let upper = length(s, "upper");
    let lower = length(s, "lower");
    let is_inside = s.truth_or_false("inside");
    let made_by = s.text_if("made_by");
    s.finish();
    let lower = lower?;
    let lower = if lower.value == 0.0 {
        lower
    } else {
        Typed::new(format!("-{}", lower.text), -lower.value)
    };
    Some(Reading {
        what: what?,
        nominal: nominal?,
        upper: upper?,
        lower,
        actual: None,
        of: if is_inside? { Of::Inside } else { Of::Outside },
        gauge: None,
        reads: vec![],
        made_by,
    })
}

fn all<T>(
    s: &Section<'_, '_>,
    key: &'static str,
    read: impl Fn(&Section<'_, '_>) -> Option<T>,
) -> Option<Vec<T>> {
    let read: Vec<Option<T>> = s
        .sections(key, "Write a list of tables.")?
        .iter()
        .map(read)
        .collect();
    read.into_iter().collect()
}

/// Title, holding, XY zero and Z reference of the one setup.
type SetupParts = (String, Holding, Zero, ZReference);

fn setup(demo: &Section<'_, '_>) -> Option<SetupParts> {
    let s = demo.section("setup", "Write a table [demo.setup].")?;
    let title = s.text("title");
    let held_by = s.word("held_by", &HeldBy::ALL.map(HeldBy::word), HeldBy::from_word);
    let keep_outs = all(&s, "keep_out", keep_out);
    let zero = s
        .section("xy", "Write a table [demo.setup.xy].")
        .and_then(|xy| {
            let point = template::zero(&xy);
            let found = FoundBy::ALL.map(FoundBy::word);
            let found_by = xy.word("found_by", &found, FoundBy::from_word);
            let finder = length(&xy, "finder");
            let offset = xy.text("offset");
            xy.finish();
            Some(Zero {
                point: point?,
                found_by: found_by?,
                finder: finder?,
                offset: offset?,
            })
        });
    let z_reference = s
        .section("z", "Write a table [demo.setup.z].")
        .and_then(|z| {
            let surfaces = Surface::ALL.map(Surface::word);
            let surface = z.word("surface", &surfaces, Surface::from_word);
            let below = length(&z, "below_zero");
            let shim = length(&z, "shim");
            z.finish();
            let below = below?;
            Some(ZReference {
                surface: surface?,
                height: Typed::new(format!("-{}", below.text), -below.value),
                shim: shim?,
                at: None,
            })
        });
    s.finish();
    let holding = Holding {
        pull_n: None,
        rest_after_s: None,
        by: held_by?,
        out_of_true: None,
        keep_outs: keep_outs?,
        screws: vec![],
    };
    Some((title?, holding, zero?, z_reference?))
}

fn read(s: &Section<'_, '_>) -> Option<Demo> {
    let title = s.text("title");
    let about = s.text("about");
    let machine = s.name("machine");
    let material = s.name("material");
    let program_name = s.text("program");
    let stock = stock(s);
    let setup = setup(s);
    let tools = all(s, "tool", tool);
    let operations = all(s, "operation", operation);
    let readings = all(s, "reading", reading);
    let states = s
        .section("states", "Write a table [demo.states].")
        .and_then(|states| conditions::stated(&states));
    s.finish();
    let (setup, holding, zero, z_reference) = setup?;
    Some(Demo {
        title: title?,
        about: about?,
        machine: machine?,
        material: material?,
        program_name: program_name?,
        stock: stock?,
        setup,
        holding,
        zero,
        z_reference,
        tools: tools?,
        operations: operations?,
        readings: readings?,
        states: states?,
    })
}
