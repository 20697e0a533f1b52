//! The shipped profiles together with the person's own.

use std::borrow::Cow;
use std::io::ErrorKind;
use std::path::Path;
use std::path::PathBuf;

use crate::cli::world::World;
use crate::profile::fault::Origin;
use crate::profile::library::LARGEST_FILE;
use crate::profile::library::Library;
use crate::profile::library::ProfileFile;

/// Folders of own profiles below the program's data folder.
pub const FOLDERS: [&str; 6] = [
    "machines",
    "materials",
    "tools",
    "cautions",
    "templates",
    "facts",
];

/// The shipped profiles and those in the data folder. Files that cannot be
/// read or are broken are among [`Library::faults`]; the rest is there.
pub fn load(world: &dyn World) -> Library {
    Library::with_own(&own_files(world))
}

/// Where own profiles are looked for, if the system names a data folder.
pub fn own_folder(world: &dyn World) -> Option<PathBuf> {
    world.data_folder().map(|folder| folder.join("profiles"))
}

/// The person's own profile files.
pub fn own_files(world: &dyn World) -> Vec<ProfileFile> {
    let Some(root) = own_folder(world) else {
        return vec![];
    };
    let mut files = vec![];
    for folder in FOLDERS {
        let folder = root.join(folder);
        match world.list(&folder) {
            Ok(paths) => files.extend(
                paths
                    .iter()
                    .filter(|path| path.extension().is_some_and(|end| end == "toml"))
                    .map(|path| read(world, path)),
            ),
            Err(error) if error.kind() == ErrorKind::NotFound => {}
            Err(error) => files.push(ProfileFile {
                origin: Origin::Own,
                file: folder.display().to_string(),
                bytes: Err(error.to_string()),
            }),
        }
    }
    files
}

fn read(world: &dyn World, path: &Path) -> ProfileFile {
    ProfileFile {
        origin: Origin::Own,
        file: path.display().to_string(),
        bytes: world
            .read(path, LARGEST_FILE)
            .map(Cow::Owned)
            .map_err(|error| error.to_string()),
    }
}
