//! Heads of socket cap screws: greatest diameter and height by thread.

/// Thread, greatest diameter of a knurled head in mm; the head is as high as the thread is thick. ISO 4762, table 1: k max = d, dk max
/// for knurled heads (the values of ASME B18.3.1M are the same).
const SOCKET_CAP: &[(&str, f64, f64)] = &[
    ("M2", 2.0, 3.98),
    ("M2.5", 2.5, 4.68),
    ("M3", 3.0, 5.68),
    ("M4", 4.0, 7.22),
    ("M5", 5.0, 8.72),
    ("M6", 6.0, 10.22),
    ("M8", 8.0, 13.27),
    ("M10", 10.0, 16.27),
    ("M12", 12.0, 18.27),
    ("M16", 16.0, 24.33),
];

/// Greatest diameter and height in mm of the head of a socket cap screw of this thread, such as `M5`.
pub fn socket_cap(thread: &str) -> Option<(f64, f64)> {
    SOCKET_CAP
        .iter()
        .find(|(name, ..)| name.eq_ignore_ascii_case(thread))
        .map(|(_, height, diameter)| (*diameter, *height))
}

/// The threads of the table.
pub fn threads() -> impl Iterator<Item = &'static str> {
    SOCKET_CAP.iter().map(|(name, ..)| *name)
}

#[cfg(test)]
mod tests {
    use super::*;

    // ISO 4762, table 1, as printed in a catalogue of screws: M5 8.72 (knurled) and 5, M6 10.22 and 6, M10 16.27 and 10.
    #[test]
    fn heads_are_those_of_the_standard() {
        assert_eq!(socket_cap("M5"), Some((8.72, 5.0)));
        assert_eq!(socket_cap("m6"), Some((10.22, 6.0)));
        assert_eq!(socket_cap("M10"), Some((16.27, 10.0)));
        assert_eq!(socket_cap("M7"), None);
    }
}
