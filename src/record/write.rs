//! From a state to the text of its record.

use crate::record::pen::Pen;
use crate::record::schema;
use crate::record::schema::Saved;
use crate::session::state::State;

/// About what an answer takes in a record, and what all else does, in bytes.
const ANSWER_BYTES: usize = 320;
const REST_BYTES: usize = 64 * 1024;

/// The record of a state: TOML, one fact a line, the same state always the same text.
///
/// A clock that runs is written with its phase and with what it had counted when the
/// session last heard of anything. Control and invisible characters in texts are written
/// out as visible escapes; line feeds in the person's own words stay.
pub fn text(state: &State) -> String {
    // Room once: a text that doubles its room again and again holds up to twice as much while it grows.
    let mut pen = Pen::with_room(state.answers.len() * ANSWER_BYTES + REST_BYTES);
    schema::saved(&mut pen, Some(&Saved::of(state)))
        .expect("a session has a setup and its machine a belt step, and the pen refuses nothing");
    pen.finish()
}
