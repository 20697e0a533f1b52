//! Two recipes side by side: before and after a change.

use crate::calculator::answer::Answer;
use crate::quantity::show;
use crate::quantity::show::Units;

/// One value before and after.
#[derive(Clone, Debug, PartialEq)]
pub struct Changed {
    /// Name of the value.
    pub name: &'static str,
    /// Before, with unit.
    pub before: String,
    /// After, with unit.
    pub after: String,
    /// Whether the two read differently.
    pub differs: bool,
}

/// Returns the values of two answers side by side, in the order of the page.
pub fn compare(old: &Answer, new: &Answer) -> Vec<Changed> {
    let row = |name, of: &dyn Fn(&Answer) -> String| {
        let (before, after) = (of(old), of(new));
        Changed {
            name,
            differs: before != after,
            before,
            after,
        }
    };
    vec![
        row("rpm", &|a| show::rpm(a.n)),
        row("belt step", &|a| {
            a.step.clone().unwrap_or_else(|| "-".to_owned())
        }),
        row("feed", &|a| show::feed(a.vf, Units::Both)),
        row("chip load", &|a| show::chip_load(a.fz, Units::Both)),
        row("depth", &|a| show::length(a.ap, Units::Both)),
        row("stepover", &|a| show::length(a.ae, Units::Both)),
        row("surface speed", &|a| show::speed(a.vc, Units::Both)),
        row("removal", &|a| show::removal(a.q, Units::Both)),
        row("power at the cutter", &|a| show::power(a.pc, Units::Both)),
        row("axis push", &|a| show::force(a.axis_push, Units::Both)),
        row("binds", &|a| {
            a.binding().map_or("-".to_owned(), |limit| {
                format!("{} {:.0} %", limit.which.name(), 100.0 * limit.used)
            })
        }),
    ]
}
