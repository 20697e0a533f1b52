//! What the emergency cards and stoppage pages say for the job on show: chosen by material, coolant and stoppage, worded by data alone.

use crate::app::model::Model;
use crate::job::card;
use crate::job::card::CardLine;
use crate::job::card::On;
use crate::job::card::StopsBy;
use crate::job::conditions::Conditions;
use crate::job::mishap::Mishap;
use crate::plain;
use crate::profile::card::lines;
use crate::session::known;

/// A page of the emergency card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Page {
    /// What cannot wait; one point away.
    #[default]
    First,
    /// The fire card.
    Fire,
    /// The injury card.
    Injury,
    /// Its second page.
    FirstAid,
    /// When to press the emergency stop, and when feed hold.
    StopOrHold,
}

impl Page {
    /// Every page behind the first with the key that turns to it, and its words.
    pub const KEYS: [(char, Self, &'static str); 4] = [
        ('1', Self::Fire, "fire"),
        ('2', Self::Injury, "hurt"),
        ('3', Self::FirstAid, "eye, burn, shock"),
        ('4', Self::StopOrHold, "stop or hold"),
    ];

    /// Heading and lines, in the order of the page; the first page has two parts, each with a heading.
    pub fn parts(self) -> &'static [(&'static str, On)] {
        match self {
            Self::First => &[("FIRE", On::FireFirst), ("HURT", On::HurtFirst)],
            Self::Fire => &[("FIRE", On::Fire)],
            Self::Injury => &[("SOMEBODY IS HURT", On::Injury)],
            Self::FirstAid => &[("FIRST AID, second page", On::FirstAid)],
            Self::StopOrHold => &[("STOP OR HOLD: which, and when", On::StopOrHold)],
        }
    }
}

/// What the cards go by; without a session nothing is stated.
fn stated(model: &Model) -> Conditions {
    model.state().map(known::for_cards).unwrap_or_default()
}

/// The lines of a place for the job on show.
pub fn chosen(model: &Model, on: On, happened: Option<Mishap>) -> Vec<&'static CardLine> {
    card::select(lines(), on, happened, &stated(model))
}

/// Their words, with the emergency number behind those that call for help.
pub fn texts(model: &Model, on: On, happened: Option<Mishap>) -> Vec<String> {
    chosen(model, on, happened)
        .into_iter()
        .map(|line| with_number(model, line, &line.text))
        .collect()
}

/// The same in few words, for small windows.
pub fn briefs(model: &Model, on: On, happened: Option<Mishap>) -> Vec<String> {
    chosen(model, on, happened)
        .into_iter()
        .map(|line| with_number(model, line, line.brief.as_ref().unwrap_or(&line.text)))
        .collect()
}

fn with_number(model: &Model, line: &CardLine, words: &str) -> String {
    match &model.library.emergency_number {
        Some(number) if line.has_number => format!("{words}: {}", plain::text(number)),
        _ if line.has_number => format!("{words}."),
        _ => words.to_owned(),
    }
}

/// The emergency number by itself, or what to dial where nobody has entered one. How it is entered is no matter for an emergency.
pub fn number(model: &Model) -> String {
    match &model.library.emergency_number {
        Some(number) => format!("Emergency number: {}", plain::text(number)),
        None => "Number not entered: dial your local emergency number.".to_owned(),
    }
}

/// The rule above the list of what happened, or above a stoppage: where that one asks for the emergency stop, it says nothing else.
pub fn rule(model: &Model, mishap: Option<Mishap>) -> Vec<String> {
    let is_stop = |line: &&CardLine| line.stops_by == Some(StopsBy::EmergencyStop);
    let stops_at_once = mishap.is_some_and(|mishap| {
        let acts = chosen(model, On::Act, Some(mishap));
        acts.iter().any(is_stop)
    });
    chosen(model, On::Rule, None)
        .into_iter()
        .filter(|line| !stops_at_once || is_stop(line))
        .map(|line| line.text.clone())
        .collect()
}

/// The first act of a stoppage that may be asked about at once.
pub fn first_act(model: &Model, mishap: Mishap) -> Vec<String> {
    texts(model, On::Act, Some(mishap))
}

/// The acts that stand alone on the screen before anything is asked, for what cannot wait.
pub fn first_acts(model: &Model, mishap: Mishap) -> Vec<String> {
    match mishap {
        Mishap::Fire => texts(model, On::Fire, None),
        Mishap::Injury => texts(model, On::Injury, None),
        _ => vec![],
    }
}
