//! A tool of one's own, entered on the screen: a short form that becomes a `[[tool]]` in the person's profiles.
//!
//! The form is written as the profile that it becomes and read back as such a file is, so it takes what `profile check` takes and
//! says what that says. Each tool gets a file of its own: what the person wrote into other files stays as it is.

use crate::app::effect::Effect;
use crate::app::field;
use crate::app::field::Takes;
use crate::app::input::Input;
use crate::app::key::Key;
use crate::app::model::Model;
use crate::app::overlay::Overlay;
use crate::app::picker;
use crate::app::picker::Pick;
use crate::app::picker::Purpose;
use crate::app::reasons;
use crate::job::tool::Edge;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::tool::flutes_words;
use crate::profile::fault::Origin;
use crate::profile::library;
use crate::profile::library::ProfileFile;
use crate::session::moment::Moment;

/// A row of the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Row {
    /// Key of the profile.
    pub key: &'static str,
    /// Label before it.
    pub label: &'static str,
    /// What it takes, shown while it is empty.
    pub hint: &'static str,
}

/// Asked once where a tool that can burst has no rating. A rating that was made up to get past the form would be worse than
/// none, so it may stay empty: the tool is kept, and gets no recipe.
const NO_RATING: &str = "speed rating: not entered. There is no recipe without it. Read it on the tool or in its papers. \
                         Not known: press Enter until the form closes";

const fn row(key: &'static str, label: &'static str, hint: &'static str) -> Row {
    Row { key, label, hint }
}

/// All rows; which of them are on show depends on the kind.
pub const ROWS: [Row; 14] = [
    row("kind", "kind", "its number below, or its name"),
    row("diameter", "diameter", "measured: 5.98, 1/4 in"),
    row("flutes", "flutes", "2"),
    row("flute_length", "length of the flutes", "18"),
    row("shank", "shank", "empty: as thick as the diameter"),
    row("stick_out", "stick-out", "usual length out of the holder"),
    row("edge", "edge", "1 hss, 2 carbide"),
    row(
        "centre_cutting",
        "cuts to its centre",
        "1 yes, 2 no (empty: no)",
    ),
    row(
        "point_angle",
        "point angle, degrees",
        "118; of a 45 degree chamfer 90",
    ),
    row("corner_radius", "corner radius", "0.5"),
    row("pitch", "pitch", "1; 1/20 in"),
    row(
        "speed_rating",
        "speed rating, rpm",
        "as printed on it; empty: not known",
    ),
    row(
        "arbor_speed_rating",
        "rating of its arbor",
        "empty: not known",
    ),
    row(
        "holder_speed_rating",
        "rating of its holder",
        "empty: not known",
    ),
];

/// The form.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnTool {
    /// What the tool is wanted for.
    pub purpose: Purpose,
    /// What is typed, by row.
    pub inputs: [Input; ROWS.len()],
    /// The row that owns the keys.
    pub focus: usize,
    /// Why it was not taken.
    pub error: Option<String>,
}

impl OwnTool {
    /// Nothing filled in.
    pub fn new(purpose: Purpose) -> Self {
        Self {
            purpose,
            inputs: Default::default(),
            focus: 0,
            error: None,
        }
    }

    fn text(&self, key: &str) -> &str {
        let place = ROWS.iter().position(|row| row.key == key);
        place.map_or("", |place| self.inputs[place].text().trim())
    }

    /// The kind, once it is understood.
    pub fn kind(&self) -> Option<Kind> {
        let words = kinds().map(|kind| kind.word().to_owned()).collect();
        let understood = field::understand(&Takes::Choice(words), self.text("kind")).ok()?;
        Kind::from_word(understood.words()?)
    }

    /// Places of the rows on show.
    pub fn shown(&self) -> Vec<usize> {
        let kind = self.kind();
        let is_wanted = |key: &str| match (key, kind) {
            ("kind", _) => true,
            (_, None) => false,
            ("centre_cutting", Some(kind)) => {
                matches!(kind, Kind::EndMill | Kind::Ball | Kind::BullNose)
            }
            ("point_angle", Some(kind)) => {
                matches!(kind, Kind::Chamfer | Kind::SpotDrill | Kind::Drill)
            }
            ("corner_radius", Some(kind)) => matches!(kind, Kind::BullNose | Kind::FaceMill),
            ("pitch", Some(kind)) => matches!(kind, Kind::Tap | Kind::ThreadMill),
            ("arbor_speed_rating" | "holder_speed_rating", Some(kind)) => matches!(
                kind,
                Kind::SlittingSaw | Kind::FaceMill | Kind::Flycutter | Kind::BoringHead
            ),
            _ => true,
        };
        let places = 0..ROWS.len();
        places.filter(|place| is_wanted(ROWS[*place].key)).collect()
    }

    /// The profile that the form stands for, and the tool in it; else the row that is wrong, and why.
    fn tool(&self, taken: &[Tool]) -> Result<(Tool, String), (usize, String)> {
        let at = |key: &str| ROWS.iter().position(|row| row.key == key).unwrap_or(0);
        let wrong = |key: &str, why: String| (at(key), format!("{}: {why}", ROWS[at(key)].label));
        let Some(kind) = self.kind() else {
            return Err(wrong("kind", "a number of the list, or a name".to_owned()));
        };
        let mut lines = vec![format!("kind = {}", quoted(kind.word()))];
        for place in self.shown() {
            let key = ROWS[place].key;
            let text = match (key, self.text(key)) {
                ("shank", "") => self.text("diameter"),
                (_, text) => text,
            };
            let may_be_empty = matches!(
                key,
                "kind"
                    | "centre_cutting"
                    | "speed_rating"
                    | "arbor_speed_rating"
                    | "holder_speed_rating"
            ) || (key == "corner_radius" && kind == Kind::FaceMill);
            if text.is_empty() && !may_be_empty {
                return Err(wrong(key, "is wanted".to_owned()));
            }
            if let Some(value) = written(key, text).map_err(|why| wrong(key, why))? {
                lines.push(format!("{key} = {value}"));
            }
        }
        if matches!(kind, Kind::Drill | Kind::SpotDrill) {
            lines.push("centre_cutting = true".to_owned());
        }
        let size = self.text("diameter");
        let flutes = flutes_words(self.text("flutes"));
        let title = format!("Own {} {size}, {flutes}", kind.word());
        let name = name(kind, size, taken);
        let text = format!(
            "format = 1\n\n[[tool]]\nname = {}\ntitle = {}\n{}\n",
            quoted(&name),
            quoted(&numbered(
                &title,
                |title| taken.iter().any(|tool| tool.title == title),
                " no. "
            )),
            lines.join("\n")
        );
        let read = library::Library::only(&[ProfileFile {
            origin: Origin::Own,
            file: format!("{name}.toml"),
            bytes: Ok(text.clone().into_bytes().into()),
        }]);
        if let Some(fault) = read.faults.first() {
            let key = fault.key.rsplit('.').next().unwrap_or_default();
            return Err(wrong(key, format!("{}. {}", fault.wrong, fault.allowed)));
        }
        let tool = read.tools.items().first().cloned();
        tool.map(|tool| (tool, text))
            .ok_or_else(|| wrong("kind", "the tool could not be read".to_owned()))
    }
}

/// Kinds that can be entered: an edge finder cuts nothing.
pub fn kinds() -> impl Iterator<Item = Kind> {
    Kind::ALL
        .into_iter()
        .filter(|kind| *kind != Kind::EdgeFinder)
}

/// The value of a key as TOML; `None` where the key is left out.
fn written(key: &str, text: &str) -> Result<Option<String>, String> {
    let length = |takes: Takes| {
        let understood = field::understand(&takes, text)?;
        Ok(understood.number().map(|typed| quoted(&typed.text)))
    };
    let number = || {
        let understood = field::understand(&Takes::Number, text)?;
        let number = understood.number().map(|typed| typed.text.clone());
        number.ok_or_else(|| "a number".to_owned())
    };
    let choice = |words: &[&str]| {
        let words = words.iter().map(|word| (*word).to_owned()).collect();
        let understood = field::understand(&Takes::Choice(words), text)?;
        Ok::<_, String>(understood.words().unwrap_or_default().to_owned())
    };
    if text.is_empty() || key == "kind" {
        return Ok(None);
    }
    match key {
        "flutes" => number().map(Some),
        "edge" => choice(&Edge::ALL.map(Edge::word)).map(|word| Some(quoted(&word))),
        "centre_cutting" => choice(&["yes", "no"]).map(|word| Some((word == "yes").to_string())),
        "point_angle" => number().map(|degrees| Some(quoted(&format!("{degrees} deg")))),
        "speed_rating" | "arbor_speed_rating" | "holder_speed_rating" => length(Takes::Rpm),
        _ => length(Takes::PositiveLength),
    }
}

/// A text as TOML.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// A name that no tool has: kind and size in what names are made of.
fn name(kind: Kind, size: &str, taken: &[Tool]) -> String {
    let slug: String = format!("own-{}-{size}", kind.word())
        .to_lowercase()
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() || c == '.' {
                c
            } else {
                '-'
            }
        })
        .take(48)
        .collect();
    numbered(
        &slug,
        |name| taken.iter().any(|tool| tool.name == name),
        "-",
    )
}

/// The text, or the first of it with a number behind that is not taken.
fn numbered(text: &str, is_taken: impl Fn(&str) -> bool, before: &str) -> String {
    let more = (2..).map(|number| format!("{text}{before}{number}"));
    let mut all = [text.to_owned()].into_iter().chain(more);
    all.find(|text| !is_taken(text)).unwrap_or_default()
}

/// Opens the form.
pub(super) fn open(model: &mut Model, purpose: Purpose) -> Vec<Effect> {
    model.overlay = Some(Overlay::OwnTool(Box::new(OwnTool::new(purpose))));
    vec![]
}

/// A key while the form is open.
pub(super) fn pressed(
    model: &mut Model,
    key: Key,
    at: Moment,
    mut form: Box<OwnTool>,
) -> Vec<Effect> {
    let leaves = key == Key::Escape
        || key == Key::Enter && reasons::takes_back(form.inputs[form.focus].text());
    if leaves {
        model.overlay = Some(Overlay::Pick(Pick::new(form.purpose)));
        return vec![];
    }
    let shown = form.shown();
    let here = shown
        .iter()
        .position(|place| *place == form.focus)
        .unwrap_or(0);
    match key {
        Key::Up => form.focus = shown[here.saturating_sub(1)],
        Key::Down | Key::Tab => form.focus = shown[(here + 1).min(shown.len() - 1)],
        Key::Enter if here + 1 < shown.len() => form.focus = shown[here + 1],
        Key::Enter => match form.tool(&model.library.tools) {
            Ok((tool, _))
                if tool.lacks_speed_rating() && form.error.as_deref() != Some(NO_RATING) =>
            {
                let rating = ROWS.iter().position(|row| row.key == "speed_rating");
                form.focus = rating.unwrap_or(form.focus);
                form.error = Some(NO_RATING.to_owned());
            }
            Ok((tool, text)) => return entered(model, at, form.purpose, tool, text),
            Err((place, why)) => {
                form.focus = place;
                form.error = Some(why);
            }
        },
        _ => {
            let place = form.focus;
            form.inputs[place].press(key);
            form.error = None;
        }
    }
    model.overlay = Some(Overlay::OwnTool(form));
    vec![]
}

/// The tool is used at once, and kept for the next time.
fn entered(
    model: &mut Model,
    at: Moment,
    purpose: Purpose,
    tool: Tool,
    text: String,
) -> Vec<Effect> {
    let name = tool.name.clone();
    model.library.tools.push(tool.clone());
    let mut effects = vec![Effect::KeepTool { name, text }];
    effects.extend(picker::taken(model, at, purpose, tool, None));
    effects
}
