//! What the options of `recipe` mean.

use crate::calculator::question::Aim;
use crate::calculator::question::Cut;
use crate::cutting::packing::Clearing;
use crate::job::tool::Edge;
use crate::quantity::Angle;
use crate::quantity::Feed;
use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::SpindleSpeed;
use crate::quantity::SurfaceSpeed;
use crate::quantity::entry;
use crate::quantity::entry::Entry;
use crate::quantity::entry::EntryError;
use crate::quantity::to_degree;
use crate::quantity::to_newton;
use crate::table::threads;
use crate::table::threads::Thread;

/// Steepest helix that is taken, degrees.
const STEEPEST_DEG: f64 = 60.0;

fn value<Q>(read: Result<Entry<Q>, EntryError>) -> Result<Q, String> {
    read.map(|entry| entry.value).map_err(|e| e.to_string())
}

/// A length above 0.
pub fn length(text: &str) -> Result<Length, String> {
    value(entry::length_positive(text))
}

/// A length.
pub fn length_or_zero(text: &str) -> Result<Length, String> {
    value(entry::length(text))
}

/// A spindle speed.
pub fn rpm(text: &str) -> Result<SpindleSpeed, String> {
    value(entry::rpm(text))
}

/// A surface speed.
pub fn speed(text: &str) -> Result<SurfaceSpeed, String> {
    value(entry::speed(text))
}

/// A feed.
pub fn feed(text: &str) -> Result<Feed, String> {
    value(entry::feed(text))
}

/// A force above 0.
pub fn force(text: &str) -> Result<Force, String> {
    let force = value(entry::force(text))?;
    if to_newton(force) <= 0.0 {
        return Err("a pull of more than 0".to_owned());
    }
    Ok(force)
}

/// A frequency.
pub fn frequency(text: &str) -> Result<SpindleSpeed, String> {
    value(entry::frequency(text))
}

/// A helix angle.
pub fn helix(text: &str) -> Result<Angle, String> {
    let angle = value(entry::angle(text))?;
    if to_degree(angle) > STEEPEST_DEG {
        return Err(format!("a helix is 0 to {STEEPEST_DEG} deg"));
    }
    Ok(angle)
}

fn word<T>(found: Option<T>, words: &[&str]) -> Result<T, String> {
    found.ok_or_else(|| format!("write one of {}", words.join(", ")))
}

/// A kind of cut.
pub fn cut(text: &str) -> Result<Cut, String> {
    word(Cut::from_word(text), &Cut::ALL.map(Cut::word))
}

/// An aim.
pub fn aim(text: &str) -> Result<Aim, String> {
    word(Aim::from_word(text), &Aim::ALL.map(Aim::word))
}

/// A way of clearing chips.
pub fn clearing(text: &str) -> Result<Clearing, String> {
    word(
        Clearing::from_word(text),
        &Clearing::ALL.map(Clearing::word),
    )
}

/// A tool material.
pub fn edge(text: &str) -> Result<Edge, String> {
    word(Edge::from_word(text), &Edge::ALL.map(Edge::word))
}

/// A thread.
pub fn thread(text: &str) -> Result<Thread, String> {
    threads::read(text)
        .ok_or_else(|| "write a thread such as M6, M6x0.75, 1/4-20 or 10-32".to_owned())
}
