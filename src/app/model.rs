//! Everything that the screen shows, as one value.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use crate::app::checking::Checked;
use crate::app::field::Field;
use crate::app::following::Followed;
use crate::app::input::Input;
use crate::app::keeping::Going;
use crate::app::keeping::Keeping;
use crate::app::key::Key;
use crate::app::leaving::Exit;
use crate::app::message::JobSummary;
use crate::app::message::ProgramRead;
use crate::app::overlay::Overlay;
use crate::app::recipe::Before;
use crate::app::recipe::Calculated;
use crate::app::row::Row;
use crate::app::undoing::Taken;
use crate::job::caution::Cautions;
use crate::job::machine::Machine;
use crate::job::material::Material;
use crate::job::template::Template;
use crate::job::tool::Tool;
use crate::measure::legible::Sizes;
use crate::profile::demo::Demo;
use crate::session::Session;
use crate::session::care_log::Entry;
use crate::session::gate::ListKind;
use crate::session::moment::Moment;
use crate::session::state::State;

/// Profiles as they were loaded, shipped and own.
#[derive(Clone, Debug, PartialEq)]
pub struct Library {
    /// Machines.
    pub machines: Vec<Machine>,
    /// Materials.
    pub materials: Vec<Material>,
    /// Tools.
    pub tools: Vec<Tool>,
    /// Cautions.
    pub cautions: Cautions,
    /// Job templates.
    pub templates: Vec<Template>,
    /// The local emergency number, as the person's profiles have it.
    pub emergency_number: Option<String>,
    /// What could not be read of the person's own profiles.
    pub faults: Vec<String>,
    /// The demo job, ready to begin.
    pub demo: Option<DemoJob>,
}

/// The demo job and its program.
#[derive(Clone, Debug, PartialEq)]
pub struct DemoJob {
    /// All but the program.
    pub demo: Demo,
    /// Its program.
    pub program: ProgramRead,
}

/// How a new job begins.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Way {
    /// From a program.
    #[default]
    Program,
    /// From a template.
    Template,
    /// By hand.
    Hand,
    /// The demo job.
    Demo,
}

/// A new job while it is being described.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Begin {
    /// How it begins.
    pub way: Way,
    /// The program, once read.
    pub program: Option<ProgramRead>,
    /// Which template.
    pub template: usize,
    /// Whether a file is being read or a record made.
    pub is_busy: bool,
}

/// Which screen is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Screen {
    /// The list of jobs.
    #[default]
    Jobs,
    /// A new job.
    Begin,
    /// A session.
    Session,
}

/// A field that owns the keys.
#[derive(Clone, Debug, PartialEq)]
pub struct Editing {
    /// Which.
    pub field: Field,
    /// What is typed.
    pub input: Input,
    /// Why the last Enter was not taken.
    pub error: Option<String>,
}

/// The one number that is big beside the time left.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BigNumber {
    /// Feed override to set.
    #[default]
    Override,
    /// Spindle speed to set.
    Rpm,
    /// Feed to set.
    Feed,
    /// Time elapsed.
    Elapsed,
}

/// An open session.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// Where its record is.
    pub path: String,
    /// The session.
    pub session: Session,
    /// Why nothing can be answered, if so: another program has it open, or it cannot be locked.
    pub read_only: Option<String>,
    /// How far its record is behind.
    pub keeping: Keeping,
    /// The last answers and entries that can be taken back, newest last.
    pub undo: Vec<Taken>,
    /// Since when the chosen row has been on show.
    pub row_since: Moment,
    /// Since when the record last had a sign of life.
    pub alive_since: Moment,
    /// Since when the program file was last looked at.
    pub program_seen: Moment,
    /// The program and its check, for the setup in work.
    pub checked: Option<Checked>,
    /// The path of a long program, followed beside the screen.
    pub followed: Option<Followed>,
    /// The program is being read once more because a cut is about to begin.
    pub looks_before_start: bool,
    /// In what the program differs from the one before, when it was posted anew.
    pub reposted: Vec<String>,
    /// Where the program could be begun again, a sentence each, once it was asked.
    pub begin_again: Vec<String>,
    /// The calculator's answer for the operation in work.
    pub calculated: Option<Calculated>,
    /// The recipe before the last change.
    pub before: Option<Before>,
    /// Why there is none, where there could be one.
    pub no_recipe: Option<String>,
    /// Which number is big.
    pub big: BigNumber,
    /// Bells rung for the operation in work: nearly, over.
    pub rung: (bool, bool),
    /// Which other view is shown beside or instead of the list.
    pub shows_record: bool,
    /// Lists that were left in the middle, until they are answered.
    pub stopped: Vec<Stopped>,
    /// What the machine's care log holds.
    pub care: CareKnown,
}

/// The machine's care log as it was last read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CareKnown {
    /// Its entries.
    pub entries: Vec<Entry>,
    /// Why it could not be read or written.
    pub fault: Option<String>,
}

/// A list that was left in the middle.
#[derive(Clone, Debug, PartialEq)]
pub struct Stopped {
    /// Which.
    pub list: ListKind,
    /// How many lines were answered.
    pub answered: usize,
    /// Of how many.
    pub of: usize,
    /// How long nobody was there, in seconds.
    pub away_s: f64,
}

/// A line that tells the outcome of the last key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// The words.
    pub text: String,
    /// Whether something was refused.
    pub is_refusal: bool,
}

/// How the screen may look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Colour may be used.
    pub colour: bool,
    /// Only ASCII may be used.
    pub ascii: bool,
    /// Which colours, where colour may be used.
    pub theme: Theme,
}

/// Colours for the light at the mill.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// The terminal's own colours, made for a dark background.
    #[default]
    Own,
    /// Soft white on black.
    Night,
    /// Black on white, for bright light.
    Bright,
}

impl Theme {
    /// All themes, in the order in which a key steps through them.
    pub const ALL: [Self; 3] = [Self::Own, Self::Night, Self::Bright];

    /// Word in the environment and on screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Own => "own",
            Self::Night => "night",
            Self::Bright => "bright",
        }
    }

    /// The reverse of [`Self::word`].
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|theme| theme.word() == word)
    }
}

/// Whether the big letters can be read from where the person stands: only the person knows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Legible {
    /// The running view asks.
    pub asks: bool,
    /// Sizes of the window at which the letters are doubled.
    pub doubled: BTreeSet<(u16, u16)>,
    /// What was said of sizes of the window, now and in earlier sessions.
    pub said: Sizes,
}

/// The model.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// The rows of the page as they are on show: made once, at the end of each update.
    pub rows: Vec<Row>,
    /// How much keeps the clock off, counted with them.
    pub open: usize,
    /// Columns and rows of the window.
    pub size: (u16, u16),
    /// How the screen may look.
    pub look: Look,
    /// Whether the big letters can be read.
    pub legible: Legible,
    /// Profiles.
    pub library: Library,
    /// Jobs as listed.
    pub jobs: Vec<JobSummary>,
    /// Whether they were listed yet.
    pub jobs_known: bool,
    /// Which screen is shown.
    pub screen: Screen,
    /// What lies over it.
    pub overlay: Option<Overlay>,
    /// The chosen row of the screen.
    pub cursor: usize,
    /// The field that owns the keys.
    pub editing: Option<Editing>,
    /// Texts of fields that are typed and not yet part of the session.
    pub drafts: BTreeMap<Field, String>,
    /// Drafts that a new job starts with, once its record is made.
    pub drafts_for_new: BTreeMap<Field, String>,
    /// Drafts of sessions that were left, by the path of their record.
    pub parked: BTreeMap<String, BTreeMap<Field, String>>,
    /// A new job.
    pub begin: Begin,
    /// The open session.
    pub work: Option<Work>,
    /// How far a long program is read, percent.
    pub reading: Option<u8>,
    /// Outcome of the last key.
    pub notice: Option<Notice>,
    /// The list before leaving is on show, and where the person is going.
    pub leaving: Option<Exit>,
    /// The person is on the way out and waits for the last save.
    pub going: Option<Going>,
    /// The person was told that Z is raised, and wanted to leave.
    pub leaves_raised: bool,
    /// One of the worst lines whose answer was begun with the key just before.
    pub begun: Option<(ListKind, String)>,
    /// The last key, and when it came.
    pub last_key: Option<(Key, Moment)>,
    /// Whether the key at hand comes as one that is held down repeats itself.
    pub is_held: bool,
    /// When the model last heard of anything.
    pub now: Moment,
    /// Where records are kept, for the person to read.
    pub folder: String,
    /// Version of the program.
    pub version: String,
}

/// Columns from which the record stands beside the rows.
pub const BESIDE: u16 = 120;

impl Model {
    /// Whether what was written down lies over the rows, so that no key may act on one.
    pub fn record_hides_rows(&self) -> bool {
        self.size.0 < BESIDE && self.work.as_ref().is_some_and(|work| work.shows_record)
    }

    /// The state of the open session.
    pub fn state(&self) -> Option<&State> {
        self.work.as_ref().map(|work| work.session.state())
    }

    /// What the care log of the session's machine held when it was last read.
    pub fn care_entries(&self) -> &[Entry] {
        self.work.as_ref().map_or(&[], |work| &work.care.entries)
    }

    /// Says something that is no refusal.
    pub fn say(&mut self, text: impl Into<String>) {
        self.notice = Some(Notice {
            text: text.into(),
            is_refusal: false,
        });
    }

    /// Says why something was not done.
    pub fn refuse(&mut self, text: impl Into<String>) {
        self.notice = Some(Notice {
            text: text.into(),
            is_refusal: true,
        });
    }
}

/// A model that has seen nothing yet.
pub fn new(library: Library, look: Look, folder: String, version: String, now: Moment) -> Model {
    Model {
        rows: vec![],
        open: 0,
        size: (80, 24),
        look,
        legible: Legible::default(),
        library,
        jobs: vec![],
        jobs_known: false,
        screen: Screen::Jobs,
        overlay: None,
        cursor: 0,
        editing: None,
        drafts: BTreeMap::new(),
        drafts_for_new: BTreeMap::new(),
        parked: BTreeMap::new(),
        begin: Begin::default(),
        work: None,
        reading: None,
        notice: None,
        leaving: None,
        going: None,
        leaves_raised: false,
        begun: None,
        last_key: None,
        is_held: false,
        now,
        folder,
        version,
    }
}
