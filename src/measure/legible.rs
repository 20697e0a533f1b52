//! How high a character must be to be read from a distance.

/// Height of a capital that is seen under an angle, in millimetres.
///
/// `h = 2 D tan(a / 2)`, with `D` the distance in millimetres and `a` the angle in minutes of arc. NUREG-0700 asks for 16'
/// at the least and 20' to 22' for reading with ease. Worked example: 2 m and 16' give 9.31 mm.
pub fn capital_height_mm(distance_mm: f64, arc_minutes: f64) -> f64 {
    let angle = (arc_minutes / 60.0).to_radians();
    2.0 * distance_mm * (angle / 2.0).tan()
}
