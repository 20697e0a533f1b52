//! One recipe from profiles and the values that the person has fixed; serves screen and command line.
//!
//! [`answer`] takes a [`question::Question`] (machine, metal, tool, kind of cut, what is fixed, what is aimed
//! at) and gives an [`answer::Answer`]: every value of the recipe, every limit with the share of it that is
//! used, what was assumed, and each formula with its numbers. It is pure and deterministic and quick enough
//! to be asked at each key.
//!
//! What is free is chosen so that the aim is best while every danger limit keeps [`MARGIN`] and every ceiling
//! is kept. What is fixed comes back unchanged, and its limits may then be used to more than 1.

pub mod advice;
pub mod alternative;
pub mod answer;
mod bench;
mod caps;
pub mod compare;
pub mod entry;
mod hole;
pub mod increase;
mod ladder;
pub mod limit;
mod mill;
pub mod pilot;
pub mod question;
mod reach;
mod search;
mod speed;
pub mod tap;
pub mod thread;
mod trace;

use crate::calculator::answer::Answer;
use crate::calculator::question::Question;
use crate::calculator::question::Refusal;

pub use crate::calculator::bench::edge_um;

/// Share of a danger limit that a recommendation uses at most.
pub const MARGIN: f64 = 0.9;

/// Answers a question.
///
/// # Errors
///
/// A [`Refusal`] when the values contradict each other, the tool cannot make the cut or the spindle cannot turn at the
/// speed. Another limit that cannot be kept is no error: it is in the answer with more than 1 used.
pub fn answer(question: &Question<'_>) -> Result<Answer, Refusal> {
    reach::within(question, at_any_speed)
}

/// The answer whether the spindle turns at its speed or not.
fn at_any_speed(question: &Question<'_>) -> Result<Answer, Refusal> {
    let bench = bench::Bench::new(question)?;
    if question.cut.is_hole() {
        hole::answer(&bench, question)
    } else {
        search::answer(bench, question)
    }
}
