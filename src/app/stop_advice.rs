//! What to check and what to change after a stop, in numbers that start from what is really cut.

use crate::app::after_stop::may_go_on;
use crate::app::cards;
use crate::app::model::Model;
use crate::app::recipe;
use crate::calculator;
use crate::calculator::advice;
use crate::calculator::advice::Steps;
use crate::calculator::limit::Which;
use crate::cutting::chip_thickness;
use crate::cutting::feed;
use crate::cutting::finish;
use crate::cutting::rubbing;
use crate::job::card::BURNING_METALS;
use crate::job::card::On;
use crate::job::conditions::Value;
use crate::job::holding::HeldBy;
use crate::job::machine::SpeedSetBy;
use crate::job::mishap::Mishap;
use crate::job::recipe::Recipe;
use crate::job::tool::Kind;
use crate::job::tool::Tool;
use crate::job::tool_speed::Faster;
use crate::job::typed::plain;
use crate::quantity;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::session::known;
use crate::session::state::State;
use crate::session::tool_speed;

/// Another speed by this share moves the teeth away from what sang. Common practice, no source.
const AWAY: f64 = 0.15;

/// Feed marks higher than this can be seen, in µm. Common practice, no source.
const SEEN_UM: f64 = 1.0;

/// Chips closer than this share are the same chip.
const SAME_CHIP: f64 = 0.002;

/// What is cut now: the numbers that a change starts from.
struct Now<'a> {
    state: &'a State,
    recipe: &'a Recipe,
    tool: &'a Tool,
    /// Its place in the job's list.
    place: usize,
    /// Spindle speed, 1/min.
    n_rpm: f64,
    /// Greatest F of the program's section, mm/min, where a program has feeds.
    programmed: Option<f64>,
    /// Feed override that is set for it, percent.
    percent: f64,
    /// Greatest feed that the axes follow, mm/min.
    top_feed: f64,
    /// Magnesium: thin chips and a tool that dwells light them (T.O. 1-1A-9 paras f, g(3)); titanium, zirconium from memory.
    thin_chips_burn: bool,
}

/// A feed that may be set, and the words that set it.
struct Feed {
    mm_min: f64,
    words: String,
}

impl<'a> Now<'a> {
    fn of(model: &'a Model) -> Option<Self> {
        let state = model.state()?;
        let operation = state.current_operation()?;
        let recipe = operation.recipe.as_ref()?;
        let place = state.planned_tool()?;
        let rack = state.rack.get(place)?;
        let machine = &state.machine;
        let part = operation.part.as_ref();
        // A spindle set by hand turns as the recipe says, whatever the program's S.
        let by_program = machine.spindle.speed_set_by == SpeedSetBy::Program;
        let programmed_rpm = part
            .and_then(|part| part.s_rpm)
            .filter(|rpm| by_program && *rpm > 0.0);
        let axes = &machine.axes;
        let top_feed = if rack.tool.kind.cuts_sideways() {
            axes.x
                .top_feed_mm_min
                .value
                .min(axes.y.top_feed_mm_min.value)
        } else {
            axes.z.top_feed_mm_min.value
        };
        Some(Self {
            state,
            recipe,
            tool: &rack.tool,
            place,
            n_rpm: operation
                .read_rpm
                .or(programmed_rpm)
                .unwrap_or(recipe.n_rpm),
            programmed: part
                .and_then(|part| part.feeds_mm_min.last().copied())
                .filter(|feed| *feed > 0.0),
            percent: recipe.override_percent.unwrap_or(100.0),
            top_feed,
            thin_chips_burn: matches!(
                known::conditions(state).get("material"),
                Some(Value::Word(word)) if BURNING_METALS.contains(&word.as_str())
            ),
        })
    }

    /// Greatest feed that is cut, mm/min.
    fn feed(&self) -> f64 {
        self.programmed
            .map_or(self.recipe.vf_mm_min, |feed| feed * self.percent / 100.0)
            .min(self.top_feed)
    }

    fn flutes(&self) -> u32 {
        self.tool.flutes.max(1)
    }

    /// Chip load at a feed and a speed, mm a tooth.
    fn chip(&self, feed_mm_min: f64, n_rpm: f64) -> f64 {
        quantity::to_mm(feed::chip_load(
            quantity::mm_per_min(feed_mm_min),
            self.flutes(),
            quantity::rpm(n_rpm),
        ))
    }

    fn chip_now(&self) -> f64 {
        self.chip(self.feed(), self.n_rpm)
    }

    /// Whether the chips become thinner.
    fn is_thinner(&self, chip_mm: f64) -> bool {
        chip_mm < self.chip_now() * (1.0 - SAME_CHIP)
    }

    /// Whether a chip load may be proposed: it does not begin to rub, and lights nothing.
    fn may_be(&self, chip_mm: f64) -> bool {
        if !self.is_thinner(chip_mm) {
            return true;
        }
        let thickest = |fz_mm: f64| {
            if !self.tool.kind.cuts_sideways() {
                return fz_mm;
            }
            quantity::to_mm(chip_thickness::thickest(
                quantity::mm(fz_mm),
                quantity::mm(self.recipe.ae_mm),
                quantity::mm(self.tool.diameter_mm),
                quantity::degree(90.0),
            ))
        };
        let least = quantity::to_mm(
            rubbing::least_chip(
                quantity::um(calculator::edge_um(self.tool)),
                self.state.material.least_chip_ratio.value,
                quantity::mm(self.tool.diameter_mm),
            )
            .0,
        );
        // A recipe that rubs already is one that the person wanted so.
        let begins_to_rub = thickest(chip_mm) < least && thickest(self.chip_now()) >= least;
        !self.thin_chips_burn && !begins_to_rub
    }

    /// The nearest feed that can be set and is not above the one that is wanted: under a program the override is turned,
    /// and never above 100 %.
    fn feed_to(&self, wanted_mm_min: f64) -> Option<Feed> {
        let wanted = wanted_mm_min.min(self.top_feed);
        let old = self.feed();
        let control = &self.state.machine.control;
        let (mm_min, what) = match self.programmed {
            Some(greatest) => {
                let steps = Steps {
                    step: control.override_step_percent.value,
                    least: control.override_least_percent.value,
                    most: control.override_most_percent.value.min(100.0),
                };
                let percent = advice::fit(100.0 * wanted / greatest, steps)?;
                let mm_min = (greatest * percent / 100.0).min(self.top_feed);
                let what = if (percent - self.percent).abs() < 1e-9 {
                    format!("override stays {percent:.0} %, ")
                } else {
                    format!("override {:.0} to {percent:.0} %, ", self.percent)
                };
                (mm_min, what)
            }
            None => (wanted, String::new()),
        };
        let words = if (mm_min - old).abs() < 0.5 {
            format!("{what}feed stays {old:.0} mm/min")
        } else {
            format!("{what}feed {old:.0} to {mm_min:.0} mm/min")
        };
        Some(Feed { mm_min, words })
    }

    /// What becomes of the chip load: what stands beside a feed and a speed must agree with both.
    fn chip_words(&self, chip_mm: f64) -> String {
        let now = self.chip_now();
        if (chip_mm - now).abs() <= now * SAME_CHIP {
            format!("chip load stays {}", chip_text(now))
        } else {
            let to = chip_text(chip_mm);
            let from = chip_text(now);
            format!("chip load {} to {to}", from.trim_end_matches(" mm"))
        }
    }
}

fn chip_text(chip_mm: f64) -> String {
    show::chip_load(quantity::mm(chip_mm), Units::Metric)
}

/// What to check after a mishap, in order; how the part is held decides what is looked at.
pub fn checks(model: &Model, mishap: Mishap) -> Vec<String> {
    let held = held_by(model).filter(|_| mishap == Mishap::PartMoved);
    let mut lines = cards::texts(model, On::Check, Some(mishap));
    if let (Some(held), Some(first)) = (held, lines.first_mut()) {
        held.when_it_moved().0.clone_into(first);
    }
    lines
}

/// What to change after a mishap: numbers where the recipe is known, else shares, and what has no number.
pub fn changes(model: &Model, mishap: Mishap) -> Vec<String> {
    let mut lines = numbers(model, mishap);
    if let Some(held) = held_by(model).filter(|_| mishap == Mishap::PartMoved) {
        lines.insert(0, held.when_it_moved().1.to_owned());
        if lines.len() > 1 {
            return lines;
        }
    }
    let has_numbers = !lines.is_empty();
    // A share stands for a number that is not known; where it is, the share says nothing more.
    let general = cards::chosen(model, On::Change, Some(mishap));
    let general = general
        .into_iter()
        .filter(|line| !has_numbers || !line.is_share);
    lines.extend(general.map(|line| line.text.clone()));
    if mishap == Mishap::ChipsPacked && !has_numbers {
        lines.extend(cards::texts(model, On::Jet, None));
    }
    lines
}

fn held_by(model: &Model) -> Option<HeldBy> {
    let holding = model.state()?.current_setup().holding.as_ref();
    holding.map(|holding| holding.by)
}

/// What to change after a mishap, worked out from what is cut by the recipe that was taken.
fn numbers(model: &Model, mishap: Mishap) -> Vec<String> {
    let Some(now) = Now::of(model).filter(|_| may_go_on(mishap)) else {
        return vec![];
    };
    match mishap {
        Mishap::Chatter => chatter(&now),
        Mishap::ChipsPacked => packed(model, &now),
        Mishap::ToolBroke => {
            let mut lines = vec![depth(&now, 0.6)];
            lines.extend(stick_out(&now));
            lines
        }
        Mishap::AxisBound => bound(model, &now),
        Mishap::PoorFinish => finish_marks(&now).into_iter().collect(),
        Mishap::ToolSlipped | Mishap::Hot => vec![depth(&now, 0.7)],
        Mishap::PartMoved => vec![depth(&now, 0.6)],
        _ => vec![],
    }
}

/// Less depth; a drill has its depth from the hole and takes less feed instead.
fn depth(now: &Now, share: f64) -> String {
    if now.tool.kind.cuts_sideways() {
        let ap = now.recipe.ap_mm;
        return format!("Depth {} to {} mm", plain(ap), plain(ap * share));
    }
    if now.tool.kind == Kind::Tap {
        let percent = share * 100.0;
        return format!("S and F of the program to {percent:.0} % together: the pitch stays");
    }
    let less = now
        .feed_to(now.feed() * share)
        .filter(|feed| now.may_be(now.chip(feed.mm_min, now.n_rpm)));
    match less {
        Some(feed) => {
            let chip = now.chip_words(now.chip(feed.mm_min, now.n_rpm));
            format!("Pecks half as deep; {}, {chip}", feed.words)
        }
        None if now.thin_chips_burn => {
            "Pecks half as deep; the feed stays: thin chips of this metal light".to_owned()
        }
        None => "Pecks half as deep; the feed stays: a thinner chip would rub".to_owned(),
    }
}

fn chatter(now: &Now) -> Vec<String> {
    let spindle = &now.state.machine.spindle;
    let hz = |rpm: f64| rpm * f64::from(now.flutes()) / 60.0;
    let rating = now.tool.speed_rating_rpm();
    let most = rating.map_or(f64::INFINITY, |rating| {
        Faster::of(&now.state.machine).to_set(rating)
    });
    let mut lines: Vec<String> = [1.0 - AWAY, 1.0 + AWAY]
        .into_iter()
        // The nearest that can be set, or the highest that the tool's rating allows.
        .filter_map(|share| {
            spindle.settable_rpm((now.n_rpm * share + spindle.step_rpm() / 2.0).min(most))
        })
        // Settings that lie so near each other that one is the same are no way out.
        .filter(|rpm| (rpm / now.n_rpm - 1.0).abs() > AWAY / 2.0)
        .filter(|rpm| tool_speed::too_fast(now.state, now.place, *rpm).is_none())
        .filter_map(|rpm| {
            let feed = now.feed_to(now.feed() * rpm / now.n_rpm)?;
            let chip = now.chip(feed.mm_min, rpm);
            now.may_be(chip).then(|| {
                format!(
                    "rpm {:.0} to {rpm:.0}, {}: teeth at {:.0} Hz, not {:.0}; {}",
                    now.n_rpm,
                    feed.words,
                    hz(rpm),
                    hz(now.n_rpm),
                    now.chip_words(chip)
                )
            })
        })
        .collect();
    let or = if lines.is_empty() { "" } else { "Or: " };
    lines.push(format!("{or}{}", depth(now, 0.5)));
    lines
}

fn packed(model: &Model, now: &Now) -> Vec<String> {
    let less = if now.tool.kind.cuts_sideways() {
        depth(now, 0.5)
    } else {
        "Pecks half as deep".to_owned()
    };
    let air = cards::texts(model, On::Jet, None).join(", ");
    let chip = chip_text(now.chip_now());
    let mut lines = vec![format!("{less}; {air}. Feed and chip load stay: {chip}")];
    for which in [Which::ChipsThatStay, Which::ThinHotChips] {
        if let Some(used) = used(model, which) {
            lines.push(format!("{} were at {used} % by the sum", which.name()));
        }
    }
    lines
}

/// Share of a limit in percent, while the recipe that was taken is the one on show.
fn used(model: &Model, which: Which) -> Option<String> {
    let calculated = model.work.as_ref()?.calculated.as_ref()?;
    let taken = model.state()?.current_operation()?.recipe.as_ref()?;
    if recipe::decided(calculated) != *taken {
        return None;
    }
    let limit = calculated
        .limits
        .iter()
        .find(|limit| limit.name == which.name())?;
    Some(format!("{:.0}", limit.used * 100.0))
}

/// A tool bends with the cube of what stands out.
fn stick_out(now: &Now) -> Option<String> {
    const SHORTER_MM: f64 = 2.0;
    let state = now.state;
    let rack = state
        .planned_tool()
        .and_then(|index| state.rack.get(index))?;
    let out = rack.stick_out_mm();
    let shorter = out - SHORTER_MM;
    let less = (1.0 - (shorter / out).powi(3)) * 100.0;
    (shorter > now.recipe.ap_mm.max(SHORTER_MM)).then(|| {
        format!(
            "Stick-out {} to {} mm, if the part lets it: bends {less:.0} % less",
            plain(out),
            plain(shorter)
        )
    })
}

fn bound(model: &Model, now: &Now) -> Vec<String> {
    let axes = &now.state.machine.axes;
    let push = used(model, Which::AxisPush)
        .map(|used| format!("; axis push was {used} % by the sum"))
        .unwrap_or_default();
    let down = |rapid: f64| format!("{rapid:.0} to {:.0}", rapid * 0.75);
    let [x, y, z] = [&axes.x, &axes.y, &axes.z].map(|axis| down(axis.rapid_mm_min.value));
    let plane = if x == y {
        format!("X Y {x}")
    } else {
        format!("X {x}, Y {y}")
    };
    vec![
        format!("{}{push}", depth(now, 0.7)),
        format!("Rapid of the one that bound: {plane}, Z {z} mm/min"),
    ]
}

/// How high the feed marks on a wall are: all teeth at work, and one alone where it runs out.
fn finish_marks(now: &Now) -> Option<String> {
    if !now.tool.kind.cuts_sideways() {
        return None;
    }
    let radius = quantity::mm(now.tool.diameter_mm / 2.0);
    let um = |feed_mm: f64| {
        quantity::to_mm(finish::peak_to_valley(quantity::mm(feed_mm), radius)) * 1000.0
    };
    let fz = now.chip_now();
    let (all, one) = (um(fz), um(fz * f64::from(now.flutes())));
    let one_alone = if now.flutes() > 1 {
        format!(", {one:.1} if one tooth cuts alone")
    } else {
        String::new()
    };
    let half = now.feed_to(now.feed() / 2.0);
    let what = match half {
        _ if one <= SEEN_UM => "less feed will not mend it".to_owned(),
        Some(feed) if now.may_be(now.chip(feed.mm_min, now.n_rpm)) => {
            let share = (feed.mm_min / now.feed()).powi(2) * 100.0;
            let chip = now.chip_words(now.chip(feed.mm_min, now.n_rpm));
            format!("{} leaves {share:.0} % of that, {chip}", feed.words)
        }
        _ if now.thin_chips_burn => format!(
            "not less feed, thin chips of this metal light: {}",
            depth(now, 0.5).to_lowercase()
        ),
        Some(_) => "less feed would rub: a tool that runs truer".to_owned(),
        None => "no step of the override halves the feed: the program's F".to_owned(),
    };
    Some(format!(
        "Feed marks on a wall {all:.1} µm high by the sum{one_alone}: {what}"
    ))
}
