//! How far a tool travels beyond the part, and how long a pass or a hole takes.

use crate::quantity::Feed;
use crate::quantity::Length;
use crate::quantity::Time;
use crate::quantity::mm;
use crate::quantity::to_mm;

/// Returns the travel before a peripheral cutter has its full depth.
///
/// # Formula
///
/// ```text
/// A = √( d · (D - d) )
/// ```
///
/// | symbol | meaning  | unit | valid range |
/// |--------|----------|------|-------------|
/// | `A`    | approach | mm   | result      |
/// | `d`    | depth square to the cutter's axis | mm | 0 to D |
/// | `D`    | cutter   | mm   | > 0         |
///
/// # Range of validity
///
/// Exact. Kalpakjian prints √(D d), 3 % more in his example.
///
/// # Source
///
/// Groover, *Fundamentals of Modern Manufacturing*, peripheral milling (from memory).
///
/// # Worked example
///
/// Groover (from memory): 80 mm cutter, 5 mm: 19.4 mm.
///
/// ```
/// use millside::cutting::travel::peripheral_approach;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(peripheral_approach(mm(5.0), mm(80.0))) - 19.4).abs() < 0.05);
/// ```
///
/// # Errors
///
/// None; a depth outside 0 to D gives 0.
pub fn peripheral_approach(depth: Length, d: Length) -> Length {
    let (a, d) = (to_mm(depth), to_mm(d));
    mm((a * (d - a)).max(0.0).sqrt())
}

/// Returns the travel before a face mill that is centred on the part cuts its full width.
///
/// # Formula
///
/// ```text
/// A = 0.5 · ( D - √(D² - w²) )
/// ```
///
/// | symbol | meaning  | unit | valid range |
/// |--------|----------|------|-------------|
/// | `A`    | approach | mm   | result      |
/// | `D`    | cutter   | mm   | > 0         |
/// | `w`    | width of the part | mm | 0 to D |
///
/// # Range of validity
///
/// Centred. No overrun: Kalpakjian adds half a diameter at each end so that the whole cutter clears.
///
/// # Source
///
/// Groover, *Fundamentals of Modern Manufacturing*, face milling (from memory).
///
/// # Worked example
///
/// Groover (from memory): 150 mm cutter, 125 mm wide: 33.5 mm.
///
/// ```
/// use millside::cutting::travel::face_approach;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(face_approach(mm(125.0), mm(150.0))) - 33.5).abs() < 0.05);
/// ```
///
/// # Errors
///
/// None; wider than the cutter counts as D, a full slot, whose approach is the radius.
pub fn face_approach(width: Length, d: Length) -> Length {
    let (w, d) = (to_mm(width), to_mm(d));
    mm(0.5 * (d - (d * d - w * w).max(0.0).sqrt()))
}

/// Returns the time of a travel at a feed.
///
/// # Formula
///
/// ```text
/// t = l / vf
/// ```
///
/// | symbol | meaning | unit   | valid range |
/// |--------|---------|--------|-------------|
/// | `t`    | time    | min    | result      |
/// | `l`    | travel, approach and overrun included | mm | 0 and more |
/// | `vf`   | feed    | mm/min | > 0         |
///
/// # Range of validity
///
/// Acceleration left out; the program's time model has it.
///
/// # Source
///
/// El-Hofy, *Fundamentals of Machining Processes*, 2nd ed., p. 189.
///
/// # Worked example
///
/// El-Hofy, p. 189: 321 mm at 120 mm/min take 2.68 min.
///
/// ```
/// use millside::cutting::travel::time;
/// use millside::quantity::mm;
/// use millside::quantity::mm_per_min;
/// use millside::quantity::to_minute;
/// assert!((to_minute(time(mm(321.0), mm_per_min(120.0))) - 2.68).abs() < 0.006);
/// ```
///
/// # Errors
///
/// None; no feed takes for ever.
pub fn time(travel: Length, vf: Feed) -> Time {
    travel / vf
}
