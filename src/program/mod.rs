//! Reader of the G-code language: bytes to moves, extents, time and sections.
