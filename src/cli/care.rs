//! The machines' care logs, as the commands read them.

use std::io::ErrorKind;

use crate::cli::world::World;
use crate::plain;
use crate::problem::Problem;
use crate::record::care;
use crate::session::care_log::Entry;

/// The entries of a machine's care log; none where nothing was kept yet.
///
/// # Errors
///
/// A log that is there and cannot be read: what it says of the machine is not known then.
pub fn read(machine: &str, world: &dyn World) -> Result<Vec<Entry>, Problem> {
    let Some((folder, name)) = world.data_folder().zip(care::file_name(machine)) else {
        return Ok(vec![]);
    };
    let path = folder.join(care::FOLDER).join(name);
    let problem = || {
        Problem::user("read the machine's care log").at(plain::text(&path.display().to_string()))
    };
    let raw = match world.read(&path, care::LONGEST) {
        Ok(raw) => raw,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(vec![]),
        Err(error) => return Err(problem().from_error(error)),
    };
    care::read(machine, &raw).map_err(|error| {
        problem()
            .because(error.to_string())
            .hint("Mend the line, or move the file away: it is never overwritten.")
    })
}
