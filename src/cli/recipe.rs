//! `millside recipe`.

mod given;
mod json;
mod text;
mod tool;

use clap::Args as ClapArgs;

use crate::calculator;
use crate::calculator::alternative::alternatives;
use crate::calculator::pilot;
use crate::calculator::question::Aim;
use crate::calculator::question::Cut;
use crate::calculator::question::Fixed;
use crate::calculator::question::Question;
use crate::calculator::question::Refusal;
use crate::calculator::thread;
use crate::cli::Outcome;
use crate::cli::library;
use crate::cli::print;
use crate::cli::world::World;
use crate::cutting::packing::Clearing;
use crate::job::tool::Edge;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::typed;
use crate::plain;
use crate::problem::Problem;
use crate::profile::library::Library;
use crate::profile::library::Named;
use crate::profile::library::Shelf;
use crate::quantity::Angle;
use crate::quantity::Feed;
use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::SpindleSpeed;
use crate::quantity::SurfaceSpeed;
use crate::quantity::mm;
use crate::table::threads::Thread;

/// Arguments of `millside recipe`.
#[derive(Debug, ClapArgs)]
pub struct Args {
    /// Machine, by the name of its profile.
    #[arg(long)]
    pub machine: String,
    /// Metal, by the name of its profile or another designation.
    #[arg(long)]
    pub material: String,
    /// Tool, by the name of its profile; other flags win over it.
    #[arg(long, required_unless_present = "diameter")]
    pub tool: Option<String>,
    /// Diameter of the tool.
    #[arg(long, value_name = "LEN", value_parser = given::length)]
    pub diameter: Option<Length>,
    /// Number of flutes.
    #[arg(long, value_name = "Z", value_parser = clap::value_parser!(u32).range(1..=40))]
    pub flutes: Option<u32>,
    /// What the edge is made of: hss or carbide.
    #[arg(long, value_name = "MATERIAL", value_parser = given::edge)]
    pub tool_material: Option<Edge>,
    /// Kind of cut: side, slot, face, plunge, drill, ream, tap, chamfer or thread.
    #[arg(long, value_parser = given::cut)]
    pub cut: Cut,
    /// Thread to tap or mill: M6, M6x0.75, 1/4-20.
    #[arg(value_name = "THREAD", value_parser = given::thread)]
    pub thread: Option<Thread>,
    /// Length of the tool out of its holder.
    #[arg(long, value_name = "LEN", value_parser = given::length)]
    pub stickout: Option<Length>,
    /// Radius of the cutting edge, such as 5um.
    #[arg(long, value_name = "LEN", value_parser = given::length)]
    pub edge_radius: Option<Length>,
    /// Corner radius; 0 for a sharp corner.
    #[arg(long, value_name = "LEN", value_parser = given::length_or_zero)]
    pub corner_radius: Option<Length>,
    /// Helix angle in degrees.
    #[arg(long, value_name = "DEG", value_parser = given::helix)]
    pub helix: Option<Angle>,
    /// Speed rating of the cutter, as read on it; the lowest of cutter, arbor and holder counts.
    #[arg(long, value_name = "RPM", value_parser = given::rpm)]
    pub speed_rating: Option<SpindleSpeed>,
    /// Run-out at the tool, total indicator reading.
    #[arg(long, value_name = "LEN", value_parser = given::length_or_zero)]
    pub runout: Option<Length>,
    /// Depth; for a hole its whole depth.
    #[arg(long, value_name = "LEN", value_parser = given::length)]
    pub ap: Option<Length>,
    /// Stepover.
    #[arg(long, value_name = "LEN", value_parser = given::length)]
    pub ae: Option<Length>,
    /// Spindle speed; not together with --vc.
    #[arg(long, value_name = "RPM", value_parser = given::rpm, conflicts_with = "vc")]
    pub n: Option<SpindleSpeed>,
    /// Surface speed.
    #[arg(long, value_name = "SPEED", value_parser = given::speed)]
    pub vc: Option<SurfaceSpeed>,
    /// Chip load.
    #[arg(long, value_name = "LEN", value_parser = given::length)]
    pub fz: Option<Length>,
    /// Feed.
    #[arg(long, value_name = "FEED", value_parser = given::feed)]
    pub vf: Option<Feed>,
    /// What to be best at: removal, finish or life.
    #[arg(long, default_value = "removal", value_parser = given::aim)]
    pub aim: Aim,
    /// How chips are cleared: none, brush, air, mist or flood.
    #[arg(long, default_value = "none", value_parser = given::clearing)]
    pub clearing: Clearing,
    /// Diameter of the hole that the drill opens; into the full when left out.
    #[arg(long, value_name = "LEN", value_parser = given::length)]
    pub pilot: Option<Length>,
    /// Total depth of the slot, all passes.
    #[arg(long, value_name = "LEN", value_parser = given::length)]
    pub total_depth: Option<Length>,
    /// Upward pull that the part's hold stood in a test, for tape, glue or vacuum.
    #[arg(long, value_name = "FORCE", value_parser = given::force)]
    pub part_hold: Option<Force>,
    /// A face narrower than the tool, cut in one pass over its middle.
    #[arg(long)]
    pub centred: bool,
    /// Frequency that the machine was heard to sing at, in Hz; may be given again.
    #[arg(long, value_name = "HZ", value_parser = given::frequency)]
    pub heard: Vec<SpindleSpeed>,
    /// Prints every formula with its numbers and source.
    #[arg(long)]
    pub trace: bool,
    /// Prints one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Runs the command.
///
/// # Errors
///
/// Wrong use: a name that no profile has, values that contradict each other.
pub fn run(args: &Args, world: &mut dyn World) -> Result<Outcome, Problem> {
    let library = library::load(world);
    let machine = find(&library.machines, &args.machine, "machine")?;
    let material = match library.material(&args.material) {
        Some(material) => material,
        None => no_one_else(&library, &args.material)
            .and_then(|()| find(&library.materials, &args.material, "material"))?,
    };
    let (tool, assumed) = tool::from(args, &library)?;
    same_thread(args, &tool)?;
    let mut question = Question::new(machine, material, &tool, args.cut);
    question.stick_out = args.stickout;
    question.run_out = args.runout;
    question.total_depth = args.total_depth;
    question.part_hold = args.part_hold;
    question.pilot = args.pilot;
    question.centred = args.centred;
    question.heard = &args.heard;
    question.pitch = args.thread.map(|thread| mm(thread.pitch_mm));
    question.thread = args.thread.map(|thread| mm(thread.diameter_mm));
    question.fixed = Fixed {
        n: args.n,
        vc: args.vc,
        fz: args.fz,
        vf: args.vf,
        ap: args.ap,
        ae: args.ae,
    };
    question.aim = args.aim;
    question.clearing = args.clearing;
    let mut answer = calculator::answer(&question).map_err(|refusal| {
        Problem::user("compute the recipe")
            .because(refusal.to_string())
            .hint(match refusal {
                Refusal::TapCannotReverse { .. } => {
                    "A thread mill: --cut thread --tool thread-mill-m6."
                }
                _ => "See millside recipe --help.",
            })
    })?;
    answer.assumed.splice(0..0, assumed);
    let others = alternatives(&question, &answer, library.tools.items());
    let plan = pilot::plan(&question, &answer, library.tools.items());
    if args.json {
        let object = json::object(&question, &answer, &others, plan.as_ref(), args.trace);
        print::json(world, &object)?;
    } else {
        let page = text::page(&question, &answer, &others, plan.as_ref(), args.trace);
        print::out(world, &format!("{}\n", page.trim_end()))?;
    }
    Ok(if answer.is_exceeded() {
        Outcome::LookFirst
    } else {
        Outcome::Fine
    })
}

/// The profile of a name, or a problem that names near ones.
fn find<'a, T: Named>(shelf: &'a Shelf<T>, name: &str, kind: &str) -> Result<&'a T, Problem> {
    shelf.get(name).ok_or_else(|| {
        let near = shelf.near(name);
        let hint = if near.is_empty() {
            "millside profile list names them all.".to_owned()
        } else {
            format!("Did you mean {}?", near.join(", "))
        };
        Problem::user("compute the recipe")
            .because(format!("no {kind} is called \"{}\"", plain::text(name)))
            .hint(hint)
    })
}

/// A designation that several materials have names none of them.
fn no_one_else(library: &Library, designation: &str) -> Result<(), Problem> {
    let names: Vec<&str> = library
        .designated(designation)
        .into_iter()
        .map(Named::name)
        .collect();
    if names.len() < 2 {
        return Ok(());
    }
    Err(Problem::user("compute the recipe")
        .because(format!(
            "\"{}\" is a designation of several materials",
            plain::text(designation)
        ))
        .hint(format!("Name one of them: {}.", names.join(", "))))
}

/// The tool of a name.
fn find_tool<'a>(library: &'a Library, name: &str) -> Result<&'a Tool, Problem> {
    find(&library.tools, name, "tool")
}

/// A tap makes its own thread and no other; a thread mill those of its pitch whose hole it goes into.
fn same_thread(args: &Args, tool: &Tool) -> Result<(), Problem> {
    let (Some(thread), Some(pitch)) = (args.thread, tool.pitch_mm) else {
        return Ok(());
    };
    let differs = |a: f64, b: f64| (a - b).abs() > 0.005;
    if tool.kind == Kind::ThreadMill {
        let misfit = thread::misfit(tool, thread.diameter_mm, thread.pitch_mm);
        return misfit.map_or(Ok(()), |because| {
            Err(Problem::user("work out this thread")
                .because(because)
                .hint("Name a thread mill of this pitch that goes into the hole."))
        });
    }
    if tool.kind != Kind::Tap {
        return Ok(());
    }
    if differs(thread.diameter_mm, tool.diameter_mm) || differs(thread.pitch_mm, pitch) {
        return Err(Problem::user("work out this thread")
            .because(format!(
                "the tap \"{}\" is {} mm with a pitch of {} mm, the thread {} mm with {} mm",
                plain::text(&tool.title),
                typed::plain(tool.diameter_mm),
                typed::plain(pitch),
                typed::plain(thread.diameter_mm),
                typed::plain(thread.pitch_mm)
            ))
            .hint("Name the tap of this thread, or the thread of this tap."));
    }
    Ok(())
}
