//! Looking at the path of the program: from above or from the side, near or far, all of it or one section, and at
//! the places of its findings.

use crate::app::checking;
use crate::app::checking::Checked;
use crate::app::effect::Effect;
use crate::app::key::Key;
use crate::app::model::Model;
use crate::app::overlay::Overlay;
use crate::app::perform;
use crate::program::finding::Finding;
use crate::program::finding::Level;
use crate::program::fold::Fold;
use crate::program::motion::Motion;
use crate::program::section::Section;

/// How often the picture is doubled at most.
const MOST_ZOOM: u8 = 7;
/// Share of the window that one press moves it by.
const PAN: f64 = 0.25;

/// What of the path is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Part {
    /// All of it.
    #[default]
    All,
    /// What one tool cuts, by its place in [`tools`].
    Tool(usize),
    /// One section, by its place.
    Section(usize),
}

/// The tools of a program in the order of their first cut; none for sections that name no tool.
pub fn tools(checked: &Checked) -> Vec<Option<u32>> {
    let mut tools = vec![];
    for section in &checked.summary.sections {
        if !tools.contains(&section.tool) {
            tools.push(section.tool);
        }
    }
    tools
}

impl Part {
    /// The sections that it holds.
    pub fn sections(self, checked: &Checked) -> Vec<&Section> {
        let all = checked.summary.sections.iter();
        match self {
            Self::All => all.collect(),
            Self::Section(place) => all.skip(place).take(1).collect(),
            Self::Tool(place) => {
                let tool = tools(checked).get(place).copied();
                all.filter(|section| Some(section.tool) == tool).collect()
            }
        }
    }

    /// The next tool; all of them behind the last.
    fn next_tool(self, checked: &Checked) -> Self {
        let count = tools(checked).len();
        match self {
            Self::Tool(place) if place + 1 < count => Self::Tool(place + 1),
            Self::Tool(_) => Self::All,
            _ if count > 1 => Self::Tool(0),
            _ => Self::All,
        }
    }

    /// The next section; all of them behind the last.
    fn next_section(self, checked: &Checked) -> Self {
        let count = checked.summary.sections.len();
        match self {
            Self::Section(place) if place + 1 < count => Self::Section(place + 1),
            Self::Section(_) => Self::All,
            _ if count > 1 => Self::Section(0),
            _ => Self::All,
        }
    }
}

/// What is looked at, and how.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Look {
    /// The finding that is shown, by its place in the list; none: the path alone.
    pub finding: Option<usize>,
    /// What of the path is shown.
    pub part: Part,
    /// From the side, X to the right and Z up, instead of from above.
    pub from_side: bool,
    /// How often the picture is doubled.
    pub zoom: u8,
    /// Where the middle of the window lies from the middle of the whole, in widths and heights of the whole.
    pub pan: [f64; 2],
}

impl Look {
    /// Looks at a finding: near its place where that is known.
    pub fn at_finding(checked: &Checked, place: usize) -> Self {
        let near = checked
            .findings
            .get(place)
            .and_then(|finding| spot(checked, finding));
        Self {
            finding: Some(place),
            zoom: if near.is_some() { 1 } else { 0 },
            ..Self::default()
        }
    }
}

/// Where the first motion of a finding's line ends, in the program's own numbers, where that is known.
pub fn spot(checked: &Checked, finding: &Finding) -> Option<[f64; 3]> {
    struct Spot {
        line: u64,
        at: Option<[f64; 3]>,
    }
    impl Fold for Spot {
        fn motion(&mut self, motion: &Motion) {
            if self.at.is_none() && motion.line == self.line && motion.to_known == [true; 3] {
                self.at = Some(motion.to);
            }
        }
        fn dwell(&mut self, _seconds: f64) {}
    }
    let mut spot = Spot {
        line: finding.line,
        at: None,
    };
    if finding.line > 0 {
        checked.summary.kept.as_ref()?.replay(&mut spot);
    }
    spot.at
}

/// Shows the path, near a finding if one is meant.
pub(super) fn open(model: &mut Model, finding: Option<usize>) -> Vec<Effect> {
    let Some(checked) = model.work.as_ref().and_then(|work| work.checked.as_ref()) else {
        model.refuse("the program has not been read in this session yet");
        return vec![];
    };
    let look = match finding {
        Some(place) => Look::at_finding(checked, place),
        None => Look::default(),
    };
    model.overlay = Some(Overlay::Look(look));
    vec![]
}

/// Shows the block of a stop finding; Enter there asks for the reason that accepts it. Nobody accepts what was not looked at.
pub(super) fn before_accepting(model: &mut Model, id: String) -> Vec<Effect> {
    let checked = model.work.as_ref().and_then(|work| work.checked.as_ref());
    let Some(checked) = checked else {
        model.refuse("the program has not been read in this session yet: look at the block first");
        return vec![];
    };
    let mut ids = checked.findings.iter().map(checking::stop_id);
    match ids.position(|found| found == id) {
        Some(place) => open(model, Some(place)),
        // A finding of an older check: there is no block to show.
        None => perform::accept_stop(model, id),
    }
}

/// A key while the path is looked at.
pub(super) fn pressed(model: &mut Model, key: Key, mut look: Look) -> Vec<Effect> {
    let Some(checked) = model.work.as_ref().and_then(|work| work.checked.as_ref()) else {
        return vec![];
    };
    let findings = checked.findings.len();
    let step = PAN / f64::from(1_u32 << look.zoom);
    match key {
        Key::Escape | Key::Char('0') => return vec![],
        Key::Enter => {
            let stop = look
                .finding
                .and_then(|place| checked.findings.get(place))
                .filter(|finding| finding.level == Level::Stop);
            if let Some(stop) = stop {
                let id = checking::stop_id(stop);
                return perform::accept_stop(model, id);
            }
            // What is only to be read is left with the same key that opened it.
            return vec![];
        }
        Key::Up | Key::Char('8') => look.pan[1] += step,
        Key::Down | Key::Char('2') => look.pan[1] -= step,
        Key::Left | Key::Char('4') => look.pan[0] -= step,
        Key::Right | Key::Char('6') => look.pan[0] += step,
        Key::Char('+') => look.zoom = (look.zoom + 1).min(MOST_ZOOM),
        Key::Char('-') => look.zoom = look.zoom.saturating_sub(1),
        Key::Char('*') => look.from_side = !look.from_side,
        Key::Char('5') => look.part = look.part.next_tool(checked),
        Key::Char('7') => look.part = look.part.next_section(checked),
        Key::Char(key @ ('1' | '3')) if findings > 0 => {
            let next = match (look.finding, key) {
                (None, '3') => 0,
                (None, _) => findings - 1,
                (Some(place), '3') => (place + 1) % findings,
                (Some(place), _) => (place + findings - 1) % findings,
            };
            look = Look {
                from_side: look.from_side,
                ..Look::at_finding(checked, next)
            };
        }
        _ => {}
    }
    look.pan = look.pan.map(|share| share.clamp(-0.5, 0.5));
    if look.zoom == 0 {
        look.pan = [0.0; 2];
    }
    model.overlay = Some(Overlay::Look(look));
    vec![]
}
