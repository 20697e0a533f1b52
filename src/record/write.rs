//! From a state to the text of its record.

use crate::record::pen::Pen;
use crate::record::schema;
use crate::record::schema::Saved;
use crate::session::state::State;

/// The record of a state: TOML, one fact a line, the same state always the same text.
///
/// A clock that runs is written with its phase and with what it had counted when the
/// session last heard of anything. Control and invisible characters in texts are written
/// out as visible escapes; line feeds in the person's own words stay.
pub fn text(state: &State) -> String {
    let mut pen = Pen::default();
    schema::saved(&mut pen, Some(&Saved::of(state)))
        .expect("a session has a setup and its machine a belt step, and the pen refuses nothing");
    pen.finish()
}
