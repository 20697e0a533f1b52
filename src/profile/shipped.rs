//! The profile files that are built into the program.

use std::borrow::Cow;

use crate::profile::fault::Origin;
use crate::profile::library::ProfileFile;

/// Name below `profiles/` and text of each shipped file, in the order in which lists show them.
pub const FILES: &[(&str, &str)] = &[
    (
        "machines/light-belt-mill.toml",
        include_str!("../../profiles/machines/light-belt-mill.toml"),
    ),
    (
        "machines/bench-mill.toml",
        include_str!("../../profiles/machines/bench-mill.toml"),
    ),
    (
        "machines/gantry-router.toml",
        include_str!("../../profiles/machines/gantry-router.toml"),
    ),
    (
        "materials/aluminium.toml",
        include_str!("../../profiles/materials/aluminium.toml"),
    ),
    (
        "materials/copper-alloys.toml",
        include_str!("../../profiles/materials/copper-alloys.toml"),
    ),
    (
        "materials/steels.toml",
        include_str!("../../profiles/materials/steels.toml"),
    ),
    (
        "materials/stainless-steels.toml",
        include_str!("../../profiles/materials/stainless-steels.toml"),
    ),
    (
        "materials/cast-iron-titanium-magnesium-zinc.toml",
        include_str!("../../profiles/materials/cast-iron-titanium-magnesium-zinc.toml"),
    ),
    (
        "materials/plastics.toml",
        include_str!("../../profiles/materials/plastics.toml"),
    ),
    (
        "materials/composites.toml",
        include_str!("../../profiles/materials/composites.toml"),
    ),
    (
        "tools/end-mills.toml",
        include_str!("../../profiles/tools/end-mills.toml"),
    ),
    (
        "tools/spot-and-countersinks.toml",
        include_str!("../../profiles/tools/spot-and-countersinks.toml"),
    ),
    (
        "tools/drills.toml",
        include_str!("../../profiles/tools/drills.toml"),
    ),
    (
        "tools/taps.toml",
        include_str!("../../profiles/tools/taps.toml"),
    ),
    (
        "tools/reamers.toml",
        include_str!("../../profiles/tools/reamers.toml"),
    ),
    (
        "tools/thread-mills.toml",
        include_str!("../../profiles/tools/thread-mills.toml"),
    ),
    (
        "cautions/1-before-power.toml",
        include_str!("../../profiles/cautions/1-before-power.toml"),
    ),
    (
        "cautions/2-setup.toml",
        include_str!("../../profiles/cautions/2-setup.toml"),
    ),
    (
        "cautions/3-tool-change.toml",
        include_str!("../../profiles/cautions/3-tool-change.toml"),
    ),
    (
        "cautions/4-before-start.toml",
        include_str!("../../profiles/cautions/4-before-start.toml"),
    ),
    (
        "cautions/5-cutting.toml",
        include_str!("../../profiles/cautions/5-cutting.toml"),
    ),
    (
        "cautions/6-chip-clearing.toml",
        include_str!("../../profiles/cautions/6-chip-clearing.toml"),
    ),
    (
        "cautions/7-measuring.toml",
        include_str!("../../profiles/cautions/7-measuring.toml"),
    ),
    (
        "cautions/8-end.toml",
        include_str!("../../profiles/cautions/8-end.toml"),
    ),
    (
        "cautions/9-recovery.toml",
        include_str!("../../profiles/cautions/9-recovery.toml"),
    ),
    (
        "templates/square-a-blank.toml",
        include_str!("../../profiles/templates/square-a-blank.toml"),
    ),
    (
        "templates/plate-with-clamp-swap.toml",
        include_str!("../../profiles/templates/plate-with-clamp-swap.toml"),
    ),
    (
        "templates/two-sides-on-dowels.toml",
        include_str!("../../profiles/templates/two-sides-on-dowels.toml"),
    ),
];

/// The shipped files, ready to read.
pub fn files() -> Vec<ProfileFile> {
    FILES
        .iter()
        .map(|(name, text)| ProfileFile {
            origin: Origin::Shipped,
            file: format!("profiles/{name}"),
            bytes: Ok(Cow::Borrowed(text.as_bytes())),
        })
        .collect()
}
