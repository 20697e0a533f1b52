//! What the emergency cards and stoppage pages say for the job on show: chosen by material, coolant and stoppage, worded by data alone.

use crate::app::model::Model;
use crate::job::card;
use crate::job::card::CardLine;
use crate::job::card::On;
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
            Self::StopOrHold => &[("EMERGENCY STOP OR FEED HOLD", On::StopOrHold)],
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
        .map(|line| match &model.library.emergency_number {
            Some(number) if line.has_number => format!("{}: {}", line.text, plain::text(number)),
            _ if line.has_number => format!("{}.", line.text),
            _ => line.text.clone(),
        })
        .collect()
}

/// How the emergency number is entered, as long as nobody has.
pub fn number_missing(model: &Model) -> Option<&'static str> {
    model.library.emergency_number.is_none().then_some(
        "Emergency number: not entered. Write [shop] emergency_number in profiles/facts/shop.toml.",
    )
}

/// The rule above every stoppage.
pub fn rule(model: &Model) -> String {
    texts(model, On::Rule, None).join(" ")
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
