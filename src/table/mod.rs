//! Standard tables as data: drills, threads.
