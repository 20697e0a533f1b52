//! What the surface looks like: cusps, theoretical roughness, the wall's error.

use crate::quantity::Length;
use crate::quantity::mm;
use crate::quantity::to_mm;

/// Returns the height of the cusps that a ball leaves.
///
/// # Formula
///
/// ```text
/// h = R - √(R² - (ae / 2)²)
/// ```
///
/// | symbol | meaning     | unit | valid range |
/// |--------|-------------|------|-------------|
/// | `h`    | cusp height | mm   | result      |
/// | `R`    | ball radius or corner radius | mm | > 0 |
/// | `ae`   | stepover    | mm   | 0 to 2 R    |
///
/// # Range of validity
///
/// Flat surface, no bending, no run-out. A stepover beyond 2 R gives R.
///
/// # Source
///
/// Plane geometry; the short form ae² / (8 R) is within 0.1 % up to ae/D = 0.05.
///
/// # Worked example
///
/// From that formula by hand: 10 mm ball, 0.5 mm: 0.006254 mm.
///
/// ```
/// use millside::cutting::finish::cusp;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(cusp(mm(0.5), mm(5.0))) - 0.006254).abs() < 1e-6);
/// ```
///
/// # Errors
///
/// None.
pub fn cusp(stepover: Length, radius: Length) -> Length {
    let (ae, r) = (to_mm(stepover), to_mm(radius));
    let half = (ae / 2.0).min(r);
    // r - √(r² - half²) without the loss of digits at small cusps.
    let root = (r * r - half * half).max(0.0).sqrt();
    if r + root == 0.0 {
        return mm(0.0);
    }
    mm(half * half / (r + root))
}

/// Returns the stepover that leaves cusps of a height.
///
/// # Formula
///
/// ```text
/// ae = 2 · √(h · (2 · R - h))
/// ```
///
/// | symbol | meaning     | unit | valid range |
/// |--------|-------------|------|-------------|
/// | `ae`   | stepover    | mm   | result      |
/// | `h`    | cusp height | mm   | 0 to R      |
/// | `R`    | ball radius | mm   | > 0         |
///
/// # Range of validity
///
/// As [`cusp`].
///
/// # Source
///
/// Plane geometry; a shop note on ball-nose stepover prints the same.
///
/// # Worked example
///
/// From that formula by hand: 6 mm ball, 0.005 mm: 0.3463 mm.
///
/// ```
/// use millside::cutting::finish::stepover;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(stepover(mm(0.005), mm(3.0))) - 0.3463).abs() < 1e-4);
/// ```
///
/// # Errors
///
/// None.
pub fn stepover(cusp: Length, radius: Length) -> Length {
    let (h, r) = (to_mm(cusp), to_mm(radius));
    mm(2.0 * (h * (2.0 * r - h)).max(0.0).sqrt())
}

/// Returns the theoretical height of the marks that the feed leaves, Rt.
///
/// # Formula
///
/// ```text
/// Rt = r - √(r² - (f / 2)²)      about f² / (8 · r)
/// ```
///
/// | symbol | meaning               | unit | valid range |
/// |--------|-----------------------|------|-------------|
/// | `Rt`   | peak to valley        | µm   | result      |
/// | `f`    | feed per tooth or turn | mm  | 0 to 2 r    |
/// | `r`    | corner radius on the floor, tool radius on a wall | mm | > 0 |
///
/// # Range of validity
///
/// Sharp edge, no run-out, no built-up edge. The real surface is rougher, up to twice in soft metals.
/// Some pages call this figure Ra: that is four times too much.
///
/// # Source
///
/// G. Boothroyd, W. A. Knight, *Fundamentals of Machining and Machine Tools* (from memory).
///
/// # Worked example
///
/// From that formula by hand: 0.2 mm, 0.8 mm: 6.2746 µm.
///
/// ```
/// use millside::cutting::finish::peak_to_valley;
/// use millside::quantity::mm;
/// use millside::quantity::to_um;
/// assert!((to_um(peak_to_valley(mm(0.2), mm(0.8))) - 6.2746).abs() < 1e-4);
/// ```
///
/// # Errors
///
/// None.
pub fn peak_to_valley(feed: Length, radius: Length) -> Length {
    cusp(feed, radius)
}

/// Returns the theoretical mean roughness Ra of feed marks.
///
/// # Formula
///
/// ```text
/// Ra = f² / (31.18 · r)      31.18 = 18 · √3
/// ```
///
/// | symbol | meaning         | unit | valid range |
/// |--------|-----------------|------|-------------|
/// | `Ra`   | mean roughness  | µm   | result      |
/// | `f`    | feed per tooth or turn | mm | 0 and more |
/// | `r`    | corner radius   | mm   | > 0         |
///
/// # Range of validity
///
/// As [`peak_to_valley`], f below r. Groover prints 32 for 31.18, 2.6 % less.
///
/// # Source
///
/// Boothroyd, Knight (from memory): mean of a row of parabolas, exact factor 1/(18 √3).
///
/// # Worked example
///
/// By hand: 0.22 mm, 1.5 mm: 1.035 µm. Groover's rounded form of the same case prints 1.01 µm.
///
/// ```
/// use millside::cutting::finish::mean_roughness;
/// use millside::quantity::mm;
/// use millside::quantity::to_um;
/// assert!((to_um(mean_roughness(mm(0.22), mm(1.5))) - 1.035).abs() < 1e-3);
/// ```
///
/// # Errors
///
/// None; a radius of 0 gives infinity.
pub fn mean_roughness(feed: Length, radius: Length) -> Length {
    feed * feed / (radius * (18.0 * 3.0_f64.sqrt()))
}

/// Returns by how much a wall stands off its line after one pass.
///
/// # Formula
///
/// ```text
/// e = dt + dm
/// ```
///
/// | symbol | meaning                                      | unit | valid range |
/// |--------|----------------------------------------------|------|-------------|
/// | `e`    | error of the wall at the tool's tip          | mm   | result      |
/// | `dt`   | bending of the tool under the force square to the wall | mm | 0 and more |
/// | `dm`   | bending of the machine under its mean        | mm   | 0 and more  |
///
/// # Range of validity
///
/// Climb milling bends the tool off the wall (the part stays large), conventional milling pulls it in. A
/// second pass at the same setting (spring pass) leaves the small share that its own force bends.
///
/// # Source
///
/// Superposition of two springs in series; own.
///
/// # Worked example
///
/// By hand: 0.006 and 0.004 mm make 0.010 mm.
///
/// ```
/// use millside::cutting::finish::wall_error;
/// use millside::quantity::mm;
/// use millside::quantity::to_mm;
/// assert!((to_mm(wall_error(mm(0.006), mm(0.004))) - 0.010).abs() < 1e-12);
/// ```
///
/// # Errors
///
/// None.
pub fn wall_error(tool: Length, machine: Length) -> Length {
    tool + machine
}
