//! No tool turns faster than it is rated for: what the session refuses and what keeps the clock off.
//!
//! A recipe beyond the rating is not taken, whatever the reason, and one in a record that was edited by hand does not count.
//! A stop finding of it is open however it was accepted.

use crate::job::tool_speed;
use crate::job::tool_speed::Faster;
use crate::session::state::State;
use crate::session::state::StopFinding;

/// Why the tool of this place in the job's list may not turn at a set rpm; `None` where it may.
pub fn too_fast(state: &State, tool: usize, set_rpm: f64) -> Option<String> {
    let tool = &state.rack.get(tool)?.tool;
    let Some(rating) = tool.speed_rating_rpm() else {
        return tool.lacks_speed_rating().then(|| {
            format!(
                "the speed rating of {} is not known: enter it at tool",
                tool.title
            )
        });
    };
    let faster = Faster::of(&state.machine);
    (faster.highest(set_rpm) > rating * (1.0 + 1e-9)).then(|| {
        format!(
            "{}, and {} is rated {rating:.0} rpm: set a lower rpm",
            faster.words(set_rpm),
            tool.title
        )
    })
}

/// What keeps the tool of the operation in work from turning, as its recipe and the speed read in the cut have it.
pub fn of_operation(state: &State) -> Option<String> {
    let operation = state.current_operation()?;
    let tool = operation.tool?;
    let recipe = operation.recipe.as_ref().map(|recipe| recipe.n_rpm);
    let set = recipe.into_iter().chain(operation.read_rpm);
    too_fast(state, tool, set.fold(0.0, f64::max))
}

/// The stop finding of the program that no reason accepts, if it has one.
pub fn of_program(state: &State) -> Option<&StopFinding> {
    let program = state.current_setup().program.as_ref()?;
    let mut stops = program.stops.iter();
    stops.find(|stop| tool_speed::is_never_accepted(&stop.id))
}
