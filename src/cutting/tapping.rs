//! Tapping: feed, hole, percentage of thread, torque.

use crate::quantity::Angle;
use crate::quantity::Feed;
use crate::quantity::Length;
use crate::quantity::SpecificForce;
use crate::quantity::SpindleSpeed;
use crate::quantity::Torque;
use crate::quantity::to_radian;
use crate::quantity::to_ratio;

/// Both sides of a sharp 60 degree profile cut to 3/4 H a side, over the pitch: √3 · 3/4.
const FULL_HEIGHT_OLD: f64 = 1.299_038_105_676_658;
/// Room for chips below the tap of a blind hole, in pitches; common practice, no source.
pub const CHIP_PITCHES: f64 = 2.0;

/// Both sides of the basic profile, 5/8 H a side, over the pitch: √3 · 5/8.
const FULL_HEIGHT_BASIC: f64 = 1.082_531_754_730_548;

/// Which of the two printed meanings a percentage of thread has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// Of 1.299 P: the one of tap-drill tables.
    TapDrillTable,
    /// Of 1.0825 P, the height of the ISO basic profile: the one of newer texts.
    BasicProfile,
}

impl Meaning {
    fn full_height(self) -> f64 {
        match self {
            Self::TapDrillTable => FULL_HEIGHT_OLD,
            Self::BasicProfile => FULL_HEIGHT_BASIC,
        }
    }
}

/// Returns the feed of a tap.
///
/// # Formula
///
/// ```text
/// vf = P · s · n
/// ```
///
/// | symbol | meaning          | unit   | valid range |
/// |--------|------------------|--------|-------------|
/// | `vf`   | feed             | mm/min | result      |
/// | `P`    | pitch            | mm     | > 0         |
/// | `s`    | starts           | -      | 1 and more  |
/// | `n`    | spindle speed    | 1/min  | 0 and more  |
///
/// # Range of validity
///
/// Exact. A spindle that is not geared to the feed needs a holder that gives in length.
///
/// # Source
///
/// *CNC tapping feed rate calculation and rigid tap configuration*; GATE 1991 for two starts.
///
/// # Worked example
///
/// The first: 20 threads an inch at one turn feed 0.05 in.
///
/// ```
/// use millside::cutting::tapping::tap_feed;
/// use millside::quantity::inch;
/// use millside::quantity::rpm;
/// use millside::quantity::to_inch_per_min;
/// let vf = tap_feed(inch(1.0 / 20.0), 1, rpm(1.0));
/// assert!((to_inch_per_min(vf) - 0.05).abs() < 1e-9);
/// ```
///
/// # Errors
///
/// None.
pub fn tap_feed(pitch: Length, starts: u32, n: SpindleSpeed) -> Feed {
    pitch * f64::from(starts) * n
}

/// Returns the percentage of thread that a tap leaves in a hole.
///
/// # Formula
///
/// ```text
/// % = 100 · (D - d) / (c · P)      c = 1.299038 (tap-drill tables) or 1.082532 (ISO basic profile)
/// ```
///
/// | symbol | meaning        | unit | valid range |
/// |--------|----------------|------|-------------|
/// | `%`    | percentage of thread | - | result    |
/// | `D`    | nominal diameter | mm | > 0         |
/// | `d`    | hole           | mm   | 0 to D      |
/// | `P`    | pitch          | mm   | > 0         |
///
/// # Range of validity
///
/// Cutting taps, 60 degree thread. The two meanings differ by a factor of 1.2: say which.
///
/// # Source
///
/// *Machinery's Handbook*, 31st ed., p. 2155, table 2 (tap-drill tables); ISO 68-1 profile (from memory).
///
/// # Worked example
///
/// Table 2: 4-40 with 0.0890 in (#43) has 71 %.
///
/// ```
/// use millside::cutting::tapping::Meaning;
/// use millside::cutting::tapping::percent_of_thread;
/// use millside::quantity::inch;
/// let p = percent_of_thread(inch(0.112), inch(0.0890), inch(1.0 / 40.0), Meaning::TapDrillTable);
/// assert!((p - 71.0).abs() < 0.5);
/// ```
///
/// # Errors
///
/// None.
pub fn percent_of_thread(nominal: Length, hole: Length, pitch: Length, meaning: Meaning) -> f64 {
    100.0 * to_ratio((nominal - hole) / (meaning.full_height() * pitch))
}

/// Returns the hole for a percentage of thread.
///
/// # Formula
///
/// ```text
/// d = D - c · P · % / 100
/// ```
///
/// | symbol | meaning | unit | valid range |
/// |--------|---------|------|-------------|
/// | `d`    | hole    | mm   | result      |
/// | others | as in [`percent_of_thread`] | | |
///
/// # Range of validity
///
/// As [`percent_of_thread`].
///
/// # Source
///
/// As [`percent_of_thread`], turned round; in metric D - P · % / 76.98.
///
/// # Worked example
///
/// By hand: M6, 1 mm, 76.98 % of the tap-drill tables: 5.0 mm.
///
/// ```
/// use millside::cutting::tapping::Meaning;
/// use millside::cutting::tapping::tap_hole;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// let hole = tap_hole(mm(6.0), mm(1.0), 76.98, Meaning::TapDrillTable);
/// assert!((to_mm(hole) - 5.0).abs() < 1e-4);
/// ```
///
/// # Errors
///
/// None.
pub fn tap_hole(nominal: Length, pitch: Length, percent: f64, meaning: Meaning) -> Length {
    nominal - meaning.full_height() * pitch * (percent / 100.0)
}

/// Returns the torque of a tap, by the square of the pitch.
///
/// # Formula
///
/// ```text
/// M = kc · P² · D / 8
/// ```
///
/// | symbol | meaning        | unit  | valid range |
/// |--------|----------------|-------|-------------|
/// | `M`    | torque         | N m   | result      |
/// | `kc`   | specific force for tapping, from a set made for this form | N/mm² | > 0 |
/// | `P`    | pitch          | mm    | > 0         |
/// | `D`    | nominal diameter | mm  | > 0         |
///
/// # Range of validity
///
/// New tap, cutting. A blunt tap or one packed with chips takes a multiple: that is how taps break.
///
/// # Source
///
/// Technical page of a thread-tool supplier; the same in J. Tschätsch, *Applied Machining Technology* (from memory).
///
/// # Worked example
///
/// From that formula by hand: 800 N/mm², 1 mm, M6: 0.6 N m.
///
/// ```
/// use millside::cutting::tapping::torque;
/// use millside::quantity::mm;
/// use millside::quantity::n_per_mm2;
/// use millside::quantity::to_newton_metre;
/// let m = torque(n_per_mm2(800.0), mm(1.0), mm(6.0));
/// assert!((to_newton_metre(m) - 0.6).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn torque(kc: SpecificForce, pitch: Length, nominal: Length) -> Torque {
    (kc * pitch * pitch * nominal / 8.0).into()
}

/// Returns the torque of a tap, by the area of the thread's profile.
///
/// # Formula
///
/// ```text
/// A = tan(β) · (D - d)² / 4                      profile above the hole
/// M = kc · K · A · (D + 2 · d) / 6               A acts at (D + 2 d) / 6 from the axis
/// ```
///
/// | symbol | meaning          | unit  | valid range |
/// |--------|------------------|-------|-------------|
/// | `M`    | torque           | N m   | result      |
/// | `kc`   | specific force, from a set made for this form | N/mm² | > 0 |
/// | `K`    | factor of the tap, 0.75 to 1.68 | - | > 0 |
/// | `D`    | nominal diameter | mm    | > 0         |
/// | `d`    | hole             | mm    | 0 to D      |
/// | `β`    | half the thread angle | deg | 30        |
///
/// # Range of validity
///
/// As [`torque`]. The two forms agree within a third; their kc must not be mixed.
///
/// # Source
///
/// Technical section of a tap catalogue (publisher left out).
///
/// # Worked example
///
/// From that formula outside this program: 1300 N/mm², K 1.05, M6 in 5.0 mm: 0.525 N m.
///
/// ```
/// use millside::cutting::tapping::torque_of_profile;
/// use millside::quantity::degree;
/// use millside::quantity::mm;
/// use millside::quantity::n_per_mm2;
/// use millside::quantity::to_newton_metre;
/// let m = torque_of_profile(n_per_mm2(1300.0), 1.05, mm(6.0), mm(5.0), degree(30.0));
/// assert!((to_newton_metre(m) - 0.525).abs() < 1e-3);
/// ```
///
/// # Errors
///
/// None.
pub fn torque_of_profile(
    kc: SpecificForce,
    factor: f64,
    nominal: Length,
    hole: Length,
    half_angle: Angle,
) -> Torque {
    let height = nominal - hole;
    let area = height * height * (to_radian(half_angle).tan() / 4.0);
    (kc * factor * area * ((nominal + 2.0 * hole) / 6.0)).into()
}
