//! Speed, feed, depth and stepover of one operation, as decided.

/// What was decided for one operation, and where each number comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    /// Spindle speed in 1/min.
    pub n_rpm: f64,
    /// Table feed in mm/min.
    pub vf_mm_min: f64,
    /// Chip load in mm per tooth.
    pub fz_mm: f64,
    /// Depth in mm.
    pub ap_mm: f64,
    /// Stepover in mm.
    pub ae_mm: f64,
    /// Belt or gear position that the speed needs, where the machine has some.
    pub belt: Option<String>,
    /// Names of the values that the person fixed.
    pub fixed: Vec<String>,
    /// Feed override to set for the program's feeds, in percent, if there is a program.
    pub override_percent: Option<f64>,
    /// The limit that binds, with its share, such as `axis push 92 %`.
    pub binds: Option<String>,
    /// Danger limits that are exceeded, each with its share.
    pub exceeded: Vec<String>,
}

/// A change of tool in the middle of an operation.
#[derive(Clone, Debug, PartialEq)]
pub struct ToolChange {
    /// When, counted in whole seconds of cutting time of the operation.
    pub after_cutting_s: u64,
    /// The tool that came out.
    pub from: String,
    /// Name of its profile: two tools may have one title. Empty where no tool came out, or an older record does not say it.
    pub from_name: String,
    /// The tool that went in.
    pub to: String,
    /// Why.
    pub reason: String,
    /// The recipe before, if there was one.
    pub before: Option<Recipe>,
    /// The recipe after, if it was decided.
    pub after: Option<Recipe>,
}
